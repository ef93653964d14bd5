"""What a stated value becomes once it has been read: SI numbers with their range, kind and basis."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from enginelimits.units.constants import INCH_THREAD_DEPTH, METRIC_THREAD_DEPTH
from enginelimits.units.grammar import Shape

Basis = Literal["measured", "documented", "assumed"]


@dataclass(frozen=True, slots=True)
class Value:
    """A number as stated, in SI.

    ``low`` and ``high`` are the 5th and 95th percentile of a split normal with its median at ``si``, or the
    ends of a uniform range whose middle is ``si``; None for a point.  ``kind`` is gauge, absolute or
    difference for a pressure, RON, MON or AKI for an octane number.  Two values are equal when they mean the
    same, however written.
    """

    si: float
    low: float | None = None
    high: float | None = None
    shape: Shape = "point"
    unit: str = "1"
    kind: str = ""
    basis: Basis = "documented"
    written: str = field(default="", compare=False)
    note: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Curve:
    """Values at engine speeds, rising; straight between the points and level beyond the ends."""

    speeds: tuple[Value, ...]
    values: tuple[Value, ...]

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """(speed [rad/s], value [SI]) of each point."""
        return tuple((s.si, v.si) for s, v in zip(self.speeds, self.values, strict=True))

    def __iter__(self) -> Iterator[tuple[Value, Value]]:
        return iter(zip(self.speeds, self.values, strict=True))


@dataclass(frozen=True, slots=True)
class Chance:
    """A yes or no that is not known, by the probability of yes."""

    probability: float
    basis: Basis = "assumed"
    note: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread's nominal diameter and pitch [m], and what it takes off the diameter over its pitch."""

    diameter: float
    pitch: float
    depth: float = METRIC_THREAD_DEPTH


_METRIC_THREAD = re.compile(r"M(\d{1,2}(?:\.\d{1,2})?)x(\d(?:\.\d{1,2})?)", re.ASCII)
_INCH_THREAD = re.compile(r"(\d{1,2})/(\d{1,2})-(\d{1,2})", re.ASCII)


def thread(text: str) -> Thread | None:
    """Diameter and pitch of `M9x1.0` (millimetres) or `3/8-24` (inch, threads an inch); else None.

    >>> thread("M9x1.0")
    Thread(diameter=0.009, pitch=0.001, depth=0.938194)
    """
    if match := _METRIC_THREAD.fullmatch(text):
        found = Thread(float(match[1]) / 1000.0, float(match[2]) / 1000.0)
    elif (match := _INCH_THREAD.fullmatch(text)) and int(match[2]) and int(match[3]):
        found = Thread(int(match[1]) / int(match[2]) * 0.0254, 0.0254 / int(match[3]), INCH_THREAD_DEPTH)
    else:
        return None
    # From memory: the finest thread in use is about a thirtieth of the diameter, the coarsest a fifth.
    fits = 0.003 <= found.diameter <= 0.03 and found.diameter / 30.0 <= found.pitch <= found.diameter / 3.0
    return found if fits else None
