"""Conventions of loggers that would make a log say nothing, or something else: signs, references, what is not logged.

That retard is logged as a negative correction by some controls and as a positive amount by others, that hPa is mbar,
and the signs of slip and of starved oil: common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from pulls_by_hand import DEG, GRID, KPA, PSI, RPM, at, build, over, read

from enginelimits.measured.csv_log import parse_log
from enginelimits.measured.find import Found, found_in
from enginelimits.measured.log_run import CHANNEL
from enginelimits.measured.names import parse_names
from enginelimits.measured.pull import Pull
from enginelimits.measured.read_back import boost_of

NAMES = parse_names('names:\n  RPM: {is: engine_speed, unit: 1/min}\n  TPS: {is: throttle, unit: "%"}\n')


def found(**columns: object) -> Found:
    """A log of one pull from 2000 to 7000 rpm in eight seconds; a column is made from engine speed. [rpm]"""
    time = np.arange(0.0, 8.0, 0.04)
    rpm = 2000.0 + 625.0 * time
    made = {"Time (s)": time, "RPM": rpm, "TPS": np.full(time.size, 100.0)}
    for header, values in columns.items():
        made[header] = values(rpm) if callable(values) else np.full(time.size, values)  # type: ignore[assignment]
    lines = [",".join(made)] + [",".join(f"{v:.4f}" for v in row) for row in zip(*made.values(), strict=True)]
    return found_in(parse_log("\n".join(lines).encode(), "log.csv", NAMES))


def only(got: Found) -> Pull:
    assert len(got.pulls) == 1
    return got.pulls[0]


def told(pull: Pull) -> str:
    return "; ".join((*pull.log.remarks, *pull.remarks))


def knocks(rpm: np.ndarray) -> np.ndarray:
    return np.where((rpm > 4000) & (rpm < 5000), 6.0, 0.0)


def test_a_correction_below_zero_is_retard_and_that_is_told() -> None:
    pull = only(found(**{"Knock retard 1 (deg)": lambda rpm: -knocks(rpm), "Knock retard 2 (deg)": 0.0}))
    assert np.interp(4500 * RPM, pull.speeds, pull.on_speed["knock_retard_1"]) == pytest.approx(6 * DEG, rel=1e-3)
    assert "Knock retard 1 (deg), Knock retard 2 (deg): never above zero" in told(pull)


def test_retard_above_zero_stays_as_it_is_untold() -> None:
    pull = only(found(**{"Knock retard (deg)": knocks}))
    assert np.interp(4500 * RPM, pull.speeds, pull.on_speed["knock_retard"]) == pytest.approx(6 * DEG, rel=1e-3)
    assert "zero" not in told(pull)


def test_a_correction_either_way_is_left_out_for_nobody_can_tell() -> None:
    pull = only(found(**{"Knock retard (deg)": lambda rpm: np.where(rpm < 3000, 2.0, -knocks(rpm))}))
    assert "knock_retard" not in pull.on_speed
    assert "knock_retard left out: from -6 to 2 deg" in told(pull)


def rising(rpm: np.ndarray) -> np.ndarray:
    return np.interp(rpm, [2000, 3500], [0.0, 52.0]) + 0.1 * np.sin(rpm)


def test_a_target_in_absolute_pressure_is_left_out() -> None:
    # 52 kPa gauge asked for at a barometer of 100 kPa
    boosted = {"Boost (kPa)": rising, "Boost target (kPa)": 152.0}
    assert "boost_target left out: it lies 100 kPa over boost" in told(only(found(**boosted)))
    absolute = {"Manifold pressure (kPa)": lambda rpm: 100.0 + rising(rpm), "Barometer (hPa)": 1000.0,
                "Boost target (kPa)": 152.0}
    assert "boost_target" not in only(found(**absolute)).on_speed
    # and a gauge target that boost stays 25 kPa short of is none
    short = {"Boost (kPa)": lambda rpm: 0.5 * rising(rpm), "Boost target (kPa)": 52.0}
    assert "boost_target" in only(found(**short)).on_speed


def test_the_likeliest_unit_is_named_first() -> None:
    with pytest.raises(Exception, match="they would fit as psi"):
        found(**{"Boost (bar)": lambda rpm: rising(rpm) / 6.894757})


def test_counts_of_misfires_are_no_share_of_them() -> None:
    assert "misfire_share left out" in told(only(found(**{"Misfire share (%)": lambda rpm: 100.0 * (rpm - 1000.0)})))


# ---- no barometer in the log


def test_without_a_barometer_boost_is_over_that_of_the_altitude() -> None:
    # U.S. Standard Atmosphere 1976, table: 1000 m 89 874.6 Pa
    high = build(pair="goal: { => site: {altitude: 1000 m}\ngoal: {")
    ground = read({"manifold_pressure": 149_874.6, "lambda": 0.94}, described=high)
    assert at(ground, "log.boost", 4000) == pytest.approx(60e3, abs=30.0)
    shown = boost_of(ground.pulls[0], high)
    assert shown is not None and shown == pytest.approx(np.full(GRID.size, 60e3), abs=30.0)
    logged = read({"manifold_pressure": 149_874.6, "barometer": 100e3}, described=high)
    assert at(logged, "log.boost", 4000) == pytest.approx(49_874.6)


# ---- the regulator


def test_a_regulator_that_follows_boost_is_referenced_whatever_the_build_says() -> None:
    fixed = build(pair="boost-referenced => fixed")
    boosted = over((2000, 0.0), (3500, 60 * KPA))

    def sags(rpm: np.ndarray) -> np.ndarray:
        return 300 * KPA + boosted(rpm) - np.interp(rpm, [5000, 6500], [0.0, 40 * KPA])

    ground = read({"boost": boosted, "fuel_pressure": sags}, described=fixed)
    assert at(ground, "log.fuel_pressure_drop", 6800) == pytest.approx(40 * KPA)
    # a pressure that stands still does not follow, and sags over the air outside
    still = read({"boost": boosted, "fuel_pressure": over((5000, 300 * KPA), (5050, 280 * KPA))}, described=fixed)
    assert at(still, "log.fuel_pressure_drop", 6000) == pytest.approx(20 * KPA)


# ---- oil pressure


def test_oil_pressure_drops_from_the_most_that_was_there_lower_down() -> None:
    # 5 bar at the valve from 5000 rpm, three from 6050 on
    starved = over((2000, 300 * KPA), (5000, 500 * KPA), (6000, 500 * KPA), (6050, 300 * KPA))
    ground = read({"oil_pressure": starved})
    assert at(ground, "log.oil_pressure_drop", 6500) == pytest.approx(200 * KPA)
    assert at(ground, "log.oil_pressure_drop", 4000) == pytest.approx(0.0, abs=10 * KPA)
    rises = read({"oil_pressure": over((2000, 300 * KPA), (7000, 560 * KPA))})
    assert np.nanmax(rises.columns["log.oil_pressure_drop"].si) <= 0.0


def test_a_dip_of_100_rpm_is_noise() -> None:
    dip = over((5000, 500 * KPA), (5025, 300 * KPA), (5075, 300 * KPA), (5100, 500 * KPA))
    assert np.nanmax(read({"oil_pressure": dip}).columns["log.oil_pressure_drop"].si) < 20 * PSI * 0.1


# ---- what slips

SLIP = over((4000, 1.0), (4300, 1.08), (5000, 1.08), (5500, 1.0))


@pytest.mark.parametrize("name", ["road_speed", "roller_speed"])
def test_slip_is_engine_speed_over_the_least_ratio_lower_down(name: str) -> None:
    ground = read({name: lambda rpm: rpm / 130.0 / SLIP(rpm)})
    assert at(ground, "log.drive_slip", 4600) == pytest.approx(0.08)
    assert at(ground, "log.drive_slip", 3500) == pytest.approx(0.0, abs=1e-9)
    assert at(ground, "log.drive_slip", 6500) == pytest.approx(0.0, abs=1e-9)


def test_a_road_speed_that_lags_is_no_slip() -> None:
    # a fifth of a second late at 833 rpm a second: the ratio stands highest at the start and falls
    ground = read({"road_speed": lambda rpm: (rpm - 167.0) / 130.0})
    assert np.nanmax(ground.columns["log.drive_slip"].si) == pytest.approx(0.0, abs=1e-9)


def test_a_road_speed_that_comes_ten_times_a_second_is_read_where_it_moves() -> None:
    # rows each 17 ms; held over six of them, the ratio would climb by 3 to 4 per cent between
    held = np.repeat(GRID[::6], 6)[: GRID.size] / 130.0
    assert np.nanmax(read({"road_speed": held}).columns["log.drive_slip"].si) < 1e-9
    full = read({"road_speed": np.repeat(GRID[::20], 20)[: GRID.size] / 130.0}, seconds=6.0)
    assert full.columns["log.drive_slip"].missing == {CHANNEL + "road_speed"}


def test_tyres_that_grow_hide_slip_and_never_make_it() -> None:
    grows = read({"road_speed": lambda rpm: rpm / 130.0 * np.interp(rpm, [2000, 7000], [1.0, 1.02])})
    assert np.nanmax(grows.columns["log.drive_slip"].si) <= 0.0


