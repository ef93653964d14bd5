"""Specific load of plain bearings."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(diameter_m=(0.01, 0.20), width_m=(0.003, 0.20))
def specific_load(bearing_force_n: Array, diameter_m: Array, width_m: Array) -> Array:
    """Load of a plain bearing over its projected area.

    Parameters
    ----------
    bearing_force_n : array
        Greatest of the cycle. [N]
    diameter_m : array
        Of the journal. [m] Valid 0.01 to 0.20.
    width_m : array
        That bears. [m] Valid 0.003 to 0.20.

    Returns
    -------
    specific_load_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    bearing_force_n / (diameter_m * width_m)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(specific_load(20000.0, 0.048, 0.018)) / 1e6, 1)
    23.1
    """
    return bearing_force_n / (diameter_m * width_m)


@valid(rating_pa=(2e6, 3e8), loss_per_k=(0.0, 0.015), film_temperature_k=(313.15, 453.15))
def lining_strength(rating_pa: Array, loss_per_k: Array, film_temperature_k: Array) -> Array:
    """Peak load per projected area that a lining stands for long, at the temperature of its film.

    Parameters
    ----------
    rating_pa : array
        At 120 degC. [Pa] Valid 2e6 to 3e8.
    loss_per_k : array
        Share of the rating that a kelvin takes. [1/K] Valid 0 to 0.015.
    film_temperature_k : array
        Of the oil between journal and shell. [K] Valid 313.15 to 453.15.

    Returns
    -------
    lining_strength_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    rating_pa * (1 - loss_per_k * (film_temperature_k - 393.15))

    Source
    ------
    memory, that linings lose fatigue strength with heat, babbitt most; the straight line is this project's

    Examples
    --------
    >>> round(float(lining_strength(48e6, 0.002, 413.15)) / 1e6, 2)
    46.08
    """
    return rating_pa * (1.0 - loss_per_k * (film_temperature_k - 393.15))


def lining_use(specific_load_pa: Array, lining_strength_pa: Array) -> Array:
    """Greatest load of a lining over what it stands for long.

    Parameters
    ----------
    specific_load_pa : array
        Greatest of the cycle, over the projected area. [Pa]
    lining_strength_pa : array
        Hot, for long. [Pa]

    Returns
    -------
    lining_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    specific_load_pa / lining_strength_pa

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> float(lining_use(60e6, 48e6))
    1.25
    """
    return specific_load_pa / lining_strength_pa
