"""Which assumed inputs weigh most in a verdict: wide ones, under what the worst findings speak of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from enginelimits.rules.grades import severity

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.description.filled import Input


def weightiest(judgement: Judgement) -> tuple[Input, ...]:
    """The assumed inputs, those first whose range is widest beneath the gravest findings.

    This orders a list for reading.  It is not a sensitivity: a wide input may move a quantity little.
    """
    gravity = _gravity(judgement)
    return tuple(
        sorted(
            judgement.filled.assumed,
            key=lambda given: (-gravity.get(given.path, 0.0) * _spread(given), -_spread(given), given.path),
        )
    )


def _gravity(judgement: Judgement) -> dict[str, float]:
    """For each input path the greatest severity of a finding that rests on it."""
    gravity: dict[str, float] = {}
    columns = judgement.assessment.columns
    for place, finding in enumerate(judgement.findings):
        # Of equally grave findings the first counts a little more, so that the list follows the page.
        weight = severity(finding.grade) + 1.0 / (1 + place)
        for because in finding.because:
            for path in _beneath(columns.get(because.name), because.name):
                gravity[path] = max(gravity.get(path, 0.0), weight)
    return gravity


def _beneath(column: Any, name: str) -> frozenset[str]:
    if column is None:
        return frozenset((name,))
    return frozenset(column.rests) or frozenset((name,))


def _spread(given: Input) -> float:
    """Width of an input's range over its value; a yes or no, or a class's name, counts as a fifth."""
    if isinstance(given.value, bool | str):
        return 0.2
    if not isinstance(given.value, float | int) or given.low is None or given.high is None:
        return 0.0
    if given.value == 0.0:
        return 1.0 if given.high > given.low else 0.0
    return min(abs(given.high - given.low) / abs(given.value), 2.0)
