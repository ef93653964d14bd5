"""Measured values in the place of computed ones, and the filling at which torque comes out as measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import wraps
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.balance import first_pass
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.runner import needed, parted
from enginelimits.physics.cycle.cylinder import cylinder_cycle

FloatArray = NDArray[np.float64]
Passed = Callable[[Sequence[Step], Mapping[str, Column]], Mapping[str, Column]]

FILLING, TORQUE = "air.anchored_factor", "crank.torque"
# Beyond these no class is meant; a log that asks for more is of another engine or in another unit.
LEAST, MOST = 0.4, 1.8
PASSES = 4


@dataclass(frozen=True)
class Measured:
    """What was measured, at the speeds of the assessment.

    ``columns`` holds quantities and inputs by name, (1, 1 or rows, speeds).  ``torque`` [N*m], (1, rows, speeds), is
    what every draw is to give at the crank: the class's filling is scaled for it, speed by speed.
    """

    columns: Mapping[str, Column]
    torque: FloatArray | None = None


def without(steps: Sequence[Step], given: Mapping[str, Column]) -> list[Step]:
    """The steps that still have something to give; of several results those that were measured are left out."""
    kept = []
    for step in steps:
        places = [place for place, id_ in enumerate(step.gives) if id_ not in given]
        if len(places) == len(step.gives):
            kept.append(step)
        elif places:
            kept.append(step._replace(gives=tuple(step.gives[p] for p in places), of=_picked(step.of, places)))
    return kept


def _picked(of: Callable[..., Any], places: Sequence[int]) -> Callable[..., Any]:
    @wraps(of)
    def some(**arguments: Any) -> Any:
        results = of(**arguments)
        return results[places[0]] if len(places) == 1 else tuple(results[p] for p in places)

    return some


def filling_for_torque(
    steps: Sequence[Step], inputs: Mapping[str, Column], texts: Mapping[str, Any], torque: FloatArray, passed: Passed
) -> dict[str, Column]:
    """The columns of the filling at which every draw gives that torque at every speed; empty without a torque.

    Found by secant, as torque is close to linear in the air.  What the turbine's balance takes from the engine follows.
    """
    upstream = [
        step._replace(fixed={**step.fixed, "quick": True}) if step.of is cylinder_cycle else step
        for step in needed(steps, TORQUE)
    ]
    still, moved = parted(upstream, FILLING)
    begun = {**inputs, FILLING: inputs.get(FILLING, inputs["class.volumetric_efficiency_factor"])}
    known = {**begun, **passed(still, begun)}

    def given(factor: FloatArray) -> Column:
        return passed(moved, {**known, FILLING: Column(factor)})[TORQUE]

    low = np.array(np.broadcast_to(np.asarray(begun[FILLING].si, dtype=float), torque.shape))
    made = given(low)
    at_low = made.si
    if at_low is None:
        return {}
    high = _bounded(low * torque / at_low)
    for _ in range(PASSES):
        high = np.where(np.abs(high - low) < 1e-9, low * 1.001, high)
        at_high = given(high).si
        with np.errstate(all="ignore"):
            step = (torque - at_high) * (high - low) / (at_high - at_low)
        low, at_low, high = high, at_high, _bounded(high + np.where(np.isfinite(step), step, 0.0))
    rests = frozenset({"log.wheel_torque", "driveline.loss.fixed", "driveline.loss.proportional", "class.dyno.factor"})
    found = {FILLING: Column(high, rests=rests | made.rests)}
    return found | first_pass(steps, {**inputs, **found}, texts, passed)


def _bounded(factor: Any) -> FloatArray:
    return np.clip(np.where(np.isfinite(factor), factor, 1.0), LEAST, MOST)
