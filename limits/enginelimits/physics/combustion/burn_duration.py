"""How long the charge burns, and how long after the spark it starts, against a class's reference state.

A turbulent flame burns out eddies at the laminar speed; their size follows the chamber and their number the piston
speed.  What is left over the crank angle is one ratio, the same for development and rapid burning.  It leaves out
that a late burn runs into decaying turbulence, and that swirl, tumble and chamber differ: they are in the class.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(temperature_k=(200.0, 1200.0))
def dynamic_viscosity(temperature_k: Array) -> Array:
    """Viscosity of air, which stands for the unburned charge.

    Falls behind the tables as the gas gets hot: 2 % at 1000 K, 5 % at 1500 K.

    Parameters
    ----------
    temperature_k : array
        Of the gas. [K] Valid 200 to 1200.

    Returns
    -------
    dynamic_viscosity_pa_s : array
        As the argument. [Pa*s]

    Equation
    --------
    1.458e-6 * temperature_k**1.5 / (temperature_k + 110.4)

    Source
    ------
    iso-2533, Sutherland's form

    Examples
    --------
    >>> round(float(dynamic_viscosity(288.15)) * 1e6, 2)
    17.89
    """
    return 1.458e-6 * temperature_k**1.5 / (temperature_k + 110.4)


@valid(
    unburned_temperature_k=(290.0, 1200.0),
    pressure_pa=(2e4, 2e7),
    reference_temperature_k=(290.0, 1200.0),
    reference_pressure_pa=(2e4, 2e7),
)
def kinematic_viscosity_ratio(
    unburned_temperature_k: Array, pressure_pa: Array, reference_temperature_k: Array, reference_pressure_pa: Array
) -> Array:
    """Kinematic viscosity of the unburned charge over that at the reference state.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 290 to 1200.
    pressure_pa : array
        Absolute. [Pa] Valid 2e4 to 2e7.
    reference_temperature_k : array
        Of the class. [K] Valid 290 to 1200.
    reference_pressure_pa : array
        Of the class, absolute. [Pa] Valid 2e4 to 2e7.

    Returns
    -------
    ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    heat = unburned_temperature_k / reference_temperature_k
    viscosity = heat**1.5 * (reference_temperature_k + 110.4) / (unburned_temperature_k + 110.4)
    viscosity * heat * reference_pressure_pa / pressure_pa

    Source
    ------
    iso-2533, Sutherland's form over the density of an ideal gas

    Examples
    --------
    >>> round(float(kinematic_viscosity_ratio(700.0, 1e6, 700.0, 2e6)), 2)
    2.0
    """
    viscosity = dynamic_viscosity(unburned_temperature_k) / dynamic_viscosity(reference_temperature_k)
    return viscosity * (unburned_temperature_k / reference_temperature_k) * (reference_pressure_pa / pressure_pa)


@valid(
    flame_speed_m_s=(0.05, 10.0),
    reference_flame_speed_m_s=(0.05, 10.0),
    mean_piston_speed_m_s=(0.5, 30.0),
    reference_mean_piston_speed_m_s=(0.5, 30.0),
    kinematic_viscosity_ratio=(0.05, 20.0),
)
def burn_angle_ratio(
    flame_speed_m_s: Array,
    reference_flame_speed_m_s: Array,
    mean_piston_speed_m_s: Array,
    reference_mean_piston_speed_m_s: Array,
    kinematic_viscosity_ratio: Array,
) -> Array:
    """Crank angle that burning takes over what it takes at the reference state.

    Parameters
    ----------
    flame_speed_m_s : array
        Laminar, by the same correlation as at the reference. [m/s] Valid 0.05 to 10.
    reference_flame_speed_m_s : array
        Laminar, at the reference state. [m/s] Valid 0.05 to 10.
    mean_piston_speed_m_s : array
        Turbulence rises in proportion to it. [m/s] Valid 0.5 to 30.
    reference_mean_piston_speed_m_s : array
        At the reference state. [m/s] Valid 0.5 to 30.
    kinematic_viscosity_ratio : array
        Over that at the reference state. [1] Valid 0.05 to 20.

    Returns
    -------
    ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    speed = mean_piston_speed_m_s / reference_mean_piston_speed_m_s
    flame = reference_flame_speed_m_s / flame_speed_m_s
    (speed * kinematic_viscosity_ratio)**(1 / 3) * flame**(2 / 3)

    Source
    ------
    hires-1978, form from memory; heywood-1988, sec. 9.3

    Examples
    --------
    >>> round(float(burn_angle_ratio(1.0, 1.0, 16.0, 8.0, 1.0)), 3)
    1.26
    """
    speed = mean_piston_speed_m_s / np.asarray(reference_mean_piston_speed_m_s)
    flame = reference_flame_speed_m_s / np.asarray(flame_speed_m_s)
    return np.cbrt(speed * kinematic_viscosity_ratio * flame * flame)


@valid(
    duration_at_reference_rad=(0.3, 2.0),
    flame_speed_m_s=(0.05, 10.0),
    reference_flame_speed_m_s=(0.05, 10.0),
    mean_piston_speed_m_s=(0.5, 30.0),
    reference_mean_piston_speed_m_s=(0.5, 30.0),
    kinematic_viscosity_ratio=(0.05, 20.0),
)
def burn_duration(
    duration_at_reference_rad: Array,
    flame_speed_m_s: Array,
    reference_flame_speed_m_s: Array,
    mean_piston_speed_m_s: Array,
    reference_mean_piston_speed_m_s: Array,
    kinematic_viscosity_ratio: Array = 1.0,
) -> Array:
    """Nominal duration of burning: the class's own, moved from its reference state to that of the charge.

    Parameters
    ----------
    duration_at_reference_rad : array
        Nominal duration of Wiebe's function, of the class. [rad] Valid 0.3 to 2.
    flame_speed_m_s : array
        Laminar, by the same correlation as at the reference. [m/s] Valid 0.05 to 10.
    reference_flame_speed_m_s : array
        Laminar, at the reference state. [m/s] Valid 0.05 to 10.
    mean_piston_speed_m_s : array
        Turbulence rises in proportion to it. [m/s] Valid 0.5 to 30.
    reference_mean_piston_speed_m_s : array
        At the reference state. [m/s] Valid 0.5 to 30.
    kinematic_viscosity_ratio : array
        Over that at the reference state. [1] Valid 0.05 to 20.

    Returns
    -------
    burn_duration_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    speed = mean_piston_speed_m_s / reference_mean_piston_speed_m_s
    flame = reference_flame_speed_m_s / flame_speed_m_s
    duration_at_reference_rad * (speed * kinematic_viscosity_ratio)**(1 / 3) * flame**(2 / 3)

    Source
    ------
    hires-1978, form from memory; heywood-1988, sec. 9.3

    Examples
    --------
    >>> round(float(burn_duration(0.9, 0.8, 0.8, 17.2, 8.6)), 3)
    1.134
    """
    return duration_at_reference_rad * burn_angle_ratio(
        flame_speed_m_s,
        reference_flame_speed_m_s,
        mean_piston_speed_m_s,
        reference_mean_piston_speed_m_s,
        kinematic_viscosity_ratio,
    )


@valid(
    delay_at_reference_rad=(0.0, 0.6),
    flame_speed_m_s=(0.05, 10.0),
    reference_flame_speed_m_s=(0.05, 10.0),
    mean_piston_speed_m_s=(0.5, 30.0),
    reference_mean_piston_speed_m_s=(0.5, 30.0),
    kinematic_viscosity_ratio=(0.05, 20.0),
)
def spark_delay(
    delay_at_reference_rad: Array,
    flame_speed_m_s: Array,
    reference_flame_speed_m_s: Array,
    mean_piston_speed_m_s: Array,
    reference_mean_piston_speed_m_s: Array,
    kinematic_viscosity_ratio: Array = 1.0,
) -> Array:
    """Crank angle from the spark to where Wiebe's function leaves zero, moved from the reference state.

    Parameters
    ----------
    delay_at_reference_rad : array
        Of the class. [rad] Valid 0 to 0.6.
    flame_speed_m_s : array
        Laminar, by the same correlation as at the reference. [m/s] Valid 0.05 to 10.
    reference_flame_speed_m_s : array
        Laminar, at the reference state. [m/s] Valid 0.05 to 10.
    mean_piston_speed_m_s : array
        Turbulence rises in proportion to it. [m/s] Valid 0.5 to 30.
    reference_mean_piston_speed_m_s : array
        At the reference state. [m/s] Valid 0.5 to 30.
    kinematic_viscosity_ratio : array
        Over that at the reference state. [1] Valid 0.05 to 20.

    Returns
    -------
    spark_delay_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    speed = mean_piston_speed_m_s / reference_mean_piston_speed_m_s
    flame = reference_flame_speed_m_s / flame_speed_m_s
    delay_at_reference_rad * (speed * kinematic_viscosity_ratio)**(1 / 3) * flame**(2 / 3)

    Source
    ------
    hires-1978, form from memory; heywood-1988, sec. 9.3

    Examples
    --------
    >>> round(float(spark_delay(0.14, 0.4, 0.8, 8.6, 8.6)), 3)
    0.222
    """
    return delay_at_reference_rad * burn_angle_ratio(
        flame_speed_m_s,
        reference_flame_speed_m_s,
        mean_piston_speed_m_s,
        reference_mean_piston_speed_m_s,
        kinematic_viscosity_ratio,
    )


@valid(start_of_combustion_rad=(-1.5, 1.0), spark_delay_rad=(0.0, 1.0))
def spark_angle(start_of_combustion_rad: Array, spark_delay_rad: Array) -> Array:
    """Crank angle of the spark that lets burning start where it does.

    Parameters
    ----------
    start_of_combustion_rad : array
        Where Wiebe's function leaves zero, after top dead centre. [rad] Valid -1.5 to 1.
    spark_delay_rad : array
        From the spark to there. [rad] Valid 0 to 1.

    Returns
    -------
    spark_angle_rad : array
        After top dead centre; before it is negative. [rad]

    Equation
    --------
    start_of_combustion_rad - spark_delay_rad

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(spark_angle(-0.33, 0.14)), 2)
    -0.47
    """
    return start_of_combustion_rad - np.asarray(spark_delay_rad)
