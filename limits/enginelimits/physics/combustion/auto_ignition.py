"""When the end gas would light itself: delay, its integral over the cycle, and the octane number that it asks for.

The delay is a fit to one engine.  On an end gas without heat loss the integral passes one in engines that run without
knock, so the value at which a class knocks is a matter of its calibration; trends hold better than values.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import STANDARD_PRESSURE

# Douaud, Eyzat 1978, from memory
DELAY_SCALE_S = 17.68e-3
OCTANE_EXPONENT = 3.402
PRESSURE_EXPONENT = 1.7
ACTIVATION_TEMPERATURE_K = 3800.0


@valid(octane=(60.0, 120.0), pressure_pa=(1e5, 2.5e7), unburned_temperature_k=(450.0, 1200.0))
def ignition_delay(octane: Array, pressure_pa: Array, unburned_temperature_k: Array) -> Array:
    """Time after which unburned charge held at one state lights itself.

    Parameters
    ----------
    octane : array
        Research octane number of the fuel. [1] Valid 60 to 120.
    pressure_pa : array
        Absolute. [Pa] Valid 1e5 to 2.5e7.
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 450 to 1200.

    Returns
    -------
    ignition_delay_s : array
        Broadcast of the arguments. [s]

    Equation
    --------
    17.68e-3 * (octane / 100)**3.402 * (pressure_pa / 101325)**-1.7 * exp(3800 / unburned_temperature_k)

    Source
    ------
    douaud-eyzat-1978, constants from memory

    Examples
    --------
    >>> round(float(ignition_delay(95.0, 60 * 101325.0, 850.0)) * 1e3, 4)
    1.2314
    """
    atmospheres = pressure_pa / STANDARD_PRESSURE
    octane_term = (np.asarray(octane) / 100.0) ** OCTANE_EXPONENT
    # both powers in one exponential
    logarithm = ACTIVATION_TEMPERATURE_K / np.asarray(unburned_temperature_k) - PRESSURE_EXPONENT * np.log(atmospheres)
    return DELAY_SCALE_S * octane_term * np.exp(logarithm)


@valid(
    octane=(60.0, 120.0),
    pressure_pa=(1e5, 2.5e7),
    unburned_temperature_k=(450.0, 1200.0),
    speed_rad_s=(20.0, 2000.0),
)
def ignition_progress_rate(
    octane: Array, pressure_pa: Array, unburned_temperature_k: Array, speed_rad_s: Array
) -> Array:
    """Part of its delay that the end gas uses up in one radian of crank angle.

    Parameters
    ----------
    octane : array
        Research octane number of the fuel. [1] Valid 60 to 120.
    pressure_pa : array
        Absolute. [Pa] Valid 1e5 to 2.5e7.
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 450 to 1200.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 20 to 2000.

    Returns
    -------
    progress_rate : array
        For each radian, broadcast of the arguments. [1]

    Equation
    --------
    scale = 17.68e-3 * (octane / 100)**3.402 * (pressure_pa / 101325)**-1.7
    1 / (scale * exp(3800 / unburned_temperature_k) * speed_rad_s)

    Source
    ------
    livengood-wu-1955; douaud-eyzat-1978, constants from memory

    Examples
    --------
    >>> round(float(ignition_progress_rate(95.0, 60 * 101325.0, 850.0, 200.0)), 2)
    4.06
    """
    return 1.0 / (ignition_delay(octane, pressure_pa, unburned_temperature_k) * speed_rad_s)


def ignition_progress(progress_rate: Array, crank_angle_rad: Array) -> Array:
    """How far the end gas has come towards lighting itself, at each crank angle.

    Parameters
    ----------
    progress_rate : array
        For each radian, crank angles last; nil where nothing is left unburned. [1]
    crank_angle_rad : array
        Rising, on the last axis. [rad]

    Returns
    -------
    progress : array
        Of the shape of the rate: nil at the first angle, the whole integral at the last. [1]

    Equation
    --------
    Solved: running integral of progress_rate over crank_angle_rad by the trapezium rule

    Source
    ------
    livengood-wu-1955

    Examples
    --------
    >>> ignition_progress(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 2.0])).tolist()
    [0.0, 0.5, 2.0]
    """
    rate, angle = np.broadcast_arrays(np.asarray(progress_rate, dtype=float), np.asarray(crank_angle_rad, dtype=float))
    progress = np.zeros(rate.shape)
    np.cumsum(0.5 * (rate[..., 1:] + rate[..., :-1]) * np.diff(angle, axis=-1), axis=-1, out=progress[..., 1:])
    return progress


@valid(integral_at_100=(0.0, 50.0), integral_at_knock=(0.2, 10.0))
def octane_for_integral(integral_at_100: Array, integral_at_knock: Array = 1.0) -> Array:
    """Octane number that just holds off self-ignition, from the integral that a fuel of 100 would come to.

    Parameters
    ----------
    integral_at_100 : array
        Of the progress rate at octane number 100, over the end gas's life. [1] Valid 0 to 50.
    integral_at_knock : array
        At which the class knocks; one by the definition of the delay. [1] Valid 0.2 to 10.

    Returns
    -------
    octane_required : array
        Broadcast of the arguments. [1]

    Equation
    --------
    100 * (integral_at_100 / integral_at_knock)**(1 / 3.402)

    Source
    ------
    livengood-wu-1955; douaud-eyzat-1978, exponent from memory

    Examples
    --------
    >>> float(octane_for_integral(1.0))
    100.0
    """
    return 100.0 * (np.asarray(integral_at_100) / integral_at_knock) ** (1.0 / OCTANE_EXPONENT)


@valid(octane=(60.0, 160.0), octane_required=(20.0, 200.0))
def knock_margin(octane: Array, octane_required: Array) -> Array:
    """Octane numbers to spare before the end gas lights itself; below nil they are short.

    Parameters
    ----------
    octane : array
        Research octane number of the fuel. [1] Valid 60 to 160.
    octane_required : array
        That just holds off self-ignition. [1] Valid 20 to 200.

    Returns
    -------
    knock_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    octane - octane_required

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(knock_margin(98.0, 95.5))
    2.5
    """
    return np.asarray(octane) - octane_required


@valid(octane=(60.0, 150.0), offset=(-40.0, 40.0), carried=(-20.0, 20.0), wanted_change=(-15.0, 5.0))
def octane_available(octane: Array, offset: Array, carried: Array, wanted_change: Array) -> Array:
    """Octane number that the fuel holds against knock in this engine, on the scale of the integral.

    Parameters
    ----------
    octane : array
        Of the fuel in this engine, beyond 100 by extrapolation. [1] Valid 60 to 150.
    offset : array
        Of the engine: what it gets along with better than the integral says. [1] Valid -40 to 40.
    carried : array
        What carrying that offset to other boost and fuel may be wrong by. [1] Valid -20 to 20.
    wanted_change : array
        Change of the octane wanted by humidity. [1] Valid -15 to 5.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    octane + offset + carried - wanted_change

    Source
    ------
    common-practice, one offset for an engine

    Examples
    --------
    >>> float(octane_available(99.0, 3.0, 0.0, -1.5))
    103.5
    """
    return np.asarray(octane) + offset + carried - np.asarray(wanted_change)


@valid(octane_required=(20.0, 200.0), octane=(60.0, 160.0))
def integral_at_octane(octane_required: Array, octane: Array) -> Array:
    """Auto-ignition integral with a given fuel: one at the knock limit.

    Parameters
    ----------
    octane_required : array
        At which the integral reaches one. [1] Valid 20 to 200.
    octane : array
        That the fuel holds. [1] Valid 60 to 160.

    Returns
    -------
    integral : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (octane_required / octane)**3.402

    Source
    ------
    livengood-wu-1955; douaud-eyzat-1978, exponent from memory

    Examples
    --------
    >>> round(float(integral_at_octane(100.0, 95.0)), 3)
    1.191
    """
    return (np.asarray(octane_required) / np.asarray(octane)) ** OCTANE_EXPONENT


@valid(
    prior=(-40.0, 40.0),
    octane_required_latest=(20.0, 200.0),
    octane_required_earliest=(20.0, 200.0),
    octane=(60.0, 150.0),
    unused_octane=(-30.0, 0.0),
)
def anchored_offset(
    prior: Array, octane_required_latest: Array, octane_required_earliest: Array, octane: Array, unused_octane: Array
) -> Array:
    """Octane offset of an engine, bounded by what its maker runs on the fuel that he asks for.

    At full load the factory burn is half done between two angles of the class. An offset so low that the engine could
    not be run even at the later one is raised to that bound; one so high that the engine would leave octane unused at
    the earlier one is lowered, but not far: a maker may well ask for more octane than full load uses. Power and torque
    cannot tell more: six degrees of retard cost about a hundredth.

    Parameters
    ----------
    prior : array
        Of the class. [1] Valid -40 to 40.
    octane_required_latest : array
        At the latest factory angle. [1] Valid 20 to 200.
    octane_required_earliest : array
        At the earliest. [1] Valid 20 to 200.
    octane : array
        Of the maker's fuel, beyond 100 by extrapolation. [1] Valid 60 to 150.
    unused_octane : array
        No offset is lowered beyond this for octane that is left unused. [1] Valid -30 to 0.

    Returns
    -------
    offset : array
        Broadcast of the arguments. [1]

    Equation
    --------
    highest = max(octane_required_earliest - octane, unused_octane)
    max(octane_required_latest - octane, min(prior, highest))

    Source
    ------
    own-computation

    Examples
    --------
    >>> [float(anchored_offset(0.0, late, late + 9.0, 95.0, -3.0)) for late in (92.0, 97.0, 70.0)]
    [0.0, 2.0, -3.0]
    """
    highest = np.maximum(np.asarray(octane_required_earliest) - octane, unused_octane)
    return np.maximum(np.asarray(octane_required_latest) - octane, np.minimum(prior, highest))


def knock_limited_boost(
    boost_pa: Array, margins: Array, exhaust_temperatures_k: Array, exhaust_limit_k: Array
) -> Array:
    """Greatest boost with octane numbers to spare and exhaust below its limit, from three boosts tried.

    Parameters
    ----------
    boost_pa : array
        The three boosts tried, gauge and rising, one axis. [Pa]
    margins : array
        Octane numbers to spare at each, boosts on the last axis; falling. [1]
    exhaust_temperatures_k : array
        At each, boosts on the last axis; rising. [K]
    exhaust_limit_k : array
        Limit of that temperature. [K]

    Returns
    -------
    boost_pa : array
        The last axis gone: the least tried where even that is too much, the greatest where nothing limits. [Pa]

    Equation
    --------
    Solved: parabolas over the logarithm of the absolute pressure, boost_pa on a standard atmosphere, in which both are
    nearly straight; the first at which margins fall to nil or exhaust_temperatures_k reach the limit

    Source
    ------
    own-computation

    Examples
    --------
    >>> boosts = np.array([0.0, 1e5, 2e5])
    >>> octane = 20.0 * np.log(2.0 / (1.0 + boosts / 101325.0))
    >>> float(round(knock_limited_boost(boosts, octane, np.full(3, 1100.0), 1223.15)))
    101325.0
    """
    room = np.asarray(exhaust_limit_k)[..., None] - np.asarray(exhaust_temperatures_k)
    return np.minimum(_falls_to_nil(boost_pa, np.asarray(margins)), _falls_to_nil(boost_pa, room))


def _falls_to_nil(boost_pa: Array, values: Array) -> Array:
    """Where the parabola through three falling values reaches nil; an end where it does not."""
    at = np.log1p(boost_pa / STANDARD_PRESSURE)
    first, second, third = values[..., 0], values[..., 1], values[..., 2]
    slope = (second - first) / (at[1] - at[0])
    bend = ((third - second) / (at[2] - at[1]) - slope) / (at[2] - at[0])
    fall = bend * (at[1] - at[0]) - slope  # at the least boost
    with np.errstate(invalid="ignore", divide="ignore"):
        root = np.sqrt(fall * fall - 4.0 * bend * first)
        step = 2.0 * first / (fall + root)
        reached = (first >= 0.0) & (step >= 0.0) & (step < at[2] - at[0])
        found = STANDARD_PRESSURE * np.expm1(at[0] + np.where(reached, step, 0.0))
    ends = np.where(first < 0.0, boost_pa[0], boost_pa[-1])
    return np.where(np.isfinite(values).all(axis=-1), np.where(reached, found, ends), np.nan)
