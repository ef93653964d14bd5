"""Fuel that the engine asks for, and what the injectors can give."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(air_mass_flow_kg_s=(0.0, 3.0), lambda_target=(0.5, 1.6), stoichiometric_ratio=(5.0, 18.0))
def fuel_mass_flow(air_mass_flow_kg_s: Array, lambda_target: Array, stoichiometric_ratio: Array) -> Array:
    """Fuel that goes with an air flow.

    Parameters
    ----------
    air_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 3.
    lambda_target : array
        Air over stoichiometric air. [1] Valid 0.5 to 1.6.
    stoichiometric_ratio : array
        Air over fuel by mass, of what is in the tank. [1] Valid 5 to 18.

    Returns
    -------
    fuel_mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    air_mass_flow_kg_s / (lambda_target * stoichiometric_ratio)

    Source
    ------
    heywood-1988, eq. 3.8

    Examples
    --------
    >>> round(float(fuel_mass_flow(0.2, 0.80, 14.0)), 6)
    0.017857
    """
    return air_mass_flow_kg_s / (lambda_target * stoichiometric_ratio)


@valid(fuel_mass_flow_kg_s=(0.0, 0.5), density_kg_m3=(600.0, 900.0))
def fuel_volume_flow(fuel_mass_flow_kg_s: Array, density_kg_m3: Array) -> Array:
    """Fuel by volume.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        By mass. [kg/s] Valid 0 to 0.5.
    density_kg_m3 : array
        Of what is in the tank. [kg/m^3] Valid 600 to 900.

    Returns
    -------
    fuel_volume_flow_m3_s : array
        Broadcast of the arguments. [m^3/s]

    Equation
    --------
    fuel_mass_flow_kg_s / density_kg_m3

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(fuel_volume_flow(0.0745, 745.0)), 9)
    0.0001
    """
    return fuel_mass_flow_kg_s / density_kg_m3


@valid(base_pressure_pa=(50e3, 1.2e6), boost_pa=(0.0, 400e3), boost_referenced=(0.0, 1.0))
def pressure_difference(base_pressure_pa: Array, boost_pa: Array, boost_referenced: Array) -> Array:
    """Pressure across the port injectors: held by a boost-referenced regulator, eaten by boost if fixed.

    Parameters
    ----------
    base_pressure_pa : array
        Set without boost, over the barometer. [Pa] Valid 50e3 to 1.2e6.
    boost_pa : array
        Gauge, at the manifold. [Pa] Valid 0 to 400e3.
    boost_referenced : array
        1 where the regulator follows the manifold, 0 where it is fixed. [1] Valid 0 to 1.

    Returns
    -------
    pressure_difference_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    base_pressure_pa - (1 - boost_referenced) * boost_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> pressure_difference(3e5, 0.6e5, 1.0), pressure_difference(3e5, 0.6e5, 0.0)
    (300000.0, 240000.0)
    """
    return base_pressure_pa - (1.0 - boost_referenced) * boost_pa


@valid(rated_flow_m3_s=(0.0, 1e-4), rated_pressure_pa=(50e3, 30e6), pressure_difference_pa=(0.0, 40e6))
def injector_flow(rated_flow_m3_s: Array, rated_pressure_pa: Array, pressure_difference_pa: Array) -> Array:
    """Flow of one injector held open, with the square root of the pressure across it.

    Parameters
    ----------
    rated_flow_m3_s : array
        At its rated pressure. [m^3/s] Valid 0 to 1e-4.
    rated_pressure_pa : array
        Difference at which it is rated. [Pa] Valid 50e3 to 30e6.
    pressure_difference_pa : array
        Across it. [Pa] Valid 0 to 40e6.

    Returns
    -------
    injector_flow_m3_s : array
        Broadcast of the arguments. [m^3/s]

    Equation
    --------
    rated_flow_m3_s * sqrt(pressure_difference_pa / rated_pressure_pa)

    Source
    ------
    heywood-1988, sec. 7.3

    Examples
    --------
    >>> round(float(injector_flow(550e-6 / 60, 3e5, 4e5)) * 60e6, 1)
    635.1
    """
    return rated_flow_m3_s * np.sqrt(pressure_difference_pa / rated_pressure_pa)


@valid(
    rated_flow_m3_s=(0.0, 1e-4),
    rated_pressure_pa=(50e3, 30e6),
    pressure_difference_pa=(0.0, 40e6),
    density_kg_m3=(600.0, 900.0),
)
def injector_mass_flow(
    rated_flow_m3_s: Array,
    rated_pressure_pa: Array,
    pressure_difference_pa: Array,
    density_kg_m3: Array,
) -> Array:
    """Fuel by mass of one injector held open.

    The volume rated on test fluid is taken for the volume of the fuel; the square root of the densities would
    take 3 % off a fuel as dense as ethanol, which is within the spread of injectors.

    Parameters
    ----------
    rated_flow_m3_s : array
        At its rated pressure. [m^3/s] Valid 0 to 1e-4.
    rated_pressure_pa : array
        Difference at which it is rated. [Pa] Valid 50e3 to 30e6.
    pressure_difference_pa : array
        Across it. [Pa] Valid 0 to 40e6.
    density_kg_m3 : array
        Of what is in the tank. [kg/m^3] Valid 600 to 900.

    Returns
    -------
    injector_mass_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    density_kg_m3 * rated_flow_m3_s * sqrt(pressure_difference_pa / rated_pressure_pa)

    Source
    ------
    heywood-1988, sec. 7.3

    Examples
    --------
    >>> round(float(injector_mass_flow(600e-6 / 60, 3e5, 3e5, 745.0)), 5)
    0.00745
    """
    return density_kg_m3 * injector_flow(rated_flow_m3_s, rated_pressure_pa, pressure_difference_pa)


@valid(
    fuel_mass_flow_kg_s=(0.0, 0.5),
    injectors=(1.0, 32.0),
    injector_mass_flow_kg_s=(1e-5, 0.1),
    speed_rad_s=(0.0, 2000.0),
    dead_time_s=(0.0, 4e-3),
)
def port_duty(
    fuel_mass_flow_kg_s: Array,
    injectors: Array,
    injector_mass_flow_kg_s: Array,
    speed_rad_s: Array,
    dead_time_s: Array,
    port_share: Array = 1.0,
) -> Array:
    """Opening command of a port injector, its dead time included, over the 720 degrees it has for it.

    One opening a cycle.  Above 1 the injector would have to stay open longer than the cycle lasts.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 0.5.
    injectors : array
        How many port injectors share it. [1] Valid 1 to 32.
    injector_mass_flow_kg_s : array
        One of them held open. [kg/s] Valid 1e-5 to 0.1.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    dead_time_s : array
        Command that passes before fuel flows, at this voltage. [s] Valid 0 to 4e-3.
    port_share : array
        Of the fuel; the rest is injected directly. [1]

    Returns
    -------
    port_duty : array
        Broadcast of the arguments. [1]

    Equation
    --------
    open_share = port_share * fuel_mass_flow_kg_s / (injectors * injector_mass_flow_kg_s)
    open_share + dead_time_s * speed_rad_s / (4 * pi)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(port_duty(0.0178, 4, 0.0078, 7000 * 2 * np.pi / 60, 1.0e-3)), 3)
    0.629
    """
    open_share = port_share * fuel_mass_flow_kg_s / (injectors * injector_mass_flow_kg_s)
    return open_share + dead_time_s * speed_rad_s / (4.0 * np.pi)


@valid(fuel_mass_flow_kg_s=(0.0, 0.5), injectors=(1.0, 32.0), duty=(0.1, 1.0))
def injector_mass_flow_needed(fuel_mass_flow_kg_s: Array, injectors: Array, duty: Array) -> Array:
    """Size of injector that carries a fuel flow at a duty, dead time left aside.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 0.5.
    injectors : array
        How many share it. [1] Valid 1 to 32.
    duty : array
        Open share of the cycle that is accepted. [1] Valid 0.1 to 1.

    Returns
    -------
    injector_mass_flow_kg_s : array
        Each, held open, broadcast of the arguments. [kg/s]

    Equation
    --------
    fuel_mass_flow_kg_s / (injectors * duty)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(injector_mass_flow_needed(0.0128, 4, 0.8)), 6)
    0.004
    """
    return fuel_mass_flow_kg_s / (injectors * duty)


@valid(
    fuel_volume_flow_m3_s=(0.0, 1e-3),
    injectors=(1.0, 32.0),
    injector_flow_m3_s=(1e-7, 1e-4),
    window_rad=(0.5, 6.3),
)
def direct_window_use(
    fuel_volume_flow_m3_s: Array,
    injectors: Array,
    injector_flow_m3_s: Array,
    window_rad: Array,
    direct_share: Array = 1.0,
) -> Array:
    """Crank angle that the direct injectors need over the angle in which injecting is of use.

    Parameters
    ----------
    fuel_volume_flow_m3_s : array
        Through the engine. [m^3/s] Valid 0 to 1e-3.
    injectors : array
        How many direct injectors. [1] Valid 1 to 32.
    injector_flow_m3_s : array
        One of them held open at its rail pressure. [m^3/s] Valid 1e-7 to 1e-4.
    window_rad : array
        Usable crank angle. [rad] Valid 0.5 to 6.3.
    direct_share : array
        Of the fuel. [1]

    Returns
    -------
    direct_window_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    open_share = direct_share * fuel_volume_flow_m3_s / (injectors * injector_flow_m3_s)
    4 * pi * open_share / window_rad

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(direct_window_use(24e-6, 4, 18e-6, 3.84)), 3)
    1.091
    """
    open_share = direct_share * fuel_volume_flow_m3_s / (injectors * injector_flow_m3_s)
    return 4.0 * np.pi * open_share / window_rad


@valid(
    fuel_volume_flow_m3_s=(0.0, 1e-3),
    injectors=(1.0, 32.0),
    rated_flow_m3_s=(1e-7, 1e-4),
    rated_pressure_pa=(1e6, 40e6),
    rail_pressure_pa=(1e6, 40e6),
    window_rad=(0.5, 6.3),
)
def rail_pressure_use(
    fuel_volume_flow_m3_s: Array,
    injectors: Array,
    rated_flow_m3_s: Array,
    rated_pressure_pa: Array,
    rail_pressure_pa: Array,
    window_rad: Array,
    direct_share: Array = 1.0,
) -> Array:
    """Rail pressure that would put the fuel into the usable window, over the rail pressure there is.

    Parameters
    ----------
    fuel_volume_flow_m3_s : array
        Through the engine. [m^3/s] Valid 0 to 1e-3.
    injectors : array
        How many direct injectors. [1] Valid 1 to 32.
    rated_flow_m3_s : array
        One of them held open at its rated pressure. [m^3/s] Valid 1e-7 to 1e-4.
    rated_pressure_pa : array
        Difference at which it is rated. [Pa] Valid 1e6 to 40e6.
    rail_pressure_pa : array
        What the pump keeps up. [Pa] Valid 1e6 to 40e6.
    window_rad : array
        Usable crank angle. [rad] Valid 0.5 to 6.3.
    direct_share : array
        Of the fuel. [1]

    Returns
    -------
    rail_pressure_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    needed_share = 4 * pi * direct_share * fuel_volume_flow_m3_s / (injectors * rated_flow_m3_s * window_rad)
    needed_share ** 2 * rated_pressure_pa / rail_pressure_pa

    Source
    ------
    heywood-1988, sec. 7.3, the square-root law turned round

    Examples
    --------
    >>> round(float(rail_pressure_use(24e-6, 4, 15e-6, 100e5, 150e5, 3.84)), 3)
    1.142
    """
    open_flow = injectors * rated_flow_m3_s
    needed_share = 4.0 * np.pi * direct_share * fuel_volume_flow_m3_s / (open_flow * window_rad)
    return needed_share**2 * rated_pressure_pa / rail_pressure_pa
