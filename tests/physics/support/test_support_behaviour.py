"""How fuel supply, driveline, dyno and heat must behave, whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.support import (
    driveline,
    dyno,
    fuel_supply,
    health,
    heat,
    ignition,
    lift_pump,
    sensors,
)


def test_more_ethanol_never_lowers_fuel_flow():
    # US DOE Alternative Fuels Data Center: gasoline 14.7 and 6.2 lb/gal, ethanol 9.0 and 6.61; blended by
    # volume
    ethanol = np.linspace(0.0, 1.0, 21)
    density = (1.0 - ethanol) * 743.0 + ethanol * 792.0
    by_mass = ethanol * 792.0 / density
    ratio = (1.0 - by_mass) * 14.7 + by_mass * 9.0
    mass = fuel_supply.fuel_mass_flow(0.2, 0.8, ratio)
    assert np.all(np.diff(mass) > 0.0)
    assert np.all(np.diff(fuel_supply.fuel_volume_flow(mass, density)) > 0.0)


def test_richer_asks_for_more_fuel():
    flow = fuel_supply.fuel_mass_flow(0.2, np.array([0.9, 0.85, 0.8, 0.75]), 14.1)
    assert np.all(np.diff(flow) > 0.0)


def test_regulator():
    boost = np.array([0.0, 40e3, 80e3])
    assert fuel_supply.pressure_difference(3e5, boost, 1.0) == pytest.approx([3e5, 3e5, 3e5])
    assert fuel_supply.pressure_difference(3e5, boost, 0.0) == pytest.approx([3e5, 2.6e5, 2.2e5])
    assert lift_pump.pressure_against(3e5, boost, 1.0, 20e3) == pytest.approx([3.2e5, 3.6e5, 4.0e5])
    assert lift_pump.pressure_against(3e5, boost, 0.0) == pytest.approx([3e5, 3e5, 3e5])


def test_a_fixed_regulator_never_lowers_duty():
    boost = np.linspace(0.0, 120e3, 13)
    duties = []
    for referenced in (1.0, 0.0):
        difference = fuel_supply.pressure_difference(3e5, boost, referenced)
        each = fuel_supply.injector_mass_flow(10e-6, 3e5, difference, 745.0)
        duties.append(fuel_supply.port_duty(0.015, 4, each, 700.0, 1e-3))
    assert np.all(duties[1] >= duties[0])
    assert np.all(np.diff(duties[1]) > 0.0)


def test_duty_by_share_and_dead_time():
    whole = fuel_supply.port_duty(0.015, 4, 8e-3, 700.0, 0.0)
    assert fuel_supply.port_duty(0.015, 4, 8e-3, 700.0, 0.0, 0.6) == pytest.approx(0.6 * whole)
    assert fuel_supply.port_duty(0.015, 4, 8e-3, 700.0, 1e-3) > whole


def test_direct_injection_pressure_follows_the_square_of_window_use():
    each = fuel_supply.injector_flow(15e-6, 100e5, 150e5)
    use = fuel_supply.direct_window_use(24e-6, 4, each, 3.84, 0.9)
    pressure = fuel_supply.rail_pressure_use(24e-6, 4, 15e-6, 100e5, 150e5, 3.84, 0.9)
    assert pressure == pytest.approx(use**2, rel=1e-12)


def test_pump_gives_its_rating_at_its_rating():
    assert lift_pump.flow_available(70e-6, 4e5, 13.5, 4e5, 13.5) == pytest.approx(70e-6, rel=1e-12)


@given(
    pressure=st.floats(2e5, 7e5),
    more=st.floats(1e3, 2e5),
    voltage=st.floats(10.0, 14.0),
    extra=st.floats(0.1, 2.0),
)
def test_pump_falls_with_pressure_and_rises_with_voltage(pressure, more, voltage, extra):
    here = lift_pump.flow_available(70e-6, 4e5, 13.5, pressure, voltage)
    assert lift_pump.flow_available(70e-6, 4e5, 13.5, pressure + more, voltage) < here
    assert lift_pump.flow_available(70e-6, 4e5, 13.5, pressure, voltage + extra) > here


def test_a_pump_that_gives_nothing_is_never_shown_as_enough():
    use = lift_pump.use(40e-6, np.array([80e-6, 40e-6, 0.0, -5e-6]))
    assert use[:2] == pytest.approx([0.5, 1.0])
    # a number beyond any limit: what is not finite counts as out of range and would never be judged
    assert (use[2:] == 1000.0).all()


@given(
    crank=st.floats(20e3, 800e3),
    fixed=st.floats(0.0, 15e3),
    share=st.floats(0.0, 0.25),
    factor=st.floats(0.8, 1.1),
    correction=st.floats(0.9, 1.1),
)
def test_crank_to_display_and_back(crank, fixed, share, factor, correction):
    shown = driveline.displayed_power(driveline.roller_power(crank, fixed, share), factor, correction)
    back = driveline.crank_power_from_display(shown, fixed, share, factor, correction)
    assert back == pytest.approx(crank, rel=1e-9)


@pytest.mark.parametrize("name", ["SAE J1349", "J607", "DIN 70020", "ISO 1585"])
def test_corrections_there_and_back(name):
    # A figure corrected for the day and divided by the day's factor is what was measured; thin, hot air is
    # credited.
    factor = dyno.CORRECTIONS[name].factor
    measured = 150e3
    day = factor(95e3, 2e3, 308.15)
    assert measured * day / day == pytest.approx(measured)
    assert factor(90e3, 2e3, 308.15) > day
    assert factor(95e3, 2e3, 288.15) < day


def test_correction_between_two_days():
    # The ratio of two days' ISO factors does not depend on the reference to which both are brought.
    a, b = (95e3, 2e3, 308.15), (101e3, 1e3, 283.15)
    usual = dyno.iso_1585_factor(*a) / dyno.iso_1585_factor(*b)
    other = dyno.iso_1585_factor(*a, 100e3, 293.15) / dyno.iso_1585_factor(*b, 100e3, 293.15)
    assert usual == pytest.approx(other, rel=1e-12)


def test_uniform_pressure_and_wear_agree_on_a_thin_ring():
    args = (0.3, 2, 8e3, 0.1000001, 0.1)
    pressure = driveline.clutch_torque_uniform_pressure(*args)
    assert pressure == pytest.approx(0.3 * 2 * 8e3 * 0.1, rel=1e-5)
    assert driveline.clutch_torque_uniform_wear(*args) == pytest.approx(pressure, rel=1e-9)


def test_reserve_and_use_move_apart():
    torque = np.array([200.0, 300.0, 400.0])
    assert np.all(np.diff(driveline.clutch_reserve(420.0, torque)) < 0.0)
    assert np.all(np.diff(driveline.gearbox_torque_use(torque, 350.0)) > 0.0)
    assert driveline.displayed_torque(300e3, 600.0) == 500.0


def test_sensors():
    assert sensors.manifold_pressure_use(np.array([101e3, 250e3]), 250e3) == pytest.approx([0.404, 1.0])
    assert sensors.air_meter_use(0.2, 0.25) == pytest.approx(0.8)


def test_health_takes_cylinders_last():
    leak = np.array([[0.04, 0.05, 0.04, 0.12], [0.02, 0.02, 0.03, 0.02]])
    assert health.worst_leak_down(leak) == pytest.approx([0.12, 0.03])
    # 75 % lowest to highest, the makers' service bound, is a spread of a quarter (common practice, no source)
    assert health.compression_spread(np.array([12e5, 9e5, 11e5])) == pytest.approx(0.25)
    assert np.isnan(health.worst_leak_down(np.array([0.04, np.nan])))


def test_cross_flow_limits():
    # No ratio: a plain exponential.  More surface never hurts, a hotter stream never helps, never beyond
    # counter-flow.
    units = np.linspace(0.0, 10.0, 41)
    none = heat.cross_flow_effectiveness(units, 0.0)
    assert none == pytest.approx(1.0 - np.exp(-units), abs=1e-12)
    half = heat.cross_flow_effectiveness(units, 0.5)
    assert np.all(np.diff(half) > 0.0)
    assert np.all(half <= none)
    factor = np.exp(-units * 0.5)
    counter = (1.0 - factor) / (1.0 - 0.5 * factor)
    assert np.all(half <= counter + 1e-12)


def test_radiator():
    assert heat.radiator_difference(60e3, 60e3, 60.0) == 60.0
    use = heat.radiator_use(60e3, 60e3, 60.0, 383.15, np.array([298.15, 308.15]))
    assert np.all(np.diff(use) > 0.0)


def test_pressure_and_glycol_keep_coolant_from_boiling():
    pressure = np.array([80e3, 101e3, 200e3])
    assert np.all(np.diff(heat.coolant_boiling_temperature(pressure, 0.5)) > 0.0)
    assert heat.coolant_boiling_temperature(200e3, 0.5) > heat.coolant_boiling_temperature(200e3, 0.0)


def test_denser_charge_asks_for_a_smaller_gap():
    limit = ignition.plug_gap_limit(1.05e-3, 1.18, np.array([1.18, 1.5, 2.0]))
    assert limit[0] == pytest.approx(1.05e-3)
    assert np.all(np.diff(limit) < 0.0)
    assert np.all(np.diff(ignition.plug_gap_use(0.7e-3, limit)) > 0.0)
    assert ignition.plug_gap_limit(1.05e-3, 1.18, 1.5, 0.2) > limit[1]
