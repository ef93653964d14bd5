"""What is wanted of the integrated cycle beside its traces: the highest pressure, the knock integral, the ends."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.combustion.auto_ignition import (
    ACTIVATION_TEMPERATURE_K,
    PRESSURE_EXPONENT,
    ignition_progress_rate,
)
from enginelimits.physics.cycle.lanes import Grid, Lanes, Nodes, Sums
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.integration import hermite_integral
from enginelimits.physics.numerics.interpolation import hermite, peak_share


def sums_of(x: Lanes, nodes: Nodes, steps: tuple[int, int, int, int]) -> Sums:
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
    # before the burn over the variable of integration, from there on over the angle
    grid = Grid.narrowing(nodes.angles[0], nodes.angles[before], before)
    stretch, early, late = grid.stretch[::2], slice(0, before + 1), slice(before, until + 1)
    by_step, rising = rate[early] * stretch, slope[early] * stretch**2 + rate[early] * grid.bend
    widths = np.diff(nodes.angles[late], axis=0)
    return hermite_integral(by_step.T, rising.T, 1.0 / before) + hermite_integral(
        rate[late].T, slope[late].T, widths.T
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
