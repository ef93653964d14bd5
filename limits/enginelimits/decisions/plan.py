"""The smallest sets of remedies that bring a build under a grade: on standard parts, and reinforced."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from enginelimits.assessment.results import QuantityResult
from enginelimits.decisions.remedy_search import By, Search, Wants, weight_of
from enginelimits.decisions.remedy_trials import NOTHING, Judging, Pick, Picks, Trials
from enginelimits.decisions.spend import CHEAP, PriceList, place
from enginelimits.decisions.stacking import counts
from enginelimits.decisions.verdict import Finding, Judgement, RemedyShown
from enginelimits.rules.grades import severity

State = Literal["nothing needed", "reaches the goal", "nearest goal", "waits for inspection", "no plan",
                "not looked for", "small margins alone"]
STANDARD, REINFORCED = "on standard parts", "reinforced"
EVERY = (*CHEAP, "part")
# Judgements of the typical build that a search may spend; at one to two seconds each, about a minute and a half.
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
    goal.
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
    """One way to go.  ``sets`` are in the order asked for; where there is no plan, the nearest attempt."""

    name: str
    state: State
    sets: tuple[RemedySet, ...]
    cut_short: bool = False


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
        """Whether some tier reaches the goal under the grade."""
        return any(t.state in ("nothing needed", "small margins alone", "reaches the goal") for t in self.tiers)


def plan(
    bench: Judging, *, grade: str = "reinforce", by: By = "effect", prices: PriceList | None = None,
    budget: float = DEFAULT_BUDGET, tell: Callable[[str], None] | None = None,
) -> Plan:
    """The sets of remedies that bring the build under the grade, searched without draws and verified with the bench's.

    Where it is interrupted, the tiers known so far are the answer.
    """
    trials = Trials(bench, severity(grade), budget=budget, tell=tell)
    samples = bench.samples
    trials.at(NOTHING, 0, free=True)
    asked = trials.at(NOTHING, samples, free=True)
    assert asked is not None
    blocking, waiting = trials.blocking(asked, keep=True), trials.waits(asked)
    made: dict[str, Tier] = {}
    interrupted = False
    if trials.solved(asked, keep=True):
        # Several small margins can raise a verdict to a grade that no finding reaches.
        stacked = severity(asked.verdict.grade) >= severity(grade)
        state: State = "waits for inspection" if waiting else "small margins alone" if stacked else "nothing needed"
        made = {name: Tier(name, state, ()) for name in (STANDARD, REINFORCED)}
    else:
        try:
            # The search that may use everything comes first, since it must not lack budget.
            for name, kinds in ((REINFORCED, EVERY), (STANDARD, CHEAP)):
                made[name] = _tier(name, kinds, trials, asked, by, prices)
        except KeyboardInterrupt:
            interrupted = True
    return Plan(
        name=asked.name, grade=grade, by=by, prices=prices, asked=asked, blocking=blocking, waiting=waiting,
        reach=trials.reach(asked), goal_stated="goal.power_reach" in asked.assessment.quantities
        and asked.assessment.quantities["goal.power_reach"].status == "ok",
        find_out=tuple(_find_out((*waiting, *blocking))),
        tiers=tuple(made.get(name, Tier(name, "not looked for", ())) for name in (STANDARD, REINFORCED)),
        samples=samples, judgements=trials.judgements, interrupted=interrupted,
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
) -> Tier:
    """The sets of one tier: such as keep the goal's power, else such as come nearest to it."""
    samples = trials.bench.samples
    cut = False
    attempts: list[tuple[Search, Picks]] = []
    for keep in (True, False):
        search = Search(trials, Wants(kinds, keep, by, prices))
        picks = search.found(samples)
        attempts.append((search, picks))
        cut = cut or search.cut_short
        if search.holds(picks, samples):
            held = [picks, *search.smaller(picks, samples)]
            if by != "effect" and trials.spent < trials.budget:
                # What goes by effect may turn out the smaller or the cheaper set all the same.
                other = Search(trials, Wants(kinds, keep, "effect", prices)).found(samples)
                held += [other] if search.holds(other, samples) else []
            sets = [_set(p, trials, asked, search, True) for p in dict.fromkeys(held)]
            state: State = "reaches the goal" if keep else "nearest goal"
            if any(s.waiting for s in sets):
                state = "waits for inspection"
            return Tier(name, state, tuple(sorted(sets, key=lambda s: _order(s, by))), cut)
    # Of two that do not hold, the one that leaves less; where that is the same, the one that keeps the power.
    tried = [_set(picks, trials, asked, search, False) for search, picks in attempts]
    return Tier(name, "no plan", (min(tried, key=lambda s: trials.score(s.judgement, keep=False)[0]),), cut)


def _order(found: RemedySet, by: By) -> tuple[float, ...]:
    count, effect = float(len(found.chosen)), -float(found.removed_weight)
    if by == "price":
        # A part of unknown price could cost anything; calibration and fuel seldom decide.
        unknown = sum(c.price is None and c.remedy.kind == "part" for c in found.chosen)
        return (unknown, found.price, count, effect)
    return (count, effect) if by == "count" else (effect, count)


def _set(picks: Picks, trials: Trials, asked: Judgement, search: Search, held: bool) -> RemedySet:
    samples, keep = trials.bench.samples, search.wants.keep
    judgement = trials.at(picks, samples, free=True)
    assert judgement is not None
    chosen = [_chosen(pick, picks, trials, search, judgement) for pick in trials.ordered(picks)]
    chosen.sort(key=lambda c: (place(c.remedy), -sum(severity(m.before) for m in c.removes), c.remedy.id))
    return RemedySet(
        chosen=tuple(chosen), edits=trials.edits(picks), judgement=judgement,
        left=trials.blocking(judgement, keep), waiting=trials.waits(judgement),
        raised=tuple(m for m in _moves(asked, judgement) if _worse(m)),
        reach=trials.reach(judgement), removed_weight=weight_of(asked) - weight_of(judgement),
        needed=held and not any(search.holds(picks - {p}, samples) for p in picks),
    )


def _chosen(pick: Pick, picks: Picks, trials: Trials, search: Search, whole: Judgement) -> Chosen:
    """One remedy against the set without it, judged where taking it out is felt: without draws if it is felt there."""
    keep, samples = search.wants.keep, trials.bench.samples
    bare = trials.at(picks - {pick}, 0, free=True)
    level = 0 if bare is not None and not trials.solved(bare, keep) else samples
    before, after = (trials.at(p, level, free=True) for p in (picks - {pick}, picks))
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
    """The findings that count and whose grade differs, worst first."""
    grades = [{f.rule: f for f in j.findings if counts(f)} for j in (before, after)]
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
