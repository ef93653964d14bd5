"""A judgement as plain data for other programs: SI throughout, null for what is not known."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.verdict import Because, Finding, Judgement, NotJudged
from enginelimits.present.ambients import ambients_data
from enginelimits.present.values import finite

if TYPE_CHECKING:
    from enginelimits.assessment.results import Assessment, At, QuantityResult
    from enginelimits.description.filled import Input

CHECK = "enginelimits.check/1"
CHECKS = "enginelimits.checks/1"


def written(data: Any) -> str:
    """Data as JSON text that ends in a newline.  A number that is not finite cannot get through."""
    return json.dumps(finite(data), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def checks(judgements: Sequence[Judgement], failed: Sequence[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """Several builds in one object, with those that could not be checked."""
    data: dict[str, Any] = {
        "schema": CHECKS,
        "version": __version__,
        "checks": [check(j) for j in judgements],
    }
    if failed:
        data["failed"] = [dict(entry) for entry in failed]
    return data


def check(judgement: Judgement) -> dict[str, Any]:
    """One judged build."""
    assessment = judgement.assessment
    verdict = judgement.verdict
    limiting = verdict.limiting
    return {
        "schema": CHECK,
        "version": __version__,
        "catalogue": {
            "layers": [
                {"name": layer.name, "version": layer.version, "digest": layer.digest}
                for layer in judgement.layers
            ]
        },
        "inference": judgement.inference,
        "samples": {
            "asked": judgement.samples_asked,
            "valid": judgement.samples_valid,
            "seed": judgement.seed,
            **sureness_data(judgement),
        },
        "ambients": ambients_data(assessment),
        "as_of": judgement.as_of,
        "build": {"name": judgement.name, **inputs(judgement.filled.inputs.values())},
        "quantities": {id_: _quantity(result) for id_, result in assessment.quantities.items()},
        "curve": _curve(assessment),
        "findings": [_finding(finding) for finding in judgement.findings],
        "not_judged": _silent(judgement.not_judged),
        "out_of_range": _silent(judgement.out_of_range),
        "not_applicable": _silent(judgement.not_applicable),
        "verdict": {
            "grade": verdict.grade,
            "complete": verdict.complete,
            "open": list(verdict.open),
            "limiting": None if limiting is None else {"rule": limiting.rule, "quantity": limiting.quantity},
            "sentence": verdict.sentence,
        },
        "shop_values": list(judgement.shop_values),
        "notices": [*judgement.notices, *judgement.questions],
    }


def sureness_data(judgement: Judgement) -> dict[str, Any]:
    """How sure the draws are, as standard errors, and how limits were drawn."""
    from enginelimits.decisions.settling import sureness
    from enginelimits.rules.doubt import SHARES

    sure = sureness(judgement)
    return {
        "chance_error": finite(sure.chance),
        "tail_error": finite(sure.tail),
        "power_error": {"unit": "W", "low": finite(sure.low), "high": finite(sure.high)},
        "limits": {"drawn": judgement.limits_drawn, "spread": dict(SHARES) if judgement.limits_drawn else None},
    }


def inputs(given: Iterable[Input]) -> dict[str, Any]:
    """Every input as used, by its path."""
    return {one.path: _input(one) for one in sorted(given, key=lambda one: one.path)}


def _input(given: Input) -> dict[str, Any]:
    value: Any = given.value
    low: Any = given.low
    high: Any = given.high
    if isinstance(value, tuple) and given.points:
        low = [p.value if p.low is None else p.low for p in given.points]
        high = [p.value if p.high is None else p.high for p in given.points]
    if given.curve is not None:
        value = [{"at": speed, "value": at} for speed, at in given.curve]
        for told, point in zip(value, given.points, strict=False):
            if point.low is not None and point.high is not None:
                told |= {"low": point.low, "high": point.high}
    data = {
        "value": finite(value),
        "unit": given.unit,
        "low": finite(low),
        "high": finite(high),
        "basis": given.basis,
        "source": given.source,
    }
    if given.kind:
        data["kind"] = given.kind
    if given.note:
        data["note"] = given.note
    if given.together:
        data["together"] = given.together
    if given.from_class:
        data["class"] = given.from_class
    if given.probability is not None:
        data["probability"] = given.probability
    return data


def place_data(at: At | None) -> dict[str, Any] | None:
    """Where on the map something was taken."""
    return None if at is None else {"engine_speed": at.engine_speed, "ambient": at.ambient}


def _quantity(result: QuantityResult) -> dict[str, Any]:
    return {
        "value": finite(result.value),
        "unit": result.unit,
        "low": finite(result.low),
        "high": finite(result.high),
        "at": place_data(result.at),
        "basis": result.basis,
        "status": result.status,
        "reason": result.reason,
    }


def _curve(assessment: Assessment) -> dict[str, Any]:
    data: dict[str, Any] = {"engine_speed": {"unit": "rad/s", "values": list(assessment.speeds)}}
    for id_, curve in assessment.curves.items():
        data[id_] = {
            "unit": curve.unit,
            "values": finite(curve.values),
            "low": finite(curve.low),
            "high": finite(curve.high),
        }
    return data


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "title": finding.title,
        "family": finding.family,
        "grade": finding.grade,
        "uncapped": finding.uncapped,
        "could_be": finding.could_be,
        "missing": list(finding.missing),
        "chance": finite(finding.chance),
        "chance_error": finite(finding.chance_error),
        "chances": finite(dict(finding.chances)),
        "chance_word": finding.chance_word,
        "borderline": finding.borderline,
        "message": finding.message,
        "why": finding.why,
        "because": [_because(because) for because in finding.because],
        "remedies": [
            {
                "id": remedy.id,
                "kind": remedy.kind,
                "say": remedy.say,
                "steps": [[dict(edit) for edit in step] for step in remedy.steps],
                "shifts": remedy.shifts,
            }
            for remedy in finding.remedies
        ],
        "caveats": list(finding.caveats),
        "sources": [dict(source) for source in finding.sources],
        "evidence": finding.evidence,
        "confidence": finding.confidence,
        "settled_by": finding.settled_by,
    }


def _because(because: Because) -> dict[str, Any]:
    limit = because.limit
    return {
        because.kind: because.name,
        "value": finite(because.value),
        "unit": because.unit,
        "at": place_data(because.at),
        "limit": None
        if limit is None
        else {
            "name": limit.name,
            "value": finite(limit.value),
            "unit": limit.unit,
            "sense": limit.sense,
            "layer": limit.layer,
            "shipped_value": finite(limit.shipped_value),
            "low": finite(limit.low),
            "high": finite(limit.high),
        },
    }


def _silent(rules: Sequence[NotJudged]) -> list[dict[str, Any]]:
    return [
        {"rule": rule.rule, "title": rule.title, "missing": list(rule.missing), "reason": rule.reason}
        for rule in rules
    ]
