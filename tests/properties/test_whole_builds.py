"""What holds of the verdict on any build that the models allow, from the bare engine to every key there is.

A check costs half a second, so few builds are drawn in the default run, always the same; with
`--hypothesis-profile=long` many times as many, other ones each time.
"""

from __future__ import annotations

import json
import math
import random
from dataclasses import replace
from datetime import date
from functools import cache

import builds as whole
import numpy as np
import pytest
from builds import Number, builds
from hypothesis import HealthCheck, Phase, given, note, settings
from hypothesis import strategies as st

from enginelimits.assessment.collect import assess
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.judge import evaluated, judge, judgement_of
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.present.jsonform import check, written
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.durable import native
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.grades import severity

LONG = settings.get_current_profile_name() == "long"
TIMES = settings.default.max_examples if LONG else 1
DAY = date(2026, 1, 1)


def drawn(examples: int) -> settings:
    """As many examples, the same each time; with the long checks many times as many, others each time."""
    return settings(max_examples=examples * TIMES, derandomize=not LONG, deadline=None,
                    phases=[Phase.generate], suppress_health_check=list(HealthCheck))  # fmt: skip


@cache
def catalogue():
    return load_catalogue(as_of=DAY)


def judged(text, **more):
    return judge(parse_build(text), catalogue(), **{"samples": 0, "as_of": DAY, **more})


def told(build):
    note(whole.text(build))
    return build


def grades(judgement):
    """Every rule's word: its grade and what it could be, or that it was not judged."""
    silent = {n.rule: state for state in ("not_judged", "out_of_range", "not_applicable")
              for n in getattr(judgement, state)}  # fmt: skip
    return {**silent, **{f.rule: (f.grade, f.uncapped, f.could_be) for f in judgement.findings}}


def numbers_in(data, at="$"):
    if isinstance(data, float | np.floating):
        yield at, float(data)
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from numbers_in(value, f"{at}.{key}")
    elif isinstance(data, list | tuple):
        for index, value in enumerate(data):
            yield from numbers_in(value, f"{at}[{index}]")


@given(builds(wild=True), st.sampled_from([0, 3]))
@drawn(2)
def test_no_number_that_is_not_finite_reaches_a_verdict(build, samples):
    judgement = judged(whole.text(told(build)), samples=samples)
    for f in judgement.findings:
        for where, number in numbers_in([f.chance, f.chance_error, f.chances]):
            assert math.isfinite(number) and 0.0 <= number <= 1.0, (f.rule, where, number)
        for because in f.because:
            assert because.value is None or not isinstance(because.value, float) or math.isfinite(because.value), f
            if because.limit is not None:
                assert all(math.isfinite(n) for _, n in numbers_in([because.limit.value])), f
        assert "nan" not in f.message.lower().split() and "inf" not in f.message.lower().split(), f.message
    for result in judgement.assessment.quantities.values():
        assert (result.value is not None) == (result.status == "ok"), result
        assert all(math.isfinite(n) for _, n in numbers_in([result.value, result.low, result.high])), result
        assert result.low is None or result.low <= result.high, result
    # and in what other programs read there is none: the writer refuses what is not finite
    data = json.loads(written(check(judgement)), parse_constant=pytest.fail)
    assert all(math.isfinite(n) for _, n in numbers_in(data))
    json.dumps(check(judgement), allow_nan=False)


@given(builds(wild=True))
@drawn(2)
def test_a_number_that_is_not_finite_is_always_marked(build):
    columns = assess(filled(whole.built(told(build))), samples=2).columns
    for id_, kind in QUANTITIES.items():
        column = columns.get(id_)
        if column is None or column.si is None or isinstance(column.si, str | bool):
            continue
        finite = np.isfinite(np.asarray(column.si, dtype=float))
        if kind.crank:
            finite = finite.all(axis=-1)
        assert np.all(finite | np.asarray(column.outside) | ~np.asarray(column.applicable, dtype=bool)), id_


