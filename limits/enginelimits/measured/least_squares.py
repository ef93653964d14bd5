"""Least squares with what is known beforehand: Gauss and Newton's steps, on numpy alone.

What was measured and what classes say stand side by side, each with its covariance; a parameter of which the
measurement says nothing keeps its prior and its prior's error.  See Rodgers 2000, ch. 5, for the form of the steps.

A parameter may also be considered alone: it stays at its prior, as one that the measurement cannot tell from others
should, and what it may be wrong by is in the errors of the others (Tapley, Schutz and Born 2004, ch. 6, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
# A step of less than this share of the parameters' errors ends the search
SETTLED = 1e-3
MOST_PASSES = 12
MOST_HALVINGS = 4


@dataclass(frozen=True)
class Solution:
    """What the search ended in.  ``freedom`` is what the measurement has beyond what it settles."""

    parameters: FloatArray
    covariance: FloatArray
    residuals: FloatArray
    chi_squared: float
    freedom: float
    passes: int
    settled: bool


def solved(
    model: Callable[[FloatArray], FloatArray],
    measured: FloatArray,
    noise: FloatArray,
    prior: FloatArray,
    prior_covariance: FloatArray,
    *,
    low: FloatArray | None = None,
    high: FloatArray | None = None,
    considered: Sequence[int] = (),
) -> Solution:
    """The most probable parameters, and their covariance.

    ``model`` gives rows of predictions (rows, points) of rows of parameters (rows, parameters), so that all the
    derivatives come of one call.  ``noise`` is the covariance of what was measured (points, points).  ``considered``
    are the places of parameters that stay at their prior; their prior goes with that of no other.
    """
    least = np.full(prior.size, -np.inf) if low is None else low
    most = np.full(prior.size, np.inf) if high is None else high
    free = np.array([k for k in range(prior.size) if k not in considered], dtype=int)
    of_free = prior_covariance[np.ix_(free, free)]
    root, prior_root = np.linalg.cholesky(noise), np.linalg.cholesky(of_free)
    steps = 1e-2 * np.sqrt(np.diag(prior_covariance))

    def left(parameters: FloatArray, predicted: FloatArray) -> FloatArray:
        """Everything that is left, in units of its error."""
        one = np.linalg.solve(root, measured - predicted)
        return np.concatenate([one, np.linalg.solve(prior_root, (prior - parameters)[free])])

    def slopes(parameters: FloatArray) -> tuple[FloatArray, FloatArray]:
        away = np.where(parameters + steps > most, -steps, steps)
        rows = model(np.vstack([parameters, parameters + np.diag(away)]))
        return rows[0], ((rows[1:] - rows[0]) / away[:, None]).T

    here = np.clip(prior, least, most)
    settled, passes = False, 0
    while not settled and passes < MOST_PASSES:
        passes += 1
        predicted, slope = slopes(here)
        design = np.vstack([np.linalg.solve(root, slope[:, free]), np.linalg.inv(prior_root)])
        rest = left(here, predicted)
        step = np.zeros(prior.size)
        step[free] = np.linalg.lstsq(design, rest, rcond=None)[0]
        there = _shortened(
            here, np.clip(here + step, least, most), float(rest @ rest), lambda p: left(p, model(p[None])[0])
        )
        errors = np.sqrt(np.diag(np.linalg.inv(design.T @ design)))
        settled = bool(np.max(np.abs(there - here)[free] / errors, initial=0.0) < SETTLED)
        here = there
    predicted, slope = slopes(here)
    white = np.linalg.solve(root, slope)
    of_posterior = np.linalg.inv(white[:, free].T @ white[:, free] + np.linalg.inv(of_free))
    covariance = _with_considered(of_posterior, white, free, prior_covariance)
    residuals = measured - predicted
    kept = float(np.trace(np.linalg.solve(of_free, of_posterior)))
    freedom = max(float(measured.size - (free.size - kept)), 1.0)
    chi = np.linalg.solve(root, residuals)
    return Solution(here, covariance, residuals, float(chi @ chi), freedom, passes, settled)


def _shortened(
    here: FloatArray, there: FloatArray, before: float, left: Callable[[FloatArray], FloatArray]
) -> FloatArray:
    """The step, halved while it makes matters worse; none where no shorter one is better."""
    for _ in range(MOST_HALVINGS):
        rest = left(there)
        if float(rest @ rest) <= before * (1.0 + 1e-9):
            return there
        there = 0.5 * (here + there)
    return here


def _with_considered(
    of_free: FloatArray, white: FloatArray, free: NDArray[np.int_], prior_covariance: FloatArray
) -> FloatArray:
    """The covariance of all parameters: what the considered ones may be wrong by moves the free ones."""
    others = np.setdiff1d(np.arange(prior_covariance.shape[0]), free)
    covariance = np.array(prior_covariance)
    moves = of_free @ white[:, free].T @ white[:, others]
    of_others = prior_covariance[np.ix_(others, others)]
    covariance[np.ix_(free, free)] = of_free + moves @ of_others @ moves.T
    covariance[np.ix_(free, others)] = -moves @ of_others
    covariance[np.ix_(others, free)] = covariance[np.ix_(free, others)].T
    return covariance
