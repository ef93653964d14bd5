"""Columns and steps: the graph from inputs to quantities, as data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

Source = str | tuple[str, ...]


def names_of(source: Source) -> tuple[str, ...]:
    """The ids or paths that a source may be, first choice first."""
    return (source,) if isinstance(source, str) else source


class Step(NamedTuple):
    """One pure function of the physics and where its arguments come from.

    ``takes`` names for each argument a quantity id or an input path; of several, the first that is there.
    ``when`` restricts the step to builds whose text input has one of the values; ``fixed`` sets arguments that
    such a choice settles.
    """

    gives: tuple[str, ...]
    of: Callable[..., Any]
    takes: Mapping[str, Source]
    when: Mapping[str, tuple[str, ...]] = {}
    fixed: Mapping[str, float] = {}


class Column(NamedTuple):
    """One value over (ambients, 1 + samples, speeds[, crank]), or broadcastable to it.

    ``si`` is None when an input is missing.  ``outside`` masks what lies beyond a range, here or upstream;
    ``applicable`` what the quantity means anything for.  ``rests`` holds the input paths beneath it.
    ``step`` is None for an input, and ``takes`` says what each argument of the step was bound to.
    """

    si: Any
    missing: frozenset[str] = frozenset()
    outside: Any = False
    applicable: Any = True
    rests: frozenset[str] = frozenset()
    step: Step | None = None
    takes: Mapping[str, str] = {}
    reasons: frozenset[str] = frozenset()
