"""Torque of the crank over the cycle: of one cylinder, and of an engine that fires evenly."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.mechanics.at_angle import turning_force
from enginelimits.physics.mechanics.forces import gas_force
from enginelimits.physics.mechanics.kinematics import motion
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.blocks import in_blocks, over_nodes
from enginelimits.physics.numerics.compiling import COMPILED
from enginelimits.physics.numerics.periodic import at_steps, even_steps, steps_among, sum_of_shifts
from enginelimits.physics.numerics.validity import valid

STEPS = 180  # of four degrees; an engine takes the nearest multiple of its cylinders


class EngineTorque(NamedTuple):
    """What the crank gives within one cycle: at most, and on average."""

    peak_torque_nm: Array
    mean_torque_nm: Array


@valid(
    bore_m=(0.02, 0.30),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    reciprocating_mass_kg=(0.0, 20.0),
    pin_offset_m=(-0.01, 0.01),
)
def cylinder_torque(
    crank_angle_rad: Array,
    cylinder_pressure_pa: Array,
    crankcase_pressure_pa: Array,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    reciprocating_mass_kg: Array,
    pin_offset_m: Array = 0.0,
) -> Array:
    """Torque that one cylinder puts on the crank, of gas and of what reciprocates.

    Parameters
    ----------
    crank_angle_rad : array
        After firing top dead centre. [rad]
    cylinder_pressure_pa : array
        Absolute. [Pa]
    crankcase_pressure_pa : array
        Absolute. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    reciprocating_mass_kg : array
        All that moves with the piston. [kg] Valid 0 to 20.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    torque_nm : array
        Broadcast of the arguments, along the rotation. [N*m]

    Equation
    --------
    Solved: rod force * sin(throw angle + rod angle) * stroke_m / 2, the rod force being (gas force -
    reciprocating_mass_kg * piston acceleration) / cos(rod angle), at each crank_angle_rad

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15

    Examples
    --------
    >>> round(float(cylinder_torque(0.5, 5e6, 1e5, 0.086, 0.086, 0.150, 0.0, 0.5)))
    736
    """
    acceleration, arm = _accelerated_on_arm(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m)
    gas = gas_force(cylinder_pressure_pa, crankcase_pressure_pa, bore_m)
    return turning_force(gas, acceleration, arm, reciprocating_mass_kg * speed_rad_s**2)


def _accelerated_on_arm(
    crank_angle_rad: Array, stroke_m: Array, rod_length_m: Array, pin_offset_m: Array
) -> tuple[Array, Array]:
    """The piston's acceleration over the square of speed, and the torque of a force of one newton on it."""
    at = motion(crank_angle_rad, stroke_m, rod_length_m, pin_offset_m)
    sine = at.throw_sine * at.rod_cosine + at.throw_cosine * at.rod_sine  # of both angles together
    return at.acceleration_m, sine / at.rod_cosine * (stroke_m / 2.0)


@valid(
    bore_m=(0.02, 0.30),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    speed_rad_s=(0.0, 2000.0),
    reciprocating_mass_kg=(0.0, 20.0),
    cylinders=(1.0, 16.0),
    pin_offset_m=(-0.01, 0.01),
)
def engine_torque(
    crank_angle_rad: Array,
    cylinder_pressure_pa: Array,
    crankcase_pressure_pa: Array,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    speed_rad_s: Array,
    reciprocating_mass_kg: Array,
    cylinders: Array,
    pin_offset_m: Array = 0.0,
) -> EngineTorque:
    """Greatest and mean torque of the whole crank within a cycle, all cylinders alike and firing evenly.

    Friction, valves and accessories are left out; the crank counts as stiff, so that no vibration is in it.

    Parameters
    ----------
    crank_angle_rad : array
        Angles of the pressure over 720 deg, crank axis last; 0 is firing top dead centre. [rad]
    cylinder_pressure_pa : array
        Absolute, over the whole cycle, crank axis last. [Pa]
    crankcase_pressure_pa : array
        Absolute. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    stroke_m : array
        Twice the crank radius. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    speed_rad_s : array
        Crankshaft speed, steady. [rad/s] Valid 0 to 2000.
    reciprocating_mass_kg : array
        All that moves with one piston. [kg] Valid 0 to 20.
    cylinders : array
        Of the engine, one count for all. [1] Valid 1 to 16.
    pin_offset_m : array
        Pin axis from the crank axis, positive towards the major thrust side. [m] Valid -0.01 to 0.01.

    Returns
    -------
    peak_torque_nm, mean_torque_nm : arrays
        Without the crank axis. [N*m]

    Equation
    --------
    Solved: the torque of one cylinder, summed over cylinders shifts of 720 deg / cylinders; the greatest and the
    mean over the cycle

    Source
    ------
    khurmi-gupta-theory-of-machines, ch. 15 and 16

    Examples
    --------
    >>> angle = np.radians(np.arange(-360.0, 361.0, 2.0))
    >>> pressure = np.where((angle > 0) & (angle < np.pi), 2e6, 1e5)
    >>> found = engine_torque(angle, pressure, 1e5, 0.086, 0.086, 0.150, 0.0, 0.5, 4.0)
    >>> round(float(found.peak_torque_nm)), round(float(found.mean_torque_nm))
    (494, 302)
    """
    count = int(np.ravel(cylinders)[0])
    angle = np.asarray(crank_angle_rad, dtype=float)
    number = count * max(round(STEPS / count), 1)
    even, steps = even_steps(angle, number), steps_among(angle, number)
    geometry = _accelerated_on_arm(even, over_nodes(stroke_m), over_nodes(rod_length_m), over_nodes(pin_offset_m))
    inertia = over_nodes(reciprocating_mass_kg) * over_nodes(speed_rad_s) ** 2
    lanes = (over_nodes(crankcase_pressure_pa), over_nodes(bore_m), inertia)
    pressure = np.asarray(cylinder_pressure_pa, dtype=float)
    if COMPILED.get():
        from enginelimits.physics.mechanics import compiled

        return EngineTorque(*compiled.turning(pressure, steps, geometry, lanes, count))

    def of_cycle(
        pressure: Array, acceleration: Array, arm: Array, crankcase: Array, bore: Array, inertia: Array
    ) -> tuple[Array, Array]:
        gas = gas_force(at_steps(pressure, steps), crankcase, bore)
        whole = sum_of_shifts(turning_force(gas, acceleration, arm, inertia), count)
        return whole.max(axis=-1), whole.mean(axis=-1)

    return EngineTorque(*in_blocks(of_cycle, pressure, *geometry, *lanes))


def torque_peak_ratio(peak_torque_nm: Array, mean_torque_nm: Array) -> Array:
    """Greatest torque within the cycle over the mean.

    Parameters
    ----------
    peak_torque_nm : array
        Of the whole crank. [N*m]
    mean_torque_nm : array
        The same, over the cycle. [N*m]

    Returns
    -------
    torque_peak_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    peak_torque_nm / mean_torque_nm

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> float(torque_peak_ratio(600.0, 240.0))
    2.5
    """
    return peak_torque_nm / mean_torque_nm
