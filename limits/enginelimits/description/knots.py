"""A smooth curve through a few values over engine speed: the weights that each value has at any speed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def knot_weights(knots: Sequence[float] | FloatArray, at: Sequence[float] | FloatArray) -> FloatArray:
    """Weights (at, knots) that sum to one: cubic Hermite pieces, level at both ends and constant beyond them.

    The slope at an inner knot is that of the line between its neighbours, so that a value moves the curve only within
    two intervals of its knot.

    >>> knot_weights([2.0, 4.0, 6.0], [1.0, 4.0, 5.0]).round(4).tolist()
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [-0.0625, 0.5, 0.5625]]
    """
    x, wanted = np.asarray(knots, dtype=float), np.asarray(at, dtype=float)
    count = x.size
    if count == 1:
        return np.ones((wanted.size, 1))
    values = np.eye(count)
    slopes = np.zeros((count, count))
    if count > 2:
        slopes[1:-1] = (values[2:] - values[:-2]) / (x[2:] - x[:-2])[:, None]
    inside = np.clip(wanted, x[0], x[-1])
    left = np.clip(np.searchsorted(x, inside, side="right") - 1, 0, count - 2)
    width = (x[left + 1] - x[left])[:, None]
    t = (inside - x[left])[:, None] / width
    made: FloatArray = (
        (1.0 + 2.0 * t) * (1.0 - t) ** 2 * values[left]
        + t * (1.0 - t) ** 2 * width * slopes[left]
        + t**2 * (3.0 - 2.0 * t) * values[left + 1]
        + t**2 * (t - 1.0) * width * slopes[left + 1]
    )
    return made
