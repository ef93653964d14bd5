"""The zone of low-speed pre-ignition, caps on torque, and the condition and power an engine was found with."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.combustion import preignition
from enginelimits.physics.cycle import torque_cap
from enginelimits.physics.mechanics import friction
from enginelimits.physics.support import driveline, dyno, health

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
    Step(("rod.torque_cap",), torque_cap.torque_of_rods,
         {"torque_nm": "crank.torque", "compression_n": "rod.compression", "capacity_n": "rod.column_capacity",
          "gas_pressure_pa": "cylinder.peak_gauge_pressure", "bore_m": "engine.bore"}),
    Step(("piston.land_torque_cap",), torque_cap.torque_of_lands,
         {"torque_nm": "crank.torque", "land_use": "piston.land_use"}),
    Step(("engine.torque_cap",), torque_cap.torque_cap,
         {"zone_torque_nm": "preignition.torque_cap", "rod_torque_nm": "rod.torque_cap",
          "land_torque_nm": "piston.land_torque_cap", "clutch_capacity_nm": "driveline.clutch_capacity",
          "gearbox_rating_nm": "driveline.gearbox_rating", "speed_rad_s": "engine.speed",
          "zone_end_rad_s": f"{ZONE}.open_end"}),
)

# What the dyno showed before the work, restated: the weather of the baseline is taken for that of an ordinary day
ORDINARY = {"barometer_pa": "ambient.pressure", "vapour_pressure_pa": "ambient.vapour_pressure",
            "temperature_k": "ambient.ordinary_temperature"}
SHOWN = {"displayed_power_w": "baseline.power", "correction": "baseline.weather_factor"}
BASELINE = (
    *(
        Step(("baseline.weather_factor",), correction.factor, ORDINARY, {"baseline.correction": (name,)})
        for name, correction in dyno.CORRECTIONS.items()
    ),
    Step(("baseline.crank_power",), driveline.crank_power_from_display, SHOWN, {"baseline.at": ("crank",)},
         {"fixed_loss_w": 0.0, "proportional_loss": 0.0, "dyno_factor": 1.0}),
    Step(("baseline.crank_power",), driveline.crank_power_from_display,
         {**SHOWN, "fixed_loss_w": "driveline.loss.fixed", "proportional_loss": "driveline.loss.proportional",
          "dyno_factor": "class.dyno.baseline_factor"},
         {"baseline.at": ("wheels",), "baseline.dyno": ("inertia", "load-controlled", "hub")}),
    Step(("baseline.rating_factor",), dyno.iso_1585_factor, ORDINARY),
    Step(("condition.power_kept",), health.power_kept,
         {"measured_power_w": "baseline.crank_power", "rating_factor": "baseline.rating_factor",
          "standard_power_w": "engine.standard_output.power.value",
          "standard_output_factor": "class.engine.standard_output_factor"}),
)

CONDITION = (
    Step(("condition.leak_down_worst",), health.worst_leak_down,
         {"leak_down": "internals.condition.leak_down"}),
    Step(("condition.compression_spread",), health.compression_spread,
         {"compression_pa": "internals.condition.compression"}),
)

STEPS = (*PREIGNITION, *BASELINE, *CONDITION)
