"""The few anchors of the model fitted to measured pulls.

What classes and maker's figures say stands as observations of its own beside what was measured, so that an anchor of
which the pulls say nothing keeps its prior and its prior's error.  The model itself is never taken to be better than
its floor, however quiet a log is; where what is left is more than was stated, the stated errors are widened for it.

A dyno's factor and the driveline's loss cannot be told from the filling by torque alone: they stay at their priors,
what they may be wrong by is in the filling's error, and the correlation keeps the torque at the wheels known.  A
coast-down or figures at the crank tell the loss.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.anchor import anchors
from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.sample import Z95, input_columns
from enginelimits.description.calibration import FILLING, FILLING_PATH, KNOCK, SINGLE, UNITS
from enginelimits.description.fill import filled, part_filled
from enginelimits.errors import InputError, Problem
from enginelimits.measured.calibration_file import calibration_text as calibration_text
from enginelimits.measured.fit_model import (
    DYNO,
    EFFECTIVENESS,
    EFFICIENCY,
    LOSSES,
    OFFSET,
    RPM,
    FitModel,
    Points,
    points_of,
)
from enginelimits.measured.fitted import Agreement, Fitted, FittedAnchor, Residual
from enginelimits.measured.least_squares import Solution, solved
from enginelimits.physics.airflow import atmosphere
from enginelimits.physics.support import dyno as dyno_physics

if TYPE_CHECKING:
    from enginelimits.description.filled import Filled, Input
    from enginelimits.description.models import Build
    from enginelimits.measured.pull import Pull
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

KNOTS, KNOT_STEP = 6, 700.0 * RPM
# Over how much engine speed the model is wrong in the same way, and an engine differs from its class in the same way
SAME_WAY = 1200.0 * RPM
# Half of what an engine's filling differs from its class by is the same at all speeds (judgement, no source)
LEVEL_SHARE = 0.5
WIDENINGS = 4
LEAST_POINTS = 4
NAMES = {path: name for name, path in SINGLE.items()} | {OFFSET: KNOCK}
LOW = {LOSSES[0]: 0.0, LOSSES[1]: 0.0, DYNO: 0.5, EFFECTIVENESS: 0.0, EFFICIENCY: 0.3, OFFSET: -30.0}
HIGH = {LOSSES[0]: 1e5, LOSSES[1]: 0.5, DYNO: 1.5, EFFECTIVENESS: 0.97, EFFICIENCY: 0.9, OFFSET: 30.0}
PARTS = ("forced_induction.kind", "driveline.drive", "driveline.gearbox")
UNIT = {"torque": "N*m", "air_mass_flow": "kg/s", "charge_temperature": "K", "knock": "1", "loss": "W"}


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Errors as standard deviations: of single points, of a sensor as a whole, and of the model.

    Torque and air are shares of the value.  The model's floor on torque stands for friction, combustion and boost as
    measured; a pull's own is what one pull differs from the next by, 1 to 2 % in the trade (common practice).
    """

    torque: float = 0.01
    torque_of_pull: float = 0.01
    torque_of_model: float = 0.015
    air: float = 0.015
    air_meter: float = 0.03
    charge: float = 1.0
    charge_sensor: float = 2.0
    charge_of_model: float = 1.5


@dataclass(frozen=True, slots=True)
class LossPoint:
    """Loss between crank and roller as a coast-down or figures at the crank showed it, SI."""

    crank_power: float
    loss: float
    error: float


@dataclass(frozen=True)
class _Prior:
    """The parameters before the fit: the filling at its knots, then the others by path."""

    paths: tuple[str, ...]
    knots: FloatArray
    values: FloatArray
    covariance: FloatArray

    def place(self, path: str) -> int:
        return self.paths.index(path)


