"""`reading` from outside: exit codes, the form of its data, and what its words must hold."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from enginelimits.cli.main import exit_code

LINE = ("reading", "298 hp", "--at", "wheels", "--dyno", "load-controlled")


def said(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str, str]:
    code = exit_code([str(word) for word in line])
    out, err = capfd.readouterr()
    return code, " ".join(out.split()), " ".join(err.split())


def data_of(capfd: pytest.CaptureFixture[str], *line: object) -> Any:
    code = exit_code([str(word) for word in (*line, "--format", "json")])
    out, err = capfd.readouterr()
    assert code == 0, err
    return json.loads(out)


def test_words_hold_every_meaning(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capfd, *LINE)
    assert (code, err) == (0, "")
    for words in ("at the crank", "inertia dyno", "hub dyno", "as given", "SAE J1349", "J607", "DIN 70020",
                  "ISO 1585 / UN R85", "uncorrected", "holds manifold pressure", "136/2014", "common practice"):
        assert words in out


def test_not_under_boost_control_says_so(capfd: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capfd, *LINE, "--not")
    assert "does not hold its manifold pressure" in out and "136/2014" not in out


def test_data_are_si_with_the_schema(capfd: pytest.CaptureFixture[str]) -> None:
    data = data_of(capfd, *LINE)
    assert data["schema"] == "enginelimits.reading/1"
    assert data["default_correction"] == "none"
    assert len(data["rows"]) == 20
    assert {row["unit"] for row in data["rows"]} == {"W"}
    given = [row for row in data["rows"] if row["given"]]
    # a horsepower is 745.69987 W (NIST SP 811)
    assert given[0]["value"] == pytest.approx(298 * 745.69987, rel=1e-6)
    assert data["inputs"]["class.dyno.load-controlled"]["source"] == "common-practice"


def test_units_change_words_and_no_data(capfd: pytest.CaptureFixture[str]) -> None:
    _, metric, _ = said(capfd, "reading", "222.2 kW", *LINE[2:])
    _, us, _ = said(capfd, *LINE, "--units", "us")
    # by hand: 298 hp / 0.87 = 342.5 hp = 255.4 kW
    assert "255 kW" in metric and "343 hp" in us and "kW" not in us
    # Who asks in hp compares hp, whatever the units of the rest.
    _, asked, _ = said(capfd, *LINE)
    assert "343 hp" in asked and "255 kW" not in asked and "Barometer 99.5 kPa" in asked
    assert data_of(capfd, *LINE) == data_of(capfd, *LINE, "--units", "us")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("reading", "298 hp"), ("--at", "crank or wheels")),
        (("reading", "298 hp", "--at", "wheels"), ("--dyno", "load-controlled, inertia or hub")),
        (("reading", "298"), ("POWER", "hp")),
    ],
)
def test_open_questions_leave_with_two_and_no_data(capfd: pytest.CaptureFixture[str], line: Any, words: Any) -> None:
    code, out, err = said(capfd, *line)
    assert (code, out) == (2, "")
    assert all(word in err for word in words) and "Traceback" not in err


def test_refusal_is_told_with_the_range(capfd: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capfd, *LINE, "--altitude", "1600 m")
    assert "Refused: SAE J1349: its factor of" in out and "beyond 0.93 to 1.07" in out


def test_written_to_a_file(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    there = tmp_path / "reading.txt"
    code, out, err = said(capfd, *LINE, "-o", there)
    assert (code, out) == (0, "") and str(there) in err
    assert "298 hp" in there.read_text(encoding="utf-8")


def test_help_has_an_example(capfd: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capfd, "reading", "--help")
    assert 'Example: enginelimits reading "298 hp" --at wheels --dyno load-controlled' in out
