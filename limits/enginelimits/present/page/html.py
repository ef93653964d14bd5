"""Nodes of a report tree as HTML.  Every word of a user's is escaped here and nowhere else."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import groupby

from enginelimits.present.tree import Heading, Item, Line, Node, Notice, Run, Table

GRADES = ("clear", "note", "caution", "reinforce", "decline", "unknown")
# So many columns and no more stand under one another on a phone; a wider table scrolls in its own frame.
STACKED = 7
# As many fit a phone as they are.
NARROW = 3
_RULE = re.compile(r"\b[A-Z]{3}\d{3}\b")
_BLANK = re.compile(r"_{3,}")
_PART = re.compile(r"_{3,}|\[ \]|\b[A-Z]{3}\d{3}\b")


def explained(nodes: Iterable[Node]) -> frozenset[str]:
    """The rules that have an entry of their own among the nodes, so that others can point there."""
    return frozenset(rule for node in nodes if isinstance(node, Item) and (rule := _own_rule(node)))


def nodes_html(nodes: Iterable[Node], *, under: int = 1, anchors: frozenset[str] = frozenset()) -> str:
    """The nodes as HTML.  A heading of level 2 becomes one of level ``under + 1``.

    ``anchors`` are the rules that the page explains; the entry of each gets its name, and other mentions point to it.
    """
    writer = _Writer(under, anchors)
    return "\n".join(writer.blocks(nodes))


def anchor_of(rule: str) -> str:
    """The name of a rule's entry on the page."""
    return f"rule-{rule}"


def _own_rule(item: Item) -> str:
    """The rule that an entry explains: named in brackets behind its title, under a grade."""
    if not item.head or item.head[0].role not in GRADES or not item.under:
        return ""
    found = _RULE.search("".join(run.text for run in item.head))
    return found[0] if found else ""


class _Writer:
    def __init__(self, under: int, anchors: frozenset[str]) -> None:
        self._under, self._anchors = under, anchors
        self._named: set[str] = set()

    def blocks(self, nodes: Iterable[Node]) -> Iterator[str]:
        for kind, alike in groupby(nodes, key=type):
            if kind is Item:
                yield from self._list([node for node in alike if isinstance(node, Item)])
            else:
                for node in alike:
                    yield self._block(node)

    def _block(self, node: Node) -> str:
        match node:
            case Heading():
                level = min(max(node.level + self._under - 1, 2), 6)
                return f"<h{level}>{escape(node.text)}</h{level}>"
            case Line():
                depth = f' class="depth-{min(node.depth, 3)}"' if node.depth else ""
                return f"<p{depth}>{self._runs(node.runs)}</p>"
            case Notice():
                word = "To settle" if node.kind == "question" else "Notice"
                return (f'<p class="notice {node.kind}"><strong>{word}:</strong> '
                        f"{self._words(node.text)}</p>")
            case Table():
                return self._table(node)
            case Item():
                return "\n".join(self._list([node]))

    def _list(self, items: Sequence[Item]) -> Iterator[str]:
        """A list: numbered where its markers are numbers."""
        numbered = items[0].marker.rstrip(".").isdigit()
        tag = "ol" if numbered else "ul"
        start = items[0].marker.rstrip(".")
        begins = f' start="{start}"' if numbered and start != "1" else ""
        yield f"<{tag}{begins}>"
        for item in items:
            rule = _own_rule(item)
            name = ""
            if rule in self._anchors and rule not in self._named:
                self._named.add(rule)
                name = f' id="{anchor_of(rule)}"'
            grade = item.head[0].role if item.head and item.head[0].role in GRADES else ""
            kind = f' class="finding grade-{grade}"' if grade else ""
            under = "".join(f"\n<p>{self._runs(line.runs)}</p>" for line in item.under)
            head = self._runs(item.head, own=rule)
            yield f'<li{name}{kind}><p class="head">{head}</p>{under}</li>' if under else f"<li{name}{kind}>{head}</li>"
        yield f"</{tag}>"

    def _runs(self, runs: Iterable[Run], own: str = "") -> str:
        return "".join(self._run(run, own) for run in runs)

    def _run(self, run: Run, own: str = "") -> str:
        words = self._words(run.text, own)
        if run.role == "plain" or not run.text:
            return words
        if run.role == "strong":
            return f"<strong>{words}</strong>"
        if run.role in GRADES:
            return f'<b class="grade grade-{run.role}">{words}</b>'
        return f'<span class="{run.role}">{words}</span>'

    def _words(self, text: str, own: str = "") -> str:
        """Words with blanks to fill in, boxes to tick, and rules that the page explains as links."""
        made, done = [], 0
        for found in _PART.finditer(text):
            made.append(escape(text[done : found.start()]))
            made.append(self._part(found[0], own))
            done = found.end()
        return "".join([*made, escape(text[done:])])

    def _part(self, part: str, own: str) -> str:
        if part == "[ ]":
            return '<span class="box"><span class="unseen">box to tick </span></span>'
        if _BLANK.fullmatch(part):
            size = "long" if len(part) > 16 else "short" if len(part) < 8 else "middle"
            return f'<span class="blank {size}"><span class="unseen">blank to fill in</span></span>'
        if part in self._anchors and part != own:
            return f'<a href="#{anchor_of(part)}">{part}</a>'
        return escape(part)

    def _table(self, table: Table) -> str:
        stacked = table.wide % max(len(table.columns), 1) != 0 and len(table.columns) <= STACKED
        caption = f"<caption>{escape(table.caption)}</caption>" if table.caption else ""
        head = "".join(
            f'<th scope="col" role="columnheader">{escape(name)}</th>' if name else '<td role="cell"></td>'
            for name in table.columns
        )
        rows = "".join(self._table_row(table, row) for row in table.rows)
        kind = "grid" if not stacked else "stack" if len(table.columns) > NARROW else "narrow"
        made = (f'<table role="table" class="{kind}">{caption}'
                f'<thead role="rowgroup"><tr role="row">{head}</tr></thead>'
                f'<tbody role="rowgroup">{rows}</tbody></table>')
        if stacked:
            return made
        label = escape(table.caption or ", ".join(filter(None, table.columns[:3])))
        return f'<div class="frame" role="region" tabindex="0" aria-label="{label}">{made}</div>'

    def _table_row(self, table: Table, row: Sequence[Run]) -> str:
        cells = []
        for place, (name, cell) in enumerate(zip(table.columns, row, strict=True)):
            if place == 0 and cell.text:
                cells.append(f'<th scope="row" role="rowheader">{self._cell(cell)}</th>')
            else:
                empty = "" if cell.text else ' class="empty"'
                told = f' data-of="{escape(name)}"' if name else ""
                cells.append(f'<td role="cell"{told}{empty}>{self._cell(cell)}</td>')
        return f'<tr role="row">{"".join(cells)}</tr>'

    def _cell(self, cell: Run) -> str:
        """A cell, as a list where line breaks part its entries."""
        entries = [entry for entry in cell.text.split("\n") if entry]
        if len(entries) < 2:
            return self._run(cell)
        lead = f"<p>{self._run(Run(entries.pop(0), cell.role))}</p>" if entries[0].endswith(":") else ""
        return f"{lead}<ul>" + "".join(f"<li>{self._run(Run(entry, cell.role))}</li>" for entry in entries) + "</ul>"
