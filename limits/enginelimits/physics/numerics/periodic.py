"""Values over one period, the places on the last axis."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array


def at_even_steps(values: Array, nodes: Array, count: int) -> Array:
    """Values at ``count`` even steps of the period that ``nodes`` span, beginning at the first; straight between.

    The last node ends the period and is the first of the next.

    >>> at_even_steps(np.array([0.0, 2.0, 6.0, 0.0]), np.array([0.0, 1.0, 3.0, 4.0]), 4).tolist()
    [0.0, 2.0, 4.0, 6.0]
    """
    nodes = np.asarray(nodes, dtype=float)
    places = nodes[0] + (nodes[-1] - nodes[0]) * np.arange(count) / count
    left = np.clip(np.searchsorted(nodes, places + 1e-9, side="right") - 1, 0, nodes.size - 2)
    share = np.clip((places - nodes[left]) / (nodes[left + 1] - nodes[left]), 0.0, 1.0)
    share[share < 1e-9] = 0.0
    values = np.asarray(values, dtype=float)
    if not share.any():  # every step is a node
        return values[..., left]
    return values[..., left] * (1.0 - share) + values[..., left + 1] * share


def sum_of_shifts(values: Array, shifts: int) -> Array:
    """Sum of a periodic row and itself shifted by each whole share of the period: one share is left.

    >>> sum_of_shifts(np.array([1.0, 2.0, 3.0, 10.0]), 2).tolist()
    [4.0, 12.0]
    """
    count = values.shape[-1] // shifts
    return values.reshape(*values.shape[:-1], shifts, count).sum(axis=-2)
