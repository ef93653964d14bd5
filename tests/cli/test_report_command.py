"""`report` from outside: files, forms, exit codes, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from enginelimits.cli.main import exit_code

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
QUICK = ["--samples", "0", "--no-tiers", "--quiet"]


def test_a_page_is_written_to_its_file(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    there = tmp_path / "offer.html"
    assert exit_code(["report", str(CASE), *QUICK, "-o", str(there)]) == 0
    assert capfd.readouterr() == ("", "")
    made = there.read_text("utf-8")
    assert made.startswith("<!DOCTYPE html>") and "1.8 with a small turbo on pump fuel" in made
    assert "left out by --no-tiers" in made


def test_data_and_words(capfd: pytest.CaptureFixture[str]) -> None:
    assert exit_code(["report", str(CASE), "--for", "builder", *QUICK, "--format", "json"]) == 0
    data = json.loads(capfd.readouterr().out)
    assert data["schema"] == "enginelimits.report/1" and data["reader"] == "builder" and data["plan"] is None
    assert len(data["build_file"]["sha256"]) == 64
    assert exit_code(["report", str(CASE), *QUICK, "--format", "text"]) == 0
    assert "What you asked for" in capfd.readouterr().out


def test_pdf_goes_to_a_file(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("weasyprint")
    assert exit_code(["report", str(CASE), *QUICK, "--format", "pdf"]) == 2
    assert "Add -o offer.pdf" in capfd.readouterr().err
    there = tmp_path / "offer.pdf"
    assert exit_code(["report", str(CASE), *QUICK, "--paper", "Letter", "-o", str(there)]) == 0
    assert there.read_bytes().startswith(b"%PDF-")  # by the ending of its name


def test_prices_come_from_the_list_alone(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    prices = tmp_path / "prices.yaml"
    prices.write_text("lower-boost: {price: 900, currency: EUR}\n", "utf-8")
    arguments = ["report", str(CASE), "--samples", "0", "--budget", "6", "--prices", str(prices), "--format", "text"]
    assert exit_code(arguments) == 0
    out, err = capfd.readouterr()
    assert "900 EUR" in out and "judging" in err


def test_an_input_is_never_written_over(capfd: pytest.CaptureFixture[str]) -> None:
    before = CASE.read_bytes()
    assert exit_code(["report", str(CASE), *QUICK, "-o", str(CASE)]) == 2
    assert CASE.read_bytes() == before
