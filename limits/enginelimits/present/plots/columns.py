"""Columns of an assessment as lines over engine speed: the typical build, and the range of its draws."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.collect import known
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.present.values import finite

if TYPE_CHECKING:
    from enginelimits.assessment.results import Assessment

FloatArray = NDArray[np.float64]
ENDS = (5.0, 95.0)


class Line(NamedTuple):
    """A quantity or input over engine speed, SI; ``low`` and ``high`` are None without draws."""

    id: str
    unit: str
    values: FloatArray
    low: FloatArray | None
    high: FloatArray | None


def drawn(assessment: Assessment, id_: str) -> Line | None:
    """A column at the site over every speed; None where there is no number for it."""
    column = assessment.columns.get(id_)
    if column is None or column.si is None or isinstance(column.si, str | bool):
        return None
    rows = _rows(known(column), 1 + assessment.samples, len(assessment.speeds))
    if not np.isfinite(rows[0]).any():
        return None
    curve = assessment.curves.get(id_)
    low = high = None
    if curve is not None and curve.low is not None and curve.high is not None:
        low, high = (np.array([np.nan if v is None else v for v in end], dtype=float)
                     for end in (curve.low, curve.high))
    elif assessment.samples:
        low, high = _ends(rows[1:])
    kind, given = QUANTITIES.get(id_), assessment.filled.get(id_)
    unit = kind.unit if kind is not None else given.unit if given is not None else "1"
    return Line(id_, unit, rows[0].copy(), low, high)


def numbers_of(assessment: Assessment, id_: str) -> float | None:
    """A column that has one value, at the site; None where there is none."""
    column = assessment.columns.get(id_)
    if column is None or column.si is None or isinstance(column.si, str | bool):
        return None
    value = float(_rows(known(column), 1 + assessment.samples, 1)[0, 0])
    return value if np.isfinite(value) else None


def trace(assessment: Assessment, id_: str, speed: int) -> FloatArray | None:
    """What holds a trace over the crank, of the typical build at the site and one speed."""
    column = assessment.columns.get(id_)
    if column is None or column.si is None:
        return None
    array = np.asarray(column.si, dtype=float)
    return array if array.ndim == 1 else np.asarray(array[0, 0, min(speed, array.shape[2] - 1)])


def line_data(line: Line) -> dict[str, Any]:
    """A line as data, SI."""
    return {"quantity": line.id, "unit": line.unit, "values": finite(line.values), "low": finite(line.low),
            "high": finite(line.high)}


def _rows(array: Any, rows: int, speeds: int) -> FloatArray:
    """An array of any of the shapes of a column at the first ambient, as (rows, speeds)."""
    wide = np.asarray(array, dtype=float)
    while wide.ndim < 3:
        wide = wide[None]
    return np.broadcast_to(wide[0], (rows, max(speeds, wide.shape[2])))


def _ends(rows: FloatArray) -> tuple[FloatArray, FloatArray]:
    out = np.full((2, rows.shape[1]), np.nan)
    seen = np.isfinite(rows).any(axis=0)
    if seen.any():
        out[:, seen] = np.nanpercentile(rows[:, seen], ENDS, axis=0)
    return out[0], out[1]
