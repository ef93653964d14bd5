"""Extremes over the crank, compiled: the formulas of :mod:`at_angle`, lane after lane without arrays between.

Needs numba (extra ``fast``).  Forces of a lane over the crank fill a few rows that stay in the nearest cache; the loops
over these become vector instructions.  The functions at the end find what arrays find in the modules that call them.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from llvmlite import ir  # type: ignore[import-untyped]
from numba import njit, types
from numba.extending import intrinsic

from enginelimits.physics.mechanics import at_angle, forces
from enginelimits.physics.numerics import periodic
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.blocks import columns_of, lanes_of, rows_of, rows_of_one
from enginelimits.physics.numerics.compiling import source_stamp

if TYPE_CHECKING:
    from enginelimits.physics.mechanics.mains import Crank
    from enginelimits.physics.numerics.periodic import Steps

_FLAGS = {"contract", "nsz"}
_OPTIONS: dict[str, Any] = {"error_model": "numpy", "nogil": True}
_STAMP = source_stamp((at_angle, forces, periodic, sys.modules[__name__]))


def _inlined(function: Any) -> Any:
    return njit(forceinline=True, fastmath=_FLAGS, **_OPTIONS)(function)


def _compiled(function: Any) -> Any:
    return njit(fastmath=_FLAGS, **_OPTIONS)(function)


def _of_any_order(function: Any) -> Any:
    """Sums may be taken in any order, as numpy takes them too."""
    return njit(fastmath=_FLAGS | {"reassoc"}, **_OPTIONS)(function)


def _kept(function: Any) -> Any:
    """An outermost function, kept on disk: making it takes a second or two.

    A stamp of the sources, which it takes as a variable from around it, names what it was made from.
    """
    return njit(cache=True, fastmath=_FLAGS, **_OPTIONS)(function)


_gas_force = _inlined(forces.gas_force)
_between = _inlined(periodic.between)
_bottom_end_forces = _inlined(at_angle.bottom_end_forces)
_fibre_stresses = _inlined(at_angle.fibre_stresses)
_turning_force = _inlined(at_angle.turning_force)
_throw_load = _inlined(at_angle.throw_load)
_turned = _inlined(at_angle.turned)


def _of_two(name: str) -> Any:
    """The greater or the less of two numbers, both known, by an instruction that becomes a vector's over a row."""

    def typed(_context: Any, _a: Any, _b: Any) -> Any:
        def code(_target: Any, builder: Any, _signature: Any, arguments: Any) -> Any:
            double = ir.DoubleType()
            two = builder.module.declare_intrinsic(name, [double], ir.FunctionType(double, [double, double]))
            return builder.call(two, arguments, fastmath=("nnan", "nsz"))

        return types.float64(types.float64, types.float64), code

    return intrinsic(typed)


_greater, _less = _of_two("llvm.maxnum"), _of_two("llvm.minnum")


@_inlined
def _larger(a: float, b: float) -> float:
    """Not a number where either is none, as in numpy."""
    return a if a > b or a != a else b


@_of_any_order
def _total(values: Array) -> Any:
    total = 0.0
    for k in range(values.size):
        total += values[k]
    return total


@_compiled
def _ends(values: Array) -> tuple[float, float]:
    """The greatest and the least; not a number where any is none."""
    high = low = values[0]
    if np.isfinite(_total(values)):
        for k in range(values.size):
            high, low = _greater(high, values[k]), _less(low, values[k])
    else:
        for k in range(values.size):
            high, low = _larger(high, values[k]), -_larger(-low, -values[k])
    return high, low


@_compiled
def _place(values: Array, wanted: float) -> int:
    """The first node that has a value; what is not a number is found as such."""
    unknown = wanted != wanted
    for k in range(values.size):
        if values[k] != values[k] if unknown else values[k] == wanted:
            return k
    return 0


