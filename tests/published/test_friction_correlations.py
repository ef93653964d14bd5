"""Friction and brake output against correlations of the literature and identities of the trade."""

from __future__ import annotations

import math

import pytest

from enginelimits.physics.mechanics import friction

RPM = 2.0 * math.pi / 60.0
BAR = 1.0e5


@pytest.mark.parametrize(
    ("peak_bar", "piston_speed", "fmep_bar"), [(50, 8.0, 1.683), (80, 12.0, 2.481), (120, 15.0, 3.167)]
)
def test_chen_flynn(peak_bar, piston_speed, fmep_bar):
    # Chen & Flynn, SAE 650733, in the common form 0.137 bar + pmax/200 + 0.162 Sp (constants from memory).
    got = friction.friction_mean_effective_pressure(
        peak_bar * BAR, piston_speed, 0.137 * BAR, 1 / 200, 0.162 * BAR
    )
    assert got / BAR == pytest.approx(fmep_bar, abs=5e-4)


@pytest.mark.parametrize(
    ("rpm", "tfmep_bar"),
    [(1000, 1.17), (2000, 1.47), (3000, 1.87), (4000, 2.37), (5000, 2.97), (6000, 3.67), (7000, 4.47)],
)
def test_barnes_moss(rpm, tfmep_bar):
    # Heywood 1988, eq. 13.6 (coefficients from memory), worked by hand.
    assert friction.motored_friction(rpm * RPM) / BAR == pytest.approx(tfmep_bar, abs=5e-4)


def test_brake_mean_effective_pressure_of_200_newton_metres_a_litre():
    # 4 pi T / V: 200 N*m a litre is 25.13 bar; a public tutorial prints 150.8 x lb-ft / cubic inch in psi.
    assert friction.mean_effective_pressure_of_torque(200.0, 1e-3) / BAR == pytest.approx(25.13, abs=0.005)
    pound_foot, cubic_inch, psi = 1.3558179483, 1.6387064e-5, 6894.757
    got = friction.mean_effective_pressure_of_torque(pound_foot, cubic_inch) / psi
    assert got == pytest.approx(150.8, abs=0.05)


@pytest.mark.parametrize(("pound_foot", "bmep_bar"), [(250.0, 21.3), (300.0, 25.6)])
def test_brake_mean_effective_pressure_of_two_litres(pound_foot, bmep_bar):
    # 86 x 86 mm, four cylinders, 1.998 L: arithmetic.
    got = friction.mean_effective_pressure_of_torque(pound_foot * 1.35582, 1.998e-3)
    assert got / BAR == pytest.approx(bmep_bar, abs=0.05)


def test_kilowatt_from_newton_metre_and_rpm():
    # kW = N*m x rpm / 9549.297.
    assert friction.shaft_power(9549.297, 1000 * RPM) == pytest.approx(1.0e6, rel=1e-7)


def test_khurmi_gupta_piston_example_power():
    # Khurmi & Gupta, A Textbook of Machine Design, ch. 32: D 100, S 125 mm, 0.75 MPa, 2000 rpm, 80 %:
    # indicated 12.27 kW, brake 9.8 kW.
    volume = math.pi / 4 * 0.1**2 * 0.125
    indicated = friction.shaft_power(friction.brake_torque(0.75e6, volume), 2000 * RPM)
    assert indicated / 1e3 == pytest.approx(12.27, abs=0.005)
    brake = friction.brake_mean_effective_pressure(0.75e6, 0.0, 0.2 * 0.75e6)
    assert friction.shaft_power(friction.brake_torque(brake, volume), 2000 * RPM) / 1e3 == pytest.approx(
        9.8, abs=0.05
    )
