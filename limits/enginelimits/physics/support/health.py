"""What leak-down and compression say of an engine; its cylinders lie on the last axis."""

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
