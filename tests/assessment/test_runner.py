"""The runner: order, gaps, range breaches and alternatives travel along the graph."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.assessment import runner
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.vocabulary import QuantityKind
from enginelimits.errors import SolveError
from enginelimits.physics.numerics.validity import valid


@pytest.fixture(autouse=True)
def words(monkeypatch):
    names = ("one", "two", "three", "trace")
    kinds = {n: QuantityKind(n, "1", "high", n, crank=n == "trace") for n in names}
    monkeypatch.setattr(runner, "QUANTITIES", kinds)


@valid(a=(0.0, 10.0))
def double(a):
    return 2 * a


def total(x, y):
    return x + y


DOUBLE = Step(("one",), double, {"a": "in.a"})
TOTAL = Step(("two",), total, {"x": "one", "y": "in.b"})


def columns(a=3.0, b=4.0):
    shape = (1, 1, 1)
    return {"in.a": Column(np.full(shape, a), rests=frozenset({"in.a"})),
            "in.b": Column(np.full(shape, b), rests=frozenset({"in.b"}))}


def test_steps_are_ordered_by_what_they_take():
    assert runner.ordered([TOTAL, DOUBLE]) == [DOUBLE, TOTAL]


def test_a_result_rests_on_all_inputs_beneath_it():
    done = runner.run([DOUBLE, TOTAL], columns())
    assert done["two"].si.item() == 10
    assert done["two"].rests == {"in.a", "in.b"}


def test_a_missing_input_is_carried_to_everything_above():
    have = columns()
    have["in.a"] = Column(None, frozenset({"in.a"}))
    done = runner.run([DOUBLE, TOTAL], have)
    assert done["one"].si is None and done["two"].si is None
    assert done["two"].missing == {"in.a"}


def test_a_range_breach_marks_the_value_and_everything_above_only_where_it_is():
    have = columns()
    have["in.a"] = Column(np.array([[[3.0, 30.0]]]))
    done = runner.run([DOUBLE, TOTAL], have)
    assert done["one"].outside.tolist() == [[[False, True]]]
    assert done["two"].outside.tolist() == [[[False, True]]]
    assert any("in.a beyond 0 to 10" in r for r in done["two"].reasons)


def test_the_first_source_that_is_there_is_taken():
    step = Step(("three",), double, {"a": ("in.given", "one")})
    done = runner.run(runner.ordered([step, DOUBLE]), columns())
    assert done["three"].si.item() == 12
    assert done["three"].takes == {"a": "one"}
    have = columns() | {"in.given": Column(np.full((1, 1, 1), 1.0))}
    assert runner.run(runner.ordered([step, DOUBLE]), have)["three"].si.item() == 2


def test_a_step_is_chosen_by_the_text_inputs():
    step = DOUBLE._replace(when={"kind": ("turbocharger",)})
    assert runner.chosen([step], {"kind": "turbocharger"}) == [step]
    assert runner.chosen([step], {"kind": "none"}) == []


def test_what_is_no_number_counts_as_beyond_the_range():
    step = Step(("one",), lambda a: np.log(-a), {"a": "in.a"})
    done = runner.run([step], columns())
    assert done["one"].outside.all() and "no finite number" in min(done["one"].reasons)


def test_two_steps_for_one_id_and_circles_are_refused():
    with pytest.raises(SolveError, match="two steps give one"):
        runner.ordered([DOUBLE, DOUBLE])
    with pytest.raises(SolveError, match="circle"):
        runner.ordered([Step(("one",), double, {"a": "two"}), Step(("two",), double, {"a": "one"})])
