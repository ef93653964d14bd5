"""A program cut into parts that share no derived literal, each small enough for the durable engine."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.clauses import LONGEST_BODY, Program

BUCKET: Final = 128  # literals told apart by one number; the engine slows beyond, and hangs at 513
MOST_LITERALS: Final = BUCKET * BUCKET
MOST_CLAUSES: Final = 4095  # 4096 rules a ruleset, one of which starts it
ROOMY: Final = 16  # clauses a ruleset where there is a choice: few differing instants, little to match
START: Final = "#start"
STATES: Final = 64  # live states a ruleset; the engine corrupts itself at the 1025th
STATE_NAMES: Final = tuple(f"s{i}" for i in range(STATES))


@dataclass(frozen=True, eq=False)
class Island:
    """Some clauses of a program, by their numbers there, with the base literals and heads they use."""

    clauses: tuple[int, ...]
    literals: tuple[str, ...]
    told: tuple[int, ...]


def islands(program: Program, roomy: int = ROOMY) -> tuple[Island, ...]:
    """The parts of a program, clauses in program order; RuleError for one beyond what the engine takes."""
    groups: list[list[int]] = []
    for group in _connected(program):
        if groups and len(groups[-1]) + len(group) <= roomy:
            groups[-1].extend(group)
        else:
            groups.append(list(group))
    place = {literal: i for i, literal in enumerate(program.base)}
    made = [_island(program, sorted(group), place) for group in groups]
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


def _connected(program: Program) -> list[list[int]]:
    root: dict[str, str] = {}

    def find(name: str) -> str:
        while (parent := root.setdefault(name, name)) != name:
            root[name] = root[parent]
            name = root[name]
        return name

    derived = set(program.derived)
    for head, body in program.clauses:
        for literal in body:
            if literal in derived:
                root[find(literal)] = find(head)
    groups: dict[str, list[int]] = {}
    for number, clause in enumerate(program.clauses):
        groups.setdefault(find(clause.head), []).append(number)
    return list(groups.values())


def _island(program: Program, group: Sequence[int], place: dict[str, int]) -> Island:
    bodies = dict.fromkeys(literal for n in group for literal in program.clauses[n].body)
    return Island(
        tuple(group), (START, *bodies), tuple(place[literal] for literal in bodies if literal in place)
    )


def _beyond(program: Program, island: Island) -> list[Problem]:
    rules = dict.fromkeys(program.clauses[n].head.rstrip("+-") for n in island.clauses)
    named = ", ".join(list(rules)[:3]) + (", ..." if len(rules) > 3 else "")
    mend = "Split the facts that these rules share, or the rules."
    problems = []
    if len(island.clauses) > MOST_CLAUSES:
        got = f"{len(island.clauses)} for {named}"
        problems.append(Problem(f"at most {MOST_CLAUSES} clauses that hang together", got, mend))
    if len(island.literals) > MOST_LITERALS:
        got = f"{len(island.literals)} for {named}"
        problems.append(Problem(f"at most {MOST_LITERALS} propositions that hang together", got, mend))
    if long := [
        program.clauses[n].head for n in island.clauses if len(program.clauses[n].body) > LONGEST_BODY
    ]:
        problems.append(Problem(f"at most {LONGEST_BODY} literals in a clause", f"more for {long[0]}"))
    names = [*(fact_id(i) for i in range(len(island.literals))), *(f"sid-{name}" for name in STATE_NAMES)]
    if clash := colliding(names):
        problems.append(Problem("names that the engine can tell apart", f"{clash[0]} in {named}", mend))
    return problems
