"""A rule worked out on a build, as words and as data."""

from __future__ import annotations

from typing import Any

from enginelimits.decisions.rule_on_build import GradeWorked, RuleWorked
from enginelimits.present.tree import Heading, Item, Line, Node, Run, line
from enginelimits.present.values import finite
from enginelimits.rules.outcome import Cause
from enginelimits.rules.wording import SENSES
from enginelimits.units.display import System, shown


def on_build_nodes(worked: RuleWorked, system: System) -> tuple[Node, ...]:
    """What each grade asks on this build, and what it finds."""
    nodes: list[Node] = [Heading(f"On {worked.build}")]
    if worked.state != "applies":
        missing = f"; missing: {', '.join(worked.missing)}" if worked.missing else ""
        return (*nodes, line(f"{worked.state}{missing}"))
    nodes.append(line("grade of the typical build: ", Run(worked.grade, "strong"),
                      f"; could be {worked.could_be}" if worked.could_be != worked.grade else "",
                      f"; missing: {', '.join(worked.missing)}" if worked.missing else ""))
    nodes += [_grade(grade, system) for grade in worked.grades]
    return tuple(nodes)


def _grade(grade: GradeWorked, system: System) -> Item:
    ambient = "" if grade.ambient == "site" else f", {grade.ambient}"
    where = f"at {shown(grade.speed, 'rad/s', system)}{ambient}"
    said = "met" if grade.met else "not met, nearest"
    under: tuple[Line, ...] = tuple(line(_cause(cause, system)) for cause in grade.causes)
    return Item("-", (Run(f"{grade.grade}: ", "strong"), Run(f"{said} {where}")), under)


def _cause(cause: Cause, system: System) -> str:
    value = _value(cause.value, cause.unit, system)
    if cause.limit is None:
        return f"{cause.kind} {cause.name}: {value}"
    limit = _value(cause.limit.value, cause.limit.unit, system)
    sense = SENSES.get(cause.limit.sense, cause.limit.sense)
    if sense == "given":
        return f"{cause.kind} {cause.name}: {value}; asked: {'known' if cause.limit.value else 'not known'}"
    name = f" ({cause.limit.name})" if cause.limit.name else ""
    return f"{cause.kind} {cause.name}: {value}; asked: {sense} {limit}{name}"


def _value(value: Any, unit: str, system: System) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return shown(value, unit, system) if isinstance(value, float | int) else str(value)


def on_build_data(worked: RuleWorked) -> dict[str, Any]:
    """The same as data, SI."""
    return {
        "build": worked.build,
        "state": worked.state,
        "grade": worked.grade,
        "could_be": worked.could_be,
        "missing": list(worked.missing),
        "grades": [
            {
                "grade": grade.grade,
                "met": grade.met,
                "at": {"engine_speed": grade.speed, "ambient": grade.ambient},
                "because": [
                    {
                        cause.kind: cause.name,
                        "value": finite(cause.value),
                        "unit": cause.unit,
                        "limit": None
                        if cause.limit is None
                        else {
                            "name": cause.limit.name,
                            "value": finite(cause.limit.value),
                            "unit": cause.limit.unit,
                            "sense": cause.limit.sense,
                        },
                    }
                    for cause in grade.causes
                ],
            }
            for grade in worked.grades
        ],
    }
