"""What piston, pin and rings bear."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.components import crown_heat, land, pin, piston, ring, skirt
from enginelimits.physics.cycle import engine

TUBE = {"outer_diameter_m": "internals.pins.outer_diameter", "inner_diameter_m": "internals.pins.inner_diameter"}
SUPPORT = {"pin_length_m": "internals.pins.length", "small_end_width_m": "internals.pins.small_end_width",
           "boss_length_m": "internals.pins.boss_length"}
CROWN = {"bore_m": "engine.bore", "crown_thickness_m": "internals.pistons.crown_thickness"}
BELT = {**CROWN, "conductivity_w_mk": "class.piston.conductivity", "plate_share": "class.piston.plate_share",
        "ring_conductance_w_mk": "class.piston.ring_conductance", "bore_temperature_k": "class.piston.bore_temperature"}
LAND = {"groove_depth_m": "class.piston.groove_depth", "land_height_m": "internals.pistons.land_height"}
NOTCH = {"notch_factor": "class.piston.land_notch_factor"}
OUTSIDE = {"crankcase_pressure_pa": "ambient.pressure"}

PIN = (
    Step(("pin.bearing_pressure",), pin.small_end_pressure,
         {"pin_force_n": "pin.force", "outer_diameter_m": "internals.pins.outer_diameter",
          "small_end_width_m": "internals.pins.small_end_width"}),
    Step(("pin.boss_pressure",), pin.boss_pressure,
         {"pin_force_n": "pin.force", "outer_diameter_m": "internals.pins.outer_diameter",
          "boss_length_m": "internals.pins.boss_length"}),
    Step(("pin.bending_stress",), pin.pin_bending_stress, {"pin_force_n": "pin.force", **TUBE, **SUPPORT}),
    Step(("pin.bending_use",), pin.pin_bending_use,
         {"bending_stress_pa": "pin.bending_stress", "yield_strength_pa": "class.pin.yield_strength"}),
    Step(("pin.wall",), pin.pin_wall, TUBE),
    Step(("pin.ovality",), pin.pin_ovality,
         {"pin_force_n": "pin.force", **TUBE, "pin_length_m": "internals.pins.length",
          "youngs_modulus_pa": "class.pin.youngs_modulus"}),
    Step(("pin.hoop_stress",), pin.pin_hoop_stress,
         {"pin_force_n": "pin.force", **TUBE, "pin_length_m": "internals.pins.length"}),
    Step(("pin.event_use",), pin.pin_event_use,
         {"bore_m": "engine.bore", **TUBE, **SUPPORT, "yield_strength_pa": "class.pin.yield_strength", **OUTSIDE}),
)

CROWN_AND_LANDS = (
    Step(("cylinder.peak_gauge_pressure",), engine.gauge_pressure,
         {"pressure_pa": "cylinder.peak_pressure", "barometer_pa": "ambient.pressure"}),
    Step(("piston.crown_stress",), piston.crown_stress, {"gauge_pressure_pa": "cylinder.peak_gauge_pressure", **CROWN}),
    Step(("piston.crown_event_stress",), piston.crown_event_stress, {**CROWN, **OUTSIDE}),
    Step(("piston.power_per_area",), piston.power_per_area,
         {"brake_power_w": "crank.power", "cylinders": "engine.cylinders", "bore_m": "engine.bore"}),
    Step(("piston.crown_heat",), crown_heat.crown_heat,
         {"wall_heat_j": "cylinder.wall_heat", "open_wall_heat_j": "exhaust.open_wall_heat",
          "speed_rad_s": "engine.speed", "crown_share": "class.piston.crown_share"}),
    Step(("piston.crown_temperature",), crown_heat.crown_temperature,
         {"crown_heat_w": "piston.crown_heat", **BELT, "splash_conductance_w_mk": "class.piston.splash_conductance",
          "jet_conductance_w_mk": "class.piston.jet_conductance", "oil_jets": "internals.pistons.oil_jets",
          "oil_temperature_k": "class.piston.oil_temperature"}),
    Step(("piston.land_temperature",), crown_heat.land_temperature,
         {"crown_temperature_k": "piston.crown_temperature", **BELT}),
    Step(("piston.land_fatigue_strength",), crown_heat.hot_strength,
         {"strength_pa": "class.piston.hot_fatigue_strength", "temperature_k": "piston.land_temperature",
          "ratio_at_150": "class.piston.fatigue_ratio_150", "ratio_at_350": "class.piston.fatigue_ratio_350"}),
    Step(("piston.land_yield_strength",), crown_heat.hot_strength,
         {"strength_pa": "class.piston.hot_yield_strength", "temperature_k": "piston.land_temperature",
          "ratio_at_150": "class.piston.yield_ratio_150", "ratio_at_350": "class.piston.yield_ratio_350"}),
    Step(("piston.land_stress",), land.land_stress,
         {"gauge_pressure_pa": "cylinder.peak_gauge_pressure",
          "pressure_share": "class.piston.land_pressure_share", **LAND}),
    Step(("piston.land_use",), land.land_use,
         {"land_stress_pa": "piston.land_stress", **NOTCH, "fatigue_strength_pa": "piston.land_fatigue_strength"}),
    Step(("piston.land_event_use",), land.land_event_use,
         {**LAND, "dynamic_factor": "class.piston.land_dynamic_factor", **NOTCH,
          "blow_share": "class.piston.blow_share", "yield_strength_pa": "piston.land_yield_strength", **OUTSIDE}),
)

SKIRT = (
    Step(("piston.skirt_pressure",), skirt.skirt_pressure,
         {"side_force_n": "rod.side_force", "bore_m": "engine.bore", "skirt_length_m": "class.piston.skirt_length"}),
    Step(("piston.skirt_temperature",), skirt.skirt_temperature,
         {"skirt_bore_temperature_k": "class.piston.skirt_bore_temperature",
          "crown_temperature_k": "piston.crown_temperature", "bore_temperature_k": "class.piston.bore_temperature",
          "skirt_share": "class.piston.skirt_share"}),
    Step(("piston.skirt_clearance_hot",), skirt.skirt_clearance_hot,
         {"skirt_clearance_m": "internals.pistons.skirt_clearance", "bore_m": "engine.bore",
          "skirt_temperature_k": "piston.skirt_temperature",
          "skirt_bore_temperature_k": "class.piston.skirt_bore_temperature",
          "piston_expansion_per_k": "class.piston.expansion", "bore_expansion_per_k": "class.piston.bore_expansion"}),
    Step(("piston.skirt_clearance_needed",), skirt.skirt_clearance_needed,
         {"least_clearance_m": "class.piston.least_clearance", "bore_m": "engine.bore",
          "crown_temperature_k": "piston.crown_temperature", "skirt_share": "class.piston.skirt_share",
          "piston_expansion_per_k": "class.piston.expansion"}),
    Step(("piston.skirt_clearance_ratio",), skirt.skirt_clearance_ratio,
         {"skirt_clearance_m": "internals.pistons.skirt_clearance", "needed_m": "piston.skirt_clearance_needed"}),
)

RINGS = (
    Step(("ring.temperature",), ring.ring_temperature,
         {"bore_temperature_k": "class.piston.bore_temperature", "power_per_area_w_m2": "piston.power_per_area",
          "ring_rise_k": "class.piston.ring_rise"}),
    Step(("ring.thermal_closing",), ring.thermal_closing,
         {"bore_m": "engine.bore", "ring_temperature_k": "ring.temperature",
          "bore_temperature_k": "class.piston.bore_temperature",
          "ring_expansion_per_k": "class.piston.ring_expansion",
          "bore_expansion_per_k": "class.piston.bore_expansion"}),
    Step(("ring.gap_needed",), ring.gap_needed,
         {"thermal_closing_m": "ring.thermal_closing", "bore_m": "engine.bore",
          "gap_reserve": "class.piston.gap_reserve"}),
    Step(("ring.gap_margin",), ring.gap_margin,
         {"gap_m": "internals.pistons.top_ring_gap", "thermal_closing_m": "ring.thermal_closing"}),
    Step(("ring.top_gap_ratio",), ring.gap_ratio,
         {"gap_m": "internals.pistons.top_ring_gap", "bore_m": "engine.bore"}),
    Step(("ring.second_gap_ratio",), ring.second_gap_ratio,
         {"second_gap_m": "internals.pistons.second_ring_gap", "top_gap_m": "internals.pistons.top_ring_gap"}),
)

STEPS = (*PIN, *CROWN_AND_LANDS, *SKIRT, *RINGS)
