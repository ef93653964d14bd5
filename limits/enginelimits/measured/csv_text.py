"""The text of a log file and how it is laid out: encoding, delimiter, decimal sign, where header and rows begin."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.measured.columns import is_unit

FloatArray = NDArray[np.float64]

MOST_BYTES = 100_000_000
MOST_ROWS = 1_000_000
MOST_COLUMNS = 1000
# Rows times columns, and characters of a line: beyond them reading takes long and much memory
MOST_CELLS = 20_000_000
LONGEST_LINE = 100_000
# Lines looked at to find the layout
LOOKED_AT = 400
DELIMITERS = (",", ";", "\t", "|")
NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
# Cells that say that there is no value
EMPTY = frozenset(("", "-", "--", "---", "nan", "n/a", "na", "#n/a", "null", "none", "inf", "-inf", "+inf", "?"))
_POINT = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_COMMA = re.compile(r"[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_CLOCK = re.compile(r"\d{1,2}:\d{2}(?::\d{2})?(?:[.,]\d+)?", re.ASCII)
# Numbers as most cells hold them, by decimal sign; nothing in them is tried twice
_PLAIN = {sign: rf"[+-]?(?:\d++\{sign}?\d*+|\{sign}\d++)" for sign in ".,"}
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+", re.ASCII)


@dataclass(frozen=True)
class Layout:
    """How a file is laid out.  ``header`` and ``units`` are cells; ``first`` is the index of the first row of data."""

    delimiter: str
    decimal: str
    header: tuple[str, ...]
    header_line: int
    units: tuple[str, ...]
    first: int


def text_of(raw: bytes, file: str) -> tuple[str, tuple[str, ...]]:
    """The text of the bytes, and what had to be done for it.  Raises InputError for what is no text."""
    if len(raw) > MOST_BYTES:
        mend = "Cut the log to the pulls."
        raise InputError([Problem(f"at most {MOST_BYTES // 1_000_000} MB", f"{len(raw) // 1_000_000} MB", mend,
                                  file=file)])
    remarks: list[str] = []
    encoding = _encoding(raw)
    if encoding.startswith("utf-16"):
        try:
            return raw.decode(encoding), ("read as UTF-16",)
        except UnicodeDecodeError:
            raise InputError([Problem("text", "bytes that begin as UTF-16 and do not go on so",
                                      "Save the log as UTF-8.", file=file)]) from None
    stripped = raw.rstrip(b"\x00")
    if len(stripped) < len(raw):
        remarks.append(f"{len(raw) - len(stripped)} zero bytes at the end left out: the logger may have lost power")
    if b"\x00" in stripped:
        line = stripped.count(b"\n", 0, stripped.index(b"\x00")) + 1
        raise InputError([Problem("a text file", "zero bytes in it", "Is this the log as the logger exported it?",
                                  file=file, line=line)])
    try:
        return stripped.decode("utf-8-sig"), tuple(remarks)
    except UnicodeDecodeError:
        return stripped.decode("latin-1"), (*remarks, "not UTF-8: read as Latin-1")


def _encoding(raw: bytes) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    # without a mark: every second byte of plain English is zero
    start = raw[:400]
    if len(start) >= 8 and b"\x00" in start:
        for name, zeros in (("utf-16-le", start[1::2]), ("utf-16-be", start[0::2])):
            if zeros.count(0) > 0.9 * len(zeros):
                return name
    return "utf-8"


def lines_of(text: str, file: str) -> list[str]:
    """The lines of a text.  Raises InputError for too many, or for one too long, before they are taken apart."""
    if text.count("\n") > MOST_ROWS + LOOKED_AT:
        raise InputError([Problem(f"at most {MOST_ROWS} rows", f"{text.count(chr(10))}", "Cut the log to the pulls.",
                                  file=file)])
    lines = text.splitlines()
    for place, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            raise InputError([Problem(f"lines of at most {LONGEST_LINE} characters", f"{len(line)}",
                                      "Is this the log as the logger exported it?", file=file, line=place)])
    return lines


def layout_of(lines: Sequence[str], file: str, delimiter: str = "", decimal: str = "") -> Layout:
    """How the lines are laid out; what is given is taken.  Raises InputError where it cannot be told."""
    lines = lines[: LOOKED_AT + 1]
    if not any(line.strip() for line in lines):
        raise InputError([Problem("a log with a header and rows", "an empty file", file=file)])
    tried = [(_score(lines, d), d) for d in ((delimiter,) if delimiter else DELIMITERS)]
    (share, numbers, _), chosen = max(tried, key=lambda t: (round(t[0][0] * t[0][1], 2), t[0][2]))
    if share < 0.5 or numbers <= 0.0:
        mend = "Rows are cells between commas, semicolons, tabs or bars; a file of names may say `delimiter:`."
        raise InputError([Problem("a table of numbers under a header", "none found in the first lines", mend,
                                  file=file)])
    rows = cells_of(lines, chosen)
    first, width = _first_row(rows)
    sign = decimal or _decimal(rows[first:], chosen, file)
    above = [i for i in range(first) if any(c.strip() for c in rows[i])]
    units: tuple[str, ...] = ()
    if above and len(above) > 1 and _is_units(rows[above[-1]]):
        units = tuple(c.strip() for c in rows[above.pop()])
    if not above or len(rows[above[-1]]) < max(2, width // 2):
        got = "numbers from the first line" if not above else "a line of other length above the numbers"
        raise InputError([Problem("a header line with the name of each column", got, file=file, line=first + 1)])
    place = above[-1]
    header = [c.strip() for c in rows[place]]
    while header and not header[-1]:
        header.pop()  # a delimiter at the end of each line
    return Layout(chosen, sign, tuple(header), place + 1, units, first)


def cells_of(lines: Sequence[str], delimiter: str) -> list[list[str]]:
    """The cells of each line; quotes hold together what stands in them, on one line."""
    found = []
    for line in lines:
        try:
            found.append(next(csv.reader(io.StringIO(line), delimiter=delimiter), []))
        except csv.Error:
            found.append(line.split(delimiter))
    return found


def number(cell: str, decimal: str) -> float | None:
    """The number in a cell, NaN for an empty one, None for anything else."""
    text = cell.strip()
    if text.lower() in EMPTY:
        return float("nan")
    if decimal == ",":
        return float(text.replace(",", ".")) if _COMMA.fullmatch(text) else None
    if _POINT.fullmatch(text):
        return float(text)
    return float(text.replace(",", "")) if _THOUSANDS.fullmatch(text.partition(".")[0]) and _POINT.fullmatch(
        text.replace(",", "")) else None


def table_of(lines: Sequence[str], delimiter: str, decimal: str, width: int) -> FloatArray | None:
    """Lines of nothing but plain numbers as rows of them, shape (rows, width); None where a line holds anything else.

    What it takes, :func:`number` takes too and as the same; it is for speed.
    """
    cell = _PLAIN[decimal]
    row = rf"{cell}(?:{re.escape(delimiter)}{cell}){{{width - 1}}}\n"
    text = "\n".join((*lines, ""))
    if delimiter == decimal or not re.fullmatch(rf"(?:{row})*+", text, re.ASCII):
        return None
    cells = text[:-1].replace("\n", delimiter)
    if decimal == ",":
        cells = cells.replace(",", ".")
    return np.array(list(map(float, cells.split(delimiter)))).reshape(-1, width)


def numbers(cells: Sequence[str], decimal: str) -> FloatArray | None:
    """The numbers of a column whose cells are plain numbers or empty; None where one holds anything else."""
    text = "\n".join((*cells, ""))
    if not re.fullmatch(rf"(?:(?:{_PLAIN[decimal]})?\n)*+", text, re.ASCII):
        return None
    if decimal == ",":
        text = text.replace(",", ".")
    return np.array([float(cell) if cell else np.nan for cell in text[:-1].split("\n")])


def clock_time(cell: str) -> float | None:
    """Seconds of the day of a cell as `13:05:22.4`; NaN for an empty one, None for anything else."""
    text = cell.strip().replace(",", ".")
    if text.lower() in EMPTY:
        return float("nan")
    if not _CLOCK.fullmatch(text):
        return None
    parts = [float(p) for p in text.split(":")]
    return sum(p * size for p, size in zip(parts, (3600.0, 60.0, 1.0), strict=False))


def _numeric(cell: str) -> bool:
    text = cell.strip()
    return bool(_POINT.fullmatch(text) or _COMMA.fullmatch(text) or _CLOCK.fullmatch(text)
                or (_THOUSANDS.fullmatch(text)))


def _score(lines: Sequence[str], delimiter: str) -> tuple[float, float, int]:
    """Share of the lines that have the usual number of cells, share of their cells that are numbers, that number."""
    rows = cells_of([line for line in lines if line.strip()], delimiter)
    tail = rows[len(rows) // 4 :] or rows
    width, count = Counter(len(r) for r in tail).most_common(1)[0]
    if width < 2:
        return 0.0, 0.0, width
    filled = [c for r in tail if len(r) == width for c in r if c.strip()]
    numbers = sum(map(_numeric, filled)) / max(len(filled), 1)
    return count / len(tail), numbers, width


def _first_row(rows: Sequence[Sequence[str]]) -> tuple[int, int]:
    """The first row of data, and the usual number of cells of those from there on."""
    width = Counter(len(r) for r in rows if len(r) > 1).most_common(1)[0][0]
    wide = [r for r in rows if len(r) == width]
    columns = list(zip(*(wide[(len(wide) + 3) // 4 :] or wide), strict=True))
    # Columns of words are no sign of a header: it is in the others that it differs from the rows under it.
    counted = {place for place, cells in enumerate(columns) if _mostly_numbers(cells)}
    data = [len(r) >= max(2, width - 1) and _mostly_numbers([c for i, c in enumerate(r) if i in counted])
            for r in rows]
    for place, holds in enumerate(data):
        if holds and all(data[place : place + 3]):
            return place, width
    return len(rows), width


def _mostly_numbers(row: Sequence[str]) -> bool:
    filled = [c for c in row if c.strip()]
    return bool(filled) and sum(map(_numeric, filled)) >= 0.6 * len(filled)


def _is_units(row: Sequence[str]) -> bool:
    filled = [c for c in row if c.strip()]
    return bool(filled) and sum(map(is_unit, filled)) >= 0.6 * len(filled)


def _decimal(rows: Sequence[Sequence[str]], delimiter: str, file: str) -> str:
    """The decimal sign: the comma where cells have one that no thousands explain."""
    cells = [c.strip() for r in rows for c in r]
    with_comma = [c for c in cells if "," in c and (_COMMA.fullmatch(c) or _THOUSANDS.fullmatch(c))]
    with_point = any("." in c and _POINT.fullmatch(c) for c in cells)
    if not with_comma:
        return "."
    if any(not _THOUSANDS.fullmatch(c) for c in with_comma):
        if with_point and delimiter != ",":
            got = "points in some cells and commas in others"
            raise InputError([Problem("one decimal sign", got, "Say `decimal: comma` or `decimal: point`.", "decimal",
                                      file)])
        return ","
    if with_point:
        return "."
    mend = "Say `decimal: comma` or `decimal: point` in the file of names."
    raise InputError([Problem("a decimal sign that can be told from thousands", f"`{with_comma[0]}`", mend, "decimal",
                              file)])
