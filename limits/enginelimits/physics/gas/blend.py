"""Air and fuel by mass, and the blend's molar mass, for the gas constant of the fresh charge."""

from __future__ import annotations

from enginelimits.physics.gas.fuel import ETHANOL_MOLAR_MASS, ethanol_mass_fraction
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


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


@valid(ethanol=(0.0, 1.0), gasoline_density_kg_m3=(680.0, 800.0), gasoline_molar_mass_kg_mol=(0.08, 0.13))
def blend_molar_mass(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_molar_mass_kg_mol: Array
) -> Array:
    """Molar mass of the blend as vapour.

    Parameters
    ----------
    ethanol : array
        By volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Of the gasoline without ethanol. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Of the gasoline without ethanol, mean. [kg/mol] Valid 0.08 to 0.13.

    Returns
    -------
    molar_mass_kg_mol : array
        Broadcast of the arguments. [kg/mol]

    Equation
    --------
    by_mass = ethanol * 794 / (ethanol * 794 + (1 - ethanol) * gasoline_density_kg_m3)
    1 / (by_mass / 0.04607 + (1 - by_mass) / gasoline_molar_mass_kg_mol)

    Source
    ------
    own-computation, mass over moles

    Examples
    --------
    >>> round(float(blend_molar_mass(0.85, 745.0, 0.108)), 4)
    0.0502
    """
    share = ethanol_mass_fraction(ethanol, gasoline_density_kg_m3)
    return 1.0 / (share / ETHANOL_MOLAR_MASS + (1.0 - share) / gasoline_molar_mass_kg_mol)
