"""Write docs/speed.md from the figures that the benchmarks left in benchmarks/results/.

    python tools/speed_page.py

The page says how these are made.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
RESULTS, PAGE = ROOT / "benchmarks" / "results", ROOT / "docs" / "speed.md"

# What is compared with the compiled search grid, what was aimed at, and how the two are read
AIMS = {
    "scipy solve_ivp, RK45 to 1e-6": "1000 or more",
    "Cantera, one species, moving wall, to 1e-6": "700 or more",
    "arrays, one build a call": "40",
    "arrays, 100 builds a call": "5",
    "compiled, 100 builds a call": "0.25",
    "C kernel, search grid, without peak and knock": "0.67 or more",
}
HEAD = """# Speed

Made by `tools/speed_page.py` from `benchmarks/results/`; not to be edited by hand.

Machines differ and are busy, so figures are ratios within one run: all contenders take turns, and the median stands
beside the least and greatest of the pairs. Seconds are of the machine that ran them, a shared one with two slow cores.

To repeat, in an environment with the extra `test` and a C compiler:

```sh
for name in cycle_kernel knock_limited_build whole_checks growth fleet; do
    python benchmarks/$name.py -o benchmarks/results/$name.json
done
python tools/speed_page.py
```

`growth.py --far` goes to 100,000 draws and takes ten minutes more. `large_batches.py` sets arrays and the compiled
cycle side by side at 10,000 draws.
"""
NOTES = """## What is done for it

- The closed cycle is written once, element by element. Arrays of numpy work on all lanes of a chunk at a time; with the
  extra `fast` numba compiles the same equations, sixteen lanes side by side, and is taken up from some 200 draws on,
  where it repays its start; up to twelve lanes are done one by one with Python's own numbers. A test holds the three to
  each other within 1e-9, and another counts calls, so that a loop over draws, speeds or lanes would be noticed.
- Nodes stand at the spark and at the ends of the burn, and steps are narrow beside the spark and where the burn ends.
  A step looks at its middle and at its end, once each, where a Runge-Kutta step looks four times: the state there is
  foretold from the slopes of the step before. Before the burn an almost constant quantity is integrated, while it
  burns p V^1.3, which has little to follow but the burning. So 25 steps do for searches, 22 for boosts on trial and 53
  for the run itself.
- What all lanes share, such as the volume at exhaust opening, is worked out once and not for each of them.
- Timing is found at six half-burned angles with a polynomial through them, boost by three trials with a parabola over
  the logarithm of pressure, all side by side; only the run itself has traces.
- Loads over the crank are found for a few lanes at a time, which stay in the processor's caches, or compiled.
- What a build's parts are worth is found once for all its edits. Draws beyond 512 are judged in parts, so that memory
  is bounded ([draws](draws.md)). Nothing is kept between runs but numba's own compiled code, under the digest of the
  sources.
- Libraries are imported when they are needed; a test lists what each command may import.

## What is not reached

- 10,000 draws of one build in 15 s on one core: see the growth of draws. Some third of it is the cycle, solved ten
  times at each of 48 points a draw (24 speeds, on the site and on its hot day), in 1.2 times what the same equations
  take in C; the rest is spread over some six hundred sums and two hundred rules. Compiled it took 40 s; arrays alone
  took from 119 to 131 s in different hours, on the mark of the two minutes aimed at (`large_batches.py`).
- A build at its knock limit in 0.25 ms: that aim is of a single zone with a simple gas, where this cycle has two zones,
  one of them in equilibrium. The same equations in C take 0.81 of the time for a cycle and would not reach it either.
- `check --samples 0` in 0.6 s and `check` in 1.5 s: see the table. Of the first some half goes into importing and
  reading the catalogue, the rest into the sums.
- The one-species reactor is not slower by 700: it has one zone and no equilibrium where this cycle has two with. Over
  the same equations in C it would be slower by some 420.
