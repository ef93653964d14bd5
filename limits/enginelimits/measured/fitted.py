"""What a fit of the model to measured pulls hands on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

# An anchor whose error the pulls have brought below this share of its prior is theirs, not its class's
MOVED = 0.7


@dataclass(frozen=True, slots=True)
class FittedAnchor:
    """One anchor, SI: value and standard error after the fit, and before it.

    ``name`` as in a calibration file; ``speed`` [rad/s] where it is one of a curve.
    """

    name: str
    path: str
    speed: float | None
    value: float
    error: float
    prior: float
    prior_error: float
    unit: str

    @property
    def left(self) -> float:
        """Error after the fit over that before it: 1 where the pulls say nothing."""
        return self.error / self.prior_error

    @property
    def moved(self) -> bool:
        """Whether the pulls decide it."""
        return self.left < MOVED


@dataclass(frozen=True, slots=True)
class Residual:
    """One point of one channel, SI: as measured, and by the model before and after the fit.

    ``error`` is the standard deviation that sensor and model together were given there.
    """

    channel: str
    unit: str
    pull: int
    speed: float
    measured: float
    before: float
    after: float
    error: float


@dataclass(frozen=True, slots=True)
class Agreement:
    """How a channel agrees, SI: root mean square of measured less model, before and after.

    ``widened`` is by how much its stated error was multiplied for what was left; 1 where the statement held.
    """

    channel: str
    unit: str
    points: int
    before: float
    after: float
    widened: float


@dataclass(frozen=True)
class Fitted:
    """The anchors after the fit.  ``covariance`` is in the order of ``anchors``, SI.

    ``speed`` [rad/s] and ``boost`` [Pa] gauge are what the pulls cover; ``octane`` and ``ethanol`` their fuel.
    """

    build: str
    family: str
    filling_of: str
    at: str
    dyno: str
    induction: str
    drive: str
    gearbox: str
    anchors: tuple[FittedAnchor, ...]
    covariance: FloatArray
    residuals: tuple[Residual, ...]
    agreement: tuple[Agreement, ...]
    speed: tuple[float, float]
    boost: tuple[float, float]
    octane: float | None
    ethanol: float | None
    logs: tuple[tuple[str, str], ...]
    pulls: int
    passes: int
    settled: bool
    remarks: tuple[str, ...] = ()

    @property
    def correlation(self) -> FloatArray:
        """Of the anchors among each other."""
        errors = np.sqrt(np.diag(self.covariance))
        matrix: FloatArray = self.covariance / np.outer(errors, errors)
        return matrix

    @property
    def moved(self) -> tuple[str, ...]:
        """The anchors that the pulls decide; the filling where they do so at any of its speeds."""
        return tuple(dict.fromkeys(a.name for a in self.anchors if a.moved))

    def of(self, name: str) -> tuple[FittedAnchor, ...]:
        """The anchors of that name."""
        return tuple(a for a in self.anchors if a.name == name)

    def by_channel(self) -> Mapping[str, tuple[Residual, ...]]:
        """The residuals by speed of each channel."""
        channels = dict.fromkeys(r.channel for r in self.residuals)
        return {name: tuple(r for r in self.residuals if r.channel == name) for name in channels}
