"""Which measurement moves the verdict: how often it would change, and how much of a margin's variance goes with it."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from enginelimits.present.measure import by_measurement
from enginelimits.present.plots.canvas import finished, sheet, style
from enginelimits.present.plots.element import FIRST, INK, SECOND
from enginelimits.present.plots.plot import Plot
from enginelimits.present.values import finite

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from enginelimits.decisions.measure import Blocking, Measured, Share, Unknown
    from enginelimits.decisions.measurements import Measurement
    from enginelimits.units.display import System

TITLE: Final = "Which measurement moves the verdict"
SHOWN: Final = 7
ROW: Final = 68.0
WIDE: Final = 58
Group = tuple["Measurement", "list[Unknown]"]


def plot(found: Measured, system: System, name: str) -> Plot:
    """The plot of what ``measure`` found."""
    groups = by_measurement(found.unknowns)
    shown = groups[:SHOWN]
    alt = _alt(found, groups)
    data: dict[str, Any] = {
        "plot": "sensitivity", "build": found.judgement.name, "verdict": found.judgement.verdict.grade,
        "draws": found.judgement.samples_valid,
        "measurements": [
            {"how": measurement.how, "enter": measurement.enter or None,
             "inputs": [{"path": u.given.path, "verdict_changes": finite(u.flips), "removes": finite(u.removes),
                         "shares": [_share_data(s) for s in u.shares]} for u in group]}
            for measurement, group in shown
        ],
        "missing": [{"path": b.path, "could_be": b.could_be, "how": b.measurement.how or None}
                    for b in found.blocking],
    }
    rows = _blocked(found.blocking)
    with style():
        tall = 13.0 * len(rows) + (8.0 if rows else 0.0)
        heights = ([tall] if rows else []) + [max(ROW * len(shown), 40.0)]
        figure, panels = sheet(heights, top=8.0, bottom=50.0, left=8.0, right=14.0, gap=16.0, share=False)
        if rows:
            _missing(panels[0], rows)
        _bars(panels[-1], shown)
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def greatest(group: Sequence[Unknown]) -> tuple[Unknown, Share]:
    """The input and the margin of which a measurement takes most."""
    return max(((u, s) for u in group for s in u.shares), key=lambda pair: pair[1].index.share)


def _blocked(blocking: Sequence[Blocking]) -> list[str]:
    return [f"missing: {b.path}, could be {b.could_be}" for b in blocking[:4]] + (
        [f"and {len(blocking) - 4} more"] if len(blocking) > 4 else [])


def _missing(panel: Axes, rows: Sequence[str]) -> None:
    """What is missing beats any range, and stands before it."""
    panel.set_axis_off()
    panel.set_xlim(0.0, 1.0)
    panel.set_ylim(len(rows), 0.0)
    for number, words in enumerate(rows):
        panel.text(0.0, number + 0.5, words, fontsize=9.0, va="center", fontweight="bold")


def _bars(panel: Axes, shown: Sequence[Group]) -> None:
    panel.set_xlim(0.0, 1.0)
    panel.set_ylim(max(len(shown), 1), 0.0)
    panel.set_yticks([])
    panel.spines["left"].set_visible(False)
    panel.xaxis.set_major_formatter(lambda value, _: f"{100.0 * value:.0f}")
    panel.set_xlabel("solid: % of draws in which a finding would change\n"
                     "open: % of its variance, +- one standard error")
    if not shown:
        panel.text(0.0, 0.5, "No single unknown stands out of chance; more draws may tell.", fontsize=9.0, va="center")
    for number, (measurement, group) in enumerate(shown):
        _, share = greatest(group)
        moved = max((s for u in group for s in u.shares), key=lambda s: s.flips)
        verdict = max(u.flips for u in group)
        panel.text(0.0, number + 0.12, f"{number + 1}.", fontsize=8.5, va="center", fontweight="bold", gid="halo")
        rows = textwrap.wrap(measurement.how, WIDE)[:2]
        for row, text in enumerate(rows):
            panel.annotate(text, (0.0, number + 0.12 + 0.16 * row), fontsize=8.5, va="center", gid="halo",
                           textcoords="offset points", xytext=(12.0, 0.0))
        at = number + 0.12 + 0.16 * len(rows)
        part = min(max(share.index.share, 0.0), 1.0)
        error = min(share.index.error, 1.0)
        panel.barh(at, moved.flips, height=0.10, color=FIRST, linewidth=0.0)
        panel.barh(at, max(moved.flips, 0.003), height=0.10, facecolor="none", edgecolor=INK, linewidth=0.7)
        panel.barh(at + 0.13, part, height=0.10, facecolor="none", edgecolor=SECOND, linewidth=1.2)
        panel.errorbar([part], [at + 0.13], xerr=[[min(error, part)], [min(error, 1.0 - part)]], color=INK,
                       linewidth=1.1, capsize=3.0)
        told = (f"{moved.margin.rule} would change in {100.0 * moved.flips:.0f} %, the verdict in "
                f"{100.0 * verdict:.0f} %",
                f"{100.0 * part:.0f} % of {share.margin.rule} {share.margin.title}")
        for row, words in enumerate(told):
            panel.text(0.0, at + 0.27 + 0.14 * row, words, va="center", fontsize=8.0, gid="halo")


def _share_data(share: Share) -> dict[str, Any]:
    return {
        "rule": share.margin.rule, "quantity": share.margin.quantity, "of": "grade" if share.graded else "quantity",
        "index": finite(share.index.share), "standard_error": finite(share.index.error),
        "level_of_chance": finite(share.level), "grades": list(share.grades), "finding_changes": finite(share.flips),
    }


def _alt(found: Measured, groups: Sequence[Group]) -> str:
    said: list[str] = []
    if found.blocking:
        said.append(f"Missing, which beats any range: {', '.join(b.path for b in found.blocking[:4])}.")
    if not groups:
        said.append("No single unknown stands out of chance in the decisive margins.")
    for number, (measurement, group) in enumerate(groups[:3], 1):
        unknown, share = greatest(group)
        flips, changes = max(u.flips for u in group), max(s.flips for u in group for s in u.shares)
        said.append(f"{number}. {measurement.how}: the verdict would change in {100.0 * flips:.0f} % of the draws, a "
                    f"finding in {100.0 * changes:.0f} %; "
                    f"{unknown.given.path} has {100.0 * share.index.share:.0f} % "
                    f"(+-{100.0 * share.index.error:.0f}) of the variance in {share.margin.title}.")
    return " ".join(said)
