"""The worked calculation behind one quantity: formula, numbers put in, result, source, back to the inputs."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.assessment.results import At
from enginelimits.errors import InputError, Problem
from enginelimits.present.tree import Heading, Line, Node, Run, Table, Tree, line, runs, table
from enginelimits.present.values import finite, value_text

if TYPE_CHECKING:
    from enginelimits.assessment.derivation import Argument, WorkedStep
    from enginelimits.assessment.results import Assessment
    from enginelimits.units.display import System

WHY = "enginelimits.why/1"
DIGITS = 6
DEEPEST = 4
# A speed typed in round numbers may lie a little beyond the limiter.
SLACK = 0.01
# A name as an equation writes it; the digits of 1e5 and the tail of x.y are none.
_PROSE = re.compile(r"\s*[A-Z][a-z]+: ")
_NAME = re.compile(r"(?<![\w.])[A-Za-z_]\w*")
# A row that names what it gives, unlike one that only compares
_ASSIGNED = re.compile(r"\s*[A-Za-z_][\w, ]*=(?!=)")


def worked_tree(build: str, steps: Sequence[WorkedStep], place: str, system: System = "metric") -> Tree:
    """The steps from the quantity asked for, which is the first, down to the inputs, each step once."""
    numbers = {step.gives: number for number, step in enumerate(steps, 1)}
    nodes: list[Node] = []
    if steps:
        asked = steps[0]
        where = f", {place}" if place else ""
        nodes += [
            line(Run(asked.gives, "strong"), f" = {_result(asked, system)}{where}. {asked.meaning}"),
            line(Run("Formulas take SI numbers, in the unit that each argument's name ends in.", "muted")),
        ]
    for step in steps:
        nodes += _step(step, numbers, system)
    return Tree(build, tuple(nodes))


def place_of(assessment: Assessment, quantity: str, speed: float | None) -> At:
    """Where a calculation is shown: the computed speed nearest to ``speed``, else where the quantity governs.

    Raises InputError for a speed beyond those computed.
    """
    result = assessment.quantities.get(quantity)
    governs = result.at if result is not None else None
    ambient = governs.ambient if governs is not None else assessment.ambients[0]
    if speed is None:
        return governs if governs is not None else At(None, ambient)
    first, last = min(assessment.speeds), max(assessment.speeds)
    if not first * (1 - SLACK) <= speed <= last * (1 + SLACK):
        reach = f"{value_text(first, 'rad/s', 'metric')} to {value_text(last, 'rad/s', 'metric')}"
        got = value_text(speed, "rad/s", "metric")
        raise InputError([Problem(f"a speed from {reach}", got, key="--at", file="command line")])
    return At(min(assessment.speeds, key=lambda computed: abs(computed - speed)), ambient)


def worked_data(build: str, at: At | None, steps: Sequence[WorkedStep]) -> dict[str, Any]:
    """The same steps as data."""
    asked = steps[0] if steps else None
    return {
        "schema": WHY,
        "version": __version__,
        "build": {"name": build},
        "quantity": asked.gives if asked else None,
        "at": {"engine_speed": finite(at.engine_speed), "ambient": at.ambient} if at is not None else None,
        "value": finite(asked.value) if asked else None,
        "unit": asked.unit if asked else None,
        "steps": [
            {
                "gives": step.gives,
                "value": finite(step.value),
                "unit": step.unit,
                "meaning": step.meaning,
                "equation": step.equation,
                "put_in": None
                if _PROSE.match(step.equation)
                else put_in(step.equation, _values(step.arguments)),
                "arguments": [_argument(argument) for argument in step.arguments],
                "source": step.source,
                "depth": step.depth,
                "status": step.status,
            }
            for step in steps
        ],
    }


def put_in(equation: str, values: Mapping[str, Any]) -> str:
    """The equation with numbers in place of the arguments; what is assigned or called keeps its name."""
    assigned = set(re.findall(r"^\s*([A-Za-z_]\w*)\s*=(?!=)", equation, re.MULTILINE))

    def number(match: re.Match[str]) -> str:
        name = match.group()
        called = equation[match.end() :].lstrip(" ").startswith("(")
        return name if name not in values or name in assigned or called else si_text(values[name])

    return _NAME.sub(number, equation)


def si_text(value: Any) -> str:
    """A value as a formula takes it: six digits, a negative number in brackets."""
    value = finite(value)
    if value is None:
        return "unknown"
    if isinstance(value, bool | str):
        return str(value)
    if isinstance(value, list):
        return f"[{', '.join(si_text(part) for part in value)}]"
    text = f"{float(value):.{DIGITS}g}"
    return f"({text})" if text.startswith("-") else text


def _values(arguments: Iterable[Argument]) -> dict[str, Any]:
    # A trace over the crank has no one number, so its name stays in the formula.
    return {argument.name: argument.value for argument in arguments if argument.value is not None}


def _argument(argument: Argument) -> dict[str, Any]:
    return {
        "argument": argument.name,
        "of": argument.comes_from,
        "value": finite(argument.value),
        "unit": argument.unit,
        "basis": argument.basis,
        "source": argument.source,
        "note": argument.note,
    }


def _result(step: WorkedStep, system: System) -> str:
    if step.status != "ok":
        return step.status
    if step.value is None:
        return "a trace over the crank"
    return value_text(step.value, step.unit, system, hint=step.gives)


def _step(step: WorkedStep, numbers: Mapping[str, int], system: System) -> list[Node]:
    depth = min(step.depth, DEEPEST)
    return [
        _title(step, numbers[step.gives], depth, system),
        *(Line(runs(row), depth + 1) for row in _formula(step)),
        *([line(Run(f"Source: {step.source}", "muted"), depth=depth + 1)] if step.source else []),
        *([_arguments(step, numbers, depth + 1, system)] if step.arguments else []),
    ]


def _title(step: WorkedStep, number: int, depth: int, system: System) -> Node:
    text = f"{number}. {step.gives} = {_result(step, system)}"
    return Heading(text) if depth == 0 else line(Run(text, "strong"), depth=depth)


def _formula(step: WorkedStep) -> Iterator[str]:
    """The equation, its numbers put in, and what that comes to."""
    written = [row.strip() for row in step.equation.splitlines() if row.strip()]
    if _PROSE.match(step.equation):
        # A solver is told in words, which take no numbers.
        yield " ".join(written)
    else:
        yield from written
        filled = [put_in(row, _values(step.arguments)) for row in written]
        if filled != written:
            yield from (row if _ASSIGNED.match(row) else f"= {row}" for row in filled)
    if written and step.status == "ok" and step.value is not None:
        yield f"= {si_text(step.value)}{'' if step.unit == '1' else ' ' + step.unit}"


def _arguments(step: WorkedStep, numbers: Mapping[str, int], depth: int, system: System) -> Table:
    rows = []
    for argument in step.arguments:
        of = argument.comes_from
        if of in numbers:
            origin = Run(", ".join(filter(None, (of, f"step {numbers[of]}", argument.note))))
        else:
            words = ", ".join(part for part in (argument.basis, argument.note, argument.source) if part)
            origin = Run(
                f"{of}, {words}" if words else of, "assumed" if argument.basis == "assumed" else "plain"
            )
        # Where the step came to a number, an argument that has none is a trace over the crank.
        traced = argument.value is None and step.status == "ok"
        value = "over the cycle" if traced else value_text(argument.value, argument.unit, system, hint=of)
        rows.append((argument.name, value, origin))
    return table(("argument", "value", "from"), rows, wide=2, depth=depth)
