"""One cylinder a lane: what is asked of it, and the integration of its closed cycle."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import reduce
from typing import Any, NamedTuple

import numpy as np

from enginelimits.physics.combustion.heat_transfer import (
    WOSCHNI_COEFFICIENT,
    WOSCHNI_COMBUSTION,
    WOSCHNI_PISTON_SPEED,
)
from enginelimits.physics.combustion.wiebe import start_of_combustion
from enginelimits.physics.cycle import singly
from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.rates import VECTORS, Burning, BurnState, Compressing, Cylinder, Gas, Ignition
from enginelimits.physics.gas.charge import Charge
from enginelimits.physics.gas.equilibrium import REFERENCE_PRESSURE, value_at
from enginelimits.physics.numerics.arrays import Array

# Woschni's speed never falls under this share of its piston term: a motored engine with much heat loss lies a
# little under the motored line, and a fractional power wants a positive speed
LEAST_GAS_SPEED_SHARE = 0.5
# K over intake closing: where the heat capacity is taken that makes z of the compression nearly constant
MIDDLE_OF_COMPRESSION = 200.0
# of each segment the narrowest step over the mean one: the last before the burn, the first of the others
NARROWEST = (0.35, 0.9, 0.8, 0.45)
# Numbers of one column of the tables that are made together, so that those which wait stay near the processor
_TOGETHER = 8192


class Lanes(NamedTuple):
    """The inputs, each (lanes,)."""

    bore_m: Array
    stroke_m: Array
    rod_length_m: Array
    compression_ratio: Array
    speed_rad_s: Array
    trapped_mass_kg: Array
    closing_temperature_k: Array
    half_burned_angle_rad: Array
    burn_duration_rad: Array
    wiebe_a: Array
    wiebe_form: Array
    intake_closing_rad: Array
    exhaust_opening_rad: Array
    wall_temperature_k: Array
    heat_transfer_factor: Array
    intake_pressure_pa: Array
    exhaust_pressure_pa: Array
    knock_temperature_ratio: Array

    @property
    def chamber(self) -> Chamber:
        return Chamber(self.bore_m, self.stroke_m, self.rod_length_m, self.compression_ratio)

    def computable(self) -> Array:
        """Mask of lanes with every input known and the events in their order."""
        with np.errstate(invalid="ignore", divide="ignore"):
            start = start_of_combustion(
                self.half_burned_angle_rad, self.burn_duration_rad, self.wiebe_a, self.wiebe_form
            )
            ordered = (self.intake_closing_rad - np.pi < start) & (start < np.pi - self.exhaust_opening_rad)
            real = (
                (self.rod_length_m > 0.5 * self.stroke_m)
                & (self.compression_ratio > 1.0)
                & (self.trapped_mass_kg > 0.0)
            )
            # the small ones first: what has no axis of its own is looked at once
            known = reduce(np.logical_and, (np.isfinite(v) for v in sorted(self, key=np.size)))
            return known & ordered & real & (self.speed_rad_s > 0.0)

    def combustion_speed(self, closing_pressure: Array) -> Array:
        """What a pascal over the motored line adds to Woschni's speed. [m/(s*Pa)]"""
        reference = self.chamber.displacement_m3 * self.closing_temperature_k
        closing_volume = self.chamber.volume_m3(self.intake_closing_rad - np.pi)
        return WOSCHNI_COMBUSTION * reference / (closing_pressure * closing_volume)


class Grid(NamedTuple):
    """The crank angles before the burn by half node and lane, and how they go with the variable of integration.

    Steps are even in that variable.  ``stretch`` is the angle's slope by it, (half nodes, lanes), ``bend`` the slope of
    that; steps narrow towards the burn, where pressure and temperature rise most.
    """

    angle: Array
    stretch: Array
    bend: Array

    @classmethod
    def narrowing(cls, low: Array, high: Array, steps: int) -> Grid:
        """From intake closing to the start of the burn; the last steps are a good third of the mean one."""
        length, left, narrowest = high - low, 1.0 - np.linspace(0.0, 1.0, 2 * steps + 1)[:, None], NARROWEST[0]
        angle = high - length * placed(left, narrowest)
        return cls(angle, length * (narrowest + 2.0 * (1.0 - narrowest) * left), -2.0 * (1.0 - narrowest) * length)


def widening(low: Array, high: Array, steps: int, narrowest: float) -> Array:
    """The crank angles of a segment after that by half node and lane: a half node lies amid two nodes."""
    nodes = placed(np.linspace(0.0, 1.0, steps + 1), narrowest)
    share = np.empty(2 * steps + 1)
    share[::2], share[1::2] = nodes, 0.5 * (nodes[1:] + nodes[:-1])
    return low + share[:, None] * (high - low)


def placed(share: Any, narrowest: float) -> Any:
    """Share of a segment's angle at a share of its steps, counted from the narrow end."""
    return share * (narrowest + (1.0 - narrowest) * share)


