"""Conditions in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from enginelimits.rules.model import (
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    FactHolds,
    Given,
    LimitName,
    Matches,
    Not,
    Other,
    RuleReaches,
    Some,
)

SENSES = {"above": "above", "below": "below", "at_least": "at least", "at_most": "at most"}
MATCHES = {"is": "is", "is_not": "is not", "in": "is one of", "not_in": "is none of"}


def condition_text(condition: Condition, limits: Mapping[str, str] | None = None) -> str:
    """A condition as words; a limit's name is followed by its number where ``limits`` gives it."""
    match condition:
        case Compare():
            return f"{condition.name} {SENSES[condition.sense]} {against_text(condition.against, limits or {})}"
        case Matches():
            return f"{condition.name} {MATCHES[condition.match]} {', '.join(condition.values)}"
        case Given():
            return f"{condition.name} is {'known' if condition.given else 'not known'}"
        case FactHolds():
            return f"fact {condition.name}"
        case RuleReaches():
            return f"{condition.id} reaches {condition.grade}"
        case Count():
            return f"at least {condition.at_least} of [{_joined(condition.of, '; ', limits)}]"
        case Every():
            return _joined(condition.of, " and ", limits)
        case Some():
            return _joined(condition.of, " or ", limits)
        case Not():
            return f"not ({condition_text(condition.of, limits)})"


def against_text(against: LimitName | Amount | Other, limits: Mapping[str, str]) -> str:
    """What a value is held against; a limit's name is followed by its number."""
    if isinstance(against, LimitName):
        return f"{against.name} ({limits[against.name]})" if against.name in limits else against.name
    if isinstance(against, Amount):
        return str(against)
    if isinstance(against.times, LimitName):
        return f"{against_text(against.times, limits)} times {against.name}"
    return against.name if against.times == 1.0 else f"{against.times:g} times {against.name}"


def _joined(parts: Iterable[Condition], word: str, limits: Mapping[str, str] | None) -> str:
    """Conditions joined; one that is itself joined stands in brackets."""
    told = [(condition_text(part, limits), isinstance(part, Every | Some)) for part in parts]
    return word.join(f"({text})" if nested else text for text, nested in told)
