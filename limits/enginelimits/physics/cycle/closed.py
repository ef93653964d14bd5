"""The closed cycle: pressure, temperatures, work and wall heat from intake closing to exhaust opening.

Two zones at one pressure: fresh gas that does not react, compressed and cooled by its share of the wall, and burned
gas in chemical equilibrium. Many cylinders ("lanes") at once; each lane has its own crank grid with nodes where the
burn begins, whose kink would otherwise cost order, where nine tenths have burned, which ends the sum for
auto-ignition, and where it has all but ended.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.auto_ignition import (
    ACTIVATION_TEMPERATURE_K,
    PRESSURE_EXPONENT,
    ignition_progress_rate,
)
from enginelimits.physics.combustion.wiebe import share_at_burned, start_of_combustion
from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.gas_exchange import GasExchange
from enginelimits.physics.cycle.lanes import ORDINARY, Grid, Lanes, Nodes, Sums, integrated
from enginelimits.physics.cycle.rates import LEAN, LEAN_FADES
from enginelimits.physics.gas.charge import Charge, unburned_internal_energy
from enginelimits.physics.gas.equilibrium import Burned, value_at
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.compiling import COMPILED as COMPILED
from enginelimits.physics.numerics.integration import hermite_integral
from enginelimits.physics.numerics.interpolation import hermite, peak_share
from enginelimits.physics.numerics.validity import valid

# Steps from intake closing to start of combustion, on to nine tenths burned, on to where all but a ten-thousandth is
# burned, on to exhaust opening. At the nominal end 0.7 % is still to burn, faster than the last segment's steps could
# follow.
STEPS = (24, 28, 16, 20)
# for searches over many timings
COARSE = (8, 13, 5, 9)
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
    traces: bool = True,
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
    traces : bool
        Whether angles, pressures and temperatures by node are wanted. [1]

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
    columns = np.broadcast_arrays(
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
                charge.gas_constant,
            )
        )
    )
    shape = columns[0].shape
    flat = np.stack([c.reshape(-1) for c in columns[:-1]])
    gas = _spread(charge, shape)
    lost = ~(Lanes(*flat).computable() & np.isfinite(gas.enthalpy))
    flat[:, lost] = np.array(ORDINARY)[:, None]
    with np.errstate(over="ignore", invalid="ignore"):
        parts = [
            _integrated(Lanes(*flat[:, i : i + _CHUNK]), _some(gas, slice(i, i + _CHUNK)), steps, traces)
            for i in range(0, max(flat.shape[1], 1), _CHUNK)
        ]
    results: list[Array] = []
    for pieces in zip(*parts, strict=True):
        whole = np.concatenate(pieces, axis=-1)  # crank axis first until here
        whole[..., lost] = np.nan
        results.append(np.ascontiguousarray(np.moveaxis(whole, 0, -1)) if whole.ndim == 2 else whole)
    shaped = [r.reshape(shape + r.shape[1:]) for r in results]
    empty = [np.empty((*shape, 0))] * (len(ClosedCycle._fields) - 1 - len(shaped))
    return ClosedCycle._make([*shaped, *empty, steps])


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


def _integrated(x: Lanes, charge: Charge, steps: tuple[int, int, int, int], traces: bool) -> tuple[Array, ...]:
    """The fields of ClosedCycle but the last, for lanes (lanes,); traces, where wanted, are (nodes, lanes)."""
    chamber, mass = x.chamber, x.trapped_mass_kg
    closing, opening = x.intake_closing_rad - np.pi, np.pi - x.exhaust_opening_rad
    start = start_of_combustion(x.half_burned_angle_rad, x.burn_duration_rad, x.wiebe_a, x.wiebe_form)
    # a burn that outlasts exhaust opening still leaves room for the last segments
    room = opening - start
    end_gas, end = (
        start + np.minimum(x.burn_duration_rad * share_at_burned(burned, x.wiebe_a, x.wiebe_form), room * most)
        for burned, most in ((_END_GAS, 0.6), (_BURNED, 0.8))
    )
    edges = (closing, start, end_gas, end, opening)

    if COMPILED.get():
        from enginelimits.physics.cycle import compiled

        sums, nodes = compiled.integrated(x, charge, edges, steps, traces)
    else:
        nodes = integrated(x, charge, edges, steps)
        sums = _sums(x, nodes, steps)
    burned_temperature, opening_energy, opening_gamma, opening_total = _opening(charge, sums)
    work, wall_heat = sums.work * mass, sums.wall_heat * mass
    fresh_energy = unburned_internal_energy(charge, x.closing_temperature_k)
    scale = mass * (np.abs(charge.enthalpy) + charge.gas_constant * x.closing_temperature_k)
    residual = (mass * (fresh_energy - opening_total) - wall_heat - work) / scale
    exchange = GasExchange(
        chamber=Chamber(*(v[:, None] for v in chamber)),
        closing_angle_rad=closing[:, None],
        opening_angle_rad=opening[:, None],
        closing_pressure_pa=sums.closing_pressure[:, None],
        opening_pressure_pa=sums.opening_pressure[:, None],
        intake_pressure_pa=x.intake_pressure_pa[:, None],
        exhaust_pressure_pa=x.exhaust_pressure_pa[:, None],
        gamma=opening_gamma[:, None],
    )
    found = (
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
        start,
        sums.knock_integral,
    )
    if not traces or nodes is None:
        return found
    return (*found, nodes.angles, nodes.pressures, nodes.pressure_slopes, nodes.unburned,
            _burned_temperatures(charge, nodes, steps))


def _sums(x: Lanes, nodes: Nodes, steps: tuple[int, int, int, int]) -> Sums:
    peak, angle, unburned = _peak(
        nodes.angles, nodes.pressures, nodes.pressure_slopes, nodes.unburned, nodes.unburned_slopes
    )
    return Sums(
        peak, angle, unburned, _knock_integral(x, nodes, steps), nodes.wall_heat, nodes.work,
        nodes.pressures[-1].copy(), nodes.unburned[-1].copy(), nodes.fractions[-1].copy(), nodes.flame,
        nodes.volumes[-1].copy(), nodes.pressures[0].copy(),
    )


def _knock_integral(x: Lanes, nodes: Nodes, steps: tuple[int, int, int, int]) -> Array:
    """Sum of time over ignition delay at octane number 100, from intake closing to nine tenths burned."""
    before, until = steps[0], steps[0] + steps[1]
    pressure, temperature = nodes.pressures[: until + 1], nodes.unburned[: until + 1] * x.knock_temperature_ratio
    warming = nodes.unburned_slopes[: until + 1] * x.knock_temperature_ratio
    rate = ignition_progress_rate(100.0, pressure, temperature, x.speed_rad_s)
    slope = rate * (
        PRESSURE_EXPONENT * nodes.pressure_slopes[: until + 1] / pressure
        + ACTIVATION_TEMPERATURE_K * warming / temperature**2
    )
    total = np.zeros(x.bore_m.size)
    for first, last in ((0, before), (before, until)):
        part = slice(first, last + 1)
        make = Grid.narrowing if first == 0 else Grid.even
        grid = make(nodes.angles[first], nodes.angles[last], last - first)
        stretch = grid.stretch[::2]
        by_step = rate[part] * stretch
        rising = slope[part] * stretch**2 + rate[part] * grid.bend
        total += hermite_integral(by_step.T, rising.T, 1.0 / (last - first))
    return total


def _burned_y(charge: Charge, fraction: Array, pressure: Array, volume: Array, unburned: Array, flame: Array) -> Array:
    """y = R T of the burned gas: what the volume leaves to it, leaning on the flame's as in the equations."""
    lean = LEAN * np.exp(-fraction * (1.0 / LEAN_FADES))
    left = pressure * volume - (1.0 - fraction) * charge.gas_constant * unburned
    return (left + lean * flame) / (fraction + lean)