def _bottom_end_loop(stamp: int) -> Any:
    def bottom_ends(pressure: Array, at: Array, geometry: Array, of: Array, lanes: Array, found: Array) -> None:
        nodes = pressure.shape[1]
        work, high, low = np.empty((4, nodes)), np.empty(4), np.empty(4)
        rod, pin, side, square = work[0], work[1], work[2], work[3]
        for i in range(at.size if stamp > 0 else 0):
            p, row = pressure[at[i]], of[i]
            over_cosine, sine, lift, along = (
                geometry[0, row], geometry[1, row], geometry[2, row], geometry[3, row],
            )
            crankcase, bore, squared, above, assembly, reciprocating, rotating = (
                lanes[0, i], lanes[1, i], lanes[2, i], lanes[3, i], lanes[4, i], lanes[5, i], lanes[6, i],
            )
            for k in range(nodes):
                rod[k], pin[k], side[k], square[k] = _bottom_end_forces(
                    _gas_force(p[k], crankcase, bore), over_cosine[k], sine[k], lift[k], along[k], squared, above,
                    assembly, reciprocating, rotating,
                )
            for j in range(4):
                high[j], low[j] = _ends(work[j])
            found[0, i], found[1, i] = high[0], _place(rod, high[0])
            found[2, i], found[3, i] = low[0], _place(rod, low[0])
            found[4, i], found[5, i] = _larger(high[1], -low[1]), _larger(high[2], -low[2])
            found[6, i], found[7, i] = high[3], _place(square, high[3])

    return _kept(bottom_ends)


def _fibre_loop(stamp: int) -> Any:
    def fibre_ends(pressure: Array, at: Array, geometry: Array, of: Array, lanes: Array, found: Array) -> None:
        nodes = pressure.shape[1]
        work = np.empty((2, nodes))
        left, right = work[0], work[1]
        for i in range(at.size if stamp > 0 else 0):
            p, row = pressure[at[i]], of[i]
            over_section, pull, bend = geometry[0, row], geometry[1, row], geometry[2, row]
            squared, crankcase, bore = lanes[0, i], lanes[1, i], lanes[2, i]
            for k in range(nodes):
                left[k], right[k] = _fibre_stresses(
                    _gas_force(p[k], crankcase, bore), over_section[k], pull[k], bend[k], squared
                )
            for j in range(2):
                found[2 * j, i], found[2 * j + 1, i] = _ends(work[j])

    return _kept(fibre_ends)


@_compiled
def _at_steps(pressure: Array, left: Array, share: Array, found: Array) -> None:
    for k in range(left.size):
        found[k] = pressure[left[k]]
        if share[k] != 0.0:
            found[k] = _between(found[k], pressure[left[k] + 1], share[k])


def _turning_loop(stamp: int) -> Any:
    def turnings(
        pressure: Array, at: Array, left: Array, share: Array, geometry: Array, of: Array, lanes: Array, count: int,
        found: Array,
    ) -> None:
        steps = left.size
        part = steps // count
        even, torque, whole = np.empty(steps), np.empty(steps), np.empty(part)
        for i in range(at.size if stamp > 0 else 0):
            _at_steps(pressure[at[i]], left, share, even)
            acceleration, arm = geometry[0, of[i]], geometry[1, of[i]]
            crankcase, bore, inertia = lanes[0, i], lanes[1, i], lanes[2, i]
            for k in range(steps):
                torque[k] = _turning_force(_gas_force(even[k], crankcase, bore), acceleration[k], arm[k], inertia)
            for k in range(part):
                whole[k] = torque[k]
            for j in range(1, count):
                for k in range(part):
                    whole[k] += torque[j * part + k]
            found[0, i], _low = _ends(whole)
            found[1, i] = _total(whole) / part

    return _kept(turnings)


def _main_loop(stamp: int) -> Any:
    def main_ends(
        pressure: Array, at: Array, left: Array, share: Array, geometry: Array, of: Array, lanes: Array, turns: Array,
        rods: Array, hanging: Array, opposed: bool, found: Array,
    ) -> None:
        """``turns`` has cosine and sine of each bank's angle; ``rods`` steps and bank of each rod beside each main, of
        which ``hanging`` counts the real ones."""
        steps, banks = left.size, turns.shape[0]
        even, forces_twice = np.empty(steps), np.empty((banks, 2, 2 * steps))
        along, beside = np.empty(steps), np.empty(steps)
        for i in range(at.size if stamp > 0 else 0):
            _at_steps(pressure[at[i]], left, share, even)
            row = of[i]
            acceleration, throw_cosine, throw_sine, rod_tangent = (
                geometry[0, row], geometry[1, row], geometry[2, row], geometry[3, row],
            )
            crankcase, bore, inertia, turning = lanes[0, i], lanes[1, i], lanes[2, i], lanes[3, i]
            for k in range(steps):
                along[k], beside[k] = _throw_load(
                    _gas_force(even[k], crankcase, bore), acceleration[k], throw_cosine[k], throw_sine[k],
                    rod_tangent[k], inertia, turning,
                )
            for b in range(banks):
                cosine, sine = turns[b, 0], turns[b, 1]
                outward, across = forces_twice[b, 0], forces_twice[b, 1]
                for k in range(steps):
                    outward[k], across[k] = _turned(along[k], beside[k], cosine, sine)
                for k in range(steps):
                    outward[steps + k], across[steps + k] = outward[k], across[k]
            square, parting = 0.0, 0.0
            for main in range(hanging.size):
                for r in range(hanging[main]):
                    first, bank = steps - rods[main, r, 0], rods[main, r, 1]
                    outward = forces_twice[bank, 0, first : first + steps]
                    across = forces_twice[bank, 1, first : first + steps]
                    for k in range(steps):
                        along[k] = outward[k] if r == 0 else along[k] + outward[k]
                    for k in range(steps):
                        beside[k] = across[k] if r == 0 else beside[k] + across[k]
                high, low = _ends(along)
                parting = _larger(parting, -low)
                if opposed:
                    parting = _larger(parting, high)
                for k in range(steps):
                    beside[k] = along[k] * along[k] + beside[k] * beside[k]
                far, low = _ends(beside)
                square = _larger(square, far)
            found[0, i], found[1, i] = square, parting

    return _kept(main_ends)


