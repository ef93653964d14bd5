"""The JSON Schema of rule files, made from the same words that the reader accepts.

Editors check and complete a rule while it is written; what only the reader knows (limits by name, units, ids that must
exist) stays with `rules lint`.
"""

from __future__ import annotations

import re
from typing import Any

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.rules.conditions import NAME, PATH, RULE_ID
from enginelimits.rules.files import MODE_ID, OUTCOMES, RULE_MAY, RULE_NEEDS, SLUG
from enginelimits.rules.grades import LOG_GRADES
from enginelimits.rules.model import CONFIDENCE, EVIDENCE, MATCHES, PARTS, REMEDY_KINDS, SENSES, STATUSES

DRAFT = "https://json-schema.org/draft/2020-12/schema"
# A number with its unit, or alone where the limit has none; the grammar itself stays with the reader
AMOUNT = {"type": ["string", "number"]}
TEXT = {"type": "string", "minLength": 1}
WORDS = {"type": "array", "items": TEXT}
SCALAR = {"type": ["string", "number", "boolean"]}


def rule_schema() -> dict[str, Any]:
    """Of a file that holds one rule, one override or a list of overrides."""
    return {
        "$schema": DRAFT,
        "title": "A rule of engine-limits, or overrides of rules",
        "oneOf": [
            {"$ref": "#/$defs/rule"},
            {"$ref": "#/$defs/override"},
            {"type": "array", "items": {"$ref": "#/$defs/override"}, "minItems": 1},
        ],
        "$defs": {
            "rule": _rule(),
            "override": _override(),
            "grade": _object({"grade": {"enum": list(LOG_GRADES[1:])}, "when": _ref("condition")}, ("grade", "when")),
            "limit": _limit(),
            "source": _object({"id": TEXT, "at": TEXT, "gives": TEXT}, ("id",)),
            **_conditions(),
        },
    }


def facts_schema() -> dict[str, Any]:
    """Of facts.yaml: named conditions that rules share."""
    fact = _object({"say": TEXT, "when": _ref("condition")}, ("say", "when"))
    return {
        "$schema": DRAFT,
        "title": "Facts of engine-limits: conditions with a name",
        **_named(NAME, fact),
        "$defs": _conditions(),
    }


def remedies_schema() -> dict[str, Any]:
    """Of remedies.yaml: what can be done, in words and as edits of a build."""
    edit = {
        "oneOf": [
            _object({"set": TEXT, "to": {}}, ("set", "to")),
            _object({"replace": TEXT, "with": {"type": "object"}}, ("replace", "with")),
            _object({"drop": TEXT}, ("drop",)),
            _object({"cap": TEXT, "to": AMOUNT, "below": AMOUNT, "above": AMOUNT}, ("cap", "to")),
        ]
    }
    steps = {"type": "array", "items": {"type": "array", "items": edit, "minItems": 1}}
    remedy = _object({"kind": {"enum": list(REMEDY_KINDS)}, "say": TEXT, "steps": steps, "shifts": TEXT,
                      "against": {"type": "array", "items": TEXT}, "on_a_belt": _pattern(SLUG),
                      "moot_where": _ref("condition")},
                     ("kind", "say"))
    return {"$schema": DRAFT, "title": "Remedies of engine-limits", **_named(SLUG, remedy), "$defs": _conditions()}


def failure_modes_schema() -> dict[str, Any]:
    """Of failure-modes.yaml: the ways in which an engine breaks."""
    words = ("part", "mechanism", "signs", "cost", "not_modelled", "awaits")
    sources = {"type": "array", "items": _object({"id": TEXT, "at": TEXT, "gives": TEXT}, ("id",))}
    mode = _object({"title": TEXT, **dict.fromkeys(words, TEXT), "sources": sources}, ("title",))
    return {"$schema": DRAFT, "title": "Failure modes of engine-limits", **_named(MODE_ID, mode)}


def case_schema() -> dict[str, Any]:
    """Of the test file beside a rule."""
    values = {"type": ["string", "number", "boolean", "null", "array"]}
    parts = {
        "inputs": {"type": "object", "additionalProperties": values},
        "quantities": {"type": "object", "additionalProperties": values},
        "speeds": {"type": "array", "items": AMOUNT, "minItems": 1},
        "outcomes": {"type": "object", "additionalProperties": {"enum": list(LOG_GRADES)}},
    }
    expect = {
        "oneOf": [
            {"enum": [*LOG_GRADES, *OUTCOMES]},
            _object(
                {"grade": {"enum": list(LOG_GRADES)}, "outcome": {"enum": list(OUTCOMES)}, "at": AMOUNT,
                 "could_be": {"enum": list(LOG_GRADES)}, "missing": WORDS}, ()
            ),
        ]
    }
    case = _object({"name": TEXT, **parts, "expect": expect}, ("name", "expect"))
    return {
        "$schema": DRAFT,
        "title": "Tests of one rule",
        **_object({"rule": _pattern(RULE_ID), "given": _object(parts, ()),
                   "tests": {"type": "array", "items": case, "minItems": 1}}, ("rule", "tests")),
    }


