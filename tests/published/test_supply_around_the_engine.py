"""Direct injection, the next tank, tanks in corners, plugs and cuts against handbooks, hand sums and the trade."""

from __future__ import annotations

import math

import numpy as np
import pytest

from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.physics.support import cuts, direct_injection, fuel_drift, fuel_supply, fuel_tank, ignition, sensors

RPM = 2.0 * math.pi / 60.0
PSI = 6894.757
G = 9.80665
HP = 745.6999
GASOLINE = (745.0, 14.6)
BUILD = """
build: what is in the tank
engine: {{cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.5, redline: 7000 rpm}}
forced_induction: {{kind: turbocharger, boost: 8 psi}}
fuel: {{octane: 98 RON, gasoline_ethanol: 10 %, {fuel}}}
"""


def contents(fuel: str) -> tuple[float, float]:
    inputs = filled(parse_build(BUILD.format(fuel=fuel))).inputs
    return inputs["class.tank.ethanol_lowest"].value, inputs["class.tank.ethanol_highest"].value


def test_a_map_for_eighty_on_fifty_five_and_the_reverse():
    # common practice, no source: 55 % fuel on a map for 80 % is about 12 % rich, 80 % on a map for 55 % about 13 % lean
    rich = fuel_drift.drifted_lambda(1.0, 0.80, 0.55, *GASOLINE)
    lean = fuel_drift.drifted_lambda(1.0, 0.55, 0.80, *GASOLINE)
    assert 1.0 - rich == pytest.approx(0.12, abs=0.01)
    assert lean - 1.0 == pytest.approx(0.13, abs=0.01)
    assert rich * lean == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(("ethanol", "times"), [(0.30, 1.08), (0.50, 1.17), (0.70, 1.28), (0.85, 1.38)])
def test_volume_of_blends_over_gasoline(ethanol, times):
    # common practice, no source: volume against E10 at equal lambda, reckoned there with 14.7 and 9.0 for 14.6 and
    # 8.98 here, and with denser ethanol; a hundredth either way
    assert fuel_drift.volume_ratio(0.10, ethanol, *GASOLINE) == pytest.approx(times, abs=0.0175)


def test_the_next_tank_of_flexible_fuel():
    # ASTM D5798: 51 to 83 per cent by volume, whatever the tank of today holds
    assert contents("ethanol: 70 %") == pytest.approx((0.51, 0.83))
    assert contents("ethanol: 70 +/- 5 %") == pytest.approx((0.51, 0.83))
    # what is sold as gasoline stays, and so does a fuel of more than the range, which comes in drums
    assert contents("ethanol: 10 %") == pytest.approx((0.10, 0.10))
    assert contents("ethanol: 98 %") == pytest.approx((0.98, 0.98))
    # a range in the file is taken at its word
    assert contents("ethanol: 30 to 45 %") == (pytest.approx(0.30), pytest.approx(0.45))
    # By hand: 30 % of gasoline with 10 % and a fuel of 74 % is a share of 20 / 64; 51 and 83 make 22.8 and 32.8 %
    low, high = contents("ethanol: 30 %")
    assert low == pytest.approx(0.228, abs=5e-4)
    assert high == pytest.approx(0.328, abs=5e-4)


@pytest.mark.parametrize(("tilt", "level"), [(0.5, 0.0625), (1.0, 0.125), (2.0, 0.25), (4.0, 0.375)])
def test_a_box_of_liquid_in_uniform_acceleration(tilt, level):
    # White, Fluid Mechanics: the surface stands at a/g.  By hand, the wet wedge in a box twice as wide as the slope
    # reaches: half the floor times half its height, and beyond the lid the box less the dry wedge
    assert fuel_tank.uncovered_level(tilt / 2.0 * G, 2.0) == pytest.approx(level, abs=1e-12)


def test_a_quarter_tank_at_what_a_road_tyre_holds():
    # common practice, no source: below a quarter tank at 0.9 to 1 g a standard tank starves
    levels = fuel_tank.uncovered_level(np.array([0.9, 1.0]) * G, 2.2)
    assert np.all((levels > 0.20) & (levels < 0.30))


