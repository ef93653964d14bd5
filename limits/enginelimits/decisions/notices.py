"""What must be told whatever the rules say, and what is still to ask; the words stand beside this file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Literal

from enginelimits.decisions.verdict import Finding
from enginelimits.description.filled import Filled, Input
from enginelimits.description.standard import taken_for_standard
from enginelimits.rules.grades import severity

Kind = Literal["notices", "questions"]
FILE = Path(__file__).with_name("notices.yaml")


def notices_for(filled: Filled, findings: Iterable[Finding] = ()) -> tuple[str, ...]:
    """The warnings that a build calls for."""
    return _said("notices", filled, tuple(findings))


def questions_for(filled: Filled) -> tuple[str, ...]:
    """What is still to be asked of the customer."""
    return _said("questions", filled, ())


def in_brief(notices: Iterable[str]) -> tuple[str, ...]:
    """The few words of each warning, its own where it has no fewer; none for what speaks of the whole tool."""
    briefs = {entry["say"]: entry.get("brief", "") for entry in _entries()["notices"]}
    told = (briefs.get(say, say.rstrip(".")) for say in notices)
    return tuple(brief for brief in told if brief)


def _said(kind: Kind, filled: Filled, findings: Sequence[Finding]) -> tuple[str, ...]:
    # Only what is certainly false is left out: a notice too many does no harm.
    return tuple(
        entry["say"]
        for entry in _entries()[kind]
        if "when" not in entry or _holds(entry["when"], filled, findings) is not False
    )


@cache
def _entries() -> Mapping[str, Sequence[Mapping[str, Any]]]:
    import yaml

    # in C where the library has it: a tenth of the time
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    entries: Mapping[str, Sequence[Mapping[str, Any]]] = yaml.load(FILE.read_text(encoding="utf-8"), Loader=loader)
    return entries


def _holds(when: Mapping[str, Any], filled: Filled, findings: Sequence[Finding]) -> bool | None:
    """Whether a condition holds; None when it cannot be said."""
    if "finding" in when:
        return any(severity(finding.grade) >= severity(when["finding"]) for finding in findings)
    if "all" in when or "any" in when:
        decisive = "any" in when
        parts = [_holds(part, filled, findings) for part in when["any" if decisive else "all"]]
        if decisive in parts:
            return decisive
        return None if None in parts else not decisive
    if "taken" in when:
        return (when["input"] in taken_for_standard(filled.build)) is bool(when["taken"])
    return _input_holds(when, filled.get(when["input"]))


def _input_holds(when: Mapping[str, Any], given: Input | None) -> bool | None:
    if "stated" in when:
        stated = given is not None and given.value is not None and given.basis != "assumed"
        return stated is bool(when["stated"])
    if given is None or given.value is None:
        return None
    if "above" in when:
        top = given.high if given.high is not None else given.value
        return isinstance(top, float | int) and top > _amount(when["above"], given.unit)
    word = {True: "yes", False: "no"}[given.value] if isinstance(given.value, bool) else given.value
    if "is_not" in when:
        return word != str(when["is_not"])
    return word in tuple(when["in"] if "in" in when else (when["is"],))


def _amount(text: str, unit: str) -> float:
    from enginelimits.units.grammar import split
    from enginelimits.units.registry import to_si

    written = split(text)
    if written.value is None:
        raise ValueError(f"{FILE.name}: {text!r} is not one amount")
    return to_si(written.value, written.unit, unit)
