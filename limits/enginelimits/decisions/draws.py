"""The draws behind a judgement: of an input, and of a quantity at the place where a finding speaks of it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.results import Assessment, At
from enginelimits.decisions.verdict import Because

FloatArray = NDArray[np.float64]


def quantity_draws(assessment: Assessment, because: Because) -> FloatArray | None:
    """The draws of a quantity at the place of its comparison, without the typical row; None for what was not drawn."""
    column = assessment.columns.get(because.name)
    if column is None or column.si is None or isinstance(column.si, str | bool):
        return None
    return _drawn(column.si, *place_of(assessment, because.at))


def input_draws(assessment: Assessment, path: str) -> FloatArray | None:
    """The draws of an input, without the typical row; None for what was not drawn.

    Those of a curve are read where they lie furthest apart; a list, of which each entry has its own, has none.
    """
    column = assessment.columns.get(path)
    if column is None or column.si is None or isinstance(column.si, str) or np.ndim(column.si) > 3:
        return None
    widest = int(np.ptp(column.si[0], axis=0).argmax()) if np.ndim(column.si) == 3 and column.si.shape[2] > 1 else 0
    return _drawn(column.si, 0, widest)


def place_of(assessment: Assessment, at: At | None) -> tuple[int, int]:
    """Ambient and speed of a place, as positions in the arrays; the nearest speed that was computed."""
    ambient = assessment.ambients.index(at.ambient) if at is not None and at.ambient in assessment.ambients else 0
    speed = 0
    if at is not None and at.engine_speed is not None and assessment.speeds:
        speed = int(np.argmin(np.abs(np.array(assessment.speeds) - at.engine_speed)))
    return ambient, speed


def _drawn(si: Any, ambient: int, speed: int) -> FloatArray | None:
    try:
        array = np.asarray(si, dtype=float)
    except (TypeError, ValueError):
        return None
    if array.ndim < 2 or array.shape[1] < 2:
        return None
    array = array[min(ambient, array.shape[0] - 1), 1:]
    return array if array.ndim == 1 else array[:, min(speed, array.shape[1] - 1)]
