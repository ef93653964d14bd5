"""What long work says of itself on the way, on standard error: a bar on a terminal, else a line a step."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from enginelimits.cli.answer import Common, tell

Told = Callable[[str], None]
NOTHING_KNOWN = "enginelimits: interrupted before anything was known."


def told_by(common: Common) -> Told:
    """Where steps are told: standard error, or nowhere when talk is not wanted."""
    return _nowhere if common.quiet else tell


@contextmanager
def steps_told(common: Common) -> Iterator[Told]:
    """The same for the length of the work: on a terminal one line with a bar, gone when the work is done.

    Work that is interrupted with something known answers with that; an interruption that gets here found nothing.
    """
    try:
        if common.quiet or sys.stderr is None or not sys.stderr.isatty():
            yield told_by(common)
        else:
            with _bar() as told:
                yield told
    except KeyboardInterrupt:
        tell(NOTHING_KNOWN)
        raise


@contextmanager
def _bar() -> Iterator[Told]:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (BarColumn(bar_width=12), TextColumn("{task.completed}"), TimeElapsedColumn(),
               TextColumn("{task.description}", markup=False))
    with Progress(*columns, console=Console(stderr=True, highlight=False), transient=True) as progress:
        task = progress.add_task("", total=None)

        def told(words: str) -> None:
            progress.update(task, description=" ".join(words.split()), advance=1)

        yield told


def _nowhere(words: str) -> None:
    """Nothing is said."""
