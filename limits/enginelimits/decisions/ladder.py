"""Boost raised step by step: which limit is reached first at each, what lifts it, and what comes next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from enginelimits.assessment.kernel import assessed_often
from enginelimits.assessment.results import QuantityResult
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.boost_lever import BoostLever, lever_of
from enginelimits.decisions.boost_trial import (
    BoostTrial,
    BoostTrials,
    LeftOut,
    Told,
    level,
    reaching,
    still_level,
    whatever_the_boost,
    without_goal,
)
from enginelimits.decisions.margins import Margin, margins
from enginelimits.decisions.stacking import verdict_of
from enginelimits.decisions.verdict import Finding, Judgement, Verdict
from enginelimits.description.fill import filled
from enginelimits.errors import InputError, Problem, SolveError
from enginelimits.rules.grades import severity, severity_asked

End = Literal["top", "the machine gives no more", "beyond the formulas", "interrupted"]

# The ladder goes to this much of the boost asked for, and on from there until the goal's power is passed.
TOP = 1.25
# None and the top.
LEAST_STEPS = 2
# It never goes on for longer than this many times the steps asked for.
LONGEST = 3
# Less power gained in a step than this share is none: the machine is at its end.
GAIN = 2e-3
# A margin that moves by less over the whole ladder says nothing of what comes next.
MOVES = 0.02


@dataclass(frozen=True)
class Reached:
    """A finding that appears or worsens at a step; ``before`` is its grade a step lower."""

    finding: Finding
    before: str


@dataclass(frozen=True)
class Rung:
    """One step.  ``reached`` is all that appears or worsens, worst first; ``verdict`` leaves the goal itself out."""

    trial: BoostTrial
    boost_pa: float
    curve: tuple[tuple[float | None, float], ...]
    verdict: Verdict
    reached: tuple[Reached, ...]
    margins: Mapping[str, Margin]
    beyond: tuple[str, ...]

    @property
    def first(self) -> Reached | None:
        """The first limit reached here."""
        return self.reached[0] if self.reached else None

    @property
    def raised(self) -> bool:
        """Whether the verdict is worse than any finding: small margins of several causes add up."""
        findings = self.trial.judgement.findings
        return all(f.grade != self.verdict.grade for f in findings) and self.verdict.grade != "clear"

    @property
    def pulley_pa(self) -> float | None:
        """Boost that the stated pulley makes beyond what is asked for; None of any other machine. [Pa]"""
        found = self.trial.assessment.quantities.get("boost.beyond_asked")
        return None if found is None or found.status != "ok" else found.value


@dataclass(frozen=True)
class Family:
    """The leading rule of one family, its ratio at each step, and the boost at which it passes 1, if it does.

    ``share`` says that its limit is above nil, so that value over limit is a share of it.
    """

    family: str
    rule: str
    title: str
    quantity: str
    grade: str
    weak: bool
    ratios: tuple[float | None, ...]
    passes_pa: float | None
    share: bool = True


@dataclass(frozen=True)
class Ladder:
    """All steps.  ``clear`` is the highest at which nothing that boost answers for reaches the grade."""

    name: str
    grade: str
    asked: Judgement
    asked_pa: float
    spring_pa: float | None
    rungs: tuple[Rung, ...]
    families: tuple[Family, ...]
    clear: int | None
    left_out: tuple[LeftOut, ...]
    samples: int
    end: End
    goal_passed: bool

    @property
    def goal(self) -> QuantityResult:
        """Power as the goal asks for it, at the boost asked for."""
        return BoostTrial(1.0, self.asked, {}).power


@assessed_often(10)
def ladder(
    bench: Bench, *, steps: int = 6, top_pa: float | None = None, grade: str = "reinforce", tell: Told | None = None
) -> Ladder:
    """Raise boost from none in ``steps`` steps, to ``top_pa`` or until the goal's power is passed.

    Every step is judged as `check` judges it.  Where it is interrupted, the steps so far are the answer.  Raises
    InputError where there is no boost to raise, for fewer steps than from none to the top, a top that is none, and for
    a grade that is none.
    """
    below = severity_asked(grade)
    if steps < LEAST_STEPS:
        raise InputError([Problem(f"at least {LEAST_STEPS} steps, from none to the top", str(steps), key="--steps",
                                  file="command line")])
    if top_pa is not None and not top_pa > 0.0:
        raise InputError([Problem("a boost above zero to raise it to", f"{top_pa:g} Pa", key="--top",
                                  file="command line")])
    lever = lever_of(bench.build, filled(bench.build, shop=bench.shop))
    trials = BoostTrials(bench, lever, tell=tell)
    least = trials.at(0.0, samples=bench.samples)
    asked = trials.at(1.0, samples=bench.samples)
    left = whatever_the_boost(bench.catalogue, least, asked)
    rungs: list[Rung] = []
    end: End = "top"
    try:
        for scale in _scales(lever, steps, top_pa, rungs, _goal_w(asked)):
            trial = trials.at(scale, samples=bench.samples)
            rungs.append(_rung(trial, lever, rungs[-1] if rungs else None, trials, below))
    except KeyboardInterrupt:
        end = "interrupted"
    except SolveError:
        end = "beyond the formulas"
    if end == "top" and _exhausted(rungs):
        end = "the machine gives no more"
    goal_w = _goal_w(asked)
    reason = [LeftOut(f, left[f.rule]) for f in reaching(asked, below) if f.rule in left]
    return Ladder(
        name=asked.judgement.name, grade=grade, asked=asked.judgement, asked_pa=lever.greatest_pa,
        spring_pa=lever.spring_pa, rungs=tuple(rungs), families=tuple(_families(rungs, left)),
        clear=_highest_clear(rungs, least, asked, below, left), left_out=tuple(reason), samples=bench.samples, end=end,
        goal_passed=goal_w is not None and any((r.trial.power.value or 0.0) > goal_w for r in rungs),
    )


def _scales(
    lever: BoostLever, steps: int, top_pa: float | None, rungs: Sequence[Rung], goal_w: float | None
) -> Iterator[float]:
    """The scales in order; what was found so far decides how far they go."""
    top = min(lever.most, TOP if top_pa is None else top_pa / lever.greatest_pa)
    step = top / (steps - 1)
    regular = [step * number for number in range(steps)]
    between = range(1, steps - 1)
    if top > 1.0 and between:
        # The boost asked for is a step itself.
        regular[min(between, key=lambda n: abs(regular[n] - 1.0))] = 1.0
    yield from regular
    if top_pa is not None or goal_w is None:
        return
    scale = top
    for _ in range((LONGEST - 1) * steps):
        scale += step
        if (rungs[-1].trial.power.value or 0.0) > goal_w or _exhausted(rungs) or scale > lever.most:
            return
        yield scale


def _goal_w(asked: BoostTrial) -> float | None:
    given = asked.judgement.filled.get("goal.power")
    return float(given.value) if given is not None and isinstance(given.value, int | float) else None


def _exhausted(rungs: Sequence[Rung]) -> bool:
    """Whether the last step up gained no power."""
    if len(rungs) < 2:
        return False
    before, after = (rung.trial.crank.value for rung in rungs[-2:])
    return before is not None and after is not None and after < before * (1.0 + GAIN)


def _rung(
    trial: BoostTrial, lever: BoostLever, before: Rung | None, trials: BoostTrials, threshold: int
) -> Rung:
    judgement = trial.judgement
    findings = without_goal(judgement.findings, trials.catalogue)
    grades = {} if before is None else {f.rule: f.grade for f in before.trial.judgement.findings}
    reached = tuple(
        Reached(f, grades.get(f.rule, "clear")) for f in findings
        if severity(f.grade) > severity(grades.get(f.rule, "clear"))
    )
    silent = trial.beyond_formulas(threshold)
    return Rung(
        trial=trial, boost_pa=trial.scale * lever.greatest_pa, curve=lever.curve(trial.scale),
        verdict=verdict_of(findings, judgement.assessment, [*judgement.not_judged, *judgement.out_of_range]),
        reached=reached, margins=margins(trial.outcomes, judgement.assessment, threshold),
        beyond=() if before is None else tuple(sorted(silent - before.trial.beyond_formulas(threshold))),
    )


def _highest_clear(
    rungs: Sequence[Rung], least: BoostTrial, asked: BoostTrial, threshold: int, left: Mapping[str, str]
) -> int | None:
    """The last step before the first at which something that boost answers for reaches the grade."""
    best = None
    half = min((rung.trial for rung in rungs), key=lambda trial: abs(trial.scale - 0.5), default=asked)
    no_worse = level(least, half, asked, threshold, left)
    for number, rung in enumerate(rungs):
        beside = still_level(rung.trial, half, no_worse, threshold)
        if not reaching(rung.trial, threshold, left.keys() | beside) and not set(rung.beyond) - left.keys() - beside:
            best = number
        elif best is not None:
            break
    return best


def _families(rungs: Sequence[Rung], left: Mapping[str, str]) -> list[Family]:
    """The leading rule of each family, the one that is reached first on top."""
    found: dict[str, Family] = {}
    for id_ in sorted({id_ for rung in rungs for id_ in rung.margins} - left.keys()):
        ratios = tuple(rung.margins[id_].ratio if id_ in rung.margins else None for rung in rungs)
        known = [ratio for ratio in ratios if ratio is not None]
        # One without a ratio on top waits there for something that has no number.
        if len(known) < 2 or ratios[-1] is None or known[-1] - known[0] < MOVES:
            continue
        sample = next(rung.margins[id_] for rung in reversed(rungs) if id_ in rung.margins)
        one = Family(sample.family, id_, sample.title, sample.quantity, sample.grade, sample.weak, ratios,
                     _passes(rungs, ratios), (sample.limit or 0.0) > 0.0)
        if sample.family not in found or _order(one) < _order(found[sample.family]):
            found[sample.family] = one
    return sorted(found.values(), key=_order)


def _order(family: Family) -> tuple[bool, float, float]:
    """What counts by itself first, then what is reached first, then what is nearest."""
    last = next(ratio for ratio in reversed(family.ratios) if ratio is not None)
    return family.weak, family.passes_pa if family.passes_pa is not None else float("inf"), -last


def _passes(rungs: Sequence[Rung], ratios: Sequence[float | None]) -> float | None:
    """The boost at which a ratio passes 1, on the line between two steps."""
    known = [(rung.boost_pa, ratio) for rung, ratio in zip(rungs, ratios, strict=True) if ratio is not None]
    if known and known[0][1] > 1.0:
        return known[0][0]
    for (low, before), (high, after) in pairwise(known):
        if before <= 1.0 < after:
            return low + (high - low) * (1.0 - before) / (after - before)
    return None


