"""What head joint and valve seats bear."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.components import fastener, head, tightening, valve

CLAMP = {
    "preload_n": "head.preload", "fasteners": "internals.head.fasteners", "cylinders": "engine.cylinders",
    "bore_m": "engine.bore", "site_pressure_pa": "ambient.pressure",
}

HEAD = (
    Step(("head.stress_area",), fastener.stress_area,
         {"diameter_m": "class.head.diameter", "pitch_m": "class.head.pitch",
          "depth_over_pitch": "class.head.thread_depth"}),
    Step(("head.preload_of_class",), fastener.preload_from_proof,
         {"stress_area_m2": "head.stress_area", "proof_stress_pa": "class.head.proof_stress",
          "preload_over_proof": "class.head.preload_over_proof"}),
    Step(("head.preload_cold",), tightening.preload_left,
         {"aimed_preload_n": ("internals.head.preload", "head.preload_of_class"),
          "preload_factor": "class.head.preload_factor", "settling": "class.gasket.settling",
          "reuse_loss": "class.head.reuse_loss", "reused": "internals.head.reused"}),
    Step(("head.thermal_gain",), head.thermal_preload_change,
         {"stress_area_m2": "head.stress_area", "youngs_modulus_pa": "class.head.youngs_modulus",
          "joint_share": "class.head.load_share", "member_expansion_per_k": "class.head.member_expansion",
          "bolt_expansion_per_k": "class.head.bolt_expansion",
          "temperature_rise_k": "class.head.temperature_rise", "expanding_share": "class.head.expanding_share"}),
    Step(("head.preload",), head.warm_preload,
         {"cold_preload_n": "head.preload_cold", "gain_n": "head.thermal_gain",
          "stress_area_m2": "head.stress_area", "yield_strength_pa": "class.head.yield_strength"}),
    Step(("head.clamp_ratio",), head.clamp_ratio, {**CLAMP, "peak_pressure_pa": "cylinder.peak_pressure"}),
    Step(("head.clamp_ratio_high",), head.clamp_ratio, {**CLAMP, "peak_pressure_pa": "cylinder.peak_pressure_high"}),
    Step(("head.seal_ratio",), head.seal_ratio,
         {"clamp_ratio": "head.clamp_ratio", "gasket_need": "class.gasket.need"}),
    Step(("head.event_clamp_ratio",), head.event_clamp_ratio, CLAMP),
    Step(("valve.intake_seat_load_lost",), valve.seat_load_lost,
         {"port_pressure_pa": "air.manifold_pressure", "cylinder_pressure_pa": "ambient.pressure",
          "valve_diameter_m": "internals.valves.intake_diameter",
          "seat_load_n": "internals.valves.intake_seat_load"}),
    Step(("valve.float_margin",), valve.float_margin,
         {"float_speed_rad_s": "internals.valves.float_speed", "limiter_rad_s": "engine.limiter"}),
)

EXHAUST_VALVE = (
    Step(("valve.exhaust_seat_load_lost",), valve.seat_load_lost,
         {"port_pressure_pa": "exhaust.pressure", "cylinder_pressure_pa": "air.manifold_pressure",
          "valve_diameter_m": "internals.valves.exhaust_diameter",
          "seat_load_n": "internals.valves.exhaust_seat_load"}),
)

STEPS = (*HEAD, *EXHAUST_VALVE)
