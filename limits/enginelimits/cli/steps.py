"""What long work says of itself on the way: a line a step, on standard error."""

from __future__ import annotations

from collections.abc import Callable

from enginelimits.cli.answer import Common, tell

Told = Callable[[str], None]


def told_by(common: Common) -> Told:
    """Where steps are told: standard error, or nowhere when talk is not wanted."""
    return _nowhere if common.quiet else tell


def _nowhere(words: str) -> None:
    """Nothing is said."""
