"""Efficiency where engine and compressor meet on a map: flow follows from charge temperature, which follows from it."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from enginelimits.physics.airflow.compressor import corrected_flow, outlet_temperature
from enginelimits.physics.airflow.compressor_map import read_map
from enginelimits.physics.airflow.engine_flow import air_mass_flow, manifold_density
from enginelimits.physics.airflow.generic_map import read_class_map
from enginelimits.physics.airflow.intercooler import outlet_temperature as cooled_temperature
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# A wrong efficiency of a tenth moves the charge by some 5 K and the flow by 1.5 %: each pass leaves a tenth or less
_PASSES = 3
# Past the ends of the class map the efficiency is that just inside them
WITHIN = 1.001


class MapEfficiency(NamedTuple):
    efficiency: Array
    change: Array  # by the last pass


@valid(
    pressure_ratio=(1.0, 6.0),
    inlet_temperature_k=(230.0, 340.0),
    inlet_pressure_pa=(20e3, 110e3),
    cooling_air_temperature_k=(230.0, 340.0),
    cooler_effectiveness=(0.0, 1.0),
    manifold_pressure_pa=(20e3, 600e3),
    volumetric_efficiency=(0.3, 1.6),
    displacement_m3=(5e-5, 0.05),
    speed_rad_s=(10.0, 2000.0),
    stated_efficiency=(0.3, 0.9),
    compressors=(1.0, 4.0),
)
def efficiency_on_map(
    pressure_ratio: Array,
    inlet_temperature_k: Array,
    inlet_pressure_pa: Array,
    cooling_air_temperature_k: Array,
    cooler_effectiveness: Array,
    manifold_pressure_pa: Array,
    volumetric_efficiency: Array,
    displacement_m3: Array,
    speed_rad_s: Array,
    stated_efficiency: Array,
    compressors: Array,
    line_speed_m_s: Array,
    line_flow_kg_s: Array,
    line_pressure_ratio: Array,
    line_efficiency: Array,
    reference_temperature_k: Array = 298.15,
    reference_pressure_pa: Array = 100e3,
) -> MapEfficiency:
    """Isentropic efficiency off a map at the flow that the engine takes with it; as stated where the map shows nothing.

    Parameters
    ----------
    pressure_ratio : array
        Outlet over inlet. [1] Valid 1 to 6.
    inlet_temperature_k : array
        Air before the compressor. [K] Valid 230 to 340.
    inlet_pressure_pa : array
        Before the compressor, absolute. [Pa] Valid 20e3 to 110e3.
    cooling_air_temperature_k : array
        At the charge cooler. [K] Valid 230 to 340.
    cooler_effectiveness : array
        Of the charge cooler; 0 without one. [1] Valid 0 to 1.
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.
    volumetric_efficiency : array
        Of manifold density. [1] Valid 0.3 to 1.6.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-5 to 0.05.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 10 to 2000.
    stated_efficiency : array
        To begin with, and where the map shows nothing. [1] Valid 0.3 to 0.9.
    compressors : array
        Side by side. [1] Valid 1 to 4.
    line_speed_m_s : array
        Corrected tip speed of each line of the map. [m/s]
    line_flow_kg_s : array
        Corrected flow by line and point. [kg/s]
    line_pressure_ratio : array
        By line and point. [1]
    line_efficiency : array
        By line and point. [1]
    reference_temperature_k : array
        That the map is corrected to. [K]
    reference_pressure_pa : array
        That the map is corrected to. [Pa]

    Returns
    -------
    found : MapEfficiency
        Efficiency, and its change by the last of three passes, which tells that they met; broadcast over the lanes. [1]

    Equation
    --------
    Solved: outlet and manifold temperature with the efficiency, flow with the temperature, efficiency with the flow,
    three times from stated_efficiency on

    Source
    ------
    watson-janota-1982

    Examples
    --------
    >>> lines = dict(
    ...     line_speed_m_s=np.array([250.0, 350.0, 450.0]),
    ...     line_flow_kg_s=np.array([[0.06, 0.12, 0.2], [0.1, 0.18, 0.28], [0.15, 0.25, 0.34]]),
    ...     line_pressure_ratio=np.array([[1.4, 1.38, 1.2], [1.95, 1.9, 1.5], [2.7, 2.6, 1.9]]),
    ...     line_efficiency=np.array([[0.65, 0.72, 0.6], [0.67, 0.75, 0.6], [0.67, 0.74, 0.58]]))
    >>> found = efficiency_on_map(1.7, 298.0, 98e3, 298.0, 0.7, 1.6e5, 0.95, 2e-3, 500.0, 0.7, 1.0, **lines)
    >>> 0.66 < float(found.efficiency) < 0.76, bool(abs(found.change) < 1e-3)
    (True, True)
    """
    def shown(corrected: Array) -> Array:
        found = read_map(
            corrected, pressure_ratio, line_speed_m_s, line_flow_kg_s, line_pressure_ratio, line_efficiency
        ).efficiency
        return np.where(np.isfinite(found), found, stated_efficiency)

    return _met(
        shown, pressure_ratio, inlet_temperature_k, inlet_pressure_pa, cooling_air_temperature_k,
        cooler_effectiveness, manifold_pressure_pa, volumetric_efficiency, displacement_m3, speed_rad_s,
        stated_efficiency, compressors, reference_temperature_k, reference_pressure_pa,
    )


def _met(
    shown: Callable[[Array], Array],
    pressure_ratio: Array,
    inlet_temperature_k: Array,
    inlet_pressure_pa: Array,
    cooling_air_temperature_k: Array,
    cooler_effectiveness: Array,
    manifold_pressure_pa: Array,
    volumetric_efficiency: Array,
    displacement_m3: Array,
    speed_rad_s: Array,
    first_efficiency: Array,
    compressors: Array,
    reference_temperature_k: Array = 298.15,
    reference_pressure_pa: Array = 100e3,
) -> MapEfficiency:
    """The efficiency ``shown`` at the corrected flow that the engine takes with it, by passes from the first."""
    efficiency = np.asarray(first_efficiency, dtype=float)
    before = efficiency
    for _ in range(_PASSES):
        hot = outlet_temperature(inlet_temperature_k, pressure_ratio, efficiency)
        charge = cooled_temperature(hot, cooling_air_temperature_k, cooler_effectiveness)
        density = manifold_density(manifold_pressure_pa, charge)
        flow = air_mass_flow(volumetric_efficiency, density, displacement_m3, speed_rad_s)
        corrected = corrected_flow(
            flow, inlet_temperature_k, inlet_pressure_pa, compressors, reference_temperature_k, reference_pressure_pa
        )
        before = efficiency
        efficiency = np.asarray(shown(corrected), dtype=float)
    return MapEfficiency(efficiency, efficiency - before)


@valid(
    pressure_ratio=(1.0, 6.0),
    inlet_temperature_k=(230.0, 340.0),
    inlet_pressure_pa=(20e3, 110e3),
    cooling_air_temperature_k=(230.0, 340.0),
    cooler_effectiveness=(0.0, 1.0),
    manifold_pressure_pa=(20e3, 600e3),
    volumetric_efficiency=(0.3, 1.6),
    displacement_m3=(5e-5, 0.05),
    speed_rad_s=(10.0, 2000.0),
    compressors=(1.0, 4.0),
    inducer_m=(0.02, 0.15),
    choked_share=(0.5, 1.0),
    surge_factor=(0.7, 1.15),
    work_at_no_flow=(0.6, 0.95),
    work_fall=(0.0, 0.4),
    peak_efficiency=(0.6, 0.85),
    choke_efficiency=(0.4, 0.75),
    surge_efficiency=(0.5, 0.8),
    peak_place=(0.2, 0.8),
)
def efficiency_on_class_map(
    pressure_ratio: Array,
    inlet_temperature_k: Array,
    inlet_pressure_pa: Array,
    cooling_air_temperature_k: Array,
    cooler_effectiveness: Array,
    manifold_pressure_pa: Array,
    volumetric_efficiency: Array,
    displacement_m3: Array,
    speed_rad_s: Array,
    compressors: Array,
    inducer_m: Array,
    choked_share: Array,
    surge_factor: Array,
    work_at_no_flow: Array,
    work_fall: Array,
    peak_efficiency: Array,
    choke_efficiency: Array,
    surge_efficiency: Array,
    peak_place: Array,
) -> MapEfficiency:
    """Isentropic efficiency off the map of the class at the flow that the engine takes with it.

    For a compressor of which the wheel is known and nothing else: one that is too small shows as hot air.  Beyond surge
    or choke the efficiency is that of the end; beyond the greatest speed that of the choke end.

    Parameters
    ----------
    pressure_ratio : array
        Outlet over inlet. [1] Valid 1 to 6.
    inlet_temperature_k : array
        Air before the compressor. [K] Valid 230 to 340.
    inlet_pressure_pa : array
        Before the compressor, absolute. [Pa] Valid 20e3 to 110e3.
    cooling_air_temperature_k : array
        At the charge cooler. [K] Valid 230 to 340.
    cooler_effectiveness : array
        Of the charge cooler; 0 without one. [1] Valid 0 to 1.
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.
    volumetric_efficiency : array
        Of manifold density. [1] Valid 0.3 to 1.6.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-5 to 0.05.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 10 to 2000.
    compressors : array
        Side by side. [1] Valid 1 to 4.
    inducer_m : array
        Inlet diameter of the wheel. [m] Valid 0.02 to 0.15.
    choked_share : array
        As of the class map. [1] Valid 0.5 to 1.
    surge_factor : array
        As of the class map. [1] Valid 0.7 to 1.15.
    work_at_no_flow : array
        As of the class map. [1] Valid 0.6 to 0.95.
    work_fall : array
        As of the class map. [1] Valid 0 to 0.4.
    peak_efficiency : array
        As of the class map. [1] Valid 0.6 to 0.85.
    choke_efficiency : array
        As of the class map. [1] Valid 0.4 to 0.75.
    surge_efficiency : array
        As of the class map. [1] Valid 0.5 to 0.8.
    peak_place : array
        As of the class map. [1] Valid 0.2 to 0.8.

    Returns
    -------
    found : MapEfficiency
        Efficiency, and its change by the last of three passes, which tells that they met; broadcast. [1]

    Equation
    --------
    Solved: as efficiency_on_map, with the map of the class, from (choke_efficiency + peak_efficiency) / 2 on

    Source
    ------
    memory

    Examples
    --------
    >>> hill = (0.81, 0.9, 0.79, 0.18, 0.76, 0.6, 0.67, 0.47)
    >>> wheels = np.array([0.048, 0.036])
    >>> found = efficiency_on_class_map(1.7, 298.0, 98e3, 298.0, 0.7, 1.6e5, 0.95, 2e-3, 733.0, 1.0, wheels, *hill)
    >>> found.efficiency.round(2).tolist()
    [0.74, 0.6]
    """
    hill = (choked_share, surge_factor, work_at_no_flow, work_fall, peak_efficiency, choke_efficiency,
            surge_efficiency, peak_place)

    # Both ends hang on the pressure ratio alone; any flow shows them.
    ends = read_class_map(np.zeros_like(np.asarray(pressure_ratio, dtype=float)), pressure_ratio, inducer_m, *hill)

    def shown(corrected: Array) -> Array:
        within = np.clip(corrected, ends.surge_flow_kg_s * WITHIN, ends.choke_flow_kg_s / WITHIN)
        found = read_class_map(within, pressure_ratio, inducer_m, *hill).efficiency
        return np.where(np.isfinite(found), found, choke_efficiency)

    return _met(
        shown, pressure_ratio, inlet_temperature_k, inlet_pressure_pa, cooling_air_temperature_k,
        cooler_effectiveness, manifold_pressure_pa, volumetric_efficiency, displacement_m3, speed_rad_s,
        0.5 * (np.asarray(choke_efficiency) + peak_efficiency), compressors,
    )