def steps_before(share: Array, segment: int) -> Array:
    """Share of a segment's steps that lie before a share of its angle."""
    narrowest = NARROWEST[segment]
    from_narrow = np.maximum(1.0 - share if segment == 0 else share, 0.0)
    counted = 2.0 * from_narrow / (narrowest + np.sqrt(narrowest**2 + 4.0 * (1.0 - narrowest) * from_narrow))
    return 1.0 - counted if segment == 0 else counted


class Nodes(NamedTuple):
    """The integrated cycle: traces by node and lane, sums by lane."""

    angles: Array
    pressures: Array
    pressure_slopes: Array
    unburned: Array
    unburned_slopes: Array
    fractions: Array
    volumes: Array  # m^3/kg
    wall_heat: Array  # J/kg
    work: Array  # J/kg
    flame: Array  # y of gas that burns first


class Sums(NamedTuple):
    """What is wanted of the integrated cycle beside its traces, by lane."""

    peak_pressure: Array
    peak_angle: Array
    peak_unburned: Array
    knock_integral: Array
    wall_heat: Array  # J/kg
    work: Array  # J/kg
    opening_pressure: Array
    opening_unburned: Array
    opening_fraction: Array
    flame: Array
    opening_volume: Array  # m^3/kg
    closing_pressure: Array


def cylinder_of(x: Lanes, charge: Charge, gas: Gas, start: Array) -> Cylinder:
    """What the integration needs of each lane beside the gas."""
    chamber, mass = x.chamber, x.trapped_mass_kg
    piston = WOSCHNI_PISTON_SPEED * x.stroke_m * x.speed_rad_s / np.pi
    closing_pressure = mass * charge.gas_constant * x.closing_temperature_k / chamber.volume_m3(
        x.intake_closing_rad - np.pi
    )
    t = x.closing_temperature_k + MIDDLE_OF_COMPRESSION
    capacity = gas.c0 + t * (gas.c1 + t * (gas.c2 + t * gas.c3))
    factor = WOSCHNI_COEFFICIENT * x.bore_m**-0.2 * (1e-3**0.8 * REFERENCE_PRESSURE**0.25) * x.heat_transfer_factor
    return Cylinder(
        radius=0.5 * x.stroke_m,
        rod=x.rod_length_m,
        area=chamber.bore_area_m2,
        clearance=chamber.clearance_m3,
        over_bore=1.0 / x.bore_m,
        mass=mass,
        over_mass=1.0 / mass,
        wall_temperature=x.wall_temperature_k,
        wall_factor=factor / (x.speed_rad_s * mass),
        log_constant=np.log(gas.constant),
        piston=piston,
        log_piston=np.log(piston),
        least_speed=LEAST_GAS_SPEED_SHARE * piston,
        combustion=x.combustion_speed(closing_pressure),
        burned_constant=value_at(charge.burned.constant, 0.6e6, 4e6),
        exponent=gas.constant / (capacity - gas.constant),
        start=start,
        over_duration=1.0 / x.burn_duration_rad,
        wiebe_a=x.wiebe_a,
        wiebe_form=x.wiebe_form,
    )


def integrated(
    x: Lanes, charge: Charge, edges: tuple[Array, ...], steps: tuple[int, int, int, int], *, few: int = singly.FEW
) -> Nodes:
    """The closed cycle of all lanes, node by node; ``edges`` are the crank angles between the four segments.

    Up to ``few`` lanes are taken one after another; both ways give the same to rounding.
    """
    if x.bore_m.size <= few:
        try:
            return _integrated(x, charge, edges, steps, one_by_one=True)
        except (ArithmeticError, ValueError):
            pass  # a lane that leaves the numbers: arrays mark it and go on
    return _integrated(x, charge, edges, steps, one_by_one=False)


