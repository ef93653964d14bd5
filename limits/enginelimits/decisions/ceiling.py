"""The greatest power at which no finding reaches a grade, and the boost that gives it.

Two readings of a confidence are answered.  By the first, each finding by itself: none reaches the grade on the typical
build or in more than the rest of the draws, as `check` reads a tail.  By the second, all of them together: in that
share of the draws nothing reaches it at all, where the thin tails of many limits add up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from enginelimits.assessment.kernel import assessed_often
from enginelimits.assessment.results import QuantityResult
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.boost_lever import BoostLever, lever_of
from enginelimits.decisions.boost_search import HALF, NONE, Bracket, Looked, scale_of
from enginelimits.decisions.boost_trial import (
    NO_WORSE,
    BoostTrial,
    BoostTrials,
    Draws,
    LeftOut,
    Told,
    drawn,
    level,
    reaching,
    still_level,
    whatever_the_boost,
    without_goal,
)
from enginelimits.decisions.ceiling_chances import FamilyChance, family_chances
from enginelimits.decisions.margins import margins
from enginelimits.decisions.roots import root_cause
from enginelimits.decisions.stacking import counts, governing_quantity, small_margins, verdict_of
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.description.fill import filled
from enginelimits.errors import EngineLimitsError, InputError, Problem, SolveError
from enginelimits.rules.grades import severity, severity_asked

State = Literal["found", "nothing binds", "the machine binds", "the formulas bind", "least reaches", "cut short"]

# The search goes to three times the boost asked for, or to this, whichever is more.
TOP, TOP_PA = 3.0, 200e3
UNCOMPUTED = "the computation does not end in a usable number"
TOO_FEW = "more than half of the draws cannot be judged"
# What a boundary of a share leaves to rounding.
SAME = 1e-9
# Findings of the gas load that go with torque, not with the peak of pressure.
OF_TORQUE = ("crank.torque", "brake.mean_effective_pressure")
# So much spark is held back in the trial of what that lifts, and so little torque given away to knock is none.
HELD_RAD, GIVEN_AWAY = 0.0698, 0.002


@dataclass(frozen=True)
class Reach:
    """One answer.  ``binds`` is what reaches the grade a little higher, at ``fails_at`` times the boost asked for.

    ``lost`` are rules that the formulas no longer judge there.  ``draws`` are those of the answer.
    """

    state: State
    trial: BoostTrial | None
    curve: tuple[tuple[float | None, float], ...]
    fails_at: float | None
    binds: tuple[Finding, ...]
    lost: tuple[str, ...]
    draws: Draws | None = None
    draws_beyond: Draws | None = None

    @property
    def power(self) -> QuantityResult | None:
        return None if self.trial is None else self.trial.power


@dataclass(frozen=True)
class HeldBack:
    """The trial of more spark in reserve where peak pressure binds: whether the finding goes, and the power then."""

    finding: Finding
    reserve_rad: float
    goes: bool
    power_w: float | None
    typical_w: float | None


@dataclass(frozen=True)
class Ceiling:
    """The answers for the typical build and, with draws, at a confidence: each finding by itself, and all together.

    ``stacked`` are the causes of small margins that add up to the grade all the same at the typical answer.
    ``pressure`` is the finding that binds there by the peak of pressure while knock holds the spark back.
    """

    name: str
    grade: str
    asked: Judgement
    asked_pa: float
    top_pa: float
    lever_ends: bool
    spring_pa: float | None
    nominal: Reach
    confidence: float
    each: Reach | None
    likely: Reach | None
    left_out: tuple[LeftOut, ...]
    samples: int
    interrupted: bool = False
    stacked: tuple[str, ...] = ()
    families: tuple[FamilyChance, ...] = ()
    pressure: Finding | None = None
    held: HeldBack | None = None
    judgements: int = 0
    standing: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)

    @property
    def pulley(self) -> bool:
        """Whether a stated pulley makes the boost, whatever is asked for."""
        found = self.asked.assessment.quantities.get("boost.beyond_asked")
        return found is not None and found.status == "ok"


@assessed_often(10)
def ceiling(
    bench: Bench, *, grade: str = "reinforce", confidence: float = 0.9, tell: Told | None = None
) -> Ceiling:
    """The greatest power at which nothing reaches ``grade``, on the typical build and at a confidence.

    All are searched on one scale of the boost asked for, by fixed steps of it, with the same draws at every boost:
    more confidence never gives more power, nor does the reading that takes all findings together.  Where it is
    interrupted, what is known so far is the answer.  Raises InputError where there is no boost to raise, and for a
    grade or a confidence that is none.
    """
    below = severity_asked(grade)
    if not 0.0 < confidence < 1.0:
        wanted = "a confidence between nil and one, such as 0.9"
        raise InputError([Problem(wanted, f"{confidence:g}", key="--confidence", file="command line")])
    lever = lever_of(bench.build, filled(bench.build, shop=bench.shop))
    trials = BoostTrials(bench, lever, tell=tell)
    search = _Search(trials, below, bench.samples, confidence)
    nominal, typical = search.nominal()
    each = likely = None
    interrupted = nominal.state == "cut short"
    held = None
    if bench.samples and not interrupted:
        start = NONE if typical.best is None else typical.best.step
        each = search.confident(start, together=False)
        interrupted = each.state == "cut short"
        if not interrupted:
            likely = search.confident(start, together=True)
            interrupted = likely.state == "cut short"
        if start in search.drawn and nominal.trial is not None:
            # The range of the typical answer is that of its draws; what was searched stays as it was.
            nominal = replace(nominal, trial=search.drawn[start].trial, draws=search.drawn[start].draws)
    pressure = search.of_pressure(nominal)
    if pressure is not None and not interrupted:
        try:
            held = search.held_back(nominal, pressure)
        except KeyboardInterrupt:
            interrupted = True
    looked = {step: (one.trial, one.draws) for step, one in search.drawn.items()
              if one.trial is not None and one.draws is not None}
    return Ceiling(
        name=search.asked.judgement.name, grade=grade, asked=search.asked.judgement, asked_pa=lever.greatest_pa,
        top_pa=search.top * lever.greatest_pa, lever_ends=search.top >= lever.most, spring_pa=lever.spring_pa,
        nominal=nominal, confidence=confidence, each=each, likely=likely, left_out=search.left_out(),
        samples=bench.samples, interrupted=interrupted,
        stacked=search.stacked(nominal.trial) if nominal.trial is not None else (),
        families=tuple(family_chances(looked, nominal.draws, likely.draws if likely else None, confidence)),
        pressure=pressure, held=held, judgements=trials.judgements,
        standing={name: search.standing(reach.trial) for name, reach in (("typical", nominal),)
                  if reach.trial is not None},
    )


class _Search:
    """Looks for the end of the stretch of boosts that passes."""

    def __init__(self, trials: BoostTrials, threshold: int, samples: int, confidence: float) -> None:
        self.trials, self.threshold, self.samples, self.confidence = trials, threshold, samples, confidence
        self.lever: BoostLever = trials.lever
        self.top = min(self.lever.most, max(TOP, TOP_PA / self.lever.greatest_pa))
        self.asked, self.least = trials.at(1.0), trials.at(0.0)
        self.left = whatever_the_boost(trials.catalogue, self.least, self.asked)
        self.half = trials.at(scale_of(HALF, self.top))
        self.level = level(self.least, self.half, self.asked, threshold, self.left)
        self.drawn: dict[int, Looked] = {}
        self._silent: dict[float, frozenset[str]] = {}

    def left_out(self) -> tuple[LeftOut, ...]:
        """What reaches the grade as asked and is left out."""
        reasons = {**self.left, **dict.fromkeys(self._level_at(self.asked), NO_WORSE)}
        return tuple(LeftOut(f, reasons[f.rule]) for f in reaching(self.asked, self.threshold) if f.rule in reasons)

    def _level_at(self, trial: BoostTrial) -> frozenset[str]:
        return still_level(trial, self.half, self.level, self.threshold)

    def stacked(self, trial: BoostTrial) -> tuple[str, ...]:
        """The causes that raise the verdict to the grade where no finding reaches it."""
        judgement = trial.judgement
        findings = without_goal(judgement.findings, self.trials.catalogue)
        verdict = verdict_of(findings, judgement.assessment, [*judgement.not_judged, *judgement.out_of_range])
        raised = severity(verdict.grade) >= self.threshold > max((severity(f.grade) for f in findings), default=0)
        counted = [f for f in findings if counts(f)]
        return small_margins(counted, judgement.assessment) if raised else ()

    def standing(self, trial: BoostTrial) -> tuple[Finding, ...]:
        """What is found there all the same, milder than the grade, whether boost answers for it or not."""
        return tuple(f for f in without_goal(trial.judgement.findings, self.trials.catalogue)
                     if f.grade not in ("clear", "note"))

    def typical(self, step: int) -> Looked:
        """The typical build at a step."""
        try:
            trial = self.trials.at(scale_of(step, self.top))
        except SolveError:
            return Looked(step, None, False, lost=(UNCOMPUTED,))
        binds = reaching(trial, self.threshold, self.left.keys() | self._level_at(trial))
        lost = self._lost(trial)
        return Looked(step, trial, not binds and not lost, binds, lost)

    def _lost(self, trial: BoostTrial) -> tuple[str, ...]:
        """Rules that were judged at a lower boost and are not here: beyond the formulas silence is no news."""
        silent = trial.beyond_formulas(self.threshold) - self.left.keys() - self._level_at(trial)
        self._silent[trial.scale] = silent
        judged_below = [silent - known for scale, known in self._silent.items() if scale < trial.scale]
        return tuple(sorted(frozenset().union(*judged_below)))

    def _crossing(self, one: Looked, other: Looked) -> float | None:
        """The least scale at which a margin that counts passes 1, on the line through two trials."""
        if one.trial is None or other.trial is None:
            return None
        low, high = sorted((one.trial, other.trial), key=lambda trial: trial.scale)
        before, after = (margins(t.outcomes, t.assessment, self.threshold) for t in (low, high))
        beside = self.left.keys() | self._level_at(high)
        # Beyond the end only what binds there is asked; below it, whatever comes first.
        named = {f.rule for f in other.binds or one.binds} or before.keys() - beside
        found = []
        for rule in named & before.keys() & after.keys():
            rise = after[rule].ratio - before[rule].ratio
            if rise > 0.0 and not (after[rule].weak and not (one.binds or other.binds)):
                found.append(low.scale + (1.0 - before[rule].ratio) / rise * (high.scale - low.scale))
        return min((scale for scale in found if scale > 0.0), default=None)

    def nominal(self) -> tuple[Reach, Bracket]:
        """The answer for the typical build."""
        bracket = Bracket(self.typical, self._crossing, self.top)
        bracket.closed(0, (HALF, NONE))
        self.typical_answer = self._answer(bracket)
        return self.typical_answer, bracket

    def _drawn_at(self, step: int) -> Looked:
        """The draws at a step; judged once for both readings."""
        if step not in self.drawn:
            try:
                trial = self.trials.at(scale_of(step, self.top), samples=self.samples)
            except SolveError:
                self.drawn[step] = Looked(step, None, False, lost=(UNCOMPUTED,))
            else:
                draws = drawn(trial, self.threshold, self.left, self.trials.catalogue, self._level_at(trial))
                # With half of the draws beyond the formulas there is no share to speak of.
                lost = () if 2 * draws.decided > self.samples else (TOO_FEW,)
                self.drawn[step] = Looked(step, trial, False, lost=lost, draws=draws)
        return self.drawn[step]

    def confident(self, start: int, *, together: bool) -> Reach:
        """The answer at the confidence, from the typical one down."""

        def look(step: int) -> Looked:
            found = self._drawn_at(step)
            if found.draws is None:
                return found
            draws, allowed = found.draws, 1.0 - self.confidence
            worst = draws.worst
            # A share that is met in full is a tail already, as `check` counts it.
            alone = 0.0 if worst is None else worst.share - allowed + SAME
            joint = self.confidence - draws.share - SAME
            excess = max(alone, joint) if together else alone
            passes = excess <= 0.0 and alone < SAME and not draws.typical and not found.lost
            binds = tuple(d.finding for d in draws.by) if together or not worst else (worst.finding,)
            return replace(found, passes=passes, binds=draws.typical or binds, excess=excess)

        bracket = Bracket(look, _share_crossing, self.top)
        try:
            self._drawn_at(start)
        except KeyboardInterrupt:
            return Reach("cut short", None, (), None, (), ())
        known = tuple(sorted((step for step in self.drawn if step < start), reverse=True)) if together else ()
        first = next((step for step in known if look(step).passes), None)
        if (at := look(start)).passes:
            # The draws allow no less than the typical build, which binds.
            return replace(self.typical_answer, trial=at.trial, draws=at.draws)
        if together:
            # What the first reading looked at is there already: the lowest that fails above what passes.
            above = min((step for step in (*known, start) if first is None or step > first), default=start)
            return self._answer(bracket.closed(above, () if first is None else (first,)))
        return self._answer(bracket.closed(start))

    def _answer(self, bracket: Bracket) -> Reach:
        best, worst = bracket.best, bracket.worst
        state: State = "nothing binds" if bracket.end == "top" else bracket.end
        if state == "found" and worst is not None and not worst.binds and worst.lost:
            state = "the formulas bind"
        scale = None if best is None else scale_of(best.step, self.top)
        return Reach(
            state=state, trial=None if best is None else best.trial,
            curve=() if scale is None else self.lever.curve(scale),
            fails_at=None if worst is None else scale_of(worst.step, self.top), binds=worst.binds if worst else (),
            lost=worst.lost if worst else (),
            draws=None if best is None else best.draws, draws_beyond=None if worst is None else worst.draws,
        )

    def of_pressure(self, reach: Reach) -> Finding | None:
        """What binds by the peak of pressure while knock holds the spark back: there more octane gives no more."""
        trial = reach.trial
        if trial is None or not reach.binds or not self._knock_limited(trial):
            return None
        first = reach.binds[0]
        quantity = governing_quantity(first)
        if quantity is None or quantity in OF_TORQUE or root_cause(trial.assessment, quantity) != "gas load":
            return None
        return first

    @staticmethod
    def _knock_limited(trial: BoostTrial) -> bool:
        lost = trial.assessment.quantities.get("combustion.torque_lost")
        return lost is not None and (lost.value or 0.0) > GIVEN_AWAY

    def held_back(self, reach: Reach, finding: Finding) -> HeldBack | None:
        """The boost that fails, tried once more with spark in reserve; None where that cannot be."""
        given = self.asked.judgement.filled.get("ignition.spark_reserve")
        now = float(given.value) if given is not None and isinstance(given.value, int | float) else 0.0
        reserve = now + HELD_RAD
        edits = (*self.lever.edits(reach.fails_at or 1.0),
                 {"set": "ignition.spark_reserve", "to": f"{reserve!r} rad"})
        try:
            judged = self.trials.bench.judged(edits, samples=0)
        except EngineLimitsError:
            return None
        at = BoostTrial(reach.fails_at or 1.0, judged, {})
        grades = {f.rule: severity(f.grade) for f in judged.findings}
        goes = grades.get(finding.rule, 0) < self.threshold
        return HeldBack(finding, reserve, goes, at.power.value, None if reach.power is None else reach.power.value)


def _share_crossing(one: Looked, other: Looked) -> float | None:
    """Where the share is met, on the line through two shares."""
    if one.excess is None or other.excess is None or one.trial is None or other.trial is None:
        return None
    rise = (other.excess - one.excess) / ((other.trial.scale - one.trial.scale) or 1.0)
    return one.trial.scale - one.excess / rise if rise > 0.0 else None
