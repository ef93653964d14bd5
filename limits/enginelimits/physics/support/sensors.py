"""How far into the range of its sensor a reading goes."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


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
