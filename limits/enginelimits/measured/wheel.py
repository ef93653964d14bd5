"""Power at the wheels out of a pull, and what it means at the crank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.sample import drawn
from enginelimits.decisions.reading import LOSSES, SAME_AS
from enginelimits.description.fill import part_filled
from enginelimits.description.filled import Filled, Input
from enginelimits.errors import InputError, Problem
from enginelimits.measured.names import Dyno
from enginelimits.measured.pull import Pull
from enginelimits.measured.resample import local_fit, on_speeds, smoothed_speed, time_half_width
from enginelimits.physics.airflow import atmosphere
from enginelimits.physics.support import driveline
from enginelimits.physics.support.dyno import CORRECTIONS

if TYPE_CHECKING:
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

DYNO: Final = "class.dyno.factor"
ROAD: Final = "road"
# What a car on the road takes besides speeding up; common practice, no source.
TURNING_SHARE, ROLLING, DRAG_AREA, AIR_DENSITY = 0.05, 0.013, 0.65, 1.18
# How far such a sum may be off either way, slope and wind included
ROUGH: Final = 0.12
GRAVITY: Final = 9.80665


@dataclass(frozen=True, slots=True)
class Weather:
    """Air of the pull: barometer and water in it [Pa], temperature [K], each (1 + samples,); ``logged`` names which
    of them the log held."""

    barometer: FloatArray
    vapour_pressure: FloatArray
    temperature: FloatArray
    logged: tuple[str, ...]


@dataclass(frozen=True)
class Wheel:
    """Power at the wheels over the speeds of a pull [W].

    ``displayed`` is what was shown, with the weather ``correction`` in it; ``power`` is without.  ``dyno`` is the kind
    of dyno or ``road``; ``source`` says in words what it was made from.  ``inputs`` holds loss and dyno factor.
    """

    speeds: FloatArray
    displayed: FloatArray
    power: FloatArray
    dyno: str
    source: str
    correction: str
    factor: float
    factors: Mapping[str, float | None]
    weather: Weather
    inputs: Mapping[str, Input]
    remarks: tuple[str, ...] = ()

    @property
    def torque(self) -> FloatArray:
        """Torque without a weather factor, referred to engine speed. [N*m]"""
        return self.power / self.speeds


def weather_of(pull: Pull, described: Filled, samples: int = 0, seed: int = 1) -> Weather:
    """The air of the pull: as logged, else the site's."""
    logged = []

    def of(name: str, path: str) -> FloatArray:
        values = pull.raw(name)
        if name in pull.on_speed and values is not None and np.isfinite(values).any():
            logged.append(name)
            return np.full(1 + samples, float(np.nanmedian(values)))
        return drawn(described.inputs[path], samples, seed)

    temperature = of("air_temperature", "site.air_temperature")
    humidity = of("air_humidity", "site.relative_humidity")
    if "barometer" in pull.on_speed:
        barometer = of("barometer", "")
    else:
        altitude = drawn(described.inputs["site.altitude"], samples, seed)
        barometer = np.broadcast_to(np.asarray(atmosphere.standard_pressure(altitude), dtype=float), altitude.shape)
    vapour = np.asarray(atmosphere.vapour_pressure(temperature, humidity), dtype=float)
    return Weather(barometer, vapour, temperature, tuple(logged))


