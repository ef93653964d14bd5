"""Values of inputs, quantities and limits as words, in the reader's units."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from enginelimits.units.display import System, shown

if TYPE_CHECKING:
    from enginelimits.assessment.results import At, QuantityResult
    from enginelimits.decisions.verdict import Because
    from enginelimits.description.filled import Input

UNKNOWN = "unknown"
_PLACES = {"site": "at the site", "hot day": "on the hot day", "mountain": "on the mountain"}


def value_text(value: Any, unit: str, system: System, *, kind: str = "", hint: str = "") -> str:
    """Any value as words: a number with its unit, yes or no, text as it stands, a list of numbers."""
    if value is None:
        return UNKNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if isinstance(value, tuple | list):
        return ", ".join(value_text(part, unit, system, kind=kind, hint=hint) for part in value)
    return shown(float(value), unit, system, kind, hint)


def range_text(
    low: float | None, high: float | None, unit: str, system: System, *, kind: str = "", hint: str = ""
) -> str:
    """A range as ``A to B unit``; empty when there is none, or it is a point."""
    if low is None or high is None or low == high:
        return ""
    ends = ((float(low), float(high)), (float(high), float(low)))
    first, last = (shown(end, unit, system, kind, hint, other) for end, other in ends)
    if first == last:
        return ""
    if low == 0.0 and unit not in ("K", "1"):
        return f"0 to {last}"
    number, _, words = first.partition(" ")
    if words and words == last.partition(" ")[2]:
        return f"{number} to {last}"
    return f"{first} to {last}"


def input_text(given: Input, system: System) -> str:
    """An input with its range."""
    if given.curve is not None:
        kind, hint = given.kind, given.path
        values = [input_text(point, system) for point in given.points] or [
            value_text(y, given.unit, system, kind=kind, hint=hint) for _, y in given.curve
        ]
        return ", ".join(
            f"{value_text(at, 'rad/s', system)}: {y}" for (at, _), y in zip(given.curve, values, strict=True)
        )
    if given.points:
        return ", ".join(input_text(point, system) for point in given.points)
    text = value_text(given.value, given.unit, system, kind=given.kind, hint=given.path)
    spread = range_text(given.low, given.high, given.unit, system, kind=given.kind, hint=given.path)
    return f"{text} ({spread})" if spread else text


def result_text(result: QuantityResult, system: System) -> str:
    """A quantity with its range, or why there is none."""
    if result.status != "ok" or result.value is None:
        return result.status if result.status != "ok" else UNKNOWN
    text = value_text(result.value, result.unit, system, hint=result.id)
    spread = range_text(result.low, result.high, result.unit, system, hint=result.id)
    return f"{text} ({spread})" if spread else text


def at_text(at: At | None, system: System, *, site: bool = False) -> str:
    """Where a value was taken: the speed, and the ambient where it is not the site's or ``site`` asks."""
    if at is None:
        return ""
    parts = []
    if at.engine_speed is not None:
        parts.append(f"at {value_text(at.engine_speed, 'rad/s', system)}")
    if at.ambient and (site or at.ambient != "site"):
        parts.append(_PLACES.get(at.ambient, at.ambient))
    return ", ".join(parts)


SENSES = {"above": "above", "below": "below", "is": "is", "is_not": "is not", "at_least": "at least"}


def because_text(because: Because, system: System) -> str:
    """One comparison as words: name, value, limit, place."""
    text = f"{because.name} {value_text(because.value, because.unit, system, hint=because.name)}"
    if because.limit is not None:
        limit = because.limit
        sense = SENSES.get(limit.sense, limit.sense)
        text += f", {sense} {value_text(limit.value, limit.unit, system, hint=because.name)}"
    place = at_text(because.at, system)
    return f"{text}, {place}" if place else text


def finite(value: Any) -> Any:
    """The value with every number that is not finite turned into None, arrays into lists."""
    if isinstance(value, bool | str) or value is None:
        return value
    if isinstance(value, int):
        return value
    if isinstance(value, dict):
        return {str(key): finite(part) for key, part in value.items()}
    if isinstance(value, tuple | list | set | frozenset):
        return [finite(part) for part in value]
    if hasattr(value, "tolist"):
        return finite(value.tolist())
    try:
        number = float(value)
    except (TypeError, ValueError):
        return str(value)
    return number if math.isfinite(number) else None
