"""The worked cases: each build judged and held against what was written down before it was run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import yaml

from enginelimits.decisions.judge import DEFAULT_SAMPLES, judge
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.load import load_build
from enginelimits.errors import InputError, Problem
from enginelimits.rules.catalogue import Catalogue, checkout_folder, load_catalogue
from enginelimits.rules.grades import severity
from enginelimits.units.grammar import excerpt, split
from enginelimits.units.registry import to_si


@dataclass(frozen=True, slots=True)
class Expectation:
    """One line of what is expected, with the reason that stood before the run."""

    says: str
    because: str
    held: bool
    got: str


@dataclass(frozen=True)
class CaseResult:
    """One case: its folder, its judgement and every expectation."""

    name: str
    judgement: Judgement
    expectations: tuple[Expectation, ...]

    @property
    def held(self) -> bool:
        return all(e.held for e in self.expectations)


def run_cases(
    root: Path | None = None, *, catalogue: Catalogue | None = None, samples: int = DEFAULT_SAMPLES,
    only: Sequence[str] = (),
) -> list[CaseResult]:
    """Judge every case under ``root`` (the shipped ones by default) and hold it against its expectations."""
    root = root or checkout_folder("cases")
    catalogue = catalogue or load_catalogue()
    folders = sorted(p.parent for p in root.glob("*/build.yaml"))
    if not folders:
        raise InputError([Problem("a folder of cases, each with build.yaml", str(root), file=str(root),
                                  mend="Name a folder that holds them.")])
    names = [folder.name for folder in folders]
    unknown = [name for name in only if name not in names]
    if unknown:
        near = tuple(get_close_matches(unknown[0], names, n=3))
        raise InputError([Problem("the name of a case", excerpt(unknown[0]), f"There is: {', '.join(names)}.", "NAME",
                                  str(root), near=near)])
    return [run_case(f, catalogue, samples) for f in folders if not only or f.name in only]


def run_case(folder: Path, catalogue: Catalogue, samples: int = DEFAULT_SAMPLES) -> CaseResult:
    """Judge one case."""
    judgement = judge(load_build(folder / "build.yaml"), catalogue, samples=samples)
    with (folder / "expected.yaml").open(encoding="utf-8") as file:
        expected = yaml.safe_load(file)
    return CaseResult(folder.name, judgement, tuple(_held(expected, judgement)))


def _held(expected: Mapping[str, Any], judgement: Judgement) -> Iterable[Expectation]:
    grades = {f.rule: f.grade for f in judgement.findings}
    families: dict[str, str] = {}
    for f in judgement.findings:
        families[f.family] = max(families.get(f.family, "clear"), f.grade, key=severity)
    verdict = expected.get("verdict", {})
    if verdict:
        yield _between("verdict", judgement.verdict.grade, verdict)
    for line in expected.get("must", ()):
        yield _must(line, grades, families)
    for line in expected.get("must_not", ()):
        name, grade = _spoken_of(line, grades, families)
        limit = line.get("at_least", "note")
        yield Expectation(f"{name} not {limit} or worse", line["because"],
                          severity(grade) < severity(limit), grade)
    for line in expected.get("quantities", ()):
        yield _quantity(line, judgement)


def _spoken_of(
    line: Mapping[str, Any], grades: Mapping[str, str], families: Mapping[str, str]
) -> tuple[str, str]:
    if "rule" in line:
        return line["rule"], grades.get(line["rule"], "clear")
    return f"family {line['family']}", families.get(line["family"], "clear")


def _must(line: Mapping[str, Any], grades: Mapping[str, str], families: Mapping[str, str]) -> Expectation:
    name, grade = _spoken_of(line, grades, families)
    if "grade" in line:
        return Expectation(f"{name} is {line['grade']}", line["because"], grade == line["grade"], grade)
    return _between(name, grade, line)


def _between(name: str, grade: str, line: Mapping[str, Any]) -> Expectation:
    low, high = line.get("at_least", "clear"), line.get("at_most", "decline")
    held = severity(low) <= severity(grade) <= severity(high)
    return Expectation(f"{name} between {low} and {high}", line.get("because", ""), held, grade)


def _quantity(line: Mapping[str, Any], judgement: Judgement) -> Expectation:
    low, high = (_si(text) for text in line["between"])
    result = judgement.assessment.quantities.get(line["id"])
    if result is None:
        near = tuple(get_close_matches(line["id"], judgement.assessment.quantities, n=3))
        raise InputError([Problem("a quantity of the vocabulary", line["id"], key="quantities",
                                  file="expected.yaml", near=near)])
    held = result.value is not None and low <= result.value <= high
    got = result.status if result.value is None else f"{result.value:.6g} {result.unit}"
    return Expectation(f"{line['id']} between {line['between'][0]} and {line['between'][1]}",
                       line["because"], held, got)


def _si(text: Any) -> float:
    written = split(str(text))
    if written.value is None:
        raise InputError([Problem("a number with its unit", str(text), file="expected.yaml")])
    return to_si(written.value, written.unit) if written.unit else written.value
