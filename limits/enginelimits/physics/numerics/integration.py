"""Integration of rates over a grid, many lanes at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from enginelimits.physics.numerics.arrays import Array

# rates(half_node, state, out): write d(state)/dx at that half node into ``out``
Rates = Callable[[int, Array, Array], None]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)


def runge_kutta_4(rates: Rates, states: Array, slopes: Array, step: Array) -> None:
    """Fill ``states[1:]`` and ``slopes`` from ``states[0]`` by the classical fourth-order Runge-Kutta method.

    ``states`` and ``slopes`` are (steps + 1, rows, lanes), ``step`` is one width a lane. ``rates`` is asked
    at half nodes: 2 k is node k, 2 k + 1 the middle of step k, so that whatever depends on x alone can stand
    in tables. Everything is written in place: the cost of a small batch is the count of calls, not the
    arithmetic.
    """
    half, sixth = 0.5 * step, step / 6.0
    k2, k3, k4 = (np.empty_like(states[0]) for _ in range(3))
    trial = np.empty_like(states[0])
    last = states.shape[0] - 1
    for k in range(last):
        state, k1 = states[k], slopes[k]
        rates(2 * k, state, k1)
        np.multiply(k1, half, out=trial)
        trial += state
        rates(2 * k + 1, trial, k2)
        np.multiply(k2, half, out=trial)
        trial += state
        rates(2 * k + 1, trial, k3)
        np.multiply(k3, step, out=trial)
        trial += state
        rates(2 * k + 2, trial, k4)
        k2 += k3
        k2 *= 2.0
        k2 += k1
        k2 += k4
        k2 *= sixth
        np.add(state, k2, out=states[k + 1])
    rates(2 * last, states[last], slopes[last])


def integral_between(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Integral of a smooth function from ``low`` to ``high`` by ten Gauss points.

    ``function`` takes and returns arrays whose last axis is the points.

    >>> round(float(integral_between(np.exp, 0.0, 1.0)), 12) == round(np.e - 1.0, 12)
    True
    """
    low, high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    half = 0.5 * (high - low)
    points = (0.5 * (high + low))[..., None] + half[..., None] * _NODES
    return half * np.sum(_WEIGHTS * function(points), axis=-1)


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
