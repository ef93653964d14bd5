"""What bearings and case bear of the crank, on what film, and the torque that the crank passes on within a turn."""

from __future__ import annotations

from math import pi

from enginelimits.assessment.chain.crank import CRANK
from enginelimits.assessment.columns import Step
from enginelimits.physics.components import bearing, film, oil_viscosity
from enginelimits.physics.mechanics import crank_torque, mains

OIL = (
    Step(("oil.film_temperature",), oil_viscosity.film_temperature,
         {"sump_temperature_k": "class.lubrication.sump_temperature",
          "temperature_rise_k": "class.lubrication.film_temperature_rise"}),
    Step(("oil.viscosity_40",), oil_viscosity.viscosity_at_40,
         {"viscosity_100_m2_s": "class.lubrication.viscosity_100",
          "viscosity_index": "class.lubrication.viscosity_index"}),
    Step(("oil.film_viscosity",), oil_viscosity.film_viscosity,
         {"viscosity_40_m2_s": "oil.viscosity_40", "viscosity_100_m2_s": "class.lubrication.viscosity_100",
          "temperature_k": "oil.film_temperature", "density_15_kg_m3": "class.lubrication.density",
          "expansion_per_k": "class.lubrication.expansion",
          "high_shear_viscosity_pa_s": "class.lubrication.high_shear_viscosity"}),
)

BIG_END_SIZE = {"diameter_m": "internals.bearings.big_end_diameter", "width_m": "internals.bearings.big_end_width"}

BIG_END = (
    Step(("bearing.big_end_load",), bearing.specific_load,
         {"bearing_force_n": "bearing.big_end_force", **BIG_END_SIZE}),
    Step(("bearing.lining_strength",), bearing.lining_strength,
         {"rating_pa": "class.bearing.specific_load_limit", "loss_per_k": "class.bearing.strength_loss",
          "film_temperature_k": "oil.film_temperature"}),
    Step(("bearing.big_end_use",), bearing.lining_use,
         {"specific_load_pa": "bearing.big_end_load", "lining_strength_pa": "bearing.lining_strength"}),
    Step(("bearing.sommerfeld_number",), film.sommerfeld_number,
         {"viscosity_pa_s": "oil.film_viscosity", "speed_rad_s": "engine.speed",
          "diameter_m": "internals.bearings.big_end_diameter", "clearance_m": "internals.bearings.clearance",
          "specific_load_pa": "bearing.big_end_load"}),
    Step(("bearing.big_end_film",), film.smallest_film,
         {"sommerfeld_number": "bearing.sommerfeld_number", **BIG_END_SIZE,
          "clearance_m": "internals.bearings.clearance"}),
)

OVER_CYCLE = {
    "crank_angle_rad": "crank.angle", "cylinder_pressure_pa": "cylinder.pressure_trace",
    "crankcase_pressure_pa": "ambient.pressure", "bore_m": "engine.bore", **CRANK, "speed_rad_s": "engine.speed",
    "reciprocating_mass_kg": "rod.reciprocating_mass", "cylinders": "engine.cylinders",
}
MAINS = {
    **OVER_CYCLE, "rod_mass_kg": "internals.rods.mass", "small_end_mass_kg": "rod.small_end_mass",
    "crank_mass_share": "class.bearing.crank_mass_share",
    "counterweight_share": "class.bearing.counterweight_share",
}

MAIN = (
    Step(("bearing.main_force", "bearing.main_cap_force"), mains.main_loads, MAINS,
         {"engine.layout": ("inline",)}, {"bank_angle_rad": 0.0}),
    Step(("bearing.main_force", "bearing.main_cap_force"), mains.main_loads,
         {**MAINS, "bank_angle_rad": "class.bearing.bank_angle"}, {"engine.layout": ("vee",)}),
    Step(("bearing.main_force", "case.opening_force"), mains.main_loads, MAINS,
         {"engine.layout": ("opposed",)}, {"bank_angle_rad": pi}),
    Step(("bearing.main_load",), bearing.specific_load,
         {"bearing_force_n": "bearing.main_force", "diameter_m": "internals.bearings.main_diameter",
          "width_m": "internals.bearings.main_width"}),
    Step(("bearing.main_use",), bearing.lining_use,
         {"specific_load_pa": "bearing.main_load", "lining_strength_pa": "bearing.lining_strength"}),
)

TORQUE = (
    Step(("crank.torque_peak", "crank.torque_mean"), crank_torque.engine_torque, OVER_CYCLE),
    Step(("crank.torque_peak_ratio",), crank_torque.torque_peak_ratio,
         {"peak_torque_nm": "crank.torque_peak", "mean_torque_nm": "crank.torque_mean"}),
)

STEPS = (*OIL, *BIG_END, *MAIN, *TORQUE)
