"""Results to the last digits, on any numpy, as they were kept."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SPEC = importlib.util.spec_from_file_location("float_results_tool", ROOT / "tools" / "float_results.py")
assert SPEC is not None and SPEC.loader is not None
tool = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(tool)


def test_results_are_those_kept_within_the_tolerance_whatever_the_numpy():
    """A change of the model is meant to change them: `tools/float_results.py --write` keeps them anew.

    What is kept was computed here, so that this says nothing of whether it is right: it says that an upgrade of numpy,
    another machine or a faster path moves nothing that anybody could see.
    """
    kept = json.loads(tool.KEPT.read_text("utf-8"))
    assert kept["tolerance"] == tool.TOLERANCE
    worst = tool.differences(tool.computed(), tool.as_numbers(kept["results"]))
    beyond = {id_: one for id_, one in worst.items() if one[0] > tool.TOLERANCE}
    assert not beyond, f"kept with numpy {kept['numpy']}; the model changed? tools/float_results.py --write"
    assert len(worst) == len(tool.IDS)


def test_a_difference_beyond_the_tolerance_or_a_gap_is_seen():
    kept = {"a case": {"crank.power": [100.0, None, -50.0]}}
    assert tool.differences({"a case": {"crank.power": [100.0, None, -50.0]}}, kept)["crank.power"][0] == 0.0
    assert tool.differences({"a case": {"crank.power": [100.0, None, -49.99]}}, kept)["crank.power"][0] == (
        pytest.approx(1e-4))  # fmt: skip
    with pytest.raises(ValueError, match="known in one"):
        tool.differences({"a case": {"crank.power": [100.0, 1.0, -50.0]}}, kept)
    assert tool.as_numbers(tool.as_text(kept)) == kept
