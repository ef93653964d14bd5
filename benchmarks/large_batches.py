"""A whole judgement by its number of draws, each in a process of its own: time, time a draw, and memory.

    python benchmarks/large_batches.py [-o FILE.json] [DRAWS ...]

Told as ratios to the least of the counts asked for, by the arrays and, where numba is installed, by the compiled cycle.
Seconds here stand beside them; they hang on the machine.  The growth is the exponent of time and memory over draws,
fitted through the counts above the least.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

CASE = Path(__file__).parent.parent / "cases" / "small-turbo-1800" / "build.yaml"
COUNTS = (64, 512, 2048, 10_000)
CHILD = """
import json, resource, sys, time
from enginelimits.decisions.check import check_build
check_build(sys.argv[1], samples=int(sys.argv[3]))  # what is made once, and the compiled cycle
began, busy = time.perf_counter(), time.process_time()
found = check_build(sys.argv[1], samples=int(sys.argv[2]))
print(json.dumps({"seconds": time.perf_counter() - began, "processor": time.process_time() - busy,
                  "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
                  "valid": found.samples_valid, "grade": found.verdict.grade}))
"""


def measured(draws: int, fast: str) -> dict[str, Any]:
    """One judgement in a new process on one thread; a small one goes before it."""
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    environment = {**os.environ, **threads, "ENGINELIMITS_FAST": fast}
    ran = subprocess.run([sys.executable, "-c", CHILD, str(CASE), str(draws), "4"], env=environment, check=True,
                         capture_output=True, text=True)
    found: dict[str, Any] = json.loads(ran.stdout)
    return found


def growth(counts: list[int], values: list[float]) -> float | None:
    """The exponent of values over counts, by least squares on logarithms; None of fewer than two."""
    if len(counts) < 2:
        return None
    x, y = [math.log(c) for c in counts], [math.log(v) for v in values]
    mx, my = sum(x) / len(x), sum(y) / len(y)
    slope = sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / sum((a - mx) ** 2 for a in x)
    return round(slope, 2)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("draws", nargs="*", type=int, default=list(COUNTS))
    parser.add_argument("-o", "--output", type=Path)
    asked = parser.parse_args()
    counts = sorted(asked.draws)
    figures: dict[str, Any] = {}
    for name, fast in (("arrays", "off"), *((("compiled", "on"),) if find_spec("numba") else ())):
        found = {draws: measured(draws, fast) for draws in counts}
        least = found[counts[0]]["processor"]
        beyond = counts[1:]
        figures[name] = {
            "by draws": {
                draws: {"times of the least": round(one["processor"] / least, 2),
                        **{key: round(value, 2) if isinstance(value, float) else value for key, value in one.items()}}
                for draws, one in found.items()
            },
            "growth of time": growth(beyond, [found[d]["processor"] for d in beyond]),
            "growth of memory": growth(beyond, [found[d]["megabytes"] for d in beyond]),
        }
    text = json.dumps(figures, indent=2) + "\n"
    if asked.output:
        asked.output.write_text(text)
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
