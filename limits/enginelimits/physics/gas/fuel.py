"""Gasoline with ethanol: what a blend by volume weighs, gives, needs and resists.

``ethanol`` is always the share by volume of what is in the tank. ``gasoline_*`` describe the hydrocarbon
part; only the octane number is asked of the gasoline as sold, because that is how it is sold, and
``gasoline_ethanol`` is what that gasoline already holds. Volumes are taken as ideal.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

ETHANOL_DENSITY = 794.0  # kg/m^3 at 15 degC
ETHANOL_HEATING_VALUE = 26.8e6  # J/kg, lower, liquid
ETHANOL_STOICHIOMETRIC_RATIO = 8.98
ETHANOL_HEAT_OF_VAPORISATION = 920e3  # J/kg at 25 degC; at its boiling point it is 8 % less
ETHANOL_MOLAR_MASS = 0.04607  # kg/mol
ETHANOL_OCTANE = 109.0  # RON of the neat fuel

# Measured RON of gasoline-ethanol blends converges at 103 to 105 above 30 to 40 % by volume
# (Chupka et al., SAE 2015-01-0763); the bend is rounded over about one octane number.
OCTANE_CEILING = 104.5
OCTANE_ROUNDING = 1.0


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0))
def ethanol_mass_fraction(ethanol: Array, gasoline_density_kg_m3: Array) -> Array:
    """Mass of ethanol over mass of fuel.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.

    Returns
    -------
    mass_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    794 * ethanol / (794 * ethanol + gasoline_density_kg_m3 * (1 - ethanol))

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(ethanol_mass_fraction(0.85, 745.0)), 4)
    0.8579
    """
    heavy = ETHANOL_DENSITY * ethanol
    return heavy / (heavy + gasoline_density_kg_m3 * (1.0 - ethanol))


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), gasoline_molar_mass_kg_mol=(0.085, 0.125))
def ethanol_mole_fraction(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_molar_mass_kg_mol: Array
) -> Array:
    """Moles of ethanol over moles of fuel.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Mean molar mass of the hydrocarbon part. [kg/mol] Valid 0.085 to 0.125.

    Returns
    -------
    mole_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    ethanol_moles = 794 * ethanol / 0.04607
    ethanol_moles / (ethanol_moles + gasoline_density_kg_m3 * (1 - ethanol) / gasoline_molar_mass_kg_mol)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(ethanol_mole_fraction(0.85, 745.0, 0.108)), 3)
    0.934
    """
    moles = ETHANOL_DENSITY / ETHANOL_MOLAR_MASS * ethanol
    return moles / (moles + gasoline_density_kg_m3 / gasoline_molar_mass_kg_mol * (1.0 - ethanol))


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0))
def blend_density(ethanol: Array, gasoline_density_kg_m3: Array) -> Array:
    """Density of the blend at 15 degC.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.

    Returns
    -------
    density_kg_m3 : array
        Broadcast of the arguments. [kg/m^3]

    Equation
    --------
    gasoline_density_kg_m3 + ethanol * (794 - gasoline_density_kg_m3)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(blend_density(0.10, 745.0)), 1)
    749.9
    """
    return gasoline_density_kg_m3 + ethanol * (ETHANOL_DENSITY - gasoline_density_kg_m3)


def _by_mass(ethanol: Array, gasoline_density_kg_m3: Array, gasoline: Array, of_ethanol: float) -> Array:
    return gasoline + ethanol_mass_fraction(ethanol, gasoline_density_kg_m3) * (of_ethanol - gasoline)


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), gasoline_heating_value_j_kg=(41e6, 45e6))
def blend_heating_value(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_heating_value_j_kg: Array
) -> Array:
    """Lower heating value of the blend, from the liquid.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_heating_value_j_kg : array
        Lower heating value of the hydrocarbon part. [J/kg] Valid 41e6 to 45e6.

    Returns
    -------
    heating_value_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    share = 794 * ethanol / (794 * ethanol + gasoline_density_kg_m3 * (1 - ethanol))
    gasoline_heating_value_j_kg + share * (26.8e6 - gasoline_heating_value_j_kg)

    Source
    ------
    common-practice, linear by mass

    Examples
    --------
    >>> round(float(blend_heating_value(0.85, 745.0, 43.4e6)) / 1e6, 2)
    29.16
    """
    return _by_mass(ethanol, gasoline_density_kg_m3, gasoline_heating_value_j_kg, ETHANOL_HEATING_VALUE)


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), gasoline_stoichiometric_ratio=(14.0, 15.2))
def blend_stoichiometric_ratio(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_stoichiometric_ratio: Array
) -> Array:
    """Mass of air that burns a unit mass of the blend completely.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_stoichiometric_ratio : array
        Of the hydrocarbon part. [1] Valid 14 to 15.2.

    Returns
    -------
    stoichiometric_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    share = 794 * ethanol / (794 * ethanol + gasoline_density_kg_m3 * (1 - ethanol))
    gasoline_stoichiometric_ratio + share * (8.98 - gasoline_stoichiometric_ratio)

    Source
    ------
    common-practice, linear by mass

    Examples
    --------
    >>> round(float(blend_stoichiometric_ratio(0.30, 745.0, 14.6)), 2)
    12.84
    """
    return _by_mass(
        ethanol, gasoline_density_kg_m3, gasoline_stoichiometric_ratio, ETHANOL_STOICHIOMETRIC_RATIO
    )


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_heat_of_vaporisation_j_kg=(300e3, 400e3),
)
def blend_heat_of_vaporisation(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_heat_of_vaporisation_j_kg: Array = 350e3
) -> Array:
    """Heat that evaporates a unit mass of the blend at 25 degC.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_heat_of_vaporisation_j_kg : array
        Of the hydrocarbon part. [J/kg] Valid 300e3 to 400e3.

    Returns
    -------
    heat_of_vaporisation_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    share = 794 * ethanol / (794 * ethanol + gasoline_density_kg_m3 * (1 - ethanol))
    gasoline_heat_of_vaporisation_j_kg + share * (920e3 - gasoline_heat_of_vaporisation_j_kg)

    Source
    ------
    common-practice, linear by mass

    Examples
    --------
    >>> round(float(blend_heat_of_vaporisation(0.30, 745.0)) / 1e3)
    529
    """
    return _by_mass(
        ethanol, gasoline_density_kg_m3, gasoline_heat_of_vaporisation_j_kg, ETHANOL_HEAT_OF_VAPORISATION
    )


@valid(
    heat_of_vaporisation_j_kg=(300e3, 1200e3),
    air_fuel_ratio=(4.0, 25.0),
    evaporated_share=(0.0, 1.0),
    fuel_heat_capacity_j_kgk=(0.0, 2500.0),
)
def evaporative_cooling(
    heat_of_vaporisation_j_kg: Array,
    air_fuel_ratio: Array,
    evaporated_share: Array = 1.0,
    fuel_heat_capacity_j_kgk: Array = 2000.0,
) -> Array:
    """Fall of the charge's temperature when fuel evaporates with heat from the charge alone.

    With everything evaporated it is an upper bound: in an engine part of the heat comes from walls and
    valves.

    Parameters
    ----------
    heat_of_vaporisation_j_kg : array
        Of the fuel. [J/kg] Valid 300e3 to 1200e3.
    air_fuel_ratio : array
        Mass of air over mass of fuel. [1] Valid 4 to 25.
    evaporated_share : array
        Share of the fuel that evaporates before the intake valve closes, on heat from the charge. [1] Valid 0
        to 1.
    fuel_heat_capacity_j_kgk : array
        Of the fuel that is cooled along; 0 for air alone. [J/(kg*K)] Valid 0 to 2500.

    Returns
    -------
    cooling_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    evaporated_share * heat_of_vaporisation_j_kg / (1005 * air_fuel_ratio + fuel_heat_capacity_j_kgk)

    Source
    ------
    common-practice, heat balance

    Examples
    --------
    >>> round(float(evaporative_cooling(350e3, 14.6)), 1)
    21.0
    """
    return evaporated_share * heat_of_vaporisation_j_kg / (1005.0 * air_fuel_ratio + fuel_heat_capacity_j_kgk)


def _saturated(octane: Array) -> Array:
    """Follows ``octane`` well below the ceiling and the ceiling well above it."""
    over = octane - OCTANE_CEILING
    return OCTANE_CEILING + 0.5 * (over - np.sqrt(over * over + OCTANE_ROUNDING**2))


@valid(
    ethanol=(0.0, 1.0),
    gasoline_ethanol=(0.0, 0.30),
    octane=(80.0, 110.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_molar_mass_kg_mol=(0.085, 0.125),
)
def blend_octane(
    ethanol: Array,
    gasoline_ethanol: Array,
    octane: Array,
    gasoline_density_kg_m3: Array,
    gasoline_molar_mass_kg_mol: Array,
) -> Array:
    """Research octane number of gasoline as sold with ethanol added to it.

    Linear in moles of ethanol between the sold gasoline and neat ethanol (109), held under a ceiling of 104.5
    with a rounded bend. With no ethanol added it is the octane number as sold, and adding never lowers it.
    Part of what a knock test makes of ethanol is the cooling of the charge, so this is not to be counted
    twice.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume, not less than gasoline_ethanol. [1] Valid 0 to 1.
    gasoline_ethanol : array
        Ethanol that the gasoline as sold already holds, by volume. [1] Valid 0 to 0.3.
    octane : array
        Research octane number of the gasoline as sold. [1] Valid 80 to 110.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Mean molar mass of the hydrocarbon part. [kg/mol] Valid 0.085 to 0.125.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    hydrocarbon = gasoline_density_kg_m3 / gasoline_molar_mass_kg_mol
    x = 794 / 0.04607 * ethanol / (794 / 0.04607 * ethanol + hydrocarbon * (1 - ethanol))
    added = 794 / 0.04607 * gasoline_ethanol
    x_sold = added / (added + hydrocarbon * (1 - gasoline_ethanol))
    molar = octane + max(109 - octane, 0) * (x - x_sold) / (1 - x_sold)
    over = molar - 104.5
    over_sold = octane - 104.5
    octane + (over - sqrt(over**2 + 1) - over_sold + sqrt(over_sold**2 + 1)) / 2

    Source
    ------
    anderson-2020, molar law; chupka-2015, ceiling

    Examples
    --------
    >>> round(float(blend_octane(0.10, 0.0, 92.0, 745.0, 0.108)), 1)
    95.7
    """
    x = ethanol_mole_fraction(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol)
    sold = ethanol_mole_fraction(gasoline_ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol)
    molar = octane + np.maximum(ETHANOL_OCTANE - octane, 0.0) * (x - sold) / (1.0 - sold)
    return octane + _saturated(molar) - _saturated(octane)
