"""How the air side must behave, whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.airflow import atmosphere, boost, compressor, engine_flow, intercooler
from enginelimits.physics.numerics.validity import outside

RPM = 2.0 * np.pi / 60.0


def test_more_altitude_lowers_pressure_and_temperature():
    altitude = np.linspace(-500.0, 5000.0, 56)
    assert np.all(np.diff(atmosphere.standard_pressure(altitude)) < 0.0)
    assert np.all(np.diff(atmosphere.standard_temperature(altitude)) < 0.0)


def test_moisture_lightens_air():
    humidity = np.linspace(0.0, 1.0, 11)
    pv = atmosphere.vapour_pressure(308.15, humidity)
    assert np.all(np.diff(atmosphere.moist_air_density(101325.0, 308.15, pv)) < 0.0)
    assert np.all(np.diff(atmosphere.humidity_ratio(101325.0, pv)) > 0.0)


@given(
    hot=st.floats(310.0, 450.0),
    air=st.floats(250.0, 309.0),
    low=st.floats(0.0, 1.0),
    more=st.floats(0.0, 1.0),
)
def test_more_effectiveness_never_raises_manifold_temperature(hot, air, low, more):
    high = min(1.0, low + more)
    cooler = intercooler.outlet_temperature(hot, air, high)
    assert cooler <= intercooler.outlet_temperature(hot, air, low) + 1e-9
    assert air - 1e-9 <= cooler <= hot + 1e-9


def test_no_cooler_changes_nothing():
    assert intercooler.outlet_temperature(360.0, 298.15, 0.0) == 360.0
    assert intercooler.temperature_after_soak(360.0, 320.0, 0.0) == 320.0


@given(ratio=st.floats(1.0, 4.0), efficiency=st.floats(0.4, 0.9), inlet=st.floats(250.0, 340.0))
def test_efficiency_there_and_back(ratio, efficiency, inlet):
    ratio = max(ratio, 1.01)
    hot = compressor.outlet_temperature(inlet, ratio, efficiency)
    assert compressor.isentropic_efficiency(inlet, hot, ratio) == pytest.approx(efficiency, rel=1e-9)


@given(flow=st.floats(0.01, 1.0), inlet=st.floats(250.0, 340.0), pressure=st.floats(50e3, 105e3))
def test_corrected_flow_there_and_back(flow, inlet, pressure):
    corrected = compressor.corrected_flow(flow, inlet, pressure, 2.0)
    assert compressor.flow_from_corrected(corrected, inlet, pressure, 2.0) == pytest.approx(flow, rel=1e-12)


def test_corrected_flow_at_map_conditions_is_the_flow_itself():
    assert compressor.corrected_flow(0.2, 298.15, 100e3) == pytest.approx(0.2, rel=1e-12)
    assert compressor.corrected_flow(0.2, 298.15, 100e3, 2.0) == pytest.approx(0.1, rel=1e-12)
    assert compressor.corrected_flow(0.2, 298.15, 80e3) > compressor.corrected_flow(0.2, 298.15, 100e3)


def test_a_blocked_filter_raises_the_pressure_ratio():
    loss = np.array([0.0, 2.5e3, 5e3, 10e3])
    inlet = compressor.inlet_pressure(101325.0, loss)
    assert np.all(np.diff(compressor.pressure_ratio(156e3, 5e3, inlet)) > 0.0)


def test_turbocharger_onset():
    asked, threshold, width = 69e3, 3500 * RPM, 1200 * RPM
    speed = np.arange(500.0, 9001.0, 50.0) * RPM
    got = boost.turbocharger_boost(asked, speed, threshold, width)
    there = boost.turbocharger_boost(asked, threshold, threshold, width)
    assert there == pytest.approx(0.95 * asked, rel=1e-12)
    before = boost.turbocharger_boost(asked, threshold - width, threshold, width)
    assert before == pytest.approx(0.05 * asked, rel=1e-12)
    assert np.all(np.diff(got) >= 0.0)
    assert np.all((got >= 0.0) & (got <= asked))
    assert got[-1] > 0.999 * asked


def test_boost_reaches_are_honest_about_nothing_asked():
    got = boost.boost_reach(np.array([0.0, 30e3]), np.array([0.0, 60e3]))
    assert np.isnan(got[0])
    assert got[1] == 0.5


def test_rotor_blower_boost_does_not_depend_on_speed():
    got = boost.positive_displacement_boost(60e3, np.array([200.0, 400.0, 700.0]))
    assert got.shape == (3,)
    assert np.all(got == 60e3)


def test_drive_ratio_is_silent_where_boost_is_small():
    delivered = np.array([5e3, 18e3, 24e3, 40e3, 60e3])
    got = boost.drive_pressure_ratio(101e3 + 1.5 * delivered, 101e3, delivered, 60e3)
    assert np.isnan(got[:3]).all()
    assert got[3:] == pytest.approx([1.5, 1.5])
    assert np.isnan(boost.drive_pressure_ratio(125e3, 101e3, 15e3, 20e3))


def test_more_boost_raises_exhaust_pressure_and_pumping_follows_the_drive_ratio():
    delivered = np.array([0.0, 20e3, 60e3, 100e3])
    exhaust = boost.exhaust_pressure(100e3, 0.0, delivered, 1.5)
    pumping = boost.pumping_mean_effective_pressure(exhaust, boost.manifold_pressure(100e3, delivered))
    assert pumping == pytest.approx([0.0, 10e3, 30e3, 50e3])


def test_exhaust_pressure_never_falls_below_what_the_pipe_takes():
    delivered = np.array([0.0, 5e3, 20e3, 60e3])
    got = boost.exhaust_pressure(100e3, 15e3, delivered, 1.5)
    assert got == pytest.approx([115e3, 115e3, 130e3, 190e3])
    # what a gauge before the turbine shows over boost is the class's drive ratio itself
    assert boost.drive_pressure_ratio(got[-1], 100e3, 60e3, 60e3) == pytest.approx(1.5)
    assert boost.exhaust_pressure(100e3, 15e3, 60e3, 0.0) == pytest.approx(115e3)


def test_back_pressure_costs_air():
    assert boost.back_pressure_factor(1.0, 11.0) == 1.0
    assert boost.back_pressure_factor(1.4, 11.0) < boost.back_pressure_factor(1.1, 11.0) < 1.0
    assert boost.back_pressure_factor(1.4, 14.0) > boost.back_pressure_factor(1.4, 9.0)


@given(ve=st.floats(0.5, 1.2), pressure=st.floats(80e3, 300e3), temperature=st.floats(280.0, 400.0))
def test_volumetric_efficiency_there_and_back(ve, pressure, temperature):
    density = engine_flow.manifold_density(pressure, temperature)
    flow = engine_flow.air_mass_flow(ve, density, 2e-3, 500.0)
    assert engine_flow.volumetric_efficiency(flow, density, 2e-3, 500.0) == pytest.approx(ve, rel=1e-12)


def test_cylinders_share_the_flow():
    # One litre of air a revolution pair at 1.2 kg/m^3, four cylinders: a quarter litre each.
    flow = engine_flow.air_mass_flow(1.0, 1.2, 1e-3, 300.0)
    assert engine_flow.mass_per_cylinder_cycle(flow, 300.0, 4) == pytest.approx(1.2 * 0.25e-3, rel=1e-12)


def test_nozzle_stops_rising_once_choked_and_never_flows_back():
    behind = np.array([0.0, 40e3, 50e3, 52.8e3, 60e3, 80e3, 95e3, 100e3, 120e3])
    got = engine_flow.nozzle_mass_flow(1e-4, 0.9, 100e3, 300.0, behind)
    assert np.all(got[:4] == got[0])
    assert np.all(np.diff(got[3:]) <= 0.0)
    assert got[-2:] == pytest.approx([0.0, 0.0])


def test_ranges_mark_and_do_not_clamp():
    assert not outside(atmosphere.standard_pressure, {"altitude_m": 2000.0})
    assert outside(atmosphere.standard_pressure, {"altitude_m": 20e3})
    assert outside(intercooler.outlet_temperature, {"effectiveness": 1.2})
    assert intercooler.outlet_temperature(400.0, 300.0, 1.2) == pytest.approx(280.0)


def test_three_axes_broadcast():
    speeds = np.linspace(150.0, 750.0, 5)
    asked = np.full((2, 3, 1), 60e3)
    got = boost.turbocharger_boost(asked, speeds, np.full((1, 3, 1), 350.0), 120.0)
    assert got.shape == (2, 3, 5)


def test_greatest_boost_and_where_it_first_is_by_hand():
    speeds = np.array([200.0, 300.0, 400.0, 500.0])
    # 98 % of 50 kPa is 49 kPa; a belt has its greatest at the end, a turbocharger may sag after it
    made = boost.greatest_boost_made(np.array([[10e3, 20e3, 35e3, 50e3], [20e3, 49.1e3, 50e3, 40e3]]), speeds)
    assert made.boost_pa.tolist() == [[50e3], [50e3]]
    assert made.speed_rad_s.tolist() == [[500.0], [300.0]]
