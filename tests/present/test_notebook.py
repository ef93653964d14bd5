"""What a notebook shows, asked of IPython's own formatters without a notebook or a browser."""

from __future__ import annotations

from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from IPython.core.interactiveshell import InteractiveShell

from enginelimits.decisions.check import check_build
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.load import parse_build
from enginelimits.present.notebook import assessment_tree, filled_tree
from enginelimits.present.plots import plot
from enginelimits.present.text import report
from enginelimits.present.verdict import verdict_tree

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
EXTENSION = "enginelimits.present.notebook"


class Words(HTMLParser):
    """The words of a page, and its tags."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        if self.tags[-1:] != ["style"]:
            self.words += data.split()


@pytest.fixture(scope="module")
def judgement() -> Judgement:
    return check_build(CASE, samples=16)


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[InteractiveShell]:
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path))
    shell = InteractiveShell()
    shell.history_manager.enabled = False
    shell.extension_manager.load_extension(EXTENSION)
    yield shell
    shell.extension_manager.unload_extension(EXTENSION)


def shown(shell: InteractiveShell, value: object) -> dict[str, str]:
    data, _ = shell.display_formatter.format(value)
    return dict(data)


def test_every_kind_is_shown_as_page_and_as_text(shell: InteractiveShell, judgement: Judgement) -> None:
    for value in (judgement.filled.build, judgement.filled, judgement.assessment, judgement, judgement.verdict):
        data = shown(shell, value)
        assert data["text/html"].startswith('<div class="enginelimits">')
        assert len(data["text/plain"]) > 50
        assert "object at 0x" not in data["text/plain"]


def test_every_word_of_the_report_is_on_the_page(shell: InteractiveShell, judgement: Judgement) -> None:
    """One tree feeds text and page: what stands in the text between two spaces stands on the page too."""
    page = Words(shown(shell, judgement)["text/html"])
    text = report(verdict_tree(judgement), width=10_000)
    on_page = "".join(page.words)
    lacking = {word for word in text.split() if any(c.isalpha() for c in word) and word not in on_page}
    assert not lacking
    for finding in judgement.findings[:5]:
        assert finding.title.replace(" ", "") in on_page


def test_a_build_is_shown_as_it_was_written(shell: InteractiveShell, judgement: Judgement) -> None:
    words = " ".join(Words(shown(shell, judgement.filled.build)["text/html"]).words)
    assert "engine.bore 82 mm" in words
    assert "forced_induction.compressor.inducer 44 mm" in words
    assert "4 psi" in words


def test_what_is_assumed_looks_otherwise(shell: InteractiveShell, judgement: Judgement) -> None:
    page = shown(shell, judgement.filled)["text/html"]
    assert page.count('class="assumed"') > 20
    assert ".enginelimits .assumed" in page
    rows = {row[0].text: row for row in filled_tree(judgement.filled).nodes[0].rows}  # type: ignore[union-attr]
    assert rows["engine.bore"][1].role == "plain"
    assert rows["internals.rods.shank_area"][1].role == "assumed"
    assert "mm^2" in rows["internals.rods.shank_area"][1].text


def test_an_assessment_says_that_nothing_was_judged(shell: InteractiveShell, judgement: Judgement) -> None:
    words = " ".join(Words(shown(shell, judgement.assessment)["text/html"]).words)
    assert "not judged" in words
    result = judgement.assessment.quantities["crank.power"]
    assert f"{result.value / 1e3:.0f} kW" in words
    assert "16 draws" in report(assessment_tree(judgement.assessment))


def test_a_plot_is_shown_with_its_words(shell: InteractiveShell, judgement: Judgement) -> None:
    made = plot.rod_force(judgement)
    data = shown(shell, made)
    assert made.svg in data["text/html"]
    assert made.alt in data["text/plain"]


def test_a_name_is_never_markup(shell: InteractiveShell) -> None:
    build = parse_build(CASE.read_text().replace(
        "build: 1.8 with a small turbo on pump fuel", "build: '<script>alert(1)</script><b>&'"))
    page = Words(shown(shell, build)["text/html"])
    assert "script" not in page.tags
    assert "<script>alert(1)</script><b>&" in page.words


def test_it_can_be_taken_back(shell: InteractiveShell, judgement: Judgement) -> None:
    assert "text/html" in shown(shell, judgement.verdict)
    shell.extension_manager.unload_extension(EXTENSION)
    assert "text/html" not in shown(shell, judgement.verdict)
