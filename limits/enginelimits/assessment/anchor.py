"""The maker's figures as anchors: air scaled so that they come out, knock bounded by what they allow.

Friction stays of its class.  The scale on volumetric efficiency is found at the speeds that the maker gives, for every
draw, and is linear between them and constant beyond; it is kept within bounds, and what it would have been is a
quantity.  With the air known, the octane offset of the engine is bounded: on the maker's fuel at full load half the
charge has burned between two angles of the class.  The timing that follows moves torque by a hundredth or so, and the
air is scaled once more with it.

What is found so rests on all that the maker's engine was reckoned with: on each input that the build itself has alike.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.calibrated import calibrated_filling
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.runner import (
    TIMING,
    TURBINE,
    TURBINE_CLASS,
    chosen,
    needed,
    ordered,
    parted,
    run,
    texts_of,
)
from enginelimits.assessment.sample import input_columns
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled, Input
from enginelimits.description.standard import standard_build
from enginelimits.physics.airflow import delivery
from enginelimits.physics.combustion import auto_ignition
from enginelimits.physics.cycle.cylinder import cylinder_cycle

if TYPE_CHECKING:
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

# Torque is close to linear in the air trapped: three secant steps leave less than a part in ten thousand.
PASSES = 3
FACTOR = "class.volumetric_efficiency_factor"
ANGLE, WANTED, OFFSET, SPREAD = (
    "combustion.angle_of_half_burned", "knock.octane_wanted", "knock.anchored_offset", "knock.anchored_spread",
)
_FIGURES = ("torque", "power")


class Standard(NamedTuple):
    """The maker's engine at the speeds that his figures are for."""

    columns: dict[str, Column]
    at: FloatArray
    torque: Column  # as stated, (1, rows, speeds)


def anchors(
    described: Filled, steps: Sequence[Step], speeds: FloatArray, samples: int, seed: int, shop: Shop | None = None
) -> dict[str, Column]:
    """The anchored columns, empty where the maker's figures are not known."""
    standard = _standard(described, samples, seed, shop)
    if standard is None:
        return {}
    inputs = {**standard.columns, SPREAD: Column(np.zeros((1, 1, 1)))}
    earliest, latest = (inputs[f"class.knock.factory_{name}"] for name in ("earliest", "latest"))
    angle = Column(0.5 * (earliest.si + latest.si), rests=earliest.rests | latest.rests)
    of_engine = _of_engine(steps, inputs)
    still, moved = parted(_upstream(of_engine, "crank.torque", without=ANGLE), FACTOR, ANGLE)
    known = run(still, inputs)
    scale = _scale(moved, {**known, ANGLE: angle}, standard.torque)
    if scale is None:
        return {}
    anchored: dict[str, Column] = {}
    scaled = {**inputs, FACTOR: _bounded(scale)}
    offset = _offset(of_engine, scaled, earliest, latest)
    if offset is not None:
        anchored = offset
        found = run(_upstream(of_engine, ANGLE), {**scaled, **offset})[ANGLE]
        scale = _scale(moved, {**known, ANGLE: Column(found.si, rests=found.rests)}, standard.torque, scale)
    return {} if scale is None else anchored | _over_speed(scale, standard.at, speeds)


def _standard(described: Filled, samples: int, seed: int, shop: Shop | None) -> Standard | None:
    build = standard_build(described.build)
    if build is None:
        return None
    output = build.engine.standard_output
    assert output is not None
    figures = [(name, point) for name in _FIGURES if (point := getattr(output, name)) is not None]
    at = np.array([point.at.si for _, point in figures])
    stated = np.array(
        [point.value.si / (point.at.si if name == "power" else 1.0) for name, point in figures]
    )
    maker = filled(build, shop=shop)
    columns = _named(input_columns(maker, at, samples, seed, ("site",)), maker, described)
    spread = columns["class.engine.standard_output_factor"]
    rests = spread.rests | {f"engine.standard_output.{name}.value" for name, _ in figures}
    return Standard(columns, at, Column(stated * spread.si, rests=rests))


def _named(columns: Mapping[str, Column], maker: Filled, described: Filled) -> dict[str, Column]:
    """The maker's inputs resting on those of the build, which are drawn alike; what it has otherwise has no name."""
    names = {path: name for path in maker.inputs if (name := _name(path, maker, described))}
    return {path: column._replace(rests=frozenset(names[p] for p in column.rests if p in names))
            for path, column in columns.items()}


