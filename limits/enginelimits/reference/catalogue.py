"""The shipped classes: what fills a gap in a build file, with its range and where that is from.

A kind is a file: which part of a build its classes fill, how a class is chosen when the build names none, and
the classes.  Files are read when asked for and classes taken apart when used: a check pays for few of them.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, cast

from enginelimits.errors import InputError, Problem
from enginelimits.units.grammar import GrammarError, split
from enginelimits.units.registry import to_si
from enginelimits.units.spellings import spelling

Evidence = Literal["published", "computed", "common practice", "memory", "shop"]
Scalar = float | str | bool
EVIDENCE: tuple[Evidence, ...] = ("published", "computed", "common practice", "memory", "shop")
HOME = Path(__file__).parent
# Beyond it two entries are one, and one of them should follow from the other by a formula.
MOST_TOGETHER = 0.95


@dataclass(frozen=True, slots=True)
class Scale:
    """The entry grows with (the input at ``path`` over ``reference``) to the ``power``.

    An ``optional`` scale counts as one when that input is not known; without it the entry stays empty.
    """

    path: str
    reference: float
    power: float
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Condition:
    """True when the input at ``path`` is one of ``texts``, is stated at all, or is at least ``at_least``."""

    path: str
    texts: tuple[str, ...] = ()
    at_least: float | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """The class to take when every condition holds; None: this kind does not apply."""

    conditions: tuple[Condition, ...]
    name: str | None


@dataclass(frozen=True, slots=True)
class Tie:
    """The entry goes with the input at ``path``: the correlation of their normal deviates, and why.

    A path that begins with a dot stands beside the entry.
    """

    path: str
    correlation: float
    evidence: Evidence
    source: str
    why: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One value that a class supplies; SI.  ``low`` and ``high`` are the 5th and 95th percentile.

    ``chance`` is the probability of yes of a yes or no.  ``over`` puts another typical value
    in place, the one at the greatest key not above the input at ``over_path``; ``where`` does on conditions.
    ``curve`` is taken along the input at ``along``, whose multiples its first numbers are.
    """

    key: str
    typical: Scalar | None
    low: float | None
    high: float | None
    unit: str
    evidence: Evidence
    source: str
    kind: str = ""
    floor: float | None = None
    ceiling: float | None = None
    chance: float | None = None
    scaled_by: tuple[Scale, ...] = ()
    over_path: str = ""
    over: tuple[tuple[float, Scalar], ...] = ()
    where: tuple[tuple[tuple[Condition, ...], Scalar], ...] = ()
    curve: tuple[tuple[float, float], ...] = ()
    along: str = ""
    only_with: str = ""
    tie: Tie | None = None

    @property
    def shape(self) -> Literal["point", "split-normal"]:
        return "point" if self.low is None else "split-normal"


@dataclass(frozen=True, slots=True)
class ReferenceClass:
    """One class: ``fills`` by key of the part it stands for; ``gives`` is what only classes supply."""

    kind: str
    name: str
    fits: str
    factory: bool
    material: str
    fills: Mapping[str, Entry]
    gives: Mapping[str, Entry]


class Classes(Mapping[str, ReferenceClass]):
    """The classes of a kind by name, each taken apart when first asked for."""

    def __init__(
        self, kind: str, nodes: Mapping[str, Any], shared: Mapping[str, Any], ties: Mapping[str, Any]
    ) -> None:
        self._kind, self._nodes, self._shared, self._ties = kind, nodes, shared, ties
        self._made: dict[str, ReferenceClass] = {}

    def __getitem__(self, name: str) -> ReferenceClass:
        if name not in self._made:
            self._made[name] = _class(self._kind, name, self._nodes[name], self._shared, self._ties)
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._nodes)

    def __len__(self) -> int:
        return len(self._nodes)


@dataclass(frozen=True, slots=True)
class Kind:
    """One file of classes.  ``part`` and ``gives`` are the paths below which the entries stand."""

    name: str
    part: str
    gives: str
    named_by: str
    choose: tuple[Choice, ...]
    classes: Classes


@cache
def kinds() -> tuple[str, ...]:
    """The names of all kinds that are shipped."""
    return tuple(sorted(p.stem for p in HOME.glob("*.yaml")))


@cache
def kind(name: str) -> Kind:
    """The file of classes of that name; KeyError if there is none."""
    path = HOME / f"{name}.yaml"
    if not path.is_file():
        raise KeyError(name)
    text = path.read_text(encoding="utf-8")
    plain = cast(dict[str, Any], _plain(text))
    return Kind(
        name=plain["kind"],
        part=plain.get("part", ""),
        gives=plain.get("gives", ""),
        named_by=plain.get("named_by", ""),
        choose=tuple(_choice(c) for c in plain.get("choose", ())),
        classes=Classes(plain["kind"], plain["classes"], plain.get("every_class", {}), plain.get("together", {})),
    )


def classes(name: str) -> Mapping[str, ReferenceClass]:
    """The classes of a kind by name."""
    return kind(name).classes


def named_class(kind_name: str, name: str, key: str = "") -> ReferenceClass:
    """The class of that name, or InputError with near matches; ``key`` is where the name was written."""
    found = kind(kind_name).classes
    if name in found:
        return found[name]
    near = tuple(difflib.get_close_matches(name, list(found), n=3, cutoff=0.4))
    problem = Problem(
        wanted=f"the name of a class of {kind_name.replace('_', ' ')}",
        got=f"`{name[:60]}`",
        key=key,
        near=near,
        mend=f"Known: {', '.join(found)}.",
    )
    raise InputError([problem])


