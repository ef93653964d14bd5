"""The greatest power below a grade."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.ladder import Graded
from enginelimits.cli.options import command
from enginelimits.cli.steps import steps_told
from enginelimits.errors import InputError, Problem

LEAST, MOST = 0.5, 0.95


@command
def ceiling(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    grade: Annotated[Graded, typer.Option("--grade", help="Stay below this grade.")] = Graded.reinforce,
    confidence: Annotated[
        str, typer.Option("--confidence", metavar="SHARE", help="How sure to stay below it, 50 % to 95 %.")
    ] = "90 %",
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws; with none only the typical build.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
) -> Answer:
    """Tell the greatest power at which no finding reaches a grade.

    Boost is scaled as a whole and everything else stays: for the typical build, and at a confidence, read both as
    that of each finding by itself and as that of all together. Exit 1 when even the least boost reaches the grade.
    Ctrl-C ends with what is known so far.

    Example: enginelimits ceiling build.yaml --grade caution --confidence "80 %"
    """
    from enginelimits.decisions.bench import bench_of
    from enginelimits.decisions.ceiling import ceiling as searched
    from enginelimits.present.ceiling import ceiling_data, ceiling_tree

    share = _share(confidence)
    with steps_told(common) as told:
        bench = bench_of(
            str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules,
            shop=common.shop, as_of=common.as_of,
        )
        found = searched(bench, grade=grade.value, confidence=share, tell=told)
    none = any(r is not None and r.state == "least reaches" for r in (found.nominal, found.each, found.likely))
    code = Code.interrupted if found.interrupted else Code.findings if none else Code.clean
    return common.shown(ceiling_tree(found, common.system), lambda: ceiling_data(found), code)


def _share(text: str) -> float:
    from enginelimits.description.fields import FaultsError
    from enginelimits.description.physical import Share

    try:
        value = Share(floor=LEAST, ceiling=MOST, such_as="90 %").read(text)
    except FaultsError as error:
        first = error.faults[0]
        raise InputError([Problem(first.wanted, first.got, first.mend, "--confidence", "command line")]) from None
    return value.si
