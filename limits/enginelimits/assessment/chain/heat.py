"""Heat to coolant and oil by load and use, what sheds it, the crankcase's pressure, and heat at the catalyst."""

from __future__ import annotations

from enginelimits.assessment.chain.air import DRIVEN, NATURAL, TURBO, WITH_BOOST
from enginelimits.assessment.columns import Step
from enginelimits.physics.airflow import compressor
from enginelimits.physics.support import crankcase, engine_heat, heat, radiator

USES = {"goal.use": ("street", "spirited", "track", "drag")}
FLOWS = {"air_mass_flow_kg_s": "air.mass_flow", "fuel_mass_flow_kg_s": "fuel.mass_flow",
         "heat_capacity_j_kgk": "exhaust.heat_capacity"}
FRICTION = {"friction_heat_w": "friction.heat", "friction_to_coolant": "class.cooling.friction_to_coolant"}
RATED = "cooling.radiator_capacity"

SOURCES_OF_HEAT = (
    Step(("fuel.power",), heat.fuel_power,
         {"fuel_mass_flow_kg_s": "fuel.mass_flow", "heating_value_j_kg": "fuel.heating_value"}),
    Step(("exhaust.side_heat",), engine_heat.exhaust_side_heat,
         {**FLOWS, "valve_temperature_k": "exhaust.valve_temperature",
          "outlet_temperature_k": "exhaust.gas_temperature"}),
    Step(("friction.heat",), engine_heat.friction_heat,
         {"friction_mean_effective_pressure_pa": "friction.mean_effective_pressure",
          "displacement_m3": "engine.displacement", "speed_rad_s": "engine.speed"}),
    Step(("oil.heat_from_pistons",), engine_heat.crown_heat_to_oil,
         {"crown_heat_w": "piston.crown_heat", "cylinders": "engine.cylinders",
          "ring_conductance_w_mk": "class.piston.ring_conductance",
          "splash_conductance_w_mk": "class.piston.splash_conductance",
          "jet_conductance_w_mk": "class.piston.jet_conductance", "oil_jets": "internals.pistons.oil_jets"}),
    Step(("coolant.heat",), engine_heat.coolant_heat,
         {"fuel_power_w": "fuel.power", "wall_share": "energy.wall_share",
          "exhaust_side_heat_w": "exhaust.side_heat", "port_share": "class.cooling.port_share",
          "crown_oil_heat_w": "oil.heat_from_pistons", **FRICTION,
          "wall_factor": "class.cooling.wall_factor"}),
    Step(("oil.heat",), engine_heat.oil_heat, {"crown_oil_heat_w": "oil.heat_from_pistons", **FRICTION},
         {"forced_induction.kind": ("none", *DRIVEN)}, {"turbo_heat_w": 0.0, "turbos": 0.0}),
    Step(("oil.heat",), engine_heat.oil_heat,
         {"crown_oil_heat_w": "oil.heat_from_pistons", **FRICTION, "turbo_heat_w": "class.sump.turbo_heat",
          "turbos": "forced_induction.count"}, TURBO),
    Step(("coolant.mean_heat",), engine_heat.mean_heat,
         {"heat_w": "coolant.heat", "duty_share": "class.duty.coolant_share"}, USES),
    Step(("oil.mean_heat",), engine_heat.mean_heat,
         {"heat_w": "oil.heat", "duty_share": "class.duty.oil_share"}, USES),
    Step(("intercooler.mean_heat",), engine_heat.mean_heat,
         {"heat_w": "intercooler.heat", "duty_share": "class.duty.coolant_share"}, {**WITH_BOOST, **USES}),
)

AIR = {"barometer_pa": "ambient.pressure", "air_temperature_k": "site.air_temperature",
       "fan_speed_m_s": "class.cooling.fan_speed", "road_speed_m_s": "class.duty.road_speed"}
RADIATOR_AIR = {**AIR, "rated_road_speed_m_s": f"{RATED}.road_speed"}
CORE = {"rated_heat_w": f"{RATED}.heat", "effectiveness": "class.cooling.effectiveness"}
CORE_IN_AIR = {**CORE, "capacity_ratio": "class.cooling.capacity_ratio",
               "conductance_exponent": "class.cooling.conductance_exponent"}
DIFFERENCE = {"heat_w": "coolant.mean_heat", "at_difference_k": f"{RATED}.at_difference"}
THERMOSTAT = {"thermostat_k": "class.cooling.thermostat"}

