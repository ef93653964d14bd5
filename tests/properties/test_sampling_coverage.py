"""Whether the ranges hold as many engines of their own kind as they say.

This tests the sampling alone: the engines are made up from the same classes that the ranges are drawn from, so that
nothing here says whether a class is right.  A range from the 5th to the 95th percentile is to hold nine in ten.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from enginelimits.assessment.collect import assess
from enginelimits.assessment.sample import normal_by_strata
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


@pytest.mark.parametrize(
    "case",
    ["small-turbo-1800", pytest.param("centrifugal-six-3000", marks=pytest.mark.slow),
     pytest.param("factory-na-1800", marks=pytest.mark.slow)],
)
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


def outcomes(assessment):
    """The draws of every printed quantity that is known in all of them, over ambients, draws and speeds."""
    found = {}
    for id_ in assessment.quantities:
        column = assessment.columns.get(id_)
        if column is None or np.ndim(column.si) != 3 or np.shape(column.si)[1] < 2:
            continue
        unknown = np.asarray(column.outside) | ~np.asarray(column.applicable, dtype=bool)
        known = np.where(unknown, np.nan, column.si)[:, 1:]
        if np.isfinite(known).all():
            found[id_] = known
    return found


def far(one, other):
    """How far an input at its draws takes an output from where it is, in that draw, with the input at its median."""
    return float(np.sqrt(((one - other) ** 2).mean()))


def thrice(path, seed=1, count=128):
    """Every output with an input at its median, as wide as its class, and twice as wide: the same draws of all else."""
    described = filled(load_build(CASES / "small-turbo-1800" / "build.yaml"))
    one = described.inputs[path]
    low, high = (0.95 * one.value if one.low is None else one.low), (1.05 * one.value if one.high is None else one.high)
    stated = replace(one, low=low, high=high, shape="split-normal")
    at_median = replace(stated, low=None, high=None, shape="point")
    twice = replace(stated, low=2 * low - one.value, high=2 * high - one.value)
    return tuple(
        outcomes(engines(replace(described, inputs={**described.inputs, path: given}), seed, count))
        for given in (at_median, stated, twice)
    )


@pytest.mark.parametrize(
    "path",
    [
        "class.burn.duration",
        "class.friction.constant",
        "forced_induction.intercooler.effectiveness",
        "class.turbine.drive_ratio",
    ],
)
def test_an_input_twice_as_wide_around_the_same_median_narrows_no_output_by_more_than_two_in_a_hundred(path):
    """Each draw against itself with the input at its median, all else the same.

    What an input adds to an output must not shrink as it widens.  The spread of the whole output is no measure of that:
    see the next test.
    """
    median, narrow, wide = thrice(path)
    added = {}
    for id_ in median.keys() & narrow.keys() & wide.keys():
        once, twice = far(narrow[id_], median[id_]), far(wide[id_], median[id_])
        # what moves by a millionth moves by where a solver stops
        if once > 1e-6 * np.abs(median[id_]).mean():
            added[id_] = twice / once
    assert len(added) > 30
    assert min(added.values()) >= 0.98, min(added, key=added.get)
    assert max(added.values()) > 1.5
    for id_ in OUTPUTS:
        assert wide[id_].std(axis=1).mean() >= 0.98 * narrow[id_].std(axis=1).mean(), id_


def test_the_spread_of_a_sum_can_narrow_as_one_part_widens_by_the_chance_of_the_draws_alone():
    """Why the whole spread does not tell: variance of a x + y = a^2 + 1 + 2 a r with r the draws' own correlation.

    With n draws r scatters by one over the root of n, so that a part with a small share of the whole, a = 0.02 of its
    spread here, doubles and takes something away whenever r < -1.5 a: for 32 draws in some 43 of a hundred batches.
    """
    draws, a, seeds = 32, 0.02, range(400)
    narrowed = 0
    for seed in seeds:
        x, y = (normal_by_strata(name, draws, seed) for name in ("x", "y"))
        narrowed += np.std(2 * a * x + y) < np.std(a * x + y)
        assert far(2 * a * x + y, y) == pytest.approx(2 * far(a * x + y, y))  # what it adds has doubled all the same
    expected = stats.norm.cdf(-1.5 * a * math.sqrt(draws))
    assert narrowed / len(seeds) == pytest.approx(expected, abs=3 * math.sqrt(expected * (1 - expected) / len(seeds)))


def test_a_law_that_steps_up_and_falls_narrows_as_its_input_widens():
    """No property of a law that does not rise or fall throughout, so that it is asked of the engine and not of any law.

    A step of one at the median less 0.2 of the input: variance 1/4 + c^2 - 2 c pdf(0) with c = 0.2 w, so 0.130 at w = 1
    and 0.091 at w = 2. Pressure that drives gas past the rings is of this kind, since exhaust counts where it chokes.
    """
    z = normal_by_strata("x", 4000, 1)
    found = [float(np.var(np.where(z > 0.0, 1.0, 0.0) - 0.2 * w * z)) for w in (1.0, 2.0)]
    assert found == pytest.approx([0.1304, 0.0908], abs=1e-3)
