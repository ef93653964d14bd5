"""Fuel flow, injectors and lift pump against figures of handbooks, tutorials and the trade."""

from __future__ import annotations

import math

import numpy as np
import pytest

from enginelimits.physics.support import fuel_supply, heat, lift_pump

LB_PER_HOUR = 0.45359237 / 3600.0
LB_PER_MIN = 0.45359237 / 60.0
LB_PER_HP_HOUR = 0.45359237 / (745.6999 * 3600.0)
CC_PER_MIN = 1e-6 / 60.0
LITRE_PER_HOUR = 1e-3 / 3600.0
HP = 745.6999
RPM = 2.0 * math.pi / 60.0


@pytest.mark.parametrize(
    ("density", "factor", "digits"),
    # tutorial pages and common practice: 10.5 cc/min a lb/h (for 0.72 kg/L), 10.15 at 0.745, 9.67 at 0.782
    [(720.0, 10.5, 0.05), (745.0, 10.15, 0.005), (782.0, 9.67, 0.005)],
)
def test_pounds_an_hour_in_cubic_centimetres(density, factor, digits):
    got = fuel_supply.fuel_volume_flow(LB_PER_HOUR, density) / CC_PER_MIN
    assert got == pytest.approx(factor, abs=digits)


def test_injector_at_another_pressure():
    # Square-root law by hand: 550 cc/min at 3 bar is 635.1 at 4 bar, 1.1547 times.
    got = fuel_supply.injector_flow(550 * CC_PER_MIN, 3e5, 4e5)
    assert got / CC_PER_MIN == pytest.approx(635.1, abs=0.05)
    assert got / (550 * CC_PER_MIN) == pytest.approx(1.155, abs=0.0005)


def test_injector_size_of_a_tutorial():
    # trade text, common practice: 200 hp, 0.50 lb/hp-h, four injectors, 80 %: 31.25 lb/h each
    got = fuel_supply.injector_mass_flow_needed(200 * HP * 0.50 * LB_PER_HP_HOUR, 4, 0.80)
    assert got / LB_PER_HOUR == pytest.approx(31.25, abs=0.005)


@pytest.mark.parametrize(
    ("specific", "density", "each", "total"),
    # By hand: 300 kW, four injectors, 85 %: 320 g/kWh at 0.745: 632 cc/min, 129 L/h; 470 g/kWh at 0.785: 880.
    [(320.0, 745.0, 632.0, 129.0), (470.0, 785.0, 880.0, None)],
)
def test_injectors_for_300_kilowatts(specific, density, each, total):
    fuel = 300e3 * specific / 3.6e9
    needed = fuel_supply.fuel_volume_flow(fuel_supply.injector_mass_flow_needed(fuel, 4, 0.85), density)
    # 0.75: the printed figures are rounded from each other
    assert needed / CC_PER_MIN == pytest.approx(each, abs=0.75)
    if total is not None:
        assert fuel_supply.fuel_volume_flow(fuel, density) / LITRE_PER_HOUR == pytest.approx(total, abs=0.5)


def test_fuel_of_three_hundred_horsepower():
    # common practice, no source: 520 to 570 cc/min each at 80 % and 0.55 to 0.60 lb/hp-h; 100 to 110 L/h;
    # ethanol 85 %, 0.80 lb/hp-h: about 725 cc/min, 139 L/h
    for specific in (0.55, 0.60):
        fuel = 300 * HP * specific * LB_PER_HP_HOUR
        each = fuel_supply.fuel_volume_flow(fuel_supply.injector_mass_flow_needed(fuel, 4, 0.8), 745.0)
        assert 520.0 <= each / CC_PER_MIN <= 575.0
        assert 100.0 <= fuel_supply.fuel_volume_flow(fuel, 745.0) / LITRE_PER_HOUR <= 110.0
    fuel = 300 * HP * 0.80 * LB_PER_HP_HOUR
    each = fuel_supply.fuel_volume_flow(fuel_supply.injector_mass_flow_needed(fuel, 4, 0.8), 782.0)
    assert each / CC_PER_MIN == pytest.approx(725.0, abs=5.0)
    assert fuel_supply.fuel_volume_flow(fuel, 782.0) / LITRE_PER_HOUR == pytest.approx(139.0, abs=0.75)


@pytest.mark.parametrize(
    ("ratio", "specific", "power"),
    # 60 / (air over fuel x lb/hp-h), by hand
    [(12.0, 0.50, 10.0), (11.5, 0.60, 8.70), (11.8, 0.55, 9.24), (12.5, 0.45, 10.67)],
)
def test_horsepower_of_a_pound_of_air_a_minute(ratio, specific, power):
    got = heat.power_per_air_flow(ratio, specific * LB_PER_HP_HOUR) * LB_PER_MIN / HP
    assert got == pytest.approx(power, abs=0.005)


