"""Burned gas in equilibrium, and the fresh charge, against Cantera and flame temperatures.

Cantera is a general-purpose library for chemical thermodynamics; it reads the NASA polynomials (McBride, Zehe and
Gordon, NASA TP-2002-211556) and finds the equilibrium itself at every state below.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from enginelimits.physics.gas.charge import fresh_charge
from enginelimits.physics.gas.equilibrium import burned_gas_constant, burned_internal_energy
from enginelimits.physics.gas.mixture import gas_constant_unburned, heat_capacity_unburned

sys.path.append(str(Path(__file__).parents[1] / "references"))

from two_zone import FUELS, blend_by_mass, charge, gas, products_of

# Mass shares of ethanol and of methanol; the rest is iso-octane and toluene with 1.87 hydrogen atoms a carbon atom
BLENDS = {
    "gasoline": (0.0, 0.0),
    "ethanol": (1.0, 0.0),
    "methanol": (0.0, 1.0),
    "half ethanol": (0.5, 0.0),
    "pump ethanol": (0.86, 0.0),
    "three fuels": (0.3, 0.3),
}
LAMBDAS = (0.7, 0.78, 0.8, 0.87, 0.93, 0.98, 1.0, 1.02, 1.15, 1.3)

# Kelvin and bar. Thin gas in an engine is no longer hot: nothing under 5 bar above 2000 K, under 20 bar above 2300 K.
STATES = [
    *((t, p) for t in (1000.0, 1300.0, 1600.0, 1900.0) for p in (1.0, 3.0, 10.0, 40.0, 150.0)),
    *((t, p) for t in (2050.0, 2200.0) for p in (5.0, 20.0, 60.0, 150.0)),
    *((t, p) for t in (2500.0, 2800.0, 3000.0) for p in (20.0, 40.0, 80.0, 150.0)),
]
KELVIN, BAR = np.array(STATES).T


def _by_cantera(lambda_ratio: float, ethanol: float, methanol: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Internal energy over complete products and gas constant at STATES; heat of the fuel in a kg of charge."""
    burned, made = gas(vapours=False), charge(blend_by_mass(ethanol, methanol), 1.0 / lambda_ratio)
    energy, constant = [], []
    for kelvin, bar in STATES:
        burned.TPX = kelvin, bar * 1e5, products_of(made.moles)
        burned.equilibrate("TP")
        energy.append(burned.int_energy_mass - made.formation_j_kg)
        constant.append(burned.cp_mass - burned.cv_mass)
    return np.array(energy), np.array(constant), made.fuel_mass_fraction * made.heating_value_j_kg


@pytest.mark.parametrize("blend", BLENDS)
@pytest.mark.parametrize("lambda_ratio", LAMBDAS)
def test_burned_gas(blend: str, lambda_ratio: float) -> None:
    ethanol, methanol = BLENDS[blend]
    energy, constant, heat = _by_cantera(lambda_ratio, ethanol, methanol)
    ratio = np.full(KELVIN.shape, lambda_ratio)
    got = burned_internal_energy(KELVIN, BAR * 1e5, ratio, ethanol, methanol)
    # 1 % of the heat in the charge is 1 % of the temperature rise, 25 K
    assert got == pytest.approx(energy, abs=0.01 * heat)
    # and a change between two states as well, the hottest to the coldest: an error common to both drops out
    assert got[-1] - got[0] == pytest.approx(energy[-1] - energy[0], abs=0.01 * heat)
    assert burned_gas_constant(KELVIN, BAR * 1e5, ratio, ethanol, methanol) == pytest.approx(constant, rel=3e-3)


