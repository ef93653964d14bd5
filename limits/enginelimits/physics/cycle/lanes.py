"""One cylinder a lane: what is asked of it, and the slopes that the integration of the closed cycle needs."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.heat_transfer import WOSCHNI_COMBUSTION, WOSCHNI_PISTON_SPEED
from enginelimits.physics.combustion.wiebe import burn_rate, start_of_combustion
from enginelimits.physics.cycle.chamber import Chamber, Tables
from enginelimits.physics.gas.mixture import UNBURNED_ETHANOL, UNBURNED_GASOLINE
from enginelimits.physics.numerics.arrays import Array

# Exponent of the motored pressure in Woschni's combustion term, from the start of combustion on: memory,
# usual 1.3
MOTORED_EXPONENT = 1.30
# Woschni's speed never falls under this share of its piston term: a motored engine with much heat loss lies a
# little under the motored line, and a fractional power wants a positive speed
LEAST_GAS_SPEED_SHARE = 0.5
# rows of the state
PRESSURE, UNBURNED, WALL_HEAT, WORK = range(4)


class Lanes(NamedTuple):
    """The inputs, each (lanes,)."""

    bore_m: Array
    stroke_m: Array
    rod_length_m: Array
    compression_ratio: Array
    speed_rad_s: Array
    trapped_mass_kg: Array
    closing_temperature_k: Array
    gas_constant_j_kgk: Array
    released_heat_j: Array
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
    ethanol_mass_fraction: Array

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

    def heat_rate(self, segment: int, since_low: Array, edges: tuple[Array, ...]) -> Array | None:
        """Heat released per angle. [J/rad]"""
        if segment == 0:
            return None
        # measured from the segment's own start, so that the first node is exactly the start of combustion
        share = (since_low + (edges[segment] - edges[1])) / self.burn_duration_rad
        m = 2.0 if np.all(self.wiebe_form == 2.0) else self.wiebe_form
        rate: Array = burn_rate(share, self.wiebe_a, m) * (self.released_heat_j / self.burn_duration_rad)
        return rate

    def rates(
        self, gamma: tuple[float, ...], tables: Tables, motored: Array | None, closing_pressure: Array
    ) -> Callable[[int, Array, Array], None]:
        """Slopes over the crank angle of pressure, unburned temperature, wall heat and work.

        The unburned gas holds the share of the wall that it holds of the volume, which makes its cooling
        independent of how much of it is left: dT/T = (g - 1)/g (dp - h A (T - T_wall)/V dt) / p.
        """
        lanes = self.bore_m.size
        temperature, less_one, loss, cool, speed = np.empty((5, lanes))
        base, higher = gamma[0] - 1.0, gamma[1:]
        u0, u1, u2, u3 = (
            (g + self.ethanol_mass_fraction * (e - g)) * 1e-3**i  # in powers of T/K
            for i, (g, e) in enumerate(zip(UNBURNED_GASOLINE, UNBURNED_ETHANOL, strict=True))
        )
        volume, volume_slope, log_slope, to_temperature, heat, wall = tables
        piston_term = WOSCHNI_PISTON_SPEED * self.stroke_m * self.speed_rad_s / np.pi
        reference = self.chamber.displacement_m3 * self.closing_temperature_k
        combustion = (
            WOSCHNI_COMBUSTION
            * reference
            / (closing_pressure * self.chamber.volume_m3(self.intake_closing_rad - np.pi))
        )
        least = LEAST_GAS_SPEED_SHARE * piston_term
        still = None if motored is None else piston_term - combustion * motored
        if motored is None and wall is not None:
            wall = wall * piston_term**0.8

        def slopes(i: int, state: Array, out: Array) -> None:
            pressure, unburned = state[PRESSURE], state[UNBURNED]
            rise, warming = out[PRESSURE], out[UNBURNED]
            np.multiply(pressure, to_temperature[i], out=temperature)
            if higher:
                np.multiply(temperature, higher[-1], out=less_one)
                for coefficient in reversed(higher[:-1]):
                    np.add(less_one, coefficient, out=less_one)
                    np.multiply(less_one, temperature, out=less_one)
                np.add(less_one, base, out=less_one)
            else:
                less_one.fill(base)
            # pressure
            np.multiply(pressure, volume_slope[i], out=out[WORK])
            np.multiply(pressure, log_slope[i], out=cool)  # held here until the next use of cool
            if heat is None:
                np.negative(cool, out=rise)
            else:
                np.subtract(heat[i], cool, out=rise)
            if wall is not None:
                np.sqrt(pressure, out=loss)
                np.sqrt(loss, out=loss)
                np.multiply(loss, wall[i], out=loss)
                if still is not None:
                    np.multiply(pressure, combustion, out=speed)
                    np.add(speed, still[i], out=speed)
                    np.maximum(speed, least, out=speed)
                    np.power(speed, 0.8, out=speed)
                    np.multiply(loss, speed, out=loss)
                np.subtract(temperature, self.wall_temperature_k, out=temperature)
                np.multiply(temperature, loss, out=temperature)  # wall heat per volume
                np.subtract(rise, temperature, out=rise)
                np.multiply(temperature, volume[i], out=out[WALL_HEAT])
            else:
                out[WALL_HEAT] = 0.0
            np.multiply(rise, less_one, out=rise)
            np.subtract(rise, cool, out=rise)
            # unburned gas
            np.multiply(unburned, u3, out=warming)
            np.add(warming, u2, out=warming)
            np.multiply(warming, unburned, out=warming)
            np.add(warming, u1, out=warming)
            np.multiply(warming, unburned, out=warming)
            np.add(warming, u0, out=warming)
            np.multiply(warming, unburned, out=warming)
            np.divide(warming, pressure, out=warming)
            if wall is not None:
                np.subtract(unburned, self.wall_temperature_k, out=cool)
                np.multiply(cool, loss, out=cool)
                np.subtract(rise, cool, out=cool)
                np.multiply(warming, cool, out=warming)
            else:
                np.multiply(warming, rise, out=warming)

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
    280.0,
    1200.0,
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
    0.0,
)
