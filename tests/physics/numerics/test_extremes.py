"""Places of the greatest and the least: the first, where others differ by round-off alone."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.numerics.extremes import first_greatest, first_least

NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    ("values", "greatest", "least"),
    [
        ([2.0, 5.0, 3.0, 1.0], 1, 3),
        ([3.0, 3.0 * (1.0 + 4e-16), 2.0, 2.0 * (1.0 - 4e-16)], 0, 2),  # the last bits
        ([3.0, 3.0 * (1.0 + 1e-8)], 1, 0),  # more than the last bits
        ([-3.0, -3.0 * (1.0 - 4e-16), -4.0, -4.0 * (1.0 + 4e-16)], 0, 2),
        ([NAN, 1.0, NAN, 2.0, 2.0], 3, 1),
        ([0.0, -0.0, 0.0], 0, 0),
        ([-INF, 1.0, INF, INF], 2, 0),
        ([-INF, -INF], 0, 0),
        ([[1.0, 4.0], [4.0, 0.5]], 1, 3),  # counted along the last axis first
    ],
)
def test_the_first_place_that_no_other_exceeds_by_more_than_round_off(values, greatest, least):
    assert (first_greatest(values), first_least(values)) == (greatest, least)


def test_an_array_of_no_numbers_has_no_such_place():
    with pytest.raises(ValueError, match="no number"):
        first_greatest(np.full(3, NAN))
