"""Whole builds drawn from the models of the build file: every key, in every mixture that the models allow.

What a key may hold is read from the models (its dimension, its bounds, its choices), from the ranges of the formulas
that take it and from the class that would fill it; the few that no class fills have a range here, from memory.  A drawn
build is a mapping from path to value in SI, so that one build can be written in many units and orders.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

import yaml
from hypothesis import strategies as st

from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.columns import names_of
from enginelimits.description.fields import Choice, FieldKind, Several, Text, ThreadText
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.description.models import Build
from enginelimits.description.paths import fields
from enginelimits.description.physical import BySpeed, Count, Octane, Physical, Share, YesNo
from enginelimits.errors import InputError
from enginelimits.physics.numerics.validity import ranges_of
from enginelimits.reference.catalogue import classes, kind, kinds
from enginelimits.units.registry import scale_and_offset
from enginelimits.units.spellings import Spelling, fitting

RPM = math.pi / 30
DEG = math.pi / 180


class Number(NamedTuple):
    """A value in SI, with its 5th and 95th percentile where it is not known sharply."""

    si: float
    low: float | None = None
    high: float | None = None


Stated = Number | int | str | bool | tuple[Any, ...] | Mapping[float, Number]
Drawn = Mapping[str, Stated]
Unit = Callable[[str, Sequence[Spelling]], Spelling]

CORE = ("engine.cylinders", "engine.bore", "engine.stroke", "engine.compression_ratio", "engine.redline")
# Words where the model asks for no choice
WORDS: Mapping[str, tuple[str, ...]] = {
    "engine.family": ("invented",), "internals.rod_bolts.thread": ("M8x1.0", "M9x1.0", "M10x1.25", "3/8-24"),
    "internals.head.thread": ("M10x1.5", "M11x1.5", "M12x1.75", "7/16-20"),
    "internals.rod_bolts.property_class": ("8.8", "10.9", "12.9"),
    "internals.head.property_class": ("8.8", "10.9", "12.9"),
    "oil.grade": ("0W-20", "5W-30", "5W-40", "10W-60"), "oil.category": ("API SP",), "calibration": ("none",),
    "internals.rods.material": tuple(n for n, m in classes("materials").items() if "fatigue_strength" in m.gives),
}  # fmt: skip
# Files that would have to be there, and the name of the build, which is always there
LEFT_OUT = ("build", "forced_induction.compressor.map", "anchors.knock")
# Ranges where no class fills the key; from memory.  Those that grow with the engine are for one litre, SIZED says how.
ORDINARY: Mapping[str, tuple[float, float]] = {
    "goal.power": (40e3, 130e3), "goal.torque": (80.0, 200.0), "baseline.power": (30e3, 60e3),
    "baseline.torque": (65.0, 100.0), "site.altitude": (-100.0, 2500.0), "site.air_temperature": (268.0, 313.0),
    "site.relative_humidity": (0.0, 1.0), "site.hot_day_temperature": (298.0, 320.0),
    "site.calibrated_altitude": (0.0, 1000.0), "site.calibrated_temperature": (283.0, 303.0),
    "engine.standard.compression_ratio": (8.5, 12.0), "internals.rods.big_end_mass": (0.2, 0.45),
    "internals.rod_bolts.preload": (18e3, 45e3), "internals.head.preload": (30e3, 70e3),
    "internals.condition.leak_down": (0.0, 0.3), "internals.condition.compression": (7e5, 15e5),
    "internals.condition.distance": (0.0, 3e8), "forced_induction.boost": (1e4, 1.1e5),
    "forced_induction.compressor.inducer": (0.036, 0.06), "forced_induction.compressor.exducer": (0.05, 0.08),
    "forced_induction.turbine.inducer": (0.042, 0.062), "forced_induction.turbine.exducer": (0.036, 0.055),
    "forced_induction.turbine.housing_ratio": (0.4, 0.9), "forced_induction.turbine.swallowing": (0.05, 0.12),
    "forced_induction.wastegate.spring": (2e4, 9e4), "forced_induction.wastegate.diameter": (0.02, 0.046),
    "forced_induction.supercharger.drive_ratio": (6.0, 11.0),
    "forced_induction.supercharger.displacement_per_rev": (3e-4, 8e-4),
    "forced_induction.supercharger.belt_wrap": (2.0, 4.0), "forced_induction.intercooler.effectiveness": (0.3, 0.92),
    "forced_induction.intercooler.pressure_drop": (5e2, 1.2e4), "forced_induction.oil.feed_pressure": (1.5e5, 5e5),
    "forced_induction.oil.drain_diameter": (0.01, 0.022), "fuel.octane": (88.0, 104.0), "fuel.motor_octane": (80, 92),
    "fuel.gasoline_ethanol": (0.0, 0.15), "fuel.ethanol": (0.0, 0.9), "fuel.methanol": (0.0, 0.15),
    "fuel.blend_octane": (96.0, 110.0), "fuel.lambda_target": (0.74, 1.0),
    "fuel_system.port_injectors.flow": (4e-6, 2e-5), "fuel_system.direct_injection.rail_pressure": (5e6, 3.5e7),
    "fuel_system.direct_injection.flow": (8e-6, 3e-5), "fuel_system.direct_injection.rated_at": (1e7, 1.2e7),
    "fuel_system.direct_injection.share": (0.0, 1.0), "fuel_system.direct_injection.pump_delivery": (1.5e-7, 6e-7),
    "fuel_system.base_pressure": (2.5e5, 4.5e5), "fuel_system.lift_pump.flow": (3e-5, 1.2e-4),
    "fuel_system.lift_pump.at": (2.5e5, 5e5), "fuel_system.lift_pump.voltage": (12.0, 14.0),
    "fuel_system.compatible_ethanol": (0.0, 1.0), "sensors.manifold_pressure_range": (1.05e5, 4e5),
    "sensors.air_meter_range": (0.05, 0.15), "cooling.radiator_capacity.at_difference": (50.0, 80.0),
    "cooling.radiator_capacity.road_speed": (8.0, 40.0), "fuel_system.direct_injection.window": (190 * DEG, 270 * DEG),
    "cooling.radiator_capacity.heat": (2e4, 5e4), "forced_induction.turbine.efficiency": (0.5, 0.75),
    "forced_induction.compressor.efficiency": (0.55, 0.78), "forced_induction.compressor.speed_limit": (440.0, 560.0),
    "vehicle.mass": (700.0, 2400.0), "vehicle.lateral_acceleration": (6.0, 14.0),
    "ignition.timing": (2 * DEG, 32 * DEG), "engine.standard_output.fuel.octane": (91.0, 98.0),
}  # fmt: skip
# Keys that the models refuse for what stands beside them: the smaller of two masses, a rod against its stroke
CONTRADICT = (
    "internals.rods.big_end_mass", "engine.rod_length", "internals.pins.inner_diameter", "fuel.gasoline_ethanol",
    "internals.pins.small_end_width", "internals.pins.length", "fuel.methanol", "fuel.motor_octane",
    "forced_induction.compressor.inducer", "forced_induction.turbine.exducer", "engine.limiter",
    "internals.valves.intake_diameter", "internals.valves.exhaust_diameter", "internals.pins.outer_diameter",
    "forced_induction.supercharger.class",
)  # fmt: skip
SIZED = (
    "goal.", "baseline.", "forced_induction.turbine.swallowing", "forced_induction.supercharger.displacement_per_rev",
    "fuel_system.lift_pump.flow", "sensors.air_meter_range", "cooling.radiator_capacity.heat",
)  # fmt: skip


@cache
def formula_ranges() -> Mapping[str, tuple[float, float]]:
    """Of each input the range that all formulas which take it share."""
    found: dict[str, tuple[float, float]] = {}
    for step in STEPS:
        ranges = ranges_of(step.of)
        for argument, source in step.takes.items():
            for name in names_of(source):
                if argument in ranges:
                    low, high = found.get(name, (-math.inf, math.inf))
                    found[name] = max(low, ranges[argument][0]), min(high, ranges[argument][1])
    return found


@cache
def class_names() -> Mapping[str, tuple[str, ...]]:
    """The names that each `class` key takes."""
    named: dict[str, tuple[str, ...]] = {}
    for name in kinds():
        one = kind(name)
        if one.named_by.endswith(".class"):
            named[one.named_by] = (*named.get(one.named_by, ()), *one.classes)
    return named


# Writing a drawn build down


def first(path: str, fits: Sequence[Spelling]) -> Spelling:
    """The SI unit, as a key's spelling."""
    return fits[0]


