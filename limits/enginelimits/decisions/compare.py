"""Builds side by side, and of two builds which difference matters: each part of the second on the first, alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from enginelimits.assessment.results import Assessment
from enginelimits.decisions.differences import (
    Part,
    Stating,
    blocks,
    parts_that_differ,
    stated_differently,
    taken_otherwise,
)
from enginelimits.decisions.judge import evaluated, judgement_of
from enginelimits.decisions.margins import Margin, margins
from enginelimits.decisions.stacking import counts
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.edits import edited
from enginelimits.errors import EngineLimitsError, InputError, Problem
from enginelimits.rules.grades import CAUTION, severity

if TYPE_CHECKING:
    from enginelimits.decisions.bench import Bench, Edits

DEFAULT_SAMPLES = 64
CURVES = ("crank.power", "crank.torque", "air.boost")
RPM = 2 * np.pi / 60
# Of the differences that weigh most, as many are judged again with all draws.
VERIFIED = 2
Told = Callable[[str], None]


@dataclass(frozen=True)
class Stood:
    """One build as judged, with how near each rule is to caution."""

    judgement: Judgement
    margins: Mapping[str, Margin]

    @property
    def cautions(self) -> int:
        """How many findings at caution or worse count in the verdict."""
        return sum(severity(f.grade) >= CAUTION and counts(f) for f in self.judgement.findings)


@dataclass(frozen=True, slots=True)
class RuleRow:
    """What one rule says of each build: a grade, or why there is none."""

    rule: str
    title: str
    says: tuple[str, ...]

    @property
    def same(self) -> bool:
        return len(set(self.says)) == 1


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """The margin that leads in a family, of each build; None where the rule has none there."""

    family: str
    rule: str
    title: str
    quantity: str
    margins: tuple[Margin | None, ...]


@dataclass(frozen=True, slots=True)
class CurveRow:
    """One quantity of each build at one engine speed."""

    speed: float
    values: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """One part of the second build on the first, alone; without draws.

    ``ratio`` is value over limit of the margin that limits the first build; None where it has none after the change.
    ``drawn`` is the verdict with all draws, where it was looked at again.
    """

    part: Part
    grade: str
    limiting: str | None
    ratio: float | None
    cautions: int
    drawn: str | None = None


@dataclass(frozen=True, slots=True)
class Apart:
    """What each difference does alone.  ``broken_off`` says that the work was stopped and some are missing."""

    grade: str
    limiting: str | None
    margin: Margin | None
    cautions: int
    effects: tuple[Effect, ...]
    not_alone: tuple[Part, ...]
    samples: int
    broken_off: bool = False


@dataclass(frozen=True)
class Comparison:
    """Everything that ``compare`` shows.  ``differences`` are those of each further build against the first.

    ``taken`` are the paths of those that are taken for that build's maker's own, as its file names no other figure.

    ``left_away`` are the builds that were not judged yet when it was stopped.
    """

    builds: tuple[Stood, ...]
    rules: tuple[RuleRow, ...]
    families: tuple[FamilyRow, ...]
    curves: tuple[CurveRow, ...]
    differences: tuple[tuple[Stating, ...], ...]
    apart: Apart | None
    left_away: tuple[str, ...] = ()
    taken: tuple[tuple[str, ...], ...] = ()

    @property
    def broken_off(self) -> bool:
        """Whether the work was stopped before all was known."""
        return bool(self.left_away) or (self.apart is not None and self.apart.broken_off)


def compare(benches: Sequence[Bench], told: Told = lambda words: None) -> Comparison:
    """The builds of two or more benches side by side; of two, each difference alone as well.

    Interrupted with two builds judged, it compares those.  Raises InputError for fewer than two.
    """
    if len(benches) < 2:
        raise InputError([Problem("two builds or more", str(len(benches)), "A build alone is for `check`.", "BUILD",
                                  "command line")])
    stood: list[Stood] = []
    asked = len(benches)
    left_away: tuple[str, ...] = ()
    try:
        for number, bench in enumerate(benches, 1):
            told(f"judging {number} of {asked}, {bench.build.build}, {bench.samples} draws")
            stood.append(stand(bench))
    except KeyboardInterrupt:
        if len(stood) < 2:
            raise
        left_away = tuple(bench.build.build for bench in benches[len(stood):])
    first, *others = benches[:len(stood)]
    apart = one_at_a_time(first, others[0], stood[0], told) if asked == 2 else None
    return Comparison(
        tuple(stood),
        tuple(rule_rows(stood)),
        tuple(family_rows(stood)),
        tuple(curve_rows([s.judgement.assessment for s in stood])),
        tuple(stated_differently(first.build, other.build) for other in others),
        apart,
        left_away,
        tuple(taken_otherwise(first.build, other.build) for other in others),
    )


def stand(bench: Bench, edits: Edits = (), *, samples: int | None = None) -> Stood:
    """The build of a bench after the edits, judged, with the margins of its rules."""
    build = edited(bench.build, edits) if edits else bench.build
    found = evaluated(build, bench.catalogue, samples=bench.samples if samples is None else samples, seed=bench.seed,
                      shop=bench.shop, anchor=bench.anchor)
    judgement = judgement_of(
        found.assessment, found.described, bench.catalogue, found.evaluation, bench.as_of or date.today()
    )
    return Stood(judgement, margins(found.evaluation.outcomes, found.assessment, CAUTION))


def rule_rows(stood: Sequence[Stood]) -> Iterator[RuleRow]:
    """Every rule that speaks of some build, the gravest first."""
    titles = {f.rule: f.title for s in stood for f in s.judgement.findings if f.grade != "clear"}
    said = [_said(s.judgement) for s in stood]
    rows = [RuleRow(rule, title, tuple(of.get(rule, "clear") for of in said)) for rule, title in titles.items()]
    yield from sorted(rows, key=lambda row: (-max(map(_severity, row.says)), row.rule))


def _said(judgement: Judgement) -> dict[str, str]:
    return {
        **{n.rule: "not applicable" for n in judgement.not_applicable},
        **{n.rule: "out of range" for n in judgement.out_of_range},
        **{n.rule: "cannot judge" for n in judgement.not_judged},
        **{f.rule: f.grade for f in judgement.findings},
    }


def _severity(said: str) -> int:
    return -1 if said in ("not applicable", "out of range", "cannot judge") else severity(said)


def family_rows(stood: Sequence[Stood]) -> Iterator[FamilyRow]:
    """Of each family the margin that is the nearest to its limit, or furthest beyond, in any build."""
    leads: dict[str, Margin] = {}
    for s in stood:
        for margin in s.margins.values():
            if margin.family not in leads or margin.ratio > leads[margin.family].ratio:
                leads[margin.family] = margin
    for family, lead in sorted(leads.items(), key=lambda item: -item[1].ratio):
        yield FamilyRow(family, lead.rule, lead.title, lead.quantity, tuple(s.margins.get(lead.rule) for s in stood))


def curve_rows(assessments: Sequence[Assessment], step: float = 1000.0 * RPM) -> Iterator[CurveRow]:
    """Power, torque and boost at the whole thousands of speed that all builds have."""
    grids = [dict(zip(np.round(np.array(a.speeds) / RPM, 3), range(len(a.speeds)), strict=True)) for a in assessments]
    common = sorted(set(grids[0]).intersection(*grids[1:]))
    for rpm in common:
        if abs(rpm * RPM / step - round(rpm * RPM / step)) < 1e-6:
            places = [grid[rpm] for grid in grids]
            yield CurveRow(float(rpm * RPM), tuple(
                tuple(a.curves[id_].values[place] if id_ in a.curves else None
                      for a, place in zip(assessments, places, strict=True))
                for id_ in CURVES
            ))


def one_at_a_time(first: Bench, second: Bench, whole: Stood, told: Told = lambda words: None) -> Apart:
    """Each part in which the second differs put on the first alone, without draws; the weightiest again with all.

    What two parts do together is left out.  Interrupted, it gives what it has so far.
    """
    try:
        before = stand(first, samples=0)
    except KeyboardInterrupt:
        verdict = whole.judgement.verdict
        limiting = verdict.limiting.rule if verdict.limiting is not None else None
        return Apart(verdict.grade, limiting, _limiting_margin(whole), whole.cautions, (), (),
                     whole.judgement.samples_asked, True)
    margin = _limiting_margin(before)
    effects: list[Effect] = []
    not_alone: list[Part] = []
    parts = parts_that_differ(first.build, second.build)
    broken_off = False
    try:
        for number, part in enumerate(parts, 1):
            told(f"difference {number} of {len(parts)}: {part.path}")
            _try(first, part, margin, effects, not_alone)
        for block in tuple(blocks(tuple(not_alone), second.build)):
            told(f"all of {block.path}")
            _try(first, block, margin, effects, not_alone)
        effects.sort(key=lambda effect: _weight(effect, before, margin))
        if first.samples:
            for place, effect in enumerate(effects[:VERIFIED]):
                told(f"again with {first.samples} draws: {effect.part.path}")
                drawn = stand(first, effect.part.edits).judgement.verdict.grade
                effects[place] = replace(effect, drawn=drawn)
    except KeyboardInterrupt:
        broken_off = True
        effects.sort(key=lambda effect: _weight(effect, before, margin))
    verdict = before.judgement.verdict
    limiting = verdict.limiting.rule if verdict.limiting is not None else None
    return Apart(verdict.grade, limiting, margin, before.cautions, tuple(effects), tuple(not_alone),
                 whole.judgement.samples_asked, broken_off)


def _try(
    bench: Bench, part: Part, margin: Margin | None, effects: list[Effect], not_alone: list[Part]
) -> None:
    if not part.edits:
        not_alone.append(part)
        return
    try:
        after = stand(bench, part.edits, samples=0)
    except InputError as error:
        not_alone.append(replace(part, reason=_reason(error)))
        return
    except EngineLimitsError as error:
        not_alone.append(replace(part, reason=f"the computation failed: {error}"))
        return
    verdict = after.judgement.verdict
    there = after.margins.get(margin.rule) if margin is not None else None
    effects.append(Effect(part, verdict.grade, verdict.limiting.rule if verdict.limiting is not None else None,
                          there.ratio if there is not None else None, after.cautions))


def _reason(error: InputError) -> str:
    """The first thing that the build lacks with the part alone."""
    problem = error.problems[0]
    where = f"{problem.key}: " if problem.key else ""
    return f"{where}wanted {problem.wanted}, got {problem.got}"


def _limiting_margin(stood: Stood) -> Margin | None:
    """The margin of the gravest finding that holds a quantity against a limit."""
    return next((stood.margins[f.rule] for f in stood.judgement.findings
                 if f.grade != "clear" and counts(f) and f.rule in stood.margins), None)


def _weight(effect: Effect, before: Stood, margin: Margin | None) -> tuple[float, float, float, str]:
    """First what changes the verdict, then what moves the limiting margin, then the count of cautions."""
    verdict = abs(severity(effect.grade) - severity(before.judgement.verdict.grade))
    moved = abs(effect.ratio - margin.ratio) if margin is not None and effect.ratio is not None else 0.0
    return (-verdict, -round(moved, 4), -abs(effect.cautions - before.cautions), effect.part.path)
