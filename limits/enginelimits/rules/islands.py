"""A program cut at its joints into parts, each small enough for the durable engine to be quick at."""

from __future__ import annotations

import re
import weakref
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.clauses import LONGEST_BODY, Program, in_order

BUCKET: Final = 128  # literals told apart by one number; the engine slows beyond, and hangs at 513
MOST_LITERALS: Final = BUCKET * BUCKET
MOST_CLAUSES: Final = 4095  # 4096 rules a ruleset, one of which starts it
ROOMY: Final = 16  # clauses a ruleset where there is a choice: few differing instants, little to match
START: Final = "#start"
STATES: Final = 64  # live states a ruleset; the engine corrupts itself at the 1025th
_OWNER: Final = re.compile(r"fact [a-z0-9_]+|[^/]+")
_KEPT: weakref.WeakKeyDictionary[Program, tuple[int, tuple[Island, ...]]] = weakref.WeakKeyDictionary()
STATE_NAMES: Final = tuple(f"s{i}" for i in range(STATES))


@dataclass(frozen=True, eq=False)
class Island:
    """Some clauses of a program, by their numbers there.

    ``literals`` are all that their bodies use; ``told`` those of them that come from outside the island: base
    literals, or joints that an earlier island gives.
    """

    clauses: tuple[int, ...]
    literals: tuple[str, ...]
    told: tuple[str, ...]


def islands(program: Program, roomy: int = ROOMY) -> tuple[Island, ...]:
    """The parts of a program in order of need; RuleError for one beyond what the engine takes.

    Asked for when a catalogue is read and again when the engine first fires, so they are kept.
    """
    kept = _KEPT.get(program)
    if kept is None or kept[0] != roomy:
        kept = _KEPT[program] = (roomy, _cut(program, roomy))
    return kept[1]


def _cut(program: Program, roomy: int) -> tuple[Island, ...]:
    packed: list[tuple[int, list[int]]] = []
    for depth, group in sorted(_groups(program), key=lambda found: found[0]):
        if packed and packed[-1][0] == depth and len(packed[-1][1]) + len(group) <= roomy:
            packed[-1][1].extend(group)
        else:
            packed.append((depth, list(group)))
    made = [_island(program, sorted(group)) for _, group in packed]
    if problems := [p for island in made for p in _beyond(program, island)]:
        raise RuleError(problems)
    return tuple(made)


@cache
def fnv(text: str) -> int:
    """The 32-bit hash by which alone the durable engine tells names apart (FNV-1a)."""
    value = 2166136261
    for byte in text.encode():
        value = ((value ^ byte) * 16777619) & 0xFFFFFFFF
    return value


def fact_id(number: int) -> str:
    """Name of the fact that tells literal ``number`` of an island."""
    return str(number)


def colliding(names: Iterable[str]) -> tuple[str, ...]:
    """Names whose hash another name has already."""
    seen: dict[int, str] = {}
    return tuple(name for name in names if seen.setdefault(fnv(name), name) != name)


@cache
def _clash(literals: int) -> tuple[str, ...]:
    """Names that the engine would take for others, of an island with up to so many literals."""
    return colliding([*(fact_id(i) for i in range(literals)), *(f"sid-{name}" for name in STATE_NAMES)])


def _groups(program: Program) -> list[tuple[int, list[int]]]:
    """(depth, clause numbers) of each part that hangs together without joints; these come from below."""
    root: dict[str, str] = {}

    def find(name: str) -> str:
        top = name
        while (parent := root.get(top, top)) != top:
            top = parent
        while name != top:  # the way is short from now on
            root[name], name = top, root[name]
        return top

    inner = set(program.derived) - program.joints
    for head, body in program.clauses:
        for literal in body:
            if literal in inner:
                root[find(literal)] = find(head)
    groups: dict[str, list[int]] = {}
    needs: dict[str, dict[str, None]] = {}
    for number, (head, body) in enumerate(program.clauses):
        own = find(head)
        groups.setdefault(own, []).append(number)
        asked = (find(literal) for literal in body if literal in program.joints)
        needs.setdefault(own, {}).update(dict.fromkeys(need for need in asked if need != own))
    depth: dict[str, int] = {}
    for name in in_order(needs):
        depth[name] = 1 + max((depth[need] for need in needs[name]), default=-1)
    return [(depth[name], group) for name, group in groups.items()]


def _island(program: Program, group: Sequence[int]) -> Island:
    bodies = dict.fromkeys(literal for n in group for literal in program.clauses[n].body)
    heads = {program.clauses[n].head for n in group}
    return Island(tuple(group), (START, *bodies), tuple(literal for literal in bodies if literal not in heads))


def _owner(head: str) -> str:
    """The rule, or the fact, that a head belongs to."""
    found = _OWNER.match(head)
    return found[0] if found else head


def _beyond(program: Program, island: Island) -> list[Problem]:
    owners = list(dict.fromkeys(_owner(program.clauses[n].head) for n in island.clauses))
    named, key = ", ".join(owners[:3]) + (", ..." if len(owners) > 3 else ""), owners[0]
    mend = "Split the facts that these rules share, or the rules."
    problems = []
    if len(island.clauses) > MOST_CLAUSES:
        got = f"{len(island.clauses)} for {named}"
        problems.append(Problem(f"at most {MOST_CLAUSES} clauses that hang together", got, mend, key))
    if len(island.literals) > MOST_LITERALS:
        got = f"{len(island.literals)} for {named}"
        problems.append(Problem(f"at most {MOST_LITERALS} propositions that hang together", got, mend, key))
    if any(len(program.clauses[n].body) > LONGEST_BODY for n in island.clauses):
        problems.append(Problem(f"at most {LONGEST_BODY} literals in a clause", f"more for {named}", mend, key))
    if clash := _clash(-(-len(island.literals) // BUCKET) * BUCKET):
        problems.append(Problem("names that the engine can tell apart", f"{clash[0]} in {named}", mend, key))
    return problems
