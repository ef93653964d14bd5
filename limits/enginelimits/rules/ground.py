"""What rules are judged on: readings of quantities and inputs over ambients, draws and speeds."""

from __future__ import annotations

from typing import Any, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray


class Reading(NamedTuple):
    """One quantity or input.

    ``si`` is a float array broadcastable to the ground's shape, NaN where unknown; or text, a yes or no (or
    an array of them), a tuple of numbers (one a cylinder), or None when nothing is known.  ``missing``
    names the inputs whose absence makes it unknown; ``outside`` masks what lies beyond a formula's range;
    ``applicable`` masks where it means anything.
    """

    si: Any
    unit: str
    missing: frozenset[str] = frozenset()
    outside: Any = False
    applicable: Any = True


class Ground(Protocol):
    """What an assessment, a log or a test offers to rules.  Row 0 of the second axis is the typical build."""

    shape: tuple[int, int, int]
    speeds: NDArray[np.float64]

    def quantity(self, id: str) -> Reading | None:
        """The quantity's readings; None for an id that the vocabulary does not hold."""
        ...

    def input(self, path: str) -> Reading:
        """The input's reading; ``si`` None and ``missing`` naming it when nobody gave it."""
        ...
