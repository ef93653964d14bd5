"""An engine on methanol alone is judged as one on alcohol, and not as one on the gasoline that its tank does not hold.

Methanol burns with 6.47 times its mass of air by its formula, CH4O: 1.5 (32.00 + 3.773 x 28.01) / 32.04; drag racing
runs it near lambda 0.75 (common practice), where that is 4.9.
"""

from __future__ import annotations

import pytest

from enginelimits.decisions.judge import judge
from enginelimits.description.load import parse_build
from enginelimits.rules.catalogue import load_catalogue

BUILD = """
build: invented
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 12, redline: 7000 rpm, injection: port}
forced_induction: {kind: turbocharger, boost: 15 psi, intercooler: none}
fuel: {octane: 98 RON, gasoline_ethanol: 0 %, ethanol: 0 %, methanol: 100 %, lambda_target: 0.75}
"""


@pytest.fixture(scope="module")
def judged():
    return judge(parse_build(BUILD), load_catalogue(), samples=0)


def test_it_lies_within_the_range_of_every_formula(judged):
    ratio = judged.assessment.quantities["fuel.air_fuel_ratio"]
    assert ratio.value == pytest.approx(6.47 * 0.75, rel=0.01)
    assert judged.assessment.quantities["crank.power"].status == "ok"
    assert not judged.out_of_range


def test_bands_of_gasoline_are_not_its_own(judged):
    of_gasoline = {"KNK001", "KNK002", "KNK006", "FUL009"}
    assert of_gasoline <= {f.rule for f in judged.not_applicable}
    told = {r.id for f in judged.findings for r in f.remedies}
    assert not told & {"better-gasoline", "mid-ethanol-blend", "ethanol-fuel"}


def test_who_handles_it_is_warned_of_poison_and_of_a_flame_that_is_not_seen(judged):
    (told,) = [notice for notice in judged.notices if notice.startswith("Methanol")]
    assert "skin" in told and "unseen" in told
    assert not any(notice.startswith("Ethanol") for notice in judged.notices)
    gasoline = judge(parse_build(BUILD.replace("methanol: 100 %", "methanol: 3 %")), load_catalogue(), samples=0)
    assert not any("ethanol" in notice for notice in gasoline.notices)
