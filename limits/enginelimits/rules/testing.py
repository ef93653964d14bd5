"""Runs the tests that stand beside the rules, on both engines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import Problem, RuleError, SolveError
from enginelimits.rules.catalogue import TEST, Catalogue, files_of, shown_path
from enginelimits.rules.evaluate import RuleOutcome, evaluate
from enginelimits.rules.files import read_test
from enginelimits.rules.grades import CLEAR, LOG_GRADES, severity
from enginelimits.rules.ground import Reading
from enginelimits.rules.inference import engine_named
from enginelimits.rules.model import (
    CaseValue,
    FactHolds,
    Place,
    Rule,
    RuleCase,
    RuleReaches,
    RuleTest,
    leaves,
)
from enginelimits.rules.reader import Reader, text_of
from enginelimits.rules.stages import facts_needed
from enginelimits.units.grammar import GrammarError, split
from enginelimits.units.registry import to_si
from enginelimits.units.spellings import spelling

OUT_OF_RANGE: Final = "out of range"
NOT_APPLICABLE: Final = "not applicable"
MIDDLE_SPEED: Final = 419.0  # rad/s, about 4000 rpm: where a test speaks that names no speed
_YES_NO: Final = {"true": True, "yes": True, "false": False, "no": False}


@dataclass(frozen=True, slots=True)
class TestResult:
    """One case of a rule's test: what it wanted and what came."""

    __test__ = False

    rule: str
    name: str
    passed: bool
    expected: str
    got: str
    place: Place


class CaseGround:
    """A ground of one row, built from a test's values over engine speed.

    A value without a unit of its own takes SI.  What the test does not name is missing under its own name.
    """

    def __init__(
        self, case: RuleCase, units: Mapping[str, str] | None = None, inputs: Mapping[str, str] | None = None
    ) -> None:
        """``units`` and ``inputs`` are the vocabulary: unit by quantity id, unit or kind by input path."""
        self._case = case
        self._units = units
        self._inputs = inputs
        speeds = [amount.si("rad/s") for amount in case.speeds] or [MIDDLE_SPEED]
        self.speeds: NDArray[np.float64] = np.array(speeds)
        self.shape = (1, 1, len(speeds))

    def quantity(self, id: str) -> Reading | None:
        """The values that the test gives for a quantity."""
        unit = None if self._units is None else self._units.get(id)
        if self._units is not None and unit is None:
            return None
        value = self._case.quantities.get(id)
        values = value if isinstance(value, tuple) else (value,)
        if len(values) not in (1, len(self.speeds)):
            at = self._case.place
            got = f"{len(values)} values of {id} for {len(self.speeds)} speeds"
            raise RuleError([Problem("one value, or one a speed", got, "", id, at.file, at.line, at.column)])
        words = [v for v in values if v not in (None, OUT_OF_RANGE, NOT_APPLICABLE)]
        unit = unit or (self._unit(words[0], id) if words else "1")
        numbers = [self._si(v, unit, id) if v in words and v is not None else np.nan for v in values]
        missing = frozenset((id,)) if None in values else frozenset()
        outside = np.array([v == OUT_OF_RANGE for v in values])
        applicable = np.array([v != NOT_APPLICABLE for v in values])
        return Reading(np.array(numbers) if words else None, unit, missing, outside, applicable)

    def input(self, path: str) -> Reading:
        """The value that the test gives for an input."""
        value = self._case.inputs.get(path)
        kind = "" if self._inputs is None else self._inputs.get(path, "")
        if value is None:
            return Reading(None, kind or "1", frozenset((path,)))
        if isinstance(value, tuple):
            unit = self._unit(value[0], path)
            return Reading(tuple(self._si(v, unit, path) for v in value), unit)
        if value in _YES_NO:
            return Reading(_YES_NO[value], "1")
        try:
            unit = spelling(split(value).unit, _known_unit(kind)).si
            return Reading(np.array(self._si(value, unit, path)), unit)
        except GrammarError:
            return Reading(value, "1")

    def _unit(self, text: CaseValue, name: str) -> str:
        try:
            return spelling(split(str(text)).unit).si
        except GrammarError as error:
            raise self._unreadable(error, name) from None

    def _si(self, text: CaseValue, unit: str, name: str) -> float:
        try:
            written = split(str(text))
            return to_si(written.typical, written.unit, unit)
        except GrammarError as error:
            raise self._unreadable(error, name) from None

    def _unreadable(self, error: GrammarError, name: str) -> RuleError:
        at = self._case.place
        return RuleError([Problem(error.wanted, error.got, error.mend, name, at.file, at.line, at.column, error.near)])


def load_tests(catalogue: Catalogue) -> tuple[RuleTest, ...]:
    """The tests of every layer; RuleError with everything wrong in their files."""
    problems: list[Problem] = []
    tests = []
    for path in test_files(catalogue):
        text = text_of(path, problems)
        if text is None:
            continue
        reader = Reader(shown_path(path))
        test = read_test(reader, text)
        problems.extend(reader.problems)
        if test is not None and not reader.problems:
            tests.append(test)
    if problems:
        raise RuleError(problems)
    return tuple(tests)


def test_files(catalogue: Catalogue) -> Iterator[Path]:
    """The test files of every layer, in order."""
    for layer in catalogue.layers:
        yield from (path for path in files_of(layer.folder) if path.name.endswith(TEST))