def _plain(text: str) -> Any:
    """Mappings, lists and texts of one YAML document: every scalar stays the text it is."""
    import yaml

    class Untyped(yaml.CBaseLoader):
        """Gives no tags: finding that each scalar is a text takes as long as reading it."""

        def resolve(self, *_: object) -> str:
            return ""

    def unfolded(n: Any) -> Any:
        value = n.value
        if value.__class__ is str:
            return value
        if isinstance(n, yaml.MappingNode):
            return {k.value: unfolded(v) for k, v in value}
        return [unfolded(v) for v in value]

    return unfolded(yaml.compose(text, Loader=Untyped))


def _class(
    kind_name: str, name: str, node: Mapping[str, Any], shared: Mapping[str, Any], ties: Mapping[str, Any]
) -> ReferenceClass:
    def entries(part: str) -> dict[str, Entry]:
        written = {**shared.get(part, {}), **(node.get(part) or {})}
        # what the file says of all classes together holds for those that are drawn, unless the entry says otherwise
        whole = {key: {"with": ties[key], **value} if key in ties and "low" in value else value
                 for key, value in written.items()}
        return {key: _entry(kind_name, name, key, value) for key, value in whole.items()}

    return ReferenceClass(
        kind=kind_name,
        name=name,
        fits=node["fits"],
        factory=node.get("factory", "true") == "true",
        material=node.get("material", ""),
        fills=entries("fills"),
        gives=entries("gives"),
    )


def _entry(kind_name: str, name: str, key: str, node: Mapping[str, Any]) -> Entry:
    try:
        return _read(key, node)
    except (GrammarError, KeyError, ValueError) as error:
        problem = Problem("a reference value", str(error), key=f"{name}.{key}", file=f"{kind_name}.yaml")
        raise InputError([problem]) from error


def _read(key: str, node: Mapping[str, Any]) -> Entry:
    evidence = node["evidence"]
    if evidence not in EVIDENCE:
        raise ValueError(f"unknown evidence {evidence}")
    source = node.get("source") or evidence.replace(" ", "-")
    unit, octane = _unit(node)
    typical: Scalar | None = None
    number: Callable[[str], Scalar] = _si
    if "typical" in node:
        typical = _si(node["typical"])
    elif "is" in node:
        number = _text
        typical = _text(node["is"])
    over_path, steps = next(iter(node.get("over", {"": {}}).items()))
    return Entry(
        key=key,
        typical=typical,
        low=_si(node["low"]) if "low" in node else None,
        high=_si(node["high"]) if "high" in node else None,
        unit=unit,
        evidence=cast(Evidence, evidence),
        source=source,
        kind=octane,
        floor=_si(node["floor"]) if "floor" in node else None,
        ceiling=_si(node["ceiling"]) if "ceiling" in node else None,
        chance=_si(node["chance"]) if "chance" in node else None,
        scaled_by=tuple(
            Scale(path, _si(s["reference"]), float(s["power"]), s.get("optional") == "true")
            for path, s in node.get("scaled_by", {}).items()
        ),
        over_path=over_path,
        over=tuple((_si(at), number(value)) for at, value in steps.items()),
        where=tuple((_conditions(w["when"]), _text(w["is"])) for w in node.get("where", ())),
        curve=tuple((float(at), float(value)) for at, value in node.get("curve", {}).items()),
        along=node.get("along", ""),
        only_with=node.get("only_with", ""),
        tie=_tie(node["with"], "low" in node) if "with" in node else None,
    )


def _tie(node: Mapping[str, str], drawn: bool) -> Tie:
    """What an entry goes with; ValueError for one that cannot be."""
    needed, known = {"path", "correlation", "evidence", "why"}, {"path", "correlation", "evidence", "why", "source"}
    if not needed <= node.keys() <= known:
        raise ValueError(f"`with` needs {', '.join(sorted(needed))} and may have a source")
    correlation, evidence = float(node["correlation"]), node["evidence"]
    if not 0.0 < abs(correlation) <= MOST_TOGETHER:
        raise ValueError(f"a correlation between 0 and {MOST_TOGETHER:g} to either side, not {correlation:g}")
    if evidence not in EVIDENCE:
        raise ValueError(f"unknown evidence {evidence}")
    if not drawn:
        raise ValueError("only what has low and high goes with something")
    source = node.get("source") or evidence.replace(" ", "-")
    return Tie(node["path"], correlation, evidence, source, node["why"].rstrip("."))


def _unit(node: Mapping[str, Any]) -> tuple[str, str]:
    """SI unit of an entry, and the reference that its spelling carries (an octane scale, gauge, absolute)."""
    if "typical" not in node:
        return "1", ""
    found = spelling(split(node["typical"]).unit)
    return found.si, found.kind


@cache
def _si(text: str) -> float:
    written = split(text)
    return to_si(written.typical, written.unit)


def _text(text: str) -> str | bool:
    return {"true": True, "false": False}.get(text, text)


def _choice(node: Mapping[str, Any]) -> Choice:
    name = None if node.get("skip") == "true" else node["class"]
    return Choice(_conditions(node.get("when", {})), name)


def _conditions(node: Mapping[str, Any]) -> tuple[Condition, ...]:
    found = []
    for path, wanted in node.items():
        if isinstance(wanted, Mapping):
            found.append(Condition(path, at_least=_si(wanted["at_least"])))
        elif wanted == "given":
            found.append(Condition(path))
        else:
            found.append(Condition(path, (wanted,) if isinstance(wanted, str) else tuple(wanted)))
    return tuple(found)
