"""Layout of reports: what a terminal, a pipe and a printer get."""

from __future__ import annotations

import io
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enginelimits.present.text import columns_of, report, shown_plainly, wants_colour, width_of
from enginelimits.present.tree import Heading, Item, Notice, Run, Tree, line, table

ESCAPE = re.compile(r"\x1b\[[0-9;]*m")
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=90)
RUNS = st.lists(st.builds(Run, WORDS, st.sampled_from(("plain", "strong", "caution"))), max_size=4).map(tuple)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def tree() -> Tree:
    return Tree(
        "a build",
        (
            line("Verdict ", Run("REINFORCE", "reinforce"), " with words that go on for a while."),
            Heading("Cautions"),
            Item("1.", (Run("a caution ", "caution"), Run("and its title")), (line("what it says"),)),
            table(
                ("argument", "is", "value"),
                [("shank_area_m2", "internals.rods.shank_area", "140 mm^2")],
                wide=1,
            ),
            Notice("Mind the dyno."),
            Notice("Which power?", "question"),
        ),
    )


@settings(max_examples=200)
@given(parts=RUNS, marker=st.sampled_from(("-", "1.", "12.")), width=st.integers(40, 100))
def test_no_row_is_wider_than_the_page(parts: tuple[Run, ...], marker: str, width: int) -> None:
    made = Tree("", (Item(marker, parts, (line(*parts, depth=2),)), line(*parts)))
    assert all(columns_of(row) <= width for row in report(made, width=width).splitlines())


@given(parts=RUNS)
def test_no_word_is_lost_in_layout(parts: tuple[Run, ...]) -> None:
    text = report(Tree("", (line(*parts),)), width=40)
    kept = "".join(shown_plainly(run.text) for run in parts).replace(" ", "")
    assert text.replace("\n", "").replace(" ", "") == kept


def test_colour_adds_nothing_but_escapes() -> None:
    assert ESCAPE.sub("", report(tree(), width=60, colour=True)) == report(tree(), width=60)
    assert "\x1b[" in report(tree(), width=60, colour=True)


def test_plain_text_holds_no_escapes() -> None:
    assert "\x1b" not in report(tree())


def test_a_name_cannot_steer_the_terminal() -> None:
    text = report(Tree("evil\x1b[2Jname\r\n\x07", ()), colour=False)
    assert text == "evil\\x1b[2Jname \\x07\n"


def test_markup_in_a_name_stays_text() -> None:
    assert "[bold]x[/bold] [link=y]" in report(Tree("", (line("[bold]x[/bold] [link=y]"),)), colour=True)


def test_wide_characters_take_two_columns() -> None:
    assert columns_of("エンジン") == 8
    rows = report(Tree("", (line("エンジン" * 12),)), width=40).splitlines()
    assert [columns_of(row) for row in rows] == [40, 40, 16]


def test_long_path_is_cut_behind_a_dot() -> None:
    path = "forced_induction.intercooler_of_a_kind.effectiveness"
    assert report(Tree("", (line(path),)), width=40).splitlines() == [
        "forced_induction.intercooler_of_a_kind.",
        "effectiveness",
    ]


def test_table_stands_in_columns_where_there_is_room() -> None:
    rows = report(tree(), width=80).splitlines()
    assert "argument       is                         value" in rows
    assert "shank_area_m2  internals.rods.shank_area  140 mm^2" in rows


def test_table_breaks_its_wide_column_first() -> None:
    rows = report(tree(), width=44).splitlines()
    assert "shank_area_m2  internals.rods.      140 mm^2" in rows
    assert "               shank_area" in rows


def test_table_is_stacked_on_a_narrow_screen() -> None:
    made = Tree(
        "",
        (
            table(
                ("argument", "is", "value"),
                [("a_very_long_argument_m2", "somewhere.else", "12.5 mm^2")],
                wide=1,
            ),
        ),
    )
    assert report(made, width=40).splitlines() == [
        "a_very_long_argument_m2",
        "  is: somewhere.else",
        "  value: 12.5 mm^2",
    ]


def test_narrower_than_forty_is_set_as_forty() -> None:
    assert report(tree(), width=10) == report(tree(), width=40)


def test_heading_has_an_empty_row_before_it_and_none_after() -> None:
    rows = report(tree(), width=80).splitlines()
    place = rows.index("Cautions")
    assert rows[place - 1] == ""
    assert rows[place + 1].startswith("1. a caution")


@pytest.mark.parametrize(("name", "value"), [("NO_COLOR", "1"), ("TERM", "dumb")])
def test_colour_is_refused_by_the_environment(monkeypatch: pytest.MonkeyPatch, name: str, value: str) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert wants_colour(Terminal())
    monkeypatch.setenv(name, value)
    assert not wants_colour(Terminal())


def test_a_pipe_gets_no_colour_and_eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    assert not wants_colour(io.StringIO())
    assert width_of(io.StringIO()) == 80


@pytest.mark.parametrize(("stated", "used"), [("60", 60), ("20", 40), ("250", 100), ("wide", 80), ("0", 80)])
def test_columns_of_the_environment_are_kept_within_reason(
    monkeypatch: pytest.MonkeyPatch, stated: str, used: int
) -> None:
    monkeypatch.setenv("COLUMNS", stated)
    assert width_of(io.StringIO()) == used
