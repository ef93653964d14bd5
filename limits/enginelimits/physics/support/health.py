"""What leak-down, compression and a pull before the work say of an engine; its cylinders lie on the last axis."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(leak_down=(0.0, 1.0))
def worst_leak_down(leak_down: Array) -> Array:
    """Leak-down of the worst cylinder.

    Parameters
    ----------
    leak_down : array
        Share lost, cylinders last. [1] Valid 0 to 1.

    Returns
    -------
    worst_leak_down : array
        Without the last axis. [1]

    Equation
    --------
    Solved: the greatest of leak_down over all cylinders

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(worst_leak_down([0.04, 0.05, 0.04, 0.06]))
    0.06
    """
    return np.max(np.asarray(leak_down, dtype=float), axis=-1)


@valid(compression_pa=(0.0, 4e6))
def compression_spread(compression_pa: Array) -> Array:
    """Highest less lowest cylinder compression, over the highest.

    Parameters
    ----------
    compression_pa : array
        Gauge, cranking, cylinders last. [Pa] Valid 0 to 4e6.

    Returns
    -------
    compression_spread : array
        Without the last axis. [1]

    Equation
    --------
    Solved: highest less lowest of compression_pa, over the highest

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(compression_spread([13.1e5, 13.0e5, 13.2e5, 12.9e5])), 4)
    0.0227
    """
    readings = np.asarray(compression_pa, dtype=float)
    highest = np.max(readings, axis=-1)
    return (highest - np.min(readings, axis=-1)) / highest


@valid(
    measured_power_w=(1e3, 3e6),
    rating_factor=(0.5, 2.0),
    standard_power_w=(1e3, 3e6),
    standard_output_factor=(0.5, 1.5),
)
def power_kept(
    measured_power_w: Array, rating_factor: Array, standard_power_w: Array, standard_output_factor: Array = 1.0
) -> Array:
    """What an engine gave before the work over what its maker says of it, both in the air of the rating.

    Parameters
    ----------
    measured_power_w : array
        At the flywheel, in the air of that day. [W] Valid 1000 to 3e6.
    rating_factor : array
        What takes a figure of that day to the air of the rating. [1] Valid 0.5 to 2.
    standard_power_w : array
        The maker's figure. [W] Valid 1000 to 3e6.
    standard_output_factor : array
        Of an engine like it as installed, over the maker's figure. [1] Valid 0.5 to 1.5.

    Returns
    -------
    power_kept : array
        Broadcast of the arguments. [1]

    Equation
    --------
    measured_power_w * rating_factor / (standard_power_w * standard_output_factor)

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(power_kept(100e3, 1.02, 110e3)), 3)
    0.927
    """
    return measured_power_w * np.asarray(rating_factor) / (np.asarray(standard_power_w) * standard_output_factor)
