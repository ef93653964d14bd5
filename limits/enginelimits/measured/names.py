"""What a shop's logger calls its channels: a small file that is written once and then serves every log.

::

    delimiter: semicolon
    decimal: comma
    names:
      RPM: {is: engine_speed, unit: rpm}
      MAP kPa: {is: manifold_pressure, unit: kPa}
      WB: {is: lambda, unit: AFR, stoichiometric: 14.7}
    dyno: {kind: inertia, inertia: 12 kg*m^2, correction: none}
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from enginelimits.description.nodes import Leaf, Node, Table, document
from enginelimits.errors import InputError, Problem
from enginelimits.files import text_of
from enginelimits.measured.channels import CHANNELS, ChannelKind
from enginelimits.units.grammar import GrammarError, excerpt, parse_number, split
from enginelimits.units.registry import scale_and_offset, to_si
from enginelimits.units.spellings import Spelling, fitting, spelling

if TYPE_CHECKING:
    from enginelimits.shop import Shop

FILE: Final = "logs.yaml"
DELIMITERS: Final = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
DECIMALS: Final = {"comma": ",", "point": "."}
DYNOS: Final = ("load-controlled", "inertia", "hub")
CORRECTIONS: Final = ("none", "SAE J1349", "J607", "DIN 70020", "ISO 1585", "UN R85")
AIR_FUEL_RATIO: Final = "AFR"
NO_UNIT: Final = ("lambda", "lambda_second", "lambda_target", "gear")
_DYNO_KEYS: Final = ("kind", "inertia", "ratio", "correction")
_KEYS: Final = ("names", "delimiter", "decimal", "clock", "interval", "dyno")
_INERTIA_UNIT: Final = "kg*m^2"
BRACKETS: Final = (("(", ")"), ("[", "]"))
# What loggers write for a unit of ours; the unit is the same, only its spelling is not
_SAME_UNIT: Final = {
    "1/min": "rpm", "U/min": "rpm", "RPM": "rpm", "r/min": "rpm", "C": "degC", "F": "degF", "kph": "km/h", "V": "V",
    "sec": "s", "Sec": "s", "S": "s", "bar(a)": "bar_a", "bar(g)": "bar_g", "lbft": "lb-ft", "lbf-ft": "lb-ft",
    "ft-lbs": "lb-ft", "PSI": "psi", "KPA": "kPa", "kpa": "kPa", "Bar": "bar", "BAR": "bar", "HP": "hp", "NM": "Nm",
    "lambda": "1", "Lambda": "1", "-": "1", "volts": "V", "seconds": "s", "hPa": "mbar", "deg_C": "degC",
    "deg_F": "degF",
}  # fmt: skip
_SIGNS: Final = str.maketrans({"°": "deg", "·": "*", "²": "^2", "µ": "u", "μ": "u", "λ": "1"})


@dataclass(frozen=True, slots=True)
class Unit:
    """How a column's numbers become SI: ``si = scale * x + offset``, as ``written``."""

    written: str
    scale: float
    offset: float


@dataclass(frozen=True, slots=True)
class Name:
    """One header and the channel that it means; ``unit`` is None where the header itself is to say."""

    header: str
    channel: str
    unit: Unit | None
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Dyno:
    """The dyno that a log comes from.  What is not stated is empty or None.

    ``inertia`` [kg*m^2] is of all that turns, referred to the roller; ``ratio`` is engine turns in one of the roller.
    """

    kind: str = ""
    inertia: float | None = None
    ratio: float | None = None
    correction: str = ""


@dataclass(frozen=True)
class LogNames:
    """A file of names as read.

    ``clock`` names a column with the time of day, ``interval`` is the time between rows [s].
    """

    file: str = ""
    names: Mapping[str, Name] = field(default_factory=lambda: MappingProxyType({}))
    delimiter: str = ""
    decimal: str = ""
    clock: str = ""
    interval: float | None = None
    dyno: Dyno = Dyno()


def read_names(path: str | Path | None, shop: Shop | None = None) -> LogNames:
    """The names of a file, else of the shop's `logs.yaml`, else none.  Raises InputError with every problem."""
    if path is None:
        path = shop.place(FILE) if shop is not None else None
    if path is None:
        return LogNames()
    return parse_names(text_of(path, "a file of names"), str(path))


def parse_names(text: str, file: str = "<names>") -> LogNames:
    """The names of a YAML text.  Raises InputError with every problem."""
    read = document(text, file)
    if read.problems:
        raise InputError(read.problems)
    reading = _Reading(file)
    found = reading.all(read.root)
    if reading.problems:
        raise InputError(reading.problems)
    return found


