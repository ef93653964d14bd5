"""Rule files as written: what loads, and what is said of each thing that does not."""

# ruff: noqa: E501 - messages are quoted whole
from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.errors import RuleError
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.model import Amount, Compare, Count, Every, LimitName, Matches, Not, Other, Some

GOOD = """\
id: TST001
title: A rule
family: tests
status: stable
since: "0.1"
author: the project
date: 2026-11-25
applies: {input: forced_induction.kind, is_not: none}
span: {below: low_speed}
limits:
  low_speed: {value: 3500 rpm, evidence: memory, confidence: low}
  high: {value: 20 bar, evidence: memory, confidence: low}
  share: {value: 110 %, evidence: memory, confidence: low}
grades:
  - grade: caution
    when: {quantity: brake.mean_effective_pressure, above: high}
why: Because.
message: "It is {value}."
settled_by: A look.
sources: [{id: memory}]
"""


def load(folder: Path, text: str = GOOD, **others: str) -> object:
    (folder / "TST001-a-rule.yaml").write_text(text)
    for name, content in others.items():
        (folder / f"{name.replace('_', '-')}.yaml").write_text(content)
    return load_catalogue(folder)


def said(folder: Path, text: str = GOOD, **others: str) -> list[str]:
    """What is wrong, without the file's name."""
    with pytest.raises(RuleError) as caught:
        load(folder, text, **others)
    for problem in caught.value.problems:
        assert problem.wanted
    return [str(problem).partition(".yaml")[2].removeprefix(":") for problem in caught.value.problems]


def with_condition(text: str) -> str:
    return GOOD.replace("{quantity: brake.mean_effective_pressure, above: high}", text)


def test_a_rule_is_read_as_written(tmp_path: Path) -> None:
    text = with_condition(
        "{any: [{all: [{quantity: a.b, above: high}, {not: {input: c, in: [x, y]}}]}, "
        "{count: [{quantity: a.b, below: 3 bar}, {input: e, at_least: {input: f, times: share}}], at_least: 2}]}"
    )
    rule = load(tmp_path, text).rules["TST001"]  # type: ignore[attr-defined]
    assert rule.grades[0].when == Some(
        (
            Every((Compare("quantity", "a.b", "above", LimitName("high")), Not(Matches("c", "in", ("x", "y"))))),
            Count(
                (
                    Compare("quantity", "a.b", "below", Amount(3.0, "bar")),
                    Compare("input", "e", "at_least", Other("input", "f", LimitName("share"))),
                ),
                2,
            ),
        )
    )
    assert rule.limits["low_speed"].value == Amount(3500.0, "rpm")
    assert rule.limits["low_speed"].value.si("rad/s") == pytest.approx(366.519, abs=1e-3)  # 3500 * 2 pi / 60
    assert (rule.place.line, rule.limits["high"].place.line) == (1, 12)
    assert (rule.status, rule.over, rule.about, rule.date.isoformat()) == ("stable", "any", "build", "2026-11-25")


