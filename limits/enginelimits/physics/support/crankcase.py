"""Gas that passes the rings, and the pressure it makes in the crankcase on its way out."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.blocks import in_blocks, over_nodes
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import AIR_GAS_CONSTANT

_GAMMA = 1.33
# Choked flow over area and pressure, times the root of gas constant and temperature
_CHOKED = _GAMMA**0.5 * (2.0 / (_GAMMA + 1.0)) ** ((_GAMMA + 1.0) / (2.0 * (_GAMMA - 1.0)))
_CRITICAL = (2.0 / (_GAMMA + 1.0)) ** (-_GAMMA / (_GAMMA - 1.0))


@valid(barometer_pa=(50e3, 110e3))
def driving_pressure(pressure_pa: Array, crank_angle_rad: Array, barometer_pa: Array) -> Array:
    """Mean over the cycle of the pressure that drives gas past the rings.

    Flow through a narrow gap is choked, so that it follows the pressure above it and not the one beneath, wherever
    that is 1.85 times the crankcase's or more; what flows at less is left out.

    Parameters
    ----------
    pressure_pa : array
        In the cylinder, crank axis last. [Pa]
    crank_angle_rad : array
        Of the trace, over two turns. [rad]
    barometer_pa : array
        Pressure in the crankcase, near enough. [Pa] Valid 50e3 to 110e3.

    Returns
    -------
    driving_pressure_pa : array
        Without the crank axis. [Pa]

    Equation
    --------
    Solved: mean over crank_angle_rad of pressure_pa where it exceeds 1.85 barometer_pa, and of nothing elsewhere

    Source
    ------
    heywood-1988, sec. 8.6 and app. C

    Examples
    --------
    >>> angle = np.linspace(-2.0 * np.pi, 2.0 * np.pi, 721)
    >>> trace = np.where(np.abs(angle) < 0.5 * np.pi, 20e5, 1e5)
    >>> round(float(driving_pressure(trace, angle, 101325.0)), -4)
    500000.0
    """
    steps = np.diff(np.asarray(crank_angle_rad, dtype=float))
    # trapezia, as one weight a node
    weights = 0.5 * (np.append(steps, 0.0) + np.append(0.0, steps)) / np.sum(steps)

    def mean(trace: Array, least: Array) -> tuple[Array]:
        return (np.where(trace > least, trace, 0.0) @ weights,)

    return in_blocks(mean, np.asarray(pressure_pa, dtype=float), _CRITICAL * over_nodes(barometer_pa))[0]


@valid(
    driving_pressure_pa=(0.0, 1e7),
    top_ring_gap_m=(0.0, 3e-3),
    thermal_closing_m=(-1e-3, 3e-3),
    land_clearance_m=(5e-5, 2e-3),
    leak_area_m2=(0.0, 2e-6),
    gap_temperature_k=(350.0, 700.0),
    cylinders=(1.0, 16.0),
)
def blow_by(
    driving_pressure_pa: Array,
    top_ring_gap_m: Array,
    thermal_closing_m: Array,
    land_clearance_m: Array,
    leak_area_m2: Array,
    gap_temperature_k: Array,
    cylinders: Array,
) -> Array:
    """Gas that passes the rings of all cylinders: choked flow through the hot gap and what else leaks.

    Parameters
    ----------
    driving_pressure_pa : array
        Mean over the cycle. [Pa] Valid 0 to 1e7.
    top_ring_gap_m : array
        Cold. [m] Valid 0 to 3e-3.
    thermal_closing_m : array
        That heat takes from the gap. [m] Valid -1e-3 to 3e-3.
    land_clearance_m : array
        Between land and bore, hot, which makes an area of the gap. [m] Valid 5e-5 to 2e-3.
    leak_area_m2 : array
        Of one cylinder past faces and sides of its rings, at full load. [m^2] Valid 0 to 2e-6.
    gap_temperature_k : array
        Of the gas in gap and groove, near that of the metal. [K] Valid 350 to 700.
    cylinders : array
        Number of cylinders. [1] Valid 1 to 16.

    Returns
    -------
    blow_by_kg_s : array
        Of the engine. [kg/s]

    Equation
    --------
    area = max(top_ring_gap_m - thermal_closing_m, 0) * land_clearance_m + leak_area_m2
    choked = 0.672628 / sqrt(287.05287 * gap_temperature_k)
    cylinders * area * driving_pressure_pa * choked

    Source
    ------
    heywood-1988, sec. 8.6 and app. C

    Examples
    --------
    >>> round(float(blow_by(6e5, 0.25e-3, 0.17e-3, 0.3e-3, 0.15e-6, 450.0, 4)) * 1e3, 2)
    0.78
    """
    gap = np.maximum(np.asarray(top_ring_gap_m) - thermal_closing_m, 0.0)
    area = gap * land_clearance_m + leak_area_m2
    choked = _CHOKED / np.sqrt(AIR_GAS_CONSTANT * np.asarray(gap_temperature_k))
    return cylinders * area * driving_pressure_pa * choked


@valid(blow_by_kg_s=(0.0, 0.2), air_mass_flow_kg_s=(1e-3, 3.0))
def blow_by_share(blow_by_kg_s: Array, air_mass_flow_kg_s: Array) -> Array:
    """Blow-by over the air that the engine takes.

    Parameters
    ----------
    blow_by_kg_s : array
        Past all rings. [kg/s] Valid 0 to 0.2.
    air_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 1e-3 to 3.

    Returns
    -------
    blow_by_share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    blow_by_kg_s / air_mass_flow_kg_s

    Source
    ------
    heywood-1988, sec. 8.6

    Examples
    --------
    >>> float(blow_by_share(1e-3, 0.125))
    0.008
    """
    return blow_by_kg_s / np.asarray(air_mass_flow_kg_s)


@valid(
    blow_by_kg_s=(0.0, 0.2),
    gas_temperature_k=(300.0, 500.0),
    barometer_pa=(50e3, 110e3),
    breather_area_m2=(1e-6, 2e-3),
    inlet_suction_pa=(-1e3, 3e4),
    suction_share=(0.0, 1.0),
)
def crankcase_pressure(
    blow_by_kg_s: Array,
    gas_temperature_k: Array,
    barometer_pa: Array,
    breather_area_m2: Array,
    inlet_suction_pa: Array,
    suction_share: Array,
) -> Array:
    """Gauge pressure in the crankcase at full throttle: what breathers hold back, less what the inlet sucks.

    Parameters
    ----------
    blow_by_kg_s : array
        Past all rings. [kg/s] Valid 0 to 0.2.
    gas_temperature_k : array
        In the crankcase. [K] Valid 300 to 500.
    barometer_pa : array
        At the site. [Pa] Valid 50e3 to 110e3.
    breather_area_m2 : array
        Of passages, separator and hoses as one sharp hole that would hold back as much. [m^2] Valid 1e-6 to 2e-3.
    inlet_suction_pa : array
        Barometer less pressure behind the air filter. [Pa] Valid -1e3 to 3e4.
    suction_share : array
        Part of it that reaches the breather; 0 where that ends in open air. [1] Valid 0 to 1.

    Returns
    -------
    crankcase_pressure_pa : array
        Gauge. [Pa]

    Equation
    --------
    density = barometer_pa / (287.05287 * gas_temperature_k)
    blow_by_kg_s**2 / (2 * density * breather_area_m2**2) - suction_share * inlet_suction_pa

    Source
    ------
    heywood-1988, app. C, flow through an orifice at small pressure ratio

    Examples
    --------
    >>> round(float(crankcase_pressure(1.6e-3, 373.15, 101325.0, 30e-6, 2500.0, 0.4)))
    503
    """
    density = barometer_pa / (AIR_GAS_CONSTANT * np.asarray(gas_temperature_k))
    held = blow_by_kg_s**2 / (2.0 * density * np.asarray(breather_area_m2) ** 2)
    return held - suction_share * np.asarray(inlet_suction_pa)
