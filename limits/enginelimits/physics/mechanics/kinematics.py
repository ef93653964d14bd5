"""Motion of the piston in a central or offset slider-crank mechanism.

Crank angles are radians after firing top dead centre, from -2 pi to 2 pi: 0 is the piston's own highest point
on the firing revolution, whatever the offset of the pin.  Lengths count down from there, towards the crank.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


class Motion(NamedTuple):
    """Where throw and rod point, from the line of stroke, and the piston's acceleration over the square of speed."""

    throw_sine: Array
    throw_cosine: Array
    rod_sine: Array
    rod_cosine: Array
    acceleration_m: Array


@valid(stroke_m=(0.02, 0.30), speed_rad_s=(0.0, 2000.0))
def mean_piston_speed(stroke_m: Array, speed_rad_s: Array) -> Array:
    """Mean piston speed: two strokes a revolution.

    Parameters
    ----------
    stroke_m : array
        Full stroke. [m] Valid 0.02 to 0.30.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 0 to 2000.

    Returns
    -------
    mean_piston_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    stroke_m * speed_rad_s / pi

    Source
    ------
    heywood-1988, eq. 2.9

    Examples
    --------
    >>> round(float(mean_piston_speed(0.090, 3000 * 2 * np.pi / 60)), 6)
    9.0
    """
    return stroke_m * speed_rad_s / np.pi


@valid(stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), pin_offset_m=(-0.01, 0.01))
def throw_angle(
    crank_angle_rad: Array, stroke_m: Array, rod_length_m: Array, pin_offset_m: Array = 0.0
) -> Array:
    """Angle of the crank throw from the line of stroke; with an offset it is not nil at the piston's top.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre of the piston. [rad]
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    throw_angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    crank_angle_rad - asin(pin_offset_m / (rod_length_m + stroke_m / 2))

    Source
    ------
    own-computation, geometry: at the top, throw and rod lie in one line

    Examples
    --------
    >>> float(throw_angle(0.5, 0.086, 0.150))
    0.5
    """
    return crank_angle_rad - np.arcsin(pin_offset_m / (rod_length_m + stroke_m / 2.0))


@valid(stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), pin_offset_m=(-0.01, 0.01))
def rod_angle(
    crank_angle_rad: Array, stroke_m: Array, rod_length_m: Array, pin_offset_m: Array = 0.0
) -> Array:
    """Angle of the rod from the line of stroke, positive on the downstroke of a central pin.

    Not a number where the rod is too short for the crank to turn; so it is with all that rests on it.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre of the piston. [rad]
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    rod_angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    throw = crank_angle_rad - asin(pin_offset_m / (rod_length_m + stroke_m / 2))
    asin((stroke_m / 2 * sin(throw) + pin_offset_m) / rod_length_m)

    Source
    ------
    own-computation, geometry of the offset slider-crank

    Examples
    --------
    >>> round(float(np.degrees(rod_angle(np.pi / 2, 0.086, 0.172))), 3)
    14.478
    """
    return np.arcsin(motion(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m).rod_sine)


def _turning(stroke_m: Array, rod_length_m: Array, pin_offset_m: Array = 0.0) -> Array:
    """The rod's length; not a number where the crank cannot turn with it."""
    return np.where(rod_length_m > np.abs(pin_offset_m) + np.asarray(stroke_m) / 2.0, rod_length_m, np.nan)[()]


@valid(stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), pin_offset_m=(-0.01, 0.01))
def motion(crank_angle_rad: Array, stroke_m: Array, rod_length_m: Array, pin_offset_m: Array = 0.0) -> Motion:
    """All that geometry alone says of the mechanism at a crank angle, exact.

    Not a number where the rod is too short for the crank to turn.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre of the piston. [rad]
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    throw_sine, throw_cosine, rod_sine, rod_cosine, acceleration_m : arrays
        Of the throw's and of the rod's angle from the line of stroke [1]; the piston's acceleration over the square of
        speed, towards the crank [m].

    Equation
    --------
    r = stroke_m / 2
    throw = crank_angle_rad - asin(pin_offset_m / (rod_length_m + r))
    throw_sine = sin(throw)
    throw_cosine = cos(throw)
    rod_sine = (r * throw_sine + pin_offset_m) / rod_length_m
    rod_cosine = sqrt(1 - rod_sine**2)
    swing = r / rod_length_m * throw_cosine**2 / rod_cosine**3
    acceleration_m = r * (throw_cosine - rod_sine / rod_cosine * throw_sine + swing)

    Source
    ------
    own-computation, the velocity differentiated; without offset the closed form of the handbooks

    Examples
    --------
    >>> [round(float(x), 4) for x in motion(np.pi / 2, 0.086, 0.172)]
    [1.0, 0.0, 0.25, 0.9682, -0.0111]
    """
    r, rod = stroke_m / 2.0, _turning(stroke_m, rod_length_m, pin_offset_m)
    # The throw lies back by an angle of the geometry alone: sine and cosine are taken of the crank angles, once.
    back = pin_offset_m / (rod + r)
    upright = np.sqrt(1.0 - back**2)
    # A whole turn counts as none, so that both ends of a cycle are the same to the last bit.
    turn = np.fmod(crank_angle_rad, 2.0 * np.pi)
    sine, cosine = np.sin(turn), np.cos(turn)
    throw_sine, throw_cosine = sine * upright - cosine * back, cosine * upright + sine * back
    rod_sine = (r * throw_sine + pin_offset_m) / rod
    rod_cosine = np.sqrt(1.0 - rod_sine * rod_sine)
    over = 1.0 / rod_cosine
    swing = (r / rod) * (throw_cosine * throw_cosine) * (over * over * over)
    acceleration = r * (throw_cosine - rod_sine * over * throw_sine + swing)
    return Motion(throw_sine, throw_cosine, rod_sine, rod_cosine, acceleration)


