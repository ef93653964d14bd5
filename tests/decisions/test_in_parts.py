"""A batch judged a part at a time says what the whole batch says."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from enginelimits.assessment.collect import Extremes, assess, ends_of
from enginelimits.assessment.sample import PART, Part, Stretch, normal_by_strata, placed_by_strata, placed_together
from enginelimits.decisions import in_parts
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.in_parts import Judged, judged_in_parts
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.grades import REINFORCE

DRAWS = 40


@pytest.fixture(scope="module")
def both() -> tuple[Judged, Judged]:
    described = filled(load_build("cases/ethanol-2400/build.yaml"))
    catalogue = load_catalogue()
    speeds = np.array([209.0, 419.0, 628.0, 733.0])

    def judged(draws: int) -> Judged:
        found = assess(described, samples=draws, seed=3, speeds=speeds)
        return Judged(found, evaluate(catalogue, AssessmentGround(found), engine="plain", limit_seed=3))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(in_parts, "PARTS_A_STRETCH", 2)  # so that the third part has another stretch of the draws
        return judged(DRAWS), judged_in_parts(DRAWS, judged, most=16)


def test_the_draws_of_a_part_are_those_it_has_in_the_whole() -> None:
    makers: tuple[Any, ...] = (
        placed_by_strata, normal_by_strata,
        lambda path, samples, seed: placed_together(path, (("x", 0.6), ("y", 0.8)), samples, seed),
    )
    for made in makers:
        whole = made("a", 50, 1)
        shared = Stretch(15, 35, {})
        parts = Part(50, 20), Part(50, 15, shared), Part(50, 25, shared), Part(50, 35, Stretch(35, 55, {}))
        for part, first, count in zip(parts, (20, 15, 25, 35), (10, 10, 10, 15), strict=True):
            token = PART.set(part)
            try:
                assert np.array_equal(made("a", count, 1), whole[first : first + count])
            finally:
                PART.reset(token)
        assert {drawn.size for drawn in shared.held.values()} == {20}  # never the whole batch


def test_every_rule_has_the_same_grade_in_every_draw(both: tuple[Judged, Judged]) -> None:
    whole, parts = both
    assert whole.evaluation.outcomes.keys() == parts.evaluation.outcomes.keys()
    for id_, outcome in whole.evaluation.outcomes.items():
        other = parts.evaluation.outcomes[id_]
        assert outcome.grade.shape == (2, 1 + DRAWS)
        for name in ("grade", "could_be", "applies", "judged"):
            assert np.array_equal(getattr(outcome, name), getattr(other, name)), (id_, name)
        assert (outcome.missing, outcome.outside) == (other.missing, other.outside)


def test_the_typical_build_has_the_same_witness_and_a_late_draw_the_limit_that_decides_it(
    both: tuple[Judged, Judged],
) -> None:
    whole, parts = both
    late = 0
    for id_, outcome in whole.evaluation.outcomes.items():
        other = parts.evaluation.outcomes[id_]
        for grade in range(1, 5):
            assert str(other.witness(grade).causes) == str(outcome.witness(grade).causes)  # nan is nan
        rows = np.flatnonzero((outcome.grade >= REINFORCE).any(axis=0))
        if rows.size and rows[0] > 16:
            late += 1
            names = [[c.name for c in of.witness(REINFORCE, int(rows[0])).causes] for of in (outcome, other)]
            assert names[0] == names[1]
    assert late > 0  # else nothing was tried


@pytest.mark.parametrize(("draws", "unknown"), [(1, 0), (40, 0), (1000, 0), (1000, 300), (1000, 999), (30, 30)])
def test_ends_are_those_that_numpy_reads_off_all_known_draws(draws: int, unknown: int) -> None:
    rng = np.random.default_rng(draws + unknown)
    values = rng.normal(size=draws)
    values[rng.permutation(draws)[:unknown]] = np.nan
    extremes = Extremes(draws, 1)
    for begin in range(0, draws, 64):
        extremes.add(values[begin : begin + 64, None])
    wanted = (None, None) if unknown == draws else tuple(np.nanquantile(values, (0.05, 0.95)))
    assert ends_of(extremes) == wanted
    assert extremes.low.size <= max(0.05 * draws + 2, 2)


def test_ranges_are_those_of_all_draws(both: tuple[Judged, Judged]) -> None:
    whole, parts = both
    assert whole.assessment.samples_valid == parts.assessment.samples_valid
    for id_, result in whole.assessment.quantities.items():
        other = parts.assessment.quantities[id_]
        assert (other.value, other.at, other.status) == (result.value, result.at, result.status), id_
        for end in ("low", "high"):
            mine, theirs = getattr(result, end), getattr(other, end)
            assert theirs == (None if mine is None else pytest.approx(mine, rel=1e-12)), id_
    for id_, curve in whole.assessment.curves.items():
        for end in ("low", "high"):
            mine, theirs = getattr(curve, end), getattr(parts.assessment.curves[id_], end)
            assert [x is None for x in mine] == [x is None for x in theirs], id_
            known = [(x, y) for x, y in zip(mine, theirs, strict=True) if x is not None]
            assert [y for _, y in known] == pytest.approx([x for x, _ in known], rel=1e-12), id_
