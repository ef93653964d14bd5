"""Findings and lint problems in SARIF 2.1.0 (OASIS, 2020), which code hosts and editors show beside the file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from enginelimits import __version__
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.description.paths import place
from enginelimits.errors import Problem
from enginelimits.rules.catalogue import Catalogue, shown_path
from enginelimits.rules.grades import severity

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
LINT_RULE = "catalogue"
# SARIF has three levels for what fails; a note asks for nothing
LEVELS = {"clear": "none", "note": "note", "caution": "warning", "reinforce": "error", "decline": "error"}


def check_sarif(judgements: Sequence[Judgement], failed: Sequence[tuple[str, str]] = ()) -> dict[str, Any]:
    """Builds that were judged, one result a finding, at the line of the build file that it leans on.

    ``failed`` tells of files that could not be checked, and why.
    """
    found = {f.rule: f for judgement in judgements for f in judgement.findings}
    told = [found[id_] for id_ in sorted(found)]
    index = {finding.rule: number for number, finding in enumerate(told)}
    results = [
        _result(judgement, finding, index) for judgement in judgements for finding in judgement.findings
    ]
    return _log([_descriptor(finding) for finding in told], results, failed)


def lint_sarif(problems: Iterable[Problem], catalogue: Catalogue) -> dict[str, Any]:
    """What lint found in rule files, each at its line."""
    home = str(catalogue.layers[0].folder) if catalogue.layers else "."
    results = []
    for problem in problems:
        words = str(Problem(problem.wanted, problem.got, problem.mend, near=problem.near)).removeprefix("input: ")
        results.append({
            "ruleId": LINT_RULE,
            "level": "error",
            "message": {"text": f"{problem.key}: {words}" if problem.key else words},
            "locations": [_location(problem.file or home, problem.line, problem.column)],
        })
    about = {"id": LINT_RULE, "shortDescription": {"text": "Loose ends of the catalogue of rules."}}
    return _log([about], results)


def _result(judgement: Judgement, finding: Finding, index: dict[str, int]) -> dict[str, Any]:
    build = judgement.filled.build
    paths = [because.name for because in finding.because if because.kind == "input"]
    found = next((at for path in paths if (at := place(build, path)) is not None), None)
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": LEVELS[finding.grade],
        "message": {"text": finding.message},
        "locations": [_location(build.file or "build", found.line if found else 1, found.column if found else None)],
        "rank": 25.0 * severity(finding.grade),
        "properties": {
            "grade": finding.grade,
            "build": judgement.name,
            "confidence": finding.confidence,
            "evidence": finding.evidence,
            **({"chance": finding.chance} if finding.chance is not None else {}),
        },
    }
    if finding.rule in index:
        result["ruleIndex"] = index[finding.rule]
    return result


def _descriptor(finding: Finding) -> dict[str, Any]:
    about = {
        "id": finding.rule,
        "name": finding.title,
        "shortDescription": {"text": f"{finding.title}."},
        "properties": {"tags": [finding.family]},
    }
    if finding.why:
        about["fullDescription"] = {"text": finding.why}
    if finding.settled_by:
        about["help"] = {"text": f"Settled by: {finding.settled_by}"}
    return about


def _location(file: str, line: int | None, column: int | None) -> dict[str, Any]:
    physical: dict[str, Any] = {"artifactLocation": {"uri": _uri(file)}}
    if line is not None:
        physical["region"] = {"startLine": line, **({"startColumn": column} if column is not None else {})}
    return {"physicalLocation": physical}


def _uri(file: str) -> str:
    """A file as a relative reference where it lies below the current folder, else as its whole address."""
    shown = Path(shown_path(Path(file)))
    return shown.as_uri() if shown.is_absolute() else quote(shown.as_posix())


def _log(
    rules: list[dict[str, Any]], results: list[dict[str, Any]], failed: Sequence[tuple[str, str]] = ()
) -> dict[str, Any]:
    driver = {"name": "enginelimits", "version": __version__, "rules": rules}
    told = [
        {"level": "error", "message": {"text": words}, "locations": [_location(file, None, None)]}
        for file, words in failed
    ]
    invocation: dict[str, Any] = {"executionSuccessful": not told}
    if told:
        invocation["toolExecutionNotifications"] = told
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": driver},
                "invocations": [invocation],
                "columnKind": "unicodeCodePoints",
                "results": results,
            }
        ],
    }
