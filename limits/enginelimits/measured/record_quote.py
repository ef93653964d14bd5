"""What a quote keeps of a judged build, and the same build judged again by what holds today."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import numpy as np

from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.influence import weightiest
from enginelimits.decisions.judge import judge
from enginelimits.decisions.margins import Margin, margins
from enginelimits.description.load import Written, parse_build, read_build
from enginelimits.errors import InputError, Problem
from enginelimits.measured.record_model import (
    KeptFile,
    KeptFinding,
    KeptLayer,
    KeptMargin,
    QuoteDraft,
    QuoteWhole,
    Shown,
)
from enginelimits.rules.catalogue import Catalogue, load_catalogue
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.grades import CAUTION, CLEAR, DECLINE, GRADES, NOTE, REINFORCE, severity
from enginelimits.rules.model import Compare, LimitName, Rule, leaves
from enginelimits.shop import Shop

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement

MAP = "forced_induction.compressor.map"
CLOSEST = 5


@dataclass(frozen=True)
class Judged:
    """A build file as read, with its verdict and the catalogue behind it."""

    written: Written
    judgement: Judgement
    catalogue: Catalogue
    mountain_m: float | None


def judged(
    path: str | Path, *, shop: Shop, rules: Sequence[Path] = (), samples: int = 64, seed: int = 1,
    as_of: date | None = None, mountain_m: float | None = None,
) -> Judged:  # fmt: skip
    """A build file read once and judged as ``check`` does.  Raises InputError, RuleError or SolveError."""
    written = read_build(path)
    return _judged(written, shop, rules, samples, seed, as_of, mountain_m)


def _judged(
    written: Written, shop: Shop, rules: Sequence[Path], samples: int, seed: int, as_of: date | None,
    mountain_m: float | None,
) -> Judged:  # fmt: skip
    catalogue = catalogue_of(shop, rules, as_of)
    build = parse_build(written.text, written.name)
    judgement = judge(build, catalogue, samples=samples, seed=seed, shop=shop, as_of=as_of, mountain_m=mountain_m)
    return Judged(written, judgement, catalogue, mountain_m)


def catalogue_of(shop: Shop, rules: Sequence[Path], as_of: date | None) -> Catalogue:
    """The catalogue with the shop's rules and those named laid over."""
    own = shop.place("rules")
    return load_catalogue(overlays=[*((own,) if own else ()), *rules], as_of=as_of)


def quote_draft(given: Judged, shown: Shown, customer_reference: str = "") -> QuoteDraft:
    """All that the record keeps of a judged build, with the verdict as it was shown."""
    judgement = given.judgement
    verdict = judgement.verdict
    engine = judgement.filled.get("engine.family")
    return QuoteDraft(
        name=_storable(judgement.name),
        engine=_storable(str(engine.value)) if engine is not None and engine.value else "",
        grade=verdict.grade,
        complete=verdict.complete,
        sentence=verdict.sentence,
        limiting=verdict.limiting.rule if verdict.limiting is not None else "",
        samples=judgement.samples_asked,
        seed=judgement.seed,
        mountain_m=given.mountain_m,
        summary=_summary(judgement),
        shown=shown,
        files=tuple(_files(given)),
        layers=tuple(KeptLayer(layer.name, layer.version, layer.digest) for layer in judgement.layers),
        findings=tuple(KeptFinding(f.rule, f.title, f.family, f.grade, f.chance) for f in judgement.findings),
        margins=_margins(given),
        customer_reference=customer_reference,
    )


def _storable(text: str) -> str:
    """A text that every database takes: YAML can write half a character, and a zero."""
    return text.encode("utf-8", "replace").decode().replace("\0", "?")


def _summary(judgement: Judgement) -> dict[str, Any]:
    """What the inputs rest on: how many of each basis, and the assumed ones that weigh most."""
    used = judgement.filled.inputs.values()
    asked, at = judgement.filled.get("goal.power"), judgement.filled.get("goal.at")
    return {
        "inputs": dict(sorted(Counter(one.basis for one in used).items())),
        "assumed_that_weigh_most": [one.path for one in weightiest(judgement)[:CLOSEST]],
        "power_asked": None if asked is None or asked.value is None else {"value": asked.value, "unit": asked.unit},
        "power_at": None if at is None else at.value,
    }


def _files(given: Judged) -> Iterable[KeptFile]:
    """The build file first, then the map that it names."""
    written = given.written
    yield KeptFile("build", _storable(written.name), hashlib.sha256(written.raw).hexdigest(), written.text)
    named = given.judgement.filled.get(MAP)
    if named is not None and isinstance(named.value, str):
        path = Path(written.name).parent / named.value
        try:
            raw = path.read_bytes()
        except OSError as error:
            # It was there a moment ago, when the build was judged.
            wanted, got = "the map file that was just read", error.strerror or str(error)
            raise InputError([Problem(wanted, got, file=str(path))]) from None
        yield KeptFile("map", named.value, hashlib.sha256(raw).hexdigest(), raw.decode("utf-8-sig", "replace"))


