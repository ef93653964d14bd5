"""A calibration's anchors as columns: drawn together, as their correlation says, and wider where nothing was measured.

Within the speeds and boost that the pulls covered, an anchor has the error of the fit.  Beyond, an error of its own
joins: for the filling it grows in a straight line to the class's whole spread 1500 rpm or 50 kPa of boost away; for
the knock offset it grows to what carrying an offset to other boost may be wrong by at 50 kPa more, and is that at once
on a fuel of another octane or ethanol content.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.sample import Z95, placed_by_strata
from enginelimits.description.calibration import FILLING, FILLING_PATH, KNOCK, SINGLE, Calibration
from enginelimits.description.filled import Filled
from enginelimits.description.knots import knot_weights
from enginelimits.physics.airflow import delivery
from enginelimits.physics.numerics.normal import normal_quantile

FloatArray = NDArray[np.float64]

RPM = np.pi / 30.0
SPEED_REACH, BOOST_REACH = 1500.0 * RPM, 50e3
# A third of the way there is told as measured still
STILL_MEASURED = 1.0 / 3.0
# Numbers of octane, and share of ethanol, that are still the same fuel
SAME_OCTANE, SAME_ETHANOL = 1.0, 0.10
FACTOR, FACTOR_CLASS = "air.anchored_factor", "class.volumetric_efficiency_factor"
OFFSET, SPREAD, CARRIED = "knock.anchored_offset", "knock.anchored_spread", "class.knock.carried"
BOOST = "forced_induction.boost"


def calibrated_columns(
    described: Filled, speeds: FloatArray, samples: int, seed: int, inputs: Mapping[str, Column]
) -> dict[str, Column]:
    """The columns of the anchors that the description takes from its calibration; empty without one."""
    calibration = described.calibration
    if calibration is None:
        return {}
    draws = _drawn(calibration, samples, seed)
    made: dict[str, Column] = {}
    for place, anchor in enumerate(calibration.anchors):
        path = SINGLE.get(anchor.name, "")
        used = described.get(path)
        if used is None or used.source != calibration.source:
            continue
        rows = draws[:, place]
        if used.floor is not None:
            rows = np.maximum(rows, used.floor)
        made[path] = Column(rows[None, :, None], rests=frozenset((path,)))
        if anchor.name == KNOCK:
            made[OFFSET] = made[path]
            made[SPREAD] = _carried(described, calibration, inputs, path)
    if FILLING_PATH in described.inputs:
        made |= _filling(described, calibration, speeds, samples, seed, inputs, draws)
    return made


def calibrated_filling(described: Filled, speeds: FloatArray, samples: int, seed: int) -> Column | None:
    """The anchored factor at other speeds than those of the assessment; None where no calibration gives it."""
    calibration = described.calibration
    if calibration is None or FILLING_PATH not in described.inputs:
        return None
    scale = _over_speed(calibration, speeds, _drawn(calibration, samples, seed))
    return Column(delivery.bounded_anchor(scale[None]), rests=frozenset((FILLING_PATH,)))


def _filling(
    described: Filled, calibration: Calibration, speeds: FloatArray, samples: int, seed: int,
    inputs: Mapping[str, Column], draws: FloatArray,
) -> dict[str, Column]:
    scale = _over_speed(calibration, speeds, draws)[None]
    away = np.minimum(1.0, _distance(speeds, calibration.speed) / SPEED_REACH + _beyond_boost(
        calibration, inputs))
    rests = frozenset((FILLING_PATH,))
    if samples and np.any(away):
        given = described.get(FACTOR_CLASS)
        low, high = (getattr(given, end, None) for end in ("low", "high"))
        spread = 0.0 if low is None or high is None else (high - low) / (2.0 * Z95)
        drawn = _normal("calibration.filling beyond what was covered", samples, seed)
        scale = scale + spread * away * drawn[None, :, None]
    if np.any(away > STILL_MEASURED):
        rests |= {FACTOR_CLASS}
    if np.any(_beyond_boost(calibration, inputs)):
        rests |= {BOOST}
    column = Column(scale, rests=rests)
    step = Step((FACTOR,), delivery.bounded_anchor, {"scale": FILLING_PATH})
    return {
        FILLING_PATH: column,
        FACTOR: Column(delivery.bounded_anchor(scale), rests=rests, step=step, takes={"scale": FILLING_PATH}),
    }


def _over_speed(calibration: Calibration, speeds: FloatArray, draws: FloatArray) -> FloatArray:
    places = [i for i, a in enumerate(calibration.anchors) if a.name == FILLING]
    knots = [at for at, _ in calibration.curve()]
    over: FloatArray = draws[:, places] @ knot_weights(knots, speeds).T
    return over


def _drawn(calibration: Calibration, samples: int, seed: int) -> FloatArray:
    """Rows of all anchors, (1 + samples, anchors): row 0 as they are, the others normal with their correlation."""
    values, errors = (np.array([getattr(a, key) for a in calibration.anchors]) for key in ("value", "error"))
    rows = np.repeat(values[None], 1 + samples, axis=0)
    if samples:
        names = [f"calibration.{a.name}" + (f" {a.speed:.3f}" if a.speed else "") for a in calibration.anchors]
        z = np.stack([_normal(name, samples, seed)[1:] for name in names], axis=1)
        rows[1:] += errors * (z @ _root(calibration.correlation).T)
    return rows


def _root(correlation: tuple[tuple[float, ...], ...]) -> FloatArray:
    """A square root of the correlation; rounding in the file may have left it a hair from one."""
    values, vectors = np.linalg.eigh(np.array(correlation))
    root: FloatArray = vectors * np.sqrt(np.maximum(values, 0.0))
    scaled: FloatArray = root / np.sqrt((root**2).sum(axis=1, keepdims=True))
    return scaled


def _normal(name: str, samples: int, seed: int) -> FloatArray:
    """Standard normal draws by strata; row 0 is none."""
    rows = np.zeros(1 + samples)
    rows[1:] = normal_quantile(placed_by_strata(name, samples, seed))
    return rows


def _distance(at: Any, span: tuple[float, float]) -> Any:
    return np.maximum(0.0, np.maximum(span[0] - at, at - span[1]))


def _beyond_boost(calibration: Calibration, inputs: Mapping[str, Column]) -> Any:
    """How far the boost asked for is above what was covered, as a share of the reach; (1, rows or 1, speeds or 1)."""
    column = inputs.get(BOOST)
    if column is None or not isinstance(column.si, np.ndarray):
        return np.zeros((1, 1, 1))
    return np.maximum(0.0, column.si - calibration.boost[1]) / BOOST_REACH


def _carried(described: Filled, calibration: Calibration, inputs: Mapping[str, Column], path: str) -> Column:
    """What carrying the offset to this boost and fuel may be wrong by, drawn."""
    away = np.minimum(1.0, _beyond_boost(calibration, inputs))
    for name, then, same in (("fuel.octane", calibration.octane, SAME_OCTANE),
                             ("fuel.ethanol", calibration.ethanol, SAME_ETHANOL)):
        now = described.get(name)
        if then is not None and now is not None and isinstance(now.value, float) and abs(now.value - then) > same:
            away = np.ones((1, 1, 1))
    carried = inputs.get(CARRIED)
    whole = np.zeros((1, 1, 1)) if carried is None or carried.si is None else np.asarray(carried.si)
    rests = frozenset((path, CARRIED)) if np.any(away > STILL_MEASURED) else frozenset((path,))
    if np.any(_beyond_boost(calibration, inputs)):
        rests |= {BOOST}
    return Column(away * whole, rests=rests)
