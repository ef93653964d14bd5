"""From cylinder pressure and speed to what each part of the bottom end and the head joint bears."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.components import (
    bearing,
    bolt_endurance,
    fastener,
    head,
    pin,
    piston,
    ring,
    rod,
    rod_bolt,
    valve,
)
from enginelimits.physics.cycle import engine
from enginelimits.physics.mechanics import forces, kinematics, loads

AT_LIMITER = {"stroke_m": "engine.stroke", "speed_rad_s": "engine.limiter"}
CRANK = {"stroke_m": "engine.stroke", "rod_length_m": "engine.rod_length", "pin_offset_m": "engine.pin_offset"}
SHANK = {
    "shank_area_m2": "internals.rods.shank_area",
    "second_moment_plane_m4": "internals.rods.second_moments.plane",
    "second_moment_across_m4": "internals.rods.second_moments.across",
    "rod_length_m": "engine.rod_length",
}

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
    Step(("rod.small_end_mass",), forces.small_end_mass,
         {"rod_mass_kg": "internals.rods.mass", "big_end_mass_kg": "internals.rods.big_end_mass"}),
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

ROD = (
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

ROD_BOLT = (
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

PISTON = (
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

STEPS = (*SPEED, *MASSES, *LOADS, *ROD, *ROD_BOLT, *PISTON, *HEAD, *EXHAUST_VALVE, *BEARING)
