"""Steps of boost are what `check` says at that boost, and power rises with it until the machine is at its end."""

from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.decisions.bench import Bench, bench_of
from enginelimits.decisions.judge import judge
from enginelimits.decisions.ladder import ladder
from enginelimits.description.edits import edited
from enginelimits.description.load import load_build
from enginelimits.rules.grades import severity

CASES = Path(__file__).parents[2] / "cases"
SMALL = CASES / "small-turbo-1800" / "build.yaml"
ASKED = ((2000, 4.0), (3000, 7.0), (4000, 7.5), (7000, 7.5))  # psi by rpm, as the case asks


def by_hand(scale: float) -> list[dict[str, object]]:
    if scale == 1.0:
        return []
    return [{"set": "forced_induction.boost", "to": {f"{rpm} rpm": f"{psi * scale:.9f} psi" for rpm, psi in ASKED}}]


def built(edits: list[dict[str, object]]):
    build = load_build(SMALL)
    return edited(build, edits) if edits else build


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_of(SMALL, samples=0)


@pytest.fixture(scope="module")
def climbed(bench):
    return ladder(bench, steps=6)


def test_steps_go_from_none_through_the_boost_asked_for_to_a_quarter_more(climbed):
    assert [rung.trial.scale for rung in climbed.rungs] == pytest.approx([0, 0.25, 0.5, 0.75, 1, 1.25])
    assert climbed.end == "top" and climbed.goal_passed


def test_power_and_torque_rise_with_boost(climbed):
    powers = [rung.trial.crank.value for rung in climbed.rungs]
    torques = [rung.trial.assessment.quantities["crank.torque"].value for rung in climbed.rungs]
    assert powers == sorted(powers) and torques == sorted(torques)


def test_without_boost_the_engine_is_nearly_the_makers(climbed):
    # The maker's 145 hp, less a rich mixture, the turbine in the way and retard kept in reserve: 85 to 100 %.
    assert 0.85 < climbed.rungs[0].trial.crank.value / (145 * 745.69987) < 1.0


def test_power_goes_with_absolute_manifold_pressure(climbed):
    # Common practice, no source: power as (barometer + boost) over barometer, to a tenth.
    gain = climbed.rungs[4].trial.crank.value / climbed.rungs[0].trial.crank.value
    assert gain == pytest.approx((14.5 + 7.5) / 14.5, rel=0.1)


@pytest.mark.parametrize("number", [3, 5])
def test_first_limits_are_those_that_check_names_there(bench, climbed, number):
    scale = (0.0, 0.25, 0.5, 0.75, 1.0, 1.25)[number]
    checked = judge(built(by_hand(scale)), bench.catalogue, samples=0)
    before = judge(built(by_hand(scale - 0.25)), bench.catalogue, samples=0)
    lower = {f.rule: f.grade for f in before.findings}
    risen = [f for f in checked.findings
             if f.rule != "GOL001" and severity(f.grade) > severity(lower.get(f.rule, "clear"))]
    reached = climbed.rungs[number].reached
    assert {(r.finding.rule, r.finding.grade) for r in reached} == {(f.rule, f.grade) for f in risen}
    first = climbed.rungs[number].first
    assert severity(first.finding.grade) == max(severity(f.grade) for f in risen)
    assert first.finding.remedies


def test_the_goal_not_reached_is_no_limit_of_boost(climbed):
    assert all(r.finding.rule != "GOL001" for rung in climbed.rungs for r in rung.reached)


def test_a_spring_that_holds_more_is_told_beside_the_steps_and_is_no_limit_of_boost(bench):
    # The case's gate has a spring of 6 psi: on steps below, it holds more than is asked, which less boost cannot lift.
    assert "AIR021" in {f.rule for f in judge(built(by_hand(0.25)), bench.catalogue, samples=0).findings}
    found = ladder(bench, steps=5)
    assert all(r.finding.rule != "AIR021" for rung in found.rungs for r in rung.reached)
    assert found.spring_pa == pytest.approx(6 * 6894.757, rel=1e-6)


def test_margins_pass_one_where_the_finding_comes(climbed):
    for rung in climbed.rungs:
        graded = {f.rule: f.grade for f in rung.trial.judgement.findings}
        margin = rung.margins["DRV001"]
        assert (margin.ratio > 1.0) == (severity(graded.get("DRV001", "clear")) >= severity("reinforce"))
        # clutch.reserve is capacity over torque: the ratio is the limit over it
        assert margin.ratio == pytest.approx(margin.limit / margin.value)


def test_torque_is_told_at_the_highest_step_that_is_clear(climbed):
    assert climbed.clear is not None
    at, above = climbed.rungs[climbed.clear], climbed.rungs[climbed.clear + 1]
    assert all(severity(f.grade) < 3 for f in at.trial.judgement.findings if f.rule != "GOL001")
    assert any(severity(f.grade) >= 3 for f in above.trial.judgement.findings)
    assert "engine.torque_cap" in at.trial.assessment.curves


def test_margins_of_temperatures_are_as_a_thermometer_shows_them(climbed):
    # Charge at 55 degC below a limit of 65 degC is at 85 % of it; in kelvin it would be at 97 %.
    told = [m for rung in climbed.rungs for m in rung.margins.values() if m.rule == "HET001" and m.unit == "K"]
    assert told
    for margin in told:
        assert margin.ratio == pytest.approx((margin.value - 273.15) / (margin.limit - 273.15))


def test_a_top_is_kept_to(bench):
    found = ladder(bench, steps=2, top_pa=0.5 * 7.5 * 6894.757)
    assert [rung.trial.scale for rung in found.rungs] == pytest.approx([0.0, 0.5], rel=1e-6)
    assert not found.goal_passed


def test_interrupted_it_keeps_the_steps_so_far(bench):
    heard: list[str] = []

    def until_the_third(words: str) -> None:
        heard.append(words)
        if len(heard) == 4:
            raise KeyboardInterrupt

    found = ladder(bench, steps=4, top_pa=9.5e4, tell=until_the_third)
    assert found.end == "interrupted" and 1 <= len(found.rungs) < 4


@pytest.mark.slow
def test_the_goal_is_passed_where_the_boost_asked_for_does_not_do(bench):
    build = edited(load_build(SMALL), [{"set": "goal.power", "to": "250 hp"}])
    found = ladder(Bench(build, bench.catalogue, samples=0), steps=4)
    goal = 250 * 745.69987
    assert found.goal_passed
    assert [rung.trial.crank.value > goal for rung in found.rungs] == [False] * (len(found.rungs) - 1) + [True]


@pytest.mark.slow
def test_a_stated_pulley_ends_the_ladder(bench):
    sized = {"replace": "forced_induction.compressor",
             "with": {"efficiency": "0.71", "inducer": "56 mm", "exducer": "82 mm", "speed_limit": "480 m/s"}}
    build = edited(load_build(CASES / "centrifugal-six-3000" / "build.yaml"), [sized])
    found = ladder(Bench(build, bench.catalogue, samples=0), steps=4)
    assert found.end == "the machine gives no more"
    assert found.rungs[0].pulley_pa > 0.0 and found.rungs[-1].pulley_pa == pytest.approx(0.0, abs=1.0)
    powers = [rung.trial.crank.value for rung in found.rungs]
    assert powers == sorted(powers)
