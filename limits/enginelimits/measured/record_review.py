"""The grades that were given held against what became of the engines, and what that says of thresholds.

It proposes and never changes anything: a threshold moves when a human signs an override.
"""

from __future__ import annotations

import re
from bisect import bisect
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import pairwise
from statistics import median

from enginelimits.measured.record_model import BROKE, HELD, KNOCKED, KeptMargin, QuoteRow
from enginelimits.measured.record_parts import own_break
from enginelimits.measured.record_statistics import (
    Interval,
    Ranked,
    ranked,
    rate_interval,
    share_at_least,
    share_at_most,
    share_interval,
)
from enginelimits.rules.grades import GRADES, severity

# Fewer cases than these, and no threshold is spoken of.
LEAST_HELD = 5
LEAST_BROKE = 3
LEAST_BEYOND = 20
CONFIDENCE = 0.95
TOLERATED = 0.10
PROVEN_M = 10_000e3
PER_M = 10_000e3
_PLAIN = re.compile(r"[^\w .,:;()%/*^+-]")


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of the engines under one grade.

    ``broke`` counts what the row speaks of: any part, the parts of a family, or a rule's own.
    ``elsewhere`` are engines that another part ended, which says little of this one; they are in no share.  ``open``
    have no outcome.
    """

    grade: str
    held: int
    knocked: int
    broke: int
    elsewhere: int
    open: int
    exposure_m: float
    broke_on_exposure: int

    @property
    def known(self) -> int:
        """Engines whose outcome counts here."""
        return self.held + self.knocked + self.broke

    @property
    def share_broke(self) -> Interval:
        """Wilson's interval, 95 %."""
        return share_interval(self.broke, self.known, CONFIDENCE)

    @property
    def share_troubled(self) -> Interval:
        """That of knocked or broke."""
        return share_interval(self.knocked + self.broke, self.known, CONFIDENCE)

    @property
    def rate(self) -> Interval | None:
        """Breaks per 10 000 km, 95 %, of the engines whose distance is known; None without any distance."""
        if self.exposure_m <= 0.0:
            return None
        return rate_interval(self.broke_on_exposure, self.exposure_m / PER_M, CONFIDENCE)


@dataclass(frozen=True, slots=True)
class Group:
    """The tallies of one family or one rule, worst grade first."""

    name: str
    title: str
    family: str
    tallies: tuple[Tally, ...]


@dataclass(frozen=True, slots=True)
class Spread:
    """The recorded values of one side: how many, least, middle, greatest; SI."""

    count: int
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """A threshold that the shop's own history would move.

    ``direction``: stricter or milder.  ``cases`` and ``broke`` are those between the two values; ``bound`` is the share
    that broke there, at least (stricter) or at most (milder), at ``confidence``.  ``text`` is an override without a
    name under it, which no catalogue takes.
    """

    direction: str
    value: float
    cases: int
    broke: int
    bound: float
    confidence: float
    text: str


@dataclass(frozen=True)
class LimitReview:
    """One limit of one rule: the values of what held against those of what broke."""

    rule: str
    title: str
    family: str
    grade: str
    quantity: str
    unit: str
    limit_name: str
    limit: float
    lower: bool
    held: Spread | None
    broke: Spread | None
    left_aside: int
    ranked: Ranked | None
    proposal: Proposal | None
    reason: str


@dataclass(frozen=True)
class Review:
    """All of it, with what has to be borne in mind."""

    quotes: int
    known: int
    tools: tuple[str, ...]
    catalogues: int
    grades: tuple[Tally, ...]
    families: tuple[Group, ...]
    rules: tuple[Group, ...]
    limits: tuple[LimitReview, ...]
    looked_at: int
    tolerated: float
    proven_m: float
    mind: tuple[str, ...]


