"""End gaps of piston rings."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(gap_m=(0.0, 0.003), bore_m=(0.02, 0.30))
def gap_ratio(gap_m: Array, bore_m: Array) -> Array:
    """End gap over bore, as the trade quotes it.

    Parameters
    ----------
    gap_m : array
        Cold, in its bore. [m] Valid 0 to 0.003.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.

    Returns
    -------
    gap_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gap_m / bore_m

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(gap_ratio(0.00043, 0.086)), 4)
    0.005
    """
    return gap_m / bore_m


@valid(
    bore_m=(0.02, 0.30),
    ring_temperature_k=(250.0, 800.0),
    bore_temperature_k=(250.0, 700.0),
    ring_expansion_per_k=(5.0e-6, 2.5e-5),
    bore_expansion_per_k=(5.0e-6, 2.5e-5),
)
def thermal_closing(
    bore_m: Array,
    ring_temperature_k: Array,
    bore_temperature_k: Array,
    ring_expansion_per_k: Array = 1.2e-5,
    bore_expansion_per_k: Array = 1.1e-5,
    cold_temperature_k: Array = 293.15,
) -> Array:
    """How far an end gap closes when the ring grows more than its bore.

    Parameters
    ----------
    bore_m : array
        Cylinder bore, cold. [m] Valid 0.02 to 0.30.
    ring_temperature_k : array
        Mean of the ring, at full load. [K] Valid 250 to 800.
    bore_temperature_k : array
        Of the bore where the ring turns back. [K] Valid 250 to 700.
    ring_expansion_per_k : array
        Of the ring; 12e-6 of steel and grey iron. [1/K] Valid 5.0e-6 to 2.5e-5.
    bore_expansion_per_k : array
        Of the bore; 11e-6 of iron. [1/K] Valid 5.0e-6 to 2.5e-5.
    cold_temperature_k : array
        At which the gap was measured. [K]

    Returns
    -------
    thermal_closing_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    ring = ring_expansion_per_k * (ring_temperature_k - cold_temperature_k)
    bore = bore_expansion_per_k * (bore_temperature_k - cold_temperature_k)
    pi * bore_m * (ring - bore)

    Source
    ------
    own-computation, growth of both circumferences; coefficients from memory

    Examples
    --------
    >>> round(float(thermal_closing(0.086, 493.15, 413.15)) * 1000, 3)
    0.292
    """
    ring = ring_expansion_per_k * (ring_temperature_k - cold_temperature_k)
    bore = bore_expansion_per_k * (bore_temperature_k - cold_temperature_k)
    return np.pi * bore_m * (ring - bore)


@valid(gap_m=(1.0e-5, 0.003))
def gap_margin(gap_m: Array, thermal_closing_m: Array) -> Array:
    """Share of the cold gap that is left hot; at nil the ends touch.

    Parameters
    ----------
    gap_m : array
        Cold, in its bore. [m] Valid 1.0e-5 to 0.003.
    thermal_closing_m : array
        How far it closes. [m]

    Returns
    -------
    gap_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (gap_m - thermal_closing_m) / gap_m

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(gap_margin(0.0004, 0.0003)), 6)
    0.25
    """
    return (gap_m - thermal_closing_m) / gap_m
