"""From rows in time to a grid of engine speeds: a local parabola through the rows near each speed.

Weighted by the tricube of the distance, a local parabola leaves any parabola as it is, so that a rounded peak keeps its
height; of what is narrower than the window only a part remains (Cleveland 1979).  A ripple as long as the half-width
keeps three tenths of its height, one of twice that nine tenths.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.measured.log import Log

FloatArray = NDArray[np.float64]

RPM: Final = np.pi / 30.0
STEP: Final = 100.0 * RPM
HALF_WIDTH: Final = 250.0 * RPM
# Rows further apart than this leave a gap, in which a channel is not known
BRIDGED: Final = 400.0 * RPM
LEAST_ROWS: Final = 5
# Rows of windows that are fitted together, for memory
MOST_AT_ONCE: Final = 1_000_000
# Half the window in time over which engine speed itself is smoothed and its rise taken, at least
TIME_HALF_WIDTH: Final = 0.15
# States and flags, of which a mean means nothing
_NEAREST: Final = frozenset(("gear",))
FILTER: Final = (
    "a parabola through the rows within 250 rpm of each speed, weighted by the tricube of the distance; gaps of up to "
    "400 rpm are bridged; rounded peaks keep their height, what is narrower than 250 rpm is lowered"
)


def local_fit(x: FloatArray, y: FloatArray, at: FloatArray, half_width: float) -> tuple[FloatArray, FloatArray]:
    """Value and slope at each place of a parabola fitted to the points near it, NaN where there are too few.

    Weights are the tricube of distance over ``half_width``, which grows until it holds LEAST_ROWS points.  At an end,
    with points on one side only, a line is fitted in the parabola's place.

    >>> x = np.linspace(0.0, 10.0, 41)
    >>> value, slope = local_fit(x, 3.0 - (x - 5.0) ** 2, np.array([5.0, 6.0]), 1.0)
    >>> value.round(9).tolist(), slope.round(9).tolist()
    ([3.0, 2.0], [-0.0, -2.0])
    """
    known = np.isfinite(x) & np.isfinite(y)
    x, y = x[known], y[known]
    value, slope = np.full(at.shape, np.nan), np.full(at.shape, np.nan)
    if x.size < LEAST_ROWS:
        return value, slope
    order = np.argsort(x, kind="stable")
    x, y = x[order], y[order]
    low, high = np.searchsorted(x, at - half_width), np.searchsorted(x, at + half_width)
    width = np.full(at.shape, half_width)
    for place in np.flatnonzero(high - low < LEAST_ROWS):
        here = at[place]
        width[place] = 1.0001 * float(np.partition(np.abs(x - here), LEAST_ROWS - 1)[LEAST_ROWS - 1])
        low[place], high[place] = np.searchsorted(x, (here - width[place], here + width[place]))
    size = max(1, MOST_AT_ONCE // max(1, int((high - low).max(initial=1))))
    for first in range(0, at.size, size):
        some = slice(first, first + size)
        value[some], slope[some] = _fitted_at_once(x, y, at[some], width[some], low[some], high[some])
    for place in np.flatnonzero(np.isnan(value)):
        window = slice(low[place], high[place])
        distance = (x[window] - at[place]) / width[place]
        weight = np.clip(1.0 - np.abs(distance) ** 3, 0.0, None) ** 3
        value[place], slope[place] = _fitted(distance, y[window], weight)
        slope[place] /= width[place]
    return value, slope


def _fitted_at_once(
    x: FloatArray, y: FloatArray, at: FloatArray, width: FloatArray, low: NDArray[np.intp], high: NDArray[np.intp]
) -> tuple[FloatArray, FloatArray]:
    """The fits of many places by their normal equations, NaN where these are too near to singular to be used."""
    index = low[:, None] + np.arange(max(1, int((high - low).max(initial=1))))
    inside = index < high[:, None]
    index = np.minimum(index, x.size - 1)
    u = np.where(inside, (x[index] - at[:, None]) / width[:, None], 0.0)
    weight = np.where(inside, np.clip(1.0 - np.abs(u) ** 3, 0.0, None) ** 3, 0.0)
    lowest, highest = np.where(inside, u, 1.0).min(axis=-1), np.where(inside, u, -1.0).max(axis=-1)
    one_sided = (lowest > -1.0 / 3.0) | (highest < 1.0 / 3.0)
    level = y[np.minimum(low, x.size - 1)]
    above = np.where(inside, y[index] - level[:, None], 0.0)
    with np.errstate(all="ignore"):
        moments = [np.sum(weight * u**power, axis=-1) for power in range(5)]
        right = [np.sum(weight * above * u**power, axis=-1) for power in range(3)]
        left = np.array([[moments[row + column] for column in range(3)] for row in range(3)])
        # A line is a parabola whose third term is nought.
        left[2, :2, one_sided] = left[:2, 2, one_sided] = 0.0
        left[2, 2, one_sided] = moments[0][one_sided]
        right[2] = np.where(one_sided, 0.0, right[2])
        left, scale = np.moveaxis(left, -1, 0), moments[0]
        sound = np.linalg.det(left) > 1e-5 * scale**3
        found = np.full((at.size, 3), np.nan)
        found[sound] = np.linalg.solve(left[sound], np.stack(right, axis=-1)[sound][..., None])[..., 0]
    return found[:, 0] + level, found[:, 1] / width


def _fitted(u: FloatArray, y: FloatArray, weight: FloatArray) -> tuple[float, float]:
    one_sided = u.min() > -1.0 / 3.0 or u.max() < 1.0 / 3.0
    terms = np.vander(u, 2 if one_sided else 3, increasing=True)
    root = np.sqrt(weight)
    solution, _, rank, _ = np.linalg.lstsq(terms * root[:, None], y * root, rcond=None)
    if rank < terms.shape[1]:
        return float(np.average(y, weights=weight)) if weight.sum() > 0.0 else float("nan"), float("nan")
    return float(solution[0]), float(solution[1])


def smoothed_speed(log: Log, first: int, last: int) -> tuple[FloatArray, FloatArray]:
    """Engine speed [rad/s] and its rise [rad/s^2] at each row of a run, by a local parabola in time."""
    speed = log.channels["engine_speed"].si[first : last + 1]
    time = log.time[first : last + 1]
    return local_fit(time, speed, time, time_half_width(time, speed))


def time_half_width(time: FloatArray, speed: FloatArray) -> float:
    """Half the window in time in which engine speed rises by as much as the window over speed is wide."""
    known = np.isfinite(speed)
    climb = float(np.ptp(speed[known])) if known.any() else 0.0
    rate = climb / max(float(time[-1] - time[0]), 1e-9)
    return max(TIME_HALF_WIDTH, HALF_WIDTH / rate if rate > 0.0 else TIME_HALF_WIDTH)


def speed_grid_of(speed: FloatArray) -> FloatArray:
    """Every 100 rpm between the slowest and the fastest row. [rad/s]"""
    low, high = float(np.nanmin(speed)), float(np.nanmax(speed))
    return np.asarray(np.arange(np.ceil(low / STEP - 1e-9), np.floor(high / STEP + 1e-9) + 1.0) * STEP)


def on_speeds(
    speed: FloatArray, channels: Mapping[str, FloatArray], at: FloatArray
) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Each channel on the grid, and what is said of the gaps in them."""
    found: dict[str, FloatArray] = {}
    remarks = []
    for name, values in channels.items():
        known = np.isfinite(speed) & np.isfinite(values)
        open_ = _gaps(np.sort(speed[known]), at)
        if name in _NEAREST:
            smooth = _nearest(speed[known], values[known], at)
        else:
            smooth = local_fit(speed, values, at, HALF_WIDTH)[0]
        found[name] = np.where(open_, np.nan, smooth)
        if open_.all():
            remarks.append(f"{name} has no value in the pull")
        elif open_.any():
            remarks.append(f"{name} is not known at {_stretches(at, open_)}")
    return found, tuple(remarks)


