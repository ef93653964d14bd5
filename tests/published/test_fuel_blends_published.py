"""Gasoline-ethanol blends against a table worked by hand from pure components, and measured octane."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.gas.blend import blend_molar_mass
from enginelimits.physics.gas.fuel import (
    blend_density,
    blend_heat_of_vaporisation,
    blend_heating_value,
    blend_octane,
    blend_stoichiometric_ratio,
    ethanol_mass_fraction,
    ethanol_mole_fraction,
    evaporative_cooling,
)

# Ideal volumes, linear by mass, from gasoline 745 kg/m^3, 43.4 MJ/kg, 14.6, 350 kJ/kg, 108 g/mol and ethanol
# 794, 26.8, 8.98, 920, 46.07 (properties: US DOE Alternative Fuels Data Center, "Properties of Fuels", within
# its ranges); worked once by hand: volume share, mass share, mole share, density, heating value, air, heat of
# vaporisation, cooling by air alone, cooling with the fuel
TABLE = [
    (0.00, 0.0, 0.0, 745.0, 43.40, 14.60, 350, 23.9, 21.0),
    (0.10, 0.1059, 0.2173, 749.9, 41.64, 14.01, 410, 29.2, 25.5),
    (0.30, 0.3135, 0.5171, 759.7, 38.20, 12.84, 529, 41.0, 35.5),
    (0.85, 0.8579, 0.9340, 786.6, 29.16, 9.78, 839, 85.4, 70.9),
    (1.00, 1.0, 1.0, 794.0, 26.80, 8.98, 920, 101.9, 83.4),
]


@pytest.mark.parametrize("row", TABLE, ids=[f"E{100 * r[0]:.0f}" for r in TABLE])
def test_blend_properties(row: tuple[float, ...]) -> None:
    e, mass, mole, density, heating, air, heat, air_alone, with_fuel = row
    assert ethanol_mass_fraction(e, 745.0) == pytest.approx(mass, abs=6e-5)
    assert ethanol_mole_fraction(e, 745.0, 0.108) == pytest.approx(mole, abs=6e-5)
    assert blend_molar_mass(e, 745.0, 0.108) == pytest.approx(0.108 - mole * (0.108 - 0.04607), abs=1e-5)
    assert blend_density(e, 745.0) == pytest.approx(density, abs=0.06)
    assert blend_heating_value(e, 745.0, 43.4e6) / 1e6 == pytest.approx(heating, abs=0.006)
    assert blend_stoichiometric_ratio(e, 745.0, 14.6) == pytest.approx(air, abs=0.006)
    assert blend_heat_of_vaporisation(e, 745.0) / 1e3 == pytest.approx(heat, abs=0.6)
    assert evaporative_cooling(heat * 1e3, air, 1.0, 0.0) == pytest.approx(air_alone, abs=0.15)
    assert evaporative_cooling(heat * 1e3, air, 1.0, 2000.0) == pytest.approx(with_fuel, abs=0.15)


def test_heat_of_vaporisation_of_half_ethanol_is_in_the_measured_range() -> None:
    # Chupka et al., SAE 2015-01-0763: E50 650 to 700 kJ/kg (range over four blendstocks)
    assert 640e3 < blend_heat_of_vaporisation(0.5, 745.0) < 700e3


def test_mole_share_of_85_percent_by_mass() -> None:
    # Anderson & Wallington, Energy & Fuels 2020: 85 % by mass is 93 % by mole with 108 g/mol
    by_volume = (0.85 / 794.0) / (0.85 / 794.0 + 0.15 / 745.0)
    assert ethanol_mole_fraction(by_volume, 745.0, 0.108) == pytest.approx(0.93, abs=0.005)


@pytest.mark.parametrize(("ethanol", "molar"), [(0.0, 92.0), (0.10, 95.7), (0.30, 100.8)])
def test_octane_follows_the_molar_law_below_the_ceiling(ethanol: float, molar: float) -> None:
    # Anderson & Wallington 2020, Z = 0, base 92, neat ethanol 109; 0.15 for the rounded bend
    assert blend_octane(ethanol, 0.0, 92.0, 745.0, 0.108) == pytest.approx(molar, abs=0.15)


@pytest.mark.parametrize("base", [88.0, 92.0, 95.0, 98.0])
@pytest.mark.parametrize("ethanol", [0.50, 0.70, 0.85])
def test_octane_of_strong_blends_converges(base: float, ethanol: float) -> None:
    # Chupka et al., SAE 2015-01-0763: 103 to 105 above 30 to 40 % by volume
    assert 102.5 <= blend_octane(ethanol, 0.0, base, 745.0, 0.108) <= 105.0


def test_octane_as_sold_stays_when_nothing_is_added() -> None:
    held = np.array([0.0, 0.05, 0.10])
    for octane in (91.0, 98.0, 104.0, 108.0):
        assert blend_octane(held, held, octane, 745.0, 0.108) == pytest.approx([octane] * 3, abs=1e-12)


def test_adding_ethanol_never_lowers_octane() -> None:
    ethanol = np.linspace(0.1, 1.0, 91)
    for octane in (85.0, 95.0, 102.0, 107.0):
        assert np.all(np.diff(blend_octane(ethanol, 0.1, octane, 745.0, 0.108)) >= -1e-9)


def test_ethanol_already_held_leaves_less_to_gain() -> None:
    # two fuels sold as 95: the one that reached it with ethanol has the poorer hydrocarbons
    assert blend_octane(0.3, 0.10, 95.0, 745.0, 0.108) < blend_octane(0.3, 0.0, 95.0, 745.0, 0.108)


def test_heat_for_each_mass_of_air_hardly_changes() -> None:
    # US DOE Alternative Fuels Data Center, heat a pound of air: gasoline 1290, ethanol 1280 Btu; 2 % for its
    # rounding
    ratio = [
        blend_heating_value(e, 745.0, 43.4e6) / blend_stoichiometric_ratio(e, 745.0, 14.6) for e in (0.0, 1.0)
    ]
    assert ratio[1] / ratio[0] == pytest.approx(1280.0 / 1290.0, rel=0.02)
