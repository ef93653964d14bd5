"""Charge cooler away from its rating and its core as it warms: by hand, against an integration, by behaviour."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from enginelimits.physics.airflow import heat_soak


def test_effectiveness_at_its_own_flow():
    assert heat_soak.effectiveness_at_flow(0.7, 0.2, 0.2) == pytest.approx(0.7)
    assert heat_soak.effectiveness_at_flow(0.0, 0.1, 0.2) == 0.0


def test_constant_conductance_by_hand():
    # One transfer unit: 1 - 1/e.  Twice the flow at the same conductance: half a unit, 1 - exp(-0.5) = 0.393469
    assert heat_soak.effectiveness_at_flow(1.0 - math.exp(-1.0), 0.4, 0.2, 0.0) == pytest.approx(0.393469, abs=1e-6)


@given(rated=st.floats(0.2, 0.95), flow=st.floats(0.02, 0.5), more=st.floats(1.05, 3.0), power=st.floats(0.0, 0.8))
def test_more_flow_is_cooled_less_far_and_gives_more_heat(rated: float, flow: float, more: float, power: float):
    one, two = (heat_soak.effectiveness_at_flow(rated, f, 0.2, power) for f in (flow, flow * more))
    assert two < one
    assert two * more > one


def integrated(seconds: float, rest: float, pulls: int) -> tuple[float, float]:
    """Core and charge behind it, K, at the end: one lump of 4 kg aluminium, integrated by scipy.

    Charge 0.15 kg/s of 380 K, air of 300 K; effectiveness 0.8 toward the core; heat to the air such that an endless
    pull leaves the core 0.3 of the way up: 0.15 x 1005 x 0.8 x 56 K = conductance x 24 K.
    """
    conductance = 0.15 * 1005.0 * 0.8 * 56.0 / 24.0

    def run(start: float, blowing: float, time: float) -> float:
        def rate(_: float, core: np.ndarray) -> np.ndarray:
            heating = blowing * 0.15 * 1005.0 * 0.8 * (380.0 - core)
            return (heating - conductance * (core - 300.0)) / (4.0 * 900.0)

        return float(solve_ivp(rate, (0.0, time), [start], rtol=1e-9, atol=1e-9).y[0, -1])

    core = 300.0
    for n in range(pulls):
        core = run(core, 1.0, seconds)
        if n < pulls - 1 and rest:
            core = run(core, 0.0, rest)
    return core, 380.0 - 0.8 * (380.0 - core)


@pytest.mark.parametrize(("seconds", "rest", "pulls"), [(12.0, 0.0, 1), (8.0, 5.0, 3), (10.0, 2.0, 6), (300.0, 9.0, 2)])
def test_core_against_an_integration(seconds: float, rest: float, pulls: int):
    core, charge = integrated(seconds, rest, pulls)
    soak = heat_soak.core_soak(0.15, 0.8, 4.0, 0.3, seconds, rest, float(pulls))
    assert 300.0 + soak * 0.3 * 80.0 == pytest.approx(core, abs=1e-4)
    assert heat_soak.temperature_of_soaked_core(380.0, 300.0, 0.8, 0.3, soak) == pytest.approx(charge, abs=1e-4)


def test_pulls_without_rest_are_one_long_pull():
    many = heat_soak.core_soak(0.15, 0.8, 4.0, 0.3, 5.0, 0.0, 4.0)
    assert many == pytest.approx(heat_soak.core_soak(0.15, 0.8, 4.0, 0.3, 20.0))


def test_nothing_to_soak():
    assert heat_soak.core_soak(0.15, 0.0, 4.0, 0.3, 12.0) == 0.0
    assert heat_soak.core_soak(0.15, 0.7, 4.0, 0.0, 12.0) == 0.0
    assert heat_soak.core_soak(0.15, 0.7, 4.0, 0.3, 0.0, 0.0, 3.0) == 0.0
    assert heat_soak.temperature_of_soaked_core(360.0, 300.0, 0.0, 0.3, 0.0) == 360.0
    assert np.isnan(heat_soak.core_soak(np.nan, 0.7, 4.0, 0.3, 12.0))


@given(mass=st.floats(1.0, 30.0), share=st.floats(0.1, 0.7), rest=st.floats(1.0, 120.0))
def test_lighter_cores_shorter_rests_and_more_pulls_soak_more(mass: float, share: float, rest: float):
    pulls = np.array([1.0, 2.0, 3.0, 10.0])
    got = heat_soak.core_soak(0.18, 0.7, mass, share, 12.0, rest, pulls)
    assert np.all(np.diff(got) >= -1e-12)
    assert np.all(got <= 1.0)
    assert np.all(heat_soak.core_soak(0.18, 0.7, 1.2 * mass, share, 12.0, rest, 1.0) <= got[0] + 1e-12)
    assert np.all(heat_soak.core_soak(0.18, 0.7, mass, share, 12.0, 2.0 * rest, pulls) <= got + 1e-12)