def fitted(
    pulls: Sequence[Pull],
    build: Build,
    *,
    shop: Shop | None = None,
    at: Literal["wheels", "crank"] = "wheels",
    dyno: str = "",
    correction: str = "none",
    accuracy: Accuracy | None = None,
    knock_limited: bool = False,
    losses: Sequence[LossPoint] = (),
    torques: Sequence[FloatArray] | None = None,
) -> Fitted:
    """Fit the anchors to pulls of one car on one fuel.

    ``dyno`` is the kind that showed the torque, that of the build where it is empty; ``correction`` the weather factor
    that the log's torque carries.  ``knock_limited`` says that the ignition of the pulls was found at the knock limit
    throughout.  ``torques`` gives the torque of each pull over its speeds [N*m] where the log's own is not to be read.
    Raises InputError where there is nothing to fit to.
    """
    accuracy = accuracy or Accuracy()
    described = filled(build, shop=shop, calibrated=False)
    if torques is not None:
        pulls = [replace(pull, on_speed={**pull.on_speed, "wheel_torque": torque})
                 for pull, torque in zip(pulls, torques, strict=True)]
    points = points_of(pulls, ("wheel_torque", "boost", "lambda"), knock_limited=knock_limited) if pulls else None
    if points is None or points.get("wheel_torque") is None or points.speed.size < LEAST_POINTS:
        raise InputError([Problem("pulls with torque or power at four speeds at least", "none", file="log")])
    kind = _dyno(described, dyno, shop) if at == "wheels" else ""
    prior = _prior(described, points, shop, kind)
    factor = _correction(correction, described, points)
    model = FitModel(described, points, prior.knots, prior.paths, crank=at == "crank", correction=factor)
    names, measured, places = _measured(points, model, prior)
    cover = _Cover(points, names, places, measured, accuracy, _knock_error(described))
    extra = [(loss.crank_power, loss.loss, loss.error) for loss in losses]

    def predicted(rows: FloatArray) -> FloatArray:
        found = model.at(rows)
        parts = [found[name][:, place] for name, place in zip(names, places, strict=True)]
        if extra and at == "wheels":
            fixed, share = (rows[:, prior.place(path)][:, None] for path in LOSSES)
            parts.append(fixed + share * np.array([power for power, _, _ in extra]))
        return np.concatenate(parts, axis=1)

    asked = [*names, "loss"] if extra and at == "wheels" else list(names)
    values = [*measured, *([np.array([loss for _, loss, _ in extra])] if "loss" in asked else [])]
    noise = [*cover.blocks(), *([np.diag([error**2 for _, _, error in extra])] if "loss" in asked else [])]
    bounds = (_ends(LOW, 0.75, prior), _ends(HIGH, 1.15, prior))
    considered = [prior.place(p) for p in ((DYNO,) if "loss" in asked else (DYNO, *LOSSES)) if p in prior.paths]
    found, widened = _settled(predicted, values, noise, prior, bounds, considered)
    left = _Left(predicted, found, asked, values, noise, widened, places)
    return _told(build, described, pulls, points, prior, left, at, kind)


def _dyno(described: Filled, named: str, shop: Shop | None) -> str:
    stated = [described.get(path) for path in ("goal.dyno", "baseline.dyno")]
    kind = named or next((str(i.value) for i in stated if i is not None and i.value), shop.dyno if shop else "")
    if not kind:
        raise InputError([Problem("the kind of dyno that showed the torque: load-controlled, inertia or hub", "nothing",
                                  "Dynos differ by more than a tenth, so say which.", "--dyno", "command line")])
    return kind


