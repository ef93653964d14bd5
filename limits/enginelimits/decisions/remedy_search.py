"""The search for small sets of remedies: tried one by one, put together, judged together, and thinned out again.

A set is put together from what each remedy did alone, causes before what stands on them, and calibration and fuel
before parts.  What it leaves open, or newly raises, is searched again from there.  Then every remedy without which
the set still holds is taken out, and smaller sets are looked for among what was tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal, NamedTuple

from enginelimits.decisions.remedy_trials import (
    NOTHING,
    REACHED,
    SAME,
    WEIGHTS,
    Aim,
    Pick,
    Picks,
    SpentError,
    Trials,
    beyond,
    cause_of,
    causes_first,
)
from enginelimits.decisions.spend import PriceList, place
from enginelimits.decisions.stacking import counts
from enginelimits.decisions.verdict import Finding, Judgement, RemedyShown

By = Literal["effect", "count", "price"]
# How often a set is searched further for what it leaves open.
ROUNDS = 6
# So many pairs, the likeliest first, are judged in search of a smaller set, and so many sets are told.
PAIRS, SETS = 10, 3
# So many draws serve to look for remedies of tails.
FEW = 8


@dataclass(frozen=True)
class Wants:
    """What a set may hold and must do: kinds of remedies, the aim, and what makes one set better."""

    kinds: tuple[str, ...]
    aim: Aim
    by: By
    prices: PriceList | None = None

    @property
    def keep(self) -> bool:
        """Whether the goal's power is to be kept."""
        return self.aim.keep

    def price(self, remedy: str) -> float | None:
        """The shop's price, None where it has none."""
        return None if self.prices is None else self.prices.prices.get(remedy)


class Tried(NamedTuple):
    """One remedy tried on top of a set: the findings it cleared, and whether it costs power that the goal wants."""

    pick: Pick
    picks: Picks
    judgement: Judgement
    cleared: frozenset[str]
    costs_power: bool
    reach: float


