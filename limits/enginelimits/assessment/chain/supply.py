"""Fuel supply, and what the next tank may hold."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.cycle import engine
from enginelimits.physics.gas import octane
from enginelimits.physics.support import direct_injection, fuel_drift, fuel_supply, fuel_tank, lift_pump

PORT, DIRECT, CLASS, TANK = (
    "fuel_system.port_injectors", "fuel_system.direct_injection", "class.fuel_system", "class.tank"
)

REGULATORS = {"boost-referenced": 1.0, "fixed": 0.0}
WITH_PORT = {"engine.injection": ("port", "port-and-direct")}
WITH_DIRECT = {"engine.injection": ("direct", "port-and-direct")}
WITH_BOTH = {"engine.injection": ("port-and-direct",)}
# Of what the tyres can hold in a long corner; a road is not driven at its edge.  From memory.
SUSTAINED = {"street": 0.5, "spirited": 0.75, "track": 1.0, "drag": 0.3}
ACCEPTED_DUTY = {"duty": 0.85}  # street limit of port injectors, common practice
DUTY = {
    "fuel_mass_flow_kg_s": "fuel.mass_flow",
    "injectors": f"{PORT}.count",
    "injector_mass_flow_kg_s": "injector.flow_available",
    "speed_rad_s": "engine.speed",
    "dead_time_s": f"{PORT}.dead_time",
}
REGULATED = {"base_pressure_pa": "fuel_system.base_pressure", "boost_pa": "air.boost"}

PORT_SUPPLY = (
    *(
        Step(("fuel.pressure_difference",), fuel_supply.pressure_difference, REGULATED,
             {"fuel_system.regulator": (kind,), **WITH_PORT}, {"boost_referenced": referenced})
        for kind, referenced in REGULATORS.items()
    ),
    Step(("injector.flow_available",), fuel_supply.injector_mass_flow,
         {"rated_flow_m3_s": f"{PORT}.flow", "rated_pressure_pa": f"{PORT}.rated_at",
          "pressure_difference_pa": "fuel.pressure_difference", "density_kg_m3": "fuel.density"}, WITH_PORT),
    Step(("fuel.port_share",), engine.share_left, {"share": f"{DIRECT}.share"}, WITH_BOTH),
    Step(("injector.port_duty",), fuel_supply.port_duty, DUTY, {"engine.injection": ("port",)}),
    Step(("injector.port_duty",), fuel_supply.port_duty, {**DUTY, "port_share": "fuel.port_share"}, WITH_BOTH),
)

IN_WINDOW = {"fuel_volume_flow_m3_s": "fuel.volume_flow", "injectors": "engine.cylinders",
             "window_rad": f"{DIRECT}.window"}

# One direct injector a cylinder
DIRECT_SUPPLY = (
    Step(("injector.direct_pressure_difference",), direct_injection.direct_pressure_difference,
         {"rail_pressure_pa": f"{DIRECT}.rail_pressure", "boost_pa": "air.boost"}, WITH_DIRECT),
    Step(("injector.direct_flow",), fuel_supply.injector_flow,
         {"rated_flow_m3_s": f"{DIRECT}.flow", "rated_pressure_pa": f"{DIRECT}.rated_at",
          "pressure_difference_pa": "injector.direct_pressure_difference"}, WITH_DIRECT),
    Step(("injector.direct_window_use",), fuel_supply.direct_window_use,
         {**IN_WINDOW, "injector_flow_m3_s": "injector.direct_flow", "direct_share": "fuel.direct_share"}, WITH_DIRECT),
    Step(("injector.direct_end_angle",), direct_injection.end_of_injection,
         {"start_rad": f"{CLASS}.direct_start", "window_rad": f"{DIRECT}.window",
          "window_use": "injector.direct_window_use"}, WITH_DIRECT),
    Step(("rail.pressure_use",), fuel_supply.rail_pressure_use,
         {**IN_WINDOW, "rated_flow_m3_s": f"{DIRECT}.flow", "rated_pressure_pa": f"{DIRECT}.rated_at",
          "rail_pressure_pa": f"{DIRECT}.rail_pressure", "direct_share": "fuel.direct_share"}, WITH_DIRECT),
    Step(("rail.pump_delivery",), direct_injection.pump_delivery_of_standard,
         {"standard_torque_nm": "engine.standard_output.torque.value",
          "standard_specific_fuel_kg_j": f"{CLASS}.standard_specific_fuel",
          "density_kg_m3": "class.fuel.gasoline_density", "reserve": f"{CLASS}.rail_pump_reserve"}, WITH_DIRECT),
    Step(("rail.pump_use",), direct_injection.pump_use,
         {"fuel_volume_flow_m3_s": "fuel.volume_flow", "direct_share": "fuel.direct_share",
          "delivery_m3": (f"{DIRECT}.pump_delivery", "rail.pump_delivery"), "speed_rad_s": "engine.speed"},
         WITH_DIRECT),
    Step(("injector.direct_capacity",), direct_injection.direct_capacity,
         {**IN_WINDOW, "injector_flow_m3_s": "injector.direct_flow"}, WITH_BOTH),
    Step(("injector.port_capacity",), direct_injection.port_capacity, DUTY, WITH_BOTH, ACCEPTED_DUTY),
    Step(("injector.both_capacity",), direct_injection.injection_capacity,
         {"direct_capacity_share": "injector.direct_capacity", "port_capacity_share": "injector.port_capacity"},
         WITH_BOTH),
)

LIFT = (
    *(
        Step(("pump.pressure",), lift_pump.pressure_against, {**REGULATED, "line_loss_pa": f"{CLASS}.line_loss"},
             {"fuel_system.regulator": (kind,)}, {"boost_referenced": referenced})
        for kind, referenced in REGULATORS.items()
    ),
    Step(("pump.voltage",), lift_pump.voltage_at_pump,
         {"system_voltage_v": "fuel_system.system_voltage", "wiring_drop_v": f"{CLASS}.wiring_drop"}),
    Step(("pump.flow_available",), lift_pump.flow_available,
         {"rated_flow_m3_s": "fuel_system.lift_pump.flow", "rated_pressure_pa": "fuel_system.lift_pump.at",
          "rated_voltage_v": "fuel_system.lift_pump.voltage", "pressure_pa": "pump.pressure",
          "voltage_v": "pump.voltage", "stall_pressure_pa": f"{CLASS}.pump_end_pressure"}),
    Step(("pump.lift_use",), lift_pump.use,
         {"required_m3_s": "fuel.volume_flow", "available_m3_s": "pump.flow_available"}),
)

GASOLINE = {"gasoline_density_kg_m3": "class.fuel.gasoline_density",
            "gasoline_stoichiometric_ratio": "class.fuel.gasoline_stoichiometric_ratio", "methanol": "fuel.methanol"}
LAMBDA = {**GASOLINE, "lambda_target": "fuel.lambda_target", "mapped_ethanol": f"{TANK}.ethanol_mapped"}
OCTANE = {"gasoline_ethanol": "fuel.gasoline_ethanol", "octane": "fuel.octane",
          "gasoline_density_kg_m3": "class.fuel.gasoline_density",
          "gasoline_molar_mass_kg_mol": "class.fuel.gasoline_molar_mass", "methanol": "fuel.methanol"}

DRIFT = (
    Step(("fuel.volume_over_gasoline",), fuel_drift.volume_ratio, {**GASOLINE, "ethanol": "fuel.ethanol"},
         fixed={"reference_ethanol": 0.10}),
    Step(("fuel.drift_content",), fuel_drift.content_moved,
         {"mapped_ethanol": f"{TANK}.ethanol_mapped", "lowest_ethanol": f"{TANK}.ethanol_lowest",
          "highest_ethanol": f"{TANK}.ethanol_highest"}),
    Step(("fuel.drift_lambda_rich",), fuel_drift.drifted_lambda, {**LAMBDA, "ethanol": f"{TANK}.ethanol_lowest"}),
    Step(("fuel.drift_lambda_lean",), fuel_drift.drifted_lambda, {**LAMBDA, "ethanol": f"{TANK}.ethanol_highest"}),
    Step(("fuel.mapped_octane",), octane.blend_research_octane, {**OCTANE, "ethanol": f"{TANK}.ethanol_mapped"}),
    Step(("fuel.drift_octane",), octane.blend_research_octane, {**OCTANE, "ethanol": f"{TANK}.ethanol_lowest"}),
    Step(("fuel.drift_octane_lost",), fuel_drift.octane_lost,
         {"octane": "fuel.mapped_octane", "drifted_octane": "fuel.drift_octane"}),
    Step(("fuel.drift_knock_margin",), fuel_drift.margin_left,
         {"knock_margin": "knock.margin", "octane_lost": "fuel.drift_octane_lost"}),
    Step(("fuel.drift_volume",), fuel_drift.volume_ratio,
         {**GASOLINE, "reference_ethanol": "fuel.ethanol", "ethanol": f"{TANK}.ethanol_highest"}),
    Step(("injector.port_duty_highest_ethanol",), fuel_drift.duty_by_volume,
         {"duty": "injector.port_duty", "volume_ratio": "fuel.drift_volume", "dead_time_s": f"{PORT}.dead_time",
          "speed_rad_s": "engine.speed"}, WITH_PORT),
    Step(("injector.direct_window_use_highest_ethanol",), fuel_drift.use_by_volume,
         {"use": "injector.direct_window_use", "volume_ratio": "fuel.drift_volume"}, WITH_DIRECT),
    Step(("pump.lift_use_highest_ethanol",), fuel_drift.use_by_volume,
         {"use": "pump.lift_use", "volume_ratio": "fuel.drift_volume"}),
)

CORNERS = (
    *(
        Step(("tank.lateral_acceleration",), fuel_tank.sustained_acceleration,
             {"lateral_acceleration_m_s2": "vehicle.lateral_acceleration"}, {"goal.use": (use,)}, {"share": share})
        for use, share in SUSTAINED.items()
    ),
    Step(("tank.uncovered_level",), fuel_tank.uncovered_level,
         {"sustained_m_s2": "tank.lateral_acceleration", "width_over_height": f"{CLASS}.tank_width_over_height"}),
)

STEPS = (*PORT_SUPPLY, *DIRECT_SUPPLY, *LIFT, *DRIFT, *CORNERS)