def _prior(described: Filled, points: Points, shop: Shop | None, kind: str) -> _Prior:
    """What classes and maker's figures say of the anchors."""
    low, high = float(points.speed.min()), float(points.speed.max())
    count = int(np.clip(round((high - low) / KNOT_STEP) + 1, 1, KNOTS))
    knots = np.linspace(low, high, count) if count > 1 else np.array([0.5 * (low + high)])
    of_maker = anchors(described, STEPS, knots, 0, 1, shop)
    class_factor = described.inputs["class.volumetric_efficiency_factor"]
    level = of_maker["air.anchored_factor"].si.ravel() if "air.anchored_factor" in of_maker else np.full(
        count, _number(class_factor))
    spread = _error(class_factor)
    together = np.exp(-0.5 * ((knots[:, None] - knots[None, :]) / SAME_WAY) ** 2)
    paths = [f"{FILLING_PATH} {k}" for k in range(count)]
    values, variances = list(level), []
    others: list[tuple[str, float, float]] = []
    if kind:
        factor = part_filled({"goal.at": "wheels", "goal.dyno": kind}, ("dynos",))[DYNO]
        inputs = (*(described.inputs[path] for path in LOSSES), factor)
        others += [(i.path, _number(i), _error(i)) for i in inputs]
    cooler = described.get(EFFECTIVENESS)
    boosted = described.inputs["forced_induction.kind"].value != "none"
    if boosted and points.get("charge_temperature") is not None and cooler is not None and _number(cooler) > 0.0:
        efficiency = described.inputs[EFFICIENCY]
        others.append((EFFECTIVENESS, _number(cooler), max(_error(cooler), 0.06)))
        others.append((EFFICIENCY, _number(efficiency), max(_error(efficiency), 0.02)))
    if points.limited.any():
        of_class = described.inputs["class.knock.octane_offset"]
        offset = float(np.ravel(of_maker[OFFSET].si)[0]) if OFFSET in of_maker else _number(of_class)
        carried = _error(described.inputs["class.knock.carried"])
        others.append((OFFSET, offset, float(np.hypot(_error(of_class), carried))))
    for path, value, error in others:
        paths.append(path)
        values.append(value)
        # what is stated to the last digit still has one
        variances.append(max(error, 1e-3 * abs(value), 1e-9) ** 2)
    covariance = np.zeros((len(paths), len(paths)))
    covariance[:count, :count] = spread**2 * (LEVEL_SHARE + (1.0 - LEVEL_SHARE) * together) + 1e-8 * np.eye(count)
    covariance[range(count, len(paths)), range(count, len(paths))] = variances
    return _Prior(tuple(paths), knots, np.array(values, dtype=float), covariance)


def _number(given: Input) -> float:
    assert isinstance(given.value, float | int)
    return float(given.value)


def _error(given: Input) -> float:
    if given.low is None or given.high is None:
        return 0.0
    return (given.high - given.low) / (2.0 * Z95 if given.shape != "uniform" else float(np.sqrt(12.0)))


def _knock_error(described: Filled) -> float:
    return max(_error(described.inputs["class.knock.point_spread"]), 0.3)


def _correction(name: str, described: Filled, points: Points) -> FloatArray:
    """The weather factor at the points."""
    inputs = input_columns(described, points.speed, 0, 1, ("site",))

    def of(channel: str, otherwise: float) -> FloatArray:
        found = points.get(channel)
        return np.full(points.speed.size, otherwise) if found is None else found

    air = of("air_temperature", float(inputs["site.air_temperature"].si.flat[0]))
    humidity = of("air_humidity", float(inputs["site.relative_humidity"].si.flat[0]))
    barometer = of("barometer", float(np.ravel(atmosphere.standard_pressure(inputs["site.altitude"].si))[0]))
    if name not in dyno_physics.CORRECTIONS:
        known = ", ".join(dyno_physics.CORRECTIONS)
        raise InputError([Problem(f"one of {known}", f"`{name}`", key="--correction", file="command line")])
    factor = dyno_physics.CORRECTIONS[name].factor(barometer, atmosphere.vapour_pressure(air, humidity), air)
    return np.array(np.broadcast_to(np.asarray(factor, dtype=float), points.speed.shape))


