"""Intervals for counts and a test of ranks, for few cases: exact where that can be had, without other libraries."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

# Beyond this many cases the exact count of rankings costs more than it tells.
MOST_EXACT = 60


class Interval(NamedTuple):
    """From low to high."""

    low: float
    high: float


def share_interval(count: int, of: int, confidence: float = 0.95) -> Interval:
    """Wilson's interval for a share of ``count`` in ``of``; 0 to 1 where there are no cases.

    Wilson, 1927: the shares that a score test at that level does not reject.
    """
    if of == 0:
        return Interval(0.0, 1.0)
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    share, spread = count / of, z * z / of
    centre = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * math.sqrt(share * (1 - share) / of + spread / (4 * of))
    low = 0.0 if count == 0 else max(centre - half, 0.0)
    return Interval(low, 1.0 if count == of else min(centre + half, 1.0))


def share_at_most(count: int, of: int, confidence: float = 0.95) -> float:
    """The one-sided upper bound of a share by Clopper and Pearson, 1934; it never covers less than it says."""
    if count >= of:
        return 1.0
    tail = _binomial_tail(count, of)
    return _root(lambda share: tail(share) - (1 - confidence), rising=False)


def share_at_least(count: int, of: int, confidence: float = 0.95) -> float:
    """The one-sided lower bound of a share by Clopper and Pearson, 1934."""
    return 1.0 - share_at_most(of - count, of, confidence)


def rate_interval(count: int, exposure: float, confidence: float = 0.95) -> Interval:
    """The exact interval of a Poisson rate by Garwood, 1936: events over exposure, in events per unit of it."""
    tail = (1 - confidence) / 2
    top = count + 10.0 * math.sqrt(count + 1.0) + 20.0
    high = _root(lambda mean: _poisson_tail(count, mean) - tail, rising=False, top=top)
    low = 0.0 if count == 0 else _root(lambda m: 1 - _poisson_tail(count - 1, m) - tail, rising=True, top=top)
    return Interval(low / exposure, high / exposure)


class Ranked(NamedTuple):
    """How two groups stand to each other.

    ``chance`` is that of one drawn from the first being above one from the second, ties counted half; ``p_above`` that
    of a ranking at least so much in the first's favour where there is no difference.
    """

    chance: float
    p_above: float
    exact: bool


def ranked(first: Sequence[float], second: Sequence[float]) -> Ranked:
    """The test of Mann and Whitney, 1947: one-sided, on mid-ranks, exact up to 60 cases and normal beyond."""
    count, other = len(first), len(second)
    # Twice the mid-ranks are whole, so that rankings can be counted.
    values = np.asarray([*first, *second], dtype=np.float64)
    ordered = np.sort(values)
    doubled = np.searchsorted(ordered, values, "left") + np.searchsorted(ordered, values, "right") + 1
    total = int(doubled[:count].sum())
    chance = (total - count * (count + 1)) / (2.0 * count * other)
    if count + other <= MOST_EXACT:
        return Ranked(chance, _share_of_rankings(doubled, count, total), exact=True)
    sizes = np.unique(values, return_counts=True)[1].astype(np.float64)
    everyone = count + other
    ties = float((sizes**3 - sizes).sum()) / (everyone * (everyone - 1.0))
    spread = math.sqrt(count * other / 12.0 * (everyone + 1.0 - ties))
    above = chance * count * other - count * other / 2.0 - 0.5
    return Ranked(chance, 1.0 - NormalDist().cdf(above / spread) if spread else 1.0, exact=False)


def _share_of_rankings(doubled: np.ndarray, count: int, total: int) -> float:
    """The share of choices of ``count`` of the ranks whose sum is ``total`` or more."""
    most = int(doubled.sum())
    # ways[k, s]: choices of k ranks with the sum s.  Up to C(60, 30), which a float holds to a relative 1e-16.
    ways = np.zeros((count + 1, most + 1))
    ways[0, 0] = 1.0
    for rank in doubled.astype(int):
        ways[1:, rank:] += ways[:-1, : most + 1 - rank].copy()
    return float(ways[count, total:].sum() / ways[count].sum())


def _binomial_tail(count: int, of: int) -> Callable[[float], float]:
    """The chance of ``count`` or fewer, by the share."""
    hits = np.arange(count + 1)
    # The logarithms of the ways to choose: counts themselves pass what a float holds.
    ways = np.array([math.lgamma(of + 1) - math.lgamma(k + 1) - math.lgamma(of - k + 1) for k in range(count + 1)])

    def tail(share: float) -> float:
        return float(np.exp(ways + hits * math.log(share) + (of - hits) * math.log1p(-share)).sum())

    return tail


def _poisson_tail(count: int, mean: float) -> float:
    """The chance of ``count`` or fewer."""
    if mean <= 0.0:
        return 1.0
    return math.fsum(math.exp(k * math.log(mean) - mean - math.lgamma(k + 1)) for k in range(count + 1))


def _root(of: Callable[[float], float], *, rising: bool, top: float = 1.0) -> float:
    """Where a monotonic function between 0 and ``top`` is zero, by halving."""
    low, high = 0.0, top
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if (of(middle) > 0.0) == rising:
            high = middle
        else:
            low = middle
    return (low + high) / 2
