"""Changes to a build, as data: replace, set, drop and cap.

Edits work on the written tree, so that repeated ones compose and a refusal can name the key.  What the maker
built (`engine.standard`) is never touched.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace as with_fields
from itertools import pairwise
from typing import Any, NamedTuple

from enginelimits.description import nodes
from enginelimits.description.fields import FaultsError, FieldKind
from enginelimits.description.models import Build
from enginelimits.description.nodes import Leaf, Node, Table, found, plain, with_node
from enginelimits.description.paths import containers, field, fields, near_paths, steps
from enginelimits.description.physical import ENGINE_SPEED, BySpeed, Physical
from enginelimits.description.validation import built, unknown
from enginelimits.description.values import Curve, Value
from enginelimits.errors import InputError, Problem
from enginelimits.units.grammar import excerpt

# One rpm. A cap from one speed on is a step; it is drawn as a slope so wide, outside the span that is capped.
STEP = 0.10471975511965977
STANDARD = "engine.standard"
_WORDS = {"replace": {"with"}, "set": {"to"}, "drop": set(), "cap": {"to", "below", "above"}}


def edited(build: Build, edits: Sequence[Mapping[str, Any]], *, idle: bool = False) -> Build:
    """The build after the edits, in order; validated when all are made, so that two may depend on each other.

    Raises InputError for an edit that cannot be read, names an unknown path, or changes nothing (unless ``idle``
    allows that), and for a build that the edits leave unsound.
    """
    root: Node = build.tree
    paths: list[str] = []
    for number, edit in enumerate(edits, start=1):
        try:
            verb, path = _verb(edit)
            changed = _with_standard(_changed(root, verb, path, edit), build.tree)
            if not idle and _facts(changed, path) == _facts(root, path):
                got = f"`{verb}` that leaves the build as it is"
                raise _RefusedError("an edit that changes something", got, key=path)
        except _RefusedError as refusal:
            raise InputError([with_fields(refusal.problem, file=f"edit {number}")]) from None
        root = changed
        paths.append(path)
    try:
        return built(root, build.file, as_read=build.as_read)
    except InputError as error:
        # The build was sound before, so all of it is the edits' doing.
        raise InputError(
            [with_fields(p, file=_culprit(p.key, paths), line=None, column=None) for p in error.problems]
        ) from None


def _culprit(key: str, paths: list[str]) -> str:
    """The last edit that touched a key, by name; all of them if none did."""
    for number in range(len(paths), 0, -1):
        path = paths[number - 1]
        if f"{key}.".startswith(f"{path}.") or f"{path}.".startswith(f"{key}."):
            return f"edit {number}"
    return "edits"


def _with_standard(root: Node, before: Node) -> Node:
    """Whatever replaces the engine, its maker's figures stay as they were read."""
    standard = found(before, steps(STANDARD))
    if standard is None or found(root, ("engine",)) is None:
        return root
    return with_node(root, steps(STANDARD), standard)


def _facts(root: Node, path: str) -> dict[str, Any]:
    """What the tree states at a path and below; by its text where it cannot be read."""
    facts: dict[str, Any] = {}
    for each, kind in fields().items():
        if f"{each}.".startswith(f"{path}.") and "*" not in each:
            node = found(root, steps(each))
            if node is not None and not unknown(node):
                try:
                    facts[each] = kind.read(plain(node))
                except FaultsError:
                    facts[each] = node
    whole = found(root, steps(path))
    # Lists of mappings, and keys that nobody knows, are told apart by their text; nothing is nothing.
    nothing = whole is None or unknown(whole) or (isinstance(whole, Table) and not whole.entries)
    return facts or {path: None if nothing else whole}


class _RefusedError(Exception):
    def __init__(
        self, wanted: str, got: str, mend: str = "", near: tuple[str, ...] = (), key: str = ""
    ) -> None:
        self.problem = Problem(wanted, got, mend, key, near=near)
        super().__init__(wanted)


