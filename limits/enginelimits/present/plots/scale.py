"""The reader's units on an axis."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.units.registry import from_si

if TYPE_CHECKING:
    from enginelimits.units.display import System

FloatArray = NDArray[np.float64]

# SI unit: what an axis is in, metric and US.  Gas pressures; an axis has one unit, whatever the size of its numbers.
_AXES: Final[dict[str, tuple[str, str]]] = {
    "rad/s": ("rpm", "rpm"),
    "rad": ("deg", "deg"),
    "N*m": ("N*m", "lb-ft"),
    "W": ("kW", "hp"),
    "Pa": ("bar", "psi"),
    "N": ("kN", "lbf"),
    "K": ("degC", "degF"),
    "m^3": ("cc", "in^3"),
}


class Scale(NamedTuple):
    """A unit and the straight line that leads to it from SI."""

    unit: str
    factor: float
    offset: float

    def of(self, values: Any) -> FloatArray:
        """SI numbers as the axis shows them; NaN where there is none."""
        array = np.array([np.nan if v is None else v for v in values] if isinstance(values, Sequence) else values,
                         dtype=float)
        return array * self.factor + self.offset

    def one(self, value: float) -> float:
        """One SI number as the axis shows it."""
        return value * self.factor + self.offset


def scale(unit: str, system: System) -> Scale:
    """How an axis shows an SI unit; plain numbers as they are."""
    pair = _AXES.get(unit)
    if pair is None:
        return Scale("" if unit == "1" else unit, 1.0, 0.0)
    shown = pair[1 if system == "us" else 0]
    nil = from_si(0.0, shown, si=unit)
    return Scale(shown, from_si(1.0, shown, si=unit) - nil, nil)
