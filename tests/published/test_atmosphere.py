"""The standard atmosphere and moist air against ISO 2533, the steam tables and general-purpose libraries."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI

from enginelimits.physics.airflow import atmosphere

# ISO 2533:1975 / U.S. Standard Atmosphere 1976, troposphere by geopotential altitude: T [K], p [Pa],
# density [kg/m^3].  Temperatures and round-number pressures as tabulated; one mile computed from the
# standard's formula with its constants.
TABLE = [
    (0.0, 288.150, 101325.0, 1.22500),
    (250.0, 286.525, 98357.5, 1.19587),
    (500.0, 284.900, 95460.8, 1.16727),
    (1000.0, 281.650, 89874.6, 1.11164),
    (1500.0, 278.400, 84556.0, 1.05807),
    (1609.344, 277.689, 83427.6, 1.04662),
    (2000.0, 275.150, 79495.2, 1.00649),
    (2500.0, 271.900, 74682.5, 0.95686),
    (3000.0, 268.650, 70108.5, 0.90912),
    (4000.0, 262.150, 61640.2, 0.81913),
    (5000.0, 255.650, 54019.9, 0.73612),
]


@pytest.mark.parametrize(("altitude_m", "temperature_k", "pressure_pa", "density"), TABLE)
def test_table_of_the_standard(altitude_m, temperature_k, pressure_pa, density):
    assert atmosphere.standard_temperature(altitude_m) == pytest.approx(temperature_k, abs=0.0005)
    # 0.05 Pa is half the last digit; the exponent's own rounding adds as much at 5 km.
    assert atmosphere.standard_pressure(altitude_m) == pytest.approx(pressure_pa, abs=0.1)
    dry = atmosphere.moist_air_density(pressure_pa, temperature_k, 0.0)
    assert dry == pytest.approx(density, abs=0.5e-5)


@pytest.mark.parametrize("geometric_m", [0.0, 500.0, 1500.0, 3000.0, 5000.0, 10000.0])
def test_against_the_1976_atmosphere_of_fluids(geometric_m):
    # fluids takes geometric altitude; the 1976 standard's own conversion, with its earth radius, puts both on
    # one footing.  Its constants agree with ISO 2533 to six digits.
    geopotential_m = 6356766.0 * geometric_m / (6356766.0 + geometric_m)
    other = fluids.ATMOSPHERE_1976(geometric_m)
    assert atmosphere.standard_temperature(geopotential_m) == pytest.approx(other.T, abs=1e-3)
    assert atmosphere.standard_pressure(geopotential_m) == pytest.approx(other.P, rel=2e-5)


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    # International steam tables (IAPWS), as computed with CoolProp 8.
    [(0.01, 0.61165), (10.0, 1.2282), (15.0, 1.7058), (20.0, 2.3393), (25.0, 3.1699), (30.0, 4.2470),
     (35.0, 5.6290), (40.0, 7.3849)],
)
def test_saturation_against_the_steam_tables(celsius, kilopascal):
    # 0.05 %: what Buck's curve claims against the tables; 0.07 % at the freezing point.
    got = atmosphere.saturation_vapour_pressure(celsius + 273.15)
    assert got == pytest.approx(kilopascal * 1e3, rel=7e-4 if celsius < 5.0 else 5e-4)


@pytest.mark.parametrize(("celsius", "kilopascal"), [(50.0, 12.352), (60.0, 19.946)])
def test_saturation_on_the_hottest_day(celsius, kilopascal):
    # International steam tables (IAPWS), from memory
    got = atmosphere.saturation_vapour_pressure(celsius + 273.15)
    assert got == pytest.approx(kilopascal * 1e3, rel=5e-4)


@pytest.mark.parametrize(("celsius", "hectopascal"), [(-10.0, 2.8627), (-20.0, 1.2540), (-30.0, 0.5088)])
def test_saturation_over_supercooled_water(celsius, hectopascal):
    # Smithsonian Meteorological Tables (Goff-Gratch), from memory; 0.3 % is what the formulas differ there
    got = atmosphere.saturation_vapour_pressure(celsius + 273.15)
    assert got == pytest.approx(hectopascal * 100.0, rel=3e-3)


# Ideal-gas density and real-gas humidity ratio of moist air (CoolProp 8 HumidAir): p, t, relative humidity,
# vapour pressure, ideal density, real-gas density, humidity ratio.
MOIST = [
    (101325.0, 15.0, 0.0, 0.0, 1.22501, 1.22557, 0.0),
    (101325.0, 20.0, 0.5, 1169.7, 1.19886, 1.19936, 0.007294),
    (101325.0, 25.0, 0.5, 1585.0, 1.17692, 1.17736, 0.009926),
    (99000.0, 25.0, 0.0, 0.0, 1.15676, 1.15716, 0.0),
    (101325.0, 35.0, 0.8, 4503.2, 1.12626, 1.12665, 0.029065),
    (84000.0, 30.0, 0.2, 849.4, 0.96161, 0.96187, 0.006378),
]


@pytest.mark.parametrize(("p", "celsius", "humidity", "pv", "ideal", "real", "ratio"), MOIST)
def test_moist_air(p, celsius, humidity, pv, ideal, real, ratio):
    t = celsius + 273.15
    assert atmosphere.vapour_pressure(t, humidity) == pytest.approx(pv, rel=5e-4)
    got = atmosphere.moist_air_density(p, t, pv)
    # 2e-5: the printed density used 287.05 for dry air, the standard has 287.053.
    assert got == pytest.approx(ideal, abs=2e-5)
    assert got == pytest.approx(real, rel=5e-4)  # real gas is 0.03 to 0.05 % denser
    # Real moist air holds 0.4 % more water at one atmosphere (Buck 1981, enhancement factor 1.004).
    assert atmosphere.humidity_ratio(p, pv) == pytest.approx(ratio, rel=5e-3)


@pytest.mark.parametrize("altitude_m", [0.0, 1500.0, 3000.0, 5000.0])
@pytest.mark.parametrize("celsius", [1.0, 10.0, 20.0, 30.0, 45.0])
@pytest.mark.parametrize("humidity", [0.05, 0.4, 0.95])
def test_moist_air_against_coolprop(altitude_m, celsius, humidity):
    # CoolProp, a general-purpose library: real moist air by ASHRAE RP-1485, after the steam tables.  An ideal gas is up
    # to 0.07 % lighter and holds up to 0.6 % less water, most of it the enhancement factor.
    p, t = float(atmosphere.standard_pressure(altitude_m)), celsius + 273.15
    pv = atmosphere.vapour_pressure(t, humidity)
    density = 1.0 / HAPropsSI("Vha", "P", p, "T", t, "R", humidity)  # a kilogram of moist air, water included
    assert atmosphere.moist_air_density(p, t, pv) == pytest.approx(density, rel=7e-4)
    assert atmosphere.moist_air_density(p, t, pv) < density
    assert atmosphere.humidity_ratio(p, pv) == pytest.approx(HAPropsSI("W", "P", p, "T", t, "R", humidity), rel=6e-3)


@pytest.mark.parametrize("celsius", np.arange(1.0, 60.0, 4.0).tolist())
def test_saturation_against_coolprop(celsius):
    # CoolProp's water is IAPWS-95; Buck's curve is within 0.05 % of it, 0.07 % at the freezing point.
    saturated = PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    assert atmosphere.saturation_vapour_pressure(celsius + 273.15) == pytest.approx(saturated, rel=7e-4)


@pytest.mark.parametrize(("altitude_m", "kilopascal"), [(0, 101.3), (1000, 89.9), (2000, 79.5), (3000, 70.1)])
def test_barometer_of_the_trade(altitude_m, kilopascal):
    # common practice, no source: the four figures a calibrator knows by heart
    assert atmosphere.standard_pressure(altitude_m) == pytest.approx(kilopascal * 1e3, abs=50.0)


@pytest.mark.parametrize(("altitude_m", "ratio"), [(0.0, 1.54), (1500.0, 1.65), (2000.0, 1.69)])
def test_eight_psi_is_a_greater_ratio_higher_up(altitude_m, ratio):
    # common practice, no source: 8 psi of gauge boost over the barometer
    barometer = atmosphere.standard_pressure(altitude_m)
    assert (barometer + 8 * 6894.757) / barometer == pytest.approx(ratio, abs=0.005)


def test_holding_absolute_pressure_at_altitude():
    # common practice, no source: the manifold pressure of 8 psi at sea level takes a ratio of 1.97 at 2000 m
    held = atmosphere.standard_pressure(0.0) + 8 * 6894.757
    assert held / atmosphere.standard_pressure(2000.0) == pytest.approx(1.97, abs=0.005)


def test_arrays_broadcast():
    altitude = np.array([[0.0], [1000.0]])
    humidity = np.array([0.2, 0.4, 0.6])
    pv = atmosphere.vapour_pressure(298.15, humidity)
    got = atmosphere.moist_air_density(atmosphere.standard_pressure(altitude), 298.15, pv)
    assert got.shape == (2, 3)
    assert got[1, 2] == pytest.approx(
        float(atmosphere.moist_air_density(89874.6, 298.15, 0.6 * 3169.9)), rel=1e-4
    )