def test_any_shapes_that_broadcast() -> None:
    energy, constant, heat = _by_cantera(0.87, 0.4, 0.1)
    every_lambda = burned_internal_energy(KELVIN, BAR * 1e5, np.array(LAMBDAS)[:, None], np.array([[0.4]]), 0.1)
    assert every_lambda.shape == (len(LAMBDAS), len(STATES))
    assert every_lambda[LAMBDAS.index(0.87)] == pytest.approx(energy, abs=0.01 * heat)
    # one gas in many states
    assert burned_internal_energy(KELVIN, BAR * 1e5, 0.87, 0.4, 0.1) == pytest.approx(energy, abs=0.01 * heat)
    assert burned_gas_constant(KELVIN, BAR * 1e5, 0.87, 0.4, 0.1) == pytest.approx(constant, rel=3e-3)
    # and many gases in one state
    many = burned_internal_energy(2500.0, 4e6, np.array(LAMBDAS))
    assert many == pytest.approx([float(burned_internal_energy(2500.0, 4e6, x)) for x in LAMBDAS], rel=1e-12)


def _flame(
    heat_j_kg: float, gas_constant: float, lambda_ratio: float, shares: tuple[float, float], pressure: float | None
) -> float:
    """Temperature after burning from 298.15 K, one atmosphere; in the same volume where no pressure is given."""
    volume = gas_constant * 298.15 / 101325.0

    def missing(kelvin: float) -> float:
        at = pressure
        if at is None:
            at = 10.0 * 101325.0
            for _ in range(30):
                at = float(burned_gas_constant(kelvin, at, lambda_ratio, *shares)) * kelvin / volume
        energy = float(burned_internal_energy(kelvin, at, lambda_ratio, *shares))
        if pressure is None:
            return energy - (heat_j_kg - gas_constant * 298.15)
        return energy + float(burned_gas_constant(kelvin, at, lambda_ratio, *shares)) * kelvin - heat_j_kg

    return float(brentq(missing, 1500.0, 3200.0, xtol=0.01))


# Adiabatic flame temperatures from 298.15 K and one atmosphere, fuel as vapour, air of 21 % O2, at constant pressure
# and at constant volume: Cantera 3.2, computed once by another program
FLAMES = [("ethanol", (1.0, 0.0), 2236.0, 2593.0), ("methanol", (0.0, 1.0), 2221.0, 2572.0)]


@pytest.mark.parametrize(("fuel", "shares", "open_k", "closed_k"), FLAMES)
def test_flame_temperature(fuel: str, shares: tuple[float, float], open_k: float, closed_k: float) -> None:
    made, fresh = charge(FUELS[fuel], 1.0), gas()
    fresh.X = made.moles
    constant = fresh.cp_mass - fresh.cv_mass
    heat = made.fuel_mass_fraction * made.heating_value_j_kg
    # 15 K: 0.6 % of the rise; one atmosphere is thinner than an engine's gas ever is when that hot
    assert _flame(heat, constant, 1.0, shares, 101325.0) == pytest.approx(open_k, abs=15.0)
    assert _flame(heat, constant, 1.0, shares, None) == pytest.approx(closed_k, abs=15.0)


@pytest.mark.parametrize("lambda_ratio", [0.75, 0.85, 0.95, 1.0, 1.1, 1.3])
@pytest.mark.parametrize("blend", BLENDS)
def test_flame_temperature_of_any_mixture(blend: str, lambda_ratio: float) -> None:
    made = charge(blend_by_mass(*BLENDS[blend]), 1.0 / lambda_ratio)
    fresh, burned = gas(), gas(vapours=False)
    fresh.TPX = 298.15, 101325.0, made.moles
    burned.TPX = 2500.0, 1e6, products_of(made.moles)
    burned.equilibrate("TP")
    burned.UV = fresh.u, fresh.v
    burned.equilibrate("UV", rtol=1e-9)
    heat, constant = made.fuel_mass_fraction * made.heating_value_j_kg, fresh.cp_mass - fresh.cv_mass
    assert _flame(heat, constant, lambda_ratio, BLENDS[blend], None) == pytest.approx(burned.T, abs=15.0)


