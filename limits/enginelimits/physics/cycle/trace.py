"""Cylinder pressure over the whole cycle on one crank grid for all lanes, for the forces."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.closed import ClosedCycle
from enginelimits.physics.cycle.gas_exchange import OVERLAP_HALF_WIDTH, blowdown_pressure, filling_pressure
from enginelimits.physics.gas.mixture import SINGLE_ZONE
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.interpolation import hermite, smooth_step


def crank_grid() -> Array:
    """Angles over 720 deg about firing top dead centre, both ends included. [rad]

    Gas exchange in steps of 4 deg, compression and expansion of 2, near top dead centre of 1 and, where
    pressure peaks, of 0.5 deg, so that the highest pressure on the grid is within 0.1 % of the peak.

    >>> grid = crank_grid()
    >>> grid.size, round(float(np.degrees(grid[0]))), round(float(np.degrees(grid[-1])))
    (351, -360, 360)
    """
    parts = ((-360, -180, 4.0), (-180, -30, 2.0), (-30, 0, 1.0), (0, 35, 0.5), (35, 60, 1.0), (60, 180, 2.0))
    degrees = [np.arange(low, high, step) for low, high, step in parts]
    return np.radians(np.concatenate([*degrees, np.arange(180.0, 361.0, 4.0)]))


def pressure_over_cycle(
    closed: ClosedCycle,
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    intake_pressure_pa: Array,
    exhaust_pressure_pa: Array,
    crank_angle_rad: Array | None = None,
    gamma_coefficients: tuple[float, ...] = SINGLE_ZONE,
) -> Array:
    """Absolute cylinder pressure at each angle of a grid shared by all lanes, the grid on the last axis. [Pa]

    ``crank_angle_rad`` rises within -2 pi to 2 pi, 0 at firing top dead centre; crank_grid() if not given.
    Valves closed: cubic through pressure and slope at the nodes of ``closed``. From exhaust opening to the
    bottom the gas expands on and fades into exhaust pressure; the exhaust stroke is at exhaust pressure, the
    intake stroke at intake pressure, changing over within 15 deg of top dead centre; then eased into the
    trapped pressure at intake closing. Work over the two strokes about firing is that of
    closed.gross_imep_pa.
    """
    angle = crank_grid() if crank_angle_rad is None else np.asarray(crank_angle_rad, dtype=float)
    shape = np.shape(closed.peak_pressure_pa)
    intake, exhaust = (
        np.broadcast_to(np.asarray(v, dtype=float), shape)[..., None]
        for v in (intake_pressure_pa, exhaust_pressure_pa)
    )
    closing, opening = closed.angles_rad[..., :1], closed.angles_rad[..., -1:]
    pressure = np.empty((*shape, angle.size))
    bottom = np.pi

    gas_exchange = np.abs(angle) >= bottom
    pressure[..., gas_exchange] = _with_valves_open(angle[gas_exchange], intake, exhaust)

    # whether a valve is open depends on the lane; what no lane needs is not computed
    filling = (angle > -bottom) & (angle < np.nanmax(closing, initial=-bottom))
    expelling = (angle < bottom) & (angle > np.nanmin(opening, initial=bottom))
    between = (angle > -bottom) & (angle < bottom)
    pressure[..., between] = _with_valves_closed(closed, angle[between])
    if filling.any():
        at = angle[filling]
        eased = filling_pressure(at, closing, intake, closed.closing_pressure_pa[..., None])
        pressure[..., filling] = np.where(at < closing, eased, pressure[..., filling])
    if expelling.any():
        at = angle[expelling]
        chamber = Chamber(
            *(
                np.asarray(v, dtype=float)[..., None]
                for v in (bore_m, stroke_m, rod_length_m, compression_ratio)
            )
        )
        gamma = sum(c * closed.opening_temperature_k**i for i, c in enumerate(gamma_coefficients))
        fading = blowdown_pressure(
            at,
            opening,
            exhaust,
            closed.opening_pressure_pa[..., None],
            chamber.volume_m3(at) / chamber.volume_m3(opening),
            np.asarray(gamma)[..., None],
        )
        pressure[..., expelling] = np.where(at > opening, fading, pressure[..., expelling])
    pressure[np.isnan(closed.peak_pressure_pa)] = np.nan
    return pressure


def _with_valves_open(angle: Array, intake: Array, exhaust: Array) -> Array:
    """Exhaust then intake stroke, from pi over 2 pi, which is -2 pi, to -pi."""
    after_top = np.where(angle > 0.0, angle - 2.0 * np.pi, angle + 2.0 * np.pi)
    changed = smooth_step((after_top + OVERLAP_HALF_WIDTH) / (2.0 * OVERLAP_HALF_WIDTH))
    return exhaust + changed * (intake - exhaust)


def _with_valves_closed(closed: ClosedCycle, angle: Array) -> Array:
    """Hermite cubic on each lane's own grid; level beyond its ends, for others to replace."""
    nodes, shape = closed.angles_rad, closed.angles_rad.shape[:-1]
    nodes = np.nan_to_num(nodes).reshape(-1, nodes.shape[-1])
    index = np.zeros((nodes.shape[0], angle.size), dtype=np.intp)
    first = 0
    for steps in closed.steps:
        low, width = nodes[:, first, None], (nodes[:, first + steps] - nodes[:, first])[:, None] / steps
        with np.errstate(divide="ignore", invalid="ignore"):
            within = np.nan_to_num((angle - low) / width, posinf=0.0, neginf=0.0)
        here = first + np.clip(within.astype(np.intp), 0, steps - 1)
        index = np.where(angle >= low, here, index)
        first += steps
    # flat indices: one gather each, cheaper than along an axis
    flat = index + np.arange(nodes.shape[0])[:, None] * nodes.shape[1]
    values, slopes, nodes = (
        closed.pressures_pa.reshape(-1),
        closed.pressure_slopes.reshape(-1),
        nodes.reshape(-1),
    )
    left = nodes[flat]
    width = nodes[flat + 1] - left
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (angle - left) / width
        share = np.clip(share, 0.0, 1.0)
    pressure = hermite(share, width, values[flat], values[flat + 1], slopes[flat], slopes[flat + 1])
    return np.reshape(pressure, (*shape, angle.size))
