"""Rules as words and as data: what one asks, on which numbers, and what stands behind them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.present.tree import Heading, Item, Line, Node, Run, Table, Tree, line, table
from enginelimits.rules.model import FactHolds, Override, Rule, leaves
from enginelimits.rules.wording import against_text, condition_text

if TYPE_CHECKING:
    from enginelimits.rules.catalogue import Catalogue
    from enginelimits.rules.testing import TestResult

RULES = "enginelimits.rules/1"
RULE = "enginelimits.rule/1"
LINT = "enginelimits.rules-lint/1"
TESTS = "enginelimits.rules-test/1"


def rules_tree(rules: Iterable[Rule]) -> Tree:
    """The rules in a list."""
    rows = [
        (
            Run(rule.id, "strong"),
            rule.family,
            rule.grades[0].grade if rule.grades else "",
            rule.title + _status(rule),
        )
        for rule in rules
    ]
    return Tree("", (table(("rule", "family", "worst", "title"), rows, wide=3),))


def rules_data(rules: Iterable[Rule]) -> dict[str, Any]:
    """The same list as data."""
    keys = ("id", "title", "family", "status", "about", "layer")
    return {
        "schema": RULES,
        "version": __version__,
        "rules": [
            {**{key: getattr(rule, key) for key in keys}, "grades": [grade.grade for grade in rule.grades]}
            for rule in rules
        ],
    }


def rule_tree(rule: Rule, catalogue: Catalogue) -> Tree:
    """One rule with its numbers, its reasons, and what a shop put in their place."""
    nodes: list[Node] = [
        line(f"{rule.family}; {rule.status}{_since(rule)}; layer {rule.layer}{_modes(rule, catalogue)}"),
        *_said("Why", rule.why),
        *_conditions(rule, catalogue),
        *_limits(rule, catalogue),
        *_overrides(rule, catalogue),
        *_said("Message", rule.message),
        *_said("Settled by", rule.settled_by),
        *_remedies(rule, catalogue),
        *_listed("Caveats", rule.caveats),
        *_listed("Sources", (_source(source) for source in rule.sources)),
    ]
    return Tree(f"{rule.id} {rule.title}", tuple(nodes))


def rule_data(rule: Rule, catalogue: Catalogue) -> dict[str, Any]:
    """The same rule as data."""
    shipped = catalogue.shipped.get(rule.id, {})
    return {
        "schema": RULE,
        "version": __version__,
        "id": rule.id,
        "title": rule.title,
        "family": rule.family,
        "status": rule.status,
        "replaced_by": rule.replaced_by or None,
        "since": rule.since,
        "author": rule.author,
        "date": rule.date.isoformat() if rule.date else None,
        "layer": rule.layer,
        "about": rule.about,
        "failure_modes": list(rule.failure_modes),
        "applies": condition_text(rule.applies) if rule.applies else None,
        "span": _span(rule) or None,
        "over": rule.over,
        "limits": {
            name: {
                "value": str(limit.value),
                "low": None if limit.low is None else str(limit.low),
                "high": None if limit.high is None else str(limit.high),
                "shipped_value": str(shipped[name]) if name in shipped else None,
                "evidence": limit.evidence or rule.evidence,
                "confidence": limit.confidence or rule.confidence,
                "source": dict(limit.source) or None,
            }
            for name, limit in rule.limits.items()
        },
        "grades": [{"grade": grade.grade, "when": condition_text(grade.when)} for grade in rule.grades],
        "facts": {name: catalogue.facts[name].say for name in _facts(rule) if name in catalogue.facts},
        "why": rule.why,
        "message": rule.message,
        "settled_by": rule.settled_by,
        "remedies": [
            {"id": id_, "kind": remedy.kind, "say": remedy.say, "shifts": remedy.shifts}
            for id_, remedy in _remedies_of(rule, catalogue)
        ],
        "caveats": list(rule.caveats),
        "sources": [dict(source) for source in rule.sources],
        "overrides": [
            {
                "layer": override.layer,
                "limits": {name: str(amount) for name, amount in override.limits.items()},
                "scope": {path: list(words) for path, words in override.scope.items()},
                "author": override.author,
                "reason": override.reason,
                "expires": override.expires.isoformat() if override.expires else None,
            }
            for override in catalogue.overrides
            if override.rule == rule.id
        ],
    }


def lint_tree(problems: Iterable[object]) -> Tree:
    """What lint found, or that it found nothing."""
    found = [str(problem) for problem in problems]
    nodes: list[Node] = [Item("-", (Run(text),)) for text in found]
    return Tree("", (*nodes, line(_counted(len(found), "problem") if found else "no problems")))


def lint_data(problems: Iterable[object]) -> dict[str, Any]:
    """The same as data."""
    return {"schema": LINT, "version": __version__, "problems": [str(problem) for problem in problems]}


def results_tree(results: Iterable[TestResult], problems: Iterable[object] = ()) -> Tree:
    """The tests that failed, what the catalogue leaves loose, and the count of all."""
    every = list(results)
    loose = [str(problem) for problem in problems]
    failed = [result for result in every if not result.passed]
    nodes: list[Node] = [
        Item(
            "-",
            (Run(f"{result.rule} {result.name}", "strong"),),
            (line(f"wanted {result.expected}; got {result.got}"), line(Run(_place(result), "muted"))),
        )
        for result in failed
    ]
    nodes += [Item("-", (Run(text),)) for text in loose]
    rules = len({result.rule for result in every})
    told = f"{_counted(len(every), 'test')} of {_counted(rules, 'rule')}: {len(every) - len(failed)} passed"
    told += f", {len(failed)} failed" if failed else ""
    told += f"; {_counted(len(loose), 'loose end')} in the catalogue" if loose else ""
    return Tree("", (*nodes, line(told)))


def results_data(results: Iterable[TestResult], problems: Iterable[object] = ()) -> dict[str, Any]:
    """The same as data."""
    return {
        "schema": TESTS,
        "version": __version__,
        "tests": [
            {"rule": r.rule, "name": r.name, "passed": r.passed, "expected": r.expected, "got": r.got}
            for r in results
        ],
        "problems": [str(problem) for problem in problems],
    }


def _place(result: TestResult) -> str:
    place = result.place
    return place.file if place.line is None else f"{place.file}:{place.line}"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _status(rule: Rule) -> str:
    return "" if rule.status == "stable" else f" ({rule.status})"


def _since(rule: Rule) -> str:
    parts = [rule.since and f"since {rule.since}", rule.author and f"by {rule.author}", str(rule.date or "")]
    told = ", ".join(part for part in parts if part)
    return f"; {told}" if told else ""


def _modes(rule: Rule, catalogue: Catalogue) -> str:
    modes = catalogue.failure_modes
    told = [f"{id_} {modes[id_].title}" if id_ in modes else id_ for id_ in rule.failure_modes]
    return f"; failure modes: {', '.join(told)}" if told else ""


def _said(title: str, words: str) -> list[Line]:
    return [line(Run(f"{title}: ", "strong"), words)] if words else []


def _listed(title: str, entries: Iterable[str]) -> list[Node]:
    items: list[Node] = [Item("-", (Run(entry),)) for entry in entries]
    return [Heading(title), *items] if items else []


def _conditions(rule: Rule, catalogue: Catalogue) -> list[Node]:
    limits = {name: str(limit.value) for name, limit in rule.limits.items()}
    nodes: list[Node] = [Heading("When")]
    if rule.applies is not None:
        nodes.append(line(Run("applies: ", "muted"), condition_text(rule.applies, limits)))
    if span := _span(rule):
        nodes.append(line(Run("looks at: ", "muted"), span))
    nodes += [
        line(Run(f"{grade.grade}: ", "strong"), condition_text(grade.when, limits)) for grade in rule.grades
    ]
    if rule.over == "all":
        nodes.append(line("Each must hold at every engine speed."))
    nodes += [
        line(Run(f"fact {name}: ", "muted"), catalogue.facts[name].say)
        for name in _facts(rule)
        if name in catalogue.facts
    ]
    return nodes


def _facts(rule: Rule) -> list[str]:
    named = [leaf.name for leaf in leaves(*rule.conditions) if isinstance(leaf, FactHolds)]
    return list(dict.fromkeys(named))


def _span(rule: Rule) -> str:
    if rule.span is None:
        return ""
    limits = {name: str(limit.value) for name, limit in rule.limits.items()}
    ends = (("above", rule.span.above), ("below", rule.span.below))
    told = [f"{word} {against_text(end, limits)}" for word, end in ends if end is not None]
    return "engine speeds " + " and ".join(told)


def _limits(rule: Rule, catalogue: Catalogue) -> list[Node]:
    if not rule.limits:
        return []
    shipped = catalogue.shipped.get(rule.id, {})
    rows = []
    for name, limit in rule.limits.items():
        was = shipped.get(name)
        value = (
            f"{limit.value} (shipped {was})"
            if was is not None and str(was) != str(limit.value)
            else str(limit.value)
        )
        trust = f"{limit.confidence or rule.confidence or 'no'} confidence"
        rows.append(
            (
                name,
                value,
                f"{limit.evidence or rule.evidence or 'no evidence'}, {trust}",
                _source(limit.source),
            )
        )
    made: Table = table(("limit", "value", "evidence", "source"), rows, wide=3)
    return [Heading("Limits"), made]


def _overrides(rule: Rule, catalogue: Catalogue) -> list[Node]:
    return [
        *_listed("Overrides in force", _override_lines(rule, catalogue.overrides)),
        *_listed("Overrides that ended", _override_lines(rule, catalogue.expired)),
        *_listed("Overrides of a later date", _override_lines(rule, catalogue.to_come, begins=True)),
    ]


def _override_lines(rule: Rule, overrides: Iterable[Override], *, begins: bool = False) -> list[str]:
    told = []
    for override in overrides:
        if override.rule == rule.id:
            numbers = ", ".join(f"{name} {amount}" for name, amount in override.limits.items())
            scope = "; ".join(f"{path} {', '.join(words)}" for path, words in override.scope.items())
            since = f", from {override.date}" if begins else ""
            until = f"{since}, until {override.expires}" if override.expires else since
            where = f" where {scope}" if scope else ""
            told.append(f"{override.layer}: {numbers}{where}{until}, by {override.author}: {override.reason}")
    return told


def _remedies_of(rule: Rule, catalogue: Catalogue) -> Iterator[tuple[str, Any]]:
    for id_ in rule.remedies:
        if id_ in catalogue.remedies:
            yield id_, catalogue.remedies[id_]


def _remedies(rule: Rule, catalogue: Catalogue) -> list[Node]:
    return _listed(
        "Remedies",
        (
            f"{remedy.say} {remedy.shifts} ({id_}, {remedy.kind})"
            for id_, remedy in _remedies_of(rule, catalogue)
        ),
    )


def _source(source: Mapping[str, str]) -> str:
    """A source by its id, its place and what it gives."""
    told = [source.get("id", ""), source.get("at", "")]
    gives = source.get("gives", "")
    return ", ".join(part for part in told if part) + (f" ({gives})" if gives else "")