def _name(path: str, maker: Filled, described: Filled) -> str:
    theirs, ours = maker.get(path), described.get(path)
    if theirs is not None and ours is not None and _drawn_as(theirs) == _drawn_as(ours):
        return path
    standard = f"engine.standard.{path.removeprefix('engine.')}"
    return standard if path.startswith("engine.") and standard in described.inputs else ""


def _drawn_as(given: Input) -> tuple[Any, ...]:
    """What the draws of an input hang on."""
    return (given.value, given.curve, given.low, given.high, given.shape, given.floor, given.ceiling,
            given.probability, given.drawn_with, given.pool, given.pool_of, given.streams, given.points)


def _of_engine(steps: Sequence[Step], inputs: Mapping[str, Column]) -> list[Step]:
    """The steps that this engine chooses, in order."""
    return ordered(chosen(steps, {**texts_of(inputs), TURBINE: TURBINE_CLASS}))


def _upstream(of_engine: Sequence[Step], target: str, without: str = "") -> list[Step]:
    """Of ordered steps those that ``target`` rests on; the cycle on the coarse grid."""
    return [
        step._replace(fixed={**step.fixed, "quick": True}) if step.of is cylinder_cycle else step
        for step in needed(of_engine, target, without=without)
    ]


def _scale(
    moved: list[Step], known: Mapping[str, Column], torque: Column, start: Column | None = None
) -> Column | None:
    """The factor on the class curve at which torque is as asked, (1, rows, speeds), by secant."""

    def made(factor: Any) -> Column:
        return run(moved, {**known, FACTOR: Column(factor)})["crank.torque"]

    asked = torque.si
    low = np.ones(np.shape(asked)) if start is None else np.broadcast_to(start.si, np.shape(asked))
    begun = made(low)
    at_low = begun.si
    if at_low is None:
        return None
    high = np.clip(low * asked / at_low, 0.6, 1.4)
    for _ in range(PASSES if start is None else 1):
        high = np.where(np.abs(high - low) < 1e-9, low + 1e-3, high)
        at_high = made(high).si
        step = (asked - at_high) * (high - low) / (at_high - at_low)
        low, at_low, high = high, at_high, np.clip(high + step, 0.6, 1.4)
    return Column(high, rests=torque.rests | begun.rests) if np.isfinite(high).all() else None


def _bounded(scale: Column) -> Column:
    return Column(delivery.bounded_anchor(scale.si), rests=scale.rests)


def _offset(
    of_engine: Sequence[Step], inputs: dict[str, Column], earliest: Column, latest: Column
) -> dict[str, Column] | None:
    """The engine's octane offset at the maker's torque, between what the class's factory angles allow."""
    reserve = inputs["ignition.spark_reserve"]
    needed = _upstream(of_engine, WANTED, without=ANGLE)

    def wanted(angle: Column) -> Column:
        timed = Column(angle.si - reserve.si, rests=angle.rests | reserve.rests)
        found = run(needed, {**inputs, ANGLE: timed})[WANTED]
        return Column(None if found.si is None else found.si[..., :1], rests=found.rests)

    fuel = run(_upstream(of_engine, "knock.octane_available"), inputs)
    held, change = fuel["knock.octane_of_fuel"], fuel["knock.humidity_change"]
    at_latest, at_earliest, prior = wanted(latest), wanted(earliest), inputs["class.knock.octane_offset"]
    if at_latest.si is None or at_earliest.si is None or held.si is None or change.si is None:
        return None
    solved = {
        "knock.factory_wanted_latest": at_latest,
        "knock.factory_wanted_earliest": at_earliest,
        "knock.factory_octane": Column(held.si - change.si, rests=held.rests | change.rests),
    }
    takes = {"prior": "class.knock.octane_offset",
             **dict(zip(("octane_required_latest", "octane_required_earliest", "octane"), solved, strict=True)),
             "unused_octane": "class.knock.unused_octane"}
    step = Step((OFFSET,), auto_ignition.anchored_offset, takes)
    unused = inputs["class.knock.unused_octane"]
    late, early, octane = solved.values()
    offset = auto_ignition.anchored_offset(prior.si, late.si, early.si, octane.si, unused.si)
    rests = prior.rests.union(late.rests, early.rests, octane.rests, unused.rests)
    return {OFFSET: Column(offset, rests=rests, step=step, takes=takes), **solved}


