"""The whole engine: what follows from cylinder, shaft and fuel together."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(bore_m=(0.02, 0.30), stroke_m=(0.02, 0.30), cylinders=(1.0, 24.0))
def displacement(bore_m: Array, stroke_m: Array, cylinders: Array) -> Array:
    """Swept volume of all cylinders.

    Parameters
    ----------
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    stroke_m : array
        Full stroke. [m] Valid 0.02 to 0.30.
    cylinders : array
        Number of cylinders. [1] Valid 1 to 24.

    Returns
    -------
    displacement_m3 : array
        Broadcast of the arguments. [m^3]

    Equation
    --------
    pi / 4 * bore_m**2 * stroke_m * cylinders

    Source
    ------
    heywood-1988

    Examples
    --------
    >>> round(displacement(0.086, 0.086, 4) * 1e3, 3)
    1.998
    """
    return np.pi / 4 * bore_m**2 * stroke_m * cylinders


@valid(as_built=(0.0, 1e6), standard=(1e-9, 1e6))
def over_standard(as_built: Array, standard: Array) -> Array:
    """A figure of the build over that of the engine as its maker built it.

    Parameters
    ----------
    as_built : array
        Of the build. [1] Valid 0 to 1e6.
    standard : array
        Of the standard engine, in the same unit. [1] Valid 1e-9 to 1e6.

    Returns
    -------
    ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    as_built / standard

    Source
    ------
    own-computation

    Examples
    --------
    >>> over_standard(7800, 7500)
    1.04
    """
    return as_built / standard


@valid(piston_mass_kg=(0.02, 10.0), pin_mass_kg=(0.01, 5.0))
def piston_and_pin_mass(piston_mass_kg: Array, pin_mass_kg: Array) -> Array:
    """Mass of a bare piston with its pin.

    Parameters
    ----------
    piston_mass_kg : array
        Bare piston. [kg] Valid 0.02 to 10.
    pin_mass_kg : array
        Piston pin. [kg] Valid 0.01 to 5.

    Returns
    -------
    mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    piston_mass_kg + pin_mass_kg

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(piston_and_pin_mass(0.31, 0.09), 3)
    0.4
    """
    return piston_mass_kg + pin_mass_kg


@valid(piston_mass_kg=(0.02, 10.0), pin_mass_kg=(0.01, 5.0), ring_pack_mass_kg=(0.0, 1.0))
def piston_assembly_mass(piston_mass_kg: Array, pin_mass_kg: Array, ring_pack_mass_kg: Array) -> Array:
    """Mass of piston, pin and rings.

    Parameters
    ----------
    piston_mass_kg : array
        Bare piston. [kg] Valid 0.02 to 10.
    pin_mass_kg : array
        Piston pin. [kg] Valid 0.01 to 5.
    ring_pack_mass_kg : array
        All rings of one piston. [kg] Valid 0 to 1.

    Returns
    -------
    mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    piston_mass_kg + pin_mass_kg + ring_pack_mass_kg

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(piston_assembly_mass(0.31, 0.09, 0.03), 3)
    0.43
    """
    return piston_mass_kg + pin_mass_kg + ring_pack_mass_kg


@valid(power_w=(0.0, 2e6), displacement_m3=(5e-5, 0.05), speed_rad_s=(10.0, 2000.0))
def mean_effective_pressure_of_power(power_w: Array, displacement_m3: Array, speed_rad_s: Array) -> Array:
    """Mean effective pressure that stands for a power taken at the crank of a four-stroke engine.

    Parameters
    ----------
    power_w : array
        Power. [W] Valid 0 to 2e6.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-5 to 0.05.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 10 to 2000.

    Returns
    -------
    mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    4 * pi * power_w / (displacement_m3 * speed_rad_s)

    Source
    ------
    heywood-1988, eq. 2.19

    Examples
    --------
    >>> round(mean_effective_pressure_of_power(15e3, 2e-3, 700.0) / 1e5, 3)
    1.346
    """
    return 4 * np.pi * power_w / (displacement_m3 * speed_rad_s)


@valid(mean_peak_pressure_pa=(1e5, 4e7), scatter=(1.0, 1.6))
def peak_pressure_of_high_cycle(mean_peak_pressure_pa: Array, scatter: Array) -> Array:
    """Peak pressure that one cycle in twenty exceeds.

    Parameters
    ----------
    mean_peak_pressure_pa : array
        Of the mean cycle. [Pa] Valid 1e5 to 4e7.
    scatter : array
        95th percentile over mean. [1] Valid 1 to 1.6.

    Returns
    -------
    peak_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    mean_peak_pressure_pa * scatter

    Source
    ------
    common-practice

    Examples
    --------
    >>> peak_pressure_of_high_cycle(8e6, 1.2)
    9600000.0
    """
    return mean_peak_pressure_pa * scatter


@valid(power_w=(-1e6, 5e6), displacement_m3=(5e-5, 0.05))
def power_per_displacement(power_w: Array, displacement_m3: Array) -> Array:
    """Power over swept volume.

    Parameters
    ----------
    power_w : array
        Brake power. [W] Valid -1e6 to 5e6.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-5 to 0.05.

    Returns
    -------
    power_per_displacement_w_m3 : array
        Broadcast of the arguments. [W/m^3]

    Equation
    --------
    power_w / displacement_m3

    Source
    ------
    own-computation

    Examples
    --------
    >>> power_per_displacement(150e3, 2e-3)
    75000000.0
    """
    return power_w / displacement_m3


@valid(power_w=(-1e6, 5e6), standard_power_w=(1e3, 5e6))
def power_over_standard(power_w: Array, standard_power_w: Array) -> Array:
    """Greatest predicted power over the range, over the maker's figure.

    Parameters
    ----------
    power_w : array
        Brake power, speeds on the last axis. [W] Valid -1e6 to 5e6.
    standard_power_w : array
        The maker's figure. [W] Valid 1e3 to 5e6.

    Returns
    -------
    ratio : array
        The speed axis kept, of length one. [1]

    Equation
    --------
    Solved: the greatest of power_w over all speeds, over standard_power_w

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(power_over_standard(np.array([100e3, 165e3]), 110e3)[0])
    1.5
    """
    return np.max(np.asarray(power_w, dtype=float), axis=-1, keepdims=True) / standard_power_w


@valid(fuel_mass_flow_kg_s=(0.0, 1.0), power_w=(100.0, 5e6))
def specific_fuel_consumption(fuel_mass_flow_kg_s: Array, power_w: Array) -> Array:
    """Fuel over brake work.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Fuel through the engine. [kg/s] Valid 0 to 1.
    power_w : array
        Brake power. [W] Valid 100 to 5e6.

    Returns
    -------
    consumption_kg_j : array
        Broadcast of the arguments. [kg/J]

    Equation
    --------
    fuel_mass_flow_kg_s / power_w

    Source
    ------
    heywood-1988, eq. 2.22

    Examples
    --------
    >>> round(specific_fuel_consumption(0.01, 120e3) * 3.6e9, 1)
    300.0
    """
    return fuel_mass_flow_kg_s / power_w


@valid(predicted_power_w=(-1e6, 5e6), asked_power_w=(1e3, 5e6))
def goal_power_reach(predicted_power_w: Array, asked_power_w: Array) -> Array:
    """Greatest predicted power at the site over the power asked for.

    Parameters
    ----------
    predicted_power_w : array
        As the goal is stated; ambients first, the site foremost; speeds last. [W] Valid -1e6 to 5e6.
    asked_power_w : array
        The goal. [W] Valid 1e3 to 5e6.

    Returns
    -------
    ratio : array
        Ambient and speed axis kept, of length one. [1]

    Equation
    --------
    Solved: the greatest of predicted_power_w over all speeds at the site, over asked_power_w

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(goal_power_reach(np.full((2, 1, 3), 99e3), 110e3).item())
    0.9
    """
    return np.max(np.asarray(predicted_power_w, dtype=float)[:1], axis=-1, keepdims=True) / asked_power_w


@valid(predicted_torque_nm=(-1e4, 1e5), asked_torque_nm=(1.0, 1e4))
def goal_torque_reach(predicted_torque_nm: Array, asked_torque_nm: Array) -> Array:
    """Greatest predicted torque at the site over the torque asked for.

    Parameters
    ----------
    predicted_torque_nm : array
        As the goal is stated; ambients first, the site foremost; speeds last. [N*m] Valid -1e4 to 1e5.
    asked_torque_nm : array
        The goal. [N*m] Valid 1 to 1e4.

    Returns
    -------
    ratio : array
        Ambient and speed axis kept, of length one. [1]

    Equation
    --------
    Solved: the greatest of predicted_torque_nm over all speeds at the site, over asked_torque_nm

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(goal_torque_reach(np.full((2, 1, 3), 360.0), 400.0).item())
    0.9
    """
    return np.max(np.asarray(predicted_torque_nm, dtype=float)[:1], axis=-1, keepdims=True) / asked_torque_nm


@valid(share=(0.0, 1.0))
def share_left(share: Array) -> Array:
    """What a share leaves to the other side.

    Parameters
    ----------
    share : array
        Of the whole. [1] Valid 0 to 1.

    Returns
    -------
    share : array
        The rest. [1]

    Equation
    --------
    1 - share

    Source
    ------
    own-computation

    Examples
    --------
    >>> share_left(0.4)
    0.6
    """
    return 1.0 - share


@valid(pressure_pa=(0.0, 5e7), barometer_pa=(30e3, 110e3))
def gauge_pressure(pressure_pa: Array, barometer_pa: Array) -> Array:
    """A pressure above that outside.

    Parameters
    ----------
    pressure_pa : array
        Absolute. [Pa] Valid 0 to 5e7.
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.

    Returns
    -------
    pressure_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    pressure_pa - barometer_pa

    Source
    ------
    own-computation

    Examples
    --------
    >>> gauge_pressure(8.1e6, 1e5)
    8000000.0
    """
    return pressure_pa - barometer_pa
