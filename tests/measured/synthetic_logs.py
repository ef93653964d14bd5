"""Invented logs with a known truth: the model run with chosen anchors, driven through pulls in time, with noise.

Nothing here checks anything: tests that read logs, judge them or fit to them begin from what this writes.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import yaml

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled, Input
from enginelimits.description.load import parse_build
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.log import Channel, Log
from enginelimits.measured.pull import Pull

RPM = np.pi / 30.0
ROOT = Path(__file__).parents[2]
GRID = np.arange(2000.0, 7001.0, 250.0) * RPM
FACTOR, CURVE = "class.volumetric_efficiency_factor", "class.volumetric_efficiency"


@dataclass(frozen=True)
class Truth:
    """What the invented car is like.  ``filling`` scales the class's filling: (rpm, factor), linear between.

    None leaves what the build and its classes say.  ``inputs`` sets further inputs, SI, by path.  ``at_knock_limit``
    runs the ignition at the limit wherever it is limited (no reserve), with ``retard`` taken out for knock there.
    """

    filling: tuple[tuple[float, float], ...] = ((2000.0, 1.0), (7000.0, 1.0))
    loss_fixed: float | None = None
    loss_proportional: float | None = None
    dyno_factor: float = 1.0
    knock_offset: float | None = None
    effectiveness: float | None = None
    inputs: Mapping[str, float] = field(default_factory=dict)
    at_knock_limit: bool = False
    retard: float = np.radians(2.0)


# How a channel is written: header, unit, unit over SI and offset; and the noise of a row, in the unit.
FORM: dict[str, tuple[str, str, float, float, float]] = {
    "time": ("Time", "s", 1.0, 0.0, 0.0),
    "engine_speed": ("Engine speed", "rpm", 1.0 / RPM, 0.0, 6.0),
    "throttle": ("Throttle", "%", 100.0, 0.0, 0.1),
    "gear": ("Gear", "", 1.0, 0.0, 0.0),
    "wheel_torque": ("Wheel torque", "N*m", 1.0, 0.0, 1.5),
    "wheel_power": ("Wheel power", "kW", 1e-3, 0.0, 0.8),
    "boost": ("Boost", "psi", 1.0 / 6894.757, 0.0, 0.05),
    "barometer": ("Barometer", "kPa", 1e-3, 0.0, 0.02),
    "air_mass_flow": ("Air meter", "g/s", 1e3, 0.0, 1.0),
    "air_temperature": ("Intake air", "degC", 1.0, -273.15, 0.1),
    "charge_temperature": ("Charge air", "degC", 1.0, -273.15, 0.4),
    "coolant_temperature": ("Coolant", "degC", 1.0, -273.15, 0.1),
    "oil_temperature": ("Oil", "degC", 1.0, -273.15, 0.1),
    "oil_pressure": ("Oil pressure", "bar", 1e-5, 0.0, 0.03),
    "exhaust_pressure": ("Exhaust pressure", "bar", 1e-5, 0.0, 0.01),
    "exhaust_temperature": ("Exhaust gas", "degC", 1.0, -273.15, 3.0),
    "lambda": ("Lambda", "", 1.0, 0.0, 0.004),
    "lambda_target": ("Lambda target", "", 1.0, 0.0, 0.0),
    "fuel_pressure": ("Fuel pressure", "bar", 1e-5, 0.0, 0.02),
    "injector_duty": ("Injector duty", "%", 100.0, 0.0, 0.3),
    "ignition_angle": ("Ignition", "deg", 180.0 / np.pi, 0.0, 0.05),
    "knock_retard": ("Knock retard", "deg", 180.0 / np.pi, 0.0, 0.0),
    "voltage": ("Voltage", "V", 1.0, 0.0, 0.03),
}


@dataclass(frozen=True)
class Faults:
    """What is wrong with a log, each off by default.

    ``dropouts`` is the share of cells left empty; ``wrong_unit`` maps a channel to what its numbers are multiplied by
    while its unit stays as written; ``swapped`` are two channels under each other's header; ``clipped`` maps a channel
    to the SI value at which its sensor ends; ``lifted`` is the number of a pull whose throttle is lifted for half a
    second at two thirds; ``stuck`` names channels that hold their first value.
    """

    dropouts: float = 0.0
    wrong_unit: Mapping[str, float] = field(default_factory=dict)
    swapped: tuple[str, str] | None = None
    clipped: Mapping[str, float] = field(default_factory=dict)
    lifted: int = 0
    stuck: tuple[str, ...] = ()


@dataclass(frozen=True)
class Drive:
    """How it is driven: ``pulls`` from ``first`` to ``last`` rpm in ``seconds`` each, ``rate`` rows a second.

    Each pull after the first finds the charge ``soak`` K warmer and, with ``soak_power`` its share, weaker by so much.
    ``scatter`` is the standard deviation of one pull's torque against the next, as a share.
    """

    pulls: int = 1
    first: float = 2000.0
    last: float = 6900.0
    seconds: float = 9.0
    rest: float = 6.0
    rate: float = 25.0
    soak: float = 0.0
    soak_power: float = 0.0
    scatter: float = 0.0


@dataclass(frozen=True)
class Synthetic:
    """A log as text and as our own types, with what it was made from."""

    text: str
    headers: Mapping[str, tuple[str, str]]  # header -> channel, unit
    log: Log
    pulls: tuple[Pull, ...]
    truth: Truth
    assessment: Assessment
    build_text: str


def build_text(case: str = "small-turbo-1800", **changes: object) -> str:
    """A case's build file; ``changes`` by dotted path with ``__`` for the dot, None to leave a key out."""
    tree = yaml.safe_load((ROOT / "cases" / case / "build.yaml").read_text(encoding="utf-8"))
    for path, value in changes.items():
        *where, last = path.split("__")
        place = tree
        for key in where:
            place = place.setdefault(key, {})
        if value is None:
            place.pop(last, None)
        else:
            place[last] = value
    return yaml.safe_dump(tree, sort_keys=False)


