"""Loose ends of a catalogue that loads: words nobody knows, limits nobody uses, grades nobody reaches."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.atoms import in_si, yes_or_no
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.coverage import coverage_problems
from enginelimits.rules.drafts import DRAFT_AUTHOR, DRAFT_SETTLED, DRAFT_WHY
from enginelimits.rules.evaluate import reads
from enginelimits.rules.grades import severity
from enginelimits.rules.implication import implies
from enginelimits.rules.messages import placeholders
from enginelimits.rules.model import (
    Amount,
    Compare,
    FactHolds,
    Given,
    Grade,
    Limit,
    LimitName,
    Matches,
    Other,
    Override,
    Place,
    Remedy,
    Rule,
    leaves,
    limit_names,
)
from enginelimits.rules.vocabulary import Words, known_words
from enginelimits.units.grammar import GrammarError, split
from enginelimits.units.registry import to_si
from enginelimits.units.sources import SOURCES

# Says what is wrong with a remedy for a rule, or nothing: tried on a case by whoever can assess one.
Tried = Callable[[Rule, Remedy], str]
_PROMISES: Final = re.compile(r"\b(safe|safely|guaranteed?s?|bulletproof)\b", re.IGNORECASE)
_EDITS: Final = (
    {"replace", "with"},
    {"set", "to"},
    {"drop"},
    {"cap", "to"},
    {"cap", "to", "below"},
    {"cap", "to", "above"},
)
REACHABLE: Final = "a grade that can be reached"
_NOT_NUMBERS: Final = ("text", "choice", "yes-no", "points")


def catalogue_problems(
    catalogue: Catalogue, *, words: Words | None = None, tried: Tried | None = None
) -> list[Problem]:
    """Everything loose in a catalogue, in the order of its files.

    ``words`` is the vocabulary, by default the assessment's.  ``tried`` applies a remedy on a case and says
    what is wrong with it.
    """
    known = words or known_words()
    problems: list[Problem] = []
    for rule in catalogue.rules.values():
        problems += [*_rule_problems(rule, catalogue, known), *_draft_problems(rule)]
        if tried is not None and rule.status != "withdrawn":
            for name in rule.remedies:
                if said := tried(rule, catalogue.remedies[name]):
                    at = rule.places.get("remedies", rule.place)
                    problems.append(_problem(at, "a remedy that moves what limits", f"{name}: {said}", "remedies"))
    for fact in catalogue.facts.values():
        for leaf in leaves(fact.when):
            problems += _leaf_problems(leaf, None, fact.layer == catalogue.layers[0].name, known)
    problems += _unused(catalogue)
    problems += _remedy_problems(catalogue, known)
    problems += _hidden_by_overrides(catalogue)
    for override in catalogue.expired:
        got = f"one that expired on {override.expires}"
        mend = "Renew it with a reason, or take it out."
        problems.append(_problem(override.place, "an override that still stands", got, "expires", mend))
    problems += coverage_problems(catalogue, known)
    return sorted(dict.fromkeys(problems), key=lambda p: (p.file, p.line or 0, p.column or 0))


def _rule_problems(rule: Rule, catalogue: Catalogue, words: Words) -> Iterator[Problem]:
    for leaf in leaves(*rule.conditions):
        yield from _leaf_problems(leaf, rule, rule.layer == catalogue.layers[0].name, words)
    yield from _measured_problems(rule, catalogue, words)
    yield from _grade_problems(rule)
    yield from _limit_problems(rule, catalogue)
    yield from _message_problems(rule, words)
    for name in rule.failure_modes:
        if name not in catalogue.failure_modes:
            at = rule.places.get("failure_modes", rule.place)
            yield _unknown(at, "a failure mode of the catalogue", name, "failure_modes", catalogue.failure_modes)
    path = Path(rule.place.file)
    if not path.name.startswith(rule.id):
        yield _problem(rule.place, f"a file name that begins with {rule.id}", path.name, "id", "Rename the file.")
    tops = {layer.folder.name for layer in catalogue.layers}
    if path.parent.name not in (rule.family, *tops):
        mend = "Move the file, or change the family."
        yield _problem(rule.places.get("family", rule.place), f"the folder {rule.family}", path.parent.name,
                       "family", mend)  # fmt: skip
    for key in ("title", "why", "message", "settled_by"):
        if found := _PROMISES.search(getattr(rule, key)):
            at = rule.places.get(key, rule.place)
            yield _problem(at, "words that promise nothing", found[0], key, "Say what was found and how sure it is.")
    if not rule.settled_by:
        yield _problem(rule.place, "the measurement that settles it", "none", "settled_by")


def _measured_problems(rule: Rule, catalogue: Catalogue, words: Words) -> Iterator[Problem]:
    """A rule about a build that reads what only a log gives would never apply; one about a log must read some."""
    read = [name for kind, name in sorted(reads(catalogue, rule)) if kind == "quantity" and name in words.measured]
    if rule.about == "build" and read:
        yield _problem(rule.place, "`about: log` on a rule that reads a log", read[0], "about")
    if rule.about == "log" and not read:
        mend = "Leave out `about: log`."
        yield _problem(rule.place, "a quantity of a log in a rule about one", "none", "about", mend)


def _draft_problems(rule: Rule) -> Iterator[Problem]:
    """What a draft still has to be told."""
    for key, said, draft in (
        ("why", rule.why, DRAFT_WHY),
        ("settled_by", rule.settled_by, DRAFT_SETTLED),
        ("author", rule.author, DRAFT_AUTHOR),
    ):
        if said == draft:
            at = rule.places.get(key, rule.place)
            yield _problem(at, "the rule's own words", f"those of a draft: {draft.rstrip('.')}", key, "Write them.")


def _leaf_problems(leaf: object, rule: Rule | None, shipped: bool, words: Words) -> Iterator[Problem]:
    if isinstance(leaf, Given):
        if leaf.name not in words.inputs:
            yield _unknown(leaf.place, "the path of an input", leaf.name, "input", words.inputs)
    elif isinstance(leaf, Matches):
        yield from _match_problems(leaf, shipped, words)
    elif isinstance(leaf, Compare):
        yield from _comparison_problems(leaf, rule, words)


def _match_problems(leaf: Matches, shipped: bool, words: Words) -> Iterator[Problem]:
    unit = words.inputs.get(leaf.name)
    if unit is None:
        yield _unknown(leaf.place, "the path of an input", leaf.name, "input", words.inputs)
        return
    allowed = words.choices.get(leaf.name) or (words.classes.get(leaf.name) if shipped else None)
    for word in leaf.values:
        try:
            if unit == "yes-no":
                yes_or_no(word, leaf)
            elif unit not in _NOT_NUMBERS:
                written = split(word)
                to_si(written.typical, written.unit, unit)
            elif allowed and word not in allowed and word != "unknown":
                yield _unknown(leaf.place, f"a word that {leaf.name} can be", word, leaf.match, allowed)
        except RuleError as error:
            yield from error.problems
        except GrammarError as error:
            yield _problem(leaf.place, error.wanted, f"`{word}`", leaf.match, error.mend)


def _comparison_problems(leaf: Compare, rule: Rule | None, words: Words) -> Iterator[Problem]:
    unit = _unit(leaf.kind, leaf.name, words)
    if unit is None:
        yield _unknown_name(leaf.kind, leaf.name, leaf.place, words)
        return
    if unit in _NOT_NUMBERS:
        wanted = "a quantity or an input that is a number"
        yield _problem(leaf.place, wanted, f"{leaf.name}, a {unit}", leaf.sense, "Use `is` or `in`.")
        return
    against = leaf.against
    if isinstance(against, Other):
        other = _unit(against.kind, against.name, words)
        if other is None:
            yield _unknown_name(against.kind, against.name, leaf.place, words)
        elif other != unit:
            got = f"{against.name} in {other}"
            yield _problem(leaf.place, f"something in {unit} to compare {leaf.name} with", got, leaf.sense)
        against, unit = (against.times, "1") if isinstance(against.times, LimitName) else (Amount(1.0), "1")
    amount, place = (against, leaf.place) if isinstance(against, Amount) else _limit(rule, against)
    if amount is None:
        return
    try:
        in_si(amount, unit, place)
    except RuleError as error:
        yield from error.problems
    else:
        if unit == "K" and leaf.name in words.differences and amount.unit != "K":
            yield _problem(place, f"a difference in K for {leaf.name}", f"`{amount}`", "", "Write it in K.")


def _limit(rule: Rule | None, against: LimitName | float) -> tuple[Amount | None, Place]:
    if rule is None or not isinstance(against, LimitName) or against.name not in rule.limits:
        return None, Place()
    return rule.limits[against.name].value, rule.limits[against.name].place


def _unit(kind: str, name: str, words: Words) -> str | None:
    return (words.quantities if kind == "quantity" else words.inputs).get(name)


def _grade_problems(rule: Rule) -> Iterator[Problem]:
    for worse, milder in zip(rule.grades, rule.grades[1:], strict=False):
        if severity(worse.grade) < severity(milder.grade):
            got = f"{worse.grade} before {milder.grade}"
            yield _problem(milder.place, "grades worst first", got, "grades", "Put the worst at the top.")
    for grade, worse in _hidden(rule, rule.limits):
        got = f"{grade.grade}, which {worse.grade} always covers"
        mend = "Give it a milder limit, or take it out."
        yield _problem(grade.place, REACHABLE, got, "grades", mend)
    for grade in rule.grades:
        if grade.grade == "stop" and rule.about != "log":
            yield _problem(grade.place, "`stop` on rules about logs alone", f"about {rule.about}", "grade")


def _hidden(rule: Rule, limits: Mapping[str, Limit]) -> Iterator[tuple[Grade, Grade]]:
    """Each grade that a worse one always covers, with that one, at these limits."""
    for place, grade in enumerate(rule.grades):
        yield from ((grade, worse) for worse in rule.grades[:place] if implies(grade.when, worse.when, limits))


def _hidden_by_overrides(catalogue: Catalogue) -> Iterator[Problem]:
    """Grades that an override's numbers leave no room for, on the builds of its scope."""
    order = {layer.name: place for place, layer in enumerate(catalogue.layers)}
    every = (*catalogue.overrides, *catalogue.to_come)
    for override in every:
        rule = catalogue.rules.get(override.rule)
        if rule is None:
            continue
        # what certainly stands beside it, the narrowest last, as on a build
        beside = sorted((o for o in every if o.rule == rule.id and _stands_with(o, override)),
                        key=lambda o: (o.narrowness, order.get(o.layer, -1)))
        amounts = {name: amount for o in beside for name, amount in o.limits.items()}
        limits = {name: replace(limit, value=amounts.get(name, limit.value)) for name, limit in rule.limits.items()}
        already = list(_hidden(rule, rule.limits))
        for grade, worse in _hidden(rule, limits):
            named = {n for leaf in leaves(grade.when, worse.when) for n in limit_names(leaf)} & set(override.limits)
            if not named or (grade, worse) in already:
                continue
            first = min(named)
            got = f"{grade.grade} of {rule.id} never: {worse.grade} always covers it at {first} {amounts[first]}"
            mend = f"Set the limit of {grade.grade} on the milder side of that of {worse.grade}."
            yield _problem(override.places.get(first, override.place), REACHABLE, got, first, mend)


