"""The worked calculation behind one quantity: the graph of steps walked at one cell."""

from __future__ import annotations

import inspect
import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any

import numpy as np

from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.results import Assessment
from enginelimits.assessment.sample import HOT_DAY, MOUNTAIN
from enginelimits.assessment.vocabulary import QUANTITIES, printed
from enginelimits.errors import InputError, Problem
from enginelimits.units.suffixes import unit_of_argument

Cell = float | str | bool | None
# A formula that takes the greatest of an argument over the speeds: at another its numbers do not come to the result
_GREATEST = re.compile(r"Solved: the greatest of (\w+) over all speeds")
_COOLER = ("computed", "iso-2533", "the ordinary day's, lowered by the standard lapse rate")
# Basis, source and note of what is not the site's own there
_ON_MOUNTAIN = {
    "site.altitude": ("documented", "", "of the mountain asked for"),
    "site.air_temperature": _COOLER,
    "ambient.ordinary_temperature": _COOLER,
}


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument of a step, bound: the name in the equation, where it came from, and its value there."""

    name: str
    comes_from: str
    value: Cell
    unit: str
    basis: str
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class WorkedStep:
    """One step with its numbers put in.  ``depth`` counts from the quantity asked for, which is 0."""

    gives: str
    value: Cell
    unit: str
    meaning: str
    equation: str
    arguments: tuple[Argument, ...]
    source: str
    depth: int
    status: str


def known_quantity(quantity: str) -> None:
    """InputError, with what is spelled nearly so, where the vocabulary has no such quantity."""
    if quantity not in QUANTITIES:
        near = tuple(get_close_matches(quantity, [k.id for k in printed()], n=3))
        raise InputError([Problem("a quantity of the vocabulary", repr(quantity), near=near,
                                  mend="See `enginelimits quantities`.", file="argument")])


def worked(assessment: Assessment, quantity: str, speed: float | None = None, ambient: str | None = None
           ) -> list[WorkedStep]:
    """Every step behind ``quantity``, from it back to the inputs, at one speed and ambient of the typical build.

    ``speed`` [rad/s] defaults to where the quantity governs, and of one that takes the greatest of something over all
    speeds to where that is; the nearest speed computed is taken.
    """
    known_quantity(quantity)
    result = assessment.quantities.get(quantity)
    at = result.at if result else None
    if ambient is None:
        ambient = at.ambient if at is not None else assessment.ambients[0]
    row = assessment.ambients.index(ambient)
    if speed is None and at is not None:
        speed = at.engine_speed
    column = assessment.columns.get(quantity)
    if speed is None and column is not None and column.step is not None:
        found = _greatest(assessment, column, row)
        speed = None if found is None else assessment.speeds[found[1]]
    if speed is None:
        speed = assessment.speeds[-1]
    place = (row, int(np.argmin(np.abs(np.array(assessment.speeds) - speed))))
    return list(_walk(assessment, quantity, place))


def _greatest(assessment: Assessment, column: Column, ambient: int) -> tuple[str, int] | None:
    """The argument of which a formula takes the greatest over all speeds, and the place of that speed."""
    assert column.step is not None
    told = _GREATEST.match(docstring_sections(column.step.of).get("Equation", ""))
    given = assessment.columns.get(column.takes.get(told[1], "")) if told is not None else None
    if told is None or given is None or given.si is None or isinstance(given.si, str | bool):
        return None
    values = [cell(given, (ambient, speed)) for speed in range(len(assessment.speeds))]
    known = [value if isinstance(value, float) else -math.inf for value in values]
    return (told[1], int(np.argmax(known))) if max(known) > -math.inf else None


def _walk(assessment: Assessment, quantity: str, place: tuple[int, int]) -> Iterator[WorkedStep]:
    """Breadth first, each quantity once, so that a reader meets what he just read about next."""
    queue: list[tuple[str, int]] = [(quantity, 0)]
    seen = {quantity}
    while queue:
        name, depth = queue.pop(0)
        column = assessment.columns.get(name)
        if column is None or column.step is None:
            if depth == 0:
                yield _plain(assessment, name, column, place)
            continue
        yield _worked(assessment, name, column, depth, place)
        for taken in column.takes.values():
            if taken in QUANTITIES and taken not in seen:
                seen.add(taken)
                queue.append((taken, depth + 1))


def _plain(assessment: Assessment, name: str, column: Column | None, place: tuple[int, int]) -> WorkedStep:
    kind = QUANTITIES[name]
    value = None if column is None else cell(column, place)
    return WorkedStep(name, value, kind.unit, kind.meaning, "", (), "", 0,
                      "ok" if value is not None else "not applicable")


def _worked(
    assessment: Assessment, name: str, column: Column, depth: int, place: tuple[int, int]
) -> WorkedStep:
    kind, step = QUANTITIES[name], column.step
    assert step is not None
    sections = docstring_sections(step.of)
    greatest = _greatest(assessment, column, place[0])
    arguments = (
        *(_at_greatest(assessment, n, column.takes[n], place, greatest) for n in column.takes),
        *_constants(assessment, step, column.takes),
    )
    status = "ok"
    if column.si is None:
        status = "cannot compute: needs " + ", ".join(sorted(column.missing))
    elif bool(cell_of(column.outside, place)):
        status = "out of range: " + "; ".join(sorted(column.reasons))
    elif not bool(cell_of(column.applicable, place)):
        status = "not applicable at this speed"
    value = cell(column, place) if status == "ok" and not kind.crank else None
    return WorkedStep(name, value, kind.unit, kind.meaning, sections.get("Equation", ""), arguments,
                      sections.get("Source", ""), depth, status)


def _at_greatest(
    assessment: Assessment, name: str, comes_from: str, place: tuple[int, int], greatest: tuple[str, int] | None
) -> Argument:
    """An argument at the place, or where it is greatest if the formula takes that."""
    if greatest is None or greatest[0] != name:
        return _argument(assessment, name, comes_from, place)
    found = _argument(assessment, name, comes_from, (place[0], greatest[1]))
    rpm = assessment.speeds[greatest[1]] * 30.0 / math.pi
    return replace(found, note="; ".join(filter(None, (found.note, f"the greatest, at {rpm:.0f} rpm"))))


def _argument(assessment: Assessment, name: str, comes_from: str, place: tuple[int, int]) -> Argument:
    column = assessment.columns.get(comes_from)
    given = assessment.filled.get(comes_from)
    kind = QUANTITIES.get(comes_from)
    unit = given.unit if given is not None else kind.unit if kind is not None else "1"
    value: Any = None
    if given is not None and isinstance(given.value, tuple):
        value = ", ".join(f"{v:g}" for v in given.value)
    elif column is not None and not (kind is not None and kind.crank):
        value = cell(column, place)
    basis = given.basis if given is not None else "computed"
    ambient = assessment.ambients[place[0]]
    if ambient == MOUNTAIN and comes_from in _ON_MOUNTAIN:
        return Argument(name, comes_from, value, unit, *_ON_MOUNTAIN[comes_from])
    if ambient != assessment.ambients[0] and comes_from in HOT_DAY:
        given = assessment.filled.get(HOT_DAY[comes_from]) or given
    words = () if given is None else (given.from_class, given.note if given.pool else "", given.together)
    told = "; ".join(filter(None, words))
    return Argument(name, comes_from, value, unit, basis, given.source if given else "", told)


def _constants(assessment: Assessment, step: Step, bound: Mapping[str, str]) -> Iterator[Argument]:
    """What the equation names but no column gives: what a choice settles, and the formula's own constants."""
    path = next(iter(step.when), "")
    chosen = assessment.filled.get(path)
    for name, value in step.fixed.items():
        if not path:
            yield Argument(name, "formula", value, unit_of_argument(name), "constant", "", "")
            continue
        basis = chosen.basis if chosen is not None else "assumed"
        note = "" if chosen is None else str(chosen.value)
        yield Argument(name, path, value, unit_of_argument(name), basis, "", note)
    for name, parameter in inspect.signature(step.of).parameters.items():
        value = parameter.default
        if name not in bound and name not in step.fixed and isinstance(value, float | int):
            yield Argument(name, "formula", float(value), unit_of_argument(name), "constant", "", "")


