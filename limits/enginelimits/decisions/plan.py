"""The smallest sets of remedies that bring a build under a grade: on standard parts, and reinforced."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from enginelimits.assessment.kernel import assessed_often
from enginelimits.assessment.results import QuantityResult
from enginelimits.decisions.remedy_margins import widened
from enginelimits.decisions.remedy_search import By, Search, Wants, weight_of
from enginelimits.decisions.remedy_trials import (
    NOTHING,
    Aim,
    Judging,
    Pick,
    Picks,
    SpentError,
    Trials,
    of_goal,
    reach_of,
)
from enginelimits.decisions.spend import CHEAP, PriceList, place
from enginelimits.decisions.stacking import counts, verdict_of
from enginelimits.decisions.verdict import Finding, Judgement, RemedyShown, Verdict
from enginelimits.errors import InputError, Problem
from enginelimits.rules.grades import severity, severity_asked

State = Literal["nothing needed", "reaches the goal", "nearest goal", "waits for inspection", "no plan",
                "interrupted", "not looked for", "small margins alone"]
STANDARD, REINFORCED = "on standard parts", "reinforced"
EVERY = (*CHEAP, "part")
# Judgements of the typical build that the searches may spend; what they find is verified with as many more at most.
DEFAULT_BUDGET = 60.0


@dataclass(frozen=True, slots=True)
class Moved:
    """A finding whose grade a remedy moves."""

    rule: str
    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Chosen:
    """One remedy of a set, at one step.

    ``removes`` brings findings under the grade, or to clear; ``lowers`` makes them milder; ``raises`` makes them worse:
    each against the set without this remedy.  ``leaves`` are findings that name it and still speak.
    """

    remedy: RemedyShown
    step: int
    edits: tuple[Mapping[str, object], ...]
    removes: tuple[Moved, ...]
    lowers: tuple[Moved, ...]
    raises: tuple[Moved, ...]
    leaves: tuple[Finding, ...]
    price: float | None


@dataclass(frozen=True)
class RemedySet:
    """A set that was judged as a whole.

    ``left`` reach the grade all the same, ``waiting`` ones only for want of an inspection; ``raised`` are findings that
    are worse than as asked.  ``needed``: with any one remedy taken out the build is at the grade again, or short of the
    goal.  ``verdict`` is that of `check`, the goal aside; ``drawn``: with all draws.
    """

    chosen: tuple[Chosen, ...]
    edits: tuple[Mapping[str, Any], ...]
    judgement: Judgement
    left: tuple[Finding, ...]
    waiting: tuple[Finding, ...]
    raised: tuple[Moved, ...]
    reach: float
    removed_weight: int
    needed: bool
    verdict: Verdict
    drawn: bool = True

    @property
    def power(self) -> QuantityResult | None:
        """Power as the goal asks for it."""
        return power_of(self.judgement)

    @property
    def price(self) -> float:
        """The prices that are known, added up."""
        return sum(c.price for c in self.chosen if c.price is not None)

    @property
    def unpriced(self) -> tuple[str, ...]:
        return tuple(c.remedy.id for c in self.chosen if c.price is None)


@dataclass(frozen=True)
class Tier:
    """One way to go.  ``sets`` are in the order asked for; where there is no plan, the nearest attempt.

    ``causes`` are those of small margins that raise the verdict of the first set to the grade, no finding reaching it;
    ``wider`` is a set that brings those down too, where one was found.
    """

    name: str
    state: State
    sets: tuple[RemedySet, ...]
    cut_short: bool = False
    causes: tuple[str, ...] = ()
    wider: RemedySet | None = None
    wider_cut_short: bool = False


@dataclass(frozen=True, slots=True)
class FindOut:
    """An inspection to be made before money is spent, with the findings that ask for it."""

    remedy: RemedyShown
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Plan:
    """Everything that ``plan`` shows.

    ``blocking`` reach the grade as asked and can be mended by a change of the build, or say that the goal is missed;
    ``waiting`` reach it too, and only an inspection answers them.  ``reach`` is predicted power over that asked for, or
    over that of the build as asked where no goal is stated.
    """

    name: str
    grade: str
    by: By
    prices: PriceList | None
    asked: Judgement
    blocking: tuple[Finding, ...]
    waiting: tuple[Finding, ...]
    reach: float
    goal_stated: bool
    find_out: tuple[FindOut, ...]
    tiers: tuple[Tier, ...]
    samples: int
    judgements: int
    interrupted: bool

    @property
    def reached(self) -> bool:
        """Whether some tier reaches the goal with a verdict under the grade."""
        return any(t.state in ("nothing needed", "reaches the goal") and (not t.causes or t.wider is not None)
                   for t in self.tiers)


@assessed_often(10)
def plan(
    bench: Judging, *, grade: str = "reinforce", by: By = "effect", prices: PriceList | None = None,
    budget: float = DEFAULT_BUDGET, tell: Callable[[str], None] | None = None,
) -> Plan:
    """The sets of remedies that bring the build under the grade, searched without draws and verified with the bench's.

    Where small margins of several causes raise the verdict to the grade, a wider set is looked for that brings those
    down too.  All searches share one budget.  Where it is used up or the work is interrupted, what is known so far is
    the answer.  Raises InputError for a grade that is none and for a budget without a judgement.
    """
    if not budget >= 1:
        raise InputError([Problem("a budget of at least one judgement", f"{budget:g}", key="--budget",
                                  file="command line")])
    trials = Trials(bench, severity_asked(grade), budget=budget, tell=tell)
    samples = bench.samples
    try:
        trials.at(NOTHING, 0, free=True)
        asked = trials.at(NOTHING, samples, free=True)
    except SpentError:
        # Before the build as asked was judged nothing is known.
        raise KeyboardInterrupt from None
    assert asked is not None
    aim = Aim(keep=True)
    blocking, waiting = trials.blocking(asked, aim), trials.waits(asked)
    made: dict[str, Tier] = {}
    if trials.solved(asked, aim) and not trials.raising(asked):
        state: State = "waits for inspection" if waiting else "nothing needed"
        made = {name: Tier(name, state, ()) for name in (STANDARD, REINFORCED)}
    else:
        # The search that may use everything comes first, since it must not lack budget.
        for name, kinds in ((REINFORCED, EVERY), (STANDARD, CHEAP)):
            try:
                tier = None if trials.stopped else _tier(name, kinds, trials, asked, by, prices)
            except KeyboardInterrupt:  # between two judgements
                trials.stopped, tier = True, None
            if tier is not None:
                made[name] = tier
    return Plan(
        name=asked.name, grade=grade, by=by, prices=prices, asked=asked, blocking=blocking, waiting=waiting,
        reach=trials.reach(asked), goal_stated=reach_of(asked) is not None,
        find_out=tuple(_find_out((*waiting, *blocking))),
        tiers=tuple(made.get(name, Tier(name, "not looked for", ())) for name in (STANDARD, REINFORCED)),
        samples=samples, judgements=trials.judgements, interrupted=trials.stopped,
    )


def power_of(judgement: Judgement) -> QuantityResult | None:
    """Power as the goal asks for it: displayed at the wheels where it says so, else at the crank."""
    at = judgement.filled.get("goal.at")
    wheels = judgement.assessment.quantities.get("wheel.power")
    at_wheels = at is not None and at.value == "wheels" and wheels is not None
    return wheels if at_wheels else judgement.assessment.quantities.get("crank.power")


def _find_out(blocking: Iterable[Finding]) -> Iterable[FindOut]:
    asked: dict[str, list[Finding]] = {}
    remedies: dict[str, RemedyShown] = {}
    for finding in blocking:
        for remedy in finding.remedies:
            if not remedy.steps:
                remedies[remedy.id] = remedy
                asked.setdefault(remedy.id, []).append(finding)
    return (FindOut(remedies[id_], tuple(findings)) for id_, findings in asked.items())


def _tier(
    name: str, kinds: tuple[str, ...], trials: Trials, asked: Judgement, by: By, prices: PriceList | None
) -> Tier | None:
    """The sets of one tier, such as keep the goal's power, else such as come nearest to it.

    None where it was interrupted before anything was found.
    """
    samples = trials.bench.samples
    cut = False
    attempts: list[tuple[Search, Picks]] = []
    for keep in (True, False):
        search = Search(trials, Wants(kinds, Aim(keep), by, prices))
        picks = search.found(samples)
        if not keep and not trials.stopped:
            search, picks = _nearer_goal(search, picks, attempts[0][1], samples)
        attempts.append((search, picks))
        if _held(search, picks, samples):
            held = [picks, *([] if trials.stopped or not picks else search.smaller(picks, samples))]
            if by != "effect" and picks and not trials.stopped and trials.spent < trials.budget:
                # What goes by effect may turn out the smaller or the cheaper set all the same.
                beside = Search(trials, Wants(kinds, Aim(keep), "effect", prices))
                other = beside.found(samples)
                held += [other] if _held(beside, other, samples) else []
            sets = sorted((_set(p, trials, asked, search, True) for p in dict.fromkeys(held)),
                          key=lambda s: (() if keep else (-round(s.reach or 0.0, 2),)) + _order(s, by))
            causes = trials.causes(sets[0].judgement)
            wider, wide = None, None
            if causes and not trials.stopped:
                start = next(p for p in dict.fromkeys(held) if trials.edits(p) == sets[0].edits)
                wide = Search(trials, Wants(kinds, Aim(keep, margins=True), by, prices))
                more = widened(wide, start, samples)
                wider = None if more is None else _set(more, trials, asked, wide, True)
            state: State = "reaches the goal" if keep else "nearest goal"
            if any(s.waiting for s in sets):
                state = "waits for inspection"
            elif keep and causes and wider is None and not picks:
                state = "small margins alone"
            return Tier(name, state, tuple(sets), cut or search.cut_short, causes, wider,
                        wide is not None and wide.cut_short)
        cut = cut or search.cut_short
        if trials.stopped:
            break
    if trials.stopped and not any(picks for _, picks in attempts):
        return None
    # Of two that do not hold, the one that leaves less; where that is the same, the one that keeps the power.
    tried = [_set(picks, trials, asked, search, False) for search, picks in attempts]
    nearest = min(tried, key=lambda s: trials.score(s.judgement, Aim(keep=False))[0])
    return Tier(name, "interrupted" if trials.stopped else "no plan", (nearest,), cut)


def _nearer_goal(search: Search, picks: Picks, for_goal: Picks, samples: int) -> tuple[Search, Picks]:
    """Of what clears most, and of what was put together for the goal and fell short, that which holds with more power.

    Less boost clears most by far, so that alone the search would end there, whatever stronger parts would bear.
    """
    beside = Search(search.trials, search.wants)
    other = beside.found(samples, for_goal)
    if not other or not _held(beside, other, samples):
        return search, picks
    known = search.trials.kept
    one, two = (reach_of(j) or 0.0 if (j := known(p, samples) or known(p, 0)) else 0.0 for p in (picks, other))
    return (beside, other) if two > one or not _held(search, picks, samples) else (search, picks)


def _held(search: Search, picks: Picks, samples: int) -> bool:
    """Whether a set holds; where nothing more can be judged, by the typical build alone if need be."""
    try:
        return search.holds(picks, samples)
    except SpentError:
        known = search.trials.kept(picks, samples) or search.trials.kept(picks, 0)
        return search.trials.solved(known, search.wants.aim)


def _order(found: RemedySet, by: By) -> tuple[float, ...]:
    count, effect = float(len(found.chosen)), -float(found.removed_weight)
    if by == "price":
        # A part of unknown price could cost anything; calibration and fuel seldom decide.
        unknown = sum(c.price is None and c.remedy.kind == "part" for c in found.chosen)
        return (unknown, found.price, count, effect)
    return (count, effect) if by == "count" else (effect, count)


def _set(picks: Picks, trials: Trials, asked: Judgement, search: Search, held: bool) -> RemedySet:
    samples, aim = trials.bench.samples, search.wants.aim
    drawn = _known(trials, picks, samples)
    judgement = drawn or _known(trials, picks, 0) or asked
    chosen = [_chosen(pick, picks, trials, search, judgement) for pick in trials.ordered(picks)]
    chosen.sort(key=lambda c: (place(c.remedy), -sum(severity(m.before) for m in c.removes), c.remedy.id))
    try:
        needed = held and not any(search.holds(picks - {p}, samples) for p in picks)
    except SpentError:
        needed = False
    return RemedySet(
        chosen=tuple(chosen), edits=trials.edits(picks), judgement=judgement,
        left=trials.blocking(judgement, aim), waiting=trials.waits(judgement),
        raised=tuple(m for m in _moves(asked, judgement) if _worse(m)),
        reach=trials.reach(judgement), removed_weight=weight_of(asked) - weight_of(judgement),
        needed=needed, verdict=_goal_aside(judgement), drawn=drawn is not None,
    )


def _known(trials: Trials, picks: Picks, samples: int) -> Judgement | None:
    """The set judged, if it was or may still be."""
    try:
        return trials.at(picks, samples, free=True)
    except SpentError:
        return None


def _goal_aside(judgement: Judgement) -> Verdict:
    """The verdict of what bears: whether the goal is reached is told beside it, by its share alone."""
    if not any(map(of_goal, judgement.findings)):
        return judgement.verdict
    findings = [f for f in judgement.findings if not of_goal(f)]
    return verdict_of(findings, judgement.assessment, [*judgement.not_judged, *judgement.out_of_range])


def _chosen(pick: Pick, picks: Picks, trials: Trials, search: Search, whole: Judgement) -> Chosen:
    """One remedy against the set without it, judged where taking it out is felt: without draws if it is felt there."""
    aim, samples = search.wants.aim, trials.bench.samples
    bare = _known(trials, picks - {pick}, 0)
    level = 0 if bare is not None and not trials.solved(bare, aim) else samples
    before, after = (_known(trials, p, level) for p in (picks - {pick}, picks))
    moves = list(_moves(before, after)) if before is not None and after is not None else []
    threshold = trials.threshold
    under = [m for m in moves if not _worse(m) and (
        m.after == "clear" or severity(m.before) >= threshold > severity(m.after))]
    remedy = trials.remedies[pick.remedy]
    return Chosen(
        remedy=remedy, step=pick.step, edits=trials.steps(pick), removes=tuple(under),
        lowers=tuple(m for m in moves if not _worse(m) and m not in under),
        raises=tuple(m for m in moves if _worse(m)),
        leaves=tuple(f for f in whole.findings if f.grade != "clear" and counts(f)
                     and any(r.id == remedy.id for r in f.remedies)),
        price=search.wants.price(remedy.id),
    )


def _moves(before: Judgement, after: Judgement) -> Iterable[Moved]:
    """The findings that count and whose grade differs, worst first; the power itself is told beside."""
    grades = [{f.rule: f for f in j.findings if counts(f) and not of_goal(f)} for j in (before, after)]
    rules = dict.fromkeys([*grades[0], *grades[1]])
    found = []
    for rule in rules:
        one, other = (g[rule].grade if rule in g else "clear" for g in grades)
        if one != other:
            title = (grades[0].get(rule) or grades[1][rule]).title
            found.append(Moved(rule, title, one, other))
    return sorted(found, key=lambda m: (-max(severity(m.before), severity(m.after)), m.rule))


def _worse(moved: Moved) -> bool:
    return severity(moved.after) > severity(moved.before)