def true_engine(text: str, truth: Truth) -> Filled:
    """The build with the true anchors in the place of classes and maker's figures."""
    of_file = filled(parse_build(text))
    tree = yaml.safe_load(text)
    # without the maker's figures nothing else scales the filling or moves knock
    tree["engine"].pop("standard_output", None)
    tree["calibration"] = "none"
    bare = parse_build(yaml.safe_dump(tree))
    inputs = dict(of_file.inputs)

    def put(path: str, value: float | None) -> None:
        if value is not None:
            inputs[path] = replace(inputs.get(path, Input(path, value)), value=float(value), low=None, high=None,
                                   shape="point", curve=None)

    rpm, factor = zip(*truth.filling, strict=True)
    inputs[FACTOR] = replace(inputs[FACTOR], value=None, low=None, high=None, shape="point",
                             curve=tuple((at * RPM, f) for at, f in zip(rpm, factor, strict=True)))
    put("driveline.loss.fixed", truth.loss_fixed)
    put("driveline.loss.proportional", truth.loss_proportional)
    put("class.knock.octane_offset", truth.knock_offset)
    put("forced_induction.intercooler.effectiveness", truth.effectiveness)
    if truth.at_knock_limit:
        put("ignition.spark_reserve", 0.0)
    for path, value in truth.inputs.items():
        put(path, value)
    return Filled(bare, inputs)


@lru_cache(maxsize=64)
def _assessed(text: str, key: str, speeds: bytes, _truth: _Held) -> Assessment:
    return assess(true_engine(text, _truth.truth), samples=0, speeds=np.frombuffer(speeds))


class _Held:
    """A truth carried past the cache, whose key is its text."""

    def __init__(self, truth: Truth) -> None:
        self.truth = truth

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)


def true_run(text: str, truth: Truth, speeds: np.ndarray = GRID) -> Assessment:
    """The model at the truth."""
    return _assessed(text, repr(truth), np.asarray(speeds, dtype=float).tobytes(), _Held(truth))


