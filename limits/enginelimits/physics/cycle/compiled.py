"""The closed cycle of many lanes, compiled: the equations of :mod:`rates`, sixteen lanes side by side.

Needs numba (extra ``fast``).  The loop over the sixteen is the innermost one and holds a whole step, so that it becomes
vector instructions; for the same reason logarithm, exponential, sine and cosine are written here as polynomials, to
rounding, instead of calls.
"""

from __future__ import annotations

import math
import sys
from typing import Any

import numpy as np
from numba import njit, types
from numba.extending import intrinsic

from enginelimits.physics.combustion import auto_ignition, heat_transfer
from enginelimits.physics.combustion.auto_ignition import (
    ACTIVATION_TEMPERATURE_K,
    DELAY_SCALE_S,
    PRESSURE_EXPONENT,
)
from enginelimits.physics.cycle import lanes, rates
from enginelimits.physics.cycle.lanes import NARROWEST, Lanes, Nodes, Sums, cylinder_of, placed
from enginelimits.physics.cycle.rates import (
    BurnState,
    Compressing,
    CompressionState,
    Cylinder,
    Functions,
    Gas,
    Ignition,
    equations,
)
from enginelimits.physics.gas import equilibrium
from enginelimits.physics.gas.charge import Charge
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.compiling import source_stamp
from enginelimits.units import constants
from enginelimits.units.constants import STANDARD_PRESSURE

_OPTIONS: dict[str, Any] = {"error_model": "numpy", "fastmath": {"contract", "nsz"}, "nogil": True}


def _reinterpreted(source: Any, target: Any) -> Any:
    """An intrinsic that takes the bits of one type for those of another."""

    def typed(_context: Any, _value: Any) -> Any:
        def code(context: Any, builder: Any, _signature: Any, arguments: Any) -> Any:
            return builder.bitcast(arguments[0], context.get_value_type(target))

        return target(source), code

    return intrinsic(typed)


_bits, _number = _reinterpreted(types.float64, types.int64), _reinterpreted(types.int64, types.float64)


def _inlined(function: Any) -> Any:
    return njit(forceinline=True, **_OPTIONS)(function)


def _compiled(function: Any) -> Any:
    return njit(**_OPTIONS)(function)


# A number near 1.5 * 2^52 holds in its low bits the whole number that was added to it.
_MAGIC = 6755399441055744.0
_MAGIC_BITS = int(np.float64(_MAGIC).view(np.int64))
_ONE_BITS = int(np.float64(1.0).view(np.int64))
_MANTISSA = (1 << 52) - 1
_LOG2E = 1.4426950408889634
_LN2_HIGH, _LN2_LOW = 6.93147180369123816490e-01, 1.90821492927058770002e-10


@_inlined
def _exp(x: float) -> Any:
    x = -700.0 if x < -700.0 else x
    x = 700.0 if x > 700.0 else x
    shifted = x * _LOG2E + _MAGIC
    n = shifted - _MAGIC
    r = (x - n * _LN2_HIGH) - n * _LN2_LOW
    # powers in pairs, so that few of the sums wait for each other
    r2 = r * r
    r4 = r2 * r2
    low = (1.0 + r) + r2 * (1 / 2 + r * (1 / 6))
    middle = (1 / 24 + r * (1 / 120)) + r2 * (1 / 720 + r * (1 / 5040))
    high = (1 / 40320 + r * (1 / 362880)) + r2 * (1 / 3628800 + r * (1 / 39916800)) + r4 * (1 / 479001600)
    p = low + r4 * (middle + r4 * high)
    return p * _number((_bits(shifted) - _MAGIC_BITS + 1023) << 52)


