"""Burned gas that stays in the cylinder, and the compression that the intake valve leaves."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    exhaust_pressure_pa=(4e4, 8e5),
    clearance_volume_m3=(2e-6, 1e-3),
    residual_temperature_k=(500.0, 1600.0),
    residual_factor=(0.3, 4.0),
    residual_gas_constant_j_kgk=(270.0, 320.0),
)
def residual_mass(
    exhaust_pressure_pa: Array,
    clearance_volume_m3: Array,
    residual_temperature_k: Array,
    residual_factor: Array,
    residual_gas_constant_j_kgk: Array = 290.6,
) -> Array:
    """Burned gas left in one cylinder: what fills the clearance at exhaust pressure, times a factor of the class.

    The factor stands for what valve overlap draws back or scavenges, and for gas that the exhaust waves hold.

    Parameters
    ----------
    exhaust_pressure_pa : array
        In the port as the exhaust valve closes, absolute. [Pa] Valid 4e4 to 8e5.
    clearance_volume_m3 : array
        Of one cylinder at top dead centre. [m^3] Valid 2e-6 to 1e-3.
    residual_temperature_k : array
        Of the gas left over. [K] Valid 500 to 1600.
    residual_factor : array
        Of the class. [1] Valid 0.3 to 4.
    residual_gas_constant_j_kgk : array
        Of the burned gas. [J/(kg*K)] Valid 270 to 320.

    Returns
    -------
    residual_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    in_clearance = exhaust_pressure_pa * clearance_volume_m3 / (residual_gas_constant_j_kgk * residual_temperature_k)
    residual_factor * in_clearance

    Source
    ------
    heywood-1988, sec. 5.4

    Examples
    --------
    >>> round(float(residual_mass(105e3, 55.5e-6, 1050.0, 1.3)) * 1e6, 1)
    24.8
    """
    thermal = residual_gas_constant_j_kgk * np.asarray(residual_temperature_k)
    return residual_factor * (exhaust_pressure_pa * np.asarray(clearance_volume_m3) / thermal)


@valid(residual_mass_kg=(0.0, 5e-3), fresh_mass_kg=(1e-6, 0.02))
def residual_fraction(residual_mass_kg: Array, fresh_mass_kg: Array) -> Array:
    """Share of the trapped charge that is burned gas.

    Parameters
    ----------
    residual_mass_kg : array
        Burned gas left in one cylinder. [kg] Valid 0 to 5e-3.
    fresh_mass_kg : array
        Air and fuel of one cylinder and cycle. [kg] Valid 1e-6 to 0.02.

    Returns
    -------
    residual_fraction : array
        By mass, broadcast of the arguments. [1]

    Equation
    --------
    residual_mass_kg / (residual_mass_kg + fresh_mass_kg)

    Source
    ------
    heywood-1988, sec. 4.2

    Examples
    --------
    >>> round(float(residual_fraction(25e-6, 525e-6)), 4)
    0.0455
    """
    return residual_mass_kg / (residual_mass_kg + np.asarray(fresh_mass_kg))


@valid(
    residual_fraction=(0.0, 0.5),
    residual_molar_mass_kg_mol=(0.024, 0.031),
    fresh_molar_mass_kg_mol=(0.026, 0.033),
)
def residual_mole_fraction(
    residual_fraction: Array, residual_molar_mass_kg_mol: Array, fresh_molar_mass_kg_mol: Array
) -> Array:
    """Burned gas of the trapped charge by moles, from that by mass.

    Parameters
    ----------
    residual_fraction : array
        By mass. [1] Valid 0 to 0.5.
    residual_molar_mass_kg_mol : array
        Of the burned gas. [kg/mol] Valid 0.024 to 0.031.
    fresh_molar_mass_kg_mol : array
        Of air and fuel vapour. [kg/mol] Valid 0.026 to 0.033.

    Returns
    -------
    residual_mole_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    burned = residual_fraction / residual_molar_mass_kg_mol
    burned / (burned + (1 - residual_fraction) / fresh_molar_mass_kg_mol)

    Source
    ------
    own-computation, mass over moles

    Examples
    --------
    >>> round(float(residual_mole_fraction(0.05, 0.0286, 0.0303)), 4)
    0.0528
    """
    burned = np.asarray(residual_fraction) / residual_molar_mass_kg_mol
    return burned / (burned + (1.0 - np.asarray(residual_fraction)) / fresh_molar_mass_kg_mol)


@valid(volume_at_intake_closing_m3=(1e-5, 6e-3), clearance_volume_m3=(2e-6, 1e-3))
def effective_compression_ratio(volume_at_intake_closing_m3: Array, clearance_volume_m3: Array) -> Array:
    """Compression from the closing of the intake valve, which is later than the bottom.

    Parameters
    ----------
    volume_at_intake_closing_m3 : array
        Of one cylinder, clearance included. [m^3] Valid 1e-5 to 6e-3.
    clearance_volume_m3 : array
        Of one cylinder at top dead centre. [m^3] Valid 2e-6 to 1e-3.

    Returns
    -------
    effective_compression_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    volume_at_intake_closing_m3 / clearance_volume_m3

    Source
    ------
    heywood-1988, sec. 2.2

    Examples
    --------
    >>> round(float(effective_compression_ratio(487e-6, 55.5e-6)), 2)
    8.77
    """
    return volume_at_intake_closing_m3 / np.asarray(clearance_volume_m3)