def _opening(charge: Charge, sums: Sums) -> tuple[Array, Array, Array, Array]:
    """At exhaust opening temperature, energy and gamma of the burned gas, and the energy of all of it."""
    fraction, pressure = sums.opening_fraction, sums.opening_pressure
    y = _burned_y(charge, fraction, pressure, sums.opening_volume, sums.opening_unburned, sums.flame)
    energy, further = (value_at(charge.burned.energy, at, pressure) for at in (y, y + 1e3))
    total = fraction * energy + (1.0 - fraction) * unburned_internal_energy(charge, sums.opening_unburned)
    temperature = y / value_at(charge.burned.constant, y, pressure)
    return temperature, energy, 1.0 + 1e3 / (further - energy), total


def _burned_temperatures(charge: Charge, nodes: Nodes, steps: tuple[int, int, int, int]) -> Array:
    """By node; before the burn, and of the first thousandth, of which the volume tells nothing, the flame's."""
    y = _burned_y(charge, nodes.fractions, nodes.pressures, nodes.volumes, nodes.unburned, nodes.flame)
    y[: steps[0] + 1] = nodes.flame
    temperatures = y / value_at(charge.burned.constant[:, :, None], y, nodes.pressures)
    return np.where(nodes.fractions < 1e-3, temperatures[steps[0]], temperatures)


def _peak(
    angles: Array, pressures: Array, slopes: Array, unburned: Array, unburned_slopes: Array
) -> tuple[Array, Array, Array]:
    """Highest pressure, its angle, and the unburned gas there, by the cubic through the nodes beside it.

    A late burn has two peaks, of compression and of combustion, and the higher one may lie between lower
    nodes: the first and the last interval in which pressure turns are both looked at.
    """
    lane = np.arange(angles.shape[1])
    turns = (slopes[:-1] > 0.0) & (slopes[1:] <= 0.0)
    top = pressures.argmax(axis=0)
    beside_top = np.clip(top - (slopes[top, lane] < 0.0), 0, turns.shape[0] - 1)
    first, last = turns.argmax(axis=0), turns.shape[0] - 1 - turns[::-1].argmax(axis=0)
    peak, angle, gas = _peak_within(beside_top, lane, angles, pressures, slopes, unburned, unburned_slopes)
    for left in (first, last):
        p, a, g = _peak_within(left, lane, angles, pressures, slopes, unburned, unburned_slopes)
        higher = p > peak
        peak, angle, gas = np.where(higher, p, peak), np.where(higher, a, angle), np.where(higher, g, gas)
    return peak, angle, gas


def _peak_within(
    left: Array, lane: Array, angles: Array, pressures: Array, slopes: Array, unburned: Array, warming: Array
) -> tuple[Array, Array, Array]:
    """The same within the interval that begins at node ``left`` of each lane."""
    at, after = (left, lane), (left + 1, lane)
    width = angles[after] - angles[at]
    share = peak_share(pressures[at], pressures[after], width, slopes[at], slopes[after])
    return (
        hermite(share, width, pressures[at], pressures[after], slopes[at], slopes[after]),
        angles[at] + share * width,
        hermite(share, width, unburned[at], unburned[after], warming[at], warming[after]),
    )
