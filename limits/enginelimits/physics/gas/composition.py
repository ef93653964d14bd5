"""Atoms of the fuel and the air that burns it."""

from __future__ import annotations

from typing import NamedTuple, Self

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import AIR_MOLAR_MASS

OXYGEN_SHARE_OF_AIR = 0.2095


class Elements(NamedTuple):
    """Atoms in a kilogram of fuel. [mol/kg]"""

    carbon: Array
    hydrogen: Array
    oxygen: Array

    @property
    def oxygen_wanted(self) -> Array:
        """O2 for complete combustion. [mol/kg]"""
        return self.carbon + 0.25 * self.hydrogen - 0.5 * self.oxygen

    @classmethod
    def of(cls, ethanol_mass_fraction: Array, hydrogen_per_carbon: Array, methanol_mass_fraction: Array = 0.0) -> Self:
        """Of a blend of a hydrocarbon, ethanol (C2H6O) and methanol (CH4O)."""
        rest = 1.0 - ethanol_mass_fraction - methanol_mass_fraction
        carbon = rest / (0.012011 + hydrogen_per_carbon * 0.001008)
        ethanol = ethanol_mass_fraction / 0.046069
        methanol = methanol_mass_fraction / 0.032042
        return cls(
            carbon + 2.0 * ethanol + methanol,
            carbon * hydrogen_per_carbon + 6.0 * ethanol + 4.0 * methanol,
            ethanol + methanol,
        )


@valid(ethanol_mass_fraction=(0.0, 1.0), hydrogen_per_carbon=(1.5, 2.4), methanol_mass_fraction=(0.0, 1.0))
def stoichiometric_ratio(
    ethanol_mass_fraction: Array, hydrogen_per_carbon: Array = 1.87, methanol_mass_fraction: Array = 0.0
) -> Array:
    """Mass of dry air that burns a unit mass of fuel completely.

    Parameters
    ----------
    ethanol_mass_fraction : array
        Mass of ethanol over mass of fuel. [1] Valid 0 to 1.
    hydrogen_per_carbon : array
        Hydrogen atoms a carbon atom of the hydrocarbon part. [1] Valid 1.5 to 2.4.
    methanol_mass_fraction : array
        Mass of methanol over mass of fuel; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    stoichiometric_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    rest = 1 - ethanol_mass_fraction - methanol_mass_fraction
    carbon = rest / (0.012011 + 0.001008 * hydrogen_per_carbon)
    alcohol = 3 * ethanol_mass_fraction / 0.046069 + 1.5 * methanol_mass_fraction / 0.032042
    (carbon * (1 + hydrogen_per_carbon / 4) + alcohol) * 0.0289644 / 0.2095

    Source
    ------
    heywood-1988, eq. 3.6

    Examples
    --------
    >>> round(float(stoichiometric_ratio(0.0)), 1)
    14.6
    """
    oxygen = Elements.of(ethanol_mass_fraction, hydrogen_per_carbon, methanol_mass_fraction).oxygen_wanted
    return oxygen * AIR_MOLAR_MASS / OXYGEN_SHARE_OF_AIR
