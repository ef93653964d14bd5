"""The skirt of the piston: what it bears sideways, and what is left of its clearance when hot."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(bore_m=(0.02, 0.30), skirt_length_m=(0.005, 0.40))
def skirt_pressure(side_force_n: Array, bore_m: Array, skirt_length_m: Array) -> Array:
    """Greatest side thrust over the projected area of the skirt.

    Parameters
    ----------
    side_force_n : array
        Greatest of the cycle. [N]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    skirt_length_m : array
        Of the part that bears. [m] Valid 0.005 to 0.40.

    Returns
    -------
    skirt_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    side_force_n / (bore_m * skirt_length_m)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(skirt_pressure(3928.0, 0.100, 0.0873)) / 1e6, 2)
    0.45
    """
    return side_force_n / (bore_m * skirt_length_m)


@valid(
    skirt_bore_temperature_k=(250.0, 500.0),
    crown_temperature_k=(300.0, 900.0),
    bore_temperature_k=(250.0, 650.0),
    skirt_share=(0.0, 0.5),
)
def skirt_temperature(
    skirt_bore_temperature_k: Array, crown_temperature_k: Array, bore_temperature_k: Array, skirt_share: Array
) -> Array:
    """Temperature of the skirt: above its bore by a share of what the crown is above the bore's top.

    Parameters
    ----------
    skirt_bore_temperature_k : array
        Of the bore that the skirt runs on. [K] Valid 250 to 500.
    crown_temperature_k : array
        At the middle of the crown. [K] Valid 300 to 900.
    bore_temperature_k : array
        Of the bore where the top ring turns back. [K] Valid 250 to 650.
    skirt_share : array
        Of the crown's rise. [1] Valid 0.0 to 0.5.

    Returns
    -------
    skirt_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    skirt_bore_temperature_k + skirt_share * (crown_temperature_k - bore_temperature_k)

    Source
    ------
    own-computation, share from memory

    Examples
    --------
    >>> round(float(skirt_temperature(385.15, 565.15, 423.15, 0.11) - 273.15), 1)
    127.6
    """
    return skirt_bore_temperature_k + skirt_share * (crown_temperature_k - bore_temperature_k)


@valid(
    skirt_clearance_m=(0.0, 0.002),
    bore_m=(0.02, 0.30),
    piston_expansion_per_k=(5.0e-6, 3.0e-5),
    bore_expansion_per_k=(5.0e-6, 2.5e-5),
)
def skirt_clearance_hot(
    skirt_clearance_m: Array,
    bore_m: Array,
    skirt_temperature_k: Array,
    skirt_bore_temperature_k: Array,
    piston_expansion_per_k: Array,
    bore_expansion_per_k: Array,
    cold_temperature_k: Array = 293.15,
) -> Array:
    """What is left of the skirt's clearance when piston and bore have grown; below nil the skirt gives way.

    Parameters
    ----------
    skirt_clearance_m : array
        Cold, on the diameter. [m] Valid 0.0 to 0.002.
    bore_m : array
        Cylinder bore, cold. [m] Valid 0.02 to 0.30.
    skirt_temperature_k : array
        Of the skirt. [K]
    skirt_bore_temperature_k : array
        Of the bore that it runs on. [K]
    piston_expansion_per_k : array
        Of the alloy. [1/K] Valid 5.0e-6 to 3.0e-5.
    bore_expansion_per_k : array
        Of the bore; 11e-6 of iron. [1/K] Valid 5.0e-6 to 2.5e-5.
    cold_temperature_k : array
        At which the clearance was measured. [K]

    Returns
    -------
    skirt_clearance_hot_m : array
        On the diameter. [m]

    Equation
    --------
    piston = piston_expansion_per_k * (skirt_temperature_k - cold_temperature_k)
    bore = bore_expansion_per_k * (skirt_bore_temperature_k - cold_temperature_k)
    skirt_clearance_m - bore_m * (piston - bore)

    Source
    ------
    own-computation, growth of both diameters

    Examples
    --------
    >>> round(float(skirt_clearance_hot(80e-6, 0.086, 400.15, 385.15, 22.5e-6, 12e-6)) * 1e6)
    -32
    """
    piston = piston_expansion_per_k * (skirt_temperature_k - cold_temperature_k)
    bore = bore_expansion_per_k * (skirt_bore_temperature_k - cold_temperature_k)
    return skirt_clearance_m - bore_m * (piston - bore)


@valid(
    least_clearance_m=(0.0, 0.002), bore_m=(0.02, 0.30), skirt_share=(0.0, 0.5), piston_expansion_per_k=(5.0e-6, 3.0e-5)
)
def skirt_clearance_needed(
    least_clearance_m: Array,
    bore_m: Array,
    crown_temperature_k: Array,
    skirt_share: Array,
    piston_expansion_per_k: Array,
    usual_crown_temperature_k: Array = 523.15,
) -> Array:
    """Cold clearance that a piston of its alloy wants at its heat: the trade's least, and what more heat adds.

    Less heat than in ordinary duty takes nothing off, since every engine is run up to it.

    Parameters
    ----------
    least_clearance_m : array
        That the trade gives the alloy in ordinary duty, cold, on the diameter. [m] Valid 0.0 to 0.002.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    crown_temperature_k : array
        At the middle of the crown. [K]
    skirt_share : array
        Of the crown's rise that the skirt sees. [1] Valid 0.0 to 0.5.
    piston_expansion_per_k : array
        Of the alloy. [1/K] Valid 5.0e-6 to 3.0e-5.
    usual_crown_temperature_k : array
        Of the crown in the duty that the trade's least is for. [K]

    Returns
    -------
    skirt_clearance_needed_m : array
        On the diameter. [m]

    Equation
    --------
    hotter = skirt_share * max(crown_temperature_k - usual_crown_temperature_k, 0)
    least_clearance_m + bore_m * piston_expansion_per_k * hotter

    Source
    ------
    own-computation, growth; the least is common practice

    Examples
    --------
    >>> round(float(skirt_clearance_needed(70e-6, 0.086, 593.15, 0.11, 22.5e-6)) * 1e6)
    85
    """
    hotter = skirt_share * np.maximum(crown_temperature_k - usual_crown_temperature_k, 0.0)
    return least_clearance_m + bore_m * piston_expansion_per_k * hotter


@valid(skirt_clearance_m=(0.0, 0.002))
def skirt_clearance_ratio(skirt_clearance_m: Array, needed_m: Array) -> Array:
    """Cold clearance as built over what is wanted.

    Parameters
    ----------
    skirt_clearance_m : array
        Cold, on the diameter. [m] Valid 0.0 to 0.002.
    needed_m : array
        What the alloy wants at its heat. [m]

    Returns
    -------
    skirt_clearance_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    skirt_clearance_m / needed_m

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(skirt_clearance_ratio(80e-6, 64e-6)), 2)
    1.25
    """
    return skirt_clearance_m / needed_m
