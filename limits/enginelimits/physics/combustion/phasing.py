"""When the charge burns: from spark to half-burned angle and back, the timing run, and what it costs."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.combustion.wiebe import share_at_burned
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(half_burned_angle_rad=(-0.8, 1.6), half_burned_best_rad=(-0.1, 0.4))
def spark_retard(half_burned_angle_rad: Array, half_burned_best_rad: Array) -> Array:
    """How much later than at best torque the charge burns, taken as how much later the spark is.

    Parameters
    ----------
    half_burned_angle_rad : array
        Half-burned angle at which the engine runs, after top dead centre. [rad] Valid -0.8 to 1.6.
    half_burned_best_rad : array
        Half-burned angle of best torque. [rad] Valid -0.1 to 0.4.

    Returns
    -------
    retard_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    half_burned_angle_rad - half_burned_best_rad

    Source
    ------
    common-practice, a degree of spark moves the half-burned angle by about a degree

    Examples
    --------
    >>> round(float(spark_retard(0.30, 0.14)), 2)
    0.16
    """
    return np.asarray(half_burned_angle_rad) - half_burned_best_rad


@valid(
    spark_advance_rad=(-0.6, 1.2),
    spark_delay_rad=(0.0, 1.0),
    burn_duration_rad=(0.3, 2.5),
    wiebe_a=(0.7, 12.0),
    wiebe_form=(0.5, 5.0),
)
def half_burned_of_spark(
    spark_advance_rad: Array, spark_delay_rad: Array, burn_duration_rad: Array, wiebe_a: Array, wiebe_form: Array
) -> Array:
    """Half-burned angle that a given ignition timing leads to.

    Parameters
    ----------
    spark_advance_rad : array
        Before top dead centre. [rad] Valid -0.6 to 1.2.
    spark_delay_rad : array
        From the spark to where the burn begins. [rad] Valid 0 to 1.
    burn_duration_rad : array
        Nominal duration of Wiebe's function. [rad] Valid 0.3 to 2.5.
    wiebe_a : array
        Efficiency exponent. [1] Valid 0.7 to 12.
    wiebe_form : array
        Form exponent. [1] Valid 0.5 to 5.

    Returns
    -------
    half_burned_angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    spark_delay_rad - spark_advance_rad + burn_duration_rad * (log(2) / wiebe_a)**(1 / (wiebe_form + 1))

    Source
    ------
    heywood-1988, eq. 9.30, inverse at one half

    Examples
    --------
    >>> round(float(np.degrees(half_burned_of_spark(0.30, 0.14, 0.90, 5.0, 2.0))), 1)
    17.5
    """
    half = share_at_burned(0.5, wiebe_a, wiebe_form)
    return spark_delay_rad - np.asarray(spark_advance_rad) + burn_duration_rad * half


@valid(best_rad=(-0.2, 0.5), knock_limited_rad=(-0.2, 1.0), spark_reserve_rad=(0.0, 0.3), latest_rad=(0.1, 1.0))
def half_burned_angle_run(
    best_rad: Array, knock_limited_rad: Array, spark_reserve_rad: Array, latest_rad: Array
) -> Array:
    """Half-burned angle at which an engine is run whose timing is left open: best torque, or clear of knock.

    No later than the class's latest; an engine that would need more knocks there, and its margin says so.

    Parameters
    ----------
    best_rad : array
        Of best torque, after top dead centre. [rad] Valid -0.2 to 0.5.
    knock_limited_rad : array
        Where knock begins, after top dead centre. [rad] Valid -0.2 to 1.
    spark_reserve_rad : array
        Kept away from knock, as spark. [rad] Valid 0 to 0.3.
    latest_rad : array
        As late as such engines are run. [rad] Valid 0.1 to 1.

    Returns
    -------
    half_burned_angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    min(max(best_rad, knock_limited_rad + spark_reserve_rad), max(latest_rad, best_rad))

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(half_burned_angle_run(0.14, 0.20, 0.03, 0.6)), 2)
    0.23
    """
    wanted = np.maximum(best_rad, knock_limited_rad + np.asarray(spark_reserve_rad))
    return np.minimum(wanted, np.maximum(latest_rad, best_rad))


@valid(
    best_gross_pa=(0.0, 7000000.0),
    best_peak_pressure_pa=(100000.0, 40000000.0),
    gross_pa=(0.0, 7000000.0),
    peak_pressure_pa=(100000.0, 40000000.0),
    friction_peak_share=(0.0, 0.02),
    brake_pa=(10000.0, 6000000.0),
)
def torque_lost(
    best_gross_pa: Array,
    best_peak_pressure_pa: Array,
    gross_pa: Array,
    peak_pressure_pa: Array,
    friction_peak_share: Array,
    brake_pa: Array,
) -> Array:
    """Share of the torque at best timing that the timing run gives away.

    Not a number where best timing would give no torque.

    Parameters
    ----------
    best_gross_pa : array
        Gross mean effective pressure at best timing. [Pa] Valid 0 to 7e+06.
    best_peak_pressure_pa : array
        Peak pressure at best timing. [Pa] Valid 100000 to 4e+07.
    gross_pa : array
        Gross mean effective pressure as run. [Pa] Valid 0 to 7e+06.
    peak_pressure_pa : array
        Peak pressure as run. [Pa] Valid 100000 to 4e+07.
    friction_peak_share : array
        Friction for each pascal of peak pressure. [1] Valid 0 to 0.02.
    brake_pa : array
        Brake mean effective pressure as run. [Pa] Valid 10000 to 6e+06.

    Returns
    -------
    share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    lost = best_gross_pa - gross_pa - friction_peak_share * (best_peak_pressure_pa - peak_pressure_pa)
    lost / (brake_pa + lost)

    Source
    ------
    own-computation, with the friction of chen-flynn-1965

    Examples
    --------
    >>> round(float(torque_lost(20e5, 90e5, 19.4e5, 75e5, 0.005, 16e5)), 3)
    0.032
    """
    friction = friction_peak_share * (np.asarray(best_peak_pressure_pa) - peak_pressure_pa)
    lost = best_gross_pa - np.asarray(gross_pa) - friction
    best = np.add(brake_pa, lost)
    return lost / np.where(best > 0.0, best, np.nan)


@valid(scatter_at_best=(1.0, 1.6), scatter_growth=(0.0, 2.0), spark_retard_rad=(-0.6, 1.2))
def pressure_scatter(scatter_at_best: Array, scatter_growth: Array, spark_retard_rad: Array) -> Array:
    """Peak pressure that one cycle in twenty exceeds, over that of the mean cycle: later burns scatter more.

    Parameters
    ----------
    scatter_at_best : array
        At best timing. [1] Valid 1 to 1.6.
    scatter_growth : array
        More for each radian of retard. [1] Valid 0 to 2.
    spark_retard_rad : array
        From best torque; earlier counts as none. [rad] Valid -0.6 to 1.2.

    Returns
    -------
    scatter : array
        Broadcast of the arguments. [1]

    Equation
    --------
    scatter_at_best + scatter_growth * max(spark_retard_rad, 0)

    Source
    ------
    memory, cyclic variation of peak pressure grows with retard

    Examples
    --------
    >>> round(float(pressure_scatter(1.12, 0.4, 0.175)), 3)
    1.19
    """
    return scatter_at_best + scatter_growth * np.maximum(spark_retard_rad, 0.0)


@valid(start_of_combustion_rad=(-1.5, 1.0), spark_delay_rad=(0.0, 1.0))
def spark_advance(start_of_combustion_rad: Array, spark_delay_rad: Array) -> Array:
    """Ignition timing that lets the burn begin where it does.

    Parameters
    ----------
    start_of_combustion_rad : array
        After top dead centre. [rad] Valid -1.5 to 1.
    spark_delay_rad : array
        From the spark to there. [rad] Valid 0 to 1.

    Returns
    -------
    spark_advance_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    spark_delay_rad - start_of_combustion_rad

    Source
    ------
    own-computation, angles before and after the top

    Examples
    --------
    >>> round(float(spark_advance(-0.26, 0.14)), 2)
    0.4
    """
    return spark_delay_rad - np.asarray(start_of_combustion_rad)


@valid(best_rad=(-0.2, 0.5), retard_rad=(0.0, 0.4))
def retarded_half_burned(best_rad: Array, retard_rad: Array) -> Array:
    """Half-burned angle of a given retard from best torque.

    Parameters
    ----------
    best_rad : array
        Of best torque, after top dead centre. [rad] Valid -0.2 to 0.5.
    retard_rad : array
        From there. [rad] Valid 0 to 0.4.

    Returns
    -------
    half_burned_angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    best_rad + retard_rad

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(retarded_half_burned(0.12, 0.175)), 3)
    0.295
    """
    return np.asarray(best_rad) + retard_rad