def wheel_power(
    pull: Pull,
    described: Filled,
    dyno: Dyno | None = None,
    *,
    shop: Shop | None = None,
    samples: int = 0,
    seed: int = 1,
) -> Wheel | None:
    """Power at the wheels during a pull; None where the log holds nothing that it could be made from.

    By torque or power as displayed, else by torque at the roller, else by the roller's inertia, else roughly by the
    mass of the car.  Raises InputError where the kind of dyno that displayed it is not known.
    """
    dyno = dyno or Dyno()
    made = _displayed(pull) or _roller(pull) or _spun_up(pull, dyno)
    on_road = made is None
    if made is None:
        made = _on_the_road(pull, described)
    if made is None:
        return None
    shown, source, remarks = made
    weather = weather_of(pull, described, samples, seed)
    kind = ROAD if on_road else _kind(dyno, described, shop, pull, spun_up=source.startswith("inertia"))
    correction, said = _correction(dyno, source)
    factors = {name: _factor(name, weather) for name in CORRECTIONS}
    factor = factors[correction]
    if factor is None:
        raise InputError([Problem(f"weather in which {correction} may be used", "other weather in log or build",
                                  "State the correction that the log shows.", "dyno.correction", pull.log.file)])
    inputs = {path: described.inputs[path] for path in LOSSES if path in described.inputs}
    inputs[DYNO] = _dyno_input(kind, described)
    return Wheel(pull.speeds, shown, shown / factor, kind, source, correction, factor, factors, weather, inputs,
                 (*remarks, *said))


def wheel_torques(
    pulls: Sequence[Pull], described: Filled, dyno: Dyno | None = None, *, shop: Shop | None = None
) -> list[FloatArray]:
    """Torque at the wheels of each pull over its own speeds, without a weather factor, so that days compare. [N*m]

    Raises InputError for a pull that holds none.
    """
    found = []
    for pull in pulls:
        wheel = wheel_power(pull, described, dyno, shop=shop)
        if wheel is None:
            raise InputError([Problem("torque or power at the wheels", f"pull {pull.number} without either",
                                      file=pull.log.file)])
        found.append(wheel.torque)
    return found


def crank_power(wheel: Wheel, samples: int, seed: int) -> FloatArray:
    """Power at the flywheel in every draw of loss and dyno, (1 + samples, speeds). [W]"""
    fixed, share, factor = (drawn(wheel.inputs[p], samples, seed)[:, None] for p in (*LOSSES, DYNO))
    return np.asarray(driveline.crank_power_from_display(wheel.power[None, :], fixed, share, factor), dtype=float)


def wheel_shown(crank: FloatArray, wheel: Wheel, samples: int, seed: int) -> FloatArray:
    """What this dyno would show, without a weather factor, of crank power (1 + samples, speeds). [W]"""
    fixed, share, factor = (drawn(wheel.inputs[p], samples, seed)[:, None] for p in (*LOSSES, DYNO))
    return np.asarray(driveline.displayed_power(driveline.roller_power(crank, fixed, share), factor), dtype=float)


_Made = tuple[FloatArray, str, tuple[str, ...]]


def _displayed(pull: Pull) -> _Made | None:
    torque, power = pull.get("wheel_torque"), pull.get("wheel_power")
    if torque is not None and np.isfinite(torque).any():
        return torque * pull.speeds, "torque as displayed times engine speed", ()
    if power is not None and np.isfinite(power).any():
        return power, "power as displayed", ()
    return None


def _roller(pull: Pull) -> _Made | None:
    torque, speed = pull.get("roller_torque"), pull.get("roller_speed")
    if torque is None or speed is None or not np.isfinite(torque * speed).any():
        return None
    return torque * speed, "torque at the roller times its speed", ()


def _spun_up(pull: Pull, dyno: Dyno) -> _Made | None:
    """Inertia of the roller times its speed times the rise of it, which the local parabola gives."""
    if dyno.inertia is None or "roller_speed" not in pull.on_speed:
        return None
    roller = pull.raw("roller_speed")
    assert roller is not None
    power = spin_up_power(pull.time, roller, dyno.inertia, time_half_width(pull.time, _engine_speed(pull)))
    found = _over_engine_speed(pull, power)
    return found, f"inertia of {dyno.inertia:g} kg*m^2 times roller speed times its rise", (
        "a rise amplifies noise: read power from inertia to a few per cent",)


