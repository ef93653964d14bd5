"""Compressor, cooler, engine flow and nozzle against worked examples of textbooks and the trade."""

from __future__ import annotations

import math

import fluids
import numpy as np
import pytest

from enginelimits.physics.airflow import boost, compressor, engine_flow, intercooler

PSI = 6894.757
LB_PER_MIN = 0.45359237 / 60.0
RPM = 2.0 * math.pi / 60.0
SEA_LEVEL = 101325.0

# NASA Glenn, High Efficiency Centrifugal Compressor data archive (2023), vaned stage, readings at 70 to 85
# % speed: total pressure ratio, total temperature ratio less one, isentropic efficiency as reported.
MEASURED_STAGE = [
    (1.91589, 0.322285, 0.63202),
    (2.29260, 0.329494, 0.81042),
    (2.36820, 0.336516, 0.82852),
    (2.49360, 0.374697, 0.79467),
    (2.65863, 0.385505, 0.83450),
    (2.69647, 0.476441, 0.68483),
    (3.09755, 0.480387, 0.79043),
]


def test_sonntag_borgnakke_9_12():
    # Sonntag & Borgnakke, Fundamentals of Thermodynamics, ex. 9.12: supercharger, 300 K, 100 to 150 kPa,
    # efficiency 0.7: 352.6 K, 53 kJ/kg (52.85).
    hot = compressor.outlet_temperature(300.0, 1.5, 0.70)
    # 0.2 K: the book works with 1.004 kJ/(kg*K) and rounds the isentropic temperature to 0.1 K.
    assert hot == pytest.approx(352.6, abs=0.2)
    assert compressor.power(1.0, 300.0, hot) == pytest.approx(52.85e3, rel=3e-3)


def test_gupta_15_6():
    # Gupta, Fundamentals of Internal Combustion Engines, ex. 15.6: 290 K, 0.98 to 1.8 bar, efficiency 0.8:
    # 86 degC. Turbine 850 K, 1.6 to 1.03 bar, 0.85: 502 degC; air over fuel 20; the compressor takes 76.6 %
    # of its work. The turbine's own formula is written out here.
    hot = compressor.outlet_temperature(290.0, 1.8 / 0.98, 0.8)
    assert hot - 273.0 == pytest.approx(86.0, abs=0.5)
    turbine_out = 850.0 * (1.0 - 0.85 * (1.0 - (1.03 / 1.6) ** (0.33 / 1.33)))
    assert turbine_out - 273.0 == pytest.approx(502.0, abs=0.5)
    taken = compressor.power(20.0 / 21.0, 290.0, hot) / (1150.0 * (850.0 - turbine_out))
    assert taken == pytest.approx(0.766, abs=0.005)  # the book rounds both temperatures to a degree


@pytest.mark.parametrize(
    ("inlet", "ratio", "efficiency", "constant", "real"),
    # Constant heat capacity, and real air (CoolProp 8, heat capacity by temperature).
    [(298.15, 2.0, 0.70, 391.43, 391.10), (303.15, 2.5, 0.72, 429.15, 428.34)],
)
def test_compressor_outlet(inlet, ratio, efficiency, constant, real):
    got = compressor.outlet_temperature(inlet, ratio, efficiency)
    assert got == pytest.approx(constant, abs=0.005)
    assert got == pytest.approx(real, abs=1.0)


def test_specific_work_of_real_air():
    # CoolProp 8: 93.7 kJ/kg at 298.15 K, ratio 2, 0.70; 126.5 at 303.15 K, 2.5, 0.72.
    assert compressor.power(1.0, 298.15, 391.43) == pytest.approx(93.7e3, rel=2e-3)
    assert compressor.power(1.0, 303.15, 429.15) == pytest.approx(126.5e3, rel=2e-3)


def test_efficiency_of_a_measured_stage():
    # An ideal gas of constant heat capacity shows up to 1.1 % more than the archive's real-gas figure.
    rows = np.array(MEASURED_STAGE)
    got = compressor.isentropic_efficiency(288.15, 288.15 * (1.0 + rows[:, 1]), rows[:, 0])
    excess = got / rows[:, 2] - 1.0
    assert np.all(excess > 0.0)
    assert np.all(excess < 0.012)


@pytest.mark.parametrize(
    ("ratio", "outlet", "cooled"), [(1.63, 88.0, 44.0), (1.9, 111.0, 51.0), (2.2, 131.0, 57.0)]
)
def test_charge_temperatures_of_the_trade(ratio, outlet, cooled):
    # common practice, no source: 25 degC, efficiency 0.70, cooler 0.70; rounded to a degree.  2 K: the
    # trade's exponent is the smaller one of warm air, and a constant 1.4 runs 1.6 K hotter at 2.2.
    hot = compressor.outlet_temperature(298.15, ratio, 0.70)
    assert hot - 273.15 == pytest.approx(outlet, abs=2.0)
    assert intercooler.outlet_temperature(hot, 298.15, 0.70) - 273.15 == pytest.approx(cooled, abs=0.5)