def review(
    quotes: Sequence[QuoteRow], margins: Mapping[int, Sequence[KeptMargin]], *, family: str | None = None,
    rule: str | None = None, tolerated: float = TOLERATED, proven_m: float = PROVEN_M, day: date | None = None,
    parts: Mapping[str, str] | None = None,
) -> Review:  # fmt: skip
    """The shop's history as it stands; ``family`` and ``rule`` narrow the tables and limits, never the counts.

    ``parts`` gives the part that each rule speaks of, by its id; without it a rule's are those of its family.
    """
    part_of = parts or {}
    every = tuple(quotes)
    families = sorted({f.family for q in every for f in q.findings if family in (None, f.family)})
    rules = sorted({(f.rule, f.family) for q in every for f in q.findings
                    if family in (None, f.family) and rule in (None, f.rule)})  # fmt: skip
    titles = {f.rule: f.title for q in every for f in q.findings}
    cases = _cases(every, margins, family, rule, part_of)
    enough = [case for case in cases if case.enough]
    told_apart = _surely([case.rank.p_above for case in cases if case.rank is not None])
    today = day or date.today()
    limits = tuple(case.reviewed(len(enough), told_apart, tolerated, proven_m, today) for case in cases)
    return Review(
        quotes=len(every),
        known=sum(bool(q.outcome) for q in every),
        tools=tuple(sorted({q.signed.tool for q in every})),
        catalogues=len({tuple((x.name, x.digest) for x in q.layers) for q in every}),
        grades=_tallies([(q.grade, q) for q in every]),
        families=tuple(
            Group(name, "", name, _tallies(_under(every, family=name), name)) for name in families if rule is None
        ),
        rules=tuple(
            Group(name, titles[name], of, _tallies(_under(every, rule=name), of, part_of.get(name, "")))
            for name, of in rules
        ),
        limits=tuple(sorted(limits, key=lambda x: (x.proposal is None, x.ranked is None, x.rule, x.grade))),
        looked_at=len(enough),
        tolerated=tolerated,
        proven_m=proven_m,
        mind=_mind(every, len(enough), tolerated, proven_m),
    )


def verdict_for(quote: QuoteRow, family: str | None = None, part: str = "") -> str:
    """What a quote's outcome says of a family, or of a rule on a part: held, knocked, broke, ``elsewhere``, or nothing.

    Knock that was no break is held against the family that judges knock, and says of the others that they held.
    """
    outcome = quote.outcome
    if family is None or not outcome:
        return outcome
    if outcome == BROKE:
        broken = {o.kept.part for o in quote.outcomes if o.kept.outcome == BROKE}
        return BROKE if own_break(broken, family, part) else "elsewhere"
    return HELD if outcome == KNOCKED and family != "combustion" else outcome


def _under(quotes: Iterable[QuoteRow], family: str = "", rule: str = "") -> list[tuple[str, QuoteRow]]:
    """Every quote with the worst grade that a family or a rule gave it; ``clear`` where it gave none."""
    found = []
    for quote in quotes:
        said = [f.grade for f in quote.findings if f.rule == rule or (not rule and f.family == family)]
        found.append((max(said, key=severity, default="clear"), quote))
    return found


def _tallies(
    graded: Sequence[tuple[str, QuoteRow]], family: str | None = None, part: str = ""
) -> tuple[Tally, ...]:
    """The tallies by grade, worst first; grades that were never given are left out."""
    tallies = []
    for grade in reversed(GRADES):
        said = [(verdict_for(quote, family, part), quote) for given, quote in graded if given == grade]
        if not said:
            continue
        words = [word for word, _ in said]
        # An engine that another part ended has run so far too: its distance counts, its end does not.
        run = [(word, quote.distance_m) for word, quote in said if word and quote.distance_m is not None]
        tallies.append(Tally(
            grade, words.count(HELD), words.count(KNOCKED), words.count(BROKE), words.count("elsewhere"),
            words.count(""), sum(distance for _, distance in run), sum(word == BROKE for word, _ in run),
        ))  # fmt: skip
    return tuple(tallies)


