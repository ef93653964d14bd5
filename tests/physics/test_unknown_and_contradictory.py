"""What is unknown stays unknown, arguments that contradict each other give no number, and whole numbers do no harm.

Nothing here is a value of a source: logic and plain geometry say what has to come out.
"""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.airflow import boost_control, turbo_match
from enginelimits.physics.components import fastener, film, pin, rod, small_end, tightening
from enginelimits.physics.gas import equilibrium
from enginelimits.physics.support import driveline, heat, lift_pump, radiator

NAN = np.nan


@pytest.mark.parametrize("length_m", [0.05, 0.15, 2.0])
def test_a_column_of_unknown_strength_has_no_capacity_by_euler(length_m):
    # Euler's curve needs no strength, but which of both curves holds does
    assert np.isnan(rod.johnson_capacity(NAN, 275e-6, 21823e-12, length_m, 207e9, 1.0))
    some = rod.johnson_capacity(np.array([550e6, NAN]), 275e-6, 21823e-12, length_m, 207e9, 1.0)
    assert np.isnan(some).tolist() == [False, True]


def test_a_pump_of_unknown_flow_is_not_told_to_be_a_thousand_times_too_small():
    assert np.isnan(lift_pump.use(40e-6, NAN))
    assert np.isnan(lift_pump.use(NAN, 40e-6))
    assert lift_pump.use(np.array([40e-6, 40e-6, 0.0]), np.array([-1e-6, 80e-6, 0.0])).tolist() == [1000.0, 0.5, 1000.0]


def test_unknown_boost_stays_unknown():
    assert np.isnan(boost_control.boost_asked_absolute(NAN, 85e3, 100e3))
    # and where none is asked for, none is asked for higher up
    assert boost_control.boost_asked_absolute(0.0, 85e3, 100e3) == 0.0
    assert np.isnan(boost_control.overshoot_where_held(8e3, NAN, 50e3))
    assert np.isnan(boost_control.overshoot_where_held(8e3, 50e3, NAN))


# A two-litre engine at 4000 rpm, sizes invented
TURBO = {
    "boost_asked_pa": 69e3, "barometer_pa": 101e3, "inlet_pressure_pa": 99e3, "inlet_temperature_k": 298.0,
    "cooling_air_temperature_k": 298.0, "speed_rad_s": 419.0, "displacement_m3": 2e-3, "volumetric_efficiency": 0.95,
    "compression_ratio": 10.0, "compressor_efficiency": 0.72, "cooler_effectiveness": 0.7, "cooler_drop_pa": 5e3,
    "exhaust_temperature_k": 1150.0, "air_fuel_ratio": 12.0, "after_turbine_loss_pa": 8e3, "swallowing_kg_s": 0.14,
    "turbine_efficiency": 0.66, "gate_area_m2": 1.1e-3,
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(set(TURBO) - {"boost_asked_pa", "gate_area_m2"}))
def test_a_turbocharger_on_an_engine_not_known_makes_no_known_boost(name):
    both = turbo_match.turbo_match(**{**TURBO, name: np.array([TURBO[name], NAN])})
    for field in ("boost_available_pa", "boost_pa", "exhaust_pressure_pa", "least_boost_pa"):
        assert np.isnan(getattr(both, field)).tolist() == [False, True], field


def test_what_burned_at_an_unknown_lambda_has_no_energy():
    for of in (equilibrium.burned_internal_energy, equilibrium.burned_gas_constant):
        assert np.isnan(of(2500.0, 4e6, np.array([0.9, NAN]))).tolist() == [False, True]


def test_a_core_of_unknown_streams_is_not_taken_for_one_in_a_boiling_liquid():
    # a capacity ratio of nil is the best there is, so it must not stand in for an unknown one
    assert np.isnan(heat.cross_flow_effectiveness(2.0, np.array([0.5, NAN, 0.0]))).tolist() == [False, True, False]
    assert np.isnan(radiator.heat_at_air_flow(60e3, 0.5, NAN, 0.5, 2.0))


