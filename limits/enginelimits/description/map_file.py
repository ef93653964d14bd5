"""Reading a compressor map: a table of comma-separated values, units in its header.  docs/compressor-map.md tells how.

Whatever is wrong with the file comes back as one InputError that holds every problem.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal, NamedTuple

from enginelimits.errors import InputError, Problem
from enginelimits.files import text_of
from enginelimits.units.grammar import GrammarError, excerpt, parse_number, split
from enginelimits.units.registry import from_si, to_si
from enginelimits.units.spellings import Spelling, spelling

MOST_BYTES = 200_000
MOST_ROWS = 2_000
MOST_LINES = 40
MOST_POINTS = 100
LEAST_LINES = 3
LEAST_POINTS = 3
MOST_PROBLEMS = 50

STANDARD_TEMPERATURE_K = 298.15
STANDARD_PRESSURE_PA = 100e3

SpeedIs = Literal["tip", "shaft"]


class MapColumns(NamedTuple):
    """Speeds by line, the rest by line and point; shorter lines are filled up with NaN."""

    speed: tuple[float, ...]
    flow: tuple[tuple[float, ...], ...]
    pressure_ratio: tuple[tuple[float, ...], ...]
    efficiency: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class MapLine:
    """One line of constant corrected speed, its points from surge to the choke end; SI."""

    speed: float
    flow: tuple[float, ...]
    pressure_ratio: tuple[float, ...]
    efficiency: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MapTable:
    """A map as its file shows it, lines by rising speed; m/s at the tip or rad/s of the shaft, kg/s.

    Flow and speed are corrected to the reference state, which is kept as the file names it.
    """

    lines: tuple[MapLine, ...]
    speed_is: SpeedIs
    reference_temperature_k: float = STANDARD_TEMPERATURE_K
    reference_pressure_pa: float = STANDARD_PRESSURE_PA
    file: str = ""

    @property
    def columns(self) -> MapColumns:
        """The map as tables of equal length, for arrays."""
        longest = max(len(line.flow) for line in self.lines)

        def filled(values: tuple[float, ...]) -> tuple[float, ...]:
            return values + (math.nan,) * (longest - len(values))

        return MapColumns(
            tuple(line.speed for line in self.lines),
            tuple(filled(line.flow) for line in self.lines),
            tuple(filled(line.pressure_ratio) for line in self.lines),
            tuple(filled(line.efficiency) for line in self.lines),
        )


class _Column(NamedTuple):
    """What a column may hold: units by SI text, and the range of ordinary maps by SI text."""

    name: str
    wanted: str
    ranges: dict[str, tuple[float, float]]


_COLUMNS = (
    _Column(
        "corrected_speed",
        "a tip speed from 30 to 800 m/s, or a shaft speed from 3000 to 400000 rpm",
        {"m/s": (30.0, 800.0), "rad/s": (300.0, 42e3)},
    ),
    _Column("corrected_flow", "a flow from 1 g/s to 10 kg/s", {"kg/s": (1e-3, 10.0)}),
    _Column("pressure_ratio", "a pressure ratio from 1 to 6, absolute", {"1": (1.0, 6.0)}),
    _Column("efficiency", "an isentropic efficiency from 20 to 90 %", {"1": (0.2, 0.9)}),
)
_NAMES = tuple(column.name for column in _COLUMNS)
_EXAMPLE = "corrected_speed [m/s], corrected_flow [kg/s], pressure_ratio [1], efficiency [%]"
_REFERENCES = {
    "reference_temperature": ("K", "a temperature from -30 to 60 degC", (243.0, 334.0)),
    "reference_pressure": ("Pa", "an absolute pressure from 80 to 110 kPa", (80e3, 110e3)),
}


class _Row(NamedTuple):
    at: int
    speed: float
    flow: float
    pressure_ratio: float
    efficiency: float


class _EnoughError(Exception):
    """So much is wrong that more of it helps nobody."""


class _Problems(list[Problem]):
    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file

    def add(self, wanted: str, got: str = "", mend: str = "", key: str = "", line: int | None = None,
            column: int | None = None, near: tuple[str, ...] = ()) -> None:  # fmt: skip
        self.append(Problem(wanted, got, mend, key, self.file, line, column, near))
        if len(self) >= MOST_PROBLEMS:
            self.append(Problem("a file with fewer problems", "more than are shown", file=self.file))
            raise _EnoughError


def load_map(path: str | Path) -> MapTable:
    """The map of a file.  Raises InputError with every problem."""
    return parse_map(text_of(path, "a map file", MOST_BYTES), str(path))


def parse_map(text: str, file: str = "<text>") -> MapTable:
    """The map of a text.  Raises InputError with every problem.

    >>> try:
    ...     parse_map("corrected_speed [m/s], corrected_flow [psi], pressure_ratio [1], efficiency [1]", "own.csv")
    ... except InputError as error:
    ...     print(error.problems[0].key, error.problems[0].line, error.problems[0].got)
    corrected_flow 1 `psi`
    """
    problems = _Problems(file)
    try:
        table = _table(text, problems)
    except _EnoughError:
        table = None
    if table is None or problems:
        raise InputError(problems)
    return table


def _table(text: str, problems: _Problems) -> MapTable | None:
    references: dict[str, float] = {}
    units: list[Spelling] | None = None
    rows: list[_Row] = []
    seen = 0
    header_at = 0
    for at, written in enumerate(text.splitlines(), start=1):
        line = written.strip()
        if not line:
            continue
        if line.startswith("#"):
            _reference(line[1:], at, references, problems)
        elif not header_at:
            header_at = at
            units = _header(line, at, problems)
        else:
            seen += 1
            if seen > MOST_ROWS:
                problems.add(f"at most {MOST_ROWS} rows", "more", "Leave points out of the lines.", line=at)
                return None
            if units is not None:
                row = _row(line, at, units, problems)
                if row is not None:
                    rows.append(row)
    if not header_at:
        problems.add("a header", "none", f"Begin with `{_EXAMPLE}`.")
    if units is None:
        return None
    if seen and len(rows) < seen:
        # A row that cannot be read may be a line's first or last: what the lines look like cannot be judged.
        return None
    lines = _lines(rows, units, problems)
    return MapTable(
        lines=lines,
        speed_is="tip" if units[0].si == "m/s" else "shaft",
        reference_temperature_k=references.get("reference_temperature", STANDARD_TEMPERATURE_K),
        reference_pressure_pa=references.get("reference_pressure", STANDARD_PRESSURE_PA),
        file=problems.file,
    )


def _reference(comment: str, at: int, references: dict[str, float], problems: _Problems) -> None:
    """A comment of the form `name: value` names the reference state; any other is the reader's own."""
    name, colon, written = comment.partition(":")
    name = name.strip()
    if not colon:
        return
    if name not in _REFERENCES:
        near = difflib.get_close_matches(name.lower().replace(" ", "_")[:40], _REFERENCES, n=1, cutoff=0.7)
        if near:
            problems.add("the name of a reference", excerpt(name), f"Write `{near[0]}`.", line=at, near=tuple(near))
        return
    si, wanted, (low, high) = _REFERENCES[name]
    if name in references:
        problems.add("each reference once", "a second one", "Leave one out.", key=name, line=at)
        return
    try:
        value = split(written)
        unit = spelling(value.unit, si)
        if value.value is None or value.shape != "point":
            raise GrammarError("one number with a unit", excerpt(written.strip()))
        if unit.si != si or unit.kind == "gauge":
            raise GrammarError(wanted, excerpt(written.strip()))
        references[name] = to_si(value.value, unit.text, si)
    except GrammarError as error:
        problems.add(error.wanted, error.got, error.mend, name, at, near=error.near)
        return
    if not low <= references[name] <= high:
        problems.add(wanted, excerpt(written.strip()), "Is the unit right?", name, at)