class Search:
    """Looks for sets under one wish.

    ``cut_short`` says that the budget or an interruption ended it; ``best`` is what it had by then.
    """

    def __init__(self, trials: Trials, wants: Wants) -> None:
        self.trials, self.wants = trials, wants
        self.cut_short = False
        self.first: tuple[Tried, ...] = ()
        self.best = NOTHING
        # Sets that mend all that was open and raise something new, passed over for one that seemed nearer.
        self.aside: list[Picks] = []

    def found(self, samples: int, start: Picks = NOTHING) -> Picks:
        """The set that the search ends with, whether it holds or not: first without draws, then with them."""
        self.best = start
        try:
            self._look(samples)
        except SpentError:
            self.cut_short = True
        return self.best

    def _look(self, samples: int) -> None:
        self.best = self.thinned(self.extended(self.best, 0), 0)
        self._look_aside()
        if not samples or not self.holds(self.best, 0) or self.holds(self.best, samples):
            return
        # Tails are looked for with few draws first, which show more of them than there are; what that adds too much is
        # taken out again with all.
        for level in dict.fromkeys((min(FEW, samples), samples)):
            self.best = self.extended(self.best, level)
            if self.holds(self.best, samples):
                break
        self.best = self.thinned(self.best, samples)

    def _look_aside(self) -> None:
        """Where what seemed nearest led nowhere, what was passed over for it, one after the other."""
        nearest = self.best
        try:
            while self.aside and not self.holds(self.best, 0):
                found = self.thinned(self.extended(self.aside.pop(0), 0), 0)
                self.best = found if self.holds(found, 0) else nearest
        except SpentError:
            self.best = nearest
            raise

    def holds(self, picks: Picks, samples: int) -> bool:
        """Whether a set brings the build under the grade; first without draws, since they only make it worse."""
        aim = self.wants.aim
        return self.trials.solved(self.trials.at(picks, 0, free=True), aim) and (
            not samples or self.trials.solved(self.trials.at(picks, samples, free=True), aim)
        )

    def extended(self, start: Picks, samples: int) -> Picks:
        """The set with what its open findings ask for, as long as that brings it nearer."""
        picks, ever = start, frozenset[str]()
        for _ in range(ROUNDS):
            here = self.trials.at(picks, samples, free=True)
            if here is None or not self.trials.blocking(here, self.wants.aim):
                return picks
            ever |= {f.rule for f in self.trials.blocking(here, self.wants.aim)}
            tried = self.screened(picks, here, samples)
            if not picks:
                self.first = self.first or tuple(tried)
            allowed = [t for t in tried if not (self.wants.keep and t.costs_power)]
            options = [t.picks for t in sorted(allowed, key=self._score)[:1]]
            whole = self.composed(picks, allowed, here)
            options = [whole, *options] if whole != picks else options
            judged = [(o, j) for o in options if (j := self.trials.at(o, samples, free=True)) is not None]
            best = min(judged, key=lambda pair: self.trials.score(pair[1], self.wants.aim), default=None)
            self.aside += [o for o, j in judged if best is not None and o != best[0] and not samples
                           and o not in self.aside and self._only_new(j, ever)]
            if best is None or not (self._nearer(best[1], here) or self._only_new(best[1], ever)):
                return picks
            self.best = picks = best[0]
        return picks

    def _score(self, tried: Tried) -> tuple[float, float]:
        return self.trials.score(tried.judgement, self.wants.aim)

    def _nearer(self, one: Judgement, other: Judgement) -> bool:
        (weight, excess), (before, excess_before) = (self.trials.score(j, self.wants.aim) for j in (one, other))
        return weight < before or (weight == before and excess < excess_before - SAME)

    def _only_new(self, judgement: Judgement, ever: frozenset[str]) -> bool:
        """Whether all that was ever open is mended, and only what that newly raised is left."""
        return not ever & {f.rule for f in self.trials.blocking(judgement, self.wants.aim)}

    def screened(self, start: Picks, here: Judgement, samples: int) -> list[Tried]:
        """The remedies of the open findings, each tried on top of the set, from its mildest step on.

        Parts are tried for a finding only where nothing cheaper clears it and keeps the power, unless sets are to be
        few or low in price.
        """
        tried: list[Tried] = []
        seen: set[str] = set()
        findings = causes_first(self.trials.blocking(here, self.wants.aim), here)
        try:
            for finding in findings:
                for part in (False, True):
                    answered = any(finding.rule in t.cleared and not t.costs_power for t in tried)
                    if part and answered and self.wants.by == "effect":
                        break
                    for remedy in finding.remedies:
                        if (remedy.kind == "part") == part and self._may(remedy) and remedy.id not in seen:
                            seen.add(remedy.id)
                            self._steps(remedy, start, here, findings, samples, tried)
        except SpentError:
            self.cut_short = True
        return tried

    def _may(self, remedy: RemedyShown) -> bool:
        return bool(remedy.steps) and remedy.kind in self.wants.kinds

    def _steps(
        self, remedy: RemedyShown, start: Picks, here: Judgement, findings: Sequence[Finding], samples: int,
        tried: list[Tried],
    ) -> None:
        """Steps of one remedy, mildest first, until one clears every finding that names it.

        Where the mildest changes nothing, the last is tried next; if that changes nothing either, no step will.
        """
        named = {f.rule: f for f in findings if any(r.id == remedy.id for r in f.remedies)}
        others = frozenset(p for p in start if p.remedy != remedy.id)
        open_before = {f.rule for f in findings}
        reach_here = self.trials.reach(here)
        steps, last = list(range(len(remedy.steps))), len(remedy.steps) - 1
        while steps:
            step = steps.pop(0)
            picks = others | {Pick(remedy.id, step)}
            judgement = None if picks == start else self.trials.at(picks, samples)
            if judgement is None:
                continue
            left = {f.rule: f for f in self.trials.blocking(judgement, self.wants.aim)}
            reach = self.trials.reach(judgement)
            costs = reach < min(REACHED, reach_here) - 1e-6
            tried.append(Tried(Pick(remedy.id, step), picks, judgement, frozenset(open_before - left.keys()), costs,
                               reach))
            unmoved = all(rule in left and _same(left[rule], before) for rule, before in named.items())
            if step == last and unmoved:
                return
            if not named.keys() & left.keys():
                # Of the last, tried out of its turn, milder ones may be enough.
                steps = steps if step == last else []
            elif unmoved and last in steps:
                steps.remove(last)
                steps.insert(0, last)

    def composed(self, start: Picks, tried: Iterable[Tried], here: Judgement) -> Picks:
        """The set with remedies that, each by what it did alone, clear all that is open between them."""
        tried = list(tried)
        findings = causes_first(self.trials.blocking(here, self.wants.aim), here)
        causes = {f.rule: cause_of(f, here) for f in findings}
        weight = {f.rule: WEIGHTS[f.grade] for f in findings}
        left = [f.rule for f in findings]
        picks = start
        while left:
            of_lead = [t for t in tried if left[0] in t.cleared]
            if not of_lead:
                left.pop(0)
                continue
            # Small sets come from what clears most; effect goes by the cause.
            among = of_lead if self.wants.by == "effect" else [t for t in tried if t.cleared & set(left)]
            best = min(among, key=lambda t: self._rank(t, frozenset(left), weight, causes))
            picks = frozenset(p for p in picks if p.remedy != best.pick.remedy) | {best.pick}
            left = [rule for rule in left if rule not in best.cleared]
        return picks

    def _rank(
        self, tried: Tried, left: frozenset[str], weight: dict[str, int], causes: dict[str, str]
    ) -> tuple[object, ...]:
        """What makes one remedy the better choice; less is better."""
        answers = tried.cleared & left
        spend = place(self.trials.remedies[tried.pick.remedy], {causes[rule] for rule in answers})
        power = () if self.wants.keep else (-round(min(tried.reach, 1.0), 2),)
        removed = sum(weight[rule] for rule in answers)
        if self.wants.by == "count":
            return (*power, -len(answers), spend, tried.pick)
        if self.wants.by == "price":
            price = self.wants.price(tried.pick.remedy)
            return (*power, price is None, (price or 0.0) / len(answers), -removed, spend, tried.pick)
        return (*power, spend[0], -removed, spend, tried.pick)

    def thinned(self, picks: Picks, samples: int) -> Picks:
        """The set without what it does not need, each remedy at the mildest step that is enough."""
        if not self.holds(picks, samples):
            return self._without_useless(picks, samples)
        thin = self._without_needless(picks, samples)
        milder = self._milder(thin, samples)
        return thin if milder == thin else self._without_needless(milder, samples)

    def _without_needless(self, picks: Picks, samples: int) -> Picks:
        removed = True
        try:
            while removed:
                removed = False
                for pick in self._dearest_first(picks):
                    if self.holds(picks - {pick}, samples):
                        self.best = picks = picks - {pick}
                        removed = True
        except SpentError:
            self.cut_short = True
        return picks

    def _without_useless(self, picks: Picks, samples: int) -> Picks:
        """A set that does not hold, without what brings it no nearer."""
        aim = self.wants.aim
        try:
            for pick in self._dearest_first(picks):
                whole, fewer = (self.trials.at(p, samples) for p in (picks, picks - {pick}))
                if whole is not None and fewer is not None and \
                        self.trials.score(fewer, aim) <= self.trials.score(whole, aim):
                    picks -= {pick}
        except SpentError:
            self.cut_short = True
        return picks

    def _dearest_first(self, picks: Picks) -> list[Pick]:
        """What one would rather do without: what costs power where it is not kept anyway, then what costs most."""
        def rank(pick: Pick) -> tuple[object, ...]:
            remedy = self.trials.remedies[pick.remedy]
            part, spend = place(remedy)
            price = self.wants.price(pick.remedy)
            without = None if self.wants.keep else self.trials.at(picks - {pick}, 0, free=True)
            power = 0.0 if without is None else -round(self.trials.reach(without), 2)
            return (power, -(price or 0.0) if self.wants.by == "price" else 0.0, not part, -spend, pick)

        return sorted(picks, key=rank)

    def _milder(self, picks: Picks, samples: int) -> Picks:
        try:
            for pick in sorted(picks):
                now = pick
                while now.step > 0:
                    milder = Pick(now.remedy, now.step - 1)
                    if not self.holds(picks - {now} | {milder}, samples):
                        break
                    picks, now = picks - {now} | {milder}, milder
                    self.best = picks
        except SpentError:
            self.cut_short = True
        return picks

    def smaller(self, picks: Picks, samples: int) -> list[Picks]:
        """Other sets that hold, of no more remedies than the one found: single ones, else pairs."""
        alone = [t.picks for t in self.first if self.trials.solved(t.judgement, self.wants.aim)]
        held: list[Picks] = []
        try:
            for other in [p for p in dict.fromkeys(alone) if p != picks][:PAIRS]:
                if len(held) < SETS and self.holds(other, samples):
                    held.append(other)
        except SpentError:
            self.cut_short = True
        if held or len(picks) < 2 or self.trials.stopped:
            return held
        return self._pairs(picks, samples)

    def _pairs(self, picks: Picks, samples: int) -> list[Picks]:
        # What was open when the single remedies were tried is what a pair must clear between them.
        every = frozenset().union(*(t.cleared for t in self.first))
        usable = [t for t in self.first if t.cleared and not (self.wants.keep and t.costs_power)]
        likely = [a.picks | b.picks for a, b in combinations(usable, 2)
                  if a.pick.remedy != b.pick.remedy and a.cleared | b.cleared >= every]
        likely.sort(key=lambda pair: [place(self.trials.remedies[p.remedy]) for p in sorted(pair)])
        held = []
        try:
            for pair in [p for p in dict.fromkeys(likely) if p != picks][:PAIRS]:
                if self.trials.solved(self.trials.at(pair, 0), self.wants.aim) and self.holds(pair, samples):
                    thin = self._without_needless(pair, samples)
                    held += [thin] if thin not in held and thin != picks else []
                if len(held) == SETS:
                    break
        except SpentError:
            self.cut_short = True
        return held


def _same(one: Finding, other: Finding) -> bool:
    return one.grade == other.grade and abs(beyond(one) - beyond(other)) <= SAME


def weight_of(judgement: Judgement) -> int:
    """What all findings that count weigh together."""
    return sum(WEIGHTS[f.grade] for f in judgement.findings if counts(f))