def spellings(of: FieldKind) -> tuple[Spelling, ...]:
    """The units that a number of this kind may be written in, all of one meaning."""
    if isinstance(of, Octane):
        return tuple(s for s in fitting(of.unit, of.dimension) if s.kind == of.scales[0])
    if not isinstance(of, Physical):
        return ()
    if isinstance(of, Share):
        return tuple(s for s in fitting(of.unit, of.dimension) if s.text == "%")
    return tuple(s for s in fitting(of.unit, of.dimension) if not s.kind or s.kind == of.kind)


def _number(one: Number, unit: Spelling) -> Any:
    a, b = scale_and_offset(unit)
    texts = [f"{(x - b) / a!r} {unit.text}".removesuffix(" 1") for x in one if x is not None]
    return texts[0] if len(texts) == 1 else {"value": texts[0], "low": texts[1], "high": texts[2]}


def _written(path: str, stated: Stated, unit: Unit) -> Any:
    of = fields()[".".join("*" if step.isdigit() else step for step in path.split("."))]
    if isinstance(stated, Mapping):
        assert isinstance(of, BySpeed)
        fits, speeds = spellings(of.of), fitting("rad/s")
        by = unit(f"{path}.speed", speeds)
        return {_number(Number(s), by): _number(v, unit(path, fits)) for s, v in stated.items()}
    if isinstance(stated, Number):
        return _number(stated, unit(path, spellings(of.of if isinstance(of, BySpeed) else of)))
    if isinstance(stated, tuple):
        return [
            _number(x, unit(path, spellings(of.of))) if isinstance(x, Number) and isinstance(of, Several) else x
            for x in stated
        ]
    if isinstance(stated, str | bool):
        return stated
    return str(stated)


