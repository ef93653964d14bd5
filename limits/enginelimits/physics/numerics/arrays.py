"""The one array type of the physics."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

# A float or a float array of any leading shape; functions broadcast and return the broadcast shape.
Array: TypeAlias = Any


def without_repeats(array: Array) -> Array:
    """The array with length 1 in every axis along which all is the same.

    >>> without_repeats(np.array([[1.0, 2.0], [1.0, 2.0]])).tolist()
    [[1.0, 2.0]]
    """
    array = np.asarray(array)
    for axis in range(array.ndim):
        first = array.take([0], axis=axis) if array.shape[axis] > 1 else array
        if first is not array and (array == first).all():
            array = first
    return array
