"""What a rule file says, as frozen types.  Conditions are data: nothing in them is ever run as code."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple, TypeAlias

from enginelimits.units.registry import to_si
from enginelimits.units.spellings import spelling

Sense = Literal["above", "below", "at_least", "at_most"]
Match = Literal["is", "is_not", "in", "not_in"]
Kind = Literal["quantity", "input"]

SENSES: Final[tuple[Sense, ...]] = ("above", "below", "at_least", "at_most")
MATCHES: Final[tuple[Match, ...]] = ("is", "is_not", "in", "not_in")
EVIDENCE: Final = ("published", "computed", "common practice", "memory", "shop")
CONFIDENCE: Final = ("low", "medium", "high")
STATUSES: Final = ("preview", "stable", "withdrawn")
PARTS: Final = ("rods", "rod_bolts", "pistons", "pins", "bearings", "head", "valves")
REMEDY_KINDS: Final = ("calibration", "fuel", "part", "inspection")


class Place(NamedTuple):
    """Where something was written; lines and columns count from 1."""

    file: str = ""
    line: int | None = None
    column: int | None = None


NOWHERE: Final = Place()


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit, as written.  Some spellings mean two things (``g``), so SI comes later."""

    number: float
    unit: str = ""

    def si(self, unit: str) -> float:
        """The number in the given SI unit; GrammarError when it is of another dimension."""
        return to_si(self.number, self.unit, unit)

    @property
    def si_unit(self) -> str:
        """SI unit of the first meaning of the spelling."""
        return spelling(self.unit).si

    @property
    def kind(self) -> str:
        """What the number refers to: gauge or absolute pressure, an octane scale; mostly empty."""
        return spelling(self.unit).kind

    def __str__(self) -> str:
        return f"{self.number:.12g} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Limit:
    """One number of a rule by name, with what it rests on.

    ``low`` and ``high`` are its own 5th and 95th percentile where the rule states them; equal to it of an exact number.
    """

    name: str
    value: Amount
    evidence: str = ""
    confidence: str = ""
    source: Mapping[str, str] = field(default_factory=dict, hash=False)
    note: str = ""
    place: Place = field(default=NOWHERE, compare=False)
    low: Amount | None = None
    high: Amount | None = None


@dataclass(frozen=True, slots=True)
class LimitName:
    """A limit of the rule, by its name."""

    name: str


@dataclass(frozen=True, slots=True)
class Other:
    """Another quantity or input to compare with, times a factor or a limit that is a plain number."""

    kind: Kind
    name: str
    times: float | LimitName = 1.0