def _verb(edit: object) -> tuple[str, str]:
    if not isinstance(edit, Mapping):
        raise _RefusedError("a mapping with `replace`, `set`, `drop` or `cap`", excerpt(edit))
    verbs = [v for v in _WORDS if v in edit]
    if len(verbs) != 1:
        got = " and ".join(f"`{v}`" for v in verbs) or excerpt(", ".join(map(str, edit)))
        raise _RefusedError("one of `replace`, `set`, `drop` or `cap`", got)
    verb = verbs[0]
    for word in edit:
        if word != verb and word not in _WORDS[verb]:
            allowed = ", ".join(f"`{w}`" for w in sorted(_WORDS[verb])) or "nothing"
            raise _RefusedError(f"beside `{verb}` {allowed}", excerpt(word))
    needed = {"replace": "with", "set": "to", "cap": "to"}.get(verb)
    if needed is not None and edit.get(needed) is None:
        raise _RefusedError(f"`{needed}` beside `{verb}`", "nothing")
    if "below" in edit and "above" in edit:
        raise _RefusedError("`below` or `above`", "both")
    path = edit[verb]
    if not isinstance(path, str) or not path:
        raise _RefusedError("a path such as `internals.rods`", excerpt(path))
    if path == STANDARD or path.startswith(STANDARD + "."):
        raise _RefusedError("a change to the build", "one to what its maker built", "It is a fact.", key=path)
    if field(path) is None and path not in containers():
        raise _RefusedError("a known path", excerpt(path), near=near_paths(path), key=path)
    return verb, path


def _changed(root: Node, verb: str, path: str, edit: Mapping[str, Any]) -> Node:
    where = steps(path)
    if verb == "drop":
        if found(root, where) is None:
            raise _RefusedError("a path that the build states", "one that it leaves out", key=path)
        return _with(root, where, None, path)
    if verb == "cap":
        return _with(root, where, _capped(root, path, edit), path)
    given = edit["with" if verb == "replace" else "to"]
    node = _tree(given, path)
    if verb == "replace" and not isinstance(node, Table):
        raise _RefusedError(
            "a mapping after `with`", excerpt(given), "Use `set` for a single value.", key=path
        )
    if verb == "set" and isinstance(node, Table) and field(path) is None:
        raise _RefusedError(
            "a single value after `to`", "a mapping", "Use `replace` for a mapping.", key=path
        )
    return _with(root, where, node, path)


def _tree(given: Any, path: str) -> Node:
    try:
        return nodes.tree(given)
    except (TypeError, RecursionError) as error:
        raise _RefusedError("texts, numbers, lists and mappings", excerpt(error), key=path) from None


def _with(root: Node, where: nodes.Path, node: Node | None, path: str) -> Node:
    if any(isinstance(step, int) for step in where):
        raise _RefusedError("a path to a key", "one to an item of a list", "Set the whole list.", key=path)
    try:
        return with_node(root, where, node)
    except ValueError:
        raise _RefusedError(
            "a mapping to put it in", "a single value", "Replace that first.", key=path
        ) from None


def _capped(root: Node, path: str, edit: Mapping[str, Any]) -> Node:
    kind = field(path)
    span = "below" if "below" in edit else "above" if "above" in edit else None
    physical = kind.of if isinstance(kind, BySpeed) else kind
    if not isinstance(physical, Physical) or (span and not isinstance(kind, BySpeed)):
        wanted = "a path whose value may differ by speed" if span else "a path that holds a number"
        raise _RefusedError(wanted, f"`{path}`", key=path)
    current = _facts(root, path).get(path)
    if not isinstance(current, Value | Curve):
        raise _RefusedError("a value to cap", "none stated", "Use `set`.", key=path)
    to = _read(physical, edit["to"], f"{path}: to")
    if to.shape != "point":
        raise _RefusedError("one number after `to`", excerpt(edit["to"]), key=path)
    scale = current.values[0].kind if isinstance(current, Curve) else current.kind
    if to.kind != scale:
        # Numbers of two octane scales do not compare.
        raise _RefusedError(f"a cap in {scale}, as the value is", excerpt(edit["to"]), key=path)
    if span is None and isinstance(current, Value):
        return _text_of(_least(current, to.si))
    speed = _read(ENGINE_SPEED, edit[span], f"{path}: {span}").si if span else 0.0
    return _curve(_stepped(current, to.si, speed, span))


