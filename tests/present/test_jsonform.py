"""The JSON of a verdict: the names that other people's scripts stand on, and no number that is none."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from enginelimits.assessment.results import Curve, QuantityResult
from enginelimits.decisions.verdict import Judgement
from enginelimits.present.jsonform import check, checks, written


def parsed(judgement: Judgement) -> Any:
    return json.loads(written(check(judgement)))


def test_top_level_names(judgement: Judgement) -> None:
    data = parsed(judgement)
    assert data["schema"] == "enginelimits.check/1"
    assert set(data) == {
        "schema",
        "version",
        "catalogue",
        "inference",
        "samples",
        "as_of",
        "ambients",
        "shop_values",
        "build",
        "quantities",
        "curve",
        "findings",
        "not_judged",
        "out_of_range",
        "not_applicable",
        "verdict",
        "notices",
    }
    assert data["catalogue"] == {"layers": [{"name": "base", "version": "0.1.0", "digest": "abc123"}]}
    assert data["samples"].items() >= {"asked": 64, "valid": 62, "seed": 1}.items()
    # of one in ten of 62 draws: sqrt(0.1 * 0.9 / 62)
    assert data["samples"]["tail_error"] == pytest.approx(0.0381, abs=5e-5)
    assert data["samples"]["limits"] == {"drawn": 0, "spread": None}
    assert data["as_of"] == "2026-11-25"


def test_inputs_stand_by_their_path_with_kind_and_curve(judgement: Judgement) -> None:
    build = parsed(judgement)["build"]
    assert build["name"] == "weekend coupe, stage two"
    assert build["internals.rods.shank_area"] == {
        "value": 140e-6,
        "unit": "m^2",
        "low": 115e-6,
        "high": 165e-6,
        "basis": "assumed",
        "source": "common-practice",
        "class": "light-forged-steel",
    }
    assert build["fuel.octane"]["kind"] == "RON"
    assert build["internals.condition.leak_down"]["value"] == [0.04, 0.05, 0.04, 0.06]
    boost = build["forced_induction.boost"]
    assert boost["kind"] == "gauge"
    assert [point["value"] for point in boost["value"]] == [50000.0, 68948.0]
    assert boost["value"][0]["at"] == pytest.approx(261.799, abs=5e-4)  # 2500 rpm x 2 pi / 60


def test_quantities_keep_their_place_and_their_reason(judgement: Judgement) -> None:
    quantities = parsed(judgement)["quantities"]
    peak = quantities["cylinder.peak_pressure"]
    assert peak["at"]["ambient"] == "hot day"
    assert peak["at"]["engine_speed"] == pytest.approx(471.239, abs=5e-4)  # 4500 rpm x 2 pi / 60
    assert quantities["pump.lift_use"] == {
        "value": None,
        "unit": "1",
        "low": None,
        "high": None,
        "at": None,
        "basis": "assumed",
        "status": "cannot compute",
        "reason": "needs fuel_system.lift_pump.flow",
    }


def test_curve_keeps_unknown_entries(judgement: Judgement) -> None:
    curve = parsed(judgement)["curve"]
    assert len(curve["engine_speed"]["values"]) == 3
    assert curve["crank.power"] == {
        "unit": "W",
        "values": [50000.0, None, 152000.0],
        "low": [47000.0, None, 145000.0],
        "high": None,
    }


def test_finding_names_what_it_stands_on_by_kind(judgement: Judgement) -> None:
    finding = parsed(judgement)["findings"][0]
    for name in (
        "rule",
        "title",
        "grade",
        "uncapped",
        "could_be",
        "chance",
        "chances",
        "message",
        "why",
        "because",
        "remedies",
        "sources",
        "evidence",
        "confidence",
        "settled_by",
    ):
        assert name in finding
    because = finding["because"][0]
    assert because["quantity"] == "brake.mean_effective_pressure"
    assert set(because) == {"quantity", "value", "unit", "at", "limit"}
    assert because["limit"] == {
        "name": "reinforce_mep",
        "value": 2.15e6,
        "unit": "Pa",
        "sense": "above",
        "layer": "base",
        "shipped_value": 2.15e6,
        "low": None,
        "high": None,
    }
    assert finding["remedies"][0]["steps"] == [
        [{"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"}]
    ]


def test_verdict_and_notices(judgement: Judgement) -> None:
    data = parsed(judgement)
    assert data["verdict"]["limiting"] == {"rule": "ROD003", "quantity": "brake.mean_effective_pressure"}
    assert data["verdict"]["complete"] is False
    assert data["notices"][-1] == "Which power is meant, and on which dyno?"
    assert data["not_judged"][0]["missing"] == ["vehicle.tyre"]


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, np.float64("nan")])
def test_a_number_that_is_none_becomes_null(judgement: Judgement, bad: float) -> None:
    result = QuantityResult("air.boost", "Pa", bad, bad, bad, None, "assumed", "ok")
    curve = Curve("air.boost", "Pa", (bad, 1.0), (bad, bad), None)
    assessment = replace(judgement.assessment, quantities={"air.boost": result}, curves={"air.boost": curve})
    finding = replace(judgement.findings[0], chance=bad, chances={"caution": bad})
    text = written(check(replace(judgement, assessment=assessment, findings=(finding,))))
    data = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))
    assert data["quantities"]["air.boost"]["value"] is None
    assert data["curve"]["air.boost"]["values"] == [None, 1.0]
    assert data["findings"][0]["chance"] is None


def test_several_builds_are_wrapped(judgement: Judgement) -> None:
    data = checks([judgement, judgement], [{"file": "broken.yaml", "problems": ["wanted a bore"]}])
    assert data["schema"] == "enginelimits.checks/1"
    assert [one["schema"] for one in data["checks"]] == ["enginelimits.check/1"] * 2
    assert data["failed"][0]["file"] == "broken.yaml"
