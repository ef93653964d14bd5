"""What gate spring and controller make of the boost that is asked for, and of another barometer."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(boost_asked_pa=(0.0, 400e3), barometer_pa=(30e3, 110e3), calibrated_barometer_pa=(30e3, 110e3))
def boost_asked_absolute(boost_asked_pa: Array, barometer_pa: Array, calibrated_barometer_pa: Array) -> Array:
    """Gauge boost that a controller asks for which holds manifold pressure absolute, away from where it was set.

    One that holds gauge asks for the same boost everywhere, as does a spring; its manifold pressure falls with the
    barometer, this one's does not.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge, where it was calibrated. [Pa] Valid 0 to 400e3.
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    calibrated_barometer_pa : array
        Outside pressure where it was calibrated. [Pa] Valid 30e3 to 110e3.

    Returns
    -------
    boost_pa : array
        Gauge to the barometer of the day, never below nil, and nil where none is asked for. [Pa]

    Equation
    --------
    where(boost_asked_pa <= 0, 0, max(0, boost_asked_pa + calibrated_barometer_pa - barometer_pa))

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_asked_absolute(60e3, 85e3, 100e3))
    75000.0
    """
    asked = np.asarray(boost_asked_pa, dtype=float) + calibrated_barometer_pa - barometer_pa
    # No controller asks for a throttled manifold to keep full-load pressure down.
    return np.where(np.asarray(boost_asked_pa) <= 0.0, 0.0, np.maximum(asked, 0.0))


@valid(boost_asked_pa=(0.0, 400e3), spring_pa=(0.0, 250e3))
def boost_above_spring(boost_asked_pa: Array, spring_pa: Array) -> Array:
    """Boost that a spring-loaded gate can be told to hold: control adds to its spring and cannot go below it.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge. [Pa] Valid 0 to 400e3.
    spring_pa : array
        At which the gate opens by its spring alone, gauge. [Pa] Valid 0 to 250e3.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    max(boost_asked_pa, spring_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_above_spring(28e3, 48e3)), float(boost_above_spring(69e3, 48e3))
    (48000.0, 69000.0)
    """
    return np.maximum(boost_asked_pa, spring_pa)


@valid(spring_pa=(0.0, 250e3), boost_available_pa=(0.0, 400e3), least_boost_pa=(0.0, 400e3))
def spring_boost(spring_pa: Array, boost_available_pa: Array, least_boost_pa: Array) -> Array:
    """Boost with control off: the spring's, unless less is there or the open gate leaves more.

    Parameters
    ----------
    spring_pa : array
        At which the gate opens, gauge. [Pa] Valid 0 to 250e3.
    boost_available_pa : array
        With the gate shut, gauge. [Pa] Valid 0 to 400e3.
    least_boost_pa : array
        With the gate wide open, gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    min(boost_available_pa, max(spring_pa, least_boost_pa))

    Source
    ------
    common-practice

    Examples
    --------
    >>> spring_boost(48e3, np.array([30e3, 200e3, 300e3]), np.array([2e3, 10e3, 62e3])).tolist()
    [30000.0, 48000.0, 62000.0]
    """
    return np.minimum(boost_available_pa, np.maximum(spring_pa, least_boost_pa))


@valid(class_overshoot_pa=(0.0, 60e3), boost_pa=(0.0, 400e3), boost_available_pa=(0.0, 400e3))
def boost_overshoot(class_overshoot_pa: Array, boost_pa: Array, boost_available_pa: Array) -> Array:
    """Boost beyond what is held, for the moment in which the gate comes open; never past what the turbine has.

    Parameters
    ----------
    class_overshoot_pa : array
        Of this kind of control. [Pa] Valid 0 to 60e3.
    boost_pa : array
        Held in steady running, gauge. [Pa] Valid 0 to 400e3.
    boost_available_pa : array
        With the gate shut, gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    boost_overshoot_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    max(0, min(class_overshoot_pa, boost_available_pa - boost_pa))

    Source
    ------
    common-practice

    Examples
    --------
    >>> boost_overshoot(7e3, 69e3, np.array([60e3, 72e3, 150e3])).tolist()
    [0.0, 3000.0, 7000.0]
    """
    room = np.asarray(boost_available_pa, dtype=float) - boost_pa
    return np.maximum(0.0, np.minimum(class_overshoot_pa, room))


@valid(altitude_m=(-500.0, 5000.0), calibrated_altitude_m=(-500.0, 5000.0))
def altitude_above_calibrated(altitude_m: Array, calibrated_altitude_m: Array) -> Array:
    """How much higher the car is driven than it was calibrated.

    Parameters
    ----------
    altitude_m : array
        Where it is driven. [m] Valid -500 to 5000.
    calibrated_altitude_m : array
        Where it was calibrated. [m] Valid -500 to 5000.

    Returns
    -------
    difference_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    max(altitude_m - calibrated_altitude_m, 0)

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(altitude_above_calibrated(1500.0, 200.0))
    1300.0
    """
    return np.maximum(np.asarray(altitude_m) - calibrated_altitude_m, 0.0)


@valid(air_temperature_k=(220.0, 340.0), calibrated_temperature_k=(220.0, 340.0))
def heat_above_calibrated(air_temperature_k: Array, calibrated_temperature_k: Array) -> Array:
    """How much hotter the air is than it was at calibration.

    Parameters
    ----------
    air_temperature_k : array
        Of the day. [K] Valid 220 to 340.
    calibrated_temperature_k : array
        Of the day of calibration. [K] Valid 220 to 340.

    Returns
    -------
    difference_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    max(air_temperature_k - calibrated_temperature_k, 0)

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(heat_above_calibrated(308.0, 293.0))
    15.0
    """
    return np.maximum(np.asarray(air_temperature_k) - calibrated_temperature_k, 0.0)


@valid(class_overshoot_pa=(0.0, 60000.0), boost_pa=(-100000.0, 400000.0), boost_asked_pa=(0.0, 400000.0))
def overshoot_where_held(class_overshoot_pa: Array, boost_pa: Array, boost_asked_pa: Array) -> Array:
    """Overshoot where the boost asked for is there and held, of a machine that is taken to have more to give.

    Parameters
    ----------
    class_overshoot_pa : array
        Of this kind of control. [Pa] Valid 0 to 60000.
    boost_pa : array
        Delivered, gauge. [Pa] Valid -100000 to 400000.
    boost_asked_pa : array
        Asked for, gauge. [Pa] Valid 0 to 400000.

    Returns
    -------
    overshoot_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    where(boost_pa < 0.99 * boost_asked_pa, 0, class_overshoot_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> [float(overshoot_where_held(8e3, b, 50e3)) for b in (30e3, 50e3)]
    [0.0, 8000.0]
    """
    short = np.asarray(boost_pa) - 0.99 * np.asarray(boost_asked_pa)
    return np.where(short < 0.0, 0.0, np.where(np.isnan(short), np.nan, class_overshoot_pa))


@valid(boost_available_pa=(-1e5, 400e3), boost_asked_pa=(0.0, 400e3))
def boost_beyond_asked(boost_available_pa: Array, boost_asked_pa: Array) -> Array:
    """Boost beyond what is asked for that nothing holds back: a belt has no gate, and a gate's spring no less.

    Parameters
    ----------
    boost_available_pa : array
        That the machine makes, or its gate's spring holds, gauge. [Pa] Valid -100000 to 400000.
    boost_asked_pa : array
        Gauge. [Pa] Valid 0 to 400000.

    Returns
    -------
    boost_beyond_asked_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    max(0, boost_available_pa - boost_asked_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_beyond_asked(62e3, 55e3))
    7000.0
    """
    return np.maximum(0.0, np.asarray(boost_available_pa, dtype=float) - boost_asked_pa)
