"""What control makes of boost: by hand, each case of it."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.airflow import boost_control
from enginelimits.physics.airflow.atmosphere import standard_pressure


def test_absolute_control_keeps_manifold_pressure_up_a_mountain():
    # ISO 2533: 101 325 Pa at sea level, 84 556 Pa at 1500 m
    asked = boost_control.boost_asked_absolute(60e3, standard_pressure(1500.0), standard_pressure(0.0))
    assert asked == pytest.approx(60e3 + 101325.0 - 84556.0, abs=1.0)
    assert asked + standard_pressure(1500.0) == pytest.approx(161325.0)


def test_absolute_control_where_it_was_set_and_below_it():
    assert boost_control.boost_asked_absolute(60e3, 95e3, 95e3) == 60e3
    assert boost_control.boost_asked_absolute(60e3, 101e3, 95e3) == 54e3
    # a part of the curve that asks for less than the difference, and one that asks for none
    assert boost_control.boost_asked_absolute(np.array([4e3, 0.0]), 101e3, 95e3).tolist() == [0.0, 0.0]
    assert boost_control.boost_asked_absolute(0.0, 80e3, 101e3) == 0.0


def test_control_cannot_go_below_the_spring():
    assert boost_control.boost_above_spring(np.array([20e3, 48e3, 70e3]), 48e3).tolist() == [48e3, 48e3, 70e3]


def test_spring_alone():
    available, least = np.array([20e3, 150e3, 350e3]), np.array([1e3, 15e3, 60e3])
    assert boost_control.spring_boost(48e3, available, least).tolist() == [20e3, 48e3, 60e3]


def test_overshoot_needs_turbine_to_spare():
    got = boost_control.boost_overshoot(8e3, np.array([30e3, 69e3, 69e3, 69e3]), np.array([30e3, 70e3, 120e3, 60e3]))
    assert got.tolist() == [0.0, 1e3, 8e3, 0.0]
