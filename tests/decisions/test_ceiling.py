"""At the ceiling nothing reaches the grade; a little higher something does."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from enginelimits.decisions.bench import Bench, bench_of
from enginelimits.decisions.boost_lever import lever_of
from enginelimits.decisions.boost_search import HALF, NONE, STEP, Bracket, Looked
from enginelimits.decisions.ceiling import ceiling
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build
from enginelimits.rules.grades import severity

CASES = Path(__file__).parents[2] / "cases"
SMALL = CASES / "small-turbo-1800" / "build.yaml"
ASKED = ((2000, 4.0), (3000, 7.0), (4000, 7.5), (7000, 7.5))  # psi by rpm, as the case asks


def worst_at(bench: Bench, scale: float, samples: int = 0) -> int:
    """The worst grade that `check` finds on the case at so much of its boost, the goal aside."""
    curve = {f"{rpm} rpm": f"{psi * scale:.9f} psi" for rpm, psi in ASKED}
    judged = bench.judged([{"set": "forced_induction.boost", "to": curve}], samples=samples)
    return max(severity(f.grade) for f in judged.findings if f.rule != "GOL001")


WEAK_TANK = """
build: ethanol of any content without a sensor, on ever more boost
engine: {cylinders: 4, bore: 79 mm, stroke: 81.4 mm, compression_ratio: 10.8, redline: 7200 rpm}
internals: {rods: {class: forged-i-section}, rod_bolts: {class: alloy-stretch}}
forced_induction: {kind: turbocharger, boost: 20 psi}
fuel: {octane: 98 RON, ethanol: 10 to 85 %, lambda_target: 0.8}
fuel_system: {ethanol_sensor: {fitted: false}}
driveline: {clutch_capacity: 900 N*m}
"""


def test_what_less_boost_lifts_is_not_left_out_because_it_is_level_higher_up(bench):
    # Knock on a weak tank comes with the first boost; from half of 20 psi on timing gives way, and it is level.
    found = ceiling(Bench(parse_build(WEAK_TANK, "build.yaml"), bench.catalogue, samples=0))
    assert "FUL018" not in {one.finding.rule for one in found.left_out}
    trial = found.nominal.trial
    assert trial is not None and 0.0 < trial.scale < 0.5
    grades = {f.rule: severity(f.grade) for f in trial.judgement.findings}
    assert grades.get("FUL018", 0) < severity("reinforce")


def lever(bench: Bench):
    return lever_of(bench.build, filled(bench.build))


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_of(SMALL, samples=0)


@pytest.fixture(scope="module")
def reinforce(bench):
    return ceiling(bench, grade="reinforce")


def test_it_passes_at_the_answer_and_fails_two_percent_above(bench, reinforce):
    scale = reinforce.nominal.trial.scale
    assert worst_at(bench, scale) < severity("reinforce") <= worst_at(bench, 1.02 * scale)


def test_what_binds_is_named_with_number_place_and_remedy(reinforce):
    binds = reinforce.nominal.binds[0]
    leading = next(b for b in binds.because if b.limit is not None)
    assert binds.grade == "reinforce" and binds.remedies
    # just beyond its limit
    assert leading.value == pytest.approx(leading.limit.value, rel=0.02)
    assert leading.at is not None


def test_the_boost_curve_that_gives_it_is_the_asked_one_scaled(reinforce):
    scale = reinforce.nominal.trial.scale
    assert [pa / 6894.757 for _, pa in reinforce.nominal.curve] == pytest.approx([psi * scale for _, psi in ASKED])


def test_a_stricter_grade_never_gives_more_power(bench, reinforce):
    caution = ceiling(bench, grade="caution")
    assert caution.nominal.power.value <= reinforce.nominal.power.value


def test_without_draws_there_is_no_confidence(reinforce):
    assert reinforce.likely is None


@pytest.mark.slow
@pytest.mark.parametrize("clutch", ["245 N*m", "420 N*m"])
def test_more_octane_never_lowers_it(bench, clutch):
    powers = []
    for octane in ("95 RON", "98 RON", "102 RON"):
        edits = [{"set": "fuel.octane", "to": octane}, {"set": "driveline.clutch_capacity", "to": clutch}]
        build = edited(load_build(SMALL), [e for e in edits if e["to"] != "98 RON"])
        found = ceiling(Bench(build, bench.catalogue, samples=0), grade="reinforce")
        powers.append(found.nominal.power.value)
    # to the room that the search leaves itself
    assert all(after > before * 0.99 for before, after in pairwise(powers))


@pytest.mark.slow
def test_more_confidence_never_gives_more_power_and_all_together_never_more_than_each():
    bench = bench_of(SMALL, samples=24)
    found = [ceiling(bench, grade="caution", confidence=share) for share in (0.5, 0.8, 0.95)]
    for one in found:
        assert one.likely.trial.scale <= one.each.trial.scale <= one.nominal.trial.scale
        assert one.likely.draws.share >= one.confidence
        # In no rule by itself as many draws as the confidence leaves.
        worst = one.each.draws.worst
        assert worst is None or worst.share < 1.0 - one.confidence
        assert one.likely.power.low < one.likely.power.value < one.likely.power.high
    for less, more in pairwise(found):
        assert more.each.trial.scale <= less.each.trial.scale
        assert more.likely.trial.scale <= less.likely.trial.scale


@pytest.mark.slow
def test_sure_of_each_is_what_check_calls_below_caution():
    # `check` counts a tail of one draw in ten: nine in ten sure of each is no caution that boost answers for.
    bench = bench_of(SMALL, samples=24)
    found = ceiling(bench, grade="caution", confidence=0.9)
    graded = {f.rule: f.grade for f in bench.judged(lever(bench).edits(found.each.trial.scale)).findings}
    beyond = {f.rule: f.grade for f in bench.judged(lever(bench).edits(found.each.fails_at)).findings}
    binds = {f.rule for f in found.each.binds}
    assert all(severity(graded.get(rule, "clear")) < severity("caution") <= severity(beyond[rule]) for rule in binds)


@pytest.mark.slow
def test_families_tell_which_makes_confidence_dear():
    bench = bench_of(SMALL, samples=24)
    found = ceiling(bench, grade="reinforce", confidence=0.9)
    first = found.families[0]
    # The clutch, by the case's own expectations; its chance falls with boost, and its own answer lies between.
    assert first.family == "driveline" and first.together <= 0.1 < first.typical
    assert found.likely.power.value <= first.alone_w * 1.005 <= found.nominal.power.value


@pytest.mark.slow
def test_draws_are_counted_as_check_counts_them():
    from enginelimits.decisions.boost_trial import BoostTrials, drawn

    bench = bench_of(SMALL, samples=24)
    trial = BoostTrials(bench, lever(bench)).at(1.0, samples=24)
    counted = {d.finding.rule: d.draws for d in drawn(trial, severity("caution"), {}, bench.catalogue).by}
    chances = {f.rule: f.chances for f in trial.judgement.findings}
    for rule in ("DRV001", "AIR002", "HET001"):
        share = sum(chances[rule][grade] for grade in ("caution", "reinforce", "decline"))
        assert counted[rule] == pytest.approx(24 * share)


@pytest.mark.slow
def test_what_boost_does_not_answer_for_is_left_out_and_listed(bench):
    found = ceiling(Bench(load_build(CASES / "neglected-1800" / "build.yaml"), bench.catalogue, samples=0))
    left = {one.finding.rule for one in found.left_out}
    # used stretch bolts and knock control that hears nothing are there at any boost
    assert {"ROD009", "KNK009"} <= left
    assert not left & {f.rule for f in found.nominal.binds}


@pytest.mark.slow
def test_even_the_least_boost_may_reach_it(bench):
    small = {"replace": "fuel_system.port_injectors", "with": {"count": 4, "flow": "150 cc/min", "rated_at": "3 bar"}}
    found = ceiling(Bench(edited(load_build(SMALL), [small]), bench.catalogue, samples=0))
    # 145 hp at about 330 g/kWh and 0.72 kg/L is 830 cc/min, more than four injectors of 150 give (sum by hand)
    assert found.nominal.state == "least reaches"
    assert found.nominal.trial is None and "FUL001" in {f.rule for f in found.nominal.binds}


@pytest.mark.slow
def test_where_nothing_binds_the_top_of_the_search_is_told(bench):
    # judged by the clutch alone, and that holds eight times the torque asked for
    clutch_alone = replace(bench.catalogue, rules={"DRV001": bench.catalogue.rules["DRV001"]}, _stages={})
    build = edited(load_build(SMALL), [{"set": "driveline.clutch_capacity", "to": "2000 N*m"}])
    found = ceiling(Bench(build, clutch_alone, samples=0))
    assert found.nominal.state == "nothing binds"
    assert found.nominal.trial.scale * found.asked_pa == pytest.approx(found.top_pa)
    assert not found.nominal.binds and found.nominal.fails_at is None


def test_where_nothing_reaches_decline_what_stands_at_the_end_is_told(bench):
    found = ceiling(bench, grade="decline")
    assert found.nominal.state == "nothing binds" and not found.interrupted
    standing = found.standing["typical"]
    # Three times the boost asked for slips the clutch; its rule goes no further than reinforce.
    assert ("DRV001", "reinforce") in {(f.rule, f.grade) for f in standing}
    assert all(f.grade in ("caution", "reinforce") for f in standing)


def test_few_judgements_are_made(reinforce):
    assert reinforce.judgements <= 10


def test_interrupted_it_gives_what_is_known():
    """On a bench that is stopped in the middle of a search."""

    class Stopped(Bench):
        stop_after, calls = 4, 0

        def judged(self, edits=(), *, samples=None):
            self.calls += 1
            if self.calls > self.stop_after:
                raise KeyboardInterrupt
            return super().judged(edits, samples=samples)

    whole = bench_of(SMALL, samples=0)
    found = ceiling(Stopped(whole.build, whole.catalogue, samples=0), grade="reinforce")
    assert found.interrupted and found.nominal.state == "cut short"
    assert found.nominal.trial is not None and 0.9 < found.nominal.fails_at <= 1.0


def looked(step, passes_below, excess=None):
    return Looked(step, None, step <= passes_below, excess=excess)


@pytest.mark.parametrize("end", [-399, -250, -123, -70, -69, -31, -2, -1, 0, 1, 17, 80])
def test_the_last_step_that_passes_is_found_whatever_the_guess(end):
    for guess in (lambda *_: None, lambda *_: STEP**end, lambda *_: STEP ** (end - 5), lambda *_: 0.9):
        bracket = Bracket(lambda step: looked(step, end), guess, 3.0).closed(0, (HALF, NONE))
        assert (bracket.best.step, bracket.worst.step) == (end, end + 1)


def test_steps_of_the_search_end_at_its_top_and_at_none():
    assert Bracket(lambda step: looked(step, 999), lambda *_: None, 3.0).closed(0, (HALF, NONE)).end == "top"
    bracket = Bracket(lambda step: looked(step, -999), lambda *_: None, 3.0).closed(0, (HALF, NONE))
    assert bracket.end == "least reaches" and bracket.best is None
