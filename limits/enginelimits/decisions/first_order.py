"""How much of what is not known of a quantity one input carries: the first-order index of variance, from given draws.

The draws are put in order of the input and parted into groups of equal count; what the means of the groups differ by is
the part of the variance that would go if the input were known (Plischke, Borgonovo and Smith 2013; the index is that of
Sobol).  Groups of an idle input differ too, by chance alone: that much is taken off (Kelley's epsilon squared, from
memory).  Within a group the input still moves, so that the index comes out a little small, by about one over the square
of the count of groups for a straight line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

FEWEST_GROUPS, MOST_GROUPS = 4, 64
# Fewer draws, and groups hold too few to have a mean of their own.
FEWEST_DRAWS = 32
# One table in twenty shows an idle input above the level of chance.
CHANCE = 0.05
ESTIMATOR = "first-order index of variance by groups of equal count of the draws, less what chance gives"


@dataclass(frozen=True, slots=True)
class Index:
    """A first-order index: share of the variance, its standard error, and how many groups and values it rests on.

    ``values`` counts different draws of the input: fewer than draws where it was drawn from a pool.
    """

    share: float
    error: float
    groups: int
    draws: int
    values: int


def groups_for(draws: int) -> int:
    """How many groups so many draws bear: half their square root, within bounds."""
    return min(max(round(math.sqrt(draws) / 2), FEWEST_GROUPS), MOST_GROUPS)


def first_order(given: FloatArray, made: FloatArray, groups: int | None = None) -> Index | None:
    """The index of one input in a quantity; None where too few draws are known, or one of them never moves."""
    known = np.isfinite(given) & np.isfinite(made)
    x, y = given[known], made[known]
    if x.size < FEWEST_DRAWS or np.ptp(x) == 0.0 or np.ptp(y) <= 1e-12 * float(np.abs(y).max()):
        return None
    place = grouped(x, groups or groups_for(x.size))
    count = np.bincount(place).astype(float)
    if count.min() < 2:
        return None
    share, each = _shares(place, count, (y - y.mean()) / y.std())
    n, values = x.size, int(np.unique(x).size)
    # leaving out one draw at a time; values that were drawn again add no draws of their own
    error = math.sqrt((n - 1) / n * float(((each - each.mean()) ** 2).sum()) * _scarce(n, values, count.size))
    return Index(share, error, count.size, n, values)


def grouped(x: FloatArray, groups: int) -> NDArray[np.intp]:
    """The group of each draw: by value where there are few values, else by rank, of equal count."""
    values, of = np.unique(x, return_inverse=True)
    if values.size <= groups:
        return np.asarray(of, dtype=np.intp).reshape(-1)
    rank = np.argsort(np.argsort(x, kind="stable"), kind="stable")
    return np.asarray(rank * groups // x.size, dtype=np.intp)


def _shares(place: NDArray[np.intp], count: FloatArray, y: FloatArray) -> tuple[float, FloatArray]:
    """The index of all draws, and that of all but each one."""
    sums, total, squares = np.bincount(place, weights=y), float(y.sum()), float((y * y).sum())
    n, between = float(y.size), float((sums**2 / count).sum())
    own_sum, own_count = sums[place], count[place]
    without = between - own_sum**2 / own_count + (own_sum - y) ** 2 / (own_count - 1.0)
    rest = (total - y) ** 2 / (n - 1.0)
    whole = _corrected(between - total**2 / n, squares - total**2 / n, n, count.size)
    return float(whole), np.asarray(_corrected(without - rest, squares - y * y - rest, n - 1.0, count.size))


def _corrected(between: Any, whole: Any, n: float, groups: int) -> Any:
    """Share of the squares between groups, less what groups of an idle input would show."""
    return 1.0 - (1.0 - between / whole) * (n - 1.0) / (n - groups)


def level_of_chance(index: Index, compared: int, chance: float = CHANCE) -> float:
    """The share above which one of ``compared`` idle inputs comes out with the given chance.

    Between groups an idle input has a chi-squared share of the squares, read off by Wilson and Hilferty's cube root.
    """
    freedom, n = index.groups - 1, float(index.draws)
    z = NormalDist().inv_cdf((1.0 - chance) ** (1.0 / max(compared, 1)))
    ninth = 2.0 / (9.0 * freedom)
    squares = freedom * (1.0 - ninth + z * math.sqrt(ninth)) ** 3 * _scarce(index.draws, index.values, index.groups)
    return float(_corrected(min(squares / (n - 1.0), 1.0), 1.0, n, index.groups))


def _scarce(draws: int, values: int, groups: int) -> float:
    """By how much chance counts for more, because fewer values were drawn than there are draws."""
    return draws / values if groups < values < draws else 1.0
