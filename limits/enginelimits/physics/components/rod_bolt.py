"""Margins of the bolts that hold the big-end cap; the load that opens it is in ``mechanics.loads``."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.fastener import bolt_load
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(bolts=(1.0, 4.0))
def separation_margin(preload_n: Array, bolts: Array, opening_load_n: Array) -> Array:
    """Clamp of all bolts of one rod over the load that opens its cap.

    The stretch that the load adds to the bolts is not counted: the joint opens somewhat below a margin of 1.
    Prying from a cap that bends, which opens its inner edge earlier, is not counted either.

    Parameters
    ----------
    preload_n : array
        Of one bolt. [N]
    bolts : array
        Of one rod. [1] Valid 1 to 4.
    opening_load_n : array
        On the whole cap. [N]

    Returns
    -------
    separation_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    preload_n * bolts / opening_load_n

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> float(separation_margin(30000.0, 2, 24000.0))
    2.5
    """
    return preload_n * bolts / opening_load_n


@valid(
    bolts=(1.0, 4.0),
    joint_share=(0.0, 0.99),
    stress_area_m2=(1.0e-6, 2.0e-3),
    fatigue_strength_pa=(1.0e6, 2.0e9),
    ultimate_strength_pa=(1.0e8, 4.0e9),
)
def bolt_fatigue_margin(
    preload_n: Array,
    bolts: Array,
    opening_load_n: Array,
    joint_share: Array,
    stress_area_m2: Array,
    fatigue_strength_pa: Array,
    ultimate_strength_pa: Array,
) -> Array:
    """Margin of the thread against fatigue: Goodman, the clamp fixed and the opening load coming and going.

    Once the cap opens the bolt takes all of the load, and the margin falls away.  Nil or less says that the
    clamp alone reaches the ultimate strength.  Without load it is infinite.

    Parameters
    ----------
    preload_n : array
        Of one bolt. [N]
    bolts : array
        Of one rod, sharing the load alike. [1] Valid 1 to 4.
    opening_load_n : array
        On the whole cap. [N]
    joint_share : array
        Joint constant. [1] Valid 0 to 0.99.
    stress_area_m2 : array
        Of the thread. [m^2] Valid 1.0e-6 to 2.0e-3.
    fatigue_strength_pa : array
        Amplitude at the thread, its notch included. [Pa] Valid 1.0e6 to 2.0e9.
    ultimate_strength_pa : array
        Of the bolt. [Pa] Valid 1.0e8 to 4.0e9.

    Returns
    -------
    bolt_fatigue_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    load_each = opening_load_n / bolts
    peak = max(preload_n + joint_share * load_each, load_each)
    amplitude = (peak - preload_n) / (2 * stress_area_m2)
    reserve = ultimate_strength_pa - preload_n / stress_area_m2
    fatigue_strength_pa * reserve / (amplitude * (ultimate_strength_pa + fatigue_strength_pa))

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(bolt_fatigue_margin(12337.0, 2, 13708.0, 0.2, 38.13e-6, 89.7e6, 600e6)), 2)
    2.0
    """
    peak = bolt_load(preload_n, opening_load_n / bolts, joint_share)
    amplitude = (peak - preload_n) / (2.0 * stress_area_m2)
    reserve = ultimate_strength_pa - preload_n / stress_area_m2
    return fatigue_strength_pa * reserve / (amplitude * (ultimate_strength_pa + fatigue_strength_pa))


@valid(speed_rad_s=(0.0, 2000.0), separation_margin=(0.0, 1.0e3))
def cap_opening_speed(speed_rad_s: Array, separation_margin: Array) -> Array:
    """Speed at which the load that opens the cap reaches the clamp: that load grows with speed squared, exactly.

    Parameters
    ----------
    speed_rad_s : array
        Where the margin was taken. [rad/s] Valid 0 to 2000.
    separation_margin : array
        Clamp over opening load at that speed. [1] Valid 0 to 1.0e3.

    Returns
    -------
    opening_speed_rad_s : array
        Broadcast of the arguments. [rad/s]

    Equation
    --------
    speed_rad_s * sqrt(separation_margin)

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> float(cap_opening_speed(700.0, 1.44))
    840.0
    """
    return speed_rad_s * np.sqrt(separation_margin)


@valid(over_rev=(1.0, 1.6))
def over_rev_margin(separation_margin: Array, over_rev: Array) -> Array:
    """Clamp over opening load where a missed shift drives the engine beyond its limiter.

    Parameters
    ----------
    separation_margin : array
        At the limiter. [1]
    over_rev : array
        Speed reached over the limiter's. [1] Valid 1 to 1.6.

    Returns
    -------
    over_rev_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    separation_margin / over_rev**2

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(over_rev_margin(1.6, 1.15)), 2)
    1.21
    """
    return separation_margin / over_rev**2
