"""From a tree to a build, or to every problem in it at once, each at its place."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from pydantic import ValidationError

from enginelimits.description.checks import contradictions
from enginelimits.description.fields import Fault, FaultsError
from enginelimits.description.models import Build
from enginelimits.description.nodes import Leaf, Node, Path, Place, Row, Table, found, place
from enginelimits.description.paths import containers, field, fields, flattened, near_paths, steps
from enginelimits.description.physical import Count, Octane, Physical
from enginelimits.errors import InputError, Problem
from enginelimits.units.grammar import excerpt

MOST_PROBLEMS = 100
# Looking for near matches takes time, and after so many nobody reads them.
_MOST_NEAR = 40
UNKNOWN = "unknown"


def built(
    root: Node,
    file: str,
    *,
    problems: Iterable[Problem] = (),
    refused: frozenset[Path] = frozenset(),
    as_read: Build | None = None,
) -> Build:
    """The build of a tree.  Raises InputError with every problem, those given included."""
    all_problems = list(problems)
    if not isinstance(root, Table):
        all_problems.append(_no_mapping(root, file))
        raise InputError(all_problems)
    build: Build | None = None
    faults: list[tuple[Path, Fault, bool]] = []
    try:
        build = Build.model_validate(_stated(root))
        facts: Mapping[str, Any] = flattened(build)
    except ValidationError as error:
        faults = list(_faults(error))
        facts = _readable(root)
    faults += [(steps(c.path), Fault((), c.wanted, c.got, c.mend), False) for c in contradictions(facts)]
    for path, fault, of_key in faults:
        whole = (*path, *fault.at)
        if any(whole[: len(r)] == r for r in refused):
            continue
        all_problems.append(_problem(root, file, whole, fault, of_key))
    if all_problems or build is None:
        raise InputError(_in_order(all_problems))
    build._tree = root
    build._file = file
    build._as_read = as_read
    return build


def _stated(node: Node) -> Any:
    """Plain data of a tree; a key whose value is `unknown` is as good as left out."""
    if isinstance(node, Leaf):
        return node.text
    if isinstance(node, Row):
        return [_stated(item) for item in node.items]
    return {key: _stated(value) for key, value in node.entries.items() if not unknown(value)}


def unknown(node: Node) -> bool:
    """Whether a value is the word for having none."""
    return isinstance(node, Leaf) and node.text.strip() == UNKNOWN


def _readable(root: Table) -> dict[str, Any]:
    """What can be read of a tree that has faults, so that contradictions show beside them."""
    facts: dict[str, Any] = {}
    for path, kind in fields().items():
        node = found(root, steps(path))
        if node is None or unknown(node):
            continue
        try:
            facts[path] = kind.read(_stated(node))
        except FaultsError:
            continue
    return facts


def _faults(error: ValidationError) -> Iterator[tuple[Path, Fault, bool]]:
    """Path, fault, and whether the key itself is at fault."""
    for count, each in enumerate(error.errors(include_url=False)):
        path: Path = tuple(each["loc"])
        kind = each["type"]
        if kind == "unreadable":
            for fault in each["ctx"]["faults"]:
                yield path, fault, False
        elif kind == "extra_forbidden":
            yield path, _unknown_key(path, near=count < _MOST_NEAR), True
        elif kind == "missing":
            yield path, _missing(path), True
        elif kind in ("model_type", "model_attributes_type", "dict_type"):
            mend = "Write its keys below it, indented."
            yield path, Fault((), "a mapping of keys", _what(each["input"]), mend), False
        elif kind == "tuple_type":
            yield path, Fault((), "a list of mappings", _what(each["input"])), False
        else:
            yield path, Fault((), each["msg"].lower(), _what(each["input"])), False


def _unknown_key(path: Path, *, near: bool) -> Fault:
    key = str(path[-1])
    parent = ".".join("*" if isinstance(p, int) else p for p in path[:-1])
    known = containers().get(parent, ())
    where = f"of `{parent}`" if parent else "of a build file"
    wanted = f"a key {where}: {', '.join(known)}" if len(known) <= 10 else f"a known key {where}"
    if not near:
        return Fault((), wanted, excerpt(key))
    close = difflib.get_close_matches(key.lower()[:60], known, n=3, cutoff=0.65)
    dotted = ".".join(str(p) for p in path)
    elsewhere = [p for p in near_paths(dotted) if "." in p and p.rpartition(".")[2] == key]
    mend = "Correct the key, or leave it out."
    if elsewhere:
        mend = f"It belongs under `{elsewhere[0].rpartition('.')[0]}`."
    return Fault((), wanted, excerpt(key), mend, tuple(elsewhere or close))


def _missing(path: Path) -> Fault:
    dotted = ".".join(str(p) for p in path)
    kind = field(dotted)
    if isinstance(kind, Physical | Octane):
        wanted = kind.wanted
    elif isinstance(kind, Count):
        wanted = f"a whole number from {kind.floor} to {kind.ceiling}"
    elif kind is not None:
        wanted = str(getattr(kind, "wanted", "a value"))
    else:
        wanted = "a mapping of keys"
    return Fault((), wanted, "nothing", "This key is required: no class can stand in for it.")


def _what(raw: Any) -> str:
    if isinstance(raw, Mapping):
        return "a mapping"
    return "a list" if isinstance(raw, list) else excerpt(raw)


def _problem(root: Table, file: str, path: Path, fault: Fault, of_key: bool) -> Problem:
    at: Place | None = place(root, path, of_key=of_key)
    key = ".".join(str(step) for step in path)
    key = key if key.isprintable() and len(key) < 200 else excerpt(key)
    return Problem(
        fault.wanted,
        fault.got,
        fault.mend,
        key,
        file,
        at.line if at else None,
        at.column if at else None,
        fault.near,
    )


def _no_mapping(root: Node, file: str) -> Problem:
    if isinstance(root, Leaf) and not root.text.strip():
        return empty(file)
    got = "a list" if isinstance(root, Row) else excerpt(root.text if isinstance(root, Leaf) else "")
    at = root.place
    mend = "A build file is lines of `key: value`; `enginelimits start` writes one."
    return Problem(
        "a mapping of keys", got, mend, "", file, at.line if at else None, at.column if at else None
    )


def empty(file: str) -> Problem:
    """The problem of a file that holds nothing."""
    return Problem(
        "a build file", "an empty one", "`enginelimits start` writes one to begin with.", file=file
    )


def _in_order(problems: list[Problem]) -> list[Problem]:
    ordered = sorted(problems, key=lambda p: (p.line is None, p.line or 0, p.column or 0))
    if len(ordered) > MOST_PROBLEMS:
        rest = len(ordered) - MOST_PROBLEMS
        ordered = ordered[:MOST_PROBLEMS]
        ordered.append(Problem("fewer problems", f"{rest} more", file=ordered[0].file))
    return ordered
