"""Specific load of plain bearings."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(diameter_m=(0.01, 0.20), width_m=(0.003, 0.20))
def specific_load(bearing_force_n: Array, diameter_m: Array, width_m: Array) -> Array:
    """Load of a plain bearing over its projected area.

    Parameters
    ----------
    bearing_force_n : array
        Greatest of the cycle. [N]
    diameter_m : array
        Of the journal. [m] Valid 0.01 to 0.20.
    width_m : array
        That bears. [m] Valid 0.003 to 0.20.

    Returns
    -------
    specific_load_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    bearing_force_n / (diameter_m * width_m)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(specific_load(20000.0, 0.048, 0.018)) / 1e6, 1)
    23.1
    """
    return bearing_force_n / (diameter_m * width_m)
