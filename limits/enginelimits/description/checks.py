"""What no build can state at the same time: contradictions between keys."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

from enginelimits.description.values import Curve, Value

Facts = Mapping[str, Any]

# From memory: engines have rods of 1.4 to 2.3 strokes; a little more room for the unusual.
SHORTEST_ROD = 1.2
LONGEST_ROD = 3.0
# From memory: no limiter stands half as high again as its redline.
HIGHEST_LIMITER = 1.5
# Kinds of forced induction that have classes of their own name
BLOWERS = ("centrifugal", "positive-displacement")


class Contradiction(NamedTuple):
    path: str
    wanted: str
    got: str
    mend: str = ""


def contradictions(facts: Facts) -> list[Contradiction]:
    """Every contradiction in what is stated by path; keys that are missing contradict nothing."""
    return [found for check in _CHECKS for found in check(facts)]


def _number(facts: Facts, path: str) -> Value | None:
    value = facts.get(path)
    return value if isinstance(value, Value) else None


def _rod(facts: Facts) -> Iterator[Contradiction]:
    rod, stroke = _number(facts, "engine.rod_length"), _number(facts, "engine.stroke")
    if rod is None or stroke is None:
        return
    ratio = rod.si / stroke.si
    if ratio < 0.5:
        yield Contradiction(
            "engine.rod_length",
            f"a rod longer than half the stroke of `{stroke.written}`",
            f"`{rod.written}`",
            "The crank could not turn. Measure centre to centre.",
        )
    elif not SHORTEST_ROD <= ratio <= LONGEST_ROD:
        yield Contradiction(
            "engine.rod_length",
            f"{SHORTEST_ROD:g} to {LONGEST_ROD:g} times the stroke of `{stroke.written}`",
            f"`{rod.written}`, which is {ratio:.2f} times",
            "Measure centre to centre, and check both units.",
        )


def _speeds(facts: Facts) -> Iterator[Contradiction]:
    for part in ("engine", "engine.standard"):
        redline, limiter = _number(facts, f"{part}.redline"), _number(facts, f"{part}.limiter")
        if redline is None or limiter is None:
            continue
        if not redline.si * (1.0 - 1e-9) <= limiter.si <= HIGHEST_LIMITER * redline.si:
            yield Contradiction(
                f"{part}.limiter",
                f"a limiter at or above the redline of `{redline.written}`, by at most half",
                f"`{limiter.written}`",
                "If the limiter is meant to be lower, lower the redline with it.",
            )


def _smaller(facts: Facts) -> Iterator[Contradiction]:
    for small, large, why in _ORDERED:
        a, b = _number(facts, small), _number(facts, large)
        if a is not None and b is not None and not a.si < b.si:
            name = large.rpartition(".")[2]
            yield Contradiction(small, f"less than the `{name}` of `{b.written}`", f"`{a.written}`", why)


_ORDERED = (
    ("internals.rods.big_end_mass", "internals.rods.mass", "The rod's mass includes its big end."),
    ("internals.pins.inner_diameter", "internals.pins.outer_diameter", "Are the two swapped?"),
    ("internals.pins.small_end_width", "internals.pins.length", "The pin reaches into both bosses."),
    ("internals.pins.outer_diameter", "engine.bore", ""),
    ("internals.pins.length", "engine.bore", "The pin fits inside the bore."),
    ("internals.valves.intake_diameter", "engine.bore", ""),
    ("internals.valves.exhaust_diameter", "engine.bore", ""),
    (
        "forced_induction.compressor.inducer",
        "forced_induction.compressor.exducer",
        "Air enters a compressor wheel at its smaller end. Are the two swapped?",
    ),
    (
        "forced_induction.turbine.exducer",
        "forced_induction.turbine.inducer",
        "Gas leaves a turbine wheel at its smaller end. Are the two swapped?",
    ),
)


def _ethanol(facts: Facts) -> Iterator[Contradiction]:
    gasoline, tank = _number(facts, "fuel.gasoline_ethanol"), _number(facts, "fuel.ethanol")
    if gasoline is not None and tank is not None and gasoline.si > tank.si * (1.0 + 1e-9):
        yield Contradiction(
            "fuel.gasoline_ethanol",
            f"at most the `ethanol` of what is in the tank, `{tank.written}`",
            f"`{gasoline.written}`",
            "Mixing in ethanol cannot leave less of it than the gasoline held.",
        )
    # Left out, the tank's ethanol is what the gasoline held.
    methanol, held = _number(facts, "fuel.methanol"), tank or gasoline
    if methanol is not None and held is not None and methanol.si + held.si > 1.0 + 1e-9:
        yield Contradiction(
            "fuel.methanol",
            f"with `{held.written}` of ethanol no more than the rest of the tank",
            f"`{methanol.written}`",
            "Both are shares by volume of what is in the tank.",
        )


def _octanes(facts: Facts) -> Iterator[Contradiction]:
    octane, motor = _number(facts, "fuel.octane"), _number(facts, "fuel.motor_octane")
    if octane is None or motor is None or motor.si <= octane.si:
        return
    # A motor octane number above the mean of the two is above the research one too.
    mean = octane.kind == "AKI"
    yield Contradiction(
        "fuel.motor_octane",
        f"at most the {'mean' if mean else 'research octane number'} of `{octane.written}`",
        f"`{motor.written}`",
        "The research octane number is the greater of the two." if mean else "Are the two swapped?",
    )


def _boost(facts: Facts) -> Iterator[Contradiction]:
    boost = facts.get("forced_induction.boost")
    if facts.get("forced_induction.kind") != "none" or boost is None:
        return
    greatest = max(v.si for v in boost.values) if isinstance(boost, Curve) else boost.si
    if greatest > 0.0:
        yield Contradiction(
            "forced_induction.boost",
            "no boost where `forced_induction.kind` is none",
            "a boost above zero",
            "Name the kind, or leave the boost out.",
        )


def _blower(facts: Facts) -> Iterator[Contradiction]:
    path = "forced_induction.supercharger.class"
    kind, named = facts.get("forced_induction.kind"), facts.get(path)
    if kind in BLOWERS and named in BLOWERS and kind != named:
        yield Contradiction(
            path,
            f"a class of blower that is `{kind}`, as `forced_induction.kind` says",
            f"`{named}`",
            "Change the one that is wrong, or leave the class out.",
        )


def _cylinders(facts: Facts) -> Iterator[Contradiction]:
    cylinders = _number(facts, "engine.cylinders")
    if cylinders is None:
        return
    count = int(cylinders.si)
    for path in ("internals.condition.leak_down", "internals.condition.compression"):
        values = facts.get(path)
        if isinstance(values, tuple) and len(values) != count:
            yield Contradiction(path, f"one value for each of {count} cylinders", f"{len(values)}")


def _rated(facts: Facts) -> Iterator[Contradiction]:
    base = "engine.standard_output"
    power, speed = _number(facts, f"{base}.power.value"), _number(facts, f"{base}.power.at")
    torque = _number(facts, f"{base}.torque.value")
    if power is None or speed is None or torque is None:
        return
    implied = power.si / speed.si
    # Makers round both figures; two percent covers it (common practice, no source).
    if implied > 1.02 * torque.si and not math.isclose(implied, torque.si):
        yield Contradiction(
            f"{base}.torque.value",
            f"a greatest torque of at least {implied:.0f} N*m, which `{power.written}` at "
            f"`{speed.written}` needs",
            f"`{torque.written}`",
            "Check the units of both figures.",
        )


_CHECKS: tuple[Callable[[Facts], Iterator[Contradiction]], ...] = (
    _rod,
    _speeds,
    _smaller,
    _ethanol,
    _octanes,
    _boost,
    _blower,
    _cylinders,
    _rated,
)
