"""Every physics function tells its units, range, equation and source, and tells them truly.

What is read out of a docstring is compared with the code: suffixes, ranges, names in the equation.  Where
the equation can be computed as it stands, it is, at points of the valid range, because the worked calculation
shown to the user is this text and not the code.
"""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

import enginelimits.physics as physics
from enginelimits.physics.numerics.validity import ranges_of
from enginelimits.units import constants
from enginelimits.units.sources import SOURCES
from enginelimits.units.suffixes import SUFFIXES, unit_of_argument


def least(*values: Any) -> Any:
    """Of several arrays, or over the last axis of one."""
    return np.minimum.reduce(np.broadcast_arrays(*values)) if len(values) > 1 else np.min(values[0], axis=-1)


def greatest(*values: Any) -> Any:
    """Of several arrays, or over the last axis of one."""
    return np.maximum.reduce(np.broadcast_arrays(*values)) if len(values) > 1 else np.max(values[0], axis=-1)


SECTIONS = ("Parameters", "Returns", "Equation", "Source", "Examples")
MATHS: dict[str, Any] = {
    "pi": math.pi, "e": math.e, "sqrt": np.sqrt, "exp": np.exp, "log": np.log, "log10": np.log10,
    "sin": np.sin, "cos": np.cos, "tan": np.tan, "asin": np.arcsin, "acos": np.arccos, "atan": np.arctan,
    "sinh": np.sinh, "cosh": np.cosh, "tanh": np.tanh, "abs": np.abs, "sign": np.sign,
    "min": least, "max": greatest, "where": np.where, "floor": np.floor, "ceil": np.ceil,
}  # fmt: skip
CONSTANTS = {name: value for name, value in vars(constants).items() if name.isupper()}
NUMBER = r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?"
SOLVED = "Solved:"
# The machinery of arrays and ranges is no formula and takes no quantities; that of the closed cycle is documented by
# closed_cycle, and holds itself to the documented functions by a test; so is what serves the loads over the crank.
PLUMBING = tuple(
    f"enginelimits.physics.{m}"
    for m in ("numerics", "cycle.lanes", "cycle.sums", "cycle.rates", "cycle.compiled", "cycle.singly",
              "mechanics.at_angle", "mechanics.compiled")
)  # fmt: skip


def modules() -> Iterator[str]:
    for found in pkgutil.walk_packages(physics.__path__, physics.__name__ + "."):
        if not found.ispkg:
            yield found.name


def functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    for name in modules():
        if name.startswith(PLUMBING):
            continue
        module = importlib.import_module(name)
        for attribute, value in vars(module).items():
            if attribute.startswith("_") or not inspect.isfunction(value) or value.__module__ != name:
                continue
            yield f"{name.removeprefix('enginelimits.physics.')}.{attribute}", value


FUNCTIONS = dict(functions())
each = pytest.mark.parametrize("name", sorted(FUNCTIONS))


def sections_of(function: Callable[..., Any]) -> dict[str, str]:
    text = inspect.getdoc(function) or ""
    parts = re.split(r"(?m)^(\w[\w ]*)\n-{3,}\n", text)
    return dict(zip(parts[1::2], (p.strip("\n") for p in parts[2::2]), strict=True))


def parameters_of(function: Callable[..., Any]) -> dict[str, str]:
    found: dict[str, str] = {}
    current: list[str] = []
    for line in sections_of(function)["Parameters"].splitlines():
        head = re.match(r"^(\w+(?:, \w+)*) : ", line)
        if head:
            current = head.group(1).split(", ")
            found.update(dict.fromkeys(current, ""))
        else:
            for name in current:
                found[name] = f"{found[name]} {line.strip()}".strip()
    return found


def assignments(equation: str) -> list[tuple[str, str]]:
    """The lines of an equation as (name or "", expression), a line that goes on joined to its beginning."""
    found: list[tuple[str, str]] = []
    pending = ""
    for line in equation.splitlines():
        pending = f"{pending} {line.strip()}".strip()
        name, _, expression = pending.partition(" = ") if re.match(r"^\w+ = ", pending) else ("", "", pending)
        try:
            ast.parse(expression, mode="eval")
        except SyntaxError:
            continue
        if pending:
            found.append((name, expression))
        pending = ""
    assert not pending, f"not an expression: {pending}"
    return found


def equation_of(function: Callable[..., Any]) -> list[tuple[str, str]] | None:
    text = sections_of(function)["Equation"].strip()
    return None if text.startswith(SOLVED) else assignments(text)


def arguments_of(function: Callable[..., Any]) -> list[str]:
    return list(inspect.signature(function).parameters)


def test_there_are_functions_to_look_at() -> None:
    assert len(FUNCTIONS) > 40


@each
def test_has_every_section_in_order(name: str) -> None:
    assert tuple(s for s in sections_of(FUNCTIONS[name]) if s in SECTIONS) == SECTIONS
    assert all(sections_of(FUNCTIONS[name])[s].strip() for s in SECTIONS)


@each
def test_describes_exactly_its_arguments(name: str) -> None:
    assert list(parameters_of(FUNCTIONS[name])) == arguments_of(FUNCTIONS[name])


