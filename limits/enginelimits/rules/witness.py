"""Walks a rule's conditions at chosen instants: where it is met worst, what made it so, what was lacking."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.physics.numerics.extremes import first_greatest, first_least
from enginelimits.rules.atoms import PART, Limits, Look, Tri, Typed, in_si, score
from enginelimits.rules.grades import CLEAR, LOG_GRADES, severity
from enginelimits.rules.messages import placeholders
from enginelimits.rules.model import (
    NOWHERE,
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    FactHolds,
    Given,
    Leaf,
    LimitName,
    Matches,
    Not,
    Other,
    Rule,
    RuleReaches,
    Some,
    leaves,
    limit_names,
)
from enginelimits.rules.outcome import Cause, LimitUsed, RuleOutcome, Shown, Witness

if TYPE_CHECKING:
    from enginelimits.rules.catalogue import Catalogue

Mask = NDArray[np.bool_]
Cells = tuple[slice, int, slice]


@dataclass(frozen=True, eq=False)
class Judged:
    """What is known while a catalogue is judged on a ground: truths of facts, outcomes of rules."""

    catalogue: Catalogue
    typed: Typed
    limits: Mapping[str, Limits]
    facts: dict[str, Tri]
    outcomes: dict[str, RuleOutcome]
    given: Mapping[str, str]
    _looks: dict[tuple[str, Leaf], Look] = field(default_factory=dict, repr=False)

    def truth(self, scope: str, leaf: Leaf) -> Tri:
        """A leaf at every instant, broadcastable to the ground's shape."""
        if isinstance(leaf, FactHolds):
            return self.facts[leaf.name]
        if isinstance(leaf, RuleReaches):
            return self._reached(leaf)
        look = self.look(scope, leaf)
        return Tri(look.true, look.false)

    def look(self, scope: str, leaf: Compare | Matches | Given) -> Look:
        """What a leaf read and was held against."""
        key = (scope if limit_names(leaf) else "", leaf)
        if key not in self._looks:
            self._looks[key] = self.typed.look(leaf, self.limits.get(scope, {}))
        return self._looks[key]

    def _reached(self, leaf: RuleReaches) -> Tri:
        wanted = severity(leaf.grade)
        if leaf.id in self.given:
            there = np.full((1, 1, 1), severity(self.given[leaf.id]) >= wanted)
            return Tri(there, ~there)
        outcome = self.outcomes[leaf.id]
        return Tri((outcome.grade >= wanted)[..., None], (outcome.could_be < wanted)[..., None])


@dataclass(frozen=True, eq=False)
class Row:
    """One row of the ground: conditions as masks over (ambients, speeds)."""

    judged: Judged
    scope: str
    row: int

    def cells(self, array: Any) -> NDArray[Any]:
        """This row's (ambients, speeds) of something that broadcasts to the ground's shape."""
        found: NDArray[Any] = np.asarray(array)
        if found.ndim == 3:
            found = found[:, self.row if found.shape[1] > 1 else 0, :]
        elif found.ndim == 2:
            found = found[self.row if found.shape[0] > 1 else 0]
        ambients, _, speeds = self.judged.typed.ground.shape
        if found.shape == (ambients, speeds):
            return found
        # filled, as a view stretched over it takes ten times as long to make
        filled = np.empty((ambients, speeds), dtype=found.dtype)
        filled[...] = found
        return filled

    def truth(self, condition: Condition) -> Tri:
        """Kleene's truth of a condition."""
        if isinstance(condition, Not):
            inner = self.truth(condition.of)
            return Tri(inner.false, inner.true)
        if isinstance(condition, Every | Some | Count):
            parts = [self.truth(c) for c in condition.of]
            true, false = (sum(np.asarray(p[i], dtype=int) for p in parts) for i in (0, 1))
            need = {Every: len(parts), Some: 1}.get(type(condition), getattr(condition, "at_least", 0))
            return Tri(np.asarray(true >= need), np.asarray(false >= len(parts) - need + 1))
        found = self.judged.truth(self.scope, condition)
        return Tri(self.cells(found.true), self.cells(found.false))

    def score(self, condition: Condition) -> NDArray[np.float64]:
        """How far each instant is towards meeting the condition, from its comparisons alone; else NaN."""
        if isinstance(condition, Compare):
            look = self.judged.look(self.scope, condition)
            found = score(self.cells(look.value), condition.sense, self.cells(look.against))
            return np.where(self.cells(look.applicable), found, np.nan)
        if isinstance(condition, Not):
            return 2.0 - self.score(condition.of)
        nothing = np.full(self.cells(False).shape, np.nan)
        if isinstance(condition, Every):
            return np.asarray(np.fmin.reduce([nothing, *map(self.score, condition.of)]))
        if isinstance(condition, Some | Count):
            # Once something holds, only what holds says how far beyond it is.
            holds = self.truth(condition).true
            scores = [np.where(self.truth(c).true | ~holds, self.score(c), np.nan) for c in condition.of]
            return np.asarray(np.fmax.reduce([nothing, *scores]))
        return nothing


