"""The same cylinder twice or four times: what is of one cylinder stays, and what is of the engine doubles.

Each cylinder has its own port, piston and rod, each pair here its own turbocharger, and pump, pulley and maker's
figures are sized by their number: then an engine of four is two engines of two (own computation, similarity).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

MACHINES = {
    "none": "{kind: none}",
    "turbocharger": "{kind: turbocharger, count: %(half)d, boost: 9 psi, compressor: {inducer: 40 mm}}",
    "sized turbocharger": "{kind: turbocharger, count: %(half)d, boost: 9 psi, compressor: {inducer: 40 mm}, "
                          "turbine: {swallowing: 0.09 kg/s}, wastegate: {diameter: 26 mm}}",
    "rotors": "{kind: positive-displacement, boost: 9 psi, supercharger: {drive_ratio: 2.0, "
              "displacement_per_rev: %(rotor)g L, belt_ribs: %(ribs)d, belt_wrap: 150 deg}}",
    "two rotors": "{kind: positive-displacement, boost: 9 psi, count: %(half)d, supercharger: {drive_ratio: 2.0, "
                  "displacement_per_rev: 0.56 L, belt_ribs: %(ribs)d, belt_wrap: 150 deg}}",
}
BUILD = """
build: so many cylinders
goal: {power: 150 hp, at: crank, correction: none, use: track}
engine:
  layout: inline
  cylinders: %(n)d
  bore: 86 mm
  stroke: 86 mm
  compression_ratio: 10
  redline: 7000 rpm
  injection: port-and-direct
  standard_output: {power: {value: %(power)d hp, at: 6200 rpm}, torque: {value: %(torque)d N*m, at: 4500 rpm}}
internals: {head: {fasteners: %(fasteners)d}}
forced_induction: %(machine)s
fuel: {octane: 98 RON, ethanol: 20 %%}
fuel_system:
  port_injectors: {flow: 500 cc/min}
  direct_injection: {rail_pressure: 150 bar, flow: 900 cc/min}
  lift_pump: {flow: %(pump)d L/h, at: 4 bar, voltage: 13.5 V}
sensors: {air_meter_range: %(meter)d g/s}
driveline: {drive: rear}
"""
# The mains, the torque within a turn, core and sump are of the whole engine or of a car: they may move.
OF_A_CYLINDER = (
    "air.volumetric_efficiency", "air.manifold_temperature", "air.mass_per_cycle", "brake.mean_effective_pressure",
    "brake.specific_fuel_consumption", "cylinder.peak_pressure", "combustion.spark_retard", "knock.margin_best_torque",
    "exhaust.pressure", "exhaust.gas_temperature", "exhaust.temperature", "catalyst.temperature", "energy.wall_share",
    "rod.compression", "rod.tension", "rod_bolt.separation_margin", "bearing.big_end_force", "piston.crown_temperature",
    "piston.power_per_area", "ring.gap_margin", "head.clamp_ratio", "injector.port_duty", "injector.direct_window_use",
    "rail.pump_use", "pump.lift_use", "sensor.air_meter_use", "clutch.reserve", "gearbox.torque_use",
    "coolant.radiator_use", "crankcase.pressure", "preignition.zone_margin", "crank.power_over_standard",
)
OF_THE_ENGINE = (
    "engine.displacement", "air.mass_flow", "fuel.mass_flow", "crank.torque", "crank.power", "friction.heat",
    "exhaust.side_heat", "coolant.heat", "oil.heat_from_pistons", "crankcase.blow_by", "rail.pump_delivery",
)
OF_TURBOCHARGERS = ("compressor.corrected_flow", "compressor.efficiency", "compressor.surge_margin", "air.boost")
OF_ROTORS = ("blower.pressure_ratio", "belt.power_per_rib", "belt.reserve", "air.boost")


@cache
def assessed(machine: str, n: int) -> Assessment:
    sizes = {"n": n, "half": n // 2, "power": 37 * n, "torque": 47 * n, "fasteners": 4 * n, "pump": 60 * n,
             "meter": 80 * n, "rotor": 0.28 * n, "ribs": 3 * n}
    text = BUILD % {**sizes, "machine": MACHINES[machine] % sizes}
    speeds = np.radians([2500.0, 4500.0, 7000.0]) * 6.0
    return assess(filled(parse_build(text)), samples=0, speeds=speeds, site_alone=True)


@pytest.mark.parametrize("machine", MACHINES)
def test_four_like_cylinders_are_twice_two(machine: str) -> None:
    two, four = assessed(machine, 2), assessed(machine, 4)
    same = OF_A_CYLINDER + (OF_TURBOCHARGERS if "turbo" in machine else OF_ROTORS if "rotors" in machine else ())
    for ids, times in ((same, 1.0), (OF_THE_ENGINE, 2.0)):
        for id_ in ids:
            once, twice = (np.asarray(of.columns[id_].si) for of in (two, four))
            assert np.isfinite(once).any(), id_
            assert twice == pytest.approx(times * once, rel=1e-6, abs=1e-9, nan_ok=True), id_