@pytest.mark.parametrize(
    ("condition", "message"),
    [
        ("high", "16:11: wanted a condition: all, any, not, count, fact, rule, quantity or input, as a mapping, got `high`"),
        ("{quantty: a.b, above: high}", "16:11: wanted a condition: all, any, not, count, fact, rule, quantity or input, got "
         "`quantty`, `above`. Near: quantity"),
        ("{all: [], any: []}", "16:11: wanted one condition a mapping, got all and any. Put several under `all` or `any`."),
        ("{all: []}", "16:17: wanted conditions of `all`: at least 1, got 0"),
        ("{all: {fact: x}}", "16:17: wanted conditions of `all` as a list, got a mapping"),
        ("{quantity: a.b}", "16:11: quantity: wanted one of above, below, at_least or at_most, got none"),
        ("{quantity: a.b, above: high, below: high}", "16:11: quantity: wanted one of above, below, at_least or at_most, got "
         "above and below. Put two comparisons under `all`."),
        ("{quantity: a.b, is: high}", "16:27: is: wanted a key of a condition on a quantity, got `is`"),
        ("{quantity: a.b, above: hihg}", "16:34: wanted the name of a limit of this rule, or a number with its unit, got "
         "`hihg`. Near: high"),
        ("{quantity: a.b, above: 3 furlongs}", "16:34: wanted a limit: an accepted unit, got `furlongs`"),
        ("{quantity: a.b, above: 2 to 3 bar}", "16:34: wanted a limit: one number, got `2 to 3 bar`. A limit has no range"),
        ("{quantity: a.b, above: {times: 2}}", "16:34: wanted `quantity` or `input` to compare with, got neither"),
        ("{quantity: a.b, above: {input: c, times: much}}", "wanted times (a limit's name or a factor): a plain number, got `much`"),
        ("{quantity: A b, above: high}", "16:22: wanted the id of the quantity, got `A b`"),
        ("{input: c, given: perhaps}", "16:29: wanted given: true, false, got `perhaps`"),
        ("{input: c, in: []}", "16:26: in: wanted at least one value, got none"),
        ("{input: c, in: x}", "16:26: wanted values as a list, got `x`"),
        ("{fact: Light Rods}", "16:18: wanted the name of a fact, got `Light Rods`"),
        ("{fact: light_rods}", "16:11: fact: wanted a fact of the catalogue, got light_rods"),
        ("{rule: TST001, at_least: caution}", "wanted facts and rules that do not need themselves, got rule TST001 needs rule TST001"),
        ("{rule: TST011, at_least: caution}", "16:11: rule: wanted a rule of the catalogue, got TST011. Near: TST001"),
        ("{rule: TST001, at_least: bad}", "wanted a grade: note, caution, reinforce, decline, stop, got `bad`"),
        ("{rule: TST001}", "at_least: wanted the key `at_least` in a rule's outcome, got none"),
        ("{count: [{fact: a}], at_least: 2}", "16:42: wanted how many of the conditions: a whole number from 1 to 1, got `2`"),
        ("{not: [{fact: a}]}", "16:17: wanted a condition: all, any, not, count, fact, rule, quantity or input, as a mapping, got a list"),
    ],
)  # fmt: skip
def test_each_mistake_in_a_condition_is_placed_and_named(tmp_path: Path, condition: str, message: str) -> None:
    found = said(tmp_path, with_condition(condition))
    assert any(message in line for line in found), found


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("title: A rule\n", "", "1:1: title: wanted the key `title` in a rule, got none"),
        ("title:", "titel:", "2:1: titel: wanted a key of a rule, got `titel`. Near: title"),
        ("id: TST001", "id: rod-1", "1:5: wanted an id in capitals and digits, such as ROD003, got `rod-1`"),
        ("status: stable", "status: new", "4:9: wanted a status: preview, stable, withdrawn, got `new`"),
        ("date: 2026-11-25", "date: 25.11.2026", "7:7: wanted a date as YYYY-MM-DD, got `25.11.2026`"),
        ("status: stable", "status: stable\nreplaced_by: TST002",
         "5:14: replaced_by: wanted `replaced_by` on a withdrawn rule, got stable"),
        ("value: 20 bar", "value: 20 bars", "12:17: wanted the value of high: an accepted unit, got `bars`. Near: bar"),
        ("value: 20 bar, evidence: memory", "value: 20 bar, evidence: hearsay",
         "12:35: wanted evidence: published, computed, common practice, memory, shop, got `hearsay`"),
        ("value: 20 bar, evidence: memory, ", "value: 20 bar, ", "12:9: evidence: wanted the key `evidence` in the limit high, got none"),
        ("high: {value", "High: {value", "wanted a limit's name in small letters, got `High`"),
        ("span: {below: low_speed}", "span: {}", "9:7: span: wanted `below` or `above`, got neither"),
        ("span: {below: low_speed}", "span: {below: slow}", "9:15: wanted an engine speed or a limit's name"),
        ("  - grade: caution", "  - grade: terrible", "15:12: wanted a grade: note, caution, reinforce, decline, stop, got `terrible`"),
        ("title: A rule", "title: A rule\nover: most", "3:7: over: any, all, got `most`"),
        ("title: A rule", "title: A rule\nbound: maybe", "3:8: wanted bound: true, false, got `maybe`"),
        ("sources: [{id: memory}]", "sources: [{at: p. 3}]", "20:11: id: wanted the key `id` in a source, got none"),
        ("why: Because.", "why: [Because]", "17:6: wanted a sentence, got a list"),
        ("why: Because.", "why: *because", "wanted a value, got an alias `*because`. Write the value out in full."),
        ("why: Because.", "why: Because.\nwhy: Again.", "wanted each key once, got `why` again (first on line 17)"),
        ("why: Because.", "remedies: [no-such-thing]\nwhy: Because.", "17:1: remedies: wanted a remedy of the catalogue, got no-such-thing"),
        ("why: Because.", "why: [", "wanted YAML, got"),
    ],
)  # fmt: skip
def test_each_mistake_in_a_rule_is_placed_and_named(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert old in GOOD
    found = said(tmp_path, GOOD.replace(old, new))
    assert any(message.replace("over: any", "wanted over: any") in line for line in found), found


def test_the_same_grade_twice_is_refused(tmp_path: Path) -> None:
    text = GOOD.replace("why:", "  - {grade: caution, when: {quantity: a.b, above: high}}\nwhy:")
    assert said(tmp_path, text) == [
        "15:3: grades: wanted each grade once, got caution, caution. Join their conditions under `any`."
    ]


def test_every_problem_of_every_file_is_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace("stable", "new").replace("25", "32").replace("20 bar", "20 bars")
    found = said(tmp_path, text, facts="light rods: {say: x}\n", remedies="a: {kind: magic, say: Do.}\n",
                 failure_modes="f1: {title: x}\n")  # fmt: skip
    assert len(found) == 6
    for words in ("status", "date", "bars", "`light rods`", "calibration, fuel, part, inspection", "`f1`"):
        assert any(words in line for line in found), words


def test_a_circle_of_facts_is_shown_whole(tmp_path: Path) -> None:
    facts = "a: {say: A., when: {fact: b}}\nb: {say: B., when: {not: {fact: c}}}\nc: {say: C., when: {fact: a}}\n"
    found = said(tmp_path, with_condition("{fact: a}"), facts=facts)
    assert any("fact a needs fact b needs fact c needs fact a. Break the circle." in line for line in found)


def test_a_circle_through_rules_is_refused(tmp_path: Path) -> None:
    (tmp_path / "TST002-b.yaml").write_text(
        with_condition("{rule: TST001, at_least: note}").replace("id: TST001", "id: TST002")
    )
    found = said(tmp_path, with_condition("{rule: TST002, at_least: note}"))
    assert any("rule TST001 needs rule TST002 needs rule TST001" in line for line in found)


def test_a_condition_too_large_for_the_engine_is_refused_by_name(tmp_path: Path) -> None:
    parts = ", ".join(f"{{quantity: q.a{i}, above: high}}" for i in range(150))
    found = said(tmp_path, with_condition(f"{{count: [{parts}], at_least: 75}}"))
    assert any("at most 4095 clauses that hang together, got" in line and "for TST001" in line for line in found)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "wanted a rule or an override, got an empty file"),
        ("just words", "1:1: wanted a rule as a mapping, got `just words`"),
        ("override: TST001\n", "wanted the key `limits` in an override, got none"),
    ],
)
def test_files_that_are_no_rule(tmp_path: Path, text: str, message: str) -> None:
    (tmp_path / "other.yaml").write_text(text)
    found = said(tmp_path)
    assert any(message in line for line in found), found


