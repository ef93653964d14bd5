"""--mountain from outside: how a height is written, what is refused, and what the answer says of it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from enginelimits.cli.main import exit_code
from enginelimits.cli.mountain import height_of
from enginelimits.errors import InputError

CASE = Path(__file__).resolve().parents[2] / "cases" / "small-turbo-1800" / "build.yaml"


def said(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str, str]:
    code = exit_code([str(word) for word in line])
    out, err = capfd.readouterr()
    return code, " ".join(out.split()), " ".join(err.split())


def data_of(capfd: pytest.CaptureFixture[str], *line: object) -> Any:
    code = exit_code([str(word) for word in (*line, "--format", "json")])
    out, err = capfd.readouterr()
    assert code in (0, 1), err
    return json.loads(out)


@pytest.mark.parametrize(
    ("text", "metres"),
    # A foot is 0.3048 m (NIST SP 811).
    [("2500m", 2500.0), ("2500 m", 2500.0), ("8000 ft", 2438.4), ("8000ft", 2438.4), ("1e3 m", 1000.0), ("0 m", 0.0)],
)
def test_heights_are_metres_or_feet(text: str, metres: float) -> None:
    assert height_of(text) == pytest.approx(metres)
    assert height_of(None) is None


@pytest.mark.parametrize(
    "text",
    ["2500", "2.5 km", "98 in", "high", "", "2000 to 3000 m", "2500 +/- 100 m", "nan m", "-5 m", "4501 m", "1,500 m"],
)
def test_any_other_height_is_refused_by_name(text: str) -> None:
    with pytest.raises(InputError) as caught:
        height_of(text)
    assert caught.value.problems[0].key == "--mountain"


@pytest.mark.parametrize("line", [("check", CASE), ("why", CASE, "crank.power")])
@pytest.mark.parametrize("text", ["2500", "99 m"])  # the case's site lies at 100 m
def test_bad_heights_leave_with_two(capfd: pytest.CaptureFixture[str], line: tuple[object, ...], text: str) -> None:
    code, out, err = said(capfd, *line, "--mountain", text)
    assert (code, out) == (2, "")
    assert "--mountain" in err and "Traceback" not in err


def test_check_says_what_the_mountain_assumes(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capfd, "check", CASE, "--samples", 0, "--mountain", "2100 m")
    assert code in (0, 1)
    # 100 m to 2100 m at 6.5 K a kilometre: 13 K below 25 degC
    assert "2100 m" in out and "from 25 degC to 12 degC" in out and "6.5 K a kilometre" in out
    assert "AIR013, mountain" in out
    # Boost of 0.52 bar held by gauge: (78.5 + 51.7) / (100.1 + 51.7) kPa = 0.858 of the manifold pressure by the
    # standard atmosphere, in air at most 298 / 285 = 1.046 times as dense for that; friction stays, so less is left.
    share = re.search(r"Up there: power at the crank \d+ kW, (\d+) % of the site's; torque", out)
    assert share is not None and 83 <= int(share[1]) <= 90
    assert "Mountain" not in said(capfd, "check", CASE, "--samples", 0)[1]


def test_json_names_every_ambient(capfd: pytest.CaptureFixture[str]) -> None:
    data = data_of(capfd, "check", CASE, "--samples", 0, "--mountain", "2100 m")
    assert [a["name"] for a in data["ambients"]] == ["site", "hot day", "mountain"]
    assert [a["altitude"] for a in data["ambients"]] == [100.0, 100.0, 2100.0]
    assert [a["air_temperature"] for a in data["ambients"]] == pytest.approx([298.15, 308.15, 285.15])
    assert data["quantities"]["compressor.pressure_ratio"]["at"]["ambient"] == "mountain"
    plain = data_of(capfd, "check", CASE, "--samples", 0)
    assert [a["name"] for a in plain["ambients"]] == ["site", "hot day"]
    # What is told of the site alone stays as it was.
    assert plain["curve"] == data["curve"]
    assert plain["quantities"]["crank.power"] == data["quantities"]["crank.power"]


def test_why_follows_to_the_mountain(capfd: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capfd, "why", CASE, "compressor.pressure_ratio", "--mountain", "8000ft")
    assert "on the mountain" in out and "of the mountain asked for" in out and "6.5 K a kilometre" in out
    data = data_of(capfd, "why", CASE, "compressor.pressure_ratio", "--mountain", "8000ft")
    assert data["at"]["ambient"] == "mountain"
    assert data["ambients"][2]["altitude"] == pytest.approx(2438.4)
