"""A measured pull on what the model says of it: points on a line with its band, the difference below."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.measured.read_back import at_site
from enginelimits.present.plots.canvas import band, finished, named, sheet, style
from enginelimits.present.plots.element import FIRST, INK
from enginelimits.present.plots.placing import Names
from enginelimits.present.plots.plot import Plot
from enginelimits.present.plots.scale import scale
from enginelimits.present.values import finite, value_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from enginelimits.measured.read_back import ReadBack
    from enginelimits.units.display import System

FloatArray = NDArray[np.float64]
TITLE: Final = "Measured pull against the model"
# Channel, quantity predicted, words, SI unit
CHANNELS: Final = (
    ("boost", "air.boost", "boost", "Pa"),
    ("lambda", "fuel.lambda_target", "lambda", "1"),
    ("charge_temperature", "air.manifold_temperature", "charge temperature", "K"),
)
ENDS: Final = (5.0, 95.0)


class Pair(NamedTuple):
    """One quantity measured and predicted at the same speeds, SI; ``low`` and ``high`` are None without draws."""

    name: str
    words: str
    unit: str
    measured: FloatArray
    predicted: FloatArray | None
    low: FloatArray | None
    high: FloatArray | None

    @property
    def residual(self) -> FloatArray | None:
        """Measured less predicted."""
        return None if self.predicted is None else self.measured - self.predicted


def plot(read: ReadBack, system: System, name: str) -> Plot:
    """The plot of one pull that was read back."""
    pairs = pairs_of(read)
    if not pairs:
        problem = Problem("torque, boost, lambda or charge temperature in the log", "none of them", key="--plot",
                          file=read.pull.log.file)
        raise InputError([problem])
    lead = pairs[0]
    alt = _alt(read, pairs, system)
    data: dict[str, Any] = {
        "plot": "log-against-model", "build": read.judgement.name, "log": read.pull.log.file.rpartition("/")[2],
        "pull": read.pull.number, "filter": read.pull.filter,
        "speeds": {"quantity": "engine.speed", "unit": "rad/s", "values": finite(read.speeds)},
        "pairs": [
            {"is": p.words, "channel": p.name, "unit": p.unit, "measured": finite(p.measured),
             "predicted": finite(p.predicted), "low": finite(p.low), "high": finite(p.high),
             "residual": finite(p.residual)}
            for p in pairs
        ],
    }
    with style():
        has_residual = lead.residual is not None
        heights = [170.0, *([70.0] if has_residual else []), *([80.0] * len(pairs[1:]))]
        figure, panels = sheet(heights, top=22.0, gap=24.0, right=14.0)
        x = scale("rad/s", system).of(read.speeds)
        panels[0].set_xlim(x[0], x[-1] + 0.02 * (x[-1] - x[0]))
        _pair(panels[0], x, lead, system, names=True)
        if has_residual:
            _residual(panels[1], x, lead, system)
        for panel, pair in zip(panels[1 + has_residual:], pairs[1:], strict=True):
            _pair(panel, x, pair, system)
        panels[-1].set_xlabel("engine speed, rpm")
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def pairs_of(read: ReadBack) -> list[Pair]:
    """What was measured beside what the model says of the build as described, at the speeds read back."""
    places = np.searchsorted(read.pull.speeds, read.speeds * (1.0 - 1e-9))
    pairs = []
    if read.wheel is not None:
        predicted = None if read.predicted_wheel is None else read.predicted_wheel / read.speeds
        pairs.append(_paired("wheel_torque", "torque at the wheels", "N*m", read.wheel.torque[places], predicted))
    for channel, id_, words, unit in CHANNELS:
        measured = read.pull.get(channel)
        if measured is not None and np.isfinite(measured[places]).any():
            pairs.append(_paired(channel, words, unit, measured[places], at_site(read.predicted, id_)))
    return pairs


def _paired(name: str, words: str, unit: str, measured: FloatArray, predicted: FloatArray | None) -> Pair:
    """``predicted`` is (1 + samples, speeds)."""
    if predicted is None or not np.isfinite(predicted[0]).any():
        return Pair(name, words, unit, measured, None, None, None)
    wide = np.broadcast_to(predicted, (predicted.shape[0], measured.size))
    low = high = None
    if wide.shape[0] > 1:
        low, high = np.full(measured.size, np.nan), np.full(measured.size, np.nan)
        seen = np.isfinite(wide[1:]).any(axis=0)
        low[seen], high[seen] = np.nanpercentile(wide[1:, seen], ENDS, axis=0)
    return Pair(name, words, unit, measured, wide[0].copy(), low, high)


def _pair(panel: Axes, x: FloatArray, pair: Pair, system: System, *, names: bool = False) -> None:
    unit = scale(pair.unit, system)
    kind = " gauge" if pair.unit == "Pa" else ""
    named(panel, f"{pair.words}, {unit.unit}{kind}" if unit.unit else pair.words)
    y = unit.of(pair.measured)
    every = [y]
    if pair.predicted is not None:
        line = unit.of(pair.predicted)
        every.append(line)
        if pair.low is not None and pair.high is not None:
            band(panel, x, unit.of(pair.low), unit.of(pair.high), FIRST)
            every += [unit.of(pair.low), unit.of(pair.high)]
        panel.plot(x, line, color=FIRST, linewidth=2.0)
    panel.plot(x, y, color=INK, marker="o", markersize=3.6, markerfacecolor="none", linestyle="none",
               markeredgewidth=1.1)
    low, high = float(np.nanmin(np.concatenate(every))), float(np.nanmax(np.concatenate(every)))
    room = 0.12 * ((high - low) or 1.0)
    panel.set_ylim(low - room, high + room)
    if names:
        put = Names(panel)
        put.line(panel, x, y)
        if pair.predicted is not None:
            put.line(panel, x, unit.of(pair.predicted))
            point = len(x) // 3
            where = panel.transData.transform((x[point], unit.of(pair.predicted)[point]))
            put.free((float(where[0]), float(where[1]) - 24.0), "line: model, band 5 to 95 %",
                     lead=(float(where[0]), float(where[1])))
        point = 2 * len(x) // 3
        where = panel.transData.transform((x[point], y[point]))
        put.free((float(where[0]), float(where[1]) - 24.0), "rings: measured", lead=(float(where[0]), float(where[1])))


def _residual(panel: Axes, x: FloatArray, pair: Pair, system: System) -> None:
    """Measured less model: of torque in per cent of the model, of all else in its own unit."""
    assert pair.residual is not None and pair.predicted is not None
    unit = scale(pair.unit, system)
    of, words = (100.0 / pair.predicted, "%") if pair.unit == "N*m" else (np.full(x.size, unit.factor), unit.unit)
    off = of * pair.residual
    named(panel, f"measured less model, {words}" if words else "measured less model")
    panel.axhline(0.0, color=INK, linewidth=0.9)
    panel.vlines(x, 0.0, off, color=INK, linewidth=0.8, alpha=0.7)
    panel.plot(x, off, color=INK, marker="o", markersize=3.6, linestyle="none", markerfacecolor="none",
               markeredgewidth=1.1)
    if pair.low is not None and pair.high is not None:
        band(panel, x, of * (pair.low - pair.predicted), of * (pair.high - pair.predicted), FIRST)


def _alt(read: ReadBack, pairs: list[Pair], system: System) -> str:
    told = [f"Pull {read.pull.number} of {read.pull.log.file.rpartition('/')[2]} against the model of the build as "
            f"described, {value_text(float(read.speeds[0]), 'rad/s', system)} to "
            f"{value_text(float(read.speeds[-1]), 'rad/s', system)}."]
    for pair in pairs:
        if pair.residual is None:
            continue
        off = pair.residual
        place = int(np.nanargmax(np.abs(off)))
        at = value_text(float(read.speeds[place]), "rad/s", system)
        if pair.name == "wheel_torque" and pair.predicted is not None:
            share = 100.0 * off / pair.predicted
            told.append(f"{pair.words.capitalize()} is {np.nanmean(share):+.1f} % off in the mean, "
                        f"{share[place]:+.1f} % at most, at {at}.")
        else:
            seen, made = (value_text(float(v[place]), pair.unit, system, hint=pair.name)
                          for v in (pair.measured, pair.predicted) if v is not None)
            told.append(f"{pair.words.capitalize()} is furthest off at {at}: {seen} measured, {made} predicted.")
    return " ".join(told)
