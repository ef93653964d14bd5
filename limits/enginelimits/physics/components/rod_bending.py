"""Bending of the shank by its own inertia, and what it adds to push and pull over the cycle.

The rod swings from side to side between its pins, so that its own mass bends it in the plane of motion: whip.  Only
the shank counts, since the mass of both ends sits on the pins.  Sections grow towards the big end; the load is taken
as even along the rod, and the stress at the smallest section.  That the push of the gas bends a rod further which
whip has bent already is left out: whip is small where the gas pushes most.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.mechanics.at_angle import fibre_stresses
from enginelimits.physics.mechanics.forces import gas_force
from enginelimits.physics.mechanics.kinematics import Motion, motion
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.blocks import in_blocks, over_nodes
from enginelimits.physics.numerics.compiling import COMPILED
from enginelimits.physics.numerics.validity import valid


class ShankStresses(NamedTuple):
    """Whip alone at its greatest, and swing and mean of the outer fibre that fatigues first."""

    whip_stress_pa: Array
    stress_amplitude_pa: Array
    mean_stress_pa: Array


@valid(
    density_kg_m3=(1000.0, 9000.0), shank_area_m2=(1.0e-5, 5.0e-3), rod_length_m=(0.05, 0.60), section_growth=(1.0, 2.0)
)
def shank_mass(density_kg_m3: Array, shank_area_m2: Array, rod_length_m: Array, section_growth: Array) -> Array:
    """Mass of a bar from centre to centre, as thick as the shank is on average.

    Parameters
    ----------
    density_kg_m3 : array
        Of the rod. [kg/m^3] Valid 1000 to 9000.
    shank_area_m2 : array
        Smallest section. [m^2] Valid 1.0e-5 to 5.0e-3.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    section_growth : array
        Mean section over the smallest. [1] Valid 1 to 2.

    Returns
    -------
    shank_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    density_kg_m3 * shank_area_m2 * section_growth * rod_length_m

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, with the growth of the section added

    Examples
    --------
    >>> round(float(shank_mass(8000.0, 11 * 0.007**2, 0.380, 1.0)), 2)
    1.64
    """
    return density_kg_m3 * shank_area_m2 * section_growth * rod_length_m


@valid(
    second_moment_plane_m4=(1.0e-11, 1.0e-6), shank_area_m2=(1.0e-5, 5.0e-3), depth_over_gyration=(1.0, 1.7320508076)
)
def shank_half_depth(second_moment_plane_m4: Array, shank_area_m2: Array, depth_over_gyration: Array) -> Array:
    """Distance of the outer fibre from the middle of the shank, in the plane of motion.

    A section with all its area at both edges would have 1, a solid rectangle the square root of 3; the I section
    of 4t by 5t has 2.5 / 1.7816 = 1.403.

    Parameters
    ----------
    second_moment_plane_m4 : array
        For bending in the plane of motion. [m^4] Valid 1.0e-11 to 1.0e-6.
    shank_area_m2 : array
        Smallest section. [m^2] Valid 1.0e-5 to 5.0e-3.
    depth_over_gyration : array
        Half depth over the radius of gyration, of the section's shape. [1] Valid 1 to 1.7320508076.

    Returns
    -------
    half_depth_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    depth_over_gyration * sqrt(second_moment_plane_m4 / shank_area_m2)

    Source
    ------
    own-computation, geometry; proportions of khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(shank_half_depth(419 / 12 * 0.005**4, 11 * 0.005**2, 1.4033)), 5)
    0.0125
    """
    return depth_over_gyration * np.sqrt(second_moment_plane_m4 / shank_area_m2)


@valid(shank_mass_kg=(0.0, 20.0), rod_length_m=(0.05, 0.60), section_position=(0.0, 1.0))
def whip_moment(
    shank_mass_kg: Array,
    rod_length_m: Array,
    section_position: Array,
    pin_acceleration_m_s2: Array,
    crank_pin_acceleration_m_s2: Array,
) -> Array:
    """Bending moment of a bar on two pins under its own inertia, the acceleration growing evenly along it.

    Parameters
    ----------
    shank_mass_kg : array
        Of the whole bar between the pins. [kg] Valid 0 to 20.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    section_position : array
        Distance from the piston pin over the length. [1] Valid 0 to 1.
    pin_acceleration_m_s2 : array
        Of the piston pin, across the rod. [m/s^2]
    crank_pin_acceleration_m_s2 : array
        Of the crank pin, across the rod, of the same sense. [m/s^2]

    Returns
    -------
    whip_moment_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    x = section_position
    ends = (2 - x) * pin_acceleration_m_s2 + (1 + x) * crank_pin_acceleration_m_s2
    shank_mass_kg * rod_length_m * x * (1 - x) * ends / 6

    Source
    ------
    own-computation, a beam on two supports; khurmi-gupta-machine-design, ch. 32, has it with the pin at rest

    Examples
    --------
    >>> round(float(whip_moment(1.64 * 0.380, 0.380, 3**-0.5, 0.0, 0.095 * (60 * np.pi)**2)), 1)
    51.3
    """
    x = section_position
    ends = (2.0 - x) * pin_acceleration_m_s2 + (1.0 + x) * crank_pin_acceleration_m_s2
    return shank_mass_kg * rod_length_m * x * (1.0 - x) * ends / 6.0


@valid(stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), speed_rad_s=(0.0, 2000.0), pin_offset_m=(-0.01, 0.01))
def whip_moment_over_crank(
    crank_angle_rad: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    shank_mass_kg: Array,
    section_position: Array,
    pin_offset_m: Array = 0.0,
) -> Array:
    """Bending moment of the shank at a crank angle, from the exact motion of both its ends.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre. [rad]
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    shank_mass_kg : array
        Of a bar between the pins. [kg]
    section_position : array
        Distance from the piston pin over the length. [1]
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    whip_moment_nm : array
        Broadcast of the arguments; positive where the crank pin pulls the rod back to the middle. [N*m]

    Equation
    --------
    r = stroke_m / 2
    throw = crank_angle_rad - asin(pin_offset_m / (rod_length_m + r))
    tilt = asin((r * sin(throw) + pin_offset_m) / rod_length_m)
    shape = cos(throw) - tan(tilt) * sin(throw) + r / rod_length_m * cos(throw)**2 / cos(tilt)**3
    x = section_position
    ends = (2 - x) * shape * sin(tilt) + (1 + x) * sin(throw + tilt)
    shank_mass_kg * rod_length_m * x * (1 - x) * r * speed_rad_s**2 * ends / 6

    Source
    ------
    own-computation, a beam on two supports that move as pin and crank pin do

    Examples
    --------
    >>> at = np.radians([0.0, 73.0])
    >>> [round(float(m), 1) for m in whip_moment_over_crank(at, 0.086, 0.150, 733.0, 0.20, 0.30)]
    [0.0, 32.1]
    """
    at = motion(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m)
    # The geometry is worked out once and scaled with speed.
    return _whip_of_motion(at, stroke_m, rod_length_m, shank_mass_kg, section_position) * speed_rad_s**2


def _whip_of_motion(
    at: Motion, stroke_m: Array, rod_length_m: Array, shank_mass_kg: Array, section_position: Array
) -> Array:
    """The moment over the square of speed."""
    pin = at.acceleration_m * at.rod_sine
    crank_pin = stroke_m / 2.0 * (at.throw_sine * at.rod_cosine + at.throw_cosine * at.rod_sine)
    return whip_moment(shank_mass_kg, rod_length_m, section_position, pin, crank_pin)


@valid(
    bore_m=(0.02, 0.30),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    shank_area_m2=(1.0e-5, 5.0e-3),
    second_moment_plane_m4=(1.0e-11, 1.0e-6),
    fatigue_strength_pa=(1.0e6, 2.0e9),
    ultimate_strength_pa=(1.0e7, 4.0e9),
)
def shank_stresses(
    crank_angle_rad: Array,
    cylinder_pressure_pa: Array,
    crankcase_pressure_pa: Array,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    piston_assembly_mass_kg: Array,
    rod_mass_above_section_kg: Array,
    shank_mass_kg: Array,
    section_position: Array,
    shank_area_m2: Array,
    second_moment_plane_m4: Array,
    half_depth_m: Array,
    fatigue_strength_pa: Array,
    ultimate_strength_pa: Array,
    pin_offset_m: Array = 0.0,
) -> ShankStresses:
    """Push, pull and whip together at both outer fibres of the smallest section, over a cycle.

    The one swing from the greatest to the least stress of a cycle does the most damage: any smaller one within it
    has less of both amplitude and peak.  Of both fibres that one is told whose swing and mean come nearer to the
    line of Goodman, a mean in compression counting as none.

    Parameters
    ----------
    crank_angle_rad : array
        Angles of the pressure, crank axis last; 0 is firing top dead centre. [rad]
    cylinder_pressure_pa : array
        Absolute, over the whole cycle, crank axis last. [Pa]
    crankcase_pressure_pa : array
        Absolute. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    piston_assembly_mass_kg : array
        Piston, rings and pin. [kg]
    rod_mass_above_section_kg : array
        Rod above its smallest section. [kg]
    shank_mass_kg : array
        Of a bar between the pins. [kg]
    section_position : array
        Smallest section from the piston pin, over the length. [1]
    shank_area_m2 : array
        Smallest section. [m^2] Valid 1.0e-5 to 5.0e-3.
    second_moment_plane_m4 : array
        For bending in the plane of motion. [m^4] Valid 1.0e-11 to 1.0e-6.
    half_depth_m : array
        Outer fibre from the middle of the section. [m]
    fatigue_strength_pa : array
        Fully reversed, of the finished part. [Pa] Valid 1.0e6 to 2.0e9.
    ultimate_strength_pa : array
        In tension. [Pa] Valid 1.0e7 to 4.0e9.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m]

    Returns
    -------
    whip_stress_pa, stress_amplitude_pa, mean_stress_pa : arrays
        Greatest bending stress alone; half the swing and the mean of the fibre that governs, tension positive.
        Without the crank axis. [Pa]

    Equation
    --------
    Solved: at every crank angle the axial stress, (mass above the section * piston acceleration - gas force) /
    cos(rod angle) / area, plus and minus whip moment * half depth / second moment; then for both fibres the
    greatest and the least over the cycle, half their difference and half their sum.

    Source
    ------
    shigley-2015, ch. 6; khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> angle = np.radians([-360.0, -287.0, 10.0, 73.0])
    >>> pressure = np.array([1.2e5, 1e5, 8e6, 1.5e6])
    >>> found = shank_stresses(angle, pressure, 1e5, 0.086, 0.086, 0.15, 733.0, 0.43, 0.12, 0.2, 0.3, 140e-6,
    ...                        4200e-12, 0.0077, 330e6, 890e6)
    >>> [round(float(stress) / 1e6) for stress in found]
    [59, 174, -58]
    """
    stroke, length, area = over_nodes(stroke_m), over_nodes(rod_length_m), over_nodes(shank_area_m2)
    squared = over_nodes(speed_rad_s) ** 2
    above = over_nodes(piston_assembly_mass_kg) + over_nodes(rod_mass_above_section_kg)
    at = motion(crank_angle_rad, stroke, length, over_nodes(pin_offset_m))
    over_section = 1.0 / (at.rod_cosine * area)
    whip = _whip_of_motion(at, stroke, length, over_nodes(shank_mass_kg), over_nodes(section_position))
    # Stresses over the square of speed: as large as what varies with geometry and masses, seldom with speed
    bend = over_nodes(half_depth_m) / over_nodes(second_moment_plane_m4) * whip
    geometry = (over_section, at.acceleration_m * (above * over_section), bend)
    lanes = (squared, over_nodes(crankcase_pressure_pa), over_nodes(bore_m))
    pressure = np.asarray(cylinder_pressure_pa, dtype=float)
    if COMPILED.get():
        from enginelimits.physics.mechanics import compiled

        ends = compiled.fibres(pressure, geometry, lanes)
    else:
        ends = in_blocks(_ends_of_cycle, pressure, *geometry, *lanes)
    left, right = _swing(*ends[:2]), _swing(*ends[2:])
    damage = [a / fatigue_strength_pa + np.maximum(m, 0.0) / ultimate_strength_pa for a, m in (left, right)]
    governs = damage[0] >= damage[1]
    most = squared[..., 0] * np.maximum(bend.max(axis=-1), -bend.min(axis=-1))
    whips = np.broadcast_to(most, np.shape(governs))
    return ShankStresses(whips, *(np.where(governs, a, b) for a, b in zip(left, right, strict=True)))


def _ends_of_cycle(
    pressure: Array, over_section: Array, pull: Array, bend: Array, squared: Array, crankcase: Array, bore: Array
) -> tuple[Array, ...]:
    """Greatest and least stress of either fibre."""
    both = fibre_stresses(gas_force(pressure, crankcase, bore), over_section, pull, bend, squared)
    return tuple(end for stress in both for end in (stress.max(axis=-1), stress.min(axis=-1)))


def _swing(high: Array, low: Array) -> tuple[Array, Array]:
    """Amplitude and mean between the greatest and the least."""
    return 0.5 * (high - low), 0.5 * (high + low)


@valid(whip_stress_pa=(0.0, 2.0e9), fatigue_strength_pa=(1.0e6, 2.0e9))
def whip_share(whip_stress_pa: Array, fatigue_strength_pa: Array) -> Array:
    """Whip alone over the fatigue strength: what of it is gone before gas and piston load the shank.

    Parameters
    ----------
    whip_stress_pa : array
        Greatest of the cycle. [Pa] Valid 0 to 2.0e9.
    fatigue_strength_pa : array
        Fully reversed, of the finished part. [Pa] Valid 1.0e6 to 2.0e9.

    Returns
    -------
    whip_share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    whip_stress_pa / fatigue_strength_pa

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> float(whip_share(66e6, 330e6))
    0.2
    """
    return whip_stress_pa / fatigue_strength_pa
