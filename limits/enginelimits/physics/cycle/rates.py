"""How the state of one cylinder changes with the crank angle, written element by element.

The same functions serve whole arrays of lanes and, compiled, one lane after another: they use nothing but arithmetic
and the few functions of :class:`Functions`, and take everything that the pressure does not change from a table.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from enginelimits.physics.gas.charge import REFERENCE_TEMPERATURE
from enginelimits.physics.gas.equilibrium import REFERENCE_PRESSURE, Y_UNIT

# y of burned gas that any engine may have, 600 to 3600 K: a stage of a coarse step may try more, and further on the
# polynomials turn down
LEAST_Y, MOST_Y = 0.18 * Y_UNIT, 1.1 * Y_UNIT
# How far y of the first burned gas leans on the flame's, and the burned fraction over which that fades
LEAN, LEAN_FADES = 0.02, 0.008

Number = Any  # an array of lanes, or the one number of a lane


class Functions(NamedTuple):
    """What the equations need beside arithmetic, for arrays or for single numbers."""

    sqrt: Callable[..., Number]
    log: Callable[..., Number]
    exp: Callable[..., Number]
    larger: Callable[..., Number]
    smaller: Callable[..., Number]
    compiled: Callable[[Callable[..., Any]], Callable[..., Any]]


class Gas(NamedTuple):
    """The charge of a lane: heat capacity and energy of the fresh gas by powers of T, energy of the burned gas by
    powers of y / Y_UNIT, each with its powers of ln(p / REFERENCE_PRESSURE)."""

    constant: Number
    c0: Number
    c1: Number
    c2: Number
    c3: Number
    nil: Number
    a0: Number
    a1: Number
    a2: Number
    a3: Number
    a4: Number
    a5: Number
    b0: Number
    b1: Number
    b2: Number
    b3: Number
    b4: Number
    b5: Number
    d0: Number
    d1: Number
    d2: Number
    d3: Number
    d4: Number
    d5: Number

    @classmethod
    def of(cls, charge: Any) -> Gas:
        """From a Charge, lanes on the last axis."""
        c0, c1, c2, c3 = (c * 1e-3**i for i, c in enumerate(charge.heat_capacity))
        t0 = REFERENCE_TEMPERATURE
        nil = charge.enthalpy - charge.lost - t0 * (c0 + t0 * (c1 / 2 + t0 * (c2 / 3 + t0 * c3 / 4)))
        a, b, d = charge.burned.energy
        return cls(charge.gas_constant, c0, c1, c2, c3, nil, *a, *b, *d)


class Walls(NamedTuple):
    """Of a lane: wall temperature, and Woschni's gas speed as still + combustion x pressure, never under the least."""

    temperature: Number
    combustion: Number
    least: Number


class Compressing(NamedTuple):
    """At one crank angle: volume per mass and its slope, volume to the power that nearly keeps z, and the wall's
    factor before p^0.25 (T - T_wall).  Slopes are by the variable of integration."""

    volume: Number
    slope: Number
    to_z: Number
    wall: Number


class Burning(NamedTuple):
    """At one crank angle: volume per mass and its slope, V / (m R), the wall's factor before p^0.25 w^0.8
    (T - T_wall), Woschni's speed without pressure, burned fraction, its slope, and the lean on the flame."""

    volume: Number
    slope: Number
    to_temperature: Number
    wall: Number
    still: Number
    fraction: Number
    rate: Number
    lean: Number


class Equations(NamedTuple):
    """The steps of the integration, for one set of functions."""

    compress: Callable[..., tuple[Number, Number]]
    compression_slopes: Callable[..., tuple[Number, Number]]
    burn: Callable[..., tuple[Number, Number, Number, Number, Number, Number]]
    burn_slopes: Callable[..., tuple[Number, Number, Number, Number]]
    energy: Callable[..., tuple[Number, Number, Number]]
    fresh_energy: Callable[..., Number]


