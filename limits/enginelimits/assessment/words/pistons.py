"""Quantities of pistons, rings and pins."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("pin.force", "N", "high", "Greatest force on the piston pin.", detail=True, root="gas load"),
        q("pin.bearing_pressure", "Pa", "high", "Gas load over the projected area of the small end.",
          root="gas load"),
        q("pin.boss_pressure", "Pa", "high", "Gas load over the projected area of both bosses.", detail=True,
          root="gas load"),
        q("pin.bending_stress", "Pa", "high", "In the pin, simply supported.", root="gas load"),
        q("piston.crown_stress", "Pa", "high", "Crown as a clamped plate: a bound.", bound=True,
          root="gas load"),
        q("piston.power_per_area", "W/m^2", "high", "Brake power over total bore area.", root="power"),
        q("ring.top_gap_ratio", "1", "low", "Cold end gap of the top ring over the bore.", varies=False,
          root="ring gap"),
        q("ring.thermal_closing", "m", "none", "How far the top gap closes between cold and hot.", varies=False,
          detail=True),
        q("ring.gap_margin", "1", "low", "Share of the cold top gap that is left hot.", varies=False,
          root="ring gap"),
    )
