"""The runner of rule tests: a wrong expectation fails, and a test cannot pass on what was not judged."""

# ruff: noqa: E501 - messages are quoted whole
from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.errors import RuleError
from enginelimits.rules.catalogue import Catalogue, load_catalogue
from enginelimits.rules.files import read_test
from enginelimits.rules.reader import Reader
from enginelimits.rules.testing import TestResult, load_tests, run_tests

DATA = Path(__file__).parent / "data" / "catalogue"
GIVEN = """\
rule: ROD003
given:
  inputs: {forced_induction.kind: turbocharger, internals.rods.class: light-forged-steel}
  speeds: [2500 rpm, 3000 rpm]
  quantities: {combustion.spark_retard: 8 deg}
tests:
"""


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue(DATA)


def run(catalogue: Catalogue, case: str) -> TestResult:
    reader = Reader("x.test.yaml")
    test = read_test(reader, GIVEN + f"  - {{name: it, {case}}}\n")
    assert reader.problems == []
    assert test is not None
    (result,) = run_tests(catalogue, [test])
    return result


@pytest.mark.parametrize(
    ("case", "expected", "got"),
    [
        ("quantities: {brake.mean_effective_pressure: 20 bar}, expect: clear", "clear", "caution"),
        ("quantities: {brake.mean_effective_pressure: 19 bar}, expect: caution", "caution", "clear"),
        ("quantities: {brake.mean_effective_pressure: [19 bar, 20 bar]}, expect: {grade: caution, at: 2500 rpm}",
         "caution, at 2500 rpm", "caution, at 3000 rpm"),
        ("quantities: {brake.mean_effective_pressure: 20 bar, combustion.spark_retard: null}, expect: caution",
         "caution", "caution, could be reinforce"),
        ("quantities: {brake.mean_effective_pressure: null}, expect: {outcome: cannot judge, missing: [a.b]}",
         "cannot judge, missing a.b", "cannot judge, missing brake.mean_effective_pressure"),
        ("quantities: {brake.mean_effective_pressure: out of range}, expect: cannot judge", "cannot judge", "out of range"),
        ("quantities: {brake.mean_effective_pressure: not applicable}, expect: clear", "clear", "clear"),
        ("quantities: {brake.mean_effective_pressure: not applicable, combustion.spark_retard: not applicable}, "
         "expect: clear", "clear", "not applicable"),
    ],
)  # fmt: skip
def test_what_a_case_says(catalogue: Catalogue, case: str, expected: str, got: str) -> None:
    result = run(catalogue, case)
    assert (result.expected, result.got, result.passed) == (expected, got, expected == got)


@pytest.mark.parametrize(
    ("case", "message"),
    [
        ("quantities: {brake.mean_effective_pressure: [1 bar, 2 bar, 3 bar]}, expect: clear",
         "wanted one value, or one a speed, got 3 values of brake.mean_effective_pressure for 2 speeds"),
        ("quantities: {brake.mean_effective_pressure: much}, expect: clear", "wanted a number"),
        ("quantities: {brake.mean_effective_pressure: 20 N}, expect: clear", "wanted a unit of N, got `19.5 bar`"),
        ("speeds: [20 bar], expect: clear", "wanted a unit of rad/s"),
    ],
)  # fmt: skip
def test_a_case_that_cannot_run_fails_with_the_reason(catalogue: Catalogue, case: str, message: str) -> None:
    result = run(catalogue, case)
    assert not result.passed
    assert message in result.got


def test_with_the_vocabulary_a_word_outside_it_fails(catalogue: Catalogue) -> None:
    results = run_tests(catalogue, units={"combustion.spark_retard": "rad"})
    assert all("wanted a quantity of the vocabulary" in r.got for r in results)


def test_another_rules_outcome_can_be_given(tmp_path: Path) -> None:
    rule = (DATA / "rods/ROD003-low-speed-torque-on-light-rods.yaml").read_text()
    head = rule.partition("applies:")[0].replace("ROD003", "SUM001")
    (tmp_path / "SUM001.yaml").write_text(
        head + "grades:\n  - {grade: reinforce, when: {count: [{rule: ROD003, at_least: caution}, "
        "{rule: ROD003, at_least: reinforce}], at_least: 2}}\nwhy: W.\nmessage: M.\n"
    )
    (tmp_path / "SUM001.test.yaml").write_text(
        "rule: SUM001\ntests:\n"
        "  - {name: one, outcomes: {ROD003: caution}, expect: clear}\n"
        "  - {name: both, outcomes: {ROD003: reinforce}, expect: reinforce}\n"
        "  - {name: judged, speeds: [2500 rpm], inputs: {forced_induction.kind: turbocharger, "
        "internals.rods.class: light-forged-steel}, quantities: {brake.mean_effective_pressure: 22 bar, "
        "combustion.spark_retard: 8 deg}, expect: reinforce}\n"
        "  - {name: nothing known, speeds: [2500 rpm], expect: {outcome: cannot judge, missing: [brake.mean_effective_pressure, "
        "combustion.spark_retard, forced_induction.kind, internals.rods.class]}}\n"
    )
    results = run_tests(load_catalogue(DATA, [tmp_path]), only=["SUM001"])
    assert [(r.name, r.got) for r in results if not r.passed] == []
    assert len(results) == 4


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("rule: ROD003\n", "wanted the key `tests` in a test file, got none"),
        ("rule: ROD003\ntests: []\n", "wanted tests: at least 1, got 0"),
        ("rule: ROD003\ntests: [{name: x}]\n", "wanted the key `expect` in a test, got none"),
        ("rule: ROD003\ntests: [{name: x, expect: {grade: note, outcome: cannot judge}}]\n", "wanted `grade` or `outcome`, got both"),
        ("rule: ROD003\ntests: [{name: x, expect: {at: 2500 rpm}}]\n", "wanted `grade` or `outcome`, got `at`"),
        ("rule: ROD003\ntests: [{name: x, expect: clear, inputs: {a: {b: c}}}]\n", "wanted a value for a, null, or a list"),
        ("rule: ROD003\ntests: [{name: x, expect: clear, quantity: {}}]\n", "wanted a key of a test, got `quantity`. Near: quantities"),
    ],
)  # fmt: skip
def test_each_mistake_in_a_test_file(tmp_path: Path, text: str, message: str) -> None:
    (tmp_path / "x.test.yaml").write_text(text)
    with pytest.raises(RuleError) as caught:
        load_tests(load_catalogue(DATA, [tmp_path]))
    assert message in str(caught.value)


def test_a_test_of_no_rule_fails(tmp_path: Path) -> None:
    (tmp_path / "x.test.yaml").write_text("rule: ROD999\ntests: [{name: x, expect: clear}]\n")
    failed = [r for r in run_tests(load_catalogue(DATA, [tmp_path])) if not r.passed]
    assert [(r.rule, r.expected, r.got) for r in failed] == [("ROD999", "a rule of that id", "none")]
