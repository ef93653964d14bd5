"""The whole-engine identities against handbook values."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.cycle import engine
from enginelimits.physics.mechanics import friction

RPM = np.pi / 30


def test_two_hundred_newton_metres_a_litre_are_25_13_bar():
    # Heywood 1988, eq. 2.20: mean effective pressure = 4 pi T / V_d for a four-stroke; 200 N*m/L = 25.13 bar.
    assert friction.mean_effective_pressure_of_torque(200.0, 1e-3) / 1e5 == pytest.approx(25.13, abs=0.005)
    assert friction.brake_torque(25.13e5, 1e-3) == pytest.approx(200.0, abs=0.05)


def test_trade_constant_150_8_psi_per_lbft_per_cubic_inch():
    # BMEP [psi] = 150.8 x torque [lbf*ft] / displacement [in^3]: trade text; 4 pi x 12 exactly.
    torque, volume = 250 * 1.3558179483, 122 * 0.0254**3
    psi = friction.mean_effective_pressure_of_torque(torque, volume) / 6894.757293
    assert psi == pytest.approx(150.8 * 250 / 122, rel=3e-4)


def test_power_and_torque_cross_at_5252_rpm():
    # hp = lbf*ft x rpm / 5252.113 (definitions of NIST SP 811).
    watts = friction.shaft_power(300 * 1.3558179483, 5252.113 * RPM)
    assert watts / 745.69987158 == pytest.approx(300.0, rel=1e-6)


def test_a_two_litre_square_four_sweeps_1998_cubic_centimetres():
    # 86 x 86 mm, four cylinders: 1.998 L, arithmetic.
    assert engine.displacement(0.086, 0.086, 4) * 1e3 == pytest.approx(1.998, abs=5e-4)


def test_specific_consumption_of_a_third_efficiency():
    # Brake efficiency 0.33 at 43.4 MJ/kg is 251.4 g/kWh: 3.6e9 / (0.33 x 43.4e6), arithmetic.
    flow = 100e3 / (0.33 * 43.4e6)
    assert engine.specific_fuel_consumption(flow, 100e3) * 3.6e9 == pytest.approx(251.4, abs=0.05)


def test_drive_power_as_a_mean_effective_pressure_gives_the_power_back():
    pressure = engine.mean_effective_pressure_of_power(15e3, 2e-3, 700.0)
    torque = friction.brake_torque(pressure, 2e-3)
    assert friction.shaft_power(torque, 700.0) == pytest.approx(15e3)


def test_an_ordinary_engine_as_a_whole_lies_in_the_textbook_bands():
    """Full-load bands of the shipped factory case.

    Heywood 1988, sec. 2.14: naturally aspirated spark-ignition engines, maximum brake mean effective pressure
    8.5 to 10.5 bar at rated power and more at best torque, up to 13 bar in modern four-valve engines (from
    memory); gas exchange and rubbing leave 75 to 90 % of the gross indicated work at full load (from memory);
    specific consumption 250 to 330 g/kWh at full load, rich (common practice).
    """
    from enginelimits.assessment.collect import assess
    from enginelimits.description.fill import filled
    from enginelimits.description.load import load_build
    from enginelimits.rules.catalogue import checkout_folder

    found = assess(filled(load_build(checkout_folder("cases") / "factory-na-1800" / "build.yaml")), samples=0)
    curves = {name: np.array(found.curves[name].values, dtype=float) for name in (
        "brake.mean_effective_pressure", "indicated.mean_effective_pressure", "brake.specific_fuel_consumption")}
    brake, gross = curves["brake.mean_effective_pressure"], curves["indicated.mean_effective_pressure"]
    assert brake.min() > 8.5e5 and brake.max() < 13.5e5
    assert (brake / gross > 0.72).all() and (brake / gross < 0.93).all()
    consumption = curves["brake.specific_fuel_consumption"] * 3.6e9
    assert (consumption > 240).all() and (consumption < 340).all()