def _over_speed(scale: Column, at: FloatArray, speeds: FloatArray) -> dict[str, Column]:
    """The scale at every speed, and the same within its bounds, each with the step that ``why`` shows."""
    # one figure alone: its scale everywhere
    torque, power = "air.anchor_scale_at_torque", "air.anchor_scale_at_power"
    rests = scale.rests
    solved = {torque: Column(scale.si[..., :1], rests=rests), power: Column(scale.si[..., -1:], rests=rests)}
    over = delivery.anchor_scale_over_speed(solved[torque].si, solved[power].si, speeds, at[0], at[-1])
    takes = {"scale_at_torque": torque, "scale_at_power": power, "speed_rad_s": "engine.speed",
             "torque_speed_rad_s": "engine.standard_output.torque.at",
             "power_speed_rad_s": "engine.standard_output.power.at"}
    spread = Step(("air.anchor_scale",), delivery.anchor_scale_over_speed, takes)
    bound = Step(("air.anchored_factor",), delivery.bounded_anchor, {"scale": "air.anchor_scale"})
    return solved | {
        "air.anchor_scale": Column(over, rests=rests, step=spread, takes=takes),
        "air.anchored_factor": Column(
            delivery.bounded_anchor(over), rests=rests, step=bound, takes={"scale": "air.anchor_scale"}
        ),
    }


def _factor_at(speeds: FloatArray, described: Filled, before: Mapping[str, Column]) -> Column:
    """The anchored factor on the class's filling at other speeds than those of the grid."""
    maker = standard_build(described.build)  # an edit may have taken the figures out of the build, not from the maker
    output = maker.engine.standard_output if maker is not None else None
    stated = [point.at.si for name in _FIGURES if (point := getattr(output, name)) is not None]
    torque, power = (before[f"air.anchor_scale_at_{name}"].si for name in _FIGURES)
    scale = delivery.anchor_scale_over_speed(torque, power, speeds, stated[0], stated[-1])
    return Column(delivery.bounded_anchor(scale), rests=before["air.anchored_factor"].rests)


# What a point says of the engine at it, by its key
_OF_POINT = {
    "air.boost": "boost", "air.manifold_temperature": "charge_temperature", "fuel.lambda_target": "lambda",
    TIMING: "timing",
}


def _of_points(key: str, count: int, inputs: Mapping[str, Column]) -> FloatArray:
    """One value of every point, (1, rows, points), each with its own draws where it has a range."""
    values = [np.asarray(inputs[f"anchors.knock.{i}.{key}"].si) for i in range(count)]
    return np.concatenate(np.broadcast_arrays(*values), axis=-1)


def shop_points(
    described: Filled, steps: Sequence[Step], samples: int, seed: int, before: Mapping[str, Column]
) -> dict[str, Column]:
    """The octane offset from the shop's own knock-limited points; empty without any.

    Each point is computed at its speed, boost, charge temperature, lambda and timing; what octane the sum wants there
    is what this engine got along with, so that the offset is the mean over the points.
    """
    given = described.build.anchors
    if given is None or not given.knock:
        return {}
    at = np.array([point.speed.si for point in given.knock])
    inputs = input_columns(described, at, samples, seed, ("site",))
    rests = frozenset({"anchors.knock"})
    points = {name: Column(_of_points(key, at.size, inputs), rests=rests) for name, key in _OF_POINT.items()}
    calibrated = calibrated_filling(described, at, samples, seed)
    if calibrated is not None:
        points["air.anchored_factor"] = calibrated
    elif "air.anchor_scale_at_torque" in before:
        points["air.anchored_factor"] = _factor_at(at, described, before)
    inputs |= points
    kept = _of_engine([step for step in steps if not set(step.gives).intersection(points)], inputs)
    found = run(_upstream(kept, WANTED), inputs)
    fuel = run(_upstream(kept, "knock.octane_available"), inputs)
    wanted, held, change = found[WANTED], fuel["knock.octane_of_fuel"], fuel["knock.humidity_change"]
    if wanted.si is None or held.si is None or change.si is None:
        return {}
    offset = (wanted.si - held.si + change.si).mean(axis=-1, keepdims=True)
    spread = inputs["class.knock.point_spread"].si / np.sqrt(at.size)
    return {
        OFFSET: Column(offset, rests=rests.union(wanted.rests, held.rests, change.rests)),
        SPREAD: Column(spread, rests=rests | {"class.knock.point_spread"}),
    }
