"""Percentiles and medians of draws, beside those of numpy: a library of its own, not to rounding but to the bit."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.assessment.order import median, percentile


@pytest.mark.parametrize("count", [1, 2, 3, 8, 64, 65, 96, 1000])
def test_they_are_those_of_numpy(count):
    draws = np.random.default_rng(count).lognormal(3.0, 2.0, count)
    ordered = np.sort(draws)
    for share in (0.05, 0.5, 0.95):
        assert percentile(ordered, share) == np.percentile(draws, 100.0 * share)
    assert median(ordered) == np.median(draws)


def test_equal_draws_give_their_value():
    assert percentile(np.full(7, 3.3), 0.05) == percentile(np.full(7, 3.3), 0.95) == median(np.full(7, 3.3)) == 3.3