def test_bytes_that_are_no_text_are_told(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_bytes(b"\xff\xfe\x00")
    assert said(tmp_path) == [" wanted text in UTF-8, got UTF-16. Save the file as UTF-8."]


def test_another_ending_is_not_passed_over(tmp_path: Path) -> None:
    (tmp_path / "TST002.yml").write_text(GOOD)
    with pytest.raises(RuleError, match=r"wanted a name that ends in .yaml, got TST002.yml"):
        load(tmp_path)


def test_two_rules_of_one_id_in_a_layer(tmp_path: Path) -> None:
    (tmp_path / "TST001-z.yaml").write_text(GOOD)
    found = said(tmp_path)
    assert len(found) == 1
    assert "id: wanted each rule once in a layer, got TST001 again (first in " in found[0]


def test_code_in_a_condition_stays_text(tmp_path: Path) -> None:
    evil = "__import__('os').system('true')"
    assert any("wanted the name of a limit" in line or "wanted a limit" in line
               for line in said(tmp_path, with_condition(f'{{quantity: a.b, above: "{evil}"}}')))  # fmt: skip


def test_a_remedy_stands_against_remedies_of_the_catalogue(tmp_path: Path) -> None:
    words = "wide: {kind: part, say: Fit wide., against: [small]}\n"
    told = said(tmp_path, remedies=words)
    assert len(told) == 1 and "against" in told[0] and "small" in told[0]
    known = load(tmp_path, remedies=f"{words}small: {{kind: part, say: Fit small.}}\n")
    assert known.remedies["wide"].against == ("small",)  # type: ignore[attr-defined]