class Guessed(AssessmentGround):
    """A ground on which what is not known, or lies beyond a formula, has some value or other."""

    def __init__(self, assessment, seed):
        super().__init__(assessment)
        self._random = np.random.default_rng(seed)

    def quantity(self, id):
        reading = super().quantity(id)
        if reading is None or isinstance(reading.si, str | bool):
            return reading
        guess = np.exp(self._random.uniform(-20.0, 20.0, self.shape)) * self._random.choice([-1.0, 1.0], self.shape)
        if reading.si is None or reading.missing:
            return reading._replace(si=guess, missing=frozenset(), outside=False)
        known = np.isfinite(np.broadcast_to(reading.si, self.shape)) & ~np.asarray(reading.outside, dtype=bool)
        return reading._replace(si=np.where(known, reading.si, guess), outside=False)


@given(builds(wild=True), st.integers(0, 2**31))
@drawn(2)
def test_what_was_judged_does_not_hang_on_what_is_not_known(build, seed):
    """Clear, or a grade without a worse one open, stays so whatever the unknown turns out to be."""
    found = evaluated(whole.built(told(build)), catalogue(), samples=0)
    guessed = evaluate(catalogue(), Guessed(found.assessment, seed))
    for id_, one in found.evaluation.outcomes.items():
        other = guessed.outcomes[id_]
        settled = one.judged & (one.grade == one.could_be)
        assert np.all(other.grade[settled & (one.applies == 1)] == one.grade[settled & (one.applies == 1)]), id_
        # true grades only ever get worse by what is found out
        assert np.all(other.grade >= one.grade), id_
        assert np.all(other.grade[one.applies == 1] <= one.could_be[one.applies == 1]), id_


@given(builds(wild=True))
@drawn(2)
def test_an_unjudged_rule_is_never_clear_and_leaves_the_verdict_open(build):
    judgement = judged(whole.text(told(build)))
    silent = {n.rule for n in (*judgement.not_judged, *judgement.out_of_range)}
    assert silent.isdisjoint({f.rule for f in judgement.findings})
    assert silent <= set(judgement.verdict.open)
    assert judgement.verdict.complete == (not judgement.verdict.open)
    assert all(n.missing for n in judgement.not_judged), judgement.not_judged
    assert all(n.reason for n in judgement.out_of_range), judgement.out_of_range
    if silent and not judgement.findings:
        assert "so far" in judgement.verdict.sentence


@pytest.mark.skipif(native() is None, reason="durable-rules cannot be imported here")
@given(builds(), st.sampled_from([0, 5]))
@drawn(2)
def test_both_inference_engines_say_the_same_of_any_build(build, samples):
    found = evaluated(whole.built(told(build)), catalogue(), samples=samples, engine="plain")
    ground = AssessmentGround(found.assessment)
    other = evaluate(catalogue(), ground, engine="durable-rules", limit_seed=1)
    assert (found.evaluation.engine, other.engine) == ("plain", "durable-rules")
    assert list(found.evaluation.outcomes) == list(other.outcomes)
    for id_, one in found.evaluation.outcomes.items():
        for part in ("grade", "could_be", "applies", "judged"):
            assert np.array_equal(getattr(one, part), getattr(other.outcomes[id_], part)), (id_, part)
        assert (one.missing, one.outside) == (other.outcomes[id_].missing, other.outcomes[id_].outside), id_
    for name, truth in found.evaluation.facts.items():
        assert np.array_equal(truth.true, other.facts[name].true), name
        assert np.array_equal(truth.false, other.facts[name].false), name


def test_a_build_beyond_every_formula_is_told_to_be_so():
    """Rotors of 1.4 litres at seven turns a crank turn: no air path balances, no power is known at any speed."""
    judgement = judged("""
build: invented
goal: {power: 280 kW, at: crank, correction: none, use: street}
engine: {cylinders: 4, bore: 87 mm, stroke: 100 mm, compression_ratio: 8.5, redline: 6600 rpm}
forced_induction:
  kind: positive-displacement
  boost: 10 psi
  supercharger: {drive_ratio: 7, displacement_per_rev: 1.44 L}
""")
    power = judgement.assessment.quantities["crank.power"]
    assert (power.value, power.status) == (None, "out of range") and power.reason
    assert not judgement.verdict.complete and "so far" in judgement.verdict.sentence
    assert {n.rule for n in judgement.out_of_range} >= {"AIR017"}
    assert all(math.isfinite(n) for _, n in numbers_in(json.loads(written(check(judgement)))))


