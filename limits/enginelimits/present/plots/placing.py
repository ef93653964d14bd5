"""Names put beside their lines, where they cover least."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from enginelimits.present.plots.canvas import SMALL
from enginelimits.present.plots.element import INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FloatArray = NDArray[np.float64]

# A letter of the widest common sans serif over its size; measured text would depend on the fonts of the machine.
LETTER = 0.60
TALL = 1.15


@dataclass
class Names:
    """The lines of one place on the sheet, in points, and the boxes of the names that stand there already."""

    panel: Axes
    points: list[FloatArray] = field(default_factory=list)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def line(self, panel: Axes, x: Any, y: Any) -> None:
        """Remember a line, so that names keep off it.  The limits of its axes must be set by now."""
        self.points.append(_dense(panel, x, y))

    def put(
        self, panel: Axes, x: Any, y: Any, words: str, *, near: float = 0.5, size: float = SMALL, weight: str = "normal"
    ) -> None:
        """Write the name above or below a line; ``near`` is the share of its length where it is best looked for."""
        at = _dense(panel, x, y)
        frame = self.panel.get_window_extent()
        inside = at[(at[:, 0] >= frame.x0) & (at[:, 0] <= frame.x1) & (at[:, 1] >= frame.y0) & (at[:, 1] <= frame.y1)]
        if not len(inside):
            return
        width, height = LETTER * size * len(words), TALL * size
        best: tuple[float, tuple[float, float, float, float]] | None = None
        wanted = inside[0, 0] + near * (inside[-1, 0] - inside[0, 0])
        for x0, y0 in inside[:: max(1, len(inside) // 60)]:
            for shift in (0.5, 1.5, -1.5 - height, -4.0 - height, 5.0):
                left = min(max(x0 - width / 2.0, frame.x0 + 2.0), frame.x1 - width - 2.0)
                box = (left, y0 + shift, left + width, y0 + shift + height)
                cost = self._cost(box) + abs(x0 - wanted) / 40.0 + (0.4 if shift < 0.0 else 0.0)
                cost += 40.0 * max(0.0, box[3] - frame.y1 - 4.0) + 40.0 * max(0.0, frame.y0 - box[1])
                if best is None or cost < best[0]:
                    best = cost, box
        assert best is not None
        self.write(best[1], words, size, weight)

    def free(
        self, at: tuple[float, float], words: str, *, size: float = SMALL, apart: float = 0.0, weight: str = "normal",
        lead: tuple[float, float] | None = None,
    ) -> tuple[float, float, float, float]:
        """Write where nothing is covered, as near as can be to a point on the sheet; the box that was taken.

        ``apart`` keeps the box at least so far from the point; lines are those of ``words``.  ``lead`` is a point that
        a thin line leads to from the box.
        """
        rows = words.split("\n")
        width, height = LETTER * size * max(map(len, rows)), TALL * size * len(rows)
        frame = self.panel.get_window_extent()
        across = np.linspace(frame.x0 + 3.0, max(frame.x1 - width - 3.0, frame.x0 + 3.0), 40)
        up = np.linspace(frame.y0 + 3.0, max(frame.y1 - height - 3.0, frame.y0 + 3.0), 40)
        best: tuple[float, tuple[float, float, float, float]] | None = None
        for left in across:
            for low in up:
                box = (float(left), float(low), float(left + width), float(low + height))
                away = np.hypot(max(box[0] - at[0], at[0] - box[2], 0.0), max(box[1] - at[1], at[1] - box[3], 0.0))
                roomy = (box[0] - 2.0, box[1] - 3.0, box[2] + 2.0, box[3] + 3.0)
                cost = 3.0 * self._cost(roomy) + float(away) / 12.0 + (50.0 if away < apart else 0.0)
                if best is None or cost < best[0]:
                    best = cost, box
        assert best is not None
        x0, y0, x1, y1 = best[1]
        for number, row in enumerate(rows):
            top = y1 - number * TALL * size
            self.write((x0, top - TALL * size, x1, top), row, size, weight)
        if lead is not None:
            self._lead(best[1], lead)
        return x0, y0, x1, y1

    def _lead(self, box: tuple[float, float, float, float], to: tuple[float, float]) -> None:
        """A thin line from the edge of a box to just before a point."""
        start = np.array([np.clip(to[0], box[0] + 4.0, box[2] - 4.0), np.clip(to[1], box[1] + 3.0, box[3] - 3.0)])
        if not box[0] <= to[0] <= box[2]:
            start[0] = box[0] - 1.0 if to[0] < box[0] else box[2] + 1.0
        else:
            start[1] = box[1] if to[1] < box[1] else box[3]
        way = np.array(to) - start
        length = float(np.hypot(*way))
        if length < 8.0:
            return
        end = start + way * (1.0 - 5.5 / length)
        inside = self.panel.transData.inverted().transform([start, end])
        self.panel.plot(inside[:, 0], inside[:, 1], color=INK, linewidth=0.7, scalex=False, scaley=False)
        self.points.append(_dense(self.panel, inside[:, 0], inside[:, 1]))

    def write(
        self, box: tuple[float, float, float, float], words: str, size: float = SMALL, weight: str = "normal"
    ) -> None:
        """Write in a box given in points."""
        self.boxes.append(box)
        figure = self.panel.figure
        across, up = figure.bbox.width, figure.bbox.height
        figure.text((box[0] + box[2]) / 2.0 / across, (box[1] + 0.24 * size) / up, words, fontsize=size, color=INK,
                    ha="center", va="baseline", gid="halo", fontweight=weight)

    def _cost(self, box: tuple[float, float, float, float]) -> float:
        x0, y0, x1, y1 = box
        if len(self.points) > 1:
            self.points = [np.concatenate(self.points)]
        hit = sum(int(((p[:, 0] > x0) & (p[:, 0] < x1) & (p[:, 1] > y0) & (p[:, 1] < y1)).sum()) for p in self.points)
        over = sum(
            max(0.0, min(x1, b[2]) - max(x0, b[0]) + 3.0) * max(0.0, min(y1, b[3]) - max(y0, b[1]) + 1.0)
            for b in self.boxes
        )
        return 1.0 * hit + 5.0 * over


def _dense(panel: Axes, x: Any, y: Any) -> FloatArray:
    """A line as points on the sheet, at most three apart, the unknown left out."""
    pairs = np.column_stack([np.asarray(x, dtype=float), np.asarray(y, dtype=float)])
    pairs = pairs[np.isfinite(pairs).all(axis=1)]
    if not len(pairs):
        return np.empty((0, 2))
    shown = np.asarray(panel.transData.transform(pairs))
    parts = [shown[:1]]
    for start, end in pairwise(shown):
        count = int(np.hypot(*(end - start)) // 3.0) + 1
        parts.append(start + (end - start) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(parts)
