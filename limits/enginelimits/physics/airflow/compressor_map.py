"""What a compressor can do, read off its measured map: speed lines from surge to choke.

A map is handed over as arrays, lines along the first axis in the order of rising speed, the points of each along the
second, from its surge point to its choke end; shorter lines are filled up with NaN.  Lines need not be sampled alike:
a point's place on its line is the length of the way to it, 0 at surge and 1 at choke, flow and head each counted in
parts of the line's own range, so that neither a level nor an upright stretch makes the place stand still.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.roots import bracketed_root
from enginelimits.physics.numerics.validity import valid

# Exponent of the isentropic head, for a ratio of heat capacities of 1.4
HEAD_EXPONENT = 0.4 / 1.4
# A point of the map read back from the map must count as on it.
ON_THE_EDGE = 1e-9


class MapReading(NamedTuple):
    """NaN where the map shows nothing; flows and speeds corrected.  The last three are yes-no."""

    efficiency: Array
    corrected_tip_speed_m_s: Array
    surge_flow_kg_s: Array
    choke_flow_kg_s: Array
    inside: Array
    above_top_line: Array
    below_lowest_line: Array


class MapPoint(NamedTuple):
    """NaN where the map shows nothing."""

    pressure_ratio: Array
    efficiency: Array


class _Grid(NamedTuple):
    """Lines by common places along them, the wheel at rest as the first line."""

    speed: Array
    flow: Array
    head: Array
    efficiency: Array


def _places(flow: Array, head: Array) -> Array:
    """Place of each point on its line, 0 at surge to 1 at choke."""
    flow_range = max(float(np.ptp(flow)), 1e-12)
    head_range = max(float(np.ptp(head)), 1e-12)
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(flow) / flow_range, np.diff(head) / head_range))])
    return np.round(way / way[-1], 12)


def _grid(speed: Array, flow: Array, ratio: Array, efficiency: Array) -> _Grid:
    speeds, flows, ratios, efficiencies = (np.asarray(v, dtype=float) for v in (speed, flow, ratio, efficiency))
    lines = []
    for m, r, e in zip(flows, ratios, efficiencies, strict=True):
        there = np.isfinite(m)
        head = r[there] ** HEAD_EXPONENT - 1.0
        lines.append((_places(m[there], head), m[there], head, e[there]))
    # Every measured point keeps a place of its own, so that the map gives back what it was made of.
    places = np.unique(np.concatenate([np.linspace(0.0, 1.0, 17), *(line[0] for line in lines)]))
    flow, head, eta = (
        np.array([np.interp(places, line[0], line[column]) for line in lines]) for column in (1, 2, 3)
    )
    at_rest = np.zeros((1, places.size))
    return _Grid(
        np.concatenate([[0.0], speeds]),
        np.concatenate([at_rest, flow]),
        np.concatenate([at_rest, head]),
        # Towards rest flow goes with speed and head with its square, which leaves the efficiency as it is.
        np.concatenate([eta[:1], eta]),
    )


def _in_order(grid: _Grid) -> bool:
    rising_speed = bool(np.all(np.diff(grid.speed) > 0.0))
    return rising_speed and bool(np.all(np.diff(grid.head, axis=0) > 0.0))


class _Between(NamedTuple):
    """Where a lane lies between two lines: the lower line and the share of the way in speed."""

    line: Array
    share: Array
    speed: Array
    flow: Array


def _picked(lines: Array, index: Array) -> Array:
    return np.take_along_axis(lines, index[None], axis=0)[0]


def _at_head(grid: _Grid, head: Array, heads: Array, flows: Array) -> _Between:
    """Where a head lies among the heads of all lines at one place; beyond the top line on its last slope."""
    line = np.clip((heads <= head).sum(axis=0) - 1, 0, grid.speed.size - 2)
    below, above = _picked(heads, line), _picked(heads, line + 1)
    slow, fast = grid.speed[line], grid.speed[line + 1]
    # Head goes with the square of the speed, flow with the speed.
    square = slow**2 + (head - below) / (above - below) * (fast**2 - slow**2)
    speed = np.sqrt(np.maximum(square, 0.0))
    share = (speed - slow) / (fast - slow)
    flow = _picked(flows, line) * (1.0 - share) + _picked(flows, line + 1) * share
    return _Between(line, share, speed, flow)


def _at_node(grid: _Grid, head: Array, node: Array) -> _Between:
    return _at_head(grid, head, grid.head[:, node], grid.flow[:, node])


def _place_of(
    count: int, flow: Array, flow_at_node: Callable[[Array], Array], flow_in_cell: Callable[[Array, Array], Array]
) -> tuple[Array, Array]:
    """Cell of places and share of it at which a flow rising from surge to choke has the value asked for."""
    low, high = np.zeros(flow.shape, dtype=int), np.full(flow.shape, count - 1)
    while int(np.max(high - low, initial=0)) > 1:
        middle = (low + high) // 2
        go_on = flow_at_node(middle) <= flow
        narrow = high - low > 1
        low, high = np.where(go_on & narrow, middle, low), np.where(~go_on & narrow, middle, high)
    found = bracketed_root(lambda share: flow_in_cell(low, share) - flow, np.zeros(flow.shape), 1.0)
    return low, found.root


def _in_cell(values: Array, cell: Array, share: Array) -> Array:
    """Values of all lines at a share of a cell; exact at both of its ends."""
    return values[:, cell] * (1.0 - share) + values[:, cell + 1] * share


def _lanes(*arrays: Array) -> tuple[tuple[int, ...], list[Array]]:
    together = np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in arrays))
    return together[0].shape, [a.ravel() for a in together]


def lines_in_order(
    line_speed_m_s: Array, line_flow_kg_s: Array, line_pressure_ratio: Array, line_efficiency: Array
) -> Array:
    """Whether every line of a map lies above the one of the next lower speed, all along.

    Lines that cross belong to no compressor; :func:`read_map` shows nothing of such a map.

    Parameters
    ----------
    line_speed_m_s : array
        Corrected tip speed of each line. [m/s]
    line_flow_kg_s : array
        Corrected flow, lines first, points second. [kg/s]
    line_pressure_ratio : array
        Of the same points. [1]
    line_efficiency : array
        Of the same points. [1]

    Returns
    -------
    in_order : array
        Of one element. [yes-no]

    Equation
    --------
    Solved: head at each place along the lines, compared from line to line

    Source
    ------
    own-computation

    Examples
    --------
    >>> speed, flow = [200.0, 300.0, 400.0], [[0.03, 0.08, 0.12], [0.05, 0.14, 0.18], [0.09, 0.20, 0.24]]
    >>> ratio, efficiency = [[1.26, 1.24, 1.15], [1.65, 1.6, 1.35], [2.3, 2.2, 1.7]], [[0.65, 0.72, 0.62]] * 3
    >>> bool(lines_in_order(speed, flow, ratio, efficiency))
    True
    """
    return np.asarray(_in_order(_grid(line_speed_m_s, line_flow_kg_s, line_pressure_ratio, line_efficiency)))


@valid(corrected_flow_kg_s=(0.0, 10.0), pressure_ratio=(1.0, 6.0))
def read_map(
    corrected_flow_kg_s: Array,
    pressure_ratio: Array,
    line_speed_m_s: Array,
    line_flow_kg_s: Array,
    line_pressure_ratio: Array,
    line_efficiency: Array,
) -> MapReading:
    """Efficiency, speed, surge and choke of a compressor at a flow and a pressure ratio.

    Nothing is read beyond the surge points, the choke ends and the top line.  Below the lowest line the map is
    closed by the wheel at rest, with flow in proportion to speed and head to its square; such lanes are marked.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor, corrected as its map is. [kg/s] Valid 0 to 10.
    pressure_ratio : array
        Outlet over inlet, absolute, total. [1] Valid 1 to 6.
    line_speed_m_s : array
        Corrected tip speed of each line, rising. [m/s]
    line_flow_kg_s : array
        Corrected flow, lines first, points second from surge to choke, NaN where a line has no more. [kg/s]
    line_pressure_ratio : array
        Of the same points. [1]
    line_efficiency : array
        Of the same points, isentropic, total to total. [1]

    Returns
    -------
    efficiency : array
        NaN outside the map. [1]
    corrected_tip_speed_m_s : array
        NaN outside the map. [m/s]
    surge_flow_kg_s : array
        Least flow the map shows at this pressure ratio; NaN where it does not reach it. [kg/s]
    choke_flow_kg_s : array
        Greatest flow the map shows at this pressure ratio, at a choke end or on the top line. [kg/s]
    inside : array
        Whether the map shows this point. [yes-no]
    above_top_line : array
        Whether the point asks for more speed than the top line has. [yes-no]
    below_lowest_line : array
        Whether the point lies between the wheel at rest and the lowest line. [yes-no]

    Equation
    --------
    Solved: the place along the lines and the speed between two of them at which both flow and head are those asked
    for; head, pressure_ratio ** 0.2857 - 1, linear in the square of the speed, flow and efficiency linear in speed

    Source
    ------
    own-computation

    Examples
    --------
    >>> speed, flow = [200.0, 300.0, 400.0], [[0.03, 0.08, 0.12], [0.05, 0.14, 0.18], [0.09, 0.20, 0.24]]
    >>> ratio, efficiency = [[1.26, 1.24, 1.15], [1.65, 1.6, 1.35], [2.3, 2.2, 1.7]], [[0.65, 0.72, 0.62]] * 3
    >>> found = read_map([0.14, 0.04], 1.6, speed, flow, ratio, efficiency)
    >>> np.round(found.efficiency, 3).tolist(), np.round(found.corrected_tip_speed_m_s, 1).tolist()
    ([0.72, nan], [300.0, nan])
    >>> np.round(found.surge_flow_kg_s, 4).tolist()
    [0.048, 0.048]
    """
    shape, (flow, ratio) = _lanes(corrected_flow_kg_s, pressure_ratio)
    grid = _grid(line_speed_m_s, line_flow_kg_s, line_pressure_ratio, line_efficiency)
    if not _in_order(grid):
        unknown, no = np.full(shape, np.nan), np.zeros(shape, dtype=bool)
        return MapReading(unknown, unknown, unknown, unknown, no, no, no)
    nodes = grid.head.shape[1]
    top = grid.speed[-1] * (1.0 + ON_THE_EDGE)
    with np.errstate(invalid="ignore", divide="ignore"):
        head = np.where(ratio >= 1.0, ratio, np.nan) ** HEAD_EXPONENT - 1.0
        first, last = (_at_node(grid, head, np.full(flow.shape, node)) for node in (0, nodes - 1))
        for end in (first, last):
            flow = np.where(np.abs(flow - end.flow) <= ON_THE_EDGE * end.flow, end.flow, flow)
        cell, share = _place_of(
            nodes,
            flow,
            lambda node: _at_node(grid, head, node).flow,
            lambda at, part: _at_head(grid, head, _in_cell(grid.head, at, part), _in_cell(grid.flow, at, part)).flow,
        )
        found = _at_head(grid, head, _in_cell(grid.head, cell, share), _in_cell(grid.flow, cell, share))
        etas = _in_cell(grid.efficiency, cell, share)
        eta = _picked(etas, found.line) * (1.0 - found.share) + _picked(etas, found.line + 1) * found.share
        between = np.isfinite(share) & np.isfinite(head)
        inside = between & (found.speed <= top)
        surge, choke = _ends(grid, head, first, last, top)
        over = (between & ~inside) | (head > grid.head[-1].max() * (1.0 + ON_THE_EDGE))
    return MapReading(
        np.where(inside, eta, np.nan).reshape(shape),
        np.where(inside, found.speed, np.nan).reshape(shape),
        surge.reshape(shape),
        choke.reshape(shape),
        inside.reshape(shape),
        over.reshape(shape),
        (inside & (found.speed < grid.speed[1] * (1.0 - ON_THE_EDGE))).reshape(shape),
    )


def _ends(grid: _Grid, head: Array, first: _Between, last: _Between, top: float) -> tuple[Array, Array]:
    """Least and greatest flow at a head; where the top line cuts an end off, the flow at which it does."""
    line, flow = grid.head[-1], grid.flow[-1]
    reached = head <= line.max() * (1.0 + ON_THE_EDGE)
    left = np.interp(head, np.maximum.accumulate(line), flow)
    right = np.interp(head, np.maximum.accumulate(line[::-1]), flow[::-1])
    ends = []
    for end, cut in ((first, left), (last, right)):
        ends.append(np.where(end.speed <= top, end.flow, np.where(reached, cut, np.nan)))
    return ends[0], ends[1]


@valid(corrected_flow_kg_s=(0.0, 10.0), corrected_tip_speed_m_s=(0.0, 900.0))
def map_at_speed(
    corrected_flow_kg_s: Array,
    corrected_tip_speed_m_s: Array,
    line_speed_m_s: Array,
    line_flow_kg_s: Array,
    line_pressure_ratio: Array,
    line_efficiency: Array,
) -> MapPoint:
    """Pressure ratio and efficiency of a compressor at a flow and a speed, such as the greatest it may turn.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor, corrected as its map is. [kg/s] Valid 0 to 10.
    corrected_tip_speed_m_s : array
        Corrected as the map is. [m/s] Valid 0 to 900.
    line_speed_m_s : array
        Corrected tip speed of each line, rising. [m/s]
    line_flow_kg_s : array
        Corrected flow, lines first, points second from surge to choke, NaN where a line has no more. [kg/s]
    line_pressure_ratio : array
        Of the same points. [1]
    line_efficiency : array
        Of the same points, isentropic, total to total. [1]

    Returns
    -------
    pressure_ratio : array
        NaN outside the map. [1]
    efficiency : array
        NaN outside the map. [1]

    Equation
    --------
    Solved: the place along the lines at which the flow between the two lines next to the speed is that asked for

    Source
    ------
    own-computation

    Examples
    --------
    >>> speed, flow = [200.0, 300.0, 400.0], [[0.03, 0.08, 0.12], [0.05, 0.14, 0.18], [0.09, 0.20, 0.24]]
    >>> ratio, efficiency = [[1.26, 1.24, 1.15], [1.65, 1.6, 1.35], [2.3, 2.2, 1.7]], [[0.65, 0.72, 0.62]] * 3
    >>> np.round(map_at_speed(0.14, [300.0, 410.0], speed, flow, ratio, efficiency).pressure_ratio, 3).tolist()
    [1.6, nan]
    """
    shape, (flow, speed) = _lanes(corrected_flow_kg_s, corrected_tip_speed_m_s)
    grid = _grid(line_speed_m_s, line_flow_kg_s, line_pressure_ratio, line_efficiency)
    if not _in_order(grid):
        return MapPoint(np.full(shape, np.nan), np.full(shape, np.nan))
    line = np.clip(np.searchsorted(grid.speed, speed, side="right") - 1, 0, grid.speed.size - 2)
    slow, fast = grid.speed[line], grid.speed[line + 1]
    share = (speed - slow) / (fast - slow)
    square = (speed**2 - slow**2) / (fast**2 - slow**2)

    def mixed(values: Array, weight: Array, cell: Array, part: Array) -> Array:
        lower = values[line, cell] * (1.0 - part) + values[line, cell + 1] * part
        upper = values[line + 1, cell] * (1.0 - part) + values[line + 1, cell + 1] * part
        return lower * (1.0 - weight) + upper * weight

    def at_node(node: Array) -> Array:
        return grid.flow[line, node] * (1.0 - share) + grid.flow[line + 1, node] * share

    nodes = grid.head.shape[1]
    with np.errstate(invalid="ignore", divide="ignore"):
        for node in (0, nodes - 1):
            end = at_node(np.full(flow.shape, node))
            flow = np.where(np.abs(flow - end) <= ON_THE_EDGE * end, end, flow)
        cell, part = _place_of(nodes, flow, at_node, lambda at, s: mixed(grid.flow, share, at, s))
        shown = speed <= grid.speed[-1] * (1.0 + ON_THE_EDGE)
        head = np.where(shown, mixed(grid.head, square, cell, part), np.nan)
        eta = np.where(shown, mixed(grid.efficiency, share, cell, part), np.nan)
    return MapPoint(((1.0 + head) ** (1.0 / HEAD_EXPONENT)).reshape(shape), eta.reshape(shape))
