"""One pull on the grid of speeds, with the build it is of: what the quantities of a log are worked out from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.description.filled import Filled
from enginelimits.measured.held import on_grid
from enginelimits.measured.pull import Pull
from enginelimits.physics.airflow.atmosphere import standard_pressure

FloatArray = NDArray[np.float64]
CHANNEL: Final = "log.channel."


class Lacking(Exception):
    """What a quantity cannot be had without."""

    def __init__(self, *names: str) -> None:
        super().__init__(", ".join(names))
        self.names = frozenset(names)


@dataclass(frozen=True)
class Run:
    """One pull on the grid, with the build it is of and the pulls beside it.

    ``predicted`` is the boost that the assessment of the build gave, on the grid. [Pa]
    """

    pull: Pull
    speeds: FloatArray
    described: Filled
    predicted: FloatArray | None = None
    all: tuple[Pull, ...] = ()

    def channel(self, name: str) -> FloatArray:
        """A channel on the grid of speeds, SI; Lacking where the log does not hold it."""
        values = self.pull.get(name)
        if values is None or not np.isfinite(values).any():
            raise Lacking(CHANNEL + name)
        return on_grid(self.pull.speeds, values, self.speeds)

    def has(self, name: str) -> bool:
        """Whether the log holds anything of a channel."""
        values = self.pull.get(name)
        return values is not None and bool(np.isfinite(values).any())

    def raw(self, name: str) -> FloatArray:
        """A channel as recorded; Lacking where the log does not hold it."""
        values = self.pull.raw(name)
        if values is None or not np.isfinite(values).any():
            raise Lacking(CHANNEL + name)
        return values

    def recorded(self, name: str) -> FloatArray:
        """A channel as recorded, carried to the grid with nothing left out, not even where its sensor ends."""
        values, speed = self.raw(name), self.raw("engine_speed")
        known = np.isfinite(values) & np.isfinite(speed)
        order = np.argsort(speed[known], kind="stable")
        return on_grid(speed[known][order], values[known][order], self.speeds, self.pull.speeds)

    def number(self, path: str) -> FloatArray:
        """A number of the build, or a curve over speed on the grid; Lacking where nobody gave it."""
        given = self.described.get(path)
        if given is not None and given.curve:
            at, values = np.array(given.curve, dtype=float).T
            return np.asarray(np.interp(self.speeds, at, values), dtype=np.float64)
        if given is None or isinstance(given.value, bool) or not isinstance(given.value, int | float):
            raise Lacking(path)
        return np.full(self.speeds.shape, float(given.value))

    def text(self, path: str) -> str:
        """A word of the build; Lacking where nobody gave it."""
        given = self.described.get(path)
        if given is None or not isinstance(given.value, str) or given.value == "unknown":
            raise Lacking(path)
        return given.value

    def boost(self) -> FloatArray:
        """Boost measured, gauge: as recorded, or manifold pressure less the barometer. [Pa]"""
        if self.has("boost"):
            return self.channel("boost")
        if not self.has("manifold_pressure"):
            raise Lacking(CHANNEL + "boost")
        return self.channel("manifold_pressure") - self.barometer()

    def barometer(self) -> FloatArray:
        """The barometer as recorded, else that of the site's altitude on a standard day. [Pa]"""
        if self.has("barometer"):
            return self.channel("barometer")
        return np.asarray(standard_pressure(self.number("site.altitude")), dtype=np.float64)

    def boost_asked(self) -> FloatArray:
        """Boost asked for: as the controller recorded it, else as the build says. [Pa]"""
        if self.has("boost_target"):
            return self.channel("boost_target")
        try:
            return self.number("forced_induction.boost")
        except Lacking:
            raise Lacking(CHANNEL + "boost_target") from None

    def another(self, pull: Pull) -> Run:
        """Another of the pulls, on the same grid."""
        return Run(pull, self.speeds, self.described, None, self.all)
