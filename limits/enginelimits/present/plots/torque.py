"""Torque and power over engine speed, with what limits them; boost and lambda on the same speeds below."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.physics.numerics.extremes import first_greatest
from enginelimits.present.plots.canvas import band, beside, finished, named, sheet, style
from enginelimits.present.plots.columns import Line, drawn, line_data, numbers_of
from enginelimits.present.plots.element import FIRST, INK, LIMIT, SECOND
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

TITLE: Final = "Torque and power, with what limits them"
ZONE: Final = "preignition.torque_cap"
ZONE_END: Final = "class.preignition.open_end"
# Column of a torque that is allowed, and its name
LIMITS: Final = (
    (ZONE, "low-speed pre-ignition"),
    ("rod.torque_cap", "rods as columns"),
    ("piston.land_torque_cap", "piston lands"),
    ("driveline.clutch_capacity", "clutch"),
    ("driveline.gearbox_rating", "gearbox rating"),
)
# A limit further off than this share of the greatest torque is told in words, so that the curves keep their height.
FAR: Final = 1.6


class Limit(NamedTuple):
    """A torque that something allows, over engine speed; NaN where it says nothing."""

    id: str
    words: str
    torque: FloatArray


class First(NamedTuple):
    """Where torque comes to a limit first, or nearest to one; ``over`` is torque less the limit there."""

    limit: Limit
    place: int
    over: float


def plot(judgement: Judgement, system: System, name: str) -> Plot:
    """The plot of one judged build."""
    assessment = judgement.assessment
    torque, power = drawn(assessment, "crank.torque"), drawn(assessment, "crank.power")
    if torque is None or power is None:
        problem = Problem("torque and power", "none, as they could not be computed", key="crank.power",
                          file=judgement.name)
        raise InputError([problem])
    boost, mixture = drawn(assessment, "air.boost"), drawn(assessment, "fuel.lambda_target")
    boosted = boost is not None and bool(np.nanmax(boost.values, initial=0.0) > 0.0)
    limits = limits_of(assessment) if boosted else ()
    first = first_of(torque, limits)
    marks = {id_: numbers_of(assessment, f"engine.{id_}") for id_ in ("redline", "limiter")}
    lower = [one for one in (boost if boosted else None, mixture) if one is not None]
    alt = _alt(judgement, torque, power, boost if boosted else None, first, limits, system)
    data: dict[str, Any] = {
        "plot": "torque-and-power", "build": judgement.name, "ambient": assessment.ambients[0],
        "speeds": {"quantity": "engine.speed", "unit": "rad/s", "values": list(assessment.speeds)},
        "lines": [line_data(one) for one in (torque, power, *lower)],
        "limits": [{"quantity": one.id, "is": one.words, "unit": "N*m", "values": finite(one.torque)}
                   for one in limits],
        "first_limit": None if first is None else {
            "quantity": first.limit.id, "is": first.limit.words, "engine_speed": assessment.speeds[first.place],
            "torque": finite(torque.values[first.place]), "limit": finite(first.limit.torque[first.place]),
            "reached": bool(first.over > 0.0), "unit": "N*m"},
        "marks": [{"input": f"engine.{id_}", "unit": "rad/s", "value": value} for id_, value in marks.items()],
    }
    with style():
        figure, panels = sheet([232.0, *([70.0] * len(lower))], top=22.0, gap=20.0)
        x = scale("rad/s", system).of(assessment.speeds)
        _curves(panels[0], x, torque, power, limits, first, marks, system)
        for panel, one, words in zip(panels[1:], lower, ["boost", "lambda"][2 - len(lower):], strict=True):
            _below(panel, x, one, words, system, marks)
        panels[-1].set_xlabel("engine speed, rpm")
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def limits_of(assessment: Assessment) -> tuple[Limit, ...]:
    """The torques that are allowed, each over engine speed, the typical build at the site."""
    found = []
    zone_end = numbers_of(assessment, ZONE_END)
    for id_, words in LIMITS:
        one = drawn(assessment, id_)
        if one is None or not np.isfinite(one.values).any():
            continue
        allowed = one.values.copy()
        if id_ == ZONE and zone_end is not None:
            # as the cap reads it: beyond its end the zone says nothing
            allowed[np.array(assessment.speeds) > zone_end] = np.nan
        if np.isfinite(allowed).any():
            found.append(Limit(id_, words, allowed))
    return tuple(found)


def first_of(torque: Line, limits: tuple[Limit, ...]) -> First | None:
    """The lowest speed at which torque is above a limit, else the place where it is nearest to one."""
    if not limits:
        return None
    over = np.array([torque.values - limit.torque for limit in limits])
    beyond = np.nanmax(np.where(np.isfinite(over), over, -np.inf), axis=0)
    place = int(np.argmax(beyond > 0.0)) if (beyond > 0.0).any() else first_greatest(beyond)
    which = first_greatest(over[:, place])
    return First(limits[which], place, float(over[which, place]))


def _curves(
    panel: Axes, x: FloatArray, torque: Line, power: Line, limits: tuple[Limit, ...], first: First | None,
    marks: dict[str, float | None], system: System,
) -> None:
    turning, working = scale("N*m", system), scale("W", system)
    other = beside(panel)
    y, p = turning.of(torque.values), working.of(power.values)
    top = float(np.nanmax(turning.of(torque.high if torque.high is not None else torque.values)))
    near = [one for one in limits if np.nanmin(turning.of(one.torque)) < FAR * top]
    shown = max([top, *(min(float(np.nanmin(turning.of(one.torque))) * 1.02, FAR * top) for one in near)])
    panel.set_ylim(0.0, 1.16 * shown)
    strongest = float(np.nanmax(working.of(power.high if power.high is not None else power.values)))
    other.set_ylim(0.0, 1.16 * max(strongest, strongest * shown / top))
    panel.set_xlim(x[0], x[-1] + 0.06 * (x[-1] - x[0]))
    named(panel, f"torque, {turning.unit}")
    other.text(1.0, 1.0, f"power, {working.unit}", transform=other.transAxes, va="bottom", ha="right", gid="halo")
    for axes, one, colour in ((panel, torque, FIRST), (other, power, SECOND)):
        unit = turning if one is torque else working
        if one.low is not None and one.high is not None:
            band(axes, x, unit.of(one.low), unit.of(one.high), colour, hatch=":" if one is power else "")
    names = Names(panel)
    panel.plot(x, y, color=FIRST, linewidth=2.4)
    other.plot(x, p, color=SECOND, linewidth=1.8, linestyle=(0, (6, 2)))
    names.line(panel, x, y)
    names.line(other, x, p)
    for limit in near:
        names.line(panel, x, turning.of(limit.torque))
    for words, speed in marks.items():
        _speed_mark(panel, names, words, speed)
    if first is not None:
        _mark_first(panel, names, x[first.place], y[first.place], first)
    names.put(panel, x, y, "torque", near=0.3, size=10.0, weight="bold")
    names.put(other, x, p, "power", near=0.45, size=10.0, weight="bold")
    for limit in near:
        _limit(panel, names, x, turning.of(limit.torque), limit)
    far = [f"{one.words} from {np.nanmin(turning.of(one.torque)):.0f}" for one in limits if one not in near]
    if far:
        frame = panel.get_window_extent()
        names.free((frame.x1, frame.y0), "\n".join([f"above, {turning.unit}:", *far]), size=8.0)


def _limit(panel: Axes, names: Names, x: FloatArray, y: FloatArray, limit: Limit) -> None:
    """One line of what is allowed; the pre-ignition zone as the hatched ground above it."""
    if limit.id == ZONE:
        known = np.isfinite(y)
        panel.fill_between(x[known], y[known], panel.get_ylim()[1], facecolor="none", edgecolor=LIMIT, hatch="///",
                           linewidth=0.0, alpha=0.55)
    panel.plot(x, y, color=LIMIT, linewidth=1.3, linestyle=(0, (7, 2, 1.5, 2)))
    names.put(panel, x, y, limit.words, near=0.2 if limit.id == ZONE else 0.75)


def _mark_first(panel: Axes, names: Names, x: float, y: float, first: First) -> None:
    """A ring where the first limit binds, and its name in the nearest free place."""
    panel.plot([x], [y], marker="o", markersize=9.0, markerfacecolor="none", markeredgecolor=INK, markeredgewidth=1.6,
               linestyle="none", zorder=5)
    at = np.asarray(panel.transData.transform((x, y)))
    names.boxes.append((float(at[0]) - 6.0, float(at[1]) - 6.0, float(at[0]) + 6.0, float(at[1]) + 6.0))
    said = f"first limit: {first.limit.words}" if first.over > 0.0 else f"nearest limit: {first.limit.words}"
    place = (float(at[0]), float(at[1]))
    names.free(place, said, apart=14.0, lead=place)


def _speed_mark(panel: Axes, names: Names, words: str, speed: float | None) -> None:
    """Redline and limiter as upright lines with their names along them."""
    if speed is None:
        return
    at = speed * 30.0 / np.pi
    left = words == "redline"
    _upright(panel, words, speed)
    names.line(panel, [at, at], panel.get_ylim())
    panel.annotate(words, (at, 0.03), xycoords=panel.get_xaxis_transform(), rotation=90, fontsize=8.5,
                   ha="right" if left else "left", va="bottom", textcoords="offset points",
                   xytext=(-1.5 if left else 1.5, 0.0), gid="halo", annotation_clip=False)
    beside_line = float(panel.transData.transform((at, 0.0))[0]) + (-12.0 if left else 1.0)
    names.boxes.append((beside_line, panel.get_window_extent().y0, beside_line + 11.0,
                        panel.get_window_extent().y0 + 46.0))


def _upright(panel: Axes, words: str, speed: float) -> None:
    panel.axvline(speed * 30.0 / np.pi, color=INK, linewidth=0.9, linestyle=":" if words == "redline" else "-",
                  alpha=0.6)


def _below(panel: Axes, x: FloatArray, one: Line, words: str, system: System, marks: dict[str, float | None]) -> None:
    unit = scale(one.unit, system)
    y = unit.of(one.values)
    kind = " gauge" if one.unit == "Pa" else ""
    named(panel, f"{words}, {unit.unit}{kind}" if unit.unit else words)
    if one.low is not None and one.high is not None:
        band(panel, x, unit.of(one.low), unit.of(one.high), FIRST)
    panel.plot(x, y, color=FIRST, linewidth=2.0)
    low, high = (float(f(unit.of(e if e is not None else one.values)))
                 for f, e in ((np.nanmin, one.low), (np.nanmax, one.high)))
    if one.unit == "Pa":
        panel.set_ylim(min(0.0, low), 1.15 * max(high, 1e-9))
    else:
        panel.set_ylim(min(low, 0.75) - 0.02, max(high, 1.0) + 0.04)
        panel.axhline(1.0, color=INK, linewidth=0.7, linestyle=":", alpha=0.6)
    for mark, speed in marks.items():
        if speed is not None:
            _upright(panel, mark, speed)


def _alt(
    judgement: Judgement, torque: Line, power: Line, boost: Line | None, first: First | None,
    limits: tuple[Limit, ...], system: System,
) -> str:
    speeds = judgement.assessment.speeds
    told = []
    for words, one in (("Torque", torque), ("power", power)):
        place = first_greatest(one.values)
        spread = ""
        if one.low is not None and one.high is not None:
            spread = range_text(one.low[place], one.high[place], one.unit, system, hint=one.id)
        told.append(f"{words} is greatest with {value_text(one.values[place], one.unit, system, hint=one.id)}"
                    + (f" (5 to 95 %: {spread})" if spread else "")
                    + f" at {value_text(speeds[place], 'rad/s', system)}")
    said = f"{' and '.join(told)}."
    if boost is not None:
        said += f" Boost rises to {value_text(float(np.nanmax(boost.values)), 'Pa', system, kind='gauge')}."
    if first is not None:
        at = value_text(speeds[first.place], "rad/s", system)
        limit = value_text(float(first.limit.torque[first.place]), "N*m", system)
        if first.over > 0.0:
            said += f" The first limit that torque passes is {first.limit.words}, {limit}, from {at} on."
        else:
            said += f" No limit is passed; nearest is {first.limit.words}, {limit}, at {at}."
        said += f" Limits drawn: {', '.join(one.words for one in limits)}."
    return said
