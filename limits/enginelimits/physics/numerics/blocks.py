"""Work over an axis of nodes, the last one, for many lanes: a few lanes at a time, or as tables of rows.

Every array has the axis of nodes, of length 1 where its value is the same at all of them; the axes before it are the
lanes' and broadcast.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import prod
from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array

# Lanes worked on at once: arrays of so many rows of some hundred nodes, a megabyte or less, stay in the processor's
# caches and in memory that is taken up again and again, and the calls are few beside the work
BLOCK = 256


def over_nodes(value: Array) -> Array:
    """One value a lane, given the axis of nodes to broadcast against.

    >>> over_nodes([1.0, 2.0]).shape
    (2, 1)
    """
    return np.asarray(value, dtype=float)[..., np.newaxis]


def lanes_of(*arrays: Array) -> tuple[int, ...]:
    """Shape of the lanes of arrays with the axis of nodes.

    >>> lanes_of(np.zeros((2, 1, 9)), np.zeros((3, 1)))
    (2, 3)
    """
    return np.broadcast_shapes(*(np.shape(array)[:-1] for array in arrays))


def in_blocks(of: Callable[..., Sequence[Array]], *arrays: Array, block: int | None = None) -> tuple[Array, ...]:
    """What ``of`` finds of arrays, without their axis of nodes, worked out along the longest axis of the lanes.

    >>> total, most = in_blocks(lambda x, y: ((x * y).sum(axis=-1), x.max(axis=-1)), np.ones((500, 3)), np.full(1, 2.0))
    >>> total.shape, float(total[499]), float(most[0])
    ((500,), 6.0, 1.0)
    """
    shape = lanes_of(*arrays)
    lanes = prod(shape)
    block = BLOCK if block is None else block
    if lanes <= block:
        return tuple(one if np.shape(one) == shape else np.broadcast_to(one, shape) for one in of(*arrays))
    axis = int(np.argmax(shape))
    step = max(block * shape[axis] // lanes, 1)
    whole: tuple[Array, ...] = ()
    for start in range(0, shape[axis], step):
        part = slice(start, start + step)
        found = of(*(_cut(array, axis - len(shape), part) for array in arrays))
        whole = whole or tuple(np.empty(shape, dtype=np.asarray(one).dtype) for one in found)
        for all_of_it, one in zip(whole, found, strict=True):
            all_of_it[(slice(None),) * axis + (part,)] = one
    return whole


def _cut(array: Array, axis: int, part: slice) -> Array:
    """A part of an axis of the lanes, counted from their last; all of what is the same along it."""
    place = np.ndim(array) - 1 + axis
    if place < 0 or array.shape[place] == 1:
        return array
    return array[(slice(None),) * place + (part,)]


class Rows(NamedTuple):
    """Arrays over the nodes as rows, each once, and which of them each lane takes."""

    rows: Array  # (..., rows, nodes)
    taken: Array  # (lanes,)


def rows_of(arrays: Sequence[Array], shape: tuple[int, ...], nodes: int) -> Rows:
    """Rows of arrays that belong together, stacked: (arrays, rows, nodes).

    >>> found = rows_of([np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([5.0])], (3, 2), 2)
    >>> found.rows.tolist(), found.taken.tolist()
    ([[[1.0, 2.0], [3.0, 4.0]], [[5.0, 5.0], [5.0, 5.0]]], [0, 1, 0, 1, 0, 1])
    """
    own = lanes_of(*arrays)
    count = prod(own)
    rows = np.empty((len(arrays), *own, nodes))
    for place, array in enumerate(arrays):
        rows[place, ...] = array
    return Rows(rows.reshape(len(arrays), count, nodes), _taken(own, shape))


def rows_of_one(array: Array, shape: tuple[int, ...], nodes: int) -> Rows:
    """Rows of one array, (rows, nodes), not to be written to, without a copy where it need not be."""
    array = np.asarray(array, dtype=float)
    own = array.shape[:-1]
    rows = np.ascontiguousarray(np.broadcast_to(array, (*own, nodes))).reshape(prod(own), nodes)
    rows.flags.writeable = False
    return Rows(rows, _taken(own, shape))


def _taken(own: tuple[int, ...], shape: tuple[int, ...]) -> Array:
    return np.broadcast_to(np.arange(prod(own)).reshape(own), shape).flatten()


def columns_of(values: Sequence[Array], shape: tuple[int, ...]) -> Array:
    """One value a lane of each array that is the same at all nodes: (arrays, lanes)."""
    found = np.empty((len(values), *shape))
    for place, value in enumerate(values):
        found[place, ...] = np.asarray(value)[..., 0]
    return found.reshape(len(values), prod(shape))
