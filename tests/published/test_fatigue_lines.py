"""Fatigue criteria and Marin factors against Shigley, in both editions that differ."""

from __future__ import annotations

import math

import pytest

from enginelimits.physics.components import fatigue

STRESSES = (200e6, 50e6)


def test_goodman_gerber_and_ellipse():
    # Amplitude 200, mean 50, Se 320, Sut 1000, Sy 700 MPa, by the lines of Shigley, ch. 6, worked by hand.
    assert fatigue.goodman_margin(*STRESSES, 320e6, 1000e6) == pytest.approx(1.4815, abs=5e-5)
    assert fatigue.gerber_margin(*STRESSES, 320e6, 1000e6) == pytest.approx(1.5899, abs=5e-5)
    assert fatigue.elliptic_margin(*STRESSES, 320e6, 700e6) == pytest.approx(1.5897, abs=5e-5)
    assert fatigue.yield_margin(*STRESSES, 700e6) == pytest.approx(2.80, abs=0.005)


def test_gerber_as_the_book_prints_it():
    # Shigley, ch. 6: n = 1/2 (Sut/sm)^2 (sa/Se) (-1 + sqrt(1 + (2 sm Se / (Sut sa))^2)), written out.
    sa, sm, se, sut = 180.0, 240.0, 310.0, 900.0
    printed = 0.5 * (sut / sm) ** 2 * (sa / se) * (-1 + math.sqrt(1 + (2 * sm * se / (sut * sa)) ** 2))
    assert fatigue.gerber_margin(sa * 1e6, sm * 1e6, se * 1e6, sut * 1e6) == pytest.approx(printed, rel=1e-12)


@pytest.mark.parametrize(
    ("edition", "finish", "ultimate_mpa", "factor", "tolerance"),
    [
        # Shigley to the 10th edition, table 6-2, printed check values.
        ("shigley-2015", "ground", 520, 0.929, 5e-4),
        ("shigley-2015", "as-forged", 520, 0.540, 5e-4),
        # The same by hand where no print was at hand.
        ("shigley-2015", "as-forged", 1000, 0.282, 1e-3),
        ("shigley-2015", "machined", 1000, 0.723, 5e-4),
        # 11th edition, table 6-2: 0.2921 as shown on an equation-solver page; constants from memory.
        ("shigley-2020", "as-forged", 1000, 0.2921, 5e-4),
        ("shigley-2020", "as-forged", 520, 0.480, 1e-3),
        ("shigley-2020", "machined", 1000, 0.679, 5e-4),
    ],
)
def test_marin_surface_factor(edition, finish, ultimate_mpa, factor, tolerance):
    got = fatigue.surface_factor(ultimate_mpa * 1e6, *fatigue.MARIN_SURFACE[edition][finish])
    assert got == pytest.approx(factor, abs=tolerance)


@pytest.mark.parametrize("edition", fatigue.MARIN_SURFACE)
def test_no_finish_is_better_than_polished(edition):
    # What the factor is: a share of the polished bar's strength (Shigley, ch. 6); below 300 MPa the fits exceed one
    low, high = fatigue.surface_factor.valid["ultimate_strength_pa"]
    for finish in fatigue.MARIN_SURFACE[edition].values():
        assert 0.0 < fatigue.surface_factor(high, *finish) < fatigue.surface_factor(low, *finish) < 1.0
    assert fatigue.surface_factor(200e6, *fatigue.MARIN_SURFACE["shigley-2015"]["machined"]) > 1.1


def test_shigley_6_16():
    # Shigley, ex. 6-16, stochastic table: machined 4.45, -0.265, Sut 520 MPa: 0.848.
    assert fatigue.surface_factor(520e6, 4.45, -0.265) == pytest.approx(0.848, abs=5e-4)


@pytest.mark.parametrize(
    ("diameter_mm", "factor"),
    # Shigley, eq. 6-20: 1.24 d^-0.107 up to 51 mm, 1.51 d^-0.157 beyond, by hand; 32 mm: 0.858 (printed, from memory).
    # The book's other form of the first, (d / 7.62)^-0.107, gives 0.002 more: 1.24 is rounded.
    [(7.62, 1.0), (10.0, 0.969), (32.0, 0.858), (50.0, 0.816), (100.0, 0.733)],
)
def test_size_factor(diameter_mm, factor):
    assert fatigue.size_factor(diameter_mm / 1e3) == pytest.approx(factor, abs=2.5e-3)


def test_the_edition_in_use_is_one_of_both_and_differs_where_it_is_used():
    # Machined, 1000 MPa: 0.723 to the 10th edition, 0.679 in the 11th (by hand from table 6-2).
    in_use = fatigue.MARIN_SURFACE[fatigue.SURFACE_EDITION][fatigue.SHANK_FINISH]
    assert fatigue.SURFACE_EDITION in fatigue.MARIN_SURFACE
    assert fatigue.surface_factor(1000e6, *in_use) == pytest.approx(0.679, abs=5e-4)


def test_strength_of_a_shank_by_the_handbook():
    # Shigley, 11th edition, ch. 6: 0.5 x 1000 MPa x 0.679 x 0.85 (axial) = 288.6 MPa; above 1400 MPa the polished bar
    # stays at 700 MPa: 1979 MPa, machined 0.5855, 0.85: 348 MPa.  By hand.
    assert fatigue.shank_strength_by_handbook(1000e6) / 1e6 == pytest.approx(288.6, abs=0.3)
    assert fatigue.shank_strength_by_handbook(1979e6) / 1e6 == pytest.approx(348.4, abs=0.5)


def test_reliability_and_size_multiply():
    # By hand: 0.5 x 800 x 0.72 x 0.814 x 0.858 = 201.1 MPa.
    got = fatigue.part_fatigue_strength(800e6, 0.72, 1.0, fatigue.RELIABILITY_FACTORS[0.99], 1.0, 0.858)
    assert got / 1e6 == pytest.approx(201.1, abs=0.1)


def test_load_and_reliability_factors():
    # Shigley, ch. 6: axial 0.85, torsion 0.59; 90 % 0.897, 99 % 0.814, 99.9 % 0.753, from 1 - 0.08 z.
    assert (fatigue.LOAD_FACTORS["axial"], fatigue.LOAD_FACTORS["torsion"]) == (0.85, 0.59)
    # Standard normal quantiles to three digits, any statistics table.
    for share, quantile in ((0.90, 1.282), (0.95, 1.645), (0.99, 2.326), (0.999, 3.090)):
        assert fatigue.RELIABILITY_FACTORS[share] == pytest.approx(1.0 - 0.08 * quantile, abs=6e-4)


def test_bhandari_endurance_of_a_notched_bolt():
    # Bhandari, Design of Machine Elements, ex. 7.20: Sut 600 MPa, Kf 3, 90 %: 89.7 MPa.
    got = fatigue.part_fatigue_strength(600e6, 1.0, 1.0, fatigue.RELIABILITY_FACTORS[0.90], 3.0)
    assert got / 1e6 == pytest.approx(89.7, abs=0.05)


def test_compressive_mean_earns_nothing():
    # A choice of this project, on the side of caution: three criteria give Se over amplitude.
    for margin in (fatigue.goodman_margin, fatigue.gerber_margin, fatigue.elliptic_margin):
        assert margin(200e6, -300e6, 320e6, 900e6) == pytest.approx(1.6)
