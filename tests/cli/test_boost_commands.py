"""`ladder` and `ceiling` from outside: exit codes, data, and what their words must hold."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from enginelimits.cli.main import exit_code

CASES = Path(__file__).resolve().parents[2] / "cases"
SMALL = CASES / "small-turbo-1800" / "build.yaml"


def said(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str, str]:
    code = exit_code([str(word) for word in line])
    out, err = capfd.readouterr()
    return code, out, err


@pytest.mark.slow
def test_ladder_in_words_and_a_line_a_step_beside(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capfd, "ladder", SMALL, "--steps", 2, "--top", "10 psi", "--samples", 0)
    words = " ".join(out.split())
    assert code == 0 and max(map(len, out.splitlines())) <= 80
    for part in ("first reached", "DRV001", "Lifts it:", "What comes next", "torque cap", "Estimates for trained"):
        assert part in words
    assert len(err.splitlines()) == 3  # none, as asked, the top


@pytest.mark.slow
def test_ladder_data_are_si(capfd: pytest.CaptureFixture[str]) -> None:
    line = ("ladder", SMALL, "--steps", 2, "--top", "10 psi", "--samples", 0, "--format", "json", "--quiet")
    code, out, err = said(capfd, *line)
    data: Any = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))
    assert (code, err, data["schema"]) == (0, "", "enginelimits.ladder/1")
    none, top = data["steps"]
    assert none["boost"]["value"] == 0.0
    # 10 psi in pascals (NIST SP 811)
    assert max(point["value"] for point in top["boost_asked"]) == pytest.approx(68947.57, rel=1e-6)
    assert top["power"]["crank"]["unit"] == "W" and top["torque"]["unit"] == "N*m"
    assert top["first"]["because"]["limit"]["value"] is not None and top["first"]["remedies"]
    assert len(top["curve"]["engine.torque_cap"]["values"]) == len(top["curve"]["engine_speed"]["values"])
    assert {"driveline", "rods", "pistons", "fuel"} <= {family["family"] for family in data["families"]}


@pytest.mark.parametrize("name", ["ladder", "ceiling"])
def test_nothing_to_raise_is_bad_input_that_names_the_key(capfd: pytest.CaptureFixture[str], name: str) -> None:
    code, out, err = said(capfd, name, CASES / "factory-na-1800" / "build.yaml")
    assert (code, out) == (2, "")
    assert "forced_induction.kind" in err and "no boost to raise" in err and "Traceback" not in err


@pytest.mark.parametrize(
    ("line", "key"),
    [
        (("ceiling", SMALL, "--confidence", "99 %"), "--confidence"),
        (("ceiling", SMALL, "--confidence", "much"), "--confidence"),
        (("ladder", SMALL, "--top", "9"), "--top"),
        (("ladder", SMALL, "--top", "0 psi"), "--top"),
    ],
)
def test_options_that_cannot_be_read_are_refused(capfd: pytest.CaptureFixture[str], line: Any, key: str) -> None:
    code, out, err = said(capfd, *line)
    assert (code, out) == (2, "") and key in err


@pytest.mark.slow
def test_ceiling_in_words_and_data(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capfd, "ceiling", SMALL, "--samples", 0, "--quiet", "--grade", "caution")
    words = " ".join(out.split())
    assert (code, err) == (0, "")
    for part in ("Typical build:", "CAUTION", "Lifts it:", "Boost by engine speed", "No draws were made"):
        assert part in words
    code, out, _ = said(capfd, "ceiling", SMALL, "--samples", 0, "--quiet", "--grade", "caution", "--format", "json")
    data = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))
    assert data["schema"] == "enginelimits.ceiling/1" and data["confident"] is None
    assert data["typical"]["power"]["crank"]["unit"] == "W"
    assert data["typical"]["fails_at_scale"] > data["typical"]["scale"]


@pytest.mark.parametrize("name", ["ladder", "ceiling"])
def test_help_has_an_example(capfd: pytest.CaptureFixture[str], name: str) -> None:
    _, out, _ = said(capfd, name, "--help")
    assert f"Example: enginelimits {name} build.yaml" in " ".join(out.split())
