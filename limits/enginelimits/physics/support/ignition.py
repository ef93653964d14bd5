"""Plugs: the gap that an ignition system still fires as the charge gets denser, and their heat range."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.mechanics.kinematics import piston_travel
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


@valid(
    trapped_mass_kg=(0.0, 20e-3),
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    compression_ratio=(6.0, 16.0),
    spark_advance_rad=(-0.9, 1.3),
)
def density_at_spark(
    trapped_mass_kg: Array,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    spark_advance_rad: Array,
) -> Array:
    """Density of the charge as the spark strikes: mass over volume, whatever the temperature.

    Parameters
    ----------
    trapped_mass_kg : array
        In one cylinder. [kg] Valid 0 to 20e-3.
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 0.60.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    spark_advance_rad : array
        Before top dead centre; negative after it. [rad] Valid -0.9 to 1.3.

    Returns
    -------
    density_kg_m3 : array
        Broadcast of the arguments. [kg/m^3]

    Equation
    --------
    r = stroke_m / 2
    s = spark_advance_rad
    travel = r * (1 - cos(s)) + rod_length_m - sqrt(rod_length_m**2 - (r * sin(s))**2)
    trapped_mass_kg / (pi / 4 * bore_m**2 * (stroke_m / (compression_ratio - 1) + travel))

    Source
    ------
    heywood-1988, eq. 2.4

    Examples
    --------
    >>> round(float(density_at_spark(0.55e-3, 0.086, 0.086, 0.143, 10.5, np.deg2rad(15.0))), 2)
    8.65
    """
    travel = piston_travel(np.negative(spark_advance_rad), stroke_m, rod_length_m)
    clearance = np.asarray(stroke_m) / (np.asarray(compression_ratio) - 1.0)
    return trapped_mass_kg / (np.pi / 4.0 * np.asarray(bore_m) ** 2 * (clearance + travel))


@valid(
    trapped_mass_kg=(0.0, 20e-3),
    manifold_density_kg_m3=(0.1, 10.0),
    outside_density_kg_m3=(0.5, 2.0),
    standard_boost_pa=(0.0, 200e3),
    barometer_pa=(50e3, 110e3),
)
def standard_trapped_mass(
    trapped_mass_kg: Array,
    manifold_density_kg_m3: Array,
    outside_density_kg_m3: Array,
    standard_boost_pa: Array,
    barometer_pa: Array,
) -> Array:
    """Charge that one cylinder traps in the standard engine, at the same filling.

    Parameters
    ----------
    trapped_mass_kg : array
        As built, in one cylinder. [kg] Valid 0 to 20e-3.
    manifold_density_kg_m3 : array
        Air in the manifold as built. [kg/m^3] Valid 0.1 to 10.
    outside_density_kg_m3 : array
        Air outside. [kg/m^3] Valid 0.5 to 2.
    standard_boost_pa : array
        That the maker's own engine ran, gauge, cooled. [Pa] Valid 0 to 200e3.
    barometer_pa : array
        At the site. [Pa] Valid 50e3 to 110e3.

    Returns
    -------
    trapped_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    standard_density = outside_density_kg_m3 * (1 + standard_boost_pa / barometer_pa)
    trapped_mass_kg * standard_density / manifold_density_kg_m3

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(standard_trapped_mass(0.8e-3, 1.71, 1.18, 0.0, 1e5)) * 1e3, 3)
    0.552
    """
    standard = np.asarray(outside_density_kg_m3) * (1.0 + np.asarray(standard_boost_pa) / np.asarray(barometer_pa))
    return trapped_mass_kg * standard / np.asarray(manifold_density_kg_m3)


@valid(
    power_w=(-1e6, 5e6),
    standard_power_w=(1e3, 5e6),
    power_per_step_w=(10e3, 300e3),
    heat_steps_colder=(-3.0, 6.0),
)
def heat_step_shortfall(
    power_w: Array, standard_power_w: Array, power_per_step_w: Array, heat_steps_colder: Array
) -> Array:
    """Heat steps that the plugs lack: one for so much power over the standard engine's, less those they have.

    Parameters
    ----------
    power_w : array
        Brake power, speeds on the last axis. [W] Valid -1e6 to 5e6.
    standard_power_w : array
        The maker's figure. [W] Valid 1e3 to 5e6.
    power_per_step_w : array
        Added power that takes one step. [W] Valid 10e3 to 300e3.
    heat_steps_colder : array
        Of the plugs, against standard. [1] Valid -3 to 6.

    Returns
    -------
    shortfall : array
        The speed axis kept, of length one. [1]

    Equation
    --------
    Solved: the greatest of power_w over all speeds less standard_power_w, over power_per_step_w, less heat_steps_colder

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(round(heat_step_shortfall(np.array([150e3, 200e3]), 134e3, 66e3, 0.0)[0], 3))
    1.0
    """
    added = np.max(np.asarray(power_w, dtype=float), axis=-1, keepdims=True) - standard_power_w
    return added / power_per_step_w - heat_steps_colder
