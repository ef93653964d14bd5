"""How the state of one cylinder changes with the crank angle, written element by element.

The same functions serve whole arrays of lanes and, compiled, one lane after another: they use nothing but arithmetic
and the few functions of :class:`Functions`, and take everything that the pressure does not change from a table.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from enginelimits.physics.combustion.heat_transfer import WOSCHNI_TEMPERATURE_EXPONENT
from enginelimits.physics.gas.charge import REFERENCE_TEMPERATURE
from enginelimits.physics.gas.equilibrium import REFERENCE_PRESSURE, Y_UNIT

# y of burned gas that any engine may have, 600 to 3600 K: a stage of a coarse step may try more, and further on the
# polynomials turn down
LEAST_Y, MOST_Y = 0.18 * Y_UNIT, 1.1 * Y_UNIT
# How far y of the first burned gas leans on the flame's, and the burned fraction at which that is a quarter
LEAN, LEAN_FADES = 0.02, 0.008

# of Newton's method for the flame: after three it is a part in 1e7 off, after four one in 1e13 (own computation)
FLAME_STEPS = 4
# A step that is wider than the one before by more is foretold as if it were by so much: slopes of a narrow step tell
# little of what is far off.  From 1.25 to 2 the rarest burns err alike, without it four to seven times as much (own
# computation, 20,000 random cylinders)
MOST_WIDENING = 1.5
# Exponent of the motored pressure in Woschni's combustion term, from the start of combustion on: memory, usual 1.3.
# The integration borrows it: with p V^1.3 it has little to follow but the burning.
MOTORED_EXPONENT = 1.30

Number = Any  # an array of lanes, or the one number of a lane


class Functions(NamedTuple):
    """What the equations need beside arithmetic, for arrays or for single numbers."""

    sqrt: Callable[..., Number]
    log: Callable[..., Number]
    exp: Callable[..., Number]
    sine_versed: Callable[..., tuple[Number, Number]]  # the sine, and 1 less the cosine
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


class Cylinder(NamedTuple):
    """Of a lane: size, mass of the charge, wall, burn, and what depends on those alone."""

    radius: Number
    rod: Number
    area: Number
    clearance: Number
    over_bore: Number
    mass: Number
    over_mass: Number
    wall_temperature: Number
    wall_factor: Number  # Woschni's coefficient over speed and mass, with REFERENCE_PRESSURE^0.25
    log_constant: Number  # of the fresh gas's constant
    piston: Number  # Woschni's speed without combustion. [m/s]
    log_piston: Number
    least_speed: Number
    combustion: Number  # what a pascal over the motored line adds to it. [m/(s*Pa)]
    burned_constant: Number  # gas constant of burned gas in one hot state. [J/(kg*K)]
    exponent: Number  # of the compression
    start: Number
    over_duration: Number
    wiebe_a: Number
    wiebe_form: Number


class Compressing(NamedTuple):
    """At one crank angle: volume per mass, its slope over itself, volume to the power that nearly keeps z, and the
    wall's factor before p^0.25 (T - T_wall).  Slopes are by the variable of integration."""

    volume: Number
    narrowing: Number
    to_z: Number
    wall: Number


class CompressionState(NamedTuple):
    """Where a step of the compression ends: z, its slope, the wall heat's, and the slope of z amid the step and where
    it began."""

    z: Number
    slope: Number
    heat: Number
    slope_amid: Number
    slope_before: Number


class Burning(NamedTuple):
    """At one crank angle: volume per mass and its slope, (V / V at ignition)^1.3 and one over it, V / (m R), the wall's
    factor before p^0.25 w^0.8 (T - T_wall) without its power of V / (m R) and that power's logarithm, Woschni's speed
    without pressure, burned fraction, its slope, the flame's part of burned y, and one over the fraction with its lean
    on the flame."""

    volume: Number
    slope: Number
    to_reduced: Number
    to_pressure: Number
    to_temperature: Number
    wall: Number
    log_wall: Number
    still: Number
    fraction: Number
    rate: Number
    leaning: Number
    over_fraction: Number


