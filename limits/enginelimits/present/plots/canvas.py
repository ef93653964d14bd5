"""The sheet that a plot is drawn on: a figure as wide as a phone in points, so that its letters can be read there."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from enginelimits.errors import InputError, Problem
from enginelimits.present.plots.element import INK, element

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Points: at 360 CSS pixels of width a letter of so many points has as many pixels.
WIDTH: Final = 360.0
SIZE: Final = 10.0
SMALL: Final = 9.0
LEFT, RIGHT = 46.0, 46.0
# The library lists its own settings as literals; these are some of them.
STYLE: Final[Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "enginelimits",
    "text.parse_math": False,
    "font.size": SIZE,
    "font.family": "DejaVu Sans",
    "axes.linewidth": 0.8,
    "axes.labelsize": SIZE,
    "xtick.labelsize": SIZE,
    "ytick.labelsize": SIZE,
    "axes.edgecolor": INK,
    "axes.spines.top": False,
    "axes.unicode_minus": False,
    "hatch.linewidth": 0.6,
    "lines.linewidth": 1.8,
}


def need_matplotlib() -> None:
    """InputError, naming the extra, where the library that draws is not there."""
    try:
        import matplotlib.figure  # noqa: F401
    except ImportError as error:
        problem = Problem("matplotlib, which draws plots", str(error), "pip install 'engine-limits[plots]'",
                          key="plots", file="this install")
        raise InputError([problem]) from error


@contextmanager
def style() -> Iterator[None]:
    """Our settings alone, whatever a machine's own configuration says."""
    need_matplotlib()
    import matplotlib

    with matplotlib.rc_context(), warnings.catch_warnings():
        # a name in letters that the measuring font lacks is still written as text
        warnings.simplefilter("ignore", UserWarning)
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(STYLE)
        yield


def sheet(
    heights: Sequence[float], *, top: float = 8.0, bottom: float = 36.0, gap: float = 10.0, left: float = LEFT,
    right: float = RIGHT, share: bool = True,
) -> tuple[Figure, list[Axes]]:
    """A figure and its panels from the top down, with heights in points; they share the horizontal axis or not."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    tall = top + sum(heights) + gap * (len(heights) - 1) + bottom
    figure = Figure(figsize=(WIDTH / 72.0, tall / 72.0), dpi=72.0, facecolor="none")
    FigureCanvasSVG(figure)
    panels: list[Axes] = []
    edge = tall - top
    for height in heights:
        edge -= height
        box = (left / WIDTH, edge / tall, (WIDTH - left - right) / WIDTH, height / tall)
        shared = panels[0] if panels and share else None
        panel = figure.add_axes(box, sharex=shared, facecolor="none")
        panel.spines["right"].set_visible(False)
        panels.append(panel)
        edge -= gap
    if share:
        for panel in panels[:-1]:
            panel.tick_params(labelbottom=False)
    return figure, panels


def beside(panel: Axes) -> Axes:
    """A second vertical axis on the right."""
    other = panel.twinx()
    other.set_facecolor("none")
    other.spines["right"].set_visible(True)
    other.spines["left"].set_visible(False)
    return other


def named(panel: Axes, words: str) -> None:
    """The name of a panel's vertical axis, level above its left end where it needs no room beside."""
    panel.text(0.0, 1.0, words, transform=panel.transAxes, va="bottom", ha="left", fontsize=SIZE, gid="halo")


def finished(figure: Figure, name: str, title: str, alt: str) -> str:
    """The figure as one element."""
    text = StringIO()
    figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return element(text.getvalue(), name, title, alt)


def band(panel: Axes, x: Any, low: Any, high: Any, colour: str, *, hatch: str = "") -> None:
    """The range from the 5th to the 95th percentile; hatched where two bands have to differ without colour."""
    if low is None or high is None:
        return
    low, high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    if not np.isfinite(low).any():
        return
    panel.fill_between(x, low, high, facecolor=colour, alpha=0.18, linewidth=0.0)
    for edge in (low, high):
        panel.plot(x, edge, color=colour, linewidth=0.5, alpha=0.8, linestyle=hatch or "-")
