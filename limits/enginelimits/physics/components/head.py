"""The joint between head and block."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.rod import KNOCK_EVENT_PRESSURE
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(fasteners=(2.0, 100.0), cylinders=(1.0, 16.0), bore_m=(0.02, 0.30), peak_pressure_pa=(2.0e5, 1.0e8))
def clamp_ratio(
    preload_n: Array,
    fasteners: Array,
    cylinders: Array,
    bore_m: Array,
    peak_pressure_pa: Array,
    site_pressure_pa: Array,
) -> Array:
    """Clamp of all head fasteners over the gas force on all bores at once.

    Parameters
    ----------
    preload_n : array
        Of one fastener, what is left of it after settling. [N]
    fasteners : array
        Of the whole engine. [1] Valid 2 to 100.
    cylinders : array
        Of the whole engine. [1] Valid 1 to 16.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    peak_pressure_pa : array
        Of the mean cycle, absolute. [Pa] Valid 2.0e5 to 1.0e8.
    site_pressure_pa : array
        Barometer. [Pa]

    Returns
    -------
    clamp_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gas = (peak_pressure_pa - site_pressure_pa) * pi / 4 * bore_m**2
    preload_n * fasteners / (cylinders * gas)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(clamp_ratio(36100.0, 16, 4, 0.086, 81e5, 1e5)), 2)
    3.11
    """
    gas = (peak_pressure_pa - site_pressure_pa) * (np.pi / 4.0 * bore_m**2)
    return preload_n * fasteners / (cylinders * gas)


@valid(fasteners=(2.0, 100.0), cylinders=(1.0, 16.0), bore_m=(0.02, 0.30), event_pressure_pa=(1.0e6, 1.0e8))
def event_clamp_ratio(
    preload_n: Array,
    fasteners: Array,
    cylinders: Array,
    bore_m: Array,
    event_pressure_pa: Array = KNOCK_EVENT_PRESSURE,
    site_pressure_pa: Array = 1.0e5,
) -> Array:
    """The clamp ratio under one knock event; shown, not graded.

    Parameters
    ----------
    preload_n : array
        Of one fastener, what is left of it after settling. [N]
    fasteners : array
        Of the whole engine. [1] Valid 2 to 100.
    cylinders : array
        Of the whole engine. [1] Valid 1 to 16.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    event_pressure_pa : array
        Cylinder pressure of the event, absolute. [Pa] Valid 1.0e6 to 1.0e8.
    site_pressure_pa : array
        Barometer. [Pa]

    Returns
    -------
    event_clamp_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gas = (event_pressure_pa - site_pressure_pa) * pi / 4 * bore_m**2
    preload_n * fasteners / (cylinders * gas)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(event_clamp_ratio(45000.0, 12, 4, 0.086)), 2)
    1.17
    """
    return clamp_ratio(preload_n, fasteners, cylinders, bore_m, event_pressure_pa, site_pressure_pa)
