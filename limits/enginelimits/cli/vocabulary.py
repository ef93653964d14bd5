"""The vocabulary: quantities and accepted units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperCommand

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.options import command
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from enginelimits.assessment.vocabulary import QuantityKind

LISTED = "list"
SYSTEMS = ("metric", "us")


class BareUnits(TyperCommand):
    """A command whose --units may stand without a value."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Let a bare --units mean the list of units."""
        whole = []
        for place, argument in enumerate(args):
            whole.append(argument)
            if argument == "--units" and (args[place + 1 : place + 2] or [""])[0] not in (*SYSTEMS, LISTED):
                whole.append(LISTED)
        return super().parse_args(ctx, whole)


@command
def quantities(
    common: Common,
    name: Annotated[str | None, typer.Argument(metavar="[NAME]", help="An id, or a part of one.")] = None,
    units: Annotated[
        str | None,
        typer.Option("--units", metavar="[metric|us]", help="Without a value: list the units accepted."),
    ] = None,
) -> Answer:
    """List the quantities; with a bare --units, the units.

    Quantities are what rules and reports speak of; units are those that a build may be written in.

    Example: enginelimits quantities clutch
    """
    if units == LISTED:
        return _units(common)
    if units is not None and units not in SYSTEMS:
        raise InputError(
            [Problem("metric or us, or nothing", repr(units), key="--units", file="command line")]
        )
    from enginelimits.assessment.vocabulary import spoken_of
    from enginelimits.present.tree import Run, Tree, table

    kinds = _named(name, spoken_of())
    rows = [(Run(kind.id, "strong"), kind.unit, kind.worse, kind.meaning) for kind in kinds]
    tree = Tree("", (table(("quantity", "SI unit", "worse", "meaning"), rows, wide=3),))
    return common.shown(tree, lambda: _data(kinds))


def _named(name: str | None, kinds: Sequence[QuantityKind]) -> list[QuantityKind]:
    if name is None:
        return list(kinds)
    found = [kind for kind in kinds if kind.id == name] or [kind for kind in kinds if name in kind.id]
    if found:
        return found
    from difflib import get_close_matches

    near = tuple(get_close_matches(name, [kind.id for kind in kinds], n=3, cutoff=0.4))
    problem = Problem(
        "a quantity",
        repr(name),
        "`enginelimits quantities` lists them all.",
        "NAME",
        "command line",
        near=near,
    )
    raise InputError([problem])


def _data(kinds: Sequence[QuantityKind]) -> dict[str, Any]:
    return {
        "schema": "enginelimits.quantities/1",
        "quantities": {
            kind.id: {"unit": kind.unit, "worse": kind.worse, "meaning": kind.meaning, "varies": kind.varies}
            for kind in kinds
        },
    }


def _units(common: Common) -> Answer:
    from enginelimits.present.tree import Run, Tree, table
    from enginelimits.units.spellings import SPELLINGS

    by_dimension: dict[tuple[str, str], list[str]] = {}
    for spelling in SPELLINGS:
        by_dimension.setdefault((spelling.dimension, spelling.si), []).append(spelling.text)
    rows = [
        (Run(dimension, "strong"), si, ", ".join(texts)) for (dimension, si), texts in by_dimension.items()
    ]
    data = {
        "schema": "enginelimits.units/1",
        "units": [
            {"dimension": dimension, "si": si, "spellings": texts}
            for (dimension, si), texts in by_dimension.items()
        ],
    }
    return common.shown(Tree("", (table(("what", "SI", "accepted"), rows, wide=2),)), lambda: data)
