"""What a verdict rests on is told, and nothing that is printed promises anything."""

from __future__ import annotations

import ast
import importlib.util
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).parents[2]
PROMISE = re.compile(
    r"\b(safe|safely|safest|guarantee[ds]?|guaranteeing|bulletproof|foolproof|risk-free)\b", re.IGNORECASE
)
# Where the words stand to be forbidden
FORBIDDING = {
    "limits/enginelimits/rules/lint.py": r"\b(safe|safely|guaranteed?s?|bulletproof)\b",
    "DEVELOPERS.md": "- Text that the program prints never says that something is safe, and promises nothing.",
}
# A word of Python's own
CALLS = ("safe_load", "safe=")


@cache
def made():
    spec = importlib.util.spec_from_file_location("honesty_tool", ROOT / "tools" / "honesty.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


def test_the_page_of_thresholds_is_that_of_the_rules():
    tool = made()
    text = tool.thresholds(tool.load_catalogue(ROOT / "rulesets", as_of=tool.DAY))
    assert tool.THRESHOLDS.read_text("utf-8") == text, "run tools/honesty.py --thresholds"


@pytest.mark.slow
def test_the_page_of_assumptions_is_that_of_the_cases():
    tool = made()
    judged = dict(tool.cases(tool.load_catalogue(ROOT / "rulesets", as_of=tool.DAY)))
    assert tool.ASSUMPTIONS.read_text("utf-8") == tool.assumptions(judged), "run tools/honesty.py"


def texts_of(path: Path) -> Iterator[tuple[int, str]]:
    """The lines of a text, or the strings of a program but its docstrings of tests."""
    text = path.read_text("utf-8")
    if path.suffix != ".py":
        yield from enumerate(text.splitlines(), 1)
        return
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value


def printed_files() -> list[Path]:
    folders = {"limits": ("*.py", "*.yaml", "*.html", "*.css", "*.js"), "rulesets": ("*.yaml", "*.json"),
               "cases": ("*.yaml", "*.md"), "docs": ("*.md", "*.yaml"), "benchmarks": ("*.py",), "tools": ("*.py",)}
    found = [p for folder, kinds in folders.items() for kind in kinds for p in (ROOT / folder).rglob(kind)]
    return [*found, ROOT / "README.md", ROOT / "DEVELOPERS.md"]


def test_no_text_promises():
    files = printed_files()
    assert len(files) > 800
    said = [
        f"{path.relative_to(ROOT)}:{line}: {text.strip()[:100]}"
        for path in files
        for line, text in texts_of(path)
        if PROMISE.search(text) and FORBIDDING.get(str(path.relative_to(ROOT))) != text.strip()
        and not any(call in text for call in CALLS)
    ]
    assert said == []


def test_the_look_for_promises_finds_one(tmp_path):
    (tmp_path / "a.py").write_text('say = "This build is Safe."\n', encoding="utf-8")
    assert [line for line, text in texts_of(tmp_path / "a.py") if PROMISE.search(text)] == [1]


def test_every_limit_says_what_it_rests_on_and_every_class_entry_where_it_is_from():
    catalogue = made().load_catalogue(ROOT / "rulesets")
    for rule in catalogue.rules.values():
        for limit in rule.limits.values():
            assert limit.evidence and limit.confidence, f"{rule.id} {limit.name}"
    for path in sorted((ROOT / "limits" / "enginelimits" / "reference").glob("*.yaml")):
        for where, entry in valued(yaml.safe_load(path.read_text("utf-8")), path.stem):
            assert entry.get("source") or entry.get("evidence"), where


def valued(node: object, where: str) -> Iterator[tuple[str, dict]]:
    """Every mapping of a file that holds a value."""
    if isinstance(node, dict):
        if "value" in node or "typical" in node:
            yield where, node
        for key, inner in node.items():
            yield from valued(inner, f"{where}.{key}")
    elif isinstance(node, list):
        for n, inner in enumerate(node):
            yield from valued(inner, f"{where}[{n}]")