def test_a_pump_cannot_be_rated_beyond_where_its_flow_ends():
    # 6 and 8 bar of a pump whose flow ends at 5: both signs turned would tell three times the rated flow
    found = lift_pump.flow_available(70e-6, np.array([6e5, 5e5, 4e5]), 13.5, 8e5, 13.5, 5e5)
    assert np.isnan(found).tolist() == [True, True, False]


def test_bosses_longer_than_the_pin_leave_no_moment():
    # bosses of 15 mm and a small end of 21 on a pin of 20 mm would bend it backwards
    size = {"outer_diameter_m": 0.020, "inner_diameter_m": 0.012, "small_end_width_m": 0.021, "boss_length_m": 0.015}
    assert np.isnan(pin.pin_bending_stress(50e3, pin_length_m=0.020, **size))
    assert np.isnan(pin.pin_event_use(0.086, pin_length_m=0.020, yield_strength_pa=880e6, **size))
    assert pin.pin_bending_stress(50e3, pin_length_m=0.055, **size) > 0.0


def test_a_bush_within_its_pin_bears_nothing():
    # bores of 20 and 22.8 mm are a bush, alike no bush; turned round its share of the force would be below nil
    force = {"built_in_angle_rad": 2.0, "eye_diameter_m": 0.0304, "eye_width_m": 0.02, "youngs_modulus_pa": 207e9,
             "bush_modulus_pa": 115e9, "bush_stress_pa": 0.0}  # fmt: skip
    pins = np.array([0.020, 0.0228, 0.024])
    found = small_end.eye_stresses(10e3, 45e3, pin_diameter_m=pins, bush_diameter_m=0.0228, **force)
    assert np.isnan(found.pull_stress_pa).tolist() == [False, False, True]
    assert found.pull_stress_pa[0] < found.pull_stress_pa[1], "a bush takes its share of the pull"


def test_a_bearing_wider_than_was_solved_has_no_film():
    # solved from a fifth to one diameter; both ends are in, whatever the division rounds to
    width = np.array([0.19, 0.2, 0.6, 1.0, 1.02]) * 0.048
    assert np.isnan(film.smallest_film(0.03, 0.048, width, 45e-6)).tolist() == [True, False, False, False, True]


def test_a_lining_without_width_holds_nothing():
    # a hole as wide as the lining, or wider
    for outer, inner in ((0.10, 0.10), (0.08, 0.11)):
        assert np.isnan(driveline.clutch_torque_uniform_wear(0.3, 2, 8e3, outer, inner))
        assert np.isnan(driveline.clutch_torque_uniform_pressure(0.3, 2, 8e3, outer, inner))
        assert np.isnan(driveline.clutch_clamp_uniform_wear(1e5, outer, inner))


def test_a_fit_of_joints_ends_with_bolts_twice_as_thick_as_the_grip():
    # 10 mm through 5 mm is in, through 3 mm no bolted joint; drawn out it would tell 2.3 times the stiffness at its end
    found = fastener.member_stiffness_by_fit(0.010, np.array([0.060, 0.005, 0.003]), 207e9, *fastener.WILEMAN["steel"])
    assert np.isnan(found).tolist() == [False, False, True]


def test_a_thread_as_deep_as_its_bolt_leaves_no_area():
    assert np.isnan(fastener.stress_area(0.002, 0.006))


def test_whole_numbers_of_newton_a_metre_fit():
    # 1.5e9 times 1.5e10 is beyond what 64 bits hold
    bolt, members = np.array([1_500_000_000]), np.array([15_000_000_000])
    whole = tightening.preload_from_angle(np.array([0]), 1.0, 1e-3, bolt, members)
    # By hand: 1 rad of 1 mm is 0.15915 mm, over 1/1.5e9 + 1/15e9 m/N
    assert whole == pytest.approx(0.159155e-3 / (1 / 1.5e9 + 1 / 15e9), rel=1e-5)
