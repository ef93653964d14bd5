"""Power over boost step by step, the limit that each step reaches first, and the families on their way to theirs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from enginelimits.errors import InputError, Problem
from enginelimits.present.boost import boost_text, place_of, power_text
from enginelimits.present.plots.canvas import WIDTH, band, finished, named, sheet, style
from enginelimits.present.plots.element import FIRST, INK, LIMIT, SECOND
from enginelimits.present.plots.placing import Names
from enginelimits.present.plots.plot import Plot
from enginelimits.present.plots.scale import scale
from enginelimits.present.values import finite

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from enginelimits.decisions.ladder import Ladder, Rung
    from enginelimits.units.display import System

TITLE: Final = "Power over boost, with the limits as they are reached"
# By the grade of a step, so that they differ without colour.
MARKS: Final = {"clear": "o", "note": "o", "caution": "^", "reinforce": "s", "decline": "X"}
FAMILIES: Final = 6
NAME_APART: Final = 11.0
NAMES_WIDE: Final = 70.0
DASHES: Final[tuple[Any, ...]] = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (7, 2, 1.5, 2)), (0, (1, 1)),
                                  (0, (9, 1.5, 1.5, 1.5, 1.5, 1.5)))
ROOM: Final = 40
TALLEST: Final = 1.6


def plot(found: Ladder, system: System, name: str) -> Plot:
    """The plot of one ladder."""
    rungs = [rung for rung in found.rungs if rung.trial.power.value is not None]
    if len(rungs) < 2:
        raise InputError([Problem("two steps of boost at least", f"{len(rungs)}", key="ladder", file=found.name)])
    families = found.families[:FAMILIES]
    alt = _alt(found, rungs, system)
    goal = found.asked.filled.get("goal.power")
    asked_w = float(goal.value) if goal is not None and isinstance(goal.value, int | float) else None
    data: dict[str, Any] = {
        "plot": "ladder", "build": found.name, "grade": found.grade, "at": place_of(found.asked),
        "steps": [
            {"boost": {"unit": "Pa", "value": r.boost_pa}, "power": _power_data(r), "grade": r.verdict.grade,
             "first": None if r.first is None else {"rule": r.first.finding.rule, "title": r.first.finding.title,
                                                    "grade": r.first.finding.grade}}
            for r in rungs
        ],
        "asked": {"boost": {"unit": "Pa", "value": found.asked_pa}, "power": {"unit": "W", "value": finite(asked_w)}},
        "highest_below": None if found.clear is None else {"unit": "Pa", "value": found.rungs[found.clear].boost_pa},
        "families": [
            {"family": f.family, "rule": f.rule, "title": f.title, "quantity": f.quantity, "grade": f.grade,
             "boost": {"unit": "Pa", "values": [r.boost_pa for r in found.rungs]}, "shares": finite(f.ratios),
             "passes": {"unit": "Pa", "value": finite(f.passes_pa)}}
            for f in families
        ],
    }
    with style():
        heights = [180.0, 15.0 * len(rungs) + 30.0] + ([150.0] if families else [])
        figure, panels = sheet(heights, top=22.0, gap=44.0, right=16.0, share=False)
        _power(panels[0], found, rungs, asked_w, system)
        _rows(panels[1], rungs, system)
        if families:
            _families(panels[2], found, system)
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def _power(panel: Axes, found: Ladder, rungs: list[Rung], asked_w: float | None, system: System) -> None:
    pressure, working = scale("Pa", system), scale("W", system)
    x = pressure.of([r.boost_pa for r in rungs])
    y = working.of([r.trial.power.value for r in rungs])
    low, high = (working.of([getattr(r.trial.power, end) for r in rungs]) for end in ("low", "high"))
    span = float(x[-1] - x[0]) or 1.0
    panel.set_xlim(x[0] - 0.03 * span, x[-1] + 0.04 * span)
    least = float(np.nanmin([*low, *y]))
    most = float(np.nanmax([*high, *y, working.one(asked_w) if asked_w else 0.0]))
    panel.set_ylim(max(0.0, least - 0.25 * (most - least)), most + 0.12 * (most - least))
    named(panel, f"power {place_of(found.asked)}, {working.unit}; band: 5 to 95 %")
    panel.set_xlabel(f"boost asked for, {pressure.unit} gauge")
    band(panel, x, low, high, FIRST)
    panel.plot(x, y, color=FIRST, linewidth=1.6)
    names = Names(panel)
    names.line(panel, x, y)
    for at, value, rung, number in zip(x, y, rungs, range(1, len(rungs) + 1), strict=True):
        panel.plot([at], [value], marker=MARKS[rung.verdict.grade], markersize=8.0, color=INK, markerfacecolor="none",
                   markeredgewidth=1.4, linestyle="none", zorder=5)
        point = panel.transData.transform((at, value))
        names.boxes.append((float(point[0]) - 6.0, float(point[1]) - 6.0, float(point[0]) + 6.0,
                            float(point[1]) + 6.0))
        names.free((float(point[0]), float(point[1]) - 14.0), f"{number}", size=10.0, weight="bold")
    if asked_w is not None:
        goal = working.one(asked_w)
        panel.axhline(goal, color=INK, linewidth=0.9, linestyle=":")
        names.line(panel, panel.get_xlim(), [goal, goal])
        names.put(panel, panel.get_xlim(), [goal, goal], f"asked for, {goal:.0f} {working.unit}", near=0.15)
    if found.clear is not None:
        at = pressure.one(found.rungs[found.clear].boost_pa)
        panel.axvline(at, color=LIMIT, linewidth=1.2, linestyle=(0, (7, 2, 1.5, 2)))
        names.line(panel, [at, at], panel.get_ylim())
        frame = panel.get_window_extent()
        place = float(panel.transData.transform((at, 0.0))[0])
        names.free((place + 40.0, frame.y0 + 10.0), f"highest step\nbelow {found.grade}", size=8.5)


def _rows(panel: Axes, rungs: list[Rung], system: System) -> None:
    """What each step makes and reaches first, beside its number."""
    panel.set_axis_off()
    panel.set_xlim(0.0, 1.0)
    panel.set_ylim(len(rungs) + 2.0, 0.0)
    columns = ((-0.14, "step"), (-0.04, "boost"), (0.13, "grade"), (0.33, "first reached"))
    for left, words in columns:
        panel.text(left, 0.5, words, fontsize=8.5, va="center", alpha=0.75)
    for number, rung in enumerate(rungs, 1):
        first = "nothing more"
        if rung.first is not None:
            title, grade = rung.first.finding.title, rung.first.finding.grade
            room = ROOM - len(grade)
            first = f"{title if len(title) <= room else title[: room - 2].rstrip() + '..'}, {grade}"
        grade = rung.verdict.grade + (" ^" if rung.raised else "")
        cells = (f"{number}", boost_text(rung.boost_pa, system), grade, first)
        for (left, _), words in zip(columns, cells, strict=True):
            panel.text(left, number + 0.5, words, fontsize=8.5, va="center",
                       fontweight="bold" if left < -0.1 else "normal")
    if any(rung.raised for rung in rungs):
        panel.text(-0.14, len(rungs) + 1.5, "^ small margins of several causes together", fontsize=8.5, va="center")


def _families(panel: Axes, found: Ladder, system: System) -> None:
    pressure = scale("Pa", system)
    x = pressure.of([r.boost_pa for r in found.rungs])
    span = float(x[-1] - x[0]) or 1.0
    box = panel.get_position()
    panel.set_position((box.x0, box.y0, box.width - NAMES_WIDE / WIDTH, box.height))
    panel.set_xlim(x[0] - 0.03 * span, x[-1] + 0.02 * span)
    families = found.families[:FAMILIES]
    every = [r for f in families for r in f.ratios if r is not None]
    panel.set_ylim(max(0.0, min(every) - 0.08), min(TALLEST, max([*every, 1.0]) + 0.1))
    panel.yaxis.set_major_formatter(lambda value, _: f"{100.0 * value:.0f}")
    named(panel, f"value over limit of {found.grade}, %")
    panel.set_xlabel(f"boost asked for, {pressure.unit} gauge")
    panel.axhline(1.0, color=LIMIT, linewidth=1.4)
    lines = [np.array([np.nan if r is None else r for r in f.ratios], dtype=float) for f in families]
    for number, y in enumerate(lines):
        panel.plot(x, y, color=(FIRST, SECOND)[number % 2], linewidth=1.6, linestyle=DASHES[number])
    _at_the_ends(panel, x, [(family.family, y) for family, y in zip(families, lines, strict=True)])


def _at_the_ends(panel: Axes, x: Any, lines: list[tuple[str, Any]]) -> None:
    """Names at the right ends of their lines, apart from each other, a thin line to each that had to move."""
    ends: list[tuple[float, str]] = []
    for words, y in lines:
        last = int(np.flatnonzero(np.isfinite(y))[-1])
        low, high = panel.get_ylim()
        point = panel.transData.transform((x[last], min(max(float(y[last]), low), high)))
        ends.append((float(point[1]), words))
    ends.sort()
    heights = [was for was, _ in ends]
    for place in range(1, len(heights)):
        heights[place] = max(heights[place], heights[place - 1] + NAME_APART)
    edge = panel.get_window_extent().x1
    figure = panel.figure
    for height, (was, words) in zip(heights, ends, strict=True):
        figure.text((edge + 12.0) / figure.bbox.width, height / figure.bbox.height, words, fontsize=9.0, va="center",
                    gid="halo")
        inside = panel.transData.inverted().transform([(edge - 4.0, was), (edge + 10.0, height)])
        panel.plot(inside[:, 0], inside[:, 1], color=INK, linewidth=0.6, clip_on=False, scalex=False, scaley=False)


def _power_data(rung: Rung) -> dict[str, Any]:
    power = rung.trial.power
    return {"quantity": power.id, "unit": power.unit, "value": finite(power.value), "low": finite(power.low),
            "high": finite(power.high)}


def _alt(found: Ladder, rungs: list[Rung], system: System) -> str:
    first, last = rungs[0], rungs[-1]
    told = (f"Power {place_of(found.asked)} over boost in {len(rungs)} steps: from "
            f"{power_text(first.trial.power, system)} on {boost_text(first.boost_pa, system)} of boost to "
            f"{power_text(last.trial.power, system)} on {boost_text(last.boost_pa, system)}.")
    reached = [f"on {boost_text(r.boost_pa, system)} {r.first.finding.title} ({r.first.finding.grade})"
               for r in rungs if r.first is not None]
    if reached:
        told += f" First reached: {'; '.join(reached)}."
    if found.clear is not None:
        told += f" The highest step below {found.grade} is {boost_text(found.rungs[found.clear].boost_pa, system)}."
    else:
        told += f" No step stays below {found.grade}."
    return told