def cell(column: Column, place: tuple[int, int]) -> Cell:
    """The typical value of a column at one ambient and speed."""
    if column.si is None or isinstance(column.si, str | bool):
        return column.si
    value = cell_of(column.si, place)
    return float(value) if np.isfinite(value) else None


def cell_of(array: Any, place: tuple[int, int]) -> Any:
    """Row 0 of an array, broadcast over (ambients, rows, speeds), at one ambient and speed."""
    array = np.asarray(array)
    if array.ndim < 3:
        return array if array.ndim == 0 else array.flat[0]
    return array[min(place[0], array.shape[0] - 1), 0, min(place[1], array.shape[2] - 1)]


def docstring_sections(function: Callable[..., Any]) -> dict[str, str]:
    """The sections of a docstring by title, each dedented."""
    lines = (inspect.getdoc(function) or "").splitlines()
    sections: dict[str, list[str]] = {"": []}
    title = ""
    for i, line in enumerate(lines):
        if i + 1 < len(lines) and line.strip() and set(lines[i + 1].strip()) == {"-"}:
            title = line.strip()
            sections[title] = []
        elif not (line.strip() and set(line.strip()) == {"-"} and i and lines[i - 1].strip() == title):
            sections[title].append(line)
    return {name: "\n".join(text).strip() for name, text in sections.items()}
