"""What the vocabulary says of one quantity."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Worse = Literal["high", "low", "none"]


@dataclass(frozen=True, slots=True)
class QuantityKind:
    """One word of the vocabulary.

    ``varies``: takes a value at each engine speed.  ``crank``: holds a trace over the crank, kept for other
    steps and never printed.  ``detail``: a step on the way, shown by ``why``.  ``bound``: known to be
    conservative, so that a rule on it never goes beyond a note.  ``event``: belongs to one knock event and
    stays out of the verdict.  ``root``: the cause that small margins on this quantity are counted under.
    ``measured``: read off a log of a pull; no step of an assessment gives it.  ``counterparts``
    are the quantities and inputs that stand for it before anything is measured, on which a remedy can be tried.
    ``nil``: where its scale begins, from which the doubt about a limit on it is reckoned: one of what is told over
    the standard engine.
    """

    id: str
    unit: str
    worse: Worse
    meaning: str
    varies: bool = True
    crank: bool = False
    detail: bool = False
    bound: bool = False
    event: bool = False
    root: str = ""
    measured: bool = False
    counterparts: tuple[str, ...] = ()
    nil: float = 0.0
