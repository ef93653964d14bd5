"""Hostile files use what the tests of the record make by hand."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parents[1] / "measured"))
