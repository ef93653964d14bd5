"""Whether one condition certainly implies another, as far as their form alone shows it."""

from __future__ import annotations

from collections.abc import Mapping

from enginelimits.rules.model import (
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    Limit,
    LimitName,
    Matches,
    Not,
    Other,
    Some,
)
from enginelimits.units.grammar import GrammarError

Limits = Mapping[str, Limit]
_UPPER = ("above", "at_least")


def implies(one: Condition, other: Condition, limits: Limits) -> bool:
    """Whether ``other`` holds wherever ``one`` does.  False where the form does not tell."""
    if one == other:
        return True
    if isinstance(one, Some):
        return all(implies(part, other, limits) for part in one.of)
    if isinstance(other, Every):
        return all(implies(one, part, limits) for part in other.of)
    if isinstance(other, Some) and any(implies(one, part, limits) for part in other.of):
        return True
    if isinstance(one, Every) and any(implies(part, other, limits) for part in one.of):
        return True
    if isinstance(one, Not) and isinstance(other, Not):
        return implies(other.of, one.of, limits)
    if isinstance(one, Count) and isinstance(other, Count):
        return set(one.of) <= set(other.of) and one.at_least >= other.at_least
    if isinstance(one, Matches) and isinstance(other, Matches):
        return _word_implies(one, other)
    if isinstance(one, Compare) and isinstance(other, Compare):
        return _comparison_implies(one, other, limits)
    return False


def _word_implies(one: Matches, other: Matches) -> bool:
    if one.name != other.name:
        return False
    mine, theirs = set(one.values), set(other.values)
    if one.match in ("is", "in"):
        return mine <= theirs if other.match in ("is", "in") else not mine & theirs
    return other.match in ("is_not", "not_in") and mine >= theirs


def _comparison_implies(one: Compare, other: Compare, limits: Limits) -> bool:
    """Same subject, same side, and a limit that lies at least as far out."""
    if (one.kind, one.name) != (other.kind, other.name):
        return False
    if (one.sense in _UPPER) != (other.sense in _UPPER):
        return False
    mine, theirs = _number(one.against, limits), _number(other.against, limits)
    if mine is None or theirs is None or mine[0] != theirs[0]:
        return False
    if mine[1] == theirs[1]:
        return one.sense == other.sense or one.sense in ("above", "below")
    return mine[1] > theirs[1] if one.sense in _UPPER else mine[1] < theirs[1]


def _number(against: LimitName | Amount | Other, limits: Limits) -> tuple[str, float] | None:
    """What a number counts in, and the number.  Multiples of a value are ordered where it is above zero."""
    if isinstance(against, Other):
        times = against.times
        if isinstance(times, LimitName):
            found = _number(times, limits)
            return None if found is None else (f"{against.kind} {against.name}", found[1])
        return f"{against.kind} {against.name}", times
    amount = against
    if isinstance(amount, LimitName):
        if amount.name not in limits:
            return None
        amount = limits[amount.name].value
    try:
        return amount.si_unit, amount.si(amount.si_unit)
    except GrammarError:
        return None
