"""Lint: each loose end is found, where it is; and a catalogue without any gives none."""

# ruff: noqa: E501 - messages are quoted whole
from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.implication import implies
from enginelimits.rules.lint import REACHABLE, catalogue_problems
from enginelimits.rules.model import (
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    Limit,
    LimitName,
    Matches,
    Not,
    Other,
    Some,
)
from enginelimits.rules.vocabulary import Words, known_words

DATA = Path(__file__).parent / "data" / "catalogue"
RULE = "rods/ROD003-low-speed-torque-on-light-rods.yaml"
TEST = "rods/ROD003-low-speed-torque-on-light-rods.test.yaml"
WORDS = Words(
    {"brake.mean_effective_pressure": "Pa", "combustion.spark_retard": "rad", "coolant.boiling_margin": "K",
     "log.knock_retard": "rad"},
    {
        "forced_induction.kind": "choice",
        "internals.rods.class": "text",
        "internals.rods": "text",
        "internals.rod_bolts": "text",
        "forced_induction.boost": "Pa",
        "engine.cylinders": "1",
        "engine.built_for_boost": "yes-no",
    },
    {"forced_induction.kind": ("none", "turbocharger", "centrifugal")},
    frozenset({"coolant.boiling_margin"}),
    {"internals.rods.class": ("light-forged-steel", "forged-i-section")},
    frozenset({"log.knock_retard"}),
)
CAUTION = "when: {quantity: brake.mean_effective_pressure, above: caution_mep}\nwhy"


@pytest.fixture
def edited(tmp_path: Path) -> Callable[..., list[str]]:
    """Lint's words after replacing texts in a copy of the fixture catalogue."""
    folder = tmp_path / "rulesets"
    shutil.copytree(DATA, folder)

    def lint(file: str = RULE, *pairs: tuple[str, str]) -> list[str]:
        text = (folder / file).read_text()
        for old, new in pairs:
            assert old in text, old
            text = text.replace(old, new)
        (folder / file).write_text(text)
        return [str(p).partition("rulesets/")[2] for p in catalogue_problems(load_catalogue(folder), words=WORDS)]

    return lint