@_inlined
def _log(x: float) -> Any:
    bits = _bits(x)
    mantissa = _number((bits & _MANTISSA) | _ONE_BITS)
    exponent = _number((bits >> 52) - 1023 + _MAGIC_BITS) - _MAGIC
    high = mantissa > 1.4142135623730951
    mantissa = 0.5 * mantissa if high else mantissa
    exponent = exponent + 1.0 if high else exponent
    f = (mantissa - 1.0) / (mantissa + 1.0)
    s = f * f
    s2 = s * s
    s4 = s2 * s2
    low = (1 / 3 + s * (1 / 5)) + s2 * (1 / 7 + s * (1 / 9))
    high = (1 / 11 + s * (1 / 13)) + s2 * (1 / 15 + s * (1 / 17)) + s4 * (1 / 19)
    p = low + s4 * high
    return exponent * _LN2_HIGH + (2.0 * f * (1.0 + s * p) + exponent * _LN2_LOW)


@_inlined
def _sine_versed(angle: float) -> tuple[float, float]:
    """Of an angle within half a turn, sine and 1 less the cosine: of a quarter of it by series, then doubled twice."""
    t = 0.25 * angle
    s = t * t
    sine = t * (1.0 - s * (1 / 6 - s * (1 / 120 - s * (1 / 5040 - s * (1 / 362880 - s * (1 / 39916800 - s * (
        1 / 6227020800 - s * (1 / 1307674368000))))))))
    versed = s * (1 / 2 - s * (1 / 24 - s * (1 / 720 - s * (1 / 40320 - s * (1 / 3628800 - s * (
        1 / 479001600 - s * (1 / 87178291200 - s * (1 / 20922789888000))))))))  # 1 - cosine
    sine, versed = 2.0 * sine * (1.0 - versed), 2.0 * sine * sine
    return 2.0 * sine * (1.0 - versed), 2.0 * sine * sine


@_inlined
def _larger(a: float, b: float) -> float:
    return a if a > b else b


@_inlined
def _smaller(a: float, b: float) -> float:
    return a if a < b else b


@_inlined
def _root(x: float) -> Any:
    return np.sqrt(x)


_placed = _inlined(placed)
_LAST_BEFORE = NARROWEST[0]
_E = equations(Functions(_root, _log, _exp, _sine_versed, _larger, _smaller, _inlined))
_compressing_at, _burning_at, _compression_begun, _compress, _burn_begun, _burn, _flame, _fresh_energy = (
    _E.compressing_at, _E.burning_at, _E.compression_begun, _E.compress, _E.burn_begun, _E.burn, _E.flame,
    _E.fresh_energy,
)
_volume_and_slope = _E.volume_and_slope

# Lanes side by side, and the rows of a block of them: the gas, the cylinder, then these
L = 16
_GAS, _CYLINDER = len(Gas._fields), len(Cylinder._fields)
_LOW, _NINE_TENTHS, _END, _OPENING, _CLOSING_K, _KNOCK_RATIO, _KNOCK_SCALE = range(
    _GAS + _CYLINDER, _GAS + _CYLINDER + 7
)
_START = _GAS + Cylinder._fields.index("start")
# Rows that a block works on.  First what a node has, in the order of the traces; the node before; sums; then the state.
_ANGLE, _P, _DP, _T, _DT, _VOLUME, _FRACTION = range(7)
_TRACES, _PRESSURE_TRACES = 7, 3
_ANGLE0, _P0, _DP0, _T0, _DT0 = range(7, 12)
_PEAK, _PEAK_ANGLE, _PEAK_T, _KNOCK, _RATE, _RISE, _HEAT, _WORK = range(12, 20)
_LOG_CLOSING, _Z, _OF_Z, _OF_Z_AMID, _OF_Z_BEFORE, _LIT_P, _LIT_LOG_V, _FLAME, _WIDTH = range(20, 29)
_REDUCED, _GROWTH, _OF_HEAT, _OF_WORK, _GROWTH_AMID, _WARMING_AMID, _GROWTH_BEFORE, _WARMING_BEFORE = range(29, 37)
_WORKING = 37
# Rows of the results
_OUT = (_PEAK, _PEAK_ANGLE, _PEAK_T, _KNOCK, _HEAT, _WORK, _P, _T, _FRACTION, _FLAME, _VOLUME)
_RESULTS = len(_OUT) + 1  # and the pressure at intake closing


