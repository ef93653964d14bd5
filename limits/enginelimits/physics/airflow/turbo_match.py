"""Turbine, gate, compressor and engine brought to agree, one steady full-load point a lane.

At an expansion ratio of the turbine everything else follows in closed form: what turbine and gate pass, the work that
leaves for each kilogram of air, hence the pressure ratio of the compressor, hence the air that the engine takes.  The
ratio at which that air is the air of the exhaust is the point.  Steady flow, no pulses; the efficiencies are the
caller's and the same wherever the point comes to lie.  (At a shut gate the wheel's tip speed goes with the speed that
the expansion gives the gas, so the efficiency of the turbine hardly drifts.)
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from enginelimits.physics.airflow import compressor, intercooler, turbine
from enginelimits.physics.airflow.boost import back_pressure_factor
from enginelimits.physics.airflow.engine_flow import air_mass_flow, manifold_density, nozzle_mass_flow
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.roots import bracketed_root
from enginelimits.physics.numerics.validity import valid

AIR_HEAT_CAPACITY = 1005.0
AIR_EXPONENT = 3.5
# A turbocharger comes up from rest, so of several balances the lowest is where it settles: it is looked for in steps.
GREATEST_EXPANSION_RATIO = 6.0
STEPS = np.exp(np.linspace(0.0, np.log(GREATEST_EXPANSION_RATIO), 29))
GREATEST_BOOST = 400e3


class TurboMatch(NamedTuple):
    """Not a number, all of it but what is known, where nothing balances.  ``residual``: over the air of the engine."""

    boost_available_pa: Array
    boost_pa: Array
    manifold_pressure_pa: Array
    exhaust_pressure_pa: Array
    expansion_ratio: Array
    bypass_share: Array
    least_boost_pa: Array
    mass_flow_kg_s: Array
    turbine_power_w: Array
    residual: Array


@valid(diameter_m=(0.005, 0.08), gates=(1.0, 4.0))
def gate_area(diameter_m: Array, gates: Array = 1.0) -> Array:
    """Area of all gates, wide open.

    Parameters
    ----------
    diameter_m : array
        Of the valve or port of one gate, the smaller. [m] Valid 0.005 to 0.08.
    gates : array
        How many. [1] Valid 1 to 4.

    Returns
    -------
    gate_area_m2 : array
        Broadcast of the arguments. [m^2]

    Equation
    --------
    gates * pi / 4 * diameter_m ** 2

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(gate_area(0.038)) * 1e6)
    1134
    """
    return gates * np.pi / 4.0 * np.asarray(diameter_m) ** 2


@valid(
    boost_asked_pa=(0.0, 400e3),
    barometer_pa=(30e3, 110e3),
    inlet_pressure_pa=(20e3, 110e3),
    inlet_temperature_k=(230.0, 400.0),
    cooling_air_temperature_k=(230.0, 370.0),
    speed_rad_s=(0.0, 2000.0),
    displacement_m3=(50e-6, 0.02),
    volumetric_efficiency=(0.2, 1.5),
    compression_ratio=(6.0, 20.0),
    compressor_efficiency=(0.3, 0.9),
    cooler_effectiveness=(0.0, 1.0),
    cooler_drop_pa=(0.0, 50e3),
    exhaust_temperature_k=(600.0, 1500.0),
    air_fuel_ratio=(4.0, 25.0),
    after_turbine_loss_pa=(0.0, 150e3),
    swallowing_kg_s=(0.01, 1.0),
    turbine_efficiency=(0.2, 0.9),
    gate_area_m2=(0.0, 0.02),
    turbines=(1.0, 4.0),
    gate_discharge_coefficient=(0.1, 1.0),
    exhaust_heat_capacity_j_kgk=(1100.0, 1300.0),
    exhaust_heat_capacity_ratio=(1.2, 1.45),
)
def turbo_match(
    boost_asked_pa: Array,
    barometer_pa: Array,
    inlet_pressure_pa: Array,
    inlet_temperature_k: Array,
    cooling_air_temperature_k: Array,
    speed_rad_s: Array,
    displacement_m3: Array,
    volumetric_efficiency: Array,
    compression_ratio: Array,
    compressor_efficiency: Array,
    cooler_effectiveness: Array,
    cooler_drop_pa: Array,
    exhaust_temperature_k: Array,
    air_fuel_ratio: Array,
    after_turbine_loss_pa: Array,
    swallowing_kg_s: Array,
    turbine_efficiency: Array,
    gate_area_m2: Array,
    turbines: Array = 1.0,
    gate_discharge_coefficient: Array = 0.7,
    exhaust_heat_capacity_j_kgk: Array = 1150.0,
    exhaust_heat_capacity_ratio: Array = 1.33,
) -> TurboMatch:
    """Boost that a turbocharger has, holds and cannot shed, and what stands before its turbine; steady full load.

    Parameters
    ----------
    boost_asked_pa : array
        At this speed, gauge. [Pa] Valid 0 to 400e3.
    barometer_pa : array
        Outside pressure. [Pa] Valid 30e3 to 110e3.
    inlet_pressure_pa : array
        At the compressor, absolute. [Pa] Valid 20e3 to 110e3.
    inlet_temperature_k : array
        At the compressor. [K] Valid 230 to 400.
    cooling_air_temperature_k : array
        At the face of the charge cooler. [K] Valid 230 to 370.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.
    displacement_m3 : array
        Of all cylinders. [m^3] Valid 50e-6 to 0.02.
    volumetric_efficiency : array
        Of manifold density, at equal pressures of manifold and exhaust. [1] Valid 0.2 to 1.5.
    compression_ratio : array
        Geometric. [1] Valid 6 to 20.
    compressor_efficiency : array
        Isentropic, total to total. [1] Valid 0.3 to 0.9.
    cooler_effectiveness : array
        Of the charge cooler; 0 without one. [1] Valid 0 to 1.
    cooler_drop_pa : array
        From compressor to manifold. [Pa] Valid 0 to 50e3.
    exhaust_temperature_k : array
        Before the turbine. [K] Valid 600 to 1500.
    air_fuel_ratio : array
        By mass, as burned. [1] Valid 4 to 25.
    after_turbine_loss_pa : array
        Of pipe, catalyst and silencer at this flow. [Pa] Valid 0 to 150e3.
    swallowing_kg_s : array
        Of one turbine at 100 kPa, 288 K and an expansion ratio of 2. [kg/s] Valid 0.01 to 1.
    turbine_efficiency : array
        Total to static, times mechanical. [1] Valid 0.2 to 0.9.
    gate_area_m2 : array
        Of all gates, wide open; 0 without one. [m^2] Valid 0 to 0.02.
    turbines : array
        How many share the exhaust. [1] Valid 1 to 4.
    gate_discharge_coefficient : array
        Effective over geometric area, with the way to the gate. [1] Valid 0.1 to 1.
    exhaust_heat_capacity_j_kgk : array
        At constant pressure. [J/(kg*K)] Valid 1100 to 1300.
    exhaust_heat_capacity_ratio : array
        Of the exhaust. [1] Valid 1.2 to 1.45.

    Returns
    -------
    boost_available_pa : array
        With the gate shut, gauge; 400e3 where it would be more. [Pa]
    boost_pa : array
        What is asked for, unless less is there or the open gate leaves more. [Pa]
    manifold_pressure_pa, exhaust_pressure_pa : array
        Absolute; the latter before the turbine. [Pa]
    expansion_ratio : array
        Turbine inlet over outlet. [1]
    bypass_share : array
        Of the exhaust, through the gate. [1]
    least_boost_pa : array
        With the gate wide open, gauge; 400e3 where it would be more; not a number for an unknown gate. [Pa]
    mass_flow_kg_s : array
        Air. [kg/s]
    turbine_power_w : array
        At the compressor. [W]
    residual : array
        What is left of the balance over the whole of it. [1]

    Equation
    --------
    Solved: turbine and gate pass what the engine takes, and the turbine gives what the compressor needs
        ((1 + 1 / air_fuel_ratio) * (1 - bypass_share) * turbine work a kg = compressor work a kg).
        Gate shut: boost available.  Gate wide open: least boost.  Between: the expansion ratio that holds the boost
        asked for; the gate takes the rest.

    Source
    ------
    heywood-1988, sec. 6.8; watson-janota-1982

    Examples
    --------
    >>> at = turbo_match(69e3, 101e3, 99e3, 298.0, 298.0, np.array([200.0, 600.0]), 2e-3, 0.95, 10.0,
    ...                  0.72, 0.7, 5e3, 1150.0, 12.0, np.array([2e3, 15e3]), 0.14, 0.66, 1.1e-3)
    >>> (at.boost_pa / 1e3).round().tolist(), (at.bypass_share * 100).round().tolist()
    ([20.0, 69.0], [0.0, 32.0])
    """
    exhaust_for_air = 1.0 + 1.0 / np.asarray(air_fuel_ratio, dtype=float)
    outlet_pa = np.asarray(barometer_pa) + after_turbine_loss_pa

    def turbine_flow(ratio: Array) -> Array:
        return turbine.mass_flow(
            ratio, ratio * outlet_pa, exhaust_temperature_k, swallowing_kg_s, turbines, exhaust_heat_capacity_ratio
        )

    def gate_flow(ratio: Array) -> Array:
        return nozzle_mass_flow(
            gate_area_m2,
            gate_discharge_coefficient,
            ratio * outlet_pa,
            exhaust_temperature_k,
            outlet_pa,
            exhaust_heat_capacity_ratio,
        )

    def turbine_work(ratio: Array) -> Array:
        return turbine.specific_work(
            ratio,
            exhaust_temperature_k,
            turbine_efficiency,
            exhaust_heat_capacity_j_kgk,
            exhaust_heat_capacity_ratio,
        )

    def engine_air(manifold_pa: Array, ratio: Array) -> Array:
        """Air that the engine takes between these two pressures."""
        hot_k = compressor.outlet_temperature(
            inlet_temperature_k, (manifold_pa + cooler_drop_pa) / inlet_pressure_pa, compressor_efficiency
        )
        cool_k = intercooler.outlet_temperature(hot_k, cooling_air_temperature_k, cooler_effectiveness)
        held = back_pressure_factor(ratio * outlet_pa / manifold_pa, compression_ratio)
        density = manifold_density(manifold_pa, cool_k)
        return air_mass_flow(volumetric_efficiency * held, density, displacement_m3, speed_rad_s)

    def manifold_pa_driven(ratio: Array, gate_open: bool) -> tuple[Array, Array]:
        """Manifold pressure that the turbine drives at this expansion ratio, and the exhaust that flows."""
        driving = turbine_flow(ratio)
        exhaust = driving + gate_flow(ratio) if gate_open else driving
        share = driving / np.where(exhaust == 0.0, 1.0, exhaust)
        rise = compressor_efficiency * exhaust_for_air * share * turbine_work(ratio)
        pressure_ratio = (1.0 + rise / (AIR_HEAT_CAPACITY * np.asarray(inlet_temperature_k))) ** AIR_EXPONENT
        return pressure_ratio * inlet_pressure_pa - cooler_drop_pa, exhaust

    def balance(gate_open: bool) -> Callable[[Array], Array]:
        """What the engine takes beyond what turbine and gate let go."""

        def left(ratio: Array) -> Array:
            manifold_pa, exhaust = manifold_pa_driven(ratio, gate_open)
            return engine_air(manifold_pa, ratio) - exhaust / exhaust_for_air

        return left

    shut, wide = _first_balance(balance(False)), _first_balance(balance(True))
    # Where even the greatest ratio looked at does not hold the flow back, what it drives is there at the least.
    # What is unknown leaves no balance anywhere, the greatest ratio included.
    at_most = np.full(np.shape(shut), GREATEST_EXPANSION_RATIO)
    unknown, unknown_gate = (np.isnan(balance(gate_open)(at_most)) for gate_open in (False, True))
    shut_ratio = np.where(unknown, np.nan, np.where(np.isnan(shut), at_most, shut))
    available = np.minimum(manifold_pa_driven(shut_ratio, False)[0] - barometer_pa, GREATEST_BOOST)
    wide_ratio = np.where(unknown_gate, np.nan, np.where(np.isnan(wide), at_most, wide))
    least = np.minimum(manifold_pa_driven(wide_ratio, True)[0] - barometer_pa, GREATEST_BOOST)
    creeps, short = least > boost_asked_pa, available < boost_asked_pa
    boost = np.where(short, available, np.where(creeps, least, boost_asked_pa))
    manifold = boost + barometer_pa

    def surplus(ratio: Array) -> Array:
        """Turbine power at this ratio beyond what the compressor needs for the boost that is held, over the latter."""
        hot_k = compressor.outlet_temperature(
            inlet_temperature_k, (manifold + cooler_drop_pa) / inlet_pressure_pa, compressor_efficiency
        )
        needed = engine_air(manifold, ratio) * AIR_HEAT_CAPACITY * (hot_k - inlet_temperature_k)
        return turbine_flow(ratio) * turbine_work(ratio) - needed

    held = bracketed_root(surplus, np.ones(np.shape(boost)), shut_ratio, tolerance=1e-9)
    # A gate that leaves more than is looked for leaves no point to stand on.
    runs_away = np.isnan(wide) | (least >= GREATEST_BOOST)
    solved = ~np.where(short, np.isnan(shut), np.where(creeps, runs_away, np.isnan(held.root)))
    ratio = np.where(solved & ~unknown, np.where(short, shut, np.where(creeps, wide, held.root)), np.nan)
    air = engine_air(manifold, ratio)
    driving = turbine_flow(ratio)
    power = driving * turbine_work(ratio)
    exhaust = air * exhaust_for_air
    bypass = np.where(short & solved, 0.0, 1.0 - driving / exhaust)
    of_power = surplus(ratio) / np.where(power > 0.0, power, 1.0)
    of_flow = np.where(short, driving, driving + gate_flow(ratio)) / exhaust - 1.0
    residual = np.maximum(np.abs(of_power), np.where(short | creeps, np.abs(of_flow), 0.0))
    held_boost = np.where(solved & ~unknown, boost, np.nan)
    return TurboMatch(
        boost_available_pa=available,
        boost_pa=held_boost,
        manifold_pressure_pa=held_boost + barometer_pa,
        exhaust_pressure_pa=ratio * outlet_pa,
        expansion_ratio=ratio,
        bypass_share=bypass,
        least_boost_pa=least,
        mass_flow_kg_s=air,
        turbine_power_w=power,
        residual=residual,
    )


def _first_balance(left: Callable[[Array], Array]) -> Array:
    """Lowest expansion ratio at which ``left`` turns from positive to negative, each lane; NaN without one."""
    was = left(STEPS[0])
    low = np.full(np.shape(was), np.nan)
    high = low.copy()
    for before, after in itertools.pairwise(STEPS):
        now = left(after)
        crossed = np.isnan(low) & (was >= 0.0) & (now < 0.0)
        was = now
        low, high = np.where(crossed, before, low), np.where(crossed, after, high)
        if not np.isnan(low).any():
            break
    return bracketed_root(left, low, high, tolerance=1e-9).root


@valid(boost_pa=(0.0, 400e3), boost_asked_pa=(0.0, 400e3), speed_rad_s=(0.0, 2000.0), share_reached=(0.5, 1.0))
def boost_threshold(
    boost_pa: Array, boost_asked_pa: Array, speed_rad_s: Array, share_reached: Array = 0.95
) -> Array:
    """Lowest speed at which a share of the boost asked for there is reached; linear between speeds.

    The first speed where it is there at once; not a number where it never is, or nothing is asked for.

    Parameters
    ----------
    boost_pa : array
        Delivered, gauge, speeds rising on the last axis. [Pa] Valid 0 to 400e3.
    boost_asked_pa : array
        Gauge, speeds on the last axis. [Pa] Valid 0 to 400e3.
    speed_rad_s : array
        Crankshaft, rising, on the last axis. [rad/s] Valid 0 to 2000.
    share_reached : array
        Of the boost asked for. [1] Valid 0.5 to 1.

    Returns
    -------
    speed_rad_s : array
        The speed axis kept, of length one. [rad/s]

    Equation
    --------
    Solved: first crossing of boost_pa - share_reached * boost_asked_pa over speed_rad_s, upward

    Source
    ------
    own-computation

    Examples
    --------
    >>> speeds = np.array([200.0, 300.0, 400.0])
    >>> round(float(boost_threshold(np.array([10e3, 40e3, 69e3]), np.full(3, 60e3), speeds)[0]), 1)
    358.6
    """
    share = np.asarray(share_reached, dtype=float)[..., None]
    over, asked, speed = np.broadcast_arrays(
        boost_pa - share * np.asarray(boost_asked_pa, dtype=float), boost_asked_pa, speed_rad_s
    )
    there = (over >= 0.0) & (asked > 0.0)
    at = np.argmax(there, axis=-1)[..., None]
    before = np.maximum(at - 1, 0)
    ends = [np.take_along_axis(v, i, axis=-1)[..., 0] for v in (over, speed) for i in (before, at)]
    over_low, over_high, speed_low, speed_high = ends
    rise = np.where(over_high > over_low, over_high - over_low, 1.0)
    part = np.where((at[..., 0] > 0) & (over_low < 0.0), -over_low / rise, 1.0)
    found = np.where(there.any(axis=-1), speed_low + part * (speed_high - speed_low), np.nan)
    return found[..., None]


@valid(least_boost_pa=(-1e5, 400e3), boost_asked_pa=(0.0, 400e3))
def boost_creep(least_boost_pa: Array, boost_asked_pa: Array) -> Array:
    """Boost beyond what is asked for that a gate wide open cannot shed.

    Parameters
    ----------
    least_boost_pa : array
        With the gate wide open, gauge. [Pa] Valid -1e5 to 400e3.
    boost_asked_pa : array
        Gauge. [Pa] Valid 0 to 400e3.

    Returns
    -------
    boost_creep_pa : array
        Broadcast of the arguments; 0 where the gate has it in hand. [Pa]

    Equation
    --------
    max(0, least_boost_pa - boost_asked_pa)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(boost_creep(62e3, 48e3))
    14000.0
    """
    return np.maximum(0.0, np.asarray(least_boost_pa, dtype=float) - boost_asked_pa)
