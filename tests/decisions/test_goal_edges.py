"""Goals that are unusual: a torque, less than the maker's own power, and an engine with two turbochargers."""

from __future__ import annotations

from datetime import date
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.ceiling import ceiling
from enginelimits.decisions.judge import judge
from enginelimits.decisions.plan import plan
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.present.verdict import figures_line
from enginelimits.rules.catalogue import load_catalogue

# Invented: a 3.0 litre six.
SIX = """
build: invented six
goal: {power: 330 hp, at: crank, correction: none, use: spirited}
engine:
  cylinders: 6
  layout: vee
  bore: 86 mm
  stroke: 86 mm
  compression_ratio: 9.5
  redline: 6800 rpm
  standard_output:
    power: {value: 230 hp, at: 6200 rpm}
    torque: {value: 300 N*m, at: 4500 rpm}
    rating: ISO 1585
    fuel: {octane: 95 RON, is: minimum}
forced_induction:
  kind: turbocharger
  count: 2
  boost: 8 psi
  compressor: {inducer: 40 mm, exducer: 54 mm}
  turbine: {inducer: 45 mm, exducer: 40 mm, housing_ratio: 0.55}
fuel: {octane: 98 RON}
"""
DAY = date(2026, 1, 1)


@cache
def catalogue():
    return load_catalogue(as_of=DAY)


@cache
def judged(*changes):
    return judge(parse_build(changed(*changes)), catalogue(), samples=0, as_of=DAY)


def changed(*changes):
    text = SIX
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    return text


def columns(*changes):
    return assess(filled(parse_build(changed(*changes))), samples=0, speeds=np.array([300.0, 500.0, 700.0])).columns


def said(judgement, system="metric"):
    return "".join(getattr(run, "text", str(run)) for run in figures_line(judgement, system, False).runs)


TORQUE = ("goal: {power: 330 hp,", "goal: {power: 330 hp, torque: 480 N*m,")
BELOW = ("goal: {power: 330 hp", "goal: {power: 200 hp")


def test_a_torque_that_is_asked_stands_beside_what_is_found():
    line = said(judged(TORQUE))
    assert "asked 246 kW and 480 N*m at the crank" in line and "; torque " in line
    assert "lb-ft" in said(judged(TORQUE), "us")
    # and the question which torque is wanted is settled
    assert any("Which torque" in q for q in judged().questions)
    assert not any("Which torque" in q for q in judged(TORQUE).questions)


def test_a_torque_alone_is_a_goal_too():
    line = said(judged(("goal: {power: 330 hp,", "goal: {torque: 480 N*m,")))
    assert "asked 480 N*m at the crank" in line


def test_a_goal_moves_no_load():
    one, other = (judged(*c).assessment.quantities for c in ((), (TORQUE,)))
    for id_ in ("crank.power", "crank.torque", "cylinder.peak_pressure", "rod.column_use"):
        assert one[id_] == other[id_], id_


def test_a_goal_below_the_makers_power_is_told_so():
    # 1 hp = 745.7 W: 200 hp = 149 kW, 230 hp = 172 kW
    assert "asked 149 kW at the crank, less than the maker's 172 kW without any work" in said(judged(BELOW))
    assert "less than the maker's" not in said(judged())
    reach = judged(BELOW).assessment.quantities["goal.power_reach"]
    assert reach.value > 1.0
    assert "GOL001" not in {f.rule for f in judged(BELOW).findings}


def test_two_compressors_pass_half_the_air_each():
    """At one boost the engine takes the same air; each of two wheels passes half, and a single one all of it."""
    two, one = columns(), columns(("count: 2", "count: 1"))
    speed = 1
    flow, boost = (np.broadcast_to(two[id_].si, (2, 1, 3))[0, 0, speed] for id_ in ("air.mass_flow", "air.boost"))
    single = np.broadcast_to(one["compressor.corrected_flow"].si, (2, 1, 3))[0, 0, speed]
    each = np.broadcast_to(two["compressor.corrected_flow"].si, (2, 1, 3))[0, 0, speed]
    assert boost == pytest.approx(np.broadcast_to(one["air.boost"].si, (2, 1, 3))[0, 0, speed], rel=1e-6)
    # exhaust held up less by two turbines lets a little more in
    assert single == pytest.approx(2.0 * each, rel=0.05)
    assert 0.9 * flow < 2.0 * each < 1.3 * flow
    # two turbines pass twice what one does: they are driven less hard, and come in later
    exhaust = [np.broadcast_to(c["exhaust.pressure"].si, (2, 1, 3))[0, 0] for c in (two, one)]
    assert np.all(exhaust[0] < exhaust[1])


@pytest.mark.slow
@pytest.mark.parametrize("change", [TORQUE, BELOW], ids=["torque", "below the maker's power"])
def test_ceiling_and_plan_answer(change):
    bench = Bench(parse_build(changed(change)), catalogue(), samples=0, as_of=DAY)
    found = ceiling(bench, grade="reinforce")
    assert found.nominal.power is not None and found.nominal.power.value > 1.5e5
    made = plan(bench)
    assert made is not None


def knock_limit(octane):
    found = columns(("98 RON}", f"{octane} RON}}"))
    return np.broadcast_to(found["knock.limited_boost"].si, (2, 1, 3))[:, 0]


def test_more_octane_never_lowers_the_boost_that_knock_allows():
    limits = [knock_limit(octane) for octane in (91, 94, 97, 100)]
    for less, more in pairwise(limits):
        assert np.all(more >= less - 100.0)
    assert np.all(limits[-1] > limits[0])


@pytest.mark.slow
def test_more_octane_lowers_a_ceiling_only_where_something_else_than_knock_binds_and_then_by_little():
    """Knock holds back torque most at middle speeds.  Where a clutch, or pressure at a later timing, binds there,
    better gasoline gives that torque back first: the limit comes at less boost, and at the top there is less power."""
    powers, bound = [], []
    for octane in (91, 97):
        build = parse_build(changed(("98 RON}", f"{octane} RON}}")))
        found = ceiling(Bench(build, catalogue(), samples=0, as_of=DAY), grade="reinforce").nominal
        powers.append(found.power.value)
        bound.append({f.rule for f in found.binds})
    if any(rule.startswith("KNK") for rule in bound[0]):
        assert powers[1] >= powers[0] * 0.999
    else:
        assert powers[1] >= powers[0] * 0.96


def test_a_torque_that_is_out_of_reach_is_a_finding_of_its_own():
    """700 N*m of 2997 cm^3 are 29.4 bar of brake mean effective pressure, 4 pi T / V: not on 8 psi."""
    asked = (("goal: {power: 330 hp,", "goal: {torque: 700 N*m,"),)
    judgement = judged(*asked)
    found = next(f for f in judgement.findings if f.rule == "GOL008")
    reach = judgement.assessment.quantities["goal.torque_reach"].value
    assert found.grade == "decline" and reach < 0.85
    peak = max(v for v in judgement.assessment.curves["crank.torque"].values if v is not None)
    assert reach == pytest.approx(peak / 700.0, rel=1e-9)
    met = judged(("goal: {power: 330 hp,", "goal: {torque: 300 N*m,"))
    assert not any(f.rule == "GOL008" for f in met.findings)
    assert any(o.rule == "GOL008" for o in judged().not_applicable)
