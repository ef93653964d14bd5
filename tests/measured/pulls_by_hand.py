"""Pulls typed by hand: an invented build and channels as arrays, with no file, no filter and no noise."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache

import numpy as np

from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled
from enginelimits.description.load import parse_build
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.log import Channel, Log
from enginelimits.measured.log_ground import LogGround
from enginelimits.measured.pull import Pull
from enginelimits.rules.catalogue import Catalogue, load_catalogue

RPM = np.pi / 30.0
KPA, DEG = 1e3, np.pi / 180.0
PSI = 6894.757293168  # Pa, from the pound of 0.45359237 kg, standard gravity and the inch of 25.4 mm
ZERO = 273.15
GRID = np.arange(2000.0, 7001.0, 50.0)  # rpm

BUILD = """
build: invented for tests of logs
goal: {power: 280 hp, at: crank}
engine:
  {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.5, redline: 7000 rpm, injection: port-and-direct}
forced_induction:
  kind: turbocharger
  boost: 60 kPa_g
  control: {kind: closed-loop}
  compressor: {exducer: 60 mm, speed_limit: 520 m/s}
  wastegate: {spring: 40 kPa_g}
fuel: {lambda_target: 0.80, ethanol: 85 %}
fuel_system: {regulator: boost-referenced, base_pressure: 3 bar}
driveline: {gearbox: manual}
sensors: {manifold_pressure_range: 2.5 bar_a, air_meter_range: 250 g/s}
"""

Made = float | Sequence[float] | Callable[[np.ndarray], np.ndarray]


def build(text: str = BUILD, **swapped: str) -> Filled:
    """The invented build, with words of its file put in the place of others: `old` to `new` by pairs."""
    for pair in swapped.values():
        old, new = pair.split(" => ")
        assert old in text, old
        text = text.replace(old, new)
    return filled(parse_build(text))


def pull(
    channels: Mapping[str, Made], *, rpm: np.ndarray = GRID, seconds: float = 6.0, number: int = 1,
    file: str = "day.csv",
) -> Pull:
    """A pull at an even rate; a channel is one number, an array over ``rpm``, or made from it.  SI throughout."""
    speeds = np.asarray(rpm, dtype=float) * RPM
    time = seconds * (speeds - speeds[0]) / (speeds[-1] - speeds[0])
    made: dict[str, np.ndarray] = {"engine_speed": speeds}
    for name, values in channels.items():
        assert name in CHANNELS, name
        array = values(np.asarray(rpm, dtype=float)) if callable(values) else np.asarray(values, dtype=float)
        made[name] = np.broadcast_to(array, speeds.shape).astype(float)
    held = {name: Channel(name, si, CHANNELS[name].unit, name, CHANNELS[name].unit) for name, si in made.items()}
    log = Log(file, file, time, held)
    return Pull(log, number, 0, speeds.size - 1, speeds, made, "none")


def over(*points: tuple[float, float]) -> Callable[[np.ndarray], np.ndarray]:
    """Straight lines between (rpm, value) points, level beyond them."""
    at, values = np.array(points).T
    return lambda rpm: np.interp(rpm, at, values)


def read(
    channels: Mapping[str, Made], *, described: Filled | None = None, **how: object
) -> LogGround:
    """One pull as a ground."""
    return LogGround([pull(channels, **how)], described or build())  # type: ignore[arg-type]


def at(ground: LogGround, id_: str, rpm: float, row: int = 0) -> float:
    """What a quantity is at a speed; NaN where unknown, None-like infinity where it means nothing."""
    reading = ground.columns[id_]
    assert reading.si is not None, reading.missing
    place = int(np.argmin(np.abs(ground.speeds - rpm * RPM))) if reading.si.shape[-1] > 1 else 0
    return float(reading.si[row, 0, place]) if reading.applicable[row, 0, place] else np.inf


@cache
def catalogue() -> Catalogue:
    return load_catalogue()
