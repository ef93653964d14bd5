"""How results must move when any build that the models allow is changed.

The directions are those of physics and the trade (common practice, no source, where nothing stands beside a test).
Other modules here hold them on the shipped cases and on one plan of a car with many drawn values; this one asks them of
builds drawn whole, which is where a direction meets a mixture of keys that nobody thought of.
"""

from __future__ import annotations

import math
from functools import lru_cache

import builds as whole
import numpy as np
import pytest
from builds import RPM, Number, builds
from hypothesis import assume, given
from hypothesis import strategies as st
from test_whole_builds import drawn, grades, judged, told

from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.collect import assess
from enginelimits.assessment.columns import Column
from enginelimits.assessment.runner import chosen, ordered, run, texts_of
from enginelimits.assessment.sample import input_columns
from enginelimits.description.fill import filled
from enginelimits.errors import InputError
from enginelimits.rules.grades import severity

HALF_BURNED = "combustion.angle_of_half_burned"
# Room for the solver of the closed cycle (1e-4 of peak pressure) and for best torque found on a grid
SOLVER = 2e-4
OCTANE = 0.1
BOOSTED = ("turbocharger", "centrifugal", "positive-displacement")


def speeds_of(build):
    return build["engine.redline"].si * np.array([0.35, 0.6, 0.85, 1.0])


@lru_cache(maxsize=64)
def _columns(text, speeds):
    return assess(filled(whole.parse_build(text)), samples=0, speeds=np.array(speeds)).columns


def columns(build, speeds=None):
    return _columns(whole.text(build), tuple(speeds_of(build) if speeds is None else speeds))


def at_half_burned(build, degrees):
    """Every column of the chain with the half-burned angle set instead of found."""
    speeds = speeds_of(build)
    inputs = input_columns(filled(whole.built(build)), speeds, 0, 1)
    steps = [step for step in chosen(STEPS, texts_of(inputs)) if HALF_BURNED not in step.gives]
    return run(ordered(steps), {**inputs, HALF_BURNED: Column(np.full((1, 1, 1), math.radians(degrees)))})


def pairs(before, after, id_, where=True):
    """A quantity before and after, where both know it within the ranges of their formulas."""
    one, two = before.get(id_), after.get(id_)
    if one is None or two is None or one.si is None or two.si is None:
        return np.empty(0), np.empty(0)
    shape = np.broadcast_shapes(np.shape(one.si), np.shape(two.si), np.shape(one.outside), np.shape(two.outside),
                                np.shape(where))  # fmt: skip
    arrays = [np.broadcast_to(np.asarray(c.si, float), shape) for c in (one, two)]
    known = np.isfinite(arrays[0]) & np.isfinite(arrays[1]) & np.broadcast_to(where, shape)
    for c in (one, two):
        known = known & ~np.broadcast_to(c.outside, shape) & np.broadcast_to(c.applicable, shape)
    return arrays[0][known], arrays[1][known]


def holds(before, after, direction, *ids, room=SOLVER, where=True):
    """Whether quantities never fall (1), or never rise (-1), beyond a share of themselves; how many numbers said so."""
    said = 0
    for id_ in ids:
        one, two = pairs(before, after, id_, where)
        said += one.size
        wrong = direction * (two - one) < -room * np.abs(one) - 1e-12
        assert not wrong.any(), (id_, one[wrong], two[wrong])
    return said


def boosted(build):
    """The build with one boost over the range, since a boost by speed has no size to raise."""
    boost = build["forced_induction.boost"]
    return boost if isinstance(boost, Number) else Number(max(v.si for v in boost.values()))


def open_timing(build):
    return whole.without(build, "ignition.timing")


@given(builds(induction=BOOSTED), st.floats(1.05, 1.4), st.floats(6.0, 24.0))
@drawn(2)
def test_more_boost_at_one_half_burned_angle(build, more, degrees):
    build = open_timing(told(build))
    pascals = boosted(build).si
    less, much = (at_half_burned({**build, "forced_induction.boost": Number(pascals * m)}, degrees)
                  for m in (1.0, more))  # fmt: skip
    # a turbine or a belt may give no more than it did
    said = holds(less, much, 1, "air.boost", "air.manifold_temperature", "compressor.outlet_temperature",
                 "fuel.mass_flow", "cylinder.peak_pressure", "knock.octane_wanted", room=5e-4)  # fmt: skip
    # rotors that carry less than the engine draws make no boost, which is told as beyond the formulas
    assert said or any(less["air.boost"].missing) or np.all(less["air.boost"].outside)


