"""Rules judged over a ground: conditions at each instant by clauses, then reduced over engine speeds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.rules.atoms import Limits, Tri, Typed, fact_name, in_si
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.grades import CLEAR, severity
from enginelimits.rules.ground import Ground
from enginelimits.rules.inference import Engine, derived, engine_named
from enginelimits.rules.model import (
    Amount,
    Compare,
    Condition,
    FactHolds,
    Leaf,
    Limit,
    LimitName,
    Rule,
    RuleReaches,
    leaves,
)
from enginelimits.rules.outcome import Cause, LimitUsed, RuleOutcome, Witness
from enginelimits.rules.overrides import limits_in_force
from enginelimits.rules.stages import Stage, applies_name, grade_name
from enginelimits.rules.witness import Judged, Row, outcome_missing, witness_of

__all__ = ["Cause", "Evaluation", "LimitUsed", "RuleOutcome", "Witness", "certainly", "evaluate"]

Mask = NDArray[np.bool_]
Grades = NDArray[np.int8]


@dataclass(frozen=True)
class Evaluation:
    """Every rule's outcome and every fact's truth, with the engine that inferred them; how many limits were drawn."""

    engine: str
    outcomes: Mapping[str, RuleOutcome]
    facts: Mapping[str, Tri]
    limits_drawn: int = 0


def evaluate(
    catalogue: Catalogue,
    ground: Ground,
    *,
    engine: str = "auto",
    about: str = "build",
    outcomes: Mapping[str, str] | None = None,
    limit_seed: int | None = None,
) -> Evaluation:
    """Judge every rule that is about the ground's kind.

    With a ``limit_seed`` limits are drawn as far as they are in doubt, in every row but the typical one.

    The named engine fires the clauses on row 0, beside the plain one: SolveError when they differ.
    ``outcomes`` settles rules beforehand, by the grade they are to have given.
    """
    fires = engine_named(engine)
    given = dict(outcomes or {})
    rules = {i: r for i, r in catalogue.judged(about).items() if i not in given}
    typed = Typed(ground, limit_seed)
    limits = {i: limits_in_force(catalogue, rule, typed) for i, rule in rules.items()}
    judging = Judged(catalogue, typed, limits, {}, {}, given)
    for stage in catalogue.stages(about, frozenset(given)):
        _judge_stage(stage, rules, judging, fires)
    return Evaluation(fires.name, judging.outcomes, judging.facts, len(typed.drawn))


def _judge_stage(stage: Stage, rules: Mapping[str, Rule], judging: Judged, engine: Engine) -> None:
    shape = judging.typed.ground.shape
    size = int(np.prod(shape))
    held = np.zeros((len(stage.program.base), *shape), dtype=bool)
    for row, literal in enumerate(stage.program.base):
        truth = judging.truth(*stage.asks[literal[:-1]])
        held[row] = truth.true if literal[-1] == "+" else truth.false
    typical = np.ascontiguousarray(held[:, :, 0, :]).reshape(len(held), -1)
    given = derived(engine, stage.program, held.reshape(len(held), size), typical)
    place = {literal: i for i, literal in enumerate(stage.program.derived)}

    def settled(name: str) -> Tri:
        return Tri(*(given[place[name + rail]].reshape(shape) for rail in "+-"))

    for fact in stage.facts:
        judging.facts[fact] = settled(fact_name(fact))
    for id_ in stage.rules:
        rule = rules[id_]
        applies = settled(applies_name(id_)) if rule.applies is not None else None
        grades = {g.grade: settled(grade_name(id_, g.grade)) for g in rule.grades}
        judging.outcomes[id_] = _outcome(rule, judging, applies, grades)


def _outcome(rule: Rule, judging: Judged, applies: Tri | None, grades: Mapping[str, Tri]) -> RuleOutcome:
    ground, limits = judging.typed.ground, judging.limits[rule.id]
    span = span_of(rule, ground, limits)
    always = np.ones(ground.shape[:2], dtype=bool) & span.any()
    yes: Any = always
    no: Any = ~always
    if applies is not None:
        yes, no = (applies.true & span).any(axis=-1), (applies.false | ~span).all(axis=-1)
    grade = np.zeros(ground.shape[:2], dtype=np.int8)
    could_be = grade.copy()
    for name, truth in grades.items():
        if rule.over == "any":
            true, false = (truth.true & span).any(axis=-1), (truth.false | ~span).all(axis=-1)
        else:
            true = (truth.true | ~span).all(axis=-1) & yes
            false = (truth.false & span).any(axis=-1) | no
        place = severity(name)
        grade[true] = np.maximum(grade[true], place)
        could_be[~false] = np.maximum(could_be[~false], place)
    could_be = np.maximum(could_be, grade)
    nowhere = _reads_nothing_applicable(rule, judging, span) & (could_be == CLEAR)
    stands = np.where(no | nowhere, 0, np.where(yes, 1, -1)).astype(np.int8)
    grade[stands == 0] = CLEAR
    could_be[stands == 0] = CLEAR
    judged = (grade > CLEAR) | (stands == 0) | ((could_be == CLEAR) & (stands == 1))
    missing, outside = outcome_missing(rule, judging, span, grade[:, 0], could_be[:, 0], stands[:, 0])
    in_force = _with_limits(rule, limits)
    shown = rule if in_force == rule.limits else replace(rule, limits=in_force)

    def find(grade: int, row: int) -> Witness:
        return witness_of(shown, judging, span, grade, row)

    outside = outside and not bool(judged[:, 0].all())
    return RuleOutcome(shown, grade, could_be, stands, judged, missing, outside, find)


def certainly(condition: Condition, ground: Ground, catalogue: Catalogue) -> bool:
    """Whether a condition on inputs and quantities alone holds of the typical build, in every ambient at every speed.

    What is unknown anywhere is not certain.
    """
    row = Row(Judged(catalogue, Typed(ground), {}, {}, {}, {}), "", 0)
    return bool(row.truth(condition).true.all())


def span_of(rule: Rule, ground: Ground, limits: Limits) -> Mask:
    """Which of the ground's speeds the rule looks at."""
    speeds = np.asarray(ground.speeds, dtype=float)
    span = np.ones(speeds.shape, dtype=bool)
    if rule.span is None:
        return span
    for end, sense in ((rule.span.below, "below"), (rule.span.above, "above")):
        if end is not None:
            amount: Amount = limits[end.name].value if isinstance(end, LimitName) else end
            edge = in_si(amount, "rad/s", rule.span.place)
            room = 1e-9 * abs(edge)
            span &= (speeds < edge - room) if sense == "below" else (speeds > edge + room)
    return span


