"""What the connecting rod bears of the forces on it."""

from __future__ import annotations

from enginelimits.assessment.chain.crank import CRANK
from enginelimits.assessment.columns import Step
from enginelimits.physics.components import fatigue, rod, rod_bending, small_end
from enginelimits.physics.components.temperature_strength import strength_at_temperature
from enginelimits.physics.mechanics import loads

PLANE = "internals.rods.second_moments.plane"
SHANK = {
    "shank_area_m2": "internals.rods.shank_area",
    "second_moment_plane_m4": PLANE,
    "second_moment_across_m4": "internals.rods.second_moments.across",
    "rod_length_m": "engine.rod_length",
}
FATIGUE = {"fatigue_strength_pa": "class.rod.fatigue_strength", "ultimate_strength_pa": "class.rod.ultimate_strength"}

COLUMN = (
    Step(("rod.yield_at_temperature",), strength_at_temperature,
         {"strength_pa": "class.rod.yield_strength", "temperature_k": "class.rod.temperature",
          "strength_loss_per_k": "class.rod.strength_loss"}),
    Step(("rod.column_capacity",), rod.rod_column_capacity,
         {**SHANK, "yield_strength_pa": "rod.yield_at_temperature",
          "youngs_modulus_pa": "class.rod.youngs_modulus"}),
    Step(("rod.column_use",), rod.column_use,
         {"compression_n": "rod.compression", "capacity_n": "rod.column_capacity"}),
    Step(("rod.compression_high",), rod.compression_in_high_cycle,
         {"compression_n": "rod.compression", "peak_pressure_pa": "cylinder.peak_pressure",
          "high_peak_pressure_pa": "cylinder.peak_pressure_high", "bore_m": "engine.bore"}),
    Step(("rod.column_use_high",), rod.column_use,
         {"compression_n": "rod.compression_high", "capacity_n": "rod.column_capacity"}),
    Step(("rod.rankine_capacity",), rod.rod_rankine_capacity,
         {**SHANK, "crushing_stress_pa": "class.rod.crushing_stress"}),
    Step(("rod.rankine_use",), rod.column_use,
         {"compression_n": "rod.compression", "capacity_n": "rod.rankine_capacity"}),
    Step(("rod.event_use",), rod.rod_event_use,
         {"bore_m": "engine.bore", "capacity_n": "rod.column_capacity",
          "crankcase_pressure_pa": "ambient.pressure"}),
)

SHANK_FATIGUE = (
    Step(("rod.shank_mass",), rod_bending.shank_mass,
         {"density_kg_m3": "class.rod.density", "shank_area_m2": "internals.rods.shank_area",
          "rod_length_m": "engine.rod_length", "section_growth": "class.rod.section_growth"}),
    Step(("rod.half_depth",), rod_bending.shank_half_depth,
         {"second_moment_plane_m4": PLANE, "shank_area_m2": "internals.rods.shank_area",
          "depth_over_gyration": "class.rod.depth_over_gyration"}),
    Step(("rod.whip_stress", "rod.stress_amplitude", "rod.stress_mean"), rod_bending.shank_stresses,
         {"crank_angle_rad": "crank.angle", "cylinder_pressure_pa": "cylinder.pressure_trace",
          "crankcase_pressure_pa": "ambient.pressure", "bore_m": "engine.bore", **CRANK,
          "speed_rad_s": "engine.speed", "piston_assembly_mass_kg": "piston.assembly_mass",
          "rod_mass_above_section_kg": "rod.mass_above_section", "shank_mass_kg": "rod.shank_mass",
          "section_position": "class.rod.section_position", "shank_area_m2": "internals.rods.shank_area",
          "second_moment_plane_m4": PLANE, "half_depth_m": "rod.half_depth", **FATIGUE}),
    Step(("rod.fatigue_margin",), fatigue.goodman_margin,
         {"stress_amplitude_pa": "rod.stress_amplitude", "mean_stress_pa": "rod.stress_mean", **FATIGUE}),
    Step(("rod.whip_share",), rod_bending.whip_share,
         {"whip_stress_pa": "rod.whip_stress", "fatigue_strength_pa": "class.rod.fatigue_strength"}),
    Step(("rod.fatigue_strength_by_handbook",), fatigue.shank_strength_by_handbook,
         {"ultimate_strength_pa": "class.rod.ultimate_strength"}),
)

BUSH = {"pin_diameter_m": "internals.pins.outer_diameter", "bush_diameter_m": "rod.bush_diameter",
        "eye_diameter_m": "rod.eye_diameter"}
MODULI = {"youngs_modulus_pa": "class.rod.youngs_modulus", "bush_modulus_pa": "class.rod.bush_modulus"}

SMALL_END = (
    Step(("rod.bush_diameter",), small_end.ring_around,
         {"pin_diameter_m": "internals.pins.outer_diameter", "inner_diameter_m": "internals.pins.outer_diameter",
          "wall_over_pin": "class.rod.bush_wall_share"}),
    Step(("rod.eye_diameter",), small_end.ring_around,
         {"pin_diameter_m": "internals.pins.outer_diameter", "inner_diameter_m": "rod.bush_diameter",
          "wall_over_pin": "class.rod.eye_wall_share"}),
    Step(("rod.bush_pressure",), small_end.bush_pressure,
         {**BUSH, **MODULI, "interference_m": "class.rod.bush_interference",
          "eye_temperature_k": "class.rod.temperature", "bush_growth_per_k": "class.rod.bush_growth"}),
    Step(("rod.bush_stress",), small_end.bush_stress,
         {"bush_pressure_pa": "rod.bush_pressure", "bush_diameter_m": "rod.bush_diameter",
          "eye_diameter_m": "rod.eye_diameter"}),
    Step(("rod.small_end_pull",), loads.rod_tension_at_exhaust_top,
         {**CRANK, "mass_above_kg": "piston.assembly_mass", "speed_rad_s": "engine.speed"}),
    Step(("rod.small_end_stress", "rod.small_end_push_stress", "rod.small_end_stress_amplitude",
          "rod.small_end_stress_mean"), small_end.eye_stresses,
         {**BUSH, **MODULI, "pull_n": "rod.small_end_pull", "push_n": "pin.force",
          "built_in_angle_rad": "class.rod.eye_built_in_angle", "eye_width_m": "internals.pins.small_end_width",
          "bush_stress_pa": "rod.bush_stress"}),
    Step(("rod.small_end_fatigue_margin",), fatigue.goodman_margin,
         {"stress_amplitude_pa": "rod.small_end_stress_amplitude", "mean_stress_pa": "rod.small_end_stress_mean",
          **FATIGUE}),
)

STEPS = (*COLUMN, *SHANK_FATIGUE, *SMALL_END)
