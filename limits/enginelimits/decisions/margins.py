"""How near each rule is to a grade: a value over its limit, 1 where the grade begins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from enginelimits.assessment.results import Assessment, At
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.rules.evaluate import Cause, RuleOutcome
from enginelimits.rules.grades import CAUTION, GRADES, severity
from enginelimits.units.constants import ZERO_CELSIUS

# From here on a number of kelvin is a temperature, and a limit of one. [K]
ROOM_TEMPERATURE = 290.0


@dataclass(frozen=True, slots=True)
class Margin:
    """The typical build against one rule, where it is nearest to the grade or furthest beyond.

    ``ratio`` is value over limit (limit over value for a lower limit).  ``grade`` is the mildest that the rule has at
    the grade asked for or worse.  ``weak`` says that its limit rests on too little to give that grade alone.
    """

    rule: str
    title: str
    family: str
    grade: str
    quantity: str
    value: float | None
    limit: float | None
    unit: str
    at: At | None
    ratio: float
    weak: bool


def margins(outcomes: Mapping[str, RuleOutcome], assessment: Assessment, threshold: int) -> Mapping[str, Margin]:
    """The margin of every rule that holds a quantity against a limit at that grade or worse, by rule."""
    found = {id_: _margin(outcome, assessment, threshold) for id_, outcome in outcomes.items()}
    return {id_: margin for id_, margin in found.items() if margin is not None}


def _margin(outcome: RuleOutcome, assessment: Assessment, threshold: int) -> Margin | None:
    rule = outcome.rule
    grades = sorted(severity(g.grade) for g in rule.grades if severity(g.grade) >= threshold)
    if not grades or (outcome.applies[:, 0] == 0).all() or rule.bound:
        return None
    witness = outcome.witness(grades[0])
    decisive = _decisive(witness.causes)
    # A comparison that is beyond its limit while the whole is not met waits for something that has no number.
    if decisive is None or decisive.limit is None or (not witness.met and (
            decisive.ratio > 1.0 or any(map(_no_margin, witness.causes)))):
        return None
    kind = QUANTITIES.get(decisive.name)
    if kind is None or kind.event or kind.bound:
        return None
    weak = grades[0] > CAUTION and any(
        rule.limits[c.limit.name].confidence == "low" for c in witness.causes
        if c.limit is not None and c.limit.name in rule.limits
    )
    at = At(assessment.speeds[witness.speed] if kind.varies else None, assessment.ambients[witness.ambient])
    return Margin(rule.id, rule.title, rule.family, GRADES[grades[0]], decisive.name, _number(decisive.value),
                  _number(decisive.limit.value), decisive.unit, at, _ratio(decisive), weak)


def _decisive(causes: Iterable[Cause]) -> Cause | None:
    """Of the comparisons that a grade takes, the one that it waits for, or would be lost by first."""
    # What has no worse side, as engine speed, says where a rule looks and not how near it is.
    compared = [c for c in causes if c.kind == "quantity" and c.limit is not None and np.isfinite(c.ratio)
                and not (c.name in QUANTITIES and QUANTITIES[c.name].worse == "none")]
    return min(compared, key=_ratio, default=None)


def _no_margin(cause: Cause) -> bool:
    """Whether a grade waits for this and no quantity can bring it: one that is not known, or an input as it is stated.

    Beside it another comparison, such as enough boost for the rule to speak at all, says nothing of how near it is.
    """
    if cause.limit is None or _number(cause.limit.value) is None or isinstance(cause.limit.value, bool):
        return False
    if cause.kind == "quantity":
        return not np.isfinite(cause.ratio)
    return cause.kind == "input" and np.isfinite(cause.ratio) and cause.ratio < 1.0


def _ratio(cause: Cause) -> float:
    """Value over limit, of temperatures as a thermometer shows them: in kelvin all of them would be near 1."""
    value, limit = _number(cause.value), None if cause.limit is None else _number(cause.limit.value)
    # A limit of so few kelvin is one of a difference.
    if cause.unit != "K" or value is None or limit is None or limit < ROOM_TEMPERATURE or value <= ZERO_CELSIUS:
        return cause.ratio
    shown, held = value - ZERO_CELSIUS, limit - ZERO_CELSIUS
    return held / shown if cause.limit is not None and cause.limit.sense == "below" else shown / held


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