@given(builds(), st.floats(0.5, 6.0))
@drawn(2)
def test_gasoline_of_more_octane(build, more):
    build = whole.without(open_timing(told(build)), "fuel.blend_octane", "fuel.motor_octane")
    octane = min(build["fuel.octane"].si if "fuel.octane" in build else 95.0, 103.0)
    worse, better = (columns({**build, "fuel.octane": Number(o)}) for o in (octane, octane + more))
    one, two = pairs(worse, better, "knock.margin_best_torque")
    assert np.all(two >= one - OCTANE)
    one, two = pairs(worse, better, "combustion.spark_retard")
    assert np.all(two <= one + 1e-3)
    # never hotter at one lambda, nor weaker
    one, two = pairs(worse, better, "exhaust.temperature")
    assert np.all(two <= one + 1.0)
    if build["forced_induction.kind"] != "turbocharger":
        # earlier burning leaves a turbine less to work with: where it is short, so is boost
        holds(worse, better, 1, "crank.torque", room=5e-4)


@given(builds(), st.floats(0.1, 0.6), st.floats(0.05, 0.25))
@drawn(2)
def test_more_ethanol_at_one_boost_and_lambda(build, content, more):
    build = whole.without(open_timing(told(build)), "fuel.blend_octane", "fuel.methanol", "fuel.gasoline_ethanol")
    build["fuel.ethanol"] = Number(content)
    # a class of fuel has a lambda of its own, and gives way to another as ethanol rises
    target = filled(whole.built(build)).inputs["fuel.lambda_target"]
    build.setdefault("fuel.lambda_target", Number(target.value))
    less, much = (columns({**build, "fuel.ethanol": Number(c)}) for c in (content, content + more))
    known, _ = pairs(less, much, "air.boost")
    assume(known.size)  # no air path balances at any speed
    made, other = (np.broadcast_to(c["air.boost"].si, (2, 1, 4)) for c in (less, much))
    where = np.abs(made - other) <= 1.0
    # short of what is asked at every speed, or beyond it, boost follows exhaust or filling; nothing is at one boost
    asked = less["air.boost_asked"].si if "air.boost_asked" in less else 0.0
    assert where.any() or not np.any(np.abs(made - asked) <= 0.5)
    one, two = pairs(less, much, "fuel.volume_flow", where)
    assert np.all(two > one)
    one, two = pairs(less, much, "exhaust.temperature", where)
    assert np.all(two <= one + 2.0)


@given(builds(induction=BOOSTED), st.floats(200.0, 1200.0))
@drawn(2)
def test_altitude_at_one_gauge_boost(build, climb):
    build = {**whole.without(open_timing(told(build)), "forced_induction.control.holds", "site.altitude",
                             "site.calibrated_altitude"), "forced_induction.boost": boosted(build)}  # fmt: skip
    low, high = (columns({**build, "site.altitude": Number(a)}) for a in (100.0, 100.0 + climb))
    assume(low["air.boost"].si is not None)
    # power holds wherever boost does; where that is short it is shorter still
    holds(low, high, -1, "crank.power", room=1e-3)
    held = np.abs(np.broadcast_to(low["air.boost"].si, (2, 1, 4))
                  - np.broadcast_to(high["air.boost"].si, (2, 1, 4))) < 1.0  # fmt: skip
    holds(low, high, 1, "compressor.pressure_ratio", "compressor.tip_speed", where=held)


# a belt is geared to the limiter: its boost at other speeds moves with it
@given(builds(induction=("turbocharger", "none")), st.floats(1.02, 1.08))
@drawn(2)
def test_a_higher_limiter(build, higher):
    """Tension and opening load go with the square of speed (Newton); compression at the other speeds stays."""
    build = whole.without(told(build), "engine.limiter", "engine.standard.limiter")
    redline = build["engine.redline"].si
    low = columns(build, (redline * 0.5, redline))
    high = columns(build, (redline * 0.5, redline, redline * higher))
    for id_ in ("rod.tension", "rod_bolt.opening_load"):
        ours = np.broadcast_to(low[id_].si, (2, 1, 2))[..., -1]
        theirs = np.broadcast_to(high[id_].si, (2, 1, 3))[..., -1]
        if not np.any(low[id_].outside) and not np.any(high[id_].outside):
            assert theirs == pytest.approx(ours * higher**2, rel=0.02), id_
            assert np.all(theirs > ours)
    asked, more = (c["air.greatest_boost_asked"].si if "air.greatest_boost_asked" in c else 0.0 for c in (low, high))
    one, two = (np.broadcast_to(c["rod.compression"].si, (2, 1, n))[..., :2] for c, n in ((low, 2), (high, 3)))
    # a turbocharger of a class is one for the greatest boost asked, and more may be asked above the old limiter
    assert np.any(more > asked) or two == pytest.approx(one, rel=1e-9, nan_ok=True)


