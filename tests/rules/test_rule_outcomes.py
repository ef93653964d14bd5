"""What one rule says of values over engine speed, ambient and draws."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from enginelimits.errors import RuleError
from enginelimits.rules.atoms import Typed, score
from enginelimits.rules.catalogue import Catalogue, load_catalogue
from enginelimits.rules.evaluate import RuleOutcome, evaluate, reads, span_of
from enginelimits.rules.ground import Reading
from enginelimits.rules.messages import message_text
from enginelimits.rules.model import Amount, Compare, Every, Given, Grade, Place, Rule, RuleReaches, Span
from enginelimits.rules.testing import run_tests

DATA = Path(__file__).parent / "data" / "catalogue"
RPM = np.pi / 30
MEP, RETARD = "brake.mean_effective_pressure", "combustion.spark_retard"
TEXTS = {"forced_induction.kind": "turbocharger", "internals.rods.class": "light-forged-steel"}


class Table:
    """A ground of (ambients, rows, speeds) from arrays."""

    def __init__(self, quantities: dict[str, Reading], speeds_rpm: list[float], rows: int = 1, ambients: int = 1,
                 texts: dict[str, object] | None = None) -> None:  # fmt: skip
        self.shape = (ambients, rows, len(speeds_rpm))
        self.speeds = np.array(speeds_rpm) * RPM
        self._quantities = quantities
        self._texts = TEXTS if texts is None else texts

    def quantity(self, id: str) -> Reading | None:
        return self._quantities.get(id)

    def input(self, path: str) -> Reading:
        value = self._texts.get(path)
        return Reading(value, "1", frozenset() if value is not None else frozenset((path,)))


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue(DATA)


def pressures(bar: object, **more: object) -> Reading:
    return Reading(np.array(bar, dtype=float) * 1e5, "Pa", **more)  # type: ignore[arg-type]


def retards(deg: object) -> Reading:
    return Reading(np.radians(np.array(deg, dtype=float)), "rad")


def judged(catalogue: Catalogue, ground: Table, engine: str = "auto") -> RuleOutcome:
    return evaluate(catalogue, ground, engine=engine).outcomes["ROD003"]


def test_the_tests_beside_the_rule_hold_on_both_engines(catalogue: Catalogue) -> None:
    results = run_tests(catalogue)
    assert [(r.name, r.expected, r.got) for r in results if not r.passed] == []
    assert len(results) == 13


def test_each_ambient_and_draw_has_a_grade_of_its_own(catalogue: Catalogue) -> None:
    bar = [[[19.0, 19.0], [20.0, 19.0], [19.0, 22.0]], [[20.0, 19.0], [19.0, 19.0], [np.nan, 19.0]]]
    ground = Table({MEP: pressures(bar), RETARD: retards(8.0)}, [2500, 3000], rows=3, ambients=2)
    outcome = judged(catalogue, ground)
    assert outcome.grade.tolist() == [[0, 2, 3], [2, 0, 0]]
    assert outcome.could_be.tolist() == [[0, 2, 3], [2, 0, 3]]
    assert outcome.judged.tolist() == [[True, True, True], [True, True, False]]
    assert outcome.missing == ()  # what a draw lacks says nothing of row 0


def test_at_the_limit_is_not_beyond_it_and_a_part_in_a_billion_is_no_matter(catalogue: Catalogue) -> None:
    for factor, grade in ((1.0, 0), (1.0 + 5e-10, 0), (1.0 + 2e-9, 2), (1.0 - 1e-12, 0)):
        ground = Table({MEP: pressures([19.5 * factor]), RETARD: retards(8.0)}, [2500])
        assert judged(catalogue, ground).grade[0, 0] == grade, factor


def test_the_edge_of_a_span_is_outside_it(catalogue: Catalogue) -> None:
    ground = Table({MEP: pressures([26.0]), RETARD: retards(8.0)}, [3500.0])
    assert judged(catalogue, ground).applies[0, 0] == 0
    inside = Table({MEP: pressures([26.0]), RETARD: retards(8.0)}, [3499.9])
    assert judged(catalogue, inside).grade[0, 0] == 3


@pytest.mark.parametrize(("rpm", "inside"), [(3499.9, False), (3500.0, False), (3500.1, True)])
def test_the_lower_edge_of_a_span_is_outside_it(rpm: float, inside: bool) -> None:
    rule = Rule("TST001", "A test", "tests", (), span=Span(above=Amount(3500.0, "rpm")))
    assert span_of(rule, Table({}, [rpm]), {}).tolist() == [inside]


def test_beyond_a_formula_is_unknown_and_told_apart_from_missing(catalogue: Catalogue) -> None:
    beyond = pressures([26.0, 19.0], outside=np.array([True, False]))
    outcome = judged(catalogue, Table({MEP: beyond, RETARD: retards(8.0)}, [2500, 3000]))
    assert (outcome.grade[0, 0], outcome.could_be[0, 0], outcome.outside) == (0, 3, True)
    assert not outcome.judged[0, 0]
    missing = pressures([np.nan, 19.0], missing=frozenset({"engine.bore"}))
    outcome = judged(catalogue, Table({MEP: missing, RETARD: retards(8.0)}, [2500, 3000]))
    assert (outcome.missing, outcome.outside) == (("engine.bore",), False)


def test_a_range_breach_with_a_true_grade_elsewhere_is_judged(catalogue: Catalogue) -> None:
    beyond = pressures([26.0, 22.0], outside=np.array([True, False]))
    outcome = judged(catalogue, Table({MEP: beyond, RETARD: retards(8.0)}, [2500, 3000]))
    assert (outcome.grade[0, 0], outcome.outside) == (3, False)
    assert outcome.judged[0, 0]


def test_what_does_not_apply_is_no_finding_and_no_gap(catalogue: Catalogue) -> None:
    nowhere = pressures([np.nan, np.nan], applicable=False)
    outcome = judged(catalogue, Table({MEP: nowhere, RETARD: Reading(None, "1", frozenset("x"), False, False)},
                                      [2500, 3000]))  # fmt: skip
    assert (outcome.applies[0, 0], outcome.missing, outcome.could_be[0, 0]) == (0, (), 0)


def test_an_unknown_word_is_not_taken_for_another(catalogue: Catalogue) -> None:
    texts = {**TEXTS, "internals.rods.class": "unknown"}
    outcome = judged(catalogue, Table({MEP: pressures([26.0]), RETARD: retards(8.0)}, [2500], texts=texts))
    assert (outcome.applies[0, 0], outcome.missing) == (-1, ("internals.rods.class",))


def test_the_witness_is_where_the_limit_is_passed_furthest(catalogue: Catalogue) -> None:
    bar = [[[19.6, 20.8, 26.0]], [[19.9, 20.1, 26.0]]]
    ground = Table({MEP: pressures(bar), RETARD: retards(8.0)}, [2500, 3000, 4500], ambients=2)
    outcome = judged(catalogue, ground)
    witness = outcome.witness(2)
    assert (witness.ambient, witness.speed, witness.met) == (0, 1, True)
    lead = witness.causes[0]
    assert (lead.kind, lead.name, lead.unit) == ("quantity", MEP, "Pa")
    assert lead.value == pytest.approx(20.8e5)
    assert lead.ratio == pytest.approx(20.8 / 19.5)
    assert lead.limit is not None
    assert (lead.limit.name, lead.limit.sense, lead.limit.layer) == ("caution_mep", "above", "fixture")
    assert lead.limit.value == pytest.approx(19.5e5)
    assert lead.limit.shipped_value == pytest.approx(19.5e5)
    assert [c.name for c in witness.causes[1:]] == ["forced_induction.kind", "light_rods"]
    text = message_text(outcome.rule, witness, speed=ground.speeds[witness.speed])
    assert text == "Mean effective pressure is 20.8 bar at 3000 rpm; the limit for light rods there is 19.5 bar."


def test_the_witness_of_what_is_the_same_but_for_round_off_is_the_first(catalogue: Catalogue) -> None:
    hair = 20.8 * (1.0 + 4e-16)
    assert hair > 20.8
    for bar in ([[[19.6, 20.8, hair]], [[20.8, hair, 20.8]]], [[[19.6, hair, 20.8]], [[hair, 20.8, hair]]]):
        ground = Table({MEP: pressures(bar), RETARD: retards(8.0)}, [2500, 2700, 3000], ambients=2)
        witness = judged(catalogue, ground).witness(2)
        assert (witness.ambient, witness.speed) == (0, 1)


def test_the_witness_of_either_branch_names_the_branch_that_holds(catalogue: Catalogue) -> None:
    ground = Table({MEP: pressures([20.0, 19.0]), RETARD: retards([2.0, 2.0])}, [2500, 3000])
    causes = judged(catalogue, ground).witness(3).causes
    assert [c.limit.name for c in causes if c.limit and c.kind == "quantity"] == ["caution_mep", "near_best"]


def test_of_branches_that_hold_the_one_furthest_beyond_leads(catalogue: Catalogue) -> None:
    """22 bar is 1.02 of 21.5 bar; 22 over 19.5 is 1.13, and 3 deg over 2 deg 1.5: the second branch is further."""
    ground = Table({MEP: pressures([22.0]), RETARD: retards([2.0])}, [2500])
    causes = judged(catalogue, ground).witness(3).causes
    held = [c.limit.name for c in causes if c.limit and c.kind == "quantity"]
    assert held == ["caution_mep", "near_best", "reinforce_mep"]


# By hand: the ratio where both are above nil, else one and the difference over the larger size.
@pytest.mark.parametrize(
    ("value", "sense", "against", "wanted"),
    [
        (30.0, "above", 20.0, 1.5),
        (20.0, "below", 30.0, 1.5),
        (-5.0, "above", -5.0, 1.0),
        (-3.0, "above", -5.0, 1.4),
        (-5.0, "above", -3.0, 0.6),
        (-5.0, "below", -3.0, 1.4),
        (2.0, "at_least", -2.0, 3.0),
        (-4.0, "above", 0.0, 0.0),
    ],
)
def test_how_far_beyond_a_limit_is_told_in_shares(value: float, sense: str, against: float, wanted: float) -> None:
    assert float(score(value, sense, against)) == pytest.approx(wanted)  # type: ignore[arg-type]


@pytest.mark.parametrize("given", [True, False])
def test_whether_something_is_given_hangs_on_no_range(given: bool) -> None:
    """That a value lies beyond a formula, or does not apply, does not unsay that the file states it."""
    ground = Table({}, [2500])
    ground.input = lambda path: Reading(np.array(7.0), "1", frozenset(), True, False)  # type: ignore[method-assign]
    look = Typed(ground).look(Given("engine.bore", given, Place("x.yaml", 1, 1)), {})
    assert (bool(look.true.all()), bool(look.false.all())) == (given, not given)


def test_a_rule_that_rests_on_another_shows_what_that_one_gave(catalogue: Catalogue) -> None:
    resting = Rule("TST001", "A test", "tests", (Grade("note", RuleReaches("ROD003", "caution")),))
    both = replace(catalogue, rules={**catalogue.rules, "TST001": resting}, _stages={})
    ground = Table({MEP: pressures([22.0]), RETARD: retards(8.0)}, [2500])
    causes = evaluate(both, ground).outcomes["TST001"].witness(1).causes
    assert [(c.kind, c.name, c.value) for c in causes] == [("rule", "ROD003", "reinforce")]


def test_what_may_be_met_speaks_before_what_is_certainly_not(catalogue: Catalogue) -> None:
    """At 2500 rpm the pressure falls just short, so that both can't hold; at 3000 rpm nobody knows."""
    heavy, early = Compare("quantity", MEP, "above", Amount(20.0, "bar")), Amount(3.0, "deg")
    both = Every((heavy, Compare("quantity", RETARD, "below", early)))
    rule = Rule("TST001", "A test", "tests", (Grade("caution", both),))
    alone = replace(catalogue, rules={"TST001": rule}, _stages={})
    ground = Table({MEP: pressures([19.9, np.nan]), RETARD: retards([2.0, np.nan])}, [2500, 3000])
    witness = evaluate(alone, ground).outcomes["TST001"].witness(2)
    assert (witness.met, witness.speed) == (False, 1)


