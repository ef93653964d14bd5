"""What piston, pin and rings bear."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.components import pin, piston, ring
from enginelimits.physics.cycle import engine

STEPS = (
    Step(("pin.bearing_pressure",), pin.small_end_pressure,
         {"pin_force_n": "pin.force", "outer_diameter_m": "internals.pins.outer_diameter",
          "small_end_width_m": "internals.pins.small_end_width"}),
    Step(("pin.boss_pressure",), pin.boss_pressure,
         {"pin_force_n": "pin.force", "outer_diameter_m": "internals.pins.outer_diameter",
          "boss_length_m": "internals.pins.boss_length"}),
    Step(("pin.bending_stress",), pin.pin_bending_stress,
         {"pin_force_n": "pin.force", "outer_diameter_m": "internals.pins.outer_diameter",
          "inner_diameter_m": "internals.pins.inner_diameter", "pin_length_m": "internals.pins.length",
          "small_end_width_m": "internals.pins.small_end_width", "boss_length_m": "internals.pins.boss_length"}),
    Step(("cylinder.peak_gauge_pressure",), engine.gauge_pressure,
         {"pressure_pa": "cylinder.peak_pressure", "barometer_pa": "ambient.pressure"}),
    Step(("piston.crown_stress",), piston.crown_stress,
         {"gauge_pressure_pa": "cylinder.peak_gauge_pressure", "bore_m": "engine.bore",
          "crown_thickness_m": "internals.pistons.crown_thickness"}),
    Step(("piston.power_per_area",), piston.power_per_area,
         {"brake_power_w": "crank.power", "cylinders": "engine.cylinders", "bore_m": "engine.bore"}),
    Step(("ring.thermal_closing",), ring.thermal_closing,
         {"bore_m": "engine.bore", "ring_temperature_k": "class.piston.ring_temperature",
          "bore_temperature_k": "class.piston.bore_temperature",
          "ring_expansion_per_k": "class.piston.ring_expansion",
          "bore_expansion_per_k": "class.piston.bore_expansion"}),
    Step(("ring.gap_margin",), ring.gap_margin,
         {"gap_m": "internals.pistons.top_ring_gap", "thermal_closing_m": "ring.thermal_closing"}),
    Step(("ring.top_gap_ratio",), ring.gap_ratio,
         {"gap_m": "internals.pistons.top_ring_gap", "bore_m": "engine.bore"}),
)
