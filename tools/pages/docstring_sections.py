"""Puts the Equation and the Source of a physics docstring where a reader of the site looks: before the parameters.

A griffe extension.  The equation stays the text that `why` prints, in the argument names; a source becomes a link to
the list of sources, so that the strict build refuses one that is not there.
"""

from __future__ import annotations

import re
from typing import Any

import griffe

from enginelimits.units.sources import SOURCES

HEADING = re.compile(r"^(\w[\w ]*)\n-{3,}\n", re.MULTILINE)
UNIT = re.compile(r"\[([^\]\[`]+)\](?![\[(])")


class DocstringSections(griffe.Extension):
    """Rewrites every docstring that has an Equation section, and no other."""

    def on_function(self, *, func: griffe.Function, **_: Any) -> None:
        """Called for each function once it has been read."""
        if func.docstring is not None and "\nEquation\n---" in func.docstring.value:
            func.docstring.value = rewritten(func.docstring.value)


def rewritten(text: str) -> str:
    """The docstring with equation and source moved up, units as code."""
    parts = HEADING.split(text)
    sections = dict(zip(parts[1::2], parts[2::2], strict=True))
    equation = sections.pop("Equation").strip()
    source = sections.pop("Source", "").strip()
    lines = [parts[0].strip(), "", "```text", equation, "```", ""]
    if source:
        lines += [f"Source: {linked(source)}", ""]
    for name, body in sections.items():
        body = UNIT.sub(r"`[\1]`", body) if name in ("Parameters", "Returns") else body
        lines += [name, "-" * len(name), body.strip(), ""]
    return "\n".join(lines)


def linked(source: str) -> str:
    """A Source section with each id of the list turned into a link."""
    def link(match: re.Match[str]) -> str:
        name = match.group(0)
        return f"[{name}][source-{name}]" if name in SOURCES else name
    return re.sub(r"[a-z0-9][a-z0-9-]*[a-z0-9]", link, source)
