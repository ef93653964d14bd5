"""From exhaust opening to the turbine: what leaves the cylinder, how hot, and where the fuel's energy went."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.heat_transfer import WOSCHNI_GAS_EXCHANGE, woschni_coefficient
from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.gas.equilibrium import burned_gas, value_and_slope_at, value_at, value_at_enthalpy
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

_REFERENCE_TEMPERATURE = 298.15  # K
_AIR = 1010.0  # J/(kg*K)


class ExhaustGas(NamedTuple):
    """Of the gas that leaves through the valve, mean over its mass."""

    temperature_k: Array
    energy_j_kg: Array  # enthalpy over complete products at 298.15 K
    chemical_j_kg: Array  # part of it that is CO and H2 for want of air
    heat_capacity_j_kgk: Array
    wall_heat_j: Array  # to cylinder walls while the exhaust valve is open


@valid(
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    compression_ratio=(6.0, 16.0),
    exhaust_opening_rad=(0.0, 1.6),
    opening_pressure_pa=(5e4, 3e6),
    opening_temperature_k=(700.0, 2600.0),
    opening_energy_j_kg=(-1e6, 6e6),
    exhaust_pressure_pa=(5e4, 8e5),
    lambda_ratio=(0.6, 1.5),
    speed_rad_s=(50.0, 1500.0),
    wall_temperature_k=(300.0, 600.0),
    heat_transfer_factor=(0.0, 3.0),
    ethanol_mass_fraction=(0.0, 1.0),
    methanol_mass_fraction=(0.0, 1.0),
)
def exhaust_gas(
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    exhaust_opening_rad: Array,
    opening_pressure_pa: Array,
    opening_temperature_k: Array,
    opening_energy_j_kg: Array,
    exhaust_pressure_pa: Array,
    lambda_ratio: Array,
    speed_rad_s: Array,
    wall_temperature_k: Array,
    heat_transfer_factor: Array,
    ethanol_mass_fraction: Array = 0.0,
    methanol_mass_fraction: Array = 0.0,
) -> ExhaustGas:
    """Gas that leaves one cylinder: blowdown while the piston nears the bottom, then the rest pushed out.

    Gas that stays behind expands without loss to exhaust pressure, and is pushed out at that temperature. What the
    blowdown takes is the difference in energy of the contents less half of the work that the closed expansion would
    still have done. Cylinder walls take heat by Woschni's coefficient for gas exchange; port and manifold come after.

    Parameters
    ----------
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 0.60.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    exhaust_opening_rad : array
        Before bottom dead centre. [rad] Valid 0 to 1.6.
    opening_pressure_pa : array
        In the cylinder at exhaust opening. [Pa] Valid 5e4 to 3e6.
    opening_temperature_k : array
        Of the burned gas there. [K] Valid 700 to 2600.
    opening_energy_j_kg : array
        Internal energy of it over complete products at 298.15 K. [J/kg] Valid -1e6 to 6e6.
    exhaust_pressure_pa : array
        At the ports, absolute. [Pa] Valid 5e4 to 8e5.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 50 to 1500.
    wall_temperature_k : array
        Mean over head, crown and liner. [K] Valid 300 to 600.
    heat_transfer_factor : array
        On Woschni's coefficient; 0 for none. [1] Valid 0 to 3.
    ethanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.
    methanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.

    Returns
    -------
    gas : ExhaustGas
        Temperature [K], enthalpy and the chemical part of it [J/kg], mean over the mass that leaves, its heat
        capacity [J/(kg*K)], and the heat that cylinder walls take meanwhile [J].

    Equation
    --------
    Solved: isentropic expansion of what stays, first law on what leaves, from opening_pressure_pa to
    exhaust_pressure_pa

    Source
    ------
    heywood-1988, sec. 6.5, with woschni-1967

    Examples
    --------
    >>> gas = exhaust_gas(
    ...     bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=10.0, exhaust_opening_rad=0.9,
    ...     opening_pressure_pa=5e5, opening_temperature_k=1700.0, opening_energy_j_kg=1.45e6,
    ...     exhaust_pressure_pa=1.1e5, lambda_ratio=0.95, speed_rad_s=400.0, wall_temperature_k=450.0,
    ...     heat_transfer_factor=1.0)
    >>> 1100.0 < float(gas.temperature_k) < 1400.0
    True
    """
    burned = burned_gas(lambda_ratio, ethanol_mass_fraction, methanol_mass_fraction)
    chamber = Chamber(bore_m, stroke_m, rod_length_m, compression_ratio)
    opening_volume = chamber.volume_m3(np.pi - np.asarray(exhaust_opening_rad))
    bottom_volume = chamber.clearance_m3 + chamber.displacement_m3
    constant = value_at(burned.constant, 290.0 * np.asarray(opening_temperature_k), opening_pressure_pa)
    y = constant * opening_temperature_k
    gamma = 1.0 + 1.0 / value_and_slope_at(burned.energy, y, opening_pressure_pa)[1]
    capacity = gamma / (gamma - 1.0) * constant
    ratio = np.minimum(exhaust_pressure_pa / np.asarray(opening_pressure_pa), 1.0)
    left_temperature = opening_temperature_k * ratio ** ((gamma - 1.0) / gamma)
    # masses over the mass at exhaust opening
    left = ratio * bottom_volume / opening_volume * (opening_temperature_k / left_temperature)
    left = np.minimum(left, 1.0)
    kept = left * chamber.clearance_m3 / bottom_volume
    left_energy = opening_energy_j_kg - capacity / gamma * (opening_temperature_k - left_temperature)
    full = opening_pressure_pa * (opening_volume / bottom_volume) ** gamma
    work = 0.5 * (0.5 * (opening_pressure_pa + full) + exhaust_pressure_pa) * (bottom_volume - opening_volume)
    mass = opening_pressure_pa * opening_volume / y

    def to_walls(pressure: Array, temperature: Array, volume: Array, angle: Array) -> Array:
        """Heat that one kelvin of difference drives through the walls while the crank turns by an angle. [J/K]"""
        gas_speed = WOSCHNI_GAS_EXCHANGE * stroke_m * np.asarray(speed_rad_s) / np.pi
        coefficient = woschni_coefficient(bore_m, pressure, temperature, gas_speed)
        area = 2.0 * chamber.bore_area_m2 + 4.0 * volume / bore_m
        return heat_transfer_factor * coefficient * area * angle / speed_rad_s

    between = 0.5 * (opening_temperature_k + left_temperature)
    blown_heat = to_walls(
        0.5 * (full + exhaust_pressure_pa), between, bottom_volume, np.asarray(exhaust_opening_rad)
    ) * (between - wall_temperature_k)
    half_full = chamber.clearance_m3 + 0.5 * chamber.displacement_m3
    # gas leaves all the while that it cools: half of it is there on the mean, and what leaves has cooled half as much
    # as the last of it
    there = 0.5 * mass * (left + kept) * capacity
    units = to_walls(exhaust_pressure_pa, left_temperature, half_full, np.pi) / there
    none = units < 1e-8
    share = np.where(none, 0.0, 1.0 + np.expm1(-units) / np.where(none, 1.0, units))
    pushed_cooling = (left_temperature - wall_temperature_k) * share
    pushed_heat = mass * (left - kept) * capacity * pushed_cooling
    blown = opening_energy_j_kg - left * left_energy - (work + blown_heat) / mass
    pushed = (left - kept) * (left_energy + constant * left_temperature - capacity * pushed_cooling)
    mean = (blown + pushed) / (1.0 - kept)
    at_valve = value_at_enthalpy(burned, mean, exhaust_pressure_pa)
    temperature = at_valve / value_at(burned.constant, at_valve, exhaust_pressure_pa)
    chemical = np.broadcast_to(burned.residual[5], np.shape(mean))
    return ExhaustGas(temperature, mean, chemical, capacity, blown_heat + pushed_heat)


@valid(
    valve_temperature_k=(600.0, 2200.0),
    wall_temperature_k=(300.0, 1100.0),
    transfer_units=(0.0, 1.5),
    mass_flow_kg_s=(1e-3, 3.0),
    cylinders=(1.0, 16.0),
    reference_mass_flow_kg_s=(1e-3, 1.0),
)
def port_outlet_temperature(
    valve_temperature_k: Array,
    wall_temperature_k: Array,
    transfer_units: Array,
    mass_flow_kg_s: Array,
    cylinders: Array,
    reference_mass_flow_kg_s: Array,
) -> Array:
    """Exhaust gas behind port and manifold, cooled by their walls: more at little flow through each port.

    Parameters
    ----------
    valve_temperature_k : array
        Mean of what leaves the valves. [K] Valid 600 to 2200.
    wall_temperature_k : array
        Mean of port and manifold. [K] Valid 300 to 1100.
    transfer_units : array
        Number of transfer units of the class at its reference flow. [1] Valid 0 to 1.5.
    mass_flow_kg_s : array
        Air through the engine. [kg/s] Valid 1e-3 to 3.
    cylinders : array
        Number of cylinders: each has a port and a runner of its own. [1] Valid 1 to 16.
    reference_mass_flow_kg_s : array
        Air of one cylinder, of the class. [kg/s] Valid 1e-3 to 1.

    Returns
    -------
    temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    units = transfer_units * (cylinders * reference_mass_flow_kg_s / mass_flow_kg_s)**0.2
    wall_temperature_k + (valve_temperature_k - wall_temperature_k) * exp(-units)

    Source
    ------
    common-practice, pipe flow with a coefficient that grows with the 0.8th power of the flow

    Examples
    --------
    >>> round(float(port_outlet_temperature(1300.0, 800.0, 0.2, 0.1, 4.0, 0.025)))
    1209
    """
    units = transfer_units * (cylinders * np.asarray(reference_mass_flow_kg_s) / mass_flow_kg_s) ** 0.2
    return wall_temperature_k + (valve_temperature_k - np.asarray(wall_temperature_k)) * np.exp(-units)


@valid(temperature_k=(600.0, 2200.0), probe_error_k=(-150.0, 150.0))
def probe_reading(temperature_k: Array, probe_error_k: Array) -> Array:
    """Steady reading of a shielded probe before the turbine.

    Parameters
    ----------
    temperature_k : array
        Of the gas, mean over its mass. [K] Valid 600 to 2200.
    probe_error_k : array
        Radiation and conduction of the probe against the higher mean over time. [K] Valid -150 to 150.

    Returns
    -------
    temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    temperature_k + probe_error_k

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(probe_reading(1210.0, -15.0))
    1195.0
    """
    return np.asarray(temperature_k) + probe_error_k


class EnergyShares(NamedTuple):
    """Shares of the heat that the fuel would give if all of it burned, a cycle."""

    brake: Array
    friction: Array
    wall: Array
    exhaust: Array
    unburned: Array
    residual: Array


@valid(
    fuel_mass_kg=(1e-7, 1e-3),
    air_mass_kg=(1e-6, 0.02),
    heating_value_j_kg=(18e6, 46e6),
    heat_of_vaporisation_j_kg=(2e5, 1.3e6),
    lambda_ratio=(0.6, 1.5),
    combustion_efficiency=(0.8, 1.0),
    brake_mean_effective_pressure_pa=(-1e6, 6e6),
    gross_mean_effective_pressure_pa=(0.0, 7e6),
    pumping_mean_effective_pressure_pa=(-3e5, 8e5),
    displacement_m3=(5e-5, 0.05),
    cylinders=(1.0, 16.0),
    wall_heat_j=(0.0, 1e4),
    open_wall_heat_j=(-1e3, 1e4),
    manifold_temperature_k=(230.0, 500.0),
    fresh_temperature_k=(200.0, 500.0),
    valve_temperature_k=(600.0, 2200.0),
    outlet_temperature_k=(400.0, 2200.0),
    exhaust_energy_j_kg=(-1e6, 6e6),
    exhaust_chemical_j_kg=(-1e5, 3e6),
    exhaust_heat_capacity_j_kgk=(900.0, 2000.0),
)
def energy_shares(
    *,
    fuel_mass_kg: Array,
    air_mass_kg: Array,
    heating_value_j_kg: Array,
    heat_of_vaporisation_j_kg: Array,
    lambda_ratio: Array,
    combustion_efficiency: Array,
    brake_mean_effective_pressure_pa: Array,
    gross_mean_effective_pressure_pa: Array,
    pumping_mean_effective_pressure_pa: Array,
    displacement_m3: Array,
    cylinders: Array,
    wall_heat_j: Array,
    open_wall_heat_j: Array,
    manifold_temperature_k: Array,
    fresh_temperature_k: Array,
    valve_temperature_k: Array,
    outlet_temperature_k: Array,
    exhaust_energy_j_kg: Array,
    exhaust_chemical_j_kg: Array,
    exhaust_heat_capacity_j_kgk: Array,
) -> EnergyShares:
    """Where the fuel's energy goes: every part from its own state, none by difference; what is left over is shown.

    Friction holds everything between indicated and brake work. Wall heat holds ports and manifold, less what the
    charge takes up on its way in. Exhaust counts from 298.15 K, without CO and H2, which go with the unburned. Air
    that comes in warmer than that is an input.

    Parameters
    ----------
    fuel_mass_kg : array
        A cylinder and cycle. [kg] Valid 1e-7 to 1e-3.
    air_mass_kg : array
        A cylinder and cycle. [kg] Valid 1e-6 to 0.02.
    heating_value_j_kg : array
        Lower heating value of the liquid fuel. [J/kg] Valid 18e6 to 46e6.
    heat_of_vaporisation_j_kg : array
        Of the fuel. [J/kg] Valid 2e5 to 1.3e6.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    combustion_efficiency : array
        Share of the charge that burns. [1] Valid 0.8 to 1.
    brake_mean_effective_pressure_pa : array
        Brake. [Pa] Valid -1e6 to 6e6.
    gross_mean_effective_pressure_pa : array
        Compression and expansion strokes. [Pa] Valid 0 to 7e6.
    pumping_mean_effective_pressure_pa : array
        Exhaust less intake stroke. [Pa] Valid -3e5 to 8e5.
    displacement_m3 : array
        Swept volume of all cylinders. [m^3] Valid 5e-5 to 0.05.
    cylinders : array
        Number of cylinders. [1] Valid 1 to 16.
    wall_heat_j : array
        Closed part, a cylinder and cycle. [J] Valid 0 to 1e4.
    open_wall_heat_j : array
        While the exhaust valve is open. [J] Valid -1e3 to 1e4.
    manifold_temperature_k : array
        Air before the ports. [K] Valid 230 to 500.
    fresh_temperature_k : array
        Charge after heating and evaporation, before it mixes with residual gas. [K] Valid 200 to 500.
    valve_temperature_k : array
        Exhaust as it leaves the valves. [K] Valid 600 to 2200.
    outlet_temperature_k : array
        Exhaust behind port and manifold. [K] Valid 400 to 2200.
    exhaust_energy_j_kg : array
        Enthalpy at the valves, over complete products at 298.15 K. [J/kg] Valid -1e6 to 6e6.
    exhaust_chemical_j_kg : array
        Part of it in CO and H2. [J/kg] Valid -1e5 to 3e6.
    exhaust_heat_capacity_j_kgk : array
        At constant pressure. [J/(kg*K)] Valid 900 to 2000.

    Returns
    -------
    shares : EnergyShares
        Brake, friction, wall, exhaust, unburned and what is left over; each broadcast over the arguments. [1]

    Equation
    --------
    Solved: fuel and warm air in, brake and friction work, wall heat, exhaust enthalpy and unburned fuel out, each over
    fuel_mass_kg * heating_value_j_kg

    Source
    ------
    heywood-1988, sec. 12.3

    Examples
    --------
    >>> shares = energy_shares(
    ...     fuel_mass_kg=4e-5, air_mass_kg=5.2e-4, heating_value_j_kg=43e6, heat_of_vaporisation_j_kg=350e3,
    ...     lambda_ratio=0.9, combustion_efficiency=0.97, brake_mean_effective_pressure_pa=11e5,
    ...     gross_mean_effective_pressure_pa=13.2e5, pumping_mean_effective_pressure_pa=2e4, displacement_m3=2e-3,
    ...     cylinders=4, wall_heat_j=190.0, open_wall_heat_j=0.0, manifold_temperature_k=300.0,
    ...     fresh_temperature_k=308.0, valve_temperature_k=1300.0, outlet_temperature_k=1200.0,
    ...     exhaust_energy_j_kg=1.65e6,
    ...     exhaust_chemical_j_kg=3.5e5, exhaust_heat_capacity_j_kgk=1330.0)
    >>> round(float(shares.brake), 2), bool(abs(sum(shares) - 1.0) < 0.02)
    (0.32, True)
    """
    heat = fuel_mass_kg * heating_value_j_kg
    swept = displacement_m3 / np.asarray(cylinders)
    leaving = fuel_mass_kg + air_mass_kg
    brake = brake_mean_effective_pressure_pa * swept / heat
    indicated = (gross_mean_effective_pressure_pa - pumping_mean_effective_pressure_pa) * swept / heat
    port = leaving * exhaust_heat_capacity_j_kgk * (valve_temperature_k - outlet_temperature_k)
    warmed = air_mass_kg * _AIR * (fresh_temperature_k - manifold_temperature_k)
    taken_up = warmed + fuel_mass_kg * heat_of_vaporisation_j_kg
    wall = (wall_heat_j + open_wall_heat_j + port - taken_up) / heat
    exhaust = (leaving * (exhaust_energy_j_kg - exhaust_chemical_j_kg) - port) / heat
    vapour = heating_value_j_kg + heat_of_vaporisation_j_kg
    never_burned = (1.0 - combustion_efficiency) * fuel_mass_kg * vapour * np.minimum(1.0, lambda_ratio)
    unburned = (leaving * exhaust_chemical_j_kg + never_burned) / heat
    warm_air = air_mass_kg * _AIR * (manifold_temperature_k - _REFERENCE_TEMPERATURE) / heat
    residual = 1.0 + warm_air - indicated - wall - exhaust - unburned
    return EnergyShares(brake, indicated - brake, wall, exhaust, unburned, residual)
