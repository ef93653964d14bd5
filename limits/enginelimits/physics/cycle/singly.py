"""The steps of a few lanes taken one lane after another, with Python's own numbers.

A call of numpy on two lanes costs what it costs on a hundred, and a cycle is some ten thousand of them; on single
numbers the same equations are done before the first call has found its loop.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from enginelimits.physics.cycle.rates import (
    Burning,
    BurnState,
    Compressing,
    Cylinder,
    Functions,
    Gas,
    by_half_angle,
    equations,
)
from enginelimits.physics.numerics.arrays import Array

# Up to so many lanes it is the faster way
FEW = 12


def _larger(a: float, b: float) -> float:
    return a if a >= b or a != a else b


def _smaller(a: float, b: float) -> float:
    return a if a <= b or a != a else b


NUMBERS = equations(
    Functions(math.sqrt, math.log, math.exp, by_half_angle(math.tan), _larger, _smaller, lambda function: function)
)


def by_lane(fields: Iterable[Any], lanes: int) -> list[list[float]]:
    """The fields of each lane, from fields that hold all lanes."""
    columns: list[list[float]] = np.array([np.broadcast_to(field, (lanes,)) for field in fields]).T.tolist()
    return columns


def compressed(
    gases: list[Gas], closing_temperatures: Array, wall_temperatures: Array, exponents: Array, table: Compressing,
    z: Array, of_z: Array, wall_heat: Array,
) -> None:
    """Fill z and its slope at the nodes, each (steps + 1, lanes), and the wall heat (lanes,) of the compression."""
    rows = np.stack([np.broadcast_to(column, table.volume.shape) for column in table], axis=-1)
    steps = z.shape[0] - 1
    for lane, gas in enumerate(gases):
        at = [Compressing(*row) for row in rows[:, lane].tolist()]
        wall_temperature, exponent = float(wall_temperatures[lane]), float(exponents[lane])
        state = NUMBERS.compression_begun(gas, wall_temperature, exponent, at[0], float(closing_temperatures[lane]))
        z[0, lane], of_z[0, lane], heat_all = state.z, state.slope, 0.0
        for k in range(steps):
            state, heat = NUMBERS.compress(
                gas, wall_temperature, exponent, at[2 * k + 1], at[2 * k + 2], state, 1.0 / steps, 1.0 if k else 0.0
            )
            z[k + 1, lane], of_z[k + 1, lane] = state.z, state.slope
            heat_all += heat
        wall_heat[lane] = heat_all


def burned(
    gases: list[Gas], cylinders: list[Cylinder], states: list[BurnState], table: Burning, widths: Array,
    ratios: list[Any], pressures: Array, fresh: Array, slopes: Array, warming: Array, wall_heat: Array, work: Array,
) -> None:
    """Fill a segment's pressures and fresh temperatures after its first node, and the slopes of both, each
    (steps, lanes), from the widths of its steps, (steps, lanes), and their ratios to those before, the first
    (lanes,); add its wall heat and work (lanes,), and put where it ends in the place of where it began."""
    rows = np.stack([np.broadcast_to(column, table.volume.shape) for column in table], axis=-1)
    for lane, (gas, cylinder) in enumerate(zip(gases, cylinders, strict=True)):
        at = [Burning(*row) for row in rows[:, lane].tolist()]
        state, heat_all, work_all = states[lane], float(wall_heat[lane]), float(work[lane])
        of_lane = [float(ratios[0][lane]), *ratios[1:]]
        for k, (width, ratio) in enumerate(zip(widths[:, lane].tolist(), of_lane, strict=True)):
            state, heat, done = NUMBERS.burn(gas, cylinder, at[2 * k], at[2 * k + 1], state, width, ratio)
            pressures[k, lane], fresh[k, lane], slopes[k, lane], warming[k, lane] = state[:4]
            heat_all += heat
            work_all += done
        states[lane], wall_heat[lane], work[lane] = state, heat_all, work_all
