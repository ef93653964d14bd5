"""Numbers put into a rule's message.  Our own substitution: no text of a file is ever run as a format."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Final

from enginelimits.rules.model import Rule
from enginelimits.rules.outcome import Cause, LimitUsed, Shown, Witness
from enginelimits.units.display import System, shown

PLAIN: Final = ("value", "limit", "speed", "chance")
NAMED: Final = ("limit", "quantity", "input", "margin")
ALIKE: Final = 1e-9  # share within which a condition takes a value for its limit
_PLACEHOLDER: Final = re.compile(r"\{([^{}]{0,100})\}")
_LIST: Final = re.compile(r"\[([^\[\]|]{1,200}(?:\|[^\[\]|]{1,200})+)\]")
_KNOWN: Final = re.compile(r"(value|limit|speed|chance)|(limit|quantity|input|margin):([a-z][a-z0-9_.]*)")


def placeholders(text: str) -> Iterator[tuple[str, str]]:
    """(kind, name) of each placeholder; the name is empty for those without, the kind where it is unknown.

    A margin is a quantity, said in another way.
    """
    for found in _PLACEHOLDER.finditer(text):
        known = _KNOWN.fullmatch(found[1])
        if known is None:
            yield "", found[1]
        else:
            yield (known[1], "") if known[1] else ("quantity" if known[2] == "margin" else known[2], known[3])


def message_text(
    rule: Rule,
    witness: Witness,
    *,
    speed: float | None = None,
    chance: float | None = None,
    system: System = "metric",
) -> str:
    """The rule's message with the numbers of its witness.  ``speed`` in rad/s; unknown numbers read so.

    ``{margin:a.b}`` reads "3 % short of", and below zero "3 % past", what the sentence then names.
    Of a list ``[{quantity:a.b} higher|{quantity:c.d} hotter]`` those parts are said whose quantity or input is among
    the causes.  A value that reads as its limit does, and is not it, is said to lie just over or under it.
    """
    lead = next((c for c in witness.causes if c.limit is not None and isinstance(c.value, float)), None)
    lead = lead or next(iter(witness.causes), None)

    def put(found: re.Match[str]) -> str:
        known = _KNOWN.fullmatch(found[1])
        if known is None:
            return found[0]
        if known[1] == "speed":
            return shown(speed, "rad/s", system)
        if known[1] == "chance":
            return "an unknown share" if chance is None else f"{100.0 * chance:.0f} %"
        if known[1]:
            return _of_lead(lead, known[1], system)
        if known[2] == "limit":
            used = witness.limits.get(known[3])
            return _text(used.value, used.unit, system, _compared_with(rule, known[3])) if used else found[0]
        if known[2] == "margin":
            value, unit = witness.values.get(f"quantity:{known[3]}", (None, "1"))
            return _margin(value, unit, system, known[3])
        value, unit = witness.values.get(f"{known[2]}:{known[3]}", (None, "1"))
        own = lead is not None and (lead.kind, lead.name) == (known[2], known[3])
        return _beside_limit(value, unit, system, known[3], lead.limit if lead is not None and own else None)

    return _PLACEHOLDER.sub(put, _LIST.sub(lambda found: _of_causes(found[1], witness), rule.message))


def _of_causes(parts: str, witness: Witness) -> str:
    """The parts of a list that speak of a cause; all of them where none does."""
    causes = {cause.name for cause in witness.causes if cause.kind in ("quantity", "input")}
    every = parts.split("|")
    told = [part for part in every if any(name in causes for _, name in placeholders(part))]
    return " and ".join(told or every)


def _of_lead(lead: Cause | None, what: str, system: System) -> str:
    if lead is None:
        return "unknown"
    if what == "value":
        return _beside_limit(lead.value, lead.unit, system, lead.name, lead.limit)
    return "unknown" if lead.limit is None else _text(lead.limit.value, lead.limit.unit, system, lead.name)


def _beside_limit(value: Shown, unit: str, system: System, name: str, limit: LimitUsed | None) -> str:
    """A number of a message; where no digit shown tells it from its limit, on which side of it it lies."""
    text = _text(value, unit, system, name)
    if limit is None or not isinstance(value, float) or not isinstance(limit.value, float) or not math.isfinite(value):
        return text
    if abs(value - limit.value) <= ALIKE * abs(limit.value) or text != _text(limit.value, limit.unit, system, name):
        return text
    return f"just {'over' if value > limit.value else 'under'} {text}"


def _margin(value: Shown, unit: str, system: System, hint: str) -> str:
    if not isinstance(value, float):
        return "an unknown way from"
    return f"{_text(abs(value), unit, system, hint)} {'past' if value < 0.0 else 'short of'}"


def _text(value: Shown, unit: str, system: System, hint: str) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    # A sentence says itself that something is hotter by so much.
    return shown(value, unit, system, quantity_hint=hint).replace(" of difference", "")


def _compared_with(rule: Rule, limit: str) -> str:
    """Id of what a limit is compared with, which says how its number is best shown."""
    from enginelimits.rules.model import Compare, leaves, limit_names

    for leaf in leaves(*rule.conditions):
        if isinstance(leaf, Compare) and limit in limit_names(leaf):
            return leaf.name
    return ""
