"""From cylinder pressure and speed to the forces of the crank mechanism."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.cycle import engine
from enginelimits.physics.mechanics import forces, kinematics, loads

AT_LIMITER = {"stroke_m": "engine.stroke", "speed_rad_s": "engine.limiter"}
CRANK = {"stroke_m": "engine.stroke", "rod_length_m": "engine.rod_length", "pin_offset_m": "engine.pin_offset"}

SPEED = (
    Step(("engine.mean_piston_speed",), kinematics.mean_piston_speed, AT_LIMITER),
    Step(("engine.piston_acceleration",), kinematics.piston_acceleration_at_top,
         {**AT_LIMITER, "rod_length_m": "engine.rod_length", "pin_offset_m": "engine.pin_offset"}),
    Step(("engine.limiter_raise",), engine.over_standard,
         {"as_built": "engine.limiter", "standard": "engine.standard.limiter"}),
)

MASSES = (
    Step(("piston.and_pin_mass",), engine.piston_and_pin_mass,
         {"piston_mass_kg": "internals.pistons.mass", "pin_mass_kg": "internals.pins.mass"}),
    Step(("piston.mass_raise",), engine.over_standard,
         {"as_built": "piston.and_pin_mass", "standard": "engine.standard.piston_and_pin_mass"}),
    Step(("piston.assembly_mass",), engine.piston_assembly_mass,
         {"piston_mass_kg": "internals.pistons.mass", "pin_mass_kg": "internals.pins.mass",
          "ring_pack_mass_kg": "class.piston.ring_pack_mass"}),
    Step(("rod.big_end_mass_of_class",), forces.big_end_mass_by_share,
         {"rod_mass_kg": "internals.rods.mass", "big_end_share": "class.rod.big_end_share"}),
    Step(("rod.small_end_mass",), forces.small_end_mass,
         {"rod_mass_kg": "internals.rods.mass",
          "big_end_mass_kg": ("internals.rods.big_end_mass", "rod.big_end_mass_of_class")}),
    Step(("rod.mass_above_section",), forces.rod_mass_above_section,
         {"rod_mass_kg": "internals.rods.mass", "share_above_section": "class.rod.shank_area_share_above"}),
    Step(("rod.mass_above_split",), forces.rod_mass_above_split,
         {"rod_mass_kg": "internals.rods.mass", "cap_mass_share": "class.rod_bolt.cap_mass_share"}),
    Step(("rod.reciprocating_mass",), forces.reciprocating_mass,
         {"piston_mass_kg": "internals.pistons.mass", "ring_pack_mass_kg": "class.piston.ring_pack_mass",
          "pin_mass_kg": "internals.pins.mass", "small_end_mass_kg": "rod.small_end_mass"}),
)

LOADS = (
    Step(("rod.compression", "rod.compression_angle", "rod.tension", "rod.tension_angle", "pin.force",
          "rod.side_force", "bearing.big_end_force", "bearing.big_end_angle"), loads.loads_over_cycle,
         {"crank_angle_rad": "crank.angle", "cylinder_pressure_pa": "cylinder.pressure_trace",
          "crankcase_pressure_pa": "ambient.pressure", "bore_m": "engine.bore", **CRANK,
          "speed_rad_s": "engine.speed", "piston_assembly_mass_kg": "piston.assembly_mass",
          "rod_mass_kg": "internals.rods.mass", "small_end_mass_kg": "rod.small_end_mass",
          "rod_mass_above_section_kg": "rod.mass_above_section"}),
)

STEPS = (*SPEED, *MASSES, *LOADS)
