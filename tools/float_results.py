"""Float results of the shipped cases to the last bit, tests/numbers/float-results.json, and how far others lie off.

Without arguments the results of this Python and numpy are held against those kept; the largest difference is printed,
and the exit is 1 where it is beyond the tolerance.  `--write` keeps them anew.  `--versions 1.26.4 2.4.1` makes a
virtual environment for each numpy, without numba, and holds what it computes against those kept: the network is needed.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from enginelimits.assessment.collect import assess
from enginelimits.assessment.kernel import VARIABLE
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build

ROOT = Path(__file__).parents[1]
KEPT = ROOT / "tests" / "numbers" / "float-results.json"
# Each number against the greatest of its quantity in the case.  The last bits of sin, exp and powers are the library's
# own (an ulp or two, 4e-16); what iterates carries them on.  Numpy 1.26 to 2.4 differ by 5e-14.
TOLERANCE = 1e-9
SPEEDS_RPM = (2000.0, 4000.0, 6000.0)
DRAWS = 2
IDS = (
    "air.mass_flow", "air.manifold_temperature", "exhaust.pressure", "crank.power", "cylinder.peak_pressure",
    "knock.margin", "combustion.spark_retard", "exhaust.temperature", "rod.column_use", "rod.fatigue_margin",
    "rod_bolt.separation_margin", "head.clamp_ratio", "bearing.big_end_film", "piston.crown_temperature",
    "fuel.mass_flow", "pump.lift_use", "compressor.tip_speed", "coolant.heat", "clutch.reserve",
)  # fmt: skip


def computed() -> dict[str, dict[str, list[float | None]]]:
    """By case and quantity: both ambients, the typical build and two draws, three speeds; null where not known."""
    found: dict[str, dict[str, list[float | None]]] = {}
    speeds = np.array(SPEEDS_RPM) * np.pi / 30.0
    os.environ[VARIABLE] = "off"  # numpy's own results, wherever numba is
    for path in sorted((ROOT / "cases").glob("*/build.yaml")):
        columns = assess(filled(load_build(path)), samples=DRAWS, speeds=speeds).columns
        found[path.parent.name] = {
            id_: [float(x) if np.isfinite(x) else None
                  for x in np.broadcast_to(columns[id_].si, (2, 1 + DRAWS, speeds.size)).ravel()]
            for id_ in IDS if id_ in columns and columns[id_].si is not None
        }  # fmt: skip
    return found


def as_text(found: Mapping[str, Any]) -> dict[str, Any]:
    """Each number in hexadecimal, so that no digit is lost."""
    return {c: {q: [None if x is None else x.hex() for x in xs] for q, xs in of.items()} for c, of in found.items()}


def as_numbers(kept: Mapping[str, Any]) -> dict[str, Any]:
    return {c: {q: [None if x is None else float.fromhex(x) for x in xs] for q, xs in of.items()}
            for c, of in kept.items()}  # fmt: skip


def differences(ours: Mapping[str, Any], theirs: Mapping[str, Any]) -> dict[str, tuple[float, str]]:
    """By quantity the greatest difference, over the greatest magnitude of it in the case, and in which case."""
    worst: dict[str, tuple[float, str]] = {}
    if ours.keys() != theirs.keys():
        raise ValueError("other cases")
    for case, of in ours.items():
        if of.keys() != theirs[case].keys():
            raise ValueError(f"{case}: other quantities")
        for id_, numbers in of.items():
            pairs = list(zip(numbers, theirs[case][id_], strict=True))
            if any((a is None) != (b is None) for a, b in pairs):
                raise ValueError(f"{case}, {id_}: known in one, not known in the other")
            known = [(a, b) for a, b in pairs if a is not None]
            size = max((abs(b) for _, b in known), default=0.0)
            apart = max((abs(a - b) for a, b in known), default=0.0) / size if size else 0.0
            worst[id_] = max(worst.get(id_, (0.0, case)), (apart, case))
    return worst


def told(worst: Mapping[str, tuple[float, str]], version: str) -> str:
    id_ = max(worst, key=lambda i: worst[i][0])
    return f"numpy {version}: at most {worst[id_][0]:.1e}, {id_} of {worst[id_][1]}"


def of_version(version: str) -> dict[str, Any]:
    """What another numpy computes, in a virtual environment of its own."""
    with tempfile.TemporaryDirectory() as folder:
        python = Path(folder) / "venv" / "bin" / "python"
        subprocess.run([sys.executable, "-m", "venv", str(python.parents[1])], check=True)
        subprocess.run([str(python), "-m", "pip", "install", "-q", str(ROOT), f"numpy=={version}"], check=True)
        made = subprocess.run([str(python), str(Path(__file__)), "--print"], check=True, capture_output=True, text=True)
    found: dict[str, Any] = json.loads(made.stdout)
    return found


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--write", action="store_true")
    asked.add_argument("--print", action="store_true")
    asked.add_argument("--versions", nargs="*", default=[])
    options = asked.parse_args()
    if options.print:
        print(json.dumps({"numpy": np.__version__, "results": as_text(computed())}))
        return 0
    if options.write:
        data = {"made": "tools/float_results.py", "numpy": np.__version__, "tolerance": TOLERANCE,
                "results": as_text(computed())}  # fmt: skip
        KEPT.write_text(json.dumps(data, indent=0) + "\n", encoding="utf-8")
        return 0
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    others = [of_version(v) for v in options.versions] or [
        {"numpy": np.__version__, "results": as_text(computed())}]  # fmt: skip
    beyond = False
    for other in others:
        worst = differences(as_numbers(other["results"]), as_numbers(kept["results"]))
        print(told(worst, other["numpy"]))
        beyond |= max(apart for apart, _ in worst.values()) > TOLERANCE
    return int(beyond)


if __name__ == "__main__":
    sys.exit(main())