def channels_at(text: str, truth: Truth, speeds: np.ndarray = GRID) -> dict[str, np.ndarray]:
    """What sensors would show over speed, without noise, SI: the site's row of the model."""
    found = true_run(text, truth, speeds)
    inputs = found.filled.inputs

    def of(name: str) -> np.ndarray:
        si = np.asarray(found.columns[name].si, dtype=float)
        return np.broadcast_to(si, (*si.shape[:-1], speeds.size)).reshape(-1, speeds.size)[0].copy()

    fixed, share = (float(inputs[f"driveline.loss.{name}"].value) for name in ("fixed", "proportional"))
    power = truth.dyno_factor * (of("crank.power") * (1.0 - share) - fixed)
    limited = of("combustion.spark_retard") > np.radians(0.5)
    data = {
        "wheel_power": power,
        "wheel_torque": power / speeds,
        "boost": of("air.boost"),
        "barometer": of("ambient.pressure"),
        "air_mass_flow": of("air.mass_flow"),
        "air_temperature": of("site.air_temperature"),
        "charge_temperature": of("air.manifold_temperature"),
        "exhaust_pressure": of("exhaust.pressure") - of("ambient.pressure"),
        "exhaust_temperature": of("exhaust.temperature"),
        "lambda": of("fuel.lambda_target"),
        "lambda_target": of("fuel.lambda_target"),
        "ignition_angle": of("combustion.spark_advance"),
        "knock_retard": np.where(limited & truth.at_knock_limit, truth.retard, 0.0),
        "oil_pressure": np.clip(1.2e5 + 550.0 * speeds, None, 4.8e5),
        "coolant_temperature": np.full(speeds.size, 361.0),
        "oil_temperature": 370.0 + 0.01 * speeds,
        "fuel_pressure": 3.0e5 + of("air.boost"),
        "voltage": np.full(speeds.size, 13.9),
    }
    duty = found.columns.get("injector.port_duty")
    if duty is not None and duty.si is not None:
        data["injector_duty"] = of("injector.port_duty")
    return data


def synthetic_log(
    case: str = "small-turbo-1800",
    truth: Truth | None = None,
    *,
    seed: int = 1,
    noise: float = 1.0,
    drive: Drive | None = None,
    faults: Faults | None = None,
    channels: Sequence[str] | None = None,
    text: str | None = None,
    form: Mapping[str, tuple[str, str, float, float, float]] | None = None,
    grid: np.ndarray = GRID,
    delimiter: str = ",",
) -> Synthetic:
    """A log of ``drive`` on the car of ``truth``; ``noise`` multiplies the noise of FORM, ``channels`` keeps some.

    ``form`` overrides how a channel is written, so that the same car can be logged in other units.
    """
    truth, drive, faults = truth or Truth(), drive or Drive(), faults or Faults()
    text = text or build_text(case)
    written = {**FORM, **(form or {})}
    random = np.random.default_rng(seed)
    over = channels_at(text, truth, grid)
    time, speed, throttle, number = _driven(drive, faults)
    data: dict[str, np.ndarray] = {"time": time, "engine_speed": speed, "throttle": throttle}
    data["gear"] = np.where(number >= 0, 4.0, 3.0)
    pulling = number > 0
    for name, values in over.items():
        data[name] = np.interp(speed, grid, values)
    repeat = 1.0 + drive.scatter * random.standard_normal(drive.pulls + 1)
    warmer = np.maximum(number - 1, 0)
    load = np.clip((throttle - 0.2) / 0.8, 0.0, 1.0)
    for name in ("wheel_torque", "wheel_power", "air_mass_flow"):
        data[name] = data[name] * np.where(pulling, repeat[np.maximum(number, 0)], 1.0) * load
        data[name] *= 1.0 - drive.soak_power * warmer
    data["boost"] = data["boost"] * load**2 - 60e3 * (1.0 - load)
    data["charge_temperature"] = data["charge_temperature"] + drive.soak * warmer
    data["exhaust_temperature"] = data["exhaust_temperature"] - 250.0 * (1.0 - load)
    data["lambda"] = np.where(load > 0.5, data["lambda"], 1.0)
    data["lambda_target"] = np.where(load > 0.5, data["lambda_target"], 1.0)
    data["knock_retard"] = np.where(load > 0.5, data["knock_retard"], 0.0)
    shown = {name: values for name, values in data.items() if channels is None or name in (*channels, "time",
                                                                                          "engine_speed")}
    for name in shown:
        _, _, scale, _, spread = written[name]
        shown[name] = shown[name] + noise * spread / scale * random.standard_normal(time.size)
        if name in faults.clipped:
            shown[name] = np.minimum(shown[name], faults.clipped[name])
        if name in faults.stuck:
            shown[name] = np.full(time.size, shown[name][0])
        if faults.dropouts and name not in ("time", "engine_speed"):
            shown[name] = np.where(random.random(time.size) < faults.dropouts, np.nan, shown[name])
    for name, by in faults.wrong_unit.items():
        shown[name] = shown[name] * by
    if faults.swapped is not None:
        one, other = faults.swapped
        shown[one], shown[other] = _as(shown[other], other, one, written), _as(shown[one], one, other, written)
    body = _csv(shown, written, delimiter)
    log = _log(shown, body, written)
    pulls = tuple(_pull(log, n, np.flatnonzero(number == n)) for n in range(1, drive.pulls + 1))
    headers = {written[name][0]: (name, written[name][1]) for name in shown}
    return Synthetic(body, headers, log, pulls, truth, true_run(text, truth, grid), text)


