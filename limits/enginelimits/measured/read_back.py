"""A pull read back to the engine: what its torque says of air, pressures and loads, judged by the same rules.

Boost, lambda, charge temperature, exhaust pressure and ignition take the place of what would be computed, wherever the
log holds them.  The filling is scaled, speed by speed and draw by draw, until the crank gives the torque that was
measured; everything else follows as it does in a check.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.collect import assess
from enginelimits.assessment.columns import Column
from enginelimits.assessment.measured import FILLING, LEAST, MOST, Measured
from enginelimits.assessment.results import Assessment
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.judge import judgement_of
from enginelimits.decisions.strength import Kept, strength_anchor, with_strength
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled
from enginelimits.description.models import Build
from enginelimits.errors import InputError, Problem
from enginelimits.measured.log_findings import LogJudgement, log_judgement
from enginelimits.measured.log_ground import LogGround
from enginelimits.measured.names import Dyno
from enginelimits.measured.pull import Pull
from enginelimits.measured.resample import RPM
from enginelimits.measured.wheel import Wheel, crank_power, weather_of, wheel_power, wheel_shown
from enginelimits.physics.numerics.extremes import first_greatest
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.grades import LOG_GRADES, severity

if TYPE_CHECKING:
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

# Every second speed of a pull's grid: 200 rpm, finer than the 250 of a check
EVERY: Final = 2
LEAST_SPEEDS: Final = 4
# Within these a class can be off; beyond, figures and log disagree
FILLING_LOW, FILLING_HIGH = 0.75, 1.15
_NATURAL: Final = "none"


@dataclass(frozen=True)
class Filling:
    """What scale on the class's filling the measured torque took, (1 + samples, speeds), beside the build's own."""

    factor: FloatArray
    predicted: FloatArray

    @property
    def disagrees(self) -> bool:
        """Whether the typical engine would need a filling that no such class has, over a third of the speeds."""
        typical = self.factor[0]
        known = typical[np.isfinite(typical)]
        return bool(known.size and np.mean((known < FILLING_LOW) | (known > FILLING_HIGH)) > 1.0 / 3.0)


@dataclass(frozen=True)
class ReadBack:
    """One pull with all that was made of it.

    ``judgement`` is of the engine as measured, ``log`` of the log by its own rules; ``predicted`` is the assessment of
    the build as described, on the same speeds and in the same air.  ``crank`` is power [W], (1 + samples, speeds).
    ``wheel`` and ``filling`` are None where the log holds no power.  ``lacking`` says what the log could not say.
    """

    pull: Pull
    speeds: FloatArray
    wheel: Wheel | None
    crank: FloatArray | None
    filling: Filling | None
    judgement: Judgement
    log: LogJudgement
    predicted: Assessment
    predicted_wheel: FloatArray | None
    used: tuple[str, ...]
    lacking: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What both kinds of rules found, worst first; those of the log before those of the engine at one grade."""
        every = [*self.log.findings, *self.judgement.findings]
        return tuple(sorted(every, key=lambda f: -severity(f.grade)))

    @property
    def grade(self) -> str:
        """The worse of both verdicts, up to stop."""
        return LOG_GRADES[max(severity(self.log.verdict.grade), severity(self.judgement.verdict.grade))]

    @property
    def complete(self) -> bool:
        """Whether everything that applies could be judged."""
        return self.log.verdict.complete and self.judgement.verdict.complete


