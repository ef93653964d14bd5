"""One cylinder a lane: what is asked of it, and the integration of its closed cycle."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.heat_transfer import WOSCHNI_COMBUSTION, WOSCHNI_PISTON_SPEED
from enginelimits.physics.combustion.wiebe import burn_rate, burned_fraction, start_of_combustion
from enginelimits.physics.cycle.chamber import Chamber, Tables
from enginelimits.physics.cycle.rates import (
    LEAN,
    LEAN_FADES,
    LEAST_Y,
    MOST_Y,
    Burning,
    Compressing,
    Equations,
    Functions,
    Gas,
    Walls,
    equations,
)
from enginelimits.physics.gas.charge import Charge
from enginelimits.physics.gas.equilibrium import Y_UNIT, value_at
from enginelimits.physics.numerics.arrays import Array

# Exponent of the motored pressure in Woschni's combustion term, from the start of combustion on: memory,
# usual 1.3
MOTORED_EXPONENT = 1.30
# Woschni's speed never falls under this share of its piston term: a motored engine with much heat loss lies a
# little under the motored line, and a fractional power wants a positive speed
LEAST_GAS_SPEED_SHARE = 0.5
_FLAME_STEPS = 6
# K over intake closing: where the heat capacity is taken that makes z of the compression nearly constant
MIDDLE_OF_COMPRESSION = 200.0
# the last step before the burn over the mean one there
NARROWEST = 0.35


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
            return np.isfinite(np.stack(self)).all(axis=0) & ordered & real & (self.speed_rad_s > 0.0)

    def gas_speed(self, closing_pressure: Array) -> tuple[Array, Array]:
        """Of Woschni's speed what a pascal over the motored line adds [m/(s*Pa)], and the least it may be [m/s]."""
        piston = WOSCHNI_PISTON_SPEED * self.stroke_m * self.speed_rad_s / np.pi
        reference = self.chamber.displacement_m3 * self.closing_temperature_k
        closing_volume = self.chamber.volume_m3(self.intake_closing_rad - np.pi)
        return WOSCHNI_COMBUSTION * reference / (closing_pressure * closing_volume), LEAST_GAS_SPEED_SHARE * piston


class Grid(NamedTuple):
    """The crank angles of one segment by half node and lane, and how they go with the variable of integration.

    Steps are even in that variable.  ``stretch`` is the angle's slope by it, (half nodes, lanes), ``bend`` the slope of
    that; before the burn steps narrow towards its start, where pressure and temperature rise most.
    """

    angle: Array
    stretch: Array
    bend: Array

    @classmethod
    def narrowing(cls, low: Array, high: Array, steps: int) -> Grid:
        """From intake closing to the start of the burn; the last steps are a good third of the mean one."""
        length, left = high - low, 1.0 - np.linspace(0.0, 1.0, 2 * steps + 1)[:, None]
        angle = high - length * left * (NARROWEST + (1.0 - NARROWEST) * left)
        return cls(angle, length * (NARROWEST + 2.0 * (1.0 - NARROWEST) * left), -2.0 * (1.0 - NARROWEST) * length)

    @classmethod
    def even(cls, low: Array, high: Array, steps: int) -> Grid:
        length = high - low
        angle = low + np.linspace(0.0, 1.0, 2 * steps + 1)[:, None] * length
        return cls(angle, np.broadcast_to(length, angle.shape), np.zeros(1))


def place_before_burn(share: Array) -> Array:
    """Share of the steps before the burn that lie before a crank angle, of which ``share`` of the angle lies before."""
    inner = NARROWEST**2 + 4.0 * (1.0 - NARROWEST) * np.maximum(1.0 - share, 0.0)
    return 1.0 - (np.sqrt(inner) - NARROWEST) / (2.0 * (1.0 - NARROWEST))


def compression_exponent(gas: Gas, closing_temperature_k: Array) -> Array:
    """R/cv of the fresh gas in the middle of the compression."""
    t = closing_temperature_k + MIDDLE_OF_COMPRESSION
    capacity = gas.c0 + t * (gas.c1 + t * (gas.c2 + t * gas.c3))
    return gas.constant / (capacity - gas.constant)


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


def _vectors() -> Equations:
    return equations(Functions(np.sqrt, np.log, np.exp, np.maximum, np.minimum, lambda function: function))


VECTORS = _vectors()


def flame_y(charge: Charge, gas: Gas, pressure: Array, unburned: Array) -> Array:
    """y = R T of gas that burns at constant pressure: its enthalpy is that of the fresh gas. [J/kg]"""
    fresh = VECTORS.fresh_energy(gas, unburned) + charge.gas_constant * unburned
    y = np.full(np.shape(pressure), 0.75 * Y_UNIT)
    for _ in range(_FLAME_STEPS):
        over, further = (value_at(charge.burned.energy, at, pressure) + at - fresh for at in (y, y + 1e3))
        y = np.clip(y - 1e3 * over / (further - over), LEAST_Y, MOST_Y)
    return y


def lean_on_flame(fraction: Array) -> Array:
    """How far y of the burned gas leans on the flame's.

    The burned gas has pressure times volume less that of the fresh gas, over its mass: nothing over nothing when the
    burn begins, and any error of a step counts there a thousandfold.  There its y leans on that of the flame instead;
    its energy is nearly linear in y, and only the bend of it is lost, a part in 1e5.
    """
    return LEAN * np.exp(-fraction * (1.0 / LEAN_FADES))


