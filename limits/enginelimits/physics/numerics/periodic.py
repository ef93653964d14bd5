"""Values over one period, the places on the last axis."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array


class Steps(NamedTuple):
    """Even steps of a period among its nodes: the node before each, and the share of the way to the next one."""

    left: Array
    share: Array


def even_steps(nodes: Array, count: int) -> Array:
    """``count`` even steps of the period that ``nodes`` span, beginning at the first.

    >>> even_steps(np.array([0.0, 1.0, 3.0, 4.0]), 4).tolist()
    [0.0, 1.0, 2.0, 3.0]
    """
    return nodes[0] + (nodes[-1] - nodes[0]) * np.arange(count) / count


def steps_among(nodes: Array, count: int) -> Steps:
    """Where even steps lie among the nodes of the period.

    >>> [part.tolist() for part in steps_among(np.array([0.0, 1.0, 3.0, 4.0]), 4)]
    [[0, 1, 1, 2], [0.0, 0.0, 0.5, 0.0]]
    """
    nodes = np.asarray(nodes, dtype=float)
    places = even_steps(nodes, count)
    left = np.clip(np.searchsorted(nodes, places + 1e-9, side="right") - 1, 0, nodes.size - 2)
    share = np.clip((places - nodes[left]) / (nodes[left + 1] - nodes[left]), 0.0, 1.0)
    share[share < 1e-9] = 0.0
    return Steps(left, share)


def between(before: Array, after: Array, share: Array) -> Array:
    """The value a share of the way from one to the next, element by element.

    >>> between(2.0, 6.0, 0.5)
    4.0
    """
    return before * (1.0 - share) + after * share


def at_steps(values: Array, steps: Steps) -> Array:
    """Values at steps, straight between the nodes.

    >>> at_steps(np.array([0.0, 2.0, 6.0, 0.0]), steps_among(np.array([0.0, 1.0, 3.0, 4.0]), 4)).tolist()
    [0.0, 2.0, 4.0, 6.0]
    """
    values = np.asarray(values, dtype=float)
    before = values.take(steps.left, axis=-1)
    if not steps.share.any():  # every step is a node
        return before
    return between(before, values.take(steps.left + 1, axis=-1), steps.share)


def at_even_steps(values: Array, nodes: Array, count: int) -> Array:
    """Values at ``count`` even steps of the period that ``nodes`` span, beginning at the first; straight between.

    The last node ends the period and is the first of the next.

    >>> at_even_steps(np.array([0.0, 2.0, 6.0, 0.0]), np.array([0.0, 1.0, 3.0, 4.0]), 4).tolist()
    [0.0, 2.0, 4.0, 6.0]
    """
    return at_steps(values, steps_among(nodes, count))


def sum_of_shifts(values: Array, shifts: int) -> Array:
    """Sum of a periodic row and itself shifted by each whole share of the period: one share is left.

    >>> sum_of_shifts(np.array([1.0, 2.0, 3.0, 10.0]), 2).tolist()
    [4.0, 12.0]
    """
    count = values.shape[-1] // shifts
    return values.reshape(*values.shape[:-1], shifts, count).sum(axis=-2)
