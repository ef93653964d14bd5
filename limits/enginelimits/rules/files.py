"""Rule, fact, remedy, failure-mode, override and test files, read with every problem at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from enginelimits.description.nodes import Leaf, Node, Row, Table, plain
from enginelimits.rules.conditions import NAME, PATH, RULE_ID, read_condition
from enginelimits.rules.grades import LOG_GRADES
from enginelimits.rules.model import (
    CONFIDENCE,
    EVIDENCE,
    PARTS,
    REMEDY_KINDS,
    STATUSES,
    Amount,
    CaseValue,
    Condition,
    Expectation,
    Fact,
    FactHolds,
    FailureMode,
    Grade,
    Limit,
    LimitName,
    Override,
    Place,
    Remedy,
    Rule,
    RuleCase,
    RuleReaches,
    RuleTest,
    Span,
    leaves,
)
from enginelimits.rules.reader import Reader, entry, kind_of, named
from enginelimits.units.grammar import excerpt

SLUG: Final = r"[a-z0-9][a-z0-9-]{0,80}"
MODE_ID: Final = r"[A-Z]{1,3}[0-9]{1,4}"
RULE_NEEDS: Final = (
    "id",
    "title",
    "family",
    "status",
    "since",
    "author",
    "date",
    "grades",
    "why",
    "message",
)
RULE_MAY: Final = (
    "replaced_by", "failure_modes", "applies", "span", "over", "limits", "settled_by", "remedies", "caveats",
    "sources", "evidence", "confidence", "about", "part", "method", "bound",
    "strength_of",
)  # fmt: skip
REMEDY_MAY: Final = ("steps", "shifts", "against", "on_a_belt", "moot_where")
LIMIT_MAY: Final = ("low", "high", "source", "note")
OUTCOMES: Final = ("not applicable", "cannot judge", "out of range")
_GRADES: Final = LOG_GRADES[1:]


@dataclass(eq=False)
class Read:
    """What the files of a layer hold."""

    rules: list[Rule] = field(default_factory=list)
    overrides: list[Override] = field(default_factory=list)
    facts: list[Fact] = field(default_factory=list)
    remedies: list[Remedy] = field(default_factory=list)
    failure_modes: list[FailureMode] = field(default_factory=list)


def read_rules(reader: Reader, text: str, layer: str, into: Read) -> None:
    """A file with a rule, or with one override or a list of them."""
    root = reader.root(text)
    if root is None:
        if not reader.problems:
            reader.wrong(None, "a rule or an override", "an empty file")
        return
    if isinstance(root, Row) or (isinstance(root, Table) and "override" in root.entries):
        for node in root.items if isinstance(root, Row) else (root,):
            if (override := _override(reader, node, layer)) is not None:
                into.overrides.append(override)
    elif (rule := _rule(reader, root, layer)) is not None:
        into.rules.append(rule)


def read_facts(reader: Reader, text: str, layer: str, into: Read) -> None:
    """facts.yaml."""
    for name, node in _entries(reader, text, "facts", NAME):
        table = reader.table(node, f"the fact {name}", ("say", "when"), ())
        say = reader.text(entry(table, "say"), "a sentence")
        when = read_condition(reader, entry(table, "when"), ()) if entry(table, "when") is not None else None
        if when is not None:
            into.facts.append(Fact(name, say, when, layer, reader.place(node)))


def read_remedies(reader: Reader, text: str, layer: str, into: Read) -> None:
    """remedies.yaml."""
    for name, node in _entries(reader, text, "remedies", SLUG):
        table = reader.table(node, f"the remedy {name}", ("kind", "say"), REMEDY_MAY)
        kind = reader.choice(entry(table, "kind"), "the kind of a remedy", REMEDY_KINDS)
        steps = []
        for step in reader.items(entry(table, "steps"), "steps"):
            edits = []
            for edit in reader.items(step, "the edits of a step", least=1):
                read = reader.table(
                    edit, "an edit", (), ("replace", "with", "set", "to", "drop", "cap", "below", "above")
                )
                if read is not None:
                    edits.append(dict(plain(read)))
            steps.append(tuple(edits))
        say = reader.text(entry(table, "say"), "a sentence")
        shifts = reader.text(entry(table, "shifts"), "a sentence")
        against = reader.texts(entry(table, "against"), "the id of a remedy", SLUG)
        on_a_belt = reader.text(entry(table, "on_a_belt"), "the id of a remedy", SLUG)
        moot = entry(table, "moot_where")
        moot_where = None if moot is None else read_condition(reader, moot, ())
        if moot_where is not None and any(isinstance(leaf, FactHolds | RuleReaches) for leaf in leaves(moot_where)):
            reader.wrong(moot, "a condition on inputs and quantities alone", "a fact or a rule", key="moot_where")
            moot_where = None
        into.remedies.append(
            Remedy(name, kind, say, tuple(steps), shifts, layer, reader.place(node), against, on_a_belt, moot_where)
        )


def read_failure_modes(reader: Reader, text: str, layer: str, into: Read) -> None:
    """failure-modes.yaml."""
    optional = ("part", "mechanism", "signs", "cost", "not_modelled", "awaits", "sources")
    for name, node in _entries(reader, text, "failure modes", MODE_ID):
        table = reader.table(node, f"the failure mode {name}", ("title",), optional)
        into.failure_modes.append(
            FailureMode(
                name,
                reader.text(entry(table, "title"), "a title"),
                reader.text(entry(table, "part"), "a part"),
                reader.text(entry(table, "mechanism"), "a sentence"),
                reader.text(entry(table, "signs"), "a sentence"),
                reader.text(entry(table, "cost"), "a sentence"),
                reader.text(entry(table, "not_modelled"), "a reason"),
                reader.text(entry(table, "awaits"), "what is to be computed first"),
                _sources(reader, entry(table, "sources")),
                layer,
                reader.place(node),
            )
        )


def read_test(reader: Reader, text: str) -> RuleTest | None:
    """A rule's test file."""
    root = reader.root(text)
    table = reader.table(root, "a test file", ("rule", "tests"), ("given",)) if root is not None else None
    if table is None:
        return None
    rule = reader.text(entry(table, "rule"), "the id of a rule", RULE_ID)
    parts = ("inputs", "quantities", "speeds", "outcomes")
    given = reader.table(entry(table, "given"), "`given`", (), parts) if entry(table, "given") is not None else None
    cases = []
    for node in reader.items(entry(table, "tests"), "tests", least=1):
        case = reader.table(node, "a test", ("name", "expect"), parts)
        if case is not None:
            cases.append(_case(reader, case, given))
    return RuleTest(rule, tuple(cases), reader.place(root)) if rule else None


