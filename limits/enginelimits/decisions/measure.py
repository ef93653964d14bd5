"""Which unknown, if it were measured, would change the verdict most: read off the draws that the verdict rests on.

First what blocks a verdict, since that beats any range.  Then every input that was drawn, by three readings of the same
draws: its first-order index in each decisive margin; how often the margin's limit is crossed in the lower and in the
upper third of its draws; and the verdict as it would be with the input known to lie in one of its thirds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.results import Assessment, At
from enginelimits.assessment.sample import Z95
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.draws import FloatArray, input_draws, quantity_draws
from enginelimits.decisions.findings import Spoken, finding_of, is_unsure, spoken
from enginelimits.decisions.first_order import FEWEST_DRAWS, Index, first_order, grouped, level_of_chance
from enginelimits.decisions.grading import TAIL, usable_draws
from enginelimits.decisions.judge import evaluated, judgement_of
from enginelimits.decisions.measurements import Measurement, measurement_of
from enginelimits.decisions.stacking import counts, governing_quantity, verdict_of
from enginelimits.decisions.verdict import Because, Finding, Judgement
from enginelimits.description.filled import Input
from enginelimits.errors import InputError, Problem
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import Evaluation, RuleOutcome, reads
from enginelimits.rules.grades import CAUTION, CLEAR, GRADES, NOTE, severity

if TYPE_CHECKING:
    from enginelimits.decisions.bench import Bench

# Enough that an input with a twentieth of a margin's variance stands out of chance, at some 20 seconds a build.
DEFAULT_SAMPLES = 256
# From so many draws on a quarter of them is judged first, so that an interrupted run has something to tell.
LONG = 1024
THIRDS = 3
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Decisive:
    """What a finding turns on: its leading quantity at the place where it speaks, or its grade where it has none.

    ``limit_low`` and ``limit_high`` tell how far the limit is itself in doubt; ``limit_doubt`` is its part of the
    variance of quantity less limit, which no measurement of the engine takes away.
    """

    rule: str
    title: str
    grade: str
    chance: float | None
    limiting: bool
    quantity: str | None
    unit: str
    value: float | str | bool | None
    limit: float | str | bool | None
    at: At | None
    settled_by: str = ""
    limit_low: float | None = None
    limit_high: float | None = None
    limit_doubt: float | None = None


@dataclass(frozen=True, slots=True)
class Share:
    """One input in one margin: its index there, the level of chance, and how often the limit is crossed in each third.

    ``graded`` says that the index is of the rule's grade, because that of its leading quantity did not tell.
    ``grades`` are what the rule would say with the input known to lie in each third, lowest first; of an input that is
    yes or no there are two.  ``flips`` is the share of the draws that lie where that differs from what it says now,
    ``moves`` by how many grades in the mean.
    """

    margin: Decisive
    index: Index
    level: float
    graded: bool
    crossed: tuple[float, ...]
    grades: tuple[str, ...]
    flips: float
    moves: float


@dataclass(frozen=True, slots=True)
class Unknown:
    """An input that was drawn and moves a decisive margin.

    ``verdicts`` are those of the whole build with the input known to lie in each third, ``flips`` the share of the
    draws where that differs from the verdict now.  ``removes`` is the part of the input's variance that the measurement
    takes away, None where its scatter is not known.  ``worth`` is the largest index less what the measurement leaves.
    """

    given: Input
    measurement: Measurement
    removes: float | None
    shares: tuple[Share, ...]
    verdicts: tuple[str, ...]
    flips: float
    moves: float
    worth: float


@dataclass(frozen=True, slots=True)
class Blocking:
    """An input that nobody gave and no class fills, with the rules that wait for it and the worst they could say."""

    path: str
    rules: tuple[tuple[str, str], ...]
    could_be: str
    measurement: Measurement


@dataclass(frozen=True)
class Measured:
    """Everything that ``measure`` shows.  ``compared`` counts the pairs of margin and input that were looked at.

    ``asked`` is how many draws were asked for; fewer were made where the work was ``interrupted``.
    """

    judgement: Judgement
    margins: tuple[Decisive, ...]
    blocking: tuple[Blocking, ...]
    unknowns: tuple[Unknown, ...]
    unmeasured: tuple[Unknown, ...]
    drawn: int
    compared: int
    groups: int
    asked: int = 0
    interrupted: bool = False


def measure(bench: Bench, tell: Callable[[str], None] | None = None) -> Measured:
    """What to measure first on the build of a bench, from as many draws as the bench makes.

    What blocks the verdict is read off the typical build first, and a long batch has a shorter one before it: where the
    work is interrupted, what is known by then is the answer.  Raises InputError where too few draws are asked for to
    tell anything.
    """
    if bench.samples < FEWEST_DRAWS:
        raise InputError([Problem(f"at least {FEWEST_DRAWS} draws, to tell an input from chance", str(bench.samples),
                                  key="--samples", file="command line")])
    found: Measured | None = None
    try:
        for samples in batches(bench.samples):
            if tell is not None:
                tell(f"judging {bench.build.build} " + (f"with {samples} draws" if samples else "without draws"))
            found = replace(_measured(bench, samples), asked=bench.samples)
    except KeyboardInterrupt:
        if found is None:
            raise
        return replace(found, interrupted=True)
    assert found is not None
    return found


def batches(samples: int) -> tuple[int, ...]:
    """How many draws are judged one after another: none, a quarter of a long batch, and the batch."""
    return (0, samples // 4, samples) if samples >= LONG else (0, samples)


def _measured(bench: Bench, samples: int) -> Measured:
    found = evaluated(bench.build, bench.catalogue, samples=samples, seed=bench.seed, shop=bench.shop,
                      anchor=bench.anchor)
    judgement = judgement_of(
        found.assessment, found.described, bench.catalogue, found.evaluation, bench.as_of or date.today()
    )
    return weighed(judgement, found.evaluation, bench.catalogue)


def weighed(judgement: Judgement, evaluation: Evaluation, catalogue: Catalogue) -> Measured:
    """The inputs of a judged build by what measuring them would change."""
    margins = tuple(margins_of(judgement))
    voices = {voice.finding.rule: voice for voice in _voices(judgement, evaluation, catalogue)}
    pairs = {m: tuple(_indices(m, judgement, voices[m.rule], catalogue)) for m in margins}
    compared = sum(map(len, pairs.values()))
    paths = {found.path for every in pairs.values() for found in every}
    telling: dict[str, dict[Decisive, _Told]] = {}
    for margin, every in pairs.items():
        for found in every:
            level = level_of_chance(found.index, compared)
            if found.index.share > level:
                # the quantity comes before the grade, which is coarser
                telling.setdefault(found.path, {}).setdefault(margin, _Told(margin, found, level))
    unknowns = sorted(
        (_unknown(path, tuple(told.values()), judgement, voices) for path, told in telling.items()), key=_order
    )
    groups = max((found.index.groups for every in pairs.values() for found in every), default=0)
    return Measured(
        judgement, margins, tuple(blocking(judgement, evaluation)),
        tuple(u for u in unknowns if u.measurement.how), tuple(u for u in unknowns if not u.measurement.how),
        len(paths), compared, groups,
    )


def margins_of(judgement: Judgement) -> Iterator[Decisive]:
    """The margin of the limiting rule and of each finding at caution or worse that counts in the verdict."""
    limiting = judgement.verdict.limiting
    for finding in judgement.findings:
        first = limiting is not None and finding.rule == limiting.rule
        if not first and (severity(finding.grade) < CAUTION or not counts(finding)):
            continue
        lead = leading(finding)
        quantity = lead.name if lead is not None and lead.kind == "quantity" else None
        yield Decisive(
            finding.rule, finding.title, finding.grade, finding.chance, first, quantity,
            lead.unit if lead is not None else "1", lead.value if lead is not None else None,
            lead.limit.value if lead is not None and lead.limit is not None else None,
            lead.at if lead is not None else None, finding.settled_by, *_doubt_of_limit(judgement.assessment, lead),
        )


def _doubt_of_limit(
    assessment: Assessment, lead: Because | None
) -> tuple[float | None, float | None, float | None]:
    """Between what the limit was drawn, and its part of the variance of the margin; None where it was not."""
    limit = None if lead is None else lead.limit
    if lead is None or limit is None or limit.low is None or limit.high is None:
        return None, None, None
    made = quantity_draws(assessment, lead) if lead.kind == "quantity" else None
    known = None if made is None else made[np.isfinite(made)]
    if known is None or known.size < 2:
        return limit.low, limit.high, None
    of_limit = ((limit.high - limit.low) / (2.0 * Z95)) ** 2
    return limit.low, limit.high, float(of_limit / (of_limit + known.var()))


def leading(finding: Finding) -> Because | None:
    """The comparison that a finding turns on."""
    name = governing_quantity(finding)
    return next((b for b in finding.because if b.name == name), next(iter(finding.because), None))


def blocking(judgement: Judgement, evaluation: Evaluation) -> list[Blocking]:
    """What is missing, worst first: by the grade that waits for it, then by how many rules do."""
    waits: dict[str, list[RuleOutcome]] = {}
    graver = {f.rule for f in judgement.findings if f.could_be is not None}
    for id_ in (*(n.rule for n in judgement.not_judged), *sorted(graver)):
        outcome = evaluation.outcomes[id_]
        for path in outcome.missing:
            waits.setdefault(path, []).append(outcome)
    found = [
        Blocking(path, tuple((o.rule.id, o.rule.title) for o in outcomes),
                 GRADES[max(int(o.could_be[:, 0].max()) for o in outcomes)], measurement_of(path))
        for path, outcomes in waits.items()
    ]
    return sorted(found, key=lambda b: (-severity(b.could_be), -len(b.rules), b.path))


class _Voice(NamedTuple):
    """A rule with its finding, its grade in each draw, and the worst that it may say."""

    outcome: RuleOutcome
    finding: Finding
    grades: NDArray[np.int8]
    usable: Mask
    ceiling: int


def _voices(judgement: Judgement, evaluation: Evaluation, catalogue: Catalogue) -> Iterator[_Voice]:
    """Every rule that says something of the build or of some draw."""
    assessment = judgement.assessment
    told = {f.rule: f for f in judgement.findings}
    heard = [spoken(o, assessment) for _, o in sorted(evaluation.outcomes.items())
             if o.rule.id in told or (o.grade > CLEAR).any()]
    for said in heard:
        id_ = said.outcome.rule.id
        finding = told.get(id_) or finding_of(said, heard, assessment, catalogue)
        outcome = said.outcome
        yield _Voice(outcome, finding, outcome.grade.max(axis=0)[1:], usable_draws(outcome), _ceiling(said, finding))


def _ceiling(said: Spoken, finding: Finding) -> int:
    """The worst grade that weak evidence leaves a rule; a graver grade than it gives may rest on another limit."""
    grade = severity(finding.grade)
    if grade < said.uncapped:
        return grade
    bound = said.outcome.rule.bound or any(QUANTITIES[q].bound for q in said.quantities if q in QUANTITIES)
    graver = [g for g in (severity(one.grade) for one in said.outcome.rule.grades) if g > grade]
    return max((grade, *(NOTE if bound else CAUTION if is_unsure(said.outcome, g) else g for g in graver)))


@dataclass(frozen=True, slots=True)
class _Found:
    """The index of an input in a margin's quantity, or in the grade of its rule."""

    path: str
    index: Index
    graded: bool


