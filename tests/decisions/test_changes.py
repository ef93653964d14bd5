"""What a shop's override, a changed threshold and a withdrawn rule do to the cases, before anyone commits them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from enginelimits.decisions import changes as side_by_side
from enginelimits.decisions import judge as judging
from enginelimits.decisions.changes import catalogue_of, changes, rule_changes
from enginelimits.decisions.judge import judge, judged_by_each
from enginelimits.decisions.strength import strength_anchor
from enginelimits.description.load import load_build
from enginelimits.rules.catalogue import checkout_folder, load_catalogue

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "small-turbo-1800" / "build.yaml"
CLUTCH = ROOT / "rulesets" / "driveline" / "DRV001-clutch.yaml"
ROD = ROOT / "rulesets" / "rods" / "ROD001-rod-column.yaml"
DAY = date(2026, 11, 25)
OVERRIDE = (
    "override: DRV001\nlimits: {reinforce_reserve: 0.5, caution_reserve: 0.6}\nauthor: A shop\ndate: 2026-11-25\n"
    "reason: Our clutches hold longer.\n"
)


@pytest.fixture
def one_case(monkeypatch, tmp_path):
    """The worked cases cut down to one, for speed."""
    folder = tmp_path / "cases" / "small-turbo-1800"
    folder.mkdir(parents=True)
    (folder / "build.yaml").write_text(CASE.read_text("utf-8"), encoding="utf-8")
    monkeypatch.setattr(side_by_side, "checkout_folder", lambda name: folder.parent)
    return folder.parent


def layer(tmp_path, text, name="own.yaml"):
    folder = tmp_path / "rules"
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_an_override_shows_as_such_with_the_grades_it_moves(one_case, tmp_path):
    new = catalogue_of(layer(tmp_path, OVERRIDE), DAY)
    found = changes(load_catalogue(as_of=DAY), new, samples=0)
    (rule,) = found.rules
    assert (rule.rule, rule.kind) == ("DRV001", "overridden")
    assert "reinforce_reserve 0.5" in rule.differs[0][2] and "A shop" in rule.differs[0][2]
    (verdict,) = found.verdicts
    ((id_, before, after),) = [(f.rule, f.before, f.after) for f in verdict.findings]
    assert id_ == "DRV001" and before in ("caution", "reinforce") and after == "note"


def test_a_changed_threshold_is_told_with_both_sides(one_case, tmp_path):
    text = CLUTCH.read_text("utf-8").replace("reinforce_reserve: {value: 1.0,", "reinforce_reserve: {value: 0.5,")
    text = text.replace("caution_reserve: {value: 1.1,", "caution_reserve: {value: 0.6,")
    new = catalogue_of(layer(tmp_path, text, CLUTCH.name), DAY)
    found = changes(load_catalogue(as_of=DAY), new, samples=0)
    (rule,) = found.rules
    assert rule.kind == "changed"
    told = {what: (before, after) for what, before, after in rule.differs}
    before, after = told["limit reinforce_reserve"]
    assert before.startswith("1 ") and after.startswith("0.5 ")
    assert found.verdicts[0].findings[0].after == "note"


def test_a_withdrawn_rule_falls_silent(one_case, tmp_path):
    text = CLUTCH.read_text("utf-8").replace("status: stable", "status: withdrawn")
    found = changes(load_catalogue(as_of=DAY), catalogue_of(layer(tmp_path, text, CLUTCH.name), DAY), samples=0)
    assert [(r.rule, r.kind) for r in found.rules] == [("DRV001", "withdrawn")]
    assert [(f.rule, f.after) for f in found.verdicts[0].findings] == [("DRV001", "clear")]


def test_nothing_differs_from_itself(one_case):
    catalogue = load_catalogue(as_of=DAY)
    found = changes(catalogue, catalogue, samples=0)
    assert found.rules == () and all(verdict.same for verdict in found.verdicts)


def test_catalogues_that_leave_the_same_parts_share_one_assessment(monkeypatch, tmp_path):
    old, new = load_catalogue(as_of=DAY), catalogue_of(layer(tmp_path, OVERRIDE), DAY)
    build = load_build(CASE)
    alone = [judge(build, catalogue, samples=2) for catalogue in (old, new)]
    made = []
    whole = judging.assess
    monkeypatch.setattr(judging, "assess", lambda *a, **k: made.append(1) or whole(*a, **k))
    both = judged_by_each(build, (old, new), samples=2)
    assert len(made) == 1
    for one, other in zip(both, alone, strict=True):
        assert one.verdict == other.verdict and one.findings == other.findings


def test_a_rule_on_strength_has_the_build_assessed_by_itself(monkeypatch, tmp_path):
    # With a threshold that the weaker rods of the class do not meet in the maker's own engine, other rods are kept.
    text = ROD.read_text("utf-8")
    for shipped, ours in (("reinforce_use: {value: 0.70", "reinforce_use: {value: 0.50"),
                          ("note_use: {value: 0.55", "note_use: {value: 0.40")):
        assert shipped in text
        text = text.replace(shipped, ours)
    old, new = load_catalogue(as_of=DAY), catalogue_of(layer(tmp_path, text, ROD.name), DAY)
    build = load_build(CASE)
    assert strength_anchor(build, old) != strength_anchor(build, new)
    made = []
    whole = judging.assess
    monkeypatch.setattr(judging, "assess", lambda *a, **k: made.append(1) or whole(*a, **k))
    both = judged_by_each(build, (old, new), samples=0)
    assert len(made) == 2
    use = [judged.assessment.quantities["rod.column_use"].value for judged in both]
    assert use[1] < use[0]


def test_a_whole_catalogue_without_a_rule_has_it_removed(tmp_path):
    import shutil

    whole = tmp_path / "whole"
    shutil.copytree(checkout_folder("rulesets"), whole)
    for path in (whole / "driveline").glob("DRV004-*"):
        path.unlink()
    found = list(rule_changes(load_catalogue(as_of=DAY), catalogue_of(whole, DAY)))
    assert [(change.rule, change.kind) for change in found] == [("DRV004", "removed")]


def test_a_verdict_with_a_shop_value_says_what_the_shipped_one_would_have_said(tmp_path):
    catalogue = load_catalogue(overlays=[layer(tmp_path, OVERRIDE)], as_of=DAY)
    (said,) = [v for v in judge(load_build(CASE), catalogue, samples=0, as_of=DAY).shop_values if "DRV001" in v]
    assert "; note here, by the shipped numbers " in said
