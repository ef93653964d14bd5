"""One neutral tree that every report is made of: what is said and what role it plays, never how it looks.

Text, HTML and print are made from the same tree, so that no form can say more than another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Role = Literal[
    "plain",
    "strong",
    "muted",
    "assumed",
    "remedy",
    "clear",
    "note",
    "caution",
    "reinforce",
    "decline",
    "unknown",
]


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of words with one role."""

    text: str
    role: Role = "plain"


@dataclass(frozen=True, slots=True)
class Heading:
    """A title; level 1 is the report, level 2 a part of it."""

    text: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class Line:
    """A paragraph; ``depth`` counts steps of indentation."""

    runs: tuple[Run, ...]
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a list: a marker, its first paragraph, and what belongs under it."""

    marker: str
    head: tuple[Run, ...]
    under: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under named columns; the column ``wide`` is the one that may be broken over lines.

    A line break within a cell parts the entries of a list; ``caption`` says what the rows are.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[Run, ...], ...]
    wide: int = -1
    depth: int = 0
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that must be told whatever was found: a warning, or a question still open."""

    text: str
    kind: Literal["warning", "question"] = "warning"


Node = Heading | Line | Item | Table | Notice


@dataclass(frozen=True, slots=True)
class Tree:
    """A whole report."""

    title: str
    nodes: tuple[Node, ...]


def line(*parts: Run | str, depth: int = 0) -> Line:
    """A paragraph of runs; a bare string is plain."""
    return Line(runs(*parts), depth)


def runs(*parts: Run | str) -> tuple[Run, ...]:
    """Runs from runs and bare strings, the empty ones left out."""
    made = (part if isinstance(part, Run) else Run(part) for part in parts)
    return tuple(run for run in made if run.text)


def table(
    columns: Sequence[str],
    rows: Sequence[Sequence[Run | str]],
    *,
    wide: int = -1,
    depth: int = 0,
    caption: str = "",
) -> Table:
    """A table whose cells may be bare strings."""
    cells = tuple(tuple(cell if isinstance(cell, Run) else Run(cell) for cell in row) for row in rows)
    return Table(tuple(columns), cells, wide, depth, caption)
