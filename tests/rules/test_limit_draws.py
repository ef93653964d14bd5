"""Limits drawn as far as they are in doubt: how wide, by which stream, and what it does to grades."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.rules.catalogue import Catalogue, load_catalogue
from enginelimits.rules.doubt import Ends, begin_of_scale, ends, limit_draws, streams
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.files import Read, read_rules
from enginelimits.rules.ground import Reading
from enginelimits.rules.model import Amount, Compare, Fact, FactHolds, Grade, Limit, LimitName, Other, Rule, Span
from enginelimits.rules.reader import Reader

DATA = Path(__file__).parent / "data" / "catalogue"
MEP = "brake.mean_effective_pressure"
TEXTS = {"forced_induction.kind": "turbocharger", "internals.rods.class": "light-forged-steel"}
DRAWS = 2000


class Steady:
    """The same values in every draw of one engine speed."""

    def __init__(self, rows: int = 1 + DRAWS, **quantities: Reading) -> None:
        self.shape = (1, rows, 1)
        self.speeds = np.array([2500 * math.pi / 30])
        self._quantities = {name.replace("__", "."): reading for name, reading in quantities.items()}

    def quantity(self, id: str) -> Reading | None:
        return self._quantities.get(id)

    def input(self, path: str) -> Reading:
        value = TEXTS.get(path)
        return Reading(value, "1", frozenset() if value is not None else frozenset((path,)))


def at_mep(bar: float, rows: int = 1 + DRAWS) -> Steady:
    return Steady(rows, brake__mean_effective_pressure=Reading(np.array(bar * 1e5), "Pa"),
                  combustion__spark_retard=Reading(np.array(math.radians(8.0)), "rad"))


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue(DATA)


def rule_of(leaf: Compare, **limits: Limit) -> Rule:
    return Rule("TST001", "A test", "tests", (Grade("caution", leaf),), limits=limits, confidence="medium")


def with_rule(catalogue: Catalogue, rule: Rule, **facts: Fact) -> Catalogue:
    return replace(catalogue, rules={rule.id: rule}, facts=facts, overrides=(), _stages={})


def share_beyond(catalogue: Catalogue, rule: Rule, ground: Steady, **facts: Fact) -> float:
    outcome = evaluate(with_rule(catalogue, rule, **facts), ground, engine="plain", limit_seed=1).outcomes[rule.id]
    return float((outcome.grade[0, 1:] > 0).mean())


# The share of a normal with these 5th and 95th percentiles below a point, by scipy.
def normal_share(value: float, limit: float, half: float) -> float:
    return float(stats.norm.cdf((value - limit) / (half / stats.norm.ppf(0.95))))


def test_the_chance_is_that_of_a_normal_about_the_limit(catalogue: Catalogue) -> None:
    # Caution at 19.5 bar, medium confidence: 5 % to either side as 5th and 95th percentile.
    ground = at_mep(19.0)
    outcome = evaluate(catalogue, ground, limit_seed=1).outcomes["ROD003"]
    crossed = float((outcome.grade[0, 1:] >= 2).mean())
    assert crossed == pytest.approx(normal_share(19.0, 19.5, 0.05 * 19.5), abs=1.5 / DRAWS)
    assert outcome.grade[0, 0] == 0  # the typical row knows the limit itself


@pytest.mark.parametrize(("confidence", "share"), [("high", 0.02), ("medium", 0.05), ("low", 0.10), ("", 0.0)])
def test_less_confidence_is_a_wider_limit(confidence: str, share: float) -> None:
    found = ends(Amount(20.0, "bar"), Limit("l", Amount(20.0, "bar")), "Pa", MEP, confidence)
    assert found == (None if not share else pytest.approx((20e5, 20e5 * (1 - share), 20e5 * (1 + share))))


def test_without_a_seed_nothing_is_drawn(catalogue: Catalogue) -> None:
    for seed, drawn in ((None, 0), (1, 3)):
        found = evaluate(catalogue, at_mep(19.4), limit_seed=seed)
        assert found.limits_drawn >= drawn if drawn else found.limits_drawn == 0
        assert bool((found.outcomes["ROD003"].grade[0, 1:] > 0).any()) is bool(drawn)
    alone = evaluate(catalogue, at_mep(19.4, rows=1), limit_seed=1)
    assert alone.limits_drawn == 0 and alone.outcomes["ROD003"].grade.tolist() == [[0]]


def test_row_0_is_graded_as_without_draws_and_by_either_engine(catalogue: Catalogue) -> None:
    for bar in (19.0, 19.6, 21.4, 21.6):
        graded = [evaluate(catalogue, at_mep(bar, 65), engine=engine, limit_seed=seed).outcomes["ROD003"].grade[:, 0]
                  for engine in ("plain", "auto") for seed in (None, 1, 2)]
        assert all(np.array_equal(graded[0], other) for other in graded)


def test_both_engines_draw_the_same_limits(catalogue: Catalogue) -> None:
    one, other = (evaluate(catalogue, at_mep(19.4, 65), engine=engine, limit_seed=3).outcomes["ROD003"].grade
                  for engine in ("plain", "auto"))
    assert np.array_equal(one, other)


def test_a_worse_limit_hardly_ever_lies_on_the_milder_side(catalogue: Catalogue) -> None:
    # Caution 19.5 bar of medium and reinforce 21.5 bar of low confidence lie on one stream.
    outcome = evaluate(catalogue, at_mep(20.4), limit_seed=1).outcomes["ROD003"]
    rule = catalogue.rules["ROD003"]
    names = streams(rule)
    assert names["caution_mep"] == names["reinforce_mep"]
    drawn = [limit_draws(ends(rule.limits[n].value, rule.limits[n], "Pa", MEP, rule.limits[n].confidence), names[n],
                         DRAWS, 1)[0, 1:, 0] for n in ("caution_mep", "reinforce_mep")]
    # The wider one meets the other only far out: 19.5 (1 - 0.05 z / 1.645) = 21.5 (1 - 0.1 z / 1.645), so z = 2.80.
    # With streams of their own it would be in 4 of 100: the difference of 2 bar over hypot(0.59, 1.31) bar.
    assert float((drawn[0] >= drawn[1]).mean()) == pytest.approx(stats.norm.cdf(-2.80), abs=1.5 / DRAWS)
    assert 0 < float((outcome.grade[0, 1:] >= 3).mean()) < float((outcome.grade[0, 1:] >= 2).mean())


def test_a_speed_that_parts_the_range_is_not_drawn(catalogue: Catalogue) -> None:
    assert "low_speed" not in streams(catalogue.rules["ROD003"])


def test_an_input_that_tells_cases_apart_is_not_drawn_unless_the_rule_states_ends() -> None:
    leaf = Compare("input", "fuel.ethanol", "above", LimitName("blend"))
    blend = Limit("blend", Amount(25.0, "%"))
    assert streams(rule_of(leaf, blend=blend)) == {}
    stated = replace(blend, low=Amount(20.0, "%"), high=Amount(30.0, "%"))
    assert list(streams(rule_of(leaf, blend=stated))) == ["blend"]


def test_stated_ends_stand_and_equal_ones_say_exact(catalogue: Catalogue) -> None:
    limit = Limit("l", Amount(20.0, "bar"), confidence="low", low=Amount(19.0, "bar"), high=Amount(24.0, "bar"))
    assert ends(limit.value, limit, "Pa", MEP, "low") == pytest.approx((20e5, 19e5, 24e5))
    rows = limit_draws(Ends(20e5, 19e5, 24e5), "a limit", 4000, 1)[0, 1:, 0]
    assert np.percentile(rows, (5, 50, 95)) == pytest.approx((19e5, 20e5, 24e5), rel=2e-3)
    exact = replace(limit, low=limit.value, high=limit.value)
    assert ends(exact.value, exact, "Pa", MEP, "low") is None
    rule = rule_of(Compare("quantity", MEP, "above", LimitName("l")), l=exact)
    assert share_beyond(catalogue, rule, at_mep(19.99)) == 0.0


def test_a_shops_number_has_the_ends_of_its_confidence_not_those_of_the_number_it_replaces() -> None:
    limit = Limit("l", Amount(20.0, "bar"), confidence="low", low=Amount(10.0, "bar"), high=Amount(40.0, "bar"))
    assert ends(Amount(22.0, "bar"), limit, "Pa", MEP, "low") == pytest.approx((22e5, 19.8e5, 24.2e5))


def test_a_temperature_is_in_doubt_as_a_rise_over_ordinary_air() -> None:
    # 125 degC is 100 K above 25 degC: 5 % are 5 K whatever the unit that it is written in.
    for amount in (Amount(125.0, "degC"), Amount(257.0, "degF"), Amount(398.15, "K")):
        found = ends(amount, None, "K", "oil.temperature", "medium")
        assert found == pytest.approx((398.15, 393.15, 403.15))
    # a difference is told from nil: 20 K, a tenth is 2 K
    assert ends(Amount(20.0, "K"), None, "K", "coolant.boiling_margin", "low") == pytest.approx((20.0, 18.0, 22.0))


def test_what_is_told_over_the_standard_engine_begins_at_one() -> None:
    # a limiter raised by 3 %: a tenth of those 3 %, or every engine would cross it
    found = ends(Amount(1.03), None, "1", "engine.limiter_raise", "low")
    assert found == pytest.approx((1.03, 1.027, 1.033))
    assert QUANTITIES["engine.limiter_raise"].nil == 1.0 and begin_of_scale(Amount(1.0), "1", "rod.column_use") == 0.0


def test_a_limit_of_nil_has_no_ends_by_confidence() -> None:
    assert ends(Amount(0.0), None, "1", "compressor.surge_margin", "low") is None


def test_a_factor_of_another_quantity_is_drawn(catalogue: Catalogue) -> None:
    # 20 bar against 0.5 (low confidence) times 39 bar: a normal about 19.5 bar with a tenth to either side.
    leaf = Compare("quantity", MEP, "above", Other("quantity", "indicated.mean_effective_pressure", LimitName("f")))
    rule = rule_of(leaf, f=Limit("f", Amount(0.5), confidence="low"))
    ground = Steady(brake__mean_effective_pressure=Reading(np.array(19e5), "Pa"),
                    indicated__mean_effective_pressure=Reading(np.array(39e5), "Pa"))
    assert share_beyond(catalogue, rule, ground) == pytest.approx(normal_share(19.0, 19.5, 1.95), abs=1.5 / DRAWS)


def test_a_number_of_a_shared_fact_is_drawn_as_of_medium_confidence(catalogue: Catalogue) -> None:
    fact = Fact("loaded", "It is loaded.", Compare("quantity", MEP, "above", Amount(19.5, "bar")))
    rule = Rule("TST002", "A test", "tests", (Grade("note", FactHolds("loaded")),))
    found = share_beyond(catalogue, rule, at_mep(19.0), loaded=fact)
    assert found == pytest.approx(normal_share(19.0, 19.5, 0.05 * 19.5), abs=1.5 / DRAWS)


def test_a_limit_more_moves_no_other(catalogue: Catalogue) -> None:
    first = Compare("quantity", MEP, "above", LimitName("a"))
    second = Compare("quantity", "cylinder.peak_pressure", "above", LimitName("b"))
    a, b = Limit("a", Amount(19.5, "bar")), Limit("b", Amount(90.0, "bar"))
    alone = rule_of(first, a=a)
    both = replace(alone, grades=(Grade("reinforce", second), Grade("caution", first)), limits={"b": b, "a": a})
    assert streams(alone)["a"] == streams(both)["a"] != streams(both)["b"]


def test_a_limit_of_the_span_is_no_doubt_of_a_quantity() -> None:
    leaf = Compare("quantity", MEP, "above", LimitName("early"))
    rule = replace(rule_of(leaf, early=Limit("early", Amount(2500.0, "rpm"))), span=Span(below=LimitName("early")))
    assert streams(rule) == {}


def test_the_cause_tells_between_what_the_limit_was_drawn(catalogue: Catalogue) -> None:
    outcome = evaluate(catalogue, at_mep(20.0, 65), limit_seed=1).outcomes["ROD003"]
    used = outcome.witness(2).causes[0].limit
    assert used is not None and (used.value, used.low, used.high) == pytest.approx((19.5e5, 18.525e5, 20.475e5))
    in_a_draw = outcome.witness(2, 5).causes[0].limit
    assert in_a_draw is not None and in_a_draw.value != used.value and in_a_draw.shipped_value == used.shipped_value
    undrawn = evaluate(catalogue, at_mep(20.0, 65)).outcomes["ROD003"].witness(2).causes[0].limit
    assert undrawn is not None and undrawn.low is None


RULE = """
id: TST003
title: A rule
family: tests
status: stable
since: "0.1"
author: the project
date: 2026-11-25
limits:
  l: {value: 20 bar, evidence: memory, confidence: low, %s}
