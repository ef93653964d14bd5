"""A catalogue compiled: its conditions as programs, in stages.

A fact or rule that asks what another rule's outcome is can only be judged once that outcome has been reduced
over speeds, so it stands in a later stage.  Within a stage facts and rules feed one another as clauses.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.atoms import fact_name, leaf_name
from enginelimits.rules.clauses import Program, Writer
from enginelimits.rules.islands import islands
from enginelimits.rules.model import (
    NOWHERE,
    Condition,
    Every,
    Fact,
    FactHolds,
    Leaf,
    Not,
    Rule,
    RuleReaches,
    Some,
    leaves,
    limit_names,
)


@dataclass(frozen=True, eq=False)
class Stage:
    """Rules and facts that can be judged together.  ``asks`` holds each base proposition's scope and leaf."""

    rules: tuple[str, ...]
    facts: tuple[str, ...]
    program: Program
    asks: Mapping[str, tuple[str, Leaf]]


def grade_name(rule: str, grade: str) -> str:
    """Name of the proposition that a rule's grade is given at an instant."""
    return f"{rule}/{grade}"


def applies_name(rule: str) -> str:
    """Name of the proposition that a rule applies at an instant."""
    return f"{rule}/applies"


def grade_condition(rule: Rule, when: Condition) -> Condition:
    """What must hold at an instant: the grade's condition where the rule applies.

    Of a rule that wants it at all speeds, an instant where the rule does not apply is no objection.
    """
    if rule.applies is None:
        return when
    return Every((rule.applies, when)) if rule.over == "any" else Some((Not(rule.applies), when))


def staged(rules: Mapping[str, Rule], facts: Mapping[str, Fact], settled: Collection[str] = ()) -> tuple[Stage, ...]:
    """The stages of a catalogue; RuleError for circles and for what the durable engine cannot take.

    ``settled`` names rules whose outcome is given, not judged.
    """
    number = _stage_numbers(rules, facts, settled)
    stages = []
    for stage in sorted(set(number.values())):
        names = [name for name, n in number.items() if n == stage]
        stages.append(
            _stage(
                {i: rules[i] for kind, i in names if kind == "rule"},
                {f: facts[f] for kind, f in names if kind == "fact"},
            )
        )
    return tuple(stages)


def facts_needed(rules: Iterable[Rule], facts: Mapping[str, Fact]) -> dict[str, Fact]:
    """The facts that the rules read, directly or through other facts."""
    found: dict[str, Fact] = {}
    ahead = [leaf for rule in rules for leaf in leaves(*rule.conditions)]
    while ahead:
        leaf = ahead.pop()
        if isinstance(leaf, FactHolds) and leaf.name in facts and leaf.name not in found:
            found[leaf.name] = facts[leaf.name]
            ahead += leaves(facts[leaf.name].when)
    return found


def _stage(rules: Mapping[str, Rule], facts: Mapping[str, Fact]) -> Stage:
    asks: dict[str, tuple[str, Leaf]] = {}

    def atom(scope: str, leaf: Leaf) -> str:
        own = scope if limit_names(leaf) else ""
        name = leaf_name(own, leaf)
        if not (isinstance(leaf, FactHolds) and leaf.name in facts):
            asks.setdefault(name, (own, leaf))
        return name

    writer = Writer(atom)
    for name, fact in facts.items():
        writer.define(fact_name(name), fact.when, fact_name(name), joint=True)
    for id_, rule in rules.items():
        if rule.applies is not None:
            writer.define(applies_name(id_), rule.applies, id_)
        for grade in rule.grades:
            writer.define(grade_name(id_, grade.grade), grade_condition(rule, grade.when), id_)
    program = writer.program()
    try:
        islands(program)  # what is beyond the durable engine is refused wherever the catalogue is read
    except RuleError as error:
        raise RuleError(_placed(problem, rules, facts) for problem in error.problems) from None
    return Stage(tuple(rules), tuple(facts), program, asks)


def _placed(problem: Problem, rules: Mapping[str, Rule], facts: Mapping[str, Fact]) -> Problem:
    """The problem at the rule or fact that its key names."""
    of = rules.get(problem.key) or facts.get(problem.key.removeprefix("fact "))
    place = of.place if of is not None else NOWHERE
    return replace(problem, file=place.file, line=place.line, column=place.column)


Name = tuple[str, str]


def _stage_numbers(rules: Mapping[str, Rule], facts: Mapping[str, Fact], settled: Collection[str]) -> dict[Name, int]:
    """Stage of each ("rule", id) and ("fact", name)."""
    number: dict[Name, int] = {}
    on_the_way: dict[Name, None] = {}
    problems: list[Problem] = []

    def needs(name: Name) -> Iterable[tuple[Name, int]]:
        kind, key = name
        for leaf in leaves(*(rules[key].conditions if kind == "rule" else (facts[key].when,))):
            if isinstance(leaf, FactHolds):
                yield ("fact", leaf.name), 0
            elif isinstance(leaf, RuleReaches) and leaf.id not in settled:
                yield ("rule", leaf.id), 1

    def visit(name: Name) -> int:
        if name in number:
            return number[name]
        if name in on_the_way:
            loop = [*list(on_the_way)[list(on_the_way).index(name) :], name]
            place = (rules if name[0] == "rule" else facts)[name[1]].place
            problems.append(
                Problem(
                    "facts and rules that do not need themselves",
                    " needs ".join(f"{kind} {key}" for kind, key in loop),
                    "Break the circle.",
                    name[1],
                    place.file,
                    place.line,
                    place.column,
                )
            )
            return 0
        on_the_way[name] = None
        reached = [0]
        for need, step in needs(name):
            if need[1] in (rules if need[0] == "rule" else facts):
                reached.append(visit(need) + step)
            else:
                problems.append(_unknown(need, name, rules, facts))
        del on_the_way[name]
        number[name] = max(reached)
        return number[name]

    for name in [*(("fact", f) for f in facts), *(("rule", i) for i in rules)]:
        visit(name)
    if problems:
        raise RuleError(problems)
    return number


def _unknown(need: Name, name: Name, rules: Mapping[str, Rule], facts: Mapping[str, Fact]) -> Problem:
    import difflib

    of: Rule | Fact = rules[name[1]] if name[0] == "rule" else facts[name[1]]
    conditions = of.conditions if isinstance(of, Rule) else (of.when,)
    place = of.place
    for leaf in leaves(*conditions):
        asked = leaf.name if isinstance(leaf, FactHolds) else leaf.id if isinstance(leaf, RuleReaches) else ""
        if asked == need[1]:
            place = leaf.place
    known = list(rules if need[0] == "rule" else facts)
    near = tuple(difflib.get_close_matches(need[1], known, n=3))
    return Problem(f"a {need[0]} of the catalogue", need[1], "", need[0], place.file, place.line, place.column, near)
