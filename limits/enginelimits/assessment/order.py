"""Percentiles and median of a few draws.

They are those of numpy to the last bit, which looks for masked arrays at every call and costs ten times as much.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def percentile(ordered: NDArray[np.float64], share: float) -> float:
    """Below which value the share of the draws lies, linear between two of them; they are known and in rising order.

    >>> percentile(np.array([1.0, 2.0, 4.0]), 0.75)
    3.0
    """
    return at_place(ordered, (ordered.size - 1) * share)


def at_place(ordered: NDArray[np.float64], place: float, first: int = 0) -> float:
    """The value at a place, counted from nil, between draws in rising order, of which those from ``first`` on are here.

    >>> at_place(np.array([1.0, 2.0, 4.0]), 11.5, first=10)
    3.0
    """
    before = int(place)
    part = place - before
    low, high = (float(ordered[min(at - first, ordered.size - 1)]) for at in (before, before + 1))
    # from the nearer end, as numpy does
    return low + (high - low) * part if part < 0.5 else high - (high - low) * (1.0 - part)


def median(ordered: NDArray[np.float64]) -> float:
    """The middle draw, or the mean of the middle two; they are known and in rising order.

    >>> median(np.array([1.0, 2.0, 4.0, 9.0]))
    3.0
    """
    half = ordered.size // 2
    return float(ordered[half]) if ordered.size % 2 else (float(ordered[half - 1]) + float(ordered[half])) / 2.0
