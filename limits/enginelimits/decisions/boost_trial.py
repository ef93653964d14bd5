"""One build at several scales of its boost, judged with the same draws: what counts there, and what moves at all."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from enginelimits.assessment.collect import known
from enginelimits.assessment.results import Assessment, QuantityResult
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.boost_lever import BoostLever
from enginelimits.decisions.findings import finding_of, spoken
from enginelimits.decisions.grading import usable_draws
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.margins import margins
from enginelimits.decisions.stacking import counts
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import RuleOutcome, evaluate, reads
from enginelimits.rules.grades import REINFORCE, severity
from enginelimits.rules.model import Rule

Told = Callable[[str], None]
UNMOVED = "does not move with boost"
THE_GOAL = "speaks of the goal, not of what bears"
# What spring or pulley hold beyond the boost asked for grows as less is asked; ladder and ceiling tell it apart.
BEYOND_ASKED = frozenset({"boost.beyond_asked", "boost.spring_beyond_asked"})
NO_WORSE = "gets no worse as boost rises"
# A margin that is nearer to its limit by less than this than at half the boost has not worsened.
ROOM = 0.005


@dataclass(frozen=True)
class BoostTrial:
    """The build at one scale of the boost asked for."""

    scale: float
    judgement: Judgement
    outcomes: Mapping[str, RuleOutcome]

    @property
    def assessment(self) -> Assessment:
        return self.judgement.assessment

    @property
    def crank(self) -> QuantityResult:
        """Power at the crank."""
        return self.assessment.quantities["crank.power"]

    @property
    def power(self) -> QuantityResult:
        """Power as the goal asks for it: displayed at the wheels where it says so, else at the crank."""
        at = self.judgement.filled.get("goal.at")
        wheels = self.assessment.quantities.get("wheel.power")
        return wheels if at is not None and at.value == "wheels" and wheels is not None else self.crank

    @property
    def delivered_pa(self) -> float:
        """The greatest boost that the machine delivers, gauge. [Pa]"""
        return self.assessment.quantities["air.boost"].value or 0.0

    def beyond_formulas(self, threshold: int) -> frozenset[str]:
        """Rules that could reach the grade, were their formulas not beyond their range here."""
        silent = {n.rule for n in self.judgement.out_of_range}
        open_ = {f.rule for f in self.judgement.findings
                 if f.could_be and severity(f.could_be) >= threshold > severity(f.grade) and not f.missing}
        return frozenset(silent | open_)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A finding that is there whatever the boost."""

    finding: Finding
    reason: str


@dataclass(frozen=True, slots=True)
class DrawnBy:
    """A rule that reaches the grade in some draws, with how it reads in the first of them.

    ``usable`` are the draws in which the rule could be judged; ``own`` of those it reaches the grade in.
    """

    finding: Finding
    draws: int
    own: int = 0
    usable: int = 0

    @property
    def share(self) -> float:
        """The rule's own chance, as `check` tells it."""
        return self.own / self.usable if self.usable else 0.0


@dataclass(frozen=True, slots=True)
class Draws:
    """Of the draws that could be decided, those in which nothing reaches the grade, and what does in the others.

    ``beside`` are rules that reach it too and do not count, because more boost makes them no worse.  ``typical`` are
    those that reach it on the typical build; ``families`` counts the draws in which some rule of a family does.
    """

    below: int
    decided: int
    by: tuple[DrawnBy, ...]
    beside: tuple[DrawnBy, ...] = ()
    typical: tuple[Finding, ...] = ()
    families: Mapping[str, int] = field(default_factory=dict)

    @property
    def share(self) -> float:
        """Of the draws, those in which nothing at all reaches the grade."""
        return self.below / self.decided if self.decided else 0.0

    @property
    def worst(self) -> DrawnBy | None:
        """The rule that reaches it with the greatest chance of its own."""
        return max(self.by, key=lambda one: one.share, default=None)

    def of_family(self, family: str) -> float:
        """The chance that some rule of a family reaches it."""
        return self.families.get(family, 0) / self.decided if self.decided else 0.0