class _Told(NamedTuple):
    margin: Decisive
    found: _Found
    level: float


def _indices(margin: Decisive, judgement: Judgement, voice: _Voice, catalogue: Catalogue) -> Iterator[_Found]:
    """The index in a margin of each input that was drawn and lies beneath its rule.

    The leading quantity is not all that a rule turns on, so that the grade is looked at beside it.
    """
    assessment = judgement.assessment
    made = next((quantity_draws(assessment, b) for b in voice.finding.because if b.name == margin.quantity), None)
    grades = np.where(voice.usable, voice.grades.astype(float), np.nan)
    for path in sorted(_beneath(assessment, voice.outcome, catalogue)):
        given = judgement.filled.get(path)
        draws = None if given is None or _follows(given, judgement) else input_draws(assessment, path)
        for response, graded in ((made, False), (grades, True)):
            if draws is None or response is None or draws.shape != response.shape:
                continue
            index = first_order(draws, response)
            if index is not None:
                yield _Found(path, index, graded)


def _beneath(assessment: Assessment, outcome: RuleOutcome, catalogue: Catalogue) -> frozenset[str]:
    """The inputs that a rule rests on, through all that it reads."""
    found: set[str] = set()
    for kind, name in reads(catalogue, outcome.rule):
        column = assessment.columns.get(name)
        found |= {name} if kind == "input" else set() if column is None else column.rests
    return frozenset(found)