def written_to(folder: Path, made: Synthetic, name: str = "log.csv") -> Path:
    """The log as a file."""
    path = folder / name
    path.write_text(made.text, encoding="utf-8", newline="")
    return path


def _driven(drive: Drive, faults: Faults) -> tuple[np.ndarray, ...]:
    """Time, engine speed, throttle, and the number of the pull of each row: 0 between pulls, -1 while slowing down."""
    step = 1.0 / drive.rate
    rest, pull = (max(int(s * drive.rate), 4) for s in (drive.rest, drive.seconds))
    slow = max(rest // 2, 2)
    speed, throttle, number = [], [], []
    for n in range(1, drive.pulls + 1):
        speed.append(np.full(rest - slow, drive.first))
        throttle.append(np.full(rest - slow, 0.22))
        number.append(np.zeros(rest - slow, dtype=int))
        share = np.linspace(0.0, 1.0, pull)
        # power over mass falls with speed, so that engine speed bends over a little
        speed.append(drive.first + (drive.last - drive.first) * share * (1.12 - 0.12 * share))
        full = np.ones(pull)
        if faults.lifted == n:
            at = int(0.66 * pull)
            full[at : at + max(int(0.5 * drive.rate), 2)] = 0.3
        throttle.append(full)
        number.append(np.full(pull, n))
        speed.append(np.linspace(drive.last, drive.first, slow))
        throttle.append(np.zeros(slow))
        number.append(np.full(slow, -1))
    rows = sum(part.size for part in speed)
    return np.arange(rows) * step, np.concatenate(speed) * RPM, np.concatenate(throttle), np.concatenate(number)


def _as(si: np.ndarray, was: str, now: str, written: Mapping[str, tuple[str, str, float, float, float]]) -> np.ndarray:
    """Numbers as one channel writes them, read as another's."""
    _, _, scale, offset, _ = written[was]
    _, _, other_scale, other_offset, _ = written[now]
    return (si * scale + offset - other_offset) / other_scale


def _csv(
    shown: Mapping[str, np.ndarray], written: Mapping[str, tuple[str, str, float, float, float]], delimiter: str
) -> str:
    out = io.StringIO()
    rows = csv.writer(out, delimiter=delimiter, lineterminator="\n")
    rows.writerow([f"{written[n][0]} [{written[n][1]}]" if written[n][1] else written[n][0] for n in shown])
    columns = [values * written[name][2] + written[name][3] for name, values in shown.items()]
    for row in zip(*columns, strict=True):
        rows.writerow(["" if np.isnan(cell) else f"{cell:.6g}" for cell in row])
    return out.getvalue()


def _log(
    shown: Mapping[str, np.ndarray], body: str, written: Mapping[str, tuple[str, str, float, float, float]]
) -> Log:
    digest = hashlib.sha256(body.encode()).hexdigest()
    channels = {name: Channel(name, values, CHANNELS[name].unit, written[name][0], written[name][1])
                for name, values in shown.items() if name != "time"}
    return Log("synthetic.csv", digest, shown["time"], channels)


def _pull(log: Log, number: int, rows: np.ndarray, step: float = 250.0) -> Pull:
    """A pull on a grid of speeds: the mean of the rows within half a step of each."""
    speed = log.channels["engine_speed"].si[rows]
    at = np.arange(np.ceil(speed.min() / RPM / step) * step, speed.max() / RPM + 1e-6, step) * RPM
    near = np.abs(speed[None, :] - at[:, None]) <= 0.5 * step * RPM
    on_speed = {}
    for name, channel in log.channels.items():
        values = channel.si[rows]
        known = near & np.isfinite(values)[None, :]
        count = known.sum(axis=1)
        # a line through the rows, read at the middle of the bin, so that the ends of a pull are not drawn inward
        on_speed[name] = np.array([
            np.nan if n < 1 else values[k].mean() if n < 3
            else np.polyval(np.polyfit(speed[k] - here, values[k], 1), 0.0)
            for k, n, here in zip(known, count, at, strict=True)
        ])
    on_speed["engine_speed"] = at
    return Pull(log, number, int(rows[0]), int(rows[-1]), at, on_speed, "a line through the rows within 125 rpm")
