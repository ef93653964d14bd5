"""What each quantity of a log is, on channels typed by hand whose answer a pencil gives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pulls_by_hand import DEG, GRID, KPA, RPM, ZERO, at, build, over, pull, read

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.description.paths import known_paths
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.held import before, held_high, held_low, on_grid, speed_grid, steadied, widened
from enginelimits.measured.log_ground import LogGround
from enginelimits.measured.log_quantities import CHANNEL, QUANTITY_OF, log_columns

FLAT = {"boost": 60 * KPA}


def test_every_measured_word_is_given_and_nothing_else():
    measured = {id_ for id_, kind in QUANTITIES.items() if kind.measured}
    assert measured == set(QUANTITY_OF)
    assert {id_ for id_ in QUANTITIES if id_.startswith("log.")} == measured


def test_what_stands_for_a_measured_word_is_known_and_not_itself_measured():
    for kind in QUANTITIES.values():
        for name in kind.counterparts:
            assert kind.measured
            assert name in known_paths() or (name in QUANTITIES and not QUANTITIES[name].measured), name


# ---- what is held

WINDOW = 200 * RPM


def bump(width: float) -> np.ndarray:
    """Nought, and ten between 4000 rpm and so much more, upright sides, on the grid of 25 rpm from 3000 to 5000."""
    rpm = np.arange(3000.0, 5001.0, 25.0)
    return np.where((rpm >= 4000.0) & (rpm <= 4000.0 + width), 10.0, 0.0)


def test_a_level_counts_when_it_lasts_as_long_as_the_window():
    assert held_high(bump(200.0), WINDOW).max() == 10.0
    assert held_high(bump(175.0), WINDOW).max() == 0.0


def test_it_counts_at_every_speed_of_its_own_stretch_and_at_no_other():
    assert (held_high(bump(300.0), WINDOW) == bump(300.0)).all()


def test_of_a_ramp_the_level_is_that_of_its_start_only_at_the_very_end():
    ramp = np.arange(0.0, 41.0)
    held = held_high(ramp, WINDOW)  # eight steps of the grid wide
    assert (held[:33] == ramp[:33]).all()
    assert (held[33:] == 32.0).all()


def test_the_lowest_level_is_the_mirror_of_the_highest():
    assert held_low(-bump(200.0), WINDOW).min() == -10.0
    assert held_low(-bump(175.0), WINDOW).min() == 0.0


def test_a_stretch_shorter_than_the_window_says_nothing():
    assert np.isnan(held_high(np.ones(8), WINDOW)).all()
    assert (held_high(np.ones(9), WINDOW) == 1.0).all()


def test_an_unknown_point_is_not_taken_for_a_level():
    values = np.full(40, 5.0)
    values[20] = np.nan
    held = held_high(values, WINDOW)
    assert np.isnan(held[20]) and (np.delete(held, 20) == 5.0).all()


def test_the_median_keeps_a_slope_and_drops_a_spike():
    slope = np.arange(41.0)
    assert steadied(slope, WINDOW)[20] == 20.0
    slope[20] = 1000.0
    assert steadied(slope, WINDOW)[20] == 21.0  # the middle of 16 to 24 without 20 and with one far above
    assert steadied(np.arange(41.0), WINDOW)[-1] == 38.0  # of 36 to 40


def test_widened_and_before_look_as_far_as_they_say():
    one = np.zeros(41)
    one[20] = 1.0
    assert np.flatnonzero(widened(one, WINDOW)).tolist() == list(range(16, 25))
    assert np.flatnonzero(before(one, WINDOW) == 1.0).tolist() == [28]
    assert np.isnan(before(one, WINDOW)[:8]).all()


def test_the_grid_is_that_of_all_pulls_together():
    low = pull({}, rpm=np.arange(2010.0, 5000.0, 30.0))
    high = pull({}, rpm=np.arange(4000.0, 6041.0, 40.0))
    assert speed_grid([low, high])[[0, -1]] == pytest.approx([2025 * RPM, 6025 * RPM])
    assert np.diff(speed_grid([low, high])) == pytest.approx(25 * RPM)


def test_gaps_as_wide_as_noise_are_bridged_and_wider_ones_are_not():
    rpm = np.arange(2000.0, 6001.0, 50.0)
    values = rpm.copy()
    values[(rpm > 3000) & (rpm < 3200)] = np.nan
    values[(rpm > 4000) & (rpm < 4250)] = np.nan
    grid = np.arange(2000.0, 6001.0, 25.0)
    found = on_grid(rpm * RPM, values, grid * RPM)
    assert found[grid == 3100.0] == pytest.approx(3100.0)
    assert np.isnan(found[(grid > 4000) & (grid < 4250)]).all()
    assert np.isfinite(found[(grid <= 4000) | (grid >= 4250)]).all()


# ---- boost


def test_boost_is_gauge_or_manifold_pressure_over_the_barometer():
    assert at(read(FLAT), "log.boost", 4000) == 60 * KPA
    absolute = read({"manifold_pressure": 155 * KPA, "barometer": 95 * KPA})
    assert at(absolute, "log.boost", 4000) == 60 * KPA


def test_a_bump_of_150_rpm_counts_as_high_as_it_is_200_wide():
    # 50 rpm of slope on either side: 200 rpm wide half way up
    made = over((3950, 50 * KPA), (4000, 80 * KPA), (4150, 80 * KPA), (4200, 50 * KPA))
    assert at(read({"boost": made}), "log.boost", 4100) == pytest.approx(65 * KPA)


PEAK = over((3800, 60 * KPA), (4000, 80 * KPA), (4200, 60 * KPA))


def test_overshoot_is_what_lasts_100_rpm_over_the_target():
    # a triangle of 20 kPa, 400 rpm at its foot: 100 rpm wide three quarters up
    ground = read({"boost": PEAK, "boost_target": 60 * KPA})
    assert at(ground, "log.boost_overshoot", 4000) == pytest.approx(15 * KPA)
    assert at(ground, "log.boost_overshoot_share", 4000) == pytest.approx(0.25)


def test_without_a_target_boost_is_held_against_the_build():
    assert at(read({"boost": PEAK}), "log.boost_overshoot", 4000) == pytest.approx(15 * KPA)
    curve = build(pair="boost: 60 kPa_g => boost: {2000 rpm: 40 kPa_g, 6000 rpm: 80 kPa_g}")
    assert at(read(FLAT, described=curve), "log.boost_overshoot", 3000) == pytest.approx(10 * KPA)


def test_a_share_of_hardly_any_boost_means_nothing():
    ground = read({"boost": 12 * KPA, "boost_target": 9 * KPA})
    assert at(ground, "log.boost_overshoot_share", 4000) == np.inf
    assert at(ground, "log.boost_overshoot", 4000) == pytest.approx(3 * KPA)


def test_boost_that_falls_off_is_held_only_as_high_as_300_rpm_before_the_end():
    made = over((2000, 0), (3000, 60 * KPA), (5000, 60 * KPA), (7000, 48 * KPA))
    ground = read({"boost": made})
    assert at(ground, "log.boost_held", 7000) == pytest.approx(0.83)  # 1 - 0.2 * 1700/2000
    assert at(ground, "log.boost_held", 2500) == np.inf  # not there yet


def test_boost_that_never_comes_is_held_from_its_best():
    made = over((2000, 0), (4000, 48 * KPA), (7000, 48 * KPA))
    ground = read({"boost": made})
    assert at(ground, "log.boost_held", 6000) == pytest.approx(0.8)
    assert at(ground, "log.boost_held", 3000) == np.inf


def predicted(boost, prediction, id_, rpm):
    columns = log_columns([pull({"boost": boost})], build(), predicted_boost=prediction)
    ground = LogGround([pull({"boost": boost})], build())
    ground.columns.update(columns)
    return at(ground, id_, rpm)


def test_reach_is_boost_over_the_prediction():
    prediction = (np.array([2000.0, 7000.0]) * RPM, np.array([80.0, 80.0]) * KPA)
    assert predicted(60 * KPA, prediction, "log.boost_reach", 4000) == pytest.approx(0.75)


def test_delay_is_between_the_speeds_at_which_95_per_cent_is_there():
    # 57 of 60 kPa: at 3900 of the slope to 4000, at 2950 of that to 3000
    made = over((2000, 0), (4000, 60 * KPA))
    prediction = (np.array([2000.0, 3000.0, 7000.0]) * RPM, np.array([0.0, 60.0, 60.0]) * KPA)
    assert predicted(made, prediction, "log.boost_delay", 0) == pytest.approx(950 * RPM)
    assert predicted(60 * KPA, prediction, "log.boost_delay", 0) == np.inf  # began in boost


CREEP = over((2000, 0), (3000, 40 * KPA), (7000, 60 * KPA))  # 5 kPa each 1000 rpm past the spring


def test_creep_is_the_rise_over_1000_rpm_with_the_valve_closed():
    ground = read({"boost": CREEP, "boost_control_duty": 0.0})
    assert at(ground, "log.boost_creep", 6000) == pytest.approx(5 * KPA)
    assert np.nanmax(ground.columns["log.boost_creep"].si) == pytest.approx(5 * KPA)
    assert at(ground, "log.boost_creep", 4000) == np.inf  # not yet 1000 rpm past 500 rpm past the spring


def test_creep_means_nothing_while_the_valve_helps():
    helped = read({"boost": CREEP, "boost_control_duty": over((4900, 0.0), (5000, 0.4), (5100, 0.4), (5200, 0.0))})
    assert at(helped, "log.boost_creep", 4800) == pytest.approx(5 * KPA)
    assert at(helped, "log.boost_creep", 6000) == np.inf
    assert at(helped, "log.boost_creep", 6500) == pytest.approx(5 * KPA)


def test_a_build_on_its_spring_needs_no_duty():
    spring = build(pair="closed-loop => spring")
    assert at(read({"boost": CREEP}, described=spring), "log.boost_creep", 6000) == pytest.approx(5 * KPA)
    assert read({"boost": CREEP}).columns["log.boost_creep"].missing == {CHANNEL + "boost_control_duty"}


# ---- sensors


def test_use_of_a_sensor_is_what_is_held_over_its_range():
    ground = read({"manifold_pressure": 225 * KPA, "air_mass_flow": 0.2})
    assert at(ground, "log.manifold_pressure_use", 4000) == pytest.approx(0.9)
    assert at(ground, "log.air_meter_use", 4000) == pytest.approx(0.8)


def test_where_a_sensor_ends_its_rows_still_count_as_read():
    rows = pull({"air_mass_flow": over((2000, 0.05), (5000, 0.25), (7000, 0.25))})
    left_out = replace(rows, on_speed={**rows.on_speed, "air_mass_flow": np.full(GRID.size, np.nan)})
    assert at(LogGround([left_out], build()), "log.air_meter_use", 6000) == pytest.approx(1.0)


def test_a_flat_top_is_as_wide_as_the_meter_stands_still():
    ground = read({"air_mass_flow": over((2000, 0.05), (5000, 0.2), (6000, 0.2), (7000, 0.18))})
    assert at(ground, "log.air_meter_flat", 0) == pytest.approx(1000 * RPM)
    assert at(read({"air_mass_flow": over((2000, 0.05), (7000, 0.2))}), "log.air_meter_flat", 0) == 0.0


# ---- mixture and fuel


def test_lambda_leanest_richest_and_against_its_target():
    made = over((3950, 0.80), (4000, 0.90), (4200, 0.90), (4250, 0.80))
    ground = read({"lambda": made})
    assert at(ground, "log.lambda", 4100) == pytest.approx(0.90)
    assert at(ground, "log.lambda_error", 4100) == pytest.approx(0.10)  # 0.80 by the build
    assert at(ground, "log.lambda", 3000) == pytest.approx(0.80)
    asked = read({"lambda": made, "lambda_target": 0.85})
    assert at(asked, "log.lambda_error", 4100) == pytest.approx(0.05)
    rich = read({"lambda": over((3950, 0.80), (4000, 0.70), (4500, 0.70), (4550, 0.80))})
    assert at(rich, "log.lambda_richest", 4200) == pytest.approx(0.70)


def test_sensors_disagree_when_one_stays_off_to_the_same_side():
    ground = read({"lambda": 0.80, "lambda_second": 0.84})
    assert at(ground, "log.lambda_disagreement", 4000) == pytest.approx(0.04)
    swinging = {"lambda": 0.80, "lambda_second": lambda rpm: 0.80 + 0.05 * np.sign(np.sin(rpm / 250.0 * np.pi + 0.1))}
    assert at(read(swinging), "log.lambda_disagreement", 4000) < 0.0


def test_fuel_pressure_drops_from_what_it_began_with_over_the_port():
    sagging = over((5000, 360 * KPA), (5050, 340 * KPA))  # 300 kPa and 60 kPa of boost
    ground = read({"fuel_pressure": sagging, **FLAT})
    assert at(ground, "log.fuel_pressure_drop", 4000) == pytest.approx(0.0)
    assert at(ground, "log.fuel_pressure_drop", 6000) == pytest.approx(20 * KPA)
    assert at(ground, "log.fuel_pressure_offset", 0) == pytest.approx(0.0)


def test_with_a_fixed_regulator_the_pressure_is_over_the_air_outside():
    fixed = build(pair="boost-referenced => fixed")
    ground = read({"fuel_pressure": over((5000, 290 * KPA), (5050, 280 * KPA))}, described=fixed)
    assert at(ground, "log.fuel_pressure_drop", 6000) == pytest.approx(10 * KPA)
    assert at(ground, "log.fuel_pressure_offset", 0) == pytest.approx(10 * KPA)  # of 300 stated


def test_what_the_pull_began_with_is_the_median_of_200_rpm():
    # 400 at 2000 rpm, 1 kPa less each 40 rpm: 397.5 half way through the first 200 rpm
    ground = read({"fuel_pressure": over((2000, 400 * KPA), (4000, 350 * KPA)), "boost": 0.0})
    assert at(ground, "log.fuel_pressure_drop", 5000) == pytest.approx(47.5 * KPA)
    assert at(ground, "log.fuel_pressure_offset", 0) == pytest.approx(97.5 * KPA)


def test_a_base_that_nobody_stated_is_named():
    unstated = build(pair=", base_pressure: 3 bar => ")
    ground = read({"fuel_pressure": 360 * KPA, **FLAT}, described=unstated)
    assert ground.columns["log.fuel_pressure_offset"].missing == {"fuel_system.base_pressure"}
    assert at(ground, "log.fuel_pressure_drop", 5000) == pytest.approx(0.0)


def test_duty_by_pulse_is_pulse_over_two_turns():
    # 10 ms of the 20 ms that a cycle takes at 6000 rpm
    ground = read({"injector_time": 0.010})
    assert at(ground, "log.injector_duty", 6000) == pytest.approx(0.5)
    assert at(ground, "log.injector_duty", 7000) == pytest.approx(0.010 / (120.0 / 6800.0))  # 200 rpm before the end
    assert at(read({"injector_duty": 0.7, "injector_time": 0.010}), "log.injector_duty", 6000) == pytest.approx(0.7)


def test_rail_and_ethanol():
    ground = read({"rail_pressure": 17e6, "rail_pressure_target": 20e6, "ethanol": 0.60})
    assert at(ground, "log.rail_deviation", 4000) == pytest.approx(0.15)
    assert at(ground, "log.ethanol_difference", 4000) == pytest.approx(0.25)


# ---- knock


def retard(first: float, last: float, degrees: float):
    """So many degrees from one speed to another, none 25 rpm outside them."""
    return over((first - 25, 0.0), (first, degrees * DEG), (last, degrees * DEG), (last + 25, 0.0))


FINE = np.arange(2000.0, 7001.0, 25.0)


def test_retard_counts_when_one_cylinder_holds_it():
    ground = read({"knock_retard_1": 0.0, "knock_retard_2": retard(3000, 3300, 4.0)}, rpm=FINE)
    assert at(ground, "log.knock_retard", 3150) == pytest.approx(4 * DEG)
    shorter = read({"knock_retard_2": retard(3000, 3275, 4.0)}, rpm=FINE)
    assert at(shorter, "log.knock_retard", 3150) == pytest.approx(0.0)


def test_retard_that_jumps_between_cylinders_is_not_that_of_one():
    ground = read({"knock_retard_1": retard(3000, 3150, 4.0), "knock_retard_2": retard(3150, 3300, 4.0)}, rpm=FINE)
    assert at(ground, "log.knock_retard", 3150) == pytest.approx(0.0)
    one = read({"knock_retard": retard(3000, 3300, 4.0)}, rpm=FINE)  # the worst of all, by one channel
    assert at(one, "log.knock_retard", 3150) == pytest.approx(4 * DEG)


@pytest.mark.parametrize(("second", "counts"), [(3000, 6.0), (3100, 6.0), (3150, 0.0), (3400, 0.0)])
def test_a_short_event_counts_when_it_comes_back_within_100_rpm(second, counts):
    pulls = [pull({"knock_retard_3": retard(first, first, 6.0)}, rpm=FINE, number=i)
             for i, first in ((1, 3000), (2, second))]
    assert at(LogGround(pulls, build()), "log.knock_retard", 3000) == pytest.approx(counts * DEG)


def test_an_event_comes_back_only_in_the_same_cylinder():
    pulls = [pull({"knock_retard_1": a, "knock_retard_2": b}, rpm=FINE, number=i)
             for i, a, b in ((1, retard(3000, 3000, 6.0), 0.0), (2, 0.0, retard(3000, 3000, 6.0)))]
    assert at(LogGround(pulls, build()), "log.knock_retard", 3000) == pytest.approx(0.0)


# ---- heat


SLOPE = over((2000, 300.0), (7000, 350.0))  # 10 K each 1000 rpm


def test_charge_temperature_and_its_rise():
    ground = read({"charge_temperature": SLOPE, "boost": over((2000, 0), (4000, 60 * KPA))})
    assert at(ground, "log.charge_temperature", 4000) == pytest.approx(320.0)
    assert at(ground, "log.charge_temperature", 7000) == pytest.approx(349.5)  # the median of the last 100 rpm
    assert at(ground, "log.charge_temperature_rise", 5000) == pytest.approx(10.0)
    assert at(ground, "log.charge_temperature_rise", 4500) == np.inf  # boost rose by 15 kPa before
    level = read({"charge_temperature": SLOPE, **FLAT})
    assert at(level, "log.charge_temperature_rise", 3000) == pytest.approx(9.5)  # at 2000 rpm the median of 100 rpm
    assert at(level, "log.charge_temperature_rise", 2900) == np.inf


def test_soak_is_against_the_pull_before_the_last_at_the_same_speed():
    pulls = [pull({"charge_temperature": lambda rpm, more=more: SLOPE(rpm) + more}, number=i)
             for i, more in ((1, 0.0), (2, 5.0), (3, 12.0), (4, 14.0))]
    ground = LogGround(pulls, build())
    assert [at(ground, "log.charge_temperature_soak", 4000, row) for row in range(4)] == (
        pytest.approx([np.inf, np.inf, 12.0, 9.0]))


def test_pulls_of_other_logs_do_not_soak():
    pulls = [pull({"charge_temperature": 300.0 + 10 * i}, file=f"{i}.csv") for i in range(3)]
    assert at(LogGround(pulls, build()), "log.charge_temperature_soak", 4000, 2) == np.inf


def test_temperatures_and_pressures_as_they_are():
    ground = read({"exhaust_temperature": 900 + ZERO, "catalyst_temperature": 850 + ZERO, "oil_temperature": 100 + ZERO,
                   "coolant_temperature": 95 + ZERO, "crankcase_pressure": 2 * KPA, "oil_pressure": 400 * KPA,
                   "voltage": 13.5, "misfire_share": 0.004, "cam_phase": 40 * DEG, "cam_phase_target": 44 * DEG})
    found = {id_: at(ground, f"log.{id_}", 4000) for id_ in (
        "exhaust_temperature", "catalyst_temperature", "oil_temperature", "coolant_temperature", "crankcase_pressure",
        "oil_pressure_per_thousand", "voltage", "misfire_share", "cam_phase_error")}
    assert found == pytest.approx({
        "exhaust_temperature": 1173.15, "catalyst_temperature": 1123.15, "oil_temperature": 373.15,
        "coolant_temperature": 368.15, "crankcase_pressure": 2000.0, "oil_pressure_per_thousand": 100e3,
        "voltage": 13.5, "misfire_share": 0.004, "cam_phase_error": 4 * DEG})


def test_drive_pressure_is_gauge_over_gauge():
    ground = read({"exhaust_pressure": 90 * KPA, "boost": over((2000, 0), (3000, 60 * KPA))})
    assert at(ground, "log.drive_pressure_ratio", 4000) == pytest.approx(1.5)
    assert at(ground, "log.drive_pressure_ratio", 2100) == np.inf  # 6 kPa of boost


def test_wheel_speed_is_that_of_the_tip():
    # 16000 rad/s at a radius of 30 mm are 480 m/s, of 520
    assert at(read({"turbocharger_speed": 16000.0}), "log.wheel_speed_use", 4000) == pytest.approx(480 / 520)


def test_throttle_counts_while_the_accelerator_is_down():
    ground = read({"throttle": over((3950, 1.0), (4000, 0.8), (4300, 0.8), (4350, 1.0)),
                   "pedal": over((6000, 1.0), (6050, 0.5))})
    assert at(ground, "log.throttle", 4100) == pytest.approx(0.8)
    assert at(ground, "log.throttle", 3000) == pytest.approx(1.0)
    assert at(ground, "log.throttle", 6500) == np.inf


def test_time_of_the_pull_and_between_rows():
    ground = read(FLAT, seconds=8.0)  # 101 rows
    assert at(ground, "log.duration", 0) == pytest.approx(8.0)
    assert at(ground, "log.row_interval", 0) == pytest.approx(0.08)
    every_second = np.where(np.arange(101) % 2 == 0, 60 * KPA, np.nan)
    assert at(read({"boost": every_second}, seconds=8.0), "log.row_interval", 0) == pytest.approx(0.16)


# ---- what is not there


@pytest.mark.parametrize(("id_", "lacks"), [
    ("log.boost", {"boost"}), ("log.boost_overshoot", {"boost"}), ("log.boost_held", {"boost"}),
    ("log.lambda", {"lambda"}), ("log.lambda_disagreement", {"lambda"}), ("log.fuel_pressure_drop", {"fuel_pressure"}),
    ("log.injector_duty", {"injector_duty"}), ("log.rail_deviation", {"rail_pressure_target"}),
    ("log.knock_retard", {"knock_retard"}), ("log.charge_temperature_rise", {"charge_temperature"}),
    ("log.fuel_pressure_offset", {"fuel_pressure"}),
    ("log.throttle", {"pedal"}), ("log.air_meter_flat", {"air_mass_flow"}), ("log.voltage", {"voltage"}),
])
def test_a_channel_that_is_not_logged_is_named(id_, lacks):
    reading = read({}).columns[id_]
    assert reading.si is None
    assert reading.missing == {CHANNEL + name for name in lacks}
    assert lacks <= set(CHANNELS)


def test_an_input_that_nobody_gave_is_named_by_its_path():
    unknown = build(pair=", air_meter_range: 250 g/s => ")
    assert read({"air_mass_flow": 0.2}, described=unknown).columns["log.air_meter_use"].missing == {
        "sensors.air_meter_range"}
    assert read(FLAT).columns["log.boost_reach"].missing == {"air.boost"}


def test_speeds_that_a_pull_did_not_run_through_mean_nothing():
    long, short = pull(FLAT), pull(FLAT, rpm=np.arange(3000.0, 5001.0, 50.0), number=2)
    ground = LogGround([long, short], build())
    assert [at(ground, "log.boost", rpm, 1) for rpm in (2500, 4000, 6000)] == [np.inf, 60 * KPA, np.inf]
    assert at(ground, "log.boost", 6000, 0) == 60 * KPA


def test_where_boost_is_not_known_nobody_can_tell_what_heats_the_charge():
    lost = np.where((GRID > 4000) & (GRID < 5000), np.nan, 60 * KPA)
    ground = read({"charge_temperature": SLOPE, "boost": lost})
    assert np.isnan(at(ground, "log.charge_temperature_rise", 4500))
    assert np.isnan(at(ground, "log.charge_temperature_rise", 5500))
    assert at(ground, "log.charge_temperature_rise", 6500) == pytest.approx(10.0)


def test_rows_that_end_just_short_of_the_pull_are_enough():
    made = pull({"air_mass_flow": 0.2})
    short = made.log.channels["engine_speed"].si.clip(2010 * RPM, 6990 * RPM)
    engine_speed = replace(made.log.channels["engine_speed"], si=short)
    log = replace(made.log, channels={**made.log.channels, "engine_speed": engine_speed})
    ground = LogGround([replace(made, log=log)], build())
    assert [at(ground, "log.air_meter_use", rpm) for rpm in (2000, 7000)] == pytest.approx([0.8, 0.8])
