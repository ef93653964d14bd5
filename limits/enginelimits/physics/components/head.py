"""The joint between head and block."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.rod import KNOCK_EVENT_PRESSURE
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    stress_area_m2=(1.0e-6, 2.0e-3),
    youngs_modulus_pa=(5.0e10, 3.0e11),
    joint_share=(0.0, 0.99),
    member_expansion_per_k=(5e-6, 3e-5),
    bolt_expansion_per_k=(5e-6, 3e-5),
    temperature_rise_k=(-80.0, 200.0),
    expanding_share=(0.0, 1.0),
)
def thermal_preload_change(
    stress_area_m2: Array,
    youngs_modulus_pa: Array,
    joint_share: Array,
    member_expansion_per_k: Array,
    bolt_expansion_per_k: Array,
    temperature_rise_k: Array,
    expanding_share: Array = 1.0,
) -> Array:
    """What a fastener's clamp gains as a head that expands more than it gets warm, all elastic.

    Parameters
    ----------
    stress_area_m2 : array
        Of the fastener, taken for its whole length. [m^2] Valid 1.0e-6 to 2.0e-3.
    youngs_modulus_pa : array
        Of the fastener. [Pa] Valid 5.0e10 to 3.0e11.
    joint_share : array
        Bolt stiffness over that of bolt and members. [1] Valid 0 to 0.99.
    member_expansion_per_k : array
        Of head and block. [1/K] Valid 5e-6 to 3e-5.
    bolt_expansion_per_k : array
        Of the fastener. [1/K] Valid 5e-6 to 3e-5.
    temperature_rise_k : array
        Of both over the workshop. [K] Valid -80 to 200.
    expanding_share : array
        Part of the grip that is of the metal that expands more. [1] Valid 0 to 1.

    Returns
    -------
    gain_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    strain = (member_expansion_per_k - bolt_expansion_per_k) * temperature_rise_k * expanding_share
    youngs_modulus_pa * stress_area_m2 * (1 - joint_share) * strain

    Source
    ------
    vdi-2230, section 5.4.2

    Examples
    --------
    >>> round(float(thermal_preload_change(58e-6, 207e9, 0.2, 22e-6, 11.5e-6, 70.0)))
    7060
    """
    strain = (member_expansion_per_k - bolt_expansion_per_k) * temperature_rise_k * expanding_share
    return youngs_modulus_pa * stress_area_m2 * (1.0 - joint_share) * strain


@valid(stress_area_m2=(1.0e-6, 2.0e-3), yield_strength_pa=(1.0e8, 2.5e9))
def warm_preload(cold_preload_n: Array, gain_n: Array, stress_area_m2: Array, yield_strength_pa: Array) -> Array:
    """Clamp of a fastener at running temperature; beyond its yield it gives way and gains no more.

    Parameters
    ----------
    cold_preload_n : array
        After settling. [N]
    gain_n : array
        Of the warm joint while elastic. [N]
    stress_area_m2 : array
        Of the fastener. [m^2] Valid 1.0e-6 to 2.0e-3.
    yield_strength_pa : array
        Of the fastener. [Pa] Valid 1.0e8 to 2.5e9.

    Returns
    -------
    preload_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    max(min(cold_preload_n + gain_n, yield_strength_pa * stress_area_m2), min(cold_preload_n, cold_preload_n + gain_n))

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(warm_preload(44e3, 7e3, 58e-6, 940e6))), round(float(warm_preload(52e3, 7e3, 58e-6, 940e6)))
    (51000, 54520)
    """
    warm = cold_preload_n + gain_n
    # a clamp that is stated beyond the yield of its class is believed, but does not rise further
    return np.maximum(np.minimum(warm, yield_strength_pa * stress_area_m2), np.minimum(cold_preload_n, warm))


@valid(gasket_need=(0.5, 3.0))
def seal_ratio(clamp_ratio: Array, gasket_need: Array) -> Array:
    """The clamp ratio set against what the kind of gasket needs, where a multi-layer steel gasket needs 1.

    Parameters
    ----------
    clamp_ratio : array
        Clamp over gas force. [1]
    gasket_need : array
        Clamp that this kind wants over that of multi-layer steel. [1] Valid 0.5 to 3.

    Returns
    -------
    seal_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    clamp_ratio / gasket_need

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(seal_ratio(2.4, 1.2))
    2.0
    """
    return clamp_ratio / gasket_need


@valid(fasteners=(2.0, 100.0), cylinders=(1.0, 16.0), bore_m=(0.02, 0.30), peak_pressure_pa=(2.0e5, 1.0e8))
def clamp_ratio(
    preload_n: Array,
    fasteners: Array,
    cylinders: Array,
    bore_m: Array,
    peak_pressure_pa: Array,
    site_pressure_pa: Array,
) -> Array:
    """Clamp of all head fasteners over the gas force on all bores at once.

    Parameters
    ----------
    preload_n : array
        Of one fastener, what is left of it after settling. [N]
    fasteners : array
        Of the whole engine. [1] Valid 2 to 100.
    cylinders : array
        Of the whole engine. [1] Valid 1 to 16.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    peak_pressure_pa : array
        Of the mean cycle, absolute. [Pa] Valid 2.0e5 to 1.0e8.
    site_pressure_pa : array
        Barometer. [Pa]

    Returns
    -------
    clamp_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gas = (peak_pressure_pa - site_pressure_pa) * pi / 4 * bore_m**2
    preload_n * fasteners / (cylinders * gas)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(clamp_ratio(36100.0, 16, 4, 0.086, 81e5, 1e5)), 2)
    3.11
    """
    gas = (peak_pressure_pa - site_pressure_pa) * (np.pi / 4.0 * bore_m**2)
    return preload_n * fasteners / (cylinders * gas)


@valid(fasteners=(2.0, 100.0), cylinders=(1.0, 16.0), bore_m=(0.02, 0.30), event_pressure_pa=(1.0e6, 1.0e8))
def event_clamp_ratio(
    preload_n: Array,
    fasteners: Array,
    cylinders: Array,
    bore_m: Array,
    event_pressure_pa: Array = KNOCK_EVENT_PRESSURE,
    site_pressure_pa: Array = 1.0e5,
) -> Array:
    """The clamp ratio under one knock event; shown, not graded.

    Parameters
    ----------
    preload_n : array
        Of one fastener, what is left of it after settling. [N]
    fasteners : array
        Of the whole engine. [1] Valid 2 to 100.
    cylinders : array
        Of the whole engine. [1] Valid 1 to 16.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    event_pressure_pa : array
        Cylinder pressure of the event, absolute. [Pa] Valid 1.0e6 to 1.0e8.
    site_pressure_pa : array
        Barometer. [Pa]

    Returns
    -------
    event_clamp_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    gas = (event_pressure_pa - site_pressure_pa) * pi / 4 * bore_m**2
    preload_n * fasteners / (cylinders * gas)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(event_clamp_ratio(45000.0, 12, 4, 0.086)), 2)
    1.17
    """
    return clamp_ratio(preload_n, fasteners, cylinders, bore_m, event_pressure_pa, site_pressure_pa)