@each
def test_units_agree_with_suffixes(name: str) -> None:
    """A text argument has the unit [text]; a number without unit [1]."""
    for argument, told in parameters_of(FUNCTIONS[name]).items():
        units = re.findall(r"\[([^\]]+)\]", told)
        assert len(units) == 1, f"{argument}: {told}"
        suffix = unit_of_argument(argument)
        assert units[0] == suffix or (suffix == "1" and units[0] == "text"), f"{argument} [{units[0]}]"


@each
def test_returns_tell_a_unit(name: str) -> None:
    returned = sections_of(FUNCTIONS[name])["Returns"]
    units = re.findall(r"\[([^\]]+)\]", returned)
    assert units
    assert set(units) <= {*SUFFIXES.values(), "1", "text", "yes-no"}
    single = re.match(r"^(\w+) : array", returned)
    if single and len(units) == 1 and units[0] != "text":
        # A single result named with a suffix has that suffix's unit.
        assert unit_of_argument(single.group(1)) in (units[0], "1")


@each
def test_ranges_told_are_the_ranges_attached(name: str) -> None:
    told = {}
    for argument, text in parameters_of(FUNCTIONS[name]).items():
        found = re.search(rf"Valid ({NUMBER}) to ({NUMBER})", text)
        assert bool(found) == ("Valid" in text), f"{argument}: {text}"
        if found:
            told[argument] = (float(found.group(1)), float(found.group(2)))
    assert told == dict(ranges_of(FUNCTIONS[name]))
    assert all(low < high for low, high in told.values())


@each
def test_source_is_listed(name: str) -> None:
    source = sections_of(FUNCTIONS[name])["Source"]
    ids = [part.strip().split(",")[0].split(" ")[0] for part in re.split(r"[;\n]", source) if part.strip()]
    assert ids[0] in SOURCES, ids[0]


@each
def test_equation_names_only_what_is_there(name: str) -> None:
    lines = equation_of(FUNCTIONS[name])
    if lines is None:
        return
    known = {*arguments_of(FUNCTIONS[name]), *MATHS, *CONSTANTS}
    for target, expression in lines:
        names = {n.id for n in ast.walk(ast.parse(expression, mode="eval")) if isinstance(n, ast.Name)}
        assert names <= known, names - known
        if target:
            known.add(target)
    used = {n for _, e in lines for n in re.findall(r"\w+", e)}
    assert set(arguments_of(FUNCTIONS[name])) <= used, "an argument that the equation does not use"


def computable() -> Iterator[str]:
    """Functions whose equation can be computed at drawn points."""
    for name, function in FUNCTIONS.items():
        try:
            lines = equation_of(function)
        except (AssertionError, KeyError):
            continue
        if lines and "text" not in "".join(re.findall(r"\[(\w+)\]", sections_of(function)["Parameters"])):
            yield name


# Magnitudes for arguments without a range, by unit, so that all terms of an equation show.
ORDINARY = {
    "m": (0.02, 0.2), "m2": (1e-4, 1e-2), "m3": (1e-4, 1e-2), "m4": (1e-9, 1e-8), "s": (0.01, 1.0),
    "kg": (0.1, 1.0), "K": (300.0, 900.0), "rad": (-3.0, 3.0), "N": (1e3, 1e5), "Pa": (1e5, 1e7),
    "N*m": (10.0, 500.0), "J": (10.0, 1e3), "W": (1e3, 1e5), "1": (0.1, 0.9), "m/s": (1.0, 30.0),
    "m/s^2": (-1e4, 3e4), "rad/s": (100.0, 700.0), "kg/s": (0.01, 0.3), "N/m": (1e7, 1e9),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(computable()))
def test_equation_computes_what_the_function_returns(name: str) -> None:
    function, lines = FUNCTIONS[name], equation_of(FUNCTIONS[name])
    assert lines is not None
    draws = np.random.default_rng(20260101)
    ranges = ranges_of(function)
    taken = {}
    for argument in arguments_of(function):
        low, high = ranges.get(argument) or ORDINARY.get(unit_of_argument(argument), (1.0, 10.0))
        taken[argument] = draws.uniform(low, high, 200)
    with np.errstate(all="ignore"):
        returned = function(**taken)
        scope: dict[str, Any] = {**MATHS, **CONSTANTS, **taken}
        last: Any = None
        for target, expression in lines:
            last = eval(compile(expression, name, "eval"), {"__builtins__": {}}, scope)
            if target:
                scope[target] = last
    if hasattr(returned, "_asdict"):
        wanted = {k: scope[k] for k in returned._asdict() if k in scope}
        pairs = [(getattr(returned, k), v) for k, v in wanted.items()]
        assert pairs, "no field of the result is named in the equation"
    else:
        pairs = [(returned, last)]
    for got, told in pairs:
        got, told = np.broadcast_arrays(np.asarray(got, float), np.asarray(told, float))
        # Not a number, or an infinite one, is how a function says that it does not apply there.
        finite = np.isfinite(told) & np.isfinite(got)
        assert finite.sum() >= 5, "hardly a drawn point gives a number"
        # One part in 10,000: a constant may be printed rounded.
        scale = np.abs(told[finite]).max()
        np.testing.assert_allclose(got[finite], told[finite], rtol=1e-4, atol=1e-9 * scale)


@pytest.mark.parametrize("name", sorted(modules()))
def test_examples_run(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0