_bottom_ends, _fibre_ends, _turnings, _main_ends = (
    of(_STAMP) for of in (_bottom_end_loop, _fibre_loop, _turning_loop, _main_loop)
)


class _Tables:
    """Pressure and geometry as rows and values by lane as columns, and the results, (results, lanes)."""

    def __init__(
        self, pressure: Array, geometry: Sequence[Array], lanes: Sequence[Array], nodes: int, results: int
    ) -> None:
        self.shape = lanes_of(pressure, *geometry, *lanes)
        self.pressure = rows_of_one(pressure, self.shape, pressure.shape[-1])
        self.geometry = rows_of(geometry, self.shape, nodes)
        self.columns = columns_of(lanes, self.shape)
        self.found = np.empty((results, self.columns.shape[1]))

    def results(self) -> tuple[Array, ...]:
        return tuple(row.reshape(self.shape)[()] for row in self.found)


def bottom_end(pressure: Array, geometry: Sequence[Array], lanes: Sequence[Array]) -> tuple[Array, ...]:
    """Extremes and their nodes, as loads_over_cycle takes them."""
    nodes = np.broadcast_shapes(*(np.shape(array)[-1:] for array in (pressure, *geometry)))[0]
    t = _Tables(np.broadcast_to(pressure, (*pressure.shape[:-1], nodes)), geometry, lanes, nodes, 8)
    _bottom_ends(*t.pressure, *t.geometry, t.columns, t.found)
    rod, rod_at, tension, tension_at, pin, side, square, square_at = t.results()
    first, second, third = (at.astype(np.intp) for at in (rod_at, tension_at, square_at))
    return rod, first, tension, second, pin, side, square, third


def fibres(pressure: Array, geometry: Sequence[Array], lanes: Sequence[Array]) -> tuple[Array, ...]:
    """Greatest and least stress of either fibre, as shank_stresses takes them."""
    nodes = np.broadcast_shapes(*(np.shape(array)[-1:] for array in (pressure, *geometry)))[0]
    t = _Tables(np.broadcast_to(pressure, (*pressure.shape[:-1], nodes)), geometry, lanes, nodes, 4)
    _fibre_ends(*t.pressure, *t.geometry, t.columns, t.found)
    return t.results()


def turning(
    pressure: Array, steps: Steps, geometry: Sequence[Array], lanes: Sequence[Array], count: int
) -> tuple[Array, ...]:
    """Greatest and mean torque, as engine_torque takes them."""
    t = _Tables(pressure, geometry, lanes, steps.left.size, 2)
    _turnings(*t.pressure, *steps, *t.geometry, t.columns, count, t.found)
    return t.results()


def mains(pressure: Array, geometry: Sequence[Array], lanes: Sequence[Array], crank: Crank) -> tuple[Array, ...]:
    """Square of the greatest force on a main, and the greatest that parts, as main_loads takes them."""
    t = _Tables(pressure, geometry, lanes, crank.steps.left.size, 2)
    hanging = np.array([len(rods) for rods in crank.mains])
    rods = np.zeros((hanging.size, hanging.max(), 2), dtype=np.int64)
    for row, of_main in zip(rods, crank.mains, strict=True):
        row[: len(of_main)] = of_main
    turns = np.array([[np.cos(t), np.sin(t)] for t in crank.turns])
    _main_ends(*t.pressure, *crank.steps, *t.geometry, t.columns, turns, rods, hanging, crank.opposed, t.found)
    return t.results()
