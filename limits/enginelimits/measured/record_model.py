"""What the shop's record keeps, as frozen types, and the words that it knows."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, Final

HELD, KNOCKED, BROKE, WITHDRAWN = "held", "knocked", "broke", "withdrawn"
OUTCOMES: Final = (HELD, KNOCKED, BROKE)
# How bad an outcome is: the worst of several stands for the engine.
GRAVITY: Final = {HELD: 1, KNOCKED: 2, BROKE: 3}
# The family of rules that speaks of a part; a family's own name is a part too.
PART_FAMILIES: Final = {
    "rods": "rods", "rod_bolts": "rods",
    "pistons": "pistons", "pins": "pistons", "rings": "pistons",
    "bottom-end": "bottom-end", "bearings": "bottom-end", "crankshaft": "bottom-end", "block": "bottom-end",
    "head": "head", "head_gasket": "head", "valves": "head",
    "combustion": "combustion", "plugs": "combustion",
    "air": "air", "turbocharger": "air", "supercharger": "air",
    "fuel": "fuel", "injectors": "fuel", "pump": "fuel",
    "heat": "heat", "driveline": "driveline", "clutch": "driveline", "gearbox": "driveline", "axles": "driveline",
    "brakes": "driveline",
    "other": "other",
}  # fmt: skip
LETTERS: Final = {"quote": "Q", "pull": "P", "outcome": "O"}
_ID = re.compile(r"([QPO])-?0*([1-9][0-9]{0,8})", re.IGNORECASE)


def id_of(kind: str, number: int) -> str:
    """The short name of a row: ``Q-0001``."""
    return f"{LETTERS[kind]}-{number:04d}"


def number_of(kind: str, id: str) -> int | None:
    """The number behind a short name of that kind; None for anything else."""
    match = _ID.fullmatch(id.strip())
    return int(match[2]) if match and match[1].upper() == LETTERS[kind] else None


@dataclass(frozen=True, slots=True)
class Signed:
    """Who wrote a row, when in UTC, the day it was judged as of, with which version, and what it corrects."""

    author: str
    written_at: str
    as_of: str
    tool: str
    note: str = ""
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file that a quote rests on, as read: the build file, or a map that it names.  The digest is SHA-256."""

    role: str
    name: str
    digest: str
    text: str


@dataclass(frozen=True, slots=True)
class KeptLayer:
    """One layer of the catalogue that judged a quote."""

    name: str
    version: str
    digest: str


@dataclass(frozen=True, slots=True)
class KeptFinding:
    """One rule that spoke, as far as the record counts it."""

    rule: str
    title: str
    family: str
    grade: str
    chance: float | None


@dataclass(frozen=True, slots=True)
class KeptMargin:
    """The typical build against one limit of a rule, met or not; SI.

    ``ratio`` is value over limit, or limit over value for a lower one: beyond 1 the grade begins.
    """

    rule: str
    title: str
    family: str
    grade: str
    quantity: str
    unit: str
    value: float
    limit: float
    limit_name: str
    ratio: float


@dataclass(frozen=True)
class Shown:
    """A verdict as it was shown: its data (``enginelimits.check/1``) and the words on the screen."""

    data: dict[str, Any]
    words: str


@dataclass(frozen=True)
class QuoteDraft:
    """What ``record add`` keeps of a judged build."""

    name: str
    engine: str
    grade: str
    complete: bool
    sentence: str
    limiting: str
    samples: int
    seed: int
    mountain_m: float | None
    summary: dict[str, Any]
    shown: Shown
    files: tuple[KeptFile, ...]
    layers: tuple[KeptLayer, ...]
    findings: tuple[KeptFinding, ...]
    margins: tuple[KeptMargin, ...]
    customer_reference: str = ""


@dataclass(frozen=True, slots=True)
class PullDraft:
    """What is kept of a pull: the log's name, size and digest, and what was read of it, where that is known."""

    quote: int
    file: str
    size: int
    digest: str
    data: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class OutcomeDraft:
    """What became of an engine: on which day, after which distance [m], and for what broke, the part."""

    quote: int
    outcome: str
    part: str
    happened_on: str
    distance_m: float | None


@dataclass(frozen=True, slots=True)
class PullRow:
    """A pull in the record."""

    number: int
    kept: PullDraft
    signed: Signed

    @property
    def id(self) -> str:
        """As P-0001."""
        return id_of("pull", self.number)


@dataclass(frozen=True, slots=True)
class OutcomeRow:
    """An outcome in the record."""

    number: int
    kept: OutcomeDraft
    signed: Signed

    @property
    def id(self) -> str:
        """As O-0001."""
        return id_of("outcome", self.number)


@dataclass(frozen=True)
class QuoteRow:
    """A quote that stands, in short, with what was learnt since; what was corrected is left out of both."""

    number: int
    signed: Signed
    name: str
    engine: str
    digest: str
    grade: str
    complete: bool
    sentence: str
    limiting: str
    samples: int
    seed: int
    mountain_m: float | None
    customer_reference: str
    summary: dict[str, Any]
    layers: tuple[KeptLayer, ...] = ()
    findings: tuple[KeptFinding, ...] = ()
    outcomes: tuple[OutcomeRow, ...] = ()
    pulls: tuple[PullRow, ...] = ()
    earlier: tuple[int, ...] = field(default=())

    @property
    def id(self) -> str:
        """As Q-0001."""
        return id_of("quote", self.number)

    @property
    def worst(self) -> OutcomeRow | None:
        """The gravest outcome, of equally grave ones the last; None while nothing is known."""
        return max(self.outcomes, key=lambda o: (GRAVITY[o.kept.outcome], o.kept.happened_on, o.number), default=None)

    @property
    def outcome(self) -> str:
        """The gravest outcome in a word; empty while nothing is known."""
        return self.worst.kept.outcome if self.worst is not None else ""

    @property
    def distance_m(self) -> float | None:
        """How far the engine is known to have run: to the break, else the furthest it was seen. [m]"""
        worst = self.worst
        if worst is not None and worst.kept.outcome == BROKE:
            return worst.kept.distance_m
        known = [o.kept.distance_m for o in self.outcomes if o.kept.distance_m is not None]
        return max(known, default=None)


@dataclass(frozen=True)
class QuoteWhole:
    """One quote with all that was kept of it; ``replaced_by`` names the row that corrects it, if one does."""

    row: QuoteRow
    shown: Shown
    files: tuple[KeptFile, ...]
    margins: tuple[KeptMargin, ...]
    replaced_by: str = ""

    @property
    def build(self) -> KeptFile:
        """The build file as read."""
        return next(file for file in self.files if file.role == "build")
