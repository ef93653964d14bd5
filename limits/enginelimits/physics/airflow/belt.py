"""The belt that drives a supercharger: how far it wraps its pulley, and what it can carry."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(wrap_rad=(0.5, 4.5), friction=(0.2, 1.0))
def belt_wrap_factor(wrap_rad: Array, friction: Array = 0.5123) -> Array:
    """What a belt carries at this wrap over what it carries half way round its pulley.

    Parameters
    ----------
    wrap_rad : array
        Of the smaller pulley. [rad] Valid 0.5 to 4.5.
    friction : array
        Effective coefficient, with the wedge of the ribs. [1] Valid 0.2 to 1.

    Returns
    -------
    belt_wrap_factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (1 - exp(-friction * wrap_rad)) / (1 - exp(-friction * pi))

    Source
    ------
    shigley-2015, sec. 17-3, at an equal tight-side tension

    Examples
    --------
    >>> round(float(belt_wrap_factor(np.radians(120.0))), 2)
    0.82
    """
    return np.expm1(-friction * np.asarray(wrap_rad)) / np.expm1(-friction * np.pi)


@valid(
    drive_power_w=(0.0, 300e3), ribs=(1.0, 20.0), wrap_rad=(0.5, 4.5), power_per_rib_w=(1e3, 20e3), friction=(0.2, 1.0)
)
def belt_reserve(
    drive_power_w: Array, ribs: Array, wrap_rad: Array, power_per_rib_w: Array, friction: Array = 0.5123
) -> Array:
    """Power that a ribbed belt carries with its wrap over the power asked of it; below 1 it slips.

    Not a number where none is asked.

    Parameters
    ----------
    drive_power_w : array
        Taken from the crank. [W] Valid 0 to 300e3.
    ribs : array
        Ribs of the belt. [1] Valid 1 to 20.
    wrap_rad : array
        Of the supercharger's pulley. [rad] Valid 0.5 to 4.5.
    power_per_rib_w : array
        That one rib carries half way round its pulley. [W] Valid 1e3 to 20e3.
    friction : array
        Effective coefficient, with the wedge of the ribs. [1] Valid 0.2 to 1.

    Returns
    -------
    belt_reserve : array
        Broadcast of the arguments. [1]

    Equation
    --------
    wrap_factor = (1 - exp(-friction * wrap_rad)) / (1 - exp(-friction * pi))
    ribs * power_per_rib_w * wrap_factor / drive_power_w

    Source
    ------
    shigley-2015, sec. 17-3; common-practice

    Examples
    --------
    >>> round(float(belt_reserve(15e3, 6.0, np.radians(150.0), 7.5e3)), 2)
    2.77
    """
    carried = ribs * np.asarray(power_per_rib_w) * belt_wrap_factor(wrap_rad, friction)
    power = np.asarray(drive_power_w, dtype=float)
    return carried / np.where(power > 0.0, power, np.nan)
