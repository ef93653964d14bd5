"""How a compressor's map behaves: what is read off it, where it ends, and which way wheel, site and boost push."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enginelimits.physics.airflow import compressor, compressor_margins, engine_flow
from enginelimits.physics.airflow.compressor_map import lines_in_order, map_at_speed, read_map
from enginelimits.physics.airflow.generic_map import (
    choke_end_flow,
    class_map_at_speed,
    efficiency_on_line,
    read_class_map,
    surge_end_share,
)

LB_PER_MIN = 0.45359237 / 60.0
NAN = np.nan

# An invented wheel that follows the fan laws exactly: flow goes with speed, isentropic head with its square, efficiency
# with place on the line alone.  What a map must show between its lines is then known without interpolating.
SPEEDS = np.array([200.0, 260.0, 330.0, 400.0, 470.0])
SHARE_FLOW = np.array([2.0e-4, 2.8e-4, 3.5e-4, 4.0e-4, 4.2e-4])  # kg/s per m/s
SHARE_HEAD = np.array([1.60e-6, 1.58e-6, 1.45e-6, 1.20e-6, 0.90e-6])  # per m^2/s^2
SHARE_ETA = np.array([0.66, 0.74, 0.76, 0.71, 0.60])
FLOW = SPEEDS[:, None] * SHARE_FLOW
RATIO = (1.0 + SPEEDS[:, None] ** 2 * SHARE_HEAD) ** 3.5
ETA = np.broadcast_to(SHARE_ETA, FLOW.shape)
SIMILAR = (SPEEDS, FLOW, RATIO, ETA)


def fan_law(speed, place):
    """Flow, pressure ratio and efficiency of the invented wheel, at any speed and a place counted in its points."""
    at = np.arange(5.0)
    head = speed**2 * np.interp(place, at, SHARE_HEAD)
    return speed * np.interp(place, at, SHARE_FLOW), (1.0 + head) ** 3.5, np.interp(place, at, SHARE_ETA)


@given(speed=st.floats(30.0, 470.0), place=st.floats(0.0, 4.0))
@settings(max_examples=200, deadline=None)
def test_between_lines_the_fan_laws_hold(speed, place):
    flow, ratio, eta = fan_law(speed, place)
    found = read_map(flow, ratio, *SIMILAR)
    assert found.inside
    assert found.corrected_tip_speed_m_s == pytest.approx(speed, rel=1e-6)
    assert found.efficiency == pytest.approx(eta, abs=1e-5)
    assert found.surge_flow_kg_s <= flow * (1.0 + 1e-6) and flow * (1.0 - 1e-6) <= found.choke_flow_kg_s
    again = map_at_speed(flow, speed, *SIMILAR)
    assert again.pressure_ratio == pytest.approx(ratio, rel=1e-6)
    assert again.efficiency == pytest.approx(eta, abs=1e-5)


def test_surge_flow_is_that_of_the_surge_line_at_the_same_pressure_ratio():
    # On the invented wheel's surge line head is 1.60e-6 U^2 and flow 2.0e-4 U: at a ratio of 2, by hand, head is
    # 2^(2/7) - 1 = 0.219014, U = 369.98 m/s, flow 0.073996 kg/s; its choke end, 0.90e-6 and 4.2e-4, asks for more than
    # 470 m/s, so that its top line ends the map: 0.219014 / 470^2 = 0.991462e-6, at
    # 4.0e-4 + 0.2e-4 x (1.20 - 0.991462) / 0.30 = 4.13903e-4 of 470, 0.194534 kg/s.
    # Heads between points are straight over flow, not over place: both are straight on this stretch.
    found = read_map(0.12, 2.0, *SIMILAR)
    assert found.surge_flow_kg_s == pytest.approx(0.073996, abs=1e-6)
    assert found.choke_flow_kg_s == pytest.approx(0.194534, abs=1e-6)
    surge = compressor_margins.surge_margin(0.12, found.surge_flow_kg_s)
    choke = compressor_margins.choke_margin(0.12, found.choke_flow_kg_s)
    assert surge == pytest.approx(0.6217, abs=1e-4)  # 0.12 / 0.073996 - 1
    assert choke == pytest.approx(0.3831, abs=1e-4)  # 1 - 0.12 / 0.194534


def test_what_the_map_does_not_show_is_not_a_number_and_says_which_side():
    surge_side, choke_side, too_fast, too_high, no_boost, fine = range(6)
    flow = np.array([0.06, 0.21, 0.18, 0.12, 0.12, 0.12])
    ratio = np.array([2.0, 1.5, 2.4, 4.0, 0.95, 2.0])
    found = read_map(flow, ratio, *SIMILAR)
    assert found.inside.tolist() == [False] * 5 + [True]
    assert np.isnan(found.efficiency).tolist() == [True] * 5 + [False]
    assert np.isnan(found.corrected_tip_speed_m_s).tolist() == [True] * 5 + [False]
    surge = compressor_margins.surge_margin(flow, found.surge_flow_kg_s)
    choke = compressor_margins.choke_margin(flow, found.choke_flow_kg_s)
    assert surge[surge_side] < 0.0 < choke[surge_side]
    assert choke[choke_side] < 0.0 < surge[choke_side]
    assert found.above_top_line.tolist() == [False, False, True, True, False, False]
    assert np.isnan(surge[too_high]) and np.isnan(choke[too_high]) and np.isnan(surge[no_boost])
    assert surge[fine] > 0.0 and choke[fine] > 0.0
    assert choke[too_fast] < 0.0, "at that ratio the top line gives less"


def test_below_the_lowest_line_is_marked():
    flow, ratio, _ = fan_law(np.array([120.0, 199.0, 201.0]), 2.0)
    assert read_map(flow, ratio, *SIMILAR).below_lowest_line.tolist() == [True, True, False]


def test_every_point_is_on_its_own_map():
    found = read_map(FLOW, RATIO, *SIMILAR)
    assert found.inside.all()
    assert np.allclose(found.efficiency, ETA, atol=1e-9)
    assert np.allclose(found.corrected_tip_speed_m_s, SPEEDS[:, None], rtol=1e-9)


def test_lines_need_not_be_sampled_alike():
    # The same wheel with points left out of every other line, where the curve is straight between the ones kept
    flow, ratio, eta = FLOW.copy(), RATIO.copy(), np.array(ETA)
    extra = 0.5 * (SHARE_FLOW[0] + SHARE_FLOW[1]), 0.5 * (SHARE_HEAD[0] + SHARE_HEAD[1]), 0.70
    wide = [np.concatenate([v, np.full((5, 1), NAN)], axis=1) for v in (flow, ratio, eta)]
    for line in (1, 3):
        u = SPEEDS[line]
        wide[0][line] = u * np.insert(SHARE_FLOW, 1, extra[0])
        wide[1][line] = (1.0 + u**2 * np.insert(SHARE_HEAD, 1, extra[1])) ** 3.5
        wide[2][line] = np.insert(SHARE_ETA, 1, extra[2])
    speed, place = np.meshgrid([150.0, 230.0, 300.0, 440.0], [0.0, 0.4, 1.5, 2.7, 4.0])
    m, r, e = fan_law(speed, place)
    found = read_map(m, r, SPEEDS, *wide)
    assert np.allclose(found.corrected_tip_speed_m_s, speed, rtol=1e-6)
    assert np.allclose(found.efficiency, e, atol=1e-5)


def test_upright_choke_and_level_top_are_read():
    # No change of flow at choke, none of pressure near surge: neither breaks the reading, by hand at the middles
    flow = [[0.05, 0.10, 0.14, 0.14], [0.08, 0.15, 0.20, 0.20], [0.12, 0.21, 0.26, 0.26]]
    ratio = [[1.5, 1.5, 1.4, 1.2], [2.0, 2.0, 1.8, 1.4], [2.7, 2.7, 2.4, 1.7]]
    eta = [[0.66, 0.74, 0.70, 0.58]] * 3
    found = read_map([0.115, 0.20, 0.20], [2.0, 1.6, 1.8], [250.0, 330.0, 410.0], flow, ratio, eta)
    assert found.inside.all()
    assert np.allclose(found.corrected_tip_speed_m_s, 330.0, rtol=1e-9)
    assert found.efficiency[0] == pytest.approx(0.70, abs=1e-9)  # half of the way from 0.08 to 0.15
    assert 0.58 < found.efficiency[1] < 0.70 == pytest.approx(found.efficiency[2])


def test_lines_that_cross_give_nothing():
    crossed = (SPEEDS, FLOW, RATIO[[0, 2, 1, 3, 4]], ETA)
    assert lines_in_order(*SIMILAR) and not lines_in_order(*crossed)
    found = read_map([0.1, 0.12], 1.8, *crossed)
    assert np.isnan(found.efficiency).all() and not found.inside.any() and np.isnan(found.surge_flow_kg_s).all()
    assert np.isnan(map_at_speed(0.1, 300.0, *crossed).pressure_ratio)


def test_surge_line_rises():
    ratio = np.linspace(1.01, 2.5, 120)
    for found in (read_map(0.1, ratio, *SIMILAR), read_class_map(0.1, ratio, 0.048, 0.81)):
        assert np.all(np.diff(found.surge_flow_kg_s) > 0.0)
        assert np.all(found.surge_flow_kg_s < found.choke_flow_kg_s)


def test_margins_are_told_over_surge_and_under_choke():
    # common practice, no source: 10 to 15 % of flow over surge is the room wanted at full load
    assert compressor_margins.surge_margin(0.115, 0.100) == pytest.approx(0.15)
    assert compressor_margins.surge_margin(0.09, 0.100) == pytest.approx(-0.10)
    assert compressor_margins.choke_margin(0.33, 0.30) == pytest.approx(-0.10)
    assert np.isnan(compressor_margins.surge_margin(0.1, 0.0))


@pytest.fixture(params=["map", "class"])
def reading(request):
    """Reading of a wheel so many times as large across as the first, from the arrays of a map or the class."""
    if request.param == "map":
        # A wheel of the same drawing passes flow in proportion to its area at the same tip speeds.
        return lambda flow, ratio, size: read_map(flow, ratio, SPEEDS, FLOW * size**2, RATIO, ETA)
    return lambda flow, ratio, size: read_class_map(flow, ratio, 0.040 * size, 0.81)


@given(ratio=st.floats(1.05, 2.3), flow=st.floats(0.02, 0.4), size=st.floats(0.7, 1.5))
@settings(max_examples=100, deadline=None)
def test_a_smaller_compressor_never_has_more_room_to_choke(ratio, flow, size):
    for read in (
        lambda k: read_map(flow, ratio, SPEEDS, FLOW * k**2, RATIO, ETA),
        lambda k: read_class_map(flow, ratio, 0.040 * k, 0.81),
    ):
        large, small = (read(k).choke_flow_kg_s for k in (size, 0.93 * size))
        margins = [compressor_margins.choke_margin(flow, choke) for choke in (large, small)]
        assert margins[1] <= margins[0]
        rooms = [compressor_margins.surge_margin(flow, read(k).surge_flow_kg_s) for k in (size, 0.93 * size)]
        assert rooms[1] >= rooms[0]


def test_a_larger_inducer_turns_slower_at_the_same_duty_right_of_its_best_flow(reading):
    sizes = np.linspace(0.95, 1.06, 8)
    found = [reading(0.15, 1.7, size) for size in sizes]
    # The duty stays right of the best flow: efficiency rises with the wheel
    assert np.all(np.diff([f.efficiency for f in found]) > 0.0)
    use = [compressor.speed_use(f.corrected_tip_speed_m_s, 510.0) for f in found]
    assert np.all(np.diff(use) < 0.0)


def test_equal_gauge_boost_at_altitude_asks_for_more_tip_speed(reading):
    # 10 psi of gauge boost on a two-litre engine at 6000 rpm; barometers of the standard atmosphere at 0, 1000, 2000
    # and 3000 m: 101.325, 89.875, 79.495 and 70.109 kPa (ISO 2533)
    barometer = np.array([101325.0, 89875.0, 79495.0, 70109.0])
    ratio = compressor.pressure_ratio(barometer + 68948.0, 5e3, barometer - 2.5e3)
    density = engine_flow.manifold_density(barometer + 68948.0, 318.0)
    flow = compressor.corrected_flow(
        engine_flow.air_mass_flow(0.95, density, 2.0e-3, 628.3), 298.15, barometer - 2.5e3
    )
    found = reading(flow, ratio, 1.25)
    assert found.inside.all()
    assert np.all(np.diff(found.corrected_tip_speed_m_s) > 0.0)


def test_a_hot_day_turns_the_wheel_faster():
    # By the square root of temperature: (313.15 / 298.15)^0.5 = 1.02485
    got = compressor_margins.tip_speed_from_corrected(450.0, 313.15)
    assert got == pytest.approx(450.0 * 1.02485, rel=1e-5)


def test_any_shape_of_lanes():
    flow, ratio = np.full((2, 1, 3), 0.14), np.linspace(1.6, 2.0, 4).reshape(1, 4, 1)
    for found in (read_map(flow, ratio, *SIMILAR), read_class_map(flow, ratio, 0.042, np.full((1, 4, 1), 0.8))):
        assert {np.shape(v) for v in found} == {(2, 4, 3)}
        assert found.inside.all()
    assert np.shape(read_map(0.14, 1.8, *SIMILAR).efficiency) == ()
    assert np.shape(map_at_speed(flow, 400.0, *SIMILAR).efficiency) == (2, 1, 3)


@given(
    speed=st.floats(60.0, 595.0), place=st.floats(1e-6, 1.0 - 1e-6), inducer=st.floats(0.03, 0.09),
    choked=st.floats(0.68, 0.92), surge=st.floats(0.86, 1.14), fall=st.floats(0.1, 0.25), best=st.floats(0.37, 0.56),
    choke=st.floats(0.55, 0.64), surge_eta=st.floats(0.60, 0.70), peak=st.floats(0.71, 0.78),
    work=st.floats(0.74, 0.83),
)  # fmt: skip
@settings(max_examples=300, deadline=None)
def test_class_map_finds_the_speed_that_gives_a_pressure_ratio(
    speed, place, inducer, choked, surge, fall, best, choke, surge_eta, peak, work
):
    more = (inducer, choked, surge, work, fall, peak, choke, surge_eta, best)
    end, share = choke_end_flow(speed, inducer, choked), surge_end_share(speed, surge)
    flow = end * (share + place * (1.0 - share))
    point = class_map_at_speed(flow, speed, *more)
    found = read_class_map(flow, point.pressure_ratio, *more)
    assert found.inside
    assert found.corrected_tip_speed_m_s == pytest.approx(speed, rel=1e-5)
    assert found.efficiency == pytest.approx(point.efficiency, abs=1e-5)


def test_class_map_ends_where_it_says():
    end, share = choke_end_flow(400.0, 0.048, 0.81), surge_end_share(400.0)
    flow = end * np.array([0.999 * share, share, 1.0, 1.001])
    assert np.isfinite(class_map_at_speed(flow, 400.0, 0.048, 0.81).efficiency).tolist() == [False, True, True, False]
    assert np.isnan(class_map_at_speed(0.2, 601.0, 0.048, 0.81).efficiency)
    found = read_class_map([0.05, 0.40, 0.30, 0.30], [2.0, 2.0, 4.5, 0.99], 0.048, 0.81)
    assert not found.inside.any()
    assert np.isnan(found.efficiency).all() and np.isnan(found.corrected_tip_speed_m_s).all()
    assert found.above_top_line.tolist() == [False, False, True, False]


@pytest.mark.parametrize(("inducer", "low", "high"), [(0.044, 35.0, 44.0), (0.048, 43.0, 48.0), (0.054, 50.0, 62.0)])
def test_class_choke_flow_is_that_of_the_trade(inducer, low, high):
    # from memory: 48 mm 45 to 48 lb/min; 44 mm 35 to 42 and 54 mm 52 to 60; choke flow goes with the inducer's area,
    # 12 % either way
    flow = choke_end_flow(500.0, inducer, 0.81) / LB_PER_MIN
    assert low <= flow <= high


def test_class_island_is_where_the_trade_has_it():
    # from memory: best 0.74 to 0.78 at a ratio of 1.8 to 2.2 and 0.55 to 0.70 of the greatest flow; about 0.60 at the
    # choke end, 0.66 near surge
    greatest = choke_end_flow(500.0, 0.048, 0.81)
    ratio, share = np.meshgrid(np.linspace(1.3, 3.0, 171), np.linspace(0.1, 1.0, 181))
    found = read_class_map(share * greatest, ratio, 0.048, 0.81)
    best = np.unravel_index(np.nanargmax(found.efficiency), ratio.shape)
    assert 0.74 <= found.efficiency[best] <= 0.78
    assert 1.8 <= ratio[best] <= 2.2
    assert 0.55 <= share[best] <= 0.70
    line = efficiency_on_line(np.array([surge_end_share(370.0), 1.0]), surge_end_share(370.0), 370.0)
    assert line == pytest.approx([0.66, 0.60], abs=0.015)


def test_class_surge_line_is_that_of_the_trade():
    # from memory: a wheel of 48 mm that chokes at 45 to 48 lb/min surges at 8 to 11 lb/min at a ratio of 1.5, 13 to 17
    # at 2 and 23 to 28 at 3
    surge = read_class_map(0.2, [1.5, 2.0, 3.0], 0.048, 0.81).surge_flow_kg_s / LB_PER_MIN
    assert np.all(surge > [8.0, 13.0, 23.0]) and np.all(surge < [11.0, 17.0, 28.0])


def test_class_tip_speeds_are_those_of_the_trade():
    # from memory: a ratio of 2 takes 350 to 400 m/s, 3 takes 460 to 520 in the middle of the map; a cast wheel's limit,
    # 480 to 520 m/s, is what ends maps at a ratio of 3 to 3.4
    found = read_class_map([0.20, 0.26], [2.0, 3.0], 0.048, 0.81).corrected_tip_speed_m_s
    assert 350.0 <= found[0] <= 400.0
    assert 460.0 <= found[1] <= 520.0
