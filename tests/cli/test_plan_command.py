"""`plan` from outside: exit codes, the form of its data, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from enginelimits.cli.main import exit_code

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"


def test_words_data_and_exit_code(capfd: pytest.CaptureFixture[str]) -> None:
    assert exit_code(["plan", str(CASE), "--samples", "0", "--format", "json", "--quiet"]) == 0
    out, err = capfd.readouterr()
    data = json.loads(out)
    assert err == "" and data["schema"] == "enginelimits.plan/1" and data["reached"] is True
    assert [tier["name"] for tier in data["tiers"]] == ["on standard parts", "reinforced"]
    assert data["as_asked"]["power"]["unit"] == "W"


@pytest.mark.slow
def test_a_clutch_is_found_and_told(capfd: pytest.CaptureFixture[str]) -> None:
    """The case slips a standard clutch at caution: written in its expectations before it was run."""
    code = exit_code(["plan", str(CASE), "--samples", "0", "--grade", "caution"])
    out, err = capfd.readouterr()
    words = " ".join(out.split())
    assert code == 0 and "Fit a clutch of larger capacity" in words and "DRV001" in words
    assert "judging the build as asked" in err


def test_price_without_a_list_is_refused(capfd: pytest.CaptureFixture[str]) -> None:
    assert exit_code(["plan", str(CASE), "--by", "price"]) == 2
    assert "--prices" in capfd.readouterr().err