# Isentropic exponent of burned gas of iso-octane, phi 1, 30 bar, in equilibrium: Cantera 3.2, computed once by another
# program
EXPONENTS = [
    (1000.0, 1.2939),
    (1200.0, 1.2810),
    (1500.0, 1.2660),
    (1800.0, 1.2511),
    (2000.0, 1.2377),
    (2200.0, 1.2205),
    (2500.0, 1.1925),
    (2800.0, 1.1712),
    (3000.0, 1.1632),
]


@pytest.mark.parametrize(("kelvin", "exponent"), EXPONENTS)
def test_isentropic_exponent(kelvin: float, exponent: float) -> None:
    # du = -p dv along an isentrope, u and v of temperature and pressure: the share of dT to dp follows
    pressure, dt, dp = 3e6, 5.0, 3e4

    def volume(t: float, p: float) -> float:
        return float(burned_gas_constant(t, p, 1.0)) * t / p

    def energy(t: float, p: float) -> float:
        return float(burned_internal_energy(t, p, 1.0))

    def slopes(f) -> tuple[float, float]:
        by_t = (f(kelvin + dt, pressure) - f(kelvin - dt, pressure)) / (2.0 * dt)
        return by_t, (f(kelvin, pressure + dp) - f(kelvin, pressure - dp)) / (2.0 * dp)

    (u_t, u_p), (v_t, v_p) = slopes(energy), slopes(volume)
    warming = -(u_p + pressure * v_p) / (u_t + pressure * v_t)
    got = -volume(kelvin, pressure) / pressure / (v_t * warming + v_p)
    # 0.01: hydrogen over carbon is 1.87 here and 2.25 there (0.002), the rest is the fit's slopes
    assert got == pytest.approx(exponent, abs=0.01)


FRESH_K = (300.0, 400.0, 600.0, 800.0, 1000.0)


@pytest.mark.parametrize("blend", BLENDS)
@pytest.mark.parametrize("lambda_ratio", [0.75, 0.9, 1.0, 1.2])
def test_fresh_charge(blend: str, lambda_ratio: float) -> None:
    ethanol, methanol = BLENDS[blend]
    made, fresh = charge(blend_by_mass(ethanol, methanol), 1.0 / lambda_ratio), gas()
    got = fresh_charge(
        fuel_mass_fraction=made.fuel_mass_fraction,
        residual_fraction=0.0,
        lambda_ratio=lambda_ratio,
        heating_value_j_kg=made.heating_value_j_kg,
        ethanol_share=ethanol,
        methanol_share=methanol,
    )
    fresh.X = made.moles
    assert float(got.gas_constant) == pytest.approx(fresh.cp_mass - fresh.cv_mass, rel=3e-3)
    for kelvin in FRESH_K:
        fresh.TP = kelvin, 101325.0
        capacity = sum(float(c) * (kelvin * 1e-3) ** i for i, c in enumerate(got.heat_capacity))
        # 0.5 %: cubics, and a hydrocarbon vapour of one's own choice
        assert capacity == pytest.approx(fresh.cp_mass, rel=5e-3), kelvin


@pytest.mark.parametrize("kelvin", FRESH_K)
def test_heat_capacity_of_a_stoichiometric_charge(kelvin: float) -> None:
    for fuel, share, molar in (("iso-octane", 0.0, 0.114232), ("ethanol", 1.0, 0.046069)):
        made, fresh = charge(FUELS[fuel], 1.0), gas()
        fresh.TPX = kelvin, 101325.0, made.moles
        constant = gas_constant_unburned(made.stoichiometric_ratio, molar)
        assert constant == pytest.approx(fresh.cp_mass - fresh.cv_mass, rel=1e-3)
        # 0.5 %: its cubic misses R / cp by up to 0.15 %, and was fitted to air without argon (0.2 %)
        assert heat_capacity_unburned(kelvin, constant, share) == pytest.approx(fresh.cp_mass, rel=5e-3)
