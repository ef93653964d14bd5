"""How burned gas in the charge follows exhaust pressure, clearance and load."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.airflow.residual import (
    effective_compression_ratio,
    residual_fraction,
    residual_mass,
    residual_mole_fraction,
)

# One cylinder of 0.5 litre, compression 10, at 100 kPa: 500e-6 / 9 left at the top
CLEARANCE = 500e-6 / 9.0


def fresh(intake_pa: float, kelvin: float = 318.0, filling: float = 0.92, air_fuel: float = 14.0) -> float:
    return filling * intake_pa / (287.05 * kelvin) * 500e-6 * (1.0 + 1.0 / air_fuel)


def test_mass_by_hand():
    # 1e5 * 60e-6 / (300 * 1000) = 20 mg
    assert residual_mass(1e5, 60e-6, 1000.0, 1.0, 300.0) == pytest.approx(20e-6)
    assert residual_mass(1e5, 60e-6, 1000.0, 1.5, 300.0) == pytest.approx(30e-6)
    assert residual_fraction(20e-6, 380e-6) == pytest.approx(0.05)


@pytest.mark.parametrize("factor", [1.1, 1.3, 1.7])
def test_full_load_without_boost_leaves_three_to_eight_per_cent(factor: float):
    # from memory: 3 to 8 %
    share = residual_fraction(residual_mass(106e3, CLEARANCE, 1050.0, factor), fresh(98e3))
    assert 0.03 < share < 0.08


@pytest.mark.parametrize("factor", [1.25, 1.5, 1.9])
def test_part_load_leaves_ten_to_twenty_per_cent(factor: float):
    # from memory: 10 to 20 % at 40 kPa
    share = residual_fraction(residual_mass(103e3, CLEARANCE, 950.0, factor), fresh(40e3, air_fuel=14.6))
    assert 0.10 < share < 0.20


def test_boost_with_an_open_exhaust_leaves_less_and_back_pressure_more():
    plain = residual_fraction(residual_mass(106e3, CLEARANCE, 1050.0, 1.3), fresh(98e3))
    blown = residual_fraction(residual_mass(110e3, CLEARANCE, 1050.0, 1.3), fresh(180e3))
    turbine = residual_fraction(residual_mass(260e3, CLEARANCE, 1050.0, 1.3), fresh(180e3))
    assert blown < plain < turbine


@given(
    pressure=st.floats(5e4, 7e5),
    clearance=st.floats(1e-5, 9e-4),
    kelvin=st.floats(520.0, 1500.0),
    factor=st.floats(0.4, 3.5),
    charge=st.floats(1e-5, 0.01),
)
def test_it_is_a_share_and_moves_the_right_way(pressure, clearance, kelvin, factor, charge):
    share = residual_fraction(residual_mass(pressure, clearance, kelvin, factor), charge)
    assert 0.0 < share < 1.0
    assert residual_fraction(residual_mass(pressure * 1.1, clearance, kelvin, factor), charge) > share
    assert residual_fraction(residual_mass(pressure, clearance * 1.1, kelvin, factor), charge) > share
    assert residual_fraction(residual_mass(pressure, clearance, kelvin * 1.05, factor), charge) < share
    assert residual_fraction(residual_mass(pressure, clearance, kelvin, factor), charge * 1.1) < share


def test_moles_from_mass():
    # 5 g of 25 g/mol and 95 g of 30 g/mol: 0.2 and 3.16667 mol, 0.059406
    assert residual_mole_fraction(0.05, 0.025, 0.030) == pytest.approx(0.059406, abs=5e-7)
    assert residual_mole_fraction(0.0, 0.0286, 0.0303) == 0.0
    assert residual_mole_fraction(0.1, 0.029, 0.029) == pytest.approx(0.1)


def test_effective_compression_by_hand():
    # bore 86, stroke 86, rod 143 mm, 10 : 1, closing 50 deg after the bottom, 130 deg of crank from the top: the piston
    # is 43 * 1.642788 + 143 - sqrt(20449 - 1085.04) = 74.4855 mm down, with 86 / 9 mm left at the top
    area, left = np.pi / 4.0 * 0.086**2, 0.086 / 9.0
    assert effective_compression_ratio(area * (left + 0.0744855), area * left) == pytest.approx(8.795, abs=5e-4)
    assert effective_compression_ratio(area * (left + 0.086), area * left) == pytest.approx(10.0)
