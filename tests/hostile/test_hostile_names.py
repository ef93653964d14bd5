"""Names that would steer a terminal, turn round what is read, run in a browser or in a spreadsheet.

A build and a rule bear them everywhere that a name may stand; what comes out of each command is looked through.
"""

from __future__ import annotations

import csv
import html.parser
import io
import json
import re
import unicodedata
from pathlib import Path
from typing import Any

import pytest

from enginelimits.cli.main import exit_code
from enginelimits.measured.record import Record
from enginelimits.measured.record_place import RecordPlace
from enginelimits.present.record import export_csv
from enginelimits.present.text import shown_plainly

SCRIPT = "<script>document.title='run'</script>"
IMAGE = "\"><img src=x onerror=\"document.title='run'\">"
# Signs that YAML takes and that steer: marks of direction, line separators, a soft hyphen, a zero-width joiner.
TURNS = "\u202egnp.exe\u202c \u2066x\u2069 \u200b\u200d\u00ad\u2028\u2029\u0085"
FORMULAS = ["=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1", "  =1", "\u00a0=1", "\uff1d1", "=HYPERLINK(\"http://x.example\")"]
NAME = f"{SCRIPT} {IMAGE} {TURNS} =1+1"
# A build's own texts must be printable: the rest is refused when it is read.
PRINTABLE = f"{SCRIPT} {IMAGE} =1+1"

BUILD = """build: {name}
engine: {{family: {name}, cylinders: 4, bore: 83 mm, stroke: 85 mm, compression_ratio: 9.5, redline: 7000 rpm}}
internals: {{rods: {{mass: {{value: 500 g, note: {name}}}}}}}
forced_induction: {{kind: turbocharger, boost: 7 psi}}
goal: {{power: 200 hp, at: crank}}
"""
RULE = """id: OWN001
title: {name}
family: rods
status: stable
since: {name}
author: {name}
date: 2026-01-01
limits: {{most: {{value: 1 kW, evidence: memory, confidence: high, note: {name}}}}}
grades: [{{grade: note, when: {{quantity: crank.power, above: most}}}}]
why: {name}
message: {name}
settled_by: {name}
caveats: [{name}]
sources: [{{id: own, at: {name}, url: "javascript:alert(1)", note: {name}}}]
"""


def quoted(name: str, longest: int = 0) -> str:
    """A name as a YAML scalar in double quotes, every sign beyond ASCII escaped."""
    return json.dumps(name[:longest] if longest else name)


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    """A build and a folder of rules with such names."""
    (tmp_path / "b.yaml").write_text(BUILD.format(name=quoted(PRINTABLE)), encoding="utf-8")
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "OWN001.yaml").write_text(RULE.format(name=quoted(NAME, 110)), encoding="utf-8")
    return tmp_path / "b.yaml", tmp_path / "rules"


def said(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str, str]:
    code = exit_code([str(word) for word in line])
    out, err = capfd.readouterr()
    return code, out, err


