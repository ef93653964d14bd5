"""What holds the cap of the connecting rod."""

from __future__ import annotations

from enginelimits.assessment.chain.crank import CRANK
from enginelimits.assessment.columns import Step
from enginelimits.physics.components import bolt_endurance, clamped_part, fastener, rod_bolt, tightening
from enginelimits.physics.mechanics import loads

# What the tightening aims at: as stated, else as the class has it.
AIMED = ("internals.rod_bolts.preload", "rod_bolt.preload_of_class")
# A class of the workshop may state the share; else it follows from both stiffnesses.
SHARE = ("class.rod_bolt.load_share", "rod_bolt.load_share")
MASSES = {
    "piston_assembly_mass_kg": "piston.assembly_mass", "small_end_mass_kg": "rod.small_end_mass",
    "rod_mass_above_split_kg": "rod.mass_above_split",
}
CLAMP = {"preload_n": "rod_bolt.preload", "bolts": "internals.rod_bolts.count"}

BOLT = {
    "diameter_m": "class.rod_bolt.diameter", "shank_area_m2": "rod_bolt.shank_area",
    "stress_area_m2": "rod_bolt.stress_area", "grip_m": "internals.rod_bolts.grip",
    "thread_share": "class.rod_bolt.thread_share", "youngs_modulus_pa": "class.rod_bolt.youngs_modulus",
}

STIFFNESS = (
    Step(("rod_bolt.stress_area",), fastener.stress_area,
         {"diameter_m": "class.rod_bolt.diameter", "pitch_m": "class.rod_bolt.pitch",
          "depth_over_pitch": "class.rod_bolt.thread_depth"}),
    Step(("rod_bolt.shank_area",), clamped_part.shank_area,
         {"diameter_m": "class.rod_bolt.diameter", "shank_ratio": "class.rod_bolt.shank_ratio"}),
    Step(("rod_bolt.stiffness",), clamped_part.whole_bolt_stiffness, BOLT),
    # A stretch gauge stands on both ends and does not see nut or tapped hole give way.
    Step(("rod_bolt.stiffness_between_ends",), clamped_part.whole_bolt_stiffness, BOLT, fixed={"nut_ratio": 0.0}),
    Step(("rod_bolt.member_stiffness",), clamped_part.boss_stiffness,
         {"diameter_m": "class.rod_bolt.diameter", "grip_m": "internals.rod_bolts.grip",
          "member_ratio": "class.rod_bolt.member_ratio", "youngs_modulus_pa": "class.rod.youngs_modulus"}),
    Step(("rod_bolt.load_share",), clamped_part.load_share,
         {"bolt_stiffness_n_m": "rod_bolt.stiffness", "member_stiffness_n_m": "rod_bolt.member_stiffness",
          "load_introduction": "class.rod_bolt.load_introduction"}),
)

TIGHTENING = (
    Step(("rod_bolt.preload_of_class",), fastener.preload_from_proof,
         {"stress_area_m2": "rod_bolt.stress_area", "proof_stress_pa": "class.rod_bolt.proof_stress",
          "preload_over_proof": "class.rod_bolt.preload_over_proof"}),
    Step(("rod_bolt.preload",), tightening.preload_left,
         {"aimed_preload_n": AIMED, "preload_factor": "class.rod_bolt.preload_factor",
          "reuse_loss": "class.rod_bolt.reuse_loss", "reused": "internals.rod_bolts.reused"}),
    Step(("rod_bolt.stretch",), tightening.bolt_stretch,
         {"preload_n": AIMED, "bolt_stiffness_n_m": "rod_bolt.stiffness_between_ends"}),
    Step(("rod_bolt.torque",), fastener.tightening_torque,
         {"preload_n": AIMED, "nut_factor": "class.rod_bolt.nut_factor", "diameter_m": "class.rod_bolt.diameter"}),
    Step(("rod_bolt.angle",), tightening.tightening_angle,
         {"preload_n": AIMED, "pitch_m": "class.rod_bolt.pitch", "bolt_stiffness_n_m": "rod_bolt.stiffness",
          "member_stiffness_n_m": "rod_bolt.member_stiffness"}),
)

MARGINS = (
    Step(("rod_bolt.opening_load",), loads.cap_opening_load, {**CRANK, **MASSES, "speed_rad_s": "engine.speed"}),
    Step(("rod_bolt.separation_margin",), rod_bolt.separation_margin,
         {**CLAMP, "opening_load_n": "rod_bolt.opening_load"}),
    Step(("rod_bolt.fatigue_margin",), bolt_endurance.thread_endurance_margin,
         {**CLAMP, "opening_load_n": "rod_bolt.opening_load", "joint_share": SHARE,
          "stress_area_m2": "rod_bolt.stress_area", "endurance_amplitude_pa": "class.rod_bolt.fatigue_strength"}),
    Step(("rod_bolt.opening_load_at_limiter",), loads.cap_opening_load,
         {**CRANK, **MASSES, "speed_rad_s": "engine.limiter"}),
    Step(("rod_bolt.separation_margin_at_limiter",), rod_bolt.separation_margin,
         {**CLAMP, "opening_load_n": "rod_bolt.opening_load_at_limiter"}),
    Step(("rod_bolt.opening_speed",), rod_bolt.cap_opening_speed,
         {"speed_rad_s": "engine.limiter", "separation_margin": "rod_bolt.separation_margin_at_limiter"}),
    Step(("rod_bolt.over_rev_margin",), rod_bolt.over_rev_margin,
         {"separation_margin": "rod_bolt.separation_margin_at_limiter", "over_rev": "class.rod_bolt.over_rev"}),
)

STEPS = (*STIFFNESS, *TIGHTENING, *MARGINS)
