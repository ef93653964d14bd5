"""Typed values out of a YAML tree.  What is wrong is noted with its place, and reading goes on."""

from __future__ import annotations

import datetime
import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

from enginelimits import files
from enginelimits.description.nodes import Leaf, Node, Row, Table, document
from enginelimits.errors import InputError, Problem
from enginelimits.rules.model import Amount, Place
from enginelimits.units.grammar import GrammarError, excerpt, parse_number, split
from enginelimits.units.spellings import spelling


class Reader:
    """Reads one file.  ``problems`` grows; a value that cannot be read comes back empty."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def root(self, text: str) -> Node | None:
        """The tree of the file's text."""
        read = document(text, self.file)
        self.problems.extend(read.problems)
        return None if read.problems else read.root

    def place(self, node: Node | None, table: Table | None = None, key: str = "") -> Place:
        """Where a node stands, or the key that holds it."""
        at = table.keys.get(key) if table is not None else None
        if at is None and node is not None:
            at = node.place
        return Place(self.file, at.line, at.column) if at else Place(self.file)

    def wrong(
        self,
        node: Node | None,
        wanted: str,
        got: str = "",
        mend: str = "",
        key: str = "",
        near: Iterable[str] = (),
    ) -> None:
        """Note a problem at a node."""
        at = self.place(node)
        self.problems.append(Problem(wanted, got, mend, key, self.file, at.line, at.column, tuple(near)))

    def table(
        self,
        node: Node | None,
        what: str,
        required: Sequence[str] = (),
        optional: Sequence[str] | None = None,
    ) -> Table | None:
        """The node as a mapping with these keys and no others (any keys when ``optional`` is None)."""
        if not isinstance(node, Table):
            self.wrong(node, f"{what} as a mapping", kind_of(node))
            return None
        if optional is not None and not node.entries.keys() <= _known(tuple(required), tuple(optional)):
            known = (*required, *optional)
            for key in (key for key in node.entries if key not in known):
                at = node.keys[key]
                near = difflib.get_close_matches(key, known, n=3)
                mend = "" if near else f"Known keys: {', '.join(known)}."
                self.problems.append(
                    Problem(
                        f"a key of {what}",
                        excerpt(key),
                        mend,
                        key,
                        self.file,
                        at.line,
                        at.column,
                        tuple(near),
                    )
                )
        for key in required:
            if key not in node.entries:
                self.wrong(node, f"the key `{key}` in {what}", "none", key=key)
        return node

    def items(self, node: Node | None, what: str, least: int = 0) -> tuple[Node, ...]:
        """The node as a list."""
        if node is None:
            return ()
        if not isinstance(node, Row):
            self.wrong(node, f"{what} as a list", kind_of(node), "Write `[...]`, or one item a line after `- `.")
            return ()
        if len(node.items) < least:
            self.wrong(node, f"{what}: at least {least}", f"{len(node.items)}")
        return node.items

    def text(self, node: Node | None, what: str, pattern: str = "", longest: int = 2000) -> str:
        """The node as words; empty when it is none."""
        if node is None:
            return ""
        if not isinstance(node, Leaf) or not node.text.strip():
            self.wrong(node, what, kind_of(node))
            return ""
        text = node.text.strip()
        if len(text) > longest or (pattern and not _fitting(pattern)(text)):
            self.wrong(node, what, excerpt(text))
            return ""
        return text

    def texts(self, node: Node | None, what: str, pattern: str = "") -> tuple[str, ...]:
        """The node as a list of words."""
        found = (self.text(item, what, pattern) for item in self.items(node, f"{what}s"))
        return tuple(text for text in found if text)

    def choice(self, node: Node | None, what: str, names: Sequence[str], default: str = "") -> str:
        """The node as one of a few names."""
        if node is None:
            return default
        text = node.text.strip() if isinstance(node, Leaf) else ""
        if text not in names:
            got = excerpt(text) if text else kind_of(node)
            near = difflib.get_close_matches(text.lower(), names, n=2)
            self.wrong(node, f"{what}: {', '.join(names)}", got, near=near)
            return default
        return text

    def day(self, node: Node | None, what: str, key: str = "") -> datetime.date | None:
        """The node as a date, in the one form that all files have it in."""
        if node is None:
            return None
        text = node.text.strip() if isinstance(node, Leaf) else ""
        try:
            return datetime.date.fromisoformat(text if len(text) == 10 and "W" not in text else "")
        except ValueError:
            self.wrong(node, f"{what} as YYYY-MM-DD", kind_of(node), "Such as 2026-11-25.", key)
            return None

    def yes_no(self, node: Node | None, what: str, default: bool = False) -> bool:
        """The node as true or false."""
        if node is None:
            return default
        return self.choice(node, what, ("true", "false"), "true" if default else "false") == "true"

    def whole(self, node: Node | None, what: str, least: int, most: int) -> int | None:
        """The node as a whole number within bounds."""
        text = node.text.strip() if isinstance(node, Leaf) else ""
        if text.isascii() and text.isdigit() and len(text) < 10 and least <= int(text) <= most:
            return int(text)
        self.wrong(node, f"{what}: a whole number from {least} to {most}", excerpt(text) if text else kind_of(node))
        return None

    def number(self, node: Node | None, what: str) -> float | None:
        """The node as a plain number."""
        try:
            return parse_number(node.text if isinstance(node, Leaf) else "")
        except GrammarError as error:
            got = excerpt(node.text) if isinstance(node, Leaf) else kind_of(node)
            self.wrong(node, f"{what}: a plain number", got, error.mend)
            return None

    def amount(self, node: Node | None, what: str) -> Amount | None:
        """The node as one number with its unit."""
        if not isinstance(node, Leaf):
            self.wrong(node, what, kind_of(node))
            return None
        try:
            written = split(node.text)
            spelling(written.unit)
        except GrammarError as error:
            self.wrong(node, f"{what}: {error.wanted}", error.got, error.mend, near=error.near)
            return None
        if written.shape != "point" or written.value is None:
            self.wrong(node, f"{what}: one number", excerpt(node.text), "A limit has no range of its own.")
            return None
        return Amount(written.value, written.unit)

    def words(self, node: Node | None, what: str) -> dict[str, str]:
        """The node as a mapping of words to words."""
        table = self.table(node, what)
        return {k: self.text(v, f"{what}: {k}") for k, v in table.entries.items()} if table is not None else {}


@cache
def _known(required: tuple[str, ...], optional: tuple[str, ...]) -> frozenset[str]:
    return frozenset((*required, *optional))


@cache
def _fitting(pattern: str) -> Callable[[str], re.Match[str] | None]:
    return re.compile(pattern, re.ASCII).fullmatch


def kind_of(node: Node | None) -> str:
    """What a node is, in words."""
    if node is None:
        return "nothing"
    if isinstance(node, Leaf):
        return excerpt(node.text)
    return "a list" if isinstance(node, Row) else "a mapping"


def entry(table: Table | None, key: str) -> Node | None:
    """The node at a key, None when there is none."""
    return None if table is None else table.entries.get(key)


def named(table: Table | None) -> Iterator[tuple[str, Node]]:
    """Names and nodes of a mapping."""
    entries: Mapping[str, Node] = {} if table is None else table.entries
    yield from entries.items()


def text_of(path: Path, problems: list[Problem]) -> str | None:
    """The text of a file; a problem when it cannot be read."""
    try:
        # A layer's digest is the same however a checkout ends its lines.
        return files.text_of(path, "a file of rules").replace("\r\n", "\n")
    except InputError as error:
        problems.extend(error.problems)
        return None
