"""A build with sets of remedies tried on it: what each set leaves open, judged, never guessed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.roots import ancestors, root_cause
from enginelimits.decisions.stacking import STACKED, counts, governing_quantity, small_findings, small_margins
from enginelimits.decisions.verdict import Finding, Judgement, RemedyShown
from enginelimits.errors import EngineLimitsError
from enginelimits.rules.grades import REINFORCE, severity

if TYPE_CHECKING:
    from collections.abc import Sequence

# What a finding of each grade weighs: one of a grade is worse than two of the next milder.  The project's own scale.
WEIGHTS = {"clear": 0, "note": 1, "caution": 3, "reinforce": 9, "decline": 27}
# The goal counts as reached from this share of it on, by the typical build: there the shipped rules on reach fall
# silent, to which a test holds it.
# Where no goal was asked for, that much of the power of the build as asked is to be kept.  Nothing else decides on it.
REACHED = 0.97
# So many draws cost as much again as the typical build alone.
DRAWS_AS_DEAR = 32
# What may be spent in all, over what a search may.
VERIFYING = 2.0
_ORDER = {"replace": 0, "set": 1, "drop": 2, "cap": 3}
SAME = 1e-9


class Judging(Protocol):
    """What judges a build after edits; a Bench does."""

    samples: int

    def judged(self, edits: Sequence[Mapping[str, Any]] = (), *, samples: int | None = None) -> Judgement:
        """The build after the edits, judged."""


class Pick(NamedTuple):
    """A remedy with one of its steps, counted from 0."""

    remedy: str
    step: int


Picks = frozenset[Pick]
NOTHING: Picks = frozenset()


class Aim(NamedTuple):
    """What solves a build: every finding under the grade; with ``keep`` the goal's power too.

    With ``margins`` also the small margins of several causes that together raise the verdict to the grade.
    """

    keep: bool
    margins: bool = False


class SpentError(Exception):
    """The search has made as many judgements as it may, or was interrupted."""


class Trials:
    """Judges sets of remedies; what was judged once is kept.  ``tell`` hears of each before it is judged.

    ``stopped`` says that it was interrupted.

    ``budget`` is how many judgements of the typical build a search may spend; draws cost more.  What is found may be
    verified beyond it, until twice as much is spent: nothing is judged after that.
    """

    def __init__(
        self, bench: Judging, threshold: int, *, budget: float = float("inf"), tell: Callable[[str], None] | None = None
    ) -> None:
        self.bench, self.threshold, self.budget, self._tell = bench, threshold, budget, tell
        self.remedies: dict[str, RemedyShown] = {}
        self.spent, self.judgements = 0.0, 0
        self.stopped = False
        self._kept: dict[tuple[Picks, int], Judgement | None] = {}
        # What the build as asked raises is raised here: without it there is nothing to mend.
        asked = self.bench.judged((), samples=0)
        self._asked_w = _crank_w(asked)
        # What only an inspection can answer is no matter of change; it waits, and does not stop the search.
        drawn = self.bench.judged((), samples=self.bench.samples)
        self.waiting = frozenset(
            f.rule for f in (*asked.findings, *drawn.findings)
            if f.remedies and not any(r.steps for r in f.remedies) and not of_goal(f)
        )

    def at(self, picks: Picks, samples: int = 0, *, free: bool = False) -> Judgement | None:
        """The build with the remedies, judged; None where they do not go together or it cannot be computed.

        Raises SpentError where the budget is used up, or ``free`` where twice of it is; and from an interruption on,
        after which nothing more is judged.
        """
        key = (picks, samples)
        if key not in self._kept:
            if self.stopped or self.spent >= (VERIFYING if free else 1.0) * self.budget:
                raise SpentError
            try:
                # An interruption may come while it is told as well as while it is judged.
                if self._tell is not None:
                    named = ", ".join(self.named(p) for p in self.ordered(picks)) or "the build as asked"
                    self._tell(f"judging {named}{f', {samples} draws' if samples else ''}")
                self._kept[key] = self._judged(picks, samples)
            except KeyboardInterrupt:
                self.stopped = True
                raise SpentError from None
        return self._kept[key]

    def kept(self, picks: Picks, samples: int) -> Judgement | None:
        """What was judged of a set with that many draws, if it was."""
        return self._kept.get((picks, samples))

    def _judged(self, picks: Picks, samples: int) -> Judgement | None:
        try:
            judgement = self.bench.judged(self.edits(picks), samples=samples)
        except EngineLimitsError:
            # A step that changes nothing, one that another undoes, or a build that no formula follows.
            return None
        self.spent += 1.0 + samples / DRAWS_AS_DEAR
        self.judgements += 1
        for finding in judgement.findings:
            for remedy in finding.remedies:
                # Steps that are reckoned for a build are those of the build that named them first.
                self.remedies.setdefault(remedy.id, remedy)
        return judgement

    def named(self, pick: Pick) -> str:
        """A pick by its id, with its step where there are several."""
        return f"{pick.remedy} ({pick.step + 1})" if len(self.remedies[pick.remedy].steps) > 1 else pick.remedy

    def steps(self, pick: Pick) -> tuple[Mapping[str, object], ...]:
        """The edits of one pick."""
        return self.remedies[pick.remedy].steps[pick.step]

    def ordered(self, picks: Picks) -> list[Pick]:
        """The picks as they are to be applied: whole parts first, then single values, then what takes away."""
        def first(pick: Pick) -> int:
            return min(_ORDER[verb] for edit in self.steps(pick) for verb in _ORDER if verb in edit)

        return sorted(picks, key=lambda p: (first(p), p))

    def edits(self, picks: Picks) -> tuple[Mapping[str, Any], ...]:
        """The edits of all picks, in an order in which none undoes another without need."""
        return tuple(edit for pick in self.ordered(picks) for edit in self.steps(pick))

    def blocking(self, judgement: Judgement, aim: Aim) -> tuple[Finding, ...]:
        """The findings at the grade or worse that are to be mended; with ``keep`` also that on the goal.

        The one on the goal counts at any grade where the goal is missed, and at none where it is reached: draws give
        it a grade by chance.  With ``margins``, where no other finding reaches the grade, those that raise the verdict
        to it between them.
        """
        missed = aim.keep and not self.reaches(judgement)
        found = tuple(
            f for f in judgement.findings if counts(f) and f.rule not in self.waiting and (
                missed and f.grade != "clear" if of_goal(f) else severity(f.grade) >= self.threshold
            )
        )
        if not aim.margins or any(not of_goal(f) for f in found):
            return found
        return (*found, *self.raising(judgement))

    def raising(self, judgement: Judgement) -> tuple[Finding, ...]:
        """The small margins of several causes that raise the verdict to the grade, where no finding reaches it.

        What asks whether the goal is reached is left out, as it is mended otherwise.
        """
        others = [f for f in judgement.findings if counts(f) and not of_goal(f)]
        if self.threshold != REINFORCE or any(severity(f.grade) >= self.threshold for f in others):
            return ()
        small = small_findings(others, judgement.assessment)
        return tuple(f for found in small.values() for f in found) if len(small) >= STACKED else ()

    def causes(self, judgement: Judgement) -> tuple[str, ...]:
        """The causes of those, each once."""
        return small_margins(self.raising(judgement), judgement.assessment)

    def solved(self, judgement: Judgement | None, aim: Aim) -> bool:
        """Whether nothing reaches the grade and, with ``keep``, the goal's power is there."""
        return judgement is not None and not self.blocking(judgement, aim) and (
            not aim.keep or self.reaches(judgement))

    def waits(self, judgement: Judgement) -> tuple[Finding, ...]:
        """The findings at the grade or worse that only an inspection can answer."""
        return tuple(f for f in judgement.findings if counts(f) and f.rule in self.waiting
                     and severity(f.grade) >= self.threshold)

    def reach(self, judgement: Judgement) -> float:
        """Predicted power over that asked for; where none was, over that of the build as asked."""
        reach = reach_of(judgement)
        if reach is None:
            reach = _crank_w(judgement) / self._asked_w if self._asked_w else 1.0
        return reach

    def reaches(self, judgement: Judgement) -> bool:
        """Whether the power is there."""
        return self.reach(judgement) >= REACHED

    def score(self, judgement: Judgement, aim: Aim) -> tuple[float, float]:
        """How far from solved: what blocks by weight, then by how far it is beyond its limits.  Less is better.

        Small margins weigh by their causes beyond those that may stand.
        """
        found = self.blocking(judgement, aim)
        small = {f.rule for f in self.raising(judgement)} if aim.margins else set()
        weight = sum(WEIGHTS[f.grade] for f in found if f.rule not in small)
        if small:
            weight += WEIGHTS["caution"] * (len(self.causes(judgement)) - STACKED + 1)
        return float(weight), sum(beyond(f) for f in found)


