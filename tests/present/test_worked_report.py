"""The worked calculation as text and data: the numbers put in must come to the number shown."""

from __future__ import annotations

import json
import math

import pytest

from enginelimits.assessment.derivation import Argument, WorkedStep
from enginelimits.assessment.results import At
from enginelimits.decisions.verdict import Judgement
from enginelimits.errors import InputError
from enginelimits.present.jsonform import written
from enginelimits.present.text import report
from enginelimits.present.worked import place_of, put_in, si_text, worked_data, worked_tree

SPEED = 3000 * 2 * math.pi / 60
STEPS = [
    WorkedStep(
        gives="engine.mean_piston_speed",
        value=9.0,
        unit="m/s",
        meaning="Twice the stroke times the speed.",
        equation="stroke_m * speed_rad_s / pi",
        arguments=(
            Argument("stroke_m", "engine.stroke", 0.09, "m", "documented", "", ""),
            Argument("speed_rad_s", "engine.speed", SPEED, "rad/s", "computed", "", ""),
        ),
        source="heywood-1988, eq. 2.9",
        depth=0,
        status="ok",
    ),
    WorkedStep(
        gives="engine.speed",
        value=SPEED,
        unit="rad/s",
        meaning="Engine speed.",
        equation="limit_rad_s",
        arguments=(
            Argument("limit_rad_s", "engine.limiter", SPEED, "rad/s", "assumed", "common-practice", "four"),
        ),
        source="common-practice",
        depth=1,
        status="ok",
    ),
]


def test_numbers_put_in_come_to_the_result() -> None:
    # Heywood 1988, eq. 2.9, mean piston speed = 2 L N: 2 x 0.09 m x 50 1/s = 9 m/s.
    filled = put_in("stroke_m * speed_rad_s / pi", {"stroke_m": 0.09, "speed_rad_s": SPEED})
    assert eval(filled, {"pi": math.pi}) == pytest.approx(9.0, rel=1e-5)


def test_a_name_inside_another_is_left_alone() -> None:
    assert put_in("bore_m + rebore_m + bore_m2", {"bore_m": 1.0}) == "1 + rebore_m + bore_m2"


def test_powers_of_ten_and_attributes_are_no_names() -> None:
    assert put_in("1e5 * e5 + np.e", {"e5": 2.0, "e": 3.0}) == "1e5 * 2 + np.e"


def test_what_is_assigned_or_called_keeps_its_name() -> None:
    equation = "r = stroke / 2\nforce = f(r) * stroke"
    assert put_in(equation, {"stroke": 0.1, "f": 9.0, "force": 1.0}) == "r = 0.1 / 2\nforce = f(r) * 0.1"


def test_a_comparison_is_no_assignment() -> None:
    assert put_in("a == b", {"a": 1.0, "b": 2.0}) == "1 == 2"


def test_negative_numbers_stand_in_brackets() -> None:
    assert put_in("a - b", {"a": 1.5, "b": -2.0}) == "1.5 - (-2)"


def test_six_digits_and_unknown() -> None:
    assert si_text(1234567.0) == "1.23457e+06"
    assert si_text(math.nan) == "unknown"


def test_report_reads_back_to_the_inputs() -> None:
    text = report(worked_tree("a build", STEPS, "at 3000 rpm"), width=100)
    rows = [row.strip() for row in text.splitlines()]
    assert rows[0] == "a build"
    assert rows[1].startswith("engine.mean_piston_speed = 9.0 m/s, at 3000 rpm.")
    for row in (
        "stroke_m * speed_rad_s / pi",
        "= 0.09 * 314.159 / pi",
        "= 9 m/s",
        "Source: heywood-1988, eq. 2.9",
        "stroke_m     90.00 mm  engine.stroke, documented",
        "speed_rad_s  3000 rpm  engine.speed, step 2",
        "2. engine.speed = 3000 rpm",
        "limit_rad_s  3000 rpm  engine.limiter, assumed, four, common-practice",
    ):
        assert row in rows


def test_a_solver_told_in_words_takes_no_numbers() -> None:
    words = "Solved: the boost_pa at which\nboth sides agree."
    solver = WorkedStep(
        "a.b", 2.0, "1", "", words, (Argument("boost_pa", "c.d", 5.0, "Pa", "computed", "", ""),), "", 0, "ok"
    )
    assert "Solved: the boost_pa at which both sides agree." in report(worked_tree("x", [solver], ""))
    assert worked_data("x", None, [solver])["steps"][0]["put_in"] is None


def test_an_argument_over_the_crank_is_no_unknown() -> None:
    step = WorkedStep(
        "a.b", 2.0, "1", "", "c_pa", (Argument("c_pa", "c.d", None, "Pa", "computed", "", ""),), "", 0, "ok"
    )
    assert "c_pa      over the cycle  c.d, computed" in report(worked_tree("x", [step], ""))


def test_a_step_that_has_no_number_says_why() -> None:
    lacking = WorkedStep(
        "x.y", None, "1", "A thing.", "a / b", (), "", 0, "cannot compute: needs engine.bore"
    )
    text = report(worked_tree("a build", [lacking], ""), width=80)
    assert "x.y = cannot compute: needs engine.bore" in text
    assert "unknown" not in text


def test_data_carries_the_same_steps() -> None:
    data = json.loads(written(worked_data("a build", At(SPEED, "site"), STEPS)))
    assert data["schema"] == "enginelimits.why/1"
    assert data["value"] == 9.0
    assert [step["gives"] for step in data["steps"]] == ["engine.mean_piston_speed", "engine.speed"]
    assert data["steps"][0]["put_in"] == "0.09 * 314.159 / pi"
    assert data["steps"][1]["arguments"][0]["basis"] == "assumed"


@pytest.mark.parametrize("width", [40, 80])
def test_it_fits_a_narrow_screen(width: int) -> None:
    text = report(worked_tree("a build", STEPS, "at 3000 rpm"), width=width)
    assert max(map(len, text.splitlines())) <= width


def test_place_is_the_nearest_computed_speed(judgement: Judgement) -> None:
    rpm = 2 * math.pi / 60
    place = place_of(judgement.assessment, "cylinder.peak_pressure", 4700 * rpm)
    assert place == At(4500 * rpm, "hot day")
    governs = place_of(judgement.assessment, "cylinder.peak_pressure", None)
    assert governs == At(4500 * rpm, "hot day")


@pytest.mark.parametrize("speed_rpm", [1000, 7200])
def test_a_speed_beyond_those_computed_is_refused(judgement: Judgement, speed_rpm: float) -> None:
    with pytest.raises(InputError, match="2500 rpm to 7000 rpm"):
        place_of(judgement.assessment, "cylinder.peak_pressure", speed_rpm * 2 * math.pi / 60)
