"""How heat, radiator, oil and crankcase must behave, whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.support import crankcase, engine_heat, radiator

CORE = {"effectiveness": st.floats(0.25, 0.75), "capacity_ratio": st.floats(0.05, 0.45),
        "conductance_exponent": st.floats(0.1, 0.9)}


@given(**CORE)
def test_rated_air_gives_the_rated_heat(effectiveness, capacity_ratio, conductance_exponent):
    got = radiator.heat_at_air_flow(60e3, effectiveness, capacity_ratio, conductance_exponent, 1.0)
    assert got == pytest.approx(60e3, rel=1e-6)


@given(**CORE)
def test_more_air_sheds_more_heat_and_less_than_in_proportion(effectiveness, capacity_ratio, conductance_exponent):
    flow = np.linspace(0.3, 2.5, 12)
    got = radiator.heat_at_air_flow(60e3, effectiveness, capacity_ratio, conductance_exponent, flow)
    assert np.all(np.diff(got) > 0.0)
    assert np.all(np.diff(got / flow) < 0.0)


def test_air_falls_with_height_heat_and_what_stands_in_front():
    given_ = (30.0, 27.8, 10.0)
    whole = radiator.air_flow_ratio(*given_, 101325.0, 298.15, 0.0)
    assert radiator.air_flow_ratio(*given_, 79500.0, 298.15, 0.0) < whole
    assert radiator.air_flow_ratio(*given_, 101325.0, 318.15, 0.0) < whole
    assert radiator.air_flow_ratio(*given_, 101325.0, 298.15, 0.15) == pytest.approx(0.85 * whole, rel=1e-12)
    # a car that stands has what its fan moves
    assert 0.0 < radiator.air_flow_ratio(0.0, 27.8, 10.0, 101325.0, 298.15, 0.0) < whole


@given(heat_w=st.floats(1e3, 4e4), block=st.floats(80.0, 600.0), sump=st.floats(10.0, 100.0))
def test_heat_of_the_oil_is_all_accounted_for(heat_w, block, sump):
    oil = engine_heat.oil_temperature(heat_w, 370.0, 308.0, block, sump, 1.0, 9e3, 60.0, 300.0)
    shed = block * (oil - 370.0) + (sump + 9e3 / 60.0) * (oil - 308.0)
    assert shed == pytest.approx(heat_w, rel=1e-9)


@given(heat_w=st.floats(0.0, 4e4), opens=st.floats(340.0, 370.0))
def test_an_oil_cooler_never_heats_and_its_thermostat_never_overcools(heat_w, opens):
    bare, cooled = (float(engine_heat.oil_temperature(heat_w, 370.0, 300.0, 260.0, 35.0, fitted, 9e3, 60.0, opens))
                    for fitted in (0.0, 1.0))
    assert cooled <= bare + 1e-9
    assert cooled >= min(bare, opens) - 1e-9


def test_heat_to_coolant_and_oil_is_what_the_engine_gives():
    walls, manifold, friction, pistons = 80e3, 15e3, 30e3, 3e3
    coolant = engine_heat.coolant_heat(800e3, walls / 800e3, 2 * manifold, 0.5, pistons, friction, 0.42)
    oil = engine_heat.oil_heat(pistons, friction, 0.42, 0.0, 0.0)
    assert coolant + oil == pytest.approx(walls - manifold + friction, rel=1e-12)


def test_jets_move_heat_from_rings_to_oil():
    dry, wet = (engine_heat.crown_heat_to_oil(4e3, 4, 640.0, 115.0, 90.0, jets) for jets in (0.0, 1.0))
    assert 0.0 < dry < wet < 16e3


def test_what_does_not_drive_gas_past_rings_is_left_out():
    angle = np.linspace(-2 * np.pi, 2 * np.pi, 721)
    assert crankcase.driving_pressure(np.full(721, 1.5e5), angle, 101325.0) == 0.0
    lanes = np.stack([np.full(721, 4e5), np.full(721, 8e5)])
    assert crankcase.driving_pressure(lanes, angle, np.array([101325.0, 90e3])) == pytest.approx([4e5, 8e5])


def test_a_gap_that_has_closed_leaks_no_less_than_nothing():
    closed = crankcase.blow_by(8e5, 0.2e-3, 0.25e-3, 0.3e-3, 0.15e-6, 450.0, 4)
    just = crankcase.blow_by(8e5, 0.2e-3, 0.20e-3, 0.3e-3, 0.15e-6, 450.0, 4)
    open_ = crankcase.blow_by(8e5, 0.4e-3, 0.20e-3, 0.3e-3, 0.15e-6, 450.0, 4)
    assert closed == just < open_