def test_the_fixture_has_no_loose_ends(edited: Callable[..., list[str]]) -> None:
    assert edited() == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("combustion.spark_retard, below", "combustion.spark_retards, below",
         "yaml:25:15: quantity: wanted a quantity of the vocabulary, got combustion.spark_retards. Near: combustion.spark_retard"),
        ("{input: forced_induction.kind, is_not", "{input: forced_induction.kinds, is_not",
         "yaml:11:9: input: wanted the path of an input, got forced_induction.kinds. Near: forced_induction.kind"),
        ("is_not: none}", "is_not: nine}", "yaml:11:9: is_not: wanted a word that forced_induction.kind can be, got nine. Near: none"),
        ("failure_modes: [F01]", "failure_modes: [F99]", "yaml:9:1: failure_modes: wanted a failure mode of the catalogue, got F99"),
        ("below: near_best}", "below: 3 deg}", "yaml:17:14: near_best: wanted a limit that is used, got near_best"),
        ("near_best: {value: 3 deg", "near_best: {value: 3 bar", "yaml:17:14: wanted a unit of rad, got `3 bar`"),
        ("low_speed: {value: 3500 rpm", "low_speed: {value: 3500 N", "wanted an engine speed, got `3500 N`"),
        ("caution_mep: {value: 19.5 bar, evidence: memory", "caution_mep: {value: 19.5 bar, evidence: published",
         "yaml:15:16: source: wanted a source for caution_mep, whose evidence is published, got none"),
        ("confidence: medium}", "confidence: medium, source: {id: nobody-1900}}",
         "yaml:15:16: sources: wanted the id of a source, got nobody-1900"),
        ("{id: memory, gives: bands}", "{id: memry}", "sources: wanted the id of a source, got memry. Near: memory"),
        ("sources: [{id: memory, gives: bands}]", "", "sources: wanted at least one source, if only `memory`, got none"),
        ("{value} at", "{valu} at", "yaml:29:1: message: wanted {value}, {limit}, {speed}, {chance}, {limit:name}, "
         "{quantity:id}, {margin:id} or {input:path}, got {valu}"),
        ("{value} at", "{limit:cation_mep} at", "message: wanted a limit of ROD003, got cation_mep. Near: caution_mep"),
        ("{value} at", "{quantity:brake.torque} at", "wanted a quantity of the vocabulary, got brake.torque"),
        ("{value} at", "safe {value} at", "message: wanted words that promise nothing, got safe"),
        ("family: rods", "family: pistons", "yaml:4:1: family: wanted the folder pistons, got rods"),
        ("settled_by: Smallest shank section, by calliper.\n", "", "settled_by: wanted the measurement that settles it, got none"),
        (CAUTION, CAUTION.replace("above: caution_mep", "above: reinforce_mep"),
         "yaml:26:5: grades: wanted a grade that can be reached, got caution, which reinforce always covers"),
        (CAUTION, CAUTION.replace("brake.mean_effective_pressure", "brake.mean_effective_pressure").replace(
            "caution_mep", "26 bar"), "grades: wanted a grade that can be reached, got caution"),
        ("  - grade: caution", "  - grade: decline", "grades: wanted grades worst first, got reinforce before decline"),
        ("  - grade: reinforce", "  - grade: stop", "grade: wanted `stop` on rules about logs alone, got about build"),
        ("- {quantity: combustion.spark_retard, below: near_best}",
         "- {quantity: combustion.spark_retard, below: {quantity: brake.mean_effective_pressure, times: near_best}}",
         "yaml:25:15: below: wanted something in rad to compare combustion.spark_retard with, got "
         "brake.mean_effective_pressure in Pa"),
        ("- {quantity: combustion.spark_retard, below: near_best}", "- {quantity: coolant.boiling_margin, below: 10 degC}",
         "yaml:25:15: wanted a difference in K for coolant.boiling_margin, got `10 degC`. Write it in K."),
        ("- {quantity: combustion.spark_retard, below: near_best}", "- {quantity: log.knock_retard, below: near_best}",
         "about: wanted `about: log` on a rule that reads a log, got log.knock_retard"),
        ("family: rods", "family: rods\nabout: log", "about: wanted a quantity of a log in a rule about one, got none"),
        ("- {quantity: combustion.spark_retard, below: near_best}", "- {input: engine.built_for_boost, below: 1}",
         "below: wanted a quantity or an input that is a number, got engine.built_for_boost, a yes-no. Use `is` or `in`."),
        ("- {quantity: combustion.spark_retard, below: near_best}", "- {input: engine.built_for_boost, is: perhaps}",
         "wanted true or false for engine.built_for_boost, got `perhaps`"),
        ("- {quantity: combustion.spark_retard, below: near_best}", "- {input: engine.cylinders, is: four}",
         "is: wanted a number"),
        ("- {quantity: combustion.spark_retard, below: near_best}", "- {input: engine.cylinder, given: true}",
         "input: wanted the path of an input, got engine.cylinder. Near: engine.cylinders"),
    ],
)  # fmt: skip
def test_each_loose_end_of_a_rule(edited: Callable[..., list[str]], old: str, new: str, message: str) -> None:
    found = edited(RULE, (old, new))
    assert any(message in line for line in found), found


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("facts.yaml", "light_rods: {", "spare: {say: X., when: {fact: light_rods}}\nlight_rods: {",
         "facts.yaml:1:8: spare: wanted a fact that something reads, got spare"),
        ("facts.yaml", "light-forged-steel", "light-forged-steal",
         "is: wanted a word that internals.rods.class can be, got light-forged-steal. Near: light-forged-steel"),
        ("failure-modes.yaml", "F01:", "F02: {title: Other}\nF01:", "F02: wanted a failure mode that a rule names, got F02"),
        ("remedies.yaml", "forged-rods:", "spare: {kind: inspection, say: Look.}\nforged-rods:",
         "spare: wanted a remedy that a rule names, got spare"),
        ("remedies.yaml", "replace: internals.rod_bolts", "replace: internals.rod_bolt",
         "forged-rods: wanted the path of an input, got internals.rod_bolt. Near: internals.rod_bolts"),
        ("remedies.yaml", "below: 3500 rpm, to: 5 psi", "below: 3500 rpm", "wanted an edit: replace/with, set/to, drop, or cap/to"),
        ("remedies.yaml", "  kind: part\n", "  kind: part\n  # none\n", ""),
        (TEST, "name: over caution, quantities: {brake.mean_effective_pressure: [19.6 bar, 19 bar, 26 bar]}",
         "name: over caution, quantities: {brake.mean_effective_pressure: [19.4 bar, 19 bar, 26 bar]}", ""),
        (TEST, "missing: [combustion.spark_retard]}", "missing: []}",
         "tests: wanted a test of ROD003 with combustion.spark_retard missing, got none"),
        (TEST, "combustion.spark_retard: 3.1 deg", "combustion.spark_retard: 2.8 deg",
         "tests: wanted tests of ROD003 on both sides of near_best, got none above it within a tenth"),
        (TEST, "expect: not applicable", "expect: clear", "tests: wanted a test where ROD003 is not applicable, got none"),
        (TEST, "rule: ROD003", "rule: ROD004", "rule: wanted a test of a rule of the catalogue, got ROD004"),
        (TEST, "expect: clear", "expect: fine", "wanted what is expected: clear, note, caution, reinforce, decline, stop, "
         "not applicable, cannot judge, out of range, got `fine`"),
    ],
)  # fmt: skip
def test_each_loose_end_beside_a_rule(
    edited: Callable[..., list[str]], file: str, old: str, new: str, message: str
) -> None:
    found = edited(file, (old, new))
    assert any(message in line for line in found) if message else found == [], found


