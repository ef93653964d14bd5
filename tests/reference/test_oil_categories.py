"""The categories of oil are told in two places, for a class and for a rule: they must be the same."""

from __future__ import annotations

from pathlib import Path

import yaml

ROOT = Path(__file__).parents[2]
CLASSES = ROOT / "limits" / "enginelimits" / "reference" / "preignitions.yaml"
RULE = ROOT / "rulesets" / "combustion" / "KNK016-oil-category.yaml"


def test_class_and_rule_name_the_same_categories() -> None:
    chosen = {
        entry["class"]: set(entry["when"]["oil.category"])
        for entry in yaml.safe_load(CLASSES.read_text(encoding="utf-8"))["choose"] if "when" in entry
    }
    grades = {grade["grade"]: grade["when"] for grade in yaml.safe_load(RULE.read_text(encoding="utf-8"))["grades"]}
    assert chosen["untested-oil"] == set(grades["caution"]["in"])
    assert chosen["tested-oil"] == set(grades["note"]["not_in"])
