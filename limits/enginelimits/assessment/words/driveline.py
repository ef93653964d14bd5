"""Quantities of the driveline."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("clutch.reserve", "1", "low", "Clutch capacity over torque.", root="driveline"),
        q("gearbox.torque_use", "1", "high", "Torque over the gearbox rating.", root="driveline"),
    )
