"""The intervals and the test of ranks against printed tables and scipy."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from enginelimits.measured.record_statistics import (
    ranked,
    rate_interval,
    share_at_least,
    share_at_most,
    share_interval,
)


# Newcombe 1998, Statistics in Medicine 17, 857-872, Table I, method 3 (score without continuity correction), 95 %; from
# memory.
@pytest.mark.parametrize(("count", "of", "low", "high"), [
    (81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718),
])  # fmt: skip
def test_the_share_of_a_printed_table(count: int, of: int, low: float, high: float) -> None:
    assert share_interval(count, of) == pytest.approx((low, high), abs=0.00005)


# Confidence limits for the mean of a Poisson count, Garwood 1936, Biometrika 28, 437-442 (Pearson, Hartley, Biometrika
# Tables for Statisticians, Table 40), 95 %; from memory.
@pytest.mark.parametrize(("count", "low", "high"), [
    (0, 0.0, 3.69), (1, 0.0253, 5.57), (2, 0.242, 7.22), (5, 1.62, 11.67), (10, 4.80, 18.39),
])  # fmt: skip
def test_the_rate_of_a_printed_table(count: int, low: float, high: float) -> None:
    found = rate_interval(count, 1.0)
    assert found.low == pytest.approx(low, abs=0.005) and found.high == pytest.approx(high, abs=0.005)


@pytest.mark.parametrize(("count", "exposure"), [(0, 3.0), (1, 0.5), (7, 12.0), (60, 1.0), (400, 9.0)])
def test_the_rate_by_chi_squared(count: int, exposure: float) -> None:
    # Garwood's limits are quantiles of chi-squared: half of that with 2 x and 2 x + 2 degrees of freedom.
    low = stats.chi2.ppf(0.025, 2 * count) / 2 if count else 0.0
    high = stats.chi2.ppf(0.975, 2 * count + 2) / 2
    assert rate_interval(count, exposure) == pytest.approx((low / exposure, high / exposure), rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 120), st.integers(0, 120), st.sampled_from([0.8, 0.95, 0.999]))
def test_shares_by_scipy(of: int, count: int, confidence: float) -> None:
    count = min(count, of)
    wilson = stats.binomtest(count, of).proportion_ci(confidence, method="wilson")
    assert share_interval(count, of, confidence) == pytest.approx((wilson.low, wilson.high), abs=1e-12)
    upper = stats.binomtest(count, of, alternative="less").proportion_ci(confidence, method="exact")
    lower = stats.binomtest(count, of, alternative="greater").proportion_ci(confidence, method="exact")
    assert share_at_most(count, of, confidence) == pytest.approx(upper.high, abs=1e-9)
    assert share_at_least(count, of, confidence) == pytest.approx(lower.low, abs=1e-9)


@pytest.mark.parametrize(("count", "of"), [(0, 5000), (700, 3000), (1500, 1501)])
def test_shares_of_many_by_the_beta_distribution(count: int, of: int) -> None:
    # Clopper and Pearson's bounds are quantiles of the beta distribution.
    assert share_at_most(count, of) == pytest.approx(stats.beta.ppf(0.95, count + 1, of - count), rel=1e-8)


def test_none_in_n_is_at_most_three_in_n() -> None:
    # The rule of three, Hanley and Lippman-Hand 1983, JAMA 249, 1743-1745: for n over 30, 3/n is good to 10 %.
    assert share_at_most(0, 60) == pytest.approx(3 / 60, rel=0.1)
    # Exactly, 0.95 quantile of none in n: 1 - 0.05^(1/n).
    assert share_at_most(0, 29) == pytest.approx(1 - 0.05 ** (1 / 29), rel=1e-12)


def test_without_cases_nothing_is_known() -> None:
    assert share_interval(0, 0) == (0.0, 1.0)
    assert share_at_most(0, 0) == 1.0 and share_at_least(0, 0) == 0.0


# Mann and Whitney 1947, Annals of Mathematical Statistics 18, 50-60, Table I: P(U <= 0) is .050 for n = m = 3, .014 for
# 4 and 4, .018 for 3 and 5; from memory, and 1/20, 1/70, 1/56 by counting.
@pytest.mark.parametrize(("first", "second", "p"), [(3, 3, 0.050), (4, 4, 0.014), (3, 5, 0.018)])
def test_the_ranks_of_a_printed_table(first: int, second: int, p: float) -> None:
    found = ranked([100.0 + n for n in range(first)], [float(n) for n in range(second)])
    assert (found.chance, found.exact) == (1.0, True)
    assert found.p_above == pytest.approx(p, abs=0.0005)
    assert found.p_above == pytest.approx(1 / math.comb(first + second, first), rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.permutations(range(30)), st.integers(3, 12), st.integers(5, 18))
def test_ranks_without_ties_by_scipy(order: list[int], count: int, other: int) -> None:
    first, second = [float(v) for v in order[:count]], [float(v) for v in order[count : count + other]]
    theirs = stats.mannwhitneyu(first, second, alternative="greater", method="exact")
    found = ranked(first, second)
    assert found.chance == pytest.approx(theirs.statistic / (count * other), rel=1e-12)
    assert found.p_above == pytest.approx(theirs.pvalue, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(0, 4), min_size=3, max_size=5), st.lists(st.integers(0, 4), min_size=3, max_size=5))
def test_ranks_with_ties_by_every_choice(first: list[int], second: list[int]) -> None:
    ranks = stats.rankdata([*first, *second])
    sums = [sum(ranks[i] for i in chosen) for chosen in combinations(range(len(ranks)), len(first))]
    seen = sum(ranks[: len(first)])
    expected = sum(total >= seen - 1e-9 for total in sums) / len(sums)
    assert ranked([float(v) for v in first], [float(v) for v in second]).p_above == pytest.approx(expected, rel=1e-12)


def test_many_ranks_by_the_normal_approximation_of_scipy() -> None:
    draws = np.random.default_rng(7)
    first, second = np.round(draws.normal(0.3, 1, 40), 1), np.round(draws.normal(0, 1, 70), 1)
    theirs = stats.mannwhitneyu(first, second, alternative="greater", method="asymptotic")
    found = ranked(first.tolist(), second.tolist())
    assert not found.exact and found.p_above == pytest.approx(theirs.pvalue, rel=1e-9)