def read_back(
    pull: Pull,
    build: Build,
    catalogue: Catalogue,
    *,
    dyno: Dyno | None = None,
    shop: Shop | None = None,
    samples: int = 64,
    seed: int = 1,
    as_of: date | None = None,
    engine: str = "auto",
    anchor: tuple[Kept, ...] | None = None,
    beside: Sequence[Pull] = (),
) -> ReadBack:
    """A pull read back to the engine and judged.  Raises InputError where it does not fit the build.

    ``beside`` are all pulls of the same build that the rules about logs look at, this one among them; ``anchor`` is
    what :func:`strength_anchor` gave for the build, found here without one.
    """
    if anchor is None:
        anchor = strength_anchor(build, catalogue, shop=shop)
    described = with_strength(filled(build, shop=shop), anchor)
    wheel = wheel_power(pull, described, dyno, shop=shop, samples=samples, seed=seed)
    take, remarks = _speeds(pull, described, wheel)
    speeds = pull.speeds[take]
    weather = _weather_columns(pull, described)
    predicted = assess(described, samples=samples, seed=seed, speeds=speeds, shop=shop, measured=Measured(weather))
    columns, used = _measured_columns(pull, take, predicted, weather)
    crank = torque = None
    if wheel is not None:
        crank = crank_power(wheel, samples, seed)[:, take]
        torque = (crank / speeds)[None]
    assessment = assess(
        described, samples=samples, seed=seed, speeds=speeds, shop=shop, measured=Measured(columns, torque)
    )
    evaluation = evaluate(catalogue, AssessmentGround(assessment), engine=engine)
    judgement = judgement_of(assessment, described, catalogue, evaluation, as_of or date.today())
    log = log_judgement(LogGround(tuple(beside) or (pull,), described, predicted), catalogue, engine=engine)
    filling = None if torque is None else _filling(assessment, predicted)
    return ReadBack(
        pull, speeds, wheel, crank, filling, judgement, log, predicted,
        _predicted_wheel(predicted, wheel, samples, seed), used, _lacking(pull, wheel, described),
        (*pull.log.remarks, *pull.remarks, *(wheel.remarks if wheel is not None else ()), *remarks,
         *_barometer_remarks(pull, described),
         *_filling_remarks(filling, assessment)),
    )


def at_site(assessment: Assessment, id: str) -> FloatArray | None:
    """A quantity at the site in every draw, (1 + samples, speeds); None where it is not known."""
    column = assessment.columns.get(id)
    if column is None or column.si is None:
        return None
    shape = (1 + assessment.samples, len(assessment.speeds))
    known = np.where(np.asarray(column.outside) | ~np.asarray(column.applicable, dtype=bool), np.nan, column.si)
    known = known.reshape((1,) * (3 - known.ndim) + known.shape)
    return np.asarray(np.broadcast_to(known[0], shape))


def _speeds(pull: Pull, described: Filled, wheel: Wheel | None) -> tuple[NDArray[np.intp], list[str]]:
    """Which of the pull's speeds are read back: those where power, and boost of an engine with it, are known."""
    good = np.ones(pull.speeds.size, dtype=bool)
    lost = []
    if wheel is not None:
        good &= np.isfinite(wheel.power) & (wheel.power > 0.0)
        lost.append("power")
    boost = None if _kind(described) == _NATURAL else _boost(pull)
    if boost is not None:
        good &= np.isfinite(boost)
        lost.append("boost")
    limiter = described.get("engine.limiter")
    top = float(limiter.value) if limiter is not None and isinstance(limiter.value, float) else np.inf
    within = pull.speeds <= top * 1.02
    remarks = []
    if not within.all():
        remarks.append(f"speeds above the limiter of {top / RPM:.0f} rpm are not read back")
    on_grid = np.zeros(pull.speeds.size, dtype=bool)
    step = pull.speeds[1] - pull.speeds[0] if pull.speeds.size > 1 else 1.0
    on_grid[np.round(pull.speeds / step).astype(int) % EVERY == 0] = True
    take = np.flatnonzero(good & within & on_grid)
    if take.size < LEAST_SPEEDS:
        got = f"{take.size} of {int(on_grid.sum())} speeds where {' and '.join(lost) or 'anything'} is known"
        raise InputError([Problem(f"at least {LEAST_SPEEDS} speeds of pull {pull.number} to read back", got,
                                  "; ".join(pull.remarks[:3]), file=pull.log.file)])
    absent = int((on_grid & within).sum() - take.size)
    if absent:
        remarks.append(f"{absent} of {int((on_grid & within).sum())} speeds are not read back: {' or '.join(lost)} "
                       "is not known there")
    return take, remarks