def _integrated(
    x: Lanes, charge: Charge, edges: tuple[Array, ...], steps: tuple[int, int, int, int], *, one_by_one: bool
) -> Nodes:
    count, lanes = sum(steps) + 1, x.bore_m.size
    pressures, slopes, unburned, warming, angles, fractions, volumes = np.zeros((7, count, lanes))
    gas = Gas.of(charge)
    cylinder = cylinder_of(x, charge, gas, edges[1])
    gases = [Gas(*row) for row in singly.by_lane(gas, lanes)] if one_by_one else []
    cylinders = [Cylinder(*row) for row in singly.by_lane(cylinder, lanes)] if one_by_one else []

    # compression
    n = steps[0]
    grid = Grid.narrowing(edges[0], edges[1], n)
    log_closing = np.log(VECTORS.volume_and_slope(cylinder, edges[0])[0])

    def compressing(rows: slice) -> Compressing:
        return VECTORS.compressing_at(gas, cylinder, log_closing, grid.angle[rows], grid.stretch[rows])

    here = slice(0, n + 1)
    z, of_z, to_z, narrowing = np.empty((4, n + 1, lanes))
    wall_heat = np.zeros(lanes)
    if one_by_one:
        table = compressing(slice(None))
        singly.compressed(gases, x.closing_temperature_k, x.wall_temperature_k, cylinder.exponent, table, z, of_z,
                          wall_heat)
        volumes[here], narrowing[:], to_z[:] = table.volume[::2], table.narrowing[::2], table.to_z[::2]
    else:
        first = Compressing(*(column[0] for column in compressing(slice(0, 1))))
        state = VECTORS.compression_begun(gas, x.wall_temperature_k, cylinder.exponent, first, x.closing_temperature_k)
        z[0], of_z[0], volumes[0], narrowing[0], to_z[0] = state.z, state.slope, first.volume, first.narrowing, 1.0
        for k, (middle, end) in enumerate(_by_step(compressing, n, lanes)):
            state, heat = VECTORS.compress(
                gas, x.wall_temperature_k, cylinder.exponent, middle, end, state, 1.0 / n, 1.0 if k else 0.0
            )
            wall_heat = wall_heat + heat
            z[k + 1], of_z[k + 1], volumes[k + 1] = state.z, state.slope, end.volume
            narrowing[k + 1], to_z[k + 1] = end.narrowing, end.to_z
    stretch = grid.stretch[::2]
    angles[here], unburned[here] = grid.angle[::2], z / to_z
    pressures[here] = charge.gas_constant * unburned[here] / volumes[here]
    warming[here] = (of_z / to_z - cylinder.exponent * narrowing * unburned[here]) / stretch
    slopes[here] = pressures[here] * (warming[here] / unburned[here] - narrowing / stretch)
    work = VECTORS.fresh_energy(gas, unburned[0]) - VECTORS.fresh_energy(gas, unburned[n]) - wall_heat

    # combustion and expansion
    flame = VECTORS.flame(gas, pressures[n], unburned[n])
    ignition = Ignition(pressures[n].copy(), np.log(volumes[n]), flame)
    lit = VECTORS.burning_at(gas, cylinder, ignition, 0.0, edges[1])
    burned = VECTORS.burn_begun(gas, cylinder, lit, pressures[n], unburned[n])
    slopes[n], warming[n], fractions[n] = burned.rise, burned.warming, lit.fraction
    states = [BurnState(*row) for row in singly.by_lane(burned, lanes)] if one_by_one else []
    first_node, before = n, np.full(lanes, np.inf)
    for segment, n in enumerate(steps[1:], start=1):
        low, last = edges[segment], first_node + n
        angle = widening(low, edges[segment + 1], n, NARROWEST[segment])

        def burning(rows: slice, low: Array = low, angle: Array = angle) -> Burning:
            # measured from the segment's own start, so that the first node is exactly the start of combustion
            share = (angle[rows] - low + (low - edges[1])) / x.burn_duration_rad
            return VECTORS.burning_at(gas, cylinder, ignition, share, angle[rows])

        widths = np.diff(angle[::2], axis=0)
        # within a segment all lanes widen alike
        wide = np.diff(placed(np.linspace(0.0, 1.0, n + 1), NARROWEST[segment]))
        ratios = [widths[0] / before, *(wide[1:] / wide[:-1]).tolist()]
        of = slice(first_node + 1, last + 1)
        if one_by_one:
            halves = burning(slice(1, None))
            singly.burned(gases, cylinders, states, halves, widths, ratios, pressures[of], unburned[of], slopes[of],
                          warming[of], wall_heat, work)
            volumes[of], fractions[of] = halves.volume[1::2], halves.fraction[1::2]
        else:
            for k, (middle, end) in enumerate(_by_step(burning, n, lanes)):
                node = first_node + k + 1
                burned, heat, done = VECTORS.burn(gas, cylinder, middle, end, burned, widths[k], ratios[k])
                pressures[node], unburned[node], slopes[node], warming[node] = burned[:4]
                volumes[node], fractions[node] = end.volume, end.fraction
                wall_heat = wall_heat + heat
                work = work + done
        angles[of] = angle[2::2]
        first_node, before = last, widths[-1]
    return Nodes(angles, pressures, slopes, unburned, warming, fractions, volumes, wall_heat, work, flame)


def _by_step(table: Callable[[slice], Any], steps: int, lanes: int) -> Iterator[tuple[Any, Any]]:
    """The table at the middle and at the end of each step, of some steps made together."""
    together = max(1, _TOGETHER // (2 * lanes))
    for begin in range(0, steps, together):
        columns = table(slice(2 * begin + 1, 2 * min(begin + together, steps) + 1))
        rows = [type(columns)(*row) for row in zip(*columns, strict=True)]
        yield from zip(rows[::2], rows[1::2], strict=True)


# an ordinary cylinder, put in place of lanes that cannot be computed so that they trip nothing
ORDINARY = Lanes(
    0.086,
    0.086,
    0.143,
    10.0,
    400.0,
    5e-4,
    350.0,
    0.15,
    0.9,
    5.0,
    2.0,
    0.9,
    0.9,
    450.0,
    1.0,
    1e5,
    1e5,
    1.0,
)
