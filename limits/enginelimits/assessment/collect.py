"""From a filled description to an assessment: the one place where inputs become floats, and floats quantities."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.anchor import anchors, shop_points
from enginelimits.assessment.balance import first_pass
from enginelimits.assessment.calibrated import calibrated_columns
from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.columns import Column
from enginelimits.assessment.kernel import kernel_for
from enginelimits.assessment.knock_limit import LIMITED, limited_boost
from enginelimits.assessment.map_steps import with_map
from enginelimits.assessment.measured import Measured, filling_for_torque, without
from enginelimits.assessment.order import at_place, percentile
from enginelimits.assessment.results import Assessment, At, Curve, QuantityResult, Status
from enginelimits.assessment.runner import TURBINE, TURBINE_CLASS, chosen, needed, ordered, run, texts_of
from enginelimits.assessment.sample import AMBIENTS, ambients_with, checked_samples, input_columns
from enginelimits.assessment.vocabulary import QUANTITIES, QuantityKind, printed
from enginelimits.description.filled import Filled
from enginelimits.errors import InputError, Problem
from enginelimits.physics.numerics.extremes import first_greatest, first_least

if TYPE_CHECKING:
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

RPM = 2 * np.pi / 60
SPEED_STEP, SPEED_START = 250 * RPM, 1500 * RPM
# Rows a pass, by arrays and compiled: one trace over the crank of 128 x 2 x 26 lanes is about 20 MB.  Arrays are as
# fast with fewer rows, while what is compiled goes without them, so that more rows spare calls.
CHUNK, COMPILED_CHUNK = 128, 256
ALWAYS = ("crank.power", "cylinder.peak_pressure")  # where things are read off, and which draws are counted as valid
END = 0.05  # where low and high of a range lie
BASIS_ORDER = ("measured", "documented", "assumed")


def speed_grid(redline: float, limiter: float) -> FloatArray:
    """Every 250 rpm from 1500 to the limiter, with redline and limiter themselves. [rad/s]"""
    steps = np.arange(SPEED_START, limiter, SPEED_STEP)
    grid = np.concatenate([steps, [redline, limiter]])
    # A set of Python's own: numpy's unique would import masked arrays for these few speeds.
    rounded = np.array(sorted({float(speed) for speed in np.round(grid / RPM, 6)})) * RPM
    return np.asarray(rounded[rounded <= limiter * (1 + 1e-9)])


def assess(
    filled: Filled,
    *,
    samples: int = 64,
    seed: int = 1,
    speeds: FloatArray | None = None,
    chunk: int | None = None,
    shop: Shop | None = None,
    mountain_m: float | None = None,
    measured: Measured | None = None,
    site_alone: bool = False,
    only: frozenset[str] = frozenset(),
    typical_anchor: bool = False,
    ranges: bool = True,
) -> Assessment:
    """Compute every quantity of a filled build, at every speed, site and hot day, typical and sampled.

    ``site_alone`` leaves the hot day out, and ``only`` names quantities beyond which nothing is wanted.
    ``typical_anchor`` is for draws of parts alone: what is measured or stated of the engine is met by the typical one,
    once for all.
    ``mountain_m`` adds a third ambient, the ordinary day at that altitude; it moves nothing in the other two.
    ``ranges`` says whether the ends of each range are wanted, which a part of a batch does without.
    ``measured`` puts what a log holds in the place of what would be computed, on the day of the log alone.

    Raises InputError for a number of draws, of rows a pass or of speeds that cannot be.
    """
    checked_samples(samples)
    if chunk is not None and chunk < 1:
        raise InputError([Problem("at least one row a pass", str(chunk), key="chunk", file="call of assess")])
    if speeds is None:
        speeds = speed_grid(_number(filled, "engine.redline"), _number(filled, "engine.limiter"))
    if not speeds.size:
        raise InputError([Problem("at least one engine speed", "none", key="speeds", file="call of assess")])
    ambients = AMBIENTS[:1] if site_alone or measured is not None else ambients_with(mountain_m)
    with kernel_for(len(ambients) * (1 + samples) * speeds.size) as compiled:
        anchor_samples = 0 if typical_anchor else samples
        columns = _columns(
            filled, samples, seed, speeds, ambients, chunk or (COMPILED_CHUNK if compiled else CHUNK), shop,
            mountain_m, measured, only, anchor_samples,
        )
    peak = _peak_of_power(columns["crank.power"], speeds.size)
    quantities, curves = {}, {}
    draws = samples if ranges else 0
    for kind in printed():
        if only and kind.id not in only:
            continue
        column = columns.get(kind.id)
        if column is not None and not ranges:
            column = _typical(column)
        quantities[kind.id] = _result(kind, column, speeds, draws, peak, filled, ambients)
        if kind.varies and column is not None and column.si is not None:
            curves[kind.id] = _curve(kind, column, speeds, draws)
    return Assessment(
        filled, tuple(float(s) for s in speeds), ambients, samples, _valid(columns, samples, speeds.size), seed,
        columns, quantities, curves,
    )


def _columns(
    filled: Filled, samples: int, seed: int, speeds: FloatArray, ambients: tuple[str, ...], chunk: int,
    shop: Shop | None, mountain_m: float | None, measured: Measured | None, only: frozenset[str], anchor_samples: int,
) -> dict[str, Column]:
    """Every input and quantity, with anchors and first passes behind it."""
    inputs = input_columns(filled, speeds, samples, seed, ambients, mountain_m)
    inputs |= anchors(filled, STEPS, speeds, anchor_samples, seed, shop)
    inputs |= calibrated_columns(filled, speeds, anchor_samples, seed, inputs)
    inputs |= shop_points(filled, STEPS, anchor_samples, seed, inputs)
    known = with_map(STEPS, filled)
    inputs |= measured.columns if measured is not None else {}
    steps = ordered(chosen(without(known, measured.columns) if measured is not None else known, texts_of(inputs)))

    if only:
        steps = needed(steps, *only, *ALWAYS)

    def passed(some: Any, have: Mapping[str, Column]) -> dict[str, Column]:
        return _in_chunks(partial(run, some), have, samples, chunk)

    inputs |= first_pass(steps, inputs, texts_of(inputs), passed)
    if measured is not None and measured.torque is not None:
        inputs |= filling_for_torque(steps, inputs, texts_of(inputs), measured.torque, passed)
    # boosts on trial are set, not made: drive pressure follows them by its class
    trial = ordered(chosen(known, {**texts_of(inputs), TURBINE: TURBINE_CLASS}))

    def complete(rows: Mapping[str, Column]) -> dict[str, Column]:
        columns = run(steps, rows)
        return columns if only and LIMITED not in only else columns | limited_boost(trial, columns)

    return _in_chunks(complete, inputs, samples, chunk)


def _number(filled: Filled, path: str) -> float:
    return float(filled.inputs[path].value)  # type: ignore[arg-type]


def _in_chunks(
    columns_of: Callable[[Mapping[str, Column]], dict[str, Column]], inputs: Mapping[str, Column], samples: int,
    chunk: int,
) -> dict[str, Column]:
    """Columns made a few rows at a time; of what holds a trace over the crank, row 0 alone is kept."""
    rows = 1 + samples
    parts: list[dict[str, Column]] = []
    for start in range(0, rows, chunk + 1):
        part = columns_of(_rows(inputs, start, min(start + chunk + 1, rows), rows))
        parts.append({name: _without_trace(name, column) for name, column in part.items()})
    whole = {}
    for name, first in parts[0].items():
        kind = QUANTITIES.get(name)
        if len(parts) == 1 or name in inputs or (kind is not None and kind.crank):
            whole[name] = inputs.get(name, first)
        else:
            whole[name] = _joined([part[name] for part in parts])
    return whole


def _without_trace(name: str, column: Column) -> Column:
    kind = QUANTITIES.get(name)
    if kind is None or not kind.crank or column.si is None or column.si.ndim < 2:
        return column
    # the marks of the row that is kept, not those of others
    outside, applicable = (mask[:, :1].copy() if np.ndim(mask) == 3 else mask
                           for mask in (column.outside, column.applicable))
    return column._replace(si=column.si[:, :1].copy(), outside=outside, applicable=applicable)


def _typical(column: Column) -> Column:
    """The column of the typical row alone."""
    si, outside, applicable = (a[:, :1] if np.ndim(a) == 3 else a for a in (column.si, column.outside,
                                                                            column.applicable))
    return column._replace(si=si, outside=outside, applicable=applicable)


def _rows(inputs: Mapping[str, Column], start: int, stop: int, rows: int) -> dict[str, Column]:
    def cut(column: Column) -> Column:
        si = column.si
        if isinstance(si, np.ndarray) and si.ndim >= 3 and si.shape[1] == rows and rows > 1:
            return column._replace(si=si[:, start:stop])
        return column

    return {path: cut(column) for path, column in inputs.items()}


def _joined(parts: list[Column]) -> Column:
    first = parts[0]
    if first.si is None:
        return first
    joined = {name: _joined_arrays([getattr(p, name) for p in parts], [np.shape(p.si) for p in parts])
              for name in ("si", "outside", "applicable")}
    reasons = frozenset().union(*(p.reasons for p in parts))
    return first._replace(**joined, reasons=reasons)


def _joined_arrays(arrays: list[Any], shapes: list[tuple[int, ...]]) -> Any:
    """Arrays of the chunks one after another; what is the same in all stays as it is."""
    if all(np.ndim(a) < 2 or np.shape(a)[1] == 1 for a in arrays) and all(np.array_equal(arrays[0], a, equal_nan=True)
                                                                         for a in arrays[1:]):
        return arrays[0]
    wide = []
    for a, shape in zip(arrays, shapes, strict=True):
        rows = shape[1] if len(shape) > 1 else 1
        array = np.asarray(a)
        while array.ndim < 3:
            array = array[None]
        wide.append(np.broadcast_to(array, (array.shape[0], rows, array.shape[2])))
    ambients, speeds = max(w.shape[0] for w in wide), max(w.shape[2] for w in wide)
    return np.concatenate([np.broadcast_to(w, (ambients, w.shape[1], speeds)) for w in wide], axis=1)


def _full(array: Any, least: tuple[int, int, int] = (1, 1, 1)) -> Any:
    """The array with three axes, each at least as long as asked."""
    array = np.asarray(array)
    while array.ndim < 3:
        array = array[None]
    shape = tuple(map(max, array.shape, least))
    return array if array.shape == shape else np.broadcast_to(array, shape)


def known(column: Column) -> Any:
    """The values with NaN where they are beyond a range or do not apply."""
    if column.outside is False and column.applicable is True:
        return np.asarray(column.si, dtype=float)
    return np.where(np.asarray(column.outside) | ~np.asarray(column.applicable, dtype=bool), np.nan, column.si)


def _governing(values: Any, worse: str) -> Any:
    """Worst over ambients and speeds of each row, NaN where nothing is known."""
    with np.errstate(all="ignore"):
        filled = np.where(np.isnan(values), -np.inf if worse == "high" else np.inf, values)
        worst = filled.max(axis=(0, 2)) if worse == "high" else filled.min(axis=(0, 2))
    return np.where(np.isinf(worst), np.nan, worst)


def _result(
    kind: QuantityKind, column: Column | None, speeds: FloatArray, samples: int, peak: int, filled: Filled,
    ambients: tuple[str, ...],
) -> QuantityResult:
    def empty(status: Status, reason: str) -> QuantityResult:
        return QuantityResult(kind.id, kind.unit, None, None, None, None, basis, status, reason)

    basis = "assumed"
    if column is None:
        return empty("not applicable", "this engine has no such part")
    basis = _basis(column, filled)
    if column.si is None:
        return empty("cannot compute", "needs " + ", ".join(sorted(column.missing)))
    size = len(speeds)
    if column.outside is not False or column.applicable is not True:
        beyond = _full(column.outside, (1, 1, size))
        applies = _full(column.applicable, (1, 1, size)).astype(bool)
        if not applies[:, 0].any():
            return empty("not applicable", "not at any speed of this build")
        told = slice(0, 1) if kind.worse == "none" else slice(None)  # what is told of the site alone is judged there
        if (beyond[told, 0] & applies[told, 0]).any():
            return empty("out of range", "; ".join(sorted(column.reasons)))
    values = _full(known(column), (1, 1 if samples == 0 else 1 + samples, size if kind.varies else 1))
    each = _told(kind, values, peak)
    if kind.worse == "none":
        place = min(peak, size - 1) if kind.varies else 0
        where = At(float(speeds[place]) if kind.varies else None, ambients[0])
    else:
        typical = values[:, 0]
        place = first_greatest(typical) if kind.worse == "high" else first_least(typical)
        hit = np.unravel_index(place, typical.shape)
        spread = values.shape[0] > 1
        where = At(float(speeds[hit[1]]) if kind.varies else None, ambients[hit[0]] if spread else ambients[0])
    low, high = _ends(each[1:]) if samples else (None, None)
    return QuantityResult(kind.id, kind.unit, _or_none(each[0]), low, high, where, basis, "ok")


def _each(kind: QuantityKind, column: Column, samples: int, peak: int, size: int) -> FloatArray:
    """The value of each row that a result tells: the worst over ambients and speeds, or that at the power peak."""
    return _told(kind, _full(known(column), (1, 1 + samples, size if kind.varies else 1)), peak)


def _told(kind: QuantityKind, values: Any, peak: int) -> FloatArray:
    if kind.worse == "none":
        return np.asarray(values[0, :, min(peak, values.shape[2] - 1) if kind.varies else 0])
    return np.asarray(_governing(values, kind.worse))


def _ends(draws: FloatArray) -> tuple[float | None, float | None]:
    """The 5th and 95th percentile of the draws that are known."""
    draws = draws[np.isfinite(draws)]
    if not draws.size:
        return None, None
    ordered_draws = np.sort(draws)
    return percentile(ordered_draws, END), percentile(ordered_draws, 1.0 - END)


class Extremes:
    """Of ``count`` draws the tenth that lies farthest out, column by column: 5th and 95th percentile are made of it."""

    def __init__(self, count: int, columns: int) -> None:
        self._keep = int(END * max(count - 1, 0)) + 2
        self.low = self.high = np.empty((0, columns))
        self.known: Any = np.zeros(columns, dtype=np.intp)

    def add(self, rows: FloatArray) -> None:
        """Take in more draws; those that are not finite are not known."""
        there = np.isfinite(rows)
        self.known = self.known + there.sum(axis=0)
        self.low = _least(np.concatenate([self.low, np.where(there, rows, np.inf)]), self._keep)
        self.high = -_least(-np.concatenate([self.high, np.where(there, rows, -np.inf)]), self._keep)

    def ordered(self) -> tuple[FloatArray, FloatArray]:
        """The least and the greatest draws, each in rising order."""
        return np.sort(self.low, axis=0), np.sort(self.high, axis=0)


class Ranges:
    """The ranges of a batch of ``count`` draws that is assessed a part at a time: of each quantity and by speed."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._worst: dict[str, Extremes] = {}
        self._by_speed: dict[str, Extremes] = {}
        self._valid = 0

    def add(self, found: Assessment) -> None:
        """Take in the draws of one part."""
        size = len(found.speeds)
        peak = _peak_of_power(found.columns["crank.power"], size)
        for id_, result in found.quantities.items():
            if result.status == "ok":
                each = _each(QUANTITIES[id_], found.columns[id_], found.samples, peak, size)[1:]
                self._worst.setdefault(id_, Extremes(self._count, 1)).add(each[:, None])
        for id_ in found.curves:
            rows = _full(known(found.columns[id_]), (1, 1 + found.samples, size))[0, 1:]
            self._by_speed.setdefault(id_, Extremes(self._count, size)).add(rows)
        self._valid += found.samples_valid

    def put_on(self, first: Assessment) -> Assessment:
        """The assessment of the first part with the ranges of all; its columns stay those of the first."""
        quantities, curves = dict(first.quantities), dict(first.curves)
        for id_, extremes in self._worst.items():
            least, most = ends_of(extremes)
            quantities[id_] = replace(first.quantities[id_], low=least, high=most)
        for id_, curve in first.curves.items():
            extremes = self._by_speed[id_]
            at = END * np.maximum(extremes.known - 1, 0)
            least_rows, most_rows = extremes.ordered()
            low, high = (
                _each_or_none(np.where(extremes.known > 0, _at_place(rows, at), np.nan))
                for rows in (least_rows, most_rows[::-1])
            )
            curves[id_] = replace(curve, low=low, high=high)
        return replace(first, quantities=quantities, curves=curves, samples_valid=self._valid)


