"""From the site and the machine to the air that the engine takes."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.assessment.runner import BLOWER, DRIVE, IMPELLER, TURBINE, TURBINE_CLASS, TURBINE_SIZE
from enginelimits.physics.airflow import (
    atmosphere,
    belt,
    boost,
    boost_control,
    compressor,
    compressor_margins,
    delivery,
    engine_flow,
    generic_map,
    heat_soak,
    intercooler,
    supercharger,
    trapped_charge,
    turbine,
    turbo_match,
)
from enginelimits.physics.cycle.engine import displacement

BOOSTED = ("turbocharger", "centrifugal", "positive-displacement")
DRIVEN = ("centrifugal", "positive-displacement")
NATURAL = {"forced_induction.kind": ("none",)}
WITH_BOOST = {"forced_induction.kind": BOOSTED}
TURBO = {"forced_induction.kind": ("turbocharger",)}
WHEEL = "forced_induction.turbine"
HOLDS, CONTROL = "forced_induction.control.holds", "forced_induction.control.kind"
IMPELLED = {"forced_induction.kind": ("centrifugal",), IMPELLER: (TURBINE_SIZE,)}
ROTORS = {"forced_induction.kind": ("positive-displacement",), BLOWER: (TURBINE_SIZE,)}
OF_A_CLASS, OF_ITS_SIZE = {TURBINE: (TURBINE_CLASS,)}, {TURBINE: (TURBINE_SIZE,)}

def _loss(gives: str, rated: str) -> Step:
    return Step((gives,), delivery.loss_at_speed,
                {"loss_at_rated_pa": rated, "speed_rad_s": "engine.speed", "rated_speed_rad_s": "engine.redline"})


LOSSES = (
    _loss("air.filter_loss", "forced_induction.losses.filter"),
    _loss("exhaust.loss", "forced_induction.losses.after_turbine"),
    Step(("intercooler.effectiveness",), heat_soak.effectiveness_over_speed,
         {"rated_effectiveness": "forced_induction.intercooler.effectiveness", "speed_rad_s": "engine.speed",
          "rated_speed_rad_s": "engine.redline", "conductance_exponent": "class.intercooler.conductance_exponent"},
         WITH_BOOST),
    _loss("intercooler.pressure_drop", "forced_induction.intercooler.pressure_drop")._replace(when=WITH_BOOST),
)

SITE = (
    Step(("engine.displacement",), displacement,
         {"bore_m": "engine.bore", "stroke_m": "engine.stroke", "cylinders": "engine.cylinders"}),
    Step(("ambient.pressure",), atmosphere.standard_pressure, {"altitude_m": "site.altitude"}),
    Step(("ambient.vapour_pressure",), atmosphere.vapour_pressure,
         {"temperature_k": "ambient.ordinary_temperature", "relative_humidity": "site.relative_humidity"}),
    Step(("air.humidity_ratio",), atmosphere.humidity_ratio,
         {"pressure_pa": "ambient.pressure", "vapour_pressure_pa": "ambient.vapour_pressure"}),
)

WITHOUT_COMPRESSOR = (
    Step(("air.boost",), delivery.boost_without_compressor, {"barometer_pa": "ambient.pressure"}, NATURAL),
    Step(("air.manifold_pressure",), compressor.inlet_pressure,
         {"barometer_pa": "ambient.pressure", "filter_loss_pa": "air.filter_loss"}, NATURAL),
    Step(("air.manifold_temperature",), delivery.manifold_temperature_without_compressor,
         {"air_temperature_k": "site.air_temperature"}, NATURAL),
)

DELIVERY = (
    *(
        Step(("air.boost_asked",), delivery.boost_asked,
             {"boost_pa": "forced_induction.boost", "speed_rad_s": "engine.speed"}, when)
        for when in ({"forced_induction.kind": DRIVEN},
                     {**TURBO, HOLDS: ("gauge",), CONTROL: ("open-loop", "closed-loop")})
    ),
    # on the spring alone nothing but the spring asks
    Step(("air.boost_asked",), delivery.boost_asked,
         {"boost_pa": ("forced_induction.wastegate.spring", "forced_induction.boost"), "speed_rad_s": "engine.speed"},
         {**TURBO, HOLDS: ("gauge",), CONTROL: ("spring",)}),
    Step(("air.boost_as_written",), delivery.boost_asked,
         {"boost_pa": "forced_induction.boost", "speed_rad_s": "engine.speed"}, {**TURBO, HOLDS: ("absolute",)}),
    Step(("ambient.calibrated_pressure",), atmosphere.standard_pressure, {"altitude_m": "site.calibrated_altitude"},
         {**TURBO, HOLDS: ("absolute",)}),
    Step(("air.boost_asked",), boost_control.boost_asked_absolute,
         {"boost_asked_pa": "air.boost_as_written", "barometer_pa": "ambient.pressure",
          "calibrated_barometer_pa": "ambient.calibrated_pressure"}, {**TURBO, HOLDS: ("absolute",)}),
    Step(("air.greatest_boost_asked",), delivery.greatest_boost_asked, {"boost_asked_pa": "air.boost_asked"},
         WITH_BOOST),
    # control of a gate only adds to what its spring holds
    Step(("boost.spring_beyond_asked",), boost_control.boost_beyond_asked,
         {"boost_available_pa": "forced_induction.wastegate.spring", "boost_asked_pa": "air.greatest_boost_asked"},
         {**TURBO, CONTROL: ("open-loop", "closed-loop")}),
    Step(("air.boost_available",), boost.turbocharger_boost,
         {"boost_asked_pa": "air.greatest_boost_asked", "speed_rad_s": "engine.speed",
          "threshold_rad_s": "class.boost_onset.threshold", "width_rad_s": "class.boost_onset.width"},
         {**TURBO, **OF_A_CLASS}),
    Step(("air.boost_available",), boost.centrifugal_boost,
         {"boost_asked_pa": "air.greatest_boost_asked", "speed_rad_s": "engine.speed",
          "limiter_rad_s": "engine.limiter"}, {"forced_induction.kind": ("centrifugal",), IMPELLER: (TURBINE_CLASS,)}),
    Step(("blower.impeller_speed",), supercharger.rotor_speed,
         {"speed_rad_s": "engine.speed", "drive_ratio": DRIVE, "belt_slip": "class.supercharger.belt_slip"}, IMPELLED),
    Step(("compressor.tip_speed",), compressor.tip_speed,
         {"exducer_m": IMPELLER, "shaft_speed_rad_s": "blower.impeller_speed"}, IMPELLED),
    Step(("blower.pressure_ratio",), supercharger.impeller_pressure_ratio,
         {"tip_speed_m_s": "compressor.tip_speed", "inlet_temperature_k": "site.air_temperature",
          "efficiency": "forced_induction.compressor.efficiency",
          "work_coefficient": "class.supercharger.work_coefficient"}, IMPELLED),
    Step(("blower.boost",), supercharger.boost_of_pressure_ratio,
         {"pressure_ratio": "blower.pressure_ratio", "inlet_pressure_pa": "air.inlet_pressure",
          "cooler_drop_pa": "intercooler.pressure_drop", "barometer_pa": "ambient.pressure"}, IMPELLED),
    Step(("air.boost_available",), supercharger.boost_made, {"boost_pa": "blower.boost"}, IMPELLED),
    *(
        Step(("boost.beyond_asked",), boost_control.boost_beyond_asked,
             {"boost_available_pa": "air.boost_available", "boost_asked_pa": "air.boost_asked"}, when)
        for when in (IMPELLED, ROTORS)
    ),
    Step(("air.boost_available",), boost.positive_displacement_boost,
         {"boost_asked_pa": "air.greatest_boost_asked", "speed_rad_s": "engine.speed"},
         {"forced_induction.kind": ("positive-displacement",), BLOWER: (TURBINE_CLASS,)}),
    Step(("blower.pressure_ratio", "air.boost_available", "blower.air_flow", "blower.delivery_share",
          "blower.balance_residual"), supercharger.blower_match,
         {"barometer_pa": "ambient.pressure", "inlet_pressure_pa": "air.inlet_pressure",
          "inlet_temperature_k": "site.air_temperature", "cooling_air_temperature_k": "site.air_temperature",
          "speed_rad_s": "engine.speed", "displacement_m3": "engine.displacement",
          "volumetric_efficiency": ("balance.filling", "air.filling"),
          "compression_ratio": "engine.compression_ratio",
          "exhaust_pressure_pa": "exhaust.pressure", "displacement_per_rev_m3": BLOWER, "drive_ratio": DRIVE,
          "leakage_speed_rad_s": "class.supercharger.leakage_speed",
          "efficiency": "forced_induction.compressor.efficiency",
          "cooler_effectiveness": "intercooler.effectiveness",
          "cooler_drop_pa": "intercooler.pressure_drop", "belt_slip": "class.supercharger.belt_slip",
          "blowers": "forced_induction.count"}, ROTORS),
    Step(("air.boost",), delivery.boost_delivered,
         {"boost_asked_pa": "air.boost_asked", "boost_available_pa": "air.boost_available"},
         {**WITH_BOOST, **OF_A_CLASS}),
    Step(("air.boost_reach",), boost.boost_reach,
         {"boost_pa": "air.boost", "boost_asked_pa": "air.boost_asked"}, WITH_BOOST),
    Step(("air.greatest_boost", "air.greatest_boost_from"), boost.greatest_boost_made,
         {"boost_pa": "air.boost", "speed_rad_s": "engine.speed"}, WITH_BOOST),
    Step(("air.manifold_pressure",), boost.manifold_pressure,
         {"barometer_pa": "ambient.pressure", "boost_pa": "air.boost"}, {**WITH_BOOST, **OF_A_CLASS}),
)

COMPRESSOR = (
    Step(("air.inlet_pressure",), compressor.inlet_pressure,
         {"barometer_pa": "ambient.pressure", "filter_loss_pa": "air.filter_loss"}, WITH_BOOST),
    Step(("compressor.pressure_ratio",), compressor.pressure_ratio,
         {"manifold_pressure_pa": "air.manifold_pressure",
          "cooler_drop_pa": "intercooler.pressure_drop",
          "inlet_pressure_pa": "air.inlet_pressure"}, WITH_BOOST),
    Step(("compressor.efficiency",), delivery.compressor_efficiency_as_given,
         {"efficiency": "forced_induction.compressor.efficiency"}, WITH_BOOST),
    Step(("compressor.outlet_temperature",), compressor.outlet_temperature,
         {"inlet_temperature_k": "site.air_temperature", "pressure_ratio": "compressor.pressure_ratio",
          "efficiency": "compressor.efficiency"}, WITH_BOOST),
    Step(("air.manifold_temperature",), intercooler.outlet_temperature,
         {"inlet_temperature_k": "compressor.outlet_temperature",
          "cooling_air_temperature_k": "site.air_temperature",
          "effectiveness": "intercooler.effectiveness"}, WITH_BOOST),
    Step(("intercooler.heat",), intercooler.heat_rejected,
         {"mass_flow_kg_s": "air.mass_flow", "inlet_temperature_k": "compressor.outlet_temperature",
          "outlet_temperature_k": "air.manifold_temperature"}, WITH_BOOST),
    Step(("compressor.corrected_flow",), compressor.corrected_flow,
         {"mass_flow_kg_s": "air.mass_flow", "inlet_temperature_k": "site.air_temperature",
          "inlet_pressure_pa": "air.inlet_pressure", "compressors": "forced_induction.count"}, WITH_BOOST),
    Step(("compressor.air_power",), compressor.power,
         {"mass_flow_kg_s": "air.mass_flow", "inlet_temperature_k": "site.air_temperature",
          "outlet_temperature_k": "compressor.outlet_temperature"}, {"forced_induction.kind": DRIVEN}),
    Step(("supercharger.drive_power",), compressor.drive_power,
         {"power_w": "compressor.air_power", "mechanical_efficiency": "class.supercharger.mechanical_efficiency"},
         {"forced_induction.kind": DRIVEN}),
    Step(("belt.power_per_rib",), delivery.power_per_rib,
         {"power_w": "supercharger.drive_power", "ribs": "forced_induction.supercharger.belt_ribs"},
         {"forced_induction.kind": DRIVEN}),
)

EXHAUST = (
    Step(("exhaust.pressure",), boost.exhaust_pressure,
         {"barometer_pa": "ambient.pressure", "after_turbine_loss_pa": "exhaust.loss",
          "boost_pa": "air.boost", "drive_ratio": "class.turbine.drive_ratio"}, {**TURBO, **OF_A_CLASS}),
    Step(("exhaust.pressure",), delivery.exhaust_pressure_without_turbine,
         {"barometer_pa": "ambient.pressure", "exhaust_loss_pa": "exhaust.loss"},
         {"forced_induction.kind": ("none", *DRIVEN)}),
    Step(("exhaust.pressure_ratio",), boost.exhaust_pressure_ratio,
         {"exhaust_pressure_pa": "exhaust.pressure", "manifold_pressure_pa": "air.manifold_pressure"}),
    Step(("turbine.drive_pressure_ratio",), boost.drive_pressure_ratio,
         {"exhaust_pressure_pa": "exhaust.pressure", "barometer_pa": "ambient.pressure",
          "boost_pa": "air.boost", "greatest_boost_asked_pa": "air.greatest_boost_asked"}, TURBO),
    Step(("pumping.mean_effective_pressure",), boost.pumping_mean_effective_pressure,
         {"exhaust_pressure_pa": "exhaust.pressure", "manifold_pressure_pa": "air.manifold_pressure"}),
)

ENGINE = (
    Step(("air.back_pressure_factor",), boost.back_pressure_factor,
         {"exhaust_pressure_ratio": "exhaust.pressure_ratio", "compression_ratio": "engine.compression_ratio"}),
    Step(("air.volumetric_efficiency",), delivery.volumetric_efficiency_of_class,
         {"class_curve": "class.volumetric_efficiency",
          "class_factor": ("air.anchored_factor", "class.volumetric_efficiency_factor"),
          "back_pressure_factor": "air.back_pressure_factor", "cooling_gain": "air.cooling_gain",
          "tuning_kept": "class.exhaust_tuning_kept"}),
    Step(("air.cooling_gain",), trapped_charge.cooling_gain,
         {"charge_cooling_k": "fuel.charge_cooling", "gasoline_cooling_k": "fuel.gasoline_cooling",
          "fresh_temperature_k": "cylinder.fresh_temperature", "gain_share": "class.cooling_gain_share"}),
    Step(("air.manifold_density",), engine_flow.manifold_density,
         {"manifold_pressure_pa": "air.manifold_pressure", "manifold_temperature_k": "air.manifold_temperature"}),
    Step(("air.mass_flow",), engine_flow.air_mass_flow,
         {"volumetric_efficiency": "air.volumetric_efficiency",
          "manifold_density_kg_m3": "air.manifold_density", "displacement_m3": "engine.displacement",
          "speed_rad_s": "engine.speed"}),
    Step(("air.dry_mass_flow",), engine_flow.dry_air_flow,
         {"mass_flow_kg_s": "air.mass_flow", "barometer_pa": "ambient.pressure",
          "vapour_pressure_pa": "ambient.vapour_pressure"}),
    Step(("air.mass_per_cycle",), engine_flow.mass_per_cylinder_cycle,
         {"mass_flow_kg_s": "air.dry_mass_flow", "speed_rad_s": "engine.speed", "cylinders": "engine.cylinders"}),
)

TURBINE_MATCH = (
    Step(("turbine.swallowing_of_size",), turbine.swallowing_of_wheel,
         {"inducer_m": f"{WHEEL}.inducer", "exducer_m": f"{WHEEL}.exducer",
          "housing_ratio": f"{WHEEL}.housing_ratio", "swallowing_factor": "class.turbine.swallowing_factor"},
         OF_ITS_SIZE),
    Step(("turbine.efficiency_at_speed",), turbine.efficiency_over_speed,
         {"efficiency": f"{WHEEL}.efficiency", "low_speed_share": "class.turbine.low_speed_share",
          "speed_rad_s": "engine.speed", "rated_speed_rad_s": "engine.redline"}, OF_ITS_SIZE),
    Step(("wastegate.area",), turbo_match.gate_area,
         {"diameter_m": ("forced_induction.wastegate.diameter", "class.turbine.gate_diameter"),
          "gates": "forced_induction.count"}, OF_ITS_SIZE),
    Step(("air.filling",), delivery.filling_of_class,
         {"class_curve": "class.volumetric_efficiency",
          "class_factor": ("air.anchored_factor", "class.volumetric_efficiency_factor"),
          "tuning_kept": "class.exhaust_tuning_kept"}, WITH_BOOST),
    Step(("air.boost_available", "air.boost", "air.manifold_pressure", "exhaust.pressure", "turbine.expansion_ratio",
          "wastegate.bypass_share", "boost.least", "turbine.air_flow", "turbine.power", "turbine.balance_residual"),
         turbo_match.turbo_match,
         {"boost_asked_pa": "air.boost_asked", "barometer_pa": "ambient.pressure",
          "inlet_pressure_pa": "air.inlet_pressure", "inlet_temperature_k": "site.air_temperature",
          "cooling_air_temperature_k": "site.air_temperature", "speed_rad_s": "engine.speed",
          "displacement_m3": "engine.displacement", "volumetric_efficiency": ("balance.filling", "air.filling"),
          "compression_ratio": "engine.compression_ratio",
          "compressor_efficiency": ("balance.compressor_efficiency", "forced_induction.compressor.efficiency"),
          "cooler_effectiveness": "intercooler.effectiveness",
          "cooler_drop_pa": "intercooler.pressure_drop",
          "exhaust_temperature_k": ("balance.exhaust_temperature", "class.turbine.inlet_temperature"),
          "air_fuel_ratio": "fuel.air_fuel_ratio",
          "after_turbine_loss_pa": "exhaust.loss",
          "swallowing_kg_s": (TURBINE, "turbine.swallowing_of_size"),
          "turbine_efficiency": "turbine.efficiency_at_speed", "gate_area_m2": "wastegate.area",
          "turbines": "forced_induction.count", "gate_discharge_coefficient": "class.turbine.gate_discharge"},
         OF_ITS_SIZE),
    Step(("boost.creep",), turbo_match.boost_creep,
         {"least_boost_pa": "boost.least", "boost_asked_pa": "air.boost_asked"}, OF_ITS_SIZE),
    Step(("turbine.boost_threshold",), turbo_match.boost_threshold,
         {"boost_pa": "air.boost", "boost_asked_pa": "air.boost_asked", "speed_rad_s": "engine.speed"}, TURBO),
)

# A turbine of a class is taken to have more to give than what is held
OVERSHOOT = tuple(
    Step(("boost.overshoot",), of,
         {"class_overshoot_pa": f"class.turbine.overshoot_{kind.replace('-', '_')}", "boost_pa": "air.boost",
          **against},
         {**TURBO, **when, CONTROL: (kind,)})
    for kind in ("spring", "open-loop", "closed-loop")
    for of, against, when in (
        (boost_control.boost_overshoot, {"boost_available_pa": "air.boost_available"}, OF_ITS_SIZE),
        (boost_control.overshoot_where_held, {"boost_asked_pa": "air.boost_asked"}, OF_A_CLASS),
    )
)

AWAY = (
    Step(("ambient.altitude_above_calibrated",), boost_control.altitude_above_calibrated,
         {"altitude_m": "site.altitude", "calibrated_altitude_m": "site.calibrated_altitude"}, WITH_BOOST),
    Step(("ambient.heat_above_calibrated",), boost_control.heat_above_calibrated,
         {"air_temperature_k": "site.air_temperature", "calibrated_temperature_k": "site.calibrated_temperature"},
         WITH_BOOST),
)

MAPPED = {"forced_induction.kind": ("turbocharger", "centrifugal")}
COMPRESSOR_MAP = (
    Step(("compressor.map_efficiency", "compressor.corrected_tip_speed", "compressor.surge_flow",
          "compressor.choke_flow", "compressor.inside_map", "compressor.above_top_line",
          "compressor.below_lowest_line"), generic_map.read_class_map,
         {"corrected_flow_kg_s": "compressor.corrected_flow", "pressure_ratio": "compressor.pressure_ratio",
          "inducer_m": "forced_induction.compressor.inducer",
          **{name: f"class.compressor.{name}" for name in (
              "choked_share", "surge_factor", "work_at_no_flow", "work_fall", "peak_efficiency",
              "choke_efficiency", "surge_efficiency", "peak_place")}}, MAPPED),
    Step(("compressor.surge_margin",), compressor_margins.surge_margin,
         {"corrected_flow_kg_s": "compressor.corrected_flow", "surge_flow_kg_s": "compressor.surge_flow"}, MAPPED),
    Step(("compressor.choke_margin",), compressor_margins.choke_margin,
         {"corrected_flow_kg_s": "compressor.corrected_flow", "choke_flow_kg_s": "compressor.choke_flow"}, MAPPED),
    Step(("compressor.tip_speed",), compressor_margins.tip_speed_from_corrected,
         {"corrected_tip_speed_m_s": "compressor.corrected_tip_speed", "inlet_temperature_k": "site.air_temperature"},
         {**MAPPED, IMPELLER: (TURBINE_CLASS,)}),
    Step(("compressor.speed_use",), compressor.speed_use,
         {"tip_speed_m_s": "compressor.tip_speed", "limit_m_s": "forced_induction.compressor.speed_limit"}, MAPPED),
)

SOAK = (
    Step(("intercooler.core_soak",), heat_soak.core_soak,
         {"mass_flow_kg_s": "air.mass_flow", "effectiveness": "intercooler.effectiveness",
          "core_mass_kg": "class.intercooler.core_mass", "core_rise_share": "class.intercooler.core_rise_share",
          "pull_s": "class.intercooler.pull_duration"}, WITH_BOOST),
    Step(("intercooler.core_soak_third_pull",), heat_soak.core_soak,
         {"mass_flow_kg_s": "air.mass_flow", "effectiveness": "intercooler.effectiveness",
          "core_mass_kg": "class.intercooler.core_mass", "core_rise_share": "class.intercooler.core_rise_share",
          "pull_s": "class.intercooler.pull_duration"}, WITH_BOOST, {"pulls": 3.0, "rest_s": 60.0}),
    Step(("charge.temperature_third_pull",), heat_soak.temperature_of_soaked_core,
         {"inlet_temperature_k": "compressor.outlet_temperature", "cooling_air_temperature_k": "site.air_temperature",
          "effectiveness": "intercooler.effectiveness",
          "core_rise_share": "class.intercooler.core_rise_share", "core_soak": "intercooler.core_soak_third_pull"},
         WITH_BOOST),
    Step(("charge.third_pull_rise",), heat_soak.pull_to_pull_rise,
         {"third_pull_k": "charge.temperature_third_pull", "first_pull_k": "charge.temperature_end_of_pull"},
         WITH_BOOST),
    Step(("belt.reserve",), belt.belt_reserve,
         {"drive_power_w": "supercharger.drive_power", "ribs": "forced_induction.supercharger.belt_ribs",
          "wrap_rad": "forced_induction.supercharger.belt_wrap",
          "power_per_rib_w": "class.supercharger.power_per_rib"}, {"forced_induction.kind": DRIVEN}),
    Step(("charge.temperature_after_traffic",), heat_soak.temperature_after_traffic,
         {"inlet_temperature_k": "compressor.outlet_temperature", "cooling_air_temperature_k": "site.air_temperature",
          "effectiveness": "intercooler.effectiveness",
          "core_rise_in_traffic_k": "class.intercooler.core_rise_in_traffic"}, WITH_BOOST),
    Step(("charge.temperature_end_of_pull",), heat_soak.temperature_of_soaked_core,
         {"inlet_temperature_k": "compressor.outlet_temperature", "cooling_air_temperature_k": "site.air_temperature",
          "effectiveness": "intercooler.effectiveness",
          "core_rise_share": "class.intercooler.core_rise_share", "core_soak": "intercooler.core_soak"}, WITH_BOOST),
)

STEPS = (*LOSSES, *SITE, *WITHOUT_COMPRESSOR, *DELIVERY, *COMPRESSOR, *EXHAUST, *ENGINE, *TURBINE_MATCH, *OVERSHOOT,
         *AWAY, *COMPRESSOR_MAP, *SOAK)
