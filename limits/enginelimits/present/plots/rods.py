"""Axial force in the rod over the whole cycle: pressed by gas at low speed, pulled by its own inertia at high speed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.physics.mechanics.forces import gas_force, rod_axial_force
from enginelimits.physics.mechanics.kinematics import piston_acceleration, rod_angle
from enginelimits.present.plots.canvas import finished, named, sheet, style
from enginelimits.present.plots.columns import drawn, numbers_of, trace
from enginelimits.present.plots.element import FIRST, INK, SECOND
from enginelimits.present.plots.placing import Names
from enginelimits.present.plots.plot import Plot
from enginelimits.present.plots.scale import scale
from enginelimits.present.values import finite, range_text, value_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from enginelimits.assessment.results import Assessment
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.units.display import System

FloatArray = NDArray[np.float64]
TITLE: Final = "Force in the rod over one cycle"
NEARLY: Final = 0.85
# The axis begins at the bottom before firing, so that neither top dead centre lies on its edge.
BEGINS: Final = -180.0
PUSH, PULL = "rod.compression", "rod.tension"


class Cycle(NamedTuple):
    """The force at one speed of the typical build at the site, compression positive, with its greatest and least."""

    words: str
    place: int
    speed: float
    force: FloatArray
    compression: float
    tension: float
    compression_range: tuple[float, float] | None
    tension_range: tuple[float, float] | None


def plot(judgement: Judgement, system: System, name: str) -> Plot:
    """The plot of one judged build."""
    assessment = judgement.assessment
    angle = trace(assessment, "crank.angle", 0)
    pushes, pulls = drawn(assessment, PUSH), drawn(assessment, PULL)
    if angle is None or pushes is None or pulls is None:
        problem = Problem("forces in the rod", "none, as they could not be computed", key=PUSH, file=judgement.name)
        raise InputError([problem])
    # the lowest speed at which gas presses nearly as hard as anywhere, and the highest
    low_place = int(np.argmax(pushes.values >= NEARLY * np.nanmax(pushes.values)))
    cycles = [
        _cycle(assessment, words, place, angle) for words, place in
        (("low speed", low_place), ("high speed", len(assessment.speeds) - 1))
    ]
    capacity = drawn(assessment, "rod.column_capacity")
    bears = None if capacity is None else float(capacity.values[low_place])
    alt = _alt(cycles, bears, system)
    data: dict[str, Any] = {
        "plot": "rod-force", "build": judgement.name, "ambient": assessment.ambients[0],
        "angle": {"quantity": "crank.angle", "unit": "rad", "values": finite(angle), "from": "firing top dead centre"},
        "sign": "compression above zero",
        "cycles": [
            {"is": c.words, "engine_speed": {"unit": "rad/s", "value": c.speed}, "unit": "N",
             "values": finite(c.force),
             "compression": {"quantity": PUSH, "value": c.compression, "range": finite(c.compression_range)},
             "tension": {"quantity": PULL, "value": c.tension, "range": finite(c.tension_range)}}
            for c in cycles
        ],
        "capacity": {"quantity": "rod.column_capacity", "unit": "N", "value": finite(bears)},
    }
    with style():
        figure, (panel,) = sheet([250.0], top=22.0, left=52.0, right=14.0)
        _forces(panel, np.degrees(angle), cycles, bears, system)
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def force_over_crank(assessment: Assessment, place: int, angle: FloatArray) -> FloatArray:
    """Force at the smallest section over crank angle, from the same inputs as its greatest and least. [N]"""
    def number(id_: str) -> float:
        value = numbers_of(assessment, id_)
        return np.nan if value is None else value

    pressure = trace(assessment, "cylinder.pressure_trace", place)
    crank = (number("engine.stroke"), number("engine.rod_length"))
    offset = numbers_of(assessment, "engine.pin_offset") or 0.0
    above = number("piston.assembly_mass") + number("rod.mass_above_section")
    return np.asarray(rod_axial_force(
        gas_force(pressure, number("ambient.pressure"), number("engine.bore")), above,
        piston_acceleration(angle, *crank, assessment.speeds[place], offset), rod_angle(angle, *crank, offset),
    ))


def _cycle(assessment: Assessment, words: str, place: int, angle: FloatArray) -> Cycle:
    ends = []
    for id_ in (PUSH, PULL):
        one = drawn(assessment, id_)
        assert one is not None
        spread = None
        if one.low is not None and one.high is not None:
            spread = (float(one.low[place]), float(one.high[place]))
        ends.append((float(one.values[place]), spread))
    (push, push_range), (pull, pull_range) = ends
    return Cycle(words, place, assessment.speeds[place], force_over_crank(assessment, place, angle), push, pull,
                 push_range, pull_range)


def _forces(panel: Axes, x: FloatArray, cycles: list[Cycle], bears: float | None, system: System) -> None:
    unit = scale("N", system)
    top = max(unit.one(e) for c in cycles for e in (c.compression, *(c.compression_range or ())))
    bottom = min(-unit.one(e) for c in cycles for e in (c.tension, *(c.tension_range or ()), 0.0))
    tall = top - bottom
    capacity = None if bears is None else unit.one(bears)
    drawn_capacity = capacity is not None and capacity < 1.6 * top
    panel.set_xlim(BEGINS, BEGINS + 720.0)
    panel.set_xticks(range(-180, 541, 180))
    panel.set_xlabel("deg after firing top dead centre")
    panel.set_ylim(bottom - 0.10 * tall, max(top, capacity if drawn_capacity and capacity else 0.0) + 0.12 * tall)
    panel.yaxis.set_major_formatter(lambda value, _: f"{abs(value):,.0f}".replace(",", " "))
    named(panel, f"force along the rod, {unit.unit}; pressed above zero, pulled below")
    panel.axhline(0.0, color=INK, linewidth=1.0)
    order = np.argsort((x - BEGINS) % 720.0, kind="stable")
    x = ((x - BEGINS) % 720.0 + BEGINS)[order]
    cycles = [c._replace(force=c.force[order]) for c in cycles]
    names = Names(panel)
    for at, words in ((0.0, "firing"), (360.0, "gas exchange")):
        panel.axvline(at, color=INK, linewidth=0.7, linestyle=":", alpha=0.6)
        foot = panel.transData.transform((at, panel.get_ylim()[0]))
        wide = 5.0 * len(words) / 2.0
        names.write((float(foot[0]) - wide, float(foot[1]) + 1.0, float(foot[0]) + wide, float(foot[1]) + 10.0), words,
                    8.0)
    names.line(panel, [BEGINS, BEGINS + 720.0], [0.0, 0.0])
    for cycle, colour, dash, width in zip(cycles, (FIRST, SECOND), ("-", (0, (6, 2))), (2.0, 2.0), strict=True):
        y = unit.of(cycle.force)
        panel.plot(x, y, color=colour, linewidth=width, linestyle=dash)
        names.line(panel, x, y)
    if drawn_capacity and capacity is not None:
        panel.axhline(capacity, color=INK, linewidth=1.2, linestyle=(0, (7, 2, 1.5, 2)))
        names.line(panel, [BEGINS, BEGINS + 720.0], [capacity, capacity])
        names.put(panel, [BEGINS, BEGINS + 720.0], [capacity, capacity], f"column bears {capacity:.0f} {unit.unit}",
                  near=0.15)
    for cycle, side in zip(cycles, (-1.0, 1.0), strict=True):
        _extremes(panel, names, x, cycle, unit, side)
    low, high = cycles
    for cycle, near in ((low, 225.0), (high, 130.0)):
        point = panel.transData.transform((near, float(np.interp(near, x, unit.of(cycle.force)))))
        place = (float(point[0]), float(point[1]))
        names.free((place[0], place[1] + 12.0), f"{cycle.words}, {cycle.speed * 30.0 / np.pi:.0f} rpm", size=10.0,
                   weight="bold", lead=place)
    beyond = f"column bears {capacity:.0f} {unit.unit}: above" if capacity is not None and not drawn_capacity else ""
    if beyond:
        frame = panel.get_window_extent()
        names.free((frame.x0, frame.y1), beyond, size=8.0)


def _extremes(panel: Axes, names: Names, x: FloatArray, cycle: Cycle, unit: Any, side: float) -> None:
    """The greatest and the least with their ranges, and what acts there."""
    y = unit.of(cycle.force)
    gas = cycle.words == "low speed"
    peak, pull = int(np.nanargmax(y)), int(np.nanargmin(y))
    push_words = "gas presses" if gas else "gas less inertia"
    told = [(peak, cycle.compression, cycle.compression_range, 1.0, push_words)]
    if cycle.tension > 0.0 and not gas:
        told.append((pull, cycle.tension, cycle.tension_range, -1.0, "inertia pulls"))
    for at, value, spread, sign, words in told:
        height = sign * unit.one(value)
        panel.plot([x[at]], [height], marker="o" if sign > 0.0 else "s", markersize=6.0, color=INK,
                   markerfacecolor="none", markeredgewidth=1.3, linestyle="none", zorder=5)
        place = panel.transData.transform((x[at], height))
        point = (float(place[0]), float(place[1]))
        ends = "" if spread is None else f"\n5 to 95 %: {unit.one(spread[0]):.0f} to {unit.one(spread[1]):.0f}"
        rpm = f"{cycle.speed * 30.0 / np.pi:.0f} rpm"
        names.free((point[0] + side * sign * 48.0, point[1]),
                   f"{words}, {rpm}\n{abs(height):.0f} {unit.unit} at {x[at]:.0f} deg{ends}", lead=point, size=8.5)


def _alt(cycles: list[Cycle], bears: float | None, system: System) -> str:
    told = []
    for c in cycles:
        def spread(ends: tuple[float, float] | None) -> str:
            text = "" if ends is None else range_text(*ends, "N", system)
            return f" (5 to 95 %: {text})" if text else ""

        said = (f"At {value_text(c.speed, 'rad/s', system)} the rod is pressed with up to "
                f"{value_text(c.compression, 'N', system)}{spread(c.compression_range)}")
        if c.tension > 0.0:
            said += f" and pulled with up to {value_text(c.tension, 'N', system)}{spread(c.tension_range)}"
        else:
            said += " and never pulled"
        told.append(f"{said}.")
    capacity = f" As a column it bears {value_text(bears, 'N', system)}." if bears is not None else ""
    return f"Force along the rod over 720 degrees. {' '.join(told)}{capacity}"
