"""Whether the tests beside the rules stand on both sides of every limit, and leave each input out once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

import numpy as np

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.atoms import InForce, Limits, Typed
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.model import (
    Compare,
    FactHolds,
    Given,
    Leaf,
    LimitName,
    Place,
    Rule,
    RuleCase,
    RuleReaches,
    RuleTest,
    leaves,
    limit_names,
    names_read,
)
from enginelimits.rules.stages import facts_needed
from enginelimits.rules.testing import CaseGround, load_tests
from enginelimits.rules.vocabulary import Words

NEAR: Final = 0.1  # a side counts when a test stands within a tenth of the limit


def coverage_problems(catalogue: Catalogue, words: Words) -> Iterator[Problem]:
    """What the tests leave out."""
    try:
        tests = load_tests(catalogue)
    except RuleError as error:
        yield from error.problems
        return
    by_rule: dict[str, list[RuleTest]] = {}
    for test in tests:
        by_rule.setdefault(test.rule, []).append(test)
        if test.rule not in catalogue.rules:
            yield _problem(test.place, "a test of a rule of the catalogue", test.rule, "rule")
    for rule in catalogue.rules.values():
        if rule.status == "withdrawn":
            continue
        cases = [case for test in by_rule.get(rule.id, ()) for case in test.cases]
        if not cases:
            mend = "Put a .test.yaml beside the rule."
            yield _problem(rule.place, f"a test for {rule.id}", "none", "id", mend)
            continue
        place = by_rule[rule.id][0].place
        yield from _sides(rule, cases, catalogue, words, place)
        yield from _missing(rule, cases, catalogue, place)
        applies = rule.applies is not None or rule.span is not None
        if applies and not any(case.expect.outcome == "not applicable" for case in cases):
            yield _problem(place, f"a test where {rule.id} is not applicable", "none", "tests")


def _sides(
    rule: Rule, cases: Iterable[RuleCase], catalogue: Catalogue, words: Words, place: Place
) -> Iterator[Problem]:
    limits: Limits = {n: InForce(n, lim.value, rule.layer, None) for n, lim in rule.limits.items()}
    seen: dict[str, set[str]] = {}
    for case in cases:
        ground = CaseGround(case, words.quantities, words.inputs)
        typed = Typed(ground)
        for leaf in leaves(*rule.conditions):
            for name in limit_names(leaf):
                if isinstance(leaf, Compare):
                    seen.setdefault(name, set()).update(_side(leaf, typed, limits))
        for end in (rule.span.below, rule.span.above) if rule.span is not None else ():
            if isinstance(end, LimitName):
                edge = rule.limits[end.name].value
                if edge.si_unit == "rad/s":  # else told where the limit is looked at
                    sides = _sides_of(ground.speeds, edge.si("rad/s"), near=np.inf)
                    seen.setdefault(end.name, set()).update(sides)
    for name, sides in seen.items():
        for side in ("above", "below"):
            if side not in sides:
                got = f"none {side} it within a tenth" if sides else "none near it"
                yield _problem(place, f"tests of {rule.id} on both sides of {name}", got, "tests")


def _side(leaf: Compare, typed: Typed, limits: Limits) -> set[str]:
    try:
        look = typed.look(leaf, limits)
    except RuleError:
        return set()  # told where the condition is looked at
    return _sides_of(np.where(look.applicable, look.value, np.nan), look.against)


def _sides_of(value: Any, limit: Any, near: float = NEAR) -> set[str]:
    value, limit = np.broadcast_arrays(np.asarray(value, dtype=float), np.asarray(limit, dtype=float))
    # Nothing is a tenth of zero; and of whole numbers the next one is near.
    room = np.where(limit == 0.0, np.inf, near * np.abs(limit))
    with np.errstate(invalid="ignore"):
        room = np.where((value % 1.0 == 0.0) & (limit % 1.0 == 0.0) & (np.abs(limit) < 10.0), 1.0, room)
        close = np.isfinite(value) & np.isfinite(limit) & (np.abs(value - limit) <= room)
    return {s for s, there in (("above", value > limit), ("below", value < limit)) if bool((there & close).any())}


def _missing(rule: Rule, cases: Iterable[RuleCase], catalogue: Catalogue, place: Place) -> Iterator[Problem]:
    told = {name for case in cases for name in case.expect.missing or ()}
    for kind, name in dict.fromkeys(read for leaf in _leaves(rule, catalogue) for read in names_read(leaf)):
        if name not in told:
            yield _problem(place, f"a test of {rule.id} with {name} missing", "none", "tests",
                           f"Give the {kind} as null, and name it under `missing`.")  # fmt: skip


def _leaves(rule: Rule, catalogue: Catalogue) -> Iterator[Leaf]:
    """Every leaf whose reading can be missing, those of the facts included."""
    conditions = [*rule.conditions, *(f.when for f in facts_needed([rule], catalogue.facts).values())]
    for leaf in leaves(*conditions):
        if not isinstance(leaf, FactHolds | RuleReaches | Given):
            yield leaf


def _problem(place: Place, wanted: str, got: str, key: str = "", mend: str = "") -> Problem:
    return Problem(wanted, got, mend, key, place.file, place.line, place.column)
