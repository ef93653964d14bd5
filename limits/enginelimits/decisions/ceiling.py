"""The greatest power at which no finding reaches a grade, and the boost that gives it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from enginelimits.assessment.results import QuantityResult
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.boost_lever import BoostLever, lever_of
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
from enginelimits.decisions.stacking import verdict_of
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.description.fill import filled
from enginelimits.errors import SolveError
from enginelimits.rules.grades import severity

State = Literal["found", "nothing binds", "the machine binds", "the formulas bind", "least reaches", "cut short"]

# How near the boost that passes and the one that fails are brought to each other, as a share.
NEAR = 0.01
DOWN = (0.75, 0.5, 0.25, 0.0)
UP = 1.3
# The search goes to three times the boost asked for, or to this, whichever is more.
TOP, TOP_PA = 3.0, 200e3
# A machine that delivers less than this more is at its own end.
RISE = 1e-3
UNCOMPUTED = "the computation does not end in a usable number"


@dataclass(frozen=True)
class Reach:
    """One answer.  ``binds`` is what reaches the grade a little higher, at ``fails_at`` times the boost asked for.

    ``lost`` are rules that the formulas no longer judge there.  ``share`` is of the draws at the answer.
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
class Ceiling:
    """The answers for the typical build and, with draws, at a confidence.

    ``stacked`` says that at the typical answer small margins of several causes add up to the grade all the same.
    """

    name: str
    grade: str
    asked: Judgement
    asked_pa: float
    top_pa: float
    spring_pa: float | None
    nominal: Reach
    confidence: float
    likely: Reach | None
    left_out: tuple[LeftOut, ...]
    samples: int
    interrupted: bool = False
    stacked: bool = False

    @property
    def pulley(self) -> bool:
        """Whether a stated pulley makes the boost, whatever is asked for."""
        found = self.asked.assessment.quantities.get("boost.beyond_asked")
        return found is not None and found.status == "ok"


@dataclass(frozen=True)
class _Looked:
    """A trial held against the grade."""

    scale: float
    trial: BoostTrial | None
    passes: bool
    binds: tuple[Finding, ...] = ()
    lost: tuple[str, ...] = ()
    draws: Draws | None = None


def ceiling(
    bench: Bench, *, grade: str = "reinforce", confidence: float = 0.9, tell: Told | None = None
) -> Ceiling:
    """The greatest power at which nothing reaches ``grade``, on the typical build and in a share of the draws.

    Both are searched on one scale of the boost asked for.  The same draws serve at every boost.  Where it is
    interrupted, what is known so far is the answer.  Raises InputError where there is no boost to raise.
    """
    lever = lever_of(bench.build, filled(bench.build, shop=bench.shop))
    trials = BoostTrials(bench, lever, tell=tell)
    search = _Search(trials, severity(grade))
    nominal = search.reach(search.typical, 1.0)
    likely, interrupted = None, nominal.state == "cut short"
    if bench.samples and not interrupted:
        likely = search.likely(nominal, bench.samples, confidence)
        interrupted = likely.state == "cut short"
        if nominal.trial is not None and not interrupted:
            # The range of the typical answer is that of its draws; what was searched stays as it was.
            nominal = replace(nominal, trial=trials.at(nominal.trial.scale, samples=bench.samples))
    return Ceiling(
        name=search.asked.judgement.name, grade=grade, asked=search.asked.judgement, asked_pa=lever.greatest_pa,
        top_pa=search.top * lever.greatest_pa, spring_pa=lever.spring_pa, nominal=nominal, confidence=confidence,
        likely=likely, left_out=search.left_out(), samples=bench.samples, interrupted=interrupted,
        stacked=nominal.trial is not None and search.stacked(nominal.trial),
    )