def test_eight_psi_raises_density_by_45_percent():
    # common practice, no source: 8 psi, 25 degC, both efficiencies 0.70, 0.7 psi in the cooler, 2.5 kPa
    # filter
    inlet = compressor.inlet_pressure(SEA_LEVEL, 2500.0)
    ratio = compressor.pressure_ratio(SEA_LEVEL + 8 * PSI, 0.7 * PSI, inlet)
    assert ratio == pytest.approx(1.63, abs=0.005)
    cool = intercooler.outlet_temperature(compressor.outlet_temperature(298.15, ratio, 0.70), 298.15, 0.70)
    got = intercooler.density_ratio(SEA_LEVEL + 8 * PSI, cool, SEA_LEVEL, 298.15)
    assert got == pytest.approx(1.45, abs=0.005)


def test_intercooler_density_ratio():
    # Arithmetic from the textbook relations, 1.4: ratio 2, 0.72, cooler 0.75 with 8 kPa, 298.15 K and
    # 101.325 kPa: 320.8 K, density 1.785 times; 1.534 without a cooler.
    hot = compressor.outlet_temperature(298.15, 2.0, 0.72)
    cool = intercooler.outlet_temperature(hot, 298.15, 0.75)
    assert cool == pytest.approx(320.8, abs=0.05)
    delivered = 2.0 * SEA_LEVEL
    cooled = intercooler.density_ratio(delivered - 8e3, cool, SEA_LEVEL, 298.15)
    assert cooled == pytest.approx(1.785, abs=0.001)
    assert intercooler.density_ratio(delivered, hot, SEA_LEVEL, 298.15) == pytest.approx(1.534, abs=0.001)


def test_manifold_temperature_bands_of_the_trade():
    # trade text, common practice: 38 to 54 degC with a cooler, 80 to 149 degC without.
    # It names no boost; on a 25 degC day the cooled band is left at about 14 psi with these efficiencies.
    for psi in (7.0, 10.0, 13.0):
        hot = compressor.outlet_temperature(298.15, (SEA_LEVEL + (psi + 0.7) * PSI) / 98.8e3, 0.70)
        assert 80.0 <= hot - 273.15 <= 149.0
        assert 38.0 <= intercooler.outlet_temperature(hot, 298.15, 0.70) - 273.15 <= 54.0


def test_cooler_heat_of_the_trade():
    # common practice, no source: 0.2 kg/s over 52 K is 10.5 kW
    assert intercooler.heat_rejected(0.2, 370.0, 318.0) == pytest.approx(10.5e3, abs=50.0)


def test_core_soak_of_a_logged_pull():
    # trade text, common practice: 22 degC day, small front core on a 2.0 L: 32 to 46 degC within a pull at
    # 10 psi, 54 degC at its end at 14.5 psi.  The share is read off the first pull and tried on the second,
    # whose start follows from the first's effectiveness.
    def core_inlet(psi):
        return compressor.outlet_temperature(295.15, (SEA_LEVEL + psi * PSI) / SEA_LEVEL, 0.70)

    first, second = core_inlet(10.0), core_inlet(14.5)
    effectiveness = (first - 305.15) / (first - 295.15)
    share = (319.15 - 305.15) / (first - 305.15)
    start = intercooler.outlet_temperature(second, 295.15, effectiveness)
    end = intercooler.temperature_after_soak(second, start, share)
    assert 0.2 < share < 0.3
    assert end - 273.15 == pytest.approx(54.0, abs=2.0)


def test_two_litres_at_six_thousand():
    # By hand: 2.0 L, 6000 rpm, 0.95, 200 kPa, 320 K: 0.20685 kg/s = 27.36 lb/min.
    # 1e-5: the gas constant of air was rounded to 287.05 there.
    flow = engine_flow.air_mass_flow(0.95, engine_flow.manifold_density(200e3, 320.0), 2.0e-3, 6000 * RPM)
    assert flow == pytest.approx(0.20685, abs=1e-5)
    assert flow / LB_PER_MIN == pytest.approx(27.36, abs=0.005)


def test_gupta_15_1_volumetric_efficiency():
    # Gupta, ex. 15.1: ratio 1.6, compressor 0.74: an engine filled with manifold density has a volumetric
    # efficiency of 134 % of the outside air.
    hot = compressor.outlet_temperature(290.0, 1.6, 0.74)
    flow = engine_flow.air_mass_flow(1.0, engine_flow.manifold_density(160e3, hot), 2.8e-3, 3000 * RPM)
    outside = engine_flow.manifold_density(100e3, 290.0)
    got = engine_flow.volumetric_efficiency(flow, outside, 2.8e-3, 3000 * RPM)
    assert got == pytest.approx(1.34, abs=0.005)


def test_air_of_the_standard_engine():
    # common practice, no source: a 2.0 L of 200 hp at 7000 rpm breathes 18 to 20 lb/min; peak efficiency of a
    # tuned four-valve engine 100 to 108 %, of outside density
    density = engine_flow.manifold_density(SEA_LEVEL, 298.15)
    for efficiency in (1.00, 1.08):
        flow = engine_flow.air_mass_flow(efficiency, density, 1.998e-3, 7000 * RPM)
        assert 18.0 <= flow / LB_PER_MIN <= 20.0