@dataclass(frozen=True)
class _Case:
    """One limit with the strain of every engine on it: ratio to the limit, value, whether it broke, distance run."""

    margin: KeptMargin
    held: tuple[tuple[float, float | None], ...]
    broke: tuple[float, ...]
    left_aside: int
    lower: bool

    @property
    def enough(self) -> bool:
        return (len(self.held) >= LEAST_HELD and len(self.broke) >= LEAST_BROKE) or self._may_be_milder

    @property
    def _may_be_milder(self) -> bool:
        return len(self._beyond_and_held()) >= LEAST_BEYOND

    def _sign(self, value: float) -> float:
        """A strain that rises, whichever side is the worse."""
        return -value if self.lower else value

    def _beyond_and_held(self) -> list[tuple[float, float | None]]:
        limit = self._sign(self.margin.limit)
        return [(value, run) for value, run in self.held if self._sign(value) > limit]

    @cached_property
    def rank(self) -> Ranked | None:
        """Those that broke against those that held, by strain; None with too few of either."""
        if len(self.held) < LEAST_HELD or len(self.broke) < LEAST_BROKE:
            return None
        return ranked([self._sign(v) for v in self.broke], [self._sign(v) for v, _ in self.held])

    def reviewed(
        self, looked_at: int, told_apart: float, tolerated: float, proven_m: float, day: date
    ) -> LimitReview:
        margin = self.margin
        proposal, reason = self._stricter(told_apart, tolerated, day)
        if proposal is None:
            milder, unless = self._milder(max(looked_at, 1), tolerated, proven_m, day)
            proposal, reason = milder, f"{reason} {unless}"
        return LimitReview(
            margin.rule, margin.title, margin.family, margin.grade, margin.quantity, margin.unit, margin.limit_name,
            margin.limit, self.lower, _spread([value for value, _ in self.held]), _spread(self.broke), self.left_aside,
            self.rank, proposal, "" if proposal is not None else reason,
        )  # fmt: skip

    def _stricter(self, told_apart: float, tolerated: float, day: date) -> tuple[Proposal | None, str]:
        """As little stricter as leaves no more breaks within the limit than are tolerated."""
        limit = self._sign(self.margin.limit)
        held = sorted(v for v in (self._sign(value) for value, _ in self.held) if v <= limit)
        broke = sorted(v for v in map(self._sign, self.broke) if v <= limit)
        if self.rank is None:
            return None, f"{len(self.held)} held and {len(self.broke)} broke: too few to compare."
        if len(broke) < LEAST_BROKE:
            return None, f"{len(broke)} broke within the limit: no ground for a stricter one."
        if self.rank.p_above > told_apart:
            return None, (f"{len(broke)} broke within the limit, but strain does not tell them from those that held "
                          "surely enough for a stricter one.")
        strains = sorted({*held, *broke})
        for low, high in reversed(list(pairwise(strains))):
            value = (low + high) / 2
            kept, lost = bisect(held, value), bisect(broke, value)
            if kept < LEAST_HELD:
                break
            if lost > tolerated * (kept + lost):
                continue
            beyond = len(broke) - lost
            cases = beyond + len(held) - kept
            bound = share_at_least(beyond, cases, CONFIDENCE)
            if beyond < LEAST_BROKE or bound <= tolerated:
                break
            return self._proposal("stricter", self._sign(value), cases, beyond, bound, CONFIDENCE, day), ""
        return None, (f"{len(broke)} of {len(broke) + len(held)} broke within the limit, and no stricter one would "
                      f"leave {tolerated * 100:.0f} % or fewer.")

    def _milder(
        self, looked_at: int, tolerated: float, proven_m: float, day: date
    ) -> tuple[Proposal | None, str]:
        """Up to a strain that enough engines bore over the distance that proves it; harder to earn than a stricter."""
        limit = self._sign(self.margin.limit)
        beyond = sorted(self._sign(v) for v, run in self._beyond_and_held() if run is not None and run >= proven_m)
        if len(beyond) < LEAST_BEYOND:
            return None, (f"{len(beyond)} held beyond it for {proven_m / 1000:.0f} km; a milder one asks for "
                          f"{LEAST_BEYOND}.")
        # Not the greatest strain that held, which one lucky engine sets.
        top = beyond[-LEAST_HELD]
        cases = [v for v in beyond if v <= top]
        broke = [v for v in self.broke if limit < self._sign(v) <= top]
        # A threshold that is loosened by luck hurts somebody, so the chance of luck is shared out over all looked at.
        confidence = 1 - (1 - CONFIDENCE) / looked_at
        total = len(cases) + len(broke)
        bound = share_at_most(len(broke), total, confidence)
        if bound > tolerated:
            return None, (f"Beyond it {len(broke)} of {total} broke, at most {bound * 100:.0f} %: not sure enough for "
                          "a milder one.")
        return self._proposal("milder", self._sign(top), total, len(broke), bound, confidence, day), ""

    def _proposal(
        self, direction: str, value: float, cases: int, broke: int, bound: float, confidence: float, day: date
    ) -> Proposal:
        said = "at least" if direction == "stricter" else "at most"
        margin = self.margin
        reason = (f"{broke} of {cases} broke there, {said} {bound * 100:.0f} %; in all {len(self.held)} held, "
                  f"{len(self.broke)} broke")
        text = override_text(margin, value, reason, day) if margin.limit_name else ""
        return Proposal(direction, value, cases, broke, bound, confidence, text)


