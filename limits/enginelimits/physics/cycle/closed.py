"""The closed cycle: pressure, temperatures, work and wall heat from intake closing to exhaust opening.

Two zones at one pressure: fresh gas that does not react, compressed and cooled by its share of the wall, and burned
gas in chemical equilibrium. Many cylinders ("lanes") at once; each lane has its own crank grid with nodes where the
burn begins, whose kink would otherwise cost order, where nine tenths have burned, which ends the sum for
auto-ignition, and where it has all but ended.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.wiebe import share_at_burned, start_of_combustion
from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.gas_exchange import GasExchange
from enginelimits.physics.cycle.lanes import ORDINARY, Lanes, Nodes, Sums, integrated
from enginelimits.physics.cycle.rates import lean_on_flame
from enginelimits.physics.cycle.sums import sums_of
from enginelimits.physics.gas.charge import Charge, unburned_internal_energy
from enginelimits.physics.gas.equilibrium import Burned, value_and_slope_at, value_at
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.compiling import COMPILED as COMPILED
from enginelimits.physics.numerics.validity import valid

# Steps from intake closing to start of combustion, on to nine tenths burned, on to where all but a ten-thousandth is
# burned, on to exhaust opening. At the nominal end 0.7 % is still to burn, faster than the last segment's steps could
# follow.
STEPS = (16, 20, 7, 10)
# for searches over many timings, where 0.02 octane numbers do, and for boosts on trial, where 0.06 and a kelvin of
# exhaust do
COARSE, ROUGH = (8, 9, 3, 5), (7, 8, 3, 4)
_END_GAS, _BURNED = 0.9, 0.9999
# Lanes worked on at once, which bounds the memory that the tables take
_CHUNK = 4096


class ClosedCycle(NamedTuple):
    """Results a lane; the traces have the crank nodes on the last axis, ``steps`` says how many a segment.  Traces that
    nobody asked for are empty.

    NaN where an input is missing or the order intake closing, start of combustion, exhaust opening is broken.
    """

    peak_pressure_pa: Array
    peak_pressure_angle_rad: Array
    gross_imep_pa: Array
    closed_work_j: Array
    wall_heat_j: Array
    energy_residual: Array
    peak_unburned_temperature_k: Array
    closing_pressure_pa: Array
    opening_pressure_pa: Array
    opening_temperature_k: Array  # of the burned gas
    opening_energy_j_kg: Array  # of the burned gas, over complete products at 298.15 K
    opening_gamma: Array
    start_of_combustion_rad: Array
    knock_integral: Array  # at octane number 100
    angles_rad: Array
    pressures_pa: Array
    pressure_slopes: Array  # Pa/rad
    unburned_temperatures_k: Array
    burned_temperatures_k: Array
    steps: tuple[int, int, int, int]


@valid(
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 1e9),
    compression_ratio=(6.0, 16.0),
    speed_rad_s=(50.0, 1500.0),
    trapped_mass_kg=(1e-5, 1e-2),
    closing_temperature_k=(250.0, 500.0),
    half_burned_angle_rad=(-0.3, 0.9),
    burn_duration_rad=(0.3, 1.8),
    wiebe_a=(2.0, 10.0),
    wiebe_form=(1.0, 4.0),
    intake_closing_rad=(0.0, 1.75),
    exhaust_opening_rad=(0.0, 1.6),
    wall_temperature_k=(300.0, 600.0),
    heat_transfer_factor=(0.0, 3.0),
    intake_pressure_pa=(2e4, 5e5),
    exhaust_pressure_pa=(5e4, 8e5),
    knock_temperature_ratio=(0.9, 1.2),
)
def closed_cycle(
    charge: Charge,
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    speed_rad_s: Array,
    trapped_mass_kg: Array,
    closing_temperature_k: Array,
    half_burned_angle_rad: Array,
    burn_duration_rad: Array,
    wiebe_a: Array,
    wiebe_form: Array,
    intake_closing_rad: Array,
    exhaust_opening_rad: Array,
    wall_temperature_k: Array,
    heat_transfer_factor: Array,
    intake_pressure_pa: Array,
    exhaust_pressure_pa: Array,
    knock_temperature_ratio: Array = 1.0,
    steps: tuple[int, int, int, int] = STEPS,
    traces: bool | str = True,
) -> ClosedCycle:
    """Pressure and what follows from it in one cylinder, from intake closing to exhaust opening.

    Gross mean effective pressure counts from bottom to bottom: before intake closing the cylinder is at
    intake pressure, eased into the trapped pressure; after exhaust opening it expands on and fades into
    exhaust pressure, which it has reached at the bottom. The fourth-order integration uses ``steps`` a
    segment.

    Parameters
    ----------
    charge : Charge
        What the cylinder holds, from fresh_charge. [1]
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 1e9.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 50 to 1500.
    trapped_mass_kg : array
        Air, fuel and residual gas in the cylinder at intake closing. [kg] Valid 1e-5 to 1e-2.
    closing_temperature_k : array
        Gas at intake closing. [K] Valid 250 to 500.
    half_burned_angle_rad : array
        Half the charge burned, after top dead centre. [rad] Valid -0.3 to 0.9.
    burn_duration_rad : array
        Nominal duration of Wiebe's function. [rad] Valid 0.3 to 1.8.
    wiebe_a : array
        Efficiency exponent. [1] Valid 2 to 10.
    wiebe_form : array
        Form exponent. [1] Valid 1 to 4.
    intake_closing_rad : array
        After bottom dead centre. [rad] Valid 0 to 1.75.
    exhaust_opening_rad : array
        Before bottom dead centre. [rad] Valid 0 to 1.6.
    wall_temperature_k : array
        Mean over head, crown and liner. [K] Valid 300 to 600.
    heat_transfer_factor : array
        On Woschni's coefficient; 0 for none. [1] Valid 0 to 3.
    intake_pressure_pa : array
        Manifold, absolute. [Pa] Valid 2e4 to 5e5.
    exhaust_pressure_pa : array
        At the ports, absolute. [Pa] Valid 5e4 to 8e5.
    knock_temperature_ratio : array
        Temperature that counts for auto-ignition over that of the fresh gas: above 1 where the octane number already
        holds part of the charge cooling. [1] Valid 0.9 to 1.2.
    steps : tuple of int
        To the start of combustion, to nine tenths burned, to its end, to exhaust opening. [1]
    traces : bool or "pressure"
        Whether angles, pressures and temperatures by node are wanted, or the first two alone. [1]

    Returns
    -------
    cycle : ClosedCycle
        Pressures [Pa], angles [rad], work and heat [J], temperatures [K], the residual of the energy balance
        over heat plus p V at intake closing [1]. Broadcast over the arguments, traces with the crank on the
        last axis.

    Equation
    --------
    Solved: energy of both zones, d(fresh mass * u_fresh + burned mass * u_burned) = -p d(volume) - d(wall heat), from
    trapped_mass_kg and closing_temperature_k on; u_burned in equilibrium, the burned fraction Wiebe's about
    half_burned_angle_rad, wall heat Woschni's with the mean temperature

    Source
    ------
    heywood-1988, ch. 9, with woschni-1967 and the Wiebe function

    Examples
    --------
    >>> from enginelimits.physics.gas.charge import fresh_charge
    >>> charge = fresh_charge(
    ...     fuel_mass_fraction=0.072, residual_fraction=0.04, lambda_ratio=0.85, heating_value_j_kg=43.7e6,
    ...     combustion_efficiency=0.965)
    >>> one = closed_cycle(
    ...     charge, bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=9.5, speed_rad_s=420.0,
    ...     trapped_mass_kg=8.5e-4, closing_temperature_k=350.0, half_burned_angle_rad=0.30, burn_duration_rad=0.90,
    ...     wiebe_a=5.0, wiebe_form=2.0, intake_closing_rad=0.87, exhaust_opening_rad=0.87, wall_temperature_k=450.0,
    ...     heat_transfer_factor=1.0, intake_pressure_pa=1.7e5, exhaust_pressure_pa=1.6e5)
    >>> round(float(one.peak_pressure_pa) / 1e5), bool(abs(one.energy_residual) < 1e-4)
    (62, True)
    """
    given = Lanes(
        *(
            np.asarray(v, dtype=float)
            for v in (
                bore_m,
                stroke_m,
                rod_length_m,
                compression_ratio,
                speed_rad_s,
                trapped_mass_kg,
                closing_temperature_k,
                half_burned_angle_rad,
                burn_duration_rad,
                wiebe_a,
                wiebe_form,
                intake_closing_rad,
                exhaust_opening_rad,
                wall_temperature_k,
                heat_transfer_factor,
                intake_pressure_pa,
                exhaust_pressure_pa,
                knock_temperature_ratio,
            )
        )
    )
    of_gas = np.shape(charge.gas_constant), charge.burned.energy.shape[2:]
    shape = np.broadcast_shapes(*(v.shape for v in given), *of_gas)
    lost = np.broadcast_to(~(given.computable() & np.isfinite(charge.enthalpy)), shape)
    x = given
    if lost.any():
        x = Lanes(*(np.where(lost, ordinary, v) for ordinary, v in zip(ORDINARY, given, strict=True)))
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        edges = _edges(x)
        sums, nodes = _integrated(x, charge, edges, steps, traces, shape)
        results = _results(x, charge, edges, sums)
        if nodes is not None:
            results = (*results, nodes.angles, nodes.pressures, nodes.pressure_slopes)
            if traces is True:
                results = (*results, nodes.unburned, _burned_temperatures(charge, nodes, steps))
    whole = [_over_lanes(result, lost, shape) for result in results]
    empty = [np.empty((*shape, 0))] * (len(ClosedCycle._fields) - 1 - len(whole))
    return ClosedCycle._make([*whole, *empty, steps])


def _over_lanes(result: Array, lost: Array, shape: tuple[int, ...]) -> Array:
    """A result for each lane, nothing where an input was missing; nodes, which are first until here, come last."""
    if np.ndim(result) > len(shape):
        result = np.ascontiguousarray(np.moveaxis(result, 0, -1))
    elif np.shape(result) != shape or not result.flags.writeable:
        result = np.broadcast_to(result, shape).copy()
    if lost.any():
        result[lost] = np.nan
    return result


def _edges(x: Lanes) -> tuple[Array, Array, Array, Array, Array]:
    """Crank angles at intake closing, start of combustion, nine tenths burned, its end, and exhaust opening."""
    closing, opening = x.intake_closing_rad - np.pi, np.pi - x.exhaust_opening_rad
    start = start_of_combustion(x.half_burned_angle_rad, x.burn_duration_rad, x.wiebe_a, x.wiebe_form)
    # a burn that outlasts exhaust opening still leaves room for the last segments
    room = opening - start
    end_gas, end = (
        start + np.minimum(x.burn_duration_rad * share_at_burned(burned, x.wiebe_a, x.wiebe_form), room * most)
        for burned, most in ((_END_GAS, 0.6), (_BURNED, 0.8))
    )
    return closing, start, end_gas, end, opening


def _integrated(
    x: Lanes, charge: Charge, edges: tuple[Array, ...], steps: tuple[int, int, int, int], traces: bool | str,
    shape: tuple[int, ...],
) -> tuple[Sums, Nodes | None]:
    """Sums by lane; where traces are wanted the nodes too, which stand on the first axis."""
    if COMPILED.get():
        from enginelimits.physics.cycle import compiled

        return compiled.integrated(x, charge, edges, steps, traces, shape)

    def flat(array: Array) -> Array:
        return np.broadcast_to(array, shape).reshape(-1)

    columns, bounds, gas = np.stack([flat(v) for v in x]), np.stack([flat(v) for v in edges]), _spread(charge, shape)
    parts = []
    for i in range(0, max(columns.shape[1], 1), _CHUNK):
        some = slice(i, i + _CHUNK)
        lanes = Lanes(*columns[:, some])
        nodes = integrated(lanes, _some(gas, some), tuple(bounds[:, some]), steps)
        parts.append((sums_of(lanes, nodes, steps), nodes if traces else None))
    sums = Sums(*(np.concatenate(pieces).reshape(shape) for pieces in zip(*(part[0] for part in parts), strict=True)))
    if not traces:
        return sums, None
    joined = (np.concatenate(pieces, axis=-1) for pieces in zip(*(nodes for _, nodes in parts if nodes), strict=True))
    return sums, Nodes(*(array.reshape((*array.shape[:-1], *shape)) for array in joined))


def _spread(charge: Charge, shape: tuple[int, ...]) -> Charge:
    """The charge with its lanes as one flat last axis."""

    def flat(array: Array, leading: int) -> Array:
        array = np.asarray(array, dtype=float)
        ahead, lanes = array.shape[:leading], array.shape[leading:]
        padded = array.reshape((*ahead, *(1,) * (len(shape) - len(lanes)), *lanes))
        return np.broadcast_to(padded, (*ahead, *shape)).reshape((*ahead, -1))

    burned = charge.burned
    return Charge(
        flat(charge.gas_constant, 0),
        flat(charge.heat_capacity, 1),
        flat(charge.enthalpy, 0),
        Burned(flat(burned.energy, 2), flat(burned.constant, 2), flat(burned.residual, 1)),
        flat(charge.lost, 0),
    )


def _some(charge: Charge, lanes: slice) -> Charge:
    return Charge(
        charge.gas_constant[lanes],
        charge.heat_capacity[:, lanes],
        charge.enthalpy[lanes],
        Burned(*(part[..., lanes] for part in charge.burned)),
        charge.lost[lanes],
    )


def _results(x: Lanes, charge: Charge, edges: tuple[Array, ...], sums: Sums) -> tuple[Array, ...]:
    """The fields of ClosedCycle before the traces."""
    chamber, mass = x.chamber, x.trapped_mass_kg
    burned_temperature, opening_energy, opening_gamma, opening_total = _opening(charge, sums)
    work, wall_heat = sums.work * mass, sums.wall_heat * mass
    fresh_energy = unburned_internal_energy(charge, x.closing_temperature_k)
    scale = mass * (np.abs(charge.enthalpy) + charge.gas_constant * x.closing_temperature_k)
    residual = (mass * (fresh_energy - opening_total) - wall_heat - work) / scale
    exchange = GasExchange(
        chamber=Chamber(*(v[..., None] for v in chamber)),
        closing_angle_rad=edges[0][..., None],
        opening_angle_rad=edges[4][..., None],
        closing_pressure_pa=sums.closing_pressure[..., None],
        opening_pressure_pa=sums.opening_pressure[..., None],
        intake_pressure_pa=x.intake_pressure_pa[..., None],
        exhaust_pressure_pa=x.exhaust_pressure_pa[..., None],
        gamma=opening_gamma[..., None],
    )
    return (
        sums.peak_pressure,
        sums.peak_angle,
        (work + exchange.work_j()) / chamber.displacement_m3,
        work,
        wall_heat,
        residual,
        sums.peak_unburned,
        sums.closing_pressure,
        sums.opening_pressure,
        burned_temperature,
        opening_energy,
        opening_gamma,
        edges[1],
        sums.knock_integral,
    )


def _burned_y(charge: Charge, fraction: Array, pressure: Array, volume: Array, unburned: Array, flame: Array) -> Array:
    """y = R T of the burned gas: what the volume leaves to it, leaning on the flame's as in the equations."""
    lean = lean_on_flame(fraction)
    left = pressure * volume - (1.0 - fraction) * charge.gas_constant * unburned
    return (left + lean * flame) / (fraction + lean)


def _opening(charge: Charge, sums: Sums) -> tuple[Array, Array, Array, Array]:
    """At exhaust opening temperature, energy and gamma of the burned gas, and the energy of all of it."""
    fraction, pressure = sums.opening_fraction, sums.opening_pressure
    y = _burned_y(charge, fraction, pressure, sums.opening_volume, sums.opening_unburned, sums.flame)
    energy, slope = value_and_slope_at(charge.burned.energy, y, pressure)
    total = fraction * energy + (1.0 - fraction) * unburned_internal_energy(charge, sums.opening_unburned)
    temperature = y / value_at(charge.burned.constant, y, pressure)
    return temperature, energy, 1.0 + 1.0 / slope, total


def _burned_temperatures(charge: Charge, nodes: Nodes, steps: tuple[int, int, int, int]) -> Array:
    """By node; before the burn, and of the first thousandth, of which the volume tells nothing, the flame's."""
    y = _burned_y(charge, nodes.fractions, nodes.pressures, nodes.volumes, nodes.unburned, nodes.flame)
    y[: steps[0] + 1] = nodes.flame
    temperatures = y / value_at(charge.burned.constant, y, nodes.pressures)
    return np.where(nodes.fractions < 1e-3, temperatures[steps[0]], temperatures)
