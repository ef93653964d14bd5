"""Kinds of field that hold numbers: physical values, shares, ratios, counts, octane, values by speed."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, ClassVar

from enginelimits.description.fields import (
    Fault,
    FaultsError,
    FieldKind,
    basis_of,
    either,
    known_keys,
    note_of,
    text_of,
)
from enginelimits.description.values import Basis, Chance, Curve, Value
from enginelimits.units.constants import FUEL_PER_POUND_AN_HOUR
from enginelimits.units.display import shown_number
from enginelimits.units.grammar import GrammarError, Shape, Written, excerpt, parse_number, split
from enginelimits.units.registry import scale_and_offset
from enginelimits.units.spellings import SPELLINGS, Spelling, fitting, spelling

_VALUE_KEYS = ("value", "low", "high", "basis", "note")
# From memory: fuels that a pound an hour is quoted for have 0.69 to 0.75 kg/L.
_POUND_SPREAD = 0.04
_SI = {s.dimension: s.si for s in SPELLINGS}
_ARTICLE = {"a": "an", "e": "an", "i": "an", "o": "an"}


@dataclass(frozen=True)
class Physical(FieldKind):
    """A number with a unit of one dimension, within bounds [SI] that no real one leaves.

    ``such_as`` is an example for messages.  ``kind`` is the reference of a pressure.  ``pounds`` also takes a
    fuel flow in lb/h, by the trade's 10.5 cc/min.
    """

    dimension: str
    floor: float
    ceiling: float
    such_as: str
    kind: str = ""
    pounds: bool = False

    @property
    def unit(self) -> str:  # type: ignore[override]
        return _SI[self.dimension]

    @property
    def wanted(self) -> str:
        name = self.dimension if not self.kind else f"{self.kind} pressure"
        if self.kind == "difference":
            name = "pressure difference"
        return f"{_ARTICLE.get(name[0], 'a')} {name} such as `{self.such_as}`"

    def read(self, raw: Any) -> Value:
        if isinstance(raw, Value):
            return self._bounded(raw, "")
        if isinstance(raw, Mapping):
            return self._from_mapping(raw)
        if not isinstance(raw, str):
            raise FaultsError(Fault((), self.wanted, "a list"))
        return self._from_text(raw)

    # One written form after another; each ends in a Value whose ends have been checked.

    def _from_text(self, raw: str) -> Value:
        try:
            written = split(raw)
        except GrammarError as error:
            mend = error.mend or "Write one number, and nothing beside it but its unit."
            raise FaultsError(Fault((), self.wanted, excerpt(raw), mend)) from None
        unit = self._unit_of(written, raw)
        return self._bounded(self._converted(written, unit, raw), written.unit)

    def _from_mapping(self, raw: Mapping[str, Any]) -> Value:
        known_keys(raw, _VALUE_KEYS)
        faults: list[Fault] = []
        parts: dict[str, Value] = {}
        for key in ("value", "low", "high"):
            if key in raw:
                try:
                    if not isinstance(raw[key], str):
                        raise FaultsError(Fault((), self.wanted, "a list or mapping"))
                    parts[key] = self._from_text(raw[key])
                    if key != "value" and parts[key].shape != "point":
                        raise FaultsError(Fault((), "one number", excerpt(raw[key])))
                except FaultsError as error:
                    faults += [f._replace(at=(key, *f.at)) for f in error.faults]
        try:
            basis, note = basis_of(raw, "documented"), note_of(raw)
        except FaultsError as error:
            raise FaultsError(*faults, *error.faults) from None
        if faults:
            raise FaultsError(*faults)
        written = " ".join(f"{k}: {raw[k]}" for k in ("value", "low", "high") if k in raw)
        return replace(_joined(parts, self.wanted), basis=basis, note=note, written=written)

    def _unit_of(self, written: Written, raw: str) -> Spelling:
        if not written.unit:
            mend = f"Add the unit: {either(self._fits())}."
            raise FaultsError(Fault((), self.wanted, f"{excerpt(raw)} without a unit", mend))
        try:
            unit = spelling(written.unit, self.unit, self.dimension)
        except GrammarError as error:
            got = f"{excerpt(raw)}, whose unit is not accepted"
            fits = self._fits()
            pounds = difflib.get_close_matches(written.unit.lower(), ("lb/h",), n=1) if self.pounds else []
            told = tuple(dict.fromkeys(name for name in (*pounds, *error.near) if name in fits))
            raise FaultsError(Fault((), self.wanted, got, f"Accepted here: {', '.join(fits)}.", told)) from None
        if self.pounds and unit.text == "lb/h":
            return unit
        if unit.dimension != self.dimension:
            is_a = f"{_ARTICLE.get(unit.dimension[0], 'a')} {unit.dimension}"
            raise FaultsError(
                Fault((), self.wanted, f"{excerpt(raw)}, which is {is_a}", self._other_mend(unit))
            )
        if not self._agrees(unit):
            raise FaultsError(
                Fault((), self.wanted, f"{excerpt(raw)}, which is {unit.kind}", self._kind_mend())
            )
        return unit

    def _agrees(self, unit: Spelling) -> bool:
        return not unit.kind or unit.kind == self.kind

    def _fits(self) -> list[str]:
        """The units that this field takes."""
        fits = [s.text for s in fitting(self.unit, self.dimension) if s.text != "1" and self._agrees(s)]
        return [*fits, "lb/h"] if self.pounds else fits

    def _other_mend(self, unit: Spelling) -> str:
        if self.dimension == "temperature difference":
            return "A difference is written in K; 1 K is 1.8 degF of difference."
        if self.dimension == "torque" and unit.dimension == "energy":
            return "Torque is written in N*m, energy in J."
        if self.dimension == "mass" and unit.dimension == "force":
            return "Mass is written in g, kg or lb."
        if self.dimension == "force" and unit.dimension == "mass":
            return "Force is written in N, kN or lbf."
        return f"Accepted here: {', '.join(self._fits())}."

    def _kind_mend(self) -> str:
        if self.kind == "gauge":
            return "Give it above the site barometer: subtract the barometric pressure."
        if self.kind == "absolute":
            return "Give it from vacuum: add the barometric pressure."
        return "A difference has no reference: write plain bar, psi or kPa."

    def _converted(self, written: Written, unit: Spelling, raw: str) -> Value:
        a, b = scale_and_offset(unit)
        note = ""
        if self.pounds and unit.text == "lb/h":
            a, b = FUEL_PER_POUND_AN_HOUR, 0.0
            note = "1 lb/h read as 10.5 cc/min, which holds for fuel of 0.72 kg/L"
        si, low, high, shape = written.typical * a + b, written.low, written.high, written.shape
        low = None if low is None else low * a + b
        high = None if high is None else high * a + b
        if note and shape == "point":
            low, high, shape = si * (1.0 - _POUND_SPREAD), si * (1.0 + _POUND_SPREAD), "split-normal"
        return Value(si, low, high, shape, self.unit, self.kind or unit.kind, "documented", raw.strip(), note)

    def _bounded(self, value: Value, unit: str) -> Value:
        """The value, if its median and its ends lie within the bounds.

        A split normal's ends are percentiles that the bounds cut, so only its middle must lie within them.
        """
        checked = [value.si] if value.shape == "split-normal" else [value.si, value.low, value.high]
        # A part in 1e9, or a bound written in another unit would refuse itself.
        slack = 1e-9 * max(abs(self.floor), abs(self.ceiling))
        for number in checked:
            if number is not None and not self.floor - slack <= number <= self.ceiling + slack:
                least, most = self._bound(self.floor, unit), self._bound(self.ceiling, unit)
                wanted = f"{self.wanted}, from {least} to {most}"
                asked = bool(unit) and unit != "%" and number > 0.0
                mend = "Is the unit the one that was meant?" if asked else ""
                raise FaultsError(Fault((), wanted, excerpt(value.written or number), mend))
        return value

    def _bound(self, si: float, unit: str) -> str:
        if not unit:
            return shown_number(si, 4)
        found = spelling(unit, self.unit, self.dimension)
        if found.dimension != self.dimension:
            a, b = FUEL_PER_POUND_AN_HOUR, 0.0
        else:
            a, b = scale_and_offset(found)
        return f"{shown_number((si - b) / a, 4)} {unit}"


@dataclass(frozen=True)
class Share(Physical):
    """A percentage; a bare number would leave open whether 0.3 is a third or a third of a percent."""

    dimension: str = "number"
    floor: float = 0.0
    ceiling: float = 1.0
    such_as: str = "45 %"

    @property
    def wanted(self) -> str:
        return f"a share such as `{self.such_as}`"


@dataclass(frozen=True)
class Ratio(Physical):
    """A number without a unit; a percentage means its hundredth."""

    dimension: str = "number"
    floor: float = 0.0
    ceiling: float = 1.0
    such_as: str = "0.7"

    @property
    def wanted(self) -> str:
        return f"a plain number such as `{self.such_as}`"

    def _unit_of(self, written: Written, raw: str) -> Spelling:
        return super()._unit_of(written, raw) if written.unit else spelling("1")

    def _other_mend(self, unit: Spelling) -> str:
        return "This has no unit."


RATIO = Ratio()


@dataclass(frozen=True)
class Count(FieldKind):
    """A whole number."""

    floor: int
    ceiling: int
    unit: ClassVar[str] = "1"
    dimension: ClassVar[str] = "number"
    kind: ClassVar[str] = ""

    def read(self, raw: Any) -> Value:
        wanted = f"a whole number from {self.floor} to {self.ceiling}"
        basis: Basis = "documented"
        note = ""
        if isinstance(raw, Mapping):
            known_keys(raw, ("value", "basis", "note"))
            basis, note, raw = basis_of(raw, basis), note_of(raw), raw.get("value", "")
        text = text_of(raw, wanted)
        try:
            number = parse_number(text)
        except GrammarError as error:
            raise FaultsError(Fault((), wanted, error.got, error.mend)) from None
        if number != int(number) or not self.floor <= number <= self.ceiling:
            raise FaultsError(Fault((), wanted, excerpt(text)))
        return Value(number, unit="1", basis=basis, written=text.strip(), note=note)


@dataclass(frozen=True)
class Octane(Physical):
    """An octane number, always with its scale."""

    dimension: str = "octane number"
    floor: float = 70.0
    ceiling: float = 125.0
    such_as: str = "98 RON"
    scales: tuple[str, ...] = ("RON", "AKI")

    @property
    def wanted(self) -> str:
        return f"an octane number in {either(self.scales)}, such as `{self.such_as}`"

    def _agrees(self, unit: Spelling) -> bool:
        return unit.kind in self.scales

    def _kind_mend(self) -> str:
        return f"Write it in {either(self.scales)}."


@dataclass(frozen=True)
class BySpeed(FieldKind):
    """A value, or values by engine speed."""

    of: Physical

    @property
    def unit(self) -> str:  # type: ignore[override]
        return self.of.unit

    def read(self, raw: Any) -> Value | Curve:
        if not isinstance(raw, Mapping) or any(key in _VALUE_KEYS for key in raw):
            try:
                return self.of.read(raw)
            except FaultsError as error:
                raise FaultsError(*error.faults) from None
        if not raw:
            raise FaultsError(Fault((), f"{self.of.wanted}, or such values by speed", "an empty mapping"))
        faults: list[Fault] = []
        points: list[tuple[Value, Value]] = []
        for key, text in raw.items():
            try:
                points.append((self._speed(key), self.of.read(text)))
            except FaultsError as error:
                faults += [f._replace(at=(key, *f.at)) for f in error.faults]
        points.sort(key=lambda point: point[0].si)
        for (before, _), (after, _) in pairwise(points):
            if after.si - before.si < 1e-6:
                faults.append(Fault((after.written,), "each speed once", f"`{after.written}` again"))
        if faults:
            raise FaultsError(*faults)
        return Curve(tuple(s for s, _ in points), tuple(v for _, v in points))

    def _speed(self, key: str) -> Value:
        speed = ENGINE_SPEED.read(key)
        if speed.shape != "point":
            raise FaultsError(Fault((), "one speed", excerpt(key)))
        return speed


ENGINE_SPEED = Physical("speed of rotation", 10.0, 2200.0, "7200 rpm")


@dataclass(frozen=True)
class YesNo(FieldKind):
    """True or false, or `{probability: 0.3}` where it is not known."""

    unit: ClassVar[str] = "yes-no"

    def read(self, raw: Any) -> bool | Chance:
        wanted = "`true` or `false`, or `{probability: 0.3}` if it is not known"
        if isinstance(raw, Mapping):
            known_keys(raw, ("probability", "basis", "note"))
            if "probability" not in raw:
                raise FaultsError(Fault((), wanted, "a mapping without `probability`"))
            number = RATIO.read(raw["probability"]).si
            return Chance(number, basis_of(raw, "assumed"), note_of(raw))
        text = text_of(raw, wanted).strip()
        if text.lower() in ("true", "yes"):
            return True
        if text.lower() in ("false", "no"):
            return False
        raise FaultsError(Fault((), wanted, excerpt(text)))


def _joined(parts: Mapping[str, Value], wanted: str) -> Value:
    """One value of `value`, `low` and `high`."""
    value, low, high = parts.get("value"), parts.get("low"), parts.get("high")
    if value is not None and low is None and high is None:
        return value
    if low is None or high is None:
        if value is None:
            raise FaultsError(Fault((), f"{wanted} under `value`, or `low` and `high`", "neither"))
        raise FaultsError(Fault((), "`low` and `high`, both or neither", "one of them"))
    if not low.si < high.si:
        raise FaultsError(Fault(("low",), "`low` below `high`", f"`{low.written}` and `{high.written}`"))
    shape: Shape = "uniform"
    typical = (low.si + high.si) / 2.0
    if value is not None:
        if value.shape != "point":
            raise FaultsError(Fault(("value",), "one number beside `low` and `high`", excerpt(value.written)))
        if not low.si <= value.si <= high.si:
            got = f"`{value.written}` beside `{low.written}` and `{high.written}`"
            raise FaultsError(Fault(("value",), "a value from `low` to `high`", got))
        shape, typical = "split-normal", value.si
    return replace(low, si=typical, low=low.si, high=high.si, shape=shape)