class BoostTrials:
    """Judges a build at scales of its boost; what was judged once is kept.

    ``tell`` hears one line before each judgement that has yet to be made.
    """

    def __init__(self, bench: Bench, lever: BoostLever, *, tell: Told | None = None) -> None:
        self.bench, self.lever, self._tell = bench, lever, tell
        self._kept: dict[tuple[float, int], BoostTrial] = {}

    @property
    def catalogue(self) -> Catalogue:
        return self.bench.catalogue

    @property
    def judgements(self) -> int:
        """How often the build was judged."""
        return len(self._kept)

    def at(self, scale: float, *, samples: int = 0) -> BoostTrial:
        """The build at a scale of the boost asked for; SolveError where it cannot be computed."""
        key = (scale, samples)
        if key not in self._kept:
            if self._tell is not None:
                drawn = f", {samples} draws" if samples else ""
                self._tell(f"judging at {scale * self.lever.greatest_pa / 1e5:.2f} bar{drawn}")
            judgement = self.bench.judged(self.lever.edits(scale), samples=samples)
            ground = AssessmentGround(judgement.assessment)
            outcomes = evaluate(self.catalogue, ground, engine="plain", limit_seed=self.bench.seed).outcomes
            self._kept[key] = BoostTrial(scale, judgement, outcomes)
        return self._kept[key]


def unmoved(catalogue: Catalogue, one: BoostTrial, other: BoostTrial) -> frozenset[str]:
    """Rules of which everything that they read is the same in both trials."""
    columns = one.assessment.columns, other.assessment.columns

    def same(name: str) -> bool:
        a, b = (c.get(name) for c in columns)
        if a is None or b is None or a.si is None or b.si is None:
            return (a is None or a.si is None) == (b is None or b.si is None)
        if not isinstance(a.si, np.ndarray) or a.si.dtype.kind not in "fiu":
            return bool(np.all(a.si == b.si))
        first, second = np.broadcast_arrays(known(a), known(b))
        return bool(np.array_equal(first, second, equal_nan=True))

    return frozenset(
        id_ for id_, outcome in one.outcomes.items()
        if all(same(name) for _, name in reads(catalogue, outcome.rule))
    )


def of_the_goal(rule: Rule, catalogue: Catalogue) -> bool:
    """Whether a rule asks if what was asked for is had, power or boost, which less boost can only make worse."""
    return any(kind == "quantity" and name in QUANTITIES and (QUANTITIES[name].root == "goal" or name in BEYOND_ASKED)
               for kind, name in reads(catalogue, rule))


def without_goal(findings: Iterable[Finding], catalogue: Catalogue) -> tuple[Finding, ...]:
    """The findings but those on whether the goal or the boost asked for is had."""
    return tuple(f for f in findings if not of_the_goal(catalogue.rules[f.rule], catalogue))


def whatever_the_boost(
    catalogue: Catalogue, least: BoostTrial, asked: BoostTrial
) -> Mapping[str, str]:
    """Rules that boost does not answer for, each with the reason.

    What a rule reads does not move between the least boost and that asked for; or its finding stands there at both,
    with the same grade on the same values; or it speaks of the goal.
    """
    left = dict.fromkeys(unmoved(catalogue, least, asked), UNMOVED)
    before = {f.rule: f for f in least.judgement.findings}
    for finding in asked.judgement.findings:
        first = before.get(finding.rule)
        if first is not None and finding.grade != "clear" and _reading(first) == _reading(finding):
            left[finding.rule] = UNMOVED
    left |= {id_: THE_GOAL for id_, o in asked.outcomes.items() if of_the_goal(o.rule, catalogue)}
    return left


def _reading(finding: Finding) -> tuple[Any, ...]:
    return finding.grade, tuple((b.name, b.value) for b in finding.because if b.kind in ("quantity", "input"))


def reaching(
    trial: BoostTrial, threshold: int, left: Container[str] = ()
) -> tuple[Finding, ...]:
    """The findings of the typical build at the grade or worse, but what is left out and single knock events."""
    return tuple(f for f in trial.judgement.findings
                 if severity(f.grade) >= threshold and f.rule not in left and counts(f))


def level(
    least: BoostTrial, half: BoostTrial, asked: BoostTrial, threshold: int, left: Mapping[str, str]
) -> Mapping[str, float]:
    """Rules as near to the grade at half the boost as at all of it, or nearer, with their margin at half.

    One whose margin rises on the way to half, from under its limit, is none of them: less boost lifts it.
    """
    none, before, after = (margins(t.outcomes, t.assessment, threshold) for t in (least, half, asked))

    def lifted(id_: str) -> bool:
        at_none, at_half = none.get(id_), before[id_]
        return (at_none is not None and at_none.quantity == at_half.quantity and at_none.ratio <= 1.0
                and at_none.ratio < at_half.ratio - ROOM)

    return {id_: m.ratio for id_, m in before.items()
            if id_ not in left and id_ in after and after[id_].ratio < m.ratio + ROOM and not lifted(id_)}


