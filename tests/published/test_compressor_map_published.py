"""Compressor maps against a measured stage, a textbook's compressor and the figures of the trade."""

from __future__ import annotations

import math

import numpy as np
import pytest

from enginelimits.physics.airflow import compressor, compressor_margins, intercooler
from enginelimits.physics.airflow.compressor_map import lines_in_order, map_at_speed, read_map
from enginelimits.physics.airflow.generic_map import choke_end_flow, class_map_at_speed, read_class_map

PSI = 6894.757
LB_PER_MIN = 0.45359237 / 60.0
SEA_LEVEL = 101325.0

# NASA Glenn, High Efficiency Centrifugal Compressor data archive (2023), vaned stage, work of the US Government:
# corrected flow in kg/s, total pressure ratio, isentropic efficiency; three speed lines from surge to choke.
LINE_85 = [  # 84.84 to 85.00 % of design speed
    (3.38451, 3.36888, 0.83124), (3.48392, 3.35195, 0.83338), (3.53548, 3.33983, 0.83293), (3.59413, 3.29654, 0.82922),
    (3.67051, 3.26624, 0.82534), (3.76871, 3.19857, 0.81281), (3.84193, 3.09755, 0.79043), (3.88523, 3.00044, 0.76631),
    (3.91395, 2.89704, 0.74094), (3.92085, 2.79709, 0.71257), (3.92391, 2.69647, 0.68483), (3.93223, 2.53546, 0.63395),
]  # fmt: skip
LINE_95 = [  # 94.93 to 95.03 %
    (4.27445, 4.27811, 0.83033), (4.36253, 4.24529, 0.82891), (4.46077, 4.18441, 0.82476), (4.55861, 4.12538, 0.81850),
    (4.66545, 4.00545, 0.80343), (4.72371, 3.89555, 0.78730), (4.75177, 3.81022, 0.77382), (4.78698, 3.61451, 0.73849),
    (4.78192, 3.39929, 0.69828), (4.79397, 3.20722, 0.65987), (4.78617, 3.07058, 0.63126),
]  # fmt: skip
# The line between: speed in per cent, flow, pressure ratio, rise of total temperature over inlet, efficiency
LINE_90 = np.array([
    (89.96, 3.66388, 3.82561, 0.557094, 0.83437),
    (89.92, 3.77735, 3.80699, 0.554990, 0.83362),
    (89.89, 3.81996, 3.79670, 0.553684, 0.83361),
    (89.93, 3.89374, 3.78859, 0.552607, 0.83388),
    (89.96, 3.97515, 3.74595, 0.548176, 0.83186),
    (89.93, 4.06422, 3.68719, 0.543670, 0.82681),
    (89.93, 4.18423, 3.59125, 0.540995, 0.81108),
    (90.03, 4.26189, 3.49966, 0.539630, 0.79361),
    (89.93, 4.29057, 3.39738, 0.536137, 0.77614),
    (89.91, 4.31838, 3.29190, 0.534944, 0.75419),
    (89.98, 4.33690, 3.19695, 0.536519, 0.73044),
    (89.98, 4.34158, 2.99356, 0.536012, 0.68293),
    (89.98, 4.33492, 2.74806, 0.533035, 0.62483),
])  # fmt: skip
SPEED, FLOW, RATIO, RISE, EFFICIENCY = LINE_90.T


def _map(*lines):
    """Speeds in per cent stand for tip speeds: the map reads back whatever unit it was given."""
    longest = max(len(points) for _, points in lines)
    table = np.full((3, len(lines), longest), np.nan)
    for at, (_, points) in enumerate(lines):
        table[:, at, : len(points)] = np.array(points).T
    return (np.array([speed for speed, _ in lines]), *table)


NEIGHBOURS = _map((84.93, LINE_85), (94.97, LINE_95))


def test_efficiency_from_pressure_and_temperature_of_the_measured_stage():
    # An ideal gas of constant heat capacity shows 0.2 to 1.1 % more than the archive's real-gas figure.
    got = compressor.isentropic_efficiency(288.15, 288.15 * (1.0 + RISE), RATIO)
    excess = got / EFFICIENCY - 1.0
    assert np.all((excess > 0.002) & (excess < 0.011))