def _reads_nothing_applicable(rule: Rule, judging: Judged, span: Mask) -> Any:
    """(ambients, rows) where none of the quantities that the grades read means anything within the span."""
    found: Any = None
    for leaf in leaves(*(g.when for g in rule.grades)):
        if isinstance(leaf, Compare) and leaf.kind == "quantity":
            look = judging.look(rule.id, leaf)
            here = (look.applicable & span).any(axis=-1)
            found = here if found is None else found | here
    return False if found is None else ~found


def _with_limits(rule: Rule, limits: Limits) -> dict[str, Limit]:
    """The rule's limits as in force; an overridden one rests on the shop."""
    return {
        name: limit
        if limits[name].value is limit.value
        else replace(limit, value=limits[name].value, evidence="shop", note=f"set in {limits[name].layer}")
        for name, limit in rule.limits.items()
    }


def reads(catalogue: Catalogue, rule: Rule) -> frozenset[tuple[str, str]]:
    """(kind, name) of every quantity and input that a rule rests on, through facts and other rules."""
    from enginelimits.rules.model import names_read

    found: set[tuple[str, str]] = set()
    seen: set[Leaf] = set()
    ahead = list(leaves(*rule.conditions))
    while ahead:
        leaf = ahead.pop()
        if leaf in seen:
            continue
        seen.add(leaf)
        if isinstance(leaf, FactHolds):
            ahead += leaves(catalogue.facts[leaf.name].when)
        elif isinstance(leaf, RuleReaches):
            ahead += leaves(*catalogue.rules[leaf.id].conditions)
        else:
            found.update(names_read(leaf))
    return frozenset(found)
