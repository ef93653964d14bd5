"""Conditions as written in a rule file, read into typed ones."""

from __future__ import annotations

import difflib
from collections.abc import Collection
from typing import Final, Literal

from enginelimits.description.nodes import Leaf, Node, Row, Table
from enginelimits.rules.grades import LOG_GRADES
from enginelimits.rules.model import (
    MATCHES,
    SENSES,
    Amount,
    Compare,
    Condition,
    Count,
    Every,
    FactHolds,
    Given,
    LimitName,
    Matches,
    Not,
    Other,
    RuleReaches,
    Sense,
    Some,
)
from enginelimits.rules.reader import Reader, kind_of
from enginelimits.units.grammar import excerpt

NAME: Final = r"[a-z][a-z0-9_]{0,60}"
PATH: Final = r"[a-z][a-z0-9_]{0,60}(\.[a-z][a-z0-9_]{0,60}){0,6}"
RULE_ID: Final = r"[A-Z][A-Z0-9]{1,15}"
MOST_PARTS: Final = 200
_HEADS: Final = ("all", "any", "not", "count", "fact", "rule", "quantity", "input")
_FORMS: Final = "a condition: all, any, not, count, fact, rule, quantity or input"
_COMPARISON: Final = "above, below, at_least or at_most"


def read_condition(reader: Reader, node: Node | None, limits: Collection[str]) -> Condition | None:
    """The condition at a node; None, with problems noted, when it is none."""
    if not isinstance(node, Table):
        reader.wrong(node, f"{_FORMS}, as a mapping", kind_of(node), "Write `{quantity: name, above: limit}`.")
        return None
    heads = [head for head in _HEADS if head in node.entries]
    if len(heads) != 1:
        got = " and ".join(heads) or ", ".join(excerpt(k) for k in node.entries) or "an empty mapping"
        near = [n for k in node.entries for n in difflib.get_close_matches(k, _HEADS, n=1)] if not heads else []
        reader.wrong(
            node,
            _FORMS if not heads else "one condition a mapping",
            got,
            "Put several under `all` or `any`." if heads else "",
            near=near,
        )
        return None
    head = heads[0]
    place = reader.place(node)
    inner = node.entries[head]
    if head in ("all", "any"):
        reader.table(node, f"`{head}`", (head,), ())
        parts = _parts(reader, inner, head, limits)
        if parts is None:
            return None
        return Every(parts, place) if head == "all" else Some(parts, place)
    if head == "not":
        reader.table(node, "`not`", (head,), ())
        part = read_condition(reader, inner, limits)
        return None if part is None else Not(part, place)
    if head == "count":
        return _count(reader, node, limits)
    if head == "fact":
        reader.table(node, "a fact", (head,), ())
        name = reader.text(inner, "the name of a fact", NAME)
        return FactHolds(name, place) if name else None
    if head == "rule":
        reader.table(node, "a rule's outcome", (head, "at_least"), ())
        id_ = reader.text(inner, "the id of a rule, such as ROD003", RULE_ID)
        grade = reader.choice(node.entries.get("at_least"), "a grade", LOG_GRADES[1:])
        return RuleReaches(id_, grade, place) if id_ and grade else None
    return _leaf(reader, node, "quantity" if head == "quantity" else "input", limits)


def _parts(reader: Reader, node: Node, head: str, limits: Collection[str]) -> tuple[Condition, ...] | None:
    items = reader.items(node, f"conditions of `{head}`", least=1)
    if len(items) > MOST_PARTS:
        reader.wrong(node, f"at most {MOST_PARTS} conditions", str(len(items)), "Make facts of some of them.")
        return None
    read = [read_condition(reader, item, limits) for item in items]
    parts = tuple(part for part in read if part is not None)
    return parts if parts and len(parts) == len(items) else None


def _count(reader: Reader, node: Table, limits: Collection[str]) -> Condition | None:
    reader.table(node, "`count`", ("count", "at_least"), ())
    parts = _parts(reader, node.entries["count"], "count", limits)
    if parts is None or "at_least" not in node.entries:
        return None
    need = reader.whole(node.entries["at_least"], "how many of the conditions", 1, len(parts))
    return None if need is None else Count(parts, need, reader.place(node))


def _leaf(reader: Reader, node: Table, kind: Literal["quantity", "input"], limits: Collection[str]) -> Condition | None:
    allowed: tuple[str, ...] = SENSES if kind == "quantity" else (*SENSES, *MATCHES, "given")
    reader.table(node, f"a condition on {'a quantity' if kind == 'quantity' else 'an input'}", (kind,), allowed)
    name = reader.text(node.entries[kind], f"the {'id' if kind == 'quantity' else 'path'} of the {kind}", PATH)
    tests = [key for key in allowed if key in node.entries]
    if len(tests) != 1:
        wanted = _COMPARISON if kind == "quantity" else f"{_COMPARISON}, is, is_not, in, not_in or given"
        mend = "Put two comparisons under `all`." if tests else ""
        reader.wrong(node, f"one of {wanted}", " and ".join(tests) or "none", mend, key=kind)
        return None
    test = tests[0]
    operand, place = node.entries[test], reader.place(node)
    if test in SENSES:
        against = _operand(reader, operand, limits)
        sense: Sense = SENSES[SENSES.index(test)]
        return Compare(kind, name, sense, against, place) if name and against is not None else None
    if test == "given":
        given = reader.choice(operand, "given", ("true", "false"))
        return Given(name, given == "true", place) if name and given else None
    if test in ("in", "not_in"):
        values = reader.texts(operand, "value")
        if isinstance(operand, Row) and not operand.items:
            reader.wrong(operand, "at least one value", "none", key=test)
    else:
        values = tuple(v for v in (reader.text(operand, "a word, true or false, or a number"),) if v)
    match = MATCHES[MATCHES.index(test)]
    return Matches(name, match, values, place) if name and values else None


def _operand(reader: Reader, node: Node, limits: Collection[str]) -> LimitName | Amount | Other | None:
    if isinstance(node, Table):
        return _other(reader, node, limits)
    text = node.text.strip() if isinstance(node, Leaf) else ""
    if text in limits:
        return LimitName(text)
    if text[:1].isalpha():
        near = difflib.get_close_matches(text, list(limits), n=3)
        reader.wrong(
            node,
            "the name of a limit of this rule, or a number with its unit",
            excerpt(text),
            "" if near else "Add it under `limits`.",
            near=near,
        )
        return None
    return reader.amount(node, "a limit")


def _other(reader: Reader, node: Table, limits: Collection[str]) -> Other | None:
    kinds = [k for k in ("quantity", "input") if k in node.entries]
    if len(kinds) != 1:
        reader.wrong(node, "`quantity` or `input` to compare with", " and ".join(kinds) or "neither")
        return None
    kind: Literal["quantity", "input"] = "quantity" if kinds[0] == "quantity" else "input"
    reader.table(node, "what is compared with", (kind,), ("times",))
    name = reader.text(node.entries[kind], f"the {kind} to compare with", PATH)
    times: float | LimitName | None = 1.0
    if "times" in node.entries:
        factor = node.entries["times"]
        text = factor.text.strip() if isinstance(factor, Leaf) else ""
        times = LimitName(text) if text in limits else reader.number(factor, "times (a limit's name or a factor)")
    return Other(kind, name, times) if name and times is not None else None
