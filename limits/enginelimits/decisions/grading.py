"""One finding's grade: row 0, what the draws say, and the caps of weak evidence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from enginelimits.rules.evaluate import RuleOutcome
from enginelimits.rules.grades import CAUTION, CLEAR, GRADES, NOTE, REINFORCE

# A tail counts when it holds one draw in ten.
TAIL = 0.10
CHANCE_WORDS = ((0.10, "unlikely"), (0.33, "possible"), (0.67, "even"), (1.01, "likely"))


@dataclass(frozen=True, slots=True)
class Graded:
    """A grade with the share of draws behind it.  ``chances`` and ``chance`` are empty without draws."""

    row0: int
    uncapped: int
    reached: NDArray[np.float64] | None
    judged: int

    def chance(self, grade: int) -> float | None:
        """Share of the judged draws at ``grade`` or worse."""
        return None if self.reached is None else float(self.reached[grade])

    def chances(self) -> dict[str, float]:
        """Share of the judged draws at each grade."""
        if self.reached is None:
            return {}
        shares = -np.diff(np.append(self.reached, 0.0)) + 0.0  # no negative zeros
        return {name: float(share) for name, share in zip(GRADES, shares, strict=True)}

    def borderline(self, grade: int) -> bool:
        """Whether a share that decides lies within two standard errors of one in ten."""
        if self.reached is None or not self.judged:
            return False
        error = 2 * np.sqrt(TAIL * (1 - TAIL) / self.judged)
        deciding = [g for g in (grade, grade + 1) if NOTE <= g <= CAUTION and g > self.row0]
        return any(abs(float(self.reached[g]) - TAIL) <= error for g in deciding)


def graded(outcome: RuleOutcome) -> Graded:
    """Worse of row 0's grade and the lesser of caution and the worst grade that one draw in ten reaches."""
    worst = outcome.grade.max(axis=0)
    row0 = int(worst[0])
    usable = usable_draws(outcome)
    judged = int(usable.sum())
    if not judged:
        return Graded(row0, row0, None, 0)
    draws = worst[1:][usable]
    reached = np.array([float((draws >= g).mean()) for g in range(len(GRADES))])
    tail = max((g for g in range(len(GRADES)) if reached[g] >= TAIL), default=CLEAR)
    return Graded(row0, max(row0, min(CAUTION, tail)), reached, judged)


def usable_draws(outcome: RuleOutcome) -> NDArray[np.bool_]:
    """Draws in which the rule speaks of some ambient, and could be judged in every one that it speaks of."""
    heard: NDArray[np.bool_] = outcome.judged.all(axis=0) & (outcome.applies == 1).any(axis=0)
    return heard[1:]


def share_error(share: float, draws: int) -> float:
    """The standard error of a share of so many draws; none and all of them count as if one more draw were otherwise."""
    within = min(max(share, 1.0 / (draws + 2.0)), 1.0 - 1.0 / (draws + 2.0))
    return float(np.sqrt(within * (1.0 - within) / draws))


def chance_word(chance: float | None) -> str:
    """The word for a share of draws: the chance that this limit is crossed, not that something breaks."""
    if chance is None:
        return ""
    return next(word for below, word in CHANCE_WORDS if chance < below)


def capped(grade: int, *, low_confidence: bool, seconded: bool, bound: bool) -> int:
    """The grade after its caps: a bound goes no further than note, weak evidence than caution.

    ``seconded``: a rule of independent method on the same part agrees, which lifts the cap to reinforce.
    """
    if bound:
        grade = min(grade, NOTE)
    if low_confidence:
        grade = min(grade, REINFORCE if seconded else CAUTION)
    return grade