def _read(kind: FieldKind, raw: Any, key: str) -> Value:
    try:
        value = kind.read(raw if isinstance(raw, str | Mapping) else str(raw))
    except FaultsError as error:
        first = error.faults[0]
        raise _RefusedError(first.wanted, first.got, first.mend, first.near, key) from None
    assert isinstance(value, Value)
    return value


class _Point(NamedTuple):
    speed: float
    value: Value


def _stepped(current: Value | Curve, cap: float, speed: float, span: str | None) -> list[_Point]:
    """The points of a curve that keeps to the cap on its side of the speed, and at that speed."""
    points = [_Point(s.si, v) for s, v in current] if isinstance(current, Curve) else [_Point(speed, current)]
    outside = speed + STEP if span == "below" else speed - STEP

    def inside(here: float) -> bool:
        return span is None or (here <= speed if span == "below" else here >= speed)

    at = {p.speed for p in points}
    at |= {speed, outside} if span else set()
    at |= {here for a, b in pairwise(points) for here in _crossings(a, b, cap) if inside(here)}
    result: list[_Point] = []
    for here in sorted(at):
        if span and min(speed, outside) < here < max(speed, outside):
            # Inside the slope the line between its two ends rules.
            continue
        value = _between(points, here)
        result.append(_Point(here, _least(value, cap) if inside(here) else value))
    return result


def _crossings(a: _Point, b: _Point, cap: float) -> list[float]:
    """Speeds between two points at which the value or one of its ends passes the cap."""
    found_at = []
    for one, other in ((a.value.si, b.value.si), (_low(a), _low(b)), (_high(a), _high(b))):
        if (one - cap) * (other - cap) < 0.0:
            found_at.append(a.speed + (b.speed - a.speed) * (cap - one) / (other - one))
    return found_at


def _between(points: list[_Point], speed: float) -> Value:
    """The value on the curve at a speed, level beyond its ends."""
    if speed <= points[0].speed:
        return points[0].value
    for a, b in pairwise(points):
        if speed <= b.speed:
            share = (speed - a.speed) / (b.speed - a.speed)
            if share >= 1.0:
                return b.value
            mix = [x + (y - x) * share for x, y in ((_low(a), _low(b)), (_high(a), _high(b)))]
            si = a.value.si + (b.value.si - a.value.si) * share
            return _ranged(a.value, si, mix[0], mix[1])
    return points[-1].value


def _low(point: _Point) -> float:
    return point.value.si if point.value.low is None else point.value.low


def _high(point: _Point) -> float:
    return point.value.si if point.value.high is None else point.value.high


def _least(value: Value, cap: float) -> Value:
    low = value.si if value.low is None else value.low
    high = value.si if value.high is None else value.high
    if high <= cap:
        return value
    return _ranged(value, min(value.si, cap), min(low, cap), min(high, cap))


def _ranged(like: Value, si: float, low: float, high: float) -> Value:
    if not low < high:
        return with_fields(like, si=si, low=None, high=None, shape="point")
    uniform = like.shape == "uniform" and abs(si - (low + high) / 2.0) <= 1e-12 * abs(high)
    return with_fields(like, si=si, low=low, high=high, shape="uniform" if uniform else "split-normal")


def _curve(points: list[_Point]) -> Node:
    return Table({f"{round(p.speed / STEP, 6):.12g} rpm": _text_of(p.value) for p in points})


def _text_of(value: Value) -> Node:
    """A value as text again, in SI so that no digit is lost."""
    entries = {"value": Leaf(_number(value.si, value))}
    if value.low is not None and value.high is not None:
        if value.shape == "uniform":
            entries = {}
        entries["low"] = Leaf(_number(value.low, value))
        entries["high"] = Leaf(_number(value.high, value))
    if value.basis != "documented":
        entries["basis"] = Leaf(value.basis)
    if value.note:
        entries["note"] = Leaf(value.note)
    return entries["value"] if entries.keys() == {"value"} else Table(entries)


def _number(si: float, value: Value) -> str:
    if value.kind in ("RON", "MON", "AKI"):
        return f"{si!r} {value.kind}"
    return f"{si!r} {value.unit}" if value.unit != "1" else f"{si * 100.0!r} %"