@_inlined
def _gas_of(block: Array, lane: int) -> Gas:
    return Gas(
        block[0 * L + lane], block[1 * L + lane], block[2 * L + lane], block[3 * L + lane],
        block[4 * L + lane], block[5 * L + lane], block[6 * L + lane], block[7 * L + lane],
        block[8 * L + lane], block[9 * L + lane], block[10 * L + lane], block[11 * L + lane],
        block[12 * L + lane], block[13 * L + lane], block[14 * L + lane], block[15 * L + lane],
        block[16 * L + lane], block[17 * L + lane], block[18 * L + lane], block[19 * L + lane],
        block[20 * L + lane], block[21 * L + lane], block[22 * L + lane], block[23 * L + lane],
    )


@_inlined
def _cylinder_of(block: Array, lane: int) -> Cylinder:
    return Cylinder(
        block[24 * L + lane], block[25 * L + lane], block[26 * L + lane], block[27 * L + lane],
        block[28 * L + lane], block[29 * L + lane], block[30 * L + lane], block[31 * L + lane],
        block[32 * L + lane], block[33 * L + lane], block[34 * L + lane], block[35 * L + lane],
        block[36 * L + lane], block[37 * L + lane], block[38 * L + lane], block[39 * L + lane],
        block[40 * L + lane], block[41 * L + lane], block[42 * L + lane], block[43 * L + lane],
    )


@_inlined
def _peak_between(p0: float, p1: float, width: float, d0: float, d1: float) -> tuple[float, float]:
    """Share of an interval at which its cubic is highest, and the pressure there; no pressure where it turns not."""
    u, v, rise = width * d0, width * d1, p1 - p0
    a, b = 3.0 * (u + v) - 6.0 * rise, 6.0 * rise - 4.0 * u - 2.0 * v
    inner = b * b - 4.0 * a * u
    root = np.sqrt(inner if inner > 0.0 else 0.0)
    small = 2.0 * u / (root - b)
    large = -(b + root) / (2.0 * a)
    share = small if b < 0.0 else large
    share = share if share < 1.0 else 1.0
    share = share if share > 0.0 else 0.0
    turns = (d0 > 0.0) & (d1 <= 0.0)
    return share, _cubic(share, width, p0, p1, d0, d1) if turns else -1.0


@_inlined
def _cubic(share: float, width: float, left: float, right: float, left_slope: float, right_slope: float) -> float:
    """interpolation.hermite"""
    s, t = share, 1.0 - share
    return (
        left * t * t * (1.0 + 2.0 * s) + right * s * s * (1.0 + 2.0 * t)
        + width * s * t * (left_slope * t - right_slope * s)
    )


@_inlined
def _progress(scale: float, p: float, dp: float, t: float, dt: float) -> tuple[float, float]:
    """Rate of auto-ignition at octane number 100 by angle, and its slope: auto_ignition.ignition_progress_rate."""
    rate = scale * _exp(PRESSURE_EXPONENT * _log(p * (1.0 / STANDARD_PRESSURE)) - ACTIVATION_TEMPERATURE_K / t)
    return rate, rate * (PRESSURE_EXPONENT * dp / p + ACTIVATION_TEMPERATURE_K * dt / (t * t))