# Units and spelling

# what hangs on where a search stops: a unit's round-off moves its last digits
ROUND_OFF = 1e-6


def same_but_for_round_off(one, other):
    assert grades(one) == grades(other)
    assert one.verdict == other.verdict
    for id_, result in one.assessment.quantities.items():
        theirs = other.assessment.quantities[id_]
        assert (result.status, result.unit, result.at and result.at.ambient) == (
            theirs.status, theirs.unit, theirs.at and theirs.at.ambient), id_  # fmt: skip
        if result.value is not None and not id_.endswith("residual"):
            scale = 1e-9 if QUANTITIES[id_].unit == "1" else 0.0
            assert theirs.value == pytest.approx(result.value, rel=ROUND_OFF, abs=scale), id_


@given(builds(), st.integers(0, 2**31))
@drawn(2)
def test_units_and_spelling_never_change_a_verdict(build, seed):
    chance = random.Random(seed)
    plain = whole.text(told(build))
    other = whole.text(build, lambda path, fits: chance.choice(fits))
    note(other)
    same_but_for_round_off(judged(plain), judged(other))


# Order


@given(builds(), st.integers(0, 2**31))
@drawn(2)
def test_the_order_of_keys_changes_nothing(build, seed):
    order = list(told(build).items())
    random.Random(seed).shuffle(order)
    order.sort(key=lambda item: item[0].startswith("anchors.knock"))  # a list has its order
    anchors = [i for i in order if i[0].startswith("anchors.knock")]
    order = [i for i in order if i not in anchors] + [i for i in build.items() if i[0].startswith("anchors.knock")]
    one, other = (written(check(judged(whole.text(b), samples=2))) for b in (build, dict(order)))
    assert one == other


@given(builds(), st.integers(0, 2**31))
@drawn(2)
def test_the_order_of_rules_facts_and_remedies_changes_nothing(build, seed):
    chance = random.Random(seed)

    def mixed(of):
        items = list(of.items())
        chance.shuffle(items)
        return dict(items)

    kept = catalogue()
    other = replace(kept, rules=mixed(kept.rules), facts=mixed(kept.facts), remedies=mixed(kept.remedies),
                    failure_modes=mixed(kept.failure_modes), _stages={})  # fmt: skip
    text = whole.text(told(build))
    one = judged(text, samples=2)
    two = judge(parse_build(text), other, samples=2, as_of=DAY)
    assert written(check(one)) == written(check(two))


@given(st.lists(builds(), min_size=2, max_size=2), st.integers(0, 2**31))
@drawn(1)
def test_a_build_is_judged_the_same_whatever_was_judged_before_it(several, seed):
    texts = [whole.text(told(b)) for b in several]
    alone = [written(check(judged(text, samples=2))) for text in texts]
    again = [written(check(judged(text, samples=2))) for text in reversed(texts)]
    assert alone == again[::-1]


# What is not known

# Keys that no class fills and that choose no step: health, history, what a shop has to look up
NEVER_FILLED = (
    "internals.condition.leak_down", "internals.condition.compression", "history.knock_events", "history.overheated",
    "history.oil_pressure_lost", "history.deposits", "sensors.manifold_pressure_range", "sensors.air_meter_range",
    "fuel_system.port_injectors.flow", "fuel_system.direct_injection.flow", "fuel_system.compatible_ethanol",
    "vehicle.mass", "vehicle.tyre", "protections", "forced_induction.oil.drain_diameter",
    "forced_induction.oil.feed_pressure",
)  # fmt: skip


@given(builds(least=6), st.data())
@drawn(2)
def test_leaving_out_what_no_class_fills_leaves_each_rule_as_it_was_or_unjudged(build, data):
    there = [path for path in NEVER_FILLED if path in told(build)]
    if not there:
        return
    path = data.draw(st.sampled_from(there))
    note(path)
    without = whole.without(build, path)
    given = filled(whole.built(without)).inputs.get(path)
    assert given is None or given.basis != "assumed", f"a class fills {path}"
    one, other = (evaluated(whole.built(b), catalogue(), samples=0).evaluation.outcomes for b in (build, without))
    for id_, before in one.items():
        after = other[id_]
        known = after.judged & (after.grade == after.could_be) & (after.applies == 1)
        assert np.all(after.grade[known] == before.grade[known]), (path, id_)
        # what stays open holds what it was
        unknown = ~known & (after.applies != 0) & (before.applies == 1)
        assert np.all(after.grade[unknown] <= before.grade[unknown]), (path, id_)
        assert np.all(after.could_be[unknown] >= before.grade[unknown]), (path, id_)


