"""What a radiator or oil cooler sheds in the air it gets, and the coolant temperature that comes of it."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.roots import bracketed_root
from enginelimits.physics.numerics.validity import valid
from enginelimits.physics.support.heat import cross_flow_effectiveness
from enginelimits.units.constants import STANDARD_PRESSURE

_RATED_AIR = 298.15  # K; ratings of cores are stated for air near this


@valid(
    road_speed_m_s=(0.0, 120.0),
    rated_road_speed_m_s=(0.0, 120.0),
    fan_speed_m_s=(1.0, 40.0),
    barometer_pa=(50e3, 110e3),
    air_temperature_k=(230.0, 330.0),
    taken_share=(0.0, 0.9),
)
def air_flow_ratio(
    road_speed_m_s: Array,
    rated_road_speed_m_s: Array,
    fan_speed_m_s: Array,
    barometer_pa: Array,
    air_temperature_k: Array,
    taken_share: Array,
) -> Array:
    """Mass flow of air through a core over that of its rating.

    Flow goes with road speed; a fan counts as a road speed of its own, and squares add, as pressures do.

    Parameters
    ----------
    road_speed_m_s : array
        Mean of the use. [m/s] Valid 0 to 120.
    rated_road_speed_m_s : array
        At which its heat is stated. [m/s] Valid 0 to 120.
    fan_speed_m_s : array
        Road speed that moves as much air as the fan does. [m/s] Valid 1 to 40.
    barometer_pa : array
        At the site. [Pa] Valid 50e3 to 110e3.
    air_temperature_k : array
        Outside. [K] Valid 230 to 330.
    taken_share : array
        Of the air, by what stands in front. [1] Valid 0 to 0.9.

    Returns
    -------
    air_flow_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    moved = sqrt((road_speed_m_s**2 + fan_speed_m_s**2) / (rated_road_speed_m_s**2 + fan_speed_m_s**2))
    moved * barometer_pa / 101325 * 298.15 / air_temperature_k * (1 - taken_share)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(air_flow_ratio(27.78, 27.78, 10.0, 101325.0, 298.15, 0.15)), 2)
    0.85
    """
    fan = np.asarray(fan_speed_m_s)
    moved = np.hypot(road_speed_m_s, fan) / np.hypot(rated_road_speed_m_s, fan)
    density = barometer_pa / STANDARD_PRESSURE * _RATED_AIR / np.asarray(air_temperature_k)
    return moved * density * (1.0 - np.asarray(taken_share))


@valid(effectiveness=(0.05, 0.85), capacity_ratio=(0.0, 1.0))
def cross_flow_transfer_units(effectiveness: Array, capacity_ratio: Array) -> Array:
    """Transfer units at which a cross-flow core has an effectiveness.

    Parameters
    ----------
    effectiveness : array
        Of the stream of the smaller capacity rate. [1] Valid 0.05 to 0.85.
    capacity_ratio : array
        Smaller over larger capacity rate. [1] Valid 0 to 1.

    Returns
    -------
    transfer_units : array
        Broadcast of the arguments; not a number where no core of ten transfer units reaches it. [1]

    Equation
    --------
    Solved: cross_flow_effectiveness at capacity_ratio equals effectiveness

    Source
    ------
    kays-london-1984, ch. 2

    Examples
    --------
    >>> round(float(cross_flow_transfer_units(0.5475, 0.5)), 3)
    1.0
    """
    wanted, ratio = np.broadcast_arrays(
        np.asarray(effectiveness, dtype=float), np.asarray(capacity_ratio, dtype=float)
    )
    return bracketed_root(
        lambda units: cross_flow_effectiveness(units, ratio) - wanted, np.full(wanted.shape, 1e-6), 10.0, tolerance=1e-9
    ).root[()]


@valid(
    rated_heat_w=(100.0, 1e6),
    effectiveness=(0.05, 0.85),
    capacity_ratio=(0.0, 1.0),
    conductance_exponent=(0.0, 1.0),
    air_flow_ratio=(0.05, 5.0),
)
def heat_at_air_flow(
    rated_heat_w: Array,
    effectiveness: Array,
    capacity_ratio: Array,
    conductance_exponent: Array,
    air_flow_ratio: Array,
) -> Array:
    """Heat that a core gives off at its rated difference of temperature, in more or less air than that of its rating.

    By effectiveness and transfer units, both streams unmixed, the other stream unchanged.

    Parameters
    ----------
    rated_heat_w : array
        Given off at the rated difference, in the rated air. [W] Valid 100 to 1e6.
    effectiveness : array
        Of the air side in the rated air. [1] Valid 0.05 to 0.85.
    capacity_ratio : array
        Capacity rate of the rated air over that of the other stream. [1] Valid 0 to 1.
    conductance_exponent : array
        Power of the air flow with which the conductance grows. [1] Valid 0 to 1.
    air_flow_ratio : array
        Air over that of the rating. [1] Valid 0.05 to 5.

    Returns
    -------
    heat_w : array
        At the rated difference. [W]

    Equation
    --------
    Solved: rated_heat_w * air_flow_ratio * (effectiveness in this air) / effectiveness; transfer units follow from
    effectiveness at capacity_ratio and grow with air_flow_ratio**(conductance_exponent - 1)

    Source
    ------
    kays-london-1984, ch. 2

    Examples
    --------
    >>> round(float(heat_at_air_flow(60e3, 0.58, 0.22, 0.5, 1.0)))
    60000
    >>> round(float(heat_at_air_flow(60e3, 0.58, 0.22, 0.5, 0.85)), -3)
    54000.0
    """
    units = cross_flow_transfer_units(effectiveness, capacity_ratio)
    flow = np.asarray(air_flow_ratio, dtype=float)
    there = cross_flow_effectiveness(
        units * flow ** (np.asarray(conductance_exponent) - 1.0), np.asarray(capacity_ratio) * flow
    )
    return rated_heat_w * flow * there / np.asarray(effectiveness)


@valid(
    air_temperature_k=(230.0, 330.0),
    charge_cooler_heat_w=(-2e4, 2e5),
    heat_share=(0.0, 1.0),
    rated_heat_w=(1e3, 1e6),
    at_difference_k=(5.0, 120.0),
    effectiveness=(0.05, 0.85),
    air_flow_ratio=(0.05, 5.0),
)
def face_temperature(
    air_temperature_k: Array,
    charge_cooler_heat_w: Array,
    heat_share: Array,
    rated_heat_w: Array,
    at_difference_k: Array,
    effectiveness: Array,
    air_flow_ratio: Array,
) -> Array:
    """Air at the face of the radiator, warmed by the charge cooler in front.

    Parameters
    ----------
    air_temperature_k : array
        Outside. [K] Valid 230 to 330.
    charge_cooler_heat_w : array
        Mean of the use. [W] Valid -2e4 to 2e5.
    heat_share : array
        Part of it that reaches the radiator's air. [1] Valid 0 to 1.
    rated_heat_w : array
        Of the radiator. [W] Valid 1e3 to 1e6.
    at_difference_k : array
        Difference of its rating. [K] Valid 5 to 120.
    effectiveness : array
        Of its air side in the rated air. [1] Valid 0.05 to 0.85.
    air_flow_ratio : array
        Air over that of the rating. [1] Valid 0.05 to 5.

    Returns
    -------
    face_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    capacity_rate = air_flow_ratio * rated_heat_w / (at_difference_k * effectiveness)
    air_temperature_k + heat_share * charge_cooler_heat_w / capacity_rate

    Source
    ------
    kays-london-1984, definition of effectiveness, air having the smaller capacity rate

    Examples
    --------
    >>> round(float(face_temperature(308.15, 8e3, 0.7, 80e3, 60.0, 0.58, 0.85) - 308.15), 1)
    2.9
    """
    capacity_rate = air_flow_ratio * np.asarray(rated_heat_w) / (at_difference_k * np.asarray(effectiveness))
    return air_temperature_k + heat_share * np.asarray(charge_cooler_heat_w) / capacity_rate


@valid(face_temperature_k=(230.0, 400.0), difference_k=(0.0, 1000.0), thermostat_k=(330.0, 400.0))
def coolant_temperature(face_temperature_k: Array, difference_k: Array, thermostat_k: Array) -> Array:
    """Coolant as it leaves the engine when the use has lasted: held by the thermostat, else what the radiator needs.

    Parameters
    ----------
    face_temperature_k : array
        Air at the radiator. [K] Valid 230 to 400.
    difference_k : array
        Coolant over that air at which the heat is given off. [K] Valid 0 to 1000.
    thermostat_k : array
        At which it is fully open. [K] Valid 330 to 400.

    Returns
    -------
    coolant_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    max(thermostat_k, face_temperature_k + difference_k)

    Source
    ------
    kays-london-1984, ch. 2, heat in proportion to the difference at the inlets

    Examples
    --------
    >>> float(coolant_temperature(310.0, 70.0, 368.0))
    380.0
    """
    return np.maximum(thermostat_k, face_temperature_k + np.asarray(difference_k))


def front_cooler_rise(with_cooler_k: Array, without_cooler_k: Array) -> Array:
    """How much hotter the coolant is for the charge cooler in front.

    Parameters
    ----------
    with_cooler_k : array
        Coolant, air taken and warmed in front. [K]
    without_cooler_k : array
        Coolant at the same heat with nothing in front. [K]

    Returns
    -------
    front_cooler_rise_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    with_cooler_k - without_cooler_k

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(front_cooler_rise(380.0, 370.0))
    10.0
    """
    return with_cooler_k - np.asarray(without_cooler_k)


@valid(barometer_pa=(50e3, 110e3), cap_pressure_pa=(0.0, 400e3))
def system_pressure(barometer_pa: Array, cap_pressure_pa: Array) -> Array:
    """Pressure over the coolant with its cap at its spring, absolute.

    Parameters
    ----------
    barometer_pa : array
        At the site. [Pa] Valid 50e3 to 110e3.
    cap_pressure_pa : array
        That the cap holds, gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    system_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    barometer_pa + cap_pressure_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> system_pressure(101325.0, 110e3)
    211325.0
    """
    return barometer_pa + cap_pressure_pa


def boiling_margin(boiling_temperature_k: Array, coolant_temperature_k: Array) -> Array:
    """How far the coolant that leaves the engine is from boiling.

    Parameters
    ----------
    boiling_temperature_k : array
        Under the cap. [K]
    coolant_temperature_k : array
        Leaving the engine. [K]

    Returns
    -------
    boiling_margin_k : array
        Negative where it boils. [K]

    Equation
    --------
    boiling_temperature_k - coolant_temperature_k

    Source
    ------
    common-practice

    Examples
    --------
    >>> boiling_margin(402.0, 378.0)
    24.0
    """
    return boiling_temperature_k - coolant_temperature_k
