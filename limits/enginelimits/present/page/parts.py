"""What a page is made of: parts of one report tree, which text, HTML and data all come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Final, Protocol

from enginelimits.present.tree import Heading, Item, Line, Node, Table, Tree, line

if TYPE_CHECKING:
    from enginelimits.decisions.ladder import Ladder
    from enginelimits.decisions.plan import Plan
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.rules.catalogue import Catalogue
    from enginelimits.units.display import System

READERS: Final = ("customer", "enthusiast", "calibrator", "builder", "shop")
BLANK, SHORT_BLANK, LONG_BLANK = "_" * 12, "_" * 6, "_" * 24


class Drawn(Protocol):
    """A plot as the page needs it: one self-contained drawing, its words, and the numbers behind it."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def svg(self) -> str: ...
    @property
    def printed(self) -> str: ...
    @property
    def alt(self) -> str: ...
    @property
    def data(self) -> Any: ...


@dataclass(frozen=True)
class Matter:
    """All that a page may speak of.

    ``plan`` and ``ladder`` are None where they were not asked for or cannot be; ``without`` says why, by name.
    """

    judgement: Judgement
    catalogue: Catalogue
    system: System
    build_file: str
    digest: str
    plan: Plan | None = None
    ladder: Ladder | None = None
    plots: tuple[Drawn, ...] = ()
    without: tuple[tuple[str, str], ...] = ()

    def why_without(self, name: str) -> str:
        """Why something is not on the page; empty where nobody said."""
        return dict(self.without).get(name, "")


@dataclass(frozen=True)
class Part:
    """One section of a page.

    ``layout`` says how much room it wants: ``full``, or ``half`` beside its neighbour.  ``download`` is a file that it
    offers, by name and text.
    """

    name: str
    title: str
    nodes: tuple[Node, ...]
    layout: str = "full"
    plots: tuple[Drawn, ...] = ()
    download: tuple[str, str] | None = None


@dataclass(frozen=True)
class Page:
    """A whole page for one reader."""

    reader: str
    title: str
    subtitle: str
    lang: str
    date: str
    parts: tuple[Part, ...]
    contents: bool = False


def page_tree(page: Page) -> Tree:
    """The page as one tree, for text; a plot as the words that stand for it."""
    nodes: list[Node] = [line(page.subtitle)]
    for part in page.parts:
        nodes.append(Heading(part.title))
        nodes += part.nodes
        nodes += [line(f"Plot: {plot.title}. {plot.alt}") for plot in part.plots]
    return Tree(page.title, tuple(nodes))


def part_data(part: Part) -> dict[str, Any]:
    """A part as plain data: the same nodes."""
    return {
        "name": part.name,
        "title": part.title,
        "nodes": [node_data(node) for node in part.nodes],
        "plots": [plot.name for plot in part.plots],
    }


def node_data(node: Node) -> dict[str, Any]:
    """One node as plain data, runs as pairs of role and words."""
    told: dict[str, Any] = {"kind": type(node).__name__.lower()}
    for field in fields(node):
        told["of" if field.name == "kind" else field.name] = _plain(getattr(node, field.name))
    return told


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    if isinstance(value, Line | Item | Table | Heading):
        return node_data(value)
    if hasattr(value, "role"):
        return [value.role, value.text]
    return value


def of_parts(parts: Sequence[Part]) -> tuple[Part, ...]:
    """The parts that say anything."""
    return tuple(part for part in parts if part.nodes or part.plots)