def _kind(described: Filled) -> str:
    given = described.get("forced_induction.kind")
    return _NATURAL if given is None else str(given.value)


def _boost(pull: Pull) -> FloatArray | None:
    """The channel that tells boost, None without one."""
    boost = pull.get("boost")
    if boost is not None and np.isfinite(boost).any():
        return boost
    # only where it is known counts here, so that manifold pressure alone will do
    return pull.get("manifold_pressure")


def boost_of(pull: Pull, described: Filled) -> FloatArray | None:
    """Boost over the speeds of a pull, gauge: as logged, else manifold pressure over the barometer; None without. [Pa]

    A barometer that is not logged is that of the site's altitude.
    """
    boost, absolute = pull.get("boost"), pull.get("manifold_pressure")
    if boost is not None and np.isfinite(boost).any():
        return boost
    return None if absolute is None else np.asarray(absolute - weather_of(pull, described).barometer[0])


def _barometer_remarks(pull: Pull, described: Filled) -> list[str]:
    altitude = described.get("site.altitude")
    if pull.get("manifold_pressure") is None or {"boost", "barometer"} & pull.on_speed.keys():
        return []
    if altitude is None or not isinstance(altitude.value, float):
        return []
    basis = "assumed" if altitude.basis == "assumed" else "stated"
    return [f"no barometer in the log: boost is manifold pressure over that of the {basis} altitude of "
            f"{altitude.value:.0f} m, good to a few kPa"]


def _weather_columns(pull: Pull, described: Filled) -> dict[str, Column]:
    """The air of the pull where it was logged, as inputs of the assessment."""
    weather = weather_of(pull, described)
    columns: dict[str, Column] = {}

    def put(name: str, value: float, logged: str) -> None:
        columns[name] = Column(np.full((1, 1, 1), value), rests=frozenset((f"log.{logged}",)))

    if "air_temperature" in weather.logged:
        for name in ("site.air_temperature", "ambient.ordinary_temperature"):
            put(name, float(weather.temperature[0]), "air_temperature")
    if "air_humidity" in weather.logged:
        humidity = pull.raw("air_humidity")
        assert humidity is not None
        put("site.relative_humidity", float(np.nanmedian(humidity)), "air_humidity")
    if "barometer" in weather.logged:
        put("ambient.pressure", float(weather.barometer[0]), "barometer")
    return columns


# Channel, what it takes the place of; several where one follows from the other without a step of its own.
_TAKEN: Final[Mapping[str, str]] = {
    "charge_temperature": "air.manifold_temperature",
    "lambda": "fuel.lambda_target",
    "ignition_angle": "ignition.timing",
}


def _measured_columns(
    pull: Pull, take: NDArray[np.intp], predicted: Assessment, weather: Mapping[str, Column]
) -> tuple[dict[str, Column], tuple[str, ...]]:
    """What the log puts in the place of predictions, at the speeds read back."""
    columns = dict(weather)
    used = [name.removeprefix("log.") for column in weather.values() for name in column.rests]

    def put(name: str, values: FloatArray, channel: str) -> None:
        columns[name] = Column(values[None, None, :], rests=frozenset((f"log.{channel}",)))

    barometer = at_site(predicted, "ambient.pressure")
    assert barometer is not None
    site = float(barometer[0, 0])
    if predicted.filled.get("forced_induction.kind") is None or _kind(predicted.filled) == _NATURAL:
        absolute = pull.get("manifold_pressure")
        if absolute is not None and np.isfinite(absolute[take]).all():
            put("air.manifold_pressure", absolute[take], "manifold_pressure")
            used.append("manifold_pressure")
    else:
        boost, channel = pull.get("boost"), "boost"
        if boost is None or not np.isfinite(boost[take]).all():
            absolute, channel = pull.get("manifold_pressure"), "manifold_pressure"
            boost = None if absolute is None else absolute - site
        if boost is not None and np.isfinite(boost[take]).all():
            # what the assessment asks for follows too, so that a turbine's balance is found at it
            whole = np.maximum(boost[take], 0.0)
            put("air.boost", whole, channel)
            put("air.manifold_pressure", whole + site, channel)
            put("forced_induction.boost", whole, channel)
            used.append(channel)
    for channel, name in _TAKEN.items():
        values = pull.get(channel)
        if values is None or not np.isfinite(values[take]).any():
            continue
        known = np.isfinite(values[take])
        if not known.all():
            values = np.array(values)
            values[take] = np.interp(pull.speeds[take], pull.speeds[take][known], values[take][known])
        put(name, values[take], channel)
        used.append(channel)
    exhaust = pull.get("exhaust_pressure")
    if exhaust is not None and np.isfinite(exhaust[take]).all():
        put("exhaust.pressure", exhaust[take] + site, "exhaust_pressure")
        used.append("exhaust_pressure")
    return columns, tuple(dict.fromkeys(used))


