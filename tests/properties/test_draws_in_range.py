"""Draws from the classes stay within the formulas that take them, tails included."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build

# With the rest of the cases in the long checks
EACH_TIME = ("small-turbo-1800", "ethanol-2400", "centrifugal-six-3000")
CASES = [
    pytest.param(path, id=path.parent.name, marks=[] if path.parent.name in EACH_TIME else pytest.mark.slow)
    for path in sorted((Path(__file__).parents[2] / "cases").glob("*/build.yaml"))
]


@pytest.mark.parametrize("path", CASES)
def test_no_draw_of_a_class_leaves_a_formula(path: Path) -> None:
    assessed = assess(filled(load_build(path)), samples=200)
    left = {reason for column in assessed.columns.values() if np.any(column.outside) for reason in column.reasons}
    assert not {reason for reason in left if reason.startswith(("class.", "knock.", "cylinder.", "fuel."))}
