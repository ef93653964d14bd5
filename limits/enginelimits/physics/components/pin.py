"""The piston pin: bearing pressure at its ends and middle, bending between them, and how far it goes oval."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.rod import KNOCK_EVENT_PRESSURE
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


def _hole(outer_diameter_m: Array, inner_diameter_m: Array) -> Array:
    """The inner diameter; not a number where it leaves no wall."""
    return np.where(np.less(inner_diameter_m, outer_diameter_m), inner_diameter_m, np.nan)[()]


@valid(outer_diameter_m=(0.005, 0.10), small_end_width_m=(0.005, 0.15))
def small_end_pressure(pin_force_n: Array, outer_diameter_m: Array, small_end_width_m: Array) -> Array:
    """Load of the small end over its projected area.

    Parameters
    ----------
    pin_force_n : array
        Greatest of the cycle. [N]
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    small_end_width_m : array
        Of the bush. [m] Valid 0.005 to 0.15.

    Returns
    -------
    small_end_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    pin_force_n / (outer_diameter_m * small_end_width_m)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(small_end_pressure(42000.0, 0.020, 0.021)) / 1e6, 3)
    100.0
    """
    return pin_force_n / (outer_diameter_m * small_end_width_m)


@valid(outer_diameter_m=(0.005, 0.10), boss_length_m=(0.003, 0.10))
def boss_pressure(pin_force_n: Array, outer_diameter_m: Array, boss_length_m: Array) -> Array:
    """Load of both bosses of the piston over their projected area.

    Parameters
    ----------
    pin_force_n : array
        Greatest of the cycle. [N]
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    boss_length_m : array
        Of one boss along the pin. [m] Valid 0.003 to 0.10.

    Returns
    -------
    boss_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    pin_force_n / (2 * outer_diameter_m * boss_length_m)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(boss_pressure(42000.0, 0.020, 0.015)) / 1e6, 3)
    70.0
    """
    return pin_force_n / (2.0 * outer_diameter_m * boss_length_m)


@valid(outer_diameter_m=(0.005, 0.10), inner_diameter_m=(0.0, 0.09))
def tube_bending_stress(bending_moment_nm: Array, outer_diameter_m: Array, inner_diameter_m: Array) -> Array:
    """Greatest bending stress of a round tube; not a number where its hole leaves no wall.

    Parameters
    ----------
    bending_moment_nm : array
        At the section. [N*m]
    outer_diameter_m : array
        Of the tube. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the tube, 0 when solid. [m] Valid 0 to 0.09.

    Returns
    -------
    tube_bending_stress_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    32 * bending_moment_nm * outer_diameter_m / (pi * (outer_diameter_m**4 - inner_diameter_m**4))

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(tube_bending_stress(100.0, 0.020, 0.012)) / 1e6, 1)
    146.3
    """
    section = np.pi * (outer_diameter_m**4 - _hole(outer_diameter_m, inner_diameter_m) ** 4) / (32.0 * outer_diameter_m)
    return bending_moment_nm / section


@valid(
    outer_diameter_m=(0.005, 0.10),
    inner_diameter_m=(0.0, 0.09),
    pin_length_m=(0.01, 0.30),
    small_end_width_m=(0.005, 0.15),
    boss_length_m=(0.003, 0.10),
)
def pin_bending_stress(
    pin_force_n: Array,
    outer_diameter_m: Array,
    inner_diameter_m: Array,
    pin_length_m: Array,
    small_end_width_m: Array,
    boss_length_m: Array,
) -> Array:
    """Bending stress at the middle of the pin, the load even over the small end and over each boss.

    Real bosses give way and bear more at their inner edges, so this errs on the high side.

    Parameters
    ----------
    pin_force_n : array
        Greatest of the cycle. [N]
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the pin, 0 when solid. [m] Valid 0 to 0.09.
    pin_length_m : array
        Over both bosses. [m] Valid 0.01 to 0.30.
    small_end_width_m : array
        Of the bush. [m] Valid 0.005 to 0.15.
    boss_length_m : array
        Of one boss along the pin. [m] Valid 0.003 to 0.10.

    Returns
    -------
    pin_bending_stress_pa : array
        Not a number where bosses and small end are so long that no moment is left. Broadcast of the arguments. [Pa]

    Equation
    --------
    moment = pin_force_n / 8 * (2 * pin_length_m - 2 * boss_length_m - small_end_width_m)
    32 * moment * outer_diameter_m / (pi * (outer_diameter_m**4 - inner_diameter_m**4))

    Source
    ------
    own-computation, a beam on two spread supports

    Examples
    --------
    >>> round(float(pin_bending_stress(50000.0, 0.020, 0.012, 0.055, 0.021, 0.015)) / 1e6, 1)
    539.4
    """
    arms = 2.0 * pin_length_m - 2.0 * np.asarray(boss_length_m) - small_end_width_m
    moment = pin_force_n / 8.0 * np.where(arms > 0.0, arms, np.nan)[()]
    return tube_bending_stress(moment, outer_diameter_m, inner_diameter_m)


@valid(outer_diameter_m=(0.005, 0.10), inner_diameter_m=(0.0, 0.09), bore_m=(0.02, 0.30))
def pin_bending_stress_by_bore(
    pin_force_n: Array, outer_diameter_m: Array, inner_diameter_m: Array, bore_m: Array
) -> Array:
    """Bending stress of the pin from the bore alone: the handbook's moment of force times bore over 8.

    It supposes a small end of 0.45 bores' width and the centres of the bosses 0.725 bores apart.

    Parameters
    ----------
    pin_force_n : array
        Greatest of the cycle. [N]
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the pin, 0 when solid. [m] Valid 0 to 0.09.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.

    Returns
    -------
    pin_bending_stress_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    moment = pin_force_n * bore_m / 8
    32 * moment * outer_diameter_m / (pi * (outer_diameter_m**4 - inner_diameter_m**4))

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(pin_bending_stress_by_bore(39270.0, 0.0349, 0.02094, 0.100)) / 1e6)
    135
    """
    return tube_bending_stress(pin_force_n * bore_m / 8.0, outer_diameter_m, inner_diameter_m)


@valid(outer_diameter_m=(0.005, 0.10), inner_diameter_m=(0.0, 0.09))
def pin_wall(outer_diameter_m: Array, inner_diameter_m: Array) -> Array:
    """Wall of the pin; not a number where its hole leaves none.

    Parameters
    ----------
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the pin, 0 when solid. [m] Valid 0 to 0.09.

    Returns
    -------
    pin_wall_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    (outer_diameter_m - inner_diameter_m) / 2

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(pin_wall(0.020, 0.012)) * 1000, 6)
    4.0
    """
    return (outer_diameter_m - _hole(outer_diameter_m, inner_diameter_m)) / 2.0


@valid(
    outer_diameter_m=(0.005, 0.10),
    inner_diameter_m=(0.001, 0.09),
    pin_length_m=(0.01, 0.30),
    youngs_modulus_pa=(5.0e10, 7.0e11),
)
def pin_ovality(
    pin_force_n: Array,
    outer_diameter_m: Array,
    inner_diameter_m: Array,
    pin_length_m: Array,
    youngs_modulus_pa: Array,
) -> Array:
    """How much shorter the diameter in line with the load gets, the wall taken as a thin ring.

    Small end and bosses press on one half each with a pressure that goes as the cosine of the angle; over the length
    of the pin both halves get the whole force.  Between two knife edges the ring would give 2.5 times as much.

    Parameters
    ----------
    pin_force_n : array
        Greatest of the cycle. [N]
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the pin. [m] Valid 0.001 to 0.09.
    pin_length_m : array
        Over both bosses. [m] Valid 0.01 to 0.30.
    youngs_modulus_pa : array
        Of the steel. [Pa] Valid 5.0e10 to 7.0e11.

    Returns
    -------
    pin_ovality_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    radius = (outer_diameter_m + inner_diameter_m) / 4
    wall = (outer_diameter_m - inner_diameter_m) / 2
    0.0596 * pin_force_n * radius**3 / (youngs_modulus_pa * pin_length_m * wall**3 / 12)

    Source
    ------
    own-computation, a thin ring whose length does not change, by its second and fourth waves

    Examples
    --------
    >>> round(float(pin_ovality(55e3, 0.020, 0.012, 0.055, 208e9)) * 1e6, 1)
    27.5
    """
    radius = (outer_diameter_m + inner_diameter_m) / 4.0
    wall = (outer_diameter_m - _hole(outer_diameter_m, inner_diameter_m)) / 2.0
    return 0.0596 * pin_force_n * radius**3 / (youngs_modulus_pa * pin_length_m * wall**3 / 12.0)


@valid(outer_diameter_m=(0.005, 0.10), inner_diameter_m=(0.001, 0.09), pin_length_m=(0.01, 0.30))
def pin_hoop_stress(
    pin_force_n: Array, outer_diameter_m: Array, inner_diameter_m: Array, pin_length_m: Array
) -> Array:
    """Bending stress of the oval wall, at the bore of the pin in line with the load; a thin ring under a cosine load.

    A wall of half its mean radius bears up to a fifth more at the bore than a thin one.

    Parameters
    ----------
    pin_force_n : array
        Greatest of the cycle. [N]
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the pin. [m] Valid 0.001 to 0.09.
    pin_length_m : array
        Over both bosses. [m] Valid 0.01 to 0.30.

    Returns
    -------
    pin_hoop_stress_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    radius = (outer_diameter_m + inner_diameter_m) / 4
    wall = (outer_diameter_m - inner_diameter_m) / 2
    6 * 0.0870 * pin_force_n * radius / (pin_length_m * wall**2)

    Source
    ------
    own-computation, a thin ring whose length does not change

    Examples
    --------
    >>> round(float(pin_hoop_stress(55e3, 0.020, 0.012, 0.055)) / 1e6)
    261
    """
    radius = (outer_diameter_m + inner_diameter_m) / 4.0
    wall = (outer_diameter_m - _hole(outer_diameter_m, inner_diameter_m)) / 2.0
    return 6.0 * 0.0870 * pin_force_n * radius / (pin_length_m * wall**2)


@valid(yield_strength_pa=(1.0e8, 4.0e9))
def pin_bending_use(bending_stress_pa: Array, yield_strength_pa: Array) -> Array:
    """Bending stress of the pin over what its core yields at.

    Parameters
    ----------
    bending_stress_pa : array
        Greatest of the cycle. [Pa]
    yield_strength_pa : array
        Of the core. [Pa] Valid 1.0e8 to 4.0e9.

    Returns
    -------
    pin_bending_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    bending_stress_pa / yield_strength_pa

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> pin_bending_use(660e6, 880e6)
    0.75
    """
    return bending_stress_pa / yield_strength_pa


@valid(
    bore_m=(0.02, 0.30),
    outer_diameter_m=(0.005, 0.10),
    inner_diameter_m=(0.0, 0.09),
    pin_length_m=(0.01, 0.30),
    small_end_width_m=(0.005, 0.15),
    boss_length_m=(0.003, 0.10),
    yield_strength_pa=(1.0e8, 4.0e9),
    event_pressure_pa=(1.0e6, 1.0e8),
)
def pin_event_use(
    bore_m: Array,
    outer_diameter_m: Array,
    inner_diameter_m: Array,
    pin_length_m: Array,
    small_end_width_m: Array,
    boss_length_m: Array,
    yield_strength_pa: Array,
    event_pressure_pa: Array = KNOCK_EVENT_PRESSURE,
    crankcase_pressure_pa: Array = 1.0e5,
) -> Array:
    """Bending of the pin under one knock event over what its core yields at, the pin simply supported.

    Parameters
    ----------
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    outer_diameter_m : array
        Of the pin. [m] Valid 0.005 to 0.10.
    inner_diameter_m : array
        Of the pin, 0 when solid. [m] Valid 0 to 0.09.
    pin_length_m : array
        Over both bosses. [m] Valid 0.01 to 0.30.
    small_end_width_m : array
        Of the bush. [m] Valid 0.005 to 0.15.
    boss_length_m : array
        Of one boss along the pin. [m] Valid 0.003 to 0.10.
    yield_strength_pa : array
        Of the core. [Pa] Valid 1.0e8 to 4.0e9.
    event_pressure_pa : array
        Cylinder pressure of the event, absolute. [Pa] Valid 1.0e6 to 1.0e8.
    crankcase_pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    pin_event_use : array
        Not a number where bosses and small end are so long that no moment is left. Broadcast of the arguments. [1]

    Equation
    --------
    force = (event_pressure_pa - crankcase_pressure_pa) * pi / 4 * bore_m**2
    moment = force / 8 * (2 * pin_length_m - 2 * boss_length_m - small_end_width_m)
    section = pi * (outer_diameter_m**4 - inner_diameter_m**4) / (32 * outer_diameter_m)
    moment / section / yield_strength_pa

    Source
    ------
    own-computation, a beam on two spread supports; 200 bar of an event is common practice

    Examples
    --------
    >>> round(float(pin_event_use(0.086, 0.020, 0.012, 0.055, 0.021, 0.015, 880e6)), 2)
    1.42
    """
    force = (event_pressure_pa - crankcase_pressure_pa) * (np.pi / 4.0 * bore_m**2)
    stress = pin_bending_stress(
        force, outer_diameter_m, inner_diameter_m, pin_length_m, small_end_width_m, boss_length_m
    )
    return stress / yield_strength_pa
