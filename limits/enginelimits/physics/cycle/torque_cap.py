"""Torque that each part allows, with nothing to spare: what a cap on torque has to respect at each speed.

At one speed and one phasing of the burn, peak pressure goes with torque; what inertia takes off the rod does not.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.combustion.preignition import in_preignition_zone
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    torque_nm=(-500.0, 5000.0),
    compression_n=(0.0, 500e3),
    capacity_n=(1e3, 1e6),
    gas_pressure_pa=(1e5, 40e6),
    bore_m=(0.03, 0.25),
)
def torque_of_rods(
    torque_nm: Array, compression_n: Array, capacity_n: Array, gas_pressure_pa: Array, bore_m: Array
) -> Array:
    """Torque at which the rods are pressed to their capacity as columns.

    Parameters
    ----------
    torque_nm : array
        Of the engine, as run. [N*m] Valid -500 to 5000.
    compression_n : array
        Greatest, of the rod, in that run. [N] Valid 0 to 500000.
    capacity_n : array
        Of the rod as a column. [N] Valid 1000 to 1e+06.
    gas_pressure_pa : array
        Peak of the mean cycle over the crankcase. [Pa] Valid 100000 to 4e+07.
    bore_m : array
        Bore. [m] Valid 0.03 to 0.25.

    Returns
    -------
    torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    gas = gas_pressure_pa * pi / 4 * bore_m ** 2
    relief = max(0, gas - compression_n)
    torque_nm * (capacity_n + relief) / gas

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(torque_of_rods(240.0, 52e3, 80e3, 10e6, 0.086)))
    356
    """
    gas = np.asarray(gas_pressure_pa) * np.pi / 4.0 * np.asarray(bore_m) ** 2
    relief = np.maximum(0.0, gas - compression_n)
    return torque_nm * (capacity_n + relief) / gas


@valid(torque_nm=(-500.0, 5000.0), land_use=(1e-3, 20.0))
def torque_of_lands(torque_nm: Array, land_use: Array) -> Array:
    """Torque at which the second land is stressed to its hot fatigue strength in normal running.

    Parameters
    ----------
    torque_nm : array
        Of the engine, as run. [N*m] Valid -500 to 5000.
    land_use : array
        Stress over strength in that run. [1] Valid 0.001 to 20.

    Returns
    -------
    torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    torque_nm / land_use

    Source
    ------
    own-computation

    Examples
    --------
    >>> torque_of_lands(240.0, 0.6)
    400.0
    """
    return torque_nm / land_use


@valid(
    zone_torque_nm=(0.0, 5000.0),
    rod_torque_nm=(-5000.0, 50e3),
    land_torque_nm=(-5000.0, 50e3),
    clutch_capacity_nm=(10.0, 5000.0),
    gearbox_rating_nm=(10.0, 5000.0),
    speed_rad_s=(0.0, 2000.0),
    zone_end_rad_s=(100.0, 600.0),
)
def torque_cap(
    zone_torque_nm: Array,
    rod_torque_nm: Array,
    land_torque_nm: Array,
    clutch_capacity_nm: Array,
    gearbox_rating_nm: Array,
    speed_rad_s: Array,
    zone_end_rad_s: Array,
) -> Array:
    """Torque that pre-ignition zone, rods, lands, clutch and gearbox all allow at this speed, with nothing to spare.

    Parameters
    ----------
    zone_torque_nm : array
        At the load that the zone allows, opening above it. [N*m] Valid 0 to 5000.
    rod_torque_nm : array
        At the capacity of the rods. [N*m] Valid -5000 to 50000.
    land_torque_nm : array
        At the strength of the lands. [N*m] Valid -5000 to 50000.
    clutch_capacity_nm : array
        Before it slips. [N*m] Valid 10 to 5000.
    gearbox_rating_nm : array
        As rated by its maker or class. [N*m] Valid 10 to 5000.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    zone_end_rad_s : array
        Above this speed the zone says nothing. [rad/s] Valid 100 to 600.

    Returns
    -------
    torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    parts = min(rod_torque_nm, land_torque_nm, clutch_capacity_nm, gearbox_rating_nm)
    where(speed_rad_s > zone_end_rad_s, parts, min(zone_torque_nm, parts))

    Source
    ------
    own-computation

    Examples
    --------
    >>> caps = (356.0, 400.0, 420.0, 350.0)
    >>> float(torque_cap(280.0, *caps, 250.0, 366.0)), float(torque_cap(280.0, *caps, 400.0, 366.0))
    (280.0, 350.0)
    """
    engine = np.minimum(rod_torque_nm, land_torque_nm)
    parts = np.minimum(engine, np.minimum(clutch_capacity_nm, gearbox_rating_nm))
    in_zone = in_preignition_zone(speed_rad_s, zone_end_rad_s)
    return np.where(in_zone, np.minimum(zone_torque_nm, parts), parts)
