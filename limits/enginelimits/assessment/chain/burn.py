"""From air and fuel to cylinder pressure."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.airflow import engine_flow
from enginelimits.physics.combustion import phasing
from enginelimits.physics.cycle import engine
from enginelimits.physics.cycle.cylinder import cylinder_cycle
from enginelimits.physics.gas import blend, fuel, mixture
from enginelimits.physics.support import fuel_supply

BLEND = {"ethanol": "fuel.ethanol", "gasoline_density_kg_m3": "class.fuel.gasoline_density"}
HALF_BURNED_CLASS = {
    "octane_at_reference": "class.burn.octane_at_reference",
    "reference_compression_ratio": "class.burn.reference_compression_ratio",
    "octane_per_compression": "class.burn.octane_per_compression",
    "octane_per_boost_per_pa": "class.burn.octane_per_boost",
}

FUEL = (
    Step(("fuel.ethanol_mass_fraction",), fuel.ethanol_mass_fraction, BLEND),
    Step(("fuel.density",), fuel.blend_density, BLEND),
    Step(("fuel.heating_value",), fuel.blend_heating_value,
         {**BLEND, "gasoline_heating_value_j_kg": "class.fuel.gasoline_heating_value"}),
    Step(("fuel.stoichiometric_ratio",), fuel.blend_stoichiometric_ratio,
         {**BLEND, "gasoline_stoichiometric_ratio": "class.fuel.gasoline_stoichiometric_ratio"}),
    Step(("fuel.octane_in_tank",), fuel.blend_octane,
         {**BLEND, "gasoline_ethanol": "fuel.gasoline_ethanol", "octane": "fuel.octane",
          "gasoline_molar_mass_kg_mol": "class.fuel.gasoline_molar_mass"}),
    Step(("fuel.molar_mass",), blend.blend_molar_mass,
         {**BLEND, "gasoline_molar_mass_kg_mol": "class.fuel.gasoline_molar_mass"}),
    Step(("fuel.air_fuel_ratio",), blend.air_fuel_ratio,
         {"lambda_ratio": "fuel.lambda_target", "stoichiometric_ratio": "fuel.stoichiometric_ratio"}),
    Step(("fuel.mass_flow",), fuel_supply.fuel_mass_flow,
         {"air_mass_flow_kg_s": "air.mass_flow", "lambda_target": "fuel.lambda_target",
          "stoichiometric_ratio": "fuel.stoichiometric_ratio"}),
    Step(("fuel.volume_flow",), fuel_supply.fuel_volume_flow,
         {"fuel_mass_flow_kg_s": "fuel.mass_flow", "density_kg_m3": "fuel.density"}),
    Step(("fuel.mass_per_cycle",), engine_flow.mass_per_cylinder_cycle,
         {"mass_flow_kg_s": "fuel.mass_flow", "speed_rad_s": "engine.speed", "cylinders": "engine.cylinders"}),
)

TIMING = (
    Step(("combustion.octane_wanted",), phasing.octane_wanted,
         {"boost_pa": "air.boost", "compression_ratio": "engine.compression_ratio", **HALF_BURNED_CLASS}),
    Step(("combustion.angle_of_half_burned",), phasing.half_burned_angle,
         {"octane": ("fuel.blend_octane", "fuel.octane_in_tank"), "boost_pa": "air.boost",
          "compression_ratio": "engine.compression_ratio",
          "half_burned_best_rad": "class.burn.half_burned_best", **HALF_BURNED_CLASS,
          "retard_per_octane_rad": "class.burn.retard_per_octane",
          "half_burned_latest_rad": "class.burn.half_burned_latest"}),
    Step(("combustion.spark_retard",), phasing.spark_retard,
         {"half_burned_angle_rad": "combustion.angle_of_half_burned",
          "half_burned_best_rad": "class.burn.half_burned_best"}),
)

CYLINDER = (
    Step(("cylinder.intake_closing_temperature",), engine_flow.temperature_at_intake_closing,
         {"manifold_temperature_k": "air.manifold_temperature", "charge_heating_k": "class.charge_heating",
          "residual_fraction": "class.residual_fraction", "residual_temperature_k": "class.residual_temperature"}),
    Step(("cylinder.trapped_mass",), engine_flow.trapped_mass,
         {"air_mass_kg": "air.mass_per_cycle", "fuel_mass_kg": "fuel.mass_per_cycle",
          "residual_fraction": "class.residual_fraction"}),
    Step(("cylinder.heat_released",), phasing.released_heat,
         {"fuel_mass_kg": "fuel.mass_per_cycle", "heating_value_j_kg": "fuel.heating_value",
          "lambda_ratio": "fuel.lambda_target", "combustion_efficiency": "class.fuel.combustion_efficiency"}),
    Step(("cylinder.gas_constant",), mixture.gas_constant_unburned,
         {"air_fuel_ratio": "fuel.air_fuel_ratio", "fuel_molar_mass_kg_mol": "fuel.molar_mass"}),
    Step(("cylinder.pressure_trace", "cylinder.peak_pressure", "cylinder.peak_pressure_angle",
          "indicated.mean_effective_pressure", "cylinder.wall_heat", "cylinder.energy_residual",
          "cylinder.unburned_temperature"), cylinder_cycle,
         {"bore_m": "engine.bore", "stroke_m": "engine.stroke", "rod_length_m": "engine.rod_length",
          "compression_ratio": "engine.compression_ratio", "speed_rad_s": "engine.speed",
          "trapped_mass_kg": "cylinder.trapped_mass",
          "closing_temperature_k": "cylinder.intake_closing_temperature",
          "gas_constant_j_kgk": "cylinder.gas_constant", "released_heat_j": "cylinder.heat_released",
          "half_burned_angle_rad": "combustion.angle_of_half_burned",
          "burn_duration_rad": "class.burn.duration", "wiebe_a": "class.burn.exponent_a",
          "wiebe_form": "class.burn.exponent_m", "intake_closing_rad": "engine.intake_closing",
          "exhaust_opening_rad": "engine.exhaust_opening", "wall_temperature_k": "class.wall.temperature",
          "heat_transfer_factor": "class.wall.heat_transfer_factor",
          "intake_pressure_pa": "air.manifold_pressure", "exhaust_pressure_pa": "exhaust.pressure",
          "ethanol_mass_fraction": "fuel.ethanol_mass_fraction"}),
    Step(("cylinder.peak_pressure_high",), engine.peak_pressure_of_high_cycle,
         {"mean_peak_pressure_pa": "cylinder.peak_pressure", "scatter": "class.cycle_scatter"}),
)

STEPS = (*FUEL, *TIMING, *CYLINDER)
