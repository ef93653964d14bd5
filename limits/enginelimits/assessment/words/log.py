"""Quantities read off a log of pulls: what was held there, pull by pull, over engine speed."""

from __future__ import annotations

from functools import partial

from enginelimits.assessment.quantity_kind import QuantityKind

# Held: the worst level that lasts over a span of speeds; what lasts less is taken for noise.


def words() -> tuple[QuantityKind, ...]:
    q = partial(QuantityKind, measured=True)
    return (
        q("log.boost", "Pa", "high", "Boost measured, gauge, held over 200 rpm.",
          root="boost", counterparts=("air.boost",)),
        q("log.boost_overshoot", "Pa", "high", "Boost measured over that asked for, held over 100 rpm.",
          root="boost", counterparts=("boost.overshoot",)),
        q("log.boost_overshoot_share", "1", "high", "The same as a share of the boost asked for.",
          root="boost", counterparts=("boost.overshoot",)),
        q("log.boost_held", "1", "low", "Boost measured over that asked for, from where it was first there; the "
          "worst held over 300 rpm.",
          root="boost", counterparts=("air.boost_reach",)),
        q("log.boost_reach", "1", "low", "Boost measured over that predicted, the worst held over 300 rpm.",
          root="boost", counterparts=("air.boost_reach",)),
        q("log.boost_delay", "rad/s", "high", "Speed at which 95 % of the boost asked for was there, over that "
          "predicted.", varies=False,
          root="boost", counterparts=("turbine.boost_threshold",)),
        q("log.boost_creep", "Pa", "high", "Rise of boost over the last 1000 rpm, on the spring alone and once it is "
          "there.",
          root="boost", counterparts=("boost.creep", "forced_induction.wastegate.diameter")),
        q("log.manifold_pressure_use", "1", "high", "Manifold pressure held over 200 rpm, over what its sensor can "
          "read.",
          root="boost", counterparts=("sensor.manifold_pressure_use",)),
        q("log.air_meter_use", "1", "high", "Air flow held over 200 rpm, over what the air meter can read.",
          root="air flow", counterparts=("sensor.air_meter_use",)),
        q("log.air_meter_flat", "rad/s", "high", "Width of the speeds over which the air meter stood still at its "
          "highest reading.", varies=False,
          root="air flow", counterparts=("sensor.air_meter_use",)),
        q("log.lambda", "1", "high", "Lambda measured, the leanest held over 200 rpm.",
          root="mixture", counterparts=("fuel.lambda_target",)),
        q("log.lambda_richest", "1", "low", "Lambda measured, the richest held over 500 rpm.",
          root="mixture", counterparts=("fuel.lambda_target",)),
        q("log.lambda_error", "1", "high", "Lambda measured less that asked for, held over 200 rpm.",
          root="mixture", counterparts=("injector.port_duty", "pump.lift_use")),
        q("log.lambda_disagreement", "1", "high", "Between two lambda sensors, held over 500 rpm.",
          root="mixture"),
        q("log.fuel_pressure_drop", "Pa", "high", "Of fuel pressure from what the pull began with, held over 200 rpm; "
          "over the port, or over the air outside with a fixed regulator that boost does not move.",
          root="fuel supply", counterparts=("pump.lift_use",)),
        q("log.fuel_pressure_offset", "Pa", "high", "Between the fuel pressure that the pull began with and the base "
          "stated, either way.", varies=False, root="fuel supply"),
        q("log.injector_duty", "1", "high", "Of the port injectors, dead time included, held over 200 rpm.",
          root="fuel supply", counterparts=("injector.port_duty",)),
        q("log.rail_deviation", "1", "high", "What rail pressure lacks of that asked for, held over 200 rpm.",
          root="fuel supply", counterparts=("rail.pump_use",)),
        q("log.ethanol_difference", "1", "high", "Between the ethanol content measured and that of the build, either "
          "way.",
          root="fuel", counterparts=("fuel.drift_content", "fuel_system.ethanol_sensor.fitted")),
        q("log.knock_retard", "rad", "high", "Taken out for knock of one cylinder, held over 300 rpm or come back in "
          "another pull within 100 rpm.",
          root="knock", counterparts=("knock.margin",)),
        q("log.charge_temperature", "K", "high", "In the manifold, noise taken out over 200 rpm.",
          root="charge heat", counterparts=("charge.temperature_end_of_pull",)),
        q("log.charge_temperature_rise", "K", "high", "Of the charge over the last 1000 rpm, boost not rising.",
          root="charge heat", counterparts=("charge.temperature_end_of_pull",)),
        q("log.charge_temperature_soak", "K", "high", "Of the charge over that two pulls before, at the same "
          "speed.",
          root="charge heat", counterparts=("charge.third_pull_rise",)),
        q("log.exhaust_temperature", "K", "high", "Before the turbine as the probe reads, held over 300 rpm.",
          root="exhaust heat", counterparts=("exhaust.temperature",)),
        q("log.catalyst_temperature", "K", "high", "In the catalyst, noise taken out over 200 rpm.",
          root="exhaust heat", counterparts=("catalyst.temperature",)),
        q("log.drive_pressure_ratio", "1", "high", "Pressure before the turbine over boost, both gauge, held over "
          "200 rpm.",
          root="exhaust back pressure", counterparts=("turbine.drive_pressure_ratio",)),
        q("log.wheel_speed_use", "1", "high", "Tip speed of the compressor by the speed of its shaft, held over "
          "200 rpm, over its limit.",
          root="wheel speed", counterparts=("compressor.speed_use",)),
        q("log.oil_pressure_per_thousand", "Pa", "low", "Oil pressure for each 1000 rpm, noise taken out over "
          "200 rpm.",
          root="oil", counterparts=("oil.film_viscosity",)),
        q("log.oil_pressure_drop", "Pa", "high", "Of oil pressure from the most that was there at a lower speed of the "
          "pull, held over 200 rpm.", root="oil"),
        q("log.oil_temperature", "K", "high", "Of the oil, noise taken out over 200 rpm.",
          root="oil", counterparts=("oil.temperature",)),
        q("log.coolant_temperature", "K", "high", "Of the coolant, noise taken out over 200 rpm.",
          root="coolant", counterparts=("coolant.temperature", "coolant.radiator_use")),
        q("log.drive_slip", "1", "high", "Engine speed over road or roller speed, more than the least that it was at a "
          "lower engine speed, held over 200 rpm.", root="driveline", counterparts=("clutch.reserve",)),
        q("log.crankcase_pressure", "Pa", "high", "Gauge, held over 200 rpm.",
          root="blow-by", counterparts=("crankcase.pressure",)),
        q("log.throttle", "1", "low", "Throttle opening while the accelerator is at its end, the least held over "
          "200 rpm.", root="control"),
        q("log.cam_phase_error", "rad", "high", "Between cam phase and that asked for, either way, held over "
          "200 rpm.", root="valve train"),
        q("log.misfire_share", "1", "high", "Of firings that missed, held over 200 rpm.", root="ignition"),
        q("log.voltage", "V", "low", "Of the system, the least held over 200 rpm.", root="fuel supply"),
        q("log.duration", "s", "high", "Time that the pull takes, all of it at full load.", varies=False,
          root="duty"),
        q("log.row_interval", "s", "high", "Time between two rows that hold boost, or engine speed where no boost is "
          "recorded.", varies=False, root="log"),
    )