@_compiled
def _peak(w: Array) -> None:
    """Compare what lies between the last node and this one with the highest so far; this one becomes the last."""
    turning = 0
    for i in range(L):
        turning += 1 if (w[_DP0 * L + i] > 0.0) & (w[_DP * L + i] <= 0.0) else 0
    if turning > 0:
        for i in range(L):
            angle0, p0, dp0, t0 = w[_ANGLE0 * L + i], w[_P0 * L + i], w[_DP0 * L + i], w[_T0 * L + i]
            angle, p, dp, t, dt = w[_ANGLE * L + i], w[_P * L + i], w[_DP * L + i], w[_T * L + i], w[_DT * L + i]
            width = angle - angle0
            share, peak = _peak_between(p0, p, width, dp0, dp)
            higher = peak > w[_PEAK * L + i]
            w[_PEAK * L + i] = peak if higher else w[_PEAK * L + i]
            w[_PEAK_ANGLE * L + i] = angle0 + share * width if higher else w[_PEAK_ANGLE * L + i]
            fresh = _cubic(share, width, t0, t, w[_DT0 * L + i], dt)
            w[_PEAK_T * L + i] = fresh if higher else w[_PEAK_T * L + i]
    for i in range(L):
        w[_ANGLE0 * L + i], w[_P0 * L + i], w[_DP0 * L + i] = w[_ANGLE * L + i], w[_P * L + i], w[_DP * L + i]
        w[_T0 * L + i], w[_DT0 * L + i] = w[_T * L + i], w[_DT * L + i]


@_compiled
def _knock(block: Array, w: Array, first: bool, low_row: int, high_row: int, step: float, left: float,
           narrowing: bool) -> None:
    """Add the step that ends at this node, a share of its segment, to the knock integral: the trapezium rule, ends
    corrected; before the burn over the variable of integration."""
    low, high = block[low_row * L : low_row * L + L], block[high_row * L : high_row * L + L]
    narrowest = _LAST_BEFORE if narrowing else 1.0
    for i in range(L):
        length, ratio = high[i] - low[i], block[_KNOCK_RATIO * L + i]
        rate, rise = _progress(block[_KNOCK_SCALE * L + i], w[_P * L + i], w[_DP * L + i], w[_T * L + i] * ratio,
                               w[_DT * L + i] * ratio)
        stretch = length * (narrowest + 2.0 * (1.0 - narrowest) * left)
        rise = rise * stretch * stretch - 2.0 * (1.0 - narrowest) * length * rate
        rate = rate * stretch
        added = 0.5 * step * (w[_RATE * L + i] + rate) + step * step * (1.0 / 12.0) * (w[_RISE * L + i] - rise)
        w[_KNOCK * L + i] += 0.0 if first else added
        w[_RATE * L + i], w[_RISE * L + i] = rate, rise


@_inlined
def _before(block: Array, w: Array, gas: Gas, cylinder: Cylinder, left: float, lane: int) -> Compressing:
    length = cylinder.start - block[_LOW * L + lane]
    angle = cylinder.start - length * _placed(left, _LAST_BEFORE)
    stretch = length * (_LAST_BEFORE + 2.0 * (1.0 - _LAST_BEFORE) * left)
    return _compressing_at(gas, cylinder, w[_LOG_CLOSING * L + lane], angle, stretch)


@_inlined
def _keep_compressed(block: Array, w: Array, gas: Gas, cylinder: Cylinder, at: Compressing, state: CompressionState,
                     left: float, lane: int) -> None:
    """The node where ``left`` of the way to the burn is left."""
    length = cylinder.start - block[_LOW * L + lane]
    stretch = length * (_LAST_BEFORE + 2.0 * (1.0 - _LAST_BEFORE) * left)
    t = state.z / at.to_z
    p = gas.constant * t / at.volume
    dt = (state.slope / at.to_z - cylinder.exponent * at.narrowing * t) / stretch
    w[_ANGLE * L + lane] = cylinder.start - length * _placed(left, _LAST_BEFORE)
    w[_P * L + lane], w[_DP * L + lane] = p, p * (dt / t - at.narrowing / stretch)
    w[_T * L + lane], w[_DT * L + lane], w[_VOLUME * L + lane] = t, dt, at.volume
    w[_Z * L + lane], w[_OF_Z * L + lane] = state.z, state.slope
    w[_OF_Z_AMID * L + lane], w[_OF_Z_BEFORE * L + lane] = state.slope_amid, state.slope_before
    w[_OF_HEAT * L + lane] = state.heat


