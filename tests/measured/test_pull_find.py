"""Finding pulls, and what is refused: invented logs whose rows of a pull and whose faults are known."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
import synthetic_logs as made_up

from enginelimits.errors import InputError
from enginelimits.measured.csv_log import parse_log
from enginelimits.measured.find import Found, found_in, pulls_in
from enginelimits.measured.log import Channel, Log
from enginelimits.measured.names import LogNames, parse_names

RPM = np.pi / 30.0
Drive, Faults = made_up.Drive, made_up.Faults


def names_of(made: made_up.Synthetic) -> LogNames:
    """The file of names that maps the headers of an invented log."""
    lines = [f"  {json.dumps(header)}: {{is: {channel}{', unit: ' + json.dumps(unit) if unit else ''}}}"
             for header, (channel, unit) in made.headers.items()]
    return parse_names("\n".join(["dyno: {kind: inertia, correction: none}", "names:", *lines]))


def found(**given: Any) -> tuple[Found, made_up.Synthetic]:
    made = made_up.synthetic_log(**given)
    return found_in(parse_log(made.text.encode(), "made.csv", names_of(made))), made


def fails(**given: Any) -> str:
    with pytest.raises(InputError) as caught:
        found(**given)
    return str(caught.value)


@pytest.mark.parametrize("rate", [10.0, 25.0, 100.0])
def test_every_pull_of_a_file_is_found_at_its_rows(rate: float) -> None:
    got, made = found(drive=Drive(pulls=3, rate=rate))
    assert [p.number for p in got.pulls] == [1, 2, 3] and not got.refused
    for pull, true in zip(got.pulls, made.pulls, strict=True):
        assert abs(pull.first - true.first) <= 0.1 * rate + 1 and abs(pull.last - true.last) <= 0.1 * rate + 1
        # a tenth of a second at the first rise is some 70 rpm
        assert pull.speeds[0] / RPM <= 2200.0 and pull.speeds[-1] / RPM >= 6700.0


@pytest.mark.parametrize("faults", [Faults(), Faults(dropouts=0.3)])
def test_channels_come_out_as_they_are(faults: made_up.Faults) -> None:
    got, made = found(faults=faults)
    pull = got.pulls[0]
    true = made_up.channels_at(made.build_text, made.truth)
    for name, within in (("wheel_torque", 3.0), ("lambda", 0.006), ("boost", 1.2e3), ("charge_temperature", 1.0)):
        off = pull.on_speed[name] - np.interp(pull.speeds, made_up.GRID, true[name])
        assert np.nanmax(np.abs(off)) < within, name
    assert np.array_equal(pull.on_speed["engine_speed"], pull.speeds)
    raw = pull.raw("lambda")
    assert raw is not None and raw.size == pull.last - pull.first + 1


def test_noise_does_not_break_a_pull() -> None:
    got, made = found(noise=6.0)
    assert len(got.pulls) == 1
    assert abs(got.pulls[0].first - made.pulls[0].first) <= 4


def test_a_lifted_throttle_ends_the_pull_and_what_follows_is_refused() -> None:
    got, made = found(drive=Drive(pulls=2), faults=Faults(lifted=1))
    first, second = got.pulls
    assert first.last < made.pulls[0].first + 0.7 * (made.pulls[0].last - made.pulls[0].first)
    assert any("lifted" in r for r in first.remarks)
    assert any("has not settled" in r.reason for r in got.refused)
    assert not any("lifted" in r for r in second.remarks)


def test_part_throttle_is_no_pull() -> None:
    time = np.arange(0.0, 12.0, 0.05)
    speed = np.interp(time, [0, 2, 9, 12], [2000, 2000, 6500, 3000]) * RPM
    throttle = np.where(time < 10, 0.5, 0.0)
    throttle[:4] = 1.0  # the pedal reaches its stop once, standing
    with pytest.raises(InputError, match="the throttle was not open"):
        pulls_in(log_of(time, speed, throttle=throttle))


def test_a_pull_must_span_enough() -> None:
    time = np.arange(0.0, 12.0, 0.05)
    speed = np.interp(time, [0, 2, 5, 12], [3000, 3000, 4000, 2500]) * RPM
    with pytest.raises(InputError, match=r"it spans 9[0-9]{2} rpm, less than 1200"):
        pulls_in(log_of(time, speed))
    assert len(pulls_in(log_of(time, speed), least_span=900 * RPM)) == 1


def test_no_rise_at_all_is_told() -> None:
    time = np.arange(0.0, 12.0, 0.05)
    with pytest.raises(InputError, match="that never rise so"):
        pulls_in(log_of(time, np.full(time.size, 3000.0) * RPM))


def test_a_gear_change_parts_two_pulls() -> None:
    time = np.arange(0.0, 12.0, 0.02)
    speed = np.interp(time, [0, 1, 5, 5.2, 10, 12], [2500, 2500, 6800, 4900, 6800, 3000]) * RPM
    pulls = pulls_in(log_of(time, speed))
    assert [round(p.speeds[0] / RPM, -2) for p in pulls] == pytest.approx([2700, 5000], abs=150)


def test_a_slow_sweep_on_a_load_dyno_is_a_pull() -> None:
    time = np.arange(0.0, 60.0, 0.1)
    speed = np.interp(time, [0, 5, 55, 60], [2000, 2000, 6500, 6500]) * RPM  # 90 rpm a second
    assert len(pulls_in(log_of(time, speed))) == 1


def test_without_a_throttle_it_is_said() -> None:
    got, made = found(channels=("wheel_torque", "boost"), drive=Drive(pulls=2))
    assert len(got.pulls) == 2 and all("no throttle in the log" in p.remarks[0] for p in got.pulls)
    true = made_up.channels_at(made.build_text, made.truth)
    for pull in got.pulls:  # nothing of the part load before the pull is drawn into it
        off = pull.on_speed["wheel_torque"] - np.interp(pull.speeds, made_up.GRID, true["wheel_torque"])
        assert np.nanmax(np.abs(off)) < 4.0


def test_a_clipped_sensor_is_told_and_its_rows_left_out() -> None:
    got, _ = found(faults=Faults(clipped={"boost": 40e3}))
    pull = got.pulls[0]
    assert any(r.startswith("boost stands at its highest value") for r in pull.remarks)
    assert np.nanmax(pull.on_speed["boost"]) < 42e3 and np.isnan(pull.on_speed["boost"][-20:]).all()
    clean, _ = found()
    assert not any("stands at" in r for r in clean.pulls[0].remarks)


# Factors by definition (NIST SP 811): 1 psi is 6.895 kPa, 1 hp 0.7457 kW, 1 lb-ft 1.3558 N*m, 1 PS 0.7355 kW.
@pytest.mark.parametrize(
    ("faults", "said"),
    [
        (Faults(wrong_unit={"boost": 6.895}), "wanted boost, which is gauge"),
        (Faults(wrong_unit={"boost": 1 / 6.895}), "wanted boost, which is gauge"),
        (Faults(wrong_unit={"wheel_power": 1 / 0.7457}), "`Wheel power [kW]` in hp"),
        (Faults(wrong_unit={"wheel_power": 1 / 0.7355}), "`Wheel power [kW]` in PS"),
        (Faults(wrong_unit={"wheel_torque": 1 / 1.3558}), "`Wheel torque [N*m]` in "),
        (Faults(swapped=("wheel_power", "wheel_torque")), "fit when they are swapped"),
        (Faults(swapped=("engine_speed", "throttle")), "engine_speed in `rpm`, got from"),
    ],
)
def test_what_physics_contradicts_is_refused_with_the_reason(faults: made_up.Faults, said: str) -> None:
    assert said in fails(faults=faults)


@pytest.mark.parametrize(
    ("faults", "channel", "said"),
    [
        (Faults(wrong_unit={"lambda": 14.7}), "lambda", "they would fit as AFR"),
        (Faults(swapped=("charge_temperature", "exhaust_temperature")), "charge_temperature", "is it another column?"),
        (Faults(swapped=("charge_temperature", "air_temperature")), "charge_temperature", "below the inlet's"),
        (Faults(stuck=("lambda",)), "lambda", "it never moves"),
    ],
)
def test_a_channel_that_cannot_be_is_left_out_and_told(faults: made_up.Faults, channel: str, said: str) -> None:
    got, _ = found(faults=faults)
    assert channel not in got.pulls[0].on_speed
    assert any(said in r for r in got.pulls[0].remarks)


def test_fahrenheit_taken_for_celsius_is_recognised() -> None:
    """88 degC is 190 degF; no coolant is at 190 degC."""
    form = {"coolant_temperature": ("Coolant", "degC", 1.8, -459.67, 0.1)}
    got, _ = found(form=form)
    assert "coolant_temperature" not in got.pulls[0].on_speed
    assert any("coolant_temperature left out" in r and "degF" in r for r in got.pulls[0].remarks)


def test_absolute_pressure_under_the_name_of_boost_is_recognised() -> None:
    form = {"boost": ("Boost", "kPa", 1e-3, 101.3, 0.05)}
    assert "An absolute pressure is `manifold_pressure`" in fails(form=form)


def test_manifold_pressure_is_boost_on_the_barometer() -> None:
    time = np.arange(0.0, 10.0, 0.05)
    speed = np.interp(time, [0, 1, 9, 10], [2000, 2000, 6500, 6500]) * RPM
    boost = np.interp(time, [0, 3, 10], [1e3, 60e3, 62e3]) + 100.0 * np.sin(40 * time)
    barometer = np.full(time.size, 100e3)
    good = log_of(time, speed, boost=boost, manifold_pressure=boost + 100e3, barometer=barometer)
    assert found_in(good).pulls
    twice = log_of(time, speed, boost=boost, manifold_pressure=boost + 145e3, barometer=barometer)
    with pytest.raises(InputError, match="manifold pressure that is boost on the barometer, got \\+45 kPa"):
        found_in(twice)


def log_of(time: np.ndarray, speed: np.ndarray, **channels: np.ndarray) -> Log:
    """A log by hand, SI."""
    units = {"manifold_pressure": "Pa", "boost": "Pa", "barometer": "Pa", "throttle": "1"}
    made = {name: Channel(name, np.asarray(values, dtype=float), units[name], name, units[name])
            for name, values in channels.items()}
    made["engine_speed"] = Channel("engine_speed", speed, "rad/s", "engine_speed", "rad/s")
    return Log("hand.csv", "", time, made)
