"""One power figure restated: at the crank and at the wheels, on each kind of dyno, under each weather correction.

Every row is made from the same draws of loss, dyno and weather, so that rows move together: a loss that is unknown
widens what is on the other side of it and leaves alone what is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.sample import checked_samples, drawn
from enginelimits.description.fields import FaultsError
from enginelimits.description.fill import part_filled
from enginelimits.description.filled import Input
from enginelimits.description.paths import field
from enginelimits.errors import InputError, Problem
from enginelimits.physics.airflow import atmosphere
from enginelimits.physics.numerics.validity import outside
from enginelimits.physics.support import driveline
from enginelimits.physics.support.dyno import CORRECTIONS

if TYPE_CHECKING:
    from enginelimits.shop import Shop

SAMPLES = 1000
SEED = 1
DYNOS = ("inertia", "load-controlled", "hub")
# The regulation takes over the formula of the standard.
SAME_AS = {"UN R85": "ISO 1585", "ECE R85": "ISO 1585"}
LOSSES = ("driveline.loss.fixed", "driveline.loss.proportional")
WHOLE_LOSS = {
    "driveline.loss.fixed": 'If the percentage is meant to be all of it, say `--loss-fixed "0 kW"`.',
    "driveline.loss.proportional": 'If it is lost at any load alike, say `--loss-proportional "0 %"`.',
}
COMMAND_LINE = "command line"
FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Figure:
    """A power figure as it was given [W], with what it means."""

    written: str
    power: float
    low: float | None
    high: float | None
    at: str
    dyno: str
    correction: str


@dataclass(frozen=True, slots=True)
class Factor:
    """One correction in this weather.  ``beyond`` is the share of the draws in which the standard rules it out."""

    correction: str
    value: float
    low: float
    high: float
    lowest: float
    highest: float
    holds: bool
    beyond: float


@dataclass(frozen=True, slots=True)
class Row:
    """The figure in one of its meanings [W]; ``value`` is None where ``reason`` says why there is none."""

    at: str
    dyno: str
    correction: str
    value: float | None
    low: float | None
    high: float | None
    given: bool
    reason: str = ""


@dataclass(frozen=True)
class Restated:
    """Everything that ``reading`` shows of one figure."""

    figure: Figure
    boost_controlled: bool
    inputs: Mapping[str, Input]
    barometer: float
    vapour_pressure: float
    factors: tuple[Factor, ...]
    rows: tuple[Row, ...]
    samples: int
    seed: int

    def row(self, at: str, dyno: str = "", correction: str = "none") -> Row:
        """The row of that meaning."""
        return next(r for r in self.rows if (r.at, r.dyno, r.correction) == (at, dyno, correction))


def restated(
    stated: Mapping[str, str | None],
    *,
    boost_controlled: bool = True,
    shop: Shop | None = None,
    samples: int = SAMPLES,
    seed: int = SEED,
) -> Restated:
    """A figure in all its meanings.

    ``stated`` holds texts at the paths of a build file: ``goal.power``, ``goal.at``, ``goal.dyno``,
    ``goal.correction``, ``site.*`` and ``driveline.*``; None is left out.  What is left open of site and loss is the
    shop's, else that of a class.  Raises InputError where the figure could mean several things.
    """
    checked_samples(samples)
    given = {path: text for path, text in stated.items() if text is not None}
    given["goal.correction"] = SAME_AS.get(given.get("goal.correction", "none"), given.get("goal.correction", "none"))
    values = _read(given)
    _ask(values, shop)
    inputs = _inputs(values, shop)
    draws = {path: drawn(i, samples, seed) for path, i in inputs.items() if isinstance(i.value, float)}
    weather = _weather(inputs, draws)
    figure = _figure(inputs, given)
    factors = {name: np.asarray(c.factor(*weather), dtype=float) for name, c in CORRECTIONS.items()}
    told = tuple(_factor(name, factors[name], outside(CORRECTIONS[name].factor, _named(weather))) for name in factors)
    crank = _crank(figure, draws, factors)
    rows = tuple(
        _row(figure, at, kind, factor, crank, draws, factors[factor.correction])
        for factor in told
        for at, kind in (("crank", ""), *(("wheels", kind) for kind in DYNOS))
    )
    return Restated(
        figure, boost_controlled, inputs, float(weather[0][0]), float(weather[1][0]), told, rows, samples, seed
    )


def _read(given: Mapping[str, str]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    for path, text in given.items():
        kind = field(path)
        assert kind is not None, path
        try:
            values[path] = kind.read(text)
        except FaultsError as error:
            problems += [
                Problem(f.wanted, f.got, f.mend, OPTIONS[path], COMMAND_LINE, near=f.near) for f in error.faults
            ]
    if problems:
        raise InputError(problems)
    return values


OPTIONS = {
    "goal.power": "POWER",
    "goal.at": "--at",
    "goal.dyno": "--dyno",
    "goal.correction": "--correction",
    "site.altitude": "--altitude",
    "site.air_temperature": "--air-temperature",
    "site.relative_humidity": "--relative-humidity",
    "driveline.drive": "--drive",
    "driveline.gearbox": "--gearbox",
    "driveline.loss.fixed": "--loss-fixed",
    "driveline.loss.proportional": "--loss-proportional",
}


def _ask(values: Mapping[str, Any], shop: Shop | None) -> None:
    """InputError with the questions that a figure leaves open: a guess would be off by a quarter."""
    problems: list[Problem] = []

    def ask(key: str, wanted: str, got: str, mend: str) -> None:
        problems.append(Problem(wanted, got, mend, key, COMMAND_LINE))

    at, kind = values.get("goal.at"), values.get("goal.dyno")
    which = "which kind of dyno shows the figure: load-controlled, inertia or hub"
    if at is None:
        wheels = "" if kind is None else f" A figure of the {kind} dyno itself is `--at wheels`."
        ask("--at", "where the power is meant: crank or wheels", "nothing",
            f"Ask whoever said it; the two differ by a sixth to a third.{wheels}")
    elif at == "wheels" and kind is None:
        own = f" The shop's own is `--dyno {shop.dyno}`." if shop is not None and shop.dyno else ""
        ask("--dyno", which, "nothing", f"Dynos differ by more than a tenth, so ask.{own}")
    elif at == "crank" and kind is not None:
        ask("--dyno", "no dyno beside `--at crank`", f"`{kind}`",
            "What the dyno displayed is `--at wheels`; a crank figure says nothing of a dyno.")
    told = [path for path in LOSSES if path in values]
    open_ = [path for path in LOSSES if path not in values and (shop is None or path not in shop.settings)]
    if told and open_:
        ask(OPTIONS[open_[0]], "both parts of the loss, what is always lost and what grows with power",
            f"`{OPTIONS[told[0]]}` alone", f"{WHOLE_LOSS[open_[0]]} Left out, both are of a class.")
    if problems:
        raise InputError(problems)


def _inputs(values: Mapping[str, Any], shop: Shop | None) -> dict[str, Input]:
    inputs = part_filled(values, ("sites", "drivelines"), shop=shop)
    for kind in DYNOS:
        own = part_filled({"goal.at": "wheels", "goal.dyno": kind}, ("dynos",))["class.dyno.factor"]
        path = f"class.dyno.{kind}"
        inputs[path] = replace(own, path=path)
    kept = ("goal.", "site.altitude", "site.air", "site.relative", "driveline.", "class.dyno.")
    return {path: i for path, i in sorted(inputs.items()) if path.startswith(kept)}


def _weather(inputs: Mapping[str, Input], draws: Mapping[str, FloatArray]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Barometer, water in it and temperature of the air, drawn."""
    temperature, humidity = draws["site.air_temperature"], draws["site.relative_humidity"]
    named = {"temperature_k": temperature[0], "relative_humidity": humidity[0]}
    if np.any(outside(atmosphere.vapour_pressure, named)):
        low, high = (k - 273.15 for k in atmosphere.vapour_pressure.valid["temperature_k"])  # type: ignore[attr-defined]
        got = f"{temperature[0] - 273.15:.0f} degC"
        wanted = f"air between {low:.0f} and {high:.0f} degC, where the water in it is known"
        raise InputError([Problem(wanted, got, key="--air-temperature", file=COMMAND_LINE)])
    barometer = np.broadcast_to(atmosphere.standard_pressure(draws["site.altitude"]), temperature.shape)
    return cast(FloatArray, barometer), np.asarray(atmosphere.vapour_pressure(temperature, humidity)), temperature


