"""Pulls in a log: stretches in which engine speed rises steadily with the throttle open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.measured.log import Log
from enginelimits.measured.plausible import distrusted
from enginelimits.measured.pull import Pull
from enginelimits.measured.resample import (
    FILTER,
    RPM,
    TIME_HALF_WIDTH,
    local_fit,
    on_speeds,
    smoothed_speed,
    speed_grid_of,
)

FloatArray = NDArray[np.float64]
Mask = NDArray[np.bool_]

# A pull spans at least this much and lasts at least so long
LEAST_SPAN: Final = 1200.0 * RPM
LEAST_SECONDS: Final = 0.8
LEAST_ROWS: Final = 12
# A sweep on a load-controlled dyno rises by some 100 rpm a second; what rises less stands still
LEAST_RISE: Final = 30.0 * RPM
# Above every engine of a car; a row beyond it is a fault of the recording
MOST_SPEED: Final = 30e3 * RPM
# A whole log is smoothed at no more places than this
MOST_PLACES: Final = 100_000
# Speed may stand still or dip for so long within a pull, as noise makes it
LONGEST_DIP: Final = 0.3
# Share of the log's own full throttle above which it counts as open, and what full is at least
OPEN: Final = 0.93
LEAST_FULL: Final = 0.6


@dataclass(frozen=True, slots=True)
class Refused:
    """A stretch that looks like a pull and is none; rows as of :class:`Pull`, speeds in rad/s."""

    first: int
    last: int
    low: float
    high: float
    reason: str


@dataclass(frozen=True)
class Found:
    """The pulls of a log, and what was refused."""

    pulls: tuple[Pull, ...]
    refused: tuple[Refused, ...]


def pulls_in(log: Log, *, least_span: float = LEAST_SPAN) -> tuple[Pull, ...]:
    """The pulls of a log, in order of time.  Raises InputError, with what was refused, where there is none."""
    found = found_in(log, least_span=least_span)
    if found.pulls:
        return found.pulls
    raise InputError([no_pull(log, found, least_span)])


def found_in(log: Log, *, least_span: float = LEAST_SPAN) -> Found:
    """The pulls of a log and the stretches refused, either may be empty.  Raises InputError for channels not as named.

    Where throttle or pedal is known, it is open throughout; a lifted throttle ends a pull.  Where it is not, every
    steady rise counts, and a remark says so.
    """
    distrust = distrusted(log)
    if distrust.fatal:
        raise InputError(distrust.fatal)
    rising = _rising(log)
    open_, throttle = _open_throttle(log)
    pulls: list[Pull] = []
    refused: list[Refused] = []
    for first, last in _runs(rising):
        begun = len(pulls)
        for start, end, lifted in _while_open(first, last, open_, log):
            if not throttle:
                start = _steady_from(log, start, end)
            why = _too_little(log, start, end, least_span)
            if not why and len(pulls) > begun:
                why = "it goes on after a lifted throttle, with boost that has not settled"
            low, high = _ends(log, start, end)
            if why:
                if high - low > 0.4 * least_span or lifted:
                    refused.append(Refused(start, end, low, high, f"{why}{'; the throttle was lifted' * lifted}"))
                continue
            remarks = []
            if lifted:
                remarks.append(f"the throttle was lifted at {high / RPM:.0f} rpm, where the pull ends")
            if not throttle:
                remarks.append("no throttle in the log: taken as full load because engine speed rises steadily")
            pulls.append(_pull(log, len(pulls) + 1, start, end, distrust.left_out, (*remarks, *distrust.remarks)))
        if not _while_open(first, last, open_, log):
            low, high = _ends(log, first, last)
            if high - low >= least_span:
                refused.append(Refused(first, last, low, high, "the throttle was not open"))
    return Found(tuple(pulls), tuple(refused))


def no_pull(log: Log, found: Found, least_span: float = LEAST_SPAN) -> Problem:
    """What is said of a log without a pull."""
    wanted = f"a run at full throttle over at least {least_span / RPM:.0f} rpm"
    if not found.refused:
        speed = log.channels["engine_speed"].si
        got = f"engine speeds from {np.nanmin(speed) / RPM:.0f} to {np.nanmax(speed) / RPM:.0f} rpm that never rise so"
        return Problem(wanted, got, "Is engine speed mapped to the right column?", file=log.file)
    told = "; ".join(f"at {log.time[r.first]:.1f} s, {r.low / RPM:.0f} to {r.high / RPM:.0f} rpm: {r.reason}"
                     for r in found.refused[:5])
    return Problem(wanted, told, file=log.file)


def _rising(log: Log) -> Mask:
    """Rows in which engine speed rises, short dips counted in."""
    speed, time = log.channels["engine_speed"].si, log.time
    step = float(np.median(np.diff(time)))
    half = max(TIME_HALF_WIDTH * 1.5, 3.0 * step)
    _, rise = _in_pieces(time, speed, half)
    rising = np.nan_to_num(rise, nan=0.0) > LEAST_RISE
    # no run goes over a pause in the recording
    paused = np.diff(time) > max(20.0 * step, 2.0)
    for first, last in _runs(~rising):
        # closed at the ends of the log, and where speed falls by more than noise does
        inside = first > 0 and last < rising.size - 1
        low, high = _ends(log, first, last)
        falls = high - low
        if inside and time[last] - time[first] <= LONGEST_DIP and falls < 150.0 * RPM:
            rising[first : last + 1] = True
    rising[1:][paused] = False
    return rising


def _in_pieces(time: FloatArray, speed: FloatArray, half: float) -> tuple[FloatArray, FloatArray]:
    """The local fit of a whole log: on a thinned time where there are very many rows."""
    if time.size <= 50_000:
        return local_fit(time, speed, time, half)
    # rows of the log itself, so that a leap of time costs nothing
    at = time[np.flatnonzero(np.diff(np.floor((time - time[0]) / (half / 4.0)), prepend=-1.0) > 0.0)]
    at = at[:: at.size // MOST_PLACES + 1]
    value, slope = local_fit(time, speed, at, half)
    return np.interp(time, at, value), np.interp(time, at, slope)


def _open_throttle(log: Log) -> tuple[Mask, str]:
    """Rows with the throttle open, and the channel that says so; all rows where none does."""
    for name in ("throttle", "pedal"):
        opening = log.get(name)
        if opening is None or not np.isfinite(opening).any():
            continue
        full = min(float(np.nanpercentile(opening, 99.5)), 1.0)
        known = np.flatnonzero(np.isfinite(opening))
        every = np.interp(np.arange(opening.size), known, opening[known])
        if full < LEAST_FULL:
            return np.zeros(opening.shape, dtype=bool), name
        return every >= OPEN * full, name
    return np.ones(log.time.shape, dtype=bool), ""


def _while_open(first: int, last: int, open_: Mask, log: Log) -> list[tuple[int, int, bool]]:
    """The parts of a rise in which the throttle is open, and whether it was lifted at the end of each."""
    parts = []
    runs = _runs(open_[first : last + 1], 2)
    for start, end in runs:
        rises_on = first + end < last
        fell = rises_on and bool(np.nanmin(_opening(log)[first + end + 1 : last + 1], initial=1.0) < 0.8)
        parts.append((first + start, first + end, fell))
    return parts


def _opening(log: Log) -> FloatArray:
    for name in ("throttle", "pedal"):
        values = log.get(name)
        if values is not None:
            return values
    return np.ones(log.time.shape)


def _runs(mask: Mask, least: int = 1) -> list[tuple[int, int]]:
    """First and last of each stretch of true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a >= least]


