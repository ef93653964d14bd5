"""From cylinder pressure to torque and power, at the crank and as a dyno shows them."""

from __future__ import annotations

from enginelimits.assessment.chain.air import DRIVEN
from enginelimits.assessment.columns import Step
from enginelimits.physics.cycle import engine
from enginelimits.physics.mechanics import friction, kinematics
from enginelimits.physics.support import driveline, dyno

BRAKE = {
    "gross_mean_effective_pressure_pa": "indicated.mean_effective_pressure",
    "pumping_mean_effective_pressure_pa": "pumping.mean_effective_pressure",
    "friction_mean_effective_pressure_pa": "friction.mean_effective_pressure",
}
# What is displayed at the wheels nobody knows before a dyno is named.
AT = ({"goal.at": ("crank",)}, {"goal.at": ("wheels",), "goal.dyno": ("inertia", "load-controlled", "hub")})
NOT_DRIVEN = {"forced_induction.kind": ("none", "turbocharger")}

BRAKE_OUTPUT = (
    Step(("piston.mean_speed",), kinematics.mean_piston_speed,
         {"stroke_m": "engine.stroke", "speed_rad_s": "engine.speed"}),
    Step(("friction.mean_effective_pressure",), friction.friction_mean_effective_pressure,
         {"peak_pressure_pa": "cylinder.peak_pressure", "mean_piston_speed_m_s": "piston.mean_speed",
          "constant_pa": "class.friction.constant", "peak_pressure_share": "class.friction.peak_pressure_share",
          "speed_coefficient_pa_s_m": "class.friction.speed_coefficient"}),
    Step(("supercharger.mean_effective_pressure",), engine.mean_effective_pressure_of_power,
         {"power_w": "supercharger.drive_power", "displacement_m3": "engine.displacement",
          "speed_rad_s": "engine.speed"}, {"forced_induction.kind": DRIVEN}),
    Step(("brake.mean_effective_pressure",), friction.brake_mean_effective_pressure, BRAKE, NOT_DRIVEN),
    Step(("brake.mean_effective_pressure",), friction.brake_mean_effective_pressure,
         {**BRAKE, "drive_mean_effective_pressure_pa": "supercharger.mean_effective_pressure"},
         {"forced_induction.kind": DRIVEN}),
    Step(("crank.torque",), friction.brake_torque,
         {"brake_mean_effective_pressure_pa": "brake.mean_effective_pressure",
          "displacement_m3": "engine.displacement"}),
    Step(("crank.power",), friction.shaft_power, {"torque_nm": "crank.torque", "speed_rad_s": "engine.speed"}),
    Step(("crank.power_per_displacement",), engine.power_per_displacement,
         {"power_w": "crank.power", "displacement_m3": "engine.displacement"}),
    Step(("crank.power_over_standard",), engine.power_over_standard,
         {"power_w": "crank.power", "standard_power_w": "engine.standard_output.power.value"}),
    Step(("brake.specific_fuel_consumption",), engine.specific_fuel_consumption,
         {"fuel_mass_flow_kg_s": "fuel.mass_flow", "power_w": "crank.power"}),
)

READING = (
    *(
        Step(("dyno.correction",), correction.factor,
             {"barometer_pa": "ambient.pressure", "vapour_pressure_pa": "ambient.vapour_pressure",
              "temperature_k": "site.air_temperature"}, {"goal.correction": (name,)})
        for name, correction in dyno.CORRECTIONS.items()
    ),
    Step(("roller.power",), driveline.roller_power,
         {"crank_power_w": "crank.power", "fixed_loss_w": "driveline.loss.fixed",
          "proportional_loss": "driveline.loss.proportional"}),
    *(
        Step(("wheel.power",), driveline.displayed_power,
             {"roller_power_w": "roller.power", "dyno_factor": "class.dyno.factor", "correction": "dyno.correction"},
             place)
        for place in AT
    ),
    Step(("wheel.torque",), driveline.displayed_torque,
         {"displayed_power_w": "wheel.power", "speed_rad_s": "engine.speed"}),
    Step(("goal.power_reach",), engine.goal_power_reach,
         {"predicted_power_w": "wheel.power", "asked_power_w": "goal.power"}, {"goal.at": ("wheels",)}),
    Step(("goal.power_reach",), engine.goal_power_reach,
         {"predicted_power_w": "crank.power", "asked_power_w": "goal.power"}, {"goal.at": ("crank",)}),
    Step(("goal.torque_reach",), engine.goal_torque_reach,
         {"predicted_torque_nm": "wheel.torque", "asked_torque_nm": "goal.torque"}, {"goal.at": ("wheels",)}),
    Step(("goal.torque_reach",), engine.goal_torque_reach,
         {"predicted_torque_nm": "crank.torque", "asked_torque_nm": "goal.torque"}, {"goal.at": ("crank",)}),
)

STEPS = (*BRAKE_OUTPUT, *READING)
