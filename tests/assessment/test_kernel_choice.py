"""When the compiled cycle is taken up: where the work is long enough to repay its start, by one look for all of it."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pytest

from enginelimits.assessment import kernel
from enginelimits.assessment.kernel import REPAYS_FROM, assessed_often, compiled_for
from enginelimits.decisions.bench import bench_of
from enginelimits.decisions.ladder import ladder
from enginelimits.errors import InputError

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(autouse=True)
def _by_itself(monkeypatch):
    monkeypatch.delenv("ENGINELIMITS_FAST", raising=False)


@pytest.mark.skipif(find_spec("numba") is None, reason="the choice needs numba")
def test_long_work_is_compiled_and_short_work_is_not():
    assert compiled_for(REPAYS_FROM) and not compiled_for(REPAYS_FROM - 1)
    few = REPAYS_FROM // 10
    assert not compiled_for(few)
    with assessed_often(10):
        assert compiled_for(few)
    assert not compiled_for(few)


def test_without_numba_it_is_arrays_and_asking_says_what_to_install(monkeypatch):
    monkeypatch.setattr(kernel, "find_spec", lambda name: None)
    assert not compiled_for(REPAYS_FROM)
    monkeypatch.setenv("ENGINELIMITS_FAST", "on")
    with pytest.raises(InputError, match="engine-limits\\[fast\\]"):
        compiled_for(1)


def test_a_wish_that_is_none_is_named(monkeypatch):
    monkeypatch.setenv("ENGINELIMITS_FAST", "perhaps")
    with pytest.raises(InputError, match="auto or on or off"):
        compiled_for(1)


def test_a_ladder_counts_its_judgements_together(monkeypatch):
    counted = []

    def told(lanes):
        counted.append(kernel._ASSESSMENTS.get())
        return False

    monkeypatch.setattr(kernel, "compiled_for", told)
    bench = bench_of(CASES / "small-turbo-1800" / "build.yaml", samples=0)
    assert counted and set(counted) == {1}
    counted.clear()
    ladder(bench, steps=2)
    assert set(counted) == {10}
