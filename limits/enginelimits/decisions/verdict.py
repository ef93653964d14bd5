"""The types of a verdict: what a build was found to ask, graded, with the reason for each grade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from enginelimits.assessment.results import Assessment, At

if TYPE_CHECKING:
    from enginelimits.description.filled import Filled
    from enginelimits.units.display import System


@dataclass(frozen=True, slots=True)
class LimitShown:
    """The limit that a value was held against; SI.  ``low`` and ``high`` as far as it is itself in doubt."""

    name: str
    value: float | str | bool | None
    unit: str
    sense: str
    layer: str
    shipped_value: float | str | bool | None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Because:
    """One comparison that made a grade true. ``kind``: quantity, input, fact or rule."""

    kind: str
    name: str
    value: float | str | bool | None
    unit: str
    at: At | None
    limit: LimitShown | None


@dataclass(frozen=True, slots=True)
class RemedyShown:
    """A remedy in words; ``steps`` are its edits, mildest first, as data."""

    id: str
    kind: str
    say: str
    steps: tuple[tuple[Mapping[str, object], ...], ...]
    shifts: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule that spoke.

    ``chance`` is None without samples, ``chance_error`` its standard error; ``brief`` is the message for a small
    screen, and both stand a second time in US units.  ``evidence`` is the weakest of ``evidences``, on which its
    limits rest.  ``reads`` are the inputs that its conditions themselves ask for.
    """

    rule: str
    title: str
    family: str
    grade: str
    uncapped: str
    could_be: str | None
    missing: tuple[str, ...]
    chance: float | None
    chances: Mapping[str, float]
    chance_word: str
    borderline: bool
    message: str
    why: str
    because: tuple[Because, ...]
    remedies: tuple[RemedyShown, ...]
    caveats: tuple[str, ...]
    sources: tuple[Mapping[str, str], ...]
    evidence: str
    confidence: str
    settled_by: str
    brief: str = ""
    evidences: tuple[str, ...] = ()
    chance_error: float | None = None
    message_us: str = ""
    brief_us: str = ""
    reads: tuple[str, ...] = ()

    def whole(self, system: System) -> str:
        """The message in the reader's units."""
        return (self.message_us if system == "us" else "") or self.message

    def short(self, system: System) -> str:
        """The message for a small screen, in the reader's units."""
        return (self.brief_us if system == "us" else "") or self.brief or self.whole(system)


@dataclass(frozen=True, slots=True)
class NotJudged:
    """A rule that gave no grade, with the inputs it lacked or the reason."""

    rule: str
    title: str
    missing: tuple[str, ...]
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Limiting:
    """The rule that governs the verdict and the quantity it speaks of."""

    rule: str
    quantity: str | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """The whole build in one grade.  ``open`` lists rules that could still worsen it."""

    grade: str
    complete: bool
    open: tuple[str, ...]
    limiting: Limiting | None
    sentence: str


@dataclass(frozen=True, slots=True)
class LayerUsed:
    """One layer of the catalogue, by name, version and digest."""

    name: str
    version: str
    digest: str


@dataclass(frozen=True)
class Judgement:
    """Everything that ``check`` shows of one build."""

    name: str
    filled: Filled
    assessment: Assessment
    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]
    out_of_range: tuple[NotJudged, ...]
    not_applicable: tuple[NotJudged, ...]
    verdict: Verdict
    notices: tuple[str, ...]
    layers: tuple[LayerUsed, ...]
    inference: str
    samples_asked: int
    samples_valid: int
    seed: int
    as_of: str
    questions: tuple[str, ...] = field(default=())
    shop_values: tuple[str, ...] = field(default=())
    limits_drawn: int = 0
