"""Measured pulls as the ground that rules about logs are judged on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.results import Assessment
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.ground import LISTS, AssessmentGround, unit_of_path
from enginelimits.description.filled import Filled
from enginelimits.measured.held import speed_grid
from enginelimits.measured.log_quantities import log_columns
from enginelimits.measured.pull import Pull
from enginelimits.rules.ground import Reading


class LogGround:
    """Quantities of a log over (pulls, 1, speeds), with the inputs of the build and what was predicted of it.

    ``assessment`` is that of the build as described, so that what was measured can be held against what was predicted;
    one that was given the measured boost would agree with itself.
    """

    def __init__(self, pulls: Sequence[Pull], described: Filled, assessment: Assessment | None = None) -> None:
        if not pulls:
            raise ValueError("a log ground needs at least one pull")
        self._described = described
        self._assessment = assessment
        self.pulls = tuple(pulls)
        self.speeds: NDArray[np.float64] = speed_grid(pulls)
        self.shape = (len(pulls), 1, self.speeds.size)
        boost = None
        if assessment is not None:
            si = self._predicted("air.boost").si
            over = len(assessment.speeds)
            boost = None if si is None else (assessment.speeds, np.broadcast_to(si, (1, 1, over))[0, 0])
        self.columns = log_columns(pulls, described, predicted_boost=boost)

    @property
    def names(self) -> tuple[str, ...]:
        """The pulls in words, in their order."""
        logs = list(dict.fromkeys(pull.log.file for pull in self.pulls))
        return tuple(
            f"pull {pull.number}" + (f" of {pull.log.file}" if len(logs) > 1 else "") for pull in self.pulls
        )

    def quantity(self, id: str) -> Reading | None:
        """What the log says of a quantity, or what was predicted of it; None when the vocabulary has no such word."""
        if id in self.columns:
            return self.columns[id]
        kind = QUANTITIES.get(id)
        if kind is None or kind.crank:
            return None
        if self._assessment is None:
            return Reading(None, kind.unit, frozenset((id,)))
        found = self._predicted(id)
        if found.si is None:
            return found
        return found._replace(
            si=self._on_speeds(found.si, np.nan), outside=self._on_speeds(found.outside, True) > 0,
            applicable=self._on_speeds(found.applicable, True) >= 1,
        )

    def input(self, path: str) -> Reading:
        """The value of an input: a number, a curve over the speeds, text as it is, None when nobody said."""
        given = self._described.get(path)
        if given is None and path in LISTS and any(p.startswith(path + ".") for p in self._described.inputs):
            return Reading("given", "1")
        if given is None:
            return Reading(None, unit_of_path(path), frozenset((path,)))
        value: Any = given.value
        if given.curve:
            at, values = np.array(given.curve, dtype=float).T
            value = np.interp(self.speeds, at, values).reshape(1, 1, -1)
        elif isinstance(value, tuple):
            value = max(value)
        missing = frozenset((path,)) if value is None else frozenset()
        return Reading(value, given.unit, missing)

    def _predicted(self, id: str) -> Reading:
        """The typical build at its first ambient."""
        assert self._assessment is not None
        found = AssessmentGround(self._assessment).quantity(id)
        assert found is not None
        if found.si is None:
            return found
        si, outside, applicable = (
            np.broadcast_to(a, (*np.broadcast_shapes(np.shape(a), (1, 1, 1)),))[:1, :1]
            for a in (found.si, found.outside, found.applicable)
        )
        return found._replace(si=si, outside=outside, applicable=applicable)

    def _on_speeds(self, array: Any, beyond: Any) -> NDArray[np.float64]:
        """A prediction carried to the grid of the log; ``beyond`` where it was not made."""
        assert self._assessment is not None
        values = np.asarray(array, dtype=float).reshape(-1)
        if values.size == 1:
            return np.asarray(values.reshape(1, 1, 1))
        at = np.array(self._assessment.speeds)
        room = 1e-6 * at[-1]
        found = np.interp(self.speeds, at, values)
        inside = (self.speeds >= at[0] - room) & (self.speeds <= at[-1] + room)
        return np.asarray(np.where(inside, found, float(beyond)).reshape(1, 1, -1))
