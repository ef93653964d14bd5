"""The compressor as one point: what it has to deliver, and what that costs in heat and power."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(barometer_pa=(30e3, 110e3), filter_loss_pa=(0.0, 20e3))
def inlet_pressure(barometer_pa: Array, filter_loss_pa: Array) -> Array:
    """Pressure at the compressor inlet: the barometer less what filter and pipe take.

    Parameters
    ----------
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    filter_loss_pa : array
        Depression of filter and inlet pipe. [Pa] Valid 0 to 20e3.

    Returns
    -------
    inlet_pressure_pa : array
        Absolute, broadcast of the arguments. [Pa]

    Equation
    --------
    barometer_pa - filter_loss_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> inlet_pressure(101325.0, 2500.0)
    98825.0
    """
    return barometer_pa - filter_loss_pa


@valid(manifold_pressure_pa=(20e3, 600e3), cooler_drop_pa=(0.0, 50e3), inlet_pressure_pa=(20e3, 110e3))
def pressure_ratio(manifold_pressure_pa: Array, cooler_drop_pa: Array, inlet_pressure_pa: Array) -> Array:
    """Outlet over inlet of the compressor, absolute, with what the charge path and the inlet lose.

    Parameters
    ----------
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.
    cooler_drop_pa : array
        Loss from compressor outlet to manifold. [Pa] Valid 0 to 50e3.
    inlet_pressure_pa : array
        Absolute, at the compressor inlet. [Pa] Valid 20e3 to 110e3.

    Returns
    -------
    pressure_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (manifold_pressure_pa + cooler_drop_pa) / inlet_pressure_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(pressure_ratio(156.5e3, 4.8e3, 98.8e3)), 3)
    1.633
    """
    return (manifold_pressure_pa + cooler_drop_pa) / inlet_pressure_pa


@valid(
    inlet_temperature_k=(230.0, 400.0),
    pressure_ratio=(0.9, 6.0),
    efficiency=(0.3, 1.0),
    heat_capacity_ratio=(1.3, 1.45),
)
def outlet_temperature(
    inlet_temperature_k: Array,
    pressure_ratio: Array,
    efficiency: Array,
    heat_capacity_ratio: Array = 1.4,
) -> Array:
    """Temperature of the air leaving the compressor.

    Constant heat capacities: within 0.8 K of real air up to a pressure ratio of 2.5.

    Parameters
    ----------
    inlet_temperature_k : array
        Total, at the inlet. [K] Valid 230 to 400.
    pressure_ratio : array
        Outlet over inlet, absolute. [1] Valid 0.9 to 6.
    efficiency : array
        Isentropic, total to total. [1] Valid 0.3 to 1.
    heat_capacity_ratio : array
        Of air. [1] Valid 1.3 to 1.45.

    Returns
    -------
    outlet_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    isentropic_rise = pressure_ratio ** ((heat_capacity_ratio - 1) / heat_capacity_ratio) - 1
    inlet_temperature_k * (1 + isentropic_rise / efficiency)

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(outlet_temperature(298.15, 2.0, 0.70)), 2)
    391.43
    """
    isentropic_rise = pressure_ratio ** ((heat_capacity_ratio - 1.0) / heat_capacity_ratio) - 1.0
    return inlet_temperature_k * (1.0 + isentropic_rise / efficiency)


@valid(
    inlet_temperature_k=(230.0, 400.0),
    outlet_temperature_k=(230.0, 700.0),
    pressure_ratio=(1.0, 6.0),
    heat_capacity_ratio=(1.3, 1.45),
)
def isentropic_efficiency(
    inlet_temperature_k: Array,
    outlet_temperature_k: Array,
    pressure_ratio: Array,
    heat_capacity_ratio: Array = 1.4,
) -> Array:
    """Efficiency that two measured temperatures and pressures show; not a number where the air got no warmer.

    Parameters
    ----------
    inlet_temperature_k : array
        Total, at the inlet. [K] Valid 230 to 400.
    outlet_temperature_k : array
        Total, at the outlet. [K] Valid 230 to 700.
    pressure_ratio : array
        Outlet over inlet, absolute. [1] Valid 1 to 6.
    heat_capacity_ratio : array
        Of air. [1] Valid 1.3 to 1.45.

    Returns
    -------
    efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    isentropic_rise = pressure_ratio ** ((heat_capacity_ratio - 1) / heat_capacity_ratio) - 1
    isentropic_rise / (outlet_temperature_k / inlet_temperature_k - 1)

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(isentropic_efficiency(298.15, 391.43, 2.0)), 3)
    0.7
    """
    isentropic_rise = pressure_ratio ** ((heat_capacity_ratio - 1.0) / heat_capacity_ratio) - 1.0
    rise = outlet_temperature_k / np.asarray(inlet_temperature_k) - 1.0
    return isentropic_rise / np.where(rise > 0.0, rise, np.nan)


@valid(mass_flow_kg_s=(0.0, 3.0), inlet_temperature_k=(230.0, 400.0), outlet_temperature_k=(230.0, 700.0))
def power(
    mass_flow_kg_s: Array,
    inlet_temperature_k: Array,
    outlet_temperature_k: Array,
    heat_capacity_j_kgk: Array = 1005.0,
) -> Array:
    """Power that the air takes up in the compressor.

    Parameters
    ----------
    mass_flow_kg_s : array
        Air. [kg/s] Valid 0 to 3.
    inlet_temperature_k : array
        Total, at the inlet. [K] Valid 230 to 400.
    outlet_temperature_k : array
        Total, at the outlet. [K] Valid 230 to 700.
    heat_capacity_j_kgk : array
        Of air, at constant pressure. [J/(kg*K)]

    Returns
    -------
    power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    mass_flow_kg_s * heat_capacity_j_kgk * (outlet_temperature_k - inlet_temperature_k)

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(power(0.2, 298.15, 361.15)))
    12663
    """
    return mass_flow_kg_s * heat_capacity_j_kgk * (outlet_temperature_k - inlet_temperature_k)


@valid(power_w=(0.0, 500e3), mechanical_efficiency=(0.5, 1.0))
def drive_power(power_w: Array, mechanical_efficiency: Array) -> Array:
    """Power that a driven compressor takes from the crank, with belt, gears and bearings.

    Parameters
    ----------
    power_w : array
        Taken up by the air. [W] Valid 0 to 500e3.
    mechanical_efficiency : array
        Air power over crank power. [1] Valid 0.5 to 1.

    Returns
    -------
    drive_power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    power_w / mechanical_efficiency

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> drive_power(12600.0, 0.9)
    14000.0
    """
    return power_w / mechanical_efficiency


@valid(
    mass_flow_kg_s=(0.0, 3.0),
    inlet_temperature_k=(230.0, 400.0),
    inlet_pressure_pa=(20e3, 300e3),
    compressors=(1.0, 4.0),
)
def corrected_flow(
    mass_flow_kg_s: Array,
    inlet_temperature_k: Array,
    inlet_pressure_pa: Array,
    compressors: Array = 1.0,
    reference_temperature_k: Array = 298.15,
    reference_pressure_pa: Array = 100e3,
) -> Array:
    """Flow of one compressor as its map shows it: referred to standard inlet conditions.

    Parameters
    ----------
    mass_flow_kg_s : array
        Air through the engine. [kg/s] Valid 0 to 3.
    inlet_temperature_k : array
        Total, at the compressor inlet. [K] Valid 230 to 400.
    inlet_pressure_pa : array
        Absolute, at the compressor inlet. [Pa] Valid 20e3 to 300e3.
    compressors : array
        How many share the flow. [1] Valid 1 to 4.
    reference_temperature_k : array
        Of the map. [K]
    reference_pressure_pa : array
        Of the map, absolute. [Pa]

    Returns
    -------
    corrected_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    temperature_ratio = inlet_temperature_k / reference_temperature_k
    mass_flow_kg_s / compressors * sqrt(temperature_ratio) * reference_pressure_pa / inlet_pressure_pa

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(corrected_flow(0.2, 308.15, 98.8e3)), 4)
    0.2058
    """
    temperature_ratio = inlet_temperature_k / reference_temperature_k
    relative_pressure = inlet_pressure_pa / reference_pressure_pa
    return mass_flow_kg_s / compressors * np.sqrt(temperature_ratio) / relative_pressure


@valid(
    corrected_flow_kg_s=(0.0, 3.0),
    inlet_temperature_k=(230.0, 400.0),
    inlet_pressure_pa=(20e3, 300e3),
    compressors=(1.0, 4.0),
)
def flow_from_corrected(
    corrected_flow_kg_s: Array,
    inlet_temperature_k: Array,
    inlet_pressure_pa: Array,
    compressors: Array = 1.0,
    reference_temperature_k: Array = 298.15,
    reference_pressure_pa: Array = 100e3,
) -> Array:
    """Flow of all compressors together at the day's inlet conditions, from what a map shows for one.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor, as on its map. [kg/s] Valid 0 to 3.
    inlet_temperature_k : array
        Total, at the compressor inlet. [K] Valid 230 to 400.
    inlet_pressure_pa : array
        Absolute, at the compressor inlet. [Pa] Valid 20e3 to 300e3.
    compressors : array
        How many share the flow. [1] Valid 1 to 4.
    reference_temperature_k : array
        Of the map. [K]
    reference_pressure_pa : array
        Of the map, absolute. [Pa]

    Returns
    -------
    mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    temperature_ratio = inlet_temperature_k / reference_temperature_k
    corrected_flow_kg_s * compressors / sqrt(temperature_ratio) * inlet_pressure_pa / reference_pressure_pa

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(flow_from_corrected(0.2058, 308.15, 98.8e3)), 3)
    0.2
    """
    temperature_ratio = inlet_temperature_k / reference_temperature_k
    relative_pressure = inlet_pressure_pa / reference_pressure_pa
    return corrected_flow_kg_s * compressors / np.sqrt(temperature_ratio) * relative_pressure


@valid(exducer_m=(0.02, 0.3), shaft_speed_rad_s=(0.0, 40e3))
def tip_speed(exducer_m: Array, shaft_speed_rad_s: Array) -> Array:
    """Speed of the impeller's outer edge.

    Parameters
    ----------
    exducer_m : array
        Outer diameter of the impeller. [m] Valid 0.02 to 0.3.
    shaft_speed_rad_s : array
        Of the impeller. [rad/s] Valid 0 to 40e3.

    Returns
    -------
    tip_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    exducer_m * shaft_speed_rad_s / 2

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(tip_speed(0.054, 177e3 * 2 * np.pi / 60)))
    500
    """
    return exducer_m * shaft_speed_rad_s / 2.0


@valid(speed_rad_s=(0.0, 2000.0), drive_ratio=(0.5, 20.0))
def driven_shaft_speed(speed_rad_s: Array, drive_ratio: Array) -> Array:
    """Speed of a belt-driven impeller or rotor, without slip.

    Parameters
    ----------
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    drive_ratio : array
        Impeller or rotor over crank, step-up included. [1] Valid 0.5 to 20.

    Returns
    -------
    shaft_speed_rad_s : array
        Broadcast of the arguments. [rad/s]

    Equation
    --------
    speed_rad_s * drive_ratio

    Source
    ------
    common-practice

    Examples
    --------
    >>> driven_shaft_speed(700.0, 3.2)
    2240.0
    """
    return speed_rad_s * drive_ratio


@valid(tip_speed_m_s=(0.0, 900.0), limit_m_s=(200.0, 900.0))
def speed_use(tip_speed_m_s: Array, limit_m_s: Array) -> Array:
    """Tip speed over what the wheel may turn.

    Parameters
    ----------
    tip_speed_m_s : array
        At the outer diameter. [m/s] Valid 0 to 900.
    limit_m_s : array
        Of the wheel. [m/s] Valid 200 to 900.

    Returns
    -------
    speed_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    tip_speed_m_s / limit_m_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> speed_use(477.0, 530.0)
    0.9
    """
    return tip_speed_m_s / limit_m_s
