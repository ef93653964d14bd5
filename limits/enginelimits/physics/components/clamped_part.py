"""Stiffness of a bolt with its ends and of the boss that it clamps, and the share of a load that the bolt takes."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(diameter_m=(0.002, 0.05), shank_ratio=(0.5, 1.1))
def shank_area(diameter_m: Array, shank_ratio: Array) -> Array:
    """Area of a bolt's plain part, waisted or not.

    Parameters
    ----------
    diameter_m : array
        Nominal, of the thread. [m] Valid 0.002 to 0.05.
    shank_ratio : array
        Shank diameter over nominal. [1] Valid 0.5 to 1.1.

    Returns
    -------
    shank_area_m2 : array
        Broadcast of the arguments. [m^2]

    Equation
    --------
    pi / 4 * (diameter_m * shank_ratio)**2

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(shank_area(0.010, 0.9)) * 1e6, 2)
    63.62
    """
    return np.pi / 4.0 * (diameter_m * shank_ratio) ** 2


@valid(
    diameter_m=(0.002, 0.05),
    shank_area_m2=(1.0e-6, 2.0e-3),
    stress_area_m2=(1.0e-6, 2.0e-3),
    grip_m=(0.003, 0.3),
    thread_share=(0.0, 1.0),
    youngs_modulus_pa=(5.0e10, 3.0e11),
    nut_ratio=(0.0, 0.5),
)
def whole_bolt_stiffness(
    diameter_m: Array,
    shank_area_m2: Array,
    stress_area_m2: Array,
    grip_m: Array,
    thread_share: Array,
    youngs_modulus_pa: Array,
    nut_ratio: Array = 0.4,
) -> Array:
    """Stiffness of a bolt over its elastic length: shank and free thread, head, engaged thread and nut in series.

    The head yields as half a diameter more of plain rod, the engaged thread as half a diameter more of thread, nut or
    tapped hole as 0.4 of a diameter of plain rod.  A gauge over both ends sees all but the last.

    Parameters
    ----------
    diameter_m : array
        Nominal. [m] Valid 0.002 to 0.05.
    shank_area_m2 : array
        Of the plain part. [m^2] Valid 1.0e-6 to 2.0e-3.
    stress_area_m2 : array
        Of the thread. [m^2] Valid 1.0e-6 to 2.0e-3.
    grip_m : array
        Clamped thickness. [m] Valid 0.003 to 0.3.
    thread_share : array
        Part of the grip that is free thread. [1] Valid 0 to 1.
    youngs_modulus_pa : array
        Of the bolt. [Pa] Valid 5.0e10 to 3.0e11.
    nut_ratio : array
        Plain rod that yields as nut or tapped hole do, over the diameter. [1] Valid 0 to 0.5.

    Returns
    -------
    bolt_stiffness_n_m : array
        Broadcast of the arguments. [N/m]

    Equation
    --------
    within = grip_m * ((1 - thread_share) / shank_area_m2 + thread_share / stress_area_m2)
    ends = (0.5 + nut_ratio) * diameter_m / (pi / 4 * diameter_m**2) + 0.5 * diameter_m / stress_area_m2
    youngs_modulus_pa / (within + ends)

    Source
    ------
    vdi-2230, section 5.1.1

    Examples
    --------
    >>> round(float(whole_bolt_stiffness(0.009, 47e-6, 51.05e-6, 0.038, 0.25, 207e9)) / 1e6)
    205
    """
    within = grip_m * ((1.0 - thread_share) / shank_area_m2 + thread_share / stress_area_m2)
    ends = (0.5 + nut_ratio) * diameter_m / (np.pi / 4.0 * diameter_m**2) + 0.5 * diameter_m / stress_area_m2
    return youngs_modulus_pa / (within + ends)


@valid(
    diameter_m=(0.002, 0.05),
    grip_m=(0.003, 0.3),
    member_ratio=(1.2, 10.0),
    youngs_modulus_pa=(2.0e10, 3.0e11),
    hole_ratio=(1.0, 1.15),
    washer_ratio=(1.2, 2.2),
)
def boss_stiffness(
    diameter_m: Array,
    grip_m: Array,
    member_ratio: Array,
    youngs_modulus_pa: Array,
    hole_ratio: Array = 1.05,
    washer_ratio: Array = 1.5,
) -> Array:
    """Stiffness of a round boss that a through bolt clamps: cones from either end that become a sleeve at its wall.

    A wide boss is all cone; one no wider than the bolt's head is all sleeve.

    Parameters
    ----------
    diameter_m : array
        Nominal, of the bolt. [m] Valid 0.002 to 0.05.
    grip_m : array
        Clamped thickness. [m] Valid 0.003 to 0.3.
    member_ratio : array
        Diameter of the boss over that of the bolt. [1] Valid 1.2 to 10.
    youngs_modulus_pa : array
        Of the boss. [Pa] Valid 2.0e10 to 3.0e11.
    hole_ratio : array
        Of the hole over that of the bolt. [1] Valid 1 to 1.15.
    washer_ratio : array
        Of the bearing face over that of the bolt. [1] Valid 1.2 to 2.2.

    Returns
    -------
    member_stiffness_n_m : array
        Broadcast of the arguments. [N/m]

    Equation
    --------
    hole = hole_ratio * diameter_m
    boss = member_ratio * diameter_m
    face = min(washer_ratio * diameter_m, boss)
    slope = 0.362 + 0.032 * log(grip_m / (2 * face)) + 0.153 * log(boss / face)
    edge = min(boss, face + grip_m * slope)
    cone = 2 / (hole * slope) * log((face + hole) * (edge - hole) / ((face - hole) * (edge + hole)))
    sleeve = 4 / (edge**2 - hole**2) * (grip_m - (edge - face) / slope)
    pi * youngs_modulus_pa / (cone + sleeve)

    Source
    ------
    vdi-2230, section 5.1.2

    Examples
    --------
    >>> round(float(boss_stiffness(0.009, 0.038, 2.0, 207e9)) / 1e9, 2)
    0.86
    """
    hole, boss = hole_ratio * diameter_m, member_ratio * diameter_m
    face = np.minimum(washer_ratio * diameter_m, boss)
    slope = 0.362 + 0.032 * np.log(grip_m / (2.0 * face)) + 0.153 * np.log(boss / face)
    edge = np.minimum(boss, face + grip_m * slope)
    cone = 2.0 / (hole * slope) * np.log((face + hole) * (edge - hole) / ((face - hole) * (edge + hole)))
    sleeve = 4.0 / (edge**2 - hole**2) * (grip_m - (edge - face) / slope)
    return np.pi * youngs_modulus_pa / (cone + sleeve)


@valid(load_introduction=(0.0, 2.5))
def load_share(bolt_stiffness_n_m: Array, member_stiffness_n_m: Array, load_introduction: Array = 1.0) -> Array:
    """Share of an outside load that the bolt takes while the joint is closed, by where the load comes in.

    A load that enters within the members reaches the bolt in part only; a cap that bends pries on it and adds.

    Parameters
    ----------
    bolt_stiffness_n_m : array
        Of one bolt. [N/m]
    member_stiffness_n_m : array
        Of what it clamps. [N/m]
    load_introduction : array
        1 for a load under head and nut, in line with the bolt. [1] Valid 0 to 2.5.

    Returns
    -------
    joint_share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    load_introduction * bolt_stiffness_n_m / (bolt_stiffness_n_m + member_stiffness_n_m)

    Source
    ------
    vdi-2230, section 5.2.2

    Examples
    --------
    >>> float(load_share(1e8, 4e8, 0.5))
    0.1
    """
    return load_introduction * bolt_stiffness_n_m / (bolt_stiffness_n_m + member_stiffness_n_m)