def tree(drawn: Drawn, unit: Unit = first) -> dict[str, Any]:
    """The build file as nested mappings, keys in the order of the drawn paths."""
    root: dict[str, Any] = {"build": "invented"}
    for path, stated in drawn.items():
        *parents, last = path.split(".")
        node = root
        for place, key in enumerate(parents):
            if key.isdigit():
                continue
            if place + 1 < len(parents) and parents[place + 1].isdigit():
                items = node.setdefault(key, [])
                index = int(parents[place + 1])
                items.extend({} for _ in range(index + 1 - len(items)))
                node = items[index]
            else:
                node = node.setdefault(key, {})
        node[last] = _written(path, stated, unit)
    return root


def text(drawn: Drawn, unit: Unit = first) -> str:
    """The build file."""
    return yaml.safe_dump(tree(drawn, unit), sort_keys=False, width=100)


def built(drawn: Drawn) -> Build:
    return parse_build(text(drawn))


def without(drawn: Drawn, *heads: str) -> dict[str, Stated]:
    """The build less all that stands at or under these paths."""
    return {p: v for p, v in drawn.items() if not any(p == h or p.startswith(f"{h}.") for h in heads)}


# Drawing


def _count(path: str, of: Count, cylinders: int) -> st.SearchStrategy[int]:
    usual = {"fuel_system.port_injectors.count": (cylinders, 2 * cylinders), "internals.rod_bolts.count": (2, 2),
             "internals.head.fasteners": (2 * cylinders + 2, 4 * cylinders + 2), "forced_induction.count": (1, 2),
             "forced_induction.supercharger.belt_ribs": (4, 12), "engine.valves_per_cylinder": (2, 4)}  # fmt: skip
    low, high = usual.get(path, (of.floor, of.ceiling))
    return st.integers(max(low, of.floor), min(high, of.ceiling))


