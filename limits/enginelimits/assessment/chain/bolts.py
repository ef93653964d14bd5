"""What holds the cap of the connecting rod."""

from __future__ import annotations

from enginelimits.assessment.chain.crank import CRANK
from enginelimits.assessment.columns import Step
from enginelimits.physics.components import bolt_endurance, fastener, rod_bolt
from enginelimits.physics.mechanics import loads

STEPS = (
    Step(("rod_bolt.stress_area",), fastener.stress_area,
         {"diameter_m": "class.rod_bolt.diameter", "pitch_m": "class.rod_bolt.pitch"}),
    Step(("rod_bolt.preload_of_class",), fastener.preload_from_proof,
         {"stress_area_m2": "rod_bolt.stress_area", "proof_stress_pa": "class.rod_bolt.proof_stress",
          "preload_over_proof": "class.rod_bolt.preload_over_proof"}),
    Step(("rod_bolt.opening_load",), loads.cap_opening_load,
         {**CRANK, "piston_assembly_mass_kg": "piston.assembly_mass",
          "small_end_mass_kg": "rod.small_end_mass", "rod_mass_above_split_kg": "rod.mass_above_split",
          "speed_rad_s": "engine.speed"}),
    Step(("rod_bolt.separation_margin",), rod_bolt.separation_margin,
         {"preload_n": ("internals.rod_bolts.preload", "rod_bolt.preload_of_class"),
          "bolts": "internals.rod_bolts.count", "opening_load_n": "rod_bolt.opening_load"}),
    Step(("rod_bolt.fatigue_margin",), bolt_endurance.thread_endurance_margin,
         {"opening_load_n": "rod_bolt.opening_load", "bolts": "internals.rod_bolts.count",
          "joint_share": "class.rod_bolt.load_share", "stress_area_m2": "rod_bolt.stress_area",
          "endurance_amplitude_pa": "class.rod_bolt.fatigue_strength"}),
)
