"""The range in which a formula holds, kept as data beside the formula."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

import numpy as np

F = TypeVar("F", bound=Callable[..., Any])
Range = tuple[float, float]


def valid(**ranges: Range) -> Callable[[F], F]:
    """Attach the closed range of each argument that has one, in the argument's own unit.

    The function itself computes whatever it is given; the caller asks :func:`outside` and marks the
    result, so that nothing is clamped and nothing raises inside an array.
    """

    def attach(function: F) -> F:
        function.valid = dict(ranges)  # type: ignore[attr-defined]
        return function

    return attach


def ranges_of(function: Callable[..., Any]) -> Mapping[str, Range]:
    """The ranges attached by :func:`valid`; empty when there are none."""
    found: Mapping[str, Range] = getattr(function, "valid", {})
    return found


def outside(function: Callable[..., Any], arguments: Mapping[str, Any]) -> Any:
    """Mask of where any argument lies beyond its range, broadcast over all arguments.

    NaN counts as unknown, not as outside.
    """
    mask: Any = np.False_
    for name, (low, high) in ranges_of(function).items():
        if name in arguments:
            value = np.asarray(arguments[name], dtype=float)
            mask = mask | (value < low) | (value > high)
    return mask
