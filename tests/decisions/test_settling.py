"""How sure a batch of draws is, against closed forms and batches drawn anew, and how many draws settle it."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from enginelimits.assessment.sample import normal_by_strata
from enginelimits.decisions.grading import share_error
from enginelimits.decisions.settling import end_errors, settled


def test_the_error_of_a_share_is_binomial():
    # sqrt(0.1 * 0.9 / 64) = 0.0375
    assert share_error(0.1, 64) == pytest.approx(0.0375)
    assert share_error(0.1, 64) == pytest.approx(stats.binom(64, 0.1).std() / 64)


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_none_of_the_draws_is_not_known_without_error(share):
    # one more draw could be otherwise: about one in the count, never nil
    assert 0.5 / 64 < share_error(share, 64) < 2 / 64


def test_the_error_of_an_end_is_that_of_an_order_statistic():
    # Asymptotic standard error of a quantile, sqrt(p (1 - p) / n) / density (Stuart and Ord, from memory):
    # for a standard normal at five in a hundred sqrt(0.0475 / 4000) / 0.1031 = 0.0334.
    drawn = np.random.default_rng(1).standard_normal(4000)
    exact = math.sqrt(0.05 * 0.95 / 4000) / stats.norm.pdf(stats.norm.ppf(0.05))
    assert end_errors(drawn) == pytest.approx((exact, exact), rel=0.25)


def test_the_error_told_is_about_that_of_batches_drawn_anew():
    ends, told = [], []
    for seed in range(300):
        drawn = np.random.default_rng(seed).standard_normal(64)
        ends.append(np.percentile(drawn, 5))
        told.append(end_errors(drawn)[0])
    assert np.mean(told) == pytest.approx(np.std(ends), rel=0.35)


def test_draws_by_strata_are_no_worse_than_told():
    # A share of a sum of two inputs, each by strata, over seeds: its scatter stays below the binomial error.
    shares = [float((normal_by_strata("a", 64, s) + normal_by_strata("b", 64, s) > 1.0).mean()) for s in range(300)]
    assert np.std(shares) < share_error(stats.norm.sf(1.0 / math.sqrt(2.0)), 64)


def test_too_few_draws_tell_nothing_of_their_ends():
    assert end_errors(np.array([1.0])) == (None, None)


class Bench:
    """Judges a build whose one finding has a known chance."""

    def __init__(self, chance: float) -> None:
        self.chance, self.asked = chance, []

    def judged(self, edits=(), *, samples):
        self.asked.append(samples)
        share = round(self.chance * samples) / samples
        borderline = abs(share - 0.1) <= 2 * math.sqrt(0.09 / samples)
        finding = SimpleNamespace(rule="A", chances={"clear": 1 - share, "note": share}, borderline=borderline,
                                  chance_error=share_error(share, samples))
        assessment = SimpleNamespace(columns={}, quantities={})
        return SimpleNamespace(findings=(finding,), samples_valid=samples, assessment=assessment)


def test_draws_are_doubled_until_the_chance_is_settled():
    # sqrt(0.25 / n) <= 0.03 from n = 278 on, so 512 of the doubled counts.
    bench = Bench(0.5)
    found = settled(bench)
    assert bench.asked == [64, 128, 256, 512] and found.settled
    assert found.tried[-1][1] == pytest.approx(math.sqrt(0.25 / 512))
    assert found.moved == 0.0


def test_a_chance_at_the_edge_of_what_counts_stays_open():
    bench = Bench(0.1)
    found = settled(bench, most=512)
    assert bench.asked == [64, 128, 256, 512] and not found.settled


def test_a_sure_chance_needs_no_more_than_the_fewest():
    found = settled(Bench(1.0))
    assert found.settled and len(found.tried) == 1 and found.moved is None