"""


def result(name: str) -> Any:
    path = RESULTS / f"{name}.json"
    return json.loads(path.read_text("utf-8")) if path.is_file() else None


def page() -> str:
    parts = [HEAD]
    for name, made in (("cycle_kernel", _kernel), ("knock_limited_build", _build), ("whole_checks", _whole),
                       ("growth", _growth), ("fleet", _fleet)):
        found = result(name)
        if found is not None:
            parts.append(made(found))
    return "\n".join([*parts, NOTES])


def _table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    align = " | ".join(["---", *["---:"] * (len(heads) - 1)])
    return "\n".join([f"| {' | '.join(heads)} |", f"| {align} |", *(f"| {' | '.join(row)} |" for row in rows)]) + "\n"


def _plain(value: float) -> str:
    return f"{value:.3g}" if value < 100 else f"{value:.0f}"


def _spread(of: dict[str, float]) -> str:
    return f"{_plain(of['median'])} ({_plain(of['least'])} to {_plain(of['greatest'])})"


def _kernel(found: dict[str, Any]) -> str:
    figures = found["a cycle"]
    key = next(k for k in next(iter(figures.values())) if k.startswith("times of"))
    rows = [
        (name, _spread(of[key]), AIMS.get(name, ""), _spread(of["microseconds here"])) for name, of in figures.items()
    ]
    return f"## One closed cycle\n\n{found['lanes']} lanes a call, {found['rounds']} rounds.\n\n" + _table(
        ("means", key, "aimed at", "microseconds here"), rows)


def _build(found: dict[str, Any]) -> str:
    figures = found["a build"]
    key = next(k for k in next(iter(figures.values())) if k.startswith("times of"))
    rows = [
        (name, _spread(of[key]), AIMS.get(name, ""), _spread(of["milliseconds here"])) for name, of in figures.items()
    ]
    return (
        f"## A build of {found['speeds']} speeds at its knock limit\n\n"
        "Best-torque and knock-limited timing of each speed, and the cycle there with its pressure over the\n"
        f"crank. {found['rounds']} rounds; the aims are of another machine.\n\n"
    ) + _table(("means", key, "aimed at, ms", "milliseconds here"), rows)


def _whole(found: dict[str, Any]) -> str:
    text = "## Whole checks\n\nMultiples of what stands in the head, and seconds here.\n"
    for over, figures in found.items():
        rows = [(name, _spread(of), _plain(of["seconds here"])) for name, of in figures.items()]
        text += "\n" + _table((over, "multiple", "s here"), rows)
    return text


def _growth(found: dict[str, Any]) -> str:
    text = (
        "## Growth\n\nExponents fitted on logarithms: 1 is in proportion, under 1 is what calls cost whatever the\n"
        "size. Memory is the greatest of the process.\n\n"
    )
    rows = [
        (name, f"{of['counts'][0]} to {of['counts'][-1]:,}", f"{of['exponent of time']:.2f}",
         f"{of['exponent of time, upper half']:.2f}", f"{of['exponent of memory']:.2f}",
         f"{of['megabytes'][0]} to {of['megabytes'][-1]}")
        for name, of in found.items()
    ]
    text += _table(("what grows", "from, to", "time", "time, upper half", "memory", "MB"), rows)
    for name, of in found.items():
        pairs = [f"{count:,}: {_plain(times)}" for count, times in zip(of["counts"], of["times of the least"],
                                                                       strict=True)]
        text += f"\nTimes of the least, {name}: {'; '.join(pairs)}.\n"
    return text


def _fleet(found: dict[str, Any]) -> str:
    rows = []
    for name, of in found.items():
        spread = f"{_plain(of['over alone'])} ({_plain(of['least'])} to {_plain(of['greatest'])})"
        first = of["first builds take, s"]
        rows.append((name, spread, _plain(of["builds a second"]), "" if first is None else _plain(first)))
    return "## Sweeps\n\nBuilds without draws, kept as Parquet ([how](how-to/fleet.md)).\n\n" + _table(
        ("by", "over one process", "builds a second", "first builds take, s"), rows)


def main() -> None:
    PAGE.write_text(page(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
