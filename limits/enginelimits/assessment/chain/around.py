"""Around the engine: fuel supply, sensors, driveline, and the condition it was found in."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.combustion import preignition
from enginelimits.physics.cycle import engine
from enginelimits.physics.mechanics import friction
from enginelimits.physics.support import driveline, fuel_supply, health, lift_pump, sensors

PORT = "fuel_system.port_injectors"

REGULATORS = {"boost-referenced": 1.0, "fixed": 0.0}
WITH_PORT = {"engine.injection": ("port", "port-and-direct")}
DUTY = {
    "fuel_mass_flow_kg_s": "fuel.mass_flow",
    "injectors": f"{PORT}.count",
    "injector_mass_flow_kg_s": "injector.flow_available",
    "speed_rad_s": "engine.speed",
    "dead_time_s": f"{PORT}.dead_time",
}

FUEL_SUPPLY = (
    *(
        Step((gives,), function, {"base_pressure_pa": "fuel_system.base_pressure", "boost_pa": "air.boost"},
             {"fuel_system.regulator": (kind,)}, {"boost_referenced": referenced})
        for kind, referenced in REGULATORS.items()
        for gives, function in (("fuel.pressure_difference", fuel_supply.pressure_difference),
                                ("pump.pressure", lift_pump.pressure_against))
    ),
    Step(("injector.flow_available",), fuel_supply.injector_mass_flow,
         {"rated_flow_m3_s": f"{PORT}.flow", "rated_pressure_pa": f"{PORT}.rated_at",
          "pressure_difference_pa": "fuel.pressure_difference", "density_kg_m3": "fuel.density"}, WITH_PORT),
    Step(("fuel.port_share",), engine.share_left, {"share": "fuel_system.direct_injection.share"},
         {"engine.injection": ("port-and-direct",)}),
    Step(("injector.port_duty",), fuel_supply.port_duty, DUTY, {"engine.injection": ("port",)}),
    Step(("injector.port_duty",), fuel_supply.port_duty, {**DUTY, "port_share": "fuel.port_share"},
         {"engine.injection": ("port-and-direct",)}),
    Step(("pump.flow_available",), lift_pump.flow_available,
         {"rated_flow_m3_s": "fuel_system.lift_pump.flow", "rated_pressure_pa": "fuel_system.lift_pump.at",
          "rated_voltage_v": "fuel_system.lift_pump.voltage", "pressure_pa": "pump.pressure",
          "voltage_v": "fuel_system.system_voltage"}),
    Step(("pump.lift_use",), lift_pump.use,
         {"required_m3_s": "fuel.volume_flow", "available_m3_s": "pump.flow_available"}),
)

SENSORS = (
    Step(("sensor.manifold_pressure_use",), sensors.manifold_pressure_use,
         {"manifold_pressure_pa": "air.manifold_pressure", "range_pa": "sensors.manifold_pressure_range"}),
    Step(("sensor.air_meter_use",), sensors.air_meter_use,
         {"mass_flow_kg_s": "air.mass_flow", "range_kg_s": "sensors.air_meter_range"}),
)

DRIVELINE = (
    Step(("clutch.reserve",), driveline.clutch_reserve,
         {"capacity_nm": "driveline.clutch_capacity", "torque_nm": "crank.torque"}),
    Step(("gearbox.torque_use",), driveline.gearbox_torque_use,
         {"torque_nm": "crank.torque", "rating_nm": "driveline.gearbox_rating"}),
)

ZONE = "class.preignition"
PREIGNITION = (
    Step(("preignition.band",), preignition.band_mean_effective_pressure,
         {"speed_rad_s": "engine.speed", "lowest_speed_rad_s": f"{ZONE}.lowest_end",
          "middle_speed_rad_s": f"{ZONE}.middle_end", "zone_end_rad_s": f"{ZONE}.zone_end",
          "open_speed_rad_s": f"{ZONE}.open_end", "band_at_lowest_pa": f"{ZONE}.lowest_mep",
          "band_at_middle_pa": f"{ZONE}.middle_mep", "band_at_zone_end_pa": f"{ZONE}.end_mep",
          "band_at_open_pa": f"{ZONE}.open_mep"}),
    Step(("preignition.allowed",), preignition.allowed_for_build,
         {"band_mean_effective_pressure_pa": "preignition.band", "direct_share": "fuel.direct_share",
          "oil_without_category": f"{ZONE}.oil_without_category", "port_relief": f"{ZONE}.port_relief",
          "oil_penalty": f"{ZONE}.oil_penalty", "built_for_boost": "engine.built_for_boost",
          "standard_torque_nm": ("engine.standard_output.torque.value", f"{ZONE}.standard_torque"),
          "displacement_m3": "engine.displacement", "allowance": f"{ZONE}.standard_allowance"}),
    Step(("preignition.zone_margin",), preignition.zone_margin,
         {"allowed_mean_effective_pressure_pa": "preignition.allowed",
          "brake_mean_effective_pressure_pa": "brake.mean_effective_pressure", "speed_rad_s": "engine.speed",
          "zone_end_rad_s": f"{ZONE}.zone_end"}),
    Step(("preignition.torque_cap",), friction.brake_torque,
         {"brake_mean_effective_pressure_pa": "preignition.allowed", "displacement_m3": "engine.displacement"}),
    Step(("engine.torque_cap",), preignition.torque_cap,
         {"zone_torque_nm": "preignition.torque_cap", "clutch_capacity_nm": "driveline.clutch_capacity",
          "gearbox_rating_nm": "driveline.gearbox_rating", "speed_rad_s": "engine.speed",
          "zone_end_rad_s": f"{ZONE}.open_end"}),
)

CONDITION = (
    Step(("condition.leak_down_worst",), health.worst_leak_down,
         {"leak_down": "internals.condition.leak_down"}),
    Step(("condition.compression_spread",), health.compression_spread,
         {"compression_pa": "internals.condition.compression"}),
)

STEPS = (*FUEL_SUPPLY, *SENSORS, *DRIVELINE, *PREIGNITION, *CONDITION)
