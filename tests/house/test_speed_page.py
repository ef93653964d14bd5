"""The page of speed shows what the benchmarks left."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

ROOT = Path(__file__).parents[2]


def made():
    spec = importlib.util.spec_from_file_location("speed_page_tool", ROOT / "tools" / "speed_page.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


def test_it_is_fresh():
    tool = made()
    assert tool.PAGE.read_text("utf-8") == tool.page(), "run tools/speed_page.py"


def test_every_benchmark_of_the_page_left_its_figures_and_they_name_no_machine():
    tool = made()
    for name in ("cycle_kernel", "knock_limited_build", "whole_checks", "growth", "fleet"):
        assert tool.result(name), name
        text = (tool.RESULTS / f"{name}.json").read_text("utf-8")
        assert json.loads(text) and "/" not in text.replace("RK45", "").replace("m/s", "")
