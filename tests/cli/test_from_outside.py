"""The shipped case through the whole program: what other people's scripts and shells see."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from enginelimits.cli.main import exit_code

CASE = Path(__file__).resolve().parents[2] / "cases" / "small-turbo-1800" / "build.yaml"


def said(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str, str]:
    code = exit_code([str(word) for word in line])
    out, err = capfd.readouterr()
    return code, out, err


def data_of(capfd: pytest.CaptureFixture[str], *line: object) -> Any:
    code, out, err = said(capfd, *line, "--format", "json")
    assert code in (0, 1), err
    return json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))


def test_text_names_the_build_and_grades_in_words(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capfd, "check", CASE, "--samples", 0)
    assert code in (0, 1)
    assert "\x1b" not in out
    assert re.search(r"^(CLEAR|NOTE|CAUTION|REINFORCE|DECLINE|INCOMPLETE)\b", out, re.MULTILINE)
    assert "Estimates for trained people" in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 80


def test_units_never_change_the_verdict(capfd: pytest.CaptureFixture[str]) -> None:
    def grades(system: str) -> list[str]:
        _, out, _ = said(capfd, "check", CASE, "--samples", 0, "--units", system)
        return re.findall(r"^\d\. ([A-Z]+) ", out, re.MULTILINE)

    assert grades("metric") == grades("us")
    one = data_of(capfd, "check", CASE, "--samples", 0, "--units", "us")
    other = data_of(capfd, "check", CASE, "--samples", 0, "--units", "metric")
    assert one == other


def test_same_seed_gives_the_same_answer(capfd: pytest.CaptureFixture[str]) -> None:
    line = ("check", CASE, "--samples", 8, "--seed", 3, "--as-of", "2026-11-25")
    assert data_of(capfd, *line) == data_of(capfd, *line)


def test_json_is_si_and_holds_what_text_shows(capfd: pytest.CaptureFixture[str]) -> None:
    data = data_of(capfd, "check", CASE, "--samples", 8)
    assert data["samples"]["asked"] == 8
    # The case asks for 4 psi at 2000 rpm, 7.5 psi at the end: 27579 and 51711 Pa (6894.757 Pa, NIST SP 811).
    boost = data["build"]["forced_induction.boost"]
    assert (boost["kind"], boost["unit"]) == ("gauge", "Pa")
    assert boost["value"][0]["at"] == pytest.approx(209.44, abs=0.005)
    assert boost["value"][0]["value"] == pytest.approx(27579, abs=0.5)
    assert boost["value"][-1]["value"] == pytest.approx(51711, abs=0.5)
    power = data["quantities"]["crank.power"]
    assert power["unit"] == "W"
    assert power["low"] <= power["high"]
    speeds = data["curve"]["engine_speed"]
    assert speeds["unit"] == "rad/s"
    for id_, curve in data["curve"].items():
        assert len(curve["values"]) == len(speeds["values"]), id_
    assert {finding["grade"] for finding in data["findings"]} <= {
        "clear",
        "note",
        "caution",
        "reinforce",
        "decline",
    }


def test_standard_input_gives_what_the_file_gives(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = data_of(capfd, "check", CASE, "--samples", 0)
    with CASE.open(encoding="utf-8") as stream:
        monkeypatch.setattr("sys.stdin", stream)
        piped = data_of(capfd, "check", "-", "--samples", 0)
    assert piped["verdict"] == whole["verdict"]


def test_why_goes_back_to_the_build_file(capfd: pytest.CaptureFixture[str]) -> None:
    data = data_of(capfd, "why", CASE, "engine.displacement")
    # By hand from the case's bore and stroke: 4 x pi/4 x (82 mm)^2 x 85 mm = 1795.5 cm^3.
    assert data["value"] == pytest.approx(1795.5e-6, abs=0.05e-6)
    assert "engine.bore" in {argument["of"] for step in data["steps"] for argument in step["arguments"]}


def test_why_refuses_what_it_does_not_know(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capfd, "why", CASE, "engine.displacment")
    assert (code, out) == (2, "")
    assert "engine.displacement" in err


def test_a_broken_file_is_told_with_its_line(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    broken = tmp_path / "broken.yaml"
    broken.write_text(
        CASE.read_text(encoding="utf-8").replace("stroke: 85 mm", "strokes: 85 mm"), encoding="utf-8"
    )
    code, out, err = said(capfd, "check", broken)
    assert (code, out) == (2, "")
    assert re.search(r"broken\.yaml:\d+:\d+: ", err)
    assert "stroke" in err


def test_rules_can_be_listed_and_explained(capfd: pytest.CaptureFixture[str]) -> None:
    rules = data_of(capfd, "rules", "list", "rods")["rules"]
    assert "ROD003" in {rule["id"] for rule in rules}
    assert {rule["family"] for rule in rules} == {"rods"}
    rule = data_of(capfd, "rules", "explain", "rod003")
    assert rule["id"] == "ROD003"
    assert all(limit["evidence"] and limit["confidence"] for limit in rule["limits"].values())


def test_a_new_rule_loads_passes_its_own_test_and_says_nothing(
    capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    new = ("rules", "new", "own001", "--family", "rods", "--title", 'A "quoted": title', "--into", tmp_path)
    code, out, _ = said(capfd, *new)
    assert code == 0
    assert [Path(line).exists() for line in out.splitlines()] == [True, True]
    code, out, _ = said(capfd, "rules", "test", "OWN001", "--rules", tmp_path)
    assert (code, out) == (0, "3 tests of 1 rule: 3 passed\n")
    assert said(capfd, *new)[0] == 2
    judged = data_of(capfd, "check", CASE, "--samples", 0, "--rules", tmp_path)
    assert "OWN001" not in {finding["rule"] for finding in judged["findings"]}
    assert [layer["name"] for layer in judged["catalogue"]["layers"]][-1] == tmp_path.name
