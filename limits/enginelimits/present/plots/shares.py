"""How much of its limit each subsystem uses: one bar each, its range as a whisker, its grade in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from enginelimits.decisions.standing import Standing, standing
from enginelimits.errors import InputError, Problem
from enginelimits.present.jsonform import place_data
from enginelimits.present.plots.canvas import finished, sheet, style
from enginelimits.present.plots.element import FIRST, INK, LIMIT
from enginelimits.present.plots.plot import Plot
from enginelimits.present.values import at_text, finite, value_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from enginelimits.decisions.verdict import Judgement
    from enginelimits.rules.catalogue import Catalogue
    from enginelimits.units.display import System

TITLE: Final = "Share of its limit that each subsystem uses"
# A bar that would be longer is cut there and says its number. [share]
LONGEST: Final = 1.5
ROW: Final = 37.0
LETTERS: Final = 64
# Beyond this a share says only that the limit is far behind. [share]
TELLING: Final = 2.0
TOLD: Final = 5


def plot(judgement: Judgement, system: System, catalogue: Catalogue | None, name: str) -> Plot:
    """The plot of one judged build; InputError where another catalogue judged it."""
    if catalogue is None:
        from datetime import date

        from enginelimits.rules.catalogue import load_catalogue

        catalogue = load_catalogue(as_of=date.fromisoformat(judgement.as_of))
    rows = standing(judgement, catalogue)
    if not rows:
        problem = Problem("the catalogue that judged the build, with at least one limit", "another",
                          key="margins", file=judgement.name)
        raise InputError([problem])
    alt = _alt(rows, system)
    data: dict[str, Any] = {
        "plot": "margins", "build": judgement.name, "share": "value over limit, 1 where the grade begins",
        "verdict": judgement.verdict.grade, "subsystems": [_data(row) for row in rows],
    }
    with style():
        figure, (panel,) = sheet([ROW * len(rows)], top=22.0, left=8.0, right=14.0)
        _bars(panel, rows, system)
        svg = finished(figure, name, TITLE, alt)
    return Plot(name, TITLE, svg, alt, data)


def _bars(panel: Axes, rows: Sequence[Standing], system: System) -> None:
    panel.set_xlim(0.0, LONGEST)
    panel.set_ylim(len(rows), 0.0)
    panel.set_xticks([0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5])
    panel.xaxis.set_major_formatter(lambda value, _: f"{100.0 * value:.0f}")
    panel.set_yticks([])
    panel.spines["left"].set_visible(False)
    panel.set_xlabel("value over limit, %; whisker: 5 to 95 % of the draws")
    panel.axvline(1.0, color=LIMIT, linewidth=1.4)
    panel.annotate("limit: the next grade begins", (1.0, 1.0), xycoords=panel.get_xaxis_transform(), ha="center",
                   va="bottom", textcoords="offset points", xytext=(0.0, 3.0), gid="halo", fontsize=9.0)
    for number, row in enumerate(rows):
        share = row.margin.ratio
        height, middle = 0.22, number + 0.56
        held, beyond = min(share, 1.0), min(share, LONGEST)
        panel.barh(middle, max(held, 0.004), height=height, color=FIRST, alpha=0.45, linewidth=0.0)
        panel.barh(middle, max(held, 0.004), height=height, facecolor="none", edgecolor=INK, linewidth=0.7)
        if beyond > 1.0:
            panel.barh(middle, beyond - 1.0, left=1.0, height=height, facecolor="none", edgecolor=LIMIT, hatch="////",
                       linewidth=0.0)
            panel.barh(middle, beyond - 1.0, left=1.0, height=height, facecolor="none", edgecolor=INK, linewidth=0.7)
        if row.low is not None and row.high is not None and row.high > row.low and row.low < LONGEST:
            low, high = max(row.low, 0.0), min(row.high, LONGEST)
            at = min(max(share, low), high)
            panel.errorbar([at], [middle], xerr=[[at - low], [high - at]], color=INK, linewidth=1.3, capsize=3.5)
        if max(share, row.high or 0.0) > LONGEST:
            panel.annotate("goes on", (LONGEST, middle), ha="right", va="center", fontsize=8.0, gid="halo",
                           textcoords="offset points", xytext=(-3.0, 0.0))
        _words(panel, number, row)


def _words(panel: Axes, number: int, row: Standing) -> None:
    """Family and rule on the left above the bar, share and grade on the right."""
    grade = f"{told_share(row.margin.ratio)}, {row.grade}"
    room = LETTERS - len(grade) - len(row.family)
    title = row.margin.title if len(row.margin.title) <= room else row.margin.title[: room - 2].rstrip() + ".."
    panel.text(0.0, number + 0.36, f"{row.family}:", fontweight="bold", fontsize=9.0, gid="halo")
    panel.annotate(title, (0.0, number + 0.36), textcoords="offset points",
                   xytext=(6.1 * (len(row.family) + 1) + 3.0, 0.0), fontsize=8.5, gid="halo")
    panel.text(LONGEST, number + 0.36, grade, ha="right", fontsize=9.0, gid="halo", fontweight="bold")
    if row.worst is not None:
        panel.text(0.0, number + 0.82, f"also {row.worst.grade}: {row.worst.title}", fontsize=8.0, gid="halo",
                   va="center")


def told_share(share: float) -> str:
    """A share as a report says it."""
    return f"{100.0 * share:.0f} %" if share <= TELLING else f"over {100.0 * TELLING:.0f} %"


def _data(row: Standing) -> dict[str, Any]:
    margin = row.margin
    return {
        "family": row.family, "rule": margin.rule, "title": margin.title, "quantity": margin.quantity,
        "value": finite(margin.value), "limit": finite(margin.limit), "unit": margin.unit, "at": place_data(margin.at),
        "share": finite(margin.ratio), "low": finite(row.low), "high": finite(row.high), "limit_grade": margin.grade,
        "grade": row.grade,
        "worst": None if row.worst is None else {"rule": row.worst.rule, "title": row.worst.title,
                                                 "grade": row.worst.grade},
    }


def _alt(rows: Sequence[Standing], system: System) -> str:
    told = []
    for row in rows[:TOLD]:
        margin = row.margin
        spread = f" (5 to 95 %: {100.0 * row.low:.0f} to {100.0 * row.high:.0f} %)" \
            if row.low is not None and row.high is not None and 0.005 < row.high - row.low < TELLING else ""
        value = value_text(margin.value, margin.unit, system, hint=margin.quantity)
        limit = value_text(margin.limit, margin.unit, system, hint=margin.quantity)
        place = at_text(margin.at, system)
        told.append(f"{row.family} {told_share(margin.ratio)}{spread}, {row.grade}: {margin.title}, {value} against "
                    f"{limit}{' ' + place if place else ''}")
    beyond = sum(row.margin.ratio > 1.0 for row in rows)
    return (f"Share of its limit that each of {len(rows)} subsystems uses, the typical build; {beyond} beyond 100 %. "
            f"{'; '.join(told)}.")
