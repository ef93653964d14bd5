"""The sum for the half-burned angle goes through the trade's bands.

Bands: common practice, no source.  At 12.5:1 the trade runs 4 to 7 psi on 95 RON, 6 to 9 on 98 RON, 8 to 11
on a blend of 30 % ethanol (about 101.5 RON) and 10 to 13 on 50 % (about 103.5 RON), each about 12 to 14
degrees from best torque.  At 11:1 without boost on 95 RON, half has burned 9 to 11 degrees after top centre.
"""

from __future__ import annotations

import math

import pytest

from enginelimits.physics.combustion.phasing import half_burned_angle
from enginelimits.reference.catalogue import classes

PSI = 6894.757


def angle_deg(compression_ratio: float, boost_psi: float, octane: float) -> float:
    given = {k: e.typical for k, e in classes("combustion")["four-valve-pentroof"].gives.items()}
    return math.degrees(
        half_burned_angle(
            octane,
            boost_psi * PSI,
            compression_ratio,
            given["half_burned_best"],
            given["octane_at_reference"],
            given["reference_compression_ratio"],
            given["octane_per_compression"],
            given["octane_per_boost"],
            given["retard_per_octane"],
            given["half_burned_latest"],
        )
    )


def test_without_boost_it_is_a_little_late() -> None:
    assert 8.99 <= angle_deg(11.0, 0.0, 95.0) <= 11.0


@pytest.mark.parametrize(("boost_psi", "octane"), [(5.5, 95.0), (7.5, 98.0), (9.5, 101.5), (11.5, 103.5)])
def test_the_middle_of_each_band_is_as_late_as_the_trade_runs(boost_psi: float, octane: float) -> None:
    retard = angle_deg(12.5, boost_psi, octane) - angle_deg(8.0, 0.0, 100.0)
    assert 12.0 <= retard <= 14.0


def test_it_never_burns_later_than_the_class_allows() -> None:
    assert angle_deg(12.5, 25.0, 91.0) == pytest.approx(35.0)