class BurnState(NamedTuple):
    """Where a step of the burn ends: pressure and temperature of the fresh gas with their slopes, p (V / V at
    ignition)^1.3 with its slope, the slopes of wall heat and work, and those of the two amid the step and where it
    began."""

    pressure: Number
    fresh: Number
    rise: Number
    warming: Number
    reduced: Number
    growth: Number
    heat: Number
    work: Number
    growth_amid: Number
    warming_amid: Number
    growth_before: Number
    warming_before: Number


class Ignition(NamedTuple):
    """When burning begins: pressure, logarithm of the volume per mass, and y of gas that burns first."""

    pressure: Number
    log_volume: Number
    flame: Number


class Equations(NamedTuple):
    """The steps of the integration, for one set of functions."""

    volume_and_slope: Callable[..., tuple[Number, Number]]
    compressing_at: Callable[..., Compressing]
    burning_at: Callable[..., Burning]
    compression_begun: Callable[..., CompressionState]
    compress: Callable[..., tuple[CompressionState, Number]]
    compression_slopes: Callable[..., tuple[Number, Number]]
    burn_begun: Callable[..., BurnState]
    burn: Callable[..., tuple[BurnState, Number, Number]]
    burn_slopes: Callable[..., tuple[Number, Number, Number, Number]]
    flame: Callable[..., Number]
    fresh_energy: Callable[..., Number]


def lean_on_flame(fraction: Number) -> Number:
    """How far y of the burned gas leans on the flame's, at a burned fraction. [1]"""
    faded = fraction * (1.0 / LEAN_FADES)
    over = 1.0 + faded * faded
    return LEAN / (over * over)


