"""What a cylinder holds when its intake valve closes: worked by hand, and which way each part moves it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.airflow import engine_flow
from enginelimits.physics.airflow.trapped_charge import (
    cooling_gain,
    fresh_mass,
    fresh_temperature,
    pressure_at_intake_closing,
    share_of_mass,
    temperature_at_intake_closing,
    trapped_mass,
    water_share,
)
from enginelimits.physics.numerics.validity import outside


def test_masses_by_hand():
    # 500 mg of dry air with 12 g of water a kilogram and 40 mg of fuel: 500 + 6 + 40 = 546 mg
    assert fresh_mass(500e-6, 40e-6, 0.012) == pytest.approx(546e-6, rel=1e-12)
    # 4 % of the whole is residual: 546 / 0.96 = 568.75 mg
    assert trapped_mass(546e-6, 0.04) == pytest.approx(568.75e-6, rel=1e-12)
    assert share_of_mass(40e-6, 568.75e-6) == pytest.approx(0.0703297, abs=5e-8)
    assert water_share(500e-6, 0.012, 568.75e-6) == pytest.approx(0.0105495, abs=5e-8)


@given(air=st.floats(5e-5, 3e-3), mixture=st.floats(8.0, 18.0), water=st.floats(0.0, 0.04), left=st.floats(0.0, 0.3))
def test_parts_make_up_the_whole(air, mixture, water, left):
    fuel = air / mixture
    whole = trapped_mass(fresh_mass(air, fuel, water), left)
    shares = share_of_mass(air, whole) + share_of_mass(fuel, whole) + water_share(air, water, whole) + left
    assert shares == pytest.approx(1.0, rel=1e-12)


def test_walls_warm_and_fuel_cools_the_fresh_charge_by_hand():
    # 40 degC, 28 K by walls, 21 K taken by fuel: 313.15 + 28 - 21
    assert fresh_temperature(313.15, 28.0, 21.0) == pytest.approx(320.15, rel=1e-12)
    # neat ethanol, stoichiometric, three quarters evaporated on the charge, 83 K if all of it: below the manifold
    assert fresh_temperature(313.15, 28.0, 0.75 * 83.0) < 313.15


def test_residual_warms_the_charge_by_hand():
    # 0.95 of 320 K and 0.05 of 1050 K: 304 + 52.5
    assert temperature_at_intake_closing(320.0, 0.05, 1050.0) == pytest.approx(356.5, rel=1e-12)
    share = np.array([0.0, 0.03, 0.06])
    got = temperature_at_intake_closing(335.0, share, 1000.0)
    assert got[0] == 335.0
    assert np.all(np.diff(got) > 0.0)


def test_what_a_cooling_fuel_adds_to_the_air_by_hand():
    # 35 K more than gasoline at 315 K are a ninth; a share of 0.36 shows: 1.04
    assert cooling_gain(55.0, 20.0, 315.0, 0.36) == pytest.approx(1.04, rel=1e-12)
    assert cooling_gain(20.0, 20.0, 315.0, 0.36) == 1.0
    assert cooling_gain(55.0, 20.0, 315.0, 0.0) == 1.0


@pytest.mark.parametrize("share", [0.2, 0.35, 0.5])
def test_ethanol_by_direct_injection_adds_a_few_per_cent_of_air(share):
    # From memory: alcohol by direct injection fills 2 to 8 % better.  Ethanol of 85 % by volume at lambda 0.82 cools
    # by 0.75 x 839 kJ/kg / (1005 x 8.0 + 2000) = 62 K, gasoline by 0.75 x 350 / (1005 x 12.0 + 2000) = 19 K.
    assert 1.02 < cooling_gain(62.0, 19.0, 300.0, share) < 1.08


def test_a_cylinder_filled_with_manifold_air_closes_at_manifold_pressure():
    # Volumetric efficiency 1, no fuel, no residual, no heating, closing at bottom dead centre, no clearance volume.
    density = engine_flow.manifold_density(150e3, 320.0)
    mass = trapped_mass(fresh_mass(density * 500e-6, 0.0, 0.0), 0.0)
    temperature = temperature_at_intake_closing(fresh_temperature(320.0, 0.0, 0.0), 0.0, 1000.0)
    assert pressure_at_intake_closing(mass, temperature, 500e-6, 287.05287) == pytest.approx(150e3, rel=1e-9)


def test_ranges_mark_what_no_cylinder_holds():
    assert not outside(fresh_temperature, {"manifold_temperature_k": 320.0, "charge_cooling_k": 60.0})
    assert outside(fresh_temperature, {"charge_cooling_k": 250.0})
    assert outside(trapped_mass, {"residual_fraction": 0.6})
    assert outside(fresh_mass, {"humidity_ratio": 0.08})