def test_trade_bands_of_power_per_air():
    # common practice, no source: boosted on pump fuel 8.7 to 10 hp per lb/min, on ethanol 9.6 to 10.9.
    # lambda 0.80, 14.1 and 0.55 lb/hp-h; lambda 0.80, 9.8 and 0.75.
    pump = heat.power_per_air_flow(0.80 * 14.1, 0.55 * LB_PER_HP_HOUR) * LB_PER_MIN / HP
    ethanol = heat.power_per_air_flow(0.80 * 9.8, 0.75 * LB_PER_HP_HOUR) * LB_PER_MIN / HP
    assert 8.7 <= pump <= 10.0
    assert 9.6 <= ethanol <= 10.9


def test_cubic_feet_of_air_a_minute_and_horsepower():
    # trade text, common practice: 1.5 to 1.6 cubic feet a minute for a horsepower, which belongs to its
    # other figure of 200 hp from 23 lb/min (air over fuel 11.5 at 0.60 lb/hp-h), standard air 0.0763 lb to
    # the cubic foot.  Leaner and thriftier engines need less: 1.44 at 12.0 and 0.55.
    per_pound = heat.power_per_air_flow(11.5, 0.60 * LB_PER_HP_HOUR) * LB_PER_MIN / HP
    assert per_pound == pytest.approx(200.0 / 23.0, abs=0.05)
    assert 1.5 <= 1.0 / (per_pound * 0.0763) <= 1.6


@pytest.mark.parametrize(
    ("efficiency", "specific"), [(0.30, 276.5), (0.33, 251.4), (0.36, 230.4), (0.38, 218.3)]
)
def test_brake_efficiency_at_43_4_megajoule(efficiency, specific):
    # 3600 / (efficiency x 43.4) g/kWh, by hand
    assert heat.brake_efficiency(specific / 3.6e9, 43.4e6) == pytest.approx(efficiency, abs=1e-4)


def test_half_a_pound_per_horsepower_hour():
    # 1 lb/hp-h = 608.277 g/kWh (conversion table), so 0.50 lb/hp-h of 18 676 Btu/lb (US DOE, gasoline) makes
    # 2544.43 Btu/hp-h / (0.50 x 18 676) = 0.2725 of the heat
    assert heat.brake_efficiency(0.50 * 608.277 / 3.6e9, 18676 * 2326.0) == pytest.approx(0.2725, abs=0.5e-4)


def test_same_power_of_air_on_gasoline_and_ethanol():
    # By hand: efficiency 0.33, lambda 0.85: gasoline (14.6, 43.4 MJ/kg) 11.70 hp per lb/min, E85 (9.78,
    # 29.16) 11.74
    for ratio, value, power in ((14.6, 43.4e6, 11.70), (9.78, 29.16e6, 11.74)):
        specific = 1.0 / (0.33 * value)
        got = heat.power_per_air_flow(0.85 * ratio, specific) * LB_PER_MIN / HP
        assert got == pytest.approx(power, abs=0.02)  # heating value and ratio are rounded


def test_port_duty_of_seven_thousand():
    # By hand: a cycle lasts 17.14 ms at 7000 rpm; an injector of 10 g/s with 3 g/s of fuel for each of four
    # cylinders is open 30 %, and 1 ms of dead time is 5.83 % more
    got = fuel_supply.port_duty(12e-3, 4, 10e-3, 7000 * RPM, 1.0e-3)
    assert got == pytest.approx(0.30 + 1.0 / 17.143, abs=1e-5)
    assert fuel_supply.port_duty(0.0, 4, 10e-3, 7000 * RPM, 17.143e-3) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(("window_deg", "milliseconds"), [(200.0, 4.8), (250.0, 6.0)])
def test_direct_window_in_milliseconds(window_deg, milliseconds):
    # common practice, no source: the window in milliseconds at 7000 rpm; an injector of 10 cc/s and 4.8 ms
    # of fuel a cycle uses the window whole
    a_cycle = 10e-6 * milliseconds * 1e-3
    flow = 4 * a_cycle * 7000 / 120.0
    got = fuel_supply.direct_window_use(flow, 4, 10e-6, math.radians(window_deg))
    assert got == pytest.approx(1.0, abs=0.011)


def test_pump_at_a_bar_more():
    # From memory, as the flow sheets of electric pumps of 255 L/h class read between 3 and 6 bar: 8 to 16 %
    # less a bar; 12 V for 13.5 V takes 13 to 22 %.
    rated = 255 * LITRE_PER_HOUR
    a_bar_more = lift_pump.flow_available(rated, 4e5, 13.5, 5e5, 13.5) / rated
    low_voltage = lift_pump.flow_available(rated, 4e5, 13.5, 4e5, 12.0) / rated
    assert 0.84 <= a_bar_more <= 0.92
    assert 0.78 <= low_voltage <= 0.87


def test_hydraulic_power_of_a_pump_stays_believable():
    # By hand: 255 L/h at 4 bar is 28.3 W of hydraulic power; the straight line peaks at half its end
    # pressure and must not give more than a motor of some 180 W at an overall efficiency of 0.3 can
    rated = 255 * LITRE_PER_HOUR
    assert rated * 4e5 == pytest.approx(28.3, abs=0.05)
    pressure = np.linspace(0.0, 10e5, 41)
    assert np.max(pressure * lift_pump.flow_available(rated, 4e5, 13.5, pressure, 13.5)) < 54.0
