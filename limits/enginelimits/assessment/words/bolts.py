"""Quantities of the bolts that hold the cap of the connecting rod."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("rod_bolt.stress_area", "m^2", "none", "Stress area of the thread.", varies=False, detail=True),
        q("rod_bolt.shank_area", "m^2", "none", "Area of the plain part.", varies=False, detail=True),
        q("rod_bolt.stiffness", "N/m", "none", "Of one bolt over its elastic length, head and engaged thread with it.",
          varies=False, detail=True),
        q("rod_bolt.stiffness_between_ends", "N/m", "none", "Of one bolt as a gauge over both its ends sees it.",
          varies=False, detail=True),
        q("rod_bolt.member_stiffness", "N/m", "none", "Of the boss of rod and cap around one bolt.", varies=False,
          detail=True),
        q("rod_bolt.load_share", "1", "none", "Share of the opening load that the bolt takes while the cap is closed.",
          varies=False, detail=True),
        q("rod_bolt.preload_of_class", "N", "none", "Clamp of one bolt as its class is tightened.",
          varies=False, detail=True),
        q("rod_bolt.preload", "N", "low", "Clamp of one bolt with the scatter of its tightening, less what a used bolt "
          "has lost.", varies=False, detail=True),
        q("rod_bolt.stretch", "m", "none", "Elastic stretch of one bolt at the clamp aimed at, for the build sheet.",
          varies=False, detail=True),
        q("rod_bolt.torque", "N*m", "none", "Torque that would give the clamp aimed at; friction scatters it.",
          varies=False, detail=True),
        q("rod_bolt.angle", "rad", "none", "Elastic turn from contact to the clamp aimed at.", varies=False,
          detail=True),
        q("rod_bolt.opening_load", "N", "high", "Load that opens the cap, both bolts.", detail=True,
          root="engine speed"),
        q("rod_bolt.separation_margin", "1", "low", "Clamp over opening load.", root="engine speed"),
        q("rod_bolt.fatigue_margin", "1", "low", "Thread, over the cycle.", root="engine speed"),
        q("rod_bolt.opening_load_at_limiter", "N", "high", "Load that opens the cap at the limiter.", varies=False,
          detail=True, root="engine speed"),
        q("rod_bolt.separation_margin_at_limiter", "1", "low", "Clamp over opening load at the limiter.", varies=False,
          detail=True, root="engine speed"),
        q("rod_bolt.opening_speed", "rad/s", "low", "Engine speed at which the cap opens.", varies=False,
          root="engine speed"),
        q("rod_bolt.over_rev_margin", "1", "low", "Clamp over opening load in a missed shift.", varies=False,
          root="engine speed"),
    )
