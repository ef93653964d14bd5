"""What a hard shift or a launch sends through gearbox and axle: never more than clutch or tyres let pass."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import STANDARD_GRAVITY


@valid(torque_nm=(0.0, 5000.0), shock_factor=(1.0, 3.0), capacity_nm=(0.0, 5000.0))
def shock_torque(torque_nm: Array, shock_factor: Array, capacity_nm: Array) -> Array:
    """Torque that reaches the gearbox for a moment: the engine's with its inertia, or what the clutch slips at.

    Parameters
    ----------
    torque_nm : array
        Of the engine, steady. [N*m] Valid 0 to 5000.
    shock_factor : array
        Moment over steady torque, by how hard gears are changed. [1] Valid 1 to 3.
    capacity_nm : array
        That the clutch holds. [N*m] Valid 0 to 5000.

    Returns
    -------
    shock_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    min(shock_factor * torque_nm, capacity_nm)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(shock_torque(300.0, 1.5, 420.0)), float(shock_torque(300.0, 1.5, 520.0))
    (420.0, 450.0)
    """
    return np.minimum(shock_factor * torque_nm, capacity_nm)


@valid(
    tyre_friction=(0.1, 3.0), mass_kg=(50.0, 20e3), driven_share=(0.2, 0.8), height_over_wheelbase=(0.05, 0.3),
    tyre_radius_m=(0.15, 0.6),
)
def rear_grip_torque(
    tyre_friction: Array, mass_kg: Array, driven_share: Array, height_over_wheelbase: Array, tyre_radius_m: Array
) -> Array:
    """Greatest torque that the rear tyres take in a launch, both together; the launch itself presses them down.

    Parameters
    ----------
    tyre_friction : array
        Greatest pull over load of the tyre. [1] Valid 0.1 to 3.
    mass_kg : array
        Of the car with its driver. [kg] Valid 50 to 20e3.
    driven_share : array
        Of its weight, standing, on the driven axle. [1] Valid 0.2 to 0.8.
    height_over_wheelbase : array
        Of the centre of mass, over the wheelbase. [1] Valid 0.05 to 0.3.
    tyre_radius_m : array
        Rolling. [m] Valid 0.15 to 0.6.

    Returns
    -------
    grip_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    load = driven_share * mass_kg * 9.80665 / (1 - tyre_friction * height_over_wheelbase)
    tyre_friction * load * tyre_radius_m

    Source
    ------
    gillespie-1992, ch. 2, traction-limited acceleration

    Examples
    --------
    >>> round(float(rear_grip_torque(1.0, 1240.0, 0.47, 0.2, 0.305)))
    2179
    """
    load = driven_share * mass_kg * STANDARD_GRAVITY / (1.0 - tyre_friction * height_over_wheelbase)
    return tyre_friction * load * tyre_radius_m


@valid(
    tyre_friction=(0.1, 3.0), mass_kg=(50.0, 20e3), driven_share=(0.2, 0.8), height_over_wheelbase=(0.05, 0.3),
    tyre_radius_m=(0.15, 0.6),
)
def front_grip_torque(
    tyre_friction: Array, mass_kg: Array, driven_share: Array, height_over_wheelbase: Array, tyre_radius_m: Array
) -> Array:
    """Greatest torque that the front tyres take in a launch, both together; the launch itself lightens them.

    Parameters
    ----------
    tyre_friction : array
        Greatest pull over load of the tyre. [1] Valid 0.1 to 3.
    mass_kg : array
        Of the car with its driver. [kg] Valid 50 to 20e3.
    driven_share : array
        Of its weight, standing, on the driven axle. [1] Valid 0.2 to 0.8.
    height_over_wheelbase : array
        Of the centre of mass, over the wheelbase. [1] Valid 0.05 to 0.3.
    tyre_radius_m : array
        Rolling. [m] Valid 0.15 to 0.6.

    Returns
    -------
    grip_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    load = driven_share * mass_kg * 9.80665 / (1 + tyre_friction * height_over_wheelbase)
    tyre_friction * load * tyre_radius_m

    Source
    ------
    gillespie-1992, ch. 2, traction-limited acceleration

    Examples
    --------
    >>> round(float(front_grip_torque(1.0, 1240.0, 0.61, 0.2, 0.305)))
    1885
    """
    load = driven_share * mass_kg * STANDARD_GRAVITY / (1.0 + tyre_friction * height_over_wheelbase)
    return tyre_friction * load * tyre_radius_m


@valid(tyre_friction=(0.1, 3.0), mass_kg=(50.0, 20e3), tyre_radius_m=(0.15, 0.6))
def all_wheel_grip_torque(tyre_friction: Array, mass_kg: Array, tyre_radius_m: Array) -> Array:
    """Greatest torque that four driven tyres take in a launch, all together.

    Parameters
    ----------
    tyre_friction : array
        Greatest pull over load of the tyre. [1] Valid 0.1 to 3.
    mass_kg : array
        Of the car with its driver. [kg] Valid 50 to 20e3.
    tyre_radius_m : array
        Rolling. [m] Valid 0.15 to 0.6.

    Returns
    -------
    grip_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    tyre_friction * mass_kg * 9.80665 * tyre_radius_m

    Source
    ------
    gillespie-1992, ch. 2, traction-limited acceleration

    Examples
    --------
    >>> round(float(all_wheel_grip_torque(1.0, 1400.0, 0.31)))
    4256
    """
    return tyre_friction * mass_kg * STANDARD_GRAVITY * tyre_radius_m


@valid(
    grip_torque_nm=(0.0, 60e3), hop_factor=(1.0, 3.0), shock_torque_nm=(0.0, 5000.0), launch_ratio=(3.0, 40.0)
)
def launch_torque(grip_torque_nm: Array, hop_factor: Array, shock_torque_nm: Array, launch_ratio: Array) -> Array:
    """Torque at the driven wheels in a launch: what grip takes, hop included, or what engine and clutch can send.

    Parameters
    ----------
    grip_torque_nm : array
        That the driven tyres take. [N*m] Valid 0 to 60e3.
    hop_factor : array
        Moment over steady grip, as wheels hop or catch. [1] Valid 1 to 3.
    shock_torque_nm : array
        That reaches the gearbox. [N*m] Valid 0 to 5000.
    launch_ratio : array
        Engine over wheel in first gear, final drive included. [1] Valid 3 to 40.

    Returns
    -------
    launch_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    min(hop_factor * grip_torque_nm, shock_torque_nm * launch_ratio)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(launch_torque(2000.0, 1.25, 400.0, 13.0)), float(launch_torque(4000.0, 1.5, 400.0, 13.0))
    (2500.0, 5200.0)
    """
    return np.minimum(hop_factor * grip_torque_nm, shock_torque_nm * launch_ratio)


@valid(launch_torque_nm=(0.0, 60e3), standard_grip_torque_nm=(50.0, 60e3), reserve=(0.5, 6.0))
def axle_torque_use(launch_torque_nm: Array, standard_grip_torque_nm: Array, reserve: Array) -> Array:
    """Torque in the axle over what its shafts bear, which makers set by the grip of the tyre that they fit.

    Parameters
    ----------
    launch_torque_nm : array
        At the driven wheels. [N*m] Valid 0 to 60e3.
    standard_grip_torque_nm : array
        That road tyres take on the same car. [N*m] Valid 50 to 60e3.
    reserve : array
        Torque that the shafts bear over the grip of a road tyre. [1] Valid 0.5 to 6.

    Returns
    -------
    axle_torque_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    launch_torque_nm / (reserve * standard_grip_torque_nm)

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(axle_torque_use(5200.0, 2180.0, 1.6)), 3)
    1.491
    """
    return launch_torque_nm / (reserve * standard_grip_torque_nm)