def override_text(margin: KeptMargin, value: float, reason: str, day: date) -> str:
    """An override file for a shop's rules, complete but for the author, without whom it is refused."""
    unit = "" if margin.unit == "1" else f" {margin.unit}"
    words = _PLAIN.sub(" ", reason)
    # Lines that fit a screen as they are, so that what is copied from one is still a file.
    return (
        f"# From the shop's own outcomes, by `record review`. In force: {margin.limit:.6g}{unit}.\n"
        "# Look at every case, then write a name here and lay it among the rules.\n"
        f"override: {margin.rule}\n"
        f"limits: {{{margin.limit_name}: {value:.4g}{unit}}}\n"
        "author:\n"
        f"date: {day.isoformat()}\n"
        f'reason: "{words}"\n'
    )


def _cases(
    quotes: Iterable[QuoteRow], margins: Mapping[int, Sequence[KeptMargin]], family: str | None, rule: str | None,
    part_of: Mapping[str, str],
) -> list[_Case]:  # fmt: skip
    """Each limit that was recorded, with what became of the engines that it was held against."""
    found: dict[tuple[str, str, str, str], list[tuple[QuoteRow, KeptMargin]]] = {}
    for quote in quotes:
        for margin in margins.get(quote.number, ()):
            if family in (None, margin.family) and rule in (None, margin.rule) and quote.outcome:
                key = (margin.rule, margin.grade, margin.quantity, margin.limit_name)
                found.setdefault(key, []).append((quote, margin))
    cases = []
    for pairs in found.values():
        last = pairs[-1][1]
        held: list[tuple[float, float | None]] = []
        broke: list[float] = []
        aside = 0
        for quote, margin in pairs:
            said = verdict_for(quote, margin.family, part_of.get(margin.rule, ""))
            # Held against another number, a strain is another: it counts only where the limit was the same.
            if said == "elsewhere" or margin.limit != last.limit:
                aside += 1
            elif said == HELD:
                held.append((margin.value, quote.distance_m))
            else:
                broke.append(margin.value)
        cases.append(_Case(last, tuple(held), tuple(broke), aside, _is_lower(pairs)))
    return cases


def _is_lower(pairs: Sequence[tuple[QuoteRow, KeptMargin]]) -> bool:
    """Whether a limit bounds from below: the ratio then falls as the value rises."""
    return any((m.value > m.limit) != (m.ratio > 1.0) for _, m in pairs if m.value != m.limit)


def _surely(chances: Sequence[float]) -> float:
    """The greatest p that counts, so that of all that count no more than 5 % do so by luck.

    Benjamini and Hochberg, 1995, Journal of the Royal Statistical Society B 57, 289-300.
    """
    ordered = sorted(chances)
    level = 1 - CONFIDENCE
    fit = [p for place, p in enumerate(ordered, 1) if p <= level * place / len(ordered)]
    return fit[-1] if fit else -1.0


def _spread(values: Sequence[float]) -> Spread | None:
    return Spread(len(values), min(values), median(values), max(values)) if values else None


def _mind(quotes: Sequence[QuoteRow], looked_at: int, tolerated: float, proven_m: float) -> tuple[str, ...]:
    """What nobody may leave out when reading the counts."""
    open_ = sum(not q.outcome for q in quotes)
    held = [q for q in quotes if q.outcome == HELD]
    far = sum(q.distance_m is not None for q in held)
    said = [
        f"{open_} of {len(quotes)} quotes have no outcome, those declined or never built among them: what is counted "
        "is what was built and heard of, and an engine that broke is heard of sooner.",
        f"An engine that held has only held so far: of {len(held)} that held the distance is known of {far}. Shares "
        "count each alike; breaks per 10 000 km count the distance, as if the risk were the same all along.",
        "Many engines are built after the remedy was fitted, not as quoted, and few breaks then follow a grade that "
        "was right: keep the build as built, by --corrects, before its outcome.",
        "Of the family combustion an engine that knocked counts as one that broke where limits are looked at.",
        "Outcomes of one shop, of engines alike, built by the same hands: an interval covers chance alone, not that.",
        f"A threshold is spoken of from {LEAST_HELD} held and {LEAST_BROKE} broken engines up. {looked_at} limits had "
        f"so many. Stricter is proposed where strain tells broken from held engines (of such finds about 1 in 20 is "
        f"luck) and more than {tolerated * 100:.0f} % broke beyond the new value, which is chosen on the same cases "
        f"and so looks better than it is. Milder is proposed only after {LEAST_BEYOND} engines beyond the limit held "
        f"for {proven_m / 1000:.0f} km, at 95 % shared out over all limits. "
        "Nothing changes by itself: whoever signs the override answers for it.",
    ]
    tools = {q.signed.tool for q in quotes}
    if len(tools) > 1:
        said.append(f"{len(tools)} versions of the program computed these values, which may differ for that alone.")
    return tuple(said)