def test_the_witness_stands_where_the_rule_applies(catalogue: Catalogue) -> None:
    """At 2500 rpm the pressure is higher, but there the rule does not speak."""
    early = Compare("quantity", RETARD, "below", Amount(3.0, "deg"))
    heavy = Grade("caution", Compare("quantity", MEP, "above", Amount(20.0, "bar")))
    rule = Rule("TST001", "A test", "tests", (heavy,), applies=early)
    ground = Table({MEP: pressures([25.0, 22.0]), RETARD: retards([8.0, 2.0])}, [2500, 3000])
    outcome = evaluate(replace(catalogue, rules={"TST001": rule}, _stages={}), ground).outcomes["TST001"]
    assert (outcome.witness(2).met, outcome.witness(2).speed) == (True, 1)


def test_a_quantity_beyond_its_formula_everywhere_is_unknown_everywhere(catalogue: Catalogue) -> None:
    outcome = judged(catalogue, Table({MEP: pressures([26.0], outside=True), RETARD: retards(8.0)}, [2500]))
    assert (outcome.grade[0, 0], outcome.could_be[0, 0], outcome.outside) == (0, 3, True)


def test_a_number_that_is_none_is_not_given() -> None:
    ground = Table({}, [2500])
    ground.input = lambda path: Reading(np.array([np.nan]), "m", frozenset((path,)))  # type: ignore[method-assign]
    look = Typed(ground).look(Given("engine.bore", True, Place("x.yaml", 1, 1)), {})
    assert (bool(look.true.all()), bool(look.false.all())) == (False, True)


