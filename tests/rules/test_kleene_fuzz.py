"""Both engines against three-valued logic worked out one instant at a time, on random catalogues.

The reference below is Kleene's strong three-valued logic (Kleene 1952, Introduction to Metamathematics, section 64):
`and` is the least, `or` the greatest of false < unknown < true, `not` turns the order round.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from enginelimits.rules.catalogue import Catalogue, Layer
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.ground import Reading
from enginelimits.rules.inference import engine_named
from enginelimits.rules.model import (
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    Fact,
    FactHolds,
    Given,
    Grade,
    Limit,
    LimitName,
    Matches,
    Not,
    Other,
    Rule,
    RuleReaches,
    Some,
    Span,
)
from enginelimits.rules.plain import Plain

QUANTITIES = ("q.a", "q.b", "q.c", "q.d")
INPUTS = ("i.text", "i.flag", "i.size")
ORDER = ("clear", "note", "caution", "reinforce", "decline")
BATCHES, BATCH = 32, 50

Truth = bool | None


def least(values: Sequence[Truth]) -> Truth:
    return False if any(v is False for v in values) else None if any(v is None for v in values) else True


def opposite(value: Truth) -> Truth:
    return None if value is None else not value


def greatest(values: Sequence[Truth]) -> Truth:
    return opposite(least([opposite(v) for v in values]))


class Scene:
    """A random ground, kept as lists so that the reference shares nothing with the arrays under test."""

    def __init__(self, rng: random.Random) -> None:
        self.shape = (rng.randint(1, 2), rng.randint(1, 3), rng.randint(1, 4))
        self.speeds = np.array([100.0 * (n + 1) for n in range(self.shape[2])])
        self.values: dict[str, dict[tuple[int, int, int], float]] = {}
        self.off: dict[str, set[tuple[int, int, int]]] = {}
        self.beyond: dict[str, set[tuple[int, int, int]]] = {}
        cells = [tuple(int(x) for x in at) for at in np.ndindex(*self.shape)]
        for name in QUANTITIES:
            self.values[name] = {at: math.nan if rng.random() < 0.15 else float(rng.randint(1, 5)) for at in cells}
            self.off[name] = {at for at in cells if rng.random() < 0.1}
            self.beyond[name] = {at for at in cells if rng.random() < 0.1}
        self.text = rng.choice(["x", "y", "unknown", None])
        self.flag = rng.choice([True, False, None])
        self.size = rng.choice([1.0, 3.0, 5.0, None])

    def _array(self, of: dict[tuple[int, int, int], float]) -> np.ndarray:
        array = np.empty(self.shape)
        for at, value in of.items():
            array[at] = value
        return array

    def quantity(self, id: str) -> Reading | None:
        masks = []
        for cells in (self.beyond[id], self.off[id]):
            mask = np.zeros(self.shape, dtype=bool)
            for at in cells:
                mask[at] = True
            masks.append(mask)
        return Reading(self._array(self.values[id]), "1", frozenset((id,)), masks[0], ~masks[1])

    def input(self, path: str) -> Reading:
        value = {"i.text": self.text, "i.flag": self.flag, "i.size": self.size}[path]
        si = np.array(value) if isinstance(value, float) else value
        return Reading(si, "1", frozenset() if value is not None else frozenset((path,)))


class Reference:
    """The catalogue judged one instant at a time."""

    def __init__(self, rules: dict[str, Rule], facts: dict[str, Fact], scene: Scene) -> None:
        self.rules, self.facts, self.scene = rules, facts, scene
        self.judged: dict[str, dict[tuple[int, int], tuple[int, int, int]]] = {}

    def holds(self, c: Condition, at: tuple[int, int, int], limits: dict[str, float]) -> Truth:
        scene = self.scene
        if isinstance(c, Not):
            return opposite(self.holds(c.of, at, limits))
        if isinstance(c, Every | Some | Count):
            parts = [self.holds(p, at, limits) for p in c.of]
            if isinstance(c, Every):
                return least(parts)
            if isinstance(c, Some):
                return greatest(parts)
            sure, open_ = parts.count(True), parts.count(None)
            return True if sure >= c.at_least else None if sure + open_ >= c.at_least else False
        if isinstance(c, FactHolds):
            return self.holds(self.facts[c.name].when, at, {})
        if isinstance(c, RuleReaches):
            grade, could_be, _ = self.outcome(c.id)[at[:2]]
            wanted = ORDER.index(c.grade)
            return True if grade >= wanted else None if could_be >= wanted else False
        if isinstance(c, Given):
            known = {"i.text": scene.text not in (None, "unknown"), "i.flag": scene.flag is not None,
                     "i.size": scene.size is not None}[c.name]  # fmt: skip
            return known == c.given
        if isinstance(c, Matches):
            return self._matches(c)
        return self._compared(c, at, limits)

    def _matches(self, c: Matches) -> Truth:
        value = {"i.text": self.scene.text, "i.flag": self.scene.flag}[c.name]
        if value is None:
            return None
        word = value if isinstance(value, str) else str(value).lower()
        found = word in c.values
        if word == "unknown" and not found:
            return None
        return found == (c.match in ("is", "in"))

    def _compared(self, c: Compare, at: tuple[int, int, int], limits: dict[str, float]) -> Truth:
        names = [c.name] + ([c.against.name] if isinstance(c.against, Other) else [])
        read = []
        unknown = False
        for name in names:
            if name == "i.size":
                value = self.scene.size
            else:
                if at in self.scene.off[name]:
                    return False
                value = self.scene.values[name][at]
                unknown |= at in self.scene.beyond[name]
            unknown |= value is None or math.isnan(value)
            read.append(value)
        if unknown:
            return None
        if isinstance(c.against, Other):
            times = c.against.times
            limit = read[1] * (limits[times.name] if isinstance(times, LimitName) else times)
        else:
            limit = limits[c.against.name] if isinstance(c.against, LimitName) else c.against.number
        value = read[0]
        close = abs(value - limit) <= 1e-9 * abs(limit)
        return {
            "above": value > limit and not close,
            "below": value < limit and not close,
            "at_least": value > limit or close,
            "at_most": value < limit or close,
        }[c.sense]

    def outcome(self, id_: str) -> dict[tuple[int, int], tuple[int, int, int]]:
        """(grade, could be, applies) by ambient and draw."""
        if id_ in self.judged:
            return self.judged[id_]
        rule, scene, out = self.rules[id_], self.scene, {}
        limits = {name: limit.value.number for name, limit in rule.limits.items()}
        span = [n for n, speed in enumerate(scene.speeds) if _inside(rule.span, float(speed))]
        for a in range(scene.shape[0]):
            for s in range(scene.shape[1]):
                fits: list[Truth] = [
                    True if rule.applies is None else self.holds(rule.applies, (a, s, n), limits) for n in span
                ]
                applies = greatest(fits) if fits else False
                grade = could_be = 0
                for one in rule.grades:
                    each = [self.holds(one.when, (a, s, n), limits) for n in span]
                    if rule.over == "any":
                        truth = greatest([least([f, e]) for f, e in zip(fits, each, strict=True)]) if span else False
                    else:
                        always = [greatest([opposite(f), e]) for f, e in zip(fits, each, strict=True)]
                        truth = least([*always, applies])
                    place = ORDER.index(one.grade)
                    grade = max(grade, place) if truth is True else grade
                    could_be = max(could_be, place) if truth is not False else could_be
                could_be = max(could_be, grade)
                means = self._means_anything(rule, a, s, span)
                stands = {True: 1, None: -1, False: 0}[applies]
                if stands == 0 or (not means and could_be == 0):
                    grade = could_be = stands = 0
                out[a, s] = (grade, could_be, stands)
        self.judged[id_] = out
        return out

    def _means_anything(self, rule: Rule, a: int, s: int, span: list[int]) -> bool:
        found = False
        for one in rule.grades:
            for leaf in _leaves(one.when):
                if isinstance(leaf, Compare) and leaf.kind == "quantity":
                    found = True
                    names = [leaf.name]
                    if isinstance(leaf.against, Other) and leaf.against.kind == "quantity":
                        names.append(leaf.against.name)
                    if any(all((a, s, n) not in self.scene.off[name] for name in names) for n in span):
                        return True
        return not found


def _inside(span: Span | None, speed: float) -> bool:
    if span is None:
        return True
    above = span.above.number if isinstance(span.above, Amount) else -math.inf
    below = span.below.number if isinstance(span.below, Amount) else math.inf
    return above < speed < below


def _leaves(c: Condition) -> list[Condition]:
    if isinstance(c, Not):
        return _leaves(c.of)
    if isinstance(c, Every | Some | Count):
        return [leaf for part in c.of for leaf in _leaves(part)]
    return [c]


def random_condition(
    rng: random.Random, depth: int, facts: Sequence[str], rules: Sequence[str], limits: Sequence[str]
) -> Condition:
    if depth > 0 and rng.random() < 0.6:
        parts = tuple(random_condition(rng, depth - 1, facts, rules, limits) for _ in range(rng.randint(1, 4)))
        kind = rng.randrange(4)
        if kind == 0:
            return Every(parts)
        if kind == 1:
            return Some(parts)
        if kind == 2:
            return Count(parts, rng.randint(1, len(parts)))
        return Not(parts[0])
    choice = rng.random()
    if facts and choice < 0.2:
        return FactHolds(rng.choice(facts))
    if rules and choice < 0.35:
        return RuleReaches(rng.choice(rules), rng.choice(ORDER[1:]))
    if choice < 0.45:
        return Given(rng.choice(INPUTS), rng.random() < 0.5)
    if choice < 0.55:
        name, words = rng.choice([("i.text", ["x", "y", "unknown", "z"]), ("i.flag", ["true", "false"])])
        match = rng.choice(["is", "is_not", "in", "not_in"])
        count = rng.randint(1, 2) if match in ("in", "not_in") else 1
        return Matches(name, match, tuple(rng.sample(words, count)))
    sense = rng.choice(["above", "below", "at_least", "at_most"])
    kind, name = rng.choice([("quantity", n) for n in QUANTITIES] + [("input", "i.size")])
    against: LimitName | Amount | Other
    if limits and rng.random() < 0.5:
        against = LimitName(rng.choice(limits))
    elif rng.random() < 0.3:
        times: float | LimitName = LimitName(rng.choice(limits)) if limits and rng.random() < 0.5 else 1.0
        against = Other("quantity", rng.choice(QUANTITIES), times)
    else:
        against = Amount(float(rng.randint(1, 5)))
    return Compare(kind, name, sense, against)


def random_catalogue(rng: random.Random) -> Catalogue:
    facts: dict[str, Fact] = {}
    rules: dict[str, Rule] = {}
    for number in range(rng.randint(2, 7)):
        if rng.random() < 0.4:
            name = f"fact_{number}"
            when = random_condition(rng, 2, list(facts), list(rules), ())
            facts[name] = Fact(name, "", when)
            continue
        limits = {f"l{i}": Limit(f"l{i}", Amount(float(rng.randint(1, 5)))) for i in range(rng.randint(0, 2))}
        names = rng.sample(ORDER[1:], rng.randint(1, 3))
        grades = tuple(
            Grade(g, random_condition(rng, 2, list(facts), list(rules), list(limits)))
            for g in sorted(names, key=ORDER.index, reverse=True)
        )
        applies = random_condition(rng, 1, list(facts), list(rules), list(limits)) if rng.random() < 0.5 else None
        span = None
        if rng.random() < 0.4:
            span = Span(Amount(250.0, "rad/s"), Amount(50.0, "rad/s") if rng.random() < 0.5 else None)
        id_ = f"R{number:03d}"
        rules[id_] = Rule(
            id_, "", "f", grades, applies=applies, span=span, over=rng.choice(["any", "all"]), limits=limits
        )
    order = list(rules)
    rng.shuffle(order)  # a rule may stand before what it needs
    layer = Layer("test", "", "", Path())
    return Catalogue({i: rules[i] for i in order}, facts, {}, {}, (layer,))


@pytest.mark.parametrize("batch", range(BATCHES))
def test_both_engines_agree_with_kleene(batch: int) -> None:
    engines = ("plain", "durable-rules") if engine_named("auto").name != "plain" else ("plain",)
    for seed in range(batch * BATCH, (batch + 1) * BATCH):
        rng = random.Random(seed)
        catalogue, scene = random_catalogue(rng), Scene(rng)
        reference = Reference(dict(catalogue.rules), dict(catalogue.facts), scene)
        for engine in engines:
            found = evaluate(catalogue, scene, engine=engine)
            assert found.engine == engine
            for id_ in catalogue.rules:
                outcome = found.outcomes[id_]
                for (a, s), (grade, could_be, applies) in reference.outcome(id_).items():
                    got = (outcome.grade[a, s], outcome.could_be[a, s], outcome.applies[a, s])
                    assert got == (grade, could_be, applies), (seed, engine, id_, a, s)
                    want = grade > 0 or applies == 0 or (applies == 1 and could_be == 0)
                    assert outcome.judged[a, s] == want, (seed, engine, id_, a, s)


def test_the_random_catalogues_reach_every_kind_of_outcome() -> None:
    """A fuzz that met only clear would prove nothing."""
    seen: set[tuple[int, int, int]] = set()
    for seed in range(150):
        rng = random.Random(seed)
        catalogue, scene = random_catalogue(rng), Scene(rng)
        reference = Reference(dict(catalogue.rules), dict(catalogue.facts), scene)
        for id_ in catalogue.rules:
            seen.update(reference.outcome(id_).values())
    grades = {grade for grade, _, _ in seen}
    assert grades == {0, 1, 2, 3, 4}
    assert {applies for _, _, applies in seen} == {-1, 0, 1}
    assert any(could_be > grade > 0 for grade, could_be, _ in seen)


@pytest.mark.skipif(engine_named("auto").name == "plain", reason="durable-rules cannot be imported here")
def test_both_engines_fire_the_same_clauses_in_the_same_order() -> None:
    """On literals thrown at random, consistent or not: the engines know nothing of rails."""
    durable, plain = engine_named("durable-rules"), Plain()
    for seed in range(300):
        rng = random.Random(seed)
        catalogue = random_catalogue(rng)
        for stage in catalogue.stages():
            held = np.array([[rng.random() < 0.5 for _ in range(5)] for _ in stage.program.base], dtype=bool)
            held = held.reshape(len(stage.program.base), 5)
            ours, theirs = plain.firings(stage.program, held), durable.firings(stage.program, held)
            for instant in range(5):
                order = [np.flatnonzero(fired[:, instant]).tolist() for fired in (ours, theirs)]
                assert order[0] == order[1], (seed, instant)


def test_the_reference_itself_on_cases_done_by_hand() -> None:
    scene = SimpleNamespace(text="x", flag=None, size=None)
    reference = Reference({}, {}, scene)  # type: ignore[arg-type]
    yes, unknown = Matches("i.text", "is", ("x",)), Matches("i.flag", "is", ("true",))
    at = (0, 0, 0)
    assert reference.holds(Every((yes, unknown)), at, {}) is None
    assert reference.holds(Every((Not(yes), unknown)), at, {}) is False
    assert reference.holds(Some((yes, unknown)), at, {}) is True
    assert reference.holds(Not(unknown), at, {}) is None
    assert reference.holds(Count((yes, unknown, Not(yes)), 2), at, {}) is None
    assert reference.holds(Count((yes, unknown, yes), 2), at, {}) is True
    assert reference.holds(Count((yes, unknown, Not(yes)), 3), at, {}) is False
