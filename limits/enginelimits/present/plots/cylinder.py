"""Cylinder pressure over crank angle with the burn marked, and over volume."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.physics.mechanics.kinematics import piston_travel
from enginelimits.physics.numerics.extremes import first_greatest
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
TITLE: Final = "Cylinder pressure over crank angle and over volume"
# Read at the speed of the peak: angle and its name
MARKS: Final = (("combustion.angle_of_half_burned", "half burned"), ("cylinder.peak_pressure_angle", "peak"))
# Where each stroke is named [deg after firing top dead centre]
STROKES: Final = (("compression", -70.0), ("burn", 10.0), ("expansion", 70.0), ("gas exchange", 290.0))
PEAK: Final = "cylinder.peak_pressure"
HIGH: Final = "cylinder.peak_pressure_high"


def plot(judgement: Judgement, system: System, name: str) -> Plot:
    """The plot of one judged build, at the speed of the greatest peak of the typical build at the site."""
    assessment = judgement.assessment
    peaks = drawn(assessment, PEAK)
    if peaks is None:
        problem = Problem("a cylinder pressure", "none, as it could not be computed", key=PEAK, file=judgement.name)
        raise InputError([problem])
    place = first_greatest(peaks.values)
    angle, pressure = trace(assessment, "crank.angle", place), trace(assessment, "cylinder.pressure_trace", place)
    assert angle is not None and pressure is not None
    volume = volume_over(assessment, angle)
    speed = assessment.speeds[place]
    marks = {words: value_at(assessment, id_, place) for id_, words in MARKS}
    # how far one cycle in twenty lies above the mean, and where the draws put the mean
    high = value_at(assessment, HIGH, place)
    low_of, high_of = (None if end is None else float(end[place]) for end in (peaks.low, peaks.high))
    alt = _alt(speed, peaks.values[place], low_of, high_of, marks, high, system)
    data: dict[str, Any] = {
        "plot": "cylinder-pressure", "build": judgement.name, "ambient": assessment.ambients[0],
        "engine_speed": {"unit": "rad/s", "value": speed},
        "angle": {"quantity": "crank.angle", "unit": "rad", "values": finite(angle),
                  "from": "firing top dead centre"},
        "pressure": {"quantity": "cylinder.pressure_trace", "unit": "Pa", "values": finite(pressure)},
        "volume": {"unit": "m^3", "values": finite(volume)},
        "peak": {"quantity": PEAK, "unit": "Pa", "value": finite(peaks.values[place]), "low": finite(low_of),
                 "high": finite(high_of)},
        "high_cycle": {"quantity": HIGH, "unit": "Pa", "value": finite(high)},
        "marks": [{"quantity": id_, "is": words, "unit": "rad", "value": finite(marks[words])} for id_, words in MARKS],
    }
    with style():
        figure, (over_angle, over_volume) = sheet([190.0, 180.0], top=22.0, gap=62.0, right=16.0, share=False)
        unit = scale("Pa", system)
        _angle(over_angle, np.degrees(angle), unit.of(pressure), marks, unit, low_of, high_of, high)
        _volume(over_volume, np.degrees(angle), scale("m^3", system).of(volume), unit.of(pressure), system)
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def volume_over(assessment: Assessment, angle: FloatArray) -> FloatArray:
    """Volume of one cylinder over crank angle. [m^3]"""
    found = {id_: numbers_of(assessment, id_) for id_ in
             ("engine.bore", "engine.stroke", "engine.rod_length", "cylinder.clearance_volume", "engine.pin_offset")}
    area = np.pi / 4.0 * (found["engine.bore"] or np.nan) ** 2
    travel = piston_travel(angle, found["engine.stroke"], found["engine.rod_length"], found["engine.pin_offset"] or 0.0)
    return np.asarray((found["cylinder.clearance_volume"] or np.nan) + area * travel)


def value_at(assessment: Assessment, id_: str, place: int) -> float | None:
    """A quantity of the typical build at the site and one speed."""
    one = drawn(assessment, id_)
    return None if one is None or not np.isfinite(one.values[place]) else float(one.values[place])


def _angle(
    panel: Axes, x: FloatArray, y: FloatArray, marks: dict[str, float | None], unit: Any, low: float | None,
    high: float | None, cycle: float | None,
) -> None:
    top = max(float(np.nanmax(y)), *(unit.one(v) for v in (high, cycle) if v is not None)) if high or cycle \
        else float(np.nanmax(y))
    panel.set_xlim(-180.0, 180.0)
    panel.set_ylim(0.0, 1.12 * top)
    panel.set_xticks(range(-180, 181, 60))
    panel.set_xlabel("deg after firing top dead centre")
    named(panel, f"cylinder pressure, {unit.unit} absolute")
    names = Names(panel)
    panel.axvline(0.0, color=INK, linewidth=0.8, linestyle=":")
    panel.plot(x, y, color=FIRST, linewidth=2.2)
    names.line(panel, x, y)
    names.line(panel, [0.0, 0.0], panel.get_ylim())
    peak_at = marks.get("peak")
    at_peak = float(np.degrees(peak_at)) if peak_at is not None else float(x[int(np.nanargmax(y))])
    peak = float(np.nanmax(y))
    frame = panel.get_window_extent()
    if low is not None and high is not None:
        panel.errorbar([at_peak], [peak], yerr=[[max(0.0, peak - unit.one(low))], [max(0.0, unit.one(high) - peak)]],
                       color=INK, capsize=4.0, linewidth=1.2)
        names.line(panel, [at_peak, at_peak], [unit.one(low), unit.one(high)])
    told = [(at_peak, peak, f"peak {peak:.0f} {unit.unit}\nat {at_peak:.0f} deg", "o")]
    if low is not None and high is not None:
        told[0] = (at_peak, peak, f"{told[0][2]}\n5 to 95 %: {unit.one(low):.0f} to {unit.one(high):.0f}", "o")
    if cycle is not None:
        panel.plot([at_peak - 22.0, at_peak + 22.0], [unit.one(cycle)] * 2, color=INK, linewidth=1.2, linestyle="--")
        names.line(panel, [at_peak - 22.0, at_peak + 22.0], [unit.one(cycle)] * 2)
        told.append((at_peak + 22.0, unit.one(cycle), "one cycle in twenty\nis above this", ""))
    half = marks.get("half burned")
    if half is not None:
        at = float(np.degrees(half))
        told.append((at, float(np.interp(at, x, y)), f"half burned\nat {at:.0f} deg", "D"))
    for at, value, words, mark in told:
        if mark:
            panel.plot([at], [value], marker=mark, markersize=6.5, color=INK, markerfacecolor="none",
                       markeredgewidth=1.4, linestyle="none", zorder=5)
        place = panel.transData.transform((at, value))
        # the burn is read on its own side: what is before the peak on the left, the peak on the right
        side = -1.0 if mark == "D" else 1.0
        want = (float(place[0]) + side * 60.0, min(float(place[1]), frame.y1 - 12.0))
        names.free(want, words, lead=(float(place[0]), float(place[1])) if mark else None)


def _volume(panel: Axes, angle: FloatArray, volume: FloatArray, pressure: FloatArray, system: System) -> None:
    """Both scales logarithmic: compression and expansion are near straight lines, and the pumping loop is seen."""
    from matplotlib.ticker import FixedLocator, NullLocator

    unit, room = scale("Pa", system), scale("m^3", system)
    panel.set_xscale("log")
    panel.set_yscale("log")
    panel.plot(np.append(volume, volume[0]), np.append(pressure, pressure[0]), color=SECOND, linewidth=1.8)
    low, high = float(np.nanmin(pressure)), float(np.nanmax(pressure))
    panel.set_ylim(low * 0.8, high * 1.5)
    panel.set_xlim(float(volume.min()) * 0.88, float(volume.max()) * 1.12)
    for axis, (first, last) in ((panel.xaxis, panel.get_xlim()), (panel.yaxis, panel.get_ylim())):
        steps = [s * 10.0**e for e in range(-2, 5) for s in (1.0, 2.0, 5.0) if first <= s * 10.0**e <= last]
        axis.set_major_locator(FixedLocator(steps))
        axis.set_minor_locator(NullLocator())
        axis.set_major_formatter(lambda value, _: f"{value:g}")
    panel.set_xlabel(f"volume of one cylinder, {room.unit}; both scales logarithmic")
    named(panel, f"cylinder pressure, {unit.unit} absolute")
    names = Names(panel)
    names.line(panel, volume, pressure)
    for words, centre in STROKES:
        part = np.abs((angle - centre + 360.0) % 720.0 - 360.0) <= 25.0
        names.put(panel, volume[part], pressure[part], words)


def _alt(
    speed: float, peak: float, low: float | None, high: float | None, marks: dict[str, float | None],
    cycle: float | None, system: System,
) -> str:
    spread = range_text(low, high, "Pa", system)
    told = (f"Cylinder pressure of the mean cycle at {value_text(speed, 'rad/s', system)}, the speed of its greatest "
            f"peak: {value_text(float(peak), 'Pa', system)} absolute" + (f" (5 to 95 %: {spread})" if spread else ""))
    if marks.get("peak") is not None:
        told += f" at {value_text(marks['peak'], 'rad', system)} after top dead centre"
    if marks.get("half burned") is not None:
        told += f"; half of the charge is burned at {value_text(marks['half burned'], 'rad', system)}"
    if cycle is not None:
        told += f". One cycle in twenty is above {value_text(cycle, 'Pa', system)}"
    return f"{told}. Below, the same over the volume of one cylinder."
