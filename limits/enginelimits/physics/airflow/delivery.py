"""What reaches the manifold: the lesser of boost asked for and boost available, and an engine without either."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(boost_asked_pa=(0.0, 400e3))
def greatest_boost_asked(boost_asked_pa: Array) -> Array:
    """Greatest boost asked for over the speed range.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge, speeds on the last axis. [Pa] Valid 0 to 400e3.

    Returns
    -------
    boost_pa : array
        The speed axis kept, of length one. [Pa]

    Equation
    --------
    Solved: the greatest of boost_asked_pa over all speeds

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(greatest_boost_asked(np.array([30e3, 69e3, 62e3]))[0])
    69000.0
    """
    return np.max(np.asarray(boost_asked_pa, dtype=float), axis=-1, keepdims=True)


@valid(boost_asked_pa=(0.0, 400e3), boost_available_pa=(0.0, 400e3))
def boost_delivered(boost_asked_pa: Array, boost_available_pa: Array) -> Array:
    """Boost at the manifold: what is asked for, as far as the machine makes it at this speed.

    Parameters
    ----------
    boost_asked_pa : array
        Gauge. [Pa] Valid 0 to 400e3.
    boost_available_pa : array
        What the machine could make there, gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    min(boost_asked_pa, boost_available_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_delivered(55e3, 20e3))
    20000.0
    """
    return np.minimum(boost_asked_pa, boost_available_pa)


@valid(barometer_pa=(50e3, 110e3))
def boost_without_compressor(barometer_pa: Array) -> Array:
    """Boost of an engine that breathes by itself: none.

    Parameters
    ----------
    barometer_pa : array
        Outside pressure; gives the shape. [Pa] Valid 50e3 to 110e3.

    Returns
    -------
    boost_pa : array
        Zeros in the shape of the argument. [Pa]

    Equation
    --------
    0 * barometer_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_without_compressor(101325.0))
    0.0
    """
    return 0.0 * barometer_pa


@valid(air_temperature_k=(220.0, 340.0))
def manifold_temperature_without_compressor(air_temperature_k: Array) -> Array:
    """Manifold temperature of an engine that breathes outside air; port and cylinder heat it later.

    Parameters
    ----------
    air_temperature_k : array
        Outside air. [K] Valid 220 to 340.

    Returns
    -------
    manifold_temperature_k : array
        In the shape of the argument. [K]

    Equation
    --------
    air_temperature_k

    Source
    ------
    common-practice

    Examples
    --------
    >>> manifold_temperature_without_compressor(298.15)
    298.15
    """
    return air_temperature_k


@valid(
    class_curve=(0.3, 1.4),
    class_factor=(0.6, 1.4),
    back_pressure_factor=(0.5, 1.3),
    cooling_gain=(0.8, 1.2),
    tuning_kept=(0.7, 1.1),
)
def volumetric_efficiency_of_class(
    class_curve: Array,
    class_factor: Array,
    back_pressure_factor: Array,
    cooling_gain: Array = 1.0,
    tuning_kept: Array = 1.0,
) -> Array:
    """Volumetric efficiency of manifold density, from the class curve and the exhaust pressure.

    Parameters
    ----------
    class_curve : array
        Of the class at this speed. [1] Valid 0.3 to 1.4.
    class_factor : array
        How this engine differs from its class. [1] Valid 0.6 to 1.4.
    back_pressure_factor : array
        What exhaust pressure takes or gives. [1] Valid 0.5 to 1.3.
    cooling_gain : array
        What a fuel that cools more than gasoline gives. [1] Valid 0.8 to 1.2.
    tuning_kept : array
        What a turbine leaves of the filling by exhaust tuning. [1] Valid 0.7 to 1.1.

    Returns
    -------
    volumetric_efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    class_curve * class_factor * back_pressure_factor * cooling_gain * tuning_kept

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(volumetric_efficiency_of_class(0.98, 1.0, 0.97), 4)
    0.9506
    """
    return class_curve * class_factor * back_pressure_factor * cooling_gain * tuning_kept


@valid(boost_pa=(0.0, 400e3), speed_rad_s=(0.0, 2000.0))
def boost_asked(boost_pa: Array, speed_rad_s: Array) -> Array:
    """Boost asked for at each speed, whether one figure was given or a curve.

    Parameters
    ----------
    boost_pa : array
        As asked for, gauge; speeds on the last axis where it is a curve. [Pa] Valid 0 to 400e3.
    speed_rad_s : array
        Crankshaft speeds; gives the shape. [rad/s] Valid 0 to 2000.

    Returns
    -------
    boost_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    boost_pa + 0 * speed_rad_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> boost_asked(69e3, np.array([200.0, 300.0])).tolist()
    [69000.0, 69000.0]
    """
    return boost_pa + 0.0 * speed_rad_s


@valid(loss_at_rated_pa=(0.0, 150e3), speed_rad_s=(0.0, 2000.0), rated_speed_rad_s=(100.0, 2000.0))
def loss_at_speed(loss_at_rated_pa: Array, speed_rad_s: Array, rated_speed_rad_s: Array) -> Array:
    """Pressure lost in a pipe, core or filter at another speed than that of its rating.

    The loss follows the square of the flow, and flow at full load follows speed.

    Parameters
    ----------
    loss_at_rated_pa : array
        At the rated speed. [Pa] Valid 0 to 150e3.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 0 to 2000.
    rated_speed_rad_s : array
        Speed at which the loss is known, about the power peak. [rad/s] Valid 100 to 2000.

    Returns
    -------
    loss_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    loss_at_rated_pa * (speed_rad_s / rated_speed_rad_s)**2

    Source
    ------
    common-practice

    Examples
    --------
    >>> loss_at_speed(20e3, 350.0, 700.0)
    5000.0
    """
    return loss_at_rated_pa * (speed_rad_s / rated_speed_rad_s) ** 2


@valid(efficiency=(0.3, 0.9))
def compressor_efficiency_as_given(efficiency: Array) -> Array:
    """Compressor efficiency where no map is at hand: the one given or that of the class, at every speed.

    Parameters
    ----------
    efficiency : array
        Isentropic, at the power peak. [1] Valid 0.3 to 0.9.

    Returns
    -------
    efficiency : array
        In the shape of the argument. [1]

    Equation
    --------
    efficiency

    Source
    ------
    common-practice

    Examples
    --------
    >>> compressor_efficiency_as_given(0.71)
    0.71
    """
    return efficiency


@valid(power_w=(0.0, 500e3), ribs=(1.0, 20.0))
def power_per_rib(power_w: Array, ribs: Array) -> Array:
    """Drive power of a ribbed belt over its ribs.

    Parameters
    ----------
    power_w : array
        Taken from the crank. [W] Valid 0 to 500e3.
    ribs : array
        Ribs of the belt. [1] Valid 1 to 20.

    Returns
    -------
    power_w : array
        Per rib. [W]

    Equation
    --------
    power_w / ribs

    Source
    ------
    common-practice

    Examples
    --------
    >>> power_per_rib(18e3, 6)
    3000.0
    """
    return power_w / ribs


@valid(barometer_pa=(30e3, 110e3), exhaust_loss_pa=(0.0, 150e3))
def exhaust_pressure_without_turbine(barometer_pa: Array, exhaust_loss_pa: Array) -> Array:
    """Pressure in the exhaust manifold of an engine with nothing but pipe, catalyst and silencer behind it.

    Parameters
    ----------
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    exhaust_loss_pa : array
        Of pipe, catalyst and silencer, at this flow. [Pa] Valid 0 to 150e3.

    Returns
    -------
    exhaust_pressure_pa : array
        Absolute, broadcast of the arguments. [Pa]

    Equation
    --------
    barometer_pa + exhaust_loss_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> exhaust_pressure_without_turbine(100e3, 14e3)
    114000.0
    """
    return barometer_pa + exhaust_loss_pa


@valid(
    scale_at_torque=(0.5, 1.5),
    scale_at_power=(0.5, 1.5),
    speed_rad_s=(0.0, 2000.0),
    torque_speed_rad_s=(50.0, 2000.0),
    power_speed_rad_s=(50.0, 2000.0),
)
def anchor_scale_over_speed(
    scale_at_torque: Array,
    scale_at_power: Array,
    speed_rad_s: Array,
    torque_speed_rad_s: Array,
    power_speed_rad_s: Array,
) -> Array:
    """What the maker's figures ask of the class's filling at each speed, from what they ask at their own two.

    Parameters
    ----------
    scale_at_torque : array
        Scale at which the maker's torque comes out. [1] Valid 0.5 to 1.5.
    scale_at_power : array
        Scale at which the maker's power comes out. [1] Valid 0.5 to 1.5.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 0 to 2000.
    torque_speed_rad_s : array
        Speed of the maker's torque. [rad/s] Valid 50 to 2000.
    power_speed_rad_s : array
        Speed of the maker's power. [rad/s] Valid 50 to 2000.

    Returns
    -------
    scale : array
        Broadcast of the arguments; constant beyond the two speeds. [1]

    Equation
    --------
    Solved: linear between scale_at_torque at torque_speed_rad_s and scale_at_power at power_speed_rad_s, constant
    beyond; where both speeds are one, the scale at torque

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(anchor_scale_over_speed(1.0, 1.1, 550.0, 450.0, 650.0)), 6)
    1.05
    """
    span = np.asarray(power_speed_rad_s - torque_speed_rad_s, dtype=float)
    share = np.where(span == 0.0, 0.0, (speed_rad_s - torque_speed_rad_s) / np.where(span == 0.0, 1.0, span))
    share = np.clip(share, 0.0, 1.0)
    return scale_at_torque * (1.0 - share) + scale_at_power * share


@valid(scale=(0.5, 1.5))
def bounded_anchor(scale: Array) -> Array:
    """The scale within what a class can be wrong by; beyond it figures and geometry disagree, and a rule says so.

    Parameters
    ----------
    scale : array
        What the maker's figures ask of the class's filling. [1] Valid 0.5 to 1.5.

    Returns
    -------
    factor : array
        In the shape of the argument. [1]

    Equation
    --------
    min(max(scale, 0.75), 1.15)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(bounded_anchor(1.2)), float(bounded_anchor(0.9))
    (1.15, 0.9)
    """
    return np.clip(scale, 0.75, 1.15)


@valid(class_curve=(0.3, 1.4), class_factor=(0.6, 1.4), tuning_kept=(0.7, 1.1))
def filling_of_class(class_curve: Array, class_factor: Array, tuning_kept: Array) -> Array:
    """Volumetric efficiency of manifold density with no more pressure in the exhaust than in the manifold.

    Parameters
    ----------
    class_curve : array
        Of the class at this speed. [1] Valid 0.3 to 1.4.
    class_factor : array
        How this engine differs from its class. [1] Valid 0.6 to 1.4.
    tuning_kept : array
        What a turbine leaves of the filling by exhaust tuning. [1] Valid 0.7 to 1.1.

    Returns
    -------
    volumetric_efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    class_curve * class_factor * tuning_kept

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(filling_of_class(0.98, 1.05, 0.95)), 3)
    0.978
    """
    return class_curve * np.asarray(class_factor) * tuning_kept
