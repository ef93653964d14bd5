"""An assessment as the ground that rules are judged on."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.results import Assessment
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.description.paths import known_paths
from enginelimits.rules.ground import Reading
from enginelimits.units.suffixes import SUFFIXES

SI_UNITS = frozenset(SUFFIXES.values())
# Lists of points in a build file: a rule can ask whether there are any
LISTS = ("anchors.knock",)
# Lists of names, of which rules ask for each by itself
SETS = ("protections",)


class AssessmentGround:
    """Quantities and inputs of one assessment, over (ambients, 1 + samples, speeds)."""

    def __init__(self, assessment: Assessment) -> None:
        self._assessment = assessment
        self.shape = (len(assessment.ambients), 1 + assessment.samples, len(assessment.speeds))
        self.speeds: NDArray[np.float64] = np.array(assessment.speeds)

    def quantity(self, id: str) -> Reading | None:
        """The readings of a quantity; None when the vocabulary has no such word."""
        kind = QUANTITIES.get(id)
        if kind is None:
            return None
        column = self._assessment.columns.get(id)
        if column is None:
            return Reading(np.nan, kind.unit, frozenset(), False, False)
        if column.si is None:
            return Reading(None, kind.unit, column.missing, False, column.applicable)
        return Reading(column.si, kind.unit, column.missing, column.outside, column.applicable)

    def input(self, path: str) -> Reading:
        """The value of an input: a number as an array, text as it is, None when nobody said."""
        given = self._assessment.filled.get(path)
        if given is None and path in LISTS and any(p.startswith(path + ".") for p in self._assessment.filled.inputs):
            return Reading("given", "1", frozenset(), False, True)
        if given is None:
            return Reading(None, unit_of_path(path), frozenset((_stated_as(path),)), False, True)
        column = self._assessment.columns[path]
        value: Any = column.si
        if isinstance(given.value, tuple):
            value = np.asarray(column.si).max(axis=-1)
        return Reading(value, given.unit, column.missing, False, True)


def _stated_as(path: str) -> str:
    """What a build file has to say for an input: each of a set of names stands in one list."""
    key = path.partition(".")[0]
    return key if key in SETS else path


def unit_of_path(path: str) -> str:
    """SI unit of an input that nobody gave; "1" for what has none."""
    unit = known_paths().get(path, "1")
    return unit if unit in SI_UNITS else "1"
