"""All that was found, for readers who want the whole: the nodes that ``check --full`` prints."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from enginelimits.decisions.influence import weightiest
from enginelimits.present.page.wording import plain_path
from enginelimits.present.tree import Node, Run, line, table
from enginelimits.present.values import range_text, value_text
from enginelimits.present.verdict import (
    figures_line,
    finding_nodes,
    footing_line,
    gap_nodes,
    notice_nodes,
    sureness_lines,
    verdict_line,
)

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.description.filled import Input
    from enginelimits.units.display import System


def short(judgement: Judgement, system: System) -> Iterable[Node]:
    """The verdict and its figures."""
    yield verdict_line(judgement, system)
    figures = figures_line(judgement, system, True)
    if figures is not None:
        yield figures


def found(judgement: Judgement, system: System) -> Iterable[Node]:
    """Every finding in full and everything that could not be judged."""
    nodes = [*finding_nodes(judgement, system, True), *gap_nodes(judgement)]
    yield from nodes or [line("Nothing was found.")]


def told(judgement: Judgement) -> Iterable[Node]:
    """Notices, questions and the shop's own values."""
    yield from notice_nodes(judgement, True)
    yield from (line(Run(f"Shop value: {said}", "strong")) for said in judgement.shop_values)


def footing(judgement: Judgement, system: System) -> Iterable[Node]:
    """What the figures rest on."""
    yield from sureness_lines(judgement, system)
    yield footing_line(judgement)


def assumptions(judgement: Judgement, system: System, most: int) -> Iterable[Node]:
    """The assumed values that weigh most, and how many more there are."""
    ranked = weightiest(judgement)
    if not ranked:
        return
    rows = [_assumed(given, system) for given in ranked[:most]]
    yield table(("path in the build file", "what", "value", "range", "from"), rows, wide=1,
                caption="Assumed, what weighs most first")
    if len(ranked) > most:
        yield line(Run(f"And {len(ranked) - most} more; the data of this report holds them all.", "muted"))


def _assumed(given: Input, system: System) -> Sequence[Run | str]:
    words = ("a curve by engine speed" if given.curve is not None else
             value_text(given.value, given.unit, system, kind=given.kind, hint=given.path))
    spread = range_text(given.low, given.high, given.unit, system, kind=given.kind, hint=given.path)
    origin = given.from_class or given.source
    return [given.path, plain_path(given.path), Run(words, "assumed"), Run(spread, "assumed"), origin]
