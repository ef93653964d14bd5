"""Greatest loads of the bottom end over one cycle.

Arrays over the crank carry it as their last axis; everything else is one value a cell, without that axis.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.mechanics.at_angle import bottom_end_forces
from enginelimits.physics.mechanics.forces import gas_force
from enginelimits.physics.mechanics.kinematics import motion
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.blocks import in_blocks, over_nodes
from enginelimits.physics.numerics.compiling import COMPILED
from enginelimits.physics.numerics.validity import valid


class Extremes(NamedTuple):
    """Both ends of a force over the cycle, tension as a positive number, and where they lie."""

    compression_n: Array
    compression_angle_rad: Array
    tension_n: Array
    tension_angle_rad: Array


class CycleLoads(NamedTuple):
    """What one cylinder's bottom end bears at worst in a cycle; angles after firing top dead centre."""

    rod_compression_n: Array
    rod_compression_angle_rad: Array
    rod_tension_n: Array
    rod_tension_angle_rad: Array
    pin_force_n: Array
    side_force_n: Array
    big_end_force_n: Array
    big_end_angle_rad: Array


def force_extremes(force_n: Array, crank_angle_rad: Array) -> Extremes:
    """Greatest compression and greatest tension of a force over the crank axis, the last one.

    A tension below zero says that the part is never pulled: it is then the least compression.

    Parameters
    ----------
    force_n : array
        Compression positive, crank axis last. [N]
    crank_angle_rad : array
        The angles of that axis, after firing top dead centre. [rad]

    Returns
    -------
    compression_n, compression_angle_rad, tension_n, tension_angle_rad : arrays
        Without the crank axis; taken at the nodes of the grid. [N] and [rad]

    Equation
    --------
    Solved: the greatest and the least over the crank axis, and the angles of both

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> e = force_extremes(np.array([1.0, 5.0, -2.0]), np.array([0.0, 0.1, 0.2]))
    >>> [float(x) for x in e]
    [5.0, 0.1, 2.0, 0.2]
    """
    force = np.asarray(force_n, dtype=float)
    high, low = force.argmax(axis=-1), force.argmin(axis=-1)
    return Extremes(
        _taken(force, high), _angle_at(crank_angle_rad, high), -_taken(force, low), _angle_at(crank_angle_rad, low)
    )


@valid(
    bore_m=(0.02, 0.30),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    piston_assembly_mass_kg=(0.02, 15.0),
    rod_mass_kg=(0.05, 20.0),
    pin_offset_m=(-0.01, 0.01),
)
def loads_over_cycle(
    crank_angle_rad: Array,
    cylinder_pressure_pa: Array,
    crankcase_pressure_pa: Array,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    piston_assembly_mass_kg: Array,
    rod_mass_kg: Array,
    small_end_mass_kg: Array,
    rod_mass_above_section_kg: Array,
    pin_offset_m: Array = 0.0,
) -> CycleLoads:
    """Greatest loads of rod, pin, bore wall and crank pin over a cycle of cylinder pressure.

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
        Piston, rings and pin. [kg] Valid 0.02 to 15.
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 20.
    small_end_mass_kg : array
        Share of the rod that moves with the pin. [kg]
    rod_mass_above_section_kg : array
        Rod above its smallest section. [kg]
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    CycleLoads : named tuple of arrays
        Axial extremes at the smallest section with their angles; the greatest of the pin, the side and the
        big-end force, and the angle of the last. Without the crank axis. [N] and [rad]

    Equation
    --------
    Solved: at every crank angle the rod bears (gas force - mass above the section * piston acceleration) /
    cos(rod angle); the pin the same without the rod's mass; the wall that of all reciprocating mass times
    tan(rod angle); the crank pin the rod's force with the rotating share of the rod. Extremes over the cycle.

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15

    Examples
    --------
    >>> angle = np.radians([-360.0, 0.0])
    >>> pressure = np.array([1e5, 8e6])
    >>> found = loads_over_cycle(angle, pressure, 1e5, 0.086, 0.086, 0.15, 700.0, 0.43, 0.48, 0.14, 0.1)
    >>> round(float(found.rod_compression_n)), round(float(found.rod_tension_n))
    (31521, 14368)
    """
    stroke, length, offset = over_nodes(stroke_m), over_nodes(rod_length_m), over_nodes(pin_offset_m)
    assembly, small = over_nodes(piston_assembly_mass_kg), over_nodes(small_end_mass_kg)
    squared = over_nodes(speed_rad_s) ** 2
    rotating = (over_nodes(rod_mass_kg) - small) * stroke / 2.0 * squared
    at = motion(crank_angle_rad, stroke, length, offset)
    over_cosine = 1.0 / at.rod_cosine
    geometry = (
        over_cosine,
        at.rod_sine,
        at.acceleration_m * over_cosine,
        at.throw_cosine * at.rod_cosine - at.throw_sine * at.rod_sine,
    )
    lanes = (
        over_nodes(crankcase_pressure_pa), over_nodes(bore_m), squared,
        assembly + over_nodes(rod_mass_above_section_kg), assembly, assembly + small, rotating,
    )  # fmt: skip
    pressure = np.asarray(cylinder_pressure_pa, dtype=float)
    if COMPILED.get():
        from enginelimits.physics.mechanics import compiled

        found = compiled.bottom_end(pressure, geometry, lanes)
    else:
        found = in_blocks(_worst_of_cycle, pressure, *geometry, *lanes)
    rod, rod_at, tension, tension_at, pin, side, square, square_at = found
    return CycleLoads(
        rod,
        _angle_at(crank_angle_rad, rod_at),
        -tension,
        _angle_at(crank_angle_rad, tension_at),
        pin,
        side,
        np.sqrt(square + rotating[..., 0] ** 2),
        _angle_at(crank_angle_rad, square_at),
    )