def _header(line: str, at: int, problems: _Problems) -> list[Spelling] | None:
    """The unit of each column, in the order in which they are wanted."""
    cells = [cell.strip() for cell in line.split(",")]
    if len(cells) != len(_NAMES):
        mend = f"Write `{_EXAMPLE}`, with the units of your own map."
        got = "semicolons" if ";" in line and len(cells) == 1 else f"{len(cells)}"
        problems.add(f"{len(_NAMES)} columns with commas between them", got, mend, line=at)
        return None
    units = [_heading(cell, column, at, problems) for cell, column in zip(cells, _COLUMNS, strict=True)]
    found = [unit for unit in units if unit is not None]
    return found if len(found) == len(_NAMES) else None


def _heading(cell: str, column: _Column, at: int, problems: _Problems) -> Spelling | None:
    name, bracket, rest = cell.partition("[")
    name = name.strip()
    if name != column.name:
        near = tuple(difflib.get_close_matches(name.lower()[:40], _NAMES, n=1))
        mend = f"The columns are, in this order: {', '.join(_NAMES)}."
        problems.add(f"the column `{column.name}`", excerpt(name), mend, line=at, near=near)
        return None
    if not bracket or not rest.endswith("]"):
        problems.add("a unit in brackets after the name", excerpt(cell), f"Such as `{_example(column)}`.", name, at)
        return None
    text = rest[:-1].strip()
    for si in column.ranges:
        try:
            unit = spelling(text, si)
        except GrammarError as error:
            problems.add(error.wanted, error.got, error.mend, name, at, near=error.near)
            return None
        if unit.si == si and not unit.kind:
            return unit
    problems.add(f"a unit of {column.wanted}", excerpt(text), f"Such as `{_example(column)}`.", name, at)
    return None


def _example(column: _Column) -> str:
    return _EXAMPLE.split(", ")[_COLUMNS.index(column)]


