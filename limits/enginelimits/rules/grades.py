"""The grades, mildest first."""

from __future__ import annotations

GRADES: tuple[str, ...] = ("clear", "note", "caution", "reinforce", "decline")
LOG_GRADES: tuple[str, ...] = (*GRADES, "stop")
CLEAR, NOTE, CAUTION, REINFORCE, DECLINE = range(5)


def severity(grade: str) -> int:
    """Place of a grade in the order, clear being 0."""
    return LOG_GRADES.index(grade)
