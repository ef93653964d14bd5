"""The closed cycle: pressure, temperatures, work and wall heat from intake closing to exhaust opening.

One zone with a linear ratio of specific heats, and beside it the unburned gas, compressed by the same
pressure and losing heat to its share of the wall. Many cylinders ("lanes") at once; each lane has its own
crank grid with a node at the start of combustion, where the heat release has a kink that would otherwise cost
order, and one where it has all but ended.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.wiebe import burned_fraction, share_at_burned, start_of_combustion
from enginelimits.physics.cycle.chamber import Chamber, Tables
from enginelimits.physics.cycle.gas_exchange import GasExchange
from enginelimits.physics.cycle.lanes import (
    MOTORED_EXPONENT,
    ORDINARY,
    PRESSURE,
    UNBURNED,
    WALL_HEAT,
    WORK,
    Lanes,
)
from enginelimits.physics.gas.mixture import SINGLE_ZONE, gamma_of, internal_energy_rise
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.integration import runge_kutta_4
from enginelimits.physics.numerics.interpolation import hermite, peak_share
from enginelimits.physics.numerics.validity import valid

# Steps from intake closing to start of combustion, on to where all but a ten-thousandth is burned, on to
# exhaust opening. At the nominal end 0.7 % is still to burn, faster than the last segment's steps could
# follow.
STEPS = (32, 40, 24)
_BURNED = 0.9999
# Lanes worked on at once, which bounds the memory that the tables take
_CHUNK = 4096


class ClosedCycle(NamedTuple):
    """Results a lane; the traces have the crank nodes on the last axis, ``steps`` says how many a segment.

    NaN where an input is missing or the order intake closing, start of combustion, exhaust opening is broken.
    """

    peak_pressure_pa: Array
    peak_pressure_angle_rad: Array
    gross_imep_pa: Array
    closed_work_j: Array
    wall_heat_j: Array
    energy_residual: Array
    peak_unburned_temperature_k: Array
    peak_temperature_k: Array
    closing_pressure_pa: Array
    opening_pressure_pa: Array
    opening_temperature_k: Array
    start_of_combustion_rad: Array
    angles_rad: Array
    pressures_pa: Array
    pressure_slopes: Array  # Pa/rad
    unburned_temperatures_k: Array
    temperatures_k: Array
    steps: tuple[int, int, int]


@valid(
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 1e9),
    compression_ratio=(6.0, 16.0),
    speed_rad_s=(50.0, 1500.0),
    trapped_mass_kg=(1e-5, 1e-2),
    closing_temperature_k=(250.0, 500.0),
    gas_constant_j_kgk=(255.0, 310.0),
    released_heat_j=(0.0, 3e4),
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
    ethanol_mass_fraction=(0.0, 1.0),
)
def closed_cycle(
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    speed_rad_s: Array,
    trapped_mass_kg: Array,
    closing_temperature_k: Array,
    gas_constant_j_kgk: Array,
    released_heat_j: Array,
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
    ethanol_mass_fraction: Array = 0.0,
    gamma_coefficients: tuple[float, ...] = SINGLE_ZONE,
    steps: tuple[int, int, int] = STEPS,
) -> ClosedCycle:
    """Pressure and what follows from it in one cylinder, from intake closing to exhaust opening.

    Gross mean effective pressure counts from bottom to bottom: before intake closing the cylinder is at
    intake pressure, eased into the trapped pressure; after exhaust opening it expands on and fades into
    exhaust pressure, which it has reached at the bottom. The fourth-order integration uses ``steps`` a
    segment.

    Parameters
    ----------
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
    gas_constant_j_kgk : array
        Of the charge. [J/(kg*K)] Valid 255 to 310.
    released_heat_j : array
        A cylinder and cycle, from released_heat. [J] Valid 0 to 3e4.
    half_burned_angle_rad : array
        Half the heat released, after top dead centre. [rad] Valid -0.3 to 0.9.
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
    ethanol_mass_fraction : array
        Of the fuel, for the unburned gas. [1] Valid 0 to 1.
    gamma_coefficients : tuple of float
        Ratio of specific heats of the zone in powers of its temperature in kelvin. [1]
    steps : tuple of int
        To the start of combustion, to its end, to exhaust opening. [1]

    Returns
    -------
    cycle : ClosedCycle
        Pressures [Pa], angles [rad], work and heat [J], temperatures [K], the residual of the energy balance
        over heat plus p V at intake closing [1]. Broadcast over the arguments, traces with the crank on the
        last axis.

    Equation
    --------
    Solved: d(pressure) = ((gamma - 1) * (d(heat) - d(wall heat)) - gamma * pressure * d(volume)) / volume
    from trapped_mass_kg * gas_constant_j_kgk * closing_temperature_k / volume at intake closing on; gamma is
    1.375 - 6.99e-5 * temperature, heat follows Wiebe about half_burned_angle_rad, wall heat Woschni.

    Source
    ------
    heywood-1988, ch. 9, with woschni-1967 and the Wiebe function

    Examples
    --------
    >>> one = closed_cycle(
    ...     bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=9.5, speed_rad_s=420.0,
    ...     trapped_mass_kg=8.5e-4, closing_temperature_k=350.0, gas_constant_j_kgk=277.0,
    ...     released_heat_j=2000.0, half_burned_angle_rad=0.30, burn_duration_rad=0.90, wiebe_a=5.0,
    ...     wiebe_form=2.0, intake_closing_rad=0.87, exhaust_opening_rad=0.87, wall_temperature_k=450.0,
    ...     heat_transfer_factor=1.0, intake_pressure_pa=1.7e5, exhaust_pressure_pa=1.6e5)
    >>> round(float(one.peak_pressure_pa) / 1e5), bool(abs(one.energy_residual) < 1e-4)
    (61, True)
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
                gas_constant_j_kgk,
                released_heat_j,
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
                ethanol_mass_fraction,
            )
        )
    )
    shape = columns[0].shape
    flat = np.stack([c.reshape(-1) for c in columns])
    lost = ~Lanes(*flat).computable()
    flat[:, lost] = np.array(ORDINARY)[:, None]
    with np.errstate(over="ignore", invalid="ignore"):
        parts = [
            _integrated(Lanes(*flat[:, i : i + _CHUNK]), gamma_coefficients, steps)
            for i in range(0, max(flat.shape[1], 1), _CHUNK)
        ]
    results: list[Array] = []
    for pieces in zip(*parts, strict=True):
        whole = np.concatenate(pieces, axis=-1)  # crank axis first until here
        whole[..., lost] = np.nan
        results.append(np.ascontiguousarray(np.moveaxis(whole, 0, -1)) if whole.ndim == 2 else whole)
    shaped = [r.reshape(shape + r.shape[1:]) for r in results]
    return ClosedCycle._make([*shaped, steps])