def stated_as_typical(build, path):
    """The build with one key stated as what its class holds typical, sharply: measured and found ordinary."""
    return {**build, path: Number(filled(whole.built(build)).inputs[path].value)}


# Spread of what a class says, where a key is left open; each feeds many quantities
OPEN = (
    "internals.rods.mass", "internals.rods.shank_area", "internals.pistons.mass", "internals.pistons.top_ring_gap",
    "internals.pistons.crown_thickness", "internals.bearings.clearance", "driveline.clutch_capacity",
    "driveline.loss.fixed", "internals.valves.intake_seat_load", "cooling.coolant_cap", "engine.intake_closing",
)  # fmt: skip
# Where something is greatest: one draw's place jumps from one peak to another of the same height, here or there
PLACES = ("rod.compression_angle", "rod.tension_angle", "bearing.big_end_angle", "air.greatest_boost_from")


@given(builds(), st.sampled_from(OPEN))
@drawn(2)
def test_a_key_left_open_never_narrows_a_range_nor_betters_the_typical_build(build, path):
    """Against the same key stated as its class's typical value: the same draws of all else."""
    open_ = whole.without(told(build), path)
    if path == "internals.pistons.mass":
        open_ = whole.without(open_, "engine.standard.piston_and_pin_mass")
    known = stated_as_typical(open_, path)
    note(path)
    described = filled(whole.built(open_)), filled(whole.built(known))
    wide, narrow = (assess(d, samples=24) for d in described)
    # what is drawn together with the key is told by it: its range is another then
    moved = {path, *(p for p, one in described[0].inputs.items()
                     if (one.low, one.high) != (described[1].inputs[p].low, described[1].inputs[p].high))}  # fmt: skip
    for id_, one in wide.quantities.items():
        two = narrow.quantities[id_]
        assert one.status == two.status, id_
        if one.value is not None:
            assert two.value == pytest.approx(one.value, rel=1e-9, abs=1e-12), id_
        if id_ not in wide.columns or wide.columns[id_].si is None:
            continue
        known_rows, open_rows = (np.broadcast_to(a.columns[id_].si, (2, 25, len(a.speeds)))[:, 1:]
                                 for a in (narrow, wide))  # fmt: skip
        if not moved & wide.columns[id_].rests:
            assert np.array_equal(open_rows, known_rows, equal_nan=True), (path, id_)
        elif id_ in PLACES:
            continue
        elif len(moved) == 1 and np.isfinite(known_rows).all() and np.isfinite(open_rows).all():
            # Where it counts for as much as all else together no chance order of the draws hides what it adds.
            added = np.sqrt(((open_rows - known_rows) ** 2).mean(axis=1))
            spread = known_rows.std(axis=1)
            where = added > spread
            assert np.all(open_rows.std(axis=1)[where] >= 0.98 * spread[where]), (path, id_)


@given(builds(least=4), st.sampled_from(["internals.rod_bolts.reused", "internals.head.reused",
                                         "cooling.oil_cooler", "fuel_system.surge_pot"]))  # fmt: skip
@drawn(2)
def test_a_yes_or_no_that_is_not_known_lies_between_yes_and_no(build, path):
    def verdict(stated):
        text = whole.text({**told(build), path: stated})
        return judged(text)

    yes, no = verdict(True), verdict(False)
    described = filled(whole.built(whole.without(build, path)))
    assessment = assess(described, samples=0)
    unknown = judgement_of(assessment, described, catalogue(), evaluate(catalogue(), AssessmentGround(assessment)), DAY)
    worst = max(severity(yes.verdict.grade), severity(no.verdict.grade))
    assert severity(unknown.verdict.grade) <= worst