@st.composite
def numbers(draw: st.DrawFn, low: float, high: float, ranged: bool = False) -> Number:
    """A number of a range, its ends among them; now and then with percentiles beside it."""
    at = min(low + draw(st.floats(0.0, 1.0)) * (high - low), high)  # the sum may round beyond it
    if ranged and draw(st.integers(0, 4)) == 0:
        half = 0.1 * (high - low)
        return Number(at, max(at - half, low), min(at + half, high))
    return Number(at)


def span(path: str, of: Physical, given: Mapping[str, Any], litres: float, wild: bool) -> tuple[float, float]:
    """From where to where a key is drawn: what its class and half as much again to either side hold, or all that the
    models and the formulas allow."""
    low, high = of.floor, of.ceiling
    bounds = formula_ranges().get(path, (-math.inf, math.inf))
    if wild:
        return max(low, bounds[0]), min(high, bounds[1])
    one = given.get(path)
    if one is not None and one.low is not None:
        half = (one.high - one.low) / 2.0
        usual = one.low - half, one.high + half
    else:
        usual = ORDINARY[path]
        if path.startswith(SIZED):
            usual = usual[0] * litres, usual[1] * litres
    if path == "forced_induction.supercharger.drive_ratio" and given["forced_induction.kind"].value != "centrifugal":
        usual = 1.2, 2.6
    low, high = max(low, usual[0], bounds[0]), min(high, usual[1], bounds[1])
    return (low, high) if low < high else (of.floor, of.ceiling)


@st.composite
def cores(draw: st.DrawFn) -> dict[str, Stated]:
    """The keys that every build has: engines of 0.25 to 0.75 litres a cylinder, no faster than 26 m/s."""
    bore = 0.070 + draw(st.floats(0.0, 1.0)) * 0.032
    stroke = bore * (0.82 + draw(st.floats(0.0, 1.0)) * 0.36)
    redline = min(5200.0 + 200 * draw(st.integers(0, 16)), 60.0 * 26.0 / (2.0 * stroke)) * RPM
    return {
        "engine.cylinders": draw(st.sampled_from([4, 3, 5, 6, 8])), "engine.bore": Number(bore),
        "engine.stroke": Number(stroke), "engine.redline": Number(redline),
        "engine.compression_ratio": Number(8.5 + 3.5 * draw(st.floats(0.0, 1.0))),
    }  # fmt: skip


def _maker(draw: st.DrawFn, core: Mapping[str, Any], litres: float) -> dict[str, Stated]:
    """The maker's figures, which go together."""
    redline = core["engine.redline"].si
    torque, at = litres * (82.0 + 22.0 * draw(st.floats(0.0, 1.0))), redline * draw(st.floats(0.9, 0.98))
    base = "engine.standard_output"
    return {
        f"{base}.torque.value": Number(torque), f"{base}.torque.at": Number(redline * draw(st.floats(0.55, 0.75))),
        f"{base}.power.value": Number(torque * draw(st.floats(0.8, 0.95)) * at), f"{base}.power.at": Number(at),
        f"{base}.rating": draw(st.sampled_from(["ISO 1585", "SAE J1349", "DIN 70020", "gross"])),
    }  # fmt: skip


def _value(draw: st.DrawFn, path: str, of: FieldKind, cylinders: int, span_of: Callable[..., Any]) -> Stated | None:
    if path in class_names():
        return draw(st.sampled_from(class_names()[path]))
    if path in WORDS:
        return draw(st.sampled_from(WORDS[path]))
    if isinstance(of, Choice):
        return draw(st.sampled_from(of.names))
    if isinstance(of, YesNo):
        return draw(st.booleans())
    if isinstance(of, Count):
        return draw(_count(path, of, cylinders))
    if isinstance(of, BySpeed):
        low, high = span_of(path, of.of)
        if draw(st.booleans()):
            return draw(numbers(low, high))
        speeds = sorted(draw(st.sets(st.sampled_from(range(1500, 9001, 500)), min_size=1, max_size=5)))
        return {rpm * RPM: draw(numbers(low, high)) for rpm in speeds}
    if isinstance(of, Several):
        if isinstance(of.of, Choice):
            return tuple(draw(st.lists(st.sampled_from(of.of.names), min_size=1, unique=True)))
        return tuple(draw(numbers(*span_of(path, of.of))) for _ in range(cylinders))
    if isinstance(of, Physical):
        return draw(numbers(*span_of(path, of), ranged=True))
    assert isinstance(of, Text | ThreadText), (path, of)
    return None


