"""The crown of the piston under pressure, as a flat plate a bound and no limit, and power over its area."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.rod import KNOCK_EVENT_PRESSURE
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(bore_m=(0.02, 0.30), crown_thickness_m=(0.002, 0.05))
def crown_stress(gauge_pressure_pa: Array, bore_m: Array, crown_thickness_m: Array) -> Array:
    """Stress at the rim of the crown as a flat clamped plate: a bound, since real crowns are ribbed.

    Parameters
    ----------
    gauge_pressure_pa : array
        Greatest cylinder pressure over the crankcase's. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    crown_thickness_m : array
        At its thinnest. [m] Valid 0.002 to 0.05.

    Returns
    -------
    crown_stress_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    3 * gauge_pressure_pa * bore_m**2 / (16 * crown_thickness_m**2)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, Grashof's formula

    Examples
    --------
    >>> round(float(crown_stress(10e6, 0.086, 0.01317)) / 1e6, 1)
    80.0
    """
    return 3.0 * gauge_pressure_pa * bore_m**2 / (16.0 * crown_thickness_m**2)


@valid(bore_m=(0.02, 0.30), allowed_stress_pa=(1.0e6, 5.0e8))
def crown_thickness_for_stress(gauge_pressure_pa: Array, bore_m: Array, allowed_stress_pa: Array) -> Array:
    """Thickness of a flat crown that keeps a stress, by the same plate.

    Parameters
    ----------
    gauge_pressure_pa : array
        Greatest cylinder pressure over the crankcase's. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    allowed_stress_pa : array
        Of the material, hot. [Pa] Valid 1.0e6 to 5.0e8.

    Returns
    -------
    crown_thickness_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    sqrt(3 * gauge_pressure_pa * bore_m**2 / (16 * allowed_stress_pa))

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, Grashof's formula

    Examples
    --------
    >>> round(float(crown_thickness_for_stress(5e6, 0.100, 38e6)) * 1000, 2)
    15.71
    """
    return np.sqrt(3.0 * gauge_pressure_pa * bore_m**2 / (16.0 * allowed_stress_pa))


@valid(bore_m=(0.02, 0.30), crown_thickness_m=(0.002, 0.05), event_pressure_pa=(1.0e6, 1.0e8))
def crown_event_stress(
    bore_m: Array,
    crown_thickness_m: Array,
    event_pressure_pa: Array = KNOCK_EVENT_PRESSURE,
    crankcase_pressure_pa: Array = 1.0e5,
) -> Array:
    """Stress of the crown as a flat clamped plate under one knock event: a bound.

    Parameters
    ----------
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    crown_thickness_m : array
        At its thinnest. [m] Valid 0.002 to 0.05.
    event_pressure_pa : array
        Cylinder pressure of the event, absolute. [Pa] Valid 1.0e6 to 1.0e8.
    crankcase_pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    crown_event_stress_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    3 * (event_pressure_pa - crankcase_pressure_pa) * bore_m**2 / (16 * crown_thickness_m**2)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, Grashof's formula; 200 bar of an event is common practice

    Examples
    --------
    >>> round(float(crown_event_stress(0.086, 0.01317)) / 1e6, 1)
    159.1
    """
    return crown_stress(event_pressure_pa - crankcase_pressure_pa, bore_m, crown_thickness_m)


@valid(cylinders=(1.0, 16.0), bore_m=(0.02, 0.30))
def power_per_area(brake_power_w: Array, cylinders: Array, bore_m: Array) -> Array:
    """Brake power over the area of all bores.

    Parameters
    ----------
    brake_power_w : array
        At the crank. [W]
    cylinders : array
        Of the whole engine. [1] Valid 1 to 16.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.

    Returns
    -------
    power_per_area_w_m2 : array
        Broadcast of the arguments. [W/m^2]

    Equation
    --------
    4 * brake_power_w / (cylinders * pi * bore_m**2)

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(power_per_area(149140.0, 4, 0.086)) / 1e6, 2)
    6.42
    """
    return 4.0 * brake_power_w / (cylinders * np.pi * bore_m**2)