def equations(functions: Functions) -> Equations:
    """The right-hand sides and one step of the classical fourth-order Runge-Kutta method for each phase.

    Compression is integrated as z = T v^k: with k near R/cv it hardly changes, so that few steps do.  While it burns
    the state is pressure and the temperature of the fresh gas; heat and work are sums over it.
    """
    sqrt, log, larger, smaller, compiled = (
        functions.sqrt, functions.log, functions.larger, functions.smaller, functions.compiled,
    )
    exp = functions.exp

    def capacity(gas: Gas, temperature: Number) -> Number:
        return gas.c0 + temperature * (gas.c1 + temperature * (gas.c2 + temperature * gas.c3))

    capacity = compiled(capacity)

    def fresh_energy(gas: Gas, temperature: Number) -> Number:
        """Internal energy of the fresh gas. [J/kg]"""
        t = temperature
        return gas.nil + t * (
            gas.c0 - gas.constant + t * (gas.c1 * (1 / 2) + t * (gas.c2 * (1 / 3) + t * (gas.c3 * (1 / 4))))
        )

    fresh_energy = compiled(fresh_energy)

    def energy(gas: Gas, y: Number, log_p: Number) -> tuple[Number, Number, Number]:
        """Internal energy of the burned gas [J/kg], its slope by y [1], and by ln p [J/kg]."""
        x, l = y * (1.0 / Y_UNIT), log_p  # noqa: E741
        twice = 2.0 * l
        by_y = gas.a5 + l * (gas.b5 + l * gas.d5)
        by_p = gas.b5 + twice * gas.d5
        value = by_y * x + (gas.a4 + l * (gas.b4 + l * gas.d4))
        by_p = by_p * x + (gas.b4 + twice * gas.d4)
        by_y = by_y * x + value
        value = value * x + (gas.a3 + l * (gas.b3 + l * gas.d3))
        by_p = by_p * x + (gas.b3 + twice * gas.d3)
        by_y = by_y * x + value
        value = value * x + (gas.a2 + l * (gas.b2 + l * gas.d2))
        by_p = by_p * x + (gas.b2 + twice * gas.d2)
        by_y = by_y * x + value
        value = value * x + (gas.a1 + l * (gas.b1 + l * gas.d1))
        by_p = by_p * x + (gas.b1 + twice * gas.d1)
        by_y = by_y * x + value
        value = value * x + (gas.a0 + l * (gas.b0 + l * gas.d0))
        by_p = by_p * x + (gas.b0 + twice * gas.d0)
        return value, by_y * (1.0 / Y_UNIT), by_p

    energy = compiled(energy)

    def compression_slopes(gas: Gas, wall_temperature: Number, exponent: Number, at: Compressing,
                           z: Number) -> tuple[Number, Number]:
        """Slopes of z and of the wall heat: dT = -(R T dv/v + dq) / cv, one zone, the fresh gas."""
        temperature = z / at.to_z
        cv = capacity(gas, temperature) - gas.constant
        over_v = 1.0 / at.volume
        heat = at.wall * sqrt(sqrt(gas.constant * temperature * over_v)) * (temperature - wall_temperature)
        narrowing = at.slope * over_v
        cooling = (gas.constant * temperature * narrowing + heat) / cv
        return at.to_z * (temperature * narrowing * exponent - cooling), heat

    compression_slopes = compiled(compression_slopes)

    def compress(gas: Gas, wall_temperature: Number, exponent: Number, start: Compressing, middle: Compressing,
                 end: Compressing, z: Number, step: Number) -> tuple[Number, Number]:
        """z after a step, and the wall heat of the step."""
        k1, q1 = compression_slopes(gas, wall_temperature, exponent, start, z)
        k2, q2 = compression_slopes(gas, wall_temperature, exponent, middle, z + 0.5 * step * k1)
        k3, q3 = compression_slopes(gas, wall_temperature, exponent, middle, z + 0.5 * step * k2)
        k4, q4 = compression_slopes(gas, wall_temperature, exponent, end, z + step * k3)
        sixth = step * (1.0 / 6.0)
        return z + sixth * (k1 + 2.0 * (k2 + k3) + k4), sixth * (q1 + 2.0 * (q2 + q3) + q4)

    compress = compiled(compress)

    def burn_slopes(gas: Gas, walls: Walls, flame: Number, at: Burning, pressure: Number,
                    fresh: Number) -> tuple[Number, Number, Number, Number]:
        """Slopes of pressure, of the fresh gas's temperature, of wall heat and of work, two zones at one pressure.

        Energy of both zones, with the burned zone's as a function of y = R T and p, for which x y is what the volume
        leaves to it.  The fresh gas holds the share of the wall that it holds of the volume:
        dT/T = R/cp (dp - h A (T - T_wall)/V dt) / p.
        """
        cp = capacity(gas, fresh)
        fresh_y = gas.constant * fresh
        over_p = 1.0 / pressure
        lag = fresh_y * over_p / cp  # dT/dp without heat
        speed = larger(at.still + walls.combustion * pressure, walls.least)
        conductance = at.wall * sqrt(sqrt(pressure)) * exp(0.8 * log(speed))
        heat = conductance * (pressure * at.to_temperature - walls.temperature)
        cooling = conductance * (fresh - walls.temperature) / at.volume
        unburned = 1.0 - at.fraction
        y = (pressure * at.volume - unburned * fresh_y + at.lean * flame) / (at.fraction + at.lean)
        y = smaller(larger(y, LEAST_Y), MOST_Y)
        value, by_y, by_p = energy(gas, y, log(pressure * (1.0 / REFERENCE_PRESSURE)))
        work = pressure * at.slope
        # what burning adds at a given pressure and volume
        added = at.rate * ((fresh_y - y) * by_y - fresh_energy(gas, fresh) + value)
        of_fresh = (cp - gas.constant * (1.0 + by_y)) * unburned * lag
        rise = (of_fresh * cooling - added - heat - work * (1.0 + by_y)) / (
            by_y * at.volume + by_p * at.fraction * over_p + of_fresh
        )
        return rise, lag * (rise - cooling), heat, work

    burn_slopes = compiled(burn_slopes)

    def burn(gas: Gas, walls: Walls, flame: Number, start: Burning, middle: Burning, end: Burning, pressure: Number,
             fresh: Number, step: Number) -> tuple[Number, Number, Number, Number, Number, Number]:
        """Pressure and fresh gas after a step, wall heat and work of the step, and the slopes at its start."""
        half = 0.5 * step
        p1, t1, q1, w1 = burn_slopes(gas, walls, flame, start, pressure, fresh)
        p2, t2, q2, w2 = burn_slopes(gas, walls, flame, middle, pressure + half * p1, fresh + half * t1)
        p3, t3, q3, w3 = burn_slopes(gas, walls, flame, middle, pressure + half * p2, fresh + half * t2)
        p4, t4, q4, w4 = burn_slopes(gas, walls, flame, end, pressure + step * p3, fresh + step * t3)
        sixth = step * (1.0 / 6.0)
        return (
            pressure + sixth * (p1 + 2.0 * (p2 + p3) + p4),
            fresh + sixth * (t1 + 2.0 * (t2 + t3) + t4),
            sixth * (q1 + 2.0 * (q2 + q3) + q4),
            sixth * (w1 + 2.0 * (w2 + w3) + w4),
            p1,
            t1,
        )

    burn = compiled(burn)
    return Equations(compress, compression_slopes, burn, burn_slopes, energy, fresh_energy)
