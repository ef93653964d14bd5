"""A calibration file: what measured pulls say of an engine family, for later builds of it.

It holds the anchors that the fit gave, each with its range and all with their correlation, and what they were taken
at: speeds, boost and fuel.  Files lie in the shop's folder under `calibrations/`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.description import nodes
from enginelimits.description.nodes import Leaf, Node, Row, Table, found, place, plain
from enginelimits.errors import InputError, Problem
from enginelimits.files import text_of
from enginelimits.units.grammar import excerpt

if TYPE_CHECKING:
    from enginelimits.description.fields import FieldKind
    from enginelimits.description.models import Build
    from enginelimits.shop import Shop

FloatArray = NDArray[np.float64]

FOLDER: Final = "calibrations"
NONE: Final = "none"
FILLING, KNOCK = "filling", "knock_offset"
# Anchors that are one number, and the input that each takes the place of; the fuel's knock offset is an anchor apart.
SINGLE: Final[Mapping[str, str]] = {
    "driveline_loss_fixed": "driveline.loss.fixed",
    "driveline_loss_proportional": "driveline.loss.proportional",
    "dyno_factor": "class.dyno.factor",
    "cooler_effectiveness": "forced_induction.intercooler.effectiveness",
    "compressor_efficiency": "forced_induction.compressor.efficiency",
    KNOCK: "calibration.knock_offset",
}
FILLING_PATH: Final = "calibration.filling"
UNITS: Final = {"driveline_loss_fixed": "W"}
# The 95th percentile of the standard normal: what stands behind +/- in every file.
Z95: Final = 1.6448536269514722
_TOP = ("engine", "date", "author", "note", "method", "taken_at", "logs", "filling_of", "anchors", "moved",
        "correlation")
_TAKEN = ("speed", "boost", "octane", "ethanol", "dyno", "induction", "drive", "gearbox")


@dataclass(frozen=True, slots=True)
class CalibratedValue:
    """One anchor: value and standard error, SI.  ``speed`` [rad/s] where it is one of a curve; ``moved`` says whether
    the pulls, and not the class alone, decide it.  ``written`` is the text of the file."""

    name: str
    speed: float | None
    value: float
    error: float
    moved: bool
    written: str


@dataclass(frozen=True)
class Calibration:
    """One calibration file.  Speeds [rad/s], boost [Pa] gauge; ``correlation`` in the order of ``anchors``."""

    file: str
    name: str
    family: str
    date: str
    author: str
    method: str
    logs: tuple[tuple[str, str], ...]
    filling_of: str
    speed: tuple[float, float]
    boost: tuple[float, float]
    octane: float | None
    ethanol: float | None
    dyno: str
    induction: str
    drive: str
    gearbox: str
    anchors: tuple[CalibratedValue, ...]
    correlation: tuple[tuple[float, ...], ...]
    note: str = ""

    @property
    def source(self) -> str:
        """How an input names it."""
        return f"calibration {self.name}"

    def of(self, name: str) -> tuple[CalibratedValue, ...]:
        """The anchors of that name; several over speed for the filling."""
        return tuple(a for a in self.anchors if a.name == name)

    def curve(self) -> tuple[tuple[float, float], ...]:
        """The filling over speed, as pairs."""
        return tuple((a.speed, a.value) for a in self.of(FILLING) if a.speed is not None)


def calibration_for(build: Build, shop: Shop | None) -> tuple[Calibration | None, bool]:
    """The calibration that a build is to use, and whether it names it: by name, else by its engine's family.

    Raises InputError where the one it names does not exist or cannot be read, or is of another family.
    """
    named, family = build.calibration, build.engine.family
    if named is not None and named.strip().lower() == NONE:
        return None, False
    folder = shop.place(FOLDER) if shop is not None else None
    if named is not None:
        return _named(build, named.strip(), folder, family), True
    if folder is None or family is None:
        return None, False
    of_family = [c for c in map(load_calibration, _files(folder)) if _same(c.family, family)]
    return max(of_family, key=lambda c: (c.date, c.name), default=None), False


def _named(build: Build, name: str, folder: Path | None, family: str | None) -> Calibration:
    where: dict[str, Any] = {"key": "calibration", "file": build.file}
    at = place(build.tree, ("calibration",))
    if at is not None:
        where |= {"line": at.line, "column": at.column}
    wanted = "`none` or the name of a calibration file in the shop's folder"
    if folder is None:
        mend = f"Put it under `{FOLDER}/` in the shop's folder and name that by --shop, or write `{NONE}`."
        raise InputError([Problem(wanted, f"{excerpt(name)}, and no such folder", mend, **where)])
    files = {path.stem: path for path in _files(folder)}
    path = files.get(name.removesuffix(".yaml"))
    if path is None:
        mend = f"There is: {', '.join(sorted(files)) or 'none'}."
        raise InputError([Problem(wanted, excerpt(name), mend, **where)])
    loaded = load_calibration(path)
    if family is not None and not _same(family, loaded.family):
        got = f"one of {excerpt(loaded.family)}, and the build's engine.family is {excerpt(family)}"
        raise InputError([Problem("a calibration of this engine family", got, **where)])
    return loaded


def _files(folder: Path) -> list[Path]:
    return sorted(p for p in folder.iterdir() if p.suffix == ".yaml" and p.is_file())


def _same(one: str, other: str) -> bool:
    return " ".join(one.casefold().split()) == " ".join(other.casefold().split())


def load_calibration(path: Path) -> Calibration:
    """The calibration of a file.  Raises InputError with every problem."""
    try:
        stamp = path.stat()
        return _loaded(str(path), stamp.st_mtime_ns, stamp.st_size)
    except OSError as error:
        said = os.strerror(error.errno) if error.errno else str(error)
        raise InputError([Problem("a calibration file that can be read", said.lower(), file=str(path))]) from None


@lru_cache(maxsize=64)
def _loaded(file: str, stamp: int, size: int) -> Calibration:
    return parse_calibration(text_of(file, "a calibration file", nodes.MOST_BYTES), file)


def parse_calibration(text: str, file: str = "<text>") -> Calibration:
    """The calibration of a YAML text.  Raises InputError with every problem."""
    document = nodes.document(text, file)
    if not isinstance(document.root, Table):
        wanted = Problem("a calibration file: a mapping of keys", "something else", file=file)
        raise InputError(document.problems or (wanted,))
    reading = _Reading(document.root, file, list(document.problems))
    made = reading.calibration()
    if reading.problems or made is None:
        raise InputError(sorted(reading.problems, key=lambda p: (p.line is None, p.line or 0, p.column or 0)))
    return made


class _Reading:
    """One file while it is read; problems gather."""

    def __init__(self, root: Table, file: str, problems: list[Problem]) -> None:
        self.root, self.file, self.problems = root, file, problems

    def calibration(self) -> Calibration | None:
        self._known(())
        self._known(("taken_at",), _TAKEN)
        self._known(("engine",), ("family",))
        from enginelimits.description.fields import Choice, Text
        from enginelimits.description.physical import ENGINE_SPEED, Octane, Physical, Share
        from enginelimits.shop import DYNOS

        words = Text(longest=400)
        family = self._value(("engine", "family"), words, needed=True)
        when = self._value(("date",), Text("a date such as `2026-05-14`", r"\d{4}-\d{2}-\d{2}"), needed=True)
        if isinstance(when, str):
            try:
                date.fromisoformat(when)
            except ValueError:
                self._fault(("date",), "a date such as `2026-05-14`", excerpt(when))
        gauge = Physical("pressure", -1e5, 4e5, "0 to 0.6 bar_g", "gauge")
        speed = self._span(("taken_at", "speed"), ENGINE_SPEED)
        boost = self._span(("taken_at", "boost"), gauge)
        octane = self._value(("taken_at", "octane"), Octane(such_as="98 RON"))
        ethanol = self._value(("taken_at", "ethanol"), Share(such_as="5 %"))
        dyno = self._value(("taken_at", "dyno"), Choice(DYNOS))
        induction, drive, gearbox = (self._value(("taken_at", key), words) or "" for key in _TAKEN[-3:])
        anchors = tuple(self._anchors())
        if not anchors and not self.problems:
            self._fault(("anchors",), "at least one anchor", "none", "The fit writes this file.")
        # how many rows there should be is known only where every anchor could be read
        correlation = () if self.problems else self._correlation(len(anchors))
        of_class = self._value(("filling_of",), words, needed=any(a.name == FILLING for a in anchors))
        texts = {key: self._value((key,), words, needed=False) or "" for key in ("author", "method", "note")}
        logs = tuple(self._logs())
        if self.problems or speed is None or boost is None:
            return None
        return Calibration(
            self.file, Path(self.file).stem, family, when, texts["author"], texts["method"], logs, of_class or "",
            speed, boost, getattr(octane, "si", None), getattr(ethanol, "si", None), dyno or "",
            induction, drive, gearbox, anchors, correlation, texts["note"],
        )

    def _known(self, where: nodes.Path, names: tuple[str, ...] = _TOP) -> None:
        node = found(self.root, where)
        if isinstance(node, Table):
            for key in node.entries:
                if key not in names:
                    self._fault((*where, key), f"one of {', '.join(names)}", excerpt(key), of_key=True)
        elif node is not None:
            self._fault(where, "a mapping of keys", excerpt(_text(node)))

    def _value(self, where: nodes.Path, kind: FieldKind, *, needed: bool = False) -> Any:
        from enginelimits.description.fields import FaultsError

        node = found(self.root, where)
        if node is None:
            if needed:
                self._fault(where, "a value", "nothing", "This key is required.")
            return None
        try:
            return kind.read(plain(node))
        except FaultsError as error:
            for fault in error.faults:
                self._fault((*where, *fault.at), fault.wanted, fault.got, fault.mend)
            return None

    def _span(self, where: nodes.Path, kind: FieldKind) -> tuple[float, float] | None:
        value = self._value(where, kind, needed=True)
        if value is None:
            return None
        if value.low is None:
            return value.si, value.si
        return value.low, value.high

    def _anchors(self) -> Iterator[CalibratedValue]:
        from enginelimits.description.physical import ENGINE_SPEED, Physical, Ratio

        node = found(self.root, ("anchors",))
        if not isinstance(node, Table):
            self._fault(("anchors",), "a mapping of anchors", "nothing" if node is None else excerpt(_text(node)))
            return
        moved = self._moved()
        factor = Ratio(floor=0.5, ceiling=1.5, such_as="0.98 +/- 0.02")
        kinds: dict[str, FieldKind] = {
            "driveline_loss_fixed": Physical("power", 0.0, 1e5, "5.2 +/- 1.1 kW"),
            "driveline_loss_proportional": Ratio(floor=0.0, ceiling=0.5, such_as="0.09 +/- 0.01"),
            "dyno_factor": factor,
            "cooler_effectiveness": Ratio(floor=0.0, ceiling=0.97, such_as="0.70 +/- 0.02"),
            "compressor_efficiency": Ratio(floor=0.3, ceiling=0.9, such_as="0.71 +/- 0.02"),
            KNOCK: Ratio(floor=-30.0, ceiling=30.0, such_as="-2.0 +/- 0.8"),
        }
        for name, below in node.entries.items():
            if name == FILLING and isinstance(below, Table):
                points = []
                for at in below.entries:
                    speed = self._read_text(("anchors", name, at), at, ENGINE_SPEED)
                    value = self._value(("anchors", name, at), factor)
                    if speed is not None and value is not None:
                        points.append((speed.si, value, at))
                if [p[0] for p in points] != sorted({p[0] for p in points}):
                    self._fault(("anchors", name), "speeds that rise", "speeds out of order")
                for at_si, value, _ in points:
                    yield _calibrated(name, at_si, value, name in moved)
            elif name in kinds:
                value = self._value(("anchors", name), kinds[name])
                if value is not None:
                    yield _calibrated(name, None, value, name in moved)
            else:
                wanted = f"one of {', '.join((FILLING, *kinds))}"
                self._fault(("anchors", name), wanted, excerpt(name), of_key=name != FILLING)

    def _read_text(self, where: nodes.Path, text: str, kind: FieldKind) -> Any:
        from enginelimits.description.fields import FaultsError

        try:
            return kind.read(text)
        except FaultsError as error:
            first = error.faults[0]
            self._fault(where, first.wanted, first.got, first.mend, of_key=True)
            return None

    def _moved(self) -> frozenset[str]:
        node = found(self.root, ("moved",))
        if node is None:
            return frozenset()
        if not isinstance(node, Row):
            self._fault(("moved",), "a list of anchors", excerpt(_text(node)))
            return frozenset()
        return frozenset(item.text for item in node.items if isinstance(item, Leaf))

    def _correlation(self, size: int) -> tuple[tuple[float, ...], ...]:
        """The whole matrix from its rows below the diagonal; none written means that nothing goes together."""
        whole = np.eye(size)
        node = found(self.root, ("correlation",))
        if node is None:
            return tuple(map(tuple, whole.tolist()))
        wanted = f"{size} rows, each with the correlation to the anchors before it"
        rows = plain(node)
        try:
            numbers = [[float(cell) for cell in row] for row in rows]
        except (TypeError, ValueError):
            numbers = []
        if [len(row) for row in numbers] != list(range(size)):
            self._fault(("correlation",), wanted, "something else", "The fit writes it; leave it as it is.")
            return tuple(map(tuple, whole.tolist()))
        for place_, row in enumerate(numbers):
            whole[place_, :place_] = whole[:place_, place_] = row
        if not np.isfinite(whole).all() or (size and np.linalg.eigvalsh(whole)[0] < -1e-2):
            self._fault(("correlation",), "a matrix of correlations", "one that none could be")
        return tuple(map(tuple, whole.tolist()))

    def _logs(self) -> Iterator[tuple[str, str]]:
        node = found(self.root, ("logs",))
        if node is None:
            return
        if not isinstance(node, Row):
            self._fault(("logs",), "a list of `{file, sha256}`", excerpt(_text(node)))
            return
        for number, item in enumerate(node.items):
            parts = plain(item)
            if not isinstance(parts, dict) or set(parts) != {"file", "sha256"}:
                self._fault(("logs", number), "`{file, sha256}`", excerpt(_text(item)))
            else:
                yield str(parts["file"]), str(parts["sha256"])

    def _fault(self, where: nodes.Path, wanted: str, got: str, mend: str = "", *, of_key: bool = False) -> None:
        at = place(self.root, where, of_key=of_key)
        self.problems.append(Problem(
            wanted, got, mend, ".".join(map(str, where)), self.file,
            at.line if at else None, at.column if at else None,
        ))


def _calibrated(name: str, speed: float | None, value: Any, moved: bool) -> CalibratedValue:
    error = 0.0 if value.low is None else (value.high - value.low) / (2.0 * Z95)
    return CalibratedValue(name, speed, float(value.si), float(error), moved, value.written)


def _text(node: Node) -> str:
    return node.text if isinstance(node, Leaf) else "a list or mapping"