def _stands_with(other: Override, override: Override) -> bool:
    """Whether one override stands on every build of the other's scope."""
    return all(path in override.scope and set(override.scope[path]) <= set(words)
               for path, words in other.scope.items())


def _limit_problems(rule: Rule, catalogue: Catalogue) -> Iterator[Problem]:
    used = {name for leaf in leaves(*rule.conditions) for name in limit_names(leaf)}
    ends = (rule.span.below, rule.span.above) if rule.span is not None else ()
    used.update(end.name for end in ends if isinstance(end, LimitName))
    for end in ends:
        amount = rule.limits[end.name].value if isinstance(end, LimitName) else end
        if amount is not None and amount.si_unit != "rad/s":
            yield _problem(rule.span.place if rule.span else rule.place, "an engine speed", f"`{amount}`", "span")
    for limit in rule.limits.values():
        if limit.name not in used:
            mend = "Use it in a condition, or take it out."
            yield _problem(limit.place, "a limit that is used", limit.name, limit.name, mend)
        if limit.evidence in ("published", "computed") and not limit.source:
            wanted = f"a source for {limit.name}, whose evidence is {limit.evidence}"
            yield _problem(limit.place, wanted, "none", "source", "Write `source: {id: ..., at: ...}`.")
        if limit.source:
            yield from _source_problems(limit.source, limit.place, catalogue)
    if not rule.sources:
        yield _problem(rule.place, "at least one source, if only `memory`", "none", "sources")
    for source in rule.sources:
        yield from _source_problems(source, rule.places.get("sources", rule.place), catalogue)
    if not rule.limits:
        for key in ("evidence", "confidence"):
            if not getattr(rule, key):
                yield _problem(rule.place, f"`{key}` on a rule without limits", "none", key)


