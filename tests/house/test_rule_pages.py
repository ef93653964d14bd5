"""The pages and schemas of the rules are those that the rule files make."""

from __future__ import annotations

import importlib.util
from pathlib import Path

ROOT = Path(__file__).parents[2]


def made():
    spec = importlib.util.spec_from_file_location("rule_pages_tool", ROOT / "tools" / "rule_pages.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


def test_they_are_fresh():
    tool = made()
    files = tool.written()
    stale = [path.name for path, text in files.items() if not path.is_file() or path.read_text("utf-8") != text]
    assert stale == [], "run tools/rule_pages.py"
    there = {path for folder in (tool.PAGES, tool.SHIPPED_SCHEMAS) for path in folder.iterdir()}
    assert there == set(files)


def test_every_link_leads_to_a_page():
    import re

    for path in made().PAGES.glob("*.md"):
        for target in re.findall(r"\]\(([^)]+\.md)\)", path.read_text("utf-8")):
            assert (path.parent / target).is_file(), f"{path.name} points to {target}"
