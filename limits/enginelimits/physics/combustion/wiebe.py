"""Mass fraction burned as Wiebe's function of the crank angle."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(share_of_duration=(-100.0, 100.0), wiebe_a=(0.7, 12.0), wiebe_form=(0.5, 5.0))
def burned_fraction(share_of_duration: Array, wiebe_a: Array, wiebe_form: Array) -> Array:
    """Mass fraction burned; nothing before the start, and a smooth tail beyond the nominal end.

    Parameters
    ----------
    share_of_duration : array
        Crank angle since the start of combustion over the nominal duration. [1] Valid -100 to 100.
    wiebe_a : array
        Efficiency exponent. [1] Valid 0.7 to 12.
    wiebe_form : array
        Form exponent. [1] Valid 0.5 to 5.

    Returns
    -------
    burned_fraction : array
        Broadcast of the arguments. [1]

    Equation
    --------
    1 - exp(-wiebe_a * max(share_of_duration, 0)**(wiebe_form + 1))

    Source
    ------
    heywood-1988, eq. 9.30

    Examples
    --------
    >>> round(float(burned_fraction(1.0, 5.0, 2.0)), 5)
    0.99326
    """
    y = np.maximum(share_of_duration, 0.0)
    return -np.expm1(-wiebe_a * y ** (np.asarray(wiebe_form) + 1.0))


@valid(share_of_duration=(-100.0, 100.0), wiebe_a=(0.7, 12.0), wiebe_form=(0.5, 5.0))
def burn_rate(share_of_duration: Array, wiebe_a: Array, wiebe_form: Array) -> Array:
    """Rise of the mass fraction burned per nominal duration.

    Parameters
    ----------
    share_of_duration : array
        Crank angle since the start of combustion over the nominal duration. [1] Valid -100 to 100.
    wiebe_a : array
        Efficiency exponent. [1] Valid 0.7 to 12.
    wiebe_form : array
        Form exponent. [1] Valid 0.5 to 5.

    Returns
    -------
    burn_rate : array
        Broadcast of the arguments; divide by the duration for a rate per angle. [1]

    Equation
    --------
    y = max(share_of_duration, 0)
    wiebe_a * (wiebe_form + 1) * y**wiebe_form * exp(-wiebe_a * y**(wiebe_form + 1))

    Source
    ------
    heywood-1988, eq. 9.30, derivative

    Examples
    --------
    >>> bool(burn_rate(0.51, 5.0, 2.0) > burn_rate(0.6, 5.0, 2.0))
    True
    """
    y = np.maximum(share_of_duration, 0.0)
    # the commonest exponent without the general power
    rising = y * y if np.ndim(wiebe_form) == 0 and wiebe_form == 2.0 else y**wiebe_form
    return wiebe_a * (wiebe_form + 1.0) * rising * np.exp(-wiebe_a * rising * y)


@valid(burned=(0.0, 0.9999), wiebe_a=(0.7, 12.0), wiebe_form=(0.5, 5.0))
def share_at_burned(burned: Array, wiebe_a: Array, wiebe_form: Array) -> Array:
    """Share of the nominal duration at which a given mass fraction is burned.

    Parameters
    ----------
    burned : array
        Mass fraction burned. [1] Valid 0 to 0.9999.
    wiebe_a : array
        Efficiency exponent. [1] Valid 0.7 to 12.
    wiebe_form : array
        Form exponent. [1] Valid 0.5 to 5.

    Returns
    -------
    share_of_duration : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (-log(1 - burned) / wiebe_a)**(1 / (wiebe_form + 1))

    Source
    ------
    heywood-1988, eq. 9.30, inverse

    Examples
    --------
    >>> round(float(share_at_burned(0.5, 5.0, 2.0)), 5)
    0.51755
    """
    return (-np.log1p(-np.asarray(burned)) / wiebe_a) ** (1.0 / (np.asarray(wiebe_form) + 1.0))


@valid(
    half_burned_angle_rad=(-0.8, 1.6),
    burn_duration_rad=(0.2, 2.5),
    wiebe_a=(0.7, 12.0),
    wiebe_form=(0.5, 5.0),
)
def start_of_combustion(
    half_burned_angle_rad: Array, burn_duration_rad: Array, wiebe_a: Array, wiebe_form: Array
) -> Array:
    """Crank angle at which Wiebe's function leaves zero.

    Parameters
    ----------
    half_burned_angle_rad : array
        Half the mass burned, after top dead centre. [rad] Valid -0.8 to 1.6.
    burn_duration_rad : array
        Nominal duration. [rad] Valid 0.2 to 2.5.
    wiebe_a : array
        Efficiency exponent. [1] Valid 0.7 to 12.
    wiebe_form : array
        Form exponent. [1] Valid 0.5 to 5.

    Returns
    -------
    start_rad : array
        After top dead centre. [rad]

    Equation
    --------
    half_burned_angle_rad - burn_duration_rad * (log(2) / wiebe_a)**(1 / (wiebe_form + 1))

    Source
    ------
    heywood-1988, eq. 9.30, inverse at one half

    Examples
    --------
    >>> round(float(start_of_combustion(0.19, 0.873, 5.0, 2.0)), 3)
    -0.262
    """
    return half_burned_angle_rad - burn_duration_rad * share_at_burned(0.5, wiebe_a, wiebe_form)
