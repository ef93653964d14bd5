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
        Gauge to the barometer of the day, never below nil. [Pa]

    Equation
    --------
    max(0, boost_asked_pa + calibrated_barometer_pa - barometer_pa)

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
    return np.where(np.asarray(boost_asked_pa) > 0.0, np.maximum(asked, 0.0), 0.0)


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