def steering(text: str) -> set[str]:
    """Signs that a terminal would obey or hide: controls, marks of direction, separators of lines."""
    return {c for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp")}


def test_text_steers_no_terminal(files: tuple[Path, Path], capfd: pytest.CaptureFixture[str]) -> None:
    build, rules = files
    for line in (("check", build, "--full", "--samples", "0", "--rules", rules), ("rules", "list", "--rules", rules),
                 ("rules", "explain", "OWN001", "--rules", rules)):
        code, out, err = said(capfd, *line)
        assert code in (0, 1), err
        assert "document.title" in out  # the name did come by
        assert not steering(out) and not steering(err), line


def test_what_is_refused_steers_no_terminal(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    name = quoted(NAME + " \x1b[2J\x07\x08\x9b31m")
    bad = f"{name}: 1\nbuild: 3\nengine: {{bore: {name}, {name}: 2}}\ngoal: {{at: {name}}}\n"
    (tmp_path / "b.yaml").write_text(bad)
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "x.yaml").write_text(RULE.format(name=name) + f"{name}: 1\n")
    (tmp_path / "rules" / "a\x1b[2J\u202e.yaml").write_text("x: [")
    for line in (("check", tmp_path / "b.yaml"), ("rules", "lint", "--rules", tmp_path / "rules"),
                 ("check", tmp_path / "no\x1b[2J\u202ename"), ("why", tmp_path / "b.yaml", "a\x1b[2J\u202eb"),
                 ("check", tmp_path / "b.yaml", "--as-of", "\x1b[2J\u202e"), ("che\x1b[2J\u202eck",),
                 ("check", "b.yaml", "--samples", "\x1b[2J\u202e")):
        code, out, err = said(capfd, *line)
        assert code in (1, 2) and (out or err)
        assert not steering(out) and not steering(err), line


def test_shown_plainly_leaves_words_of_any_script() -> None:
    for text in ("Bremsprüfstand 3 µm", "двигатель", "エンジン", "مقعد المحرك", "מנוע", "👍"):
        assert shown_plainly(text) == text


class Page(html.parser.HTMLParser):
    """What a browser would make of a page: the elements that run or fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.runs: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "script" and given.get("type") != "application/json":
            self.runs.append(f"script {given}")
        self.runs += [f"{tag} {name}" for name, value in attrs
                      if name.startswith("on") or (value or "").strip().lower().startswith("javascript:")]
        if tag in ("iframe", "object", "embed", "base", "form", "link"):
            self.runs.append(tag)


OTHERS = [pytest.param(r, marks=pytest.mark.slow) for r in ("enthusiast", "calibrator", "builder", "shop")]


@pytest.mark.parametrize("reader", ["customer", *OTHERS])
def test_a_page_runs_nothing_of_a_name(
    files: tuple[Path, Path], reader: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    build, rules = files
    page = tmp_path / "page.html"
    line = ("--for", reader, "--samples", "0", "--no-tiers", "-o", page)
    code, _, err = said(capfd, "report", build, *line, "--rules", rules)
    assert code == 0, err
    text = page.read_text("utf-8")
    assert SCRIPT not in text and "<img src=x" not in text and "document.title" in text
    parsed, clean = Page(), Page()
    parsed.feed(text)
    (tmp_path / "c.yaml").write_text(BUILD.format(name="plain"), encoding="utf-8")
    assert said(capfd, "report", tmp_path / "c.yaml", *line)[0] == 0
    clean.feed(page.read_text("utf-8"))
    # The page's own script and no more, whatever the names are.
    assert parsed.runs == clean.runs
    for block in re.findall(r'<script type="application/json"[^>]*>(.*?)</script>', text, re.DOTALL):
        json.loads(block, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))


def test_json_is_json_whatever_the_names(files: tuple[Path, Path], capfd: pytest.CaptureFixture[str]) -> None:
    build, rules = files

    def strict(text: str) -> Any:
        return json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))

    _, out, _ = said(capfd, "check", build, "--samples", "0", "--rules", rules, "--format", "json")
    assert strict(out)["build"]["name"] == PRINTABLE
    _, out, _ = said(capfd, "check", build, "--samples", "0", "--rules", rules, "--format", "sarif")
    assert strict(out)["version"] == "2.1.0"
    _, out, _ = said(capfd, "rules", "explain", "OWN001", "--rules", rules, "--format", "json")
    assert strict(out)["id"] == "OWN001"


@pytest.mark.parametrize("name", FORMULAS)
def test_no_cell_of_a_sheet_begins_as_a_formula(name: str, tmp_path: Path) -> None:
    """A cell is a formula for spreadsheets when it begins with = + - @, a tab or a return (OWASP, CSV injection; from
    memory); blanks before it do not keep every program from it."""
    from record_by_hand import draft

    from enginelimits.measured.record import signed

    record = Record(RecordPlace(tmp_path / "record.sqlite"))
    record.add_quote(draft(name=name), signed(author="somebody"))
    rows = list(csv.reader(io.StringIO(export_csv(record.quotes()))))
    assert len(rows) == 2
    for cell in rows[1]:
        assert not re.match(r"[\s]*[=+\-@\uff1d\uff0b\uff0d\uff20]", cell), cell
