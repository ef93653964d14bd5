"""One rule worked out on one build: every grade's condition with the numbers that decide it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from enginelimits.decisions.judge import evaluated
from enginelimits.description.load import load_build
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.grades import GRADES, severity
from enginelimits.rules.outcome import Cause

if TYPE_CHECKING:
    from enginelimits.shop import Shop


@dataclass(frozen=True, slots=True)
class GradeWorked:
    """Where a grade's condition is met worst, or is nearest to being met, on the typical build."""

    grade: str
    met: bool
    speed: float
    ambient: str
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class RuleWorked:
    """One rule on one build.  ``state``: applies, not applicable, or unknown."""

    build: str
    rule: str
    state: str
    grade: str
    could_be: str
    missing: tuple[str, ...]
    grades: tuple[GradeWorked, ...]


def rule_on_build(path: Path, catalogue: Catalogue, rule_id: str, *, shop: Shop | None = None) -> RuleWorked:
    """The conditions of a rule with the numbers of the typical build put in."""
    build = load_build(str(path) if str(path) == "-" else path)
    _, assessment, evaluation = evaluated(build, catalogue, samples=0, shop=shop)
    outcome = evaluation.outcomes.get(rule_id)
    if outcome is None:
        return RuleWorked(build.build, rule_id, "not judged on builds", "clear", "clear", (), ())
    applies = outcome.applies[:, 0]
    state = "not applicable" if (applies == 0).all() else "applies" if (applies == 1).any() else "unknown"
    worked = []
    for grade in outcome.rule.grades:
        found = outcome.witness(severity(grade.grade))
        worked.append(
            GradeWorked(grade.grade, found.met, assessment.speeds[found.speed], assessment.ambients[found.ambient],
                        found.causes)
        )
    return RuleWorked(build.build, rule_id, state, GRADES[int(outcome.grade[:, 0].max())],
                      GRADES[int(outcome.could_be[:, 0].max())], outcome.missing, tuple(worked))