test_files.__test__ = False  # type: ignore[attr-defined]


def run_tests(
    catalogue: Catalogue,
    tests: Iterable[RuleTest] | None = None,
    *,
    units: Mapping[str, str] | None = None,
    inputs: Mapping[str, str] | None = None,
    only: Sequence[str] = (),
) -> tuple[TestResult, ...]:
    """Every case of the tests, or of those for the rules named, run on each engine that is there."""
    names = [*({engine_named("auto").name} - {"plain"}), "plain"]
    results = []
    for test in load_tests(catalogue) if tests is None else tests:
        if only and test.rule not in only:
            continue
        rule = catalogue.rules.get(test.rule)
        if rule is None or rule.status == "withdrawn":
            why = "a rule of that id" if rule is None else "a rule that is not withdrawn"
            results.append(TestResult(test.rule, "", False, why, "none", test.place))
            continue
        alone = alone_with(catalogue, rule)
        results += [_result(alone, rule, case, names, units, inputs) for case in test.cases]
    return tuple(results)


def alone_with(catalogue: Catalogue, rule: Rule) -> Catalogue:
    """A rule with what it needs and no overrides, since its test tells of the rule as written."""
    rules = {rule.id: rule}
    ahead = [rule]
    while ahead:
        facts = facts_needed([ahead[0]], catalogue.facts).values()
        asked = [*ahead.pop(0).conditions, *(fact.when for fact in facts)]
        for leaf in leaves(*asked):
            if isinstance(leaf, RuleReaches) and leaf.id in catalogue.rules and leaf.id not in rules:
                rules[leaf.id] = catalogue.rules[leaf.id]
                ahead.append(rules[leaf.id])
    return replace(catalogue, rules=rules, overrides=(), expired=(), to_come=(), _stages={})


def _result(
    alone: Catalogue,
    rule: Rule,
    case: RuleCase,
    engines: Sequence[str],
    units: Mapping[str, str] | None,
    inputs: Mapping[str, str] | None,
) -> TestResult:
    expected = _wanted(case)
    got: dict[str, str] = {}
    for engine in engines:
        try:
            ground = CaseGround(case, units, inputs)
            settled = {id_: grade for id_, grade in case.outcomes.items() if id_ != rule.id}
            judged = evaluate(alone, ground, engine=engine, about=rule.about, outcomes=settled)
            got[engine] = said(judged.outcomes[rule.id], case, ground.speeds)
        except (RuleError, SolveError, GrammarError) as error:
            got[engine] = str(error)
    first = got[engines[0]]
    if len(set(got.values())) > 1:
        first = "; ".join(f"{engine}: {text}" for engine, text in got.items())
    return TestResult(rule.id, case.name, first == expected, expected, first, case.place)


def _wanted(case: RuleCase) -> str:
    want = case.expect
    parts = [want.outcome or want.grade or ""]
    if want.at is not None:
        parts.append(f"at {want.at.si('rad/s') * 30.0 / np.pi:.0f} rpm")
    if want.could_be is not None:
        parts.append(f"could be {want.could_be}")
    if want.missing is not None:
        parts.append(f"missing {', '.join(sorted(want.missing)) or 'nothing'}")
    return ", ".join(parts)


def said(outcome: RuleOutcome, case: RuleCase, speeds: NDArray[np.float64]) -> str:
    """What a rule said of a case, in as many words as the case asks for.

    A grade that could be worse must be expected as such, or a test would pass on what was not judged.
    """
    want = case.expect
    grade, could_be = int(outcome.grade[0, 0]), int(outcome.could_be[0, 0])
    parts = [state_of(outcome)]
    if want.at is not None:
        speed = speeds[outcome.witness(grade).speed] if grade > CLEAR else np.nan
        parts.append(f"at {speed * 30.0 / np.pi:.0f} rpm")
    if want.could_be is not None or (grade > CLEAR and could_be > grade):
        parts.append(f"could be {LOG_GRADES[could_be]}")
    if want.missing is not None:
        parts.append(f"missing {', '.join(outcome.missing) or 'nothing'}")
    return ", ".join(parts)


def state_of(outcome: RuleOutcome) -> str:
    """One word or two for a rule's outcome on the typical build at its first ambient."""
    if outcome.applies[0, 0] == 0:
        return NOT_APPLICABLE
    if not outcome.judged[0, 0]:
        return OUT_OF_RANGE if outcome.outside else "cannot judge"
    return LOG_GRADES[int(outcome.grade[0, 0])]


def _known_unit(kind: str) -> str | None:
    """The kind of an input when it is an SI unit, None when it is text or a yes or no."""
    try:
        return spelling(kind).si if kind else None
    except GrammarError:
        return None


def leaves_of(rule: Rule, facts: Mapping[str, Any]) -> Iterator[Any]:
    """Every leaf that a rule looks at, its facts' own included."""
    for leaf in leaves(*rule.conditions):
        if not isinstance(leaf, FactHolds):
            yield leaf
    for fact in facts_needed([rule], facts).values():
        yield from (leaf for leaf in leaves(fact.when) if not isinstance(leaf, FactHolds))


__all__ = ["CaseGround", "TestResult", "load_tests", "run_tests", "severity"]
