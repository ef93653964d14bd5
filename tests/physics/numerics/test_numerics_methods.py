"""Integration, roots and interpolation against exact answers and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import CubicHermiteSpline
from scipy.optimize import brentq
from scipy.special import ndtri, roots_legendre

from enginelimits.physics.numerics.integration import hermite_integral, integral_between
from enginelimits.physics.numerics.interpolation import hermite, linear, peak_share, smooth_step
from enginelimits.physics.numerics.normal import normal_quantile
from enginelimits.physics.numerics.roots import bracketed_root


def test_gauss_integral_against_quad() -> None:
    low, high = np.array([0.0, 1.0]), np.array([2.0, 2.5])
    ours = integral_between(lambda x: np.sin(x) * np.exp(x), low, high)
    theirs = [quad(lambda x: np.sin(x) * np.exp(x), a, b)[0] for a, b in zip(low, high, strict=True)]
    assert ours == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("points", [5, 10])
def test_gauss_points_are_those_of_scipy_and_integrate_what_they_should(points: int) -> None:
    # n points are exact up to degree 2 n - 1 (Abramowitz and Stegun 1964, 25.4.29)
    seen: list[np.ndarray] = []

    def power(x: np.ndarray) -> np.ndarray:
        seen.append(x)
        return x ** (2 * points - 1) + x ** (2 * points - 2)

    assert float(integral_between(power, -1.0, 1.0, points)) == pytest.approx(2.0 / (2 * points - 1), rel=1e-13)
    assert seen[0] == pytest.approx(roots_legendre(points)[0], abs=1e-15)


def test_hermite_integral_converges_with_fourth_order() -> None:
    errors = []
    for n in (10, 20, 40):
        x = np.linspace(0.0, 2.0, n + 1)
        errors.append(abs(hermite_integral(np.exp(x), np.exp(x), np.diff(x)) - (np.e**2 - 1.0)))
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert np.all(orders > 3.8), orders


def test_hermite_against_scipy() -> None:
    x = np.array([0.0, 0.7, 2.0])
    spline = CubicHermiteSpline(x, np.sin(x), np.cos(x))
    at = 1.3
    ours = hermite((at - 0.7) / 1.3, 1.3, np.sin(0.7), np.sin(2.0), np.cos(0.7), np.cos(2.0))
    assert ours == pytest.approx(float(spline(at)), rel=1e-13)


@pytest.mark.parametrize("edges", [(1.2, 1.9), (1.0, 1.7), (1.3, 2.0), (1.5, 2.0)])
def test_peak_of_a_sine_is_found(edges: tuple[float, float]) -> None:
    low, high = edges
    share = peak_share(np.sin(low), np.sin(high), high - low, np.cos(low), np.cos(high))
    assert low + share * (high - low) == pytest.approx(np.pi / 2, abs=0.003)


def test_peak_of_a_parabola_is_exact_and_a_slope_has_its_peak_at_an_end() -> None:
    f, d = (lambda x: 3.0 - (x - 0.3) ** 2), (lambda x: -2.0 * (x - 0.3))
    assert float(peak_share(f(0.0), f(1.0), 1.0, d(0.0), d(1.0))) == pytest.approx(0.3, abs=1e-12)
    assert float(peak_share(0.0, 1.0, 1.0, 1.0, 1.0)) == 1.0
    assert float(peak_share(1.0, 0.0, 1.0, -1.0, -1.0)) == 0.0


def test_linear_interpolation_against_numpy() -> None:
    nodes, values = np.array([0.0, 1.0, 4.0]), np.array([2.0, -1.0, 5.0])
    x = np.linspace(-1.0, 5.0, 41)
    assert linear(x, nodes, values) == pytest.approx(np.interp(x, nodes, values), rel=1e-14)


def test_linear_interpolation_takes_a_table_a_lane() -> None:
    nodes, tables = np.array([0.0, 1.0]), np.array([[0.0, 1.0], [10.0, 30.0]])
    assert linear(np.array([0.25, 0.75]), nodes, tables).tolist() == [0.25, 25.0]


def test_smooth_step_never_falls_and_is_level_at_its_ends() -> None:
    s = smooth_step(np.linspace(-0.5, 1.5, 401))
    assert np.all(np.diff(s) >= 0.0)
    assert smooth_step(1e-4) < 1e-7
    assert smooth_step(1.0 - 1e-4) > 1.0 - 1e-7


def test_roots_against_brentq_a_lane_each() -> None:
    target = np.linspace(0.2, 40.0, 50)
    found = bracketed_root(lambda x: x * np.exp(x) - target, 0.0, 5.0, tolerance=1e-13)
    theirs = [brentq(lambda x, t=t: x * np.exp(x) - t, 0.0, 5.0, xtol=1e-14) for t in target]
    assert found.root == pytest.approx(theirs, abs=1e-11)
    assert found.calls < 25


def test_roots_stay_in_a_nasty_bracket() -> None:
    found = bracketed_root(lambda x: np.tanh(200.0 * (x - 0.987)), np.zeros(3), np.ones(3), tolerance=1e-12)
    assert found.root == pytest.approx([0.987] * 3, abs=1e-10)


def test_no_change_of_sign_gives_nan_in_that_lane_alone() -> None:
    offset = np.array([1.0, -1.0, np.nan])
    found = bracketed_root(lambda x: x * x + offset, 0.0, 3.0)
    assert np.isnan(found.root[[0, 2]]).all()
    assert found.root[1] == pytest.approx(1.0, abs=1e-9)


def test_normal_quantile_against_scipy_and_the_printed_points() -> None:
    share = np.concatenate([np.logspace(-300, -1, 400), np.linspace(0.1, 0.9, 801), 1.0 - np.logspace(-15, -1, 200)])
    assert normal_quantile(share) == pytest.approx(ndtri(share), rel=2e-15 * 50, abs=1e-14)
    # Wichura 1988 gives these as checks, from memory
    assert normal_quantile(np.array([0.25, 0.001, 1e-20])) == pytest.approx(
        [-0.6744897501960817, -3.090232306167814, -9.262340089798408], rel=1e-14
    )