def _row(line: str, at: int, units: list[Spelling], problems: _Problems) -> _Row | None:
    cells = [cell.strip() for cell in line.split(",")]
    if len(cells) != len(_COLUMNS):
        mend = "Write a point for decimals and a comma between values."
        problems.add(f"{len(_COLUMNS)} values, one a column", f"{len(cells)}", mend, line=at)
        return None
    values: list[float] = []
    for cell, column, unit in zip(cells, _COLUMNS, units, strict=True):
        try:
            value = to_si(parse_number(cell), unit.text, unit.si)
        except GrammarError as error:
            problems.add(error.wanted, error.got, error.mend, column.name, at)
            continue
        low, high = column.ranges[unit.si]
        # The ends as people write them are in, whatever a conversion makes of their last digit.
        if low * (1.0 - 1e-9) <= value <= high * (1.0 + 1e-9):
            values.append(value)
        else:
            problems.add(column.wanted, excerpt(f"{cell} {unit.text}"), _slip(column, unit, value), column.name, at)
    return _Row(at, *values) if len(values) == len(_COLUMNS) else None


def _slip(column: _Column, unit: Spelling, value: float) -> str:
    if column.name == "efficiency":
        if unit.text == "1" and 20.0 <= value <= 90.0:
            return "Write `efficiency [%]` in the header."
        if unit.text == "%" and 0.002 <= value <= 0.009:
            return "Write `efficiency [1]` in the header."
    if column.name == "pressure_ratio" and 0.0 < value < 1.0:
        return "Outlet over inlet, both absolute; boost over atmosphere is one less."
    return "Is the unit in the header right?"


def _lines(rows: list[_Row], units: list[Spelling], problems: _Problems) -> tuple[MapLine, ...]:
    groups: list[list[_Row]] = []
    for row in rows:
        if not groups or groups[-1][0].speed != row.speed:
            groups.append([])
        groups[-1].append(row)
    if len(groups) < LEAST_LINES:
        mend = "Read more lines off the map; rows of one line bear one and the same speed."
        problems.add(f"at least {LEAST_LINES} lines of constant speed", f"{len(groups)}", mend)
    if len(groups) > MOST_LINES:
        mend = "Rows of one line bear one and the same speed."
        problems.add(f"at most {MOST_LINES} lines of constant speed", f"{len(groups)}", mend)
    unit = units[0]
    for group in groups:
        _check_line(group, f"line of {from_si(group[0].speed, unit.text, unit.si):.6g} {unit.text}", problems)
    for lower, upper in pairwise(groups):
        _check_order(lower, upper, problems)
    return tuple(
        MapLine(
            group[0].speed,
            tuple(row.flow for row in group),
            tuple(row.pressure_ratio for row in group),
            tuple(row.efficiency for row in group),
        )
        for group in groups
    )


def _check_line(group: list[_Row], name: str, problems: _Problems) -> None:
    first = group[0].at
    if not LEAST_POINTS <= len(group) <= MOST_POINTS:
        mend = "Rows of one line follow each other and bear one and the same speed."
        problems.add(f"{LEAST_POINTS} to {MOST_POINTS} points on a line", f"{len(group)}", mend, name, first)
    # A choked line stands upright: a reading's scatter may lean it back a little.
    scatter = 0.01 * max(row.flow for row in group)
    for before, after in pairwise(group):
        same = before.flow == after.flow and before.pressure_ratio == after.pressure_ratio
        if same or after.flow < before.flow - scatter:
            mend = "A line goes from its surge point, the first, to its choke end, the last."
            got = "the same point" if same else "less"
            problems.add("more flow than at the point before", got, mend, name, after.at)
    if len(group) > 1 and group[-1].pressure_ratio >= max(row.pressure_ratio for row in group):
        mend = "A line ends at its choke end, where pressure has fallen."
        problems.add("a choke end below the rest of the line", "the highest point of it", mend, name, group[-1].at)


def _check_order(lower: list[_Row], upper: list[_Row], problems: _Problems) -> None:
    first = upper[0].at
    if upper[0].speed <= lower[0].speed:
        mend = "Order the lines by speed, the slowest first; each speed once."
        problems.add("a higher speed than that of the line before", "a lower one", mend, "corrected_speed", first)
        return
    mend = "Lines of one compressor do not cross. Is a row under the wrong speed?"
    if upper[0].flow <= lower[0].flow or upper[0].pressure_ratio <= lower[0].pressure_ratio:
        problems.add("a surge point above and right of that of the slower line", "one that is not", mend, line=first)
    if max(row.pressure_ratio for row in upper) <= max(row.pressure_ratio for row in lower):
        problems.add("a line that rises above the slower one", "one that does not", mend, line=first)
    if upper[-1].flow < 0.99 * lower[-1].flow:
        problems.add("a choke end right of that of the slower line", "one left of it", mend, line=upper[-1].at)