def _nearest(speed: FloatArray, values: FloatArray, at: FloatArray) -> FloatArray:
    if not speed.size:
        return np.full(at.shape, np.nan)
    return np.asarray(values[np.abs(speed[None, :] - at[:, None]).argmin(axis=1)], dtype=np.float64)


def _gaps(known: FloatArray, at: FloatArray) -> NDArray[np.bool_]:
    """Where the rows on both sides are too far apart to be joined; half a step from a row it is still known."""
    if known.size < LEAST_ROWS:
        return np.ones(at.shape, dtype=bool)
    place = np.searchsorted(known, at)
    below = np.where(place > 0, known[np.clip(place - 1, 0, None)], -np.inf)
    above = np.where(place < known.size, known[np.clip(place, None, known.size - 1)], np.inf)
    inside = (place > 0) & (place < known.size)
    near = np.minimum(at - below, above - at)
    return np.asarray((near > 0.5 * STEP) & (~inside | (above - below > BRIDGED)))


def _stretches(at: FloatArray, open_: NDArray[np.bool_]) -> str:
    """The speeds of a mask in words."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], open_, [False]]).astype(np.int8)))
    said = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        low, high = (round(float(at[i]) / RPM) for i in (first, after - 1))
        said.append(f"{low} rpm" if low == high else f"{low} to {high} rpm")
    return ", ".join(said[:4]) + (" and elsewhere" if len(said) > 4 else "")
