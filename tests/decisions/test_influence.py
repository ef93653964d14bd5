"""The order in which assumptions are told: what moves the gravest findings comes first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from enginelimits.assessment.columns import Column
from enginelimits.assessment.results import Assessment, At
from enginelimits.decisions.influence import nearest_numbers, weightiest, weightiest_beneath
from enginelimits.decisions.verdict import Because
from enginelimits.description.filled import Filled, Input

DRAWS = 64
SPEEDS = (200.0, 400.0)


@dataclass
class Said:
    """As much of a finding and of a judgement as the order needs."""

    grade: str
    because: tuple[Because, ...]


@dataclass
class Judged:
    filled: Filled
    assessment: Assessment
    findings: tuple[Said, ...]


def judged(samples: int, strong: float = 3.0) -> Any:
    """A quantity made of ``strong`` times one draw and a tenth of another, seen at the second speed alone."""
    generator = np.random.default_rng(20)
    draws = {name: generator.normal(1.0, 0.1, (1, 1 + DRAWS, 1)) for name in ("a.strong", "a.weak", "a.idle")}
    value = np.concatenate([draws["a.idle"], strong * draws["a.strong"] + 0.1 * draws["a.weak"]], axis=2)
    inputs = {
        "a.strong": Input("a.strong", 1.0, "1", 0.9, 1.1, "split-normal"),
        "a.weak": Input("a.weak", 1.0, "1", 0.7, 1.3, "split-normal"),
        "a.idle": Input("a.idle", 1.0, "1", 0.1, 1.9, "split-normal"),
        "a.told": Input("a.told", 1.0, "1", 0.1, 1.9, "split-normal", "documented"),
        "a.word": Input("a.word", "a class"),
    }
    columns = {name: Column(si) for name, si in draws.items()}
    columns["a.word"] = Column("a class")
    columns["q.made"] = Column(value, rests=frozenset(inputs) - {"a.idle"})
    filled = Filled(None, inputs)  # type: ignore[arg-type]
    assessment = Assessment(filled, SPEEDS, ("site",), samples, samples, 1, columns, {}, {})
    because = Because("quantity", "q.made", 3.1, "1", At(SPEEDS[1], "site"), None)
    return Judged(filled, assessment, (Said("caution", (because,)),))


def order(made: Any) -> list[str]:
    return [given.path for given in weightiest(made)]


def test_with_draws_the_one_that_moves_the_quantity_leads() -> None:
    assert order(judged(DRAWS))[0] == "a.strong"


def test_what_does_not_lie_beneath_a_finding_comes_last_however_wide() -> None:
    assert order(judged(DRAWS))[-1] == "a.idle"


def test_the_link_may_be_of_either_sign() -> None:
    assert order(judged(DRAWS, strong=-3.0))[0] == "a.strong"


@pytest.mark.parametrize("samples", [0, 15])
def test_without_enough_draws_the_wider_leads(samples: int) -> None:
    # By hand: the weak one spans 0.6 of its value, the strong one 0.2, a word counts 0.2; the idle one spans
    # 1.8 and lies under no finding.
    assert order(judged(samples)) == ["a.weak", "a.strong", "a.word", "a.idle"]


def test_what_is_stated_is_not_assumed() -> None:
    assert "a.told" not in order(judged(DRAWS))


def test_one_comparison_hangs_on_what_moves_it_beyond_chance() -> None:
    made = judged(DRAWS)
    (because,) = made.findings[0].because
    # The weak one adds a thousandth of the variance, far under what 64 draws can tell; the idle one nothing at all.
    assert [given.path for given in weightiest_beneath(made, because)] == ["a.strong"]


def test_without_draws_the_inputs_of_the_own_formula_come_first() -> None:
    made = judged(0)
    columns = made.assessment.columns
    columns["q.made"] = columns["q.made"]._replace(takes={"one": "a.strong", "two": "q.below"})
    columns["q.below"] = Column(None, takes={"three": "a.weak"})
    (because,) = made.findings[0].because
    assert [given.path for given in weightiest_beneath(made, because)][:2] == ["a.strong", "a.weak"]


def test_a_number_of_the_part_itself_has_its_name_and_stands_in_its_formula() -> None:
    made = judged(0)
    paths = ("driveline.clutch_capacity", "driveline.class", "engine.pin_offset", "class.clutch.wear",
             "internals.clutch.far")
    made.filled.inputs.update({path: Input(path, 250.0, "N*m", 225.0, 275.0, "split-normal") for path in paths})
    stated = Input("driveline.clutch_age", 1.0, "1", 0.5, 2.0, "uniform", "measured")
    made.filled.inputs[stated.path] = stated
    columns = made.assessment.columns
    near = {str(place): path for place, path in enumerate((*paths[:4], "driveline.clutch_age", "q.torque"))}
    columns["clutch.reserve"] = Column(None, rests=frozenset((*paths, "driveline.clutch_age")), takes=near)
    columns["q.torque"] = Column(None, takes={"one": "q.mean"})
    columns["q.mean"] = Column(None, takes={"one": "internals.clutch.far"})
    because = Because("quantity", "clutch.reserve", 1.0, "1", At(SPEEDS[1], "site"), None)
    assert [given.path for given in nearest_numbers(made, because)] == ["driveline.clutch_capacity"]
