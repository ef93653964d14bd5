"""Calls from Python that no command lets through are refused in the words that its options use."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.load_point import load_points
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.ceiling import ceiling
from enginelimits.decisions.compare import compare
from enginelimits.decisions.fleet.setting import setting_of
from enginelimits.decisions.judge import judge
from enginelimits.decisions.ladder import ladder
from enginelimits.decisions.plan import plan
from enginelimits.decisions.reading import restated
from enginelimits.decisions.settling import settled
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.errors import InputError
from enginelimits.rules.catalogue import load_catalogue

BUILD = load_build(Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml")
POWER = {"goal.power": "200 hp", "goal.at": "crank"}


@pytest.fixture(scope="module")
def bench():
    return Bench(BUILD, load_catalogue(), samples=0)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda b: ladder(b, steps=1), "--steps: wanted at least 2 steps, from none to the top, got 1"),
        (lambda b: ladder(b, steps=0), "--steps: wanted at least 2 steps"),
        (lambda b: ladder(b, top_pa=0.0), "--top: wanted a boost above zero"),
        (lambda b: ladder(b, grade="grave"), "--grade: wanted note, caution, reinforce or decline, got `grave`"),
        (lambda b: ceiling(b, grade="clear"), "--grade: wanted note"),
        (lambda b: ceiling(b, confidence=0.0), "--confidence: wanted a confidence between nil and one"),
        (lambda b: ceiling(b, confidence=90.0), "--confidence: wanted .*, got 90"),
        (lambda b: ceiling(b, confidence=float("nan")), "--confidence: wanted .*, got nan"),
        (lambda b: plan(b, grade="grave"), "--grade: wanted note"),
        (lambda b: plan(b, budget=0), "--budget: wanted a budget of at least one judgement, got 0"),
        (lambda b: compare([]), "BUILD: wanted two builds or more, got 0"),
        (lambda b: compare([b]), "BUILD: wanted two builds or more, got 1"),
        (lambda b: settled(b, fewest=0), "fewest: wanted at least one draw"),
        (lambda b: b.judged(samples=-1), "--samples: wanted a number of draws, or 0 for none, got -1"),
        (lambda b: Bench(BUILD, b.catalogue, samples=-1), "--samples: wanted a number of draws"),
        (lambda b: judge(BUILD, b.catalogue, samples=-5), "--samples: wanted a number of draws"),
        (lambda b: setting_of(samples=-1), "--samples: wanted a number of draws"),
        (lambda b: restated(POWER, samples=-1), "--samples: wanted a number of draws"),
        (lambda b: assess(filled(BUILD), samples=-1), "--samples: wanted a number of draws"),
        (lambda b: assess(filled(BUILD), speeds=np.array([])), "speeds: wanted at least one engine speed, got none"),
        (lambda b: assess(filled(BUILD), chunk=0), "chunk: wanted at least one row a pass, got 0"),
        (lambda b: load_points(filled(BUILD), [], []), "loads_pa: wanted .*, got no points"),
        (lambda b: load_points(filled(BUILD), [300.0], [0.0]), "loads_pa: wanted .*, got 0 Pa"),
    ],
)
def test_what_cannot_be_asked_is_refused(bench, call, told):
    with pytest.raises(InputError, match=told):
        call(bench)
