"""What is in the tank: gasoline with ethanol and methanol, by volume, by mass and by mole.

``ethanol`` and ``methanol`` are always shares by volume of what is in the tank, together at most one: beyond it nothing
here is a number.
``gasoline_*`` describe the hydrocarbon part, which is the rest. Volumes are taken as ideal.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

ETHANOL_DENSITY = 794.0  # kg/m^3 at 15 degC
ETHANOL_MOLAR_MASS = 0.04607  # kg/mol
METHANOL_DENSITY = 796.0  # kg/m^3 at 15 degC
METHANOL_MOLAR_MASS = 0.03204  # kg/mol
ROUND_OFF = 1e-9  # that two shares may exceed one by


def _masses(ethanol: Array, gasoline_density_kg_m3: Array, methanol: Array) -> tuple[Array, Array, Array]:
    """Of ethanol, methanol and hydrocarbons in a unit volume of fuel; not a number where it overflows. [kg/m^3]"""
    rest = np.subtract(1.0 - ethanol, methanol)
    rest = np.where(rest > -ROUND_OFF, rest, np.nan)[()]
    return ETHANOL_DENSITY * ethanol, METHANOL_DENSITY * methanol, gasoline_density_kg_m3 * rest


def _moles(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_molar_mass_kg_mol: Array, methanol: Array
) -> tuple[Array, Array, Array]:
    """Of ethanol, methanol and hydrocarbons in a unit volume of fuel. [mol/m^3]"""
    of_ethanol, of_methanol, rest = _masses(ethanol, gasoline_density_kg_m3, methanol)
    return of_ethanol / ETHANOL_MOLAR_MASS, of_methanol / METHANOL_MOLAR_MASS, rest / gasoline_molar_mass_kg_mol


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), methanol=(0.0, 1.0))
def ethanol_mass_fraction(ethanol: Array, gasoline_density_kg_m3: Array, methanol: Array = 0.0) -> Array:
    """Mass of ethanol over mass of fuel.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    mass_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    rest = gasoline_density_kg_m3 * (1 - ethanol - methanol)
    794 * ethanol / (794 * ethanol + 796 * methanol + rest)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(ethanol_mass_fraction(0.85, 745.0)), 4)
    0.8579
    """
    of_ethanol, of_methanol, rest = _masses(ethanol, gasoline_density_kg_m3, methanol)
    return of_ethanol / (of_ethanol + of_methanol + rest)


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), methanol=(0.0, 1.0))
def methanol_mass_fraction(ethanol: Array, gasoline_density_kg_m3: Array, methanol: Array) -> Array:
    """Mass of methanol over mass of fuel.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    mass_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    rest = gasoline_density_kg_m3 * (1 - ethanol - methanol)
    796 * methanol / (794 * ethanol + 796 * methanol + rest)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(methanol_mass_fraction(0.0, 745.0, 0.15)), 4)
    0.1586
    """
    of_ethanol, of_methanol, rest = _masses(ethanol, gasoline_density_kg_m3, methanol)
    return of_methanol / (of_ethanol + of_methanol + rest)


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_molar_mass_kg_mol=(0.085, 0.125),
    methanol=(0.0, 1.0),
)
def ethanol_mole_fraction(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_molar_mass_kg_mol: Array, methanol: Array = 0.0
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
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    mole_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    ethanol_moles = 794 * ethanol / 0.04607
    methanol_moles = 796 * methanol / 0.03204
    rest = gasoline_density_kg_m3 * (1 - ethanol - methanol) / gasoline_molar_mass_kg_mol
    ethanol_moles / (ethanol_moles + methanol_moles + rest)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(ethanol_mole_fraction(0.85, 745.0, 0.108)), 3)
    0.934
    """
    of_ethanol, of_methanol, rest = _moles(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol, methanol)
    return of_ethanol / (of_ethanol + of_methanol + rest)


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_molar_mass_kg_mol=(0.085, 0.125),
    methanol=(0.0, 1.0),
)
def methanol_mole_fraction(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_molar_mass_kg_mol: Array, methanol: Array
) -> Array:
    """Moles of methanol over moles of fuel.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Mean molar mass of the hydrocarbon part. [kg/mol] Valid 0.085 to 0.125.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    mole_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    ethanol_moles = 794 * ethanol / 0.04607
    methanol_moles = 796 * methanol / 0.03204
    rest = gasoline_density_kg_m3 * (1 - ethanol - methanol) / gasoline_molar_mass_kg_mol
    methanol_moles / (ethanol_moles + methanol_moles + rest)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(methanol_mole_fraction(0.0, 745.0, 0.108, 0.15)), 3)
    0.389
    """
    of_ethanol, of_methanol, rest = _moles(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol, methanol)
    return of_methanol / (of_ethanol + of_methanol + rest)


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), methanol=(0.0, 1.0))
def blend_density(ethanol: Array, gasoline_density_kg_m3: Array, methanol: Array = 0.0) -> Array:
    """Density of the blend at 15 degC.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    density_kg_m3 : array
        Broadcast of the arguments. [kg/m^3]

    Equation
    --------
    794 * ethanol + 796 * methanol + gasoline_density_kg_m3 * (1 - ethanol - methanol)

    Source
    ------
    common-practice, ideal volumes

    Examples
    --------
    >>> round(float(blend_density(0.10, 745.0)), 1)
    749.9
    """
    of_ethanol, of_methanol, rest = _masses(ethanol, gasoline_density_kg_m3, methanol)
    return of_ethanol + of_methanol + rest