def witness_of(rule: Rule, judged: Judged, span: Mask, grade: int, row: int) -> Witness:
    """The instant of a row where a grade's condition is met worst, or is nearest to being met."""
    at = Row(judged, rule.id, row)
    # A grade that the rule does not have is a worse one's, taken down: what crosses that one's limit speaks.
    when = next((g.when for g in reversed(rule.grades) if severity(g.grade) >= grade), rule.grades[0].when)
    truth, scores = at.truth(when), at.score(when)
    applies = at.truth(rule.applies) if rule.applies is not None else None
    nearness = truth.true.astype(int) * 2 + ~truth.false  # true 3, unknown 1, false 0
    if applies is not None:
        nearness = nearness + 4 * (applies.true.astype(int) * 2 + ~applies.false)
    nearness = np.where(span, nearness, -1)
    candidates = nearness == nearness.max()
    best = np.where(candidates, scores, np.nan)
    place = int(np.argmax(candidates)) if np.isnan(best).all() else _furthest(best, at, when)
    # Of a rule on all speeds the least met instant speaks for it.
    worst = np.where(span, scores, np.nan)
    if rule.over == "all" and bool((truth.true | ~span).all()) and np.isfinite(worst).any():
        place = first_least(worst)
    a, n = (int(i) for i in np.unravel_index(place, candidates.shape))
    causes = list(dict.fromkeys(_causes(at, when, True, a, n)))
    if rule.applies is not None:
        fits = _causes(at, rule.applies, True, a, n)
        causes += [c for c in fits if c.kind != "quantity" and c not in causes]
    lead = next((c for c in causes if c.limit is not None and np.isfinite(c.ratio)), None)
    if lead is not None:
        causes = [lead, *(c for c in causes if c is not lead)]
    met = bool(truth.true[a, n]) and bool(span[n]) and (applies is None or bool(applies.true[a, n]))
    return Witness(a, n, met, tuple(causes), _limits_used(rule, judged, at), _values(rule, at, a, n))


def _furthest(best: NDArray[np.float64], at: Row, when: Condition) -> int:
    """Where the scores are greatest; where one part of a condition holds many of them level, the other parts tell."""
    most = float(np.nanmax(best))
    level = best >= most - PART * abs(most) if np.isfinite(most) else best == most
    of_parts = [at.score(leaf) for leaf in leaves(when) if isinstance(leaf, Compare)]
    return first_greatest(np.where(level, np.fmax.reduce([best, *of_parts]), np.nan))


def _causes(at: Row, condition: Condition, want: bool, a: int, n: int) -> Iterator[Cause]:
    """The leaves that make a condition true (or false, as wanted) at an instant, or keep it from being so."""
    if isinstance(condition, Not):
        yield from _causes(at, condition.of, not want, a, n)
    elif isinstance(condition, Every | Some | Count):
        truths = [at.truth(c) for c in condition.of]
        meets = [c for c, t in zip(condition.of, truths, strict=True) if (t.true if want else t.false)[a, n]]
        together = isinstance(condition, Every) if want else isinstance(condition, Some)
        chosen = list(condition.of) if together or not meets else meets
        if not together:
            sign = -1.0 if want else 1.0
            chosen.sort(key=lambda c: sign * float(np.nan_to_num(at.score(c)[a, n], nan=-sign * np.inf)))
            if not meets and not isinstance(condition, Count):
                chosen = chosen[:1]
        for part in chosen:
            yield from _causes(at, part, want, a, n)
    else:
        yield _cause(at, condition, a, n)


