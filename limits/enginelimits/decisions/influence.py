"""Which assumed inputs weigh most in a verdict: those whose draws go with what the gravest findings say."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.results import Assessment
from enginelimits.decisions.verdict import Because, Judgement
from enginelimits.description.filled import Input
from enginelimits.rules.grades import severity

# As many findings as a reader is shown in full.
GRAVEST = 5
# Fewer draws than this, and a chance likeness passes for a link.
FEWEST_DRAWS = 16


def weightiest(judgement: Judgement) -> tuple[Input, ...]:
    """The assumed inputs, those first that move what the gravest findings speak of.

    With draws, an input counts by how closely its draws and the quantity's go together (rank correlation);
    without, by the width of its range beneath such a quantity, which says less: a wide input may move little.
    """
    weights = _weights(judgement)
    return tuple(
        sorted(
            judgement.filled.assumed,
            key=lambda given: (-weights.get(given.path, 0.0), -_spread(given), given.path),
        )
    )


def _weights(judgement: Judgement) -> dict[str, float]:
    assessment = judgement.assessment
    drawn = assessment.samples >= FEWEST_DRAWS
    weights: dict[str, float] = {}
    for place, finding in enumerate(judgement.findings[:GRAVEST]):
        # Of equally grave findings the first counts a little more, so that the list follows the page.
        gravity = severity(finding.grade) + 1.0 / (1 + place)
        for because in finding.because:
            values = _draws_of_quantity(assessment, because) if drawn else None
            for given in _beneath(judgement, because):
                if given.basis != "assumed":
                    continue
                draws = _draws_of_input(assessment, given.path) if values is not None else None
                if values is not None and draws is not None:
                    share = _rank_correlation(draws, values)
                else:
                    share = min(_spread(given), 1.0)
                weights[given.path] = max(weights.get(given.path, 0.0), gravity * share)
    return weights


def _beneath(judgement: Judgement, because: Because) -> Iterator[Input]:
    """The inputs that a comparison rests on."""
    column = judgement.assessment.columns.get(because.name)
    paths = column.rests if column is not None and column.rests else (because.name,)
    for path in paths:
        given = judgement.filled.get(path)
        if given is not None:
            yield given


def _draws_of_quantity(assessment: Assessment, because: Because) -> NDArray[np.float64] | None:
    """The draws of a quantity at the place of its comparison."""
    column = assessment.columns.get(because.name)
    if column is None or column.si is None or isinstance(column.si, str | bool):
        return None
    at = because.at
    ambient = (
        assessment.ambients.index(at.ambient) if at is not None and at.ambient in assessment.ambients else 0
    )
    speed = 0
    if at is not None and at.engine_speed is not None and assessment.speeds:
        speed = int(np.argmin(np.abs(np.array(assessment.speeds) - at.engine_speed)))
    return _drawn(column.si, ambient, speed)


def _draws_of_input(assessment: Assessment, path: str) -> NDArray[np.float64] | None:
    column = assessment.columns.get(path)
    if column is None or column.si is None or isinstance(column.si, str):
        return None
    return _drawn(column.si, 0, 0)


def _drawn(si: Any, ambient: int, speed: int) -> NDArray[np.float64] | None:
    """The draws, without the typical row, at one ambient and speed; None for what was not drawn."""
    try:
        array = np.asarray(si, dtype=float)
    except (TypeError, ValueError):
        return None
    if array.ndim < 2 or array.shape[1] < 2:
        return None
    array = array[min(ambient, array.shape[0] - 1), 1:]
    return array if array.ndim == 1 else array[:, min(speed, array.shape[1] - 1)]


def _rank_correlation(one: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    """Spearman's coefficient without its sign, over the draws where both are known."""
    if one.shape != other.shape:
        return 0.0
    both = np.isfinite(one) & np.isfinite(other)
    if both.sum() < FEWEST_DRAWS or np.ptp(one[both]) == 0.0 or np.ptp(other[both]) == 0.0:
        return 0.0
    first, second = (np.argsort(np.argsort(values[both])).astype(float) for values in (one, other))
    return abs(float(np.corrcoef(first, second)[0, 1]))


def _spread(given: Input) -> float:
    """Width of an input's range over its value; a yes or no, or a class's name, counts as a fifth."""
    if isinstance(given.value, bool | str):
        return 0.2
    if not isinstance(given.value, float | int) or given.low is None or given.high is None:
        return 0.0
    if given.value == 0.0:
        return 1.0 if given.high > given.low else 0.0
    return min(abs(given.high - given.low) / abs(given.value), 2.0)
