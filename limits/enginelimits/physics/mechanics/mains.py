"""Load on the main bearings from the throws beside them.

Each throw counts as a beam of its own on the mains to its left and right and gives half of its load to either, so
that the crank is statically determinate; a real crank and case share loads by their stiffness.  What the throws do
to each other hangs on which fires when: the usual even-firing orders are taken, since a build file holds none.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.mechanics.forces import gas_force
from enginelimits.physics.mechanics.kinematics import piston_acceleration, rod_angle, throw_angle
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.periodic import at_even_steps
from enginelimits.physics.numerics.validity import valid

STEPS = 180  # of four degrees: of an engine's own nodes each falls on one

# Along the crank, throw by throw, the place in the firing order of what hangs on it; in a vee the cylinder of the
# second bank, which lies ahead in the sense of rotation, comes second.
IN_LINE = {
    1: ((0,),),
    2: ((0,), (1,)),
    3: ((0,), (2,), (1,)),  # 1-3-2
    4: ((0,), (3,), (1,), (2,)),  # 1-3-4-2
    5: ((0,), (1,), (4,), (2,), (3,)),  # 1-2-4-5-3
    6: ((0,), (4,), (2,), (5,), (1,), (3,)),  # 1-5-3-6-2-4
}
OPPOSED = {
    2: ((0,), (1,)),
    4: ((0,), (2,), (1,), (3,)),  # 1-3-2-4, numbered along the crank
    6: ((0,), (3,), (2,), (5,), (4,), (1,)),  # neighbours of a pair fire 360 deg apart
}
VEE = {
    6: ((0, 1), (2, 3), (4, 5)),
    8: ((7, 0), (2, 3), (4, 5), (1, 6)),  # 1-8-4-3-6-5-7-2, pins at right angles
    10: ((0, 1), (4, 5), (6, 7), (8, 9), (2, 3)),
    12: ((0, 1), (8, 9), (4, 5), (10, 11), (2, 3), (6, 7)),
}


Throws = tuple[tuple[tuple[int, int], ...], ...]


class MainLoads(NamedTuple):
    """Greatest force on any main bearing, and the greatest part of one that parts the case at it."""

    main_force_n: Array
    parting_force_n: Array


def arrangement(cylinders: int, bank_angle_rad: float) -> Throws | None:
    """Throws along the crank, each with (place in the firing order, bank) of what hangs on it; None: not known.

    Parameters
    ----------
    cylinders : int
        Of the engine. [1]
    bank_angle_rad : float
        Between the banks: nil in line, pi opposed. [rad]

    Returns
    -------
    throws : tuple or None
        Two counts for each cylinder on each throw. [1]

    Equation
    --------
    Solved: looked up by cylinders and bank_angle_rad among the usual even-firing orders

    Source
    ------
    common-practice, firing orders

    Examples
    --------
    >>> arrangement(4, 0.0)
    (((0, 0),), ((3, 0),), ((1, 0),), ((2, 0),))
    >>> arrangement(4, np.pi)
    (((0, 0),), ((2, 1),), ((1, 0),), ((3, 1),))
    """
    if abs(bank_angle_rad) < 1e-6:
        found = IN_LINE.get(cylinders)
        return None if found is None else tuple(((place, 0),) for (place,) in found)
    if abs(bank_angle_rad - np.pi) < 1e-6:
        found = OPPOSED.get(cylinders)
        return None if found is None else tuple(((place, k % 2),) for k, (place,) in enumerate(found))
    pairs = VEE.get(cylinders)
    return None if pairs is None else tuple(((first, 0), (second, 1)) for first, second in pairs)


@valid(
    bore_m=(0.02, 0.30),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    reciprocating_mass_kg=(0.0, 20.0),
    rod_mass_kg=(0.05, 20.0),
    small_end_mass_kg=(0.0, 10.0),
    crank_mass_share=(0.0, 6.0),
    counterweight_share=(0.0, 1.5),
    cylinders=(1.0, 16.0),
    bank_angle_rad=(0.0, 3.15),
    pin_offset_m=(-0.01, 0.01),
)
def main_loads(
    crank_angle_rad: Array,
    cylinder_pressure_pa: Array,
    crankcase_pressure_pa: Array,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    reciprocating_mass_kg: Array,
    rod_mass_kg: Array,
    small_end_mass_kg: Array,
    crank_mass_share: Array,
    counterweight_share: Array,
    cylinders: Array,
    bank_angle_rad: Array,
    pin_offset_m: Array = 0.0,
) -> MainLoads:
    """Greatest force on a main bearing within a cycle, over all mains, and what parts the case there.

    Not a number where the count of cylinders has no usual even-firing order here.

    Parameters
    ----------
    crank_angle_rad : array
        Angles of the pressure over 720 deg, crank axis last; 0 is firing top dead centre. [rad]
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
    reciprocating_mass_kg : array
        All that moves with one piston. [kg] Valid 0 to 20.
    rod_mass_kg : array
        Whole rod with cap and bolts. [kg] Valid 0.05 to 20.
    small_end_mass_kg : array
        Share of the rod that moves with the pin; the rest turns with the crank pin. [kg] Valid 0 to 10.
    crank_mass_share : array
        Crank pin and webs of one rod, at the crank radius, over what turns of the rod. [1] Valid 0 to 6.
    counterweight_share : array
        Part of what turns that counterweights beside the throw take up. [1] Valid 0 to 1.5.
    cylinders : array
        Of the engine, one count for all. [1] Valid 1 to 16.
    bank_angle_rad : array
        Between the banks, one angle for all: nil in line, pi opposed. [rad] Valid 0 to 3.15.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    main_force_n, parting_force_n : arrays
        Without the crank axis; the second is the part away from the cylinders, which a cap bears, or, in an opposed
        engine, along the cylinders, which the halves of the case bear. [N]

    Equation
    --------
    Solved: half the load of each throw beside a main, added as vectors with the phase of each cylinder; a throw's
    load is -(gas force - reciprocating_mass_kg * piston acceleration) along its cylinders and that times tan(rod
    angle) across, and (rod_mass_kg - small_end_mass_kg) * (1 + crank_mass_share) * (1 - counterweight_share) *
    stroke_m / 2 * speed_rad_s**2 along the throw

    Source
    ------
    own-computation, statics; khurmi-gupta-theory-of-machines, ch. 15, for the forces

    Examples
    --------
    >>> angle = np.radians(np.arange(-360.0, 361.0, 4.0))
    >>> pressure = np.where(np.abs(angle) < 0.01, 8e6, 1e5)
    >>> alone = main_loads(angle, pressure, 1e5, 0.086, 0.086, 0.150, 0.0, 0.5, 0.45, 0.15, 2.0, 0.8, 4.0, 0.0)
    >>> round(float(alone.main_force_n)), round(float(alone.parting_force_n))
    (22945, 22945)
    """
    count, bank = int(np.ravel(cylinders)[0]), float(np.ravel(bank_angle_rad)[0])
    throws = arrangement(count, bank)
    angle = np.asarray(crank_angle_rad, dtype=float)
    lanes = [
        np.asarray(value, dtype=float)[..., np.newaxis]
        for value in (crankcase_pressure_pa, bore_m, stroke_m, rod_length_m, speed_rad_s, reciprocating_mass_kg,
                      rod_mass_kg, small_end_mass_kg, crank_mass_share, counterweight_share, pin_offset_m)
    ]  # fmt: skip
    crankcase, bore, stroke, length, speed, reciprocating, rod, small_end, crank_share, counterweight, offset = lanes
    steps = count * max(round(STEPS / count), 1)
    even = angle[0] + (angle[-1] - angle[0]) * np.arange(steps) / steps
    if throws is None:
        nothing = np.full(np.broadcast_shapes(*(np.shape(lane)[:-1] for lane in lanes)), np.nan)
        return MainLoads(nothing, nothing)
    # One cylinder in its own frame, outward and along the rotation; a half of it goes to either main.
    thrust = gas_force(at_even_steps(cylinder_pressure_pa, angle, steps), crankcase, bore)
    thrust = 0.5 * (thrust - reciprocating * piston_acceleration(even, stroke, length, speed, offset))
    turning = 0.25 * (rod - small_end) * (1.0 + crank_share) * (1.0 - counterweight) * stroke * speed**2
    throw = throw_angle(even, stroke, length, offset)
    outward = turning * np.cos(throw) - thrust
    across = turning * np.sin(throw) + thrust * np.tan(rod_angle(even, stroke, length, offset))
    # Angles from the axis between the banks, or of the first bank where they are opposed: it is along this axis
    # that the crank parts cap or case.
    opposed = abs(bank - np.pi) < 1e-6
    turns = (0.0, np.pi) if opposed else (-0.5 * bank, 0.5 * bank) if bank else (0.0,)
    in_engine = [
        (outward * np.cos(t) - across * np.sin(t), outward * np.sin(t) + across * np.cos(t)) if t else (outward, across)
        for t in turns
    ]
    square: Array = 0.0
    parting: Array = 0.0
    for rods in _mains(throws, count, opposed):
        along: Array = 0.0
        beside: Array = 0.0
        for place, of_bank in rods:
            shift = place * steps // count
            along = along + np.roll(in_engine[of_bank][0], shift, axis=-1)
            beside = beside + np.roll(in_engine[of_bank][1], shift, axis=-1)
        square = np.maximum(square, (along * along + beside * beside).max(axis=-1))
        parting = np.maximum(parting, -along.min(axis=-1))
        if opposed:
            parting = np.maximum(parting, along.max(axis=-1))
    return MainLoads(np.sqrt(square), parting)


def _mains(throws: Throws, count: int, opposed: bool) -> set[tuple[tuple[int, int], ...]]:
    """What hangs on the throws beside each main; mains that differ in the place in the cycle alone are taken once."""
    found = set()
    for left, right in zip(((), *throws), (*throws, ()), strict=True):
        rods = (*left, *right)
        # opposed banks are each other's mirror
        seen = (
            sorted(((place - first) % count, (bank - side) % 2 if opposed else bank) for place, bank in rods)
            for first, side in rods
        )
        found.add(min(tuple(rods) for rods in seen))
    return found
