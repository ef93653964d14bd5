"""Injection into the cylinder: when it ends, how much it can carry, and what its high-pressure pump delivers."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(rail_pressure_pa=(1e6, 40e6), boost_pa=(0.0, 400e3))
def direct_pressure_difference(rail_pressure_pa: Array, boost_pa: Array) -> Array:
    """Pressure across a direct injector while the charge is drawn in.

    Compression adds a few bar to what the injector works against before injection ends, of a hundred and more.

    Parameters
    ----------
    rail_pressure_pa : array
        Gauge. [Pa] Valid 1e6 to 40e6.
    boost_pa : array
        Gauge, at the manifold. [Pa] Valid 0 to 400e3.

    Returns
    -------
    pressure_difference_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    rail_pressure_pa - boost_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> direct_pressure_difference(15e6, 1e5)
    14900000.0
    """
    return rail_pressure_pa - boost_pa


@valid(start_rad=(3.0, 7.0), window_rad=(0.5, 6.3), window_use=(0.0, 10.0))
def end_of_injection(start_rad: Array, window_rad: Array, window_use: Array) -> Array:
    """Crank angle before firing top dead centre at which direct injection ends.

    Negative where fuel would still be asked for after the top.  One opening a cycle; several cost the time of
    their opening and closing as well.

    Parameters
    ----------
    start_rad : array
        Start of injection, before firing top dead centre. [rad] Valid 3 to 7.
    window_rad : array
        Usable crank angle. [rad] Valid 0.5 to 6.3.
    window_use : array
        Crank angle needed over the usable one. [1] Valid 0 to 10.

    Returns
    -------
    end_rad : array
        Before firing top dead centre, broadcast of the arguments. [rad]

    Equation
    --------
    start_rad - window_rad * window_use

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(round(np.rad2deg(end_of_injection(np.deg2rad(310.0), np.deg2rad(220.0), 0.9)), 1))
    112.0
    """
    return start_rad - window_rad * window_use


@valid(
    fuel_volume_flow_m3_s=(1e-8, 1e-3),
    injectors=(1.0, 32.0),
    injector_flow_m3_s=(1e-7, 1e-4),
    window_rad=(0.5, 6.3),
)
def direct_capacity(
    fuel_volume_flow_m3_s: Array, injectors: Array, injector_flow_m3_s: Array, window_rad: Array
) -> Array:
    """What the direct injectors can put into their window, over all the fuel that the engine takes.

    Parameters
    ----------
    fuel_volume_flow_m3_s : array
        Through the engine. [m^3/s] Valid 1e-8 to 1e-3.
    injectors : array
        How many direct injectors. [1] Valid 1 to 32.
    injector_flow_m3_s : array
        One of them held open at its rail pressure. [m^3/s] Valid 1e-7 to 1e-4.
    window_rad : array
        Usable crank angle. [rad] Valid 0.5 to 6.3.

    Returns
    -------
    capacity : array
        Broadcast of the arguments. [1]

    Equation
    --------
    injectors * injector_flow_m3_s * window_rad / (4 * pi * fuel_volume_flow_m3_s)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(direct_capacity(24e-6, 4, 18e-6, 3.84)), 3)
    0.917
    """
    return injectors * injector_flow_m3_s * window_rad / (4.0 * np.pi * np.asarray(fuel_volume_flow_m3_s))


@valid(
    fuel_mass_flow_kg_s=(1e-5, 0.5),
    injectors=(1.0, 32.0),
    injector_mass_flow_kg_s=(1e-5, 0.1),
    speed_rad_s=(0.0, 2000.0),
    dead_time_s=(0.0, 4e-3),
    duty=(0.1, 1.0),
)
def port_capacity(
    fuel_mass_flow_kg_s: Array,
    injectors: Array,
    injector_mass_flow_kg_s: Array,
    speed_rad_s: Array,
    dead_time_s: Array,
    duty: Array,
) -> Array:
    """What the port injectors can carry at a duty, over all the fuel that the engine takes.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 1e-5 to 0.5.
    injectors : array
        How many port injectors. [1] Valid 1 to 32.
    injector_mass_flow_kg_s : array
        One of them held open. [kg/s] Valid 1e-5 to 0.1.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    dead_time_s : array
        Command that passes before fuel flows. [s] Valid 0 to 4e-3.
    duty : array
        That is accepted, dead time included. [1] Valid 0.1 to 1.

    Returns
    -------
    capacity : array
        Broadcast of the arguments. [1]

    Equation
    --------
    open_share = max(duty - dead_time_s * speed_rad_s / (4 * pi), 0)
    injectors * injector_mass_flow_kg_s * open_share / fuel_mass_flow_kg_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(port_capacity(0.0178, 4, 0.0078, 7000 * 2 * np.pi / 60, 1.0e-3, 0.85)), 3)
    1.388
    """
    open_share = np.maximum(duty - dead_time_s * speed_rad_s / (4.0 * np.pi), 0.0)
    return injectors * injector_mass_flow_kg_s * open_share / np.asarray(fuel_mass_flow_kg_s)


@valid(direct_capacity_share=(0.0, 100.0), port_capacity_share=(0.0, 100.0))
def injection_capacity(direct_capacity_share: Array, port_capacity_share: Array) -> Array:
    """What both sides together can carry, whatever the split, over the fuel that the engine takes.

    Parameters
    ----------
    direct_capacity_share : array
        Of the direct injectors. [1] Valid 0 to 100.
    port_capacity_share : array
        Of the port injectors. [1] Valid 0 to 100.

    Returns
    -------
    capacity : array
        Broadcast of the arguments. [1]

    Equation
    --------
    direct_capacity_share + port_capacity_share

    Source
    ------
    common-practice

    Examples
    --------
    >>> injection_capacity(0.75, 0.5)
    1.25
    """
    return direct_capacity_share + port_capacity_share


@valid(
    standard_torque_nm=(5.0, 5e3),
    standard_specific_fuel_kg_j=(5e-8, 1.5e-7),
    density_kg_m3=(600.0, 900.0),
    reserve=(0.0, 2.0),
)
def pump_delivery_of_standard(
    standard_torque_nm: Array, standard_specific_fuel_kg_j: Array, density_kg_m3: Array, reserve: Array
) -> Array:
    """Fuel that the maker's high-pressure pump delivers a crankshaft revolution, from what his engine needed.

    A cam drives the pump, so that its delivery is of a revolution; the engine needed most at its torque peak, and
    the maker left a reserve for wear, heat and a cold start.

    Parameters
    ----------
    standard_torque_nm : array
        Greatest of the standard engine. [N*m] Valid 5 to 5e3.
    standard_specific_fuel_kg_j : array
        Of the standard engine at full load. [kg/J] Valid 5e-8 to 1.5e-7.
    density_kg_m3 : array
        Of the fuel that the maker sized it for. [kg/m^3] Valid 600 to 900.
    reserve : array
        Beyond the need of the standard engine, as a share of it. [1] Valid 0 to 2.

    Returns
    -------
    delivery_m3 : array
        A revolution, broadcast of the arguments. [m^3]

    Equation
    --------
    2 * pi * standard_torque_nm * standard_specific_fuel_kg_j / density_kg_m3 * (1 + reserve)

    Source
    ------
    own-computation, reserve from memory

    Examples
    --------
    >>> round(float(pump_delivery_of_standard(206.0, 7.9e-8, 745.0, 0.32)) * 1e9)
    181
    """
    return 2.0 * np.pi * standard_torque_nm * standard_specific_fuel_kg_j / density_kg_m3 * (1.0 + reserve)


@valid(
    fuel_volume_flow_m3_s=(0.0, 1e-3),
    direct_share=(0.0, 1.0),
    delivery_m3=(1e-9, 1e-5),
    speed_rad_s=(10.0, 2000.0),
)
def pump_use(fuel_volume_flow_m3_s: Array, direct_share: Array, delivery_m3: Array, speed_rad_s: Array) -> Array:
    """Fuel through the rail over what the high-pressure pump delivers at this speed.

    Parameters
    ----------
    fuel_volume_flow_m3_s : array
        Through the engine. [m^3/s] Valid 0 to 1e-3.
    direct_share : array
        Of the fuel. [1] Valid 0 to 1.
    delivery_m3 : array
        Of the pump, a crankshaft revolution. [m^3] Valid 1e-9 to 1e-5.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 10 to 2000.

    Returns
    -------
    pump_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    2 * pi * direct_share * fuel_volume_flow_m3_s / (delivery_m3 * speed_rad_s)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(pump_use(24e-6, 1.0, 250e-9, 700.0)), 3)
    0.862
    """
    return 2.0 * np.pi * direct_share * fuel_volume_flow_m3_s / (delivery_m3 * speed_rad_s)
