"""Quantities of bearings, their oil, and the torque that the crank passes on within a turn."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("oil.film_temperature", "K", "none", "Of the oil between journal and shell, of a class.", varies=False,
          detail=True),
        q("oil.viscosity_40", "m^2/s", "none", "Kinematic viscosity of the grade at 40 degC.", varies=False,
          detail=True),
        q("oil.film_viscosity", "Pa*s", "low", "Dynamic, in the film, with what high shear takes of it.",
          varies=False),
        q("bearing.big_end_force", "N", "high", "Greatest force on the crank pin.", detail=True,
          root="gas load"),
        q("bearing.big_end_angle", "rad", "none", "Where it occurs, after firing top dead centre.", detail=True),
        q("bearing.big_end_load", "Pa", "high", "Greatest load of the crank pin per projected area.",
          root="gas load"),
        q("bearing.lining_strength", "Pa", "none", "Peak load per projected area that the lining stands for long, hot.",
          varies=False, detail=True),
        q("bearing.big_end_use", "1", "high", "Greatest big-end load over what the lining stands for long.",
          root="gas load"),
        q("bearing.sommerfeld_number", "1", "low", "Of the big end, at its greatest load taken as steady.",
          detail=True, root="gas load"),
        q("bearing.big_end_film", "m", "low",
          "Smallest film of the big end by a finite steady solution at the greatest load: to compare builds by, since "
          "squeezing carries real peaks and real films are thicker.", root="gas load"),
        q("bearing.main_force", "N", "high",
          "Greatest force on a main bearing, from half of each throw beside it.", root="gas load"),
        q("bearing.main_cap_force", "N", "high", "Greatest pull of the crank on a main cap, away from the cylinders.",
          root="gas load"),
        q("case.opening_force", "N", "high",
          "Greatest force by which the crank parts the halves of an opposed engine's case at one main.",
          root="gas load"),
        q("bearing.main_load", "Pa", "high", "Greatest load of a main bearing per projected area.",
          root="gas load"),
        q("bearing.main_use", "1", "high", "Greatest main load over what the lining stands for long.",
          root="gas load"),
        q("crank.torque_peak", "N*m", "high", "Greatest torque of the whole crank within a cycle, gas and inertia.",
          root="gas load"),
        q("crank.torque_mean", "N*m", "none", "The same over the cycle: indicated, gas exchange included.",
          detail=True),
        q("crank.torque_peak_ratio", "1", "none", "Greatest torque within a cycle over its mean, firing evenly."),
    )
