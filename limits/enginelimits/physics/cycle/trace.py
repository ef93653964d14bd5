"""Cylinder pressure over the whole cycle on one crank grid for all lanes, for the forces."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.closed import COMPILED, ClosedCycle
from enginelimits.physics.cycle.gas_exchange import GasExchange
from enginelimits.physics.cycle.lanes import steps_before
from enginelimits.physics.numerics.arrays import Array, without_repeats
from enginelimits.physics.numerics.blocks import BLOCK, over_nodes
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
    sizes = (over_nodes(v) for v in (bore_m, stroke_m, rod_length_m, compression_ratio))
    exchange = GasExchange(
        chamber=Chamber(*sizes),
        # that all lanes share their valve timing is the rule
        closing_angle_rad=without_repeats(closed.angles_rad[..., :1]),
        opening_angle_rad=without_repeats(closed.angles_rad[..., -1:]),
        closing_pressure_pa=over_nodes(closed.closing_pressure_pa),
        opening_pressure_pa=over_nodes(closed.opening_pressure_pa),
        intake_pressure_pa=over_nodes(intake_pressure_pa),
        exhaust_pressure_pa=over_nodes(exhaust_pressure_pa),
        gamma=over_nodes(closed.opening_gamma),
    )
    closing, opening = exchange.closing_angle_rad, exchange.opening_angle_rad
    pressure = np.empty((*shape, angle.size))
    about_firing = np.abs(angle) < np.pi
    for part in _runs(~about_firing):
        pressure[..., part] = exchange.strokes(angle[part])
    # whether a valve is open depends on the lane; what no lane needs is not computed
    closings, openings = (each[np.isfinite(each)] for each in (closing, opening))
    filling = about_firing & (angle < np.max(closings, initial=-np.pi))
    expelling = about_firing & (angle > np.min(openings, initial=np.pi))
    all_filling = about_firing & (angle < np.min(closings, initial=np.pi))
    all_expelling = about_firing & (angle > np.max(openings, initial=-np.pi))
    for part in _runs(about_firing & ~all_filling & ~all_expelling):
        pressure[..., part] = _with_valves_closed(closed, angle[part])
    for some, every, opened, event, made in (
        (filling, all_filling, np.less, closing, exchange.filling),
        (expelling, all_expelling, np.greater, opening, exchange.blowdown),
    ):
        for part in _runs(every):
            pressure[..., part] = made(angle[part])
        for part in _runs(some & ~every):
            at = angle[part]
            pressure[..., part] = np.where(opened(at, event), made(at), pressure[..., part])
    lost = np.isnan(closed.peak_pressure_pa)
    if lost.any():
        pressure[lost] = np.nan
    return pressure


def _runs(mask: Array) -> list[slice]:
    """The stretches of a mask."""
    ends = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]])))
    return [slice(int(begin), int(end)) for begin, end in zip(ends[::2], ends[1::2], strict=True)]


def _with_valves_closed(closed: ClosedCycle, angle: Array) -> Array:
    """Hermite cubic on each lane's own grid; level beyond its ends, for others to replace."""
    nodes, shape = closed.angles_rad, closed.angles_rad.shape[:-1]
    nodes = np.nan_to_num(nodes).reshape(-1, nodes.shape[-1])
    if COMPILED.get():
        from enginelimits.physics.cycle import compiled

        values, slopes = (v.reshape(nodes.shape) for v in (closed.pressures_pa, closed.pressure_slopes))
        return np.reshape(compiled.interpolated(angle, nodes, values, slopes), (*shape, angle.size))
    values, slopes = (v.reshape(nodes.shape) for v in (closed.pressures_pa, closed.pressure_slopes))
    pressure = np.empty((nodes.shape[0], angle.size))
    for begin in range(0, nodes.shape[0], BLOCK):
        some = slice(begin, begin + BLOCK)
        pressure[some] = _cubics(angle, nodes[some], values[some], slopes[some], closed.steps)
    return np.reshape(pressure, (*shape, angle.size))


def _cubics(angle: Array, nodes: Array, values: Array, slopes: Array, steps: tuple[int, int, int, int]) -> Array:
    """Cubics through values and slopes at each lane's nodes, (lanes, nodes), at angles that all lanes share."""
    index = np.zeros((nodes.shape[0], angle.size), dtype=np.intp)
    first = 0
    for segment, count in enumerate(steps):
        low, high = nodes[:, first, None], nodes[:, first + count, None]
        # the angles that lie in this segment in any lane, and all behind the last one
        among = (angle >= low.min()) & ((angle < high.max()) if segment < len(steps) - 1 else True)
        at = angle[among]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (at - low) / (high - low)
        share = np.where(np.isfinite(share), share, 0.0)
        within = np.clip((count * steps_before(share, segment)).astype(np.intp), 0, count - 1)
        index[:, among] = np.where(at >= low, first + within, index[:, among])
        first += count
    # flat indices: one gather each, cheaper than along an axis
    flat = index + np.arange(nodes.shape[0])[:, None] * nodes.shape[1]
    values, slopes, nodes = values.reshape(-1), slopes.reshape(-1), nodes.reshape(-1)
    left = nodes[flat]
    width = nodes[flat + 1] - left
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip((angle - left) / width, 0.0, 1.0)
    return hermite(share, width, values[flat], values[flat + 1], slopes[flat], slopes[flat + 1])
