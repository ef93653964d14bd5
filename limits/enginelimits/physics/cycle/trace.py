"""Cylinder pressure over the whole cycle on one crank grid for all lanes, for the forces."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.closed import COMPILED, ClosedCycle
from enginelimits.physics.cycle.gas_exchange import GasExchange
from enginelimits.physics.cycle.lanes import steps_before
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.interpolation import hermite
from enginelimits.physics.numerics.validity import valid


def crank_grid() -> Array:
    """Angles over 720 deg about firing top dead centre, both ends included.

    Gas exchange in steps of 4 deg, compression and expansion of 2, near top dead centre of 1 and, where
    pressure peaks, of 0.5 deg, so that the highest pressure on the grid is within 0.1 % of the peak.

    Parameters
    ----------
    None.

    Returns
    -------
    crank_angle_rad : array
        Rising from -2 pi to 2 pi. [rad]

    Equation
    --------
    Solved: no formula, steps as described

    Source
    ------
    own-computation

    Examples
    --------
    >>> grid = crank_grid()
    >>> grid.size, round(float(np.degrees(grid[0]))), round(float(np.degrees(grid[-1])))
    (351, -360, 360)
    """
    parts = ((-360, -180, 4.0), (-180, -30, 2.0), (-30, 0, 1.0), (0, 35, 0.5), (35, 60, 1.0), (60, 180, 2.0))
    degrees = [np.arange(low, high, step) for low, high, step in parts]
    return np.radians(np.concatenate([*degrees, np.arange(180.0, 361.0, 4.0)]))


@valid(
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 1e9),
    compression_ratio=(6.0, 16.0),
    intake_pressure_pa=(2e4, 5e5),
    exhaust_pressure_pa=(5e4, 8e5),
    crank_angle_rad=(-6.3, 6.3),
)
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
) -> Array:
    """Absolute cylinder pressure at each angle of a grid shared by all lanes.

    Valves closed: a cubic through pressure and slope at the nodes of ``closed``. From exhaust opening to the
    bottom the gas expands on and fades into exhaust pressure; the exhaust stroke is at exhaust pressure, the
    intake stroke at intake pressure, changing over within 15 deg of top dead centre; then eased into the
    trapped pressure at intake closing. Work over the two strokes about firing is that of
    closed.gross_imep_pa.

    Parameters
    ----------
    closed : ClosedCycle
        Of the same cylinders. [1]
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 1e9.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    intake_pressure_pa : array
        Manifold, absolute. [Pa] Valid 2e4 to 5e5.
    exhaust_pressure_pa : array
        At the ports, absolute. [Pa] Valid 5e4 to 8e5.
    crank_angle_rad : array
        After firing top dead centre; crank_grid if not given. [rad] Valid -6.3 to 6.3.

    Returns
    -------
    pressure_pa : array
        Shape of the lanes with the grid on the last axis. [Pa]

    Equation
    --------
    Solved: closed_cycle between the valve events, manifold pressures elsewhere

    Source
    ------
    common-practice, gas exchange at manifold pressures

    Examples
    --------
    See closed_cycle for what goes in.

    >>> crank_grid().size
    351
    """
    angle = crank_grid() if crank_angle_rad is None else np.asarray(crank_angle_rad, dtype=float)
    shape = np.shape(closed.peak_pressure_pa)

    def lanes(value: Array) -> Array:
        return np.broadcast_to(np.asarray(value, dtype=float), shape)[..., None]

    exchange = GasExchange(
        chamber=Chamber(lanes(bore_m), lanes(stroke_m), lanes(rod_length_m), lanes(compression_ratio)),
        closing_angle_rad=closed.angles_rad[..., :1],
        opening_angle_rad=closed.angles_rad[..., -1:],
        closing_pressure_pa=lanes(closed.closing_pressure_pa),
        opening_pressure_pa=lanes(closed.opening_pressure_pa),
        intake_pressure_pa=lanes(intake_pressure_pa),
        exhaust_pressure_pa=lanes(exhaust_pressure_pa),
        gamma=lanes(closed.opening_gamma),
    )
    closing, opening = exchange.closing_angle_rad, exchange.opening_angle_rad
    pressure = np.empty((*shape, angle.size))
    about_firing = np.abs(angle) < np.pi
    pressure[..., ~about_firing] = exchange.strokes(angle[~about_firing])
    pressure[..., about_firing] = _with_valves_closed(closed, angle[about_firing])
    # whether a valve is open depends on the lane; what no lane needs is not computed
    known = np.isfinite(closing)
    filling = about_firing & (angle < np.max(closing, initial=-np.pi, where=known))
    if filling.any():
        at = angle[filling]
        pressure[..., filling] = np.where(at < closing, exchange.filling(at), pressure[..., filling])
    expelling = about_firing & (angle > np.min(opening, initial=np.pi, where=known))
    if expelling.any():
        at = angle[expelling]
        pressure[..., expelling] = np.where(at > opening, exchange.blowdown(at), pressure[..., expelling])
    pressure[np.isnan(closed.peak_pressure_pa)] = np.nan
    return pressure


def _with_valves_closed(closed: ClosedCycle, angle: Array) -> Array:
    """Hermite cubic on each lane's own grid; level beyond its ends, for others to replace."""
    nodes, shape = closed.angles_rad, closed.angles_rad.shape[:-1]
    nodes = np.nan_to_num(nodes).reshape(-1, nodes.shape[-1])
    if COMPILED.get():
        from enginelimits.physics.cycle import compiled

        values, slopes = (v.reshape(nodes.shape) for v in (closed.pressures_pa, closed.pressure_slopes))
        return np.reshape(compiled.interpolated(angle, nodes, values, slopes), (*shape, angle.size))
    index = np.zeros((nodes.shape[0], angle.size), dtype=np.intp)
    first = 0
    for segment, steps in enumerate(closed.steps):
        low, width = nodes[:, first, None], (nodes[:, first + steps] - nodes[:, first])[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.nan_to_num((angle - low) / width, posinf=0.0, neginf=0.0)
        within = steps * steps_before(share, segment)
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
        share = np.clip((angle - left) / width, 0.0, 1.0)
    pressure = hermite(share, width, values[flat], values[flat + 1], slopes[flat], slopes[flat + 1])
    return np.reshape(pressure, (*shape, angle.size))
