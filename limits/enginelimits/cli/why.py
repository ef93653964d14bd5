"""The worked calculation behind one quantity."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.mountain import MOUNTAIN, height_of
from enginelimits.cli.options import command
from enginelimits.errors import InputError, Problem


@command
def why(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    quantity: Annotated[str, typer.Argument(metavar="QUANTITY", help="An id, as `quantities` lists them.")],
    at: Annotated[
        str | None,
        typer.Option("--at", metavar="SPEED", help='As "4500 rpm" [default: where the quantity governs]'),
    ] = None,
    mountain: MOUNTAIN = None,
) -> Answer:
    """Show the worked calculation behind a quantity.

    Formula, numbers put in, result and source, back to the inputs, for the typical build.

    Example: enginelimits why build.yaml rod.column_use --at "3000 rpm"
    """
    speed = None if at is None else _speed(at)
    mountain_m = height_of(mountain)
    from enginelimits.assessment.derivation import known_quantity, worked

    known_quantity(quantity)

    from enginelimits.decisions.check import check_build
    from enginelimits.present.ambients import ambients_data, mountain_lines
    from enginelimits.present.values import at_text
    from enginelimits.present.warnings import short_warnings
    from enginelimits.present.worked import place_of, worked_data, worked_tree

    judgement = check_build(
        str(build) if str(build) == "-" else build,
        samples=0,
        rules=common.rules,
        shop=common.shop,
        as_of=common.as_of,
        mountain_m=mountain_m,
    )
    place = place_of(judgement.assessment, quantity, speed)
    steps = worked(judgement.assessment, quantity, place.engine_speed)
    system = common.system
    tree = worked_tree(judgement.name, steps, at_text(place, system, site=True), system)
    nodes = (*mountain_lines(judgement.assessment, system), *tree.nodes, *short_warnings(judgement.notices))
    beside = {"ambients": ambients_data(judgement.assessment), "notices": list(judgement.notices)}
    return common.shown(replace(tree, nodes=nodes), lambda: {**worked_data(judgement.name, place, steps), **beside})


def _speed(text: str) -> float:
    from enginelimits.units.grammar import GrammarError, split
    from enginelimits.units.registry import to_si

    try:
        written = split(text)
        if written.value is None:
            raise GrammarError("one engine speed", f"`{text}`", "Write it as 4500 rpm.")
        return to_si(written.value, written.unit, "rad/s")
    except GrammarError as error:
        from enginelimits.units.grammar import excerpt

        mend = "Write it as 4500 rpm."
        problem = Problem("one engine speed", excerpt(text), mend, "--at", "command line", near=error.near)
        raise InputError([problem]) from error