def _cause(at: Row, leaf: Leaf, a: int, n: int) -> Cause:
    judged = at.judged
    if isinstance(leaf, FactHolds):
        truth = at.truth(leaf)
        holds = True if truth.true[a, n] else False if truth.false[a, n] else None
        return Cause("fact", leaf.name, holds, "", None)
    if isinstance(leaf, RuleReaches):
        grade: Shown = judged.given.get(leaf.id)
        if leaf.id in judged.outcomes:
            grade = LOG_GRADES[int(judged.outcomes[leaf.id].grade[a, at.row])]
        return Cause("rule", leaf.id, grade, "", LimitUsed("", leaf.grade, "", "at_least", "", leaf.grade))
    look = judged.look(at.scope, leaf)
    rule = judged.catalogue.rules.get(at.scope)
    layer = rule.layer if rule is not None else ""
    if isinstance(leaf, Given):
        used = LimitUsed("", leaf.given, "", "given", layer, leaf.given)
        return Cause("input", leaf.name, _single(at, look.value, a, n), look.unit, used)
    if isinstance(leaf, Matches):
        words = ", ".join(leaf.values)
        used = LimitUsed("", words, "", leaf.match, layer, words)
        return Cause("input", leaf.name, _single(at, look.value, a, n), look.unit, used)
    against = _single(at, look.against, a, n)
    value = _single(at, look.value, a, n)
    ratio = float(at.score(leaf)[a, n])
    name, shipped, source = _named(at, leaf, layer, look.unit, against, a, n)
    return Cause(
        leaf.kind,
        leaf.name,
        value,
        look.unit,
        LimitUsed(name, against, look.unit, leaf.sense, source, shipped, *_drawn_between(at, leaf, look.unit, a, n)),
        ratio,
    )


def _named(
    at: Row, leaf: Compare, layer: str, unit: str, against: Shown, a: int, n: int
) -> tuple[str, Shown, str]:
    """Name, shipped value and layer of what a comparison was held against."""
    limits = at.judged.limits.get(at.scope, {})
    if isinstance(leaf.against, LimitName):
        force = limits[leaf.against.name]
        shipped = None if force.shipped is None else in_si(force.shipped, unit, leaf.place)
        return force.name, shipped, force.layer
    if isinstance(leaf.against, Other):
        times = leaf.against.times
        if isinstance(times, LimitName):
            force = limits[times.name]
            other = _single(at, at.judged.typed.reading(leaf.against.kind, leaf.against.name, leaf.place).si, a, n)
            known = force.shipped is not None and isinstance(other, float)
            shipped = other * in_si(force.shipped, "1", leaf.place) if known else None  # type: ignore[operator, arg-type]
            return force.name, shipped, force.layer
        return leaf.against.name, against, layer
    return "", against, layer


def _drawn_between(at: Row, leaf: Compare, unit: str, a: int, n: int) -> tuple[float | None, float | None]:
    """The 5th and 95th percentile of what a comparison was held against; None where it was not drawn."""
    typed = at.judged.typed
    if typed.seed is None or typed.ground.shape[1] < 2 or isinstance(leaf.against, Amount):
        return None, None
    limits, against = at.judged.limits.get(at.scope, {}), leaf.against
    if isinstance(against, LimitName):
        found = limits[against.name].ends(unit, leaf.name)
        return (None, None) if found is None else (found.low, found.high)
    if not isinstance(against.times, LimitName):
        return None, None
    found = limits[against.times.name].ends("1", "")
    other = _single(at, typed.reading(against.kind, against.name, leaf.place).si, a, n)
    if found is None or not isinstance(other, float):
        return None, None
    low, high = sorted((found.low * other, found.high * other))
    return low, high


def _single(at: Row, si: Any, a: int, n: int) -> Shown:
    """One instant's value, None where unknown."""
    if si is None or isinstance(si, str | bool):
        return si
    if isinstance(si, tuple):
        return ", ".join(f"{v:.6g}" for v in si)
    value = at.cells(si)[a, n]
    if isinstance(value, str):
        return value
    if isinstance(value, bool | np.bool_):
        return bool(value)
    return None if value is None or np.isnan(value) else float(value)