def test_measured_readings_are_on_their_own_map():
    own = _map((84.93, LINE_85), (89.94, LINE_90[:, [1, 2, 4]].tolist()), (94.97, LINE_95))
    assert lines_in_order(*own)
    found = read_map(FLOW, RATIO, *own)
    assert found.inside.all()
    # 1e-4: where the choked line leans back, a reading may lie on two stretches of it at once.
    assert np.allclose(found.efficiency, EFFICIENCY, atol=1e-4)
    assert np.allclose(found.corrected_tip_speed_m_s, 89.94, rtol=1e-4)


def test_a_line_left_out_is_predicted_in_pressure():
    # From the lines at 85 and 95 %: pressure ratio within 2 % where the line is not upright.  Left of 3.8 kg/s the
    # stage was taken nearer to surge at 90 % than at the two others: no reading there lies on their map.
    found = map_at_speed(FLOW, SPEED, *NEIGHBOURS)
    held = (EFFICIENCY > 0.79) & (FLOW > 3.85)
    assert held.sum() == 5
    assert np.all(np.abs(found.pressure_ratio[held] / RATIO[held] - 1.0) < 0.02)
    assert np.all(np.abs(found.efficiency[held] - EFFICIENCY[held]) < 0.01)
    assert np.isnan(found.pressure_ratio[FLOW < 3.8]).all()


def test_a_line_left_out_is_predicted_in_speed_and_efficiency():
    # Upright at choke, where flow says nothing of pressure, both together still say the speed: 0.5 %, and half a point
    # of efficiency.  The last reading was taken further down than those of the two others: 0.6 % beyond their map.
    found = read_map(FLOW, RATIO, *NEIGHBOURS)
    inside = found.inside
    assert inside.tolist() == [False] * 3 + [True] * 9 + [False]
    assert np.all(np.abs(found.corrected_tip_speed_m_s / SPEED - 1.0)[inside] < 0.005)
    assert np.all(np.abs(found.efficiency - EFFICIENCY)[inside] < 0.005)
    assert np.all(compressor_margins.surge_margin(FLOW, found.surge_flow_kg_s)[:3] < 0.0)
    assert -0.01 < compressor_margins.choke_margin(FLOW, found.choke_flow_kg_s)[-1] < 0.0


def test_choke_of_a_line_left_out():
    # Greatest flow of the 90 % line, 4.342 kg/s: at that speed the two others end within 1 % of it.
    flow = np.linspace(4.2, 4.5, 3001)
    shown = np.isfinite(map_at_speed(flow, 89.95, *NEIGHBOURS).pressure_ratio)
    assert flow[shown].max() == pytest.approx(4.342, rel=0.01)


@pytest.mark.parametrize(
    ("millimetre", "thousand_rpm"), [(50.0, 191.0), (54.0, 177.0), (58.0, 165.0), (62.0, 154.0)]
)
def test_shaft_speed_at_500_metres_a_second(millimetre, thousand_rpm):
    # common practice, no source: to a thousand rpm
    got = compressor_margins.shaft_speed(500.0, millimetre * 1e-3) * 30.0 / math.pi
    assert got == pytest.approx(thousand_rpm * 1e3, abs=500.0)


@pytest.mark.parametrize(("limit", "kind"), [(480.0, "cast"), (520.0, "cast"), (530.0, "milled"), (560.0, "milled")])
def test_wheel_limits_of_the_trade(limit, kind):
    # from memory: cast wheels 480 to 520 m/s, milled 530 to 560.  At 177000 rpm a 54 mm wheel is at the limit of a cast
    # one and has something left of a milled one.
    use = compressor.speed_use(compressor.tip_speed(0.054, 177e3 * math.pi / 30.0), limit)
    assert 0.96 <= use <= 1.05 if kind == "cast" else 0.88 <= use <= 0.95