def _measured(
    points: Points, model: FitModel, prior: _Prior
) -> tuple[tuple[str, ...], list[FloatArray], list[NDArray[np.intp]]]:
    """The channels to fit to, what was measured, and at which points."""
    start = {name: rows[0] for name, rows in model.at(prior.values[None]).items()}
    candidates = {"torque": points.get("wheel_torque"), "air_mass_flow": points.get("air_mass_flow")}
    if EFFECTIVENESS in prior.paths:
        candidates["charge_temperature"] = points.get("charge_temperature")
    if OFFSET in prior.paths:
        # at its limit an engine holds what it asks for
        candidates["knock"] = np.where(points.limited, 0.0, np.nan)
    names, values, places = [], [], []
    for name, measured in candidates.items():
        if measured is None:
            continue
        place = np.flatnonzero(np.isfinite(measured) & np.isfinite(start[name]))
        if place.size:
            names.append(name)
            values.append(measured[place])
            places.append(place)
    if "torque" not in names:
        raise InputError([Problem("torque where the model can be computed", "none", file="log")])
    return tuple(names), values, places


class _Cover:
    """The covariance of each channel: points of their own, a sensor or pull as a whole, and the model's floor."""

    def __init__(
        self, points: Points, names: Sequence[str], places: Sequence[NDArray[np.intp]], measured: Sequence[FloatArray],
        accuracy: Accuracy, knock_error: float,
    ) -> None:
        self.points, self.names, self.places, self.measured = points, names, places, measured
        self.accuracy, self.knock_error = accuracy, knock_error

    def blocks(self) -> list[FloatArray]:
        return [self._block(*each) for each in zip(self.names, self.places, self.measured, strict=True)]

    def _block(self, name: str, place: NDArray[np.intp], measured: FloatArray) -> FloatArray:
        a, speed, pull = self.accuracy, self.points.speed[place], self.points.pull[place]
        together = np.exp(-0.5 * ((speed[:, None] - speed[None, :]) / SAME_WAY) ** 2)
        same_pull = (pull[:, None] == pull[None, :]).astype(float)
        ones = np.ones_like(together)
        own = np.eye(speed.size)
        # a share of little is not less than a share of a third of the most
        size = np.maximum(np.abs(measured), np.abs(measured).max() / 3.0)
        scale = np.outer(size, size)
        if name == "torque":
            block = scale * (
                a.torque**2 * own + a.torque_of_pull**2 * same_pull
                + a.torque_of_model**2 * (LEVEL_SHARE * ones + (1.0 - LEVEL_SHARE) * together)
            )
        elif name == "air_mass_flow":
            block = scale * (a.air**2 * own + a.air_meter**2 * ones)
        elif name == "charge_temperature":
            block = a.charge**2 * own + a.charge_sensor**2 * ones + a.charge_of_model**2 * together
        else:
            # neighbours at the limit tell of the same fault in the model
            block = self.knock_error**2 * (together + 0.1 * own)
        return np.asarray(block)


def _settled(
    predicted: Callable[[FloatArray], FloatArray], values: Sequence[FloatArray], noise: Sequence[FloatArray],
    prior: _Prior, bounds: tuple[FloatArray, FloatArray], considered: Sequence[int],
) -> tuple[Solution, list[float]]:
    """The fit, with the errors of each channel widened, never narrowed, until what is left fits them."""
    widened = [1.0] * len(values)
    everything = np.concatenate(values)
    ends = np.cumsum([0, *(v.size for v in values)])
    found: Solution | None = None
    for _ in range(WIDENINGS):
        whole = _diagonal([block * w**2 for block, w in zip(noise, widened, strict=True)])
        found = solved(predicted, everything, whole, prior.values, prior.covariance, low=bounds[0], high=bounds[1],
                       considered=considered)
        share = found.freedom / everything.size
        after = []
        for k, block in enumerate(noise):
            part = found.residuals[ends[k] : ends[k + 1]]
            left = float(part @ np.linalg.solve(block, part)) / max(part.size * share, 1.0)
            after.append(max(1.0, widened[k], np.sqrt(left)))
        if max(a / w for a, w in zip(after, widened, strict=True)) < 1.02:
            break
        widened = after
    assert found is not None
    return found, widened


