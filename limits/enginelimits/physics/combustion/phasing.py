"""When the charge burns: how far knock pushes combustion back, and how much heat comes of it."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    boost_pa=(-5e4, 3e5),
    compression_ratio=(7.0, 15.0),
    octane_at_reference=(60.0, 120.0),
    reference_compression_ratio=(7.0, 15.0),
    octane_per_compression=(0.0, 15.0),
    octane_per_boost_per_pa=(0.0, 1e-3),
)
def octane_wanted(
    boost_pa: Array,
    compression_ratio: Array,
    octane_at_reference: Array,
    reference_compression_ratio: Array,
    octane_per_compression: Array,
    octane_per_boost_per_pa: Array,
) -> Array:
    """Octane number at which an engine of the class just runs without knock at best-torque timing.

    Parameters
    ----------
    boost_pa : array
        Manifold pressure over the barometer. [Pa] Valid -5e4 to 3e5.
    compression_ratio : array
        Geometric. [1] Valid 7 to 15.
    octane_at_reference : array
        Wanted at the reference compression ratio and no boost. [1] Valid 60 to 120.
    reference_compression_ratio : array
        Of the class. [1] Valid 7 to 15.
    octane_per_compression : array
        More for each unit of compression ratio. [1] Valid 0 to 15.
    octane_per_boost_per_pa : array
        More for each pascal of boost. [1/Pa] Valid 0 to 1e-3.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    compression = octane_per_compression * (compression_ratio - reference_compression_ratio)
    octane_at_reference + compression + octane_per_boost_per_pa * boost_pa

    Source
    ------
    common-practice, linear about a class

    Examples
    --------
    >>> float(octane_wanted(50e3, 10.0, 95.0, 9.0, 4.0, 2e-4))
    109.0
    """
    compression = octane_per_compression * (compression_ratio - reference_compression_ratio)
    return octane_at_reference + compression + octane_per_boost_per_pa * boost_pa


@valid(
    octane_short=(-60.0, 60.0),
    half_burned_best_rad=(-0.1, 0.4),
    retard_per_octane_rad=(0.0, 0.1),
    rounding_octane=(0.0, 5.0),
)
def half_burned_angle_wanted(
    octane_short: Array,
    half_burned_best_rad: Array,
    retard_per_octane_rad: Array,
    rounding_octane: Array = 0.0,
) -> Array:
    """Half-burned angle at which the fuel would no longer knock, with no limit to how late.

    Parameters
    ----------
    octane_short : array
        Octane wanted at best torque less the octane there is. [1] Valid -60 to 60.
    half_burned_best_rad : array
        Half-burned angle of best torque, after top dead centre. [rad] Valid -0.1 to 0.4.
    retard_per_octane_rad : array
        Later for each octane number that is short. [rad] Valid 0 to 0.1.
    rounding_octane : array
        Width over which the bend at the knock limit is rounded; 0 for a sharp one. [1] Valid 0 to 5.

    Returns
    -------
    half_burned_angle_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    short = (octane_short + sqrt(octane_short**2 + rounding_octane**2)) / 2
    half_burned_best_rad + retard_per_octane_rad * short

    Source
    ------
    common-practice, linear about a class

    Examples
    --------
    >>> round(float(half_burned_angle_wanted(10.0, 0.14, 0.02)), 3)
    0.34
    """
    short = 0.5 * (octane_short + np.hypot(octane_short, rounding_octane))
    return half_burned_best_rad + retard_per_octane_rad * short


@valid(
    octane=(60.0, 130.0),
    boost_pa=(-5e4, 3e5),
    compression_ratio=(7.0, 15.0),
    half_burned_best_rad=(-0.1, 0.4),
    octane_at_reference=(60.0, 120.0),
    reference_compression_ratio=(7.0, 15.0),
    octane_per_compression=(0.0, 15.0),
    octane_per_boost_per_pa=(0.0, 1e-3),
    retard_per_octane_rad=(0.0, 0.1),
    half_burned_latest_rad=(0.1, 1.0),
)
def half_burned_angle(
    octane: Array,
    boost_pa: Array,
    compression_ratio: Array,
    half_burned_best_rad: Array,
    octane_at_reference: Array,
    reference_compression_ratio: Array,
    octane_per_compression: Array,
    octane_per_boost_per_pa: Array,
    retard_per_octane_rad: Array,
    half_burned_latest_rad: Array,
) -> Array:
    """Half-burned angle at which an engine of the class is run: best torque, or as late as knock asks.

    No later than the class's latest: an engine that would need more still knocks there, and
    half_burned_angle_wanted says by how much it falls short.

    Parameters
    ----------
    octane : array
        Research octane number of the fuel. [1] Valid 60 to 130.
    boost_pa : array
        Manifold pressure over the barometer. [Pa] Valid -5e4 to 3e5.
    compression_ratio : array
        Geometric. [1] Valid 7 to 15.
    half_burned_best_rad : array
        Half-burned angle of best torque, after top dead centre. [rad] Valid -0.1 to 0.4.
    octane_at_reference : array
        Wanted at the reference compression ratio and no boost. [1] Valid 60 to 120.
    reference_compression_ratio : array
        Of the class. [1] Valid 7 to 15.
    octane_per_compression : array
        More for each unit of compression ratio. [1] Valid 0 to 15.
    octane_per_boost_per_pa : array
        More for each pascal of boost. [1/Pa] Valid 0 to 1e-3.
    retard_per_octane_rad : array
        Later for each octane number that is short. [rad] Valid 0 to 0.1.
    half_burned_latest_rad : array
        As late as the class is run. [rad] Valid 0.1 to 1.0.

    Returns
    -------
    half_burned_angle_rad : array
        After top dead centre. [rad]

    Equation
    --------
    compression = octane_per_compression * (compression_ratio - reference_compression_ratio)
    wanted = octane_at_reference + compression + octane_per_boost_per_pa * boost_pa
    angle = half_burned_best_rad + retard_per_octane_rad * max(wanted - octane, 0)
    min(angle, max(half_burned_latest_rad, half_burned_best_rad))

    Source
    ------
    common-practice, linear about a class

    Examples
    --------
    >>> round(float(half_burned_angle(98.0, 50e3, 9.0, 0.14, 95.0, 9.0, 4.0, 2e-4, 0.02, 0.55)), 3)
    0.28
    """
    wanted = octane_wanted(
        boost_pa,
        compression_ratio,
        octane_at_reference,
        reference_compression_ratio,
        octane_per_compression,
        octane_per_boost_per_pa,
    )
    angle = half_burned_angle_wanted(wanted - octane, half_burned_best_rad, retard_per_octane_rad)
    return np.minimum(angle, np.maximum(half_burned_latest_rad, half_burned_best_rad))


@valid(half_burned_angle_rad=(-0.8, 1.6), half_burned_best_rad=(-0.1, 0.4))
def spark_retard(half_burned_angle_rad: Array, half_burned_best_rad: Array) -> Array:
    """How much later than at best torque the charge burns, taken as how much later the spark is.

    Parameters
    ----------
    half_burned_angle_rad : array
        Half-burned angle at which the engine runs, after top dead centre. [rad] Valid -0.8 to 1.6.
    half_burned_best_rad : array
        Half-burned angle of best torque. [rad] Valid -0.1 to 0.4.

    Returns
    -------
    retard_rad : array
        Broadcast of the arguments. [rad]

    Equation
    --------
    half_burned_angle_rad - half_burned_best_rad

    Source
    ------
    common-practice, a degree of spark moves the half-burned angle by about a degree

    Examples
    --------
    >>> round(float(spark_retard(0.30, 0.14)), 2)
    0.16
    """
    return np.asarray(half_burned_angle_rad) - half_burned_best_rad


@valid(
    fuel_mass_kg=(0.0, 1e-3),
    heating_value_j_kg=(18e6, 46e6),
    lambda_ratio=(0.6, 1.5),
    combustion_efficiency=(0.8, 1.0),
)
def released_heat(
    fuel_mass_kg: Array, heating_value_j_kg: Array, lambda_ratio: Array, combustion_efficiency: Array
) -> Array:
    """Heat that combustion gives to the single zone, a cylinder and cycle.

    Where air is short the heat is taken as limited by oxygen. In truth it is less (see chemical_heat_share),
    but the products have more moles and dissociate less, and with the linear ratio of specific heats of the
    single zone this rule comes out near two-zone equilibrium cycles; neither is to be changed alone.

    Parameters
    ----------
    fuel_mass_kg : array
        Fuel in the cylinder. [kg] Valid 0 to 1e-3.
    heating_value_j_kg : array
        Lower heating value. [J/kg] Valid 18e6 to 46e6.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    combustion_efficiency : array
        Share of the fuel that finds its air. [1] Valid 0.8 to 1.

    Returns
    -------
    heat_j : array
        Broadcast of the arguments. [J]

    Equation
    --------
    fuel_mass_kg * heating_value_j_kg * combustion_efficiency * min(1, lambda_ratio)

    Source
    ------
    own-computation, single-zone cycles set against two-zone equilibrium cycles

    Examples
    --------
    >>> round(float(released_heat(5e-5, 43e6, 0.85, 0.98)), 1)
    1791.0
    """
    return fuel_mass_kg * heating_value_j_kg * combustion_efficiency * np.minimum(1.0, lambda_ratio)


@valid(lambda_ratio=(0.75, 1.2))
def chemical_heat_share(lambda_ratio: Array) -> Array:
    """Share of the heating value that leaves the fuel as heat when CO and H2 are left over for want of air.

    For an energy account of the exhaust; not for the single zone, which has its own rule in released_heat.

    Parameters
    ----------
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.75 to 1.2.

    Returns
    -------
    share : array
        [1]

    Equation
    --------
    0.998 - 1.31 * max(1 - lambda_ratio, 0)

    Source
    ------
    own-computation, water-gas equilibrium of iso-octane frozen at 1740 K, a line through six values

    Examples
    --------
    >>> round(float(chemical_heat_share(0.85)), 2)
    0.8
    """
    return 0.998 - 1.31 * np.maximum(1.0 - np.asarray(lambda_ratio), 0.0)
