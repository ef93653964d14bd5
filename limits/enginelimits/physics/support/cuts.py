"""Where the cuts of an engine control are to stand, so that they act on a fault and not on an ordinary pull."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

_THOUSAND = 1000.0 * np.pi / 30.0  # rad/s in a thousand revolutions a minute


@valid(greatest_boost_pa=(0.0, 400e3), margin_pa=(0.0, 100e3))
def boost_cut(greatest_boost_pa: Array, margin_pa: Array) -> Array:
    """Boost at which an overboost cut is to stand.

    Parameters
    ----------
    greatest_boost_pa : array
        Greatest asked for over the range, gauge. [Pa] Valid 0 to 400e3.
    margin_pa : array
        Above it: more than a spike of good control, less than what parts were chosen without. [Pa] Valid 0 to 100e3.

    Returns
    -------
    boost_cut_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    greatest_boost_pa + margin_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> boost_cut(70e3, 17e3)
    87000.0
    """
    return greatest_boost_pa + margin_pa


@valid(boost_cut_pa=(0.0, 500e3), barometer_pa=(50e3, 110e3), range_pa=(50e3, 1e6))
def sensor_use_at_cut(boost_cut_pa: Array, barometer_pa: Array, range_pa: Array) -> Array:
    """Manifold pressure at the overboost cut over the greatest that its sensor reads, both absolute.

    Beyond one the cut never acts: the reading ends first.

    Parameters
    ----------
    boost_cut_pa : array
        Gauge. [Pa] Valid 0 to 500e3.
    barometer_pa : array
        At the site. [Pa] Valid 50e3 to 110e3.
    range_pa : array
        Full scale, absolute. [Pa] Valid 50e3 to 1e6.

    Returns
    -------
    sensor_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (barometer_pa + boost_cut_pa) / range_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> sensor_use_at_cut(87e3, 100e3, 250e3)
    0.748
    """
    return (barometer_pa + boost_cut_pa) / range_pa


@valid(lambda_target=(0.5, 1.6), margin=(0.0, 0.3), leanest=(0.7, 1.2))
def lambda_cut(lambda_target: Array, margin: Array, leanest: Array) -> Array:
    """Lambda under boost at which a cut is to stand: a margin above the target, never leaner than the trade stops at.

    Parameters
    ----------
    lambda_target : array
        At full load. [1] Valid 0.5 to 1.6.
    margin : array
        Beyond it. [1] Valid 0 to 0.3.
    leanest : array
        At which a boosted engine is stopped in any case. [1] Valid 0.7 to 1.2.

    Returns
    -------
    lambda_cut : array
        Broadcast of the arguments. [1]

    Equation
    --------
    min(lambda_target + margin, leanest)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(lambda_cut(0.80, 0.06, 0.92)), 2)
    0.86
    """
    return np.minimum(np.add(lambda_target, margin), leanest)


@valid(pressure_difference_pa=(0.0, 1.2e6), sag_pa=(0.0, 100e3))
def fuel_pressure_cut(pressure_difference_pa: Array, sag_pa: Array) -> Array:
    """Pressure across the port injectors below which a cut is to stand.

    Parameters
    ----------
    pressure_difference_pa : array
        That the regulator keeps at this boost. [Pa] Valid 0 to 1.2e6.
    sag_pa : array
        Below it that the trade stops at. [Pa] Valid 0 to 100e3.

    Returns
    -------
    pressure_difference_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    pressure_difference_pa - sag_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> fuel_pressure_cut(300e3, 34e3)
    266000.0
    """
    return pressure_difference_pa - sag_pa


@valid(rail_pressure_pa=(1e6, 40e6), share_lost=(0.0, 0.9))
def rail_pressure_cut(rail_pressure_pa: Array, share_lost: Array) -> Array:
    """Rail pressure below which a cut is to stand.

    Parameters
    ----------
    rail_pressure_pa : array
        Asked for, gauge. [Pa] Valid 1e6 to 40e6.
    share_lost : array
        Of it that the trade stops at. [1] Valid 0 to 0.9.

    Returns
    -------
    rail_pressure_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    rail_pressure_pa * (1 - share_lost)

    Source
    ------
    memory

    Examples
    --------
    >>> rail_pressure_cut(15e6, 0.2)
    12000000.0
    """
    return rail_pressure_pa * (1.0 - share_lost)


@valid(speed_rad_s=(0.0, 2000.0), per_thousand_pa=(0.0, 200e3), idle_pa=(0.0, 200e3))
def oil_pressure_cut(speed_rad_s: Array, per_thousand_pa: Array, idle_pa: Array) -> Array:
    """Oil pressure, gauge, below which a cut is to stand at full load: so much for each thousand revolutions a minute.

    Parameters
    ----------
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    per_thousand_pa : array
        For each thousand revolutions a minute. [Pa] Valid 0 to 200e3.
    idle_pa : array
        Least, whatever the speed. [Pa] Valid 0 to 200e3.

    Returns
    -------
    oil_pressure_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    max(per_thousand_pa * speed_rad_s / (1000 * pi / 30), idle_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(oil_pressure_cut(7000 * np.pi / 30, 55e3, 100e3)))
    385000
    """
    return np.maximum(np.multiply(per_thousand_pa, speed_rad_s) / _THOUSAND, idle_pa)


@valid(charge_temperature_k=(230.0, 500.0), margin_k=(0.0, 60.0), hottest_k=(300.0, 420.0))
def charge_temperature_cut(charge_temperature_k: Array, margin_k: Array, hottest_k: Array) -> Array:
    """Charge temperature at which boost is to be taken back: above what a pull brings, never above the trade's limit.

    Parameters
    ----------
    charge_temperature_k : array
        At the end of a pull. [K] Valid 230 to 500.
    margin_k : array
        Above it. [K] Valid 0 to 60.
    hottest_k : array
        Where boost is taken back in any case. [K] Valid 300 to 420.

    Returns
    -------
    charge_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    min(charge_temperature_k + margin_k, hottest_k)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(charge_temperature_cut(318.15, 10.0, 340.15))
    328.15
    """
    return np.minimum(np.add(charge_temperature_k, margin_k), hottest_k)