def _source_problems(source: object, place: Place, catalogue: Catalogue) -> Iterator[Problem]:
    id_, at = (source.get("id", ""), source.get("at", "")) if isinstance(source, dict) else ("", "")
    shipped = Path(catalogue.layers[0].folder).parent
    if id_ not in SOURCES:
        yield _unknown(place, "the id of a source", id_, "sources", SOURCES)
    if at.startswith("docs/") and (shipped / "docs").is_dir() and not (shipped / at).is_file():
        yield _problem(place, "a document that is there", at, "at")


def _message_problems(rule: Rule, words: Words) -> Iterator[Problem]:
    place = rule.places.get("message", rule.place)
    numeric = any(isinstance(leaf, Compare) for leaf in leaves(*(g.when for g in rule.grades)))
    for kind, name in placeholders(rule.message):
        if kind == "":
            wanted = "{value}, {limit}, {speed}, {chance}, {limit:name}, {quantity:id}, {margin:id} or {input:path}"
            yield _problem(place, wanted, f"{{{name}}}", "message")
        elif kind == "limit" and name and name not in rule.limits:
            yield _unknown(place, f"a limit of {rule.id}", name, "message", rule.limits)
        elif kind in ("quantity", "input") and _unit(kind, name, words) is None:
            yield _unknown_name(kind, name, place, words)
        elif kind in ("value", "limit") and not name and not numeric:
            yield _problem(place, f"no {{{kind}}} in a rule that compares no number", f"{{{kind}}}", "message")