def unit_for(kind: ChannelKind, text: str, stoichiometric: float | None = None) -> Unit:
    """The unit of a channel as written.  Raises GrammarError, with near units, for one that does not fit.

    Gauge and absolute pressure are different channels, so that a unit that says the other is refused.
    """
    if text == AIR_FUEL_RATIO and kind.name.startswith("lambda"):
        if stoichiometric is None:
            raise GrammarError("the ratio that the meter takes for lambda 1, beside AFR", "none",
                               "Write `stoichiometric: 14.7` or what the meter is set to.")
        return Unit(text, 1.0 / stoichiometric, 0.0)
    found = spelling(text, kind.unit)
    if found.si != kind.unit:
        accepted = ", ".join(s.text for s in fitting(kind.unit))
        raise GrammarError(f"a unit of {kind.name}", excerpt(text), f"Accepted here: {accepted}.")
    _agree_on_reference(kind, found)
    scale, offset = scale_and_offset(found)
    return Unit(text or "1", scale, offset)


def as_spelled(unit: str) -> str:
    """A unit as printed by a logger in our spelling; unchanged where it is none that is known.

    >>> as_spelled("°C"), as_spelled("1/min"), as_spelled("kPa")
    ('degC', 'rpm', 'kPa')
    """
    text = unit.strip()
    for opening, closing in BRACKETS:
        if text.startswith(opening) and text.endswith(closing):
            text = text[1:-1].strip()
    text = text.translate(_SIGNS)
    return _SAME_UNIT.get(text, text)


def _agree_on_reference(kind: ChannelKind, found: Spelling) -> None:
    if found.kind in ("gauge", "absolute") and kind.pressure in ("gauge", "absolute") and found.kind != kind.pressure:
        other = {"boost": "manifold_pressure", "manifold_pressure": "boost"}.get(kind.name, "")
        mend = f"A pressure that is {found.kind} is `{other}`." if other else ""
        raise GrammarError(f"{kind.pressure} pressure for {kind.name}", f"`{found.text}`, which is {found.kind}", mend)


# What loggers commonly print, as suggestions only: a name is never taken for granted.
_USUAL: Final = {
    "rpm": "engine_speed", "map": "manifold_pressure", "tps": "throttle", "iat": "charge_temperature",
    "act": "charge_temperature", "mat": "charge_temperature", "maf": "air_mass_flow", "clt": "coolant_temperature",
    "ect": "coolant_temperature", "egt": "exhaust_temperature", "afr": "lambda", "baro": "barometer",
    "timing": "ignition_angle", "ignition": "ignition_angle", "advance": "ignition_angle", "torque": "wheel_torque",
    "power": "wheel_power", "battery": "voltage", "vss": "road_speed", "knock": "knock_retard",
    "emap": "exhaust_pressure",
    "duty": "injector_duty", "rail": "rail_pressure", "wideband": "lambda",
}  # fmt: skip


def plain(text: str) -> str:
    """A header without case, spaces and signs, as our own names are written."""
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")


def near_channels(header: str) -> tuple[str, ...]:
    """Channels of ours that a header may mean, at most three."""
    words = plain(header)
    near = [_USUAL[word] for word in words.split("_") if word in _USUAL]
    near += difflib.get_close_matches(words, CHANNELS, n=3, cutoff=0.6)
    return tuple(dict.fromkeys(near))[:3]


