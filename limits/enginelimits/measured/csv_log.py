"""Logs as text: cells between commas, semicolons, tabs or bars, under a header line."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.files import bytes_of
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.columns import RawColumn, Source, log_of, without_unit
from enginelimits.measured.csv_text import (
    MOST_BYTES,
    MOST_COLUMNS,
    MOST_ROWS,
    NAMES,
    Layout,
    cells_of,
    clock_time,
    layout_of,
    number,
    text_of,
)
from enginelimits.measured.log import Log
from enginelimits.measured.names import LogNames, plain
from enginelimits.units.grammar import excerpt

FloatArray = NDArray[np.float64]

# Cells with words and rows of another length: up to this share they are left out and told, beyond it refused
RARE_SHARE, RARE_COUNT = 0.01, 3
_MDF_MARKS = (b"MDF     ", b"UnFinMF ")


def read_log(path: str | Path, names: LogNames | None = None) -> Log:
    """The log of a file: text, or ASAM MDF 4 by its first bytes.  Raises InputError with every problem."""
    raw = bytes_of(path, "a log file", MOST_BYTES)
    if raw.startswith(_MDF_MARKS):
        from enginelimits.measured.mdf_log import read_mdf

        return read_mdf(path, raw, names or LogNames())
    return parse_log(raw, str(path), names)


def parse_log(raw: bytes, file: str, names: LogNames | None = None) -> Log:
    """The log of a file's bytes as text.  Raises InputError with every problem."""
    names = names or LogNames()
    text, remarks = text_of(raw, file)
    layout = layout_of(text, file, names.delimiter, names.decimal)
    sign = "comma" if layout.decimal == "," else "point"
    told = (f"cells between {NAMES[layout.delimiter]}s, decimal {sign}", *remarks)
    body = _Body(text.splitlines(), layout, file)
    columns, clock = body.columns(names)
    source = Source(file, hashlib.sha256(raw).hexdigest(), layout.header_line, tuple(body.lines),
                    (*told, *body.remarks()))
    return log_of(columns, names, source, clock)


@dataclass
class _Body:
    """The rows of data while they are read."""

    all_lines: list[str]
    layout: Layout
    file: str
    lines: list[int] = field(default_factory=list)
    bad: list[tuple[int, int, str]] = field(default_factory=list)
    uneven: list[tuple[int, int]] = field(default_factory=list)

    def columns(self, names: LogNames) -> tuple[list[RawColumn], FloatArray | None]:
        """The columns as numbers, and the time of day where the names say which it is."""
        header = self.layout.header
        width = len(header)
        if width > MOST_COLUMNS:
            raise InputError([Problem(f"at most {MOST_COLUMNS} columns", f"{width}", file=self.file,
                                      line=self.layout.header_line)])
        if len(self.all_lines) - self.layout.first > MOST_ROWS:
            problem = Problem(f"at most {MOST_ROWS} rows", f"{len(self.all_lines)}", "Cut the log to the pulls.",
                              file=self.file)
            raise InputError([problem])
        rows = self._rows(width)
        if not rows:
            raise InputError([Problem("rows of numbers under the header", "none", file=self.file,
                                      line=self.layout.header_line)])
        self._refuse_uneven(len(rows))
        clock = None
        columns = []
        for place, name in enumerate(header):
            cells = [row[place] for row in rows]
            if name and name == names.clock:
                clock = self._numbers([clock_time(c) for c in cells], cells, place)
                continue
            values = self._numbers([number(c, self.layout.decimal) for c in cells], cells, place)
            unit = self.layout.units[place] if place < len(self.layout.units) else ""
            columns.append(RawColumn(name, unit, values, place + 1))
        if names.clock and clock is None:
            problem = Problem("the column with the time of day", f"no header `{names.clock}`", key="clock",
                              file=self.file, line=self.layout.header_line)
            raise InputError([problem])
        return self._with_few_bad(columns, len(rows), names), clock

    def _rows(self, width: int) -> list[list[str]]:
        kept = []
        for place in range(self.layout.first, len(self.all_lines)):
            line = self.all_lines[place]
            if not line.strip():
                continue
            cells = cells_of([line], self.layout.delimiter)[0] if '"' in line else line.split(self.layout.delimiter)
            if len(cells) > width and not any(c.strip() for c in cells[width:]):
                cells = cells[:width]  # a delimiter at the end of each line
            if len(cells) != width:
                self.uneven.append((place + 1, len(cells)))
                continue
            if any(c.strip() for c in cells):
                kept.append(cells)
                self.lines.append(place + 1)
        return kept

    def _refuse_uneven(self, rows: int) -> None:
        if len(self.uneven) > max(RARE_COUNT, RARE_SHARE * rows):
            line, size = self.uneven[0]
            wanted = f"{len(self.layout.header)} cells in every row, as in the header"
            got = f"{size} here, and another number than in the header in {len(self.uneven)} rows"
            raise InputError([Problem(wanted, got, file=self.file, line=line)])

    def _numbers(self, found: Sequence[float | None], cells: Sequence[str], place: int) -> FloatArray:
        for row, value in enumerate(found):
            if value is None:
                self.bad.append((self.lines[row], place, cells[row]))
        return np.array([np.nan if v is None else v for v in found], dtype=float)

    def _with_few_bad(self, columns: list[RawColumn], rows: int, names: LogNames) -> list[RawColumn]:
        """The columns without those of words; a named one with many words in it is refused."""
        counts: dict[int, list[tuple[int, str]]] = {}
        for line, place, cell in self.bad:
            counts.setdefault(place, []).append((line, cell))
        many = {place: found for place, found in counts.items() if len(found) > max(RARE_COUNT, RARE_SHARE * rows)}
        self.bad = [b for b in self.bad if b[1] not in many]
        problems = []
        for place, found in many.items():
            header = self.layout.header[place]
            name = without_unit(header)[0]
            if header in names.names or name in names.names or plain(name) in CHANNELS or header == names.clock:
                wanted = "numbers" if header != names.clock else "times of day as `13:05:22.4`"
                problems.append(Problem(f"{wanted} in this column", f"{excerpt(found[0][1])} and {len(found) - 1} more",
                                        "", header[:60], self.file, found[0][0], place + 1))
        if problems:
            raise InputError(problems)
        return columns

    def remarks(self) -> tuple[str, ...]:
        """What was left out of the rows."""
        said = []
        if self.uneven:
            where = ", ".join(str(line) for line, _ in self.uneven[:3])
            said.append(f"{len(self.uneven)} rows of another length left out (line {where})")
        if self.bad:
            where = ", ".join(f"{line}:{place + 1} {excerpt(cell, 12)}" for line, place, cell in self.bad[:3])
            said.append(f"{len(self.bad)} cells are no number and count as empty ({where})")
        return tuple(said)