class _Search:
    """Looks for the end of the stretch of boosts that passes."""

    def __init__(self, trials: BoostTrials, threshold: int) -> None:
        self.trials, self.threshold = trials, threshold
        self.lever: BoostLever = trials.lever
        self.top = min(self.lever.most, max(TOP, TOP_PA / self.lever.greatest_pa))
        self.least, self.asked = trials.at(0.0), trials.at(1.0)
        self.left = whatever_the_boost(trials.catalogue, self.least, self.asked)
        self.half = trials.at(0.5)
        self.level = level(self.half, self.asked, threshold, self.left)
        self._silent: dict[float, frozenset[str]] = {}

    def left_out(self) -> tuple[LeftOut, ...]:
        """What reaches the grade as asked and is left out."""
        reasons = {**self.left, **dict.fromkeys(self._level_at(self.asked), NO_WORSE)}
        return tuple(LeftOut(f, reasons[f.rule]) for f in reaching(self.asked, self.threshold) if f.rule in reasons)

    def _level_at(self, trial: BoostTrial) -> frozenset[str]:
        return still_level(trial, self.half, self.level, self.threshold)

    def stacked(self, trial: BoostTrial) -> bool:
        """Whether the verdict reaches the grade where no finding does."""
        judgement = trial.judgement
        findings = without_goal(judgement.findings, self.trials.catalogue)
        verdict = verdict_of(findings, judgement.assessment, [*judgement.not_judged, *judgement.out_of_range])
        return severity(verdict.grade) >= self.threshold > max((severity(f.grade) for f in findings), default=0)

    def typical(self, scale: float) -> _Looked:
        """The typical build at a scale."""
        try:
            trial = self.trials.at(scale)
        except SolveError:
            return _Looked(scale, None, False, lost=(UNCOMPUTED,))
        binds = reaching(trial, self.threshold, self.left.keys() | self._level_at(trial))
        lost = self._lost(trial)
        return _Looked(scale, trial, not binds and not lost, binds, lost)

    def _lost(self, trial: BoostTrial) -> tuple[str, ...]:
        """Rules that were judged at a lower boost and are not here: beyond the formulas silence is no news."""
        silent = trial.beyond_formulas(self.threshold) - self.left.keys() - self._level_at(trial)
        self._silent[trial.scale] = silent
        judged_below = [silent - known for scale, known in self._silent.items() if scale < trial.scale]
        return tuple(sorted(frozenset().union(*judged_below)))

    def likely(self, nominal: Reach, samples: int, confidence: float) -> Reach:
        """The answer at a confidence, from the typical one on."""

        def look(scale: float) -> _Looked:
            try:
                trial = self.trials.at(scale, samples=samples)
            except SolveError:
                return _Looked(scale, None, False, lost=(UNCOMPUTED,))
            draws = drawn(trial, self.threshold, self.left, self.trials.catalogue, self._level_at(trial))
            # With half of the draws beyond the formulas there is no share to speak of.
            lost = () if 2 * draws.decided > samples else ("more than half of the draws cannot be judged",)
            passes = draws.share >= confidence and not lost
            return _Looked(scale, trial, passes, tuple(d.finding for d in draws.by), lost, draws)

        if nominal.state == "least reaches":
            return self.reach(look, 0.0)
        return self.reach(look, 1.0 if nominal.trial is None else nominal.trial.scale)

    def reach(self, look: Callable[[float], _Looked], start: float) -> Reach:
        """Bracket the end of what passes, from ``start`` on, and close in on it."""
        best, worst = None, None
        state: State = "found"
        try:
            at = look(start)
            for scale in (self._upwards(start) if at.passes else self._downwards(start)):
                best, worst = (at, worst) if at.passes else (best, at)
                if best is not None and worst is not None:
                    break
                after = look(scale)
                if at.passes and after.passes and self._ended(at, after):
                    return self._answer("the machine binds", after, None)
                at = after
            best, worst = (at, worst) if at.passes else (best, at)
            if best is None or worst is None:
                return self._answer("nothing binds" if best else "least reaches", best, worst)
            while worst.scale > max(best.scale * (1.0 + NEAR), best.scale + NEAR / 2.0):
                low, high = best.scale, worst.scale
                middle = look((low * high) ** 0.5 if low > 0.1 * high else (low + high) / 2.0)
                best, worst = (middle, worst) if middle.passes else (best, middle)
        except KeyboardInterrupt:
            state = "cut short"
        return self._answer(state, best, worst)

    def _upwards(self, start: float) -> Iterator[float]:
        scale = start if start > 0.0 else 0.1
        while scale < self.top * 0.999:
            scale = min(scale * UP, self.top)
            yield scale

    def _downwards(self, start: float) -> Iterator[float]:
        yield from (start * share for share in (0.9, *DOWN))

    @staticmethod
    def _ended(before: _Looked, after: _Looked) -> bool:
        if before.trial is None or after.trial is None:
            return False
        return after.trial.delivered_pa < before.trial.delivered_pa * (1.0 + RISE)

    def _answer(self, state: State, best: _Looked | None, worst: _Looked | None) -> Reach:
        trial = None if best is None else best.trial
        if state == "found" and worst is not None and not worst.binds and worst.lost:
            state = "the formulas bind"
        return Reach(
            state=state, trial=trial, curve=() if best is None else self.lever.curve(best.scale),
            fails_at=None if worst is None else worst.scale, binds=worst.binds if worst else (),
            lost=worst.lost if worst else (),
            draws=None if best is None else best.draws, draws_beyond=None if worst is None else worst.draws,
        )
