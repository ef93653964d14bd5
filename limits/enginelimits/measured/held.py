"""Channels of a pull on an even grid of speeds, and the levels that last over a span of it.

A level counts when it is held: what lasts over fewer revolutions a minute than a window is wide is taken for noise.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from enginelimits.measured.pull import Pull

FloatArray = NDArray[np.float64]

RPM: Final = np.pi / 30.0  # rad/s
PITCH: Final = 25.0 * RPM
# Gaps as wide as what is taken for noise are bridged, and the ends reached out to by half of it.
BRIDGED: Final = 200.0 * RPM


def speed_grid(pulls: Sequence[Pull]) -> FloatArray:
    """Even speeds, 25 rpm apart, over all that the pulls run through. [rad/s]"""
    low = min(float(pull.speeds[0]) for pull in pulls)
    high = max(float(pull.speeds[-1]) for pull in pulls)
    first, last = np.ceil(low / PITCH - 1e-6), np.floor(high / PITCH + 1e-6)
    return np.asarray(np.arange(first, max(first, last) + 1) * PITCH, dtype=np.float64)


def covered(pull: Pull, speeds: FloatArray) -> NDArray[np.bool_]:
    """Where the pull ran through the speeds."""
    room = 1e-6 * PITCH
    return np.asarray((speeds >= pull.speeds[0] - room) & (speeds <= pull.speeds[-1] + room))


def on_grid(
    own_speeds: FloatArray, values: FloatArray, speeds: FloatArray, ran: FloatArray | None = None
) -> FloatArray:
    """Values over a pull's own speeds carried to the grid; NaN across wide gaps and where the pull did not run.

    ``ran`` are speeds that the pull ran through, where ``own_speeds`` are rows that may end just short of them.
    """
    own_speeds, values = np.asarray(own_speeds, dtype=float), np.asarray(values, dtype=float)
    known = np.isfinite(values)
    if not known.any():
        return np.full(speeds.shape, np.nan)
    at, there = own_speeds[known], values[known]
    found = np.interp(speeds, at, there)
    step = float(np.median(np.diff(own_speeds))) if own_speeds.size > 1 else 0.0
    room = max(BRIDGED, 1.5 * step) * (1.0 + 1e-9)
    after = np.clip(np.searchsorted(at, speeds, side="left"), 0, at.size - 1)
    before = np.clip(np.searchsorted(at, speeds, side="right") - 1, 0, at.size - 1)
    lost = at[after] - at[before] > room
    lost |= (speeds < at[0] - room / 2) | (speeds > at[-1] + room / 2)
    edge = 1e-6 * PITCH
    ends = own_speeds if ran is None else ran
    lost |= (speeds < ends[0] - edge) | (speeds > ends[-1] + edge)
    return np.asarray(np.where(lost, np.nan, found), dtype=np.float64)


def held_high(values: FloatArray, width: float) -> FloatArray:
    """At each speed the highest level that lasts over ``width`` [rad/s] with that speed inside; NaN where unknown."""
    points = round(width / PITCH) + 1
    if values.size < points:
        return np.full(values.shape, np.nan)
    least = sliding_window_view(values, points).min(axis=-1)
    around = np.pad(least, points - 1, constant_values=np.nan)
    return np.asarray(np.fmax.reduce(sliding_window_view(around, points), axis=-1), dtype=np.float64)


def held_low(values: FloatArray, width: float) -> FloatArray:
    """At each speed the lowest level that lasts over ``width`` [rad/s] with that speed inside."""
    return -held_high(-values, width)


def steadied(values: FloatArray, width: float) -> FloatArray:
    """The median over half of ``width`` [rad/s] to either side, less at the ends."""
    reach = round(width / 2.0 / PITCH)
    around = sliding_window_view(np.pad(values, reach, constant_values=np.nan), 2 * reach + 1)
    found = np.full(values.shape, np.nan)
    known = np.isfinite(values)
    if known.any():
        found[known] = np.nanmedian(around[known], axis=-1)
    return found


def widened(values: FloatArray, width: float) -> FloatArray:
    """The highest within half of ``width`` [rad/s] to either side, NaN only where all of it is unknown."""
    reach = round(width / 2.0 / PITCH)
    around = sliding_window_view(np.pad(values, reach, constant_values=np.nan), 2 * reach + 1)
    return np.asarray(np.fmax.reduce(around, axis=-1), dtype=np.float64)


def before(values: FloatArray, width: float) -> FloatArray:
    """What stood ``width`` [rad/s] lower; NaN where the grid does not reach."""
    points = round(width / PITCH)
    found = np.full(values.shape, np.nan)
    if points < values.size:
        found[points:] = values[: values.size - points]
    return found
