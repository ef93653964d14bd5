"""The band of low-speed pre-ignition, what moves it, and the least of several caps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.combustion.preignition import (
    allowed_for_build,
    allowed_mean_effective_pressure,
    allowed_over_standard,
    band_mean_effective_pressure,
    in_preignition_zone,
    preignition_margin,
)

RPM = np.pi / 30.0
# Direct injection, not built for boost: 14 bar to 2000 rpm, 16 at 2500, 18 at 3000, then open: from memory
SPEEDS = (2000.0 * RPM, 2500.0 * RPM, 3000.0 * RPM, 3500.0 * RPM)
BANDS = (14e5, 16e5, 18e5, 26e5)


@pytest.mark.parametrize(
    ("rpm", "bar"),
    [(1000.0, 14.0), (2000.0, 14.0), (2250.0, 15.0), (2500.0, 16.0), (2750.0, 17.0), (3250.0, 22.0), (6000.0, 26.0)],
)
def test_band_by_hand(rpm: float, bar: float):
    assert band_mean_effective_pressure(rpm * RPM, *SPEEDS, *BANDS) == pytest.approx(bar * 1e5)


def test_band_over_many_rows_and_speeds():
    # each row with points of its own: the band and where it ends are uncertain together
    spread = np.array([0.95, 1.0, 1.05])[:, None]
    ends = np.array([2800.0, 3000.0, 3300.0])[:, None] * RPM
    rpm = np.linspace(1000.0, 4000.0, 31) * RPM
    rows = band_mean_effective_pressure(rpm, SPEEDS[0], SPEEDS[1], ends, SPEEDS[3], *(b * spread for b in BANDS))
    assert rows.shape == (3, 31)
    assert np.all(np.diff(rows, axis=-1) >= 0.0)
    assert rows[:, 0] == pytest.approx(14e5 * spread[:, 0])
    at_ends = band_mean_effective_pressure(ends, SPEEDS[0], SPEEDS[1], ends, SPEEDS[3], *BANDS)
    assert at_ends == pytest.approx(np.full((3, 1), 18e5))


def test_injection_and_oil_by_hand():
    # 14 * (1 + 0.25 * 0.4) * (1 - 0.08) = 14.168
    allowed = allowed_mean_effective_pressure(14e5, 0.4, 1.0, 0.25, 0.08)
    assert allowed == pytest.approx(14.168e5)


@given(
    band=st.floats(8e5, 30e5),
    port=st.floats(0.0, 1.0),
    oil=st.floats(0.0, 1.0),
    relief=st.floats(0.0, 0.5),
    penalty=st.floats(0.0, 0.3),
)
def test_direct_injection_and_a_plain_oil_never_raise_it(band, port, oil, relief, penalty):
    allowed = allowed_mean_effective_pressure(band, port, oil, relief, penalty)
    assert allowed_mean_effective_pressure(band, 0.0, oil, relief, penalty) <= allowed
    assert allowed_mean_effective_pressure(band, port, 1.0, relief, penalty) <= allowed
    assert allowed_mean_effective_pressure(band, 0.0, 0.0, relief, penalty) == band


def test_built_for_boost_follows_its_maker():
    # a tenth over the factory's own load: common practice, no source
    assert allowed_over_standard(np.array([18e5, 22e5])) == pytest.approx([19.8e5, 24.2e5])


def test_the_zone_ends():
    speeds = np.array([1000.0, 2990.0, 3000.0, 3010.0, 6000.0]) * RPM
    assert in_preignition_zone(speeds, 3000.0 * RPM).tolist() == [True, True, True, False, False]


def test_margin():
    margin = preignition_margin(14e5, np.array([10e5, 14e5, 20e5]))
    assert margin == pytest.approx([1.4, 1.0, 0.7])
    # no load, no margin: unknown and never infinite
    assert np.isnan(preignition_margin(14e5, np.array([0.0, -1e5]))).all()


@pytest.mark.parametrize(
    ("for_boost", "torque_nm", "bar"),
    # By hand: 320 N*m on 2 l is 4 pi 320 / 2e-3 Pa = 20.1 bar, and a tenth more 22.1 bar
    [(False, 320.0, 14.0), (False, 0.0, 14.0), (True, 0.0, 14.0), (True, 320.0, 22.1)],
)
def test_only_a_maker_who_meant_boost_is_taken_at_his_torque(for_boost, torque_nm, bar):
    allowed = allowed_for_build(14e5, 1.0, 0.0, 0.25, 0.08, for_boost, torque_nm, 2e-3, 1.1)
    assert float(allowed) / 1e5 == pytest.approx(bar, abs=0.05)
