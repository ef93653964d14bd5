"""Superchargers on a belt: what impeller or rotors make of crank speed.

Drive power itself is that of :mod:`compressor`, the belt is :mod:`belt`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.airflow import compressor, intercooler
from enginelimits.physics.airflow.boost import back_pressure_factor
from enginelimits.physics.airflow.engine_flow import manifold_density
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.roots import bracketed_root
from enginelimits.physics.numerics.validity import valid

GREATEST_PRESSURE_RATIO = 4.0


@valid(speed_rad_s=(0.0, 2000.0), drive_ratio=(0.5, 20.0), belt_slip=(0.0, 0.3))
def rotor_speed(speed_rad_s: Array, drive_ratio: Array, belt_slip: Array = 0.0) -> Array:
    """Speed of impeller or rotors.

    Parameters
    ----------
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    drive_ratio : array
        Rotor or impeller over crank, step-up gear included. [1] Valid 0.5 to 20.
    belt_slip : array
        Share of the speed lost in the belt. [1] Valid 0 to 0.3.

    Returns
    -------
    rotor_speed_rad_s : array
        Broadcast of the arguments. [rad/s]

    Equation
    --------
    speed_rad_s * drive_ratio * (1 - belt_slip)

    Source
    ------
    common-practice

    Examples
    --------
    >>> rotor_speed(700.0, 8.0)
    5600.0
    """
    return speed_rad_s * drive_ratio * (1.0 - belt_slip)


@valid(
    tip_speed_m_s=(0.0, 600.0),
    inlet_temperature_k=(230.0, 400.0),
    efficiency=(0.3, 0.9),
    work_coefficient=(0.3, 1.05),
    heat_capacity_ratio=(1.3, 1.45),
)
def impeller_pressure_ratio(
    tip_speed_m_s: Array,
    inlet_temperature_k: Array,
    efficiency: Array,
    work_coefficient: Array = 0.65,
    heat_capacity_ratio: Array = 1.4,
) -> Array:
    """Pressure ratio that a centrifugal impeller makes of its tip speed.

    Where the work coefficient holds, that is as long as the engine's flow goes up with speed as the impeller does.

    Parameters
    ----------
    tip_speed_m_s : array
        Of the impeller's exducer. [m/s] Valid 0 to 600.
    inlet_temperature_k : array
        Total, at the inlet. [K] Valid 230 to 400.
    efficiency : array
        Isentropic, total to total. [1] Valid 0.3 to 0.9.
    work_coefficient : array
        Work a kilogram over the square of the tip speed; slip, backsweep and windage in one. [1] Valid 0.3 to 1.05.
    heat_capacity_ratio : array
        Of air. [1] Valid 1.3 to 1.45.

    Returns
    -------
    pressure_ratio : array
        Outlet over inlet, total, broadcast of the arguments. [1]

    Equation
    --------
    rise = efficiency * work_coefficient * tip_speed_m_s ** 2 / (1005 * inlet_temperature_k)
    (1 + rise) ** (heat_capacity_ratio / (heat_capacity_ratio - 1))

    Source
    ------
    cohen-rogers-saravanamuttoo-1996, eq. 4.5

    Examples
    --------
    >>> round(float(impeller_pressure_ratio(455.5, 295.0, 0.78, 1.04 * 0.9)), 1)
    4.2
    """
    rise = efficiency * work_coefficient * np.asarray(tip_speed_m_s) ** 2 / (1005.0 * np.asarray(inlet_temperature_k))
    return (1.0 + rise) ** (heat_capacity_ratio / (heat_capacity_ratio - 1.0))


@valid(pressure_ratio=(1.01, 6.0), wanted_pressure_ratio=(1.0, 6.0), heat_capacity_ratio=(1.3, 1.45))
def impeller_speed_share(
    pressure_ratio: Array, wanted_pressure_ratio: Array, heat_capacity_ratio: Array = 1.4
) -> Array:
    """Speed of a centrifugal impeller for one pressure ratio over its speed for another.

    At the same efficiency and work coefficient, as long as the engine's flow goes up with speed as the impeller does.

    Parameters
    ----------
    pressure_ratio : array
        That it makes, outlet over inlet. [1] Valid 1.01 to 6.
    wanted_pressure_ratio : array
        That it is to make. [1] Valid 1 to 6.
    heat_capacity_ratio : array
        Of air. [1] Valid 1.3 to 1.45.

    Returns
    -------
    speed_share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    exponent = (heat_capacity_ratio - 1) / heat_capacity_ratio
    sqrt((wanted_pressure_ratio ** exponent - 1) / (pressure_ratio ** exponent - 1))

    Source
    ------
    cohen-rogers-saravanamuttoo-1996, eq. 4.5

    Examples
    --------
    >>> round(float(impeller_speed_share(1.68, 1.408)), 3)
    0.802
    """
    exponent = (heat_capacity_ratio - 1.0) / heat_capacity_ratio
    made, wanted = (np.asarray(ratio) ** exponent - 1.0 for ratio in (pressure_ratio, wanted_pressure_ratio))
    return np.sqrt(wanted / made)


@valid(
    pressure_ratio=(0.9, 6.0),
    inlet_pressure_pa=(20e3, 110e3),
    cooler_drop_pa=(0.0, 50e3),
    barometer_pa=(30e3, 110e3),
)
def boost_of_pressure_ratio(
    pressure_ratio: Array, inlet_pressure_pa: Array, cooler_drop_pa: Array, barometer_pa: Array
) -> Array:
    """Gauge boost that a pressure ratio leaves at the manifold; below nil where the losses take more.

    Parameters
    ----------
    pressure_ratio : array
        Outlet over inlet of the compressor, absolute. [1] Valid 0.9 to 6.
    inlet_pressure_pa : array
        At the compressor, absolute. [Pa] Valid 20e3 to 110e3.
    cooler_drop_pa : array
        From compressor to manifold. [Pa] Valid 0 to 50e3.
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.

    Returns
    -------
    boost_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    pressure_ratio * inlet_pressure_pa - cooler_drop_pa - barometer_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> boost_of_pressure_ratio(1.7, 100e3, 5e3, 101e3)
    64000.0
    """
    return pressure_ratio * inlet_pressure_pa - cooler_drop_pa - barometer_pa


@valid(pressure_ratio=(1.0, 4.0), rotor_speed_rad_s=(20.0, 3000.0), leakage_speed_rad_s=(0.0, 400.0))
def delivery_share(pressure_ratio: Array, rotor_speed_rad_s: Array, leakage_speed_rad_s: Array) -> Array:
    """Air that rotors deliver over what they sweep: leakage back through the gaps takes the rest.

    Leakage follows the root of the pressure difference and hardly the speed, so it counts for more at low speed.

    Parameters
    ----------
    pressure_ratio : array
        Outlet over inlet, absolute. [1] Valid 1 to 4.
    rotor_speed_rad_s : array
        Of the rotor that the displacement is stated for. [rad/s] Valid 20 to 3000.
    leakage_speed_rad_s : array
        Rotor speed that only makes good the leakage at a pressure ratio of 2. [rad/s] Valid 0 to 400.

    Returns
    -------
    delivery_share : array
        Broadcast of the arguments; nil or below where nothing comes through. [1]

    Equation
    --------
    1 - leakage_speed_rad_s * sqrt(pressure_ratio - 1) / rotor_speed_rad_s

    Source
    ------
    common-practice, slip of rotary blowers

    Examples
    --------
    >>> round(float(delivery_share(1.7, 1200.0, 110.0)), 3)
    0.923
    """
    return 1.0 - leakage_speed_rad_s * np.sqrt(np.asarray(pressure_ratio) - 1.0) / rotor_speed_rad_s


@valid(pressure_ratio=(1.02, 4.0), heat_capacity_ratio=(1.3, 1.67))
def roots_efficiency_ideal(pressure_ratio: Array, heat_capacity_ratio: Array = 1.4) -> Array:
    """Isentropic efficiency of a blower without leakage or friction that compresses only by backflow.

    No blower without compression inside its rotors does better.

    Parameters
    ----------
    pressure_ratio : array
        Outlet over inlet, absolute. [1] Valid 1.02 to 4.
    heat_capacity_ratio : array
        Of air. [1] Valid 1.3 to 1.67.

    Returns
    -------
    efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    exponent = (heat_capacity_ratio - 1) / heat_capacity_ratio
    (pressure_ratio ** exponent - 1) / (exponent * (pressure_ratio - 1))

    Source
    ------
    own-computation, isentropic work over that of the rectangle in pressure and volume

    Examples
    --------
    >>> round(float(roots_efficiency_ideal(2.0)), 3)
    0.767
    """
    ratio = np.asarray(pressure_ratio, dtype=float)
    exponent = (heat_capacity_ratio - 1.0) / np.asarray(heat_capacity_ratio)
    return (ratio**exponent - 1.0) / (exponent * (ratio - 1.0))


class BlowerMatch(NamedTuple):
    """``delivery_share`` is what leakage leaves; ``residual`` is over the engine's air."""

    pressure_ratio: Array
    boost_pa: Array
    mass_flow_kg_s: Array
    delivery_share: Array
    residual: Array


