"""What head joint, valve seats and bearings bear."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.components import bearing, fastener, head, valve

HEAD = (
    Step(("head.stress_area",), fastener.stress_area,
         {"diameter_m": "class.head.diameter", "pitch_m": "class.head.pitch"}),
    Step(("head.preload_of_class",), fastener.preload_from_proof,
         {"stress_area_m2": "head.stress_area", "proof_stress_pa": "class.head.proof_stress",
          "preload_over_proof": "class.head.preload_over_proof"}),
    Step(("head.clamp_ratio",), head.clamp_ratio,
         {"preload_n": ("internals.head.preload", "head.preload_of_class"),
          "fasteners": "internals.head.fasteners", "cylinders": "engine.cylinders", "bore_m": "engine.bore",
          "peak_pressure_pa": "cylinder.peak_pressure", "site_pressure_pa": "ambient.pressure"}),
    Step(("head.clamp_ratio_high",), head.clamp_ratio,
         {"preload_n": ("internals.head.preload", "head.preload_of_class"),
          "fasteners": "internals.head.fasteners", "cylinders": "engine.cylinders", "bore_m": "engine.bore",
          "peak_pressure_pa": "cylinder.peak_pressure_high", "site_pressure_pa": "ambient.pressure"}),
    Step(("head.event_clamp_ratio",), head.event_clamp_ratio,
         {"preload_n": ("internals.head.preload", "head.preload_of_class"),
          "fasteners": "internals.head.fasteners", "cylinders": "engine.cylinders", "bore_m": "engine.bore",
          "site_pressure_pa": "ambient.pressure"}),
    Step(("valve.intake_seat_load_lost",), valve.seat_load_lost,
         {"port_pressure_pa": "air.manifold_pressure", "cylinder_pressure_pa": "ambient.pressure",
          "valve_diameter_m": "internals.valves.intake_diameter",
          "seat_load_n": "internals.valves.intake_seat_load"}),
)

EXHAUST_VALVE = (
    Step(("valve.exhaust_seat_load_lost",), valve.seat_load_lost,
         {"port_pressure_pa": "exhaust.pressure", "cylinder_pressure_pa": "air.manifold_pressure",
          "valve_diameter_m": "internals.valves.exhaust_diameter",
          "seat_load_n": "internals.valves.exhaust_seat_load"}),
)

BEARING = (
    Step(("bearing.big_end_load",), bearing.specific_load,
         {"bearing_force_n": "bearing.big_end_force", "diameter_m": "internals.bearings.big_end_diameter",
          "width_m": "internals.bearings.big_end_width"}),
)

STEPS = (*HEAD, *EXHAUST_VALVE, *BEARING)
