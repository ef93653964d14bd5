"""Logs as text: cells between commas, semicolons, tabs or bars, under a header line."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
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
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_ROWS,
    NAMES,
    Layout,
    cells_of,
    clock_time,
    layout_of,
    lines_of,
    number,
    numbers,
    table_of,
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
    lines = lines_of(text, file)
    del text
    layout = layout_of(lines, file, names.delimiter, names.decimal)
    sign = "comma" if layout.decimal == "," else "point"
    told = (f"cells between {NAMES[layout.delimiter]}s, decimal {sign}", *remarks)
    body = _Body(lines, layout, file)
    columns, clock = body.columns(names)
    source = Source(file, hashlib.sha256(raw).hexdigest(), layout.header_line, tuple(body.lines),
                    (*told, *body.remarks()))
    return log_of(columns, names, source, clock)


# Rows taken apart at a time: cells as texts need ten times the memory of numbers
BLOCK = 20_000
# Of cells that are no number so many are kept to be told
SHOWN = 3


@dataclass
class _Bad:
    """Cells of one column that are no number: how many, and the first of them by line."""

    count: int = 0
    first: list[tuple[int, str]] = field(default_factory=list)


@dataclass
class _Body:
    """The rows of data while they are read."""

    all_lines: list[str]
    layout: Layout
    file: str
    lines: list[int] = field(default_factory=list)
    bad: dict[int, _Bad] = field(default_factory=dict)
    uneven: list[tuple[int, int]] = field(default_factory=list)

    def columns(self, names: LogNames) -> tuple[list[RawColumn], FloatArray | None]:
        """The columns as numbers, and the time of day where the names say which it is."""
        header = self.layout.header
        self._refuse_size(len(header), len(self.all_lines) - self.layout.first)
        clock = header.index(names.clock) if names.clock and names.clock in header else None
        blocks = list(self._blocks(len(header), clock))
        if not blocks:
            raise InputError([Problem("rows of numbers under the header", "none", file=self.file,
                                      line=self.layout.header_line)])
        self._refuse_uneven(len(self.lines))
        if names.clock and clock is None:
            problem = Problem("the column with the time of day", f"no header `{names.clock}`", key="clock",
                              file=self.file, line=self.layout.header_line)
            raise InputError([problem])
        units = self.layout.units
        every = [np.concatenate([block[place] for block in blocks]) for place in range(len(header))]
        columns = [RawColumn(name, units[place] if place < len(units) else "", every[place], place + 1)
                   for place, name in enumerate(header) if place != clock]
        self._refuse_words(len(self.lines), names)
        return columns, None if clock is None else every[clock]

    def _refuse_size(self, width: int, rows: int) -> None:
        where: tuple[str, int | None] = (self.file, None)
        if width > MOST_COLUMNS:
            wanted, got, mend = f"at most {MOST_COLUMNS} columns", f"{width}", ""
            where = (self.file, self.layout.header_line)
        elif rows > MOST_ROWS:
            wanted, got, mend = f"at most {MOST_ROWS} rows", f"{len(self.all_lines)}", "Cut the log to the pulls."
        elif width * rows > MOST_CELLS:
            wanted, got = f"at most {MOST_CELLS} cells", f"{rows} rows of {width} columns"
            mend = "Cut the log to the pulls, or export fewer channels."
        else:
            return
        raise InputError([Problem(wanted, got, mend, file=where[0], line=where[1])])

    def _blocks(self, width: int, clock: int | None) -> Iterator[list[FloatArray]]:
        """The rows that have as many cells as the header, by column, a block of rows at a time."""
        layout = self.layout
        for start in range(layout.first, len(self.all_lines), BLOCK):
            lines = self.all_lines[start : start + BLOCK]
            whole = None if clock is not None else table_of(lines, layout.delimiter, layout.decimal, width)
            if whole is not None:
                self.lines.extend(range(start + 1, start + 1 + len(lines)))
                yield list(whole.T)
            elif rows := self._rows(lines, start, width):
                numbers = self.lines[-len(rows) :]
                yield [self._numbers(cells, numbers, place, place == clock)
                       for place, cells in enumerate(zip(*rows, strict=True))]

    def _rows(self, lines: Sequence[str], start: int, width: int) -> list[list[str]]:
        """The cells of those of the lines that have as many as the header."""
        kept = []
        for at, line in enumerate(lines, start + 1):
            if not line.strip():
                continue
            cells = cells_of([line], self.layout.delimiter)[0] if '"' in line else line.split(self.layout.delimiter)
            if len(cells) > width and not any(c.strip() for c in cells[width:]):
                cells = cells[:width]  # a delimiter at the end of each line
            if len(cells) != width:
                self.uneven.append((at, len(cells)))
                continue
            if any(c.strip() for c in cells):
                kept.append(cells)
                self.lines.append(at)
        return kept

    def _refuse_uneven(self, rows: int) -> None:
        if len(self.uneven) > max(RARE_COUNT, RARE_SHARE * rows):
            line, size = self.uneven[0]
            wanted = f"{len(self.layout.header)} cells in every row, as in the header"
            got = f"{size} here, and another number than in the header in {len(self.uneven)} rows"
            raise InputError([Problem(wanted, got, file=self.file, line=line)])

    def _numbers(self, cells: Sequence[str], lines: Sequence[int], place: int, clock: bool) -> FloatArray:
        plainly = None if clock else numbers(cells, self.layout.decimal)
        if plainly is not None:
            return plainly
        found = [clock_time(c) if clock else number(c, self.layout.decimal) for c in cells]
        for line, value, cell in zip(lines, found, cells, strict=True):
            if value is None:
                bad = self.bad.setdefault(place, _Bad())
                bad.count += 1
                if len(bad.first) < SHOWN:
                    bad.first.append((line, cell))
        return np.array([np.nan if v is None else v for v in found], dtype=float)

    def _refuse_words(self, rows: int, names: LogNames) -> None:
        """A column of words is passed over; one with a name that counts is refused."""
        many = {place: bad for place, bad in sorted(self.bad.items())
                if bad.count > max(RARE_COUNT, RARE_SHARE * rows)}
        self.bad = {place: bad for place, bad in sorted(self.bad.items()) if place not in many}
        problems = []
        for place, bad in many.items():
            header = self.layout.header[place]
            name = without_unit(header)[0]
            if header in names.names or name in names.names or plain(name) in CHANNELS or header == names.clock:
                wanted = "numbers" if header != names.clock else "times of day as `13:05:22.4`"
                line, cell = bad.first[0]
                problems.append(Problem(f"{wanted} in this column", f"{excerpt(cell)} and {bad.count - 1} more",
                                        "", header[:60], self.file, line, place + 1))
        if problems:
            raise InputError(problems)

    def remarks(self) -> tuple[str, ...]:
        """What was left out of the rows."""
        said = []
        if self.uneven:
            where = ", ".join(str(line) for line, _ in self.uneven[:SHOWN])
            said.append(f"{len(self.uneven)} rows of another length left out (line {where})")
        if self.bad:
            first = [(line, place, cell) for place, bad in self.bad.items() for line, cell in bad.first][:SHOWN]
            where = ", ".join(f"{line}:{place + 1} {excerpt(cell, 12)}" for line, place, cell in first)
            count = sum(bad.count for bad in self.bad.values())
            said.append(f"{count} cells are no number and count as empty ({where})")
        return tuple(said)
