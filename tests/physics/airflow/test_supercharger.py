"""What a belt-driven compressor makes of crank speed, by hand and by behaviour."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.airflow import belt, supercharger

SPEEDS = np.arange(1500.0, 7501.0, 500.0) * math.pi / 30.0


def blower(**other: object) -> supercharger.BlowerMatch:
    inputs: dict[str, object] = {
        "barometer_pa": 101e3, "inlet_pressure_pa": 99e3, "inlet_temperature_k": 298.0,
        "cooling_air_temperature_k": 298.0, "speed_rad_s": SPEEDS, "displacement_m3": 2e-3,
        "volumetric_efficiency": 0.93, "compression_ratio": 10.0, "exhaust_pressure_pa": 112e3,
        "displacement_per_rev_m3": 0.9e-3, "drive_ratio": 1.8, "leakage_speed_rad_s": 110.0, "efficiency": 0.62,
        "cooler_effectiveness": 0.7, "cooler_drop_pa": 4e3,
    }  # fmt: skip
    return supercharger.blower_match(**{**inputs, **other})


def test_impeller_by_hand():
    # 0.7 x 0.65 x 300^2 / (1005 x 300) = 0.135821; 1.135821^3.5 = 1.5617
    assert supercharger.impeller_pressure_ratio(300.0, 300.0, 0.7, 0.65) == pytest.approx(1.5617, abs=1e-4)


def test_impeller_speed_for_another_pressure_by_hand():
    # (1.408^(2/7) - 1) / (1.680^(2/7) - 1) = 0.1027 / 0.1598, its root 0.802; and back through what the speed makes
    assert supercharger.impeller_speed_share(1.680, 1.408) == pytest.approx(0.802, abs=0.001)
    slow, fast = supercharger.impeller_pressure_ratio(np.array([250.0, 400.0]), 300.0, 0.7)
    assert supercharger.impeller_speed_share(slow, fast) == pytest.approx(400.0 / 250.0, rel=1e-12)
    assert supercharger.impeller_speed_share(1.5, 1.0) == 0.0


def test_small_pressure_rise_goes_with_the_square_of_speed():
    ratio = supercharger.impeller_pressure_ratio(np.array([20.0, 40.0]), 300.0, 0.7) - 1.0
    assert ratio[1] / ratio[0] == pytest.approx(4.0, rel=0.005)


def test_rotors_without_leakage_or_heat_displace_what_they_displace():
    # Isothermal behind a perfect cooler, no losses, exhaust at manifold pressure by hand: 0.9 L x 1.8 a turn against
    # 1 L a turn at a filling of 0.9 times (1 - (p_e/p_m - 1)/(1.3 x 9)): pressure ratio r solves
    # 1.62 = 0.9 r (1 - (1/r - 1)/11.7)  =>  r (1 + 1/11.7) - 1/11.7 = 1.8  =>  r = (1.8 + 1/11.7)/(1 + 1/11.7)
    got = blower(
        inlet_pressure_pa=100e3, barometer_pa=100e3, exhaust_pressure_pa=100e3, leakage_speed_rad_s=0.0,
        cooler_effectiveness=1.0, cooler_drop_pa=0.0, volumetric_efficiency=0.9,
    )  # fmt: skip
    ratio = (1.8 + 1 / 11.7) / (1 + 1 / 11.7)
    assert got.pressure_ratio == pytest.approx(np.full(SPEEDS.shape, ratio), rel=1e-6)
    assert got.boost_pa == pytest.approx((ratio - 1) * 100e3, rel=1e-6)
    # 1.62 L a turn of 100 kPa and 298 K
    assert got.mass_flow_kg_s == pytest.approx(1.62e-3 * SPEEDS / (2 * math.pi) * 100e3 / (287.05287 * 298.0), rel=1e-6)


def test_leakage_by_hand():
    # 1 - 100 x sqrt(0.64) / 800 = 0.9
    assert supercharger.delivery_share(1.64, 800.0, 100.0) == pytest.approx(0.9)


def test_boost_rises_with_speed_as_leakage_matters_less():
    got = blower()
    assert np.all(np.diff(got.boost_pa) > 0.0)
    assert np.all(np.abs(got.residual) < 1e-6)
    assert np.all(blower(leakage_speed_rad_s=200.0).boost_pa < got.boost_pa)
    assert np.all(blower(belt_slip=0.08).boost_pa < got.boost_pa)


@given(ratio=st.floats(1.3, 2.2), more=st.floats(1.02, 1.2))
def test_faster_rotors_give_more_air(ratio: float, more: float):
    slow, fast = blower(drive_ratio=ratio), blower(drive_ratio=ratio * more)
    assert np.all(fast.boost_pa > slow.boost_pa)
    assert np.all(fast.mass_flow_kg_s > slow.mass_flow_kg_s)


def test_cooling_gives_air_at_less_boost():
    warm, cool = blower(cooler_effectiveness=0.3), blower(cooler_effectiveness=0.8)
    assert np.all(cool.boost_pa < warm.boost_pa)
    assert np.all(cool.mass_flow_kg_s > warm.mass_flow_kg_s)


def test_rotors_too_small_leave_it_to_the_bypass():
    got = blower(drive_ratio=0.8)
    assert np.all(got.pressure_ratio == 1.0)
    assert np.all(got.boost_pa < 0.0)


def test_no_answer_beyond_a_pressure_ratio_of_four():
    assert np.all(np.isnan(blower(drive_ratio=12.0).pressure_ratio))


def test_belt_by_hand():
    # half way round: 6 ribs x 7.5 kW over 15 kW
    assert belt.belt_reserve(15e3, 6.0, math.pi, 7.5e3) == pytest.approx(3.0)
    assert belt.belt_reserve(15e3, 6.0, math.radians(100.0), 7.5e3) < 2.5
    assert np.isnan(belt.belt_reserve(0.0, 6.0, 2.0, 7.5e3))