SCHEMAS = {
    "rule.schema.json": rule_schema,
    "facts.schema.json": facts_schema,
    "remedies.schema.json": remedies_schema,
    "failure-modes.schema.json": failure_modes_schema,
    "test.schema.json": case_schema,
}


def _rule() -> dict[str, Any]:
    texts = ("title", "since", "author", "why", "message", "settled_by", "part", "method")
    known: dict[str, Any] = {
        "id": _pattern(RULE_ID),
        "family": _pattern(SLUG),
        "status": {"enum": list(STATUSES)},
        "replaced_by": _pattern(RULE_ID),
        "date": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        "failure_modes": {"type": "array", "items": _pattern(MODE_ID)},
        "applies": _ref("condition"),
        "span": _object({"below": AMOUNT, "above": AMOUNT}, ()),
        "over": {"enum": ["any", "all"]},
        "limits": _named(NAME, _ref("limit")),
        "grades": {"type": "array", "items": _ref("grade"), "minItems": 1},
        "remedies": {"type": "array", "items": _pattern(SLUG)},
        "caveats": WORDS,
        "sources": {"type": "array", "items": _ref("source")},
        "evidence": {"enum": list(EVIDENCE)},
        "confidence": {"enum": list(CONFIDENCE)},
        "about": {"enum": ["build", "log"]},
        "bound": {"type": "boolean"},
        "strength_of": {"enum": list(PARTS)},
        **dict.fromkeys(texts, TEXT),
    }
    return _object({name: known[name] for name in (*RULE_NEEDS, *RULE_MAY)}, RULE_NEEDS)


def _override() -> dict[str, Any]:
    return _object(
        {
            "override": _pattern(RULE_ID),
            "limits": {**_named(NAME, AMOUNT), "minProperties": 1},
            "scope": {
                "type": "object",
                "additionalProperties": {"anyOf": [SCALAR, {"type": "array", "items": SCALAR, "minItems": 1}]},
            },
            "author": TEXT,
            "date": {"type": "string"},
            "reason": TEXT,
            "expires": {"type": "string"},
        },
        ("override", "limits", "author", "date", "reason"),
    )


def _limit() -> dict[str, Any]:
    return _object(
        {"value": AMOUNT, "low": AMOUNT, "high": AMOUNT, "evidence": {"enum": list(EVIDENCE)},
         "confidence": {"enum": list(CONFIDENCE)},
         "source": _ref("source"), "note": TEXT},
        ("value",),
    )


def _conditions() -> dict[str, Any]:
    """Conditions as data: every form that the reader knows."""
    some = {"type": "array", "items": _ref("condition"), "minItems": 1}
    senses: dict[str, Any] = {sense: {"anyOf": [AMOUNT, _ref("other")]} for sense in SENSES}
    quantity = {"enum": sorted(name for name, kind in QUANTITIES.items() if not kind.crank)}
    matches: dict[str, Any] = {match: {"anyOf": [SCALAR, {"type": "array", "items": SCALAR}]} for match in MATCHES}
    return {
        "condition": {
            "oneOf": [
                _object({"all": some}, ("all",)),
                _object({"any": some}, ("any",)),
                _object({"not": _ref("condition")}, ("not",)),
                _object({"count": some, "at_least": {"type": "integer", "minimum": 1}}, ("count", "at_least")),
                _object({"fact": _pattern(NAME)}, ("fact",)),
                _object({"rule": _pattern(RULE_ID), "at_least": {"enum": list(LOG_GRADES[1:])}}, ("rule", "at_least")),
                _two({"quantity": quantity, **senses}, "quantity"),
                _two({"input": _pattern(PATH), **senses, **matches, "given": {"type": "boolean"}}, "input"),
            ]
        },
        "other": {
            "oneOf": [
                _object({"quantity": quantity, "times": AMOUNT}, ("quantity",)),
                _object({"input": _pattern(PATH), "times": AMOUNT}, ("input",)),
            ]
        },
    }


def _two(properties: dict[str, Any], head: str) -> dict[str, Any]:
    """What is read, and exactly one comparison."""
    return {**_object(properties, (head,)), "minProperties": 2, "maxProperties": 2}


def _object(properties: dict[str, Any], required: tuple[str, ...]) -> dict[str, Any]:
    made: dict[str, Any] = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": list(required)} if required else made


def _named(pattern: str, value: dict[str, Any]) -> dict[str, Any]:
    """A mapping from names of that form."""
    return {"type": "object", "patternProperties": {_whole(pattern): value}, "additionalProperties": False}


def _pattern(pattern: str) -> dict[str, Any]:
    return {"type": "string", "pattern": _whole(pattern)}


def _whole(pattern: str) -> str:
    re.compile(pattern)
    return f"^(?:{pattern})$"


def _ref(name: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{name}"}
