"""Numbers as people read them.  Expected texts are worked by hand from the printed factors of NIST SP 811."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.units.display import shown, shown_number
from enginelimits.units.spellings import SPELLINGS


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (753.9822, "rad/s", "7200 rpm", "7200 rpm"),
        (0.3490659, "rad", "20.0 deg", "20.0 deg"),
        (68947.57, "Pa", "0.69 bar", "10.0 psi"),
        (8.5e6, "Pa", "85.0 bar", "1230 psi"),  # 1232.8
        (2500.0, "Pa", "2.5 kPa", "0.4 psi"),
        (298.15, "K", "25 degC", "77 degF"),
        (0.25, "kg/s", "250 g/s", "33.1 lb/min"),
        (44482.0, "N", "44.5 kN", "10000 lbf"),
        (210.0, "N*m", "210 N*m", "155 lb-ft"),
        (1.4e-4, "m^2", "140 mm^2", "0.217 in^2"),
        (0.083, "m", "83.00 mm", "3.268 in"),
        (134226.0, "W", "134 kW", "180 hp"),
        (0.71234, "1", "0.712", "0.712"),
        (8.3333e-8, "kg/J", "300 g/kWh", "0.493 lb/(hp*h)"),
        (1240.0, "kg", "1240 kg", "2734 lb"),
        (0.31, "kg", "310 g", "310 g"),
        (8.4e7, "m", "84000 km", "52195 mi"),
    ],
)
def test_shown(value: float, unit: str, metric: str, us: str) -> None:
    assert shown(value, unit) == metric
    assert shown(value, unit, "us") == us


def test_kinds_and_hints() -> None:
    assert shown(68947.57, "Pa", "us", "gauge") == "10.0 psi gauge"
    assert shown(98.0, "1", kind="RON") == "98 RON"
    assert shown(0.3, "1", kind="percent") == "30 %"
    assert shown(12.0, "K", kind="difference") == "12 K"
    assert shown(10.0, "K", "us", kind="difference") == "18 degF of difference"
    assert shown(9.80665, "m/s^2", quantity_hint="vehicle.lateral_acceleration") == "1.00 g"
    assert shown(600e6, "Pa", quantity_hint="pin.bending_stress") == "600 MPa"
    assert shown(27.78, "m/s", quantity_hint="cooling.radiator_capacity.road_speed") == "100 km/h"


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1.00"), (0.9, "0.90"), (0.00291, "0.00291"), (0.0, "0.00"), (12.0, "12"), (-1.5, "-1.50")],
)
def test_ratios_keep_two_decimals_below_ten(value: float, text: str) -> None:
    assert shown(value, "1") == text


def test_counts_have_no_decimals() -> None:
    assert shown(4.0, "1", quantity_hint="engine.cylinders") == "4"
    assert shown(2.0, "1", quantity_hint="internals.rod_bolts.count") == "2"
    assert shown(1.0, "1", quantity_hint="ignition.heat_steps_colder") == "1"


@pytest.mark.parametrize("nothing", [None, math.nan, math.inf])
def test_nothing_is_never_a_number(nothing: float | None) -> None:
    assert shown(nothing, "Pa") == "unknown"
    assert shown_number(nothing) == "unknown"


def test_no_negative_zero() -> None:
    assert shown(-1e-9, "N*m") == "0.0 N*m"


@given(
    st.floats(allow_nan=True, allow_infinity=True),
    st.sampled_from(SPELLINGS),
    st.sampled_from(["metric", "us"]),
)
def test_shows_anything(value: float, unit: object, system: str) -> None:
    text = shown(value, unit.si, system)  # type: ignore[attr-defined, arg-type]
    assert text
    assert "nan" not in text
    assert "inf" not in text


@given(st.floats(1e-3, 1e8))
def test_three_digits_are_within_half_a_percent(value: float) -> None:
    assert float(shown_number(value)) == pytest.approx(value, rel=5.1e-3)


def test_cooling_and_excess_heat_are_differences() -> None:
    # 12 K more is 12 K, not -261 degC
    names = ("ambient.heat_above_calibrated", "fuel.charge_cooling", "fuel.cooling_held_by_octane", "charge_cooling_k")
    for name in names:
        assert shown(12.0, "K", quantity_hint=name) == shown(12.0, "K", kind="difference")
    assert shown(298.15, "K", quantity_hint="cooling_air_temperature_k") == "25 degC"


@pytest.mark.parametrize(
    ("value", "hint", "told"),
    [
        # A share beside its limit in the trade's per cent, to a tenth near the whole and no finer beyond it
        (0.996951, "clutch.reserve", "99.7 %"), (1.0, "clutch.reserve", "100 %"),
        (0.848, "goal.power_reach", "84.8 %"), (0.0986, "compressor.surge_margin", "9.9 %"),
        (0.0, "compressor.surge_margin", "0 %"), (1.3107, "gearbox.torque_use", "131 %"),
        (0.888155, "injector.direct_window_use", "88.8 %"), (8000 / 7400, "engine.limiter_raise", "108.1 %"),
        # A ratio of forces or a fatigue margin is a factor in the trade.
        (2.63447, "head.clamp_ratio", "2.63"), (1.21, "rod.fatigue_margin", "1.21"),
    ],
)
def test_shares_are_told_in_per_cent_and_factors_plainly(value: float, hint: str, told: str) -> None:
    assert shown(value, "1", quantity_hint=hint) == told


def test_a_clamp_has_three_digits_in_pounds_as_in_kilonewtons() -> None:
    # 1 lbf = 4.4482216152605 N (NIST SP 811): 46.69 kN = 10496 lbf, 30.88 kN = 6943 lbf, 3.2 kN = 719 lbf
    assert [shown(force, "N", "us") for force in (46690.0, 30883.3, 3200.0)] == ["10500 lbf", "6940 lbf", "719 lbf"]


def test_a_heat_capacity_keeps_the_digits_that_its_formula_shows() -> None:
    assert shown(1005.0, "J/(kg*K)", quantity_hint="formula") == "1005 J/(kg*K)"
