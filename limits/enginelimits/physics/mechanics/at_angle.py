"""What one cylinder's gas and motion do at one crank angle, written element by element.

The same functions serve whole arrays over the crank and, compiled, one angle after another: they use arithmetic alone.
What depends on geometry and angle alone comes as arguments, worked out once by kinematics.motion.  Masses that turn or
swing come multiplied with the square of speed, as ``squared``: their acceleration is given for a turn of one radian a
second.
"""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array


def bottom_end_forces(
    gas: Array, over_cosine: Array, sine: Array, lift: Array, along: Array, squared: Array, above: Array,
    assembly: Array, reciprocating: Array, rotating: Array,
) -> tuple[Array, Array, Array, Array]:
    """Force along the rod at its smallest section, on the pin, on the wall, and the square of that on the crank pin,
    less that of the rotating share.

    Of gas and inertia along the rod all forces are made.  ``lift`` is the piston's acceleration over the cosine of the
    rod's angle, ``along`` the cosine of throw and rod together.  The rotating share pulls outward along the throw: the
    cosine law gives the square of the sum.
    """
    pressed = gas * over_cosine
    pulled = squared * lift
    whole = pressed - reciprocating * pulled
    return (
        pressed - above * pulled,
        pressed - assembly * pulled,
        whole * sine,
        whole * (whole - 2.0 * rotating * along),
    )


def fibre_stresses(gas: Array, over_section: Array, pull: Array, bend: Array, squared: Array) -> tuple[Array, Array]:
    """Stress at both outer fibres of the shank, tension positive.

    ``over_section`` is one over area and cosine of the rod's angle; ``pull`` and ``bend`` are the stresses of inertia
    along the rod and of whip.
    """
    push = gas * over_section
    return squared * (pull + bend) - push, squared * (pull - bend) - push


def turning_force(gas: Array, acceleration: Array, arm: Array, inertia: Array) -> Array:
    """Torque on the crank; ``inertia`` is the reciprocating mass with the square of speed."""
    return (gas - inertia * acceleration) * arm


def throw_load(
    gas: Array, acceleration: Array, throw_cosine: Array, throw_sine: Array, rod_tangent: Array, inertia: Array,
    turning: Array,
) -> tuple[Array, Array]:
    """Half of what one cylinder's throw loads its mains with: outward along the cylinder, and across it along the
    rotation.  ``turning`` is half the force of what turns."""
    thrust = 0.5 * (gas - inertia * acceleration)
    return turning * throw_cosine - thrust, turning * throw_sine + thrust * rod_tangent


def turned(outward: Array, across: Array, cosine: Array, sine: Array) -> tuple[Array, Array]:
    """A force in axes turned back by an angle."""
    return outward * cosine - across * sine, outward * sine + across * cosine
