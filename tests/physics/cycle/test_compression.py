"""Volumes and the state at the top if nothing burnt: by hand, and against the cycle's own compression."""

from __future__ import annotations

import numpy as np
import pytest
from ordinary_cylinders import ordinary

from enginelimits.physics.cycle.closed import closed_cycle
from enginelimits.physics.cycle.compression import (
    clearance_volume,
    pressure_at_top,
    temperature_at_top,
    volume_at_intake_closing,
)
from enginelimits.physics.gas.charge import fresh_charge


def test_volumes_by_hand() -> None:
    # 86 x 86 mm: 499.56 cm3 swept; ratio 10 leaves a ninth of it
    assert clearance_volume(0.086, 0.086, 10.0) == pytest.approx(55.506e-6, abs=1e-9)
    # closed at the bottom, the whole cylinder
    assert volume_at_intake_closing(0.086, 0.086, 0.143, 10.0, 0.0) == pytest.approx(555.06e-6, abs=1e-8)
    # closed a quarter turn after it, rod twice the stroke: travel r + l - sqrt(l^2 - r^2) = 43 + 172 - 166.538 mm
    travel = 48.462e-3
    volume = 55.506e-6 + np.pi / 4 * 0.086**2 * travel
    assert volume_at_intake_closing(0.086, 0.086, 0.172, 10.0, np.pi / 2) == pytest.approx(volume, rel=1e-5)


def test_an_endless_rod_moves_the_piston_as_a_cosine() -> None:
    # half the stroke at a quarter turn, three quarters 60 deg from the bottom
    swept = np.pi / 4 * 0.086**3
    found = volume_at_intake_closing(0.086, 0.086, 1e6, 11.0, np.array([np.pi / 2, np.pi / 3]))
    assert found == pytest.approx(swept * np.array([0.1 + 0.5, 0.1 + 0.75]), rel=1e-6)


def test_later_closing_holds_less_and_a_shorter_rod_less_too() -> None:
    closing = np.linspace(0.0, 1.75, 36)
    found = volume_at_intake_closing(0.086, 0.086, 0.143, 10.0, closing)
    assert np.all(np.diff(found) < 0.0)
    # near the bottom the piston of a short rod stands nearer the top than that of a long one
    rods = np.array([0.13, 0.15, 0.20, 0.50])
    assert np.all(np.diff(volume_at_intake_closing(0.086, 0.086, rods, 10.0, 0.9)) < 0.0)


def test_state_at_the_top_by_hand() -> None:
    # 9^0.32 = exp(0.32 x 2.19722) = 2.0200
    assert temperature_at_top(340.0, 9.0) == pytest.approx(686.8, abs=0.1)
    # polytropic: p2 / p1 = 9^1.32, through the gas law at both ends
    first = 1e5
    mass = first * 500e-6 / (275.0 * 340.0)
    top = pressure_at_top(mass, 275.0, temperature_at_top(340.0, 9.0), 500e-6 / 9.0)
    assert top == pytest.approx(first * 9.0**1.32, rel=1e-12)


def test_it_is_what_compression_with_ordinary_heat_loss_comes_to() -> None:
    # the closed cycle with a burn that begins after the top: 3 % of temperature and of pressure, of which the lower
    # exponent of rich mixtures and alcohol is the most
    given = ordinary(speed_rad_s=np.array([150.0, 300.0, 500.0, 700.0]))
    of_charge = {
        "fuel_mass_fraction": "fuel_mass_fraction",
        "residual_fraction": "residual_fraction",
        "water_fraction": "water_fraction",
        "lambda_ratio": "lambda_ratio",
        "heating_value_j_kg": "heating_value_j_kg",
        "combustion_efficiency": "combustion_efficiency",
        "ethanol_mass_fraction": "ethanol_share",
        "methanol_mass_fraction": "methanol_share",
    }
    fresh = fresh_charge(**{name: given.pop(key) for key, name in of_charge.items()})
    c = closed_cycle(fresh, **given, half_burned_angle_rad=0.65)
    assert np.all(c.start_of_combustion_rad > 0.0)
    top = np.abs(c.angles_rad).argmin(axis=-1)[..., None]
    traces = c.unburned_temperatures_k, c.pressures_pa
    temperature, pressure = (np.take_along_axis(trace, top, axis=-1)[..., 0] for trace in traces)
    size = given["bore_m"], given["stroke_m"]
    clearance = clearance_volume(*size, given["compression_ratio"])
    closed = volume_at_intake_closing(*size, given["rod_length_m"], given["compression_ratio"], 0.87)
    at_top = temperature_at_top(given["closing_temperature_k"], closed / clearance)
    there = pressure_at_top(given["trapped_mass_kg"], fresh.gas_constant, at_top, clearance)
    assert temperature / at_top == pytest.approx(1.0, abs=0.03)
    assert pressure / there == pytest.approx(1.0, abs=0.03)
