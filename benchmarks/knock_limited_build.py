"""A build of 20 speeds at its knock limit, alone and among a hundred, by arrays and compiled, as ratios within one run.

    python benchmarks/knock_limited_build.py [-o FILE.json]

Of each speed best-torque and knock-limited timing are found, and the cycle there with its pressure over the crank.
Cylinders are the invented ones of the tests.  All take turns, several times over.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "tests" / "physics" / "cycle")]

from ordinary_cylinders import CYLINDERS, ordinary  # noqa: E402

from enginelimits.physics.cycle.closed import COMPILED  # noqa: E402
from enginelimits.physics.cycle.cylinder import cylinder_cycle  # noqa: E402
from enginelimits.physics.cycle.timing import timing_response  # noqa: E402

SPEEDS, MANY, ROUNDS = 20, 100, 5
OCTANE, FRICTION = 96.0, 0.005
TURBO = list(CYLINDERS).index("two litres, turbo")


def at_knock_limit(builds: int, use_compiled: bool) -> Callable[[], Any]:
    """Builds that differ in charge and temperature by a few per cent."""
    stream = np.random.default_rng(1)
    given: dict[str, Any] = {
        name: float(np.broadcast_to(value, (len(CYLINDERS), 1))[TURBO, 0]) for name, value in ordinary().items()
    }
    given["speed_rad_s"] = np.linspace(1500.0, 7000.0, SPEEDS) * np.pi / 30.0
    for name in ("trapped_mass_kg", "closing_temperature_k"):
        given[name] = given[name] * (1.0 + 0.03 * stream.uniform(-1.0, 1.0, (builds, 1)))

    def work() -> Any:
        token = COMPILED.set(use_compiled)
        try:
            found = timing_response(**given, octane_available=OCTANE, friction_peak_share=FRICTION)
            angle = np.maximum(found.best_half_burned_rad, found.knock_limited_half_burned_rad)
            return cylinder_cycle(**given, half_burned_angle_rad=angle)
        finally:
            COMPILED.reset(token)

    return work


def seconds(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def spread_of(values: list[float]) -> dict[str, float]:
    return {"median": round(statistics.median(values), 4), "least": round(min(values), 4),
            "greatest": round(max(values), 4)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("-o", "--output", type=Path)
    output = parser.parse_args().output
    ways = [("arrays", False), *((("compiled", True),) if find_spec("numba") else ())]
    found = {
        f"{name}, {'one build' if builds == 1 else f'{builds} builds'} a call": (at_knock_limit(builds, use), builds)
        for name, use in ways for builds in (1, MANY)
    }
    for work, _ in found.values():
        work()
    rounds = [{name: seconds(work) / builds for name, (work, builds) in found.items()} for _ in range(ROUNDS)]
    against = list(found)[-1]
    figures = {name: {"times of " + against: spread_of([r[name] / r[against] for r in rounds]),
                      "milliseconds here": spread_of([1e3 * r[name] for r in rounds])} for name in found}
    text = json.dumps({"speeds": SPEEDS, "rounds": ROUNDS, "a build": figures}, indent=2) + "\n"
    if output:
        output.write_text(text)
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
