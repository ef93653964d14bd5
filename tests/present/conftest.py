"""Fixtures of the report tests."""

from __future__ import annotations

import pytest
from judged_by_hand import judged

from enginelimits.decisions.verdict import Judgement


@pytest.fixture
def judgement() -> Judgement:
    """A judged build made by hand."""
    return judged()
