"""What a unit mass of the fuel in the tank gives, needs and takes to evaporate: linear by mass.

``ethanol`` and ``methanol`` are always shares by volume of what is in the tank, together at most one.
``gasoline_*`` describe the hydrocarbon part, which is the rest.
"""

from __future__ import annotations

from enginelimits.physics.gas.blend import (
    ETHANOL_MOLAR_MASS,
    METHANOL_MOLAR_MASS,
    blend_density,
    ethanol_mass_fraction,
    ethanol_mole_fraction,
    methanol_mass_fraction,
    methanol_mole_fraction,
)
from enginelimits.physics.gas.octane import blend_motor_octane, blend_research_octane
from enginelimits.physics.gas.vaporisation import evaporative_cooling
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Everything that one asks of a fuel can be asked here.
__all__ = [
    "ETHANOL_MOLAR_MASS",
    "METHANOL_MOLAR_MASS",
    "blend_density",
    "blend_heat_of_vaporisation",
    "blend_heating_value",
    "blend_motor_octane",
    "blend_octane",
    "blend_research_octane",
    "blend_stoichiometric_ratio",
    "ethanol_mass_fraction",
    "ethanol_mole_fraction",
    "evaporative_cooling",
    "methanol_mass_fraction",
    "methanol_mole_fraction",
    "vapour_heating_value",
]

ETHANOL_HEATING_VALUE = 26.8e6  # J/kg, lower, liquid
ETHANOL_STOICHIOMETRIC_RATIO = 8.98
ETHANOL_HEAT_OF_VAPORISATION = 920e3  # J/kg at 25 degC; at its boiling point it is 8 % less
# Methanol: heats of formation and of vaporisation, atoms; the US DOE's table differs by less than 1 %.
METHANOL_HEATING_VALUE = 19.94e6  # J/kg, lower, liquid
METHANOL_STOICHIOMETRIC_RATIO = 6.47
METHANOL_HEAT_OF_VAPORISATION = 1169e3  # J/kg at 25 degC

blend_octane = blend_research_octane


def _by_mass(
    ethanol: Array,
    gasoline_density_kg_m3: Array,
    methanol: Array,
    gasoline: Array,
    of_ethanol: float,
    of_methanol: float,
) -> Array:
    return (
        gasoline
        + ethanol_mass_fraction(ethanol, gasoline_density_kg_m3, methanol) * (of_ethanol - gasoline)
        + methanol_mass_fraction(ethanol, gasoline_density_kg_m3, methanol) * (of_methanol - gasoline)
    )


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_heating_value_j_kg=(41e6, 45e6),
    methanol=(0.0, 1.0),
)
def blend_heating_value(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_heating_value_j_kg: Array, methanol: Array = 0.0
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
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    heating_value_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    mass = 794 * ethanol + 796 * methanol + gasoline_density_kg_m3 * (1 - ethanol - methanol)
    by_ethanol = 794 * ethanol / mass * (26.8e6 - gasoline_heating_value_j_kg)
    by_methanol = 796 * methanol / mass * (19.94e6 - gasoline_heating_value_j_kg)
    gasoline_heating_value_j_kg + by_ethanol + by_methanol

    Source
    ------
    common-practice, linear by mass

    Examples
    --------
    >>> round(float(blend_heating_value(0.85, 745.0, 43.4e6)) / 1e6, 2)
    29.16
    """
    return _by_mass(
        ethanol,
        gasoline_density_kg_m3,
        methanol,
        gasoline_heating_value_j_kg,
        ETHANOL_HEATING_VALUE,
        METHANOL_HEATING_VALUE,
    )


@valid(heating_value_j_kg=(19e6, 46e6), heat_of_vaporisation_j_kg=(250e3, 1250e3))
def vapour_heating_value(heating_value_j_kg: Array, heat_of_vaporisation_j_kg: Array) -> Array:
    """Lower heating value of the fuel once it has evaporated, for a charge whose fuel is vapour at ignition.

    Parameters
    ----------
    heating_value_j_kg : array
        Lower, of the liquid. [J/kg] Valid 19e6 to 46e6.
    heat_of_vaporisation_j_kg : array
        Of the same fuel, at the same temperature. [J/kg] Valid 250e3 to 1250e3.

    Returns
    -------
    vapour_heating_value_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    heating_value_j_kg + heat_of_vaporisation_j_kg

    Source
    ------
    own-computation, energy balance of evaporation

    Examples
    --------
    >>> round(float(vapour_heating_value(43.4e6, 350e3)) / 1e6, 2)
    43.75
    """
    return heating_value_j_kg + heat_of_vaporisation_j_kg


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_stoichiometric_ratio=(14.0, 15.2),
    methanol=(0.0, 1.0),
)
def blend_stoichiometric_ratio(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_stoichiometric_ratio: Array, methanol: Array = 0.0
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
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    stoichiometric_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    mass = 794 * ethanol + 796 * methanol + gasoline_density_kg_m3 * (1 - ethanol - methanol)
    by_ethanol = 794 * ethanol / mass * (8.98 - gasoline_stoichiometric_ratio)
    by_methanol = 796 * methanol / mass * (6.47 - gasoline_stoichiometric_ratio)
    gasoline_stoichiometric_ratio + by_ethanol + by_methanol

    Source
    ------
    common-practice, linear by mass

    Examples
    --------
    >>> round(float(blend_stoichiometric_ratio(0.30, 745.0, 14.6)), 2)
    12.84
    """
    return _by_mass(
        ethanol,
        gasoline_density_kg_m3,
        methanol,
        gasoline_stoichiometric_ratio,
        ETHANOL_STOICHIOMETRIC_RATIO,
        METHANOL_STOICHIOMETRIC_RATIO,
    )


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_heat_of_vaporisation_j_kg=(300e3, 400e3),
    methanol=(0.0, 1.0),
)
def blend_heat_of_vaporisation(
    ethanol: Array,
    gasoline_density_kg_m3: Array,
    gasoline_heat_of_vaporisation_j_kg: Array = 350e3,
    methanol: Array = 0.0,
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
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    heat_of_vaporisation_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    mass = 794 * ethanol + 796 * methanol + gasoline_density_kg_m3 * (1 - ethanol - methanol)
    by_ethanol = 794 * ethanol / mass * (920e3 - gasoline_heat_of_vaporisation_j_kg)
    by_methanol = 796 * methanol / mass * (1169e3 - gasoline_heat_of_vaporisation_j_kg)
    gasoline_heat_of_vaporisation_j_kg + by_ethanol + by_methanol

    Source
    ------
    common-practice, linear by mass

    Examples
    --------
    >>> round(float(blend_heat_of_vaporisation(0.30, 745.0)) / 1e3)
    529
    """
    return _by_mass(
        ethanol,
        gasoline_density_kg_m3,
        methanol,
        gasoline_heat_of_vaporisation_j_kg,
        ETHANOL_HEAT_OF_VAPORISATION,
        METHANOL_HEAT_OF_VAPORISATION,
    )
