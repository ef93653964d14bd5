"""The first-order index against functions whose indices are known, and against another estimator."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import chi2, sobol_indices, uniform

from enginelimits.decisions.first_order import first_order, groups_for, level_of_chance

# Ishigami and Homma 1990, with a = 7 and b = 0.1, as SALib's documentation prints them (from memory)
ISHIGAMI = (0.3139, 0.4424, 0.0)
DRAWS = 8192


def ishigami(x):
    return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


def by_strata(generator, inputs, draws):
    """One draw in each of so many equal parts of (0, 1), as the program draws."""
    edges = np.arange(draws)
    return np.array([generator.permutation((edges + generator.random(draws)) / draws) for _ in range(inputs)])


def indices(function, x):
    return [first_order(one, function(x)) for one in x]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_published_indices_of_ishigami_come_out(seed):
    x = np.pi * (2.0 * by_strata(np.random.default_rng(seed), 3, DRAWS) - 1.0)
    for index, printed in zip(indices(ishigami, x), ISHIGAMI, strict=True):
        # three standard errors, and what groups leave unseen of the fastest wave: by hand
        # (2 pi / groups)^2 / 12 times the mean square slope 24.5 over the variance 13.84 of the function
        unseen = (2.0 * math.pi / index.groups) ** 2 / 12.0 * 24.5 / 13.84
        assert index.share == pytest.approx(printed, abs=3 * index.error + unseen)
        assert index.error < 0.015


def test_another_estimator_with_draws_of_its_own_agrees():
    # scipy.stats.sobol_indices: Saltelli's scheme, which calls the function at places of its own choice
    got = sobol_indices(func=ishigami, n=4096, dists=[uniform(-math.pi, 2 * math.pi)] * 3, rng=np.random.default_rng(7))
    x = np.pi * (2.0 * np.random.default_rng(8).random((3, DRAWS)) - 1.0)
    for index, other in zip(indices(ishigami, x), got.first_order, strict=True):
        assert index.share == pytest.approx(other, abs=0.03)


def test_a_straight_line_has_the_squares_of_its_slopes():
    # closed form: slope squared over the sum of squares, for inputs of equal variance: 9, 4, 1, 0 of 14
    slopes = np.array([3.0, -2.0, 1.0, 0.0])
    x = by_strata(np.random.default_rng(4), 4, DRAWS)
    for index, slope in zip(indices(lambda z: slopes @ z, x), slopes, strict=True):
        assert index.share == pytest.approx(slope**2 / 14.0, abs=3 * index.error + 1e-3)


def test_a_yes_or_no_has_its_own_share():
    # closed form: y = 2 b + u with P(b) = 0.3 has 4 * 0.21 against 1/12 of variance, 0.84 / 0.9233
    generator = np.random.default_rng(5)
    b, u = (generator.random(DRAWS) < 0.3).astype(float), generator.random(DRAWS)
    index = first_order(b, 2 * b + u)
    assert index.groups == 2
    assert index.share == pytest.approx(0.84 / (0.84 + 1 / 12), abs=4 * index.error)


def test_few_draws_are_unbiased_for_idle_inputs_and_told_with_their_error():
    # an idle input has 0: without the correction, 4 groups of 64 draws would show 3/63 on the average
    generator = np.random.default_rng(6)
    got = [first_order(generator.random(64), generator.normal(size=64)).share for _ in range(600)]
    assert np.mean(got) == pytest.approx(0.0, abs=4 * np.std(got) / math.sqrt(600))
    assert np.mean(got) < 3 / 63 / 2


@pytest.mark.parametrize("draws", [64, 256])
def test_the_standard_error_is_the_scatter_over_tables(draws):
    generator = np.random.default_rng(9)
    x = [generator.normal(size=(3, draws)) for _ in range(300)]
    got = [first_order(one[0], one[0] + 0.7 * one[1] + 0.3 * one[2]) for one in x]
    # the scatter of 300 tables is itself known to one in 24; leaving-one-out errs to the careful side
    assert np.mean([i.error for i in got]) == pytest.approx(np.std([i.share for i in got]), rel=0.25)


@pytest.mark.parametrize(("draws", "compared"), [(64, 20), (256, 40)])
def test_one_table_in_twenty_shows_an_idle_input_above_the_level_of_chance(draws, compared):
    generator = np.random.default_rng(10)
    tables = 300
    above = 0
    for _ in range(tables):
        y = generator.normal(size=draws)
        got = [first_order(generator.random(draws), y) for _ in range(compared)]
        above += max(i.share for i in got) > level_of_chance(got[0], compared)
    # binomial error of 300 tables at 5 %: 1.3 %
    assert above / tables == pytest.approx(0.05, abs=0.04)


def test_the_level_rests_on_the_chi_squared_distribution():
    # scipy's own quantile in place of the cube root of Wilson and Hilferty
    generator = np.random.default_rng(11)
    index = first_order(generator.random(256), generator.normal(size=256))
    squares = chi2.ppf(0.95 ** (1 / 100), index.groups - 1) / 255
    exact = 1 - (1 - squares) * 255 / (256 - index.groups)
    assert level_of_chance(index, 100) == pytest.approx(exact, abs=2e-3)


def test_fewer_values_than_draws_raise_the_level():
    generator = np.random.default_rng(12)
    pool, y = generator.random(40), generator.normal(size=400)
    pooled, own = first_order(pool[generator.integers(0, 40, 400)], y), first_order(generator.random(400), y)
    assert pooled.values <= 40
    assert level_of_chance(pooled, 50) > 3 * level_of_chance(own, 50)


def test_what_says_nothing_has_no_index():
    x = np.linspace(0, 1, 100)
    assert first_order(x, np.ones(100)) is None
    assert first_order(np.ones(100), x) is None
    assert first_order(x[:20], x[:20]) is None
    assert first_order(x, np.full(100, np.nan)) is None


def test_groups_grow_with_the_draws():
    # by hand: half the square root, at least 4 and at most 64
    assert [groups_for(n) for n in (40, 64, 256, 1024, 10**6)] == [4, 4, 8, 16, 64]
