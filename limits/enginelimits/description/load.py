"""Reading a build file.  Whatever is wrong with it comes back as one InputError that holds every problem."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

from enginelimits.description import nodes
from enginelimits.description.models import Build
from enginelimits.description.nodes import Node, found, with_node
from enginelimits.description.standard import COPIED_KEYS
from enginelimits.description.validation import built, empty
from enginelimits.errors import InputError, Problem
from enginelimits.files import bytes_of, decoded, shown

STDIN = "<stdin>"


class Written(NamedTuple):
    """A build file as it was read: its name, its bytes and its text."""

    name: str
    raw: bytes
    text: str


def read_build(path: str | Path) -> Written:
    """The text of a build file, or of standard input for "-".  Raises InputError for what cannot be read."""
    if str(path) == "-":
        raw = _standard_input()
        return Written(STDIN, raw, decoded(raw, STDIN))
    raw = bytes_of(path, "a build file", nodes.MOST_BYTES)
    return Written(str(path), raw, decoded(raw, shown(path)))


def load_build(path: str | Path) -> Build:
    """The build of a file, or of standard input for "-".  Raises InputError with every problem."""
    written = read_build(path)
    return parse_build(written.text, written.name)


def parse_build(text: str, file: str = "<text>") -> Build:
    """The build of a YAML text.  Raises InputError with every problem."""
    document = nodes.document(text, file)
    if document.root is None:
        raise InputError(document.problems or (empty(file),))
    build = built(document.root, file, problems=document.problems, refused=document.refused)
    completed = _with_standard(build)
    return build if completed == build.tree else built(completed, file)


def _with_standard(build: Build) -> Node:
    """The tree with what `engine.standard` leaves out copied from the build as read.

    Not the mass of its piston: whether those described are the maker's own, only their class says (`fill.py`).
    """
    root: Node = build.tree
    engine, standard = build.engine, build.engine.standard
    # A redline changed from the maker's says nothing of the maker's limiter, nor the other way round.
    limiter = standard.limiter if standard else None
    redline = standard.redline if standard else None
    skip = set()
    if redline and engine.limiter and engine.limiter.si < redline.si:
        skip.add("limiter")
    if limiter and engine.redline.si > limiter.si:
        skip.add("redline")
    for key in COPIED_KEYS:
        node = found(root, ("engine", key))
        if node is not None and key not in skip:
            root = _where_missing(root, key, node)
    return root


def _where_missing(root: Node, key: str, node: Node) -> Node:
    path = ("engine", "standard", key)
    present = found(root, path)
    return with_node(root, path, node) if present is None else root


def _standard_input() -> bytes:
    if sys.stdin is None:
        raise InputError([Problem("a build on standard input", "none", file=STDIN)])
    raw = sys.stdin.buffer.read(nodes.MOST_BYTES + 1)
    if len(raw) > nodes.MOST_BYTES:
        wanted = f"at most {nodes.MOST_BYTES} bytes"
        raise InputError([Problem(wanted, "more", "Is this the right file?", file=STDIN)])
    return raw
