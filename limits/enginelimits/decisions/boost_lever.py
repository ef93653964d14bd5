"""What raises boost on a build, as edits: the boost asked for, scaled as a whole, or the spring that asks for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from enginelimits.description.fields import FaultsError
from enginelimits.description.paths import field, flattened
from enginelimits.description.values import Curve, Value
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.description.filled import Filled
    from enginelimits.description.models import Build

KIND = "forced_induction.kind"
BOOST, SPRING = "forced_induction.boost", "forced_induction.wastegate.spring"
CONTROL = "forced_induction.control.kind"
# No step of the computation takes boost beyond this; a build file may state more.
GREATEST_PA = 400e3
# Scales this close are one: the text of a value would not tell them apart.
SAME = 1e-9


@dataclass(frozen=True)
class BoostLever:
    """The boost of a build as it is asked for, by the paths that ask, and how it is scaled.

    ``spring`` is the greatest pressure under which a gate stays shut, where one is known: less cannot be held.
    """

    asked: tuple[tuple[str, Value | Curve], ...]
    spring_pa: float | None

    @property
    def greatest_pa(self) -> float:
        """The greatest boost asked for at any speed, gauge. [Pa]"""
        return max(v.si for v in _values(self.asked[0][1]))

    @property
    def most(self) -> float:
        """The scale beyond which no formula for boost holds."""
        return GREATEST_PA / max(max(v.si, v.high or 0.0) for _, given in self.asked for v in _values(given))

    def curve(self, scale: float) -> tuple[tuple[float | None, float], ...]:
        """(engine speed [rad/s], boost [Pa]) at a scale; the speed is None where one boost holds for all."""
        given = self.asked[0][1]
        if isinstance(given, Curve):
            return tuple((speed.si, value.si * scale) for speed, value in given)
        return ((None, given.si * scale),)

    def edits(self, scale: float) -> tuple[Mapping[str, Any], ...]:
        """The edits that give this scale; none at 1."""
        if abs(scale - 1.0) < SAME:
            return ()
        return tuple({"set": path, "to": _written(given, scale)} for path, given in self.asked)


def lever_of(build: Build, described: Filled) -> BoostLever:
    """What raises boost on this build.

    Raises InputError where there is nothing to raise: no machine, or no boost stated.
    """
    kind = described.get(KIND)
    if kind is None or kind.value in (None, "none"):
        mend = "Name the machine that is to be fitted, and its boost; without one there is no boost to raise."
        raise InputError([Problem("a turbocharger, centrifugal or positive-displacement machine",
                                  "none" if kind is None or kind.value else "no word of it", mend, KIND, build.file)])
    stated = flattened(build)
    control = described.get(CONTROL)
    on_spring = kind.value == "turbocharger" and control is not None and control.value == "spring"
    # On the spring alone nothing but the spring asks.
    paths = (SPRING, BOOST) if on_spring else (BOOST,)
    asked = tuple((path, given) for path in paths if isinstance(given := stated.get(path), Value | Curve))
    if not asked or max(v.si for v in _values(asked[0][1])) <= 0.0:
        mend = "Only its shape matters: it is scaled as a whole."
        raise InputError([Problem("a boost above zero to raise, such as `8 psi`", "none", mend, paths[0], build.file)])
    spring = stated.get(SPRING)
    held = spring.si if isinstance(spring, Value) and not on_spring and kind.value == "turbocharger" else None
    return BoostLever(asked, held)


def boost_read(text: str, key: str) -> float:
    """A boost as written on the command line, gauge. [Pa]

    Raises InputError.
    """
    kind = field(BOOST)
    assert kind is not None
    try:
        value = kind.read(text)
    except FaultsError as error:
        first = error.faults[0]
        problem = Problem(first.wanted, first.got, first.mend, key, "command line", near=first.near)
        raise InputError([problem]) from None
    assert isinstance(value, Value)
    if value.shape != "point" or value.si <= 0.0:
        raise InputError([Problem("one boost above zero, such as `12 psi`", f"`{text}`", "", key, "command line")])
    return value.si


def _values(given: Value | Curve) -> tuple[Value, ...]:
    return given.values if isinstance(given, Curve) else (given,)


def _written(given: Value | Curve, scale: float) -> Any:
    if isinstance(given, Curve):
        return {f"{speed.si!r} rad/s": _text(value, scale) for speed, value in given}
    return _text(given, scale)


def _text(value: Value, scale: float) -> Any:
    """A value scaled with its range, as the grammar of build files reads it."""
    said: dict[str, str] = {"value": f"{value.si * scale!r} Pa"}
    # At nothing a range has no width left.
    if value.low is not None and value.high is not None and value.low * scale < value.high * scale:
        said |= {"low": f"{value.low * scale!r} Pa", "high": f"{value.high * scale!r} Pa"}
        if value.shape == "uniform":
            del said["value"]
    if value.basis != "documented":
        said["basis"] = value.basis
    return said["value"] if said.keys() == {"value"} else said
