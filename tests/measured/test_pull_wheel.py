"""Power at the wheels: closed forms, definitions, and what a dyno shows against what the crank gives."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import synthetic_logs as made_up

from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled
from enginelimits.description.load import parse_build
from enginelimits.errors import InputError
from enginelimits.measured.find import pulls_in
from enginelimits.measured.log import Channel, Log
from enginelimits.measured.names import Dyno
from enginelimits.measured.pull import Pull
from enginelimits.measured.wheel import crank_power, spin_up_power, wheel_power, wheel_shown
from enginelimits.units.registry import from_si, to_si

RPM = np.pi / 30.0
UNITS = {"wheel_torque": "N*m", "wheel_power": "W", "roller_speed": "rad/s", "roller_torque": "N*m",
         "road_speed": "m/s", "barometer": "Pa", "air_temperature": "K", "air_humidity": "1"}


@cache
def build(**changes: str | None) -> Filled:
    return filled(parse_build(made_up.build_text(**changes)))


def pull_of(time: np.ndarray, speed: np.ndarray, **channels: np.ndarray) -> Pull:
    """A pull by hand.  A tilt of a part in a million keeps a constant from looking like a dead sensor."""
    tilt = 1.0 + 1e-6 * time
    made = {n: Channel(n, np.asarray(v, dtype=float) * tilt, UNITS[n], n, UNITS[n]) for n, v in channels.items()}
    made["engine_speed"] = Channel("engine_speed", speed, "rad/s", "engine_speed", "rad/s")
    return pulls_in(Log("hand.csv", "", time, made))[0]


def steady_rise(seconds: float = 8.0, rate: float = 50.0) -> tuple[np.ndarray, np.ndarray]:
    time = np.arange(0.0, seconds, 1.0 / rate)
    return time, (2000.0 + 4800.0 * time / seconds) * RPM


def test_torque_and_power_cross_at_5252_rpm() -> None:
    """hp is 550 lbf-ft/s: power in hp equals torque in lb-ft at 33000/(2 pi) rpm = 5252.1, and at no other speed."""
    time, speed = steady_rise()
    torque = to_si(250.0, "lb-ft")
    wheel = wheel_power(pull_of(time, speed, wheel_torque=torque), build(), Dyno("inertia"))
    assert wheel is not None
    hp = np.array([from_si(p, "hp") for p in wheel.power])
    rpm = wheel.speeds / RPM
    crossing = float(np.interp(250.0, hp, rpm))
    assert crossing == pytest.approx(5252.1, abs=0.2)
    assert (hp[rpm < 5200] < 250).all() and (hp[rpm > 5300] > 250).all()


@pytest.mark.parametrize("noise", [0.0, 0.02])
def test_an_inertia_dyno_against_the_closed_form(noise: float) -> None:
    """A constant power P into an inertia I: I omega^2 / 2 = P t, so that omega = sqrt(2 P t / I)."""
    power, inertia, ratio = 120e3, 14.0, 1.3  # engine turns in one of the roller
    time = np.arange(1.5, 15.0, 0.02)
    roller = np.sqrt(2.0 * power * time / inertia)
    speed = ratio * roller
    random = np.random.default_rng(2)
    made = pull_of(time - 1.5, speed, roller_speed=roller + noise * random.standard_normal(time.size))
    wheel = wheel_power(made, build(), Dyno("inertia", inertia=inertia))
    assert wheel is not None and wheel.source.startswith("inertia of 14 kg*m^2")
    inside = wheel.power[3:-3]
    assert np.nanmean(inside) == pytest.approx(power, rel=0.004)
    # a parabola leaves the third derivative of a root, most at the start: 0.7 % there, a few hundredths at the end
    assert np.nanmax(np.abs(inside / power - 1.0)) < (0.008 if noise == 0.0 else 0.04)
    assert noise or np.nanmax(np.abs(inside[10:] / power - 1.0)) < 0.003


def test_a_falling_power_against_its_closed_form() -> None:
    """omega = a + b t - c t^2 gives P = I omega (b - 2 c t) exactly: a parabola is what the filter keeps."""
    time = np.arange(0.0, 8.0, 0.04)
    speed = 60.0 + 20.0 * time - 0.8 * time**2
    got = spin_up_power(time, speed, 10.0, 0.4)[12:-12]
    assert got == pytest.approx((10.0 * speed * (20.0 - 1.6 * time))[12:-12], rel=1e-9)


def test_torque_at_the_roller() -> None:
    time, speed = steady_rise()
    wheel = wheel_power(pull_of(time, speed, roller_torque=900.0, roller_speed=speed / 6.0), build(), Dyno("hub"))
    assert wheel is not None
    assert wheel.torque == pytest.approx(150.0, rel=1e-4)  # 900 N*m at a sixth of the speed


def test_power_comes_from_power_where_no_torque_is() -> None:
    time, speed = steady_rise()
    wheel = wheel_power(pull_of(time, speed, wheel_power=100e3 + 0.0 * speed), build(), Dyno("inertia"))
    assert wheel is not None and wheel.power == pytest.approx(100e3, rel=1e-4)


def test_road_speed_and_mass_give_a_rough_figure() -> None:
    """Constant power into mass and turning parts, without rolling and drag: v = sqrt(2 P t / m)."""
    time = np.arange(2.0, 12.0, 0.05)
    mass = 1245.0 * 1.05
    power = 90e3
    road = np.sqrt(2.0 * power * time / mass)
    wheel = wheel_power(pull_of(time - 2.0, 17.0 * road, road_speed=road), build(), Dyno())
    assert wheel is not None and wheel.dyno == "road" and "roughly" in wheel.source
    inside = slice(4, -4)
    at = np.interp(wheel.speeds, 17.0 * road, road)
    # rolling takes 0.013 of the weight, drag 0.65 m^2: added by hand
    taken = at * (0.013 * 1245.0 * 9.80665 + 0.5 * 1.18 * 0.65 * at**2)
    assert (wheel.power - taken)[inside] == pytest.approx(power, rel=0.01)
    assert wheel.inputs["class.dyno.factor"].low == pytest.approx(0.88)
    assert any("rough" in r for r in wheel.remarks)
    assert wheel_power(pull_of(time - 2.0, 17.0 * road), build(), Dyno()) is None


def test_the_kind_of_dyno_is_asked_for() -> None:
    time, speed = steady_rise()
    made = pull_of(time, speed, wheel_torque=200.0)
    unknown = build(baseline=None)
    with pytest.raises(InputError, match="which kind of dyno"):
        wheel_power(made, unknown, Dyno())
    wheel = wheel_power(made, build(), Dyno())
    assert wheel is not None and wheel.dyno == "inertia"  # as the baseline says


def test_a_correction_in_the_figure_is_taken_out() -> None:
    """SAE J1349, June 1990: 1.180 * 99 / dry kPa * sqrt(T / 298) - 0.180 gives 1.0344 at 97 kPa dry and 30 degC."""
    time, speed = steady_rise()
    made = pull_of(time, speed, wheel_torque=200.0, barometer=97e3, air_temperature=303.15, air_humidity=0.0)
    plain = wheel_power(made, build(), Dyno("inertia", correction="none"))
    corrected = wheel_power(made, build(), Dyno("inertia", correction="SAE J1349"))
    assert plain is not None and corrected is not None
    assert corrected.displayed == pytest.approx(plain.power)
    assert plain.power / corrected.power == pytest.approx(1.0344, abs=5e-5)
    # and 1.0351 by ISO 1585, of which UN R85 is another name: (99/97)^1.2 * (303/298)^0.6
    r85 = wheel_power(made, build(), Dyno("inertia", correction="UN R85"))
    assert r85 is not None and plain.power / r85.power == pytest.approx(1.0351, abs=5e-5)


def test_weather_that_a_standard_rules_out() -> None:
    time, speed = steady_rise()
    high_up = pull_of(time, speed, wheel_torque=200.0, barometer=75e3)
    with pytest.raises(InputError, match="weather in which SAE J1349 may be used"):
        wheel_power(high_up, build(), Dyno("inertia", correction="SAE J1349"))


def test_crank_power_and_display_are_each_others_inverse() -> None:
    time, speed = steady_rise()
    wheel = wheel_power(pull_of(time, speed, wheel_torque=200.0), build(), Dyno("load-controlled"), samples=50)
    assert wheel is not None
    crank = crank_power(wheel, 50, 1)
    assert crank.shape == (51, wheel.speeds.size)
    assert wheel_shown(crank, wheel, 50, 1) == pytest.approx(np.broadcast_to(wheel.power, crank.shape))
    # by hand: (display / 0.87 + fixed) / (1 - share)
    fixed, share = (float(wheel.inputs[f"driveline.loss.{n}"].value) for n in ("fixed", "proportional"))  # type: ignore[arg-type]
    assert crank[0] == pytest.approx((wheel.power / 0.87 + fixed) / (1.0 - share))
    known = replace(wheel, inputs={p: replace(i, low=None, high=None, shape="point") for p, i in wheel.inputs.items()})
    assert np.ptp(crank_power(known, 50, 1), axis=0).max() == pytest.approx(0.0, abs=1e-6)
    assert np.ptp(crank[:, 10]) > 0.02 * crank[0, 10]
