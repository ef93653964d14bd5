"""Air anchored on the maker's figures: volumetric efficiency scaled so that they come out.

Friction stays of its class.  The scale is found at the two speeds that the maker gives, for every draw, and is
linear between them and constant beyond; it is kept within bounds, and what it would have been is a quantity.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.columns import Column, Step, names_of
from enginelimits.assessment.runner import chosen, ordered, run
from enginelimits.assessment.sample import input_columns
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled
from enginelimits.description.standard import standard_build
from enginelimits.physics.airflow import delivery

if TYPE_CHECKING:
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

# Torque is close to linear in the air trapped: three secant steps leave less than a part in ten thousand.
PASSES = 3
FACTOR = "class.volumetric_efficiency_factor"
RESTS = ("engine.standard_output.power.value", "engine.standard_output.torque.value")


def air_anchor(
    described: Filled, steps: Sequence[Step], speeds: FloatArray, samples: int, seed: int, shop: Shop | None = None
) -> dict[str, Column]:
    """The anchored columns, empty where the maker's figures are not known."""
    standard = standard_build(described.build)
    if standard is None:
        return {}
    output = standard.engine.standard_output
    assert output is not None and output.power is not None and output.torque is not None
    at = np.array([output.torque.at.si, output.power.at.si])
    asked = np.array([output.torque.value.si, output.power.value.si / output.power.at.si])
    inputs = input_columns(filled(standard, shop=shop), at, samples, seed, ("site",))
    spread = inputs["class.engine.standard_output_factor"].si
    scale = _scale(_upstream(steps, inputs, "crank.torque"), inputs, asked * spread)
    if scale is None:
        return {}
    rests = frozenset(path for path in RESTS if described.get(path) is not None)
    solved = {
        "air.anchor_scale_at_torque": Column(scale[..., :1], rests=rests),
        "air.anchor_scale_at_power": Column(scale[..., 1:], rests=rests),
    }
    return solved | _over_speed(solved, at, speeds, rests)


def _upstream(steps: Sequence[Step], inputs: dict[str, Column], target: str) -> list[Step]:
    """The steps that ``target`` rests on, in order, of those that the standard engine chooses."""
    texts = {path: column.si for path, column in inputs.items() if isinstance(column.si, str | bool)}
    kept, wanted = [], {target}
    for step in reversed(ordered(chosen(steps, texts))):
        if wanted.intersection(step.gives):
            kept.append(step)
            for source in step.takes.values():
                wanted.update(names_of(source))
    return kept[::-1]


def _scale(steps: list[Step], inputs: dict[str, Column], asked: Any) -> FloatArray | None:
    """The factor on the class curve at which torque is as asked, (1, rows, speeds), by secant."""

    still, moved = _parted(steps)
    known = run(still, inputs)

    def torque(factor: Any) -> Any:
        return run(moved, {**known, FACTOR: Column(factor)})["crank.torque"].si

    low = np.ones(np.shape(asked))
    at_low = torque(low)
    if at_low is None:
        return None
    high = np.clip(asked / at_low, 0.6, 1.4)
    for _ in range(PASSES):
        high = np.where(np.abs(high - low) < 1e-9, low + 1e-3, high)
        at_high = torque(high)
        step = (asked - at_high) * (high - low) / (at_high - at_low)
        low, at_low, high = high, at_high, np.clip(high + step, 0.6, 1.4)
    found: FloatArray = high
    return found if np.isfinite(found).all() else None


def _parted(steps: Sequence[Step]) -> tuple[list[Step], list[Step]]:
    """The steps that rest on nothing which the factor moves, done once for all passes, and the others."""
    still, moved, reached = [], [], {FACTOR}
    for step in steps:
        sources = (name for source in step.takes.values() for name in names_of(source))
        if reached.intersection(sources):
            moved.append(step)
            reached.update(step.gives)
        else:
            still.append(step)
    return still, moved


def _over_speed(
    solved: dict[str, Column], at: FloatArray, speeds: FloatArray, rests: frozenset[str]
) -> dict[str, Column]:
    """The scale at every speed, and the same within its bounds, each with the step that ``why`` shows."""
    torque, power = solved
    scale = delivery.anchor_scale_over_speed(solved[torque].si, solved[power].si, speeds, at[0], at[1])
    takes = {"scale_at_torque": torque, "scale_at_power": power, "speed_rad_s": "engine.speed",
             "torque_speed_rad_s": "engine.standard_output.torque.at",
             "power_speed_rad_s": "engine.standard_output.power.at"}
    spread = Step(("air.anchor_scale",), delivery.anchor_scale_over_speed, takes)
    bound = Step(("air.anchored_factor",), delivery.bounded_anchor, {"scale": "air.anchor_scale"})
    return {
        "air.anchor_scale": Column(scale, rests=rests, step=spread, takes=takes),
        "air.anchored_factor": Column(
            delivery.bounded_anchor(scale), rests=rests, step=bound, takes={"scale": "air.anchor_scale"}
        ),
    }
