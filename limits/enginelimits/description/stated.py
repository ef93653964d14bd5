"""What a build file states, as inputs of the computation."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from enginelimits.description.filled import Input
from enginelimits.description.values import Chance, Curve, Value

STATED = "build file"


def stated_input(path: str, value: Any) -> Input:
    """A stated value as an input; its basis is the file's, documented where the file does not say."""
    if isinstance(value, Value):
        floor, ceiling = _bounds(path, value)
        made = Input(
            path, float(value.si), value.unit, value.low, value.high, value.shape, value.basis, STATED
        )
        return replace(made, kind=value.kind, note=value.note, floor=floor, ceiling=ceiling)
    if isinstance(value, Curve):
        first = value.values[0]
        made = Input(path, None, first.unit, basis=first.basis, source=STATED, kind=first.kind)
        return replace(made, curve=value.points, points=_ranged([(path, each) for each in value.values]))
    if isinstance(value, Chance):
        made = Input(path, value.probability >= 0.5, basis=value.basis, source=STATED, note=value.note)
        return replace(made, probability=value.probability)
    if isinstance(value, tuple) and value and isinstance(value[0], Value):
        numbers, first = tuple(float(v.si) for v in value), value[0]
        made = Input(path, numbers, first.unit, basis=first.basis, source=STATED)
        return replace(made, kind=first.kind, points=_ranged((f"{path}.{i}", each) for i, each in enumerate(value)))
    text = ", ".join(map(str, value)) or "none" if isinstance(value, tuple) else value
    return Input(path, text, basis="documented", source=STATED)


def _ranged(values: Iterable[tuple[str, Value]]) -> tuple[Input, ...]:
    """Values as inputs of their own, each on the stream of its path; none where none has a range."""
    values = tuple(values)
    if all(value.low is None for _, value in values):
        return ()
    return tuple(stated_input(path, value) for path, value in values)


def _bounds(path: str, value: Value) -> tuple[float | None, float | None]:
    """Where the draws of a range are cut: at what a file may state there, or nearer to a positive low end."""
    if value.low is None:
        return None, None
    from enginelimits.description.fields import Several
    from enginelimits.description.paths import field
    from enginelimits.description.physical import BySpeed, Physical

    share = value.unit == "1" and value.written.endswith("%")
    floor, ceiling = (0.0 if share else floor_of(value.low, value.unit)), (1.0 if share else None)
    kind = field(path) or field(path.rpartition(".")[0])  # an entry of a list is of the list's kind
    kind = kind.of if isinstance(kind, BySpeed | Several) else kind
    if isinstance(kind, Physical):
        floor = kind.floor if floor is None else max(floor, kind.floor)
        ceiling = kind.ceiling if ceiling is None else min(ceiling, kind.ceiling)
    return floor, ceiling


def floor_of(low: float | None, unit: str) -> float | None:
    """Where draws of a positive quantity are cut: at half its low end, short of the zero that nothing has."""
    return 0.5 * low if low is not None and low > 0.0 and unit != "K" else None