def integrated(x: Lanes, charge: Charge, edges: tuple[Array, ...], steps: tuple[int, int, int, int]) -> Nodes:
    """The closed cycle of all lanes, node by node; ``edges`` are the crank angles between the four segments."""
    count, lanes = sum(steps) + 1, x.bore_m.size
    pressures, slopes, unburned, warming, angles, fractions, volumes = np.zeros((7, count, lanes))
    gas, heated = Gas.of(charge), bool(np.any(x.heat_transfer_factor != 0.0))
    piston = WOSCHNI_PISTON_SPEED * x.stroke_m * x.speed_rad_s / np.pi

    def tables(grid: Grid, constant: Array) -> Tables:
        return Tables.of(x.chamber, grid.angle, mass_kg=x.trapped_mass_kg, gas_constant=constant,
                         speed_rad_s=x.speed_rad_s, heat_transfer_factor=x.heat_transfer_factor if heated else None)

    # compression
    n = steps[0]
    grid = Grid.narrowing(edges[0], edges[1], n)
    table = tables(grid, charge.gas_constant)
    exponent = compression_exponent(gas, x.closing_temperature_k)
    to_z = np.exp(exponent * np.log(table.volume / table.volume[0]))
    wall = table.wall * piston**0.8 if table.wall is not None else np.zeros(grid.angle.shape)
    compressing = [Compressing(*row) for row in zip(table.volume, table.volume_slope * grid.stretch, to_z,
                                               wall * grid.stretch, strict=True)]
    z, wall_heat = np.empty((n + 1, lanes)), np.zeros(lanes)
    z[0] = x.closing_temperature_k
    for k in range(n):
        z[k + 1], heat = VECTORS.compress(
            gas, x.wall_temperature_k, exponent, *compressing[2 * k : 2 * k + 3], z[k], 1.0 / n
        )
        wall_heat += heat
    angles[: n + 1], volumes[: n + 1], unburned[: n + 1] = grid.angle[::2], table.volume[::2], z / to_z[::2]
    closing_pressure = charge.gas_constant * x.closing_temperature_k / volumes[0]
    pressures[: n + 1] = charge.gas_constant * unburned[: n + 1] / volumes[: n + 1]
    at_nodes = Compressing(*(column[::2] for column in (table.volume, table.volume_slope, to_z, wall)))
    of_z, _ = VECTORS.compression_slopes(gas, x.wall_temperature_k, exponent, at_nodes, z)
    narrowing = at_nodes.slope / at_nodes.volume
    warming[: n + 1] = of_z / at_nodes.to_z - exponent * narrowing * unburned[: n + 1]
    slopes[: n + 1] = pressures[: n + 1] * (warming[: n + 1] / unburned[: n + 1] - narrowing)
    work = VECTORS.fresh_energy(gas, unburned[0]) - VECTORS.fresh_energy(gas, unburned[n]) - wall_heat

    # combustion and expansion
    flame = flame_y(charge, gas, pressures[n], unburned[n])
    burned_constant = value_at(charge.burned.constant, 0.6e6, 4e6)
    form = 2.0 if np.all(x.wiebe_form == 2.0) else x.wiebe_form
    combustion, least = x.gas_speed(closing_pressure)
    walls = Walls(x.wall_temperature_k, combustion, least)
    first = n
    for segment, n in enumerate(steps[1:], start=1):
        low, last = edges[segment], first + n
        grid = Grid.even(low, edges[segment + 1], n)
        # measured from the segment's own start, so that the first node is exactly the start of combustion
        share = (grid.angle - low + (low - edges[1])) / x.burn_duration_rad
        fraction = burned_fraction(share, x.wiebe_a, form)
        table = tables(grid, charge.gas_constant + fraction * (burned_constant - charge.gas_constant))
        if segment == 1:
            burn_pressure, burn_volume = pressures[first].copy(), table.volume[0].copy()
        motored = burn_pressure * (burn_volume / table.volume) ** MOTORED_EXPONENT
        wall = table.wall if table.wall is not None else np.zeros(grid.angle.shape)
        rate = burn_rate(share, x.wiebe_a, form) / x.burn_duration_rad
        columns = (table.volume, table.volume_slope, table.to_temperature, wall, piston - combustion * motored,
                   fraction, rate, lean_on_flame(fraction))
        burning = [Burning(*row) for row in zip(*columns, strict=True)]
        step = (edges[segment + 1] - low) / n
        for k in range(n):
            at = first + k
            pressures[at + 1], unburned[at + 1], heat, done, slopes[at], warming[at] = VECTORS.burn(
                gas, walls, flame, *burning[2 * k : 2 * k + 3], pressures[at], unburned[at], step
            )
            wall_heat = wall_heat + heat
            work = work + done
        slopes[last], warming[last], _, _ = VECTORS.burn_slopes(
            gas, walls, flame, burning[-1], pressures[last], unburned[last]
        )
        angles[first : last + 1], volumes[first : last + 1] = grid.angle[::2], table.volume[::2]
        fractions[first : last + 1] = fraction[::2]
        first = last
    return Nodes(angles, pressures, slopes, unburned, warming, fractions, volumes, wall_heat, work, flame)


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
