"""Draws from the classes stay within the formulas that take them, tails included."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*/build.yaml"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.parent.name)
def test_no_draw_of_a_class_leaves_a_formula(path: Path) -> None:
    assessed = assess(filled(load_build(path)), samples=200)
    left = {reason for column in assessed.columns.values() if np.any(column.outside) for reason in column.reasons}
    assert not {reason for reason in left if reason.startswith(("class.", "knock.", "cylinder.", "fuel."))}
