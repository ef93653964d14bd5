"""Heat from the gas to the walls of the cylinder."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Woschni's constants with pressure in kPa
WOSCHNI_COEFFICIENT = 3.26
WOSCHNI_TEMPERATURE_EXPONENT = -0.55
WOSCHNI_PISTON_SPEED = 2.28  # compression, combustion, expansion
WOSCHNI_GAS_EXCHANGE = 6.18
WOSCHNI_COMBUSTION = 3.24e-3  # m/(s*K)


@valid(
    mean_piston_speed_m_s=(0.0, 40.0),
    pressure_over_motored_pa=(-1e6, 2e7),
    displacement_m3=(2e-5, 5e-3),
    reference_temperature_k=(250.0, 600.0),
    reference_pressure_pa=(2e4, 6e5),
    reference_volume_m3=(2e-5, 6e-3),
)
def woschni_gas_speed(
    mean_piston_speed_m_s: Array,
    pressure_over_motored_pa: Array,
    displacement_m3: Array,
    reference_temperature_k: Array,
    reference_pressure_pa: Array,
    reference_volume_m3: Array,
) -> Array:
    """Speed of the gas at the walls while the valves are closed, for Woschni's coefficient.

    Parameters
    ----------
    mean_piston_speed_m_s : array
        Mean piston speed. [m/s] Valid 0 to 40.
    pressure_over_motored_pa : array
        Cylinder pressure less what it would be without combustion; 0 before combustion. [Pa] Valid -1e6 to
        2e7.
    displacement_m3 : array
        Swept volume of one cylinder. [m^3] Valid 2e-5 to 5e-3.
    reference_temperature_k : array
        Gas at the reference state, usually closing of the intake valve. [K] Valid 250 to 600.
    reference_pressure_pa : array
        Gas at the reference state. [Pa] Valid 2e4 to 6e5.
    reference_volume_m3 : array
        Cylinder at the reference state. [m^3] Valid 2e-5 to 6e-3.

    Returns
    -------
    gas_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    reference = displacement_m3 * reference_temperature_k / (reference_pressure_pa * reference_volume_m3)
    2.28 * mean_piston_speed_m_s + 3.24e-3 * reference * pressure_over_motored_pa

    Source
    ------
    woschni-1967; heywood-1988, eq. 12.20

    Examples
    --------
    >>> round(float(woschni_gas_speed(8.6, 0.0, 5e-4, 330.0, 1e5, 5.5e-4)), 3)
    19.608
    """
    reference = displacement_m3 * reference_temperature_k / (reference_pressure_pa * reference_volume_m3)
    return (
        WOSCHNI_PISTON_SPEED * mean_piston_speed_m_s
        + WOSCHNI_COMBUSTION * reference * pressure_over_motored_pa
    )


@valid(bore_m=(0.03, 0.20), pressure_pa=(1e4, 3e7), temperature_k=(250.0, 3200.0), gas_speed_m_s=(0.0, 300.0))
def woschni_coefficient(
    bore_m: Array, pressure_pa: Array, temperature_k: Array, gas_speed_m_s: Array
) -> Array:
    """Heat transfer coefficient between gas and wall, Woschni.

    With -0.53 in place of -0.55 for the temperature, as first printed, it is 14 to 17 % higher.

    Parameters
    ----------
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    pressure_pa : array
        Cylinder pressure, absolute. [Pa] Valid 1e4 to 3e7.
    temperature_k : array
        Mean temperature of the gas. [K] Valid 250 to 3200.
    gas_speed_m_s : array
        Speed of the gas, see woschni_gas_speed. [m/s] Valid 0 to 300.

    Returns
    -------
    coefficient_w_m2k : array
        Broadcast of the arguments. [W/(m^2*K)]

    Equation
    --------
    3.26 * bore_m**-0.2 * (pressure_pa / 1000)**0.8 * temperature_k**-0.55 * gas_speed_m_s**0.8

    Source
    ------
    heywood-1988, eq. 12.19

    Examples
    --------
    >>> round(float(woschni_coefficient(0.086, 60e5, 2400.0, 56.175)))
    1947
    """
    kilopascal = pressure_pa * 1e-3
    return (
        WOSCHNI_COEFFICIENT
        * bore_m**-0.2
        * kilopascal**0.8
        * temperature_k**WOSCHNI_TEMPERATURE_EXPONENT
        * gas_speed_m_s**0.8
    )


@valid(
    volume_m3=(2e-6, 6e-3),
    pressure_pa=(1e4, 3e7),
    temperature_k=(250.0, 3200.0),
    mean_piston_speed_m_s=(0.0, 40.0),
)
def hohenberg_coefficient(
    volume_m3: Array, pressure_pa: Array, temperature_k: Array, mean_piston_speed_m_s: Array
) -> Array:
    """Heat transfer coefficient between gas and wall, Hohenberg: a second opinion on Woschni's.

    Parameters
    ----------
    volume_m3 : array
        Cylinder volume at the moment. [m^3] Valid 2e-6 to 6e-3.
    pressure_pa : array
        Cylinder pressure, absolute. [Pa] Valid 1e4 to 3e7.
    temperature_k : array
        Mean temperature of the gas. [K] Valid 250 to 3200.
    mean_piston_speed_m_s : array
        Mean piston speed. [m/s] Valid 0 to 40.

    Returns
    -------
    coefficient_w_m2k : array
        Broadcast of the arguments. [W/(m^2*K)]

    Equation
    --------
    speed = mean_piston_speed_m_s + 1.4
    130 * volume_m3**-0.06 * (pressure_pa / 1e5)**0.8 * temperature_k**-0.4 * speed**0.8

    Source
    ------
    hohenberg-1979, from memory

    Examples
    --------
    >>> round(float(hohenberg_coefficient(1.0546e-4, 60e5, 2400.0, 8.6)))
    1671
    """
    bar = pressure_pa * 1e-5
    return 130.0 * volume_m3**-0.06 * bar**0.8 * temperature_k**-0.4 * (mean_piston_speed_m_s + 1.4) ** 0.8
