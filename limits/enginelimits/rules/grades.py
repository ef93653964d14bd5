"""The grades, mildest first."""

from __future__ import annotations

from enginelimits.errors import InputError, Problem

GRADES: tuple[str, ...] = ("clear", "note", "caution", "reinforce", "decline")
LOG_GRADES: tuple[str, ...] = (*GRADES, "stop")
CLEAR, NOTE, CAUTION, REINFORCE, DECLINE = range(5)


def severity(grade: str) -> int:
    """Place of a grade in the order, clear being 0."""
    return LOG_GRADES.index(grade)


def severity_asked(grade: str) -> int:
    """Place of a grade that somebody wants to stay below.  Raises InputError for clear and for what is no grade."""
    if grade not in GRADES[NOTE:]:
        raise InputError([Problem(", ".join(GRADES[NOTE:-1]) + f" or {GRADES[-1]}", f"`{grade}`", key="--grade",
                                  file="command line")])
    return severity(grade)
