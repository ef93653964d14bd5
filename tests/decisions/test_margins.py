"""How near a rule is to a grade: of several comparisons that it waits for, the one that says so."""

from __future__ import annotations

from functools import cache

import pytest

from enginelimits.decisions.judge import judged_and_evaluated
from enginelimits.decisions.margins import margins
from enginelimits.description.load import parse_build
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.grades import REINFORCE
from enginelimits.units.constants import ZERO_CELSIUS

# Boost just under the 4 psi and 5 psi from which rules on heat, wheel speed and mixture speak at all
BUILD = """
build: mild boost, compressor not known
engine: {cylinders: 4, bore: 82 mm, stroke: 85 mm, compression_ratio: 10.5, redline: 6800 rpm}
forced_induction: {kind: turbocharger, boost: 3.8 psi}
fuel: {octane: 95 RON, lambda_target: 0.80}
"""


@cache
def found():
    build = parse_build(BUILD, "build.yaml")
    judgement, evaluation = judged_and_evaluated(build, load_catalogue(), samples=0)
    return judgement, margins(evaluation.outcomes, judgement.assessment, REINFORCE)


def test_a_charge_far_from_its_limit_is_not_near_it_for_enough_boost():
    # 50 degC against 65 is three quarters of the way; as kelvin it would be 95 % and boost would seem the lesser
    margin = found()[1]["HET001"]
    assert margin.quantity == "charge.temperature_end_of_pull"
    degrees = margin.value - ZERO_CELSIUS
    assert margin.ratio == pytest.approx(degrees / 65.0, abs=1e-3) and margin.ratio < 0.85


def test_a_wheel_whose_speed_is_not_known_has_no_margin_by_its_boost():
    judgement, by_rule = found()
    assert judgement.assessment.quantities["compressor.speed_use"].value is None
    assert "AIR007" not in by_rule


def test_a_mixture_as_rich_as_asked_for_is_not_made_lean_by_boost():
    # 0.80 is well richer than the 0.88 from which boost wants it richer (common practice, no source)
    assert "FUL010" not in found()[1]
