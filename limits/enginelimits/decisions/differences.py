"""What two build files state differently, part by part, each as edits of the first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from enginelimits.description.edits import STANDARD
from enginelimits.description.models import Build
from enginelimits.description.nodes import Table, found, plain
from enginelimits.description.paths import Stated, containers, flattened, steps
from enginelimits.description.standard import taken_for_standard
from enginelimits.description.values import Curve, Value

# A name says nothing of an engine.
NAMES = ("build",)
# Two files that agree on these are of one maker's engine.
ONE_ENGINE = ("engine.family", "engine.cylinders", "engine.stroke")
RATED = "engine.standard_output"
MAP = "forced_induction.compressor.map"
FACT = "what its maker built is a fact, which no edit changes"


@dataclass(frozen=True, slots=True)
class Stating:
    """One path that two builds state differently; None where a build leaves it out."""

    path: str
    first: Stated | None
    second: Stated | None


@dataclass(frozen=True, slots=True)
class Part:
    """A part that differs, such as ``internals.rods``: what differs in it, and the edits that give it to the first.

    ``edits`` are empty, with the ``reason``, where no edit can do it.
    """

    path: str
    stated: tuple[Stating, ...]
    edits: tuple[Mapping[str, Any], ...]
    reason: str = ""


def stated_differently(first: Build, second: Build) -> tuple[Stating, ...]:
    """Every path whose stated value differs, in the order of the file; how it is written does not matter.

    What a file is merely taken to have from its maker it does not state.
    """
    one, other = ({path: value for path, value in flattened(build).items() if path not in taken_for_standard(build)}
                  for build in (first, second))
    return tuple(
        Stating(path, one.get(path), other.get(path))
        for path in dict.fromkeys([*one, *other])
        if path not in NAMES and not _same(one.get(path), other.get(path))
    )


def taken_otherwise(first: Build, second: Build) -> tuple[str, ...]:
    """Of one maker's engine, the paths that the second states otherwise and that are taken for the maker's own.

    No file says whose they are, so that each build has a standard engine of its own, whatever was changed since.
    """
    differing = stated_differently(first, second)
    if any(s.path in ONE_ENGINE or s.path.startswith(RATED) for s in differing):
        return ()
    taken = {path.replace(f"{STANDARD}.", "engine.") for path in taken_for_standard(second)}
    return tuple(s.path for s in differing if s.path in taken)


def _same(one: Stated | None, other: Stated | None) -> bool:
    """Whether two stated values mean the same; 82 mm and 8.2 cm differ by what a float cannot hold."""
    match one, other:
        case Value(), Value():
            numbers = zip((one.si, one.low, one.high), (other.si, other.low, other.high), strict=True)
            alike = (one.shape, one.unit, one.kind, one.basis) == (other.shape, other.unit, other.kind, other.basis)
            return alike and all(_near(a, b) for a, b in numbers)
        case Curve(), Curve():
            pairs = [(*one.speeds, *one.values), (*other.speeds, *other.values)]
            return len(pairs[0]) == len(pairs[1]) and all(map(_same, *pairs))
        case tuple(), tuple():
            return len(one) == len(other) and all(map(_same, one, other))
    return one == other


def _near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)


def parts_that_differ(first: Build, second: Build) -> tuple[Part, ...]:
    """The parts that differ, each on its own: a part is the first two steps of a path."""
    groups: dict[str, list[Stating]] = {}
    for stating in stated_differently(first, second):
        groups.setdefault(".".join(stating.path.split(".")[:2]), []).append(stating)
    return tuple(_part(path, tuple(group), second) for path, group in groups.items())


def blocks(parts: tuple[Part, ...], second: Build) -> Iterator[Part]:
    """The first steps that hold these parts, each as a whole: for parts that cannot come alone."""
    groups: dict[str, list[Stating]] = {}
    for part in parts:
        head = part.path.partition(".")[0]
        if part.edits and head != part.path:
            groups.setdefault(head, []).extend(part.stated)
    for head, group in groups.items():
        yield _part(head, tuple(group), second)


def _part(path: str, stated: tuple[Stating, ...], second: Build) -> Part:
    if path == STANDARD:
        return Part(path, stated, (), FACT)
    node = found(second.tree, steps(path))
    if node is None:
        return Part(path, stated, ({"drop": path},))
    if isinstance(node, Table) and path in containers():
        return Part(path, stated, ({"replace": path, "with": _with_map(plain(node), path, second)},))
    return Part(path, stated, ({"set": path, "to": plain(node)},))


def _with_map(data: dict[str, Any], path: str, second: Build) -> dict[str, Any]:
    """The part with the map that it names, which lies beside the second file, not beside the first."""
    within = MAP.removeprefix(path + ".").split(".") if MAP.startswith(path + ".") else []
    holder: Any = data
    for step in within[:-1]:
        holder = holder.get(step, {})
    if within and isinstance(holder, dict) and within[-1] in holder and second.file:
        holder[within[-1]] = str((Path(second.file).parent / holder[within[-1]]).resolve())
    return data