def still_level(trial: BoostTrial, half: BoostTrial, at_half: Mapping[str, float], threshold: int) -> frozenset[str]:
    """Of those rules the ones that are no worse here either: one that is worse than at half the boost counts again."""
    if not at_half or trial.scale <= half.scale:
        return frozenset(at_half)
    here = margins(trial.outcomes, trial.assessment, threshold)
    return frozenset(id_ for id_, ratio in at_half.items() if id_ not in here or here[id_].ratio < ratio + ROOM)


def drawn(
    trial: BoostTrial, threshold: int, left: Mapping[str, str], catalogue: Catalogue,
    beside: frozenset[str] = frozenset(),
) -> Draws:
    """In how many draws nothing reaches the grade, each draw judged as if it were the typical build.

    A draw in which a rule that speaks of the typical build cannot be judged, and nothing else reaches the grade, is
    not decided.  Rules ``beside`` are counted apart.
    """
    count = trial.assessment.samples
    reached, undecided = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    firsts: dict[str, Finding] = {}
    rows: dict[str, list[int]] = {}
    for row in range(1, count + 1):
        for finding in _findings_of(trial, row, threshold, left, catalogue):
            reached[row - 1] |= finding.rule not in beside
            rows.setdefault(finding.rule, []).append(row - 1)
            firsts.setdefault(finding.rule, finding)
    for id_, outcome in trial.outcomes.items():
        if id_ not in left and id_ not in beside and outcome.judged[:, 0].all():
            open_ = (outcome.grade < threshold) & (outcome.could_be >= threshold)
            undecided |= np.asarray(open_.any(axis=0))[1:]
    decided = reached | ~undecided
    by = [_drawn_by(firsts[rule], rows[rule], trial.outcomes[rule])
          for rule in sorted(rows, key=lambda rule: (-len(rows[rule]), rule))]
    counted = tuple(d for d in by if d.finding.rule not in beside)
    families: dict[str, set[int]] = {}
    for one in counted:
        families.setdefault(one.finding.family, set()).update(rows[one.finding.rule])
    typical = sorted(_findings_of(trial, 0, threshold, left, catalogue), key=lambda f: (-severity(f.grade), f.rule))
    return Draws(
        int((decided & ~reached).sum()), int(decided.sum()), counted,
        tuple(d for d in by if d.finding.rule in beside),
        tuple(f for f in typical if f.rule not in beside),
        {family: len(found) for family, found in families.items()},
    )


def _drawn_by(finding: Finding, rows: Sequence[int], outcome: RuleOutcome) -> DrawnBy:
    usable = usable_draws(outcome)
    return DrawnBy(finding, len(rows), int(usable[list(rows)].sum()), int(usable.sum()))


def _findings_of(
    trial: BoostTrial, row: int, threshold: int, left: Mapping[str, str], catalogue: Catalogue
) -> Iterable[Finding]:
    """The findings of one row at the grade or worse, with the caps that check puts on them; row 0 is the typical."""
    grades = {id_: int(o.grade[:, row].max()) for id_, o in trial.outcomes.items()}
    wanted = [id_ for id_, grade in grades.items() if grade >= threshold and id_ not in left]
    if not wanted:
        return ()
    parts = {trial.outcomes[id_].rule.part or trial.outcomes[id_].rule.family for id_ in wanted}

    def seconds(id_: str) -> bool:
        rule = trial.outcomes[id_].rule
        return grades[id_] >= REINFORCE and (rule.part or rule.family) in parts

    heard = {id_: spoken(_of_draw(o, row), trial.assessment) for id_, o in trial.outcomes.items()
             if id_ in wanted or seconds(id_)}
    said = list(heard.values())
    found = [finding_of(heard[id_], said, trial.assessment, catalogue) for id_ in wanted]
    return [f for f in found if severity(f.grade) >= threshold and counts(f)]


def _of_draw(outcome: RuleOutcome, row: int) -> RuleOutcome:
    """The outcome as if one draw were the typical build, and the only one."""
    one = slice(row, row + 1)
    return replace(
        outcome, grade=outcome.grade[:, one], could_be=outcome.could_be[:, one], applies=outcome.applies[:, one],
        judged=outcome.judged[:, one], find=lambda grade, _: outcome.find(grade, row),
    )
