"""Integrals over a grid, many lanes at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from enginelimits.physics.numerics.arrays import Array

# Where Gauss takes a function from -1 to 1, and what each value counts; one of the two alike.  Written out, because
# what in numpy computes them takes longer to import than a check has integrals for.
_HALVES = {
    5: ((0.0, 0.5384693101056831, 0.906179845938664), (0.5688888888888887, 0.4786286704993663, 0.23692688505618928)),
    10: (
        (0.14887433898163122, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717),
        (0.2955242247147528, 0.2692667193099965, 0.219086362515982, 0.1494513491505804, 0.06667134430868814),
    ),
}


def _whole(half: tuple[float, ...], points: int, sign: float) -> Array:
    return np.array([sign * value for value in half[points % 2 :][::-1]] + list(half))


_GAUSS = {
    points: (_whole(nodes, points, -1.0), _whole(weights, points, 1.0)) for points, (nodes, weights) in _HALVES.items()
}


def integral_between(function: Callable[[Array], Array], low: Array, high: Array, points: int = 10) -> Array:
    """Integral of a smooth function from ``low`` to ``high`` by ten Gauss points, or five.

    ``function`` takes and returns arrays whose last axis is the points.

    >>> round(float(integral_between(np.exp, 0.0, 1.0)), 12) == round(np.e - 1.0, 12)
    True
    """
    at, weights = gauss_points(low, high, points)
    return np.sum(weights * function(at), axis=-1)


def gauss_points(low: Array, high: Array, points: int) -> tuple[Array, Array]:
    """Where to take a smooth function between ``low`` and ``high``, and what each value counts, on the last axis.

    >>> at, weights = gauss_points(0.0, 1.0, 5)
    >>> round(float(np.sum(weights * np.exp(at))), 9) == round(np.e - 1.0, 9)
    True
    """
    low, high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    half = 0.5 * (high - low)
    nodes, weights = _GAUSS[points]
    return (0.5 * (high + low))[..., None] + half[..., None] * nodes, half[..., None] * weights


def hermite_integral(values: Array, slopes: Array, steps: Array) -> Array:
    """Integral over the last axis from values and slopes at the nodes: the trapezium rule, ends corrected.

    Exact for cubics between nodes, so fourth order.

    >>> x = np.array([0.0, 1.0, 3.0])
    >>> float(hermite_integral(x**3, 3 * x**2, np.diff(x)))
    20.25
    """
    trapezium = 0.5 * steps * (values[..., 1:] + values[..., :-1])
    correction = steps**2 / 12.0 * (slopes[..., :-1] - slopes[..., 1:])
    return np.sum(trapezium + correction, axis=-1)
