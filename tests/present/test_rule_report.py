"""A rule in words: its condition read back must be the condition written."""

from __future__ import annotations

import pytest

from enginelimits.present.catalogue import lint_tree, results_tree
from enginelimits.present.text import report
from enginelimits.rules.model import (
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    FactHolds,
    Given,
    LimitName,
    Matches,
    Not,
    Other,
    Place,
    RuleReaches,
    Some,
)
from enginelimits.rules.testing import TestResult
from enginelimits.rules.wording import condition_text

HIGH = Compare("quantity", "rod.column_use", "above", LimitName("note_use"))
BOOSTED = FactHolds("boosted")


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        (HIGH, "rod.column_use above note_use (0.55)"),
        (
            Compare("quantity", "air.boost", "at_most", Amount(10.0, "psi")),
            "air.boost at most 10 psi",
        ),
        (
            Compare("input", "engine.limiter", "above", Other("input", "engine.standard.limiter", 1.05)),
            "engine.limiter above 1.05 times engine.standard.limiter",
        ),
        (
            Compare("quantity", "a.b", "below", Other("quantity", "c.d")),
            "a.b below c.d",
        ),
        (Matches("fuel.class", "not_in", ("a", "b")), "fuel.class is none of a, b"),
        (Given("oil.sump", False), "oil.sump is not known"),
        (RuleReaches("KNK001", "caution"), "KNK001 reaches caution"),
        (
            Every((BOOSTED, Some((HIGH, BOOSTED)))),
            "fact boosted and (rod.column_use above note_use (0.55) or fact boosted)",
        ),
        (
            Some((BOOSTED, Every((HIGH, BOOSTED)))),
            "fact boosted or (rod.column_use above note_use (0.55) and fact boosted)",
        ),
        (Not(BOOSTED), "not (fact boosted)"),
        (Count((BOOSTED, HIGH), 2), "at least 2 of [fact boosted; rod.column_use above note_use (0.55)]"),
    ],
)
def test_conditions_read_as_they_were_written(condition: Condition, words: str) -> None:
    assert condition_text(condition, {"note_use": "0.55"}) == words


def test_failed_tests_are_told_with_their_place_and_the_rest_counted() -> None:
    place = Place("rods/x.test.yaml", 7, 3)
    results = [
        TestResult("ROD001", "over", False, "note", "clear", place),
        TestResult("ROD001", "under", True, "clear", "clear", place),
    ]
    rows = report(results_tree(results)).splitlines()
    assert rows == [
        "- ROD001 over",
        "  wanted note; got clear",
        "  rods/x.test.yaml:7",
        "2 tests of 1 rule: 1 passed, 1 failed",
    ]


def test_lint_counts_what_it_found() -> None:
    assert report(lint_tree(["a: loose"])).splitlines() == ["- a: loose", "1 problem"]
    assert report(lint_tree([])) == "no problems\n"