grades: [{grade: note, when: {quantity: brake.mean_effective_pressure, above: l}}]
why: A test.
message: A test.
"""


def read(ends_written: str) -> tuple[Reader, Read]:
    reader, into = Reader("rule.yaml"), Read()
    read_rules(reader, RULE % ends_written, "base", into)
    return reader, into


def test_ends_are_read_with_the_limit() -> None:
    reader, into = read("low: 19 bar, high: 2.4 MPa")
    assert not reader.problems
    limit = into.rules[0].limits["l"]
    assert (limit.low, limit.high) == (Amount(19.0, "bar"), Amount(2.4, "MPa"))


@pytest.mark.parametrize(
    ("written", "wanted"),
    [("low: 19 bar", "both ends"), ("low: 19 K, high: 24 K", "ends like"), ("low: 21 bar, high: 24 bar", "order")],
)
def test_ends_that_cannot_be_are_refused(written: str, wanted: str) -> None:
    reader, _ = read(written)
    assert [p.wanted for p in reader.problems if wanted in p.wanted]


def test_every_shipped_limit_keeps_its_sign_and_order_within_its_ends() -> None:
    """No band is so wide that a limit could change sign; what is drawn at all is the greater part of the catalogue."""
    shipped, count = load_catalogue(), 0
    for rule in shipped.judged("build").values():
        for name, stream in streams(rule).items():
            limit = rule.limits[name]
            unit = limit.value.si_unit
            found = ends(limit.value, limit, unit, stream.rpartition(" ")[2], limit.confidence or rule.confidence)
            if found is not None:
                count += 1
                assert found.low * found.high > 0.0 or limit.low is not None, (rule.id, name)
                assert found.low <= found.value <= found.high
    assert count > 150
