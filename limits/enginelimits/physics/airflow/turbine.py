"""The turbine of a turbocharger in steady flow: what it swallows, what that costs in pressure, what it gives.

Pulsation is left out: the pulses of few cylinders give a turbine more work at low speed than their mean does, and
fill it unevenly.  Figures are those of the mean flow.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.airflow.engine_flow import critical_pressure_ratio
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Where swallowing capacity is stated: 100 kPa, 288 K, expansion ratio 2.
REFERENCE_PRESSURE = 100e3
REFERENCE_TEMPERATURE = 288.0
# Square of the flow that the ellipse gives at an expansion ratio of 2, its greatest being 1.
AT_REFERENCE = 0.75


@valid(heat_capacity_ratio=(1.2, 1.45))
def choking_expansion_ratio(heat_capacity_ratio: Array = 1.33) -> Array:
    """Expansion ratio past which a turbine takes no more: nozzle ring and wheel share it, and both are choked.

    Parameters
    ----------
    heat_capacity_ratio : array
        Of the gas. [1] Valid 1.2 to 1.45.

    Returns
    -------
    expansion_ratio : array
        Shape of the argument. [1]

    Equation
    --------
    critical = (2 / (heat_capacity_ratio + 1)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))
    1 / critical ** 2

    Source
    ------
    watson-janota-1982, stator and rotor as two nozzles of equal pressure ratio

    Examples
    --------
    >>> round(float(choking_expansion_ratio(1.33)), 2)
    3.42
    """
    return critical_pressure_ratio(heat_capacity_ratio) ** -2.0


@valid(expansion_ratio=(1.0, 8.0), heat_capacity_ratio=(1.2, 1.45))
def swallowing_share(expansion_ratio: Array, heat_capacity_ratio: Array = 1.33) -> Array:
    """Reduced flow of a turbine over its reduced flow at an expansion ratio of 2.

    The ellipse law: within 1.5 % of two nozzles in series that share the expansion up to a ratio of 2.9, and 3 % above
    them where they choke.  Held level from there on, as flow is.

    Parameters
    ----------
    expansion_ratio : array
        Inlet total over outlet static pressure, absolute. [1] Valid 1 to 8.
    heat_capacity_ratio : array
        Of the gas. [1] Valid 1.2 to 1.45.

    Returns
    -------
    swallowing_share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    critical = (2 / (heat_capacity_ratio + 1)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))
    felt = min(expansion_ratio, 1 / critical ** 2)
    sqrt((1 - 1 / felt ** 2) / 0.75)

    Source
    ------
    stodola-1927, the cone law of flow through stages

    Examples
    --------
    >>> float(swallowing_share(2.0)), round(float(swallowing_share(1.3)), 3)
    (1.0, 0.738)
    """
    # Not a clamp: choked, the flow no longer feels what lies behind the wheel.
    felt = np.minimum(expansion_ratio, choking_expansion_ratio(heat_capacity_ratio))
    return np.sqrt((1.0 - 1.0 / felt**2) / AT_REFERENCE)


@valid(
    expansion_ratio=(1.0, 8.0),
    inlet_pressure_pa=(50e3, 900e3),
    inlet_temperature_k=(280.0, 1500.0),
    swallowing_kg_s=(0.01, 1.0),
    turbines=(1.0, 4.0),
    heat_capacity_ratio=(1.2, 1.45),
)
def mass_flow(
    expansion_ratio: Array,
    inlet_pressure_pa: Array,
    inlet_temperature_k: Array,
    swallowing_kg_s: Array,
    turbines: Array = 1.0,
    heat_capacity_ratio: Array = 1.33,
) -> Array:
    """Exhaust that goes through all turbines of an engine.

    Parameters
    ----------
    expansion_ratio : array
        Inlet total over outlet static pressure, absolute. [1] Valid 1 to 8.
    inlet_pressure_pa : array
        Before the turbine, absolute. [Pa] Valid 50e3 to 900e3.
    inlet_temperature_k : array
        Total, before the turbine. [K] Valid 280 to 1500.
    swallowing_kg_s : array
        Of one turbine at 100 kPa, 288 K and an expansion ratio of 2. [kg/s] Valid 0.01 to 1.
    turbines : array
        How many share the exhaust. [1] Valid 1 to 4.
    heat_capacity_ratio : array
        Of the exhaust. [1] Valid 1.2 to 1.45.

    Returns
    -------
    mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    critical = (2 / (heat_capacity_ratio + 1)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))
    felt = min(expansion_ratio, 1 / critical ** 2)
    share = sqrt((1 - 1 / felt ** 2) / 0.75)
    turbines * swallowing_kg_s * share * inlet_pressure_pa / 100000 * sqrt(288 / inlet_temperature_k)

    Source
    ------
    watson-janota-1982, reduced flow; stodola-1927, its course

    Examples
    --------
    >>> round(float(mass_flow(1.8, 200e3, 1173.0, 0.14)), 4)
    0.1332
    """
    reduced = turbines * swallowing_kg_s * swallowing_share(expansion_ratio, heat_capacity_ratio)
    return reduced * inlet_pressure_pa / REFERENCE_PRESSURE * np.sqrt(REFERENCE_TEMPERATURE / inlet_temperature_k)


@valid(
    mass_flow_kg_s=(0.0, 3.0),
    outlet_pressure_pa=(50e3, 250e3),
    inlet_temperature_k=(280.0, 1500.0),
    swallowing_kg_s=(0.01, 1.0),
    turbines=(1.0, 4.0),
    heat_capacity_ratio=(1.2, 1.45),
)
def expansion_ratio_at_flow(
    mass_flow_kg_s: Array,
    outlet_pressure_pa: Array,
    inlet_temperature_k: Array,
    swallowing_kg_s: Array,
    turbines: Array = 1.0,
    heat_capacity_ratio: Array = 1.33,
) -> Array:
    """Expansion ratio that it takes to push a flow through the turbines; in closed form.

    Parameters
    ----------
    mass_flow_kg_s : array
        Exhaust through all turbines. [kg/s] Valid 0 to 3.
    outlet_pressure_pa : array
        Behind the turbine, absolute. [Pa] Valid 50e3 to 250e3.
    inlet_temperature_k : array
        Total, before the turbine. [K] Valid 280 to 1500.
    swallowing_kg_s : array
        Of one turbine at 100 kPa, 288 K and an expansion ratio of 2. [kg/s] Valid 0.01 to 1.
    turbines : array
        How many share the exhaust. [1] Valid 1 to 4.
    heat_capacity_ratio : array
        Of the exhaust. [1] Valid 1.2 to 1.45.

    Returns
    -------
    expansion_ratio : array
        Inlet over outlet pressure, broadcast of the arguments. [1]

    Equation
    --------
    reference = turbines * swallowing_kg_s * outlet_pressure_pa / 100000 * sqrt(288 / inlet_temperature_k)
    squeezed = sqrt(0.75) * mass_flow_kg_s / reference
    critical = (2 / (heat_capacity_ratio + 1)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))
    max(sqrt(1 + squeezed ** 2), squeezed / sqrt(1 - critical ** 4))

    Source
    ------
    stodola-1927, solved for the expansion ratio

    Examples
    --------
    >>> round(float(expansion_ratio_at_flow(0.1332, 200e3 / 1.8, 1173.0, 0.14)), 2)
    1.8
    """
    root = np.sqrt(REFERENCE_TEMPERATURE / inlet_temperature_k)
    reference = turbines * swallowing_kg_s * outlet_pressure_pa / REFERENCE_PRESSURE * root
    squeezed = np.sqrt(AT_REFERENCE) * mass_flow_kg_s / reference
    # Choked, pressure rises in proportion to flow; below, the ellipse is the greater of the two.
    choked = squeezed / np.sqrt(1.0 - choking_expansion_ratio(heat_capacity_ratio) ** -2.0)
    return np.maximum(np.sqrt(1.0 + squeezed**2), choked)


@valid(
    expansion_ratio=(1.0, 8.0),
    inlet_temperature_k=(280.0, 1500.0),
    efficiency=(0.2, 1.0),
    heat_capacity_j_kgk=(1100.0, 1300.0),
    heat_capacity_ratio=(1.2, 1.45),
)
def specific_work(
    expansion_ratio: Array,
    inlet_temperature_k: Array,
    efficiency: Array,
    heat_capacity_j_kgk: Array = 1150.0,
    heat_capacity_ratio: Array = 1.33,
) -> Array:
    """Work at the shaft from each kilogram of exhaust that goes through the turbine.

    Parameters
    ----------
    expansion_ratio : array
        Inlet total over outlet static pressure, absolute. [1] Valid 1 to 8.
    inlet_temperature_k : array
        Total, before the turbine. [K] Valid 280 to 1500.
    efficiency : array
        Total to static; times mechanical where the work at the compressor is wanted. [1] Valid 0.2 to 1.
    heat_capacity_j_kgk : array
        Of the exhaust, at constant pressure. [J/(kg*K)] Valid 1100 to 1300.
    heat_capacity_ratio : array
        Of the exhaust. [1] Valid 1.2 to 1.45.

    Returns
    -------
    specific_work_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    drop = 1 - expansion_ratio ** (-(heat_capacity_ratio - 1) / heat_capacity_ratio)
    efficiency * heat_capacity_j_kgk * inlet_temperature_k * drop

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(specific_work(1.6 / 1.03, 850.0, 0.85)))
    86015
    """
    drop = 1.0 - expansion_ratio ** (-(heat_capacity_ratio - 1.0) / heat_capacity_ratio)
    return efficiency * heat_capacity_j_kgk * inlet_temperature_k * drop


@valid(
    mass_flow_kg_s=(0.0, 3.0),
    expansion_ratio=(1.0, 8.0),
    inlet_temperature_k=(280.0, 1500.0),
    efficiency=(0.2, 1.0),
    heat_capacity_j_kgk=(1100.0, 1300.0),
    heat_capacity_ratio=(1.2, 1.45),
)
def power(
    mass_flow_kg_s: Array,
    expansion_ratio: Array,
    inlet_temperature_k: Array,
    efficiency: Array,
    heat_capacity_j_kgk: Array = 1150.0,
    heat_capacity_ratio: Array = 1.33,
) -> Array:
    """Power of the turbines, at the compressor when the efficiency holds the bearings.

    Parameters
    ----------
    mass_flow_kg_s : array
        Exhaust through the turbines, without what the gate passes. [kg/s] Valid 0 to 3.
    expansion_ratio : array
        Inlet total over outlet static pressure, absolute. [1] Valid 1 to 8.
    inlet_temperature_k : array
        Total, before the turbine. [K] Valid 280 to 1500.
    efficiency : array
        Total to static, times mechanical. [1] Valid 0.2 to 1.
    heat_capacity_j_kgk : array
        Of the exhaust, at constant pressure. [J/(kg*K)] Valid 1100 to 1300.
    heat_capacity_ratio : array
        Of the exhaust. [1] Valid 1.2 to 1.45.

    Returns
    -------
    power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    drop = 1 - expansion_ratio ** (-(heat_capacity_ratio - 1) / heat_capacity_ratio)
    mass_flow_kg_s * efficiency * heat_capacity_j_kgk * inlet_temperature_k * drop

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(power(0.13, 1.8, 1173.0, 0.66)))
    15707
    """
    return mass_flow_kg_s * specific_work(
        expansion_ratio, inlet_temperature_k, efficiency, heat_capacity_j_kgk, heat_capacity_ratio
    )


@valid(
    compressor_work_j_kg=(0.0, 250e3),
    air_fuel_ratio=(4.0, 25.0),
    bypass_share=(0.0, 0.9),
    inlet_temperature_k=(280.0, 1500.0),
    efficiency=(0.2, 1.0),
    heat_capacity_j_kgk=(1100.0, 1300.0),
    heat_capacity_ratio=(1.2, 1.45),
)
def expansion_ratio_to_drive(
    compressor_work_j_kg: Array,
    air_fuel_ratio: Array,
    bypass_share: Array,
    inlet_temperature_k: Array,
    efficiency: Array,
    heat_capacity_j_kgk: Array = 1150.0,
    heat_capacity_ratio: Array = 1.33,
) -> Array:
    """Expansion ratio at which the turbine gives what the compressor takes; not a number where none does.

    Parameters
    ----------
    compressor_work_j_kg : array
        For each kilogram of air. [J/kg] Valid 0 to 250e3.
    air_fuel_ratio : array
        By mass. [1] Valid 4 to 25.
    bypass_share : array
        Of the exhaust, past the turbine through the gate. [1] Valid 0 to 0.9.
    inlet_temperature_k : array
        Total, before the turbine. [K] Valid 280 to 1500.
    efficiency : array
        Total to static, times mechanical. [1] Valid 0.2 to 1.
    heat_capacity_j_kgk : array
        Of the exhaust, at constant pressure. [J/(kg*K)] Valid 1100 to 1300.
    heat_capacity_ratio : array
        Of the exhaust. [1] Valid 1.2 to 1.45.

    Returns
    -------
    expansion_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    exhaust_for_air = (1 + 1 / air_fuel_ratio) * (1 - bypass_share)
    whole = exhaust_for_air * efficiency * heat_capacity_j_kgk * inlet_temperature_k
    (1 - compressor_work_j_kg / whole) ** (-heat_capacity_ratio / (heat_capacity_ratio - 1))

    Source
    ------
    heywood-1988, sec. 6.8, powers of turbine and compressor set equal

    Examples
    --------
    >>> round(float(expansion_ratio_to_drive(94e3, 12.0, 0.0, 1173.0, 0.68)), 2)
    1.49
    """
    exhaust_for_air = (1.0 + 1.0 / np.asarray(air_fuel_ratio)) * (1.0 - np.asarray(bypass_share))
    left = 1.0 - compressor_work_j_kg / (exhaust_for_air * efficiency * heat_capacity_j_kgk * inlet_temperature_k)
    return np.where(left > 0.0, left, np.nan) ** (-heat_capacity_ratio / (heat_capacity_ratio - 1.0))


@valid(
    inducer_m=(0.025, 0.12), exducer_m=(0.02, 0.11), housing_ratio=(0.2, 1.6), swallowing_factor=(0.5, 1.6)
)
def swallowing_of_wheel(
    inducer_m: Array, exducer_m: Array, housing_ratio: Array, swallowing_factor: Array = 1.0
) -> Array:
    """Swallowing capacity by the sizes of wheel and housing, good to a fifth.

    Throat of the housing and throat of the wheel as two sections in series.  The centroid of the housing's throat is
    taken at 1.5 wheel radii, the wheel's throat at 0.47 of its outlet circle (hub and blade angle), 0.9 of both as
    filled.

    Parameters
    ----------
    inducer_m : array
        Diameter where the gas enters the wheel, the larger one. [m] Valid 0.025 to 0.12.
    exducer_m : array
        Diameter where it leaves. [m] Valid 0.02 to 0.11.
    housing_ratio : array
        Area over radius of the housing, as the trade writes it: in inches. [1] Valid 0.2 to 1.6.
    swallowing_factor : array
        Of the class; 1 is its middle. [1] Valid 0.5 to 1.6.

    Returns
    -------
    swallowing_kg_s : array
        Of one turbine at 100 kPa, 288 K and an expansion ratio of 2. [kg/s]

    Equation
    --------
    housing_throat = housing_ratio * 0.0254 * 0.75 * inducer_m
    wheel_throat = 0.47 * pi / 4 * exducer_m ** 2
    in_series = 1 / sqrt(1 / housing_throat ** 2 + 1 / wheel_throat ** 2)
    swallowing_factor * 0.9 * 308.9 * in_series

    Source
    ------
    memory; own-computation, 308.9 kg/s a square metre being two nozzles that share an expansion ratio of 2

    Examples
    --------
    >>> round(float(swallowing_of_wheel(0.053, 0.047, 0.64)), 3)
    0.141
    """
    housing_throat = np.asarray(housing_ratio) * 0.0254 * 0.75 * inducer_m
    wheel_throat = 0.47 * np.pi / 4.0 * np.asarray(exducer_m) ** 2
    in_series = 1.0 / np.sqrt(1.0 / housing_throat**2 + 1.0 / wheel_throat**2)
    return swallowing_factor * 0.9 * 308.9 * in_series


@valid(
    efficiency=(0.2, 0.9), low_speed_share=(0.5, 1.0), speed_rad_s=(0.0, 2000.0), rated_speed_rad_s=(100.0, 2000.0)
)
def efficiency_over_speed(
    efficiency: Array, low_speed_share: Array, speed_rad_s: Array, rated_speed_rad_s: Array
) -> Array:
    """Efficiency of the turbine with its bearings over engine speed at full load.

    Bearings take a share that grows as the shaft slows, and a wheel far below its flow loses by leakage and friction:
    up to half of the rated speed the low share is left, from there on it rises in a straight line to all of it.

    Parameters
    ----------
    efficiency : array
        At the power peak, total to static, times mechanical. [1] Valid 0.2 to 0.9.
    low_speed_share : array
        Of that efficiency, where boost comes in. [1] Valid 0.5 to 1.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    rated_speed_rad_s : array
        Of the power peak or redline. [rad/s] Valid 100 to 2000.

    Returns
    -------
    efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    risen = min(1, max(0, 2 * speed_rad_s / rated_speed_rad_s - 1))
    efficiency * (low_speed_share + (1 - low_speed_share) * risen)

    Source
    ------
    memory

    Examples
    --------
    >>> efficiency_over_speed(0.66, 0.9, np.array([300.0, 525.0, 700.0, 750.0]), 700.0).round(3).tolist()
    [0.594, 0.627, 0.66, 0.66]
    """
    risen = np.clip(2.0 * np.asarray(speed_rad_s) / rated_speed_rad_s - 1.0, 0.0, 1.0)
    return efficiency * (low_speed_share + (1.0 - np.asarray(low_speed_share)) * risen)
