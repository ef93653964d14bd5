"""The page of behaviours names tests that there are."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_every_statement_names_a_test_that_there_is():
    page = (ROOT / "docs" / "validation" / "behaviour.md").read_text("utf-8")
    named = set(re.findall(r"`(test_\w+)`", page))
    there = {name for path in (ROOT / "tests").rglob("test_*.py")
             for name in re.findall(r"(?m)^def (test_\w+)", path.read_text("utf-8"))}  # fmt: skip
    assert len(named) > 40
    assert named <= there, named - there
    rows = [line for line in page.splitlines() if line.startswith("| ")][2:]
    assert all("`test_" in row for row in rows)