@_inlined
def _keep_burned(w: Array, lane: int, state: BurnState) -> None:
    w[_P * L + lane], w[_T * L + lane] = state.pressure, state.fresh
    w[_DP * L + lane], w[_DT * L + lane] = state.rise, state.warming
    w[_REDUCED * L + lane], w[_GROWTH * L + lane] = state.reduced, state.growth
    w[_OF_HEAT * L + lane], w[_OF_WORK * L + lane] = state.heat, state.work
    w[_GROWTH_AMID * L + lane], w[_WARMING_AMID * L + lane] = state.growth_amid, state.warming_amid
    w[_GROWTH_BEFORE * L + lane], w[_WARMING_BEFORE * L + lane] = state.growth_before, state.warming_before


@_inlined
def _kept_burned(w: Array, lane: int) -> BurnState:
    return BurnState(
        w[_P * L + lane], w[_T * L + lane], w[_DP * L + lane], w[_DT * L + lane], w[_REDUCED * L + lane],
        w[_GROWTH * L + lane], w[_OF_HEAT * L + lane], w[_OF_WORK * L + lane], w[_GROWTH_AMID * L + lane],
        w[_WARMING_AMID * L + lane], w[_GROWTH_BEFORE * L + lane], w[_WARMING_BEFORE * L + lane],
    )


@_compiled
def _begin(block: Array, w: Array) -> None:
    for i in range(L):
        gas, cylinder = _gas_of(block, i), _cylinder_of(block, i)
        volume, _slope = _volume_and_slope(cylinder, block[_LOW * L + i])
        w[_LOG_CLOSING * L + i] = _log(volume)
        for row in (_HEAT, _WORK, _KNOCK, _RATE, _RISE, _FRACTION, _DP0, _DT0):
            w[row * L + i] = 0.0
        w[_PEAK * L + i], w[_PEAK_ANGLE * L + i], w[_PEAK_T * L + i] = -1.0, 0.0, 0.0
        # no node yet: a fall before the first one, so that no peak is looked for there
        w[_ANGLE0 * L + i], w[_P0 * L + i], w[_T0 * L + i] = -4.0, 1.0, 1.0
        at = _before(block, w, gas, cylinder, 1.0, i)
        state = _compression_begun(gas, cylinder.wall_temperature, cylinder.exponent, at, block[_CLOSING_K * L + i])
        _keep_compressed(block, w, gas, cylinder, at, state, 1.0, i)


@_compiled
def _compress_step(block: Array, w: Array, left: float, step: float, ratio: float) -> None:
    """To the node where ``left`` of the way to the burn is left."""
    for i in range(L):
        gas, cylinder = _gas_of(block, i), _cylinder_of(block, i)
        middle = _before(block, w, gas, cylinder, left + 0.5 * step, i)
        end = _before(block, w, gas, cylinder, left, i)
        begun = CompressionState(w[_Z * L + i], w[_OF_Z * L + i], w[_OF_HEAT * L + i], w[_OF_Z_AMID * L + i],
                                 w[_OF_Z_BEFORE * L + i])
        state, heat = _compress(gas, cylinder.wall_temperature, cylinder.exponent, middle, end, begun, step, ratio)
        w[_HEAT * L + i] += heat
        _keep_compressed(block, w, gas, cylinder, end, state, left, i)


