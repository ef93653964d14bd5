"""From what a rule said to a finding: caps of weak evidence, what lifts them, and what is told.

Grades and caps are the project's own rules; the outcomes are made by hand.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from enginelimits.assessment.columns import Column
from enginelimits.decisions.findings import finding_of, spoken
from enginelimits.rules.grades import CAUTION, CLEAR, DECLINE, GRADES, NOTE, REINFORCE
from enginelimits.rules.model import Amount, Grade, Limit, Rule
from enginelimits.rules.outcome import Cause, LimitUsed, RuleOutcome, Witness

# The rod's use is made from its load; both come from the cylinder's pressure, as the mean pressure does.
COLUMNS = {
    "rod.column_use": Column(0.0, takes={"compression_n": "rod.compression"}),
    "rod.compression": Column(0.0, takes={"cylinder_pressure_pa": "cylinder.pressure_trace"}),
    "brake.mean_effective_pressure": Column(0.0, takes={"gross": "indicated.mean_effective_pressure"}),
}
ASSESSMENT = SimpleNamespace(columns=COLUMNS, speeds=(300.0, 600.0), ambients=("site", "hot day"))
CATALOGUE = SimpleNamespace(remedies={})


def outcome(rule_id, row0, quantity, *, confidence="medium", evidence="computed", part="rods", method="",
            bound=False, draws=(), could_be=None, kind="quantity"):
    limits = {"most": Limit("most", Amount(1.0), evidence=evidence, confidence=confidence)}
    grades = tuple(Grade(name, None) for name in ("decline", "reinforce", "caution", "note"))
    rule = Rule(rule_id, rule_id, "rods", grades, limits=limits, part=part, method=method, bound=bound,
                message="{value} over {limit}.", settled_by="A calliper.")
    grade = np.array([[row0, *draws], [CLEAR] * (1 + len(draws))], dtype=np.int8)
    used = LimitUsed("most", 1.0, "1", "above", "base", 1.0)
    witness = Witness(0, 1, row0 > CLEAR, (Cause(kind, quantity, 1.2, "1", used, 1.2),), {"most": used})
    possible = grade if could_be is None else np.maximum(grade, could_be).astype(np.int8)
    return RuleOutcome(rule, grade, possible, np.ones_like(grade), np.ones(grade.shape, dtype=bool),
                       ("internals.rods.shank_area",) if could_be else (), False, lambda g, row: witness)


def finding(said, *others):
    heard = [spoken(o, ASSESSMENT) for o in (said, *others)]
    return finding_of(heard[0], heard, ASSESSMENT, CATALOGUE)


def low(rule_id, row0, quantity, **more):
    return outcome(rule_id, row0, quantity, confidence="low", **more)


def test_low_confidence_caps_at_caution_and_shows_what_it_would_be():
    got = finding(low("A", DECLINE, "rod.column_use"))
    assert (got.grade, got.uncapped) == ("caution", "decline")
    assert "By the numbers alone this is decline" in got.message


def test_a_rule_of_independent_method_on_the_same_part_lifts_the_cap_to_reinforce():
    other = outcome("B", REINFORCE, "brake.mean_effective_pressure")
    got = finding(low("A", DECLINE, "rod.column_use"), other)
    assert (got.grade, got.uncapped) == ("reinforce", "decline")


@pytest.mark.parametrize(
    ("why", "other"),
    [
        ("another part", {"row0": REINFORCE, "quantity": "brake.mean_effective_pressure", "part": "pins"}),
        ("milder", {"row0": CAUTION, "quantity": "brake.mean_effective_pressure"}),
        ("made from it", {"row0": REINFORCE, "quantity": "rod.compression"}),
        ("the same quantity", {"row0": REINFORCE, "quantity": "rod.column_use"}),
        ("a bound", {"row0": REINFORCE, "quantity": "brake.mean_effective_pressure", "bound": True}),
        ("one knock event", {"row0": REINFORCE, "quantity": "rod.event_use"}),
        ("the same method", {"row0": REINFORCE, "quantity": "brake.mean_effective_pressure",
                             "method": "column"}),
    ],
)
def test_nothing_else_lifts_it(why, other):
    got = finding(low("A", DECLINE, "rod.column_use", method="column"), outcome("B", **other))
    assert got.grade == "caution", why


def test_two_rules_of_low_confidence_lift_each_other():
    one, two = low("A", DECLINE, "rod.column_use"), low("B", REINFORCE, "brake.mean_effective_pressure")
    assert finding(one, two).grade == finding(two, one).grade == "reinforce"


@pytest.mark.parametrize("row0", [NOTE, CAUTION, REINFORCE, DECLINE])
def test_a_bound_never_goes_beyond_note(row0):
    by_rule = finding(outcome("A", row0, "rod.column_use", bound=True))
    by_quantity = finding(outcome("A", row0, "piston.crown_stress"))
    assert by_rule.grade == by_quantity.grade == "note"
    assert by_rule.uncapped == GRADES[row0]


def test_a_bound_is_not_lifted_by_another_rule():
    other = outcome("B", DECLINE, "brake.mean_effective_pressure")
    assert finding(low("A", DECLINE, "rod.column_use", bound=True), other).grade == "note"


def test_good_evidence_is_not_capped():
    assert finding(outcome("A", DECLINE, "rod.column_use", confidence="high")).grade == "decline"


def two_limits(row0, *, mild_is_met=True, mild="medium"):
    """A rule whose limit of decline rests on little, and that of reinforce on more."""
    made = low("A", row0, "rod.column_use")
    firm = Limit("enough", Amount(0.8), evidence="computed", confidence=mild)
    rule = replace(made.rule, limits={**made.rule.limits, "enough": firm})
    used = LimitUsed("enough", 0.8, "1", "above", "base", 0.8)
    milder = Witness(0, 1, mild_is_met, (Cause("quantity", "rod.column_use", 1.2, "1", used, 1.5),), {"enough": used})
    graver = made.witness(DECLINE)
    return replace(made, rule=rule, find=lambda grade, row: milder if grade == REINFORCE else graver)


def test_a_graver_limit_on_weak_evidence_takes_nothing_from_a_milder_one_on_better():
    # Else a worse engine would be graded milder: beyond 0.8 reinforce, beyond 1 caution.
    got = finding(two_limits(DECLINE))
    assert (got.grade, got.uncapped, got.confidence) == ("reinforce", "decline", "medium")
    assert got.message.startswith("120 % over 80 %.")
    assert "By the numbers alone this is decline; the limit of decline rests on too little" in got.message


@pytest.mark.parametrize("milder", [{"mild_is_met": False}, {"mild": "low"}])
def test_a_milder_limit_speaks_only_where_it_is_crossed_and_rests_on_more(milder):
    assert finding(two_limits(DECLINE, **milder)).grade == "caution"


def test_what_could_be_worse_is_told_with_what_is_missing():
    got = finding(outcome("A", NOTE, "rod.column_use", could_be=REINFORCE))
    assert (got.grade, got.could_be, got.missing) == ("note", "reinforce", ("internals.rods.shank_area",))


def test_a_tail_that_reaches_reinforce_names_what_settles_it():
    # Four of twenty draws reach reinforce: the finding is a caution, and a measurement would decide.
    got = finding(outcome("A", CLEAR, "rod.column_use", draws=[REINFORCE] * 4 + [CLEAR] * 16))
    assert got.grade == "caution" and got.chance == pytest.approx(0.2)
    assert "In 20% of the draws it would be reinforce" in got.message and "A calliper." in got.message
    assert got.chance_word == "possible"


def test_a_typical_build_that_is_not_known_everywhere_is_not_said_to_stay_within_the_limit():
    """Row 0 is a note where it is known, and could be a caution where it is not; a quarter of the draws are one."""
    said = outcome("A", NOTE, "rod.column_use", draws=[CAUTION] * 5 + [NOTE] * 15, could_be=CAUTION)
    asked = []
    got = finding(replace(said, find=lambda grade, row: asked.append((grade, row)) or said.find(grade, row)))
    assert (got.grade, got.could_be) == ("caution", None) and got.chance == pytest.approx(0.25)
    assert asked == [(NOTE, 0)]
    assert "The typical build is not known everywhere; 25% of the draws reach caution." in got.message
    assert "stays within" not in got.message and "A tail of 25 % reaches caution." in got.brief


def test_a_comparison_tells_value_limit_and_place():
    (because,) = finding(outcome("A", NOTE, "rod.column_use")).because
    assert (because.kind, because.name, because.value) == ("quantity", "rod.column_use", 1.2)
    assert (because.limit.name, because.limit.value, because.limit.sense) == ("most", 1.0, "above")
    assert (because.at.engine_speed, because.at.ambient) == (600.0, "site")


def test_evidence_is_that_of_the_limit():
    got = finding(outcome("A", NOTE, "rod.column_use", evidence="memory", confidence="low"))
    assert (got.evidence, got.confidence) == ("memory", "low")


def test_a_message_stands_in_us_units_too():
    said = outcome("A", CAUTION, "brake.mean_effective_pressure")
    used = LimitUsed("most", 2.0e6, "Pa", "above", "base", 2.0e6)
    causes = (Cause("quantity", "brake.mean_effective_pressure", 2.19e6, "Pa", used, 1.1),)
    said = replace(said, find=lambda g, row: Witness(0, 1, True, causes, {"most": used}))
    got = finding(said)
    # 2.19 MPa / 6894.757 Pa = 317.6 psi; 2.0 MPa = 290.1 psi
    assert got.whole("metric").startswith("21.9 bar over 20.0 bar.")
    assert got.whole("us").startswith("318 psi over 290 psi.") and got.short("us").startswith("318 psi over 290 psi.")
