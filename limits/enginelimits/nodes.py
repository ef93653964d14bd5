"""A YAML file as a tree that remembers where everything stood.  Every scalar stays text.

The tree is built from the parser's events with a stack of our own: what is refused (aliases, anchors, tags,
merge keys, duplicate keys, depth, size) is refused when it comes by, before it can cost anything.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

import yaml

from enginelimits.errors import Problem
from enginelimits.units.grammar import excerpt

MOST_BYTES = 1_000_000
MOST_NODES = 20_000
DEEPEST = 40
LONGEST_KEY = 200

_LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


class Place(NamedTuple):
    line: int
    column: int


# A check makes some 13,000 nodes and changes none; frozen ones would take three times as long to make.
@dataclass(slots=True, unsafe_hash=True)
class Leaf:
    """A scalar, as text."""

    text: str
    place: Place | None = field(default=None, compare=False)


@dataclass(slots=True, unsafe_hash=True)
class Row:
    """A list."""

    items: tuple[Node, ...]
    place: Place | None = field(default=None, compare=False)


@dataclass(slots=True, unsafe_hash=True)
class Table:
    """A mapping, with the place of each key."""

    entries: Mapping[str, Node]
    keys: Mapping[str, Place] = field(default_factory=dict, compare=False)
    place: Place | None = field(default=None, compare=False)


Node = Leaf | Row | Table
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """The tree of a file, what was wrong with its form, and the paths that cannot be judged for it."""

    root: Node | None
    problems: tuple[Problem, ...]
    refused: frozenset[Path]


def document(text: str, file: str) -> Document:
    """The tree of a YAML text.  Never raises: what cannot be read is a problem."""
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        return _failed(file, f"at most {MOST_BYTES} bytes", f"{size} bytes", "Is this the right file?")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return _failed(file, "text in UTF-8", "characters that are none")
    if "\x00" in text:
        return _failed(file, "a text file", "a binary file", "Is this the right file?")
    builder = _Builder(file)
    try:
        builder.read(text)
    except _EnoughError:
        pass
    except yaml.YAMLError as error:
        builder.problems.append(_syntax(error, text, file))
        builder.root = None
    return Document(builder.root, tuple(builder.problems), frozenset(builder.refused))


def plain(node: Node) -> Any:
    """The tree as dictionaries, lists and texts."""
    if isinstance(node, Leaf):
        return node.text
    if isinstance(node, Row):
        return [plain(item) for item in node.items]
    return {key: plain(value) for key, value in node.entries.items()}


def tree(data: object) -> Node:
    """The tree of plain data, without places.  Raises TypeError for what no YAML file could hold."""
    if isinstance(data, str):
        return Leaf(data)
    if isinstance(data, bool):
        return Leaf("true" if data else "false")
    if isinstance(data, int | float):
        return Leaf(repr(data))
    if isinstance(data, Mapping):
        return Table({str(key): tree(value) for key, value in data.items()})
    if isinstance(data, Sequence):
        return Row(tuple(tree(item) for item in data))
    raise TypeError(f"no value of a build: {type(data).__name__}")


def found(root: Node, path: Path) -> Node | None:
    """The node at a path, None if there is none."""
    node: Node | None = root
    for step in path:
        if isinstance(node, Table):
            node = node.entries.get(str(step))
        elif isinstance(node, Row) and isinstance(step, int) and 0 <= step < len(node.items):
            node = node.items[step]
        else:
            return None
    return node


def place(root: Node, path: Path, *, of_key: bool = False) -> Place | None:
    """Where the value at a path begins, or its key; where there is no such thing, what should have held it.

    None for what an edit brought in: it stands in no file.
    """
    node, key_place = root, None
    for step in path:
        inner: Node | None = None
        if isinstance(node, Table):
            key_place = node.keys.get(str(step), key_place)
            inner = node.entries.get(str(step))
        elif isinstance(node, Row) and isinstance(step, int) and 0 <= step < len(node.items):
            inner, key_place = node.items[step], None
        if inner is None:
            break
        node = inner
    if of_key or isinstance(node, Table) or (isinstance(node, Leaf) and not node.text):
        return key_place or node.place
    return node.place


def with_node(root: Node, path: Path, node: Node | None) -> Node:
    """The tree with another node at a path, or with none there.  Tables on the way are made as needed."""
    if not path:
        if node is None:
            raise ValueError("the root cannot be dropped")
        return node
    if not isinstance(root, Table):
        raise ValueError(f"no mapping around {path[0]}")
    key = str(path[0])
    entries = dict(root.entries)
    if len(path) == 1:
        if node is None:
            entries.pop(key, None)
        else:
            entries[key] = node
    else:
        entries[key] = with_node(entries.get(key, Table({})), path[1:], node)
    return replace(root, entries=entries)


class _EnoughError(Exception):
    """Reading on would serve nobody."""


class _Open:
    """A list or mapping whose end has not come by."""

    __slots__ = ("ends", "entries", "items", "key", "keys", "place", "skip", "table")

    def __init__(self, at: Place, table: bool) -> None:
        self.place, self.table = at, table
        self.items: list[Node] = []
        self.entries: dict[str, Node] = {}
        self.keys: dict[str, Place] = {}
        self.key: str | None = None
        self.skip = False
        self.ends = -1


_STARTS = (yaml.MappingStartEvent, yaml.SequenceStartEvent)
_ENDS = (yaml.MappingEndEvent, yaml.SequenceEndEvent)
_NODES = (yaml.ScalarEvent, yaml.AliasEvent, *_STARTS)


class _Builder:
    def __init__(self, file: str) -> None:
        self.file = file
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.refused: set[Path] = set()
        self._stack: list[_Open] = []
        self._text = ""
        self._nodes = 0
        self._documents = 0
        # Depth inside a key that is a list or mapping: refused once, then skipped to its end.
        self._inside_key = 0

    def read(self, text: str) -> None:
        """Take events one at a time: an unwelcome one ends the reading at once."""
        self._text = text
        loader = _LOADER(text)
        try:
            self._take_all(loader.get_event)
        finally:
            loader.dispose()

    def _take_all(self, following: Callable[[], Any]) -> None:
        # Nearly every event is a plain scalar within something, or a list or mapping there: they take short ways,
        # written out, as a check reads 26,000 of them.
        stack, scalar, make, kind = self._stack, yaml.ScalarEvent, tuple.__new__, Place
        while True:
            event = following()
            of = event.__class__
            if (of is scalar and stack and event.anchor is None and event.tag is None
                    and not self._inside_key and self._nodes < MOST_NODES):
                top, text, mark = stack[-1], event.value, event.start_mark
                at = make(kind, (mark.line + 1, mark.column + 1))
                if not top.table:
                    top.items.append(Leaf(text, at))
                elif top.key is not None:
                    # Between braces a comma parts the entries, and what stood behind it has no colon of its own.
                    if not text and top.key[:1].isdigit() and ":" not in self._text[top.ends:event.start_mark.index]:
                        self._torn(top)
                    if not top.skip:
                        top.entries[top.key] = Leaf(text, at)
                    top.key = None
                elif text.isidentifier() and text not in top.entries and len(text) <= LONGEST_KEY:
                    top.keys[text] = at
                    top.key, top.skip = text, False
                else:
                    self._node(event)
                    continue
                self._nodes += 1
            elif of in _ENDS:
                self._close()
            elif of in _NODES:
                self._node(event)
            elif of is yaml.DocumentStartEvent:
                self._documents += 1
                if self._documents > 1:
                    self._refuse(event, "one document a file", "a second one", "Split the file at `---`.")
                    raise _EnoughError
            elif of is yaml.StreamEndEvent:
                return

    def _node(self, event: Any) -> None:
        self._nodes += 1
        if self._nodes > MOST_NODES:
            self._refuse(event, f"at most {MOST_NODES} values", "more", "Is this the right file?")
            self.root = None
            raise _EnoughError
        if self._inside_key:
            self._inside_key += event.__class__ in _STARTS
            return
        at = Place(event.start_mark.line + 1, event.start_mark.column + 1)
        top = self._stack[-1] if self._stack else None
        if top is not None and top.table and top.key is None:
            self._key(event, at, top)
            return
        # An alias has no tag to ask for
        if event.anchor is not None or event.tag is not None:
            self._form(event, self._path())
        if isinstance(event, yaml.AliasEvent):
            self._add(Leaf("", at))
        elif isinstance(event, yaml.ScalarEvent):
            self._add(Leaf(event.value, at))
        else:
            if len(self._stack) >= DEEPEST:
                self._refuse(event, f"at most {DEEPEST} levels", "more", "Lists and mappings nest too deep.")
                self.root = None
                raise _EnoughError
            self._stack.append(_Open(at, isinstance(event, yaml.MappingStartEvent)))

    def _key(self, event: Any, at: Place, top: _Open) -> None:
        if not isinstance(event, yaml.ScalarEvent):
            got = "an alias" if isinstance(event, yaml.AliasEvent) else "a list or mapping"
            self._refuse(event, "a key", got, "Write plain text before the colon.")
            self._inside_key = 0 if isinstance(event, yaml.AliasEvent) else 1
            top.key, top.skip = "", True
            return
        key = event.value
        top.skip = False
        if event.anchor is not None or event.tag is not None:
            self._form(event, (*self._path(inner=False), key))
        if key == "<<" and not event.style:
            self._refuse(event, "every key written out", "a merge key `<<`", "Write the keys out in full.")
            top.skip = True
        elif not key.strip() or len(key) > LONGEST_KEY or not key.isprintable():
            self._refuse(event, "a key", excerpt(key))
            top.skip = True
        elif key in top.entries:
            first = top.keys[key].line
            self._refuse(
                event, "each key once", f"`{key}` again (first on line {first})", "Keep one of them.",
                (*self._path(inner=False), key),
            )
            top.skip = True
        else:
            top.keys[key] = at
        end = event.end_mark
        top.key, top.ends = key, end.index if end is not None else -1

    def _torn(self, top: _Open) -> None:
        """Refuse what a comma within a number has torn off it."""
        before = next(reversed(top.entries), "")
        number = top.entries.get(before)
        whole = f"{number.text},{top.key}" if isinstance(number, Leaf) else f"{top.key},"
        path, at = (*self._path(inner=False), before or top.key or ""), top.keys.get(top.key or "", top.place)
        key = ".".join(str(step) for step in path)
        mend = "Write a point for decimals, and no comma between thousands: between braces it parts the entries."
        self.problems.append(
            Problem("a number without a comma", excerpt(whole), mend, key, self.file, at.line, at.column)
        )
        self.refused.update((path, (*path[:-1], top.key or "")))
        top.skip = True

    def _form(self, event: Any, path: Path) -> None:
        if isinstance(event, yaml.AliasEvent):
            got, mend = f"an alias {excerpt(f'*{event.anchor}')}", "Write the value out in full."
            self._refuse(event, "a value", got, mend, path)
            self.refused.add(path)
            return
        if event.anchor is not None:
            got = f"an anchor {excerpt(f'&{event.anchor}')}"
            self._refuse(event, "a value without an anchor", got, "Leave the anchor out.", path)
        if event.tag is not None:
            got = f"a tag {excerpt(event.tag)}"
            self._refuse(event, "a value without a tag", got, "Leave the tag out.", path)

    def _path(self, *, inner: bool = True) -> Path:
        """The path of the next value; or of what is open around it."""
        opened = self._stack if inner else self._stack[:-1]
        return tuple((of.key or "") if of.table else len(of.items) for of in opened)

    def _add(self, node: Node) -> None:
        if not self._stack:
            self.root = node
            return
        top = self._stack[-1]
        if not top.table:
            top.items.append(node)
            return
        if not top.skip and top.key is not None:
            top.entries[top.key] = node
        top.key = None

    def _close(self) -> None:
        if self._inside_key:
            self._inside_key -= 1
            return
        done = self._stack.pop()
        self._add(
            Table(done.entries, done.keys, done.place) if done.table else Row(tuple(done.items), done.place)
        )

    def _refuse(self, event: Any, wanted: str, got: str, mend: str = "", path: Path = ()) -> None:
        mark = event.start_mark
        key = ".".join(str(p) for p in path)
        self.problems.append(Problem(wanted, got, mend, key, self.file, mark.line + 1, mark.column + 1))


def _failed(file: str, wanted: str, got: str, mend: str = "") -> Document:
    return Document(None, (Problem(wanted, got, mend, file=file),), frozenset())


def _syntax(error: yaml.YAMLError, text: str, file: str) -> Problem:
    """A parser's complaint in our words, at the place it names."""
    if isinstance(error, yaml.MarkedYAMLError):
        mark = error.problem_mark or error.context_mark
        said = error.problem or error.context or "something else"
        line = mark.line + 1 if mark else None
        column = mark.column + 1 if mark else None
        got = f"something else ({said})"
        return Problem("YAML", got, _syntax_mend(said, text, line), "", file, line, column)
    code = getattr(error, "character", None)
    if not isinstance(code, int):
        return Problem("YAML", "characters that it may not hold", "Is this the right file?", file=file)
    before = text.partition(chr(code))[0]
    line, column = before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1
    return Problem("printable text", f"the character U+{code:04X}", "Delete it.", "", file, line, column)


def _syntax_mend(said: str, text: str, line: int | None) -> str:
    lines = text.splitlines()
    around = lines[line - 1] if line is not None and line <= len(lines) else ""
    if "\t" in said or "\\t" in said or around.lstrip(" ").startswith("\t"):
        return "Indent with spaces, not tabs."
    if "mapping values are not allowed" in said:
        return "A colon inside a text needs quotes around the text; or the indentation is off."
    if "nesting" in said:
        return "Lists and mappings nest too deep."
    if "end of stream" in said or "quoted scalar" in said:
        return "Look for a quote, bracket or brace that is never closed."
    if "flow" in said or "expected ','" in said:
        return "Look for a bracket, brace or comma that is missing."
    return "Check the indentation and the colon after each key, with a space behind it, on the line before too."
