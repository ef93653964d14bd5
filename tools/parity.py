"""Set the package beside figures from outside, point by point: docs/validation/parity.json, its page and its plots.

The outside figures are those typed in the tests, which name their sources; nothing is typed twice.  A point misses
where the difference is more than the outside figure's own doubt, and is shown as a cross.
"""

from __future__ import annotations

import importlib.util
import json
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "docs" / "validation"
DATA, PAGE = FOLDER / "parity.json", FOLDER / "parity.md"
MADE = "Made by `tools/parity.py`; outside figures are those of the tests named."
KNOCK_SPEEDS = (3500, 4500, 7000)


@cache
def tests(path: str) -> ModuleType:
    """A test module, for the figures and builds in it."""
    spec = importlib.util.spec_from_file_location(f"parity_{Path(path).stem}", ROOT / "tests" / path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def consumption() -> dict[str, Any]:
    """The map of a turbocharged engine on a bench."""
    bench = tests("published/test_bench_engines_published.py")
    ours = (1.0 + bench.over_the_map()) * bench.MEASURED
    points = [_point(f"{rpm} rpm, {bar:.1f} bar", bench.MEASURED[r, c], ours[r, c], share=0.05)
              for r, rpm in enumerate(bench.MAP) for c, bar in enumerate(bench.LOADS_BAR)]
    return {"title": "Consumption of a turbocharged engine on a bench", "unit": "g/kWh",
            "source": "US EPA test data package of a 1.6 litre engine, 2018-10",
            "test": "tests/published/test_bench_engines_published.py", "doubt": "5 % of the map", "points": points}


def torque(*figures: str) -> dict[str, Any]:
    """The full-load curve of an engine without boost on a bench."""
    bench = tests("published/test_bench_engines_published.py")
    off = bench.over_the_curve(*figures)
    points = [_point(f"{rpm:.0f} rpm", nm, nm * (1.0 + o), share=0.03)
              for (rpm, nm), o in zip(bench.CURVE, off, strict=True)]
    known = "maker's torque and power known" if figures else "geometry and fuel alone"
    return {"title": f"Full-load torque of an engine without boost, {known}", "unit": "N*m",
            "source": "US EPA test data package of a 2.0 litre engine, 2018-03-29",
            "test": "tests/published/test_bench_engines_published.py",
            "doubt": "3 %, of waves in the intake, which no class curve follows", "points": points}


def anchored_torque() -> dict[str, Any]:
    """The same, with the maker's figures."""
    bench = tests("published/test_bench_engines_published.py")
    return torque(bench.TORQUE, bench.POWER)


def knock_boost() -> dict[str, Any]:
    """Boost that knock allows, by fuel."""
    bands = tests("reference/test_knock_bands.py")
    points = []
    for octane, ethanol, low, high in bands.BOOST_BANDS:
        found = bands.read("knock.limited_boost", octane, ethanol) / bands.PSI
        for rpm in KNOCK_SPEEDS:
            ours = float(found[bands.SPEEDS.index(rpm)])
            fuel = f"{octane} RON, {ethanol} % ethanol"
            points.append(_band(f"{fuel}, {rpm} rpm", low - 2.0, high + 2.0, ours))
    return {"title": "Boost that knock allows", "unit": "psi", "source": "common practice, no source",
            "test": "tests/reference/test_knock_bands.py", "doubt": "the band, and 2 psi to either side",
            "points": points}


def wheel_power() -> dict[str, Any]:
    """Power at the wheels, bands of the trade."""
    trade = tests("published/test_boost_bands_of_the_trade.py")
    points = [_band(f"{o} RON, {e} % ethanol, {b} psi", low, high, trade.wheel_power(o, e, b))
              for o, e, b, low, high in trade.AT_THE_WHEELS]
    return {"title": "Power at the wheels on an inertia dyno", "unit": "hp", "source": "common practice, no source",
            "test": "tests/published/test_boost_bands_of_the_trade.py", "doubt": "the band", "points": points}


def film() -> dict[str, Any]:
    """Thinnest film of a finite bearing."""
    from enginelimits.physics.components.film import film_ratio

    bearings = tests("published/test_bearings_published.py")
    points = [_point(f"L/D {ratio}, S {s}", thinnest, float(film_ratio(s, ratio)), share=0.03)
              for ratio, s, thinnest in bearings.TABLE]
    return {"title": "Thinnest film of a plain bearing, over its clearance", "unit": "1",
            "source": "Raimondi and Boyd 1958; three read, the others from memory",
            "test": "tests/published/test_bearings_published.py", "doubt": "3 %", "points": points}


SETS: dict[str, Callable[[], dict[str, Any]]] = {
    "consumption": consumption, "torque": torque, "torque-anchored": anchored_torque, "knock-boost": knock_boost,
    "wheel-power": wheel_power, "film": film,
}


def _point(at: str, outside: float, ours: float, *, share: float) -> dict[str, Any]:
    return _band(at, outside * (1.0 - share), outside * (1.0 + share), ours) | {"outside": _digits(outside)}


def _band(at: str, low: float, high: float, ours: float) -> dict[str, Any]:
    return {"at": at, "outside": _digits((low + high) / 2.0), "low": _digits(low), "high": _digits(high),
            "ours": _digits(ours), "met": bool(low <= ours <= high)}


def _digits(value: float) -> float:
    return float(f"{float(value):.4g}")


def computed() -> dict[str, Any]:
    """Every set, computed anew."""
    return {name: made() for name, made in SETS.items()}


def page(data: dict[str, Any]) -> str:
    """The page of the tables."""
    lines = ["# Parity", "", MADE, "",
             "On each plot a point on the diagonal agrees. Bars are the doubt of the outside figure; a cross lies "
             "beyond it, and is a miss. [What was validated](index.md) tells what to make of them.", ""]
    for name, one in data.items():
        points = one["points"]
        missed = [p for p in points if not p["met"]]
        lines += [f"## {one['title']}", "", f"Source: {one['source']}. Doubt: {one['doubt']}. Held by `{one['test']}`, "
                  f"in wider bands where a miss is known. {len(points) - len(missed)} of {len(points)} points lie "
                  "within the doubt.", "", f"![{_alt(one)}]({name}.svg)", "",
                  f"| point | outside, {one['unit']} | ours | off | |", "| --- | --- | --- | --- | --- |"]
        lines += [f"| {p['at']} | {_outside(p)} | {p['ours']:g} | {100 * (p['ours'] / p['outside'] - 1):+.1f} % | "
                  f"{'' if p['met'] else 'miss'} |" for p in points]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _outside(point: dict[str, Any]) -> str:
    return f"{point['outside']:g} ({point['low']:g} to {point['high']:g})"


def _alt(one: dict[str, Any]) -> str:
    off = np.array([p["ours"] / p["outside"] - 1.0 for p in one["points"]])
    return (f"{one['title']}: ours over outside, {len(off)} points, from {100 * off.min():+.1f} to "
            f"{100 * off.max():+.1f} per cent off")


def plots(data: dict[str, Any]) -> Iterator[tuple[Path, str]]:
    """A plot a set, as SVG."""
    import io

    import matplotlib
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    style = {"svg.hashsalt": "parity", "svg.fonttype": "path", "font.size": 9}
    for name, one in data.items():
        with matplotlib.rc_context(style):
            figure = Figure(figsize=(5.0, 4.4), layout="constrained")
            axes = figure.add_subplot()
            for met, sign, label in ((True, "o", "within the doubt"), (False, "x", "miss")):
                kept = [p for p in one["points"] if p["met"] is met]
                if kept:
                    middle = np.array([p["outside"] for p in kept])
                    ends = np.array([[p["outside"] - p["low"], p["high"] - p["outside"]] for p in kept]).T
                    axes.errorbar(middle, [p["ours"] for p in kept], xerr=np.abs(ends), fmt=sign, color="black",
                                  ecolor="#999999", elinewidth=0.8, markersize=5, fillstyle="none", label=label)
            every = [v for p in one["points"] for v in (p["outside"], p["ours"])]
            span = (min(every) - 0.03 * max(every), 1.03 * max(every))
            axes.plot(span, span, color="black", linewidth=0.8, label="agrees")
            axes.set_xlabel(f"outside, {one['unit']}")
            axes.set_ylabel(f"ours, {one['unit']}")
            axes.legend(frameon=False)
            out = io.StringIO()
            FigureCanvasSVG(figure).print_svg(out, metadata={"Date": None, "Title": one["title"]})
        yield FOLDER / f"{name}.svg", "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def main() -> None:
    """Write data, page and plots."""
    data = computed()
    FOLDER.mkdir(parents=True, exist_ok=True)
    DATA.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")
    PAGE.write_text(page(data), encoding="utf-8", newline="\n")
    for path, svg in plots(data):
        path.write_text(svg, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
