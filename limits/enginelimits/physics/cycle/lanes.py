"""One cylinder a lane: what is asked of it, and the slopes that the integration of the closed cycle needs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.heat_transfer import WOSCHNI_COMBUSTION, WOSCHNI_PISTON_SPEED
from enginelimits.physics.combustion.wiebe import start_of_combustion
from enginelimits.physics.cycle.chamber import Chamber, Tables
from enginelimits.physics.gas.charge import REFERENCE_TEMPERATURE, Charge, unburned_internal_energy
from enginelimits.physics.gas.equilibrium import REFERENCE_PRESSURE, Y_UNIT, value_at
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.integration import Rates

# Exponent of the motored pressure in Woschni's combustion term, from the start of combustion on: memory,
# usual 1.3
MOTORED_EXPONENT = 1.30
# Woschni's speed never falls under this share of its piston term: a motored engine with much heat loss lies a
# little under the motored line, and a fractional power wants a positive speed
LEAST_GAS_SPEED_SHARE = 0.5
# rows of the state; heat and work per mass
PRESSURE, UNBURNED, WALL_HEAT, WORK = range(4)
_FLAME_STEPS = 6
# y of burned gas that any engine may have, 600 to 3600 K: a stage of a coarse step may try more, and further on the
# polynomials turn down
_Y_BOUNDS = (0.18 * Y_UNIT, 1.1 * Y_UNIT)
_POWERS = np.arange(1.0, 6.0)[:, None]


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

    def gas_speed(self, tables: Tables, motored: Array, closing_pressure: Array) -> tuple[Array, Array, Array]:
        """Woschni's speed as still + combustion x pressure, and the least it may be. [m/s], [m/(s*Pa)]"""
        piston = WOSCHNI_PISTON_SPEED * self.stroke_m * self.speed_rad_s / np.pi
        reference = self.chamber.displacement_m3 * self.closing_temperature_k
        closing_volume = self.chamber.volume_m3(self.intake_closing_rad - np.pi)
        combustion = WOSCHNI_COMBUSTION * reference / (closing_pressure * closing_volume)
        return piston - combustion * motored, combustion, LEAST_GAS_SPEED_SHARE * piston


class Burning(NamedTuple):
    """By half node and lane: burned fraction, its slope, and how far y of the burned gas leans on the flame's."""

    fraction: Array
    slope: Array
    lean: Array

    @classmethod
    def of(cls, fraction: Array, slope: Array) -> Burning:
        """The burned gas has pressure times volume less that of the fresh gas, over its mass: nothing over nothing
        when the burn begins, and any error of a step counts there a thousandfold.  There its y leans on that of the
        flame instead; its energy is nearly linear in y, and only the bend of it is lost, a part in 1e5."""
        return cls(fraction, slope, 0.02 * np.exp(-fraction / 0.008))