@_compiled
def _light(block: Array, w: Array) -> None:
    """From the last node of the compression to the first of the burn."""
    for i in range(L):
        gas, cylinder = _gas_of(block, i), _cylinder_of(block, i)
        p, t = w[_P * L + i], w[_T * L + i]
        w[_LIT_P * L + i], w[_LIT_LOG_V * L + i], w[_FLAME * L + i] = p, _log(w[_VOLUME * L + i]), _flame(gas, p, t)
        w[_WORK * L + i] = (
            _fresh_energy(gas, block[_CLOSING_K * L + i]) - _fresh_energy(gas, t) - w[_HEAT * L + i]
        )
        ignition = Ignition(p, w[_LIT_LOG_V * L + i], w[_FLAME * L + i])
        lit = _burning_at(gas, cylinder, ignition, 0.0, cylinder.start)
        _keep_burned(w, i, _burn_begun(gas, cylinder, lit, p, t))
        w[_WIDTH * L + i] = 1e300  # no step before: the first foretells from its own beginning


@_compiled
def _burn_step(block: Array, w: Array, low_row: int, high_row: int, share: float, step: float) -> None:
    """To the node at ``share`` of a segment."""
    low, high = block[low_row * L : low_row * L + L], block[high_row * L : high_row * L + L]
    for i in range(L):
        gas, cylinder = _gas_of(block, i), _cylinder_of(block, i)
        ignition = Ignition(w[_LIT_P * L + i], w[_LIT_LOG_V * L + i], w[_FLAME * L + i])
        length, begun = high[i] - low[i], low[i] - cylinder.start
        half, whole, width = (share - 0.5 * step) * length, share * length, step * length
        over = cylinder.over_duration
        middle = _burning_at(gas, cylinder, ignition, (half + begun) * over, low[i] + half)
        end = _burning_at(gas, cylinder, ignition, (whole + begun) * over, low[i] + whole)
        state, heat, work = _burn(
            gas, cylinder, middle, end, _kept_burned(w, i), width, width / w[_WIDTH * L + i]
        )
        w[_ANGLE * L + i], w[_WIDTH * L + i] = low[i] + whole, width
        w[_VOLUME * L + i], w[_FRACTION * L + i] = end.volume, end.fraction
        w[_HEAT * L + i] += heat
        w[_WORK * L + i] += work
        _keep_burned(w, i, state)


def _integration(stamp: int) -> Any:
    """The outermost compiled function, kept on disk for sources of this stamp: making it takes some twenty seconds."""

    def cycles(blocks: Array, steps: tuple[int, int, int, int], results: Array, traces: Array) -> None:
        if stamp > 0:  # names what the code kept on disk was made from
            _every_block(blocks, steps, results, traces)

    return njit(cache=True, **_OPTIONS)(cycles)


@_compiled
def _every_block(blocks: Array, steps: tuple[int, int, int, int], results: Array, traces: Array) -> None:
    """Integrate the blocks, (blocks, rows x lanes), into results, (blocks, results, lanes), and traces, (blocks, nodes,
    traces x lanes) where any are wanted."""
    w = np.zeros(_WORKING * L)
    traced, kept = traces.shape[1] > 0, traces.shape[2]
    for b in range(blocks.shape[0]):
        block, n = blocks[b], steps[0]
        _begin(block, w)
        results[b, len(_OUT)] = w[_P * L : (_P + 1) * L]
        for k in range(n + 1):
            if k > 0:
                _compress_step(block, w, 1.0 - k / n, 1.0 / n, 1.0 if k > 1 else 0.0)
            if k == n:
                _light(block, w)
            _peak(w)
            _knock(block, w, k == 0, _LOW, _START, 1.0 / n, 1.0 - k / n, True)
            if traced:
                traces[b, k] = w[:kept]
        node = n
        _knock(block, w, True, _START, _NINE_TENTHS, 0.0, 1.0, False)
        for segment in range(1, 4):
            n = steps[segment]
            low_row = _START if segment == 1 else (_NINE_TENTHS if segment == 2 else _END)
            high_row = _NINE_TENTHS if segment == 1 else (_END if segment == 2 else _OPENING)
            narrowest = NARROWEST[segment]
            for k in range(1, n + 1):
                share = _placed(k / n, narrowest)
                step = share - _placed((k - 1) / n, narrowest)
                _burn_step(block, w, low_row, high_row, share, step)
                _peak(w)
                if segment == 1:
                    _knock(block, w, False, low_row, high_row, step, 1.0, False)
                node += 1
                if traced:
                    traces[b, node] = w[:kept]
        for row in range(len(_OUT)):
            results[b, row] = w[_OUT[row] * L : (_OUT[row] + 1) * L]