@dataclass(frozen=True, slots=True)
class Compare:
    """A quantity or an input beyond or within something."""

    kind: Kind
    name: str
    sense: Sense
    against: LimitName | Amount | Other
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Matches:
    """An input equal to a word, a yes or no, or a number, or to one of several."""

    name: str
    match: Match
    values: tuple[str, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Given:
    """Whether an input is known at all."""

    name: str
    given: bool
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class FactHolds:
    """A named fact of the catalogue."""

    name: str
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class RuleReaches:
    """Another rule's outcome, reduced over its speeds, at a grade or worse."""

    id: str
    grade: str
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Count:
    """At least so many of the conditions."""

    of: tuple[Condition, ...]
    at_least: int
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Every:
    """All of the conditions, at the same instant."""

    of: tuple[Condition, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Some:
    """Any of the conditions."""

    of: tuple[Condition, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Not:
    """The condition is false.  Of an unknown condition it is unknown."""

    of: Condition
    place: Place = field(default=NOWHERE, compare=False)


Leaf: TypeAlias = Compare | Matches | Given | FactHolds | RuleReaches
Condition: TypeAlias = Leaf | Count | Every | Some | Not


@dataclass(frozen=True, slots=True)
class Span:
    """The engine speeds at which a rule is looked at."""

    below: LimitName | Amount | None = None
    above: LimitName | Amount | None = None
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade and the condition under which it is given."""

    grade: str
    when: Condition
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, eq=False)
class Rule:
    """One rule.  ``grades`` stand worst first; ``layer`` names where the rule came from.

    ``about`` says what the rule judges: a ``build``, or a measured ``log``.  ``bound`` marks a rule on a
    bound (the value cannot be worse, and may be far better), ``part`` and ``method`` tell independent rules
    on the same part apart.  ``strength_of`` names the part of the internals whose strength it judges by class: where
    the maker's figures are known, draws in which the factory part would fail it in factory duty are not kept.
    """

    id: str
    title: str
    family: str
    grades: tuple[Grade, ...]
    status: str = "stable"
    replaced_by: str = ""
    since: str = ""
    author: str = ""
    date: datetime.date | None = None
    failure_modes: tuple[str, ...] = ()
    applies: Condition | None = None
    span: Span | None = None
    over: Literal["any", "all"] = "any"
    limits: Mapping[str, Limit] = field(default_factory=dict)
    why: str = ""
    message: str = ""
    settled_by: str = ""
    remedies: tuple[str, ...] = ()
    caveats: tuple[str, ...] = ()
    sources: tuple[Mapping[str, str], ...] = ()
    evidence: str = ""
    confidence: str = ""
    about: Literal["build", "log"] = "build"
    part: str = ""
    method: str = ""
    strength_of: str = ""
    bound: bool = False
    layer: str = ""
    place: Place = NOWHERE
    places: Mapping[str, Place] = field(default_factory=dict)

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """Every condition of the rule, ``applies`` first."""
        first = () if self.applies is None else (self.applies,)
        return (*first, *(g.when for g in self.grades))


@dataclass(frozen=True, eq=False)
class Fact:
    """A named condition that rules share."""

    name: str
    say: str
    when: Condition
    layer: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, eq=False)
class Remedy:
    """What can be done; ``steps`` are alternatives, mildest first, each a list of edits of the build.

    ``against`` are remedies that cannot be done together with it; ``on_a_belt`` is the one in its place where boost
    comes by a belt, which has no gate.  ``moot_where`` is a condition on inputs and quantities under which its words
    are none for the build, as a blend of ethanol for what runs on a stronger one."""

    id: str
    kind: str
    say: str
    steps: tuple[tuple[Mapping[str, object], ...], ...] = ()
    shifts: str = ""
    layer: str = ""
    place: Place = NOWHERE
    against: tuple[str, ...] = ()
    on_a_belt: str = ""
    moot_where: Condition | None = None


@dataclass(frozen=True, eq=False)
class FailureMode:
    """A way in which an engine breaks.  ``not_modelled`` gives the reason when no data allow a rule.

    ``awaits`` names what has to be computed before a rule can speak of it."""

    id: str
    title: str
    part: str = ""
    mechanism: str = ""
    signs: str = ""
    cost: str = ""
    not_modelled: str = ""
    awaits: str = ""
    sources: tuple[Mapping[str, str], ...] = ()
    layer: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, eq=False)
class Override:
    """A shop's own numbers for a rule's limits, within a scope of inputs, until a date."""

    rule: str
    limits: Mapping[str, Amount]
    scope: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    author: str = ""
    date: datetime.date | None = None
    reason: str = ""
    expires: datetime.date | None = None
    layer: str = ""
    place: Place = NOWHERE
    places: Mapping[str, Place] = field(default_factory=dict)

    @property
    def narrowness(self) -> tuple[int, int]:
        """Greater is narrower: more inputs named, then fewer words allowed."""
        return len(self.scope), -sum(len(words) for words in self.scope.values())


CaseValue: TypeAlias = str | tuple[str | None, ...] | None


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a test wants of its rule; None where it does not care."""

    outcome: str | None = None
    grade: str | None = None
    at: Amount | None = None
    could_be: str | None = None
    missing: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class RuleCase:
    """One test: values over engine speed, and what the rule must then say."""

    name: str
    inputs: Mapping[str, CaseValue]
    quantities: Mapping[str, CaseValue]
    speeds: tuple[Amount, ...]
    outcomes: Mapping[str, str]
    expect: Expectation
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, eq=False)
class RuleTest:
    """A test file: the rule it is for and its cases, each already merged with ``given``."""

    rule: str
    cases: tuple[RuleCase, ...]
    place: Place = NOWHERE


def parts_of(condition: Condition) -> tuple[Condition, ...]:
    """The conditions directly inside."""
    if isinstance(condition, Every | Some | Count):
        return condition.of
    return (condition.of,) if isinstance(condition, Not) else ()


def leaves(*conditions: Condition | None) -> Iterator[Leaf]:
    """Every leaf, in the order written."""
    for condition in conditions:
        if condition is None:
            continue
        if isinstance(condition, Compare | Matches | Given | FactHolds | RuleReaches):
            yield condition
        else:
            yield from leaves(*parts_of(condition))


def limit_names(leaf: Leaf) -> tuple[str, ...]:
    """Names of the limits that a leaf refers to."""
    if not isinstance(leaf, Compare):
        return ()
    if isinstance(leaf.against, LimitName):
        return (leaf.against.name,)
    if isinstance(leaf.against, Other) and isinstance(leaf.against.times, LimitName):
        return (leaf.against.times.name,)
    return ()


def names_read(leaf: Leaf) -> tuple[tuple[str, str], ...]:
    """(kind, name) of everything that a leaf reads: quantity, input, fact or rule."""
    if isinstance(leaf, Compare):
        read: tuple[tuple[str, str], ...] = ((leaf.kind, leaf.name),)
        return (*read, (leaf.against.kind, leaf.against.name)) if isinstance(leaf.against, Other) else read
    if isinstance(leaf, FactHolds):
        return (("fact", leaf.name),)
    if isinstance(leaf, RuleReaches):
        return (("rule", leaf.id),)
    return (("input", leaf.name),)
