"""The plug gap that an ignition system still fires as the charge gets denser."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    standard_gap_m=(0.3e-3, 2e-3),
    standard_density_kg_m3=(0.5, 60.0),
    density_kg_m3=(0.5, 100.0),
    coil_reserve=(0.0, 1.0),
)
def plug_gap_limit(
    standard_gap_m: Array, standard_density_kg_m3: Array, density_kg_m3: Array, coil_reserve: Array = 0.0
) -> Array:
    """Gap that asks for the voltage that the standard engine's gap asks for, in denser gas.

    Breakdown voltage depends on the product of density and gap alone, so the gap that fires shrinks as
    density grows.  Densities of the trapped charge at one and the same crank angle do, or those of the
    manifold if the compression ratio is unchanged.  Hot electrodes, turbulence and wear are not in it.

    Parameters
    ----------
    standard_gap_m : array
        That the standard ignition fires in the standard engine at full load. [m] Valid 0.3e-3 to 2e-3.
    standard_density_kg_m3 : array
        Charge of the standard engine. [kg/m^3] Valid 0.5 to 60.
    density_kg_m3 : array
        Charge of the engine asked about, at the same place. [kg/m^3] Valid 0.5 to 100.
    coil_reserve : array
        Voltage beyond what the standard gap takes, as a share of it. [1] Valid 0 to 1.

    Returns
    -------
    plug_gap_limit_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    standard_gap_m * (1 + coil_reserve) * standard_density_kg_m3 / density_kg_m3

    Source
    ------
    paschen-1889, as a law of similarity, voltage taken in proportion for the reserve

    Examples
    --------
    >>> round(float(plug_gap_limit(1.1e-3, 1.18, 1.71)) * 1e3, 2)
    0.76
    """
    return standard_gap_m * (1.0 + coil_reserve) * standard_density_kg_m3 / density_kg_m3


@valid(gap_m=(0.2e-3, 2e-3), gap_limit_m=(0.05e-3, 4e-3))
def plug_gap_use(gap_m: Array, gap_limit_m: Array) -> Array:
    """Gap over the gap that still fires.

    Parameters
    ----------
    gap_m : array
        As set. [m] Valid 0.2e-3 to 2e-3.
    gap_limit_m : array
        That still fires. [m] Valid 0.05e-3 to 4e-3.

    Returns
    -------
    plug_gap_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gap_m / gap_limit_m

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(plug_gap_use(0.7e-3, 0.76e-3), 3)
    0.921
    """
    return gap_m / gap_limit_m