def _ends(log: Log, first: int, last: int) -> tuple[float, float]:
    speed = log.channels["engine_speed"].si[first : last + 1]
    if not np.isfinite(speed).any():
        return 0.0, 0.0
    return float(np.nanmin(speed)), float(np.nanmax(speed))


def _steady_from(log: Log, first: int, last: int) -> int:
    """First row at which speed rises as it then goes on rising: where no throttle tells, the pull begins there."""
    if last - first < LEAST_ROWS:
        return first
    _, rise = smoothed_speed(log, first, last)
    steady = np.flatnonzero(np.nan_to_num(rise) >= 0.7 * np.nanmedian(rise))
    begins = first + int(steady[0]) if steady.size else first
    settled = np.flatnonzero(log.time[begins : last + 1] - log.time[begins] >= TIME_HALF_WIDTH)
    return begins + int(settled[0]) if settled.size else first


def _too_little(log: Log, first: int, last: int, least_span: float) -> str:
    """Why a stretch is no pull; empty when it is one."""
    low, high = _ends(log, first, last)
    seconds = float(log.time[last] - log.time[first])
    known = int(np.isfinite(log.channels["engine_speed"].si[first : last + 1]).sum())
    if max(high, -low) > MOST_SPEED:
        return f"engine speed leaps to {(high if high > -low else low) / RPM:.4g} rpm within it"
    if high - low < least_span:
        return f"it spans {(high - low) / RPM:.0f} rpm, less than {least_span / RPM:.0f}"
    if known < LEAST_ROWS:
        return f"it holds {known} rows, fewer than {LEAST_ROWS}"
    if seconds < LEAST_SECONDS:
        return f"it lasts {seconds:.1f} s, less than {LEAST_SECONDS:g} s"
    return ""