def _integrated(x: Lanes, gamma: tuple[float, ...], steps: tuple[int, int, int]) -> tuple[Array, ...]:
    """The fields of ClosedCycle but the last, for lanes (lanes,); traces are (nodes, lanes)."""
    chamber, lanes = x.chamber, x.bore_m.size
    closing, opening = x.intake_closing_rad - np.pi, np.pi - x.exhaust_opening_rad
    start = start_of_combustion(x.half_burned_angle_rad, x.burn_duration_rad, x.wiebe_a, x.wiebe_form)
    # a burn that outlasts exhaust opening still leaves room for the last segment
    burning = x.burn_duration_rad * share_at_burned(_BURNED, x.wiebe_a, x.wiebe_form)
    end = start + np.minimum(burning, 0.8 * (opening - start))
    edges = (closing, start, end, opening)

    count = sum(steps) + 1
    states, slopes = np.empty((2, count, 4, lanes))
    angles, to_temperature = np.empty((2, count, lanes))
    mass_gas = x.trapped_mass_kg * x.gas_constant_j_kgk
    closing_pressure = mass_gas * x.closing_temperature_k / chamber.volume_m3(closing)
    states[0, PRESSURE], states[0, UNBURNED] = closing_pressure, x.closing_temperature_k
    states[0, WALL_HEAT:] = 0.0

    heated = bool(np.any(x.heat_transfer_factor != 0.0))
    first = 0
    for segment, n in enumerate(steps):
        low, high = edges[segment], edges[segment + 1]
        grid = low + np.linspace(0.0, 1.0, 2 * n + 1)[:, None] * (high - low)
        tables = Tables.of(
            chamber,
            grid,
            x.heat_rate(segment, grid - low, edges),
            mass_times_gas_constant=mass_gas,
            speed_rad_s=x.speed_rad_s,
            heat_transfer_factor=x.heat_transfer_factor if heated else None,
        )
        last = first + n
        if segment == 1:
            burn_pressure, burn_volume = states[first, PRESSURE].copy(), tables.volume[0].copy()
        motored = None if segment == 0 else burn_pressure * (burn_volume / tables.volume) ** MOTORED_EXPONENT
        rates = x.rates(gamma, tables, motored, closing_pressure)
        runge_kutta_4(rates, states[first : last + 1], slopes[first : last + 1], (high - low) / n)
        angles[first : last + 1], to_temperature[first : last + 1] = grid[::2], tables.to_temperature[::2]
        first = last

    pressures, unburned = states[:, PRESSURE], states[:, UNBURNED]
    temperatures = pressures * to_temperature
    peak, peak_angle, peak_unburned = _peak(
        angles, pressures, slopes[:, PRESSURE], unburned, slopes[:, UNBURNED]
    )
    work, wall_heat = states[-1, WORK], states[-1, WALL_HEAT]
    opening_temperature = temperatures[-1]
    burned = burned_fraction((opening - start) / x.burn_duration_rad, x.wiebe_a, x.wiebe_form)
    rise = internal_energy_rise(x.closing_temperature_k, opening_temperature, x.gas_constant_j_kgk, gamma)
    unaccounted = x.released_heat_j * burned - wall_heat - work - x.trapped_mass_kg * rise
    residual = unaccounted / (x.released_heat_j + mass_gas * x.closing_temperature_k)
    exchange = GasExchange(
        chamber=Chamber(*(v[:, None] for v in chamber)),
        closing_angle_rad=closing[:, None],
        opening_angle_rad=opening[:, None],
        closing_pressure_pa=closing_pressure[:, None],
        opening_pressure_pa=pressures[-1][:, None],
        intake_pressure_pa=x.intake_pressure_pa[:, None],
        exhaust_pressure_pa=x.exhaust_pressure_pa[:, None],
        gamma=gamma_of(opening_temperature, gamma)[:, None],
    )
    return (
        peak,
        peak_angle,
        (work + exchange.work_j()) / chamber.displacement_m3,
        work.copy(),
        wall_heat.copy(),
        residual,
        peak_unburned,
        temperatures.max(axis=0),
        closing_pressure,
        pressures[-1].copy(),
        opening_temperature.copy(),
        start,
        angles,
        pressures,
        slopes[:, PRESSURE],
        unburned,
        temperatures,
    )


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