def _limits_used(rule: Rule, judged: Judged, at: Row) -> dict[str, LimitUsed]:
    """The rule's numbers in force, each in the unit of what it is compared with."""
    units: dict[str, tuple[str, str]] = {}
    for leaf in leaves(*rule.conditions):
        if isinstance(leaf, Compare) and isinstance(leaf.against, LimitName):
            reading = judged.typed.reading(leaf.kind, leaf.name, leaf.place)
            units.setdefault(leaf.against.name, (reading.unit, leaf.sense))
    used = {}
    for name, force in judged.limits[rule.id].items():
        unit, sense = units.get(name, (force.value.si_unit, ""))
        shipped = None if force.shipped is None else in_si(force.shipped, unit, NOWHERE)
        used[name] = LimitUsed(name, in_si(force.value, unit, NOWHERE), unit, sense, force.layer, shipped)
    return used


def _values(rule: Rule, at: Row, a: int, n: int) -> dict[str, tuple[Shown, str]]:
    values: dict[str, tuple[Shown, str]] = {}
    for kind, name in placeholders(rule.message):
        if kind in ("quantity", "input"):
            reading = at.judged.typed.reading(kind, name, rule.place)
            values[f"{kind}:{name}"] = (_single(at, reading.si, a, n), reading.unit)
    return values


def outcome_missing(
    rule: Rule,
    judged: Judged,
    span: Mask,
    grade: NDArray[np.int8],
    could_be: NDArray[np.int8],
    applies: NDArray[np.int8],
) -> tuple[tuple[str, ...], bool]:
    """Of row 0: inputs that leave a worse grade, or the rule's fitness, open; and whether only range does."""
    if not ((could_be > grade) | (applies < 0)).any():
        return (), False
    at = Row(judged, rule.id, 0)
    missing: set[str] = set()
    outside = [False]
    where = np.broadcast_to(span, at.cells(False).shape)
    lacking = Lacking(at, missing, outside)
    stands = np.ones_like(where)
    if rule.applies is not None:
        truth = at.truth(rule.applies)
        stands = where & ~truth.false
        lacking.gather(rule.applies, where & ~truth.true & ~truth.false)
    for one in rule.grades:
        place = severity(one.grade)
        open_here = ((could_be >= place) & (grade < place))[:, None]
        lacking.gather(one.when, where & stands & open_here)
    return tuple(sorted(missing)), outside[0] and not missing


@dataclass(frozen=True, eq=False)
class Lacking:
    """Gathers what unknown leaves lacked, walking only where the condition around them is unknown."""

    at: Row
    missing: set[str]
    outside: list[bool]

    def gather(self, condition: Condition, where: Mask) -> None:
        """Add what keeps the condition unknown at the given instants."""
        truth = self.at.truth(condition)
        where = where & ~truth.true & ~truth.false
        if not where.any():
            return
        if isinstance(condition, Not):
            self.gather(condition.of, where)
        elif isinstance(condition, Every | Some | Count):
            for part in condition.of:
                self.gather(part, where)
        elif isinstance(condition, FactHolds):
            # A fact's own limits are written in it, so that its leaves need no rule's scope.
            fact = self.at.judged.catalogue.facts[condition.name]
            Lacking(Row(self.at.judged, "", self.at.row), self.missing, self.outside).gather(fact.when, where)
        elif isinstance(condition, RuleReaches):
            outcome = self.at.judged.outcomes[condition.id]
            self.missing.update(outcome.missing)
            self.outside[0] |= outcome.outside
        else:
            self._leaf(condition, where)

    def _leaf(self, leaf: Compare | Matches | Given, where: Mask) -> None:
        look = self.at.judged.look(self.at.scope, leaf)
        if look.missing:
            self.missing.update(look.missing)
            return
        beyond = where & self.at.cells(look.outside)
        self.outside[0] |= bool(beyond.any())
        if (where & ~beyond).any():
            value = look.value
            unknown = value is None or (not isinstance(value, str | bool) and _any_nan(value))
            other = isinstance(leaf, Compare) and isinstance(leaf.against, Other) and not unknown
            self.missing.add(leaf.against.name if other else leaf.name)  # type: ignore[union-attr]


def _any_nan(value: Any) -> bool:
    array = np.asarray(value)
    return array.dtype.kind == "f" and bool(np.isnan(array).any())


__all__ = ["CLEAR", "Judged", "outcome_missing", "witness_of"]
