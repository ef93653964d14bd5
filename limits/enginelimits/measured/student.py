"""Student's distribution, without a library for it: what a few pulls leave open."""

from __future__ import annotations

from functools import lru_cache
from math import atan, exp, lgamma, pi, sqrt

import numpy as np

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(80)


def student_share(t: float, freedom: float) -> float:
    """The share of Student's distribution below ``t``.

    With t = sqrt(freedom) tan(angle) the density is a power of a cosine, which Gauss and Legendre's points integrate.

    >>> round(student_share(2.2281388519649385, 10.0), 10)
    0.975
    """
    end = atan(abs(t) / sqrt(freedom))
    angles = 0.5 * end * (_NODES + 1.0)
    area = 0.5 * end * float(_WEIGHTS @ np.cos(angles) ** (freedom - 1.0))
    scale = exp(lgamma(0.5 * (freedom + 1.0)) - lgamma(0.5 * freedom)) / sqrt(pi)
    return 0.5 + (scale * area if t >= 0.0 else -scale * area)


@lru_cache(maxsize=256)
def student_quantile(share: float, freedom: float) -> float:
    """The value below which a share of the distribution lies.

    >>> round(student_quantile(0.975, 4.0), 6)
    2.776445
    """
    low, high = 0.0, 1.0
    wanted = max(share, 1.0 - share)
    while student_share(high, freedom) < wanted:
        low, high = high, 2.0 * high
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if student_share(middle, freedom) < wanted else (low, middle)
    return high if share >= 0.5 else -high
