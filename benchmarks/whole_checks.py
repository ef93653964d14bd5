"""How long whole checks take, as ratios within one run: the machine's own pace divides out.

    python benchmarks/whole_checks.py

Each figure is the median of several runs of the step over the median of a plain loop of a million additions, run in
turn with it, so that a slow or busy machine slows both.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from enginelimits.assessment.collect import assess
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.judge import judge
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.evaluate import evaluate

RUNS = 7
CASE = Path(__file__).parent.parent / "cases" / "small-turbo-1800" / "build.yaml"


def plain_loop() -> None:
    total = 0
    for n in range(1_000_000):
        total += n


def seconds(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def ratio(work: Callable[[], Any]) -> dict[str, float]:
    """Median, least and greatest of the step's time over the loop's, pair by pair."""
    work()
    pairs = [seconds(work) / seconds(plain_loop) for _ in range(RUNS)]
    return {"median": statistics.median(pairs), "least": min(pairs), "greatest": max(pairs)}


def main() -> None:
    build, catalogue = load_build(CASE), load_catalogue()
    described = filled(build)
    ground = AssessmentGround(assess(described, samples=64))
    figures = {
        "load a build": ratio(lambda: load_build(CASE)),
        "fill it": ratio(lambda: filled(build)),
        "load the catalogue": ratio(load_catalogue),
        "assess, no draws": ratio(lambda: assess(described, samples=0)),
        "assess, 64 draws": ratio(lambda: assess(described, samples=64)),
        "evaluate the rules, 64 draws": ratio(lambda: evaluate(catalogue, ground)),
        "judge, 64 draws": ratio(lambda: judge(build, catalogue, samples=64)),
    }
    sys.stdout.write(json.dumps(figures, indent=2) + "\n")


if __name__ == "__main__":
    main()
