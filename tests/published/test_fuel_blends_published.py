"""Blends of gasoline, ethanol and methanol against hand-worked tables, pure components and measured blends."""

from __future__ import annotations

import pytest

from enginelimits.physics.gas.blend import blend_molar_mass
from enginelimits.physics.gas.composition import stoichiometric_ratio
from enginelimits.physics.gas.fuel import (
    blend_density,
    blend_heat_of_vaporisation,
    blend_heating_value,
    blend_stoichiometric_ratio,
    ethanol_mass_fraction,
    ethanol_mole_fraction,
    evaporative_cooling,
    methanol_mass_fraction,
    methanol_mole_fraction,
    vapour_heating_value,
)
from enginelimits.physics.gas.vaporisation import charge_cooling

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


def test_heat_for_each_mass_of_air_hardly_changes() -> None:
    # US DOE Alternative Fuels Data Center, heat a pound of air: gasoline 1290, ethanol 1280 Btu; 2 % for its
    # rounding
    ratio = [blend_heating_value(e, 745.0, 43.4e6) / blend_stoichiometric_ratio(e, 745.0, 14.6) for e in (0.0, 1.0)]
    assert ratio[1] / ratio[0] == pytest.approx(1280.0 / 1290.0, rel=0.02)


# The same by hand for methanol (796, 19.94, 6.47, 1169, 32.04) with the same gasoline.  15 %: 119.4 kg of methanol and
# 633.25 kg of gasoline in a cubic metre, 3.727 and 5.863 kmol.  Volume share, mass share, mole share, density,
# heating value, air, heat of vaporisation, molar mass
METHANOL_TABLE = [
    (0.15, 0.1586, 0.3886, 752.65, 39.68, 13.31, 480, 78.48),
    (1.00, 1.0, 1.0, 796.0, 19.94, 6.47, 1169, 32.04),
]


@pytest.mark.parametrize("row", METHANOL_TABLE, ids=[f"M{100 * r[0]:.0f}" for r in METHANOL_TABLE])
def test_methanol_blend_properties(row: tuple[float, ...]) -> None:
    m, mass, mole, density, heating, air, heat, molar_mass = row
    assert methanol_mass_fraction(0.0, 745.0, m) == pytest.approx(mass, abs=6e-5)
    assert methanol_mole_fraction(0.0, 745.0, 0.108, m) == pytest.approx(mole, abs=6e-5)
    assert blend_density(0.0, 745.0, methanol=m) == pytest.approx(density, abs=0.01)
    assert blend_heating_value(0.0, 745.0, 43.4e6, methanol=m) / 1e6 == pytest.approx(heating, abs=0.006)
    assert blend_stoichiometric_ratio(0.0, 745.0, 14.6, methanol=m) == pytest.approx(air, abs=0.006)
    assert blend_heat_of_vaporisation(0.0, 745.0, methanol=m) / 1e3 == pytest.approx(heat, abs=0.6)
    assert blend_molar_mass(0.0, 745.0, 0.108, methanol=m) * 1e3 == pytest.approx(molar_mass, abs=0.006)


# Turner et al., SAE 2011-24-0113 (from memory): gasoline, ethanol and methanol by volume, made to need the air of E85
# and to hold its energy a litre.  1.5 %: their gasoline and alcohol constants are not ours.
@pytest.mark.parametrize(("ethanol", "methanol"), [(0.425, 0.28), (0.21, 0.42), (0.0, 0.56)])
def test_ternary_blends_that_stand_for_e85(ethanol: float, methanol: float) -> None:
    def air_and_energy(e: float, m: float) -> tuple[float, float]:
        heat = blend_heating_value(e, 745.0, 43.4e6, m) * blend_density(e, 745.0, m)
        return blend_stoichiometric_ratio(e, 745.0, 14.6, m), heat

    assert air_and_energy(ethanol, methanol) == pytest.approx(air_and_energy(0.85, 0.0), rel=0.015)


# US DOE Alternative Fuels Data Center, "Properties of Fuels": lower heating value and latent heat in Btu/lb (2.326
# kJ/kg), density in lb/gal (119.826 kg/m^3).  1 %: commercial alcohol, 60 degF
@pytest.mark.parametrize(
    ("ethanol", "methanol", "heating", "latent", "density"),
    [(1.0, 0.0, 11585, 396, 6.61), (0.0, 1.0, 8637, 506, 6.63)],
    ids=["ethanol", "methanol"],
)
def test_neat_alcohols_of_the_government_table(
    ethanol: float, methanol: float, heating: float, latent: float, density: float
) -> None:
    assert blend_heating_value(ethanol, 745.0, 43.4e6, methanol) == pytest.approx(heating * 2326.0, rel=0.01)
    assert blend_heat_of_vaporisation(ethanol, 745.0, 350e3, methanol) == pytest.approx(latent * 2326.0, rel=0.01)
    assert blend_density(ethanol, 745.0, methanol) == pytest.approx(density * 119.826, rel=0.005)


