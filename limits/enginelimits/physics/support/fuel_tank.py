"""Fuel in a tank that corners: how low it may stand before the pickup draws air."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import STANDARD_GRAVITY


@valid(lateral_acceleration_m_s2=(0.5, 60.0), share=(0.0, 1.0))
def sustained_acceleration(lateral_acceleration_m_s2: Array, share: Array) -> Array:
    """Lateral acceleration that a use holds for seconds, of what the tyres can.

    Parameters
    ----------
    lateral_acceleration_m_s2 : array
        That the car can hold in a long corner. [m/s^2] Valid 0.5 to 60.
    share : array
        Of it that this use asks for. [1] Valid 0 to 1.

    Returns
    -------
    sustained_m_s2 : array
        Broadcast of the arguments. [m/s^2]

    Equation
    --------
    share * lateral_acceleration_m_s2

    Source
    ------
    memory

    Examples
    --------
    >>> sustained_acceleration(10.0, 0.5)
    5.0
    """
    return share * lateral_acceleration_m_s2


@valid(sustained_m_s2=(0.0, 60.0), width_over_height=(0.5, 8.0))
def uncovered_level(sustained_m_s2: Array, width_over_height: Array) -> Array:
    """Share of a tank below which a pickup in the middle of its floor is laid bare in a long corner.

    The surface of the fuel stands square to gravity and acceleration together, so it tilts until less than half
    of the floor is wet.  A box without baffles, at rest in the corner: waves go further, baffles hold more back.

    Parameters
    ----------
    sustained_m_s2 : array
        Lateral acceleration. [m/s^2] Valid 0 to 60.
    width_over_height : array
        Of the tank, across the car. [1] Valid 0.5 to 8.

    Returns
    -------
    uncovered_level : array
        Of a full tank, broadcast of the arguments. [1]

    Equation
    --------
    tilt = width_over_height * sustained_m_s2 / 9.80665
    where(tilt <= 2, tilt / 8, 1 / 2 - 1 / (2 * max(tilt, 2)))

    Source
    ------
    white-2011, liquid in uniform acceleration

    Examples
    --------
    >>> round(float(uncovered_level(0.9 * 9.80665, 2.2)), 3)
    0.247
    """
    tilt = width_over_height * np.asarray(sustained_m_s2) / STANDARD_GRAVITY
    return np.where(tilt <= 2.0, tilt / 8.0, 0.5 - 0.5 / np.maximum(tilt, 2.0))[()]