_STAMP = source_stamp((rates, lanes, auto_ignition, heat_transfer, equilibrium, constants, sys.modules[__name__]))
_cycles = _integration(_STAMP)


def integrated(
    x: Lanes, charge: Charge, edges: tuple[Array, ...], steps: tuple[int, int, int, int], traces: bool | str,
    shape: tuple[int, ...],
) -> tuple[Sums, Nodes | None]:
    """The closed cycle of lanes of ``shape``, to which all that is given broadcasts, with peak and knock integral."""
    gas = Gas.of(charge)
    scale = 1.0 / (DELAY_SCALE_S * x.speed_rad_s)
    rows = (*gas, *cylinder_of(x, charge, gas, edges[1]), edges[0], edges[2], edges[3], edges[4],
            x.closing_temperature_k, x.knock_temperature_ratio, scale)
    size = math.prod(shape)
    count = -(-size // L)
    blocks = np.empty((count, len(rows), L))
    line = np.empty(count * L)
    within = line[:size].reshape(shape)
    for k, values in enumerate(rows):
        within[...] = values
        line[size:] = line[0]  # the last block is filled up with copies of a lane
        blocks[:, k] = line.reshape(count, L)
    kept = (_TRACES if traces is True else _PRESSURE_TRACES) if traces else 0
    results = np.empty((count, _RESULTS, L))
    nodes = np.empty((count, sum(steps) + 1 if traces else 0, kept * L))
    _cycles(blocks.reshape(count, -1), steps, results, nodes)
    ends = results.swapaxes(0, 1).reshape(_RESULTS, -1)[:, :size].reshape(_RESULTS, *shape)
    sums = Sums(*ends)
    if not traces:
        return sums, None
    parts = nodes.reshape(count, -1, kept, L).transpose(2, 1, 0, 3).reshape(kept, -1, count * L)[..., :size]
    angles, p, dp, *others = parts.reshape(kept, -1, *shape)
    t, dt, volumes, fractions = others or (np.empty(0),) * (_TRACES - _PRESSURE_TRACES)
    return sums, Nodes(angles, p, dp, t, dt, fractions, volumes, sums.wall_heat, sums.work, sums.flame)


@_compiled
def _on_grid(angle: Array, nodes: Array, values: Array, slopes: Array, found: Array) -> None:
    count = nodes.shape[1]
    for lane in range(nodes.shape[0]):
        k = 0
        for i in range(angle.size):
            while k < count - 2 and angle[i] >= nodes[lane, k + 1]:
                k += 1
            left = nodes[lane, k]
            width = nodes[lane, k + 1] - left
            share = min(max((angle[i] - left) / width, 0.0), 1.0)
            found[lane, i] = _cubic(
                share, width, values[lane, k], values[lane, k + 1], slopes[lane, k], slopes[lane, k + 1]
            )


def _interpolation(stamp: int) -> Any:
    def interpolate(angle: Array, nodes: Array, values: Array, slopes: Array, found: Array) -> None:
        if stamp > 0:
            _on_grid(angle, nodes, values, slopes, found)

    return njit(cache=True, **_OPTIONS)(interpolate)


_interpolate = _interpolation(_STAMP)


def interpolated(angle: Array, nodes: Array, values: Array, slopes: Array) -> Array:
    """Cubics through values and slopes at each lane's nodes, (lanes, nodes), at rising angles that all lanes share."""
    found = np.empty((nodes.shape[0], angle.size))
    _interpolate(angle, nodes, values, slopes, found)
    return found
