"""How long whole checks take, as ratios within one run: the machine's own pace divides out.

    python benchmarks/whole_checks.py [-o FILE.json]

Each figure is the median of several runs of the step over a plain loop of a million additions, run in turn with it, so
that a slow or busy machine slows both.  Commands are whole processes, over one of Python's that imports numpy.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
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


def ratio(work: Callable[[], Any], over: Callable[[], Any] = plain_loop) -> dict[str, float]:
    """Median, least and greatest of the step's time over the other's, pair by pair, and seconds here."""
    work()
    pairs = [(seconds(work), seconds(over)) for _ in range(RUNS)]
    ratios = [ours / theirs for ours, theirs in pairs]
    return {"median": round(statistics.median(ratios), 3), "least": round(min(ratios), 3),
            "greatest": round(max(ratios), 3), "seconds here": round(statistics.median(ours for ours, _ in pairs), 3)}


def process(*arguments: str) -> Callable[[], Any]:
    """A new Python on one thread, its output thrown away."""
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    return lambda: subprocess.run([sys.executable, *arguments], env={**os.environ, **threads}, check=False,
                                  stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


COMMAND = "import sys; from enginelimits.cli.main import run; sys.argv[0] = 'enginelimits'; run()"
COMMANDS = {
    "--help": ("--help",),
    "check of a file that is not there": ("check", "none.yaml"),
    "check, no draws": ("check", str(CASE), "--samples", "0"),
    "check, 64 draws": ("check", str(CASE)),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("-o", "--output", type=Path)
    output = parser.parse_args().output
    build, catalogue = load_build(CASE), load_catalogue()
    described = filled(build)
    ground = AssessmentGround(assess(described, samples=64))
    steps = {
        "load a build": ratio(lambda: load_build(CASE)),
        "fill it": ratio(lambda: filled(build)),
        "load the catalogue": ratio(load_catalogue),
        "assess, no draws": ratio(lambda: assess(described, samples=0)),
        "assess, 64 draws": ratio(lambda: assess(described, samples=64)),
        "evaluate the rules, 64 draws": ratio(lambda: evaluate(catalogue, ground)),
        "judge, 64 draws": ratio(lambda: judge(build, catalogue, samples=64)),
    }
    bare = process("-c", "import numpy")
    commands = {name: ratio(process("-c", COMMAND, *arguments), bare) for name, arguments in COMMANDS.items()}
    figures = {"steps, over a loop of a million additions": steps, "commands, over Python with numpy": commands}
    text = json.dumps(figures, indent=2) + "\n"
    if output:
        output.write_text(text)
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
