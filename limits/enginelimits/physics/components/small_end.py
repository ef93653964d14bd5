"""The eye at the small end: the bush pressed into it, the pull of the piston and the push of the gas.

The eye is a thin ring built into the shank at an angle from its top.  The pull lies evenly over its upper half, the
push as a cosine over its lower half; how much of each the ring bears follows from no turning and no spreading where it
is built in.  Stresses are those of a curved bar.  The handbook's worked engines have that angle at 105 degrees; a slim
eye on a wide shank reaches 120.  A pin pressed into the rod without a bush is not told apart.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


class RingForces(NamedTuple):
    """At one place of the eye, for a load of 1: moment over load and mean radius, and force along the ring."""

    moment: Array
    normal: Array


class EyeStresses(NamedTuple):
    """Of the outer fibre where the eye runs into the shank: pull and push alone, and swing and mean with the bush."""

    pull_stress_pa: Array
    push_stress_pa: Array
    stress_amplitude_pa: Array
    mean_stress_pa: Array


@valid(pin_diameter_m=(0.008, 0.08), wall_over_pin=(0.02, 0.6))
def ring_around(pin_diameter_m: Array, inner_diameter_m: Array, wall_over_pin: Array) -> Array:
    """Outer diameter of a ring about a bush or pin, its wall a share of the pin's diameter.

    Parameters
    ----------
    pin_diameter_m : array
        Outer diameter of the piston pin. [m] Valid 0.008 to 0.08.
    inner_diameter_m : array
        Of the ring. [m]
    wall_over_pin : array
        Wall over the pin's diameter. [1] Valid 0.02 to 0.6.

    Returns
    -------
    ring_diameter_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    inner_diameter_m + 2 * wall_over_pin * pin_diameter_m

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(ring_around(0.020, 0.020, 0.07)), 6)
    0.0228
    """
    return inner_diameter_m + 2.0 * wall_over_pin * pin_diameter_m


@valid(
    interference_m=(0.0, 3.0e-4),
    pin_diameter_m=(0.008, 0.08),
    bush_diameter_m=(0.008, 0.1),
    youngs_modulus_pa=(5.0e10, 2.5e11),
    bush_modulus_pa=(3.0e10, 2.5e11),
    eye_temperature_k=(233.15, 573.15),
    bush_growth_per_k=(0.0, 3.0e-5),
)
def bush_pressure(
    interference_m: Array,
    pin_diameter_m: Array,
    bush_diameter_m: Array,
    eye_diameter_m: Array,
    youngs_modulus_pa: Array,
    bush_modulus_pa: Array,
    eye_temperature_k: Array,
    bush_growth_per_k: Array,
) -> Array:
    """Pressure between bush and eye from what the bush is too large, which grows as both warm up.

    Not a number where pin, bush and eye do not lie in one another.

    Parameters
    ----------
    interference_m : array
        Bush over eye at room temperature, of the diameter. [m] Valid 0 to 3.0e-4.
    pin_diameter_m : array
        Bore of the bush. [m] Valid 0.008 to 0.08.
    bush_diameter_m : array
        Where bush and eye meet. [m] Valid 0.008 to 0.1.
    eye_diameter_m : array
        Outside of the eye. [m]
    youngs_modulus_pa : array
        Of the rod. [Pa] Valid 5.0e10 to 2.5e11.
    bush_modulus_pa : array
        Of the bush. [Pa] Valid 3.0e10 to 2.5e11.
    eye_temperature_k : array
        Of eye and bush. [K] Valid 233.15 to 573.15.
    bush_growth_per_k : array
        Expansion of the bush beyond that of the rod. [1/K] Valid 0 to 3.0e-5.

    Returns
    -------
    bush_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    d = bush_diameter_m
    tight = interference_m / d + bush_growth_per_k * (eye_temperature_k - 293.15)
    eye = (eye_diameter_m**2 + d**2) / (eye_diameter_m**2 - d**2) + 0.3
    bush = (d**2 + pin_diameter_m**2) / (d**2 - pin_diameter_m**2) - 0.3
    max(tight, 0) / (eye / youngs_modulus_pa + bush / bush_modulus_pa)

    Source
    ------
    shigley-2015, eq. 3-56, with the warming of kolchin-demidov-1984

    Examples
    --------
    >>> round(float(bush_pressure(40e-6, 0.020, 0.0228, 0.0304, 207e9, 115e9, 398.15, 7e-6)) / 1e6, 1)
    30.1
    """
    d = bush_diameter_m
    tight = interference_m / d + bush_growth_per_k * (eye_temperature_k - 293.15)
    around, within = np.subtract(eye_diameter_m**2, d**2), np.subtract(d**2, pin_diameter_m**2)
    eye = (eye_diameter_m**2 + d**2) / np.where(around > 0.0, around, np.nan) + 0.3
    bush = (d**2 + pin_diameter_m**2) / np.where(within > 0.0, within, np.nan) - 0.3
    return np.maximum(tight, 0.0) / (eye / youngs_modulus_pa + bush / bush_modulus_pa)


@valid(bush_pressure_pa=(0.0, 5.0e8), bush_diameter_m=(0.008, 0.1))
def bush_stress(bush_pressure_pa: Array, bush_diameter_m: Array, eye_diameter_m: Array) -> Array:
    """Hoop stress that the bush leaves at the outside of the eye, always there; not a number where that is no wall.

    Parameters
    ----------
    bush_pressure_pa : array
        Between bush and eye. [Pa] Valid 0 to 5.0e8.
    bush_diameter_m : array
        Where bush and eye meet. [m] Valid 0.008 to 0.1.
    eye_diameter_m : array
        Outside of the eye. [m]

    Returns
    -------
    bush_stress_pa : array
        Broadcast of the arguments, tension positive. [Pa]

    Equation
    --------
    2 * bush_pressure_pa * bush_diameter_m**2 / (eye_diameter_m**2 - bush_diameter_m**2)

    Source
    ------
    kolchin-demidov-1984, small end; shigley-2015, eq. 3-51

    Examples
    --------
    >>> round(float(bush_stress(30e6, 0.0228, 0.0304)) / 1e6, 1)
    77.1
    """
    around = np.subtract(eye_diameter_m**2, bush_diameter_m**2)
    return 2.0 * bush_pressure_pa * bush_diameter_m**2 / np.where(around > 0.0, around, np.nan)


def _redundants(angle: Array, first: Array, second: Array) -> tuple[Array, Array]:
    """Moment at the top and the multiplier of 1 - cos, such that neither turning nor spreading is left."""
    sine = np.sin(angle)
    b = angle - sine
    c = 1.5 * angle - 2.0 * sine + 0.25 * np.sin(2.0 * angle)
    whole = angle * c - b * b
    return (first * c - second * b) / whole, (angle * second - b * first) / whole


@valid(built_in_angle_rad=(1.5708, 2.4435))
def ring_forces_of_pull(built_in_angle_rad: Array) -> RingForces:
    """What a ring bears where it is built in, of a pull spread evenly over its upper half.

    Parameters
    ----------
    built_in_angle_rad : array
        From the top of the eye to where it runs into the shank. [rad] Valid 1.5708 to 2.4435.

    Returns
    -------
    moment, normal : arrays
        Moment over pull and mean radius, positive where the outside is stretched; force along the ring over
        pull. [1]

    Equation
    --------
    Solved: M = M0 + N0 (1 - cos) - g and N = N0 cos + g, with g = (1 - cos) / 2 over the upper half and
    (sin - cos) / 2 below, and M0, N0 such that M and M (1 - cos) both sum up to nothing over the ring.

    Source
    ------
    kolchin-demidov-1984, small end, where M0 and N0 are fitted by straight lines

    Examples
    --------
    >>> [round(float(share), 4) for share in ring_forces_of_pull(np.radians(120.0))]
    [0.0432, 0.4429]
    """
    angle = np.asarray(built_in_angle_rad, dtype=float)
    sine, cosine, below = np.sin(angle), np.cos(angle), angle - 0.5 * np.pi
    first = 0.5 * (-cosine - below)
    second = first - 0.25 * (sine**2 - 1.0) + 0.5 * (sine - 1.0)
    top, lift = _redundants(angle, first, second)
    normal = lift + 0.5
    over = 0.5 * (sine - cosine)
    return RingForces(top + normal * (1.0 - cosine) - over, normal * cosine + over)


@valid(built_in_angle_rad=(1.5708, 2.4435))
def ring_forces_of_push(built_in_angle_rad: Array) -> RingForces:
    """What a ring bears where it is built in, of a push spread as a cosine over its lower half.

    Parameters
    ----------
    built_in_angle_rad : array
        From the top of the eye to where it runs into the shank. [rad] Valid 1.5708 to 2.4435.

    Returns
    -------
    moment, normal : arrays
        Moment over push and mean radius, positive where the outside is stretched; force along the ring over
        push. [1]

    Equation
    --------
    Solved: M = M0 + N0 (1 - cos) - g and N = N0 cos + g, with g = sin / 2 - (angle sin + cos) / pi below the
    middle of the eye and nothing above, M0 and N0 as for a pull.

    Source
    ------
    kolchin-demidov-1984, small end, where M0 and N0 are tabulated

    Examples
    --------
    >>> [round(float(share), 4) for share in ring_forces_of_push(np.radians(120.0))]
    [-0.0108, 0.0131]
    """
    angle = np.asarray(built_in_angle_rad, dtype=float)
    sine, cosine, below = np.sin(angle), np.cos(angle), angle - 0.5 * np.pi
    twice = 2.0 * angle
    first = -0.5 * cosine - (2.0 * (sine - 1.0) - angle * cosine) / np.pi
    swept = 0.5 * (0.25 * np.sin(twice) - 0.5 * angle * np.cos(twice) - 0.25 * np.pi)
    second = first - 0.25 * (sine**2 - 1.0) + (swept + 0.5 * (below + 0.5 * np.sin(twice))) / np.pi
    top, lift = _redundants(angle, first, second)
    over = 0.5 * sine - (angle * sine + cosine) / np.pi
    return RingForces(top + lift * (1.0 - cosine) - over, lift * cosine + over)


@valid(bush_diameter_m=(0.008, 0.1), eye_width_m=(0.005, 0.1), ring_share=(0.0, 1.0))
def outer_fibre_stress(
    load_n: Array,
    moment: Array,
    normal: Array,
    bush_diameter_m: Array,
    eye_diameter_m: Array,
    eye_width_m: Array,
    ring_share: Array,
) -> Array:
    """Stress at the outside of a curved bar of rectangular section under a moment and a force along it.

    Not a number where the bush leaves no wall.

    Parameters
    ----------
    load_n : array
        Pull or push of the pin. [N]
    moment : array
        Moment over load and mean radius. [1]
    normal : array
        Force along the ring over load. [1]
    bush_diameter_m : array
        Inside of the eye. [m] Valid 0.008 to 0.1.
    eye_diameter_m : array
        Outside of the eye. [m]
    eye_width_m : array
        Along the pin. [m] Valid 0.005 to 0.1.
    ring_share : array
        Part of the force along the ring that the eye bears beside the bush. [1] Valid 0 to 1.

    Returns
    -------
    outer_fibre_stress_pa : array
        Broadcast of the arguments, tension positive. [Pa]

    Equation
    --------
    h = (eye_diameter_m - bush_diameter_m) / 2
    r = (eye_diameter_m + bush_diameter_m) / 4
    bent = 2 * moment * r * (6 * r + h) / (h * (2 * r + h))
    load_n * (bent + ring_share * normal) / (h * eye_width_m)

    Source
    ------
    kolchin-demidov-1984, small end, from memory

    Examples
    --------
    >>> round(float(outer_fibre_stress(10e3, 0.0434, 0.4429, 0.0228, 0.0304, 0.020, 0.8)) / 1e6)
    157
    """
    wall = np.subtract(eye_diameter_m, bush_diameter_m) / 2.0
    h = np.where(wall > 0.0, wall, np.nan)[()]
    r = (eye_diameter_m + bush_diameter_m) / 4.0
    bent = 2.0 * moment * r * (6.0 * r + h) / (h * (2.0 * r + h))
    return load_n * (bent + ring_share * normal) / (h * eye_width_m)


@valid(
    built_in_angle_rad=(1.5708, 2.4435),
    pin_diameter_m=(0.008, 0.08),
    bush_diameter_m=(0.008, 0.1),
    eye_width_m=(0.005, 0.1),
    youngs_modulus_pa=(5.0e10, 2.5e11),
    bush_modulus_pa=(3.0e10, 2.5e11),
)
def eye_stresses(
    pull_n: Array,
    push_n: Array,
    built_in_angle_rad: Array,
    pin_diameter_m: Array,
    bush_diameter_m: Array,
    eye_diameter_m: Array,
    eye_width_m: Array,
    youngs_modulus_pa: Array,
    bush_modulus_pa: Array,
    bush_stress_pa: Array,
) -> EyeStresses:
    """Stress at the outside of the eye where it runs into the shank, from the pull at the top to the push of the gas.

    Parameters
    ----------
    pull_n : array
        Of piston, rings and pin at exhaust top dead centre. [N]
    push_n : array
        Greatest of the pin on the rod. [N]
    built_in_angle_rad : array
        From the top of the eye to where it runs into the shank. [rad] Valid 1.5708 to 2.4435.
    pin_diameter_m : array
        Bore of the bush. [m] Valid 0.008 to 0.08.
    bush_diameter_m : array
        Inside of the eye. [m] Valid 0.008 to 0.1.
    eye_diameter_m : array
        Outside of the eye. [m]
    eye_width_m : array
        Along the pin. [m] Valid 0.005 to 0.1.
    youngs_modulus_pa : array
        Of the rod. [Pa] Valid 5.0e10 to 2.5e11.
    bush_modulus_pa : array
        Of the bush. [Pa] Valid 3.0e10 to 2.5e11.
    bush_stress_pa : array
        That the bush leaves there, always. [Pa]

    Returns
    -------
    pull_stress_pa, push_stress_pa, stress_amplitude_pa, mean_stress_pa : arrays
        Tension positive; not a number where the bush leaves no wall to pin or eye. Broadcast of the arguments. [Pa]

    Equation
    --------
    Solved: moment and force along the ring of pull and push where it is built in; the stress of a curved bar of
    each, the eye sharing the force along the ring with the bush as their areas and moduli are; half the
    difference of both, and their mean with the stress of the bush.

    Source
    ------
    kolchin-demidov-1984, small end, from memory

    Examples
    --------
    >>> found = eye_stresses(10e3, 45e3, np.radians(115.0), 0.020, 0.0228, 0.0304, 0.020, 207e9, 115e9, 77e6)
    >>> [round(float(stress) / 1e6) for stress in found]
    [131, -71, 101, 107]
    """
    eye = (eye_diameter_m - bush_diameter_m) * youngs_modulus_pa
    wall = np.subtract(bush_diameter_m, pin_diameter_m)
    bush = np.where(wall >= 0.0, wall, np.nan)[()] * bush_modulus_pa
    size = (bush_diameter_m, eye_diameter_m, eye_width_m, eye / (eye + bush))
    pull = outer_fibre_stress(pull_n, *ring_forces_of_pull(built_in_angle_rad), *size)
    push = outer_fibre_stress(push_n, *ring_forces_of_push(built_in_angle_rad), *size)
    high, low = np.maximum(pull, push), np.minimum(np.minimum(pull, push), 0.0)
    return EyeStresses(pull, push, 0.5 * (high - low), 0.5 * (high + low) + bush_stress_pa)
