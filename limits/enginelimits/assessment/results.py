"""What an assessment hands on: one frozen value a quantity."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from enginelimits.description.filled import Filled

Status = Literal["ok", "cannot compute", "out of range", "not applicable"]


@dataclass(frozen=True, slots=True)
class At:
    """Where on the map a value was taken: an engine speed [rad/s] and an ambient ("site", "hot day")."""

    engine_speed: float | None
    ambient: str


@dataclass(frozen=True, slots=True)
class QuantityResult:
    """One quantity of the vocabulary, governed over the range; SI throughout."""

    id: str
    unit: str
    value: float | None
    low: float | None
    high: float | None
    at: At | None
    basis: str
    status: Status
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """One quantity over engine speed, at the site: row 0, and the 5th and 95th percentile; None where unknown."""

    id: str
    unit: str
    values: tuple[float | None, ...]
    low: tuple[float | None, ...] | None
    high: tuple[float | None, ...] | None


@dataclass(frozen=True)
class Assessment:
    """All that was computed of one build.  ``columns`` holds the arrays, (ambients, 1 + samples, speeds)."""

    filled: Filled
    speeds: tuple[float, ...]
    ambients: tuple[str, ...]
    samples: int
    samples_valid: int
    seed: int
    columns: Mapping[str, Any]
    quantities: Mapping[str, QuantityResult]
    curves: Mapping[str, Curve]
