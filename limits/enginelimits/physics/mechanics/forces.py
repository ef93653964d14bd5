"""Forces on piston, rod and crank pin at one crank angle.

The rod counts as two masses: its small-end share moves with the pin, its big-end share with the crank pin.
That keeps its mass and its centre of gravity and leaves out a couple, small for short rods, that bends the
shank.  A force along the rod is positive when it compresses it; on the piston, when it pushes towards the
crank.  Weight and friction are left out: they are small beside these forces.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


class CrankPinForce(NamedTuple):
    """What the rod does to the crank pin: along the throw, outward positive, and along the rotation."""

    radial_n: Array
    tangential_n: Array


class EquivalentMasses(NamedTuple):
    """Two masses that move as the rod does, one at the small end, and where the other sits."""

    other_distance_m: Array
    small_end_mass_kg: Array
    other_mass_kg: Array


@valid(bore_m=(0.02, 0.30), cylinder_pressure_pa=(0.0, 4.0e7), crankcase_pressure_pa=(0.0, 3.0e5))
def gas_force(cylinder_pressure_pa: Array, crankcase_pressure_pa: Array, bore_m: Array) -> Array:
    """Force of the gas on the piston: the pressure above it less that below it, over the bore.

    Parameters
    ----------
    cylinder_pressure_pa : array
        Absolute. [Pa] Valid 0 to 4.0e7.
    crankcase_pressure_pa : array
        Absolute. [Pa] Valid 0 to 3.0e5.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.

    Returns
    -------
    gas_force_n : array
        Broadcast of the arguments, towards the crank. [N]

    Equation
    --------
    (cylinder_pressure_pa - crankcase_pressure_pa) * pi / 4 * bore_m**2

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(gas_force(3.6e6, 1.0e5, 0.088)))
    21287
    """
    return (cylinder_pressure_pa - crankcase_pressure_pa) * (np.pi / 4.0 * bore_m**2)


@valid(rod_mass_kg=(0.05, 20.0), big_end_mass_kg=(0.02, 15.0))
def small_end_mass(rod_mass_kg: Array, big_end_mass_kg: Array) -> Array:
    """Share of the rod that moves with the pin: what the big end, weighed alone, leaves.

    Not a number where that is nothing: no part of a rod weighs as much as the whole.

    Parameters
    ----------
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 20.
    big_end_mass_kg : array
        Reading of a scale under the big end, the rod level. [kg] Valid 0.02 to 15.

    Returns
    -------
    small_end_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    rod_mass_kg - big_end_mass_kg

    Source
    ------
    common-practice, weighing both ends

    Examples
    --------
    >>> round(float(small_end_mass(0.480, 0.340)), 6)
    0.14
    """
    left = np.subtract(rod_mass_kg, big_end_mass_kg)
    return np.where(left > 0.0, left, np.nan)[()]


@valid(rod_mass_kg=(0.05, 20.0), big_end_share=(0.4, 0.9))
def big_end_mass_by_share(rod_mass_kg: Array, big_end_share: Array) -> Array:
    """What a scale under the big end would read, when neither end was weighed.

    Parameters
    ----------
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 20.
    big_end_share : array
        Big-end part of the rod's mass. [1] Valid 0.4 to 0.9.

    Returns
    -------
    big_end_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    rod_mass_kg * big_end_share

    Source
    ------
    common-practice, two thirds or somewhat more

    Examples
    --------
    >>> round(float(big_end_mass_by_share(0.480, 0.70)), 6)
    0.336
    """
    return rod_mass_kg * big_end_share


@valid(rod_mass_kg=(0.05, 20.0), share_above_section=(0.02, 0.6))
def rod_mass_above_section(rod_mass_kg: Array, share_above_section: Array) -> Array:
    """Mass of the rod above its smallest section, which that section has to pull along.

    Parameters
    ----------
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 20.
    share_above_section : array
        Part of the rod's mass above the section. [1] Valid 0.02 to 0.6.

    Returns
    -------
    rod_mass_above_section_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    rod_mass_kg * share_above_section

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(rod_mass_above_section(0.480, 0.20)), 6)
    0.096
    """
    return rod_mass_kg * share_above_section


@valid(rod_mass_kg=(0.05, 20.0), cap_mass_share=(0.05, 0.5))
def rod_mass_above_split(rod_mass_kg: Array, cap_mass_share: Array) -> Array:
    """Mass of the rod above the split of the big end: all but the cap.

    Parameters
    ----------
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 20.
    cap_mass_share : array
        Part of the rod's mass below the split. [1] Valid 0.05 to 0.5.

    Returns
    -------
    rod_mass_above_split_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    rod_mass_kg * (1 - cap_mass_share)

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(rod_mass_above_split(0.480, 0.25)), 6)
    0.36
    """
    return rod_mass_kg * (1.0 - cap_mass_share)


@valid(rod_mass_kg=(0.05, 500.0), radius_of_gyration_m=(0.005, 1.0), small_end_to_centre_m=(0.02, 2.0))
def equivalent_masses(
    rod_mass_kg: Array, radius_of_gyration_m: Array, small_end_to_centre_m: Array
) -> EquivalentMasses:
    """Two masses with the rod's mass, centre of gravity and moment of inertia, one of them at the small end.

    The other seldom falls on the crank pin; how far it stays away tells how much the two-mass rod leaves out.

    Parameters
    ----------
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 500.
    radius_of_gyration_m : array
        About the centre of gravity. [m] Valid 0.005 to 1.0.
    small_end_to_centre_m : array
        Small end to centre of gravity. [m] Valid 0.02 to 2.0.

    Returns
    -------
    other_distance_m, small_end_mass_kg, other_mass_kg : arrays
        Centre of gravity to the other mass [m], and both masses [kg].

    Equation
    --------
    other_distance_m = radius_of_gyration_m**2 / small_end_to_centre_m
    small_end_mass_kg = rod_mass_kg * other_distance_m / (small_end_to_centre_m + other_distance_m)
    other_mass_kg = rod_mass_kg - small_end_mass_kg

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15

    Examples
    --------
    >>> found = equivalent_masses(0.5, 0.05, 0.10)
    >>> round(float(found.other_distance_m), 6), round(float(found.small_end_mass_kg), 6)
    (0.025, 0.1)
    """
    other = radius_of_gyration_m**2 / small_end_to_centre_m
    small = rod_mass_kg * other / (small_end_to_centre_m + other)
    return EquivalentMasses(other, small, rod_mass_kg - small)


@valid(
    piston_mass_kg=(0.02, 10.0),
    ring_pack_mass_kg=(0.0, 1.0),
    pin_mass_kg=(0.0, 5.0),
    small_end_mass_kg=(0.0, 10.0),
)
def reciprocating_mass(
    piston_mass_kg: Array, ring_pack_mass_kg: Array, pin_mass_kg: Array, small_end_mass_kg: Array
) -> Array:
    """All that moves with the piston.

    Parameters
    ----------
    piston_mass_kg : array
        Bare piston. [kg] Valid 0.02 to 10.
    ring_pack_mass_kg : array
        Rings and pin clips. [kg] Valid 0 to 1.
    pin_mass_kg : array
        Piston pin. [kg] Valid 0 to 5.
    small_end_mass_kg : array
        Small-end share of the rod; 0 gives the piston assembly alone. [kg] Valid 0 to 10.

    Returns
    -------
    reciprocating_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    piston_mass_kg + ring_pack_mass_kg + pin_mass_kg + small_end_mass_kg

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(reciprocating_mass(0.310, 0.030, 0.090, 0.140)), 6)
    0.57
    """
    return piston_mass_kg + ring_pack_mass_kg + pin_mass_kg + small_end_mass_kg


@valid(moving_mass_kg=(0.0, 20.0))
def inertia_force(moving_mass_kg: Array, piston_acceleration_m_s2: Array) -> Array:
    """Force that a reciprocating mass adds to the gas force: near the top it pulls away from the crank.

    Parameters
    ----------
    moving_mass_kg : array
        What moves with the piston. [kg] Valid 0 to 20.
    piston_acceleration_m_s2 : array
        Towards the crank. [m/s^2]

    Returns
    -------
    inertia_force_n : array
        Broadcast of the arguments, towards the crank. [N]

    Equation
    --------
    -moving_mass_kg * piston_acceleration_m_s2

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15

    Examples
    --------
    >>> float(inertia_force(0.5, 20000.0))
    -10000.0
    """
    return -moving_mass_kg * piston_acceleration_m_s2


@valid(mass_above_kg=(0.0, 20.0), rod_angle_rad=(-0.8, 0.8))
def rod_axial_force(
    gas_force_n: Array, mass_above_kg: Array, piston_acceleration_m_s2: Array, rod_angle_rad: Array
) -> Array:
    """Axial force in the rod at a section, with obliquity and the inertia of all that is above the section.

    Parameters
    ----------
    gas_force_n : array
        On the piston, towards the crank. [N]
    mass_above_kg : array
        Piston assembly and the rod above the section, taken to move with the piston. [kg] Valid 0 to 20.
    piston_acceleration_m_s2 : array
        Towards the crank. [m/s^2]
    rod_angle_rad : array
        Rod from the line of stroke. [rad] Valid -0.8 to 0.8.

    Returns
    -------
    rod_axial_force_n : array
        Broadcast of the arguments, compression positive. [N]

    Equation
    --------
    (gas_force_n - mass_above_kg * piston_acceleration_m_s2) / cos(rod_angle_rad)

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15

    Examples
    --------
    >>> float(rod_axial_force(50000.0, 0.5, 20000.0, 0.0))
    40000.0
    """
    return (gas_force_n - mass_above_kg * piston_acceleration_m_s2) / np.cos(rod_angle_rad)


@valid(reciprocating_mass_kg=(0.0, 20.0), rod_angle_rad=(-0.8, 0.8))
def side_force(
    gas_force_n: Array, reciprocating_mass_kg: Array, piston_acceleration_m_s2: Array, rod_angle_rad: Array
) -> Array:
    """Thrust of the piston on the bore wall, positive on the major thrust side.

    Parameters
    ----------
    gas_force_n : array
        On the piston, towards the crank. [N]
    reciprocating_mass_kg : array
        All that moves with the piston. [kg] Valid 0 to 20.
    piston_acceleration_m_s2 : array
        Towards the crank. [m/s^2]
    rod_angle_rad : array
        Rod from the line of stroke. [rad] Valid -0.8 to 0.8.

    Returns
    -------
    side_force_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    (gas_force_n - reciprocating_mass_kg * piston_acceleration_m_s2) * tan(rod_angle_rad)

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15

    Examples
    --------
    >>> round(float(side_force(10000.0, 0.5, 0.0, 0.1)), 1)
    1003.3
    """
    return (gas_force_n - reciprocating_mass_kg * piston_acceleration_m_s2) * np.tan(rod_angle_rad)


@valid(
    rod_angle_rad=(-0.8, 0.8),
    big_end_mass_kg=(0.0, 15.0),
    stroke_m=(0.02, 0.30),
    speed_rad_s=(0.0, 2000.0),
)
def crank_pin_force(
    rod_force_n: Array,
    throw_angle_rad: Array,
    rod_angle_rad: Array,
    big_end_mass_kg: Array,
    stroke_m: Array,
    speed_rad_s: Array,
) -> CrankPinForce:
    """Force of the rod on the crank pin, the rotating share of the rod included.

    Parameters
    ----------
    rod_force_n : array
        Axial force of the rod from everything that reciprocates, compression positive. [N]
    throw_angle_rad : array
        Crank throw from the line of stroke. [rad]
    rod_angle_rad : array
        Rod from the line of stroke. [rad] Valid -0.8 to 0.8.
    big_end_mass_kg : array
        Share of the rod that turns with the crank pin. [kg] Valid 0 to 15.
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.

    Returns
    -------
    radial_n, tangential_n : arrays
        Outward along the throw, and along the rotation. [N]

    Equation
    --------
    angle = throw_angle_rad + rod_angle_rad
    radial_n = big_end_mass_kg * stroke_m / 2 * speed_rad_s**2 - rod_force_n * cos(angle)
    tangential_n = rod_force_n * sin(angle)

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15, the rotating share added

    Examples
    --------
    >>> [round(float(f), 3) for f in crank_pin_force(1000.0, 0.0, 0.0, 0.3, 0.1, 100.0)]
    [-850.0, 0.0]
    """
    angle = throw_angle_rad + rod_angle_rad
    rotating = big_end_mass_kg * stroke_m / 2.0 * speed_rad_s**2
    return CrankPinForce(rotating - rod_force_n * np.cos(angle), rod_force_n * np.sin(angle))
