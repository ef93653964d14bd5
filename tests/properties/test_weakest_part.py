"""The part that a verdict names is the one whose strengthening moves it; strengthening another leaves it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from enginelimits.decisions.bench import bench_of
from enginelimits.errors import InputError
from enginelimits.rules.grades import severity

CASES = Path(__file__).parents[2] / "cases"
NAMES = ("small-turbo-1800", "ethanol-2400", "mapped-turbo-2400")
# A pin of tool steel and thick wall, which no verdict of these cases hangs on
OTHER = [{"set": "internals.pins.inner_diameter", "to": "10 mm"}]


@cache
def bench(name):
    return bench_of(CASES / name / "build.yaml", samples=0)


def grade_of(judgement, rule):
    return next((severity(f.grade) for f in judgement.findings if f.rule == rule), 0)


@pytest.mark.parametrize("name", NAMES)
def test_mending_what_limits_takes_it_from_the_top(name):
    before = bench(name).judged()
    limiting = before.verdict.limiting.rule
    finding = next(f for f in before.findings if f.rule == limiting)
    tried = []
    for remedy in finding.remedies:
        for step in reversed(remedy.steps):
            try:
                after = bench(name).judged(step)
            except InputError:
                continue
            tried.append(remedy.id)
            moved = after.verdict.grade != before.verdict.grade or after.verdict.limiting.rule != limiting
            if moved and grade_of(after, limiting) < severity(finding.grade):
                return
            break
    pytest.fail(f"{limiting}: none of {tried} moves it")


@pytest.mark.parametrize("name", NAMES)
def test_strengthening_what_does_not_limit_leaves_the_verdict(name):
    before = bench(name).judged()
    if any(f.rule in ("PST004", "PST012", "PST013") and f.grade != "note" for f in before.findings):
        pytest.skip("the pin speaks here")
    after = bench(name).judged(OTHER)
    assert after.verdict.grade == before.verdict.grade
    assert after.verdict.limiting == before.verdict.limiting
