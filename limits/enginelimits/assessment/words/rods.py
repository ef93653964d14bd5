"""Quantities of rods and their bolts."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("piston.mass_raise", "1", "high", "Mass of piston and pin over that of the standard engine.",
          varies=False, root="reciprocating mass"),
        q("piston.and_pin_mass", "kg", "none", "Bare piston with its pin.", varies=False, detail=True),
        q("piston.assembly_mass", "kg", "none", "Piston, pin and rings.", varies=False, detail=True),
        q("rod.small_end_mass", "kg", "none", "Share of the rod that moves with the pin.", varies=False,
          detail=True),
        q("rod.reciprocating_mass", "kg", "none", "Piston, pin, rings and small-end share of the rod.",
          varies=False, detail=True),
        q("rod.mass_above_section", "kg", "none", "Rod above its smallest section.", varies=False, detail=True),
        q("rod.mass_above_split", "kg", "none", "Rod above the split of the big end.", varies=False,
          detail=True),
        q("rod.compression", "N", "high", "Greatest axial compression at the smallest section.",
          root="gas load"),
        q("rod.compression_angle", "rad", "none", "Where it occurs, after firing top dead centre.", detail=True),
        q("rod.tension", "N", "high", "Greatest axial tension at the smallest section.", root="engine speed"),
        q("rod.tension_angle", "rad", "none", "Where it occurs, after firing top dead centre.", detail=True),
        q("rod.side_force", "N", "high", "Greatest thrust of the piston on the bore wall.", detail=True),
        q("rod.column_capacity", "N", "none", "Johnson, the smaller of both planes.", varies=False,
          detail=True),
        q("rod.column_use", "1", "high", "Greatest compression over Johnson capacity.", root="gas load"),
        q("rod.compression_high", "N", "high", "Greatest compression in one cycle of twenty.", detail=True,
          root="gas load"),
        q("rod.column_use_high", "1", "high", "Compression in one cycle of twenty over Johnson capacity.",
          root="gas load"),
        q("rod.rankine_capacity", "N", "none", "Rankine, the smaller of both planes.", varies=False,
          detail=True),
        q("rod.rankine_use", "1", "high", "Greatest compression over Rankine capacity; shown, never graded.",
          bound=True, detail=True, root="gas load"),
        q("rod.fatigue_margin", "1", "low", "Shank, over the cycle, with mean stress.", root="gas load"),
        q("rod.event_use", "1", "high", "Column use under one knock event of 200 bar.", varies=False,
          event=True, root="gas load"),
        q("rod_bolt.stress_area", "m^2", "none", "Stress area of the thread.", varies=False, detail=True),
        q("rod_bolt.preload_of_class", "N", "none", "Clamp of one bolt as its class is tightened.",
          varies=False, detail=True),
        q("rod_bolt.opening_load", "N", "high", "Load that opens the cap, both bolts.", detail=True,
          root="engine speed"),
        q("rod_bolt.separation_margin", "1", "low", "Clamp over opening load.", root="engine speed"),
        q("rod_bolt.fatigue_margin", "1", "low", "Thread, over the cycle.", root="engine speed"),
    )
