"""Roots of one equation a lane, all lanes at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array


class Root(NamedTuple):
    """``root`` is NaN where the bracket holds no change of sign; ``width`` is what is left of the bracket."""

    root: Array
    residual: Array
    width: Array
    calls: int


def bracketed_root(
    function: Callable[[Array], Array],
    low: Array,
    high: Array,
    *,
    tolerance: float = 1e-10,
    most_calls: int = 80,
) -> Root:
    """Where ``function`` crosses zero between ``low`` and ``high``, by Chandrupatla's method.

    Inverse quadratic interpolation where it is trustworthy, halving elsewhere; it never leaves the bracket.
    ``tolerance`` is relative to the first bracket. Chandrupatla 1997, Advances in Engineering Software
    28:145.

    >>> found = bracketed_root(lambda x: x * x - 2.0, 0.0, 2.0)
    >>> round(float(found.root), 9)
    1.414213562
    """
    b, a = np.broadcast_arrays(np.asarray(low, dtype=float), np.asarray(high, dtype=float))
    a, b = a.copy(), b.copy()
    fa, fb = np.asarray(function(a), dtype=float), np.asarray(function(b), dtype=float)
    shape = np.broadcast_shapes(a.shape, fa.shape, fb.shape)
    a, b, fa, fb = (np.broadcast_to(v, shape).copy() for v in (a, b, fa, fb))
    valid = np.isfinite(fa) & np.isfinite(fb) & (np.sign(fa) * np.sign(fb) <= 0.0)
    fa, fb = np.where(valid, fa, 1.0), np.where(valid, fb, -1.0)
    c, fc = a.copy(), fa.copy()
    span = np.abs(a - b)
    share = np.full(shape, 0.5)
    calls = 2
    while True:
        best_is_a = np.abs(fa) < np.abs(fb)
        best, best_f = np.where(best_is_a, a, b), np.where(best_is_a, fa, fb)
        width = np.abs(b - a)
        done = ~valid | (best_f == 0.0) | (width <= tolerance * span)
        if done.all() or calls >= most_calls:
            break
        x = np.where(done, best, a + share * (b - a))
        fx = np.broadcast_to(np.asarray(function(x), dtype=float), shape)
        calls += 1
        same = np.sign(fx) == np.sign(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        keep = same | done
        b, fb = np.where(keep, b, a), np.where(keep, fb, fa)
        a, fa = np.where(done, a, x), np.where(done, fa, fx)
        share = _next_share(a, b, c, fa, fb, fc, 0.5 * tolerance * span)
    return Root(np.where(valid, best, np.nan), np.where(valid, best_f, np.nan), width, calls)


def _next_share(a: Array, b: Array, c: Array, fa: Array, fb: Array, fc: Array, least: Array) -> Array:
    """Share of the way from a to b at which to look next."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        quadratic = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
        share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        edge = np.minimum(0.5, least / np.abs(b - a))
        share = np.clip(share, edge, 1.0 - edge)
    return np.where(quadratic & np.isfinite(share), share, 0.5)
