"""Torque that each part allows: sums by hand, and what inertia leaves of it."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.cycle.torque_cap import torque_cap, torque_of_lands, torque_of_rods

BORE = 0.086
AREA = np.pi / 4 * BORE**2


def test_without_inertia_torque_goes_with_capacity_over_compression():
    pressure = 60e3 / AREA
    assert torque_of_rods(240.0, 60e3, 90e3, pressure, BORE) == pytest.approx(360.0)


def test_what_inertia_takes_off_is_not_scaled():
    # gas 60 kN, rod 50 kN: 10 kN of relief.  80 kN of capacity stand 90 kN of gas, half as much again.
    assert torque_of_rods(240.0, 50e3, 80e3, 60e3 / AREA, BORE) == pytest.approx(360.0)


def test_a_rod_at_its_capacity_allows_the_torque_that_is_run():
    assert torque_of_rods(300.0, 80e3, 80e3, 95e3 / AREA, BORE) == pytest.approx(300.0)


def test_lands_at_half_their_strength_allow_twice_the_torque():
    assert torque_of_lands(200.0, 0.5) == 400.0


@pytest.mark.parametrize("place", range(5))
def test_the_least_of_all_stands(place):
    caps = [500.0] * 5
    caps[place] = 300.0
    zone, rods, lands, clutch, gearbox = caps
    assert torque_cap(zone, rods, lands, clutch, gearbox, 250.0, 366.0) == 300.0
    above = 500.0 if place == 0 else 300.0
    assert torque_cap(zone, rods, lands, clutch, gearbox, 400.0, 366.0) == above