def _worst_of_cycle(
    pressure: Array, over_cosine: Array, sine: Array, lift: Array, along: Array, crankcase: Array, bore: Array,
    squared: Array, above: Array, assembly: Array, reciprocating: Array, rotating: Array,
) -> tuple[Array, ...]:
    """Extremes over the crank and the nodes at which they lie."""
    rod, pin, side, square = bottom_end_forces(
        gas_force(pressure, crankcase, bore), over_cosine, sine, lift, along, squared, above, assembly,
        reciprocating, rotating,
    )  # fmt: skip
    high, low, far = rod.argmax(axis=-1), rod.argmin(axis=-1), square.argmax(axis=-1)
    return (
        _taken(rod, high), high, _taken(rod, low), low, _greatest_size(pin), _greatest_size(side),
        _taken(square, far), far,
    )  # fmt: skip


def _taken(values: Array, node: Array) -> Array:
    """The value of each row at its own node."""
    return np.take_along_axis(values, node[..., np.newaxis], axis=-1)[..., 0]


def _angle_at(crank_angle_rad: Array, node: Array) -> Array:
    angle = np.asarray(crank_angle_rad, dtype=float)
    if angle.ndim == 1:
        return angle[node]
    return _taken(np.broadcast_to(angle, (*np.shape(node), angle.shape[-1])), np.asarray(node))


def _greatest_size(force: Array) -> Array:
    """Greatest over the crank axis, of either sense, without a copy of the array."""
    return np.maximum(force.max(axis=-1), -force.min(axis=-1))


@valid(
    mass_above_kg=(0.0, 20.0),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    pin_offset_m=(-0.01, 0.01),
)
def rod_tension_at_exhaust_top(
    mass_above_kg: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    gas_force_n: Array = 0.0,
    pin_offset_m: Array = 0.0,
) -> Array:
    """Axial tension of the rod at top dead centre between exhaust and intake, exact.

    Parameters
    ----------
    mass_above_kg : array
        Piston assembly and the rod above the section. [kg] Valid 0 to 20.
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    gas_force_n : array
        On the piston there, towards the crank; about nil, below nil with a closed throttle. [N]
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    rod_tension_n : array
        Broadcast of the arguments, tension positive. [N]

    Equation
    --------
    r = stroke_m / 2
    upright = sqrt(1 - (pin_offset_m / (rod_length_m + r))**2)
    top = r * speed_rad_s**2 * (1 + r / rod_length_m) / upright
    (mass_above_kg * top - gas_force_n) / upright

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, with the offset added

    Examples
    --------
    >>> round(float(rod_tension_at_exhaust_top(1.6, 0.125, 0.300, 2200 * np.pi / 30)))
    6413
    """
    r = stroke_m / 2.0
    upright = np.sqrt(1.0 - (pin_offset_m / (rod_length_m + r)) ** 2)
    top = r * speed_rad_s**2 * (1.0 + r / rod_length_m) / upright
    return (mass_above_kg * top - gas_force_n) / upright


@valid(
    piston_assembly_mass_kg=(0.02, 15.0),
    small_end_mass_kg=(0.0, 10.0),
    rod_mass_above_split_kg=(0.0, 20.0),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    overspeed=(0.5, 2.0),
    pin_offset_m=(-0.01, 0.01),
)
def cap_opening_load(
    piston_assembly_mass_kg: Array,
    small_end_mass_kg: Array,
    rod_mass_above_split_kg: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    overspeed: Array = 1.0,
    gas_force_n: Array = 0.0,
    pin_offset_m: Array = 0.0,
) -> Array:
    """Load that opens the big end at its split, borne by all its bolts together, exact.

    It is greatest at top dead centre between exhaust and intake, where no gas pushes back.  The rod above
    the split counts as its small-end share, which moves with the pin, and the rest, which turns with the
    crank pin.  Prying, from a cap that bends, is left out.

    Parameters
    ----------
    piston_assembly_mass_kg : array
        Piston, rings and pin. [kg] Valid 0.02 to 15.
    small_end_mass_kg : array
        Share of the rod that moves with the pin. [kg] Valid 0 to 10.
    rod_mass_above_split_kg : array
        The rod without its cap. [kg] Valid 0 to 20.
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 0 to 2000.
    overspeed : array
        Speed really reached over the one named, as in a missed shift. [1] Valid 0.5 to 2.
    gas_force_n : array
        On the piston there, towards the crank; about nil, below nil with a closed throttle. [N]
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    cap_opening_load_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    r = stroke_m / 2
    upright = sqrt(1 - (pin_offset_m / (rod_length_m + r))**2)
    centripetal = r * (speed_rad_s * overspeed)**2
    moving = (piston_assembly_mass_kg + small_end_mass_kg) * (1 + r / rod_length_m) / upright**2
    centripetal * (moving + rod_mass_above_split_kg - small_end_mass_kg) - gas_force_n / upright

    Source
    ------
    bhandari-2010, ch. 7, with the rotating mass added

    Examples
    --------
    >>> round(float(cap_opening_load(5.0, 0.0, 0.0, 0.100, 0.200, 2000 * np.pi / 30)))
    13708
    """
    r = stroke_m / 2.0
    upright = np.sqrt(1.0 - (pin_offset_m / (rod_length_m + r)) ** 2)
    centripetal = r * (speed_rad_s * overspeed) ** 2
    moving = (piston_assembly_mass_kg + small_end_mass_kg) * (1.0 + r / rod_length_m) / upright**2
    return centripetal * (moving + rod_mass_above_split_kg - small_end_mass_kg) - gas_force_n / upright
