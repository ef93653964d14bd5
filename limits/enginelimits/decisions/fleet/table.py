"""A table of builds: a row a build, columns headed by paths of the build file, read with the place of every cell."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from enginelimits.description import nodes
from enginelimits.description.paths import containers, field, near_paths
from enginelimits.errors import InputError, Problem
from enginelimits.files import text_of
from enginelimits.units.grammar import excerpt

BASE, NAME = "build", "name"
# What `name` sets
TITLE = "build"
MOST_BYTES = 50_000_000
SEPARATORS = (",", ";", "\t")
QUOTE = '"'


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a value was written, for words about it."""

    file: str
    line: int | None = None
    column: int | None = None

    def problem(self, wanted: str, got: str = "", mend: str = "", key: str = "", near: tuple[str, ...] = ()) -> Problem:
        """Something wrong there."""
        return Problem(wanted, got, mend, key, self.file, self.line, self.column, near)


@dataclass(frozen=True, slots=True)
class Put:
    """A value for a path of the build file, and where it was written."""

    path: str
    value: Any
    origin: Origin


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: the build file it names, if it does, a name of its own, and what it puts where."""

    base: Path | None
    puts: tuple[Put, ...]
    origin: Origin


@dataclass(frozen=True, slots=True)
class Cell:
    """The text of one cell and where it begins."""

    text: str
    line: int
    column: int


def read_table(path: Path) -> list[TableRow]:
    """The rows of a table (CSV, with commas, semicolons or tabs); InputError with every problem of its form."""
    text = text_of(path, "a table", MOST_BYTES).replace("\r\n", "\n").replace("\r", "\n")
    head, *rest = [*cells(text, _separator(text))] or [[]]
    place = Origin(str(path), 1)
    if not rest:
        got = "a heading alone" if head else "an empty file"
        raise InputError([place.problem("a table: a heading and a row for each build", got)])
    problems = [*_headings(head, str(path))]
    if problems:
        raise InputError(problems)
    rows = []
    for row in rest:
        origin = Origin(str(path), row[0].line, row[0].column)
        if len(row) > len(head):
            extra = Origin(str(path), row[len(head)].line, row[len(head)].column)
            problems.append(extra.problem(f"{len(head)} cells, as the heading has", str(len(row)),
                                          'Put a value that holds the separator between quotes: "...".'))
            continue
        rows.append(_row(path, head, row, origin, problems))
    if problems:
        raise InputError(problems)
    return rows


def cells(text: str, separator: str) -> Iterator[list[Cell]]:
    """The rows that hold anything, as RFC 4180 has them: quotes around a cell, and twice within one."""
    row: list[Cell] = []
    held: list[str] = []
    line = column = 1
    begun = (1, 1)
    quoted = False
    i, end = 0, len(text)
    while i <= end:
        char = text[i] if i < end else "\n"
        last = i >= end
        if quoted and not last:
            if char == QUOTE and text[i + 1:i + 2] == QUOTE:
                held.append(QUOTE)
                i, column = i + 1, column + 1
            elif char == QUOTE:
                quoted = False
            else:
                held.append(char)
        elif char == QUOTE and not "".join(held).strip():
            held, quoted = [], True
        elif char in (separator, "\n"):
            row.append(Cell("".join(held).strip(), *begun))
            held, quoted = [], False
            if char == "\n":
                if any(cell.text for cell in row):
                    yield row
                row = []
        else:
            held.append(char)
        i += 1
        line, column = (line + 1, 1) if char == "\n" else (line, column + 1)
        if not held and not quoted and char in (separator, "\n"):
            begun = (line, column)


def value_of(text: str, origin: Origin, key: str) -> Any:
    """A value as a build file would have it: text, or between braces or brackets a mapping or a list."""
    if not text.startswith(("{", "[")):
        return text
    document = nodes.document(text, origin.file)
    if document.root is None or document.problems:
        first = document.problems[0] if document.problems else origin.problem("a mapping or a list", excerpt(text))
        raise InputError([origin.problem(first.wanted, first.got, first.mend, key)])
    return nodes.plain(document.root)


def unknown_path(path: str, origin: Origin) -> Problem | None:
    """What is wrong with a path, if nothing in a build file has it."""
    if path in ("", TITLE) or (field(path) is None and path not in containers()):
        return origin.problem("a path of the build file, such as `forced_induction.boost`", excerpt(path) or "nothing",
                              "", path, near_paths(path))
    return None


def _headings(head: Sequence[Cell], file: str) -> Iterator[Problem]:
    counted = Counter(cell.text for cell in head)
    for cell in head:
        origin = Origin(file, cell.line, cell.column)
        if counted[cell.text] > 1 and cell.text:
            yield origin.problem("each heading once", f"{excerpt(cell.text)} {counted[cell.text]} times", "", cell.text)
        elif cell.text not in (BASE, NAME) and (problem := unknown_path(cell.text, origin)) is not None:
            yield problem


def _row(path: Path, head: Sequence[Cell], row: Sequence[Cell], origin: Origin, problems: list[Problem]) -> TableRow:
    base, puts = None, []
    for title, cell in zip(head, row, strict=False):
        place = Origin(str(path), cell.line, cell.column)
        if not cell.text:
            continue
        if title.text == BASE:
            base = path.parent / cell.text
            continue
        try:
            target = TITLE if title.text == NAME else title.text
            puts.append(Put(target, value_of(cell.text, place, title.text), place))
        except InputError as error:
            problems += error.problems
    return TableRow(base, tuple(puts), origin)


def _separator(text: str) -> str:
    heading = next((line for line in text.splitlines() if line.strip()), "")
    return max(SEPARATORS, key=heading.count)