RADIATOR = (
    Step(("radiator.air_flow_alone",), radiator.air_flow_ratio, RADIATOR_AIR, USES, {"taken_share": 0.0}),
    Step(("radiator.air_flow",), radiator.air_flow_ratio, RADIATOR_AIR, {**NATURAL, **USES}, {"taken_share": 0.0}),
    Step(("radiator.air_flow",), radiator.air_flow_ratio,
         {**RADIATOR_AIR, "taken_share": "class.intercooler.front_air_share"}, {**WITH_BOOST, **USES}),
    Step(("radiator.capacity",), radiator.heat_at_air_flow, {**CORE_IN_AIR, "air_flow_ratio": "radiator.air_flow"}),
    Step(("radiator.face_temperature",), radiator.face_temperature,
         {"air_temperature_k": "site.air_temperature", **CORE, "at_difference_k": f"{RATED}.at_difference",
          "air_flow_ratio": "radiator.air_flow"}, NATURAL, {"charge_cooler_heat_w": 0.0, "heat_share": 0.0}),
    Step(("radiator.face_temperature",), radiator.face_temperature,
         {"air_temperature_k": "site.air_temperature", **CORE, "at_difference_k": f"{RATED}.at_difference",
          "air_flow_ratio": "radiator.air_flow", "charge_cooler_heat_w": "intercooler.mean_heat",
          "heat_share": "class.intercooler.front_heat_share"}, WITH_BOOST),
    Step(("radiator.difference",), heat.radiator_difference, {**DIFFERENCE, "capacity_w": "radiator.capacity"}),
    Step(("coolant.radiator_use",), heat.radiator_use,
         {**DIFFERENCE, "capacity_w": "radiator.capacity",
          "coolant_temperature_k": "class.cooling.allowed_temperature",
          "air_temperature_k": "radiator.face_temperature"}),
    Step(("coolant.temperature",), radiator.coolant_temperature,
         {"face_temperature_k": "radiator.face_temperature", "difference_k": "radiator.difference", **THERMOSTAT}),
    # the same heat with nothing in front of the radiator
    Step(("radiator.capacity_alone",), radiator.heat_at_air_flow,
         {**CORE_IN_AIR, "air_flow_ratio": "radiator.air_flow_alone"}, WITH_BOOST),
    Step(("radiator.difference_alone",), heat.radiator_difference,
         {**DIFFERENCE, "capacity_w": "radiator.capacity_alone"}, WITH_BOOST),
    Step(("coolant.temperature_alone",), radiator.coolant_temperature,
         {"face_temperature_k": "site.air_temperature", "difference_k": "radiator.difference_alone", **THERMOSTAT},
         WITH_BOOST),
    Step(("coolant.front_cooler_rise",), radiator.front_cooler_rise,
         {"with_cooler_k": "coolant.temperature", "without_cooler_k": "coolant.temperature_alone"}, WITH_BOOST),
    Step(("coolant.pressure",), radiator.system_pressure,
         {"barometer_pa": "ambient.pressure", "cap_pressure_pa": "cooling.coolant_cap"}),
    Step(("coolant.boiling_temperature",), heat.coolant_boiling_temperature,
         {"pressure_pa": "coolant.pressure", "glycol": "cooling.coolant_glycol"}),
    Step(("coolant.boiling_margin",), radiator.boiling_margin,
         {"boiling_temperature_k": "coolant.boiling_temperature", "coolant_temperature_k": "coolant.temperature"}),
)

OIL = (
    Step(("oil.cooler_air_flow",), radiator.air_flow_ratio,
         {**AIR, "rated_road_speed_m_s": "class.sump.cooler_speed"}, USES, {"taken_share": 0.0}),
    Step(("oil.cooler_capacity",), radiator.heat_at_air_flow,
         {"rated_heat_w": "class.sump.cooler_heat", "effectiveness": "class.sump.cooler_effectiveness",
          "capacity_ratio": "class.sump.cooler_capacity_ratio",
          "conductance_exponent": "class.cooling.conductance_exponent", "air_flow_ratio": "oil.cooler_air_flow"}),
    Step(("oil.temperature",), engine_heat.oil_temperature,
         {"mean_heat_w": "oil.mean_heat", "coolant_temperature_k": "coolant.temperature",
          "air_temperature_k": "site.air_temperature", "block_conductance_w_k": "class.sump.block_conductance",
          "sump_conductance_w_k": "class.sump.sump_conductance", "oil_cooler": "cooling.oil_cooler",
          "cooler_heat_w": "oil.cooler_capacity", "at_difference_k": "class.sump.cooler_difference",
          "cooler_opens_k": "class.sump.cooler_opens"}),
)

CRANKCASE = (
    Step(("crankcase.driving_pressure",), crankcase.driving_pressure,
         {"pressure_pa": "cylinder.pressure_trace", "crank_angle_rad": "crank.angle",
          "barometer_pa": "ambient.pressure"}),
    Step(("crankcase.blow_by",), crankcase.blow_by,
         {"driving_pressure_pa": "crankcase.driving_pressure", "top_ring_gap_m": "internals.pistons.top_ring_gap",
          "thermal_closing_m": "ring.thermal_closing", "land_clearance_m": "class.crankcase.land_clearance",
          "leak_area_m2": "class.crankcase.leak_area", "gap_temperature_k": "class.crankcase.gap_temperature",
          "cylinders": "engine.cylinders"}),
    Step(("crankcase.blow_by_share",), crankcase.blow_by_share,
         {"blow_by_kg_s": "crankcase.blow_by", "air_mass_flow_kg_s": "air.mass_flow"}),
    Step(("crankcase.pressure",), crankcase.crankcase_pressure,
         {"blow_by_kg_s": "crankcase.blow_by", "gas_temperature_k": "class.crankcase.gas_temperature",
          "barometer_pa": "ambient.pressure", "breather_area_m2": "class.crankcase.breather_area",
          "inlet_suction_pa": "air.filter_loss", "suction_share": "class.crankcase.suction_share"}),
)

TO_CATALYST = {"gas_temperature_k": "exhaust.gas_temperature", **FLOWS, "pipe_loss_k": "class.exhaust.pipe_loss"}
CATALYST = (
    Step(("turbine.work_taken",), compressor.power,
         {"mass_flow_kg_s": "air.mass_flow", "inlet_temperature_k": "site.air_temperature",
          "outlet_temperature_k": "compressor.outlet_temperature"}, TURBO),
    Step(("catalyst.temperature",), engine_heat.catalyst_temperature,
         {**TO_CATALYST, "turbine_work_w": "turbine.work_taken"}, TURBO),
    Step(("catalyst.temperature",), engine_heat.catalyst_temperature, TO_CATALYST,
         {"forced_induction.kind": ("none", *DRIVEN)}, {"turbine_work_w": 0.0}),
)

STEPS = (*SOURCES_OF_HEAT, *RADIATOR, *OIL, *CRANKCASE, *CATALYST)