class Zones(NamedTuple):
    """Fresh and burned gas of the lanes, and how their state changes with the crank angle."""

    lanes: Lanes
    charge: Charge

    def flame(self, pressure: Array, unburned: Array) -> Array:
        """y = R T of gas that burns at constant pressure: its enthalpy is that of the fresh gas. [J/kg]"""
        charge = self.charge
        fresh = unburned_internal_energy(charge, unburned) + charge.gas_constant * unburned
        y = np.full(np.shape(pressure), 0.75 * Y_UNIT)
        for _ in range(_FLAME_STEPS):
            over, further = (value_at(charge.burned.energy, at, pressure) + at - fresh for at in (y, y + 1e3))
            y = np.clip(y - 1e3 * over / (further - over), *_Y_BOUNDS)
        return y

    def compressing(self, tables: Tables) -> Rates:
        """Slopes of pressure, unburned temperature, wall heat and work while nothing burns.

        dp = -(p dv + dq R/cp) / (cv dT/dp): one zone, the fresh gas.
        """
        x, charge = self
        lanes = x.bore_m.size
        temperature, loss, capacity, lag, cool = np.empty((5, lanes))
        c0, c1, c2, c3 = (c * 1e-3**i for i, c in enumerate(charge.heat_capacity))
        constant, wall = charge.gas_constant, tables.wall
        if wall is not None:
            wall = wall * (WOSCHNI_PISTON_SPEED * x.stroke_m * x.speed_rad_s / np.pi) ** 0.8

        def slopes(i: int, state: Array, out: Array) -> None:
            pressure, unburned = state[PRESSURE], state[UNBURNED]
            np.multiply(pressure, tables.volume_slope[i], out=out[WORK])
            np.multiply(unburned, c3, out=capacity)
            np.add(capacity, c2, out=capacity)
            np.multiply(capacity, unburned, out=capacity)
            np.add(capacity, c1, out=capacity)
            np.multiply(capacity, unburned, out=capacity)
            np.add(capacity, c0, out=capacity)
            np.multiply(constant, unburned, out=lag)
            np.divide(lag, pressure, out=lag)
            np.divide(lag, capacity, out=lag)  # dT/dp without heat
            if wall is not None:
                np.sqrt(pressure, out=loss)
                np.sqrt(loss, out=loss)
                np.multiply(loss, wall[i], out=loss)
                np.subtract(unburned, x.wall_temperature_k, out=cool)
                np.multiply(loss, cool, out=out[WALL_HEAT])
                np.divide(out[WALL_HEAT], tables.volume[i], out=cool)
            else:
                out[WALL_HEAT] = 0.0
                cool.fill(0.0)
            np.multiply(out[WALL_HEAT], constant, out=temperature)
            np.divide(temperature, capacity, out=temperature)
            np.add(temperature, out[WORK], out=temperature)
            np.subtract(constant, capacity, out=loss)
            np.multiply(loss, lag, out=loss)
            np.divide(temperature, loss, out=out[PRESSURE])
            np.subtract(out[PRESSURE], cool, out=cool)
            np.multiply(lag, cool, out=out[UNBURNED])

        return slopes

    def burning(
        self, tables: Tables, burning: Burning, flame: Array, motored: Array, closing_pressure: Array
    ) -> Rates:
        """Slopes of pressure, unburned temperature, wall heat and work with two zones at one pressure.

        Energy of both zones, with the burned zone's as a function of y = R T and p, for which x y is what the volume
        leaves to it.  The fresh gas holds the share of the wall that it holds of the volume:
        dT/T = R/cp (dp - h A (T - T_wall)/V dt) / p.
        """
        x, charge = self
        lanes = x.bore_m.size
        pressure_term, unburned_energy, lag, loss, cool, y, log_p, speed, k, up, ub = np.empty((11, lanes))
        by_y, of_p, powers, work6 = np.empty((4, 6, lanes))
        e0, e1, e2 = charge.burned.energy
        twice = 2.0 * e2
        c0, c1, c2, c3 = (c * 1e-3**i for i, c in enumerate(charge.heat_capacity))
        i0, i1, i2, i3 = (c / (n + 1.0) for n, c in enumerate((c0, c1, c2, c3)))
        t0 = REFERENCE_TEMPERATURE
        nil = charge.enthalpy - charge.lost - t0 * (i0 + t0 * (i1 + t0 * (i2 + t0 * i3)))
        constant, wall = charge.gas_constant, tables.wall
        still, combustion, least = x.gas_speed(tables, motored, closing_pressure)
        capacity = np.empty(lanes)

        def slopes(i: int, state: Array, out: Array) -> None:
            pressure, unburned = state[PRESSURE], state[UNBURNED]
            burned, rate, lean = burning.fraction[i], burning.slope[i], burning.lean[i]
            volume = tables.volume[i]
            np.multiply(pressure, tables.volume_slope[i], out=out[WORK])
            # fresh gas: capacity, energy, y
            np.multiply(unburned, c3, out=capacity)
            np.add(capacity, c2, out=capacity)
            np.multiply(capacity, unburned, out=capacity)
            np.add(capacity, c1, out=capacity)
            np.multiply(capacity, unburned, out=capacity)
            np.add(capacity, c0, out=capacity)
            np.multiply(unburned, i3, out=unburned_energy)
            np.add(unburned_energy, i2, out=unburned_energy)
            np.multiply(unburned_energy, unburned, out=unburned_energy)
            np.add(unburned_energy, i1, out=unburned_energy)
            np.multiply(unburned_energy, unburned, out=unburned_energy)
            np.add(unburned_energy, i0, out=unburned_energy)
            np.multiply(unburned_energy, unburned, out=unburned_energy)
            np.add(unburned_energy, nil, out=unburned_energy)
            fresh_y = np.multiply(constant, unburned, out=ub)
            np.subtract(unburned_energy, fresh_y, out=unburned_energy)
            np.divide(fresh_y, pressure, out=lag)
            np.divide(lag, capacity, out=lag)  # dT/dp without heat
            # wall
            if wall is not None:
                np.multiply(pressure, tables.to_temperature[i], out=cool)
                np.subtract(cool, x.wall_temperature_k, out=cool)
                np.sqrt(pressure, out=loss)
                np.sqrt(loss, out=loss)
                np.multiply(loss, wall[i], out=loss)
                np.multiply(pressure, combustion, out=speed)
                np.add(speed, still[i], out=speed)
                np.maximum(speed, least, out=speed)
                np.power(speed, 0.8, out=speed)
                np.multiply(loss, speed, out=loss)
                np.multiply(loss, cool, out=out[WALL_HEAT])
                np.subtract(unburned, x.wall_temperature_k, out=cool)
                np.multiply(cool, loss, out=cool)
                np.divide(cool, volume, out=cool)
            else:
                out[WALL_HEAT] = 0.0
                cool.fill(0.0)
            # burned gas: y, energy and its slopes
            np.multiply(burned - 1.0, fresh_y, out=y)
            np.multiply(pressure, volume, out=pressure_term)
            np.add(y, pressure_term, out=y)
            np.add(y, lean * flame, out=y)
            np.divide(y, burned + lean, out=y)
            np.clip(y, *_Y_BOUNDS, out=y)
            np.divide(pressure, REFERENCE_PRESSURE, out=log_p)
            np.log(log_p, out=log_p)
            np.multiply(e2, log_p, out=by_y)
            np.add(by_y, e1, out=by_y)
            np.multiply(by_y, log_p, out=by_y)
            np.add(by_y, e0, out=by_y)
            np.multiply(twice, log_p, out=of_p)
            np.add(of_p, e1, out=of_p)
            powers[0] = 1.0
            np.divide(y, Y_UNIT, out=powers[1])
            for n in range(2, 6):
                np.multiply(powers[n - 1], powers[1], out=powers[n])
            np.multiply(of_p, powers, out=work6)
            np.add.reduce(work6, axis=0, out=up)
            np.multiply(by_y[1:], _POWERS, out=work6[1:])
            np.multiply(work6[1:], powers[:-1], out=work6[1:])
            np.add.reduce(work6[1:], axis=0, out=k)
            np.divide(k, Y_UNIT, out=k)
            # what burning adds at a given pressure and volume
            np.subtract(fresh_y, y, out=y)
            np.multiply(y, k, out=y)
            np.subtract(y, unburned_energy, out=y)
            np.multiply(by_y, powers, out=work6)
            np.add.reduce(work6, axis=0, out=ub)
            np.add(y, ub, out=y)
            np.multiply(y, rate, out=y)
            # fresh share of the slope
            np.multiply(k, constant, out=log_p)
            np.add(log_p, constant, out=log_p)
            np.subtract(capacity, log_p, out=log_p)
            np.multiply(log_p, 1.0 - burned, out=log_p)
            np.multiply(log_p, lag, out=log_p)
            np.multiply(log_p, cool, out=loss)
            np.subtract(loss, y, out=loss)
            np.subtract(loss, out[WALL_HEAT], out=loss)
            np.multiply(k, out[WORK], out=y)
            np.add(y, out[WORK], out=y)
            np.subtract(loss, y, out=loss)
            np.multiply(up, burned, out=up)
            np.divide(up, pressure, out=up)
            np.multiply(k, volume, out=k)
            np.add(k, up, out=k)
            np.add(k, log_p, out=k)
            np.divide(loss, k, out=out[PRESSURE])
            np.subtract(out[PRESSURE], cool, out=cool)
            np.multiply(lag, cool, out=out[UNBURNED])

        return slopes


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
