"""A build judged under changes gives what judging the changed build gives."""

from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.decisions.bench import bench_of
from enginelimits.decisions.judge import judge
from enginelimits.description.edits import edited
from enginelimits.description.load import load_build
from enginelimits.errors import InputError

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
LESS = ({"cap": "forced_induction.boost", "to": "5 psi"},)


@pytest.fixture(scope="module")
def bench():
    return bench_of(CASE, samples=8)


def test_a_change_on_the_bench_is_the_changed_build(bench):
    alone = judge(edited(load_build(CASE), LESS), bench.catalogue, samples=8)
    there = bench.judged(LESS)
    told, wanted = ([(f.rule, f.grade, f.chance) for f in of.findings] for of in (there, alone))
    assert told == wanted
    assert there.assessment.quantities["crank.power"] == alone.assessment.quantities["crank.power"]


def test_asking_twice_costs_nothing(bench):
    assert bench.judged(LESS) is bench.judged(list(LESS))
    assert bench.judged(LESS, samples=0) is not bench.judged(LESS)


def test_an_edit_that_changes_nothing_is_refused(bench):
    with pytest.raises(InputError):
        bench.judged([{"set": "engine.cylinders", "to": 4}])