def _unused(catalogue: Catalogue) -> Iterator[Problem]:
    conditions = [c for rule in catalogue.rules.values() for c in rule.conditions]
    conditions += [fact.when for fact in catalogue.facts.values()]
    facts = {leaf.name for leaf in leaves(*conditions) if isinstance(leaf, FactHolds)}
    remedies = {name for rule in catalogue.rules.values() for name in rule.remedies}
    remedies |= {catalogue.remedies[name].on_a_belt for name in remedies if name in catalogue.remedies}
    modes = {name for rule in catalogue.rules.values() for name in rule.failure_modes}
    for fact in catalogue.facts.values():
        if fact.name not in facts:
            yield _problem(fact.place, "a fact that something reads", fact.name, fact.name, "Take it out.")
    for remedy in catalogue.remedies.values():
        if remedy.id not in remedies:
            yield _problem(remedy.place, "a remedy that a rule names", remedy.id, remedy.id, "Take it out.")
    for mode in catalogue.failure_modes.values():
        if mode.id not in modes and not mode.not_modelled and not mode.awaits:
            mend = "Point a rule to it, or say what it `awaits`, or under `not_modelled` which data are missing."
            yield _problem(mode.place, "a failure mode that a rule names", mode.id, mode.id, mend)


def _remedy_problems(catalogue: Catalogue, words: Words) -> Iterator[Problem]:
    for remedy in catalogue.remedies.values():
        if not remedy.steps and remedy.kind not in ("inspection",):
            yield _problem(remedy.place, f"steps of a remedy of kind {remedy.kind}", "none", remedy.id)
        for leaf in leaves(remedy.moot_where):
            yield from _leaf_problems(leaf, None, True, words)
        for step in remedy.steps:
            for edit in step:
                if set(edit) not in _EDITS:
                    wanted = "an edit: replace/with, set/to, drop, or cap/to, perhaps with below or above"
                    yield _problem(remedy.place, wanted, ", ".join(edit), remedy.id)
                    continue
                path = str(edit[next(iter(set(edit) & {"replace", "set", "drop", "cap"}))])
                known = any(p == path or p.startswith(path + ".") for p in words.inputs)
                if not known:
                    yield _unknown(remedy.place, "the path of an input", path, remedy.id, words.inputs)


def _unknown_name(kind: str, name: str, place: Place, words: Words) -> Problem:
    if kind == "quantity":
        return _unknown(place, "a quantity of the vocabulary", name, kind, words.quantities)
    return _unknown(place, "the path of an input", name, kind, words.inputs)


def _unknown(place: Place, wanted: str, got: str, key: str, known: Iterable[str]) -> Problem:
    near: Sequence[str] = difflib.get_close_matches(got, list(known), n=3)
    return _problem(place, wanted, got or "nothing", key, "", tuple(near))


def _problem(place: Place, wanted: str, got: str, key: str = "", mend: str = "", near: tuple[str, ...] = ()) -> Problem:
    return Problem(wanted, got, mend, key, place.file, place.line, place.column, near)