def _named(weather: tuple[FloatArray, FloatArray, FloatArray]) -> dict[str, FloatArray]:
    return dict(zip(("barometer_pa", "vapour_pressure_pa", "temperature_k"), weather, strict=True))


def _figure(inputs: Mapping[str, Input], given: Mapping[str, str]) -> Figure:
    power = inputs["goal.power"]
    assert isinstance(power.value, float)
    words = {key: str(inputs[f"goal.{key}"].value) if f"goal.{key}" in inputs else "" for key in ("at", "dyno")}
    return Figure(
        given["goal.power"].strip(), power.value, power.low, power.high, words["at"], words["dyno"],
        str(inputs["goal.correction"].value),
    )


def _factor(name: str, factor: FloatArray, breach: Any) -> Factor:
    correction = CORRECTIONS[name]
    holds = np.asarray(correction.holds(factor)) & ~np.broadcast_to(breach, factor.shape)
    low, high = _ends(factor)
    return Factor(
        name, float(factor[0]), low, high, correction.lowest, correction.highest, bool(holds[0]),
        0.0 if factor.size == 1 else float(1.0 - holds[1:].mean()),
    )


def _crank(figure: Figure, draws: Mapping[str, FloatArray], factors: Mapping[str, FloatArray]) -> FloatArray:
    """Brake power as measured, behind the figure as given."""
    if figure.at == "crank":
        return draws["goal.power"] / factors[figure.correction]
    return np.asarray(
        driveline.crank_power_from_display(
            draws["goal.power"], draws[LOSSES[0]], draws[LOSSES[1]], draws[f"class.dyno.{figure.dyno}"],
            factors[figure.correction],
        )
    )


