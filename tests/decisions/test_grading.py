"""How draws become a grade: the tenth that counts, the caps, the words.

The rules of grading are the project's own; numbers here are counted by hand.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from enginelimits.decisions.grading import capped, chance_word, graded
from enginelimits.rules.grades import CAUTION, CLEAR, DECLINE, NOTE, REINFORCE


def outcome(row0, draws, judged=None):
    grade = np.array([[row0, *draws]], dtype=np.int8)
    judged = np.ones_like(grade, dtype=bool) if judged is None else np.array([judged])
    return SimpleNamespace(grade=grade, judged=judged, applies=np.ones_like(grade))


def test_one_draw_in_ten_counts_and_one_in_twenty_does_not():
    assert graded(outcome(CLEAR, [NOTE] * 2 + [CLEAR] * 18)).uncapped == NOTE
    assert graded(outcome(CLEAR, [NOTE] * 1 + [CLEAR] * 19)).uncapped == CLEAR


def test_a_tail_goes_no_further_than_caution():
    found = graded(outcome(CLEAR, [DECLINE] * 5 + [CLEAR] * 15))
    assert found.uncapped == CAUTION
    assert found.chance(REINFORCE) == pytest.approx(0.25)


def test_the_typical_build_is_never_made_milder_by_its_draws():
    assert graded(outcome(REINFORCE, [CLEAR] * 20)).uncapped == REINFORCE


def test_shares_add_up_and_are_per_grade():
    found = graded(outcome(NOTE, [CLEAR] * 10 + [NOTE] * 5 + [CAUTION] * 3 + [DECLINE] * 2))
    assert found.chances() == pytest.approx(
        {"clear": 0.5, "note": 0.25, "caution": 0.15, "reinforce": 0.0, "decline": 0.1}
    )
    assert found.chance(CAUTION) == pytest.approx(0.25)


def test_draws_that_could_not_be_judged_are_left_out():
    found = graded(outcome(CLEAR, [NOTE, CLEAR, CLEAR, CLEAR], judged=[True, True, True, False, False]))
    assert found.judged == 2 and found.chance(NOTE) == pytest.approx(0.5)


def test_the_worse_ambient_governs_each_draw():
    both = outcome(CLEAR, [CLEAR] * 10)
    both.grade = np.concatenate([both.grade, both.grade])
    both.grade[1, 3:6] = CAUTION
    both.judged = np.ones_like(both.grade, dtype=bool)
    both.applies = np.ones_like(both.grade)
    assert graded(both).uncapped == CAUTION


def test_an_ambient_that_a_rule_does_not_speak_of_leaves_no_draw_out():
    """On a mountain, say, the boost never comes that the rule is about."""
    both = outcome(CLEAR, [CLEAR] * 8 + [CAUTION] * 2 + [CLEAR] * 2)
    both.grade = np.concatenate([both.grade, np.zeros_like(both.grade)])
    both.judged = np.ones_like(both.grade, dtype=bool)
    both.applies = np.stack([np.ones(13), np.zeros(13)])
    # the last two draws: one that it speaks of nowhere, one that could not be judged where it would
    both.applies[0, 11] = 0
    both.applies[1, 12], both.judged[1, 12] = -1, False
    found = graded(both)
    assert found.judged == 10 and found.chance(CAUTION) == pytest.approx(0.2) and found.uncapped == CAUTION


def test_without_draws_there_is_no_chance():
    found = graded(outcome(CAUTION, []))
    assert found.chance(CAUTION) is None and found.chances() == {} and not found.borderline(CAUTION)


def test_near_one_in_ten_is_borderline():
    # Two standard errors at 100 draws: 2 * sqrt(0.1 * 0.9 / 100) = 0.06.
    assert graded(outcome(CLEAR, [NOTE] * 12 + [CLEAR] * 88)).borderline(NOTE)
    assert not graded(outcome(CLEAR, [NOTE] * 30 + [CLEAR] * 70)).borderline(NOTE)


@pytest.mark.parametrize(
    ("grade", "low", "seconded", "bound", "then"),
    [
        (DECLINE, False, False, False, DECLINE),
        (DECLINE, True, False, False, CAUTION),
        (DECLINE, True, True, False, REINFORCE),
        (NOTE, True, False, False, NOTE),
        (DECLINE, False, False, True, NOTE),
        (DECLINE, True, True, True, NOTE),
    ],
)
def test_caps(grade, low, seconded, bound, then):
    assert capped(grade, low_confidence=low, seconded=seconded, bound=bound) == then


@pytest.mark.parametrize(
    ("chance", "word"), [(0.0, "unlikely"), (0.0999, "unlikely"), (0.1, "possible"), (0.32, "possible"),
                         (0.34, "even"), (0.66, "even"), (0.68, "likely"), (1.0, "likely"), (None, "")]
)
def test_chance_words(chance, word):
    assert chance_word(chance) == word
