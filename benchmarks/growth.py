"""How time and memory grow with draws, speeds and rules, as exponents fitted on logarithms.

    python benchmarks/growth.py [--far] [-o FILE.json]

Each count is taken in a process of its own, on one thread, after a small one that makes what is made once; times are
told as multiples of those of the least count in the same run.  ``--far`` goes to 100,000 draws, which takes some ten
minutes.  An exponent under 1 is what the calls of numpy cost whatever the size of the arrays.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from large_batches import growth as exponent

CASE = Path(__file__).parent.parent / "cases" / "small-turbo-1800" / "build.yaml"
DRAWS, FAR = (1, 10, 100, 1000, 10_000), 100_000
SPEEDS = (5, 10, 20, 50, 100, 200)
RULES = (10, 20, 50, 100, 200, 500, 1000, 2000)
TAKES = 3

BEGIN = """
import json, resource, sys, time
case, count, takes = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
def told(work, times):
    best = None
    for _ in range(times):
        began = time.process_time()
        work()
        took = time.process_time() - began
        best = took if best is None else min(best, took)
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"processor": best, "megabytes": megabytes}))
"""
OF_DRAWS = BEGIN + """
from enginelimits.decisions.check import check_build
check_build(case, samples=1)
told(lambda: check_build(case, samples=count), takes if count <= 100 else 1)
"""
OF_SPEEDS = BEGIN + """
import numpy as np
from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
described = filled(load_build(case))
low, high = 1500 * np.pi / 30, float(described.inputs["engine.limiter"].value)
assess(described, samples=16, speeds=np.linspace(low, high, 5))
told(lambda: assess(described, samples=16, speeds=np.linspace(low, high, count)), takes)
"""
# Rules that hang on no other are taken in turn, and once all are, again under other names
OF_RULES = BEGIN + """
from dataclasses import replace
from enginelimits.assessment.collect import assess
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.evaluate import evaluate, reads
ground = AssessmentGround(assess(filled(load_build(case)), samples=64))
whole = load_catalogue()
alone = [r for r in whole.judged().values() if all(kind in ("quantity", "input") for kind, _ in reads(whole, r))]
rules = {}
for n in range(count):
    rule = alone[n % len(alone)]
    name = rule.id if n < len(alone) else f"{rule.id}N{n // len(alone)}"
    rules[name] = replace(rule, id=name)
catalogue = replace(whole, rules=rules, _stages={})
evaluate(catalogue, ground, limit_seed=1)
told(lambda: evaluate(catalogue, ground, limit_seed=1), takes)
"""


def measured(code: str, count: int, fast: str) -> dict[str, float]:
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    environment = {**os.environ, **threads, "ENGINELIMITS_FAST": fast}
    ran = subprocess.run([sys.executable, "-c", code, str(CASE), str(count), str(TAKES)], env=environment, check=True,
                         capture_output=True, text=True)
    found: dict[str, float] = json.loads(ran.stdout)
    return found


def growth(code: str, counts: list[int], fast: str = "off") -> dict[str, Any]:
    found = {}
    for count in counts:
        found[count] = measured(code, count, fast)
        sys.stderr.write(f"{count}: {found[count]}\n")
    least = found[counts[0]]["processor"]
    upper = counts[len(counts) // 2 :]
    return {
        "counts": counts,
        "times of the least": [round(found[c]["processor"] / least, 2) for c in counts],
        "megabytes": [round(found[c]["megabytes"]) for c in counts],
        "exponent of time": exponent(counts, [found[c]["processor"] for c in counts]),
        "exponent of time, upper half": exponent(upper, [found[c]["processor"] for c in upper]),
        "exponent of memory": exponent(counts, [found[c]["megabytes"] for c in counts]),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--far", action="store_true", help="as far as 100,000 draws")
    parser.add_argument("-o", "--output", type=Path)
    asked = parser.parse_args()
    draws = [*DRAWS, *((FAR,) if asked.far else ())]
    figures = {"draws, arrays": growth(OF_DRAWS, draws[:4])}
    if find_spec("numba"):
        figures["draws, compiled"] = growth(OF_DRAWS, draws, "on")
    figures |= {"speeds, 16 draws": growth(OF_SPEEDS, list(SPEEDS)), "rules, 64 draws": growth(OF_RULES, list(RULES))}
    text = json.dumps(figures, indent=2) + "\n"
    if asked.output:
        asked.output.write_text(text)
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