def _pull(
    log: Log, number: int, first: int, last: int, left_out: Sequence[str], remarks: tuple[str, ...]
) -> Pull:
    speed, _ = smoothed_speed(log, first, last)
    at = speed_grid_of(speed)
    rows = slice(first, last + 1)
    channels = {name: channel.si[rows] for name, channel in log.channels.items()
                if name != "engine_speed" and name not in left_out}
    clipped = clipped_rows(log, first, last)
    for name, where in clipped.items():
        if name in channels:
            channels[name] = np.where(where, np.nan, channels[name])
    on_speed, gaps = on_speeds(speed, channels, at)
    said = tuple(f"{name} stands at its {_end_of(name)} for {int(where.sum())} rows: the sensor ends there, and these "
                 "rows are left out" for name, where in clipped.items() if name in channels)
    return Pull(log, number, first, last, at, {"engine_speed": at, **on_speed}, FILTER, (*remarks, *said, *gaps))


# Sensors that end within the run of an engine, and at which end
_ENDING: Final = {
    **dict.fromkeys(("manifold_pressure", "boost", "exhaust_pressure", "exhaust_temperature", "air_mass_flow",
                     "fuel_pressure", "rail_pressure", "wheel_torque", "wheel_power"), "highest"),
    "lambda": "lowest", "lambda_second": "lowest",
}  # fmt: skip


def _end_of(name: str) -> str:
    return f"{_ENDING[name]} value"


def clipped_rows(log: Log, first: int, last: int) -> dict[str, Mask]:
    """Rows of a run in which a sensor is at its end: the same number to the last digit, for long, at the extreme.

    A pressure that is held has noise on it; one cut off has none.
    """
    found = {}
    for name, end in _ENDING.items():
        values = log.get(name)
        if values is None:
            continue
        run = values[first : last + 1]
        known = run[np.isfinite(run)]
        # a sensor of few steps stands at each of them
        if known.size < LEAST_ROWS or np.unique(values[np.isfinite(values)]).size < 12:
            continue
        extreme = float(np.nanmax(values)) if end == "highest" else float(np.nanmin(values))
        at_end = np.isclose(run, extreme, rtol=1e-9, atol=0.0)
        longest = max((b - a + 1 for a, b in _runs(at_end)), default=0)
        if longest >= 6 and at_end.sum() >= 0.05 * known.size:
            found[name] = at_end
    return found
