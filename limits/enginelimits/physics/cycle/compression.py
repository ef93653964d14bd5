"""The charge between intake closing and the top: volumes, and the state at the top if nothing burnt."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Of compression with usual heat loss: common practice, 1.30 to 1.34
COMPRESSION_EXPONENT = 1.32

_CHAMBER = {
    "bore_m": (0.03, 0.20),
    "stroke_m": (0.02, 0.30),
    "rod_length_m": (0.05, 0.60),
    "compression_ratio": (6.0, 16.0),
}


@valid(**_CHAMBER, intake_closing_rad=(0.0, 1.75))
def volume_at_intake_closing(
    bore_m: Array, stroke_m: Array, rod_length_m: Array, compression_ratio: Array, intake_closing_rad: Array
) -> Array:
    """Volume of one cylinder when the intake valve closes, clearance included.

    Not a number where the rod is too short for the crank to turn.

    Parameters
    ----------
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 0.60.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    intake_closing_rad : array
        After bottom dead centre. [rad] Valid 0 to 1.75.

    Returns
    -------
    volume_m3 : array
        Broadcast of the arguments. [m^3]

    Equation
    --------
    r = stroke_m / 2
    angle = pi - intake_closing_rad
    travel = r * (1 - cos(angle)) + rod_length_m - sqrt(rod_length_m**2 - (r * sin(angle))**2)
    pi / 4 * bore_m**2 * (stroke_m / (compression_ratio - 1) + travel)

    Source
    ------
    heywood-1988, eq. 2.4

    Examples
    --------
    >>> round(float(volume_at_intake_closing(0.086, 0.086, 0.143, 10.0, 0.87)) * 1e6)
    489
    """
    rod = np.where(rod_length_m > np.asarray(stroke_m) / 2.0, rod_length_m, np.nan)
    return Chamber(bore_m, stroke_m, rod, compression_ratio).volume_m3(np.pi - np.asarray(intake_closing_rad))


@valid(bore_m=(0.03, 0.20), stroke_m=(0.02, 0.30), compression_ratio=(6.0, 16.0))
def clearance_volume(bore_m: Array, stroke_m: Array, compression_ratio: Array) -> Array:
    """Volume of one cylinder at top dead centre.

    Parameters
    ----------
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.

    Returns
    -------
    volume_m3 : array
        Broadcast of the arguments. [m^3]

    Equation
    --------
    pi / 4 * bore_m**2 * stroke_m / (compression_ratio - 1)

    Source
    ------
    heywood-1988, eq. 2.1

    Examples
    --------
    >>> round(float(clearance_volume(0.086, 0.086, 10.0)) * 1e6, 1)
    55.5
    """
    return np.pi / 4 * bore_m**2 * stroke_m / (np.asarray(compression_ratio) - 1.0)


@valid(closing_temperature_k=(250.0, 500.0), effective_compression_ratio=(4.0, 16.0))
def temperature_at_top(closing_temperature_k: Array, effective_compression_ratio: Array) -> Array:
    """Temperature that the charge would reach at the top if nothing burnt.

    Parameters
    ----------
    closing_temperature_k : array
        When the intake valve closes. [K] Valid 250 to 500.
    effective_compression_ratio : array
        From there on. [1] Valid 4 to 16.

    Returns
    -------
    temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    closing_temperature_k * effective_compression_ratio**0.32

    Source
    ------
    common-practice, polytropic exponent 1.32

    Examples
    --------
    >>> round(float(temperature_at_top(340.0, 9.0)))
    687
    """
    return closing_temperature_k * np.asarray(effective_compression_ratio) ** (COMPRESSION_EXPONENT - 1.0)


@valid(
    trapped_mass_kg=(1e-5, 1e-2),
    gas_constant_j_kgk=(255.0, 310.0),
    temperature_at_top_k=(400.0, 1200.0),
    clearance_volume_m3=(2e-6, 1e-3),
)
def pressure_at_top(
    trapped_mass_kg: Array, gas_constant_j_kgk: Array, temperature_at_top_k: Array, clearance_volume_m3: Array
) -> Array:
    """Pressure that the charge would reach at the top if nothing burnt.

    Parameters
    ----------
    trapped_mass_kg : array
        In one cylinder. [kg] Valid 1e-5 to 1e-2.
    gas_constant_j_kgk : array
        Of the charge. [J/(kg*K)] Valid 255 to 310.
    temperature_at_top_k : array
        As temperature_at_top has it. [K] Valid 400 to 1200.
    clearance_volume_m3 : array
        Of one cylinder at the top. [m^3] Valid 2e-6 to 1e-3.

    Returns
    -------
    pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    trapped_mass_kg * gas_constant_j_kgk * temperature_at_top_k / clearance_volume_m3

    Source
    ------
    heywood-1988, ideal gas

    Examples
    --------
    >>> round(float(pressure_at_top(5.6e-4, 275.0, 690.0, 55.5e-6)) / 1e5, 1)
    19.1
    """
    return trapped_mass_kg * gas_constant_j_kgk * temperature_at_top_k / clearance_volume_m3
