"""Spark, sensors, and where the cuts of the control are to stand."""

from __future__ import annotations

from enginelimits.assessment.chain.air import WITH_BOOST
from enginelimits.assessment.chain.supply import DIRECT, WITH_DIRECT, WITH_PORT
from enginelimits.assessment.columns import Step
from enginelimits.physics.airflow import engine_flow
from enginelimits.physics.support import cuts, ignition, sensors

IGNITION, CUT = "class.ignition", "class.protection"
SIZE = {"bore_m": "engine.bore", "stroke_m": "engine.stroke", "rod_length_m": "engine.rod_length"}

SPARK = (
    Step(("plug.density",), ignition.density_at_spark,
         {**SIZE, "trapped_mass_kg": "cylinder.trapped_mass", "compression_ratio": "engine.compression_ratio",
          "spark_advance_rad": "combustion.spark_advance"}),
    Step(("air.outside_density",), engine_flow.manifold_density,
         {"manifold_pressure_pa": "ambient.pressure", "manifold_temperature_k": "site.air_temperature"}),
    Step(("plug.standard_mass",), ignition.standard_trapped_mass,
         {"trapped_mass_kg": "cylinder.trapped_mass", "manifold_density_kg_m3": "air.manifold_density",
          "outside_density_kg_m3": "air.outside_density", "standard_boost_pa": f"{IGNITION}.standard_boost",
          "barometer_pa": "ambient.pressure"}),
    Step(("plug.standard_density",), ignition.density_at_spark,
         {**SIZE, "trapped_mass_kg": "plug.standard_mass",
          "compression_ratio": "engine.standard.compression_ratio",
          "spark_advance_rad": f"{IGNITION}.standard_spark"}),
    Step(("plug.gap_limit",), ignition.plug_gap_limit,
         {"standard_gap_m": f"{IGNITION}.standard_gap", "standard_density_kg_m3": "plug.standard_density",
          "density_kg_m3": "plug.density", "coil_reserve": f"{IGNITION}.coil_reserve"}),
    Step(("plug.gap_use",), ignition.plug_gap_use,
         {"gap_m": "ignition.plug_gap", "gap_limit_m": "plug.gap_limit"}),
    Step(("plug.heat_step_shortfall",), ignition.heat_step_shortfall,
         {"power_w": "crank.power", "standard_power_w": "engine.standard_output.power.value",
          "power_per_step_w": f"{IGNITION}.power_per_step", "heat_steps_colder": "ignition.heat_steps_colder"}),
)

SENSORS = (
    Step(("sensor.manifold_pressure_use",), sensors.manifold_pressure_use,
         {"manifold_pressure_pa": "air.manifold_pressure", "range_pa": "sensors.manifold_pressure_range"}),
    Step(("sensor.air_meter_use",), sensors.air_meter_use,
         {"mass_flow_kg_s": "air.mass_flow", "range_kg_s": "sensors.air_meter_range"}),
    Step(("sensor.lambda_display",), sensors.displayed_air_fuel_ratio, {"lambda_target": "fuel.lambda_target"}),
    Step(("sensor.lambda_display_beyond",), sensors.display_beyond_fuel,
         {"displayed": "sensor.lambda_display", "air_fuel_ratio": "fuel.air_fuel_ratio"}),
)

CUTS = (
    Step(("protection.boost_cut",), cuts.boost_cut,
         {"greatest_boost_pa": "air.greatest_boost_asked", "margin_pa": f"{CUT}.boost_margin"}, WITH_BOOST),
    Step(("protection.boost_cut_sensor_use",), cuts.sensor_use_at_cut,
         {"boost_cut_pa": "protection.boost_cut", "barometer_pa": "ambient.pressure",
          "range_pa": "sensors.manifold_pressure_range"}, WITH_BOOST),
    Step(("protection.lambda_cut",), cuts.lambda_cut,
         {"lambda_target": "fuel.lambda_target", "margin": f"{CUT}.lambda_margin",
          "leanest": f"{CUT}.leanest_lambda"}, WITH_BOOST),
    Step(("protection.fuel_pressure_cut",), cuts.fuel_pressure_cut,
         {"pressure_difference_pa": "fuel.pressure_difference", "sag_pa": f"{CUT}.fuel_pressure_sag"},
         {**WITH_BOOST, **WITH_PORT}),
    Step(("protection.rail_pressure_cut",), cuts.rail_pressure_cut,
         {"rail_pressure_pa": f"{DIRECT}.rail_pressure", "share_lost": f"{CUT}.rail_pressure_lost"},
         {**WITH_BOOST, **WITH_DIRECT}),
    Step(("protection.oil_pressure_cut",), cuts.oil_pressure_cut,
         {"speed_rad_s": "engine.speed", "per_thousand_pa": f"{CUT}.oil_pressure_per_thousand",
          "idle_pa": f"{CUT}.oil_pressure_least"}, WITH_BOOST),
    Step(("protection.charge_temperature_cut",), cuts.charge_temperature_cut,
         {"charge_temperature_k": "charge.temperature_end_of_pull", "margin_k": f"{CUT}.charge_margin",
          "hottest_k": f"{CUT}.charge_hottest"}, WITH_BOOST),
)

STEPS = (*SPARK, *SENSORS, *CUTS)