@given(builds(), st.floats(1.03, 1.25))
@drawn(2)
def test_a_heavier_piston(build, heavier):
    build = whole.without(told(build), "internals.pistons.mass", "engine.standard.piston_and_pin_mass")
    grams = filled(whole.built(build)).inputs["internals.pistons.mass"].value
    light, heavy = (columns({**build, "internals.pistons.mass": Number(grams * m)}) for m in (1.0, heavier))
    assert holds(light, heavy, 1, "rod.tension", "rod_bolt.opening_load", room=0.0)
    # Around the firing top inertia takes from the gas force, the more the faster.  Where that leaves less than inertia
    # itself presses at the bottom, as without boost at speed, a heavier piston presses harder.
    assume(light["rod.compression"].si is not None and heavy["rod.compression"].si is not None)
    angle, other = (np.broadcast_to(c["rod.compression_angle"].si, (2, 1, 4)) for c in (light, heavy))
    one, two = pairs(light, heavy, "rod.compression", (np.abs(angle) < 1.0) & (np.abs(other) < 1.0))
    assert np.all(two < one)


@given(builds(), st.floats(0.3, 1.5), st.floats(7.0, 14.0))
@drawn(2)
def test_a_lower_compression_ratio(build, lower, degrees):
    build = open_timing(told(build))
    ratio = max(build["engine.compression_ratio"].si, 9.0)
    high, low = (at_half_burned({**build, "engine.compression_ratio": Number(ratio - by)}, degrees)
                 for by in (0.0, lower))  # fmt: skip
    holds(high, low, -1, "knock.octane_wanted", "cylinder.peak_pressure")
    if build["forced_induction.kind"] == "none":
        # with boost the exhaust of a lower ratio is hotter and drives a turbine harder
        holds(high, low, -1, "crank.torque", "indicated.mean_effective_pressure")
        holds(high, low, 1, "exhaust.temperature")


@given(builds())
@drawn(1)
def test_dynos_in_the_order_that_the_trade_knows(build):
    build = {**whole.without(told(build), "goal.dyno", "goal.at"), "goal.at": "wheels"}
    loaded, inertia, hub = (columns({**build, "goal.dyno": d}) for d in ("load-controlled", "inertia", "hub"))
    positive = np.broadcast_to(loaded["crank.power"].si, (2, 1, 4)) > 3e4
    for less, more in ((loaded, inertia), (inertia, hub)):
        one, two = pairs(less, more, "wheel.power", positive)
        assert np.all(two > one)
    one, two = pairs(loaded, inertia, "crank.power")
    assert np.array_equal(one, two)


# Each of these is one part's own limit on torque
CAPS = ("preignition.torque_cap", "rod.torque_cap", "piston.land_torque_cap", "driveline.clutch_capacity",
        "driveline.gearbox_rating")  # fmt: skip


@given(builds(least=5), st.floats(1.1, 2.0))
@drawn(2)
def test_two_stronger_parts_do_not_add_up(build, stronger):
    """The torque that parts allow is the least of theirs: two mended parts bear no more than the weakest left."""
    found = filled(whole.built(told(build))).inputs
    clutch, gearbox = (found[f"driveline.{p}"].value for p in ("clutch_capacity", "gearbox_rating"))

    def cap(by_clutch, by_gearbox):
        return columns({**build, "driveline.clutch_capacity": Number(clutch * by_clutch),
                        "driveline.gearbox_rating": Number(gearbox * by_gearbox)})  # fmt: skip

    both = cap(stronger, stronger)
    capped = both["engine.torque_cap"]
    if capped.si is None:
        return
    known = np.isfinite(np.broadcast_to(capped.si, (2, 1, 4)))
    zone, *parts = (np.broadcast_to(both[id_].si, (2, 1, 4)) for id_ in CAPS)
    # pre-ignition has a say up to the end of its zone of low speeds
    found_cap, least = np.broadcast_to(capped.si, (2, 1, 4)), np.minimum.reduce(parts)
    in_zone = np.where(zone < least, found_cap == zone, True)
    assert np.all((found_cap == np.where(in_zone, np.minimum(zone, least), least))[known])
    one, other, neither = cap(stronger, 1.0), cap(1.0, stronger), cap(1.0, 1.0)
    gained = [pairs(neither, c, "engine.torque_cap") for c in (one, other, both)]
    # never worse, and no more than the stronger part's own figure
    assert all(np.all(after >= before) for before, after in gained)
    assert all(np.all(after <= before * stronger * (1 + 1e-9)) for before, after in gained)


