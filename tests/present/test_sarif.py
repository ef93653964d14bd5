"""SARIF 2.1.0 (OASIS standard, 27 March 2020), read back by sarif-pydantic, whose types are those of the standard."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from sarif_pydantic import Sarif

from enginelimits.cli.main import exit_code
from enginelimits.decisions.judge import judge
from enginelimits.description.load import load_build
from enginelimits.errors import Problem
from enginelimits.present.sarif import check_sarif, lint_sarif
from enginelimits.rules.catalogue import load_catalogue

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"


@pytest.fixture(scope="module")
def judged():
    return judge(load_build(CASE), samples=0)


def test_every_finding_is_a_result_of_a_rule_that_is_described(judged):
    data = check_sarif([judged])
    Sarif.model_validate(data)
    (one,) = data["runs"]
    rules = one["tool"]["driver"]["rules"]
    assert [r["ruleId"] for r in one["results"]] == [f.rule for f in judged.findings]
    for result in one["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        assert result["message"]["text"]


def test_levels_follow_grades(judged):
    grades = {f.rule: f.grade for f in judged.findings}
    levels = {"note": "note", "caution": "warning", "reinforce": "error", "decline": "error"}
    for result in check_sarif([judged])["runs"][0]["results"]:
        assert result["level"] == levels[grades[result["ruleId"]]]


def test_a_finding_on_an_input_stands_at_its_line(judged):
    lines = CASE.read_text("utf-8").splitlines()
    for result in check_sarif([judged])["runs"][0]["results"]:
        region = result["locations"][0]["physicalLocation"]["region"]
        assert 1 <= region["startLine"] <= len(lines)


def test_a_build_that_could_not_be_checked_is_told():
    data = check_sarif([], [("no.yaml", "no.yaml: wanted a file")])
    Sarif.model_validate(data)
    (invocation,) = data["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False
    assert "wanted a file" in invocation["toolExecutionNotifications"][0]["message"]["text"]


def test_lint_problems_stand_at_their_lines():
    problem = Problem("a limit", "none", "Add one.", "limits", "rules/a b.yaml", 7, 3)
    data = lint_sarif([problem, Problem("a rule")], load_catalogue())
    Sarif.model_validate(data)
    first, second = data["runs"][0]["results"]
    place = first["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "rules/a%20b.yaml"
    assert place["region"] == {"startLine": 7, "startColumn": 3}
    assert "region" not in second["locations"][0]["physicalLocation"]


def test_the_command_writes_it(capsysbinary):
    exit_code(["check", str(CASE), "--samples", "0", "--format", "sarif"])
    assert json.loads(capsysbinary.readouterr().out)["version"] == "2.1.0"


def test_other_commands_refuse_it(capsys):
    assert exit_code(["rules", "list", "--format", "sarif"]) == 2
    assert "text or json" in capsys.readouterr().err
