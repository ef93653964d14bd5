"""The piston pin: bearing pressure at its ends and middle, and bending between them."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


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
    """Greatest bending stress of a round tube.

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
    section = np.pi * (outer_diameter_m**4 - inner_diameter_m**4) / (32.0 * outer_diameter_m)
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
        Broadcast of the arguments. [Pa]

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
    moment = pin_force_n / 8.0 * (2.0 * pin_length_m - 2.0 * boss_length_m - small_end_width_m)
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