@st.composite
def builds(
    draw: st.DrawFn, *, induction: Sequence[str] = ("turbocharger", "turbocharger", "none", "centrifugal",
                                                   "positive-displacement"), least: int = 0, wild: bool = False
) -> dict[str, Stated]:  # fmt: skip
    """A whole build that the models accept, from the bare engine to every key there is.

    ``least`` of ten says how full it is at least; a ``wild`` one takes numbers from all of their range.
    """
    core = draw(cores())
    cylinders = core["engine.cylinders"]
    litres = math.pi / 4 * core["engine.bore"].si ** 2 * core["engine.stroke"].si * cylinders * 1e3
    boosted = draw(st.sampled_from(list(induction)))
    drawn: dict[str, Stated] = {**core, "forced_induction.kind": boosted}
    given = filled(built({**drawn, "engine.injection": "port-and-direct"})).inputs
    keep = draw(st.integers(least, 10))
    if draw(st.integers(0, 9)) < keep:
        drawn |= _maker(draw, core, litres)
    skip = {"none": ("forced_induction",), "turbocharger": ("forced_induction.supercharger",)}.get(
        boosted, ("forced_induction.turbine", "forced_induction.wastegate"))  # fmt: skip

    def span_of(path: str, of: Physical) -> tuple[float, float]:
        return span(path, of, given, litres, wild and draw(st.integers(0, 9)) == 0)

    if boosted != "none":
        drawn["forced_induction.boost"] = _value(draw, "forced_induction.boost", fields()["forced_induction.boost"],
                                                 cylinders, span_of)  # fmt: skip
    for path, of in fields().items():
        if path in drawn or path in LEFT_OUT or "*" in path or path.startswith((*skip, "engine.standard")):
            continue
        if path == "forced_induction.intercooler":
            if draw(st.integers(0, 5)) == 0:
                drawn[path] = "none"
            continue
        if path.startswith("forced_induction.intercooler.") and drawn.get("forced_induction.intercooler") == "none":
            continue
        if draw(st.integers(0, 9)) < keep:
            value = _value(draw, path, of, cylinders, span_of)
            if value is not None:
                drawn[path] = value
    if "engine.limiter" in drawn:
        drawn["engine.limiter"] = Number(core["engine.redline"].si * (1.0 + 0.08 * draw(st.floats(0.0, 1.0))))
    for index in range(draw(st.sampled_from([0, 0, 0, 1, 2])) if boosted != "none" else 0):
        drawn |= {
            f"anchors.knock.{index}.speed": Number((3000 + 1000 * index) * RPM),
            f"anchors.knock.{index}.boost": draw(numbers(2e4, 7e4)),
            f"anchors.knock.{index}.charge_temperature": draw(numbers(300.0, 340.0)),
            f"anchors.knock.{index}.lambda": draw(numbers(0.78, 0.9)),
            f"anchors.knock.{index}.timing": draw(numbers(6 * DEG, 18 * DEG)),
        }  # fmt: skip
    return accepted(drawn)


def accepted(drawn: Drawn) -> dict[str, Stated]:
    """The build less what contradicts what stands beside it, which the models refuse."""
    kept, problems = dict(drawn), [""]
    for _ in range(6):
        try:
            built(kept)
        except InputError as error:
            problems = [str(problem) for problem in error.problems]
            for problem in error.problems:
                assert problem.key in CONTRADICT, problem
                kept = without(kept, problem.key)
            continue
        return kept
    raise AssertionError(f"not accepted: {problems}")
