"""Boost raised step by step."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.cli.plots import PLOT, checked, drawn
from enginelimits.cli.steps import steps_told

if TYPE_CHECKING:
    from enginelimits.present.plots.plot import Plot


class Graded(StrEnum):
    """The grades that a search can stay below."""

    caution = "caution"
    reinforce = "reinforce"
    decline = "decline"


@command
def ladder(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    steps: Annotated[int, typer.Option("--steps", min=2, max=60, metavar="N", help="How many, from none up.")] = 6,
    top: Annotated[
        str | None,
        typer.Option("--top", metavar="BOOST",
                     help='As "12 psi" [default: 1.25 of what is asked, or past the power asked for]'),
    ] = None,
    grade: Annotated[
        Graded, typer.Option("--grade", help="Tell margins to it, and torque below it.")
    ] = Graded.reinforce,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known, at each step.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    plot: PLOT = None,
) -> Answer:
    """Raise boost step by step; tell which limit is reached first.

    And what lifts it, and what comes next. A boost curve is scaled as a whole. Each step is judged as `check` judges
    it, with the same draws. Ctrl-C ends with the steps so far.

    Example: enginelimits ladder build.yaml --steps 8 --top "15 psi"
    """
    from enginelimits.decisions.bench import bench_of
    from enginelimits.decisions.boost_lever import boost_read
    from enginelimits.decisions.ladder import ladder as climbed
    from enginelimits.present.ladder import ladder_data, ladder_tree

    checked(plot, [build], common.rules)
    top_pa = None if top is None else boost_read(top, "--top")
    with steps_told(common) as told:
        bench = bench_of(
            str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules,
            shop=common.shop, as_of=common.as_of,
        )
        found = climbed(bench, steps=steps, top_pa=top_pa, grade=grade.value, tell=told)
    code = Code.interrupted if found.end == "interrupted" else Code.clean

    def drawing() -> Plot:
        from enginelimits.present.plots.plot import ladder as plotted

        return plotted(found, common.system)

    talk = drawn(plot, drawing)
    return common.shown(ladder_tree(found, common.system), lambda: ladder_data(found), code, talk)
