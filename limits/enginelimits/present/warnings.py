"""Warnings where an answer keeps to one screen: the first in full, each of the others in a few words."""

from __future__ import annotations

from collections.abc import Iterable

from enginelimits.decisions.notices import in_brief
from enginelimits.present.tree import Notice


def short_warnings(notices: Iterable[str], *, more: str = "") -> list[Notice]:
    """``more`` says where they stand in full."""
    told = list(dict.fromkeys(notices))
    if not told:
        return []
    briefs = in_brief(told[1:])
    also = f" Mind: {'; '.join(briefs)}{more}." if briefs else ""
    return [Notice(f"{told[0]}{also}")]
