"""What pressure in a port takes from the load that holds its valve shut."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(valve_diameter_m=(0.01, 0.08), seat_load_n=(20.0, 2000.0))
def seat_load_lost(
    port_pressure_pa: Array, cylinder_pressure_pa: Array, valve_diameter_m: Array, seat_load_n: Array
) -> Array:
    """Share of the seat load that the pressure behind a closed valve takes away.

    For the intake valve the trade sets manifold against the site's pressure, for the exhaust valve turbine
    inlet against manifold, which is what the cylinder holds on the intake stroke.

    Parameters
    ----------
    port_pressure_pa : array
        Behind the valve, absolute. [Pa]
    cylinder_pressure_pa : array
        Before it while it is closed, at the least, absolute. [Pa]
    valve_diameter_m : array
        Of the head. [m] Valid 0.01 to 0.08.
    seat_load_n : array
        Of one valve, closed, as installed. [N] Valid 20 to 2000.

    Returns
    -------
    seat_load_lost : array
        Broadcast of the arguments; below nil where the cylinder holds more. [1]

    Equation
    --------
    (port_pressure_pa - cylinder_pressure_pa) * pi / 4 * valve_diameter_m**2 / seat_load_n

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(seat_load_lost(1.565e5, 1.013e5, 0.034, 190.0)), 3)
    0.264
    """
    return (port_pressure_pa - cylinder_pressure_pa) * (np.pi / 4.0 * valve_diameter_m**2) / seat_load_n


@valid(float_speed_rad_s=(100.0, 3000.0), limiter_rad_s=(100.0, 3000.0))
def float_margin(float_speed_rad_s: Array, limiter_rad_s: Array) -> Array:
    """How far beyond the limiter the valve springs keep valve and cam together.

    Parameters
    ----------
    float_speed_rad_s : array
        Engine speed at which the springs lose control. [rad/s] Valid 100 to 3000.
    limiter_rad_s : array
        Engine speed of the limiter. [rad/s] Valid 100 to 3000.

    Returns
    -------
    float_margin : array
        Broadcast of the arguments; below nil where the limiter lies beyond. [1]

    Equation
    --------
    float_speed_rad_s / limiter_rad_s - 1

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(float_margin(817.0, 775.0)), 3)
    0.054
    """
    return float_speed_rad_s / limiter_rad_s - 1.0
