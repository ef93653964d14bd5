"""How much load an engine is run at in the zone of low-speed pre-ignition, and the least of several torque caps.

Bands of the trade, not a model of the event: it is random, and nothing below a band excludes it.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    speed_rad_s=(0.0, 2000.0),
    lowest_speed_rad_s=(150.0, 240.0),
    middle_speed_rad_s=(245.0, 264.0),
    zone_end_rad_s=(265.0, 360.0),
    open_speed_rad_s=(362.0, 500.0),
    band_at_lowest_pa=(5e5, 4e6),
    band_at_middle_pa=(5e5, 4e6),
    band_at_zone_end_pa=(5e5, 4e6),
    band_at_open_pa=(5e5, 6e6),
)
def band_mean_effective_pressure(
    speed_rad_s: Array,
    lowest_speed_rad_s: Array,
    middle_speed_rad_s: Array,
    zone_end_rad_s: Array,
    open_speed_rad_s: Array,
    band_at_lowest_pa: Array,
    band_at_middle_pa: Array,
    band_at_zone_end_pa: Array,
    band_at_open_pa: Array,
) -> Array:
    """Brake mean effective pressure of the class's band over speed, before injection and oil are looked at.

    Straight lines through four points, level before the first.  Past the end of the zone it only opens towards a load
    that nothing but knock and strength limit, so that a torque cap has no step; it says nothing about that load.

    Parameters
    ----------
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    lowest_speed_rad_s : array
        Up to which the band is lowest. [rad/s] Valid 150 to 240.
    middle_speed_rad_s : array
        Second point. [rad/s] Valid 245 to 264.
    zone_end_rad_s : array
        Last speed of the zone. [rad/s] Valid 265 to 360.
    open_speed_rad_s : array
        Where the band has opened. [rad/s] Valid 362 to 500.
    band_at_lowest_pa : array
        At the first point and below. [Pa] Valid 5e5 to 4e6.
    band_at_middle_pa : array
        At the second point. [Pa] Valid 5e5 to 4e6.
    band_at_zone_end_pa : array
        At the end of the zone. [Pa] Valid 5e5 to 4e6.
    band_at_open_pa : array
        At the last point. [Pa] Valid 5e5 to 6e6.

    Returns
    -------
    band_mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    first = min(1, max(0, (speed_rad_s - lowest_speed_rad_s) / (middle_speed_rad_s - lowest_speed_rad_s)))
    second = min(1, max(0, (speed_rad_s - middle_speed_rad_s) / (zone_end_rad_s - middle_speed_rad_s)))
    third = min(1, max(0, (speed_rad_s - zone_end_rad_s) / (open_speed_rad_s - zone_end_rad_s)))
    lower = band_at_lowest_pa + first * (band_at_middle_pa - band_at_lowest_pa)
    upper = second * (band_at_zone_end_pa - band_at_middle_pa)
    lower + upper + third * (band_at_open_pa - band_at_zone_end_pa)

    Source
    ------
    common-practice, bands from memory

    Examples
    --------
    >>> speeds, bands = (209.44, 261.80, 314.16, 366.52), (14e5, 16e5, 18e5, 26e5)
    >>> round(float(band_mean_effective_pressure(235.62, *speeds, *bands)) / 1e5, 3)
    15.0
    """
    speed = np.asarray(speed_rad_s, dtype=float)
    first = _share(speed, lowest_speed_rad_s, middle_speed_rad_s)
    second = _share(speed, middle_speed_rad_s, zone_end_rad_s)
    third = _share(speed, zone_end_rad_s, open_speed_rad_s)
    lower = band_at_lowest_pa + first * (band_at_middle_pa - np.asarray(band_at_lowest_pa))
    upper = second * (band_at_zone_end_pa - np.asarray(band_at_middle_pa))
    return lower + upper + third * (band_at_open_pa - np.asarray(band_at_zone_end_pa))


def _share(speed: Array, start: Array, end: Array) -> Array:
    """How far from start to end, nil before and one after."""
    return np.clip((speed - start) / (np.asarray(end) - start), 0.0, 1.0)


@valid(
    band_mean_effective_pressure_pa=(2e5, 5e6),
    port_share=(0.0, 1.0),
    oil_without_category=(0.0, 1.0),
    port_relief=(0.0, 1.0),
    oil_penalty=(0.0, 0.5),
)
def allowed_mean_effective_pressure(
    band_mean_effective_pressure_pa: Array,
    port_share: Array,
    oil_without_category: Array,
    port_relief: Array,
    oil_penalty: Array,
) -> Array:
    """Brake mean effective pressure that an engine not built for boost is run at in the zone.

    Parameters
    ----------
    band_mean_effective_pressure_pa : array
        Of the class, for direct injection alone and an oil of a category with a pre-ignition test.
        [Pa] Valid 2e5 to 5e6.
    port_share : array
        Of the fuel that is injected into the ports; nil for direct injection alone. [1] Valid 0 to 1.
    oil_without_category : array
        One for an oil outside such categories, nil for one within; between, how likely it is. [1] Valid 0 to 1.
    port_relief : array
        Of the class: how much more when all fuel goes through the ports. [1] Valid 0 to 1.
    oil_penalty : array
        Of the class: how much less with an oil outside such categories. [1] Valid 0 to 0.5.

    Returns
    -------
    allowed_mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    injection = 1 + port_relief * port_share
    band_mean_effective_pressure_pa * injection * (1 - oil_penalty * oil_without_category)

    Source
    ------
    common-practice; sae-2020-01-1424, that the oil has a part

    Examples
    --------
    >>> round(float(allowed_mean_effective_pressure(14e5, 0.0, 1.0, 0.25, 0.08)) / 1e5, 2)
    12.88
    """
    injection = 1.0 + port_relief * np.asarray(port_share)
    return band_mean_effective_pressure_pa * injection * (1.0 - oil_penalty * np.asarray(oil_without_category))


@valid(standard_mean_effective_pressure_pa=(2e5, 4e6), allowance=(0.8, 1.5))
def allowed_over_standard(standard_mean_effective_pressure_pa: Array, allowance: Array = 1.1) -> Array:
    """Brake mean effective pressure that an engine built for boost by its maker is run at in the zone.

    Parameters
    ----------
    standard_mean_effective_pressure_pa : array
        As the maker runs it, brake, at the same speed. [Pa] Valid 2e5 to 4e6.
    allowance : array
        Over that. [1] Valid 0.8 to 1.5.

    Returns
    -------
    allowed_mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    allowance * standard_mean_effective_pressure_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(allowed_over_standard(20e5)) / 1e5, 1)
    22.0
    """
    return allowance * np.asarray(standard_mean_effective_pressure_pa)


@valid(speed_rad_s=(0.0, 2000.0), zone_end_rad_s=(100.0, 600.0))
def in_preignition_zone(speed_rad_s: Array, zone_end_rad_s: Array) -> Array:
    """Whether a speed lies in the zone, its end included; beyond it no pressure is stated.

    Parameters
    ----------
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    zone_end_rad_s : array
        Last speed of the zone. [rad/s] Valid 100 to 600.

    Returns
    -------
    in_zone : array
        Broadcast of the arguments. [yes-no]

    Equation
    --------
    where(speed_rad_s > zone_end_rad_s, 0, 1)

    Source
    ------
    common-practice

    Examples
    --------
    >>> in_preignition_zone(np.array([200.0, 314.0, 320.0]), 314.0).tolist()
    [True, True, False]
    """
    return np.asarray(speed_rad_s) <= zone_end_rad_s


@valid(
    allowed_mean_effective_pressure_pa=(1e5, 5e6),
    brake_mean_effective_pressure_pa=(5e4, 5e6),
)
def preignition_margin(allowed_mean_effective_pressure_pa: Array, brake_mean_effective_pressure_pa: Array) -> Array:
    """Load that is run in the zone over the load there is; unknown for an engine that gives no load.

    Parameters
    ----------
    allowed_mean_effective_pressure_pa : array
        In the zone. [Pa] Valid 1e5 to 5e6.
    brake_mean_effective_pressure_pa : array
        As predicted. [Pa] Valid 5e4 to 5e6.

    Returns
    -------
    preignition_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    allowed_mean_effective_pressure_pa / brake_mean_effective_pressure_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(preignition_margin(14e5, 17.5e5))
    0.8
    """
    load = np.asarray(brake_mean_effective_pressure_pa, dtype=float)
    return allowed_mean_effective_pressure_pa / np.where(load > 0.0, load, np.nan)


@valid(
    band_mean_effective_pressure_pa=(200000.0, 5000000.0),
    direct_share=(0.0, 1.0),
    oil_without_category=(0.0, 1.0),
    port_relief=(0.0, 1.0),
    oil_penalty=(0.0, 0.5),
    built_for_boost=(0.0, 1.0),
    standard_torque_nm=(0.0, 3000.0),
    displacement_m3=(5e-05, 0.05),
    allowance=(0.8, 1.5),
)
def allowed_for_build(
    band_mean_effective_pressure_pa: Array,
    direct_share: Array,
    oil_without_category: Array,
    port_relief: Array,
    oil_penalty: Array,
    built_for_boost: Array,
    standard_torque_nm: Array,
    displacement_m3: Array,
    allowance: Array,
) -> Array:
    """Brake mean effective pressure that a build is run at in the zone: the class's band, or over what its maker ran.

    Parameters
    ----------
    band_mean_effective_pressure_pa : array
        Of the class at this speed. [Pa] Valid 200000 to 5e+06.
    direct_share : array
        Of the fuel that is injected into the cylinders. [1] Valid 0 to 1.
    oil_without_category : array
        One for an oil outside categories with a pre-ignition test. [1] Valid 0 to 1.
    port_relief : array
        How much more when all fuel goes through the ports. [1] Valid 0 to 1.
    oil_penalty : array
        How much less with an oil outside such categories. [1] Valid 0 to 0.5.
    built_for_boost : array
        One for an engine that its maker boosted. [1] Valid 0 to 1.
    standard_torque_nm : array
        The maker's greatest; nil if not known, and the band stands. [N*m] Valid 0 to 3000.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-05 to 0.05.
    allowance : array
        Over the maker's mean effective pressure. [1] Valid 0.8 to 1.5.

    Returns
    -------
    mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    injection = 1 + port_relief * (1 - direct_share)
    band = band_mean_effective_pressure_pa * injection * (1 - oil_penalty * oil_without_category)
    maker = allowance * 4 * pi * standard_torque_nm / displacement_m3
    where(built_for_boost * standard_torque_nm > 0, maker, band)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(allowed_for_build(14e5, 1.0, 0.0, 0.25, 0.08, False, 0.0, 2e-3, 1.1)) / 1e5, 1)
    14.0
    >>> round(float(allowed_for_build(14e5, 1.0, 0.0, 0.25, 0.08, True, 320.0, 2e-3, 1.1)) / 1e5, 1)
    22.1
    """
    band = allowed_mean_effective_pressure(
        band_mean_effective_pressure_pa, 1.0 - np.asarray(direct_share), oil_without_category, port_relief, oil_penalty
    )
    maker = allowed_over_standard(4.0 * np.pi * np.asarray(standard_torque_nm) / displacement_m3, allowance)
    return np.where(np.asarray(built_for_boost, dtype=bool) & (np.asarray(standard_torque_nm) > 0.0), maker, band)


@valid(
    allowed_mean_effective_pressure_pa=(100000.0, 5000000.0),
    brake_mean_effective_pressure_pa=(-1000000.0, 6000000.0),
    speed_rad_s=(0.0, 2000.0),
    zone_end_rad_s=(100.0, 600.0),
)
def zone_margin(
    allowed_mean_effective_pressure_pa: Array,
    brake_mean_effective_pressure_pa: Array,
    speed_rad_s: Array,
    zone_end_rad_s: Array,
) -> Array:
    """Allowed over actual load in the zone of low-speed pre-ignition; beyond its end it means nothing.

    Parameters
    ----------
    allowed_mean_effective_pressure_pa : array
        In the zone. [Pa] Valid 100000 to 5e+06.
    brake_mean_effective_pressure_pa : array
        As predicted. [Pa] Valid -1e+06 to 6e+06.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    zone_end_rad_s : array
        Last speed of the zone. [rad/s] Valid 100 to 600.

    Returns
    -------
    margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    Solved: preignition_margin where in_preignition_zone, not a number elsewhere

    Source
    ------
    common-practice

    Examples
    --------
    >>> [round(float(zone_margin(14e5, 17.5e5, s, 314.0)), 2) for s in (210.0, 400.0)]
    [0.8, nan]
    """
    margin = preignition_margin(allowed_mean_effective_pressure_pa, brake_mean_effective_pressure_pa)
    return np.where(in_preignition_zone(speed_rad_s, zone_end_rad_s), margin, np.nan)
