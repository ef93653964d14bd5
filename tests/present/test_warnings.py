"""Every safety notice is told where its subject is, in every answer, and not where it is not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import yaml

from enginelimits.cli.main import exit_code
from enginelimits.decisions.judge import judge
from enginelimits.decisions.notices import FILE, in_brief, notices_for
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.present import boost, jsonform
from enginelimits.present.text import report
from enginelimits.present.verdict import verdict_tree
from enginelimits.present.warnings import short_warnings
from enginelimits.rules.catalogue import load_catalogue

CASES = Path(__file__).parents[2] / "cases"
ENTRIES = {entry["id"]: entry for entry in yaml.safe_load(FILE.read_text(encoding="utf-8"))["notices"]}
# Notice, case, and what to change so that the subject is there and is not
SUBJECTS = {
    "road": ("small-turbo-1800", {"vehicle.road_registered": "yes"}, {"vehicle.road_registered": "no"}),
    "dyno": ("small-turbo-1800", {"goal.at": "wheels"}, {"goal.at": "crank", "baseline.at": "crank"}),
    "road-test": ("small-turbo-1800", {"goal.use": "street"}, {"goal.use": "track"}),
    "ethanol": ("small-turbo-1800", {"fuel.ethanol": "85 %"}, {"fuel.ethanol": "5 +/- 2 %"}),
    "methanol": ("small-turbo-1800", {"fuel.methanol": "85 %"}, {"fuel.methanol": "5 %"}),
    "rail": ("small-turbo-1800", {"engine.injection": "direct"}, {"engine.injection": "port"}),
    "refused-approval": (
        "small-turbo-1800", {"approvals.emissions": "refused"}, {"approvals.emissions": "granted"},
    ),
}


@cache
def judged(case: str):
    return judge(load_build(CASES / case / "build.yaml"), load_catalogue(), samples=0)


def told(case, changes):
    """The case's own judgement with the warnings of the build as changed: these hang on the description alone."""
    build = load_build(CASES / case / "build.yaml")
    changed = edited(build, [{"set": path, "to": value} for path, value in changes.items()], idle=True)
    return replace(judged(case), notices=notices_for(filled(changed), judged(case).findings))


def in_words(tree) -> str:
    return " ".join(report(tree, width=100).replace("\n  ", " ").split())


@pytest.mark.parametrize("name", SUBJECTS)
def test_a_notice_is_told_with_its_subject_and_not_without(name):
    case, there, away = SUBJECTS[name]
    say, brief = ENTRIES[name]["say"], ENTRIES[name]["brief"]
    judgement, other = told(case, there), told(case, away)
    assert say in judgement.notices and say not in other.notices
    assert brief in in_words(verdict_tree(judgement, "metric", full=False))
    assert brief not in in_words(verdict_tree(other, "metric", full=False))
    assert say in in_words(verdict_tree(judgement, "metric", full=True))
    assert say in jsonform.check(judgement)["notices"]
    assert brief in " ".join(str(node) for node in boost.footing(judgement, 0))  # ladder and ceiling


def test_hot_parts_and_findings_have_theirs_too():
    turbo = judged("small-turbo-1800")
    natural = notices_for(filled(load_build(CASES / "factory-na-1800" / "build.yaml")))
    assert ENTRIES["hot"]["say"] in turbo.notices and ENTRIES["hot"]["say"] not in natural
    assert turbo.verdict.grade == "reinforce"
    assert ENTRIES["no-start"]["say"] in turbo.notices and ENTRIES["signature"]["say"] in turbo.notices


def test_every_notice_but_the_first_has_its_few_words_and_a_subject_here():
    assert set(ENTRIES) == {"tool", *SUBJECTS, "hot", "no-start", "signature"}
    for name, entry in ENTRIES.items():
        assert ("brief" in entry) is (name != "tool")
        if "brief" in entry:
            assert len(entry["brief"]) < len(entry["say"])


def test_in_short_the_first_stands_in_full_and_none_is_lost():
    says = tuple(entry["say"] for entry in ENTRIES.values())
    (notice,) = short_warnings(says)
    assert says[0] in notice.text
    assert all(brief in notice.text for brief in in_brief(says))
    assert short_warnings(()) == []


@pytest.mark.slow
@pytest.mark.parametrize(
    "command",
    [
        "check {} --samples 0", "why {} crank.power", "ladder {} --samples 0", "ceiling {} --samples 0",
        "plan {} --samples 0 --quiet", "compare {} {other} --samples 0", "measure {} --samples 32",
        *(f"report {{}} --for {reader} --format text" for reader in
          ("customer", "enthusiast", "calibrator", "builder", "shop")),
    ],
)
def test_every_command_warns_of_ethanol_and_defers(command, capsys):
    build = CASES / "ethanol-2400" / "build.yaml"
    exit_code(command.format(build, other=CASES / "small-turbo-1800" / "build.yaml").split())
    out = " ".join(capsys.readouterr().out.split())
    assert "Estimates for trained people" in out
    assert ENTRIES["ethanol"]["brief"] in out or ENTRIES["ethanol"]["say"] in out
