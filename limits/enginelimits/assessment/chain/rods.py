"""What the connecting rod bears of the forces on it."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.components import rod

SHANK = {
    "shank_area_m2": "internals.rods.shank_area",
    "second_moment_plane_m4": "internals.rods.second_moments.plane",
    "second_moment_across_m4": "internals.rods.second_moments.across",
    "rod_length_m": "engine.rod_length",
}

STEPS = (
    Step(("rod.column_capacity",), rod.rod_column_capacity,
         {**SHANK, "yield_strength_pa": "class.rod.yield_strength",
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
    Step(("rod.fatigue_margin",), rod.shank_fatigue_margin,
         {"compression_n": "rod.compression", "tension_n": "rod.tension",
          "shank_area_m2": "internals.rods.shank_area", "fatigue_strength_pa": "class.rod.fatigue_strength",
          "ultimate_strength_pa": "class.rod.ultimate_strength"}),
    Step(("rod.event_use",), rod.rod_event_use,
         {"bore_m": "engine.bore", "capacity_n": "rod.column_capacity",
          "crankcase_pressure_pa": "ambient.pressure"}),
)
