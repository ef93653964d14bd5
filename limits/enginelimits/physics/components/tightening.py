"""How a bolt gets its clamp, by torque, by angle or by stretch, and what is left of it afterwards."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(bolt_stiffness_n_m=(1.0e6, 5.0e9))
def preload_from_stretch(stretch_m: Array, bolt_stiffness_n_m: Array) -> Array:
    """Clamp of a bolt that has been made longer within its elastic range.

    Parameters
    ----------
    stretch_m : array
        Length tightened less length free, between the ends. [m]
    bolt_stiffness_n_m : array
        Of the bolt over its whole elastic length. [N/m] Valid 1.0e6 to 5.0e9.

    Returns
    -------
    preload_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    bolt_stiffness_n_m * stretch_m

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(preload_from_stretch(0.15e-3, 240e6)))
    36000
    """
    return bolt_stiffness_n_m * stretch_m


@valid(preload_n=(0.0, 5.0e5), bolt_stiffness_n_m=(1.0e6, 5.0e9))
def bolt_stretch(preload_n: Array, bolt_stiffness_n_m: Array) -> Array:
    """How much longer a bolt is tightened than free; the figure of a build sheet.

    It holds while the bolt is elastic: one tightened into its yield is longer than this.

    Parameters
    ----------
    preload_n : array
        Clamp of the bolt. [N] Valid 0 to 5.0e5.
    bolt_stiffness_n_m : array
        Of the bolt over its whole elastic length. [N/m] Valid 1.0e6 to 5.0e9.

    Returns
    -------
    stretch_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    preload_n / bolt_stiffness_n_m

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(bolt_stretch(36e3, 240e6)) * 1e3, 6)
    0.15
    """
    return preload_n / bolt_stiffness_n_m


@valid(pitch_m=(0.0003, 0.006), bolt_stiffness_n_m=(1.0e6, 5.0e9), member_stiffness_n_m=(1.0e6, 5.0e10))
def preload_from_angle(
    snug_preload_n: Array, angle_rad: Array, pitch_m: Array, bolt_stiffness_n_m: Array, member_stiffness_n_m: Array
) -> Array:
    """Clamp after a turn beyond snug: the thread's advance stretches the bolt and presses the members.

    Parameters
    ----------
    snug_preload_n : array
        Clamp from which the angle is counted. [N]
    angle_rad : array
        Turn beyond it, elastic. [rad]
    pitch_m : array
        Of the thread. [m] Valid 0.0003 to 0.006.
    bolt_stiffness_n_m : array
        Of the bolt over its whole elastic length. [N/m] Valid 1.0e6 to 5.0e9.
    member_stiffness_n_m : array
        Of what it clamps. [N/m] Valid 1.0e6 to 5.0e10.

    Returns
    -------
    preload_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    both = bolt_stiffness_n_m * member_stiffness_n_m / (bolt_stiffness_n_m + member_stiffness_n_m)
    snug_preload_n + pitch_m * angle_rad / (2 * pi) * both

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(preload_from_angle(5e3, np.pi / 2, 1e-3, 200e6, 800e6)))
    45000
    """
    # the quotient first: a product of two whole numbers may not fit
    both = bolt_stiffness_n_m * (member_stiffness_n_m / (bolt_stiffness_n_m + member_stiffness_n_m))
    return snug_preload_n + pitch_m * angle_rad / (2.0 * np.pi) * both


@valid(pitch_m=(0.0003, 0.006), bolt_stiffness_n_m=(1.0e6, 5.0e9), member_stiffness_n_m=(1.0e6, 5.0e10))
def tightening_angle(
    preload_n: Array, pitch_m: Array, bolt_stiffness_n_m: Array, member_stiffness_n_m: Array
) -> Array:
    """Turn from first contact to a clamp, all elastic; a snug torque takes the first part of it.

    Parameters
    ----------
    preload_n : array
        Clamp of the bolt. [N]
    pitch_m : array
        Of the thread. [m] Valid 0.0003 to 0.006.
    bolt_stiffness_n_m : array
        Of the bolt over its whole elastic length. [N/m] Valid 1.0e6 to 5.0e9.
    member_stiffness_n_m : array
        Of what it clamps. [N/m] Valid 1.0e6 to 5.0e10.

    Returns
    -------
    angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    2 * pi * preload_n * (1 / bolt_stiffness_n_m + 1 / member_stiffness_n_m) / pitch_m

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(np.degrees(tightening_angle(40e3, 1e-3, 200e6, 800e6))), 6)
    90.0
    """
    return 2.0 * np.pi * preload_n * (1.0 / bolt_stiffness_n_m + 1.0 / member_stiffness_n_m) / pitch_m


@valid(tightening_factor=(1.0, 6.0))
def scatter_of_tightening(tightening_factor: Array) -> Array:
    """Scatter about the middle of a way of tightening, from its greatest over its least preload.

    Parameters
    ----------
    tightening_factor : array
        Greatest over least preload of that way. [1] Valid 1 to 6.

    Returns
    -------
    preload_scatter : array
        To either side, as a share of the middle. [1]

    Equation
    --------
    (tightening_factor - 1) / (tightening_factor + 1)

    Source
    ------
    vdi-2230, table A8

    Examples
    --------
    >>> round(float(scatter_of_tightening(1.6)), 3)
    0.231
    """
    return (tightening_factor - 1.0) / (tightening_factor + 1.0)


@valid(preload_factor=(0.3, 2.0), settling=(0.0, 0.5), reuse_loss=(0.0, 0.5), reused=(0.0, 1.0))
def preload_left(
    aimed_preload_n: Array, preload_factor: Array, settling: Array = 0.0, reuse_loss: Array = 0.0, reused: Array = 0.0
) -> Array:
    """Clamp of one bolt after tightening scattered, surfaces settled, and a used bolt gave less.

    Parameters
    ----------
    aimed_preload_n : array
        What the tightening was meant to give. [N]
    preload_factor : array
        What it gave over what it was meant to give. [1] Valid 0.3 to 2.
    settling : array
        Share lost as surfaces and gasket settle. [1] Valid 0 to 0.5.
    reuse_loss : array
        Share that a bolt used before gives less. [1] Valid 0 to 0.5.
    reused : array
        1 where the bolt was used before, else 0. [1] Valid 0 to 1.

    Returns
    -------
    preload_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    aimed_preload_n * preload_factor * (1 - settling) * (1 - reuse_loss * reused)

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(preload_left(40e3, 1.0, 0.05, 0.10, True)))
    34200
    """
    return aimed_preload_n * preload_factor * (1.0 - settling) * (1.0 - reuse_loss * reused)