def _diagonal(blocks: Sequence[FloatArray]) -> FloatArray:
    size = sum(block.shape[0] for block in blocks)
    whole, at = np.zeros((size, size)), 0
    for block in blocks:
        end = at + block.shape[0]
        whole[at:end, at:end] = block
        at = end
    return whole


def _ends(by_path: Mapping[str, float], filling: float, prior: _Prior) -> FloatArray:
    return np.array([by_path.get(path, filling) for path in prior.paths])


class _Left(NamedTuple):
    """The fit by channel: what was measured, with which errors, at which points."""

    predicted: Callable[[FloatArray], FloatArray]
    found: Solution
    names: Sequence[str]
    values: Sequence[FloatArray]
    noise: Sequence[FloatArray]
    widened: Sequence[float]
    places: Sequence[NDArray[np.intp]]


def _told(
    build: Build, described: Filled, pulls: Sequence[Pull], points: Points, prior: _Prior, left: _Left, at: str,
    kind: str,
) -> Fitted:
    predicted, found, names, values, noise, widened, places = left
    errors, before_errors = (np.sqrt(np.diag(c)) for c in (found.covariance, prior.covariance))
    made = []
    for place, path in enumerate(prior.paths):
        over = path.startswith(FILLING_PATH)
        name = FILLING if over else NAMES[path]
        speed = float(prior.knots[place]) if over else None
        made.append(FittedAnchor(name, FILLING_PATH if over else SINGLE[name], speed, float(found.parameters[place]),
                                 float(errors[place]), float(prior.values[place]), float(before_errors[place]),
                                 UNITS.get(name, "1")))
    before = predicted(prior.values[None])[0]
    residuals, agreement, begin = [], [], 0
    for k, name in enumerate(names):
        part = slice(begin, begin + values[k].size)
        begin = part.stop
        first, last = values[k] - before[part], found.residuals[part]
        agreement.append(Agreement(name, UNIT[name], values[k].size, _rms(first), _rms(last), float(widened[k])))
        if name == "loss":
            continue
        spread = np.sqrt(np.diag(noise[k])) * widened[k]
        residuals += [
            Residual(name, UNIT[name], pulls[points.pull[p]].number, float(points.speed[p]), *map(float, row))
            for p, row in zip(places[k], np.stack([values[k], before[part], values[k] - last, spread], axis=1),
                              strict=True)
        ]
    boost = points.get("boost")
    fuel = [described.get(path) for path in ("fuel.octane", "fuel.ethanol")]
    octane, ethanol = (_number(i) if i is not None and isinstance(i.value, float) else None for i in fuel)
    curve = described.inputs["class.volumetric_efficiency"]
    induction, drive, gearbox = (
        str(i.value) if (i := described.get(path)) is not None and i.basis != "assumed" else "" for path in PARTS
    )
    remarks = list(points.remarks)
    if not found.settled:
        remarks.append("the search did not settle; take the anchors with care")
    remarks += [f"{a.channel}: more is left than was stated, so that its error was multiplied by {a.widened:.1f}"
                for a in agreement if a.widened > 1.05]
    return Fitted(
        build.build, build.engine.family or "", curve.from_class, at, kind, induction, drive, gearbox, tuple(made),
        found.covariance, tuple(residuals), tuple(agreement), (float(points.speed.min()), float(points.speed.max())),
        (0.0, 0.0) if boost is None else (float(np.maximum(boost, 0.0).min()), float(np.maximum(boost, 0.0).max())),
        octane, ethanol, tuple(dict.fromkeys((p.log.file, p.log.digest) for p in pulls)), len(pulls), found.passes,
        found.settled, tuple(remarks),
    )


def _rms(values: FloatArray) -> float:
    return float(np.sqrt(np.mean(values**2)))
