"""Air through the engine, what one cylinder holds, and flow through a nozzle."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import AIR_GAS_CONSTANT


@valid(manifold_pressure_pa=(20e3, 600e3), manifold_temperature_k=(230.0, 700.0))
def manifold_density(manifold_pressure_pa: Array, manifold_temperature_k: Array) -> Array:
    """Density of dry air in the manifold.

    Parameters
    ----------
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.
    manifold_temperature_k : array
        Charge. [K] Valid 230 to 700.

    Returns
    -------
    manifold_density_kg_m3 : array
        Broadcast of the arguments. [kg/m^3]

    Equation
    --------
    manifold_pressure_pa / (287.053 * manifold_temperature_k)

    Source
    ------
    heywood-1988, sec. 2.9

    Examples
    --------
    >>> round(float(manifold_density(200e3, 320.0)), 4)
    2.1773
    """
    return manifold_pressure_pa / (AIR_GAS_CONSTANT * manifold_temperature_k)


@valid(
    volumetric_efficiency=(0.2, 1.5),
    manifold_density_kg_m3=(0.2, 8.0),
    displacement_m3=(50e-6, 0.02),
    speed_rad_s=(0.0, 2000.0),
)
def air_mass_flow(
    volumetric_efficiency: Array, manifold_density_kg_m3: Array, displacement_m3: Array, speed_rad_s: Array
) -> Array:
    """Air through a four-stroke engine.

    Parameters
    ----------
    volumetric_efficiency : array
        Of manifold density. [1] Valid 0.2 to 1.5.
    manifold_density_kg_m3 : array
        Air in the manifold. [kg/m^3] Valid 0.2 to 8.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 50e-6 to 0.02.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.

    Returns
    -------
    air_mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    volumetric_efficiency * manifold_density_kg_m3 * displacement_m3 * speed_rad_s / (4 * pi)

    Source
    ------
    heywood-1988, eq. 2.27

    Examples
    --------
    >>> round(float(air_mass_flow(0.95, 2.1773, 2.0e-3, 6000 * 2 * np.pi / 60)), 4)
    0.2068
    """
    return volumetric_efficiency * manifold_density_kg_m3 * displacement_m3 * speed_rad_s / (4.0 * np.pi)


@valid(
    air_mass_flow_kg_s=(0.0, 3.0),
    manifold_density_kg_m3=(0.2, 8.0),
    displacement_m3=(50e-6, 0.02),
    speed_rad_s=(1.0, 2000.0),
)
def volumetric_efficiency(
    air_mass_flow_kg_s: Array, manifold_density_kg_m3: Array, displacement_m3: Array, speed_rad_s: Array
) -> Array:
    """Volumetric efficiency that a known air flow shows.

    Parameters
    ----------
    air_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 3.
    manifold_density_kg_m3 : array
        Air in the manifold, or outside where efficiency is to refer to that. [kg/m^3] Valid 0.2 to 8.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 50e-6 to 0.02.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 1 to 2000.

    Returns
    -------
    volumetric_efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    4 * pi * air_mass_flow_kg_s / (manifold_density_kg_m3 * displacement_m3 * speed_rad_s)

    Source
    ------
    heywood-1988, eq. 2.27

    Examples
    --------
    >>> round(float(volumetric_efficiency(0.2068, 2.1773, 2.0e-3, 628.32)), 2)
    0.95
    """
    return 4.0 * np.pi * air_mass_flow_kg_s / (manifold_density_kg_m3 * displacement_m3 * speed_rad_s)


@valid(mass_flow_kg_s=(0.0, 3.0), speed_rad_s=(1.0, 2000.0), cylinders=(1.0, 16.0))
def mass_per_cylinder_cycle(mass_flow_kg_s: Array, speed_rad_s: Array, cylinders: Array) -> Array:
    """Mass that one cylinder of a four-stroke takes in one cycle, from the flow through the engine.

    Parameters
    ----------
    mass_flow_kg_s : array
        Air or fuel through the engine. [kg/s] Valid 0 to 3.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 1 to 2000.
    cylinders : array
        How many. [1] Valid 1 to 16.

    Returns
    -------
    mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    4 * pi * mass_flow_kg_s / (speed_rad_s * cylinders)

    Source
    ------
    heywood-1988, sec. 2.9

    Examples
    --------
    >>> round(float(mass_per_cylinder_cycle(0.2, 200 * np.pi, 4)) * 1e6)
    1000
    """
    return 4.0 * np.pi * mass_flow_kg_s / (speed_rad_s * cylinders)


@valid(mass_flow_kg_s=(0.0, 3.0), barometer_pa=(40000.0, 110000.0), vapour_pressure_pa=(0.0, 10000.0))
def dry_air_flow(mass_flow_kg_s: Array, barometer_pa: Array, vapour_pressure_pa: Array) -> Array:
    """Dry air in the flow through the engine, which is reckoned as if all of it were dry: vapour takes its place.

    Parameters
    ----------
    mass_flow_kg_s : array
        Reckoned dry. [kg/s] Valid 0 to 3.
    barometer_pa : array
        Outside. [Pa] Valid 40000 to 110000.
    vapour_pressure_pa : array
        Of water in the air outside. [Pa] Valid 0 to 10000.

    Returns
    -------
    mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    mass_flow_kg_s * (1 - vapour_pressure_pa / barometer_pa)

    Source
    ------
    heywood-1988, sec. 2.9

    Examples
    --------
    >>> round(float(dry_air_flow(0.2, 1e5, 1600.0)), 4)
    0.1968
    """
    return mass_flow_kg_s * (1.0 - np.asarray(vapour_pressure_pa) / barometer_pa)


@valid(heat_capacity_ratio=(1.1, 1.67))
def critical_pressure_ratio(heat_capacity_ratio: Array) -> Array:
    """Downstream over upstream total pressure at and below which a nozzle is choked.

    Parameters
    ----------
    heat_capacity_ratio : array
        Of the gas. [1] Valid 1.1 to 1.67.

    Returns
    -------
    critical_pressure_ratio : array
        Shape of the argument. [1]

    Equation
    --------
    (2 / (heat_capacity_ratio + 1)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))

    Source
    ------
    heywood-1988, app. C

    Examples
    --------
    >>> round(float(critical_pressure_ratio(1.4)), 5)
    0.52828
    """
    return (2.0 / (heat_capacity_ratio + 1.0)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1.0))


@valid(
    area_m2=(0.0, 0.05),
    discharge_coefficient=(0.1, 1.0),
    upstream_pressure_pa=(10e3, 2e6),
    upstream_temperature_k=(200.0, 1600.0),
    downstream_pressure_pa=(0.0, 2e6),
)
def nozzle_mass_flow(
    area_m2: Array,
    discharge_coefficient: Array,
    upstream_pressure_pa: Array,
    upstream_temperature_k: Array,
    downstream_pressure_pa: Array,
    heat_capacity_ratio: Array = 1.4,
    gas_constant_j_kgk: Array = 287.053,
) -> Array:
    """Flow through a restrictor, port or gate; below the critical pressure ratio it no longer rises.

    Parameters
    ----------
    area_m2 : array
        Smallest section. [m^2] Valid 0 to 0.05.
    discharge_coefficient : array
        Effective over geometric area. [1] Valid 0.1 to 1.
    upstream_pressure_pa : array
        Total, absolute. [Pa] Valid 10e3 to 2e6.
    upstream_temperature_k : array
        Total. [K] Valid 200 to 1600.
    downstream_pressure_pa : array
        Static, absolute; above the upstream pressure nothing flows. [Pa] Valid 0 to 2e6.
    heat_capacity_ratio : array
        Of the gas. [1]
    gas_constant_j_kgk : array
        Of the gas. [J/(kg*K)]

    Returns
    -------
    nozzle_mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    critical = (2 / (heat_capacity_ratio + 1)) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))
    ratio = min(1, max(critical, downstream_pressure_pa / upstream_pressure_pa))
    speed_term = 1 - ratio ** ((heat_capacity_ratio - 1) / heat_capacity_ratio)
    density_term = ratio ** (1 / heat_capacity_ratio)
    flow_function = density_term * sqrt(2 * heat_capacity_ratio / (heat_capacity_ratio - 1) * speed_term)
    stagnation = upstream_pressure_pa / sqrt(gas_constant_j_kgk * upstream_temperature_k)
    discharge_coefficient * area_m2 * stagnation * flow_function

    Source
    ------
    heywood-1988, app. C

    Examples
    --------
    >>> round(float(nozzle_mass_flow(np.pi * 0.016**2, 1.0, 101325.0, 288.15, 50e3)), 4)
    0.194
    """
    g = heat_capacity_ratio
    # Not a clamp: past the critical ratio the section runs at sonic speed, whatever lies behind it.
    ratio = np.clip(downstream_pressure_pa / upstream_pressure_pa, critical_pressure_ratio(g), 1.0)
    flow_function = ratio ** (1.0 / g) * np.sqrt(2.0 * g / (g - 1.0) * (1.0 - ratio ** ((g - 1.0) / g)))
    stagnation = upstream_pressure_pa / np.sqrt(gas_constant_j_kgk * upstream_temperature_k)
    return discharge_coefficient * area_m2 * stagnation * flow_function
