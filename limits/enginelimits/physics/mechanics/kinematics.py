"""Motion of the piston in a central or offset slider-crank mechanism."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(stroke_m=(0.02, 0.30), speed_rad_s=(0.0, 2000.0))
def mean_piston_speed(stroke_m: Array, speed_rad_s: Array) -> Array:
    """Mean piston speed: two strokes a revolution.

    Parameters
    ----------
    stroke_m : array
        Full stroke. [m] Valid 0.02 to 0.30.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 0 to 2000.

    Returns
    -------
    mean_piston_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    stroke_m * speed_rad_s / pi

    Source
    ------
    heywood-1988, eq. 2.9

    Examples
    --------
    >>> round(float(mean_piston_speed(0.090, 3000 * 2 * np.pi / 60)), 6)
    9.0
    """
    return stroke_m * speed_rad_s / np.pi
