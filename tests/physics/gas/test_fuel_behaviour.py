"""How fuels behave: what must stay, rise or add up as alcohol is added."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.gas import blend, composition, fuel, vaporisation

share = st.floats(0.0, 1.0)


@given(ethanol=share, of_the_rest=share, density=st.floats(680.0, 800.0), molar_mass=st.floats(0.085, 0.125))
def test_parts_weigh_what_the_blend_weighs(
    ethanol: float, of_the_rest: float, density: float, molar_mass: float
) -> None:
    methanol = (1.0 - ethanol) * of_the_rest
    total = blend.blend_density(ethanol, density, methanol)
    by_ethanol = blend.ethanol_mass_fraction(ethanol, density, methanol)
    by_methanol = blend.methanol_mass_fraction(ethanol, density, methanol)
    assert by_ethanol * total == pytest.approx(794.0 * ethanol, rel=1e-9, abs=1e-9)
    assert by_methanol * total == pytest.approx(796.0 * methanol, rel=1e-9, abs=1e-9)
    # Mole fractions times molar masses are mass fractions times the mean.
    mean = blend.blend_molar_mass(ethanol, density, molar_mass, methanol)
    moles = blend.ethanol_mole_fraction(ethanol, density, molar_mass, methanol)
    assert moles * 0.04607 == pytest.approx(by_ethanol * mean, rel=1e-9, abs=1e-12)
    moles = blend.methanol_mole_fraction(ethanol, density, molar_mass, methanol)
    assert moles * 0.03204 == pytest.approx(by_methanol * mean, rel=1e-9, abs=1e-12)


@given(ethanol=share, of_the_rest=share)
def test_air_by_properties_and_by_atoms_agree(ethanol: float, of_the_rest: float) -> None:
    """Two ways to the same number: tabulated ratios mixed by mass, and atoms; 0.4 % for rounded constants."""
    methanol = (1.0 - ethanol) * of_the_rest
    by_atoms = composition.stoichiometric_ratio(
        blend.ethanol_mass_fraction(ethanol, 745.0, methanol),
        1.87,
        blend.methanol_mass_fraction(ethanol, 745.0, methanol),
    )
    assert fuel.blend_stoichiometric_ratio(ethanol, 745.0, 14.6, methanol) == pytest.approx(by_atoms, rel=4e-3)


def test_atoms_weigh_a_kilogram() -> None:
    for e, m in ((0.0, 0.0), (0.3, 0.2), (1.0, 0.0), (0.0, 1.0)):
        atoms = composition.Elements.of(e, 1.87, m)
        assert 0.012011 * atoms.carbon + 0.001008 * atoms.hydrogen + 0.015999 * atoms.oxygen == pytest.approx(
            1.0, rel=1e-4
        )


def test_alcohol_lowers_heat_and_air_and_raises_cooling() -> None:
    grid = np.linspace(0.0, 1.0, 21)
    for ethanol, methanol in ((grid, 0.0), (0.0, grid), (0.3, 0.7 * grid)):
        assert np.all(np.diff(fuel.blend_heating_value(ethanol, 745.0, 43.4e6, methanol)) < 0.0)
        assert np.all(np.diff(fuel.blend_stoichiometric_ratio(ethanol, 745.0, 14.6, methanol)) < 0.0)
        assert np.all(np.diff(fuel.blend_heat_of_vaporisation(ethanol, 745.0, 350e3, methanol)) > 0.0)


def test_heat_a_mass_of_air_hardly_changes_with_any_alcohol() -> None:
    # Heat over air of pure components, MJ/kg: iso-octane 2.931, ethanol 2.978, methanol 3.080 (general-purpose library)
    for ethanol, methanol, wanted in ((1.0, 0.0, 2.978), (0.0, 1.0, 3.080), (0.5, 0.5, 3.02)):
        heat = fuel.blend_heating_value(ethanol, 745.0, 43.4e6, methanol)
        air = fuel.blend_stoichiometric_ratio(ethanol, 745.0, 14.6, methanol)
        assert heat / air / 1e6 == pytest.approx(wanted, rel=0.005)


def test_cooling_lies_between_port_and_direct() -> None:
    shares = np.linspace(0.0, 1.0, 11)
    cooling = vaporisation.charge_cooling(840e3, 8.0, shares, 0.4, 0.75)
    assert np.all(np.diff(cooling) > 0.0)
    full = vaporisation.evaporative_cooling(840e3, 8.0)
    assert cooling[0] == pytest.approx(0.4 * full) and cooling[-1] == pytest.approx(0.75 * full)


def test_test_holds_nothing_of_its_own_reference_and_never_less_than_nothing() -> None:
    # Iso-octane: 307.6 kJ/kg and 15.13; a fuel that takes less heat is not held to warm the charge
    assert vaporisation.cooling_held_by_research_octane(307.6e3, 15.13, 0.5) == pytest.approx(0.0, abs=1e-9)
    assert vaporisation.cooling_held_by_research_octane(260e3, 15.1, 0.5) == 0.0


def test_test_holds_a_little_of_gasoline_and_much_of_alcohol() -> None:
    # By hand at lambda 0.9 and everything evaporated: iso-octane 307.6e3/(1005*13.617+2000) = 19.6 K; gasoline 350e3/
    # (1005*13.14+2000) = 23.0; ethanol 920e3/(1005*8.082+2000) = 90.9; methanol 1169e3/(1005*5.823+2000) = 148.9
    held = vaporisation.cooling_held_by_research_octane(
        np.array([350e3, 920e3, 1169e3]), np.array([14.6, 8.98, 6.47]), 1.0
    )
    np.testing.assert_allclose(held, [3.4, 71.3, 129.3], atol=0.15)


def test_nothing_is_counted_twice_and_an_engine_that_evaporates_less_is_worse_off() -> None:
    # An engine at the test's own mixture that evaporates the share the test did gains nothing over the rating.
    reference = vaporisation.charge_cooling(307.6e3, 0.9 * 15.13, 0.0, 0.5, 0.75)
    charge = vaporisation.charge_cooling(920e3, 0.9 * 8.98, 0.0, 0.5, 0.75)
    held = vaporisation.cooling_held_by_research_octane(920e3, 8.98, 0.5)
    assert vaporisation.cooling_beyond_test(charge, reference, held) == pytest.approx(0.0, abs=1e-9)
    poorer = vaporisation.charge_cooling(920e3, 0.9 * 8.98, 0.0, 0.3, 0.75)
    assert vaporisation.cooling_beyond_test(poorer, 0.6 * reference, held) < 0.0