# Parts whose strength loads nothing else: path, and by how much better
STRONGER = {
    "driveline.gearbox_rating": 1.5, "sensors.manifold_pressure_range": 1.5, "sensors.air_meter_range": 1.5,
    "fuel_system.lift_pump.flow": 1.5, "cooling.radiator_capacity.heat": 1.5, "fuel_system.port_injectors.flow": 1.3,
}  # fmt: skip


@given(builds(least=4), st.sampled_from(sorted(STRONGER)))
@drawn(3)
def test_strengthening_what_does_not_limit_leaves_the_grade(build, path):
    """What rests on the part gets no worse, and no other finding moves: not the limiting one, where it is another."""
    inputs = filled(whole.built(told(build))).inputs
    if path not in inputs or inputs[path].value is None:
        return
    stronger = {**build, path: Number(inputs[path].value * STRONGER[path])}
    sharp = {**build, path: Number(inputs[path].value)}
    try:
        before, after = judged(whole.text(sharp)), judged(whole.text(stronger))
    except InputError:
        assume(False)
    assert severity(after.verdict.grade) <= severity(before.verdict.grade)
    one, two = grades(before), grades(after)
    rests = {id_ for id_, c in before.assessment.columns.items() if path in getattr(c, "rests", ())} | {path}
    for rule in one.keys() | two.keys():
        finding = next((f for j in (before, after) for f in j.findings if f.rule == rule), None)
        if finding is None or one.get(rule) == two.get(rule):
            continue
        read = {b.name for b in finding.because}
        assert read & rests or any(b.kind in ("fact", "rule") for b in finding.because), (rule, read)
        worse = [severity(f.grade) for j in (after, before) for f in j.findings if f.rule == rule]
        assert len(worse) < 2 or worse[0] <= worse[1], rule
    limiting = before.verdict.limiting
    if limiting is not None and one[limiting.rule] == two.get(limiting.rule):
        still = next(f for f in after.findings if f.rule == limiting.rule)
        assert severity(after.verdict.grade) >= severity(still.grade)


@given(builds(induction=["turbocharger"], least=3), st.floats(1.06, 1.4))
@drawn(2)
def test_a_larger_turbine_housing(build, step):
    # wheels of the engine's size, or exhaust that no gate passes makes the boost
    litres = math.pi / 4 * build["engine.bore"].si ** 2 * build["engine.stroke"].si * build["engine.cylinders"] * 1e3
    size = math.sqrt(litres / 2.0 / build.get("forced_induction.count", 1))
    base = {
        **whole.without(open_timing(told(build)), "forced_induction.turbine", "forced_induction.wastegate"),
        "forced_induction.boost": boosted(build), "forced_induction.turbine.inducer": Number(0.053 * size),
        "forced_induction.turbine.exducer": Number(0.047 * size),
    }  # fmt: skip
    small, large = (columns({**base, "forced_induction.turbine.housing_ratio": Number(h)})
                    for h in (0.6, 0.6 * step))  # fmt: skip
    never = math.inf
    at = [float(np.nan_to_num(np.ravel(c["turbine.boost_threshold"].si)[0], nan=never)) for c in (small, large)]
    assert at[1] >= at[0] - 1e-6
    holds(small, large, -1, "air.boost", room=1e-4)
    held = np.abs(np.broadcast_to(small["air.boost"].si, (2, 1, 4))
                  - np.broadcast_to(large["air.boost"].si, (2, 1, 4))) < 1.0  # fmt: skip
    holds(small, large, -1, "exhaust.pressure", "turbine.drive_pressure_ratio", room=1e-4, where=held)


def test_speeds_are_of_the_engine():
    assert speeds_of({"engine.redline": Number(7000 * RPM)})[-1] == pytest.approx(7000 * RPM)
