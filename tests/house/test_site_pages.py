"""The made pages of the documentation are fresh, what they show was printed, and their links lead somewhere."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FIRST_HOUR = sorted((ROOT / "docs" / "first-hour").glob("*.md"))


def tool(name):
    spec = importlib.util.spec_from_file_location(f"{name}_tool", ROOT / "tools" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    # the dataclasses of a module look it up by its name
    import sys

    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def made():
    return tool("site_pages")


@pytest.fixture(scope="module")
def outputs():
    return tool("doc_outputs")


def test_made_pages_are_fresh(made):
    files = made.written()
    stale = [path.name for path, text in files.items() if not path.is_file() or path.read_text("utf-8") != text]
    assert stale == [], "run tools/site_pages.py"
    there = {path for folder in (made.REFERENCE, made.FORMULAS) for path in folder.rglob("*.md")}
    assert there == set(files) | made.BY_HAND


def test_a_formula_page_wants_every_module():
    import sys

    sys.path.insert(0, str(ROOT / "tools"))
    from pages.formula_topics import TOPICS, every_module_once

    from enginelimits.errors import InputError

    there = {module for _, modules in TOPICS.values() for module in modules}
    every_module_once(there)
    with pytest.raises(InputError, match=r"airflow\.swirl"):
        every_module_once({*there, "airflow.swirl"})


@pytest.mark.parametrize("page", FIRST_HOUR, ids=lambda page: page.stem)
def test_first_hours_show_what_the_program_prints(outputs, page):
    assert outputs.remade(page, slow=False) == page.read_text("utf-8"), f"run tools/doc_outputs.py {page}"


@pytest.mark.slow
@pytest.mark.parametrize("page", FIRST_HOUR, ids=lambda page: page.stem)
def test_first_hours_show_what_long_commands_print(outputs, page):
    assert outputs.remade(page, slow=True) == page.read_text("utf-8"), f"run tools/doc_outputs.py {page}"


def test_an_output_is_cut_where_it_says(outputs):
    printed = "a\nb\nc\nd\n"
    assert outputs.chosen(printed, "") == printed
    assert outputs.chosen(printed, 'from "b" to "d"') == "[...]\nb\nc\n[...]\n"
    assert outputs.chosen(printed, "slow lines 1") == "a\n[...]\n"
    with pytest.raises(ValueError, match="no line begins"):
        outputs.chosen(printed, 'from "x"')


def test_every_output_block_of_a_first_hour_is_made(outputs):
    for page in FIRST_HOUR:
        text = page.read_text("utf-8")
        shown = {step.shown for step in outputs.steps(text) if step.how is not None}
        blocks = {block.span("body") for block in outputs.BLOCK.finditer(text) if block["head"].strip() == "text"}
        assert blocks == shown, page.name


def test_no_output_hangs_on_the_day(outputs):
    # the day that a verdict is given stands in its last line; an override counts until its end
    for page in FIRST_HOUR:
        for step in outputs.steps(page.read_text("utf-8")):
            if "our-rules" in step.text or "record add" in step.text:
                assert "--as-of" in step.text, step.text
            begin, end = step.shown
            assert "Rules: " not in page.read_text("utf-8")[begin:end], step.text


def test_links_between_pages_lead_to_pages():
    docs = ROOT / "docs"
    for path in docs.rglob("*.md"):
        if path.parent.name == "rules":
            continue  # tests/house/test_rule_pages.py
        text = re.sub(r"```.*?```", "", path.read_text("utf-8"), flags=re.DOTALL)
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", text):
            assert (path.parent / target).is_file(), f"{path.name} points to {target}"


def test_nothing_of_the_site_comes_from_elsewhere():
    # a page that needs the network cannot be read in a workshop without one
    settings = (ROOT / "mkdocs.yml").read_text("utf-8")
    assert "font: false" in settings
    assert "enable_inventory: false" in settings
    assert "http" not in settings
    for path in (ROOT / "docs").rglob("*.md"):
        assert not re.search(r"<script|<iframe|!\[[^\]]*\]\(http|src=\"http", path.read_text("utf-8")), path.name
