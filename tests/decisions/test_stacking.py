"""From findings to one verdict.  How margins add up is the project's own rule; the findings are made by hand."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from enginelimits.assessment.columns import Column
from enginelimits.decisions.stacking import counts, governing_quantity, small_margins, verdict_of
from enginelimits.decisions.verdict import Because, Finding, NotJudged

# Roots by the vocabulary: gas load, engine speed, sensors, driveline, fuel demand.
GAS, ALSO_GAS = "rod.column_use", "head.clamp_ratio"
SPEED, SENSORS, DRIVE, FUEL = ("rod.tension", "sensor.air_meter_use", "clutch.reserve", "injector.port_duty")
EVENT = "rod.event_use"


def finding(rule, grade, *quantities, evidence="computed", evidences=(), could_be=None, kind="quantity"):
    because = tuple(Because(kind, q, 1.0, "1", None, None) for q in quantities)
    return Finding(rule, rule, "family", grade, grade, could_be, (), None, {}, "", False, "", "", because, (),
                   (), (), evidence, "medium", "", evidences=evidences)


def assessment(**takes):
    columns = {id_.replace("__", "."): Column(0.0, takes={str(i): t for i, t in enumerate(taken)})
               for id_, taken in takes.items()}
    return SimpleNamespace(columns=columns)


def verdict(*findings, unjudged=(), made=None):
    return verdict_of(findings, made or assessment(), [NotJudged(rule, rule, ()) for rule in unjudged])


def test_three_independent_cautions_raise_the_verdict_and_no_finding():
    three = [finding("A", "caution", GAS), finding("B", "caution", SENSORS), finding("C", "caution", DRIVE)]
    got = verdict(*three)
    assert got.grade == "reinforce"
    assert "3 independent small margins" in got.sentence
    assert {f.grade for f in three} == {"caution"}


def test_two_independent_cautions_raise_nothing():
    assert verdict(finding("A", "caution", GAS), finding("B", "caution", SENSORS)).grade == "caution"


def test_two_of_one_root_count_once():
    three = [finding("A", "caution", GAS), finding("B", "caution", ALSO_GAS), finding("C", "caution", DRIVE)]
    assert small_margins(three, assessment()) == ("driveline", "gas load")
    assert verdict(*three).grade == "caution"


def test_a_quantity_without_a_root_of_its_own_counts_under_the_nearest_cause_upstream():
    # The power peak has no root; it is made from torque (gas load) and speed.
    made = assessment(wheel__power=["roller.power"], roller__power=["crank.power"],
                      crank__power=["crank.torque", "engine.speed"])
    three = [finding("A", "caution", GAS), finding("B", "caution", "wheel.power"),
             finding("C", "caution", DRIVE)]
    assert small_margins(three, made) == ("driveline", "gas load")


def test_memory_does_not_count():
    three = [finding("A", "caution", GAS, evidence="memory"), finding("B", "caution", SENSORS),
             finding("C", "caution", DRIVE)]
    assert verdict(*three).grade == "caution"


def test_memory_beside_better_evidence_counts():
    mixed = finding("A", "caution", GAS, evidence="memory", evidences=("computed", "memory"))
    assert verdict(mixed, finding("B", "caution", SENSORS), finding("C", "caution", DRIVE)).grade == "reinforce"


def test_notes_do_not_add_up():
    many = [finding(str(i), "note", q) for i, q in enumerate((GAS, SENSORS, DRIVE, FUEL, SPEED))]
    assert verdict(*many).grade == "note"


def test_five_causes_still_raise_by_one_grade_and_never_beyond_reinforce():
    many = [finding(str(i), "caution", q) for i, q in enumerate((GAS, SENSORS, DRIVE, FUEL, SPEED))]
    assert verdict(*many).grade == "reinforce"
    worst = [finding("R", "reinforce", GAS), *many]
    assert verdict(*worst).grade == "reinforce"
    assert "Raised" not in verdict(*worst).sentence
    assert verdict(finding("D", "decline", GAS), *many).grade == "decline"


def test_rules_on_inputs_alone_are_causes_of_their_own():
    three = [finding(rule, "caution", "internals.head.reused", kind="input") for rule in "ABC"]
    assert small_margins(three, assessment()) == ("rule A", "rule B", "rule C")


@pytest.mark.parametrize("grade", ["note", "caution", "reinforce", "decline"])
def test_one_knock_event_is_never_in_the_verdict(grade):
    got = verdict(finding("E", grade, EVENT))
    assert (got.grade, got.limiting) == ("clear", None)
    assert not counts(finding("E", grade, GAS, EVENT))


def test_what_one_knock_event_could_do_is_not_called_nothing():
    assert "No rule found anything" not in verdict(finding("E", "note", EVENT)).sentence


def test_an_event_adds_to_no_margins():
    three = [finding("A", "caution", GAS), finding("E", "caution", EVENT), finding("C", "caution", DRIVE)]
    assert verdict(*three).grade == "caution"


def test_an_incomplete_verdict_without_findings_says_nothing_found_so_far():
    got = verdict(unjudged=["AIR005"])
    assert (got.grade, got.complete, got.open) == ("clear", False, ("AIR005",))
    assert got.sentence.lower().startswith("nothing found so far")


def test_an_incomplete_verdict_with_findings_says_that_it_is():
    got = verdict(finding("A", "note", GAS), unjudged=["AIR005"])
    assert not got.complete and "could not be judged" in got.sentence


def test_a_complete_verdict_without_findings_is_clear():
    got = verdict()
    assert (got.grade, got.complete, got.limiting) == ("clear", True, None)


def test_what_could_still_be_worse_keeps_the_verdict_open():
    could = finding("A", "note", GAS, could_be="reinforce")
    assert verdict(could).open == ("A",)
    # Nothing is open once something as bad is certain.
    assert verdict(finding("B", "reinforce", DRIVE), could).complete


def test_what_is_only_possible_is_no_grade():
    got = verdict(finding("A", "clear", GAS, could_be="decline"))
    assert (got.grade, got.complete, got.limiting) == ("clear", False, None)
    assert got.sentence.lower().startswith("nothing found so far")


def test_the_first_finding_limits():
    got = verdict(finding("E", "decline", EVENT), finding("B", "reinforce", DRIVE), finding("A", "note", GAS))
    assert (got.limiting.rule, got.limiting.quantity) == ("B", DRIVE)


def test_the_first_quantity_is_spoken_of():
    mixed = finding("A", "note", "boosted", kind="fact")
    assert governing_quantity(mixed) is None
    assert governing_quantity(finding("A", "note", GAS, DRIVE)) == GAS
