"""Fuel supply, spark and sensors."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.cycle import engine
from enginelimits.physics.support import fuel_supply, lift_pump, sensors

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

STEPS = (*FUEL_SUPPLY, *SENSORS)
