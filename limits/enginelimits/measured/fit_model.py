"""The model at the points of pulls, under the conditions that were measured there, for rows of anchors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.map_steps import with_map
from enginelimits.assessment.measured import without
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
from enginelimits.description.knots import knot_weights
from enginelimits.physics.cycle.cylinder import cylinder_cycle
from enginelimits.physics.support import driveline

if TYPE_CHECKING:
    from enginelimits.description.filled import Filled
    from enginelimits.measured.pull import Pull

FloatArray = NDArray[np.float64]

FACTOR, OFFSET, WANTED = "air.anchored_factor", "knock.anchored_offset", "knock.octane_wanted"
TORQUE, FLOW, CHARGE = "crank.torque", "air.mass_flow", "air.manifold_temperature"
LOSSES = ("driveline.loss.fixed", "driveline.loss.proportional")
DYNO = "class.dyno.factor"
EFFECTIVENESS, EFFICIENCY = "forced_induction.intercooler.effectiveness", "forced_induction.compressor.efficiency"
RPM = np.pi / 30.0
# Points nearer than this tell the model nothing more of itself, and cost as much as the others
LEAST_STEP = 180.0 * RPM
# Ignition taken out for knock by less than this is a controller that tries, not an engine at its limit
LEAST_RETARD = np.radians(0.5)


@dataclass(frozen=True)
class Points:
    """Points of several pulls in a row, SI.  A channel that some pull lacks is left out altogether.

    ``pull`` is the place of each point's pull; ``limited`` marks where the engine was at its knock limit.
    """

    speed: FloatArray
    pull: NDArray[np.intp]
    channels: Mapping[str, FloatArray]
    limited: NDArray[np.bool_]
    remarks: tuple[str, ...] = ()

    def get(self, name: str) -> FloatArray | None:
        """A channel, None where a pull lacks it."""
        return self.channels.get(name)


def points_of(pulls: Sequence[Pull], needed_channels: Sequence[str], *, knock_limited: bool = False) -> Points:
    """The points to fit at.  ``knock_limited`` says that the timing of the whole run was found at the knock limit."""
    names = set.intersection(*(_names(p) for p in pulls))
    remarks = []
    speed, number = [], []
    kept: dict[str, list[FloatArray]] = {name: [] for name in names}
    for place, pull in enumerate(pulls):
        values = {name: _channel(pull, name) for name in names}
        known = np.isfinite(pull.speeds)
        for name in needed_channels:
            if name in values:
                known &= np.isfinite(values[name])
        throttle = pull.get("throttle")
        if throttle is not None:
            opened = ~(throttle < 0.9 * np.nanmax(throttle))
            if (known & ~opened).any():
                remarks.append(f"pull {pull.number}: {int((known & ~opened).sum())} points at less than full throttle "
                               "left out")
            known &= opened
        chosen_ = _spaced(pull.speeds, known)
        speed.append(pull.speeds[chosen_])
        number.append(np.full(chosen_.size, place))
        for name in names:
            kept[name].append(values[name][chosen_])
    channels = {name: np.concatenate(parts) for name, parts in kept.items()}
    # a gap in what is not needed takes the channel's own neighbours
    at = np.concatenate(speed)
    channels = {name: _bridged(at, values) for name, values in channels.items() if np.isfinite(values).sum() >= 2}
    retard = channels.get("knock_retard")
    limited = np.full(at.size, knock_limited)
    if retard is not None and "ignition_angle" in channels:
        limited |= retard > LEAST_RETARD
    return Points(at, np.concatenate(number).astype(np.intp), channels, limited, tuple(remarks))


def _names(pull: Pull) -> set[str]:
    names = {name for name, values in pull.on_speed.items() if np.isfinite(values).any()}
    if "wheel_power" in names:
        names.add("wheel_torque")
    if "manifold_pressure" in names and "barometer" in names:
        names.add("boost")
    if any(n.startswith("knock_retard_") for n in names):
        names.add("knock_retard")
    return names


def _channel(pull: Pull, name: str) -> FloatArray:
    found = pull.get(name)
    if found is not None and np.isfinite(found).any():
        return found
    if name == "wheel_torque":
        return np.asarray(pull.on_speed["wheel_power"] / pull.speeds)
    if name == "boost":
        return np.asarray(pull.on_speed["manifold_pressure"] - pull.on_speed["barometer"])
    each = [values for n, values in pull.on_speed.items() if n.startswith("knock_retard_")]
    return np.asarray(np.fmax.reduce(each))


def _spaced(speeds: FloatArray, known: NDArray[np.bool_]) -> NDArray[np.intp]:
    chosen_: list[int] = []
    for place in np.flatnonzero(known):
        if not chosen_ or speeds[place] - speeds[chosen_[-1]] >= LEAST_STEP:
            chosen_.append(int(place))
    return np.array(chosen_, dtype=np.intp)


def _bridged(at: FloatArray, values: FloatArray) -> FloatArray:
    known = np.isfinite(values)
    order = np.argsort(at[known], kind="stable")
    return np.where(known, values, np.interp(at, at[known][order], values[known][order]))


class FitModel:
    """What the model gives at the points, for rows of parameters named ``names`` (the filling at its knots first)."""

    def __init__(
        self, described: Filled, points: Points, knots: FloatArray, names: Sequence[str], *, crank: bool,
        correction: FloatArray,
    ) -> None:
        self.points, self.names, self.crank, self.correction = points, tuple(names), crank, correction
        self.weights = knot_weights(knots, points.speed)
        inputs = input_columns(described, points.speed, 0, 1, ("site",))
        conditions, measured = _conditions(points, inputs)
        self.inputs = {**inputs, **conditions, FACTOR: Column(np.ones((1, 1, 1))), OFFSET: Column(np.zeros((1, 1, 1)))}
        self.inputs["knock.anchored_spread"] = Column(np.zeros((1, 1, 1)))
        steps = with_map(STEPS, described)
        texts = {**texts_of({**self.inputs, **measured}), TURBINE: TURBINE_CLASS}
        given = {**conditions, **{name: column for name, column in measured.items() if name != CHARGE}}
        self.charge = CHARGE in measured
        self.warm = self._parted(ordered(chosen(without(steps, given), texts)), {**self.inputs, **given}, CHARGE)
        full = {**given, **measured}
        targets = (TORQUE, FLOW, *((WANTED, "knock.octane_of_fuel", "knock.humidity_change") if
                                   points.limited.any() else ()))
        self.output = self._parted(ordered(chosen(without(steps, full), texts)), {**self.inputs, **full}, *targets)

    def _parted(
        self, steps: Sequence[Step], inputs: Mapping[str, Column], *targets: str
    ) -> tuple[list[Step], dict[str, Column]]:
        """The steps that follow the anchors, and what all the others give once."""
        quick = [
            step._replace(fixed={**step.fixed, "quick": True}) if step.of is cylinder_cycle else step
            for step in needed(steps, *targets)
        ]
        still, moved = parted(quick, FACTOR, OFFSET, EFFECTIVENESS, EFFICIENCY)
        return moved, run(still, inputs)

    def filling(self, rows: FloatArray) -> FloatArray:
        """The factor on the class's filling at the points, (rows, points)."""
        knots = self.weights.shape[1]
        factor: FloatArray = rows[:, :knots] @ self.weights.T
        return factor

    def at(self, rows: FloatArray) -> dict[str, FloatArray]:
        """Predictions by channel, (rows, points): torque as shown, air, charge temperature, and the knock offset that
        the point asks for."""
        put = {name: rows[:, place] for place, name in enumerate(self.names)}
        columns = {FACTOR: Column(self.filling(rows)[None])}
        for path in (EFFECTIVENESS, EFFICIENCY):
            if path in put:
                columns[path] = Column(put[path][None, :, None])
        if OFFSET in put:
            columns[OFFSET] = Column(put[OFFSET][None, :, None])
        shape = (rows.shape[0], self.points.speed.size)
        moved, known = self.output
        found = run(moved, {**known, **columns})
        made = {"torque": self._shown(_rows(found, TORQUE, shape), put), "air_mass_flow": _rows(found, FLOW, shape)}
        moved, known = self.warm
        found_warm = run(moved, {**known, **columns})
        if self.charge:
            made["charge_temperature"] = _rows(found_warm, CHARGE, shape)
        if OFFSET in put:
            wanted, held, change = (
                _rows(found, name, shape) for name in (WANTED, "knock.octane_of_fuel", "knock.humidity_change")
            )
            # what the engine gets along with, beside the offset: nothing is left at the limit
            made["knock"] = held + put[OFFSET][:, None] - change - wanted
        return made

    def _shown(self, torque: FloatArray, put: Mapping[str, FloatArray]) -> FloatArray:
        """Torque as the dyno shows it."""
        if self.crank:
            return torque * self.correction
        speed = self.points.speed
        fixed, share = (put[name][:, None] for name in LOSSES)
        roller = driveline.roller_power(torque * speed, fixed, share)
        return np.asarray(driveline.displayed_power(roller, put[DYNO][:, None], self.correction)) / speed