@pytest.mark.parametrize(("gamma", "ratio"), [(1.4, 0.52828), (1.33, 0.54036), (1.30, 0.54573)])
def test_critical_pressure_ratio(gamma, ratio):
    # Gas tables (isentropic flow), e.g. Keenan & Kaye for 1.4
    assert engine_flow.critical_pressure_ratio(gamma) == pytest.approx(ratio, abs=0.5e-5)


@pytest.mark.parametrize(("millimetre", "flow"), [(32.0, 0.1940), (34.0, 0.2190), (20.0, 0.0758)])
def test_choked_restrictor(millimetre, flow):
    # 0.0404149 sqrt(kg*K/J) x p A / sqrt(T): textbook constant of choked air (e.g. Shapiro), coefficient 1
    area = math.pi * (millimetre * 1e-3) ** 2 / 4
    got = engine_flow.nozzle_mass_flow(area, 1.0, 101325.0, 288.15, 30e3)
    assert got == pytest.approx(flow, abs=0.5e-4)
    assert got * math.sqrt(288.15) / (area * 101325.0) == pytest.approx(0.0404149, rel=2e-5)


def test_critical_pressure_of_fluids():
    got = engine_flow.critical_pressure_ratio(1.33) * 3e5
    assert got == pytest.approx(fluids.P_critical_flow(P=3e5, k=1.33), rel=1e-9)


def test_unchoked_nozzle_by_the_isentropic_table():
    # Isentropic flow table, 1.4, from memory: at Mach 0.50 p/p0 = 0.84302, T/T0 = 0.95238; flow = density x
    # area x Mach x speed of sound.
    p0, t0, area = 2e5, 300.0, 1e-4
    p, t = 0.84302 * p0, 0.95238 * t0
    expected = p / (287.053 * t) * area * 0.50 * math.sqrt(1.4 * 287.053 * t)
    assert engine_flow.nozzle_mass_flow(area, 1.0, p0, t0, p) == pytest.approx(expected, rel=3e-5)


@pytest.mark.parametrize(
    ("millimetre", "thousand_rpm"), [(50.0, 191.0), (54.0, 177.0), (58.0, 165.0), (62.0, 154.0)]
)
def test_shaft_speed_at_500_metres_a_second(millimetre, thousand_rpm):
    # common practice, no source: tip speed of 500 m/s
    got = compressor.tip_speed(millimetre * 1e-3, thousand_rpm * 1e3 * RPM)
    assert got == pytest.approx(500.0, rel=0.5 / thousand_rpm)


def test_supercharger_takes_15_to_25_hp():
    # common practice, no source: 2.0 L, 7 to 10 psi, 15 to 25 hp.  Flow, efficiency 0.68 and 0.95 for belt
    # and gears are ordinary figures, from memory; at 0.60 the upper end would be 26 hp.
    for psi, flow, efficiency in ((7.0, 0.185, 0.68), (10.0, 0.205, 0.68)):
        ratio = (SEA_LEVEL + (psi + 0.7) * PSI) / 98.8e3
        hot = compressor.outlet_temperature(298.15, ratio, efficiency)
        taken = compressor.drive_power(compressor.power(flow, 298.15, hot), 0.95)
        assert 15.0 <= taken / 745.7 <= 25.0


@pytest.mark.parametrize(("rpm", "psi"), [(7400, 8.0), (6000, 5.3), (5000, 3.7), (4000, 2.3), (3000, 1.3)])
def test_centrifugal_boost_of_the_trade(rpm, psi):
    # common practice, no source: 8 psi at 7400 rpm, with the square of speed
    got = boost.centrifugal_boost(8 * PSI, rpm * RPM, 7400 * RPM)
    assert got / PSI == pytest.approx(psi, abs=0.05)


def test_gauge_and_absolute_drive_ratio():
    # trade text, common practice: 18 psi before the turbine over 10 psi of boost is 1.8 by gauge, 1.32
    # absolute
    exhaust, manifold = SEA_LEVEL + 18 * PSI, SEA_LEVEL + 10 * PSI
    got = boost.drive_pressure_ratio(exhaust, SEA_LEVEL, 10 * PSI, 10 * PSI)
    assert got == pytest.approx(1.8, abs=1e-9)
    assert boost.exhaust_pressure_ratio(exhaust, manifold) == pytest.approx(1.32, abs=0.005)


def test_heywood_residual_effect():
    # Heywood 1988, eq. 6.2, by hand for compression ratio 9, ratio of specific heats 1.3, exhaust 1.2 x
    # intake: 9/8 - (1.2 + 0.3)/(1.3 x 8) = 0.98077
    assert boost.back_pressure_factor(1.2, 9.0, 1.3) == pytest.approx(0.98077, abs=0.5e-5)