def _follows(given: Input, judgement: Judgement) -> bool:
    """Whether an input only repeats the draws of others, which are looked at themselves."""
    return bool(given.drawn_with) and all(judgement.filled.get(path) is not None for path in given.drawn_with)


def _unknown(
    path: str, told: Sequence[_Told], judgement: Judgement, voices: Mapping[str, _Voice]
) -> Unknown:
    given, draws = judgement.filled.inputs[path], input_draws(judgement.assessment, path)
    assert draws is not None
    parts = tuple(_parts(draws))
    now = {rule: severity(voice.finding.grade) for rule, voice in voices.items()}
    known_to_move = {one.margin.rule for one in told}
    known = [{rule: _grade_in(voices[rule], part) for rule in known_to_move} for part in parts]
    verdicts = tuple(_verdict(judgement, voices, {**now, **grades}) for grades in known)
    measurement = measurement_of(path)
    value = given.value if isinstance(given.value, float) else float(np.median(draws))
    removes = measurement.removes(value, float(np.std(draws)))
    shares = tuple(sorted(
        (_share(one, voices[one.margin.rule], parts, known) for one in told),
        key=lambda s: -_gravity(s.margin) * s.index.share,
    ))
    worth = max(_gravity(s.margin) * s.index.share for s in shares) * (1.0 if removes is None else removes)
    return Unknown(given, measurement, removes, shares, verdicts,
                   *_moved(verdicts, judgement.verdict.grade, parts), worth)


