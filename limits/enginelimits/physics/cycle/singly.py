"""The steps of a few lanes taken one lane after another, with Python's own numbers.

A call of numpy on two lanes costs what it costs on a hundred, and a cycle is some ten thousand of them; on single
numbers the same equations are done before the first call has found its loop.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from enginelimits.physics.cycle.rates import Burning, Compressing, Cylinder, Functions, Gas, equations
from enginelimits.physics.numerics.arrays import Array

# Up to so many lanes it is the faster way
FEW = 12


def _larger(a: float, b: float) -> float:
    return a if a >= b or a != a else b


def _smaller(a: float, b: float) -> float:
    return a if a <= b or a != a else b


NUMBERS = equations(
    Functions(math.sqrt, math.log, math.exp, lambda angle: (math.sin(angle), math.cos(angle)), _larger, _smaller,
              lambda function: function)
)


def by_lane(fields: Iterable[Any], lanes: int) -> list[list[float]]:
    """The fields of each lane, from fields that hold all lanes."""
    columns: list[list[float]] = np.array([np.broadcast_to(field, (lanes,)) for field in fields]).T.tolist()
    return columns


def compressed(
    gases: list[Gas], wall_temperatures: Array, exponents: Array, table: Compressing, z: Array, of_z: Array,
    wall_heat: Array, steps: int,
) -> None:
    """Fill z, its slope at the nodes, each (steps + 1, lanes), and the wall heat (lanes,) of the compression."""
    rows = np.stack([np.broadcast_to(column, table.volume.shape) for column in table], axis=-1)
    for lane, gas in enumerate(gases):
        at = [Compressing(*row) for row in rows[:, lane].tolist()]
        wall_temperature, exponent = float(wall_temperatures[lane]), float(exponents[lane])
        here, heat_all = float(z[0, lane]), 0.0
        for k in range(steps):
            here, heat, slope = NUMBERS.compress(
                gas, wall_temperature, exponent, *at[2 * k : 2 * k + 3], here, 1.0 / steps
            )
            z[k + 1, lane], of_z[k, lane] = here, slope
            heat_all += heat
        of_z[steps, lane], _ = NUMBERS.compression_slopes(gas, wall_temperature, exponent, at[-1], here)
        wall_heat[lane] = heat_all


def burned(
    gases: list[Gas], cylinders: list[Cylinder], table: Burning, widths: Array, pressures: Array, fresh: Array,
    slopes: Array, warming: Array, wall_heat: Array, work: Array,
) -> None:
    """Fill a segment's pressures and fresh temperatures after their first row, the slopes of both, each
    (steps + 1, lanes), from the widths of its steps, (steps, lanes), and add its wall heat and work (lanes,)."""
    rows = np.stack([np.broadcast_to(column, table.volume.shape) for column in table], axis=-1)
    steps = pressures.shape[0] - 1
    for lane, (gas, cylinder) in enumerate(zip(gases, cylinders, strict=True)):
        at = [Burning(*row) for row in rows[:, lane].tolist()]
        p, t, width = float(pressures[0, lane]), float(fresh[0, lane]), widths[:, lane].tolist()
        heat_all, work_all = float(wall_heat[lane]), float(work[lane])
        for k in range(steps):
            p, t, heat, done, slopes[k, lane], warming[k, lane] = NUMBERS.burn(
                gas, cylinder, *at[2 * k : 2 * k + 3], p, t, width[k]
            )
            pressures[k + 1, lane], fresh[k + 1, lane] = p, t
            heat_all += heat
            work_all += done
        slopes[steps, lane], warming[steps, lane], _, _ = NUMBERS.burn_slopes(gas, cylinder, at[-1], p, t)
        wall_heat[lane], work[lane] = heat_all, work_all
