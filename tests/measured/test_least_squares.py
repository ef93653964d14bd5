"""Least squares with priors against closed forms, numpy and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import optimize

from enginelimits.description.knots import knot_weights
from enginelimits.measured.least_squares import solved

RANDOM = np.random.default_rng(11)
DESIGN = RANDOM.standard_normal((12, 3))
TRUTH = np.array([1.0, -2.0, 0.5])
NOISE = np.diag(RANDOM.uniform(0.5, 2.0, 12) ** 2)
MEASURED = DESIGN @ TRUTH + np.sqrt(np.diag(NOISE)) * RANDOM.standard_normal(12)
PRIOR, PRIOR_COVARIANCE = np.array([0.5, -1.0, 0.0]), np.diag([1.0, 4.0, 0.25])


def line(rows):
    return rows @ DESIGN.T


def test_a_straight_line_is_that_of_numpy_with_the_prior_as_rows():
    found = solved(line, MEASURED, NOISE, PRIOR, PRIOR_COVARIANCE)
    sigma, prior_sigma = np.sqrt(np.diag(NOISE)), np.sqrt(np.diag(PRIOR_COVARIANCE))
    rows = np.vstack([DESIGN / sigma[:, None], np.diag(1.0 / prior_sigma)])
    right = np.concatenate([MEASURED / sigma, PRIOR / prior_sigma])
    expected, *_ = np.linalg.lstsq(rows, right, rcond=None)
    assert found.parameters == pytest.approx(expected, rel=1e-8)
    assert found.covariance == pytest.approx(np.linalg.inv(rows.T @ rows), rel=1e-7)
    assert found.settled


def test_correlated_noise_is_that_of_generalised_least_squares():
    noise = 0.3 * np.ones((12, 12)) + np.diag(np.full(12, 0.7))
    found = solved(line, MEASURED, noise, PRIOR, PRIOR_COVARIANCE)
    weight, prior_weight = np.linalg.inv(noise), np.linalg.inv(PRIOR_COVARIANCE)
    covariance = np.linalg.inv(DESIGN.T @ weight @ DESIGN + prior_weight)
    assert found.covariance == pytest.approx(covariance, rel=1e-7)
    expected = covariance @ (DESIGN.T @ weight @ MEASURED + prior_weight @ PRIOR)
    assert found.parameters == pytest.approx(expected, rel=1e-8)


def test_a_parameter_that_nothing_was_measured_of_keeps_its_prior():
    design = np.column_stack([DESIGN[:, :2], np.zeros(12)])
    found = solved(lambda rows: rows @ design.T, MEASURED, NOISE, PRIOR, PRIOR_COVARIANCE)
    assert found.parameters[2] == pytest.approx(PRIOR[2])
    assert found.covariance[2, 2] == pytest.approx(PRIOR_COVARIANCE[2, 2])


def bent(rows):
    x = np.linspace(0.0, 3.0, 20)
    return rows[:, :1] * np.exp(-rows[:, 1:2] * x) + 0.1 * rows[:, :1] ** 2


def test_a_bent_model_ends_where_scipy_ends():
    truth = np.array([2.0, 0.8])
    measured = bent(truth[None])[0] + 0.02 * np.random.default_rng(3).standard_normal(20)
    noise, prior, covariance = 0.02**2 * np.eye(20), np.array([1.0, 0.3]), np.diag([0.5, 0.25]) ** 2

    def left(p):
        return np.concatenate([(measured - bent(p[None])[0]) / 0.02, (p - prior) / [0.5, 0.25]])

    of_scipy = optimize.least_squares(left, prior, xtol=1e-12, ftol=1e-12)
    found = solved(bent, measured, noise, prior, covariance)
    errors = np.sqrt(np.diag(np.linalg.inv(of_scipy.jac.T @ of_scipy.jac)))
    assert np.abs(found.parameters - of_scipy.x).max() < 0.01 * errors.min()
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(errors, rel=0.02)


def test_bounds_hold():
    low, high = np.array([0.0, -1.2, -9.0]), np.full(3, 9.0)
    found = solved(line, MEASURED, NOISE, PRIOR, PRIOR_COVARIANCE, low=low, high=high)
    assert found.parameters[1] >= -1.2


def test_what_is_considered_stays_and_its_doubt_is_in_the_others():
    # 800 worlds in which the third parameter is not what it was taken to be: the scatter of what is found is the
    # covariance that was told, within the 15 % that three sigma of a variance of 800 draws allow
    random = np.random.default_rng(7)
    prior_covariance = np.diag([100.0, 100.0, 0.25])
    errors = []
    for _ in range(800):
        truth = TRUTH + np.array([0.0, 0.0, 0.5 * random.standard_normal()])
        measured = DESIGN @ truth + np.sqrt(np.diag(NOISE)) * random.standard_normal(12)
        found = solved(line, measured, NOISE, TRUTH, prior_covariance, considered=(2,))
        assert found.parameters[2] == TRUTH[2]
        errors.append(found.parameters - truth)
    scatter = np.cov(np.array(errors).T)
    scale = np.sqrt(np.outer(np.diag(found.covariance), np.diag(found.covariance)))
    assert np.abs((scatter - found.covariance) / scale).max() < 0.15
    alone = solved(line, measured, NOISE, TRUTH, np.diag([100.0, 100.0, 1e-12]), considered=(2,))
    assert found.covariance[0, 0] > alone.covariance[0, 0]


def test_more_noise_never_narrows():
    widths = [np.diag(solved(line, MEASURED, s * NOISE, PRIOR, PRIOR_COVARIANCE).covariance) for s in (0.1, 1.0, 10.0)]
    assert (widths[0] < widths[1]).all() and (widths[1] < widths[2]).all()
    assert (widths[2] < np.diag(PRIOR_COVARIANCE)).all()


def test_the_curve_through_knots_by_hand():
    # Cubic Hermite: through its knots, constant beyond them, level at the ends, a straight line in the middle of one
    knots = [1.0, 2.0, 3.0, 4.0]
    assert knot_weights(knots, knots) == pytest.approx(np.eye(4))
    straight = knot_weights(knots, [2.25, 2.5, 2.75]) @ np.array([10.0, 20.0, 30.0, 40.0])
    assert straight == pytest.approx([22.5, 25.0, 27.5])
    assert knot_weights(knots, [0.0, 9.0]) @ np.arange(4.0) == pytest.approx([0.0, 3.0])
    assert knot_weights(knots, np.linspace(0.0, 5.0, 41)).sum(axis=1) == pytest.approx(np.ones(41))
    near = knot_weights(knots, [1.0, 1.0 + 1e-4])[:, 1]
    assert (near[1] - near[0]) / 1e-4 == pytest.approx(0.0, abs=1e-3)