def test_cengel_turbocharger():
    # Cengel & Boles, Thermodynamics, turbocharger problem (answers from memory): air 70 degC, 95 to 135 kPa, leaves at
    # 126.1 degC: efficiency 0.642.  0.01: the book takes a heat capacity by temperature.
    got = compressor.isentropic_efficiency(343.15, 399.25, 135.0 / 95.0)
    assert got == pytest.approx(0.642, abs=0.01)


@pytest.mark.parametrize(
    ("inducer", "ratio", "flow", "outlet", "cooled"),
    [(0.044, 1.63, 0.20, 88.0, 44.0), (0.047, 1.9, 0.225, 111.0, 51.0), (0.050, 2.2, 0.26, 131.0, 57.0)],
)
def test_class_map_heats_the_charge_as_the_trade_reckons(inducer, ratio, flow, outlet, cooled):
    # common practice, no source: 25 degC, efficiency taken as 0.70; 8, 12 and 16 psi on a two-litre engine, whose flow
    # is by hand, each with a wheel of its size.  6 K: the class is at 0.70 to 0.75 there.
    found = read_class_map(flow, ratio, inducer, 0.81)
    hot = compressor.outlet_temperature(298.15, ratio, found.efficiency)
    assert hot - 273.15 == pytest.approx(outlet, abs=6.0)
    assert intercooler.outlet_temperature(hot, 298.15, 0.70) - 273.15 == pytest.approx(cooled, abs=2.0)
    # the smallest of them at the greatest flow is worked beyond 0.65
    assert read_class_map(0.26, 2.2, 0.044, 0.81).efficiency < 0.65


def test_class_map_makes_the_density_of_eight_psi():
    # common practice, no source: 8 psi, 25 degC, 0.7 psi in the cooler, 2.5 kPa filter: density 1.45 times outside's,
    # reckoned with 0.70; 0.01 for the class's efficiency
    ratio = compressor.pressure_ratio(SEA_LEVEL + 8 * PSI, 0.7 * PSI, SEA_LEVEL - 2500.0)
    flow = compressor.corrected_flow(0.20, 298.15, SEA_LEVEL - 2500.0)
    hot = compressor.outlet_temperature(298.15, ratio, read_class_map(flow, ratio, 0.046, 0.81).efficiency)
    cool = intercooler.outlet_temperature(hot, 298.15, 0.70)
    got = intercooler.density_ratio(SEA_LEVEL + 8 * PSI, cool, SEA_LEVEL, 298.15)
    assert got == pytest.approx(1.45, abs=0.01)


def test_class_map_stays_within_the_physical_limit_of_flow():
    # 0.0404149 sqrt(kg*K/J) x p A / sqrt(T): textbook constant of choked air (e.g. Shapiro); 48 mm at 298.15 K, 100 kPa
    limit = 0.0404149 * 100e3 / math.sqrt(298.15) * math.pi * 0.024**2
    assert choke_end_flow(500.0, 0.048, 1.0) == pytest.approx(limit, rel=1e-6)
    # 43 to 48 lb/min, from memory, is 0.77 to 0.86 of it: hub and blades take the rest
    assert 0.77 <= 45.5 * LB_PER_MIN / limit <= 0.86


def test_class_map_is_worth_what_the_trade_asks_of_a_small_wheel():
    # common practice, no source: crank horsepower per lb/min 8.7 to 10 on pump fuel; a wheel of 48 mm and 62 mm is sold
    # for 400 to 480 hp, from memory
    flow = choke_end_flow(500.0, 0.048, 0.81) / LB_PER_MIN
    assert 8.7 * flow > 380.0 and 10.0 * flow < 490.0
    # and at 160 krpm, its 62 mm beyond what a cast wheel may turn, it makes a ratio of 3 to 3.6 in mid-map
    tip = compressor.tip_speed(0.062, 160e3 * math.pi / 30.0)
    assert compressor.speed_use(tip, 510.0) > 1.0
    assert 3.0 < class_map_at_speed(0.26, tip, 0.048, 0.81).pressure_ratio < 3.6
