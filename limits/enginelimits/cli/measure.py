"""Which unknown, if measured, would change the verdict most."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.cli.plots import PLOT, checked, drawn
from enginelimits.cli.steps import told_by

if TYPE_CHECKING:
    from enginelimits.present.plots.plot import Plot


@command
def measure(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    top: Annotated[int, typer.Option("--top", min=1, max=100, metavar="N", help="How many measurements to tell.")] = 5,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known; 32 at least.")
    ] = 256,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    plot: PLOT = None,
) -> Answer:
    """Tell which unknown, if measured, would change the verdict most.

    First what is missing and blocks a verdict; then measurements, ranked from the draws by what they would change.
    Ctrl-C ends with what is known so far.

    Example: enginelimits measure build.yaml --top 3
    """
    from enginelimits.decisions.bench import bench_of
    from enginelimits.decisions.measure import measure as measured
    from enginelimits.present.measure import measure_data, measure_tree

    checked(plot, [build], common.rules)
    bench = bench_of(
        str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules, shop=common.shop,
        as_of=common.as_of,
    )
    found = measured(bench, told_by(common))
    code = Code.interrupted if found.interrupted else Code.clean

    def drawing() -> Plot:
        from enginelimits.present.plots.plot import sensitivity

        return sensitivity(found, common.system)

    talk = drawn(plot, drawing)
    return common.shown(measure_tree(found, common.system, top=top), lambda: measure_data(found), code, talk)
