"""Whether the ranges hold as many engines of their own kind as they say.

This tests the sampling alone: the engines are made up from the same classes that the ranges are drawn from, so that
nothing here says whether a class is right.  A range from the 5th to the 95th percentile is to hold nine in ten.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build

CASES = Path(__file__).parents[2] / "cases"
RPM = 2 * math.pi / 60
SPEEDS = np.array([4000.0, 6500.0]) * RPM
DRAWS, ENGINES = 256, 256
# Told for the site at the power peak, so that the column's cell there is what the range is of.
OUTPUTS = ("crank.power", "air.mass_flow", "brake.specific_fuel_consumption")


def engines(described, seed, count):
    return assess(described, samples=count, seed=seed, speeds=SPEEDS)


def rows(assessment, id_, at):
    column = assessment.columns[id_].si
    return column[0, 1:, int(np.argmin(np.abs(np.array(assessment.speeds) - at)))]


@pytest.mark.parametrize("case", ["small-turbo-1800", "centrifugal-six-3000", "factory-na-1800"])
def test_ranges_hold_nine_in_ten_engines_drawn_anew(case):
    described = filled(load_build(CASES / case / "build.yaml"))
    told, others = engines(described, 1, DRAWS), engines(described, 2, ENGINES)
    # Binomial: 0.9 * 0.1 over the engines, and the two ends of the range are themselves known to 0.05 * 0.95 over the
    # draws each. Three standard errors of the sum are 8 in 100.
    error = math.sqrt(0.9 * 0.1 / ENGINES + 2 * 0.05 * 0.95 / DRAWS)
    for id_ in OUTPUTS:
        result = told.quantities[id_]
        found = rows(others, id_, result.at.engine_speed)
        held = float(((found >= result.low) & (found <= result.high)).mean())
        assert held == pytest.approx(0.90, abs=3 * error), id_


def test_engines_drawn_anew_are_others():
    described = filled(load_build(CASES / "small-turbo-1800" / "build.yaml"))
    one, other = (rows(engines(described, seed, 32), "crank.power", SPEEDS[1]) for seed in (1, 2))
    assert not np.isclose(one, other, rtol=1e-9).any()
    # in no order that goes with the other's
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.6