@valid(
    ethanol=(0.0, 1.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_molar_mass_kg_mol=(0.08, 0.13),
    methanol=(0.0, 1.0),
)
def blend_molar_mass(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_molar_mass_kg_mol: Array, methanol: Array = 0.0
) -> Array:
    """Molar mass of the blend as vapour.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Mean molar mass of the hydrocarbon part. [kg/mol] Valid 0.08 to 0.13.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    molar_mass_kg_mol : array
        Broadcast of the arguments. [kg/mol]

    Equation
    --------
    ethanol_moles = 794 * ethanol / 0.04607
    methanol_moles = 796 * methanol / 0.03204
    rest = gasoline_density_kg_m3 * (1 - ethanol - methanol)
    hydrocarbon_moles = rest / gasoline_molar_mass_kg_mol
    mass = 794 * ethanol + 796 * methanol + rest
    mass / (ethanol_moles + methanol_moles + hydrocarbon_moles)

    Source
    ------
    own-computation, mass over moles

    Examples
    --------
    >>> round(float(blend_molar_mass(0.85, 745.0, 0.108)), 4)
    0.0502
    """
    of_ethanol, of_methanol, rest = _masses(ethanol, gasoline_density_kg_m3, methanol)
    moles = of_ethanol / ETHANOL_MOLAR_MASS + of_methanol / METHANOL_MOLAR_MASS + rest / gasoline_molar_mass_kg_mol
    return (of_ethanol + of_methanol + rest) / moles


@valid(lambda_ratio=(0.5, 2.0), stoichiometric_ratio=(5.0, 16.0))
def air_fuel_ratio(lambda_ratio: Array, stoichiometric_ratio: Array) -> Array:
    """Air over fuel by mass, as run.

    Parameters
    ----------
    lambda_ratio : array
        Air over what would burn the fuel completely. [1] Valid 0.5 to 2.
    stoichiometric_ratio : array
        Air over fuel by mass at lambda 1. [1] Valid 5 to 16.

    Returns
    -------
    air_fuel_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    lambda_ratio * stoichiometric_ratio

    Source
    ------
    heywood-1988, eq. 2.27

    Examples
    --------
    >>> air_fuel_ratio(0.8, 14.5)
    11.600000000000001
    """
    return lambda_ratio * stoichiometric_ratio
