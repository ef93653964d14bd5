"""Which assumed inputs weigh most in a verdict: those whose draws go with what the gravest findings say."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from enginelimits.decisions.draws import input_draws, quantity_draws
from enginelimits.decisions.verdict import Because, Judgement
from enginelimits.description.filled import Input
from enginelimits.rules.grades import severity

# As many findings as a reader is shown in full.
GRAVEST = 5
# Fewer draws than this, and a chance likeness passes for a link.
FEWEST_DRAWS = 16
# An input of a quantity's own formula, or of the one just beneath it, is of the quantity itself.
OWN = 2


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


def weightiest_beneath(judgement: Judgement, because: Because) -> tuple[Input, ...]:
    """The assumed inputs that one comparison hangs on, those first that move it most.

    With draws they are those whose draws go together with the quantity's more than chance has it.  Without, or where
    none does, the inputs of the quantity's own formula come first, then those of the formulas beneath, widest ahead.
    """
    assessment = judgement.assessment
    away = _steps_away(judgement, because.name)
    beneath = [given for given in _beneath(judgement, because) if given.basis == "assumed" and _spread(given)]
    near = sorted(beneath, key=lambda given: (away.get(given.path, len(away)), -_spread(given), given.path))
    values = quantity_draws(assessment, because) if assessment.samples >= FEWEST_DRAWS else None
    if values is None:
        return tuple(near)
    moved: dict[str, float] = {}
    for given in near:
        draws = input_draws(assessment, given.path)
        moved[given.path] = 0.0 if draws is None else _rank_correlation(draws, values)
    # Two standard errors of the coefficient where there is no link.
    chance = 2.0 / (len(values) - 1) ** 0.5
    told = sorted((g for g in near if moved[g.path] > chance), key=lambda given: (-moved[given.path], given.path))
    return tuple(told or near)


def nearest_numbers(judgement: Judgement, because: Because) -> tuple[Input, ...]:
    """The assumed numbers of the very part that a comparison speaks of: what its formula takes, or the next beneath.

    Of that part is what has its name in the path: ``clutch.reserve`` takes ``driveline.clutch_capacity``.
    """
    part = because.name.partition(".")[0]
    away = _steps_away(judgement, because.name)
    found = [
        given for given in _beneath(judgement, because)
        if given.basis == "assumed" and isinstance(given.value, float) and given.low != given.high
        and not given.path.startswith("class.") and away.get(given.path, OWN + 1) <= OWN
        and any(word.startswith(part) for word in given.path.replace("_", ".").split("."))
    ]
    return tuple(sorted(found, key=lambda given: (away[given.path], -_spread(given), given.path)))


def _steps_away(judgement: Judgement, name: str) -> dict[str, int]:
    """Of all that a quantity comes from, how many formulas lie between."""
    columns = judgement.assessment.columns
    away: dict[str, int] = {}
    todo, distance = [name], 0
    while todo:
        away |= dict.fromkeys(todo, distance)
        beneath = (column.takes.values() for each in todo if (column := columns.get(each)) is not None)
        todo = list(dict.fromkeys(each for takes in beneath for each in takes if each not in away))
        distance += 1
    return away


def _weights(judgement: Judgement) -> dict[str, float]:
    assessment = judgement.assessment
    drawn = assessment.samples >= FEWEST_DRAWS
    weights: dict[str, float] = {}
    for place, finding in enumerate(judgement.findings[:GRAVEST]):
        # Of equally grave findings the first counts a little more, so that the list follows the page.
        gravity = severity(finding.grade) + 1.0 / (1 + place)
        for because in finding.because:
            values = quantity_draws(assessment, because) if drawn else None
            for given in _beneath(judgement, because):
                if given.basis != "assumed":
                    continue
                draws = input_draws(assessment, given.path) if values is not None else None
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
