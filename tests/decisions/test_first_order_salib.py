"""The first-order index against a library for sensitivity analysis, on the very same draws.

SALib (Herman and Usher 2017) reads indices off given draws too: by the spread of conditional distributions (Borgonovo
2007, Plischke, Borgonovo and Smith 2013), and by Fourier series after the draws were put in order (Tarantola, Gatelli
and Mara 2006).
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest

from enginelimits.assessment.sample import placed_by_strata, placed_together
from enginelimits.decisions.first_order import first_order

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its own imports warn; what it computes is told as any other
    delta = pytest.importorskip("SALib.analyze.delta")
    rbd_fast = pytest.importorskip("SALib.analyze.rbd_fast")

DRAWS = 4096


def problem(inputs):
    return {"num_vars": inputs, "names": [f"x{n}" for n in range(inputs)], "bounds": [[0.0, 1.0]] * inputs}


def draws(inputs, seed=1):
    return np.array([placed_by_strata(f"x{n}", DRAWS, seed) for n in range(inputs)])


def ishigami(u):
    x = np.pi * (2.0 * u - 1.0)
    return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


def products(u):
    """Sobol's g-function with a = 0, 1, 4.5, 9: indices 0.593, 0.148, 0.0196, 0.0059 of the whole (closed form)."""
    a = np.array([0.0, 1.0, 4.5, 9.0])[:, None]
    return np.prod((np.abs(4.0 * u - 2.0) + a) / (1.0 + a), axis=0)


def margin(u):
    """Of the kind met here: a use, a ratio of two products, with a step where a limit speed is passed."""
    return (1.0 + 0.3 * u[0]) * (1.0 + 0.1 * u[1]) / (0.8 + 0.4 * u[2]) + 0.1 * (u[3] > 0.8)


def test_the_closed_form_of_the_products_comes_out():
    # a first-order variance of 1/3/(1 + a)^2 each; the whole is the product of (1 + each) less one
    parts = (1.0 / 3.0) / (1.0 + np.array([0.0, 1.0, 4.5, 9.0])) ** 2
    expected = parts / (np.prod(1.0 + parts) - 1.0)
    u = draws(4)
    for one, index in zip(expected, (first_order(x, products(u)) for x in u), strict=True):
        assert index.share == pytest.approx(one, abs=3 * index.error + 5e-3)


@pytest.mark.parametrize(("function", "inputs"), [(ishigami, 3), (products, 4), (margin, 4)])
def test_its_estimator_by_series_agrees_on_the_same_draws(function, inputs):
    u = draws(inputs)
    made = function(u)
    ours = np.array([first_order(x, made).share for x in u])
    by_series = rbd_fast.analyze(problem(inputs), u.T, made, M=10, seed=1)["S1"]
    assert ours == pytest.approx(np.array(by_series), abs=0.03)


@pytest.mark.slow
def test_its_estimator_by_parts_agrees_on_the_same_draws():
    u = draws(4)
    ours = np.array([first_order(x, margin(u)).share for x in u])
    by_parts = delta.analyze(problem(4), u.T, margin(u), num_resamples=2, seed=1)["S1"]
    assert ours == pytest.approx(np.array(by_parts), abs=0.03)


def test_draws_that_go_together_have_the_index_of_all_that_they_carry():
    """Of y = x + z with correlation r each input tells of the other: the index is (1 + r)^2 / (2 + 2 r), here 0.8."""
    r = 0.6
    z = placed_by_strata("z", DRAWS, 1)
    x = placed_together("x", (("z", r), ("x", math.sqrt(1.0 - r * r))), DRAWS, 1)
    from scipy import stats

    deviates = stats.norm.ppf(np.array([x, z]))
    index = first_order(x, deviates.sum(axis=0))
    assert index.share == pytest.approx((1.0 + r) ** 2 / (2.0 + 2.0 * r), abs=3 * index.error + 5e-3)
    theirs = rbd_fast.analyze(problem(2), np.array([x, z]).T, deviates.sum(axis=0), M=10, seed=1)["S1"]
    assert index.share == pytest.approx(theirs[0], abs=0.03)