@valid(
    barometer_pa=(30e3, 110e3),
    inlet_pressure_pa=(20e3, 110e3),
    inlet_temperature_k=(230.0, 400.0),
    cooling_air_temperature_k=(230.0, 370.0),
    speed_rad_s=(20.0, 2000.0),
    displacement_m3=(50e-6, 0.02),
    volumetric_efficiency=(0.2, 1.5),
    compression_ratio=(6.0, 20.0),
    exhaust_pressure_pa=(30e3, 300e3),
    displacement_per_rev_m3=(1e-4, 0.01),
    drive_ratio=(0.5, 20.0),
    leakage_speed_rad_s=(0.0, 400.0),
    efficiency=(0.3, 0.9),
    cooler_effectiveness=(0.0, 1.0),
    cooler_drop_pa=(0.0, 50e3),
    belt_slip=(0.0, 0.3),
    blowers=(1.0, 4.0),
)
def blower_match(
    barometer_pa: Array,
    inlet_pressure_pa: Array,
    inlet_temperature_k: Array,
    cooling_air_temperature_k: Array,
    speed_rad_s: Array,
    displacement_m3: Array,
    volumetric_efficiency: Array,
    compression_ratio: Array,
    exhaust_pressure_pa: Array,
    displacement_per_rev_m3: Array,
    drive_ratio: Array,
    leakage_speed_rad_s: Array,
    efficiency: Array,
    cooler_effectiveness: Array,
    cooler_drop_pa: Array,
    belt_slip: Array = 0.0,
    blowers: Array = 1.0,
) -> BlowerMatch:
    """Boost of a positive-displacement supercharger: engine and rotors take the same air, bypass shut, full load.

    Rotors that move less than the engine takes at pressure ratio 1 give none: their bypass lets the rest by.

    Parameters
    ----------
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    inlet_pressure_pa : array
        At the rotors, absolute. [Pa] Valid 20e3 to 110e3.
    inlet_temperature_k : array
        At the rotors. [K] Valid 230 to 400.
    cooling_air_temperature_k : array
        At the face of the charge cooler. [K] Valid 230 to 370.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 20 to 2000.
    displacement_m3 : array
        Of all cylinders. [m^3] Valid 50e-6 to 0.02.
    volumetric_efficiency : array
        Of manifold density, at equal pressures of manifold and exhaust. [1] Valid 0.2 to 1.5.
    compression_ratio : array
        Geometric, of the engine. [1] Valid 6 to 20.
    exhaust_pressure_pa : array
        In the exhaust manifold, absolute. [Pa] Valid 30e3 to 300e3.
    displacement_per_rev_m3 : array
        Swept by the rotors of one blower in one turn. [m^3] Valid 1e-4 to 0.01.
    drive_ratio : array
        Rotor over crank, step-up gear included. [1] Valid 0.5 to 20.
    leakage_speed_rad_s : array
        Rotor speed that only makes good the leakage at a pressure ratio of 2. [rad/s] Valid 0 to 400.
    efficiency : array
        Isentropic. [1] Valid 0.3 to 0.9.
    cooler_effectiveness : array
        Of the charge cooler; 0 without one. [1] Valid 0 to 1.
    cooler_drop_pa : array
        From rotors to manifold. [Pa] Valid 0 to 50e3.
    belt_slip : array
        Share of the speed lost in the belt. [1] Valid 0 to 0.3.
    blowers : array
        How many share the engine's air. [1] Valid 1 to 4.

    Returns
    -------
    pressure_ratio : array
        Outlet over inlet of the rotors; not a number beyond 4. [1]
    boost_pa : array
        At the manifold, gauge. [Pa]
    mass_flow_kg_s : array
        Air. [kg/s]
    delivery_share : array
        Air delivered over air swept. [1]
    residual : array
        What is left of the balance over the engine's air; not nil where the bypass opens. [1]

    Equation
    --------
    Solved: swept volume of all * density before the rotors * delivery_share = what the engine takes behind the cooler

    Source
    ------
    heywood-1988, sec. 6.8, flows of blower and engine set equal

    Examples
    --------
    >>> at = blower_match(101e3, 99e3, 298.0, 298.0, 600.0, 2e-3, 0.9, 10.0, 115e3, 0.9e-3, 1.9, 110.0, 0.6, 0.7, 4e3)
    >>> round(float(at.boost_pa) / 1e3), round(float(at.delivery_share), 2)
    (81, 0.91)
    """
    rotors = rotor_speed(speed_rad_s, drive_ratio, belt_slip)
    inlet_density = manifold_density(inlet_pressure_pa, inlet_temperature_k)
    swept = blowers * np.asarray(displacement_per_rev_m3) * rotors / (2.0 * np.pi) * inlet_density

    def taken(ratio: Array) -> Array:
        hot_k = compressor.outlet_temperature(inlet_temperature_k, ratio, efficiency)
        cool_k = intercooler.outlet_temperature(hot_k, cooling_air_temperature_k, cooler_effectiveness)
        manifold_pa = ratio * inlet_pressure_pa - cooler_drop_pa
        filling = volumetric_efficiency * back_pressure_factor(exhaust_pressure_pa / manifold_pa, compression_ratio)
        volume_flow = displacement_m3 * speed_rad_s / (4.0 * np.pi)
        return filling * volume_flow * manifold_density(manifold_pa, cool_k)

    def surplus(ratio: Array) -> Array:
        return swept * delivery_share(ratio, rotors, leakage_speed_rad_s) - taken(ratio)

    small = surplus(1.0) <= 0.0
    found = bracketed_root(surplus, 1.0, np.full(np.shape(small), GREATEST_PRESSURE_RATIO), tolerance=1e-9).root
    ratio = np.where(small, 1.0, found)
    air = taken(ratio)
    return BlowerMatch(
        ratio,
        boost_of_pressure_ratio(ratio, inlet_pressure_pa, cooler_drop_pa, barometer_pa),
        air,
        delivery_share(ratio, rotors, leakage_speed_rad_s),
        surplus(ratio) / air,
    )


@valid(boost_pa=(-1e5, 400e3))
def boost_made(boost_pa: Array) -> Array:
    """Boost of a driven machine, never less than nil: below that the engine draws through its bypass.

    Parameters
    ----------
    boost_pa : array
        By pressure ratio and losses, gauge. [Pa] Valid -100000 to 400000.

    Returns
    -------
    boost_made_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    max(0, boost_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_made(-2e3))
    0.0
    """
    return np.maximum(0.0, np.asarray(boost_pa, dtype=float))
