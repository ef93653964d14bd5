"""Efficiency where engine and compressor meet on a map: flow follows from charge temperature, which follows from it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.airflow.compressor import corrected_flow, outlet_temperature
from enginelimits.physics.airflow.compressor_map import read_map
from enginelimits.physics.airflow.engine_flow import air_mass_flow, manifold_density
from enginelimits.physics.airflow.intercooler import outlet_temperature as cooled_temperature
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# A wrong efficiency of a tenth moves the charge by some 5 K and the flow by 1.5 %: each pass leaves a tenth or less
_PASSES = 3


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
    efficiency = np.asarray(stated_efficiency, dtype=float)
    before = efficiency
    for _ in range(_PASSES):
        hot = outlet_temperature(inlet_temperature_k, pressure_ratio, efficiency)
        charge = cooled_temperature(hot, cooling_air_temperature_k, cooler_effectiveness)
        density = manifold_density(manifold_pressure_pa, charge)
        flow = air_mass_flow(volumetric_efficiency, density, displacement_m3, speed_rad_s)
        corrected = corrected_flow(
            flow, inlet_temperature_k, inlet_pressure_pa, compressors, reference_temperature_k, reference_pressure_pa
        )
        shown = read_map(
            corrected, pressure_ratio, line_speed_m_s, line_flow_kg_s, line_pressure_ratio, line_efficiency
        ).efficiency
        before = efficiency
        efficiency = np.asarray(np.where(np.isfinite(shown), shown, stated_efficiency), dtype=float)
    return MapEfficiency(efficiency, efficiency - before)