# Atomic weights and dry air with 20.95 % oxygen, 28.9647 g/mol, worked with a general-purpose chemistry library;
# half the last digit, and 0.0005 for 28.9644
@pytest.mark.parametrize(("ethanol", "methanol", "ratio"), [(0.0, 0.0, 15.129), (1.0, 0.0, 9.003), (0.0, 1.0, 6.472)])
def test_air_of_pure_components(ethanol: float, methanol: float, ratio: float) -> None:
    # Iso-octane, C8H18, has 2.25 hydrogen atoms a carbon atom.
    assert stoichiometric_ratio(ethanol, 2.25, methanol) == pytest.approx(ratio, abs=1e-3)


def test_air_of_half_ethanol_half_methanol_by_mass_is_the_mean() -> None:
    assert stoichiometric_ratio(0.5, 1.87, 0.5) == pytest.approx((9.003 + 6.472) / 2, abs=1e-3)


# Heats of formation of the vapour at 25 degC (NIST Chemistry WebBook, kJ/mol): ethanol -234.8, methanol -201.0,
# iso-octane -224.0; CO2 -393.51, H2O as gas -241.83.  Lower heating value = sum of products less fuel, a mole over
# 46.069, 32.042 and 114.23 g: 27.73, 21.10, 44.65 MJ/kg.
@pytest.mark.parametrize(
    ("liquid", "latent", "carbon", "water", "formation", "molar_mass"),
    [
        (26.8e6, 920e3, 2, 3, -234.8, 46.069),
        (19.94e6, 1169e3, 1, 2, -201.0, 32.042),
        # Liquid iso-octane: 44.343 MJ/kg, 307.6 kJ/kg, worked with a general-purpose chemistry library
        (44.343e6, 307.6e3, 8, 9, -224.0, 114.23),
    ],
    ids=["ethanol", "methanol", "iso-octane"],
)
def test_heating_value_of_vapour_from_heats_of_formation(
    liquid: float, latent: float, carbon: int, water: int, formation: float, molar_mass: float
) -> None:
    released = (carbon * 393.51 + water * 241.83 + formation) / molar_mass * 1e6
    # 0.1 %: heats of formation of the alcohols are known to 0.5 kJ/mol or so, and constants rounded to 0.1 %
    assert vapour_heating_value(liquid, latent) == pytest.approx(released, rel=1e-3)


def test_alcohols_of_the_blend_law_as_vapour() -> None:
    heating = blend_heating_value(0.0, 745.0, 43.4e6, 1.0)
    latent = blend_heat_of_vaporisation(0.0, 745.0, 350e3, 1.0)
    # From the sums above, 21.10 MJ/kg
    assert vapour_heating_value(heating, latent) / 1e6 == pytest.approx(21.10, abs=0.02)


# Upper bounds of cooling at lambda 1 with a general-purpose library's constants: heat of vaporisation kJ/kg, air, K.
# 5 %: the heat capacity of the fuel is taken as 2 kJ/(kg*K) here, that of each vapour there
@pytest.mark.parametrize(
    ("latent", "air", "cooling"),
    [(307.6, 15.129, 18.0), (412.8, 13.504, 27.0), (920.7, 9.003, 86.0), (1169.0, 6.472, 144.0)],
    ids=["iso-octane", "toluene", "ethanol", "methanol"],
)
def test_cooling_of_pure_fuels(latent: float, air: float, cooling: float) -> None:
    assert evaporative_cooling(latent * 1e3, air) == pytest.approx(cooling, rel=0.05)


# Arithmetic of the trade at lambda 0.8, all heat from the air alone: E10 36, E30 50, E85 104 K; 3 % for its rounder
# latent heat of ethanol, 900 kJ/kg
@pytest.mark.parametrize(("ethanol", "ceiling"), [(0.10, 36.0), (0.30, 50.0), (0.85, 104.0)])
def test_ceiling_of_cooling_at_full_load(ethanol: float, ceiling: float) -> None:
    heat = blend_heat_of_vaporisation(ethanol, 745.0)
    air = 0.8 * blend_stoichiometric_ratio(ethanol, 745.0, 14.6)
    assert evaporative_cooling(heat, air, 1.0, 0.0) == pytest.approx(ceiling, rel=0.03)
    # Common practice, no source: 20 to 60 % of it with port, 60 to 90 % with direct injection; less by the fuel that
    # is cooled along
    for share, low, high in ((0.0, 0.2, 0.6), (1.0, 0.6, 0.9)):
        assert low * ceiling * 0.75 < charge_cooling(heat, air, share, 0.4, 0.75) < high * ceiling