def _filling(assessment: Assessment, predicted: Assessment) -> Filling | None:
    shape = (1 + assessment.samples, len(assessment.speeds))

    def of(found: Assessment) -> FloatArray | None:
        column = found.columns.get(FILLING) or found.columns.get("class.volumetric_efficiency_factor")
        if column is None or column.si is None:
            return None
        return np.asarray(np.broadcast_to(np.asarray(column.si, dtype=float), (1, *shape))[0])

    made, own = of(assessment), of(predicted)
    return None if made is None or own is None else Filling(made, own)


def _filling_remarks(filling: Filling | None, assessment: Assessment) -> list[str]:
    if filling is None:
        return []
    typical = filling.factor[0]
    said = []
    if filling.disagrees:
        said.append(
            f"figures and log disagree: the measured torque takes {typical.min():.2f} to {typical.max():.2f} of the "
            f"filling of its class, where {FILLING_LOW} to {FILLING_HIGH} is what such engines have. Displacement, "
            "units, dyno, loss or fuel are not what the build says."
        )
    at_bounds = (typical <= LEAST * 1.0001) | (typical >= MOST * 0.9999)
    if at_bounds.any():
        said.append(f"at {int(at_bounds.sum())} speeds no filling gives the measured torque; what is told there is "
                    "of the nearest")
    return said


def _predicted_wheel(
    predicted: Assessment, wheel: Wheel | None, samples: int, seed: int
) -> FloatArray | None:
    """What this dyno would show of the build as described, without a weather factor, (1 + samples, speeds). [W]"""
    crank = at_site(predicted, "crank.power")
    return None if wheel is None or crank is None else wheel_shown(crank, wheel, samples, seed)


# What a log of a pull should hold, and what it is good for
_WISHED: Final[Sequence[tuple[tuple[str, ...], str]]] = (
    (("boost", "manifold_pressure"), "what boost was made"),
    (("lambda",), "the mixture"),
    (("charge_temperature",), "the temperature of the charge"),
    (("knock_retard", *(f"knock_retard_{n}" for n in range(1, 13))), "whether it knocked"),
    (("ignition_angle",), "how much ignition was run"),
    (("exhaust_temperature",), "what the turbine and valves see"),
    (("exhaust_pressure",), "back pressure before the turbine"),
    (("fuel_pressure", "rail_pressure"), "whether the fuel pressure held"),
    (("oil_pressure",), "whether the oil pressure held"),
    (("barometer",), "the air of that day"),
    (("throttle", "pedal"), "whether the throttle was open throughout"),
)


def _lacking(pull: Pull, wheel: Wheel | None, described: Filled) -> tuple[str, ...]:
    boosted = _kind(described) != _NATURAL
    said = [] if wheel is not None else ["power: no torque, power, roller speed with inertia, or road speed with mass"]
    for channels, of in _WISHED:
        if not boosted and channels[0] in ("boost", "exhaust_pressure"):
            continue
        if not any(name in pull.on_speed for name in channels):
            said.append(f"{channels[0]}: {of}")
    return tuple(said)


def peak(values: Any) -> int:
    """Where the typical row is greatest."""
    return first_greatest(np.asarray(values)[0])
