"""A report as text for a terminal, a pipe or a printer.

The words are laid out first and coloured afterwards, so that a report reads the same without colour.
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from typing import IO, TYPE_CHECKING

from enginelimits.present.tree import Heading, Item, Line, Node, Notice, Role, Run, Table, Tree

if TYPE_CHECKING:
    from rich.text import Text

WIDTH = 80
NARROWEST = 40
WIDEST = 100
STEP = 3
NARROWEST_CELL = 12

_STYLES: Mapping[Role, str] = {
    "plain": "",
    "strong": "bold",
    "muted": "dim",
    "assumed": "italic",
    "remedy": "",
    "clear": "bold green",
    "note": "bold blue",
    "caution": "bold yellow",
    "reinforce": "bold magenta",
    "decline": "bold red",
    "unknown": "bold",
}

Row = tuple[Run, ...]
_Sign = tuple[str, Role]
NOTHING = Run("")


def report(tree: Tree, *, width: int = WIDTH, colour: bool = False) -> str:
    """The report as one string that ends in a newline; with escape sequences only when ``colour``."""
    rows = laid_out(tree, max(width, NARROWEST))
    if colour:
        return _coloured(rows)
    return "".join(_joined(row).rstrip() + "\n" for row in rows)


def width_of(stream: IO[str] | None) -> int:
    """Columns to fill on a stream: 80 unless a terminal or the environment says otherwise."""
    stated = os.environ.get("COLUMNS", "")
    if stated.isdigit() and int(stated) > 0:
        return min(max(int(stated), NARROWEST), WIDEST)
    if stream is None or not stream.isatty():
        return WIDTH
    try:
        columns = os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError):
        return WIDTH
    return min(max(columns or WIDTH, NARROWEST), WIDEST)


def wants_colour(stream: IO[str] | None) -> bool:
    """Whether colour may be written: a terminal that can show it, and nobody asked for none."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return stream is not None and stream.isatty()


def shown_plainly(text: str) -> str:
    """Text of a user's with control characters made visible, so that no file can steer a terminal."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else " " if c.isspace() else f"\\x{ord(c):02x}" for c in text)


def columns_of(text: str) -> int:
    """Columns that text takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def laid_out(tree: Tree, width: int) -> list[Row]:
    """The report as rows of runs, none wider than ``width``."""
    rows: list[Row] = []
    before: Node | None = None
    if tree.title:
        rows += _wrapped((Run(tree.title, "strong"),), width, NOTHING, 0)
        before = Heading(tree.title, 1)
    for node in tree.nodes:
        if _parted(before, node) and rows:
            rows.append(())
        rows += _rows(node, width)
        before = node
    return rows


def _parted(before: Node | None, node: Node) -> bool:
    """Whether an empty row stands between two nodes."""
    return isinstance(node, Heading) and before is not None


def _rows(node: Node, width: int) -> list[Row]:
    match node:
        case Heading():
            return _wrapped((Run(node.text, "strong"),), width, NOTHING, 0)
        case Line():
            indent = _indent(node.depth, width)
            return _wrapped(node.runs, width, Run(" " * indent), indent)
        case Item():
            return _item(node, width)
        case Notice():
            mark = "? " if node.kind == "question" else "! "
            return _wrapped((Run(node.text),), width, Run(mark, "strong"), len(mark))
        case Table():
            told = (Run(node.caption, "muted"),) if node.caption else ()
            return [*_wrapped(told, width, NOTHING, 0), *_table(node, width)]