def equations(functions: Functions) -> Equations:
    """The right-hand sides and one step for each phase.

    Compression is integrated as z = T v^k: with k near R/cv it hardly changes, so that few steps do.  While it burns
    the state is p (V / V at ignition)^1.3 and the temperature of the fresh gas; heat and work are sums over it.

    A step looks at its middle and at its end, once each: the state there is foretold from the slopes of the step
    before, and Simpson's rule goes over the three.  That is of the fourth order, for half the looks of a Runge-Kutta
    method.  The first step of a phase has none before it and is of the third, which shows below a part in 1e8.
    """
    sqrt, log, larger, smaller, compiled = (
        functions.sqrt, functions.log, functions.larger, functions.smaller, functions.compiled,
    )
    exp, sine_versed = functions.exp, functions.sine_versed

    leaning = compiled(lean_on_flame)

    def amid(value: Number, slope: Number, slope_amid: Number, slope_before: Number, step: Number,
             ratio: Number) -> Number:
        """A value half a step on, by the parabola through its slopes where the step before began, amid it and where it
        ended; ``ratio`` of the step to that one, or nothing where there was none."""
        turn = slope - 2.0 * slope_amid + slope_before
        return value + 0.5 * step * (
            slope + ratio * (0.5 * (slope - slope_amid) + turn * (0.25 + ratio * (1.0 / 6.0)))
        )

    amid = compiled(amid)

    def ahead(value: Number, slope: Number, slope_amid: Number, middle: Number, step: Number, ratio: Number) -> Number:
        """A value a whole step on, by the parabola through its slopes amid the step before, where that ended, and in
        the middle of this one."""
        bend = (middle - slope) - ratio * (slope - slope_amid)
        return value + step * (middle + bend * (ratio * (1.0 / 3.0) / (1.0 + ratio)))

    ahead = compiled(ahead)

    def volume_and_slope(cylinder: Cylinder, angle: Number) -> tuple[Number, Number]:
        """Volume per mass [m^3/kg] and its slope [m^3/(kg*rad)]: Chamber.volume_and_slope over the mass."""
        sine, versed = sine_versed(angle)
        across = cylinder.radius * sine
        along = sqrt(cylinder.rod * cylinder.rod - across * across)
        # rod - along = across^2 / (rod + along), and one division for both
        over = 1.0 / (along * (cylinder.rod + along))
        travel = cylinder.radius * versed + across * across * along * over
        slope = across * (1.0 + cylinder.radius * (1.0 - versed) * (cylinder.rod + along) * over)
        return (
            (cylinder.clearance + cylinder.area * travel) * cylinder.over_mass,
            cylinder.area * slope * cylinder.over_mass,
        )

    volume_and_slope = compiled(volume_and_slope)

    def wall_at(cylinder: Cylinder, volume: Number) -> Number:
        """Woschni's p^0.8 T^-0.55 with T = p V / (m R) is p^0.25 times a function of the volume, so that a stage is
        left with one power of pressure and speed.  The wall is a disc chamber: two bore areas and the liner in sight.
        """
        return cylinder.wall_factor * (2.0 * cylinder.area + 4.0 * volume * cylinder.mass * cylinder.over_bore)

    wall_at = compiled(wall_at)

    def compressing_at(gas: Gas, cylinder: Cylinder, log_closing: Number, angle: Number,
                       stretch: Number) -> Compressing:
        """The table at an angle before the burn; ``log_closing`` is of the volume per mass at intake closing."""
        volume, slope = volume_and_slope(cylinder, angle)
        log_volume = log(volume)
        wall = wall_at(cylinder, volume) * exp(
            WOSCHNI_TEMPERATURE_EXPONENT * (log_volume - cylinder.log_constant) + 0.8 * cylinder.log_piston
        )
        return Compressing(
            volume,
            slope / volume * stretch,
            exp(cylinder.exponent * (log_volume - log_closing)),
            wall * stretch,
        )

    compressing_at = compiled(compressing_at)

    def burning_at(gas: Gas, cylinder: Cylinder, ignition: Ignition, share: Number, angle: Number) -> Burning:
        """The table at an angle of the burn, ``share`` of its duration after its start."""
        volume, slope = volume_and_slope(cylinder, angle)
        # Wiebe's function and its slope: wiebe.burned_fraction, wiebe.burn_rate
        some = larger(share, 1e-200)
        to_form = exp(cylinder.wiebe_form * log(some))
        left = exp(-cylinder.wiebe_a * to_form * some)
        fraction = 1.0 - left
        rate = cylinder.wiebe_a * (cylinder.wiebe_form + 1.0) * to_form * left * cylinder.over_duration
        log_volume = log(volume)
        to_pressure = exp(MOTORED_EXPONENT * (ignition.log_volume - log_volume))
        constant = gas.constant + fraction * (cylinder.burned_constant - gas.constant)
        # its logarithm over that of the fresh gas: the two are so near that three powers do
        apart = (constant - gas.constant) / (constant + gas.constant)
        square = apart * apart
        log_constant = cylinder.log_constant + 2.0 * apart * (1.0 + square * (1 / 3 + square * (1 / 5)))
        # The burned gas has pressure times volume less that of the fresh gas, over its mass: nothing over nothing
        # when the burn begins, and any error of a step counts there a thousandfold.  There its y leans on that of the
        # flame instead; its energy is nearly linear in y, and only the bend of it is lost, a part in 1e5.
        lean = leaning(fraction)
        return Burning(
            volume,
            slope,
            1.0 / to_pressure,
            to_pressure,
            volume / constant,
            wall_at(cylinder, volume),
            WOSCHNI_TEMPERATURE_EXPONENT * (log_volume - log_constant),
            cylinder.piston - cylinder.combustion * (ignition.pressure * to_pressure),
            fraction,
            rate,
            lean * ignition.flame,
            1.0 / (fraction + lean),
        )

    burning_at = compiled(burning_at)

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

    def flame(gas: Gas, pressure: Number, fresh: Number) -> Number:
        """y = R T of gas that burns at constant pressure: its enthalpy is that of the fresh gas. [J/kg]"""
        enthalpy = fresh_energy(gas, fresh) + gas.constant * fresh
        log_p = log(pressure * (1.0 / REFERENCE_PRESSURE))
        y = larger(0.0 * pressure, 0.75 * Y_UNIT)
        for _ in range(FLAME_STEPS):
            value, by_y, _by_p = energy(gas, y, log_p)
            y = smaller(larger(y - (value + y - enthalpy) / (by_y + 1.0), LEAST_Y), MOST_Y)
        return y

    flame = compiled(flame)

    def compression_slopes(gas: Gas, wall_temperature: Number, exponent: Number, at: Compressing,
                           z: Number) -> tuple[Number, Number]:
        """Slopes of z and of the wall heat: dT = -(R T dv/v + dq) / cv, one zone, the fresh gas."""
        temperature = z / at.to_z
        cv = capacity(gas, temperature) - gas.constant
        at_pressure = gas.constant * temperature / at.volume * (1.0 / REFERENCE_PRESSURE)
        heat = at.wall * sqrt(sqrt(at_pressure)) * (temperature - wall_temperature)
        cooling = (gas.constant * temperature * at.narrowing + heat) / cv
        return at.to_z * (temperature * at.narrowing * exponent - cooling), heat

    compression_slopes = compiled(compression_slopes)

    def compression_begun(gas: Gas, wall_temperature: Number, exponent: Number, at: Compressing,
                          z: Number) -> CompressionState:
        """Where the first step of the compression begins."""
        slope, heat = compression_slopes(gas, wall_temperature, exponent, at, z)
        return CompressionState(z, slope, heat, slope, slope)

    compression_begun = compiled(compression_begun)

    def compress(gas: Gas, wall_temperature: Number, exponent: Number, middle: Compressing, end: Compressing,
                 at: CompressionState, step: Number, ratio: Number) -> tuple[CompressionState, Number]:
        """Where a step ends, and the wall heat of it."""
        z = amid(at.z, at.slope, at.slope_amid, at.slope_before, step, ratio)
        slope_amid, heat_amid = compression_slopes(gas, wall_temperature, exponent, middle, z)
        z = ahead(at.z, at.slope, at.slope_amid, slope_amid, step, ratio)
        slope, heat = compression_slopes(gas, wall_temperature, exponent, end, z)
        sixth = step * (1.0 / 6.0)
        return (
            CompressionState(at.z + sixth * (at.slope + 4.0 * slope_amid + slope), slope, heat, slope_amid, at.slope),
            sixth * (at.heat + 4.0 * heat_amid + heat),
        )

    compress = compiled(compress)

    def burn_slopes(gas: Gas, cylinder: Cylinder, at: Burning, pressure: Number,
                    fresh: Number) -> tuple[Number, Number, Number, Number]:
        """Slopes of pressure, of the fresh gas's temperature, of wall heat and of p (V / V at ignition)^1.3, two zones
        at one pressure.

        Energy of both zones, with the burned zone's as a function of y = R T and p, for which x y is what the volume
        leaves to it.  The fresh gas holds the share of the wall that it holds of the volume:
        dT/T = R/cp (dp - h A (T - T_wall)/V dt) / p.
        """
        cp = capacity(gas, fresh)
        fresh_y = gas.constant * fresh
        over = 1.0 / (pressure * cp * at.volume)  # one division for three
        over_volume = pressure * cp * over
        lag = fresh_y * at.volume * over  # dT/dp without heat
        log_p = log(pressure * (1.0 / REFERENCE_PRESSURE))
        speed = larger(at.still + cylinder.combustion * pressure, cylinder.least_speed)
        conductance = at.wall * exp(0.25 * log_p + 0.8 * log(speed) + at.log_wall)
        heat = conductance * (pressure * at.to_temperature - cylinder.wall_temperature)
        cooling = conductance * (fresh - cylinder.wall_temperature) * over_volume
        unburned = 1.0 - at.fraction
        y = (pressure * at.volume - unburned * fresh_y + at.leaning) * at.over_fraction
        y = smaller(larger(y, LEAST_Y), MOST_Y)
        value, by_y, by_p = energy(gas, y, log_p)
        work = pressure * at.slope
        # what burning adds at a given pressure and volume
        added = at.rate * ((fresh_y - y) * by_y - fresh_energy(gas, fresh) + value)
        of_fresh = (cp - gas.constant * (1.0 + by_y)) * unburned * lag
        rise = (of_fresh * cooling - added - heat - work * (1.0 + by_y)) / (
            by_y * at.volume + by_p * at.fraction * (cp * at.volume * over) + of_fresh
        )
        growth = at.to_reduced * (rise + MOTORED_EXPONENT * (work * over_volume))
        return rise, lag * (rise - cooling), heat, growth

    burn_slopes = compiled(burn_slopes)

    def burn_begun(gas: Gas, cylinder: Cylinder, at: Burning, pressure: Number, fresh: Number) -> BurnState:
        """Where the first step of the burn begins."""
        rise, warming, heat, growth = burn_slopes(gas, cylinder, at, pressure, fresh)
        reduced = pressure * at.to_reduced
        return BurnState(pressure, fresh, rise, warming, reduced, growth, heat, pressure * at.slope, growth, warming,
                         growth, warming)

    burn_begun = compiled(burn_begun)

    def burn(gas: Gas, cylinder: Cylinder, middle: Burning, end: Burning, at: BurnState, step: Number,
             ratio: Number) -> tuple[BurnState, Number, Number]:
        """Where a step ends, and the wall heat and work of it."""
        sixth, ratio = step * (1.0 / 6.0), smaller(ratio, MOST_WIDENING)
        reduced = amid(at.reduced, at.growth, at.growth_amid, at.growth_before, step, ratio)
        fresh = amid(at.fresh, at.warming, at.warming_amid, at.warming_before, step, ratio)
        _, warming_amid, heat_amid, growth_amid = burn_slopes(
            gas, cylinder, middle, reduced * middle.to_pressure, fresh
        )
        reduced = ahead(at.reduced, at.growth, at.growth_amid, growth_amid, step, ratio)
        fresh = ahead(at.fresh, at.warming, at.warming_amid, warming_amid, step, ratio)
        rise, warming, heat, growth = burn_slopes(gas, cylinder, end, reduced * end.to_pressure, fresh)
        # work wants the middle better than it was foretold: by the parabola through the three slopes
        reduced = at.reduced + step * (1.0 / 24.0) * (5.0 * at.growth + 8.0 * growth_amid - growth)
        work_amid = reduced * middle.to_pressure * middle.slope
        reduced = at.reduced + sixth * (at.growth + 4.0 * growth_amid + growth)
        pressure = reduced * end.to_pressure
        work = pressure * end.slope
        return (
            BurnState(pressure, at.fresh + sixth * (at.warming + 4.0 * warming_amid + warming), rise, warming, reduced,
                      growth, heat, work, growth_amid, warming_amid, at.growth, at.warming),
            sixth * (at.heat + 4.0 * heat_amid + heat),
            sixth * (at.work + 4.0 * work_amid + work),
        )

    burn = compiled(burn)
    return Equations(volume_and_slope, compressing_at, burning_at, compression_begun, compress, compression_slopes,
                     burn_begun, burn, burn_slopes, flame, fresh_energy)


def by_half_angle(tangent: Callable[..., Number]) -> Callable[..., tuple[Number, Number]]:
    """Sine, and 1 less the cosine, from one tangent: it takes less than the two."""

    def sine_versed(angle: Number) -> tuple[Number, Number]:
        half = tangent(0.5 * angle)
        square = half * half
        twice = 2.0 / (1.0 + square)
        return half * twice, square * twice

    return sine_versed


VECTORS = equations(
    Functions(np.sqrt, np.log, np.exp, by_half_angle(np.tan), np.maximum, np.minimum, lambda function: function)
)
