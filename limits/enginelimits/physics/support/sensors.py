"""How far into the range of its sensor a reading goes."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

GAUGE_RATIO = 14.7  # what a lambda gauge multiplies by, whatever the fuel; common practice


@valid(manifold_pressure_pa=(10e3, 600e3), range_pa=(50e3, 1e6))
def manifold_pressure_use(manifold_pressure_pa: Array, range_pa: Array) -> Array:
    """Manifold pressure over the greatest that its sensor reads, both absolute.

    Parameters
    ----------
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 10e3 to 600e3.
    range_pa : array
        Full scale, absolute. [Pa] Valid 50e3 to 1e6.

    Returns
    -------
    manifold_pressure_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    manifold_pressure_pa / range_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> manifold_pressure_use(225e3, 250e3)
    0.9
    """
    return manifold_pressure_pa / range_pa


@valid(mass_flow_kg_s=(0.0, 3.0), range_kg_s=(0.01, 3.0))
def air_meter_use(mass_flow_kg_s: Array, range_kg_s: Array) -> Array:
    """Air flow over the greatest that the meter reads.

    Parameters
    ----------
    mass_flow_kg_s : array
        Through the meter. [kg/s] Valid 0 to 3.
    range_kg_s : array
        Full scale. [kg/s] Valid 0.01 to 3.

    Returns
    -------
    air_meter_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    mass_flow_kg_s / range_kg_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> air_meter_use(0.225, 0.250)
    0.9
    """
    return mass_flow_kg_s / range_kg_s


@valid(lambda_target=(0.5, 1.6))
def displayed_air_fuel_ratio(lambda_target: Array) -> Array:
    """What a gauge on the gasoline scale shows: lambda times 14.7, whatever is burnt.

    A sensor measures lambda; the ratio is made of it with the figure of gasoline.

    Parameters
    ----------
    lambda_target : array
        Of the mixture. [1] Valid 0.5 to 1.6.

    Returns
    -------
    displayed : array
        Broadcast of the arguments. [1]

    Equation
    --------
    14.7 * lambda_target

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(displayed_air_fuel_ratio(0.78), 1)
    11.5
    """
    return GAUGE_RATIO * lambda_target


@valid(displayed=(7.0, 24.0), air_fuel_ratio=(3.0, 24.0))
def display_beyond_fuel(displayed: Array, air_fuel_ratio: Array) -> Array:
    """How far a gauge on the gasoline scale shows beyond the air that the fuel really gets.

    Parameters
    ----------
    displayed : array
        On the gasoline scale. [1] Valid 7 to 24.
    air_fuel_ratio : array
        Air over fuel by mass, of what is burnt. [1] Valid 3 to 24.

    Returns
    -------
    beyond : array
        Share of the true ratio, broadcast of the arguments. [1]

    Equation
    --------
    displayed / air_fuel_ratio - 1

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(display_beyond_fuel(11.5, 7.64), 3)
    0.505
    """
    return displayed / air_fuel_ratio - 1.0