class _Reading:
    """Reads one file of names; what is wrong is noted, and reading goes on."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def all(self, root: Node | None) -> LogNames:
        table = self._table(root, "a file of names", "", _KEYS)
        entries = table.entries if table is not None else {}
        names = self._names(entries.get("names"))
        clock = self._text(entries["clock"], "the header of the column with the time of day", "clock") \
            if "clock" in entries else ""
        interval = self._amount(entries["interval"], "s", "interval") if "interval" in entries else None
        if interval is not None and interval <= 0.0:
            self._wrong(entries["interval"], "interval", "a time above zero", excerpt(_words(entries["interval"])))
        delimiter = DELIMITERS.get(self._choice(entries.get("delimiter"), "delimiter", tuple(DELIMITERS)), "")
        decimal = DECIMALS.get(self._choice(entries.get("decimal"), "decimal", tuple(DECIMALS)), "")
        return LogNames(self.file, names, delimiter, decimal, clock, interval, self._dyno(entries.get("dyno")))

    def _names(self, node: Node | None) -> Mapping[str, Name]:
        if node is None:
            return MappingProxyType({})
        table = self._table(node, "names: headers and what they mean", "names", None)
        found: dict[str, Name] = {}
        for header, entry in table.entries.items() if table is not None else ():
            made = self._name(header, entry)
            if made is not None:
                found[header] = made
        return MappingProxyType(found)

    def _name(self, header: str, node: Node) -> Name | None:
        key = f"names.{header[:60]}"
        if isinstance(node, Leaf):
            node = Table({"is": node}, {}, node.place)
        table = self._table(node, "what a header means", key, ("is", "unit", "stoichiometric"))
        if table is None:
            return None
        if "is" not in table.entries:
            self._wrong(node, key, "the channel that it is, as `is: engine_speed`", "none",
                        near=near_channels(header))
            return None
        channel = _words(table.entries["is"])
        kind = CHANNELS.get(channel)
        if kind is None:
            near = near_channels(channel) or near_channels(header)
            self._wrong(table.entries["is"], f"{key}.is", "one of our channels", excerpt(channel),
                        "" if near else f"Channels: {', '.join(CHANNELS)}.", near)
            return None
        unit = self._unit(kind, table, key)
        line = node.place.line if node.place is not None else None
        return Name(header, channel, unit, line)

    def _unit(self, kind: ChannelKind, table: Table, key: str) -> Unit | None:
        stoichiometric = None
        if "stoichiometric" in table.entries:
            stoichiometric = self._number(table.entries["stoichiometric"], f"{key}.stoichiometric", 5.0, 20.0)
        if "unit" not in table.entries:
            return None
        node = table.entries["unit"]
        try:
            return unit_for(kind, as_spelled(_words(node)), stoichiometric)
        except GrammarError as error:
            self._wrong(node, f"{key}.unit", error.wanted, error.got, error.mend, error.near)
            return None

    def _dyno(self, node: Node | None) -> Dyno:
        if node is None:
            return Dyno()
        table = self._table(node, "the dyno", "dyno", _DYNO_KEYS)
        entries = table.entries if table is not None else {}
        inertia = self._inertia(entries["inertia"]) if "inertia" in entries else None
        ratio = self._number(entries["ratio"], "dyno.ratio", 0.2, 50.0) if "ratio" in entries else None
        return Dyno(self._choice(entries.get("kind"), "dyno.kind", DYNOS), inertia, ratio,
                    self._choice(entries.get("correction"), "dyno.correction", CORRECTIONS))

    def _inertia(self, node: Node) -> float | None:
        """A moment of inertia: the one unit of it that is accepted stands here alone."""
        wanted = f"a moment of inertia above zero, as `12 {_INERTIA_UNIT}`"
        try:
            written = split(_words(node))
        except GrammarError as error:
            self._wrong(node, "dyno.inertia", wanted, error.got, error.mend)
            return None
        if written.unit != _INERTIA_UNIT or written.shape != "point" or written.typical <= 0.0:
            self._wrong(node, "dyno.inertia", wanted, excerpt(_words(node)))
            return None
        return written.typical

    def _amount(self, node: Node, si: str, key: str) -> float | None:
        try:
            written = split(_words(node))
            return to_si(written.typical, written.unit, si)
        except GrammarError as error:
            self._wrong(node, key, error.wanted, error.got, error.mend, error.near)
            return None

    def _number(self, node: Node, key: str, least: float, most: float) -> float | None:
        wanted = f"a plain number from {least:g} to {most:g}"
        try:
            number = parse_number(_words(node))
        except GrammarError as error:
            self._wrong(node, key, wanted, error.got, error.mend)
            return None
        if not least <= number <= most:
            self._wrong(node, key, wanted, excerpt(_words(node)))
            return None
        return number

    def _choice(self, node: Node | None, key: str, allowed: tuple[str, ...]) -> str:
        if node is None:
            return ""
        text = _words(node)
        if text not in allowed:
            near = tuple(difflib.get_close_matches(text.lower(), allowed, n=2))
            self._wrong(node, key, f"one of {', '.join(allowed)}", excerpt(text), near=near)
            return ""
        return text

    def _text(self, node: Node, wanted: str, key: str) -> str:
        text = _words(node)
        if not text:
            self._wrong(node, key, wanted, "nothing")
        return text

    def _table(self, node: Node | None, what: str, key: str, known: tuple[str, ...] | None) -> Table | None:
        if not isinstance(node, Table):
            got = "nothing" if node is None else excerpt(_words(node)) if isinstance(node, Leaf) else "a list"
            self._wrong(node, key, f"{what} as a mapping", got)
            return None
        for name in node.entries:
            if known is not None and name not in known:
                near = tuple(difflib.get_close_matches(name, known, n=2))
                at = node.keys.get(name)
                self.problems.append(Problem(
                    f"a key of {what}", excerpt(name), "" if near else f"Known keys: {', '.join(known)}.",
                    f"{key}.{name[:60]}" if key else name[:60], self.file, at.line if at else None,
                    at.column if at else None, near,
                ))
        return node

    def _wrong(self, node: Node | None, key: str, wanted: str, got: str = "", mend: str = "",
               near: tuple[str, ...] = ()) -> None:
        place: Any = node.place if node is not None else None
        self.problems.append(Problem(wanted, got, mend, key, self.file, place.line if place else None,
                                     place.column if place else None, near))


def _words(node: Node) -> str:
    return node.text.strip() if isinstance(node, Leaf) else ""