def test_a_grade_not_given_still_shows_where_it_comes_nearest(catalogue: Catalogue) -> None:
    ground = Table({MEP: pressures([15.0, 19.0, 26.0]), RETARD: retards(8.0)}, [2500, 3000, 4500])
    witness = judged(catalogue, ground).witness(2)
    assert (witness.met, witness.speed) == (False, 1)
    assert witness.causes[0].ratio == pytest.approx(19.0 / 19.5)


def test_a_wider_unknown_never_makes_a_rule_milder(catalogue: Catalogue) -> None:
    known = judged(catalogue, Table({MEP: pressures([20.0]), RETARD: retards(2.0)}, [2500]))
    blank = Reading(None, "1", frozenset({RETARD}))
    blanked = judged(catalogue, Table({MEP: pressures([20.0]), RETARD: blank}, [2500]))
    assert known.grade[0, 0] == 3
    assert (blanked.grade[0, 0], blanked.could_be[0, 0], blanked.missing) == (2, 3, (RETARD,))


def test_a_quantity_that_nothing_offers_is_named(catalogue: Catalogue) -> None:
    with pytest.raises(RuleError, match=r"ROD003.*wanted a quantity of the vocabulary, got brake.mean"):
        judged(catalogue, Table({}, [2500]))


def test_another_dimension_is_refused_with_its_place(catalogue: Catalogue) -> None:
    wrong = {MEP: Reading(np.array([20.0]), "m"), RETARD: retards(8.0)}
    with pytest.raises(RuleError, match=r"yaml:24:15: wanted a unit of m, got `19.5 bar`"):
        judged(catalogue, Table(wrong, [2500]))


