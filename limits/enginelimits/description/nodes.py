"""The tree of a YAML file, as a description uses it; it is made in :mod:`enginelimits.nodes`."""

from __future__ import annotations

from enginelimits.nodes import (
    DEEPEST,
    LONGEST_KEY,
    MOST_BYTES,
    MOST_NODES,
    Document,
    Leaf,
    Node,
    Path,
    Place,
    Row,
    Table,
    document,
    found,
    place,
    plain,
    tree,
    with_node,
)

__all__ = [
    "DEEPEST", "LONGEST_KEY", "MOST_BYTES", "MOST_NODES", "Document", "Leaf", "Node", "Path", "Place", "Row", "Table",
    "document", "found", "place", "plain", "tree", "with_node",
]  # fmt: skip
