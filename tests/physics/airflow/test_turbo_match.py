"""Where turbine, gate, compressor and engine agree: against a solver of another kind, and by behaviour."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, fsolve

from enginelimits.physics.airflow.turbo_match import (
    TurboMatch,
    _first_balance,
    boost_creep,
    boost_threshold,
    gate_area,
    turbo_match,
)

SPEEDS = np.arange(1500.0, 7501.0, 250.0) * math.pi / 30.0
RELATIVE = SPEEDS / SPEEDS[-1]
ORDINARY: dict[str, object] = {
    "boost_asked_pa": 69e3,
    "barometer_pa": 101e3,
    "inlet_pressure_pa": 101e3 - 2.5e3 * RELATIVE**2,
    "inlet_temperature_k": 298.0,
    "cooling_air_temperature_k": 298.0,
    "speed_rad_s": SPEEDS,
    "displacement_m3": 2e-3,
    "volumetric_efficiency": 0.93,
    "compression_ratio": 11.0,
    "compressor_efficiency": 0.70,
    "cooler_effectiveness": 0.70,
    "cooler_drop_pa": 5e3 * RELATIVE**2,
    "exhaust_temperature_k": 980.0 + 200.0 * RELATIVE,
    "air_fuel_ratio": 11.8,
    "after_turbine_loss_pa": 20e3 * RELATIVE**2,
    "swallowing_kg_s": 0.14,
    "turbine_efficiency": 0.64,
    "gate_area_m2": gate_area(0.036),
}


def match(**other: object) -> TurboMatch:
    return turbo_match(**{**ORDINARY, **other})


def by_hand(at: int) -> dict[str, float]:
    """One point of the ordinary engine, each formula written out; SI."""
    taken = {k: float(np.broadcast_to(v, SPEEDS.shape)[at]) for k, v in ORDINARY.items()}
    kelvin, outlet = taken["exhaust_temperature_k"], taken["barometer_pa"] + taken["after_turbine_loss_pa"]

    def air(manifold: float, before: float) -> float:
        work = compressor_work(manifold)
        hot = 298.0 + work / 1005.0
        cool = hot - 0.7 * (hot - 298.0)
        filling = 0.93 * (1.0 - (before / manifold - 1.0) / (1.3 * 10.0))
        return filling * manifold / (287.05287 * cool) * 2e-3 * taken["speed_rad_s"] / (4.0 * math.pi)

    def compressor_work(manifold: float) -> float:
        ratio = (manifold + taken["cooler_drop_pa"]) / taken["inlet_pressure_pa"]
        return 1005.0 * 298.0 * (ratio ** (0.4 / 1.4) - 1.0) / 0.70

    def through_turbine(before: float) -> float:
        felt = min(before / outlet, 0.54036**-2)
        return 0.14 * math.sqrt((1.0 - felt**-2) / 0.75) * before / 1e5 * math.sqrt(288.0 / kelvin)

    def through_gate(before: float) -> float:
        r = max(outlet / before, 0.54036)
        flow = r ** (1 / 1.33) * math.sqrt(2 * 1.33 / 0.33 * (1 - r ** (0.33 / 1.33)))
        return 0.7 * math.pi / 4 * 0.036**2 * before / math.sqrt(287.053 * kelvin) * flow

    def turbine_work(before: float) -> float:
        return 0.64 * 1150.0 * kelvin * (1.0 - (before / outlet) ** (-0.33 / 1.33))

    rich = 1.0 + 1.0 / 11.8

    def held_back(manifold: float, opening: float) -> float:
        def left(before: float) -> float:
            return through_turbine(before) + opening * through_gate(before) - rich * air(manifold, before)

        return float(brentq(left, outlet * (1 + 1e-9), 2e6, xtol=1e-6))

    def settled(opening: float) -> float:
        """Manifold pressure at which powers agree, the pressure before the turbine found for each."""

        def left(manifold: float) -> float:
            before = held_back(manifold, opening)
            return through_turbine(before) * turbine_work(before) - air(manifold, before) * compressor_work(manifold)

        for low in np.arange(95e3, 500e3, 2e3):
            if left(low) > 0.0 >= left(low + 2e3):
                return float(brentq(left, low, low + 2e3, xtol=1e-6))
        return math.inf

    def asked(pair: list[float]) -> list[float]:
        before, share = pair[0] * 1e5, pair[1]
        manifold = 170e3
        exhaust = rich * air(manifold, before)
        return [
            through_turbine(before) / exhaust - 1.0 + share,
            (1.0 - share) * rich * turbine_work(before) / compressor_work(manifold) - 1.0,
        ]

    before, share = fsolve(asked, [1.8, 0.2], xtol=1e-12)
    return {
        "available": settled(0.0) - 101e3, "least": settled(1.0) - 101e3, "before": before * 1e5, "share": share,
        "flow": air(170e3, before * 1e5),
    }  # fmt: skip


@pytest.mark.parametrize("at", [2, 6, 8, 14, 20, 24])
def test_against_nested_solvers_of_scipy(at: int) -> None:
    got, hand = match(), by_hand(at)
    if hand["available"] < 400e3:
        assert got.boost_available_pa[at] == pytest.approx(hand["available"], rel=1e-5)
    else:
        assert got.boost_available_pa[at] == 400e3
    assert got.least_boost_pa[at] == pytest.approx(hand["least"], abs=2.0)
    if hand["available"] > 69e3:
        assert got.exhaust_pressure_pa[at] == pytest.approx(hand["before"], rel=1e-6)
        assert got.bypass_share[at] == pytest.approx(hand["share"], abs=1e-6)
        assert got.mass_flow_kg_s[at] == pytest.approx(hand["flow"], rel=1e-6)


def test_powers_and_flows_balance_everywhere() -> None:
    for gate in (0.0, gate_area(0.020), gate_area(0.036)):
        got = match(gate_area_m2=gate, boost_asked_pa=200e3)
        # Without a gate boost runs past all that is looked for; there is no point then, and none is told.
        away = got.least_boost_pa >= 400e3
        assert away.any() == (gate == 0.0)
        assert np.all(got.residual[~away] < 1e-6)
        assert np.all(np.isnan(got.boost_pa[away]) & np.isnan(got.residual[away]))
    # nothing to do at all: neither losses nor boost
    idle = match(boost_asked_pa=0.0, cooler_drop_pa=0.0, inlet_pressure_pa=101e3, gate_area_m2=gate_area(0.06))
    assert np.all(np.isfinite(idle.residual) & (idle.residual < 1e-6))


def test_no_more_than_asked_and_no_more_than_there() -> None:
    got = match()
    assert np.all(got.boost_pa <= np.minimum(69e3, got.boost_available_pa) + 1e-6)
    short = got.boost_available_pa < 69e3
    assert short.any()
    assert not short.all()
    assert np.all(got.bypass_share[short] == 0.0)
    assert np.all(got.bypass_share[~short] > 0.0)
    assert np.all(np.diff(got.boost_available_pa[:8]) > 0.0)


def test_a_gate_too_small_creeps() -> None:
    got = match(boost_asked_pa=30e3, gate_area_m2=gate_area(0.018))
    creep = boost_creep(got.least_boost_pa, 30e3)
    assert creep[-1] > 20e3
    assert got.boost_pa[-1] == got.least_boost_pa[-1]
    assert np.all(np.diff(creep) >= 0.0)
    assert np.all(boost_creep(match().least_boost_pa, 69e3) == 0.0)


def test_without_a_gate_the_least_is_all_there_is() -> None:
    got = match(gate_area_m2=0.0)
    np.testing.assert_allclose(got.least_boost_pa, got.boost_available_pa, rtol=1e-6)


def test_unknown_gate_leaves_the_rest_known() -> None:
    got, known = match(gate_area_m2=np.nan), match()
    assert np.all(np.isnan(got.least_boost_pa))
    np.testing.assert_allclose(got.exhaust_pressure_pa, known.exhaust_pressure_pa, rtol=1e-6)
    assert np.all(got.residual < 1e-6)


def test_unknown_temperature_leaves_all_unknown() -> None:
    got = match(exhaust_temperature_k=np.nan)
    assert all(np.isnan(v).all() for v in (got.boost_pa, got.exhaust_pressure_pa, got.bypass_share, got.residual))


def test_an_exhaust_that_cannot_get_out_has_no_point() -> None:
    # 10 g/s of swallowing and no gate: choked below the expansion of 6 at which the search ends
    got = match(swallowing_kg_s=0.012, gate_area_m2=0.0)
    assert np.isnan(got.boost_pa[-1])
    assert np.isnan(got.exhaust_pressure_pa[-1])


def test_shapes_are_those_of_the_batch() -> None:
    got = match(swallowing_kg_s=np.full((3, 1), 0.14), barometer_pa=np.array([101e3, 90e3])[:, None, None])
    assert got.boost_pa.shape == got.least_boost_pa.shape == got.residual.shape == (2, 3, SPEEDS.size)


@settings(max_examples=30)
@given(swallowing=st.floats(0.09, 0.22), more=st.floats(1.05, 1.4), asked=st.floats(40e3, 100e3))
def test_larger_turbine_later_and_freer(swallowing: float, more: float, asked: float) -> None:
    small = match(swallowing_kg_s=swallowing, boost_asked_pa=asked)
    large = match(swallowing_kg_s=swallowing * more, boost_asked_pa=asked)
    assert np.all(large.boost_available_pa <= small.boost_available_pa * (1.0 + 1e-9))
    starts = [boost_threshold(m.boost_pa, asked, SPEEDS).item() for m in (small, large)]
    if not math.isnan(starts[1]):
        assert starts[0] <= starts[1]
    both = (small.boost_pa >= asked * 0.999999) & (large.boost_pa >= asked * 0.999999)
    assert np.all(large.exhaust_pressure_pa[both] < small.exhaust_pressure_pa[both])
    assert np.all(large.mass_flow_kg_s[both] > small.mass_flow_kg_s[both])


@settings(max_examples=20)
@given(lower=st.floats(70e3, 98e3))
def test_thin_air_at_equal_gauge_boost_gives_less(lower: float) -> None:
    sea, high = match(), match(barometer_pa=lower, inlet_pressure_pa=lower - 2.5e3 * RELATIVE**2)
    assert np.all(high.mass_flow_kg_s < sea.mass_flow_kg_s)
    late = [boost_threshold(m.boost_pa, 69e3, SPEEDS).item() for m in (sea, high)]
    assert late[0] < late[1]


@settings(max_examples=20)
@given(cooler=st.floats(0.0, 0.85), more=st.floats(0.01, 0.15))
def test_a_better_cooler_never_gives_less_air(cooler: float, more: float) -> None:
    poor, good = match(cooler_effectiveness=cooler), match(cooler_effectiveness=cooler + more)
    assert np.all(good.mass_flow_kg_s >= poor.mass_flow_kg_s * (1.0 - 1e-9))


@pytest.mark.parametrize("better", ["compressor_efficiency", "turbine_efficiency"])
def test_better_wheels_come_in_sooner_at_less_pressure(better: str) -> None:
    poor, good = match(), match(**{better: 0.75})
    assert np.all(good.boost_available_pa >= poor.boost_available_pa)
    assert good.exhaust_pressure_pa[-1] < poor.exhaust_pressure_pa[-1]
    assert boost_threshold(good.boost_pa, 69e3, SPEEDS) < boost_threshold(poor.boost_pa, 69e3, SPEEDS)


def test_two_small_turbines_are_one_large() -> None:
    one, two = match(swallowing_kg_s=0.16), match(swallowing_kg_s=0.08, turbines=2.0)
    np.testing.assert_allclose(one.exhaust_pressure_pa, two.exhaust_pressure_pa)


def test_threshold_by_hand() -> None:
    speeds = np.array([200.0, 300.0, 400.0, 500.0])
    # 95 % of 50 kPa is 47.5 kPa: half way from 40 to 55
    boost = np.array([[10e3, 40e3, 55e3, 50e3], [48e3, 50e3, 50e3, 50e3], [0.0, 1e3, 2e3, 3e3]])
    got = boost_threshold(boost, np.full(4, 50e3), speeds)
    assert got[:2] == pytest.approx([350.0, 200.0])
    assert np.isnan(got[2])
    # asked for over speed, and nothing asked for
    assert boost_threshold(np.array([0.0, 20e3, 40e3]), np.array([0.0, 40e3, 40e3]), speeds[:3]) == pytest.approx(390.0)
    assert np.isnan(boost_threshold(np.zeros(3), np.zeros(3), speeds[:3]))


def test_the_balance_is_where_power_turns_short_not_where_it_already_is():
    """Roots of a cubic by hand: short up to 1.3, in hand to 2, short to 3, in hand beyond; only 2 ends a surplus."""

    def left(ratio):
        return np.asarray(0.1 * (ratio - 1.3) * (ratio - 2.0) * (ratio - 3.0))

    assert -1.0 < float(left(1.0)) < 0.0
    assert float(_first_balance(left)) == pytest.approx(2.0, rel=1e-8)
