"""Piston rings: how hot the top ring runs, and the end gaps that it wants."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(gap_m=(0.0, 0.003), bore_m=(0.02, 0.30))
def gap_ratio(gap_m: Array, bore_m: Array) -> Array:
    """End gap over bore, as the trade quotes it.

    Parameters
    ----------
    gap_m : array
        Cold, in its bore. [m] Valid 0 to 0.003.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.

    Returns
    -------
    gap_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gap_m / bore_m

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(gap_ratio(0.00043, 0.086)), 4)
    0.005
    """
    return gap_m / bore_m


@valid(
    bore_m=(0.02, 0.30),
    ring_temperature_k=(250.0, 800.0),
    bore_temperature_k=(250.0, 700.0),
    ring_expansion_per_k=(5.0e-6, 2.5e-5),
    bore_expansion_per_k=(5.0e-6, 2.5e-5),
)
def thermal_closing(
    bore_m: Array,
    ring_temperature_k: Array,
    bore_temperature_k: Array,
    ring_expansion_per_k: Array = 1.2e-5,
    bore_expansion_per_k: Array = 1.1e-5,
    cold_temperature_k: Array = 293.15,
) -> Array:
    """How far an end gap closes when the ring grows more than its bore, at the narrowest moment of a run.

    A cold start is one of its moments, so that a gap never counts as wider than it was cold, though an aluminium bore
    may open it later.

    Parameters
    ----------
    bore_m : array
        Cylinder bore, cold. [m] Valid 0.02 to 0.30.
    ring_temperature_k : array
        Mean of the ring, at full load. [K] Valid 250 to 800.
    bore_temperature_k : array
        Of the bore where the ring turns back. [K] Valid 250 to 700.
    ring_expansion_per_k : array
        Of the ring; 12e-6 of steel and grey iron. [1/K] Valid 5.0e-6 to 2.5e-5.
    bore_expansion_per_k : array
        Of the bore; 11e-6 of iron. [1/K] Valid 5.0e-6 to 2.5e-5.
    cold_temperature_k : array
        At which the gap was measured. [K]

    Returns
    -------
    thermal_closing_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    ring = ring_expansion_per_k * (ring_temperature_k - cold_temperature_k)
    bore = bore_expansion_per_k * (bore_temperature_k - cold_temperature_k)
    pi * bore_m * max(ring - bore, 0)

    Source
    ------
    own-computation, growth of both circumferences; coefficients from memory

    Examples
    --------
    >>> round(float(thermal_closing(0.086, 493.15, 413.15)) * 1000, 3)
    0.292
    """
    ring = ring_expansion_per_k * (ring_temperature_k - cold_temperature_k)
    bore = bore_expansion_per_k * (bore_temperature_k - cold_temperature_k)
    return np.pi * bore_m * np.maximum(ring - bore, 0.0)


@valid(power_per_area_w_m2=(0.0, 4.0e7), ring_rise_k=(0.0, 300.0))
def ring_temperature(
    bore_temperature_k: Array, power_per_area_w_m2: Array, ring_rise_k: Array, at_power_per_area_w_m2: Array = 1.0e7
) -> Array:
    """Mean temperature of the top ring: above its bore in proportion to power over piston area.

    Parameters
    ----------
    bore_temperature_k : array
        Of the bore where the ring turns back. [K]
    power_per_area_w_m2 : array
        Brake power over the area of all bores. [W/m^2] Valid 0.0 to 4.0e7.
    ring_rise_k : array
        Over the bore at the power that follows. [K] Valid 0.0 to 300.0.
    at_power_per_area_w_m2 : array
        Where the rise is known; 10 MW/m^2 is 1.34 hp/cm^2. [W/m^2]

    Returns
    -------
    ring_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    bore_temperature_k + ring_rise_k * power_per_area_w_m2 / at_power_per_area_w_m2

    Source
    ------
    own-computation, rise from memory

    Examples
    --------
    >>> round(float(ring_temperature(423.15, 7.7e6, 80.0) - 273.15), 1)
    211.6
    """
    return bore_temperature_k + ring_rise_k * power_per_area_w_m2 / at_power_per_area_w_m2


@valid(bore_m=(0.02, 0.30), gap_reserve=(0.0, 0.01))
def gap_needed(thermal_closing_m: Array, bore_m: Array, gap_reserve: Array) -> Array:
    """Cold end gap that the top ring wants: what closes, and a reserve for lean, knocking or overheated running.

    Parameters
    ----------
    thermal_closing_m : array
        How far it closes. [m]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    gap_reserve : array
        Left hot, over the bore. [1] Valid 0.0 to 0.01.

    Returns
    -------
    gap_needed_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    thermal_closing_m + gap_reserve * bore_m

    Source
    ------
    own-computation, the trade's factors of the bore less what closes

    Examples
    --------
    >>> round(float(gap_needed(0.00022, 0.086, 0.0020)) * 1000, 3)
    0.392
    """
    return thermal_closing_m + gap_reserve * bore_m


@valid(second_gap_m=(0.0, 0.005), top_gap_m=(1.0e-5, 0.003))
def second_gap_ratio(second_gap_m: Array, top_gap_m: Array) -> Array:
    """End gap of the second ring over that of the top ring, both cold; gas between the rings must get away.

    Parameters
    ----------
    second_gap_m : array
        Of the second ring, in its bore. [m] Valid 0.0 to 0.005.
    top_gap_m : array
        Of the top ring, in its bore. [m] Valid 1.0e-5 to 0.003.

    Returns
    -------
    second_gap_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    second_gap_m / top_gap_m

    Source
    ------
    common-practice, 1.2 to 1.3 in use

    Examples
    --------
    >>> round(float(second_gap_ratio(0.00054, 0.00043)), 2)
    1.26
    """
    return second_gap_m / top_gap_m


@valid(wall_pressure_pa=(1.0e4, 2.0e5), allowed_stress_pa=(1.0e7, 1.0e9), bore_m=(0.02, 0.30))
def radial_thickness(bore_m: Array, wall_pressure_pa: Array, allowed_stress_pa: Array) -> Array:
    """Radial thickness of a ring that presses evenly on its bore.

    Parameters
    ----------
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    wall_pressure_pa : array
        Of the ring on the bore. [Pa] Valid 1.0e4 to 2.0e5.
    allowed_stress_pa : array
        In bending. [Pa] Valid 1.0e7 to 1.0e9.

    Returns
    -------
    radial_thickness_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    bore_m * sqrt(3 * wall_pressure_pa / allowed_stress_pa)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(radial_thickness(0.100, 0.035e6, 90e6)) * 1000, 1)
    3.4
    """
    return bore_m * np.sqrt(3.0 * wall_pressure_pa / allowed_stress_pa)


@valid(gap_m=(1.0e-5, 0.003))
def gap_margin(gap_m: Array, thermal_closing_m: Array) -> Array:
    """Share of the cold gap that is left hot; at nil the ends touch.

    Parameters
    ----------
    gap_m : array
        Cold, in its bore. [m] Valid 1.0e-5 to 0.003.
    thermal_closing_m : array
        How far it closes. [m]

    Returns
    -------
    gap_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (gap_m - thermal_closing_m) / gap_m

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(gap_margin(0.0004, 0.0003)), 6)
    0.25
    """
    return (gap_m - thermal_closing_m) / gap_m
