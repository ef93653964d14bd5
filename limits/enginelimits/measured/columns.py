"""From columns as a file holds them to a log: our names, SI, one rising time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.measured.channels import CHANNELS, ChannelKind
from enginelimits.measured.log import Channel, Log
from enginelimits.measured.names import (
    BRACKETS,
    NO_UNIT,
    LogNames,
    Name,
    Unit,
    as_spelled,
    near_channels,
    plain,
    unit_for,
)
from enginelimits.units.grammar import GrammarError, excerpt
from enginelimits.units.registry import scale_and_offset
from enginelimits.units.spellings import spelling

FloatArray = NDArray[np.float64]

# Between two recordings that were written into one file
PAUSE = 60.0
# Of a retard so little either side of zero is no sign
NO_RETARD = np.radians(0.25)
# As many rows may have a time that is out of order before the file is refused
STRAY_SHARE = 0.01
LEAST_ROWS = 10


@dataclass(frozen=True)
class RawColumn:
    """One column of a file: its header, the unit that stands with it, its values as written; ``number`` from 1."""

    header: str
    unit: str
    values: FloatArray
    number: int


@dataclass(frozen=True, slots=True)
class Source:
    """Where columns come from, for what is said of them: the file, its digest, and the lines of header and rows."""

    file: str
    digest: str
    header_line: int | None = None
    lines: tuple[int, ...] = ()
    remarks: tuple[str, ...] = ()

    def line(self, row: int) -> int | None:
        """The line of a row of data."""
        return self.lines[row] if row < len(self.lines) else None


@dataclass(frozen=True, slots=True)
class Meant:
    """What a header means: a channel with the unit of its column."""

    channel: str
    unit: Unit


def without_unit(header: str) -> tuple[str, str]:
    """A header in two: the name, and what stands in brackets at its end.

    >>> without_unit("Boost (psi)"), without_unit("AFR [1] B")
    (('Boost', 'psi'), ('AFR [1] B', ''))
    """
    text = header.strip()
    for opening, closing in BRACKETS:
        if text.endswith(closing) and opening in text[1:]:
            name, _, unit = text[:-1].rpartition(opening)
            if name.strip():
                return name.strip(), unit.strip()
    return text, ""


def is_unit(text: str) -> bool:
    """Whether a cell is a unit that is accepted."""
    try:
        spelling(as_spelled(text))
    except GrammarError:
        return as_spelled(text) == "AFR"
    return bool(text.strip())


def log_of(columns: Sequence[RawColumn], names: LogNames, source: Source, clock: FloatArray | None = None) -> Log:
    """The log of a file's columns.  ``clock`` is the time of day of its rows, where the names say so.

    Raises InputError with every header that is named wrongly.
    """
    meant, problems, not_mapped = _meanings(columns, names, source)
    channels: dict[str, Channel] = {}
    for column, meaning in meant:
        with np.errstate(over="ignore"):  # what no float holds is no value
            values = meaning.unit.scale * column.values + meaning.unit.offset
        channels[meaning.channel] = Channel(
            meaning.channel, values, CHANNELS[meaning.channel].unit, column.header, meaning.unit.written
        )
    if not problems and "engine_speed" not in channels and not {"roller_speed"} <= channels.keys():
        problems.append(_no_speed(columns, names, source))
    if problems:
        raise InputError(problems)
    rows = columns[0].values.size if columns else 0
    if rows < LEAST_ROWS:
        raise InputError([Problem(f"a log of at least {LEAST_ROWS} rows", f"{rows}", file=source.file)])
    time, remarks = _time(channels.pop("time", None), clock, names, rows, source)
    _with_engine_speed(channels, names)
    if "engine_speed" not in channels:
        raise InputError([_no_speed(columns, names, source)])
    turned = _as_retard(channels)
    return Log(source.file, source.digest, time, channels, not_mapped, (*source.remarks, *remarks, *turned))


def _as_retard(channels: dict[str, Channel]) -> tuple[str, ...]:
    """Turns the sign of what was taken out for knock where the log writes it as a correction of ignition, below zero.

    What goes both ways stays as it is; finding a pull leaves it out.
    """
    names = [name for name in channels if name.startswith("knock_retard")]
    known = [v for v in (channels[name].si[np.isfinite(channels[name].si)] for name in names) if v.size]
    if not known or min(v.min() for v in known) >= -NO_RETARD or max(v.max() for v in known) > NO_RETARD:
        return ()
    for name in names:
        channels[name] = replace(channels[name], si=0.0 - channels[name].si)
    headers = ", ".join(channels[name].header for name in names[:3])
    return (f"{headers}: never above zero, so read as a correction of ignition; what is below zero counts as taken out "
            "for knock",)


def _with_engine_speed(channels: dict[str, Channel], names: LogNames) -> None:
    roller = channels.get("roller_speed")
    if "engine_speed" not in channels and roller is not None and names.dyno.ratio is not None:
        channels["engine_speed"] = replace(roller, name="engine_speed", si=roller.si * names.dyno.ratio)


def _no_speed(columns: Sequence[RawColumn], names: LogNames, source: Source) -> Problem:
    near = [c.header for c in columns if "engine_speed" in near_channels(c.header)]
    mend = ("Map the header in the file of names, as `RPM: {is: engine_speed, unit: rpm}`; or roller_speed with the "
            "dyno's `ratio`.")
    got = f"the columns {', '.join(c.header for c in columns[:12])}" + (" ..." if len(columns) > 12 else "")
    return Problem("a column with engine speed", got, mend, file=source.file, line=source.header_line, near=tuple(near))


def _meanings(
    columns: Sequence[RawColumn], names: LogNames, source: Source
) -> tuple[list[tuple[RawColumn, Meant]], list[Problem], tuple[str, ...]]:
    problems: list[Problem] = []
    meant: dict[str, tuple[RawColumn, Meant]] = {}
    not_mapped: list[str] = []
    counted = [c.header.strip() for c in columns]
    for column in columns:
        header = column.header.strip()
        if header and header == names.clock:
            continue
        try:
            meaning = _meaning(column, names)
        except GrammarError as error:
            problems.append(Problem(error.wanted, error.got, error.mend, header[:60], source.file, source.header_line,
                                    column.number, error.near))
            continue
        if meaning is None:
            if header:
                not_mapped.append(header)
            continue
        if counted.count(header) > 1:
            problems.append(_twice(source, column, f"one column `{header[:60]}`",
                                   f"{counted.count(header)} of that name"))
        elif meaning.channel in meant:
            first = meant[meaning.channel][0]
            problems.append(_twice(source, column, f"one column for {meaning.channel}",
                                   f"{excerpt(first.header)} and {excerpt(header)}"))
        meant.setdefault(meaning.channel, (column, meaning))
    return list(meant.values()), _each_once(problems), tuple(dict.fromkeys(not_mapped))


def _twice(source: Source, column: RawColumn, wanted: str, got: str) -> Problem:
    return Problem(wanted, got, "Rename one in the log, or map only one.", column.header.strip()[:60], source.file,
                   source.header_line, column.number)


def _each_once(problems: list[Problem]) -> list[Problem]:
    return list({(p.key, p.wanted, p.got): p for p in problems}.values())


def _meaning(column: RawColumn, names: LogNames) -> Meant | None:
    """The channel and unit of a column; None for a header that nobody named."""
    name, in_header = without_unit(column.header)
    beside = as_spelled(column.unit or in_header)
    named = _named(column.header.strip(), name, names)
    channel = named.channel if named is not None else plain(name)
    kind = CHANNELS.get(channel)
    if kind is None:
        return None
    own = None if named is None else named.unit
    if own is None:
        return Meant(channel, _unit_beside(kind, beside, bool(column.unit or in_header)))
    if beside and is_unit(beside) and not _same(kind, beside, own):
        raise GrammarError(f"one unit of {channel}", f"`{own.written}` in the names and `{beside}` in the log",
                           "Correct the one that is wrong.")
    return Meant(channel, own)


def _named(header: str, name: str, names: LogNames) -> Name | None:
    for text in (header, name):
        if text in names.names:
            return names.names[text]
    folded = {" ".join(text.split()).lower(): found for text, found in names.names.items()}
    return folded.get(" ".join(header.split()).lower()) or folded.get(" ".join(name.split()).lower())


def _unit_beside(kind: ChannelKind, beside: str, stated: bool) -> Unit:
    if not stated and kind.name not in NO_UNIT:
        raise GrammarError(f"the unit of {kind.name}", "none",
                           "Write it in brackets in the header, or as `unit:` in the file of names.")
    return unit_for(kind, "" if beside in ("", "1") else beside)


def _same(kind: ChannelKind, beside: str, own: Unit) -> bool:
    if "AFR" in (beside, own.written):
        return beside == own.written
    found = spelling(beside, kind.unit)
    if found.si != kind.unit:
        return False
    return bool(np.allclose(scale_and_offset(found), (own.scale, own.offset), rtol=1e-9))


def _time(
    channel: Channel | None, clock: FloatArray | None, names: LogNames, rows: int, source: Source
) -> tuple[FloatArray, tuple[str, ...]]:
    """A time that rises, and what had to be done for it."""
    if channel is not None:
        return _rising(channel.si, source)
    if clock is not None:
        return _rising(_past_midnight(clock), source)
    if names.interval is not None:
        return np.arange(rows, dtype=np.float64) * names.interval, ()
    mend = "Map a column to `time`, name one with the time of day as `clock:`, or say the `interval:` between rows."
    raise InputError([Problem("the time of each row", "no such column", mend, file=source.file,
                              line=source.header_line)])


def _past_midnight(clock: FloatArray) -> FloatArray:
    day = 86400.0
    known = np.flatnonzero(np.isfinite(clock))
    steps = np.diff(clock[known], prepend=clock[known[:1]])
    whole = np.array(clock)
    whole[known] += day * np.cumsum(steps < -0.5 * day)
    return whole


def _rising(given: FloatArray, source: Source) -> tuple[FloatArray, tuple[str, ...]]:
    remarks: list[str] = []
    time = np.array(given, dtype=float)
    bad = ~np.isfinite(time)
    # One row out of order between two that are in order is a stray; a fall that stays is a new recording.
    before, here, after = time[:-2], time[1:-1], time[2:]
    with np.errstate(invalid="ignore"):
        stray = np.zeros(time.size, dtype=bool)
        stray[1:-1] = (after > before) & ((here < before) | (here > after))
    spoilt = bad | stray
    if spoilt.sum() > max(3, STRAY_SHARE * time.size):
        row = int(np.flatnonzero(spoilt)[0])
        got = f"{int(spoilt.sum())} of {time.size} rows without, or out of order"
        raise InputError([Problem("a time in every row, that rises", got, file=source.file, line=source.line(row))])
    kept = np.flatnonzero(~spoilt)
    if spoilt.any():
        remarks.append(f"{int(spoilt.sum())} rows had no time or one out of order; theirs was put between neighbours")
    good = time[kept]
    falls = np.flatnonzero(np.diff(good) < 0.0)
    if falls.size > max(20, 0.001 * good.size):
        got = f"it falls {falls.size} times"
        raise InputError([Problem("a time that rises", got, "Is this column the time?", file=source.file,
                                  line=source.line(int(kept[falls[0] + 1])))])
    if falls.size:
        where = ", ".join(str(source.line(int(kept[f + 1])) or int(kept[f + 1]) + 1) for f in falls[:3])
        remarks.append(f"time begins again {falls.size} times (line {where}): taken as recordings after one another")
        for fall in falls:
            good[fall + 1 :] += good[fall] - good[fall + 1] + PAUSE
    good, repeats = _spread(good)
    if repeats:
        remarks.append(f"{repeats} rows repeat the time before them; they were spread over the step that follows")
    every = np.interp(np.arange(time.size), kept, good)
    if not (np.diff(every) > 0.0).all():
        raise InputError([Problem("a time that rises", "one that stands still", file=source.file,
                                  line=source.line(0))])
    return every, tuple(remarks)


def _spread(time: FloatArray) -> tuple[FloatArray, int]:
    """Rows of one time spread evenly up to the next: the clock is coarser than the rows."""
    first = np.concatenate([[True], np.diff(time) > 0.0])
    if first.all():
        return time, 0
    at = np.flatnonzero(first)
    if at.size < 2:
        return time, int((~first).sum())
    steps = np.diff(time[at])
    usual = float(np.median(steps))
    width = np.minimum(np.append(steps, usual), usual)  # never over a pause
    group = np.cumsum(first) - 1
    size = np.bincount(group)
    spread = time[at][group] + width[group] * (np.arange(time.size) - at[group]) / size[group]
    return spread, int((~first).sum())
