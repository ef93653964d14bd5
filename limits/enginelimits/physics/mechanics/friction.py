"""Friction, and what it leaves of the indicated work."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(peak_pressure_pa=(0.0, 3.0e7), mean_piston_speed_m_s=(0.0, 30.0))
def friction_mean_effective_pressure(
    peak_pressure_pa: Array,
    mean_piston_speed_m_s: Array,
    constant_pa: Array,
    peak_pressure_share: Array,
    speed_coefficient_pa_s_m: Array,
) -> Array:
    """Friction of a firing engine in the form of Chen and Flynn: a constant, and parts of pressure and speed.

    Parameters
    ----------
    peak_pressure_pa : array
        Greatest cylinder pressure of the mean cycle, absolute. [Pa] Valid 0 to 3.0e7.
    mean_piston_speed_m_s : array
        Twice the stroke times the speed. [m/s] Valid 0 to 30.
    constant_pa : array
        Of the engine's class. [Pa]
    peak_pressure_share : array
        Part of the peak pressure. [1]
    speed_coefficient_pa_s_m : array
        For each metre a second of mean piston speed. [Pa*s/m]

    Returns
    -------
    friction_mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    constant_pa + peak_pressure_share * peak_pressure_pa + speed_coefficient_pa_s_m * mean_piston_speed_m_s

    Source
    ------
    chen-flynn-1965

    Examples
    --------
    >>> round(float(friction_mean_effective_pressure(80e5, 12.0, 0.137e5, 0.005, 0.162e5)))
    248100
    """
    pressure = peak_pressure_share * peak_pressure_pa
    return constant_pa + pressure + speed_coefficient_pa_s_m * mean_piston_speed_m_s


@valid(speed_rad_s=(50.0, 750.0))
def motored_friction(speed_rad_s: Array) -> Array:
    """Friction and pumping of motored fours of 0.85 to 2 litres at open throttle, after Barnes-Moss.

    Parameters
    ----------
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 50 to 750.

    Returns
    -------
    total_friction_mean_effective_pressure_pa : array
        As the argument. [Pa]

    Equation
    --------
    thousands = speed_rad_s * 30 / pi / 1000
    1e5 * (0.97 + 0.15 * thousands + 0.05 * thousands**2)

    Source
    ------
    heywood-1988, eq. 13.6

    Examples
    --------
    >>> round(float(motored_friction(6000 * np.pi / 30)))
    367000
    """
    thousands = speed_rad_s * 30.0 / np.pi / 1000.0
    return 1.0e5 * (0.97 + 0.15 * thousands + 0.05 * thousands**2)


def brake_mean_effective_pressure(
    gross_mean_effective_pressure_pa: Array,
    pumping_mean_effective_pressure_pa: Array,
    friction_mean_effective_pressure_pa: Array,
    drive_mean_effective_pressure_pa: Array = 0.0,
) -> Array:
    """Brake mean effective pressure: what gas exchange, friction and a crank-driven blower leave.

    Parameters
    ----------
    gross_mean_effective_pressure_pa : array
        Compression and expansion strokes alone. [Pa]
    pumping_mean_effective_pressure_pa : array
        Lost in gas exchange; below nil where boost exceeds the exhaust pressure. [Pa]
    friction_mean_effective_pressure_pa : array
        Rubbing and auxiliaries. [Pa]
    drive_mean_effective_pressure_pa : array
        Taken by what the crank drives beside. [Pa]

    Returns
    -------
    brake_mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    loss = pumping_mean_effective_pressure_pa + friction_mean_effective_pressure_pa
    gross_mean_effective_pressure_pa - loss - drive_mean_effective_pressure_pa

    Source
    ------
    heywood-1988, ch. 13

    Examples
    --------
    >>> float(brake_mean_effective_pressure(22e5, 0.5e5, 2.5e5))
    1900000.0
    """
    loss = pumping_mean_effective_pressure_pa + friction_mean_effective_pressure_pa
    return gross_mean_effective_pressure_pa - loss - drive_mean_effective_pressure_pa


@valid(displacement_m3=(1.0e-5, 0.05))
def brake_torque(brake_mean_effective_pressure_pa: Array, displacement_m3: Array) -> Array:
    """Torque at the flywheel of a four-stroke engine.

    Parameters
    ----------
    brake_mean_effective_pressure_pa : array
        Mean over the cycle. [Pa]
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 1.0e-5 to 0.05.

    Returns
    -------
    brake_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    brake_mean_effective_pressure_pa * displacement_m3 / (4 * pi)

    Source
    ------
    heywood-1988, ch. 2

    Examples
    --------
    >>> round(float(brake_torque(25.13e5, 0.001)), 1)
    200.0
    """
    return brake_mean_effective_pressure_pa * displacement_m3 / (4.0 * np.pi)


@valid(displacement_m3=(1.0e-5, 0.05))
def mean_effective_pressure_of_torque(torque_nm: Array, displacement_m3: Array) -> Array:
    """Mean effective pressure that stands for a torque of a four-stroke engine.

    Parameters
    ----------
    torque_nm : array
        At the crank. [N*m]
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 1.0e-5 to 0.05.

    Returns
    -------
    mean_effective_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    4 * pi * torque_nm / displacement_m3

    Source
    ------
    heywood-1988, ch. 2

    Examples
    --------
    >>> round(float(mean_effective_pressure_of_torque(200.0, 0.001)) / 1e5, 2)
    25.13
    """
    return 4.0 * np.pi * torque_nm / displacement_m3


@valid(speed_rad_s=(0.0, 2000.0))
def shaft_power(torque_nm: Array, speed_rad_s: Array) -> Array:
    """Power of a turning shaft.

    Parameters
    ----------
    torque_nm : array
        In the shaft. [N*m]
    speed_rad_s : array
        Of the shaft. [rad/s] Valid 0 to 2000.

    Returns
    -------
    power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    torque_nm * speed_rad_s

    Source
    ------
    bipm-si-2019, the watt as joule a second

    Examples
    --------
    >>> round(float(shaft_power(300.0, 6000 * np.pi / 30)))
    188496
    """
    return torque_nm * speed_rad_s
