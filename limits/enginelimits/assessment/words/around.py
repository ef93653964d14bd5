"""Quantities of spark and sensors."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("sensor.manifold_pressure_use", "1", "high", "Manifold pressure over the sensor's range.",
          root="sensors"),
        q("sensor.air_meter_use", "1", "high", "Air flow over the meter's range.", root="sensors"),
    )
