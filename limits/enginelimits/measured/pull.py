"""One pull out of a log: the rows it takes, and its channels on a grid of engine speeds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from enginelimits.measured.log import Log

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Pull:
    """A run at full load from a low engine speed to a high one.

    ``first`` and ``last`` are its rows in the log (both included); the log keeps the raw data.  ``speeds`` [rad/s]
    rises, shape (speeds,); ``on_speed`` holds each channel there, SI, smoothed as ``filter`` says in words, NaN where
    the log has no value.  ``number`` counts the pulls of one log from 1.  ``remarks`` says what was left out and why.
    """

    log: Log
    number: int
    first: int
    last: int
    speeds: FloatArray
    on_speed: Mapping[str, FloatArray]
    filter: str
    remarks: tuple[str, ...] = ()

    def get(self, name: str) -> FloatArray | None:
        """A channel on the grid of speeds, None when the log does not hold it."""
        return self.on_speed.get(name)

    def raw(self, name: str) -> FloatArray | None:
        """A channel as recorded during the pull, on the log's own time."""
        values = self.log.get(name)
        return None if values is None else values[self.first : self.last + 1]

    @property
    def time(self) -> FloatArray:
        """Time of the recorded rows of the pull. [s]"""
        return self.log.time[self.first : self.last + 1]