def _rows(found: Mapping[str, Column], name: str, shape: tuple[int, int]) -> FloatArray:
    si = found[name].si
    if si is None:
        return np.full(shape, np.nan)
    array = np.asarray(si, dtype=float)
    return np.array(np.broadcast_to(array.reshape((1,) * (3 - array.ndim) + array.shape)[0], shape))


def _conditions(points: Points, inputs: Mapping[str, Column]) -> tuple[dict[str, Column], dict[str, Column]]:
    """What was measured of the day, and what was measured in the place of what the model would compute."""

    def column(values: Any) -> Column:
        return Column(np.asarray(values, dtype=float)[None, None, :])

    day: dict[str, Column] = {}
    air, barometer = points.get("air_temperature"), points.get("barometer")
    if air is not None:
        day["site.air_temperature"] = day["ambient.ordinary_temperature"] = column(air)
    if barometer is not None:
        day["ambient.pressure"] = column(barometer)
    humidity = points.get("air_humidity")
    if humidity is not None:
        day["site.relative_humidity"] = column(humidity)
    measured: dict[str, Column] = {}
    boosted = inputs["forced_induction.kind"].si != "none"
    boost = points.get("boost")
    if boosted and boost is not None:
        measured["air.boost"] = column(np.maximum(boost, 0.0))
    for name, path in (("charge_temperature", CHARGE), ("lambda", "fuel.lambda_target"), ("ignition_angle", TIMING)):
        values = points.get(name)
        if values is not None and (boosted or path != CHARGE):
            measured[path] = column(values)
    back = points.get("exhaust_pressure")
    if back is not None and barometer is not None and boosted:
        measured["exhaust.pressure"] = column(np.maximum(back, 0.0) + barometer)
    return day, measured
