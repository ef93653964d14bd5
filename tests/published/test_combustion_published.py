"""Wiebe's function, wall heat transfer and rich heat release against values worked outside the package."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.combustion.heat_transfer import (
    hohenberg_coefficient,
    woschni_coefficient,
    woschni_gas_speed,
)
from enginelimits.physics.combustion.wiebe import (
    burn_rate,
    burned_fraction,
    share_at_burned,
    start_of_combustion,
)
from enginelimits.physics.gas.equilibrium import burned_gas


@pytest.mark.parametrize(
    ("a", "burned", "share"),
    # hand calculation of (-ln(1 - x)/a)^(1/3); a = 5, m = 2 from Heywood 1988, ch. 9, from memory
    [(5.0, 0.1, 0.27621), (5.0, 0.5, 0.51755), (5.0, 0.9, 0.77223), (6.908, 0.5, 0.46468)],
)
def test_wiebe_anchors(a: float, burned: float, share: float) -> None:
    assert share_at_burned(burned, a, 2.0) == pytest.approx(share, abs=6e-6)
    assert burned_fraction(share, a, 2.0) == pytest.approx(burned, abs=5e-5)


def test_wiebe_at_its_nominal_end() -> None:
    # 1 - exp(-5) and 99.9 % for a = ln 1000
    assert burned_fraction(1.0, 5.0, 2.0) == pytest.approx(0.99326, abs=5e-6)
    assert burned_fraction(1.0, 6.908, 2.0) == pytest.approx(0.999, abs=5e-6)


def test_peak_rate_of_wiebe() -> None:
    # (m / (a (m + 1)))^(1/(m + 1)) = 0.5109 for a = 5, m = 2
    y = np.linspace(0.0, 1.0, 100001)
    assert y[np.argmax(burn_rate(y, 5.0, 2.0))] == pytest.approx(0.5109, abs=5e-5)


@pytest.mark.parametrize("m", [1.3, 2.0, 3.1])
def test_burn_rate_is_the_derivative(m: float) -> None:
    y = np.linspace(0.05, 1.6, 50)
    finite = (burned_fraction(y + 1e-6, 5.0, m) - burned_fraction(y - 1e-6, 5.0, m)) / 2e-6
    assert burn_rate(y, 5.0, m) == pytest.approx(finite, abs=1e-8)


def test_nothing_burns_before_the_start() -> None:
    start = start_of_combustion(0.2, 0.9, 5.0, 2.0)
    assert burned_fraction((start - 0.1 - start) / 0.9, 5.0, 2.0) == 0.0
    assert burned_fraction((0.2 - start) / 0.9, 5.0, 2.0) == pytest.approx(0.5, abs=1e-12)


# Bore 86 mm, 8.6 m/s, 330 K and 1 bar at a reference volume of displacement * 10/9, as in Heywood 1988, eq.
# 12.19 with constants from memory; worked by hand: pressure, motored pressure, temperature, gas speed,
# coefficient
@pytest.mark.parametrize(
    ("bar", "motored", "kelvin", "speed", "coefficient"),
    [
        (10.0, 10.0, 650.0, 19.608, 410.4),
        (60.0, 22.0, 2400.0, 56.175, 1947.0),
        (15.0, 7.0, 1800.0, 27.31, 422.5),
    ],
)
def test_woschni(bar: float, motored: float, kelvin: float, speed: float, coefficient: float) -> None:
    displacement = np.pi / 4 * 0.086**3
    w = woschni_gas_speed(8.6, (bar - motored) * 1e5, displacement, 330.0, 1e5, displacement * 10.0 / 9.0)
    assert w == pytest.approx(speed, rel=2e-4)
    # half the last digit, and a four-digit gas speed
    assert woschni_coefficient(0.086, bar * 1e5, kelvin, speed) == pytest.approx(coefficient, rel=4e-4)


def test_hohenberg() -> None:
    # Hohenberg, SAE 790825, formula from memory; worked by hand
    assert hohenberg_coefficient(1.0546e-4, 60e5, 2400.0, 8.6) == pytest.approx(1671.0, abs=0.6)


def test_the_two_wall_laws_agree_within_their_spread() -> None:
    # both are said to hold for the same engines: common practice, no source; a factor of two would show a
    # wrong unit
    woschni = woschni_coefficient(0.086, 60e5, 2400.0, 56.175)
    assert 0.6 < hohenberg_coefficient(1.0546e-4, 60e5, 2400.0, 8.6) / woschni < 1.6


def heat_share(air: float) -> float:
    """Share of the vapour's heating value that is not left in carbon monoxide and hydrogen."""
    left = float(burned_gas(air).residual[5])
    return 1.0 - left * (1.0 + air * 14.6) / 43.75e6  # 43.4 MJ/kg and 350 kJ/kg to evaporate


@pytest.mark.parametrize(
    ("air", "share"),
    [(1.0, 0.998), (0.952, 0.936), (0.909, 0.879), (0.85, 0.801), (0.80, 0.735), (0.75, 0.673)],
)
def test_heat_of_rich_mixtures(air: float, share: float) -> None:
    # CO and H2 left over, water-gas equilibrium frozen at 1740 K, iso-octane: Cantera 3.2, computed once.
    # 0.004: the table is of CH1.87, and mixed linearly between its lambdas
    assert heat_share(air) == pytest.approx(share, abs=0.004)


def test_heat_of_rich_mixtures_against_a_measured_efficiency() -> None:
    # Blair 1996, Design and Simulation of Two-Stroke Engines, pp. 303-305: 0.87 at lambda 0.875, relative to
    # lean. 0.04: an empirical curve of other engines
    assert heat_share(0.875) == pytest.approx(0.87, abs=0.04)
