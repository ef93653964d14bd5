"""What to measure first: read off draws of which it is known what moves what."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import At
from enginelimits.cli.main import exit_code
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.judge import judgement_of
from enginelimits.decisions.measure import Measured, _doubt_of_limit, batches, measure, weighed
from enginelimits.decisions.measurements import Measurement, measurement_of
from enginelimits.decisions.verdict import Because, LimitShown
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.description.paths import known_paths
from enginelimits.errors import InputError
from enginelimits.present.measure import measure_tree
from enginelimits.present.text import report
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.evaluate import evaluate

CASES = Path(__file__).parents[2] / "cases"
RPM = 2 * math.pi / 60
SPEEDS = np.array([3000.0, 5000.0, 6500.0]) * RPM
CATALOGUE = load_catalogue()


def weighed_with(inputs, build, samples=96) -> Measured:
    """What to measure with these inputs in the place of those that were filled, at three speeds."""
    described = replace(filled(build), inputs=inputs)
    assessment = assess(described, samples=samples, speeds=SPEEDS)
    evaluation = evaluate(CATALOGUE, AssessmentGround(assessment), engine="plain")
    judgement = judgement_of(assessment, described, CATALOGUE, evaluation, date(2026, 11, 25))
    return weighed(judgement, evaluation, CATALOGUE)


def points(inputs, *, but):
    """The inputs, all at their typical value but some."""
    return {p: i if p in but else replace(i, low=None, high=None, shape="point", probability=None, pool=())
            for p, i in inputs.items()}


@pytest.fixture(scope="module")
def build():
    return load_build(CASES / "small-turbo-1800" / "build.yaml")


@pytest.fixture(scope="module")
def whole(build):
    return weighed_with(filled(build).inputs, build)


def test_the_one_open_input_carries_its_margin_alone_and_changes_what_is_said(build):
    # The clutch's reserve is its capacity over torque, so the one open input has all of the variance: index 1, less
    # what five groups leave within them: a tenth of a bell's variance (Cox 1957, from memory), more of a lopsided one.
    path = "driveline.clutch_capacity"
    inputs = points(filled(build).inputs, but={path})
    typical = inputs[path].value
    inputs[path] = replace(inputs[path], low=0.8 * typical, high=1.6 * typical, shape="split-normal")
    found = weighed_with(inputs, build)
    assert {u.given.path for u in (*found.unknowns, *found.unmeasured)} == {path}
    clutch = next(s for s in found.unknowns[0].shares if s.margin.quantity == "clutch.reserve")
    assert 0.75 < clutch.index.share <= 1.0
    low, middle, high = clutch.crossed
    assert low == 1.0 and low >= middle >= high and high < 0.2
    assert clutch.flips > 0 and found.unknowns[0].flips > 0


def test_what_is_measured_is_no_longer_asked_for(build, whole):
    path = "class.turbine.drive_ratio"
    assert path in {u.given.path for u in whole.unknowns}
    inputs = dict(whole.judgement.filled.inputs)
    inputs[path] = replace(inputs[path], low=None, high=None, shape="point", basis="measured")
    after = weighed_with(inputs, build)
    assert path not in {u.given.path for u in (*after.unknowns, *after.unmeasured)}


def test_only_what_stands_out_of_chance_is_told_and_lies_beneath_its_margin(whole):
    assert whole.unknowns
    for unknown in (*whole.unknowns, *whole.unmeasured):
        for share in unknown.shares:
            assert share.index.share > share.level > 0
            column = whole.judgement.assessment.columns[share.margin.quantity]
            assert share.graded or unknown.given.path in column.rests


def test_what_a_rule_turns_on_beside_its_leading_quantity_is_found(whole):
    # The rule on factory ring gaps speaks of the gap, but whether it speaks is a matter of power: by its text.
    gaps = {u.given.path for u in whole.unknowns for s in u.shares if s.margin.rule == "PST002" and s.graded}
    assert gaps and "internals.pistons.top_ring_gap" not in gaps


def test_those_that_change_the_verdict_come_before_those_that_change_a_finding(whole):
    # what a measurement leaves of an input counts against it
    moves = [u.moves * (1.0 if u.removes is None else u.removes) for u in whole.unknowns]
    assert moves == sorted(moves, reverse=True)


def test_what_is_missing_comes_first_with_the_rules_that_wait(build):
    without = edited(build, [{"drop": "forced_induction.compressor.inducer"}, {"drop": "forced_induction.oil"}])
    found = weighed_with(filled(without).inputs, without, samples=32)
    paths = [b.path for b in found.blocking]
    assert "forced_induction.compressor.inducer" in paths and "forced_induction.oil.drain_diameter" in paths
    grades = ["clear", "note", "caution", "reinforce", "decline"]
    graded = [grades.index(b.could_be) for b in found.blocking]
    assert graded == sorted(graded, reverse=True)
    words = report(measure_tree(found))
    assert words.index("Missing, which beats any range") < words.index("No ")


def test_the_limiting_margin_is_among_those_looked_at(whole):
    limiting = whole.judgement.verdict.limiting
    assert [m.rule for m in whole.margins if m.limiting] == [limiting.rule]
    assert not any(m.quantity in ("rod.event_use", "head.event_clamp_ratio") for m in whole.margins)


def test_a_measurement_as_loose_as_the_input_takes_half_away():
    # by hand: variances 1 and 1 (1.645 is the 95th percentile of the standard normal), 1 / (1 + 1)
    assert Measurement("a gauge", scatter=1.6449).removes(10.0, 1.0) == pytest.approx(0.5, abs=1e-4)
    assert Measurement("a gauge", of_value=0.016449).removes(10.0, 0.3) == pytest.approx(0.09 / 0.10, abs=1e-3)
    assert Measurement("a look").removes(10.0, 1.0) is None
    assert Measurement("", unmeasured="why").removes(10.0, 1.0) == 0.0


def test_every_key_of_the_build_file_has_a_way_to_know_it():
    assert [p for p in known_paths() if not measurement_of(p).how] == []


@pytest.mark.parametrize("case", sorted(p.parent.name for p in CASES.glob("*/build.yaml")))
def test_what_is_drawn_is_measured_in_its_own_size_or_said_not_to_be(case):
    for path, given in filled(load_build(CASES / case / "build.yaml")).inputs.items():
        measurement = measurement_of(path)
        assert measurement.how or measurement.unmeasured, path
        if measurement.scatter is not None and isinstance(given.value, float) and given.low is not None:
            # An amount in the wrong unit would be thousands of ranges or nothing beside one.
            assert 0.002 < measurement.scatter / (given.high - given.low) < 20, (path, measurement)


def test_the_measurement_of_the_longest_path_counts():
    assert "calliper at the smallest section" in measurement_of("internals.rods.shank_area").how
    assert "leak-down" in measurement_of("internals.condition.leak_down").how.lower()
    assert "test tube" in measurement_of("fuel.ethanol").how
    assert "scale" in measurement_of("internals.pistons.mass").how
    assert "Stretch" in measurement_of("internals.rod_bolts.preload").how
    assert "Boost logged" in measurement_of("forced_induction.boost").how
    assert measurement_of("class.friction.constant").how == ""


def test_too_few_draws_are_refused(build):
    with pytest.raises(InputError, match="at least 32 draws"):
        measure(Bench(build, CATALOGUE, samples=8))


def test_the_command_answers_in_words_and_data(capfd):
    line = ["measure", str(CASES / "small-turbo-1800" / "build.yaml"), "--samples", "48", "--top", "1"]
    assert exit_code([*line, "--format", "json", "--quiet"]) == 0
    out, err = capfd.readouterr()
    data = json.loads(out)
    assert err == "" and data["schema"] == "enginelimits.measure/1"
    assert data["estimator"]["left_out"] and data["samples"]["asked"] == 48
    for unknown in data["unknowns"]:
        assert unknown["measurement"]["how"] and len(unknown["verdicts"]) in (2, 3)
        assert all(s["standard_error"] >= 0 for s in unknown["shares"])


def interrupted_at(monkeypatch, fatal):
    """Judging that is interrupted where so many draws are asked for."""
    import enginelimits.decisions.measure as module

    whole_way = module.evaluated

    def judged(*given, samples, **more):
        if samples == fatal:
            raise KeyboardInterrupt
        return whole_way(*given, samples=samples, **more)

    monkeypatch.setattr(module, "evaluated", judged)


def test_interrupted_it_tells_what_is_missing_and_ranks_nothing(build, monkeypatch):
    bench = Bench(build, CATALOGUE, samples=64, as_of=date(2026, 11, 25))
    interrupted_at(monkeypatch, 64)
    found = measure(bench)
    assert found.interrupted and found.asked == 64 and found.judgement.samples_valid == 0
    assert found.unknowns == () and found.margins
    told = report(measure_tree(found))
    assert "INTERRUPTED before any draw was judged" in told and "stands out of chance" not in told


def test_a_long_run_has_a_shorter_one_to_fall_back_on(build, monkeypatch):
    bench = Bench(build, CATALOGUE, samples=64, as_of=date(2026, 11, 25))
    monkeypatch.setattr("enginelimits.decisions.measure.batches", lambda samples: (0, 32, samples))
    interrupted_at(monkeypatch, 64)
    found = measure(bench)
    assert found.interrupted and found.judgement.samples_asked == 32 and found.asked == 64
    assert "INTERRUPTED from 32 of 64 draws" in report(measure_tree(found))


def test_interrupted_before_anything_it_ends_as_any_command_does(build, monkeypatch):
    bench = Bench(build, CATALOGUE, samples=64, as_of=date(2026, 11, 25))
    interrupted_at(monkeypatch, 0)
    with pytest.raises(KeyboardInterrupt):
        measure(bench)


def test_what_is_missing_is_what_a_file_can_say_with_a_way_to_learn_it(build):
    # Cuts are one list of names; what is asked for each by itself no file can state.
    bare = Bench(edited(build, [{"drop": "protections"}]), CATALOGUE, samples=32, as_of=date(2026, 11, 25))
    missing = {b.path: b for b in measure(bare).blocking}
    assert "protections" in missing and not [path for path in missing if path.startswith("protections.")]
    assert missing.keys() <= known_paths().keys() and all(b.measurement.how for b in missing.values())


def test_a_long_batch_has_a_quarter_before_it():
    assert batches(256) == (0, 256) and batches(4000) == (0, 1000, 4000)


def test_a_limit_that_is_the_larger_doubt_is_told(whole):
    # A quantity with a standard deviation of 3 against a limit with one of 4: 16 of 25 parts are the limit's.
    drawn = 20.0 + 3.0 * np.array([-1.0, 1.0] * 50)
    column = SimpleNamespace(si=np.concatenate([[20.0], drawn])[None, :, None])
    assessment = SimpleNamespace(columns={"rod.column_use": column}, ambients=("site",), speeds=(300.0,))
    half = 4.0 * 1.6448536269514722
    limit = LimitShown("most", 25.0, "1", "above", "base", 25.0, 25.0 - half, 25.0 + half)
    lead = Because("quantity", "rod.column_use", 20.0, "1", At(300.0, "site"), limit)
    low, high, doubt = _doubt_of_limit(assessment, lead)
    assert (low, high, doubt) == pytest.approx((25.0 - half, 25.0 + half, 0.64))
    margin = replace(whole.margins[0], limit_low=low, limit_high=high, limit_doubt=doubt)
    told = " ".join(report(measure_tree(replace(whole, margins=(margin,)))).split())
    assert f"The limit itself is the larger doubt: {margin.rule} (64 % of the variance" in told
    less = replace(margin, limit_doubt=0.4)
    assert "larger doubt" not in report(measure_tree(replace(whole, margins=(less,))))


def test_the_part_of_the_limit_is_that_of_a_sum_of_variances(whole, build):
    # Limits of this build were not drawn, so that there is no doubt to tell.
    assert all(m.limit_doubt is None and m.limit_low is None for m in whole.margins)
    made = measure(Bench(build, CATALOGUE, samples=64, as_of=date(2026, 11, 25)))
    for margin in made.margins:
        if margin.limit_doubt is not None:
            assert 0.0 < margin.limit_doubt < 1.0 and margin.limit_low < margin.limit < margin.limit_high