def ends_of(extremes: Extremes) -> tuple[float | None, float | None]:
    """The 5th and 95th percentile of the draws of one quantity that are known."""
    count = int(extremes.known[0])
    if not count:
        return None, None
    least, greatest = extremes.ordered()
    low, high = least[:count, 0], greatest[-count:, 0]
    return at_place(low, END * (count - 1)), at_place(high, (1.0 - END) * (count - 1), first=count - high.size)


def _least(rows: FloatArray, count: int) -> FloatArray:
    """So many of the rows that each column has its least values in them, in no order."""
    return rows if rows.shape[0] <= count else np.partition(rows, count - 1, axis=0)[:count].copy()


def _at_place(rows: FloatArray, place: FloatArray) -> FloatArray:
    """Of each column the value at a place between its rows."""
    below = place.astype(np.intp)
    above = np.minimum(below + 1, rows.shape[0] - 1)
    low, high = (np.take_along_axis(rows, at[None], axis=0)[0] for at in (below, above))
    with np.errstate(invalid="ignore"):
        return np.asarray(np.where(place > below, low + (place - below) * (high - low), low))


def _peak_of_power(power: Column, size: int) -> int:
    """Which speed has the greatest power, in the typical build on the site; the last where none is known."""
    if power.si is None:
        return -1
    values = _full(power.si, (1, 1, size))[0, 0]
    return first_greatest(values) if np.isfinite(values).any() else -1