@valid(stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), pin_offset_m=(-0.01, 0.01))
def piston_travel(
    crank_angle_rad: Array, stroke_m: Array, rod_length_m: Array, pin_offset_m: Array = 0.0
) -> Array:
    """Distance of the piston below its highest point, exact.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre of the piston. [rad]
    stroke_m : array
        Twice the crank radius; an offset adds some parts in 1e5. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    piston_travel_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    r = stroke_m / 2
    throw = crank_angle_rad - asin(pin_offset_m / (rod_length_m + r))
    tilt = asin((r * sin(throw) + pin_offset_m) / rod_length_m)
    sqrt((rod_length_m + r)**2 - pin_offset_m**2) - r * cos(throw) - rod_length_m * cos(tilt)

    Source
    ------
    heywood-1988, ch. 2, with the offset added

    Examples
    --------
    >>> round(float(piston_travel(np.pi, 0.086, 0.150)), 6)
    0.086
    """
    r = stroke_m / 2.0
    at = motion(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m)
    top = np.sqrt((rod_length_m + r) ** 2 - pin_offset_m**2)
    return top - r * at.throw_cosine - rod_length_m * at.rod_cosine


@valid(
    stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), speed_rad_s=(0.0, 2000.0), pin_offset_m=(-0.01, 0.01)
)
def piston_velocity(
    crank_angle_rad: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    pin_offset_m: Array = 0.0,
) -> Array:
    """Velocity of the piston, positive towards the crank, exact.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre of the piston. [rad]
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    piston_velocity_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    r = stroke_m / 2
    throw = crank_angle_rad - asin(pin_offset_m / (rod_length_m + r))
    tilt = asin((r * sin(throw) + pin_offset_m) / rod_length_m)
    r * speed_rad_s * (sin(throw) + tan(tilt) * cos(throw))

    Source
    ------
    heywood-1988, ch. 2, with the offset added

    Examples
    --------
    >>> round(float(piston_velocity(np.radians(90), 0.086, 0.150, 7000 * np.pi / 30)), 4)
    31.5206
    """
    at = motion(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m)
    return speed_rad_s * (stroke_m / 2.0 * (at.throw_sine + at.rod_sine / at.rod_cosine * at.throw_cosine))


@valid(
    stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), speed_rad_s=(0.0, 2000.0), pin_offset_m=(-0.01, 0.01)
)
def piston_acceleration(
    crank_angle_rad: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    pin_offset_m: Array = 0.0,
) -> Array:
    """Acceleration of the piston, positive towards the crank, exact.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre of the piston. [rad]
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    piston_acceleration_m_s2 : array
        Broadcast of the arguments. [m/s^2]

    Equation
    --------
    r = stroke_m / 2
    throw = crank_angle_rad - asin(pin_offset_m / (rod_length_m + r))
    tilt = asin((r * sin(throw) + pin_offset_m) / rod_length_m)
    shape = cos(throw) - tan(tilt) * sin(throw) + r / rod_length_m * cos(throw)**2 / cos(tilt)**3
    r * speed_rad_s**2 * shape

    Source
    ------
    own-computation, the velocity differentiated; without offset the closed form of the handbooks

    Examples
    --------
    >>> round(float(piston_acceleration(np.radians(30), 0.086, 0.150, 7000 * np.pi / 30)), 1)
    23461.9
    """
    return speed_rad_s**2 * motion(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m).acceleration_m


@valid(
    stroke_m=(0.02, 0.30), rod_length_m=(0.05, 0.60), speed_rad_s=(0.0, 2000.0), pin_offset_m=(-0.01, 0.01)
)
def piston_acceleration_at_top(
    stroke_m: Array, rod_length_m: Array, speed_rad_s: Array, pin_offset_m: Array = 0.0
) -> Array:
    """Acceleration of the piston at top dead centre, the greatest of the revolution, exact.

    Not a number where the rod is too short for the crank to turn.

    Parameters
    ----------
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    piston_acceleration_m_s2 : array
        Broadcast of the arguments, towards the crank. [m/s^2]

    Equation
    --------
    r = stroke_m / 2
    r * speed_rad_s**2 * (1 + r / rod_length_m) / sqrt(1 - (pin_offset_m / (rod_length_m + r))**2)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, with the offset added

    Examples
    --------
    >>> round(float(piston_acceleration_at_top(0.086, 0.150, 7000 * np.pi / 30)), 1)
    29729.5
    """
    r, rod = stroke_m / 2.0, _turning(stroke_m, rod_length_m, pin_offset_m)
    upright = np.sqrt(1.0 - (pin_offset_m / (rod + r)) ** 2)
    return speed_rad_s**2 * (r * (1.0 + r / rod) / upright)