def _parts(draws: FloatArray) -> Iterator[Mask]:
    """The draws in thirds, lowest first, or by value where there are no more than three."""
    place = grouped(draws, THIRDS)
    for part in range(int(place.max()) + 1):
        yield place == part


def _share(told: _Told, voice: _Voice, parts: Sequence[Mask], known: Sequence[Mapping[str, int]]) -> Share:
    margin = told.margin
    beyond = voice.grades >= severity(margin.grade)
    crossed = tuple(float(beyond[part & voice.usable].mean()) if (part & voice.usable).any() else 0.0 for part in parts)
    grades = tuple(GRADES[grade[margin.rule]] for grade in known)
    return Share(margin, told.found.index, told.level, told.found.graded, crossed, grades,
                 *_moved(grades, margin.grade, parts))


def _moved(found: Sequence[str], now: str, parts: Sequence[Mask]) -> tuple[float, float]:
    """The share of the draws that lie where a grade differs from what it is now, and by how many grades in the mean."""
    weights = np.array([part.sum() for part in parts], dtype=float) / sum(part.sum() for part in parts)
    apart = np.abs(np.array([severity(said) for said in found]) - severity(now))
    return float(weights @ (apart > 0)), float(weights @ apart)


def _grade_in(voice: _Voice, part: Mask) -> int:
    """What a rule would say with the draws in a part alone.

    The typical build stays what it is unless the part's middle draw is graded otherwise than that of all draws.
    """
    inside, all_ = voice.grades[part & voice.usable], voice.grades[voice.usable]
    if not inside.size:
        return severity(voice.finding.grade)
    typical = int(voice.outcome.grade[:, 0].max())
    middle, middle_of_all = _reached(inside, 0.5), _reached(all_, 0.5)
    if middle != middle_of_all:
        typical = middle
    return min(max(typical, min(CAUTION, _reached(inside, TAIL))), voice.ceiling)


def _reached(grades: NDArray[np.int8], share: float) -> int:
    """The worst grade that so large a share of the draws reaches."""
    return max(g for g in range(len(GRADES)) if g == CLEAR or float((grades >= g).mean()) >= share)


def _verdict(judgement: Judgement, voices: Mapping[str, _Voice], grades: Mapping[str, int]) -> str:
    """The verdict with the rules graded so."""
    changed: Iterable[Finding] = [
        replace(voice.finding, grade=GRADES[grades[rule]]) for rule, voice in voices.items()
    ]
    ordered = sorted(changed, key=lambda f: -severity(f.grade))
    return verdict_of(ordered, judgement.assessment, [*judgement.not_judged, *judgement.out_of_range]).grade


def _gravity(margin: Decisive) -> float:
    """What a margin counts for: its grade, and half a grade more where it limits."""
    return severity(margin.grade) + (0.5 if margin.limiting else 0.0)


def _order(unknown: Unknown) -> tuple[float, float, float, str]:
    """First what changes the verdict, then what changes a finding, the graver the sooner, then what weighs most."""
    kept = 1.0 if unknown.removes is None else unknown.removes
    moved = max(_gravity(s.margin) * s.moves for s in unknown.shares)
    return (-unknown.moves * kept, -moved * kept, -unknown.worth, unknown.given.path)
