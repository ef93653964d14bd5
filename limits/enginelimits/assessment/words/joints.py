"""Quantities of head joint and valves."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("head.stress_area", "m^2", "none", "Stress area of one head fastener.", varies=False, detail=True),
        q("head.preload_of_class", "N", "none", "Clamp of one head fastener as its class is tightened.",
          varies=False, detail=True),
        q("head.preload_cold", "N", "low", "Clamp of one head fastener after scatter, settling and earlier use.",
          varies=False, detail=True),
        q("head.thermal_gain", "N", "none", "Clamp that one fastener gains as head and block get warm.", varies=False,
          detail=True),
        q("head.preload", "N", "low", "Clamp of one head fastener at running temperature.", varies=False, detail=True),
        q("head.clamp_ratio", "1", "low",
          "Residual preload of all head fasteners over the gas force on all cylinders.", root="gas load"),
        q("head.clamp_ratio_high", "1", "low",
          "Residual preload of all head fasteners over the gas force in one cycle of twenty.", root="gas load"),
        q("head.seal_ratio", "1", "low", "Clamp over gas force, set against what this kind of gasket needs.",
          root="gas load"),
        q("head.event_clamp_ratio", "1", "low", "The same under one knock event of 200 bar.", varies=False,
          event=True, root="gas load"),
        q("valve.intake_seat_load_lost", "1", "high", "Share of the intake seat load that boost takes away.",
          root="boost"),
        q("valve.exhaust_seat_load_lost", "1", "high",
          "Share of the exhaust seat load that drive pressure takes away.", root="drive pressure"),
        q("valve.float_margin", "1", "low", "Speed at which the valve springs lose control, beyond the limiter.",
          varies=False, root="engine speed"),
    )
