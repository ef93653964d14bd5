"""How knock pushes combustion back, by hand-worked cases and behaviour."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.combustion.phasing import (
    half_burned_angle,
    half_burned_angle_wanted,
    octane_wanted,
    released_heat,
    spark_retard,
)

CLASS = {
    "octane_at_reference": 92.0,
    "reference_compression_ratio": 10.0,
    "octane_per_compression": 4.0,
    "octane_per_boost_per_pa": 1.5e-4,
}
TIMING = {
    "half_burned_best_rad": np.radians(8.0),
    "retard_per_octane_rad": np.radians(1.0),
    "half_burned_latest_rad": np.radians(32.0),
}


def test_octane_wanted_by_hand() -> None:
    # invented class: 92 + 4 * (11 - 10) + 1.5e-4 * 60 000 = 105
    assert octane_wanted(60e3, 11.0, **CLASS) == pytest.approx(105.0)


@pytest.mark.parametrize(
    ("octane", "degrees"), [(110.0, 8.0), (105.0, 8.0), (98.0, 15.0), (91.0, 22.0), (75.0, 32.0)]
)
def test_half_burned_angle_by_hand(octane: float, degrees: float) -> None:
    # 105 wanted; a degree for each number short, from 8 deg, no later than 32
    angle = half_burned_angle(octane, 60e3, 11.0, **CLASS, **TIMING)
    assert np.degrees(angle) == pytest.approx(degrees, abs=1e-9)


def test_more_boost_and_compression_never_burn_earlier_more_octane_never_later() -> None:
    boost, ratio, octane = (
        np.linspace(0.0, 1.5e5, 31),
        np.linspace(8.0, 13.0, 31),
        np.linspace(85.0, 120.0, 31),
    )
    assert np.all(np.diff(half_burned_angle(98.0, boost, 10.0, **CLASS, **TIMING)) >= 0.0)
    assert np.all(np.diff(half_burned_angle(98.0, 3e4, ratio, **CLASS, **TIMING)) >= 0.0)
    assert np.all(np.diff(half_burned_angle(octane, 6e4, 11.0, **CLASS, **TIMING)) <= 0.0)


def test_the_rounded_bend_lies_on_the_sharp_one_away_from_it() -> None:
    sharp = half_burned_angle_wanted(np.array([-20.0, 20.0]), 0.14, 0.02)
    rounded = half_burned_angle_wanted(np.array([-20.0, 20.0]), 0.14, 0.02, 1.0)
    assert sharp == pytest.approx([0.14, 0.54])
    assert rounded == pytest.approx(sharp, abs=3e-4)
    # at the bend itself half the width: 0.14 + 0.02 * 0.5
    assert half_burned_angle_wanted(0.0, 0.14, 0.02, 1.0) == pytest.approx(0.15)


def test_retard_is_the_difference_from_best_torque() -> None:
    assert spark_retard(np.radians(20.0), np.radians(8.0)) == pytest.approx(np.radians(12.0))


def test_released_heat_by_hand() -> None:
    # 60 mg of 43 MJ/kg: 2580 J; rich 0.8 of it; lean all; 97 % of it burns
    assert released_heat(60e-6, 43e6, 1.0, 1.0) == pytest.approx(2580.0)
    assert released_heat(60e-6, 43e6, 0.8, 1.0) == pytest.approx(2064.0)
    assert released_heat(60e-6, 43e6, 1.2, 0.97) == pytest.approx(2502.6)
