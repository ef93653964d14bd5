"""Two or more builds side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.cli.steps import steps_told
from enginelimits.errors import InputError, Problem


@command
def compare(
    common: Common,
    builds: Annotated[
        list[Path], typer.Argument(metavar="BUILD BUILD...", help="Build files; - reads standard input.")
    ],
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    full: Annotated[bool, typer.Option("--full", help="Tell everything, what is alike too.")] = False,
) -> Answer:
    """Set two or more builds side by side.

    Figures, verdicts, margins, findings and curves. Of two builds also which difference matters: each part of the
    second on the first, alone. Ctrl-C ends with what is known so far.

    Example: enginelimits compare before.yaml after.yaml
    """
    _refuse(builds)
    from enginelimits.decisions.bench import bench_of
    from enginelimits.decisions.compare import compare as compared
    from enginelimits.present.compare import compare_data, compare_tree

    with steps_told(common) as told:
        benches = [
            bench_of(str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules,
                     shop=common.shop, as_of=common.as_of)
            for build in builds
        ]
        found = compared(benches, told)
    code = Code.interrupted if found.broken_off else Code.clean
    return common.shown(compare_tree(found, common.system, full=full), lambda: compare_data(found), code)


def _refuse(builds: list[Path]) -> None:
    """InputError unless there are builds to compare."""
    wanted = "two to six builds" if not 2 <= len(builds) <= 6 else "standard input (-) once"
    if not 2 <= len(builds) <= 6 or sum(str(build) == "-" for build in builds) > 1:
        got = f"{len(builds)}" if wanted.startswith("two") else "it twice"
        raise InputError([Problem(wanted, got, key="BUILD", file="command line")])
