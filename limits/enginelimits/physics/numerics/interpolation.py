"""Interpolation between nodes, the nodes on the last axis."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array


def hermite(
    share: Array, width: Array, left: Array, right: Array, left_slope: Array, right_slope: Array
) -> Array:
    """Cubic through values and slopes at both ends of an interval, at ``share`` (0 to 1) of its ``width``.

    >>> float(hermite(0.5, 2.0, 1.0, 27.0, 3.0, 27.0))  # x^3 from 1 to 3, at 2
    8.0
    """
    s, t = share, 1.0 - share
    return (
        left * t * t * (1.0 + 2.0 * s)
        + right * s * s * (1.0 + 2.0 * t)
        + width * s * t * (left_slope * t - right_slope * s)
    )


def smooth_step(share: Array) -> Array:
    """Goes from 0 to 1 while ``share`` does, level at both ends and beyond them.

    >>> [float(smooth_step(s)) for s in (-1.0, 0.0, 0.5, 1.0, 2.0)]
    [0.0, 0.0, 0.5, 1.0, 1.0]
    """
    s = np.minimum(np.maximum(share, 0.0), 1.0)
    return s * s * (3.0 - 2.0 * s)


def peak_share(left: Array, right: Array, width: Array, left_slope: Array, right_slope: Array) -> Array:
    """Where in an interval its Hermite cubic is highest, as a share of the width; 0 or 1 when at an end."""
    # derivative of the cubic in the share: a s^2 + b s + c
    rise, u, v = right - left, width * left_slope, width * right_slope
    a, b, c = 3.0 * (u + v) - 6.0 * rise, 6.0 * rise - 4.0 * u - 2.0 * v, u
    root = np.sqrt(np.maximum(b * b - 4.0 * a * c, 0.0))
    # of the two roots the maximum is the one where 2 a s + b < 0; the form without cancellation is taken
    with np.errstate(divide="ignore", invalid="ignore"):
        inner = np.where(b < 0.0, 2.0 * c / (root - b), -(b + root) / (2.0 * a))
    end = np.where(right > left, 1.0, 0.0)
    inside = np.isfinite(inner) & (inner > 0.0) & (inner < 1.0)
    return np.where(inside, inner, end)


def linear(x: Array, nodes: Array, values: Array) -> Array:
    """Straight lines between ``nodes`` (rising, shared by all lanes), level beyond the ends.

    ``values`` has the nodes on its last axis; ``x`` broadcasts with the axes before it.

    >>> linear(np.array([0.5, 3.0]), np.array([0.0, 1.0, 2.0]), np.array([0.0, 10.0, 40.0])).tolist()
    [5.0, 40.0]
    """
    x, nodes, values = (
        np.asarray(x, dtype=float),
        np.asarray(nodes, dtype=float),
        np.asarray(values, dtype=float),
    )
    shape = np.broadcast_shapes(x.shape, values.shape[:-1])
    x = np.broadcast_to(x, shape)
    table = np.broadcast_to(values, (*shape, nodes.size))
    index: Array = np.clip(np.searchsorted(nodes, x, side="right") - 1, 0, nodes.size - 2)
    share = np.clip((x - nodes[index]) / (nodes[index + 1] - nodes[index]), 0.0, 1.0)
    left = np.take_along_axis(table, index[..., None], axis=-1)[..., 0]
    right = np.take_along_axis(table, index[..., None] + 1, axis=-1)[..., 0]
    return left + share * (right - left)