def reach_of(judgement: Judgement) -> float | None:
    """Predicted power or torque over that asked for, the lesser of the two; None where none was asked for."""
    results = (judgement.assessment.quantities.get(name) for name in ("goal.power_reach", "goal.torque_reach"))
    reached = [r.value for r in results if r is not None and r.status == "ok" and r.value is not None]
    return min(reached, default=None)


def _crank_w(judgement: Judgement) -> float:
    result = judgement.assessment.quantities.get("crank.power")
    return (result.value or 0.0) if result is not None else 0.0


def of_goal(finding: Finding) -> bool:
    """Whether a finding asks if the goal is reached, rather than what bears it."""
    quantity = governing_quantity(finding)
    return quantity is not None and quantity in QUANTITIES and QUANTITIES[quantity].root == "goal"


def beyond(finding: Finding) -> float:
    """How far a finding's number is beyond its limit, as a share of it, and the chance of that where it is known."""
    chance = finding.chance or 0.0
    for because in finding.because:
        limit = None if because.limit is None else because.limit.value
        numbers = [n for n in (because.value, limit) if isinstance(n, int | float) and not isinstance(n, bool)]
        if because.kind == "quantity" and because.limit is not None and len(numbers) == 2:
            over = (numbers[0] - numbers[1]) / (abs(numbers[1]) or 1.0)
            return chance + (-over if because.limit.sense == "below" else over)
    return chance


def cause_of(finding: Finding, judgement: Judgement) -> str:
    """The root cause of a finding; the rule itself where it speaks of no quantity."""
    quantity = governing_quantity(finding)
    return root_cause(judgement.assessment, quantity) if quantity else f"rule {finding.rule}"


def causes_first(findings: Sequence[Finding], judgement: Judgement) -> list[Finding]:
    """The findings with those that others stand on first, then the worst first."""
    named = {f.rule: quantity for f in findings if (quantity := governing_quantity(f)) is not None}
    above = {q: ancestors(judgement.assessment, q) for q in set(named.values())}

    def upstream(finding: Finding) -> int:
        own = named.get(finding.rule)
        if own is None:
            return 0
        return sum(q != own and q in above[own] and own not in above[q] for q in set(named.values()))

    return sorted(findings, key=lambda f: (upstream(f), -severity(f.grade), f.rule))
