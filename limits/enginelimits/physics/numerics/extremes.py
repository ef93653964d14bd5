"""Where an array is greatest or least, told apart by more than round-off.

Two places often hold the same number but for its last bits, which hang on the unit that an input was written in: the
first of them is told, so that no answer moves with those bits.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array

# Shares of a number that are no difference: what a unit's conversion and some thousand operations leave
ROUND_OFF = 1e-9


def first_greatest(values: Array) -> int:
    """The first place, counted along the last axis first, that no other exceeds by more than round-off.

    What is not a number is passed over; an array of nothing else has no such place (ValueError).

    >>> first_greatest([1.0, 3.0, 3.0 + 4e-16, 2.0])
    1
    """
    flat = np.ravel(np.asarray(values, dtype=float))
    known = flat[~np.isnan(flat)]
    if not known.size:
        raise ValueError("no number among them")
    most = float(known.max())
    near = flat >= most - ROUND_OFF * abs(most) if np.isfinite(most) else flat == most
    return int(np.argmax(near))


def first_least(values: Array) -> int:
    """The first place that is below no other by more than round-off.

    >>> first_least([3.0, 1.0 + 2.3e-16, 1.0])
    1
    """
    return first_greatest(-np.asarray(values, dtype=float))
