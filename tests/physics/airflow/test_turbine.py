"""What a turbine swallows and gives, by hand and by behaviour."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.airflow import turbine


def test_flow_at_the_rating_is_the_rating():
    # By definition of the swallowing capacity: 100 kPa, 288 K, expansion ratio 2
    assert turbine.mass_flow(2.0, 100e3, 288.0, 0.14) == pytest.approx(0.14)


def test_flow_by_hand():
    # sqrt((1 - 1/1.5^2) / 0.75) = 0.860663; 0.14 x 0.860663 x 2.4 x sqrt(288/1152) = 0.144591
    assert turbine.mass_flow(1.5, 240e3, 1152.0, 0.14) == pytest.approx(0.144591, rel=1e-5)
    assert turbine.mass_flow(1.5, 240e3, 1152.0, 0.07, 2.0) == pytest.approx(0.144591, rel=1e-5)


@given(flow=st.floats(1e-3, 0.9), outlet=st.floats(70e3, 160e3), kelvin=st.floats(700.0, 1400.0))
def test_the_expansion_found_passes_the_flow(flow: float, outlet: float, kelvin: float):
    ratio = turbine.expansion_ratio_at_flow(flow, outlet, kelvin, 0.14)
    assert turbine.mass_flow(ratio, ratio * outlet, kelvin, 0.14) == pytest.approx(flow, rel=1e-9)


def test_pressure_goes_with_flow_once_choked():
    one, two = (turbine.expansion_ratio_at_flow(f, 110e3, 1150.0, 0.14) for f in (0.4, 0.8))
    assert one > turbine.choking_expansion_ratio()
    assert two == pytest.approx(2.0 * one)


def test_work_by_hand():
    # 2^(-0.33/1.33) = 0.8419928: 0.65 x 1150 x 1100 x 0.1580072 = 129.921 kJ/kg
    assert turbine.specific_work(2.0, 1100.0, 0.65) == pytest.approx(129.921e3, rel=1e-5)
    assert turbine.power(0.1, 2.0, 1100.0, 0.65) == pytest.approx(12.9921e3, rel=1e-5)


def test_what_it_takes_to_drive_gives_that_work():
    ratio = turbine.expansion_ratio_to_drive(90e3, 12.0, 0.3, 1150.0, 0.65)
    assert turbine.specific_work(ratio, 1150.0, 0.65) * (13.0 / 12.0) * 0.7 == pytest.approx(90e3)


def test_more_than_the_exhaust_holds_has_no_answer():
    # 13/12 x 0.3 x 1150 x 700 is 262 kJ/kg, less than 300
    assert np.isnan(turbine.expansion_ratio_to_drive(300e3, 12.0, 0.0, 700.0, 0.3))


@given(
    inducer=st.floats(0.03, 0.1), trim=st.floats(0.75, 0.95), housing=st.floats(0.3, 1.4), more=st.floats(1.01, 1.3)
)
def test_larger_parts_swallow_more_and_less_than_in_proportion(
    inducer: float, trim: float, housing: float, more: float
):
    base = turbine.swallowing_of_wheel(inducer, trim * inducer, housing)
    assert base < turbine.swallowing_of_wheel(inducer, trim * inducer, housing * more) < more * base
    # a wheel and housing grown alike: by area
    assert turbine.swallowing_of_wheel(more * inducer, more * trim * inducer, housing * more) == pytest.approx(
        more**2 * base
    )


def test_efficiency_rises_from_half_speed_on():
    # by hand: 0.8 of 0.65 is 0.52; three quarters of the speed is half of the way up, 0.9 of it
    speeds = np.array([0.0, 200.0, 350.0, 525.0, 700.0, 900.0])
    got = turbine.efficiency_over_speed(0.65, 0.8, speeds, 700.0)
    assert got == pytest.approx([0.52, 0.52, 0.52, 0.585, 0.65, 0.65])