def test_a_rule_without_a_test_is_named(edited: Callable[..., list[str]], tmp_path: Path) -> None:
    (tmp_path / "rulesets" / TEST).unlink()
    assert edited() == [f"{RULE}:2:1: id: wanted a test for ROD003, got none. Put a .test.yaml beside the rule."]


def test_a_file_that_does_not_bear_its_rules_id(edited: Callable[..., list[str]], tmp_path: Path) -> None:
    (tmp_path / "rulesets" / RULE).rename(tmp_path / "rulesets" / "rods" / "low-speed.yaml")
    assert edited("rods/low-speed.yaml") == [
        "rods/low-speed.yaml:2:1: id: wanted a file name that begins with ROD003, got low-speed.yaml. Rename the file."
    ]


def test_an_expired_override_is_named(edited: Callable[..., list[str]], tmp_path: Path) -> None:
    (tmp_path / "rulesets" / "o.yaml").write_text(
        "override: ROD003\nlimits: {caution_mep: 20 bar}\nauthor: A\ndate: 2019-01-01\nreason: R\nexpires: 2020-01-01\n"
    )
    assert edited() == [
        "o.yaml:1:1: expires: wanted an override that still stands, got one that expired on 2020-01-01. "
        "Renew it with a reason, or take it out."
    ]


def test_remedies_are_tried_by_whoever_can() -> None:
    asked: list[tuple[str, str]] = []

    def tried(rule: object, remedy: object) -> str:
        asked.append((rule.id, remedy.id))  # type: ignore[attr-defined]
        return "nothing moved" if remedy.kind == "part" else ""  # type: ignore[attr-defined]

    found = catalogue_problems(load_catalogue(DATA), words=WORDS, tried=tried)
    assert asked == [("ROD003", "hold-back-low-speed-boost"), ("ROD003", "forged-rods")]
    assert [p.got for p in found] == ["forged-rods: nothing moved"]


def test_the_known_words_hold_what_rules_need() -> None:
    words = known_words()
    assert words.quantities["rod.column_use"] == "1"
    assert words.inputs["engine.bore"] == "m"
    assert words.inputs["class.rod.yield_strength"] == "Pa"
    assert words.inputs["protections.lambda"] == "yes-no"
    assert "turbocharger" in words.choices["forced_induction.kind"]
    assert "light-forged-steel" in words.classes["internals.rods.class"]


def low(number: float, sense: str = "above", name: str = "q") -> Compare:
    return Compare("quantity", name, sense, Amount(number))  # type: ignore[arg-type]


A, B = Matches("i", "is", ("x",)), Matches("j", "is", ("y",))