def _indent(depth: int, width: int) -> int:
    # A narrow screen keeps the order of depth but gives each step less room.
    return min(depth * (STEP if width >= WIDTH else 2), width // 3)


def _item(item: Item, width: int) -> list[Row]:
    hang = max(columns_of(item.marker) + 1, 2)
    rows = _wrapped(item.head, width, Run(item.marker.ljust(hang)), hang)
    for under in item.under:
        indent = hang + _indent(under.depth, width)
        rows += _wrapped(under.runs, width, Run(" " * indent), indent)
    return rows


def _table(made: Table, width: int) -> list[Row]:
    indent = _indent(made.depth, width)
    room = width - indent
    count = len(made.columns)
    wide = made.wide % count
    widths = [columns_of(name) for name in made.columns]
    for row in made.rows:
        widths = [max(w, columns_of(shown_plainly(cell.text))) for w, cell in zip(widths, row, strict=True)]
    others = sum(w for i, w in enumerate(widths) if i != wide) + 2 * (count - 1)
    if others + widths[wide] > room:
        widths[wide] = room - others
        if widths[wide] < NARROWEST_CELL:
            return _stacked(made, width, indent)
    head = tuple(Run(name, "muted") for name in made.columns)
    rows: list[Row] = []
    for row in (head, *made.rows):
        rows += _table_row(row, widths, wide, indent)
    return rows


def _table_row(row: Sequence[Run], widths: Sequence[int], wide: int, indent: int) -> list[Row]:
    broken = _wrapped((row[wide],), widths[wide], NOTHING, 0) or [()]
    rows: list[Row] = []
    for number, part in enumerate(broken):
        cells: list[Run] = [Run(" " * indent)] if indent else []
        for place, cell in enumerate(row):
            if place == wide:
                shown, used = list(part), sum(columns_of(run.text) for run in part)
            elif number == 0:
                text = shown_plainly(cell.text)
                shown, used = [Run(text, cell.role)], columns_of(text)
            else:
                shown, used = [], 0
            gap = widths[place] - used + 2 if place < len(row) - 1 else 0
            cells += [*shown, Run(" " * gap)] if gap else shown
        rows.append(tuple(cells))
    return rows


def _stacked(made: Table, width: int, indent: int) -> list[Row]:
    """A table on a screen too narrow for it: each row as named lines."""
    rows: list[Row] = []
    for row in made.rows:
        rows += _wrapped((row[0],), width, Run(" " * indent), indent + 2)
        for name, cell in list(zip(made.columns, row, strict=True))[1:]:
            if cell.text:
                rows += _wrapped(
                    (Run(f"{name}: ", "muted"), cell), width, Run(" " * (indent + 2)), indent + 4
                )
    return rows


def _wrapped(parts: Iterable[Run], width: int, prefix: Run, hang: int) -> list[Row]:
    """Runs broken at spaces into rows no wider than ``width``; a word that is too long is cut.

    ``prefix`` starts the first row, ``hang`` spaces every other one.
    """
    rows: list[Row] = []
    row: list[_Sign] = []
    start = columns_of(prefix.text)
    used = start
    for word in _words(parts):
        whole = word
        while whole:
            room = width - used - (1 if row else 0)
            if _size(whole) > room and row:
                rows.append(_row(prefix if not rows else Run(" " * hang), row))
                row, used = [], hang
                continue
            piece, whole = _cut(whole, max(room, 1))
            if row:
                row.append((" ", row[-1][1] if row[-1][1] == piece[0][1] else "plain"))
                used += 1
            row += piece
            used += _size(piece)
    if row or (not rows and prefix.text.strip()):
        rows.append(_row(prefix if not rows else Run(" " * hang), row))
    return rows


def _row(prefix: Run, signs: Sequence[_Sign]) -> Row:
    grouped = groupby(signs, key=itemgetter(1))
    made = [Run("".join(sign for sign, _ in group), role) for role, group in grouped]
    return tuple([prefix, *made] if prefix.text else made)


def _words(parts: Iterable[Run]) -> Iterable[list[_Sign]]:
    """Words as characters with their role; neighbouring runs stay joined where no space parts them."""
    word: list[_Sign] = []
    for run in parts:
        for sign in shown_plainly(run.text):
            if sign != " ":
                word.append((sign, run.role))
            elif word:
                yield word
                word = []
    if word:
        yield word


def _size(word: Sequence[_Sign]) -> int:
    return columns_of("".join(sign for sign, _ in word))


def _cut(word: list[_Sign], room: int) -> tuple[list[_Sign], list[_Sign]]:
    """A word's first piece that fits, cut behind a dot, slash or hyphen where there is one, and the rest."""
    if _size(word) <= room:
        return word, []
    end = 1
    while end < len(word) and _size(word[: end + 1]) <= room:
        end += 1
    for place in range(end - 1, end // 2, -1):
        if word[place][0] in "./-_":
            end = place + 1
            break
    return word[:end], word[end:]


def _joined(row: Row) -> str:
    return "".join(run.text for run in row)


def _coloured(rows: Iterable[Row]) -> str:
    # rich costs as much to import as all else that a plain report needs, so only a terminal pays for it.
    from io import StringIO

    from rich.console import Console

    sink = StringIO()
    console = Console(file=sink, force_terminal=True, color_system="standard", width=10_000, highlight=False)
    for row in rows:
        console.print(_rich_text(row), soft_wrap=True, end="\n")
    return sink.getvalue()


def _rich_text(row: Row) -> Text:
    from rich.text import Text

    text = Text()
    for run in row:
        text.append(run.text, style=_STYLES[run.role] or None)
    return text
