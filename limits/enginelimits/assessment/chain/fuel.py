"""What is in the tank, how much of it the engine takes, and what it holds against knock."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.airflow import engine_flow
from enginelimits.physics.combustion import auto_ignition
from enginelimits.physics.cycle import engine
from enginelimits.physics.gas import blend, fuel, octane, vaporisation
from enginelimits.physics.support import fuel_supply

BLEND = {"ethanol": "fuel.ethanol", "methanol": "fuel.methanol",
         "gasoline_density_kg_m3": "class.fuel.gasoline_density"}
SOLD = {**BLEND, "gasoline_ethanol": "fuel.gasoline_ethanol",
        "gasoline_molar_mass_kg_mol": "class.fuel.gasoline_molar_mass"}

PROPERTIES = (
    Step(("fuel.ethanol_mass_fraction",), blend.ethanol_mass_fraction, BLEND),
    Step(("fuel.methanol_mass_fraction",), blend.methanol_mass_fraction, BLEND),
    Step(("fuel.density",), blend.blend_density, BLEND),
    Step(("fuel.heating_value",), fuel.blend_heating_value,
         {**BLEND, "gasoline_heating_value_j_kg": "class.fuel.gasoline_heating_value"}),
    Step(("fuel.stoichiometric_ratio",), fuel.blend_stoichiometric_ratio,
         {**BLEND, "gasoline_stoichiometric_ratio": "class.fuel.gasoline_stoichiometric_ratio"}),
    Step(("fuel.heat_of_vaporisation",), fuel.blend_heat_of_vaporisation,
         {**BLEND, "gasoline_heat_of_vaporisation_j_kg": "class.fuel.gasoline_heat_of_vaporisation"}),
    Step(("fuel.vapour_heating_value",), fuel.vapour_heating_value,
         {"heating_value_j_kg": "fuel.heating_value", "heat_of_vaporisation_j_kg": "fuel.heat_of_vaporisation"}),
    Step(("fuel.molar_mass",), blend.blend_molar_mass,
         {**BLEND, "gasoline_molar_mass_kg_mol": "class.fuel.gasoline_molar_mass"}),
)

FLOW = (
    Step(("fuel.air_fuel_ratio",), blend.air_fuel_ratio,
         {"lambda_ratio": "fuel.lambda_target", "stoichiometric_ratio": "fuel.stoichiometric_ratio"}),
    Step(("fuel.mass_flow",), fuel_supply.fuel_mass_flow,
         {"air_mass_flow_kg_s": "air.dry_mass_flow", "lambda_target": "fuel.lambda_target",
          "stoichiometric_ratio": "fuel.stoichiometric_ratio"}),
    Step(("fuel.volume_flow",), fuel_supply.fuel_volume_flow,
         {"fuel_mass_flow_kg_s": "fuel.mass_flow", "density_kg_m3": "fuel.density"}),
    Step(("fuel.mass_per_cycle",), engine_flow.mass_per_cylinder_cycle,
         {"mass_flow_kg_s": "fuel.mass_flow", "speed_rad_s": "engine.speed", "cylinders": "engine.cylinders"}),
)

OCTANE = (
    Step(("fuel.octane_in_tank",), octane.blend_research_octane, {**SOLD, "octane": "fuel.octane"}),
    Step(("fuel.motor_octane_as_sold",), octane.motor_octane_of_gasoline,
         {"octane": "fuel.octane", "sensitivity": "class.tank.research_over_motor_octane"}),
    Step(("fuel.motor_octane_in_tank",), octane.blend_motor_octane,
         {**SOLD, "motor_octane": ("fuel.motor_octane", "fuel.motor_octane_as_sold"),
          "synergy": "class.fuel.motor_octane_synergy"}),
    Step(("knock.octane_index",), octane.octane_index,
         {"research_octane": ("fuel.blend_octane", "fuel.octane_in_tank"),
          "motor_octane": "fuel.motor_octane_in_tank",
          "k": "class.fuel.octane_index_k"}),
    Step(("knock.octane_beyond_scale",), octane.octane_beyond_scale, {"octane_index": "knock.octane_index"}),
    Step(("knock.octane_of_fuel",), octane.extrapolated_octane,
         {"octane_index": "knock.octane_index", "beyond_scale_factor": "class.fuel.beyond_scale_factor"}),
    Step(("knock.humidity_change",), octane.humidity_octane,
         {"humidity_ratio": "air.humidity_ratio", "reference_humidity_ratio": "class.knock.reference_humidity",
          "octane_per_humidity": "class.fuel.octane_per_humidity"}),
    Step(("knock.octane_available",), auto_ignition.octane_available,
         {"octane": "knock.octane_of_fuel", "offset": ("knock.anchored_offset", "class.knock.octane_offset"),
          "carried": ("knock.anchored_spread", "class.knock.carried"), "wanted_change": "knock.humidity_change"}),
)

EVAPORATED = {"direct_share": "fuel.direct_share", "port_evaporated": "class.fuel.port_evaporated",
              "direct_evaporated": "class.fuel.direct_evaporated"}

COOLING = (
    Step(("fuel.direct_share",), engine.share_left, {}, {"engine.injection": ("port",)}, {"share": 1.0}),
    Step(("fuel.direct_share",), engine.share_left, {}, {"engine.injection": ("direct",)}, {"share": 0.0}),
    Step(("fuel.direct_share",), engine.share_left, {"share": "fuel.port_share"},
         {"engine.injection": ("port-and-direct",)}),
    Step(("fuel.charge_cooling",), vaporisation.charge_cooling,
         {**EVAPORATED, "heat_of_vaporisation_j_kg": "fuel.heat_of_vaporisation",
          "air_fuel_ratio": "fuel.air_fuel_ratio"}),
    Step(("fuel.gasoline_air_fuel_ratio",), blend.air_fuel_ratio,
         {"lambda_ratio": "fuel.lambda_target", "stoichiometric_ratio": "class.fuel.gasoline_stoichiometric_ratio"}),
    Step(("fuel.gasoline_cooling",), vaporisation.charge_cooling,
         {**EVAPORATED, "heat_of_vaporisation_j_kg": "class.fuel.gasoline_heat_of_vaporisation",
          "air_fuel_ratio": "fuel.gasoline_air_fuel_ratio"}),
    Step(("fuel.reference_cooling",), vaporisation.reference_charge_cooling,
         {**EVAPORATED, "lambda_ratio": "fuel.lambda_target"}),
    Step(("fuel.cooling_held_by_research_octane",), vaporisation.cooling_held_by_research_octane,
         {"heat_of_vaporisation_j_kg": "fuel.heat_of_vaporisation",
          "stoichiometric_ratio": "fuel.stoichiometric_ratio", "test_evaporated": "class.fuel.test_evaporated"}),
    Step(("fuel.cooling_held_by_octane",), vaporisation.cooling_held_by_index,
         {"held_k": "fuel.cooling_held_by_research_octane", "limit_k": "class.fuel.test_cooling_limit",
          "k": "class.fuel.octane_index_k"}),
    Step(("fuel.cooling_beyond_test",), vaporisation.cooling_beyond_test,
         {"charge_cooling_k": "fuel.charge_cooling", "reference_cooling_k": "fuel.reference_cooling",
          "held_k": "fuel.cooling_held_by_octane"}),
    Step(("knock.temperature_ratio",), vaporisation.knock_temperature_ratio,
         {"charge_cooling_k": "fuel.charge_cooling", "reference_cooling_k": "fuel.reference_cooling",
          "cooling_beyond_test_k": "fuel.cooling_beyond_test",
          "closing_temperature_k": "cylinder.intake_closing_temperature"}),
)

STEPS = (*PROPERTIES, *FLOW, *OCTANE, *COOLING)
