"""What a rule said, and the comparison that decides it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from enginelimits.rules.model import Rule

Shown = float | str | bool | None


@dataclass(frozen=True, slots=True)
class LimitUsed:
    """What a value was held against, SI.  ``shipped_value`` is the base layer's number for the same limit.

    ``low`` and ``high`` are the 5th and 95th percentile that it was drawn between; None where it was not.
    """

    name: str
    value: Shown
    unit: str
    sense: str
    layer: str
    shipped_value: Shown
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """One leaf behind a grade.  ``ratio`` is above 1 beyond the limit, in its sense, else NaN."""

    kind: Literal["quantity", "input", "fact", "rule"]
    name: str
    value: Shown
    unit: str
    limit: LimitUsed | None
    ratio: float = float("nan")


@dataclass(frozen=True)
class Witness:
    """The instant where a grade's condition is met worst, or is nearest to being met.

    ``causes`` stand with the leading one first.  ``limits`` are all the rule's numbers in force; ``values``
    what the rule's message asks for by name, as (value, SI unit) by "quantity:id" and "input:path".
    """

    ambient: int
    speed: int
    met: bool
    causes: tuple[Cause, ...]
    limits: Mapping[str, LimitUsed] = field(default_factory=dict)
    values: Mapping[str, tuple[Shown, str]] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class RuleOutcome:
    """One rule over ambients and draws.

    ``grade``: the worst true grade, 0 for none, as an index into the grades.  ``could_be``: the worst that is
    true or unknown.  ``applies``: 1 yes, 0 no, -1 unknown.  ``judged``: a grade is true, or nothing is
    unknown. ``missing`` and ``outside`` speak of row 0: inputs lacking, and whether leaving a formula's
    range is all that kept it from being judged.  ``rule`` carries the limits in force.
    """

    rule: Rule
    grade: NDArray[np.int8]
    could_be: NDArray[np.int8]
    applies: NDArray[np.int8]
    judged: NDArray[np.bool_]
    missing: tuple[str, ...]
    outside: bool
    find: Callable[[int, int], Witness] = field(repr=False)

    def witness(self, grade: int, row: int = 0) -> Witness:
        """Where, in that row, the grade's condition is met worst or is nearest to being met."""
        return self.find(grade, row)
