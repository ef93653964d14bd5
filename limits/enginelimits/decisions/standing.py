"""How each subsystem stands: the rule of it that is nearest to its limit, or furthest beyond, with its range."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.results import Assessment
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.draws import place_of
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.margins import ROOM_TEMPERATURE, Margin, margins
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.rules.atoms import score
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.grades import CAUTION, CLEAR, severity
from enginelimits.units.constants import ZERO_CELSIUS

FloatArray = NDArray[np.float64]
# The goal is no part of the engine.
NO_SUBSYSTEM = frozenset({"goal"})
# These are 1 on what was never changed, so that value over limit would say that nearly all of it is used.
OF_STANDARD = frozenset({"engine.limiter_raise", "piston.mass_raise", "crank.power_over_standard"})
ENDS = (5.0, 95.0)


@dataclass(frozen=True, slots=True)
class Standing:
    """One family of rules.  ``margin.ratio`` is the share of the limit that is used, 1 where ``margin.grade`` begins.

    ``low`` and ``high`` are its 5th and 95th percentile over the draws, None without.  ``grade`` is what the rule says
    of the build, ``worst`` the family's worst finding where that is graver and of another rule.
    """

    family: str
    margin: Margin
    low: float | None
    high: float | None
    grade: str
    worst: Finding | None


def standing(judgement: Judgement, catalogue: Catalogue) -> tuple[Standing, ...]:
    """Every family that holds a number against a limit of caution or worse, the one that uses most of it first.

    Empty where the catalogue is not the one that judged the build: its limits would not be those of the findings.
    """
    if [layer.digest for layer in catalogue.layers] != [layer.digest for layer in judgement.layers]:
        return ()
    assessment = judgement.assessment
    # What draws of limits say is told by chances; here the build alone is drawn, so that 1 is one place.
    found = evaluate(catalogue, AssessmentGround(assessment), engine="plain")
    graded = {f.rule: f for f in judgement.findings}
    leading: dict[str, Margin] = {}
    for margin in margins(found.outcomes, assessment, CAUTION).values():
        if margin.family in NO_SUBSYSTEM or margin.quantity in OF_STANDARD or not _is_share(margin):
            continue
        best = leading.get(margin.family)
        if best is None or margin.ratio > best.ratio:
            leading[margin.family] = margin
    standings = []
    for family, margin in leading.items():
        low, high = _range(assessment, margin)
        own = graded.get(margin.rule)
        grade = "clear" if own is None else own.grade
        graver = max((f for f in judgement.findings if f.family == family), key=lambda f: severity(f.grade),
                     default=None)
        worst = graver if graver is not None and severity(graver.grade) > max(severity(grade), CLEAR) else None
        standings.append(Standing(family, margin, low, high, grade, worst))
    return tuple(sorted(standings, key=lambda s: (-s.margin.ratio, s.family)))


def _is_share(margin: Margin) -> bool:
    """Whether value over limit is a share at all: of a limit that is nil or less it is not."""
    return bool(np.isfinite(margin.ratio)) and margin.limit is not None and margin.limit > 0.0


def _range(assessment: Assessment, margin: Margin) -> tuple[float | None, float | None]:
    """The range of the share over the draws, where the typical build has it."""
    column = assessment.columns.get(margin.quantity)
    if column is None or margin.limit is None or margin.value is None or not assessment.samples:
        return None, None
    array = np.asarray(column.si, dtype=float)
    while array.ndim < 3:
        array = array[None]
    ambient, speed = place_of(assessment, margin.at)
    if not QUANTITIES[margin.quantity].varies:
        speed = 0
    if array.shape[1] < 2:
        return None, None
    draws = array[min(ambient, array.shape[0] - 1), 1:, min(speed, array.shape[2] - 1)]
    shares = _shares(draws, margin)
    shares = shares[np.isfinite(shares)]
    if not shares.size:
        return None, None
    low, high = np.percentile(shares, ENDS)
    return float(low), float(high)


def _shares(draws: FloatArray, margin: Margin) -> FloatArray:
    """Each draw over the limit, in the sense in which the typical value was."""
    value, limit = np.append(draws, np.nan if margin.value is None else margin.value), margin.limit
    if margin.unit == "K" and limit is not None and limit >= ROOM_TEMPERATURE:
        value, limit = value - ZERO_CELSIUS, limit - ZERO_CELSIUS
    for sense in ("above", "below"):
        shares = np.asarray(score(value, sense, limit), dtype=float)
        if abs(shares[-1] - margin.ratio) < 1e-6 * max(1.0, abs(margin.ratio)):
            return shares[:-1]
    return np.full(draws.shape, np.nan)