def spin_up_power(time: FloatArray, speed: FloatArray, inertia: float, half_width: float) -> FloatArray:
    """Power that speeds a body up, by a local parabola through its speed over time. [W]

    >>> time = np.linspace(0.0, 10.0, 201)
    >>> speed = np.sqrt(2.0 * 100e3 * (time + 2.0) / 12.0)  # 100 kW into 12 kg*m^2
    >>> bool(abs(spin_up_power(time, speed, 12.0, 0.5)[100] / 100e3 - 1.0) < 1e-3)
    True
    """
    value, slope = local_fit(time, speed, time, half_width)
    return inertia * value * slope


def _engine_speed(pull: Pull) -> FloatArray:
    speed = pull.raw("engine_speed")
    assert speed is not None
    return speed


def _over_engine_speed(pull: Pull, rows: FloatArray) -> FloatArray:
    speed, _ = smoothed_speed(pull.log, pull.first, pull.last)
    return on_speeds(speed, {"power": rows}, pull.speeds)[0]["power"]


def _on_the_road(pull: Pull, described: Filled) -> _Made | None:
    """Speeding up the car, its turning parts, rolling and drag; no slope and no wind."""
    mass = described.get("vehicle.mass")
    speed = pull.raw("road_speed")
    if speed is None or "road_speed" not in pull.on_speed or mass is None or not isinstance(mass.value, float):
        return None
    value, rise = local_fit(pull.time, speed, pull.time, time_half_width(pull.time, _engine_speed(pull)))
    force = mass.value * ((1.0 + TURNING_SHARE) * rise + ROLLING * GRAVITY) + 0.5 * AIR_DENSITY * DRAG_AREA * value**2
    basis = "assumed" if mass.basis == "assumed" else "stated"
    return _over_engine_speed(pull, force * value), f"road speed and a {basis} mass of {mass.value:.0f} kg, roughly", (
        f"a rough figure, +-{100 * ROUGH:.0f} %: slope, wind, load and drag are not known",)


def _kind(dyno: Dyno, described: Filled, shop: Shop | None, pull: Pull, *, spun_up: bool) -> str:
    """The kind of dyno that the log is from: as its names say, else as the build or the shop does."""
    goal, baseline = described.get("goal.dyno"), described.get("baseline.dyno")
    told = [dyno.kind, "inertia" if spun_up else "", "" if goal is None else str(goal.value or ""),
            "" if shop is None else shop.dyno, "" if baseline is None else str(baseline.value or "")]
    found = next((kind for kind in told if kind), "")
    if not found:
        raise InputError([Problem(
            "which kind of dyno displayed this: load-controlled, inertia or hub", "nothing",
            "Dynos differ by more than a tenth. Say `dyno: {kind: ...}` in the file of names, or the shop's own.",
            "dyno.kind", pull.log.file,
        )])
    return found


def _correction(dyno: Dyno, source: str) -> tuple[str, tuple[str, ...]]:
    if "displayed" not in source:
        return "none", ()
    named = SAME_AS.get(dyno.correction, dyno.correction)
    if named:
        return named, ()
    return "none", ("the names say nothing of a weather factor in the figures: taken as without one",)


def _factor(name: str, weather: Weather) -> float | None:
    """The factor of a correction in the typical weather; None where the standard rules it out."""
    correction = CORRECTIONS[name]
    factor = float(np.asarray(
        correction.factor(weather.barometer[0], weather.vapour_pressure[0], weather.temperature[0])))
    return factor if bool(correction.holds(factor)) else None


def _dyno_input(kind: str, described: Filled) -> Input:
    """Display over roller of this dyno, drawn as the assessment draws it."""
    if kind == ROAD:
        return Input(DYNO, 1.0, "1", 1.0 - ROUGH, 1.0 + ROUGH, "split-normal", source="common-practice",
                     note="power from road speed and mass")
    given, goal = described.get(DYNO), described.get("goal.dyno")
    if given is not None and (given.basis == "measured" or (goal is not None and goal.value == kind)):
        return given
    return replace(part_filled({"goal.at": "wheels", "goal.dyno": kind}, ("dynos",))[DYNO], path=DYNO)