@pytest.mark.parametrize(("window_deg", "milliseconds"), [(720.0, 17.1), (200.0, 4.8), (250.0, 6.0)])
def test_a_window_in_milliseconds_is_filled_by_as_much_fuel(window_deg, milliseconds):
    # common practice, no source: 17.1, 4.8 and 6.0 ms at 7000 rpm.  Four injectors of 20 cc/s fill it with that time
    volume_flow = 4 * 20e-6 * milliseconds * 1e-3 * 7000 / 120.0
    window = math.radians(window_deg)
    if window_deg < 361.0:
        use = fuel_supply.direct_window_use(volume_flow, 4, 20e-6, window)
        assert use == pytest.approx(1.0, abs=0.0105)
        end = direct_injection.end_of_injection(math.radians(310.0), window, use)
        assert math.degrees(end) == pytest.approx(310.0 - window_deg, abs=2.7)
        assert direct_injection.direct_capacity(volume_flow, 4, 20e-6, window) == pytest.approx(1.0 / use, rel=1e-12)
    else:
        assert window / (7000 * RPM) * 1e3 == pytest.approx(milliseconds, abs=0.05)


def test_a_pump_a_third_beyond_the_standard_engine():
    # By hand: 200 N*m at 290 g/kWh on 0.745 kg/L take 2 pi x 200 / 3.6e6 x 290 / 745 = 0.1359 cc a revolution
    delivery = direct_injection.pump_delivery_of_standard(200.0, 290.0 / 3.6e9, 745.0, 1.0 / 3.0)
    assert delivery * 1e6 == pytest.approx(0.1359 * 4 / 3, abs=2e-4)
    standard = 0.1359e-6 * 5000 / 60.0
    assert direct_injection.pump_use(standard, 1.0, delivery, 5000 * RPM) == pytest.approx(0.75, abs=1e-3)


@pytest.mark.parametrize(
    ("psi", "low", "high"),
    # common practice, no source: standard 1.0 to 1.1 mm without boost, 0.6 to 0.7 from 8 to 15 psi, 0.5 to 0.6 beyond
    [(0.0, 1.0, 1.1), (11.5, 0.6, 0.7), (18.0, 0.5, 0.6)],
)
def test_gaps_of_the_trade(psi, low, high):
    # a charge cooled to 25 K over the air outside at 11.5 psi and 35 K at 18, no reserve of the coil
    warmer = {0.0: 0.0, 11.5: 25.0, 18.0: 35.0}[psi]
    density = 1.184 * (1.0 + psi * PSI / 101325.0) * 298.15 / (298.15 + warmer)
    gap = ignition.plug_gap_limit(1.05e-3, 1.184, density) * 1e3
    assert low <= gap <= high


def test_density_at_spark_lies_between_closing_and_top():
    # By hand: at the top 10.5 times the density of a full cylinder; 0.5 g in 0.5 L is 1 kg/m^3
    at = [ignition.density_at_spark(0.55e-3, 0.086, 0.086, 0.143, 10.5, a) for a in (0.0, 0.2, 0.5)]
    volume = math.pi / 4 * 0.086**3 * 10.5 / 9.5
    assert at[0] == pytest.approx(10.5 * 0.55e-3 / volume, rel=1e-12)
    assert at[0] > at[1] > at[2] > 0.55e-3 / volume


@pytest.mark.parametrize("step", [75.0, 100.0])
def test_a_step_colder(step):
    # common practice, no source: one step for 75 to 100 hp
    lacks = ignition.heat_step_shortfall(np.array([150.0 * HP, (200.0 + step) * HP]), 200.0 * HP, step * HP, 0.0)
    assert lacks == pytest.approx([1.0])


def test_a_gauge_shows_gasoline():
    # common practice, no source: on E85 a displayed 11.5 is lambda 0.78
    assert sensors.displayed_air_fuel_ratio(0.78) == pytest.approx(11.5, abs=0.05)


def test_cuts_where_the_trade_has_them():
    # common practice, no source: overboost 2 to 3 psi above the target; stop at lambda 0.92 whatever the target
    assert cuts.boost_cut(8 * PSI, 2.5 * PSI) == pytest.approx(10.5 * PSI)
    assert cuts.lambda_cut(0.80, 0.06, 0.92) == pytest.approx(0.86)
    assert cuts.lambda_cut(0.90, 0.06, 0.92) == 0.92
    # 10 psi for each thousand revolutions is what a sound engine keeps when hot; a cut stands below it
    speed = np.array([2000.0, 4000.0, 7000.0]) * RPM
    assert np.all(cuts.oil_pressure_cut(speed, 8 * PSI, 10 * PSI) < 10 * PSI * speed / (1000 * RPM))
    # a naturally aspirated sensor of 1.2 bar sees no boost cut at all
    assert cuts.sensor_use_at_cut(10.5 * PSI, 101e3, 120e3) > 1.0
