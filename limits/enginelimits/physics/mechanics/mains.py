"""Load on the main bearings from the throws beside them.

Each throw counts as a beam of its own on the mains to its left and right and gives half of its load to either, so
that the crank is statically determinate; a real crank and case share loads by their stiffness.  What the throws do
to each other hangs on which fires when: the usual even-firing orders are taken, since a build file holds none.
"""

from __future__ import annotations

from functools import reduce
from typing import NamedTuple

import numpy as np

from enginelimits.physics.mechanics.at_angle import throw_load, turned
from enginelimits.physics.mechanics.forces import gas_force
from enginelimits.physics.mechanics.kinematics import motion
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.blocks import in_blocks, lanes_of, over_nodes
from enginelimits.physics.numerics.compiling import COMPILED
from enginelimits.physics.numerics.periodic import Steps, at_steps, even_steps, steps_among
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
    pressure = np.asarray(cylinder_pressure_pa, dtype=float)
    crankcase, bore = over_nodes(crankcase_pressure_pa), over_nodes(bore_m)
    stroke, squared = over_nodes(stroke_m), over_nodes(speed_rad_s) ** 2
    inertia = over_nodes(reciprocating_mass_kg) * squared
    rotating = (over_nodes(rod_mass_kg) - over_nodes(small_end_mass_kg)) * (1.0 + over_nodes(crank_mass_share))
    turning = 0.25 * rotating * (1.0 - over_nodes(counterweight_share)) * stroke * squared
    angle = np.asarray(crank_angle_rad, dtype=float)
    number = count * max(round(STEPS / count), 1)
    at = motion(even_steps(angle, number), stroke, over_nodes(rod_length_m), over_nodes(pin_offset_m))
    arrays = (pressure, crankcase, bore, at.acceleration_m, inertia, turning)
    if throws is None:
        nothing = np.full(lanes_of(*arrays), np.nan)
        return MainLoads(nothing, nothing)
    geometry = (at.acceleration_m, at.throw_cosine, at.throw_sine, at.rod_sine / at.rod_cosine)
    lanes = (crankcase, bore, inertia, turning)
    # Angles from the axis between the banks, or of the first bank where they are opposed: it is along this axis
    # that the crank parts cap or case.
    opposed = abs(bank - np.pi) < 1e-6
    turns = (0.0, np.pi) if opposed else (-0.5 * bank, 0.5 * bank) if bank else (0.0,)
    shifted = [
        [(place * number // count, of_bank) for place, of_bank in rods] for rods in _mains(throws, count, opposed)
    ]
    crank = Crank(steps_among(angle, number), turns, shifted, opposed)
    if COMPILED.get():
        from enginelimits.physics.mechanics import compiled

        square, parting = compiled.mains(pressure, geometry, lanes, crank)
    else:
        square, parting = in_blocks(crank.worst_of_cycle, pressure, *geometry, *lanes)
    return MainLoads(np.sqrt(square), parting)


class Crank(NamedTuple):
    """What hangs on the throws beside each main, by how many steps it comes late and on which bank; where the steps
    lie among the nodes, and how far each bank lies from the axis."""

    steps: Steps
    turns: tuple[float, ...]
    mains: list[list[tuple[int, int]]]
    opposed: bool

    def worst_of_cycle(
        self, pressure: Array, acceleration: Array, throw_cosine: Array, throw_sine: Array, rod_tangent: Array,
        crankcase: Array, bore: Array, inertia: Array, turning: Array,
    ) -> tuple[Array, Array]:
        """Square of the greatest force, and the greatest that parts, over all mains."""
        gas = gas_force(at_steps(pressure, self.steps), crankcase, bore)
        # One cylinder in its own frame; a half of it goes to either main.
        own = throw_load(gas, acceleration, throw_cosine, throw_sine, rod_tangent, inertia, turning)
        steps = self.steps.left.size
        # Each bank's force twice over, so that what comes late is a part of it and no copy.
        twice = [
            [np.concatenate((force, force), axis=-1) for force in (turned(*own, np.cos(t), np.sin(t)) if t else own)]
            for t in self.turns
        ]
        square: Array = 0.0
        parting: Array = 0.0
        for rods in self.mains:
            along, beside = (
                reduce(np.add, [twice[bank][part][..., steps - late : 2 * steps - late] for late, bank in rods])
                for part in (0, 1)
            )
            square = np.maximum(square, (along * along + beside * beside).max(axis=-1))
            parting = np.maximum(parting, -along.min(axis=-1))
            if self.opposed:
                parting = np.maximum(parting, along.max(axis=-1))
        return square, parting


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