def _entries(reader: Reader, text: str, what: str, pattern: str) -> list[tuple[str, Node]]:
    root = reader.root(text)
    if root is None:
        return []
    table = reader.table(root, what)
    found = []
    for name, node in named(table):
        if reader.text(Leaf(name, table.keys.get(name) if table else None), f"a name among {what}", pattern):
            found.append((name, node))
    return found


def _rule(reader: Reader, root: Node, layer: str) -> Rule | None:
    before = len(reader.problems)
    table = reader.table(root, "a rule", RULE_NEEDS, RULE_MAY)
    if table is None:
        return None
    limits = _limits(reader, entry(table, "limits"))
    # A limit that could not be read is still a name, or one mistake would be told twice.
    names = (*limits, *(k for k, _ in named(_as_table(entry(table, "limits")))))
    applies: Condition | None = None
    if entry(table, "applies") is not None:
        applies = read_condition(reader, entry(table, "applies"), names)
    bound = reader.yes_no(entry(table, "bound"), "bound")
    status = reader.choice(entry(table, "status"), "a status", STATUSES)
    replaced_by = reader.text(entry(table, "replaced_by"), "the id of a rule", RULE_ID)
    if replaced_by and status != "withdrawn":
        reader.wrong(entry(table, "replaced_by"), "`replaced_by` on a withdrawn rule", status, key="replaced_by")
    about = reader.choice(entry(table, "about"), "what is judged", ("build", "log"), "build")
    over = reader.choice(entry(table, "over"), "over", ("any", "all"), "any")
    rule = Rule(
        id=reader.text(entry(table, "id"), "an id in capitals and digits, such as ROD003", RULE_ID),
        title=reader.text(entry(table, "title"), "a title", longest=120),
        family=reader.text(entry(table, "family"), "a family in small letters", SLUG),
        grades=_grades(reader, entry(table, "grades"), names),
        status=status,
        replaced_by=replaced_by,
        since=reader.text(entry(table, "since"), "a version"),
        author=reader.text(entry(table, "author"), "an author"),
        date=reader.day(entry(table, "date"), "a date"),
        failure_modes=reader.texts(entry(table, "failure_modes"), "failure mode", MODE_ID),
        applies=applies,
        span=_span(reader, entry(table, "span"), names),
        over="all" if over == "all" else "any",
        limits=limits,
        why=reader.text(entry(table, "why"), "a sentence"),
        message=reader.text(entry(table, "message"), "a sentence"),
        settled_by=reader.text(entry(table, "settled_by"), "a measurement"),
        remedies=reader.texts(entry(table, "remedies"), "remedy", SLUG),
        caveats=reader.texts(entry(table, "caveats"), "caveat"),
        sources=_sources(reader, entry(table, "sources")),
        evidence=reader.choice(entry(table, "evidence"), "evidence", EVIDENCE),
        confidence=reader.choice(entry(table, "confidence"), "confidence", CONFIDENCE),
        about="log" if about == "log" else "build",
        part=reader.text(entry(table, "part"), "a part"),
        method=reader.text(entry(table, "method"), "a method"),
        strength_of=reader.choice(entry(table, "strength_of"), "a kind of part", PARTS),
        bound=bound,
        layer=layer,
        place=reader.place(root),
        places={key: Place(reader.file, at.line, at.column) for key, at in table.keys.items()},
    )
    return rule if len(reader.problems) == before else None


