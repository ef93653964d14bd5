"""The engine at given speeds and loads instead of full load: manifold pressure solved, throttled or boosted.

A library call for checks against bench maps and for whoever wants a part-load figure; no rule uses it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.anchor import anchors
from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.runner import TURBINE, TURBINE_CLASS, chosen, needed, ordered, run, texts_of
from enginelimits.assessment.sample import input_columns
from enginelimits.description.filled import Filled
from enginelimits.errors import InputError, Problem, SolveError

FloatArray = NDArray[np.float64]

LOAD, BOOST = "brake.mean_effective_pressure", "air.boost"
# Of the manifold, absolute: an idling engine, and more than any build of this kind
LEAST_PRESSURE, GREATEST_PRESSURE = 15e3, 450e3
_PASSES = 25
_TOLERANCE = 1e-4


def load_points(
    filled: Filled,
    speeds_rad_s: Sequence[float],
    loads_pa: Sequence[float],
    *,
    lambda_ratio: float | Sequence[float] = 1.0,
) -> dict[str, Column]:
    """Every quantity of the typical engine at pairs of speed and brake mean effective pressure, (1, 1, points).

    Manifold pressure is what gives the load: under the barometer by a throttle, over it by the compressor.  The build
    needs forced induction, since its boost is set here.  Raises SolveError when a load is out of the engine's reach,
    InputError without points and for a load that is none.
    """
    speeds, loads = np.asarray(speeds_rad_s, dtype=float), np.asarray(loads_pa, dtype=float)
    if not speeds.size or not np.all(loads > 0.0):
        got = f"{loads.min():g} Pa" if loads.size else "no points"
        raise InputError([Problem("speeds, each with a load above zero", got, key="loads_pa",
                                  file="call of load_points")])
    inputs = input_columns(filled, speeds, 0, 1, ("site",))
    inputs |= anchors(filled, STEPS, speeds, 0, 1)
    ratio = np.broadcast_to(np.asarray(lambda_ratio, dtype=float), speeds.shape)
    inputs["fuel.lambda_target"] = Column(ratio[None, None, :])
    texts = {**texts_of(inputs), TURBINE: TURBINE_CLASS}
    steps = [step for step in ordered(chosen(STEPS, texts)) if BOOST not in step.gives]
    if inputs["forced_induction.kind"].si == "none":
        raise SolveError("an engine without a compressor has no boost to set: state its forced induction")
    barometer = run(needed(steps, "ambient.pressure"), inputs)["ambient.pressure"].si
    # friction of a throttled engine and its pumping are small beside the range: start from the load alone
    pressure = np.clip(40e3 + 0.075 * loads, LEAST_PRESSURE, GREATEST_PRESSURE)[None, None, :]
    low, high = np.full(pressure.shape, LEAST_PRESSURE), np.full(pressure.shape, GREATEST_PRESSURE)
    before = at_before = np.full(pressure.shape, np.nan)
    for _ in range(_PASSES):
        load, columns = _load(steps, inputs, pressure - barometer)
        off = np.abs(load / loads - 1.0) > _TOLERANCE
        if not np.any(off):
            return columns
        low, high = np.where(load < loads, pressure, low), np.where(load < loads, high, pressure)
        with np.errstate(invalid="ignore", divide="ignore"):
            stepped = pressure + (loads - load) * (pressure - before) / (load - at_before)
        first = np.isnan(before)
        stepped = np.where(first, pressure * np.clip(loads / load, 0.6, 1.6), stepped)
        # knock bends the curve: where a secant leaves the bracket, halve it
        inside = (stepped > low) & (stepped < high)
        before, at_before = np.where(off, pressure, before), np.where(off, load, at_before)
        pressure = np.where(off, np.where(inside, stepped, 0.5 * (low + high)), pressure)
    rpm = ", ".join(f"{speed * 30 / np.pi:.0f} rpm" for speed in speeds[off[0, 0]])
    raise SolveError(f"no manifold pressure gives the load asked for at {rpm}")


def _load(steps: Sequence[Step], inputs: dict[str, Column], boost: Any) -> tuple[Any, dict[str, Column]]:
    columns = run(steps, {**inputs, BOOST: Column(boost)})
    load = columns[LOAD].si
    if load is None:
        raise SolveError("the load needs " + ", ".join(sorted(columns[LOAD].missing)))
    return load, columns
