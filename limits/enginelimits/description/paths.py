"""The build file's keys as dotted paths: which there are, of what kind, and what a build states at them."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, get_args

from pydantic import BaseModel

from enginelimits.description import nodes
from enginelimits.description.fields import Choice, FieldKind, OrNone
from enginelimits.description.models import Build
from enginelimits.description.values import Chance, Curve, Value

Stated = Value | Curve | Chance | str | bool | tuple[Value, ...] | tuple[str, ...]


@cache
def fields() -> Mapping[str, FieldKind]:
    """The kind of field at each path.  Items of a list of mappings stand under ``*``."""
    return MappingProxyType({path: kind for path, kind in _walk(Build, "") if kind is not None})


@cache
def containers() -> Mapping[str, tuple[str, ...]]:
    """The keys of each mapping, the file itself under the empty path."""
    below: dict[str, list[str]] = {"": []}
    for path, kind in _walk(Build, ""):
        head, _, key = path.rpartition(".")
        below.setdefault(head, [])
        if key != "*" and key not in below[head]:
            below[head].append(key)
        if kind is None:
            below.setdefault(path, [])
    return MappingProxyType({path: tuple(keys) for path, keys in below.items()})


@cache
def known_paths() -> Mapping[str, str]:
    """Each path that can hold a value -> its SI unit, or text, choice, yes-no or points."""
    known = {path: kind.unit for path, kind in fields().items() if "*" not in path}
    known["anchors.knock"] = "points"
    return MappingProxyType(known)


def field(path: str) -> FieldKind | None:
    """The kind of field at a path, None if there is none."""
    general = ".".join("*" if step.isdigit() else step for step in path.split("."))
    return fields().get(general)


def near_paths(path: str, *, most: int = 3) -> tuple[str, ...]:
    """Known paths that look like this one, or end in the same key."""
    known = [p for p in (*known_paths(), *containers()) if p]
    last = path.rpartition(".")[2]
    same = [p for p in known if p.rpartition(".")[2] == last]
    close = difflib.get_close_matches(path[:120], known, n=most, cutoff=0.75)
    return tuple(dict.fromkeys([*close, *same]))[:most]


def flattened(build: Build) -> dict[str, Stated]:
    """What the build states, by path; nothing else."""
    return dict(_stated(build, ""))


def steps(path: str) -> nodes.Path:
    """A dotted path taken apart; digits count items of a list."""
    return tuple(int(step) if step.isdigit() else step for step in path.split(".")) if path else ()


def place(build: Build, path: str) -> nodes.Place | None:
    """Line and column of what the build file states at a path, or of what should have held it."""
    return nodes.place(build.tree, steps(path))


def _walk(model: type[BaseModel], prefix: str) -> Iterator[tuple[str, FieldKind | None]]:
    """Each path below a model with its kind; None for a mapping or a list of mappings."""
    for name, info in model.model_fields.items():
        path = prefix + (info.alias or name)
        kind = next((m for m in info.metadata if isinstance(m, FieldKind)), None)
        if kind is not None:
            yield path, kind
            continue
        inner, many = _model_in(info.annotation)
        optional = any(isinstance(m, OrNone) for m in info.metadata)
        yield path, Choice(("none",)) if optional else None
        if inner is not None:
            yield from _walk(inner, f"{path}.*." if many else f"{path}.")


def _model_in(annotation: Any, many: bool = False) -> tuple[type[BaseModel] | None, bool]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, many
    for each in get_args(annotation):
        found, is_many = _model_in(each, many or getattr(annotation, "__origin__", None) is tuple)
        if found is not None:
            return found, is_many
    return None, False


def _stated(part: BaseModel, prefix: str) -> Iterator[tuple[str, Stated]]:
    for name, info in type(part).model_fields.items():
        value = getattr(part, name)
        path = prefix + (info.alias or name)
        if value is None:
            continue
        if isinstance(value, BaseModel):
            yield from _stated(value, f"{path}.")
        elif isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
            for index, item in enumerate(value):
                yield from _stated(item, f"{path}.{index}.")
        else:
            yield path, value
