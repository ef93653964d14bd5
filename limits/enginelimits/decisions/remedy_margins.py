"""Remedies of small margins: of causes that stand apart, each answered by itself, until fewer are left than count."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from enginelimits.decisions.remedy_search import Search
from enginelimits.decisions.remedy_trials import REACHED, Pick, Picks, SpentError
from enginelimits.decisions.spend import place
from enginelimits.decisions.stacking import STACKED, small_findings
from enginelimits.decisions.verdict import Finding, Judgement, RemedyShown

# So many remedies are tried for one cause, and so often what is left is looked at again.
TRIED, ROUNDS = 3, 3


class Answer(NamedTuple):
    """A remedy that takes causes away and neither reaches the grade nor costs the goal its power."""

    pick: Pick
    gone: frozenset[str]


def widened(search: Search, start: Picks, samples: int) -> Picks | None:
    """A set from ``start`` on whose small margins no longer raise the verdict, thinned out; None where none is found.

    ``search`` says what a set may hold and aims at margins too.
    """
    trials, picks = search.trials, start
    try:
        for _ in range(ROUNDS):
            here = trials.at(picks, samples, free=True)
            if here is None:
                return None
            if search.holds(picks, samples):
                return search.thinned(picks, samples)
            causes = small_findings(trials.raising(here), here.assessment)
            # What no remedy answers stands; with as many as count there is nothing to look for.
            if not causes or sum(not any(True for _ in _options(search, f)) for f in causes.values()) >= STACKED:
                return None
            more = _composed(search, picks, list(_answers(search, picks, here, causes, samples)), len(causes))
            if more == picks:
                return None
            picks = more
        return search.thinned(picks, samples) if search.holds(picks, samples) else None
    except SpentError:
        search.cut_short = True
        return None


def _options(search: Search, findings: tuple[Finding, ...]) -> Iterator[RemedyShown]:
    """The remedies that a cause's findings name, those that answer most of them first, then by the order of spend."""
    named = [r for f in findings for r in f.remedies if r.steps and r.kind in search.wants.kinds]
    counted = {r.id: sum(n.id == r.id for n in named) for r in named}
    yield from sorted({r.id: r for r in named}.values(), key=lambda r: (-counted[r.id], place(r), r.id))


def _answers(
    search: Search, picks: Picks, here: Judgement, causes: dict[str, tuple[Finding, ...]], samples: int
) -> Iterator[Answer]:
    """For each cause that is still there, the first remedy tried that takes it away."""
    trials, aim = search.trials, search.wants.aim
    reach = trials.reach(here)
    fitted = {pick.remedy for pick in picks}
    gone: set[str] = set()
    for cause, findings in causes.items():
        if cause in gone:
            continue
        for remedy in [r for r in _options(search, findings) if r.id not in fitted][:TRIED]:
            for step in dict.fromkeys((0, len(remedy.steps) - 1)):
                pick = Pick(remedy.id, step)
                bare = trials.at(picks | {pick}, 0)
                # What costs the power that is to be kept, or more than a little of any, is no answer.
                if bare is None or trials.reach(bare) < min(REACHED if aim.keep else reach - 0.02, reach) - 1e-6:
                    continue
                after = trials.at(picks | {pick}, samples)
                if after is None or any(f.rule not in {s.rule for s in trials.raising(after)}
                                        for f in trials.blocking(after, aim)):
                    continue
                left = set(trials.causes(after))
                # Under the count nothing is told of the causes that are left; then all that were wanted are gone.
                away = frozenset(causes.keys() - left) if left else frozenset({cause})
                if cause in away:
                    gone |= away
                    yield Answer(pick, away)
                    break
            if cause in gone:
                break


def _composed(search: Search, picks: Picks, answers: list[Answer], count: int) -> Picks:
    """The set with answers, those that take most away first, until fewer causes are left than count."""
    left, gone = list(answers), frozenset[str]()
    while left and count - len(gone) >= STACKED:
        best = min(left, key=lambda a: (-len(a.gone - gone), place(search.trials.remedies[a.pick.remedy]), a.pick))
        left.remove(best)
        if best.gone - gone:
            picks, gone = picks | {best.pick}, gone | best.gone
    return picks
