"""How films and oils behave: more load, heat or clearance never thickens a film, and no step lies in the table."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enginelimits.physics.components import bearing, film, oil_viscosity
from enginelimits.physics.numerics.periodic import at_even_steps
from enginelimits.physics.numerics.validity import outside

RPM = math.pi / 30.0
more = st.floats(1.0, 2.0)


def film_of(viscosity, speed, diameter, width, clearance, force):
    load = bearing.specific_load(force, diameter, width)
    sommerfeld = film.sommerfeld_number(viscosity, speed, diameter, clearance, load)
    assert not np.any(outside(film.film_ratio, {"sommerfeld_number": sommerfeld}))
    return float(film.smallest_film(sommerfeld, diameter, width, clearance))


@settings(max_examples=100, deadline=None)
@given(
    viscosity=st.floats(0.003, 0.012), rpm=st.floats(1500.0, 4000.0), force=st.floats(10e3, 40e3),
    width=st.floats(0.35, 0.9), clearance=st.floats(25e-6, 60e-6), a=more,
)  # fmt: skip
def test_a_harder_duty_never_thickens_the_film(viscosity, rpm, force, width, clearance, a):
    diameter = 0.048
    base = film_of(viscosity, rpm * RPM, diameter, width * diameter, clearance, force)
    least = base * (1 - 1e-9)
    assert 0.0 < base < clearance / 2
    assert film_of(viscosity * a, rpm * RPM, diameter, width * diameter, clearance, force) >= least
    assert film_of(viscosity, rpm * a * RPM, diameter, width * diameter, clearance, force) >= least
    assert film_of(viscosity, rpm * RPM, diameter, width * diameter, clearance, force / a) >= least


def test_wide_clearance_thins_a_hard_loaded_film():
    """At high eccentricity the film falls with clearance: the camp of close clearances and thin oil has this right."""
    films = [film_of(0.0055, 2500 * RPM, 0.045, 0.0185, c, 35e3) for c in (30e-6, 40e-6, 55e-6, 75e-6)]
    assert films == sorted(films, reverse=True)


def test_film_over_load_has_no_step():
    numbers = np.geomspace(1e-4, 5.0, 4001)
    for ratio in (0.2, 0.37, 0.4, 0.5, 0.77, 1.0):
        logit = np.log(film.film_ratio(numbers, ratio))
        assert (np.diff(logit) > 0).all()
        slope = np.diff(logit) / np.diff(np.log(numbers))
        assert np.abs(np.diff(slope)).max() < 0.02


def test_film_broadcasts_over_samples_and_speeds():
    numbers = np.geomspace(1e-3, 1.0, 6).reshape(1, 1, 6)
    ratios = np.array([0.3, 0.4, 0.5]).reshape(1, 3, 1)
    whole = film.film_ratio(numbers, ratios)
    assert whole.shape == (1, 3, 6)
    assert whole[0, 1, 2] == film.film_ratio(numbers[0, 0, 2], 0.4)
    assert np.isnan(film.film_ratio(np.nan, 0.4))


@settings(max_examples=60, deadline=None)
@given(
    hot=st.floats(5.0, 25.0), index=st.floats(101.0, 220.0), celsius=st.floats(60.0, 160.0), step=st.floats(1.0, 30.0)
)  # fmt: skip
def test_oil_thins_with_heat(hot, index, celsius, step):
    cold = oil_viscosity.viscosity_at_40(hot * 1e-6, index)
    assert cold > hot * 1e-6

    def at(temperature):
        return oil_viscosity.film_viscosity(cold, hot * 1e-6, temperature + 273.15, 855.0, 7e-4, 3e-3)

    assert at(celsius + step) < at(celsius)


def test_the_line_goes_through_both_temperatures():
    assert oil_viscosity.kinematic_viscosity(90e-6, 14e-6, 313.15) == pytest.approx(90e-6)
    assert oil_viscosity.kinematic_viscosity(90e-6, 14e-6, 373.15) == pytest.approx(14e-6)


def test_lining_is_rated_at_120_degrees_and_loses_with_heat():
    assert bearing.lining_strength(48e6, 0.002, 393.15) == 48e6
    assert bearing.lining_strength(48e6, 0.002, 403.15) == pytest.approx(0.98 * 48e6)


def test_even_steps_of_a_period_keep_its_mean():
    # exact for straight pieces whose nodes are steps
    nodes = np.array([0.0, 0.25, 0.5, 1.0])
    values = np.array([1.0, 3.0, 2.0, 1.0])
    even = at_even_steps(values, nodes, 400)
    assert even.mean() == pytest.approx(0.25 * 2.0 + 0.25 * 2.5 + 0.5 * 1.5)