@pytest.mark.parametrize(
    ("one", "other", "wanted"),
    [
        (low(3), low(2), True),
        (low(2), low(3), False),
        (low(2), low(2, "at_least"), True),
        (low(2, "at_least"), low(2), False),
        (low(2, "below"), low(3, "below"), True),
        (low(3, "below"), low(2, "below"), False),
        (low(3), low(2, name="other"), False),
        (low(3), low(2, "below"), False),
        (Compare("quantity", "q", "above", LimitName("high")), low(2), True),
        (Compare("quantity", "q", "above", Other("input", "z", 2.0)), Compare("quantity", "q", "above", Other("input", "z")), True),
        (Every((A, B)), A, True),
        (A, Every((A, B)), False),
        (A, Some((A, B)), True),
        (Some((A, B)), A, False),
        (Some((Every((A, B)), A)), A, True),
        (Not(Some((A, B))), Not(A), True),
        (Not(A), Not(Some((A, B))), False),
        (Matches("i", "is", ("x",)), Matches("i", "in", ("x", "y")), True),
        (Matches("i", "in", ("x", "y")), Matches("i", "is", ("x",)), False),
        (Matches("i", "is", ("x",)), Matches("i", "is_not", ("y",)), True),
        (Matches("i", "is", ("x",)), Matches("i", "not_in", ("x", "y")), False),
        (Matches("i", "not_in", ("x", "y")), Matches("i", "is_not", ("y",)), True),
        (Count((A, B), 2), Count((A, B), 1), True),
        (Count((A, B), 1), Count((A, B), 2), False),
        (Compare("quantity", "q", "above", Amount(1.0, "bar")), Compare("quantity", "q", "above", Amount(90.0, "kPa")), True),
        (Compare("quantity", "q", "above", Amount(1.0, "bar")), Compare("quantity", "q", "above", Amount(15.0, "psi")), False),
    ],
)  # fmt: skip
def test_what_one_condition_implies(one: Condition, other: Condition, wanted: bool) -> None:
    assert implies(one, other, {"high": Limit("high", Amount(5.0))}) is wanted


def test_a_draft_is_told_what_it_still_has_to_say(tmp_path):
    from enginelimits.rules.catalogue import load_catalogue
    from enginelimits.rules.drafts import written_draft
    from enginelimits.rules.lint import catalogue_problems

    written_draft(tmp_path, "ROD090", family="rods", title="A draft")
    problems = catalogue_problems(load_catalogue(overlays=[tmp_path]))
    assert {p.key for p in problems if "draft" in p.got} == {"why", "settled_by", "author"}


@pytest.mark.parametrize(
    ("overrides", "hidden"),
    [
        # Above the limit of 21.5 bar of reinforce, caution has no room; below it, it has.
        ([("caution_mep: 22 bar", "")], ["caution_mep"]),
        ([("caution_mep: 21 bar", "")], []),
        ([("reinforce_mep: 19 bar", "")], ["reinforce_mep"]),
        ([("caution_mep: 25 bar, reinforce_mep: 26 bar", "")], []),
        # what stands beside it counts, and only that
        ([("caution_mep: 22 bar", "engine.family: x"), ("reinforce_mep: 24 bar", "")], []),
        ([("caution_mep: 22 bar", "engine.family: x"), ("reinforce_mep: 24 bar", "engine.family: y")], ["caution_mep"]),
        ([("caution_mep: 22 bar", ""), ("reinforce_mep: 24 bar", "engine.family: x")], ["caution_mep"]),
    ],
)
def test_an_override_that_hides_a_grade_is_found(
    tmp_path: Path, overrides: list[tuple[str, str]], hidden: list[str]
) -> None:
    for number, (limits, scope) in enumerate(overrides):
        (tmp_path / f"o{number}.yaml").write_text(
            f"override: ROD003\nlimits: {{{limits}}}\nauthor: A. Fitter\ndate: 2026-11-01\nreason: our own record\n"
            + (f"scope: {{{scope}}}\n" if scope else "")
        )
    catalogue = load_catalogue(DATA, [tmp_path], date(2026, 11, 24))
    told = [p for p in catalogue_problems(catalogue, words=WORDS) if p.wanted == REACHABLE]
    assert [p.key for p in told] == hidden
    assert all("caution of ROD003 never: reinforce always covers it at" in p.got and p.line == 2 for p in told)
