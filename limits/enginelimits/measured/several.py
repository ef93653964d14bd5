"""Several pulls beside each other: how well they repeat, what a change did against noise, where two curves cross.

A change is told apart from noise by Student's interval on a straight line: what was measured is a level, a drift that
grows by the same amount from pull to pull, and the effect of the change.  The drift can be told from the effect only
where the first state was measured again afterwards; without that it is left out, and the report says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.measured.pull import Pull
from enginelimits.measured.student import student_quantile

FloatArray = NDArray[np.float64]

CONFIDENCE = 0.95
# How one pull on one dyno repeats on a day, as a standard deviation; common practice, no source
USUAL, POOR = 0.01, 0.02
RPM = np.pi / 30.0
LEAST_COMMON = 3
State = Literal["before", "changed", "again"]
STATES: Final[tuple[State, ...]] = ("before", "changed", "again")
Word = Literal["more", "less", "not told apart from noise", "cannot be said"]


@dataclass(frozen=True, slots=True)
class Taken:
    """One pull of the several: which log and number, and in which state of the car."""

    file: str
    number: int
    state: State


@dataclass(frozen=True)
class Repeat:
    """How pulls in one state repeat: at each speed, over all speeds, and at the peaks.  Standard deviations are shares
    of the mean; NaN with a single pull.

    ``drift`` is the change of the level from one pull to the next, as a share, with its interval where there are
    three pulls or more.
    """

    state: State
    pulls: int
    mean: FloatArray
    spread: FloatArray
    level_spread: float
    peak_torque: float
    peak_torque_spread: float
    peak_power: float
    peak_power_spread: float
    drift: float
    drift_low: float
    drift_high: float

    @property
    def word(self) -> str:
        """Against what is usual in the trade."""
        if not np.isfinite(self.peak_power_spread):
            return "one pull says nothing of how the next would be"
        if self.peak_power_spread <= USUAL:
            return "repeats well"
        return "repeats as usual" if self.peak_power_spread <= POOR else "repeats poorly"


@dataclass(frozen=True, slots=True)
class Effect:
    """What the change did to one figure, SI: the difference and its interval.

    ``base`` is the first state's mean.  ``assumed`` says that the noise is the trade's and not that of these pulls.
    ``seen_from`` is the least difference that these pulls could have told from noise.
    """

    what: str
    unit: str
    speed: float | None
    base: float
    value: float
    error: float
    low: float
    high: float
    assumed: bool

    @property
    def seen_from(self) -> float:
        return 0.5 * (self.high - self.low)

    @property
    def word(self) -> Word:
        if not np.isfinite(self.low + self.high):
            return "cannot be said"
        if self.low > 0.0:
            return "more"
        return "less" if self.high < 0.0 else "not told apart from noise"


@dataclass(frozen=True, slots=True)
class Crossover:
    """Where the changed curve crosses the first one [rad/s]; ``low`` and ``high`` are where the interval of the
    difference leaves zero on either side.  ``above`` says which of the two gives more above it."""

    speed: float
    low: float
    high: float
    above: State


@dataclass(frozen=True)
class Several:
    """Pulls beside each other on common speeds [rad/s]; torque [N*m] of each in ``curves``, (pulls, speeds)."""

    taken: tuple[Taken, ...]
    names: tuple[str, str]
    speeds: FloatArray
    curves: FloatArray
    repeats: tuple[Repeat, ...]
    level: Effect | None
    peaks: tuple[Effect, ...]
    effects: tuple[Effect, ...]
    drift: Effect | None
    crossovers: tuple[Crossover, ...]
    crossing_unsure: tuple[float, ...]
    confidence: float
    remarks: tuple[str, ...] = ()


def several(
    pulls: Sequence[Pull],
    changed: Sequence[Pull] = (),
    again: Sequence[Pull] = (),
    *,
    names: tuple[str, str] = ("before", "changed"),
    torques: Sequence[FloatArray] | None = None,
    confidence: float = CONFIDENCE,
) -> Several:
    """Compare pulls: ``pulls`` as the car was, ``changed`` after a change, ``again`` back as it was.

    In the order in which they were driven.  ``torques`` gives the torque of each [N*m], over its own speeds, where it
    is not to be read from the log's wheel torque or power; of all pulls in order.  Raises InputError where there is
    nothing to compare.
    """
    every = [*pulls, *changed, *again]
    counts = (len(pulls), len(changed), len(again))
    states: list[State] = [s for s, count in zip(STATES, counts, strict=True) for _ in range(count)]
    if not pulls or len(every) < 2 or (again and not changed):
        raise InputError([Problem("two pulls or more", str(len(every)), file="log")])
    own = torques if torques is not None else [_torque(pull) for pull in every]
    speeds = _common(every, own)
    curves = np.array([_on(pull.speeds, torque, speeds) for pull, torque in zip(every, own, strict=True)])
    present: list[State] = [s for s in STATES if s in states]
    first = np.array([s != "changed" for s in states])
    repeats = tuple(_repeat(s, curves[[x == s for x in states]], speeds, confidence) for s in present)
    taken = tuple(Taken(p.log.file, p.number, s) for p, s in zip(every, states, strict=True))
    made = Several(taken, names, speeds, curves, repeats, None, (), (), None, (), (), confidence)
    if not changed:
        return replace(made, remarks=tuple(_of_repeats(repeats)))
    figures = _Line(first, bool(again), confidence)
    level, drift = figures.effect("mean torque", "N*m", None, curves.mean(axis=1))
    effects = tuple(figures.effect("torque", "N*m", float(at), curves[:, k])[0] for k, at in enumerate(speeds))
    peaks = (
        figures.effect("peak torque", "N*m", None, curves.max(axis=1))[0],
        figures.effect("peak power", "W", None, (curves * speeds).max(axis=1))[0],
    )
    crossovers, unsure = _crossings(speeds, effects)
    remarks = [*_of_repeats(repeats), *figures.remarks]
    return replace(made, level=level, peaks=peaks, effects=effects, drift=drift, crossovers=crossovers,
                   crossing_unsure=unsure, remarks=tuple(remarks))


def _torque(pull: Pull) -> FloatArray:
    torque, power = pull.get("wheel_torque"), pull.get("wheel_power")
    if torque is not None:
        return torque
    if power is not None:
        return np.asarray(power / pull.speeds)
    raise InputError([Problem("torque or power at the wheels", f"pull {pull.number} without either",
                              file=pull.log.file)])


def _common(pulls: Sequence[Pull], torques: Sequence[FloatArray]) -> FloatArray:
    """The speeds that all pulls share, on the grid of the first."""
    known = [pull.speeds[np.isfinite(torque)] for pull, torque in zip(pulls, torques, strict=True)]
    if any(at.size == 0 for at in known):
        raise InputError([Problem("torque in every pull", "a pull without any", file="log")])
    low, high = max(at[0] for at in known), min(at[-1] for at in known)
    grid = known[0][(known[0] >= low - 1e-9) & (known[0] <= high + 1e-9)]
    if grid.size < LEAST_COMMON:
        got = f"{low / RPM:.0f} to {high / RPM:.0f} rpm" if high > low else "none"
        raise InputError([Problem("speeds that all pulls went through", got, file="log")])
    return np.asarray(grid)


def _on(speeds: FloatArray, torque: FloatArray, at: FloatArray) -> FloatArray:
    known = np.isfinite(torque)
    return np.interp(at, speeds[known], torque[known])


def _repeat(state: State, curves: FloatArray, speeds: FloatArray, confidence: float) -> Repeat:
    mean = curves.mean(axis=0)
    level, torque, power = curves.mean(axis=1), curves.max(axis=1), (curves * speeds).max(axis=1)
    count = curves.shape[0]
    drift = low = high = np.nan
    if count >= 3:
        step = np.arange(count) - 0.5 * (count - 1)
        slope = float(step @ level / (step @ step))
        left = level - level.mean() - slope * step
        error = np.sqrt(left @ left / (count - 2) / (step @ step))
        reach = student_quantile(0.5 + 0.5 * confidence, count - 2.0) * error
        drift, low, high = (float(v / level.mean()) for v in (slope, slope - reach, slope + reach))
    return Repeat(
        state, count, mean, _spread(curves, axis=0), float(_spread(level)), float(torque.mean()),
        float(_spread(torque)), float(power.mean()), float(_spread(power)), drift, low, high,
    )


def _spread(values: FloatArray, axis: int = 0) -> FloatArray:
    """Standard deviation of pulls over their mean."""
    if values.shape[axis] < 2:
        return np.full(np.mean(values, axis=axis).shape, np.nan)
    return np.asarray(np.std(values, axis=axis, ddof=1) / np.mean(values, axis=axis))


class _Line:
    """Level, effect and drift by ordinary least squares over the pulls in order."""

    def __init__(self, first: NDArray[np.bool_], returned: bool, confidence: float) -> None:
        order = np.arange(first.size, dtype=float)
        columns = [np.ones(first.size), (~first).astype(float)]
        if returned:
            columns.append(order - order.mean())
        self.design = np.stack(columns, axis=1)
        self.first, self.returned = first, returned
        self.freedom = first.size - len(columns)
        self.covariance = np.linalg.inv(self.design.T @ self.design)
        # without pulls to spare the trade's figure stands in, as a normal deviation
        self.reach = student_quantile(0.5 + 0.5 * confidence, float(self.freedom) if self.freedom > 0 else 1e6)
        self.remarks: list[str] = []
        if not returned:
            self.remarks.append(
                "The first state was not measured again: what drifted meanwhile cannot be told from the effect."
            )
        if self.freedom < 1:
            self.remarks.append(
                f"No pull to spare: noise is taken as {POOR:.0%} of a pull, the upper end of what is usual."
            )

    def effect(self, what: str, unit: str, speed: float | None, values: FloatArray) -> tuple[Effect, Effect | None]:
        found = self.covariance @ self.design.T @ values
        left = values - self.design @ found
        base = float(values[self.first].mean())
        assumed = self.freedom < 1
        noise = POOR * abs(base) if assumed else float(np.sqrt(left @ left / self.freedom))
        errors = noise * np.sqrt(np.diag(self.covariance))

        def told(k: int, words: str) -> Effect:
            value, error = float(found[k]), float(errors[k])
            reach = self.reach * error
            return Effect(words, unit, speed, base, value, error, value - reach, value + reach, assumed)

        return told(1, what), told(2, "drift from one pull to the next") if self.returned else None


def _crossings(speeds: FloatArray, effects: Sequence[Effect]) -> tuple[tuple[Crossover, ...], tuple[float, ...]]:
    """Where the difference changes sign: surely, between speeds at which it is told from noise; and otherwise."""
    value, low, high = (np.array([getattr(e, name) for e in effects]) for name in ("value", "low", "high"))
    sure = [k for k, e in enumerate(effects) if e.word in ("more", "less")]
    found = []
    for i, j in pairwise(sure):
        if value[i] * value[j] < 0.0:
            rising = value[j] > 0.0
            leaving, arriving = (high, low) if rising else (low, high)
            found.append(Crossover(
                _root(speeds, value, i, j), _root(speeds, leaving, i, j), _last_root(speeds, arriving, i, j),
                "changed" if rising else "before",
            ))
    roots = [_root(speeds, value, k, k + 1) for k in range(len(effects) - 1) if value[k] * value[k + 1] < 0.0]
    unsure = tuple(r for r in roots if not any(c.low <= r <= c.high for c in found))
    return tuple(found), unsure


def _root(speeds: FloatArray, values: FloatArray, i: int, j: int) -> float:
    """The first speed from the i-th on at which the values change sign."""
    for k in range(i, j):
        if values[k] * values[k + 1] <= 0.0 and values[k] != values[k + 1]:
            return float(speeds[k] + (speeds[k + 1] - speeds[k]) * values[k] / (values[k] - values[k + 1]))
    return float(speeds[j])


def _last_root(speeds: FloatArray, values: FloatArray, i: int, j: int) -> float:
    return _root(speeds[::-1], values[::-1], speeds.size - 1 - j, speeds.size - 1 - i)


def _of_repeats(repeats: Sequence[Repeat]) -> list[str]:
    told = []
    for r in repeats:
        if np.isfinite(r.drift) and r.drift_low * r.drift_high > 0.0:
            way = "less" if r.drift < 0.0 else "more"
            told.append(f"{r.state}: each pull gave {abs(r.drift):.1%} {way} than the one before; heat does that.")
    return told
