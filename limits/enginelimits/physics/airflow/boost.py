"""Boost over engine speed, and the exhaust pressure that goes with it, where no turbine is modelled."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# 19 to 1: the odds at which 95 % of the boost asked for is there.
LOG_ODDS = float(np.log(19.0))


@valid(
    boost_asked_pa=(0.0, 400e3),
    speed_rad_s=(0.0, 2000.0),
    threshold_rad_s=(50.0, 1500.0),
    width_rad_s=(1.0, 600.0),
)
def turbocharger_boost(
    boost_asked_pa: Array, speed_rad_s: Array, threshold_rad_s: Array, width_rad_s: Array
) -> Array:
    """Boost that a turbocharger has built up at full load, steady, as a smooth onset over speed.

    95 % of what is asked for is there at the threshold, 5 % at the threshold less the width.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge, asked for at this speed. [Pa] Valid 0 to 400e3.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    threshold_rad_s : array
        Speed that reaches 95 %. [rad/s] Valid 50 to 1500.
    width_rad_s : array
        From 5 to 95 %. [rad/s] Valid 1 to 600.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    onset = 1 / (1 + exp(-2.94444 * (1 + 2 * (speed_rad_s - threshold_rad_s) / width_rad_s)))
    boost_asked_pa * onset

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(turbocharger_boost(69e3, 350.0, 350.0, 120.0)))
    65550
    """
    # Half a hyperbolic tangent is the same curve and does not overflow far below the threshold.
    onset = 0.5 + 0.5 * np.tanh(0.5 * LOG_ODDS * (1.0 + 2.0 * (speed_rad_s - threshold_rad_s) / width_rad_s))
    return boost_asked_pa * onset


@valid(boost_asked_pa=(0.0, 400e3), speed_rad_s=(0.0, 2000.0), limiter_rad_s=(100.0, 2000.0))
def centrifugal_boost(boost_asked_pa: Array, speed_rad_s: Array, limiter_rad_s: Array) -> Array:
    """Boost of a belt-driven centrifugal compressor, pulleyed for its boost at the limiter.

    The pressure ratio less one follows the square of the speed, the engine swallowing in proportion to it.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge, at the limiter. [Pa] Valid 0 to 400e3.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    limiter_rad_s : array
        Speed at which that boost is there. [rad/s] Valid 100 to 2000.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    boost_asked_pa * (speed_rad_s / limiter_rad_s) ** 2

    Source
    ------
    common-practice

    Examples
    --------
    >>> centrifugal_boost(60e3, 350.0, 700.0)
    15000.0
    """
    return boost_asked_pa * (speed_rad_s / limiter_rad_s) ** 2


@valid(boost_asked_pa=(0.0, 400e3), speed_rad_s=(0.0, 2000.0))
def positive_displacement_boost(boost_asked_pa: Array, speed_rad_s: Array) -> Array:
    """Boost of a rotor blower: it moves a fixed volume a turn, so boost hardly depends on speed.

    Leakage lowers it at low speed and a bypass may; neither is taken off here: the heavy side for loads.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge. [Pa] Valid 0 to 400e3.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    boost_asked_pa + 0 * speed_rad_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(positive_displacement_boost(60e3, 350.0))
    60000.0
    """
    return boost_asked_pa + 0.0 * speed_rad_s


@valid(barometer_pa=(30e3, 110e3), boost_pa=(0.0, 400e3))
def manifold_pressure(barometer_pa: Array, boost_pa: Array) -> Array:
    """Absolute pressure in the manifold of a boosted engine.

    Parameters
    ----------
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    boost_pa : array
        Gauge to that barometer. [Pa] Valid 0 to 400e3.

    Returns
    -------
    manifold_pressure_pa : array
        Absolute, broadcast of the arguments. [Pa]

    Equation
    --------
    barometer_pa + boost_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> manifold_pressure(101325.0, 55158.0)
    156483.0
    """
    return barometer_pa + boost_pa


@valid(boost_pa=(0.0, 400e3), boost_asked_pa=(0.0, 400e3))
def boost_reach(boost_pa: Array, boost_asked_pa: Array) -> Array:
    """Boost delivered over boost asked for; not a number where none is asked for.

    Parameters
    ----------
    boost_pa : array
        Delivered, gauge. [Pa] Valid 0 to 400e3.
    boost_asked_pa : array
        Asked for, gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    boost_reach : array
        Broadcast of the arguments. [1]

    Equation
    --------
    boost_pa / boost_asked_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(boost_reach(47.5e3, 50e3)), 6)
    0.95
    """
    asked = np.asarray(boost_asked_pa, dtype=float)
    return boost_pa / np.where(asked > 0.0, asked, np.nan)


@valid(
    barometer_pa=(30e3, 110e3),
    after_turbine_loss_pa=(0.0, 100e3),
    boost_pa=(0.0, 400e3),
    drive_ratio=(0.0, 4.0),
)
def exhaust_pressure(
    barometer_pa: Array, after_turbine_loss_pa: Array, boost_pa: Array, drive_ratio: Array
) -> Array:
    """Pressure in the exhaust manifold, mean over the cycle, where no turbine is modelled.

    The drive ratio is what a gauge before the turbine shows over the boost gauge, so it holds what the pipe
    behind the turbine takes.  Where boost has not come in, that pipe alone is left.

    Parameters
    ----------
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    after_turbine_loss_pa : array
        Of pipe, catalyst and silencer, at this flow. [Pa] Valid 0 to 100e3.
    boost_pa : array
        Gauge. [Pa] Valid 0 to 400e3.
    drive_ratio : array
        Gauge before the turbine over gauge boost; 0 without a turbine. [1] Valid 0 to 4.

    Returns
    -------
    exhaust_pressure_pa : array
        Absolute, broadcast of the arguments. [Pa]

    Equation
    --------
    barometer_pa + max(after_turbine_loss_pa, drive_ratio * boost_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(exhaust_pressure(100e3, 15e3, 60e3, 1.5)), float(exhaust_pressure(100e3, 15e3, 0.0, 1.5))
    (190000.0, 115000.0)
    """
    return barometer_pa + np.maximum(after_turbine_loss_pa, drive_ratio * boost_pa)


@valid(
    exhaust_pressure_pa=(30e3, 900e3),
    barometer_pa=(30e3, 110e3),
    boost_pa=(0.0, 400e3),
    greatest_boost_asked_pa=(0.0, 400e3),
)
def drive_pressure_ratio(
    exhaust_pressure_pa: Array, barometer_pa: Array, boost_pa: Array, greatest_boost_asked_pa: Array
) -> Array:
    """Turbine-inlet gauge over manifold gauge, as a gauge before the turbine shows it.

    Not a number where boost is below half the greatest asked for or below 20 kPa: the ratio of two small
    pressures says nothing about the turbine.

    Parameters
    ----------
    exhaust_pressure_pa : array
        Before the turbine, absolute. [Pa] Valid 30e3 to 900e3.
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    boost_pa : array
        Gauge. [Pa] Valid 0 to 400e3.
    greatest_boost_asked_pa : array
        Over all speeds, gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    drive_pressure_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    telling = boost_pa >= max(20000, greatest_boost_asked_pa / 2)
    (exhaust_pressure_pa - barometer_pa) / where(telling, boost_pa, 0)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(drive_pressure_ratio(225.4e3, 101.3e3, 68.95e3, 68.95e3)), 2)
    1.8
    """
    telling = (boost_pa >= 0.5 * greatest_boost_asked_pa) & (boost_pa >= 20e3)
    return (exhaust_pressure_pa - barometer_pa) / np.where(telling, boost_pa, np.nan)


@valid(exhaust_pressure_pa=(30e3, 900e3), manifold_pressure_pa=(20e3, 600e3))
def exhaust_pressure_ratio(exhaust_pressure_pa: Array, manifold_pressure_pa: Array) -> Array:
    """Exhaust over intake pressure, both absolute.

    Parameters
    ----------
    exhaust_pressure_pa : array
        Absolute. [Pa] Valid 30e3 to 900e3.
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.

    Returns
    -------
    exhaust_pressure_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    exhaust_pressure_pa / manifold_pressure_pa

    Source
    ------
    heywood-1988, sec. 6.2

    Examples
    --------
    >>> round(float(exhaust_pressure_ratio(225.4e3, 170.2e3)), 2)
    1.32
    """
    return exhaust_pressure_pa / manifold_pressure_pa


@valid(exhaust_pressure_pa=(30e3, 900e3), manifold_pressure_pa=(20e3, 600e3))
def pumping_mean_effective_pressure(exhaust_pressure_pa: Array, manifold_pressure_pa: Array) -> Array:
    """Work of the gas exchange loop over displacement, for valves that take no pressure; negative is gained.

    Parameters
    ----------
    exhaust_pressure_pa : array
        Absolute. [Pa] Valid 30e3 to 900e3.
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.

    Returns
    -------
    pumping_mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    exhaust_pressure_pa - manifold_pressure_pa

    Source
    ------
    heywood-1988, ch. 5

    Examples
    --------
    >>> pumping_mean_effective_pressure(205e3, 160e3)
    45000.0
    """
    return exhaust_pressure_pa - manifold_pressure_pa


@valid(exhaust_pressure_ratio=(0.2, 4.0), compression_ratio=(6.0, 20.0), heat_capacity_ratio=(1.2, 1.45))
def back_pressure_factor(
    exhaust_pressure_ratio: Array, compression_ratio: Array, heat_capacity_ratio: Array = 1.3
) -> Array:
    """What exhaust at another pressure than the intake does to volumetric efficiency; 1 at equal pressures.

    Residual left at exhaust pressure expands into the intake stroke and displaces fresh charge.

    Parameters
    ----------
    exhaust_pressure_ratio : array
        Exhaust over intake pressure, absolute. [1] Valid 0.2 to 4.
    compression_ratio : array
        Geometric. [1] Valid 6 to 20.
    heat_capacity_ratio : array
        Of the burned gas. [1] Valid 1.2 to 1.45.

    Returns
    -------
    back_pressure_factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    1 - (exhaust_pressure_ratio - 1) / (heat_capacity_ratio * (compression_ratio - 1))

    Source
    ------
    heywood-1988, eq. 6.2, over its value at equal pressures

    Examples
    --------
    >>> round(float(back_pressure_factor(1.3, 11.0)), 4)
    0.9769
    """
    return 1.0 - (exhaust_pressure_ratio - 1.0) / (heat_capacity_ratio * (compression_ratio - 1.0))


class BoostMade(NamedTuple):
    """The greatest boost, and the lowest speed at which nearly all of it is there."""

    boost_pa: Array
    speed_rad_s: Array


@valid(boost_pa=(0.0, 400e3), speed_rad_s=(0.0, 2000.0), share=(0.8, 1.0))
def greatest_boost_made(boost_pa: Array, speed_rad_s: Array, share: Array = 0.98) -> BoostMade:
    """Greatest boost over the speed range, and the lowest speed at which nearly all of it is there.

    Parameters
    ----------
    boost_pa : array
        Delivered, gauge, speeds on the last axis. [Pa] Valid 0 to 400e3.
    speed_rad_s : array
        Crankshaft, rising, on the last axis. [rad/s] Valid 0 to 2000.
    share : array
        Of the greatest, that counts as there. [1] Valid 0.8 to 1.

    Returns
    -------
    boost_pa, speed_rad_s : array
        The speed axis kept, of length one; the speed is one of the given. [Pa], [rad/s]

    Equation
    --------
    Solved: the greatest of boost_pa over all speeds, and the first speed_rad_s at which boost_pa is share of it

    Source
    ------
    own-computation

    Examples
    --------
    >>> most, at = greatest_boost_made(np.array([30e3, 68.5e3, 69e3, 62e3]), np.array([200.0, 300.0, 400.0, 500.0]))
    >>> float(most[0]), float(at[0])
    (69000.0, 300.0)
    """
    boost, speed = np.broadcast_arrays(np.asarray(boost_pa, dtype=float), speed_rad_s)
    most = np.max(boost, axis=-1, keepdims=True)
    first = np.argmax(boost >= np.asarray(share) * most, axis=-1)[..., None]
    return BoostMade(most, np.take_along_axis(speed, first, axis=-1))
