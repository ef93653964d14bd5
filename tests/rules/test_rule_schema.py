"""The JSON Schemas accept what the reader accepts, and refuse what it refuses; by jsonschema, a general library."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from enginelimits.rules.schema import SCHEMAS

RULESETS = Path(__file__).parents[2] / "rulesets"
VALIDATORS = {name: Draft202012Validator(made()) for name, made in SCHEMAS.items()}
SPECIAL = {f"{name}.yaml": f"{name}.schema.json" for name in ("facts", "remedies", "failure-modes")}
OVERRIDE = {"override": "ROD003", "limits": {"reinforce_mep": "22.5 bar"}, "scope": {"engine.family": ["x"]},
            "author": "a", "date": "2026-11-25", "reason": "own engines", "expires": "2027-11-25"}


def loaded(path):
    return json.loads(json.dumps(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader), default=str))


def schema_of(path):
    if path.name in SPECIAL:
        return SPECIAL[path.name]
    return "test.schema.json" if path.name.endswith(".test.yaml") else "rule.schema.json"


@pytest.mark.parametrize("name", SCHEMAS)
def test_each_is_a_schema(name):
    Draft202012Validator.check_schema(VALIDATORS[name].schema)


def test_every_shipped_file_is_valid():
    files = [p for p in sorted(RULESETS.rglob("*.yaml")) if p.name != "catalogue.yaml"]
    assert len(files) > 150
    wrong = [f"{p.name}: {e.message[:120]}" for p in files for e in VALIDATORS[schema_of(p)].iter_errors(loaded(p))]
    assert wrong == []


def test_an_override_and_a_list_of_them_are_valid():
    rule = VALIDATORS["rule.schema.json"]
    assert rule.is_valid(OVERRIDE) and rule.is_valid([OVERRIDE, OVERRIDE])
    assert not rule.is_valid({**OVERRIDE, "limit": {}}) and not rule.is_valid([])
    # of no limit, or for no word of an input
    assert not rule.is_valid({**OVERRIDE, "limits": {}})
    assert not rule.is_valid({**OVERRIDE, "scope": {"engine.family": []}})


CHANGES = {
    "an unknown key": lambda r: r.update(severity="high"),
    "a grade that is none": lambda r: r["grades"][0].update(grade="warning"),
    "a comparison that is none": lambda r: r["grades"][0].update(when={"quantity": "rod.column_use", "over": "x"}),
    "a quantity that is none": lambda r: r["grades"][0].update(when={"quantity": "rod.colum_use", "above": "1"}),
    "two comparisons in one": lambda r: r["grades"][0].update(
        when={"quantity": "rod.column_use", "above": "1", "below": "2"}),
    "no comparison": lambda r: r["grades"][0].update(when={"quantity": "rod.column_use"}),
    "an id in small letters": lambda r: r.update(id="rod001"),
    "no message": lambda r: r.pop("message"),
    "a limit without a value": lambda r: r["limits"].update(extra={"evidence": "memory"}),
    "evidence that is none": lambda r: next(iter(r["limits"].values())).update(evidence="forum"),
    "no grades": lambda r: r.update(grades=[]),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_the_reader_refuses_the_schema_refuses(change):
    rule = copy.deepcopy(loaded(RULESETS / "rods" / "ROD001-rod-column.yaml"))
    assert VALIDATORS["rule.schema.json"].is_valid(rule)
    CHANGES[change](rule)
    assert not VALIDATORS["rule.schema.json"].is_valid(rule)
