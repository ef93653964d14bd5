"""Quantities of spark, sensors and cuts."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("sensor.manifold_pressure_use", "1", "high", "Manifold pressure over the sensor's range.",
          root="sensors"),
        q("sensor.air_meter_use", "1", "high", "Air flow over the meter's range.", root="sensors"),
        q("sensor.lambda_display", "1", "none", "What a gauge on the gasoline scale shows, whatever the fuel.",
          varies=False),
        q("sensor.lambda_display_beyond", "1", "none", "How far that lies beyond the air that the fuel gets.",
          varies=False, detail=True),
        q("plug.density", "kg/m^3", "none", "Charge as the spark strikes.", detail=True),
        q("air.outside_density", "kg/m^3", "none", "Air outside.", varies=False, detail=True),
        q("plug.standard_mass", "kg", "none", "Charge that a cylinder of the standard engine traps.", detail=True),
        q("plug.standard_density", "kg/m^3", "none", "Charge of the standard engine as its spark strikes.",
          detail=True),
        q("plug.gap_limit", "m", "none", "Gap that the standard coil still fires in this charge.", detail=True),
        q("plug.gap_use", "1", "high", "Plug gap over the gap that still fires.", root="spark"),
        q("plug.heat_step_shortfall", "1", "high", "Heat steps that the plugs lack for the added power.",
          varies=False, root="spark"),
        q("protection.boost_cut", "Pa", "none", "Boost at which a cut is to stand, gauge.", varies=False),
        q("protection.boost_cut_sensor_use", "1", "high", "Manifold pressure at that cut over the sensor's range.",
          varies=False, root="sensors"),
        q("protection.lambda_cut", "1", "none", "Lambda under boost at which a cut is to stand.", varies=False),
        q("protection.fuel_pressure_cut", "Pa", "none", "Pressure across the port injectors below which a cut is to "
          "stand."),
        q("protection.rail_pressure_cut", "Pa", "none", "Rail pressure below which a cut is to stand, gauge.",
          varies=False),
        q("protection.oil_pressure_cut", "Pa", "none", "Oil pressure below which a cut is to stand, gauge."),
        q("protection.charge_temperature_cut", "K", "none", "Charge temperature at which boost is to be taken "
          "back."),
    )