def _as_table(node: Node | None) -> Table | None:
    return node if isinstance(node, Table) else None


def _limits(reader: Reader, node: Node | None) -> dict[str, Limit]:
    limits: dict[str, Limit] = {}
    if node is None:
        return limits
    for name, inner in named(reader.table(node, "limits")):
        reader.text(Leaf(name, inner.place), "a limit's name in small letters", NAME)
        table = reader.table(inner, f"the limit {name}", ("value", "evidence", "confidence"), LIMIT_MAY)
        if table is None:
            continue
        value = reader.amount(entry(table, "value"), f"the value of {name}") if "value" in table.entries else None
        evidence = reader.choice(entry(table, "evidence"), "evidence", EVIDENCE)
        confidence = reader.choice(entry(table, "confidence"), "confidence", CONFIDENCE)
        source = entry(table, "source")
        note = reader.text(entry(table, "note"), "a sentence")
        cited = _source(reader, source) if source is not None else {}
        if value is not None:
            ends = _ends(reader, table, name, value)
            limits[name] = Limit(name, value, evidence, confidence, cited, note, reader.place(inner), *ends)
    return limits


def _ends(reader: Reader, table: Table, name: str, value: Amount) -> tuple[Amount | None, Amount | None]:
    """Low and high of a limit: both or neither, of its own dimension, on either side of it."""
    stated = [reader.amount(node, f"an end of {name}") for key in ("low", "high") if (node := entry(table, key))]
    if not stated or None in stated:
        return None, None
    low, high = stated[0], stated[-1]
    if len(stated) < 2 or low is None or high is None:
        reader.wrong(table, f"both ends of {name}", "one", "Write `low` and `high`, or neither.", name)
        return None, None
    if {low.si_unit, high.si_unit} != {value.si_unit}:
        reader.wrong(table, f"ends like `{value}`", f"`{low}` and `{high}`", key=name)
    elif not low.si(value.si_unit) <= value.si(value.si_unit) <= high.si(value.si_unit):
        reader.wrong(table, f"low, value and high of {name} in this order", f"`{low}`, `{value}`, `{high}`", key=name)
    return low, high


def _sources(reader: Reader, node: Node | None) -> tuple[Mapping[str, str], ...]:
    return tuple(s for s in (_source(reader, item) for item in reader.items(node, "sources")) if s)


def _source(reader: Reader, node: Node) -> Mapping[str, str]:
    table = reader.table(node, "a source", ("id",), ("at", "gives", "url", "note"))
    return {k: reader.text(v, f"{k} of a source") for k, v in named(table)}


def _span(reader: Reader, node: Node | None, limits: Sequence[str]) -> Span | None:
    if node is None:
        return None
    table = reader.table(node, "a span of engine speeds", (), ("below", "above"))
    ends: dict[str, LimitName | Amount | None] = {}
    for key in ("below", "above"):
        end = entry(table, key)
        text = end.text.strip() if isinstance(end, Leaf) else ""
        if end is not None:
            ends[key] = LimitName(text) if text in limits else reader.amount(end, "an engine speed or a limit's name")
    if table is not None and not table.entries:
        reader.wrong(node, "`below` or `above`", "neither", key="span")
    return Span(ends.get("below"), ends.get("above"), reader.place(node))


def _grades(reader: Reader, node: Node | None, limits: Sequence[str]) -> tuple[Grade, ...]:
    grades = []
    for item in reader.items(node, "grades", least=1):
        table = reader.table(item, "a grade", ("grade", "when"), ())
        grade = reader.choice(entry(table, "grade"), "a grade", _GRADES)
        when = read_condition(reader, entry(table, "when"), limits) if entry(table, "when") is not None else None
        if grade and when is not None:
            grades.append(Grade(grade, when, reader.place(item)))
    names = [g.grade for g in grades]
    if len(set(names)) < len(names):
        reader.wrong(node, "each grade once", ", ".join(names), "Join their conditions under `any`.", "grades")
    return tuple(grades)


