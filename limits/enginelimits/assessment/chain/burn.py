"""From air and fuel to cylinder pressure, timing, knock and exhaust."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.airflow import residual, trapped_charge
from enginelimits.physics.combustion import auto_ignition, burn_duration, flame_speed, phasing, wiebe
from enginelimits.physics.cycle import compression, engine, exhaust
from enginelimits.physics.cycle.cylinder import cylinder_cycle
from enginelimits.physics.cycle.timing import USUAL_RETARD, state_at_timing, timing_response
from enginelimits.physics.gas import mixture

SIZE = {"bore_m": "engine.bore", "stroke_m": "engine.stroke", "compression_ratio": "engine.compression_ratio"}
WIEBE = {"wiebe_a": "class.burn.exponent_a", "wiebe_form": "class.burn.exponent_m"}
TIMING_GIVEN, TIMING_OPEN = {"ignition.timing": ("given",)}, {"ignition.timing": ("open",)}

CHARGE = (
    Step(("cylinder.clearance_volume",), compression.clearance_volume, SIZE),
    Step(("cylinder.volume_at_intake_closing",), compression.volume_at_intake_closing,
         {**SIZE, "rod_length_m": "engine.rod_length", "intake_closing_rad": "engine.intake_closing"}),
    Step(("cylinder.effective_compression_ratio",), residual.effective_compression_ratio,
         {"volume_at_intake_closing_m3": "cylinder.volume_at_intake_closing",
          "clearance_volume_m3": "cylinder.clearance_volume"}),
    Step(("cylinder.fresh_mass",), trapped_charge.fresh_mass,
         {"air_mass_kg": "air.mass_per_cycle", "fuel_mass_kg": "fuel.mass_per_cycle",
          "humidity_ratio": "air.humidity_ratio"}),
    Step(("cylinder.residual_mass",), residual.residual_mass,
         {"exhaust_pressure_pa": "exhaust.pressure", "clearance_volume_m3": "cylinder.clearance_volume",
          "residual_temperature_k": "class.residual_temperature", "residual_factor": "class.residual_factor"}),
    Step(("cylinder.residual_fraction",), residual.residual_fraction,
         {"residual_mass_kg": "cylinder.residual_mass", "fresh_mass_kg": "cylinder.fresh_mass"}),
    Step(("cylinder.trapped_mass",), trapped_charge.trapped_mass,
         {"fresh_mass_kg": "cylinder.fresh_mass", "residual_fraction": "cylinder.residual_fraction"}),
    Step(("cylinder.fuel_fraction",), trapped_charge.share_of_mass,
         {"part_kg": "fuel.mass_per_cycle", "whole_kg": "cylinder.trapped_mass"}),
    Step(("cylinder.water_fraction",), trapped_charge.water_share,
         {"air_mass_kg": "air.mass_per_cycle", "humidity_ratio": "air.humidity_ratio",
          "trapped_mass_kg": "cylinder.trapped_mass"}),
    Step(("cylinder.fresh_temperature",), trapped_charge.fresh_temperature,
         {"manifold_temperature_k": "air.manifold_temperature", "charge_heating_k": "class.charge_heating",
          "charge_cooling_k": "fuel.charge_cooling"}),
    Step(("cylinder.intake_closing_temperature",), trapped_charge.temperature_at_intake_closing,
         {"fresh_temperature_k": "cylinder.fresh_temperature", "residual_fraction": "cylinder.residual_fraction",
          "residual_temperature_k": "class.residual_temperature"}),
    Step(("cylinder.gas_constant",), mixture.gas_constant_unburned,
         {"air_fuel_ratio": "fuel.air_fuel_ratio", "fuel_molar_mass_kg_mol": "fuel.molar_mass"}),
)

REFERENCE_STATE = {"unburned_temperature_k": "class.burn.reference_temperature",
                   "pressure_pa": "class.burn.reference_pressure"}
FLAME_RATIO = {"flame_speed_m_s": "combustion.flame_speed",
               "reference_flame_speed_m_s": "combustion.reference_flame_speed",
               "mean_piston_speed_m_s": "piston.mean_speed",
               "reference_mean_piston_speed_m_s": "class.burn.reference_piston_speed",
               "kinematic_viscosity_ratio": "combustion.viscosity_ratio"}

FLAME = (
    Step(("cylinder.temperature_at_top",), compression.temperature_at_top,
         {"closing_temperature_k": "cylinder.intake_closing_temperature",
          "effective_compression_ratio": "cylinder.effective_compression_ratio"}),
    Step(("cylinder.pressure_at_top",), compression.pressure_at_top,
         {"trapped_mass_kg": "cylinder.trapped_mass", "gas_constant_j_kgk": "cylinder.gas_constant",
          "temperature_at_top_k": "cylinder.temperature_at_top",
          "clearance_volume_m3": "cylinder.clearance_volume"}),
    Step(("cylinder.residual_mole_fraction",), residual.residual_mole_fraction,
         {"residual_fraction": "cylinder.residual_fraction"},
         fixed={"residual_molar_mass_kg_mol": 0.0286, "fresh_molar_mass_kg_mol": 0.0303}),
    Step(("combustion.flame_speed",), flame_speed.flame_speed,
         {"unburned_temperature_k": "cylinder.temperature_at_top", "pressure_pa": "cylinder.pressure_at_top",
          "lambda_ratio": "fuel.lambda_target", "residual_mole_fraction": "cylinder.residual_mole_fraction",
          "ethanol_mass_fraction": "fuel.ethanol_mass_fraction",
          "methanol_mass_fraction": "fuel.methanol_mass_fraction"}),
    Step(("combustion.reference_flame_speed",), flame_speed.gasoline_flame_speed,
         {**REFERENCE_STATE, "lambda_ratio": "class.burn.reference_lambda",
          "residual_mole_fraction": "class.burn.reference_residual"}),
    Step(("combustion.viscosity_ratio",), burn_duration.kinematic_viscosity_ratio,
         {"unburned_temperature_k": "cylinder.temperature_at_top", "pressure_pa": "cylinder.pressure_at_top",
          "reference_temperature_k": "class.burn.reference_temperature",
          "reference_pressure_pa": "class.burn.reference_pressure"}),
    Step(("combustion.burn_duration",), burn_duration.burn_duration,
         {"duration_at_reference_rad": "class.burn.duration", **FLAME_RATIO}),
    Step(("combustion.spark_delay",), burn_duration.spark_delay,
         {"delay_at_reference_rad": "class.burn.spark_delay", **FLAME_RATIO}),
)

ONE_CYLINDER = {
    **SIZE, "rod_length_m": "engine.rod_length", "speed_rad_s": "engine.speed",
    "trapped_mass_kg": "cylinder.trapped_mass", "closing_temperature_k": "cylinder.intake_closing_temperature",
    "fuel_mass_fraction": "cylinder.fuel_fraction", "residual_fraction": "cylinder.residual_fraction",
    "water_fraction": "cylinder.water_fraction", "lambda_ratio": "fuel.lambda_target",
    "heating_value_j_kg": "fuel.vapour_heating_value",
    "combustion_efficiency": "class.fuel.combustion_efficiency",
    "ethanol_mass_fraction": "fuel.ethanol_mass_fraction",
    "methanol_mass_fraction": "fuel.methanol_mass_fraction",
    "burn_duration_rad": "combustion.burn_duration", **WIEBE,
    "intake_closing_rad": "engine.intake_closing", "exhaust_opening_rad": "engine.exhaust_opening",
    "wall_temperature_k": "class.wall.temperature", "heat_transfer_factor": "class.wall.heat_transfer_factor",
    "intake_pressure_pa": "air.manifold_pressure", "exhaust_pressure_pa": "exhaust.pressure",
    "knock_temperature_ratio": "knock.temperature_ratio",
}
PEAK_FRICTION = {"friction_peak_share": "class.friction.peak_pressure_share"}

TIMING = (
    Step(("combustion.best_half_burned", "combustion.knock_limited_half_burned", "knock.octane_wanted_at_best",
          "combustion.best_mean_effective_pressure", "combustion.best_peak_pressure",
          "knock.octane_wanted_retarded"), timing_response,
         {**ONE_CYLINDER, **PEAK_FRICTION, "octane_available": "knock.octane_available"}),
    Step(("combustion.angle_of_half_burned",), phasing.half_burned_of_spark,
         {"spark_advance_rad": "ignition.timing", "spark_delay_rad": "combustion.spark_delay",
          "burn_duration_rad": "combustion.burn_duration", **WIEBE}, TIMING_GIVEN),
    Step(("combustion.angle_of_half_burned",), phasing.half_burned_angle_run,
         {"best_rad": "combustion.best_half_burned",
          "knock_limited_rad": "combustion.knock_limited_half_burned",
          "spark_reserve_rad": "ignition.spark_reserve", "latest_rad": "class.burn.half_burned_latest"}, TIMING_OPEN),
    Step(("combustion.spark_retard",), phasing.spark_retard,
         {"half_burned_angle_rad": "combustion.angle_of_half_burned",
          "half_burned_best_rad": "combustion.best_half_burned"}),
    Step(("combustion.start",), wiebe.start_of_combustion,
         {"half_burned_angle_rad": "combustion.angle_of_half_burned",
          "burn_duration_rad": "combustion.burn_duration", **WIEBE}),
    Step(("combustion.spark_advance",), phasing.spark_advance,
         {"start_of_combustion_rad": "combustion.start", "spark_delay_rad": "combustion.spark_delay"}),
)

CYLINDER = (
    Step(("cylinder.pressure_trace", "cylinder.peak_pressure", "cylinder.peak_pressure_angle",
          "indicated.mean_effective_pressure", "cylinder.wall_heat", "cylinder.energy_residual",
          "cylinder.unburned_temperature", "exhaust.opening_pressure", "exhaust.opening_temperature",
          "exhaust.opening_energy", "knock.octane_wanted"), cylinder_cycle,
         {**ONE_CYLINDER, "half_burned_angle_rad": "combustion.angle_of_half_burned"}),
    Step(("cylinder.peak_pressure_scatter",), phasing.pressure_scatter,
         {"scatter_at_best": "class.cycle_scatter", "scatter_growth": "class.cycle_scatter_per_retard",
          "spark_retard_rad": "combustion.spark_retard"}),
    Step(("cylinder.peak_pressure_high",), engine.peak_pressure_of_high_cycle,
         {"mean_peak_pressure_pa": "cylinder.peak_pressure", "scatter": "cylinder.peak_pressure_scatter"}),
    Step(("combustion.torque_lost",), phasing.torque_lost,
         {"best_gross_pa": "combustion.best_mean_effective_pressure",
          "best_peak_pressure_pa": "combustion.best_peak_pressure",
          "gross_pa": "indicated.mean_effective_pressure", "peak_pressure_pa": "cylinder.peak_pressure",
          **PEAK_FRICTION, "brake_pa": "brake.mean_effective_pressure"}),
)

KNOCK = (
    Step(("knock.integral",), auto_ignition.integral_at_octane,
         {"octane_required": "knock.octane_wanted_at_best", "octane": "knock.octane_available"}),
    Step(("knock.margin",), auto_ignition.knock_margin,
         {"octane": "knock.octane_available", "octane_required": "knock.octane_wanted"}),
    Step(("knock.margin_best_torque",), auto_ignition.knock_margin,
         {"octane": "knock.octane_available", "octane_required": "knock.octane_wanted_at_best"}),
    Step(("knock.margin_retarded",), auto_ignition.knock_margin,
         {"octane": "knock.octane_available", "octane_required": "knock.octane_wanted_retarded"}),
)

LEAVING = {**SIZE, "rod_length_m": "engine.rod_length", "exhaust_opening_rad": "engine.exhaust_opening",
           "exhaust_pressure_pa": "exhaust.pressure", "lambda_ratio": "fuel.lambda_target",
           "ethanol_mass_fraction": "fuel.ethanol_mass_fraction",
           "methanol_mass_fraction": "fuel.methanol_mass_fraction", "speed_rad_s": "engine.speed",
           "wall_temperature_k": "class.wall.temperature", "heat_transfer_factor": "class.wall.heat_transfer_factor"}
PORT = {"wall_temperature_k": "class.exhaust.wall_temperature", "transfer_units": "class.exhaust.transfer_units",
        "mass_flow_kg_s": "air.mass_flow", "cylinders": "engine.cylinders",
        "reference_mass_flow_kg_s": "class.exhaust.reference_flow"}

EXHAUST = (
    Step(("exhaust.valve_temperature", "exhaust.energy", "exhaust.chemical_energy", "exhaust.heat_capacity",
          "exhaust.open_wall_heat"), exhaust.exhaust_gas,
         {**LEAVING, "opening_pressure_pa": "exhaust.opening_pressure",
          "opening_temperature_k": "exhaust.opening_temperature", "opening_energy_j_kg": "exhaust.opening_energy"}),
    Step(("exhaust.gas_temperature",), exhaust.port_outlet_temperature,
         {"valve_temperature_k": "exhaust.valve_temperature", **PORT}),
    Step(("exhaust.temperature",), exhaust.probe_reading,
         {"temperature_k": "exhaust.gas_temperature", "probe_error_k": "class.exhaust.probe_error"}),
)

ENERGY = (
    Step(("energy.brake_share", "energy.friction_share", "energy.wall_share", "energy.exhaust_share",
          "energy.unburned_share", "energy.residual"), exhaust.energy_shares,
         {"fuel_mass_kg": "fuel.mass_per_cycle", "air_mass_kg": "air.mass_per_cycle",
          "heating_value_j_kg": "fuel.heating_value", "heat_of_vaporisation_j_kg": "fuel.heat_of_vaporisation",
          "lambda_ratio": "fuel.lambda_target", "combustion_efficiency": "class.fuel.combustion_efficiency",
          "brake_mean_effective_pressure_pa": "brake.mean_effective_pressure",
          "gross_mean_effective_pressure_pa": "indicated.mean_effective_pressure",
          "pumping_mean_effective_pressure_pa": "pumping.mean_effective_pressure",
          "displacement_m3": "engine.displacement", "cylinders": "engine.cylinders",
          "wall_heat_j": "cylinder.wall_heat", "open_wall_heat_j": "exhaust.open_wall_heat",
          "manifold_temperature_k": "air.manifold_temperature",
          "fresh_temperature_k": "cylinder.fresh_temperature",
          "valve_temperature_k": "exhaust.valve_temperature", "outlet_temperature_k": "exhaust.gas_temperature",
          "exhaust_energy_j_kg": "exhaust.energy", "exhaust_chemical_j_kg": "exhaust.chemical_energy",
          "exhaust_heat_capacity_j_kgk": "exhaust.heat_capacity"}),
)

# The same at other boosts, ten degrees later than best torque: stands in for timing when the knock limit is looked for
BOOST_TRIAL = (
    Step(("combustion.retarded_half_burned",), phasing.retarded_half_burned,
         {"best_rad": "combustion.best_half_burned"}, fixed={"retard_rad": float(USUAL_RETARD)}),
    Step(("knock.octane_wanted_at_trial", "exhaust.opening_pressure_at_trial", "exhaust.opening_temperature_at_trial",
          "exhaust.opening_energy_at_trial"), state_at_timing,
         {**ONE_CYLINDER, "half_burned_angle_rad": "combustion.retarded_half_burned"}),
    Step(("knock.margin_at_trial",), auto_ignition.knock_margin,
         {"octane": "knock.octane_available", "octane_required": "knock.octane_wanted_at_trial"}),
    Step(("exhaust.valve_temperature_at_trial", "exhaust.energy_at_trial", "exhaust.chemical_energy_at_trial",
          "exhaust.heat_capacity_at_trial", "exhaust.open_wall_heat_at_trial"), exhaust.exhaust_gas,
         {**LEAVING, "opening_pressure_pa": "exhaust.opening_pressure_at_trial",
          "opening_temperature_k": "exhaust.opening_temperature_at_trial",
          "opening_energy_j_kg": "exhaust.opening_energy_at_trial"}),
    Step(("exhaust.gas_temperature_at_trial",), exhaust.port_outlet_temperature,
         {"valve_temperature_k": "exhaust.valve_temperature_at_trial", **PORT}),
    Step(("exhaust.temperature_at_trial",), exhaust.probe_reading,
         {"temperature_k": "exhaust.gas_temperature_at_trial", "probe_error_k": "class.exhaust.probe_error"}),
)

STEPS = (*CHARGE, *FLAME, *TIMING, *CYLINDER, *KNOCK, *EXHAUST, *ENERGY)
