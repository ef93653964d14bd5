"""Grip in a launch against a balance of forces solved apart, and what no shock may pass."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.support import launch

frictions = st.floats(0.3, 2.0)
masses = st.floats(600.0, 2500.0)
shares = st.floats(0.35, 0.65)
heights = st.floats(0.1, 0.25)
G = 9.80665


def balanced(friction, mass, share, height, axle):
    """Pull of one driven axle on its limit, from force and moment balance about the other axle (wheelbase 1).

    Unknowns: load of the front, load of the rear, acceleration.
    """
    front, rear = (1.0 - share, share) if axle == "rear" else (share, 1.0 - share)
    loads = [[1.0, 0.0, mass * height], [0.0, 1.0, -mass * height]]
    pull = [0.0, friction, -mass] if axle == "rear" else [friction, 0.0, -mass]
    found = np.linalg.solve(np.array([*loads, pull]), [front * mass * G, rear * mass * G, 0.0])
    return mass * found[2]


@given(frictions, masses, shares, heights)
def test_grip_of_either_axle_balances(friction, mass, share, height):
    for axle, function in (("rear", launch.rear_grip_torque), ("front", launch.front_grip_torque)):
        torque = function(friction, mass, share, height, 0.3)
        assert torque / 0.3 == pytest.approx(balanced(friction, mass, share, height, axle), rel=1e-9)


@given(frictions, masses, shares, heights)
def test_rear_drive_gains_and_front_drive_loses_by_the_launch(friction, mass, share, height):
    standing = friction * share * mass * G * 0.3
    assert launch.front_grip_torque(friction, mass, share, height, 0.3) < standing
    assert launch.rear_grip_torque(friction, mass, share, height, 0.3) > standing


@given(frictions, masses)
def test_four_driven_tyres_pull_with_the_whole_weight(friction, mass):
    # No axle can be loaded with more than the weight: whatever the share, both together take mu m g.
    whole = launch.all_wheel_grip_torque(friction, mass, 0.3)
    assert whole == pytest.approx(friction * mass * G * 0.3, rel=1e-12)
    assert launch.front_grip_torque(friction, mass, 0.6, 0.2, 0.3) < whole


@given(st.floats(50.0, 800.0), st.floats(1.0, 2.5), st.floats(50.0, 900.0), st.floats(1.0, 2.0))
def test_stronger_clutch_never_eases_a_shock_and_no_shock_passes_it(torque, factor, capacity, more):
    shock = launch.shock_torque(torque, factor, capacity)
    assert shock <= capacity
    assert launch.shock_torque(torque, factor, capacity * more) >= shock


@given(st.floats(500.0, 9000.0), st.floats(1.0, 2.0), st.floats(50.0, 900.0), st.floats(8.0, 20.0))
def test_launch_is_bound_by_the_lesser_of_grip_and_clutch(grip, hop, shock, ratio):
    found = launch.launch_torque(grip, hop, shock, ratio)
    assert found == min(hop * grip, shock * ratio)
    assert launch.launch_torque(grip * 1.2, hop, shock, ratio) >= found


def test_shafts_of_a_class_are_of_the_size_that_cars_have():
    # From memory: cars of 1250 kg have axle shafts of some 24 to 30 mm, of steel that yields in shear at 500 to
    # 900 MPa, and are expected to bear a launch with some reserve to that.  A solid shaft of 28 mm has 348.0 MPa
    # at 1500 N*m
    # (16 T / (pi d^3), by hand).
    assert 16 * 1500.0 / (math.pi * 0.028**3) == pytest.approx(348.0e6, rel=1e-3)
    both = 1.6 * launch.rear_grip_torque(1.0, 1250.0, 0.47, 0.20, 0.305)
    assert 300e6 <= 16 * both / 2 / (math.pi * 0.028**3) <= 600e6
