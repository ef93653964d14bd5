"""The option that asks for a mountain beside the site and the hot day."""

from __future__ import annotations

from typing import Annotated

import typer

from enginelimits.errors import InputError, Problem

MOUNTAIN = Annotated[
    str | None,
    typer.Option("--mountain", metavar="HEIGHT", help='Judge there too, as "2500 m" or "8000 ft".'),
]
UNITS = ("m", "ft")


def height_of(text: str | None) -> float | None:
    """The altitude that is asked for [m].  Raises InputError for anything but metres or feet within bounds."""
    if text is None:
        return None
    from enginelimits.units.grammar import GrammarError, excerpt, split
    from enginelimits.units.registry import to_si

    try:
        written = split(text)
        if written.value is None or written.shape != "point" or written.unit not in UNITS:
            raise GrammarError("one height in metres or feet", excerpt(text))
        metres = to_si(written.value, written.unit, "m")
    except GrammarError as error:
        mend = "Write it as 2500 m or 8000 ft."
        problem = Problem("one height in metres or feet", error.got, mend, "--mountain", "command line")
        raise InputError([problem]) from error
    from enginelimits.assessment.sample import checked_mountain

    return checked_mountain(metres)
