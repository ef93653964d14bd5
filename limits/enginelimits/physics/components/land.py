"""The second land of the piston as a short ring held at the bottom of its grooves: good to a third."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.rod import KNOCK_EVENT_PRESSURE
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(pressure_share=(0.0, 1.5), groove_depth_m=(0.0005, 0.03), land_height_m=(0.0005, 0.05))
def land_stress(
    gauge_pressure_pa: Array, pressure_share: Array, groove_depth_m: Array, land_height_m: Array
) -> Array:
    """Stress at the root of the second land, from bending and shear of a short cantilever of its own width.

    The top ring presses on it with the cylinder's pressure, the pressure between the rings holds against it, and
    the difference is a share of the first.  Curvature of the ring and the softness of its root are left out, so the
    figure is good to about a third.  The top land has gas above and beneath and bears little.

    Parameters
    ----------
    gauge_pressure_pa : array
        Greatest cylinder pressure over the crankcase's. [Pa]
    pressure_share : array
        Of it that is left across the land. [1] Valid 0.0 to 1.5.
    groove_depth_m : array
        Radial depth of the groove. [m] Valid 0.0005 to 0.03.
    land_height_m : array
        Of the second land along the piston. [m] Valid 0.0005 to 0.05.

    Returns
    -------
    land_stress_pa : array
        Bending and mean shear together, by the shape-change hypothesis; no notch. [Pa]

    Equation
    --------
    across = pressure_share * gauge_pressure_pa
    bending = 3 * across * (groove_depth_m / land_height_m)**2
    shear = across * groove_depth_m / land_height_m
    sqrt(bending**2 + 3 * shear**2)

    Source
    ------
    own-computation, a cantilever of unit width under even pressure

    Examples
    --------
    >>> round(float(land_stress(10e6, 0.75, 0.0037, 0.0045)) / 1e6, 1)
    18.6
    """
    across = pressure_share * gauge_pressure_pa
    bending = 3.0 * across * (groove_depth_m / land_height_m) ** 2
    shear = across * groove_depth_m / land_height_m
    return np.sqrt(bending**2 + 3.0 * shear**2)


@valid(notch_factor=(1.0, 6.0), fatigue_strength_pa=(1.0e6, 1.0e9))
def land_use(land_stress_pa: Array, notch_factor: Array, fatigue_strength_pa: Array) -> Array:
    """Share of the land's hot fatigue strength that a stress between nil and its peak uses.

    Parameters
    ----------
    land_stress_pa : array
        Greatest of the cycle, without notch. [Pa]
    notch_factor : array
        How much the corner of the groove raises it. [1] Valid 1.0 to 6.0.
    fatigue_strength_pa : array
        Fully reversed, at the land's temperature. [Pa] Valid 1.0e6 to 1.0e9.

    Returns
    -------
    land_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    notch_factor * land_stress_pa / sqrt(2) / fatigue_strength_pa

    Source
    ------
    smith-watson-topper-1970, root of greatest stress times amplitude

    Examples
    --------
    >>> round(float(land_use(20e6, 2.0, 56e6)), 3)
    0.505
    """
    return notch_factor * land_stress_pa / np.sqrt(2.0) / fatigue_strength_pa


@valid(
    groove_depth_m=(0.0005, 0.03),
    land_height_m=(0.0005, 0.05),
    dynamic_factor=(0.5, 4.0),
    notch_factor=(1.0, 6.0),
    blow_share=(0.0, 1.0),
    yield_strength_pa=(1.0e6, 1.0e9),
    pressure_share=(0.0, 1.5),
    event_pressure_pa=(1.0e6, 1.0e8),
)
def land_event_use(
    groove_depth_m: Array,
    land_height_m: Array,
    dynamic_factor: Array,
    notch_factor: Array,
    blow_share: Array,
    yield_strength_pa: Array,
    pressure_share: Array = 0.95,
    event_pressure_pa: Array = KNOCK_EVENT_PRESSURE,
    crankcase_pressure_pa: Array = 1.0e5,
) -> Array:
    """Share of the land's hot yield strength that one knock event would use; an estimate good to a third.

    Nearly all of the event's pressure stands across the land, since the wave is over before gas has passed the top
    ring, and it comes as a blow.  A brittle alloy feels the whole notch, a tough one little of it.

    Parameters
    ----------
    groove_depth_m : array
        Radial depth of the groove. [m] Valid 0.0005 to 0.03.
    land_height_m : array
        Of the second land along the piston. [m] Valid 0.0005 to 0.05.
    dynamic_factor : array
        Stress of a blow over that of the same pressure at rest. [1] Valid 0.5 to 4.0.
    notch_factor : array
        How much the corner of the groove raises a stress. [1] Valid 1.0 to 6.0.
    blow_share : array
        Of the notch's rise that counts in a single blow. [1] Valid 0.0 to 1.0.
    yield_strength_pa : array
        At the land's temperature. [Pa] Valid 1.0e6 to 1.0e9.
    pressure_share : array
        Of the event's pressure across the land. [1] Valid 0.0 to 1.5.
    event_pressure_pa : array
        Cylinder pressure of the event, absolute. [Pa] Valid 1.0e6 to 1.0e8.
    crankcase_pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    land_event_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    across = dynamic_factor * pressure_share * (event_pressure_pa - crankcase_pressure_pa)
    slim = groove_depth_m / land_height_m
    felt = 1 + blow_share * (notch_factor - 1)
    felt * sqrt((3 * across * slim**2) ** 2 + 3 * (across * slim) ** 2) / yield_strength_pa

    Source
    ------
    own-computation, the same cantilever; 200 bar of an event is common practice

    Examples
    --------
    >>> round(float(land_event_use(0.0037, 0.0045, 1.4, 1.9, 0.8, 125e6)), 2)
    0.9
    """
    gauge = event_pressure_pa - crankcase_pressure_pa
    felt = 1.0 + blow_share * (notch_factor - 1.0)
    stress = land_stress(gauge, dynamic_factor * pressure_share, groove_depth_m, land_height_m)
    return felt * stress / yield_strength_pa