def test_an_unknown_engine_is_refused(catalogue: Catalogue) -> None:
    with pytest.raises(RuleError, match="auto, durable-rules, plain"):
        judged(catalogue, Table({}, [2500]), engine="other")


def test_what_a_rule_rests_on_includes_its_facts(catalogue: Catalogue) -> None:
    assert reads(catalogue, catalogue.rules["ROD003"]) == {
        ("quantity", MEP), ("quantity", RETARD), ("input", "forced_induction.kind"), ("input", "internals.rods.class")
    }  # fmt: skip


def of_grades(catalogue: Catalogue, *grades: Grade) -> Catalogue:
    rule = replace(catalogue.rules["ROD003"], applies=None, span=None, grades=grades)
    return replace(catalogue, rules={"ROD003": rule}, _stages={})


def test_a_grade_that_the_rule_does_not_have_shows_the_limit_of_the_next_worse(catalogue: Catalogue) -> None:
    """A tail beyond the worse limit is told as a caution: that limit is what the typical build stays within."""
    limits = [Grade("reinforce", Compare("quantity", MEP, "above", Amount(30.0, "bar"))),
              Grade("note", Compare("quantity", MEP, "above", Amount(20.0, "bar")))]
    ground = Table({MEP: pressures([26.0])}, [2500])
    lead = judged(of_grades(catalogue, *limits), ground).witness(2).causes[0]
    assert (lead.value, lead.limit and lead.limit.value) == (pytest.approx(26e5), pytest.approx(30e5))


def test_of_instants_that_one_part_holds_level_the_other_parts_choose(catalogue: Catalogue) -> None:
    """The retard lacks the same everywhere: the witness stands where the load is greatest, not at the first speed."""
    thick = Every((Compare("quantity", MEP, "above", Amount(15.0, "bar")),
                   Compare("quantity", RETARD, "below", Amount(3.0, "deg"))))
    ground = Table({MEP: pressures([16.0, 24.0, 20.0]), RETARD: retards(4.0)}, [2500, 3000, 3500])
    witness = judged(of_grades(catalogue, Grade("caution", thick)), ground).witness(2)
    assert (witness.speed, witness.met) == (1, False)