def _margins(given: Judged) -> tuple[KeptMargin, ...]:
    """How near the typical build is to every grade of every rule, met or not: what a review compares."""
    assessment, catalogue = given.judgement.assessment, given.catalogue
    outcomes = evaluate(catalogue, AssessmentGround(assessment), engine="plain").outcomes
    found: dict[tuple[str, str], KeptMargin] = {}
    for threshold in (NOTE, CAUTION, REINFORCE, DECLINE):
        for margin in margins(outcomes, assessment, threshold).values():
            kept = _kept(margin, catalogue.rules[margin.rule])
            if kept is not None:
                found.setdefault((margin.rule, margin.grade), kept)
    return tuple(found[key] for key in sorted(found, key=lambda key: (key[0], severity(key[1]))))


def _kept(margin: Margin, rule: Rule) -> KeptMargin | None:
    if margin.value is None or margin.limit is None:
        return None
    if not np.isfinite([margin.value, margin.limit, margin.ratio]).all():
        return None
    return KeptMargin(
        margin.rule, margin.title, margin.family, margin.grade, margin.quantity, margin.unit,
        margin.value, margin.limit, limit_name(rule, margin.grade, margin.quantity), margin.ratio,
    )  # fmt: skip


def limit_name(rule: Rule, grade: str, quantity: str) -> str:
    """The rule's limit that a quantity is held against for a grade; empty unless it is one and alone."""
    names = {
        leaf.against.name
        for given in rule.grades if given.grade == grade
        for leaf in leaves(given.when)
        if isinstance(leaf, Compare) and leaf.name == quantity and isinstance(leaf.against, LimitName)
    }
    return names.pop() if len(names) == 1 else ""


@dataclass(frozen=True, slots=True)
class FindingMoved:
    """A rule that says something else of the same build today; ``clear`` where it is silent."""

    rule: str
    title: str
    then: str
    today: str


@dataclass(frozen=True)
class Again:
    """The kept build judged by today's program, catalogue and shop."""

    judgement: Judgement
    tool_then: str
    same_rules: bool
    moved: tuple[FindingMoved, ...]

    @property
    def same(self) -> bool:
        """Whether today's verdict and findings are those of then."""
        return not self.moved


@contextmanager
def kept_build(whole: QuoteWhole) -> Iterator[Written]:
    """The build file as it was kept, with the map that it names beside it, in a folder that is gone afterwards."""
    with TemporaryDirectory() as folder:
        # The kept map stands in for the one on the disk, which may have changed since.
        name = Path(whole.build.name).name if whole.build.name not in ("-", "<stdin>") else "build.yaml"
        for file in whole.files:
            inside = Path(folder) / (file.name if file.role != "build" else name)
            if inside.resolve().is_relative_to(Path(folder).resolve()):
                inside.parent.mkdir(parents=True, exist_ok=True)
                inside.write_text(file.text, encoding="utf-8")
        try:
            yield Written(str(Path(folder) / name), whole.build.text.encode(), whole.build.text)
        except InputError as error:
            raise InputError(_renamed(error.problems, folder, whole.row.id)) from None


def judged_again(
    whole: QuoteWhole, *, shop: Shop, rules: Sequence[Path] = (), as_of: date | None = None
) -> Again:
    """The build as it was kept, judged by what holds today, with the same draws.  Raises InputError or SolveError."""
    row = whole.row
    with kept_build(whole) as written:
        today = _judged(written, shop, rules, row.samples, row.seed, as_of, row.mountain_m).judgement
    then = {f.rule: (f.title, f.grade) for f in row.findings}
    now = {f.rule: (f.title, f.grade) for f in today.findings}
    moved = [
        FindingMoved(rule, (now.get(rule) or then[rule])[0], was, becomes)
        for rule in {*then, *now}
        if (was := then.get(rule, ("", GRADES[CLEAR]))[1]) != (becomes := now.get(rule, ("", GRADES[CLEAR]))[1])
    ]
    moved.sort(key=lambda m: (-max(severity(m.then), severity(m.today)), m.rule))
    same = {(x.name, x.digest) for x in row.layers} == {(x.name, x.digest) for x in today.layers}
    return Again(today, row.signed.tool, same, tuple(moved))


def _renamed(problems: Iterable[Problem], folder: str, id: str) -> list[Problem]:
    """The problems under the quote's id in place of a folder that is gone."""
    return [replace(p, file=f"{id}, {Path(p.file).name}" if p.file.startswith(folder) else p.file) for p in problems]
