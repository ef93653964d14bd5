"""A large batch of draws judged a part at a time, so that memory grows little with it.

Each part is assessed and its rules are evaluated on the same draws, of inputs and of limits, that it has in the whole;
what is kept of it are the grades of each draw and the values that the ends of ranges are made of.  The typical row
stands in every part and is the same in all.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from math import ceil
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.collect import Ranges
from enginelimits.assessment.results import Assessment
from enginelimits.assessment.sample import PART, Part, Stretch
from enginelimits.rules.evaluate import Evaluation, RuleOutcome, Witness
from enginelimits.rules.grades import REINFORCE

Rows = NDArray[Any]
# Draws of one part: their columns take a few hundred megabytes
DRAWS_A_PART = 512
# Parts that share the draws of each stream, about 35 MB.  They are made of the whole batch each time, which in a very
# large one takes longer than a part does, so that there are no more stretches than this.
PARTS_A_STRETCH = STRETCHES = 16


@contextmanager
def drawn_of(samples: int) -> Iterator[None]:
    """Draw, within, as the first part of so many draws does."""
    token = PART.set(Part(samples, 0) if samples > DRAWS_A_PART else None)
    try:
        yield
    finally:
        PART.reset(token)


class Judged(NamedTuple):
    """The assessment, with the columns of its first draws, and the rules' outcomes in every draw."""

    assessment: Assessment
    evaluation: Evaluation


def judged_in_parts(samples: int, judged: Callable[[int], Judged], most: int = DRAWS_A_PART) -> Judged:
    """``judged`` gives a part of so many draws; all of them together."""
    first: Judged | None = None
    ranges = Ranges(samples)
    grades: dict[str, list[_Grades]] = {}
    length = most * max(PARTS_A_STRETCH, ceil(samples / (STRETCHES * most)))
    gc.freeze()  # what was there before is not looked through again for every part
    # Nor does a part need looking through while it is made: its rings are collected at its end.
    collecting = gc.isenabled()
    gc.disable()
    try:
        for begin in range(0, samples, most):
            if begin % length == 0:
                stretch = Stretch(begin, begin + length, {})
            token = PART.set(Part(samples, begin, stretch))
            try:
                part = judged(min(most, samples - begin))
            finally:
                PART.reset(token)
            ranges.add(part.assessment)
            for id_, outcome in part.evaluation.outcomes.items():
                grades.setdefault(id_, []).append(_grades(outcome, begin))
            first = first or part
            # Outcomes and what finds their witnesses hold each other: without this, parts would pile up.
            del part, outcome
            gc.collect()
    finally:
        gc.unfreeze()
        if collecting:
            gc.enable()
    if first is None:
        raise ValueError("a batch in parts has draws")
    outcomes = {id_: _joined(outcome, grades.pop(id_)) for id_, outcome in first.evaluation.outcomes.items()}
    return Judged(ranges.put_on(first.assessment), replace(first.evaluation, outcomes=outcomes))


class _Grades(NamedTuple):
    """What is kept of an outcome: its arrays, and what decides the first draw that would be reinforce."""

    grade: Rows
    could_be: Rows
    applies: Rows
    judged: Rows
    reinforced: tuple[int, Witness] | None


def _grades(outcome: RuleOutcome, begin: int) -> _Grades:
    rows = np.flatnonzero((outcome.grade >= REINFORCE).any(axis=0))
    reinforced = None
    if begin and rows.size:
        reinforced = (begin + int(rows[0]), outcome.witness(REINFORCE, int(rows[0])))
    return _Grades(outcome.grade, outcome.could_be, outcome.applies, outcome.judged, reinforced)


def _joined(first: RuleOutcome, parts: Sequence[_Grades]) -> RuleOutcome:
    """The rows of all parts behind the typical one; where asked about a draw of a later part, what was kept of it."""

    def whole(name: str) -> Rows:
        arrays = [getattr(part, name) for part in parts]
        return np.concatenate([arrays[0], *(array[:, 1:] for array in arrays[1:])], axis=1)

    kept = dict(part.reinforced for part in parts if part.reinforced is not None)
    size = parts[0].grade.shape[1]

    def find(grade: int, row: int) -> Witness:
        if row < size:
            return first.find(grade, row)
        return kept[row] if row in kept and grade == REINFORCE else first.find(grade, 0)

    return replace(first, grade=whole("grade"), could_be=whole("could_be"), applies=whole("applies"),
                   judged=whole("judged"), find=find)