def _row(
    figure: Figure, at: str, kind: str, factor: Factor, crank: FloatArray, draws: Mapping[str, FloatArray],
    factors: FloatArray,
) -> Row:
    same = (at, kind, factor.correction) == (figure.at, figure.dyno, figure.correction)
    if not factor.holds:
        return Row(at, kind, factor.correction, None, None, None, same, _out_of_range(factor))
    if same:
        return Row(at, kind, factor.correction, figure.power, figure.low, figure.high, True)
    loss = {"fixed_loss_w": draws[LOSSES[0]], "proportional_loss": draws[LOSSES[1]]}
    named = {"crank_power_w": crank[0], **{name: rows[0] for name, rows in loss.items()}}
    if np.any(outside(driveline.roller_power, named)):
        return Row(at, kind, factor.correction, None, None, None, False, "beyond what the formula of the loss is for")
    if at == "crank":
        power = crank * factors
    else:
        roller = driveline.roller_power(crank, **loss)
        power = np.asarray(driveline.displayed_power(roller, draws[f"class.dyno.{kind}"], factors))
    value = float(power[0])
    if value <= 0.0:
        return Row(at, kind, factor.correction, None, None, None, False, "less than the driveline itself takes")
    low, high = _ends(power)
    if high - low <= 1e-9 * value:
        return Row(at, kind, factor.correction, value, None, None, False)
    return Row(at, kind, factor.correction, value, low, high, False)


def _out_of_range(factor: Factor) -> str:
    allowed = f"{factor.lowest:.2f} to {factor.highest:.2f}"
    return f"its factor of {factor.value:.3f} is beyond {allowed}, where it may be used"


def _ends(rows: FloatArray) -> tuple[float, float]:
    """5th and 95th percentile of the draws; the value twice where there are none."""
    if rows.size == 1:
        return float(rows[0]), float(rows[0])
    low, high = np.percentile(rows[1:], (5.0, 95.0))
    return float(low), float(high)