def _override(reader: Reader, node: Node, layer: str) -> Override | None:
    before = len(reader.problems)
    needed = ("override", "limits", "author", "date", "reason")
    table = reader.table(node, "an override", needed, ("scope", "expires"))
    if table is None:
        return None
    limits: dict[str, Amount] = {}
    places: dict[str, Place] = {}
    given = reader.table(entry(table, "limits"), "limits") if "limits" in table.entries else None
    if given is not None and not given.entries:
        reader.wrong(given, "at least one limit", "none", key="limits")
    for name, inner in named(given):
        amount = reader.amount(inner, f"the value of {name}")
        if amount is not None:
            limits[name], places[name] = amount, reader.place(None, given, name)
    scope: dict[str, tuple[str, ...]] = {}
    for path, inner in named(reader.table(entry(table, "scope"), "a scope") if "scope" in table.entries else None):
        reader.text(Leaf(path, inner.place), "the path of an input", PATH)
        listed = inner if isinstance(inner, Row) else Row((inner,), inner.place)
        scope[path] = tuple(sorted(set(reader.texts(listed, f"word for {path}"))))
        if not scope[path]:
            reader.wrong(inner, f"at least one word for {path}", "none", key="scope")
    override = Override(
        reader.text(entry(table, "override"), "the id of a rule", RULE_ID), limits, scope,
        reader.text(entry(table, "author"), "an author"), reader.day(entry(table, "date"), "a date", "date"),
        reader.text(entry(table, "reason"), "a reason"), reader.day(entry(table, "expires"), "a date", "expires"),
        layer, reader.place(node), places,
    )  # fmt: skip
    if override.date is not None and override.expires is not None and override.expires < override.date:
        wanted, mend = f"a day not before its date of {override.date}", "It would never count."
        reader.wrong(entry(table, "expires"), wanted, str(override.expires), mend, "expires")
    return override if len(reader.problems) == before else None


def _case(reader: Reader, case: Table, given: Table | None) -> RuleCase:
    def merged(key: str) -> dict[str, CaseValue]:
        out: dict[str, CaseValue] = {}
        for table in (given, case):
            node = entry(table, key)
            for name, inner in named(reader.table(node, key) if node is not None else None):
                out[name] = _case_value(reader, inner, name)
        return out

    speeds = entry(case, "speeds") or entry(given, "speeds")
    amounts = [reader.amount(item, "an engine speed") for item in reader.items(speeds, "speeds")]
    outcomes: dict[str, str] = {}
    for table in (given, case):
        node = entry(table, "outcomes")
        for name, inner in named(reader.table(node, "outcomes") if node is not None else None):
            outcomes[name] = reader.choice(inner, "a grade", LOG_GRADES)
    return RuleCase(
        reader.text(entry(case, "name"), "a name"), merged("inputs"), merged("quantities"),
        tuple(a for a in amounts if a is not None), outcomes, _expectation(reader, entry(case, "expect")),
        reader.place(case),
    )  # fmt: skip


def _case_value(reader: Reader, node: Node, name: str) -> CaseValue:
    if isinstance(node, Row):
        return tuple(
            v if not isinstance(v, tuple) else None for v in (_case_value(reader, i, name) for i in node.items)
        )
    if isinstance(node, Leaf):
        return None if node.text in ("null", "~", "") else node.text
    reader.wrong(node, f"a value for {name}, null, or a list of them by speed", kind_of(node))
    return None


def _expectation(reader: Reader, node: Node | None) -> Expectation:
    if isinstance(node, Leaf):
        word = reader.choice(node, "what is expected", (*LOG_GRADES, *OUTCOMES))
        return Expectation(outcome=word) if word in OUTCOMES else Expectation(grade=word or None)
    table = reader.table(node, "what is expected", (), ("grade", "at", "could_be", "missing", "outcome"))
    at, missing = entry(table, "at"), entry(table, "missing")
    outcome = reader.choice(entry(table, "outcome"), "an outcome", OUTCOMES) or None
    grade = reader.choice(entry(table, "grade"), "a grade", LOG_GRADES) or None
    if table is not None and (outcome is None) == (grade is None):
        got = "both" if outcome else excerpt(", ".join(table.entries))
        reader.wrong(node, "`grade` or `outcome`", got, key="expect")
    return Expectation(
        outcome, grade, reader.amount(at, "an engine speed") if at is not None else None,
        reader.choice(entry(table, "could_be"), "a grade", LOG_GRADES) or None,
        reader.texts(missing, "name") if missing is not None else None,
    )  # fmt: skip
