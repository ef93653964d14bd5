"""Draws of uncertain inputs: distribution, independence of streams, bounds."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from enginelimits.assessment.sample import drawn, placed_by_strata
from enginelimits.description.filled import Input


def given(**changes):
    base = {"path": "internals.rods.shank_area", "value": 140.0, "unit": "m^2", "low": 120.0, "high": 170.0,
            "shape": "split-normal"}
    return Input(**{**base, **changes})


def test_split_normal_keeps_its_three_percentiles():
    # Definition: low and high are the 5th and 95th percentile, the value the median.
    rows = drawn(given(), 20_000, seed=3)[1:]
    assert np.percentile(rows, (5, 50, 95)) == pytest.approx((120, 140, 170), rel=2e-3)


def test_each_half_is_normal_by_scipy():
    rows = drawn(given(), 4000, seed=5)[1:]
    upper = rows[rows > 140] - 140
    sigma = 30 / stats.norm.ppf(0.95)
    assert stats.kstest(upper, stats.halfnorm(scale=sigma).cdf).pvalue > 0.01


def test_a_to_b_is_uniform_between_its_ends():
    rows = drawn(given(shape="uniform", value=145.0), 4000, seed=5)[1:]
    assert rows.min() >= 120 and rows.max() <= 170
    assert stats.kstest(rows, stats.uniform(120, 50).cdf).pvalue > 0.01


def test_row_0_is_the_typical_value_whatever_the_draws():
    assert drawn(given(), 7, seed=1)[0] == 140.0
    assert drawn(given(), 0, seed=1).tolist() == [140.0]


def test_draws_are_cut_at_physical_bounds():
    rows = drawn(given(value=0.98, low=0.90, high=1.10, floor=0.0, ceiling=1.0), 500, seed=2)
    assert rows.max() == 1.0
    assert (rows == 1.0).mean() > 0.2


def test_one_draw_falls_in_each_stratum():
    places = np.sort(placed_by_strata("a", 50, 1))
    assert np.array_equal(np.floor(places * 50).astype(int), np.arange(50))


def test_streams_depend_on_seed_and_path_alone():
    assert np.array_equal(placed_by_strata("a", 64, 1), placed_by_strata("a", 64, 1))
    assert not np.array_equal(placed_by_strata("a", 64, 1), placed_by_strata("b", 64, 1))
    assert not np.array_equal(placed_by_strata("a", 64, 1), placed_by_strata("a", 64, 2))
    r = stats.pearsonr(placed_by_strata("a", 2000, 1), placed_by_strata("b", 2000, 1))
    assert abs(r.statistic) < 0.08


def test_a_wider_range_moves_no_draw_toward_the_middle():
    narrow, wide = drawn(given(), 200, seed=9), drawn(given(low=110.0, high=190.0), 200, seed=9)
    assert (np.abs(wide - 140) >= np.abs(narrow - 140) - 1e-12).all()