def _valid(columns: Mapping[str, Column], samples: int, size: int) -> int:
    """How many draws gave a cylinder pressure at every speed."""
    column = columns["cylinder.peak_pressure"]
    if column.si is None or not samples:
        return 0
    values = _full(known(column), (1, 1 + samples, size))
    return int(np.isfinite(values[:, 1:]).all(axis=(0, 2)).sum())


def _or_none(value: Any) -> float | None:
    return float(value) if np.isfinite(value) else None


def _each_or_none(values: Any) -> tuple[float | None, ...]:
    return tuple(value if isfinite(value) else None for value in values.tolist())


def _basis(column: Column, filled: Filled) -> str:
    """The weakest basis of all inputs beneath."""
    found = [filled.inputs[path].basis for path in column.rests if path in filled.inputs]
    return max(found, key=BASIS_ORDER.index, default="documented")


def _percentiles(rows: FloatArray) -> FloatArray:
    """The 5th and 95th percentile of each column, over the draws that are known."""
    ordered_rows = np.sort(rows, axis=0)  # what is unknown comes last
    known_draws = np.isfinite(rows).sum(axis=0)
    ends = []
    for share in (END, 1.0 - END):
        place = share * np.maximum(known_draws - 1, 0)
        low = place.astype(np.intp)
        high = np.minimum(low + 1, np.maximum(known_draws - 1, 0))
        at_low, at_high = (np.take_along_axis(ordered_rows, at[None], axis=0)[0] for at in (low, high))
        ends.append(at_low + (place - low) * (at_high - at_low))
    return np.where(known_draws > 0, np.array(ends), np.nan)


def _curve(kind: QuantityKind, column: Column, speeds: FloatArray, samples: int) -> Curve:
    values = _full(known(column), (1, 1 + samples, len(speeds)))[0]
    low = high = None
    if samples:
        low, high = (_each_or_none(end) for end in _percentiles(values[1:]))
    return Curve(kind.id, kind.unit, _each_or_none(values[0]), low, high)
