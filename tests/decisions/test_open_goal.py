"""A goal that could mean several powers is asked about and judged by none of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from enginelimits.decisions.judge import judge
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.load import parse_build
from enginelimits.shop import read_shop

BUILD = """
build: a goal left open
goal: {power: 200 hp%s, correction: none, use: street}
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.0, redline: 7000 rpm}
forced_induction: {kind: turbocharger, boost: 8 psi}
"""
QUESTION = "Which power is meant, at the crank or at the wheels, and on which kind of dyno?"


@cache
def judged(goal: str, shop: Path | None = None) -> Judgement:
    return judge(parse_build(BUILD % goal), samples=0, shop=read_shop(shop) if shop else None)


@pytest.mark.parametrize(("goal", "lacking"), [("", ("goal.at",)), (", at: wheels", ("goal.dyno",))])
def test_open_goal_is_asked_about_and_not_judged(goal: str, lacking: tuple[str, ...]) -> None:
    found = judged(goal)
    assert QUESTION in found.questions
    silent = {rule.rule: rule.missing for rule in found.not_judged}
    assert silent["GOL001"] == lacking
    assert not found.verdict.complete
    for id_ in ("wheel.power", "wheel.torque", "goal.power_reach"):
        assert found.assessment.quantities[id_].status == "cannot compute", id_


@pytest.mark.parametrize("goal", [", at: crank", ", at: wheels, dyno: hub"])
def test_closed_goal_is_judged(goal: str) -> None:
    found = judged(goal)
    assert QUESTION not in found.questions
    assert "GOL001" not in {rule.rule for rule in found.not_judged}


def test_shop_that_names_its_dyno_means_its_own(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text("dyno: inertia\n", encoding="utf-8")
    found = judged(", at: wheels", tmp_path)
    dyno = found.filled.inputs["goal.dyno"]
    assert (dyno.value, dyno.source) == ("inertia", "shop")
    assert QUESTION not in found.questions
    assert found.assessment.quantities["goal.power_reach"].status == "ok"
    assert judged("", tmp_path).assessment.quantities["wheel.power"].status == "cannot compute"
