"""Many builds at once: a folder, a table, a grid of values; here or on a cluster."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.check import FailOn
from enginelimits.cli.failures import Code, worst
from enginelimits.cli.mountain import MOUNTAIN, height_of
from enginelimits.cli.options import command
from enginelimits.cli.steps import steps_told
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.decisions.fleet.row import Row


@command
def sweep(
    common: Common,
    into: Annotated[
        Path, typer.Option("--into", "--out", metavar="FOLDER", help="Keep the rows there; go on with what is there.")
    ],
    builds: Annotated[
        list[Path] | None,
        typer.Argument(metavar="BUILD", help="Build files and folders of them; - reads standard input."),
    ] = None,
    table: Annotated[
        Path | None,
        typer.Option("--table", metavar="FILE", help="CSV, a row a build: `build`, `name`, paths of the build file."),
    ] = None,
    vary: Annotated[
        list[str] | None,
        typer.Option("--vary", metavar="PATH=VALUES", help="Values between commas; several are crossed."),
    ] = None,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known, of each build.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    mountain: MOUNTAIN = None,
    jobs: Annotated[
        int | None, typer.Option("--jobs", min=1, max=512, metavar="N", help="Processes [default: one a core]")
    ] = None,
    scheduler: Annotated[
        str | None, typer.Option("--scheduler", metavar="ADDRESS", help="Let a Dask cluster work: tcp://host:8786.")
    ] = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="Rows as CSV, which needs no pyarrow.")] = False,
    keep_going: Annotated[
        bool, typer.Option("--keep-going", help="A bad build is a row with its error, not the end.")
    ] = False,
    fail_on: Annotated[
        FailOn, typer.Option("--fail-on", help="Exit 1 at this grade or worse.")
    ] = FailOn.reinforce,
    strict: Annotated[
        bool, typer.Option("--strict", help="Exit 3 when something could not be judged.")
    ] = False,
    full: Annotated[bool, typer.Option("--full", help="Print every row.")] = False,
) -> Answer:
    """Judge many builds: a folder, a table, a grid of values.

    Each row is what `check` says of that build with the same draws, whoever computes it. Rows are kept as they come;
    after Ctrl-C or a lost machine the same command goes on where it was.

    Example: enginelimits sweep build.yaml --vary "forced_induction.boost=0.4 bar, 0.6 bar" --into rows

    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 bad input, 3 not all judged with --strict,
    4 the computation failed or a worker was lost.
    """
    _refuse(builds or [], jobs, scheduler)
    from enginelimits.decisions.fleet.run import sweep as swept_by
    from enginelimits.decisions.fleet.setting import setting_of
    from enginelimits.decisions.fleet.worklist import work_list
    from enginelimits.present.fleet import sweep_data, sweep_tree

    setting = setting_of(samples=samples, seed=seed, rules=common.rules, shop=common.shop, as_of=common.as_of,
                         mountain_m=height_of(mountain))
    with steps_told(common) as told:
        work = work_list(builds or [], setting, table=table, vary=vary or [], keep_going=keep_going, told=told)
        swept = swept_by(work.cases, setting, into, jobs=jobs or _cores(), scheduler=scheduler,
                         form="csv" if as_csv else "parquet", told=told)
    code = int(Code.interrupted) if swept.interrupted else worst({_code(row, fail_on, strict) for row in swept.rows})
    talk = [f"no builds, left out: {', '.join(work.no_builds)}"] if work.no_builds else []
    talk += [f"{work.twice} asked for twice, judged once"] if work.twice else []
    return common.shown(sweep_tree(swept, common.system, full=full), lambda: sweep_data(swept), code, tuple(talk))


def _refuse(builds: Iterable[Path], jobs: int | None, scheduler: str | None) -> None:
    if sum(str(build) == "-" for build in builds) > 1:
        raise InputError([Problem("standard input (-) once", "it twice", key="BUILD", file="command line")])
    if jobs is not None and scheduler is not None:
        mend = "A scheduler's workers are as many as were started there."
        raise InputError([Problem("--jobs or --scheduler", "both", mend, "--jobs", "command line")])


def _cores() -> int:
    """The cores that this process may use."""
    allowed = getattr(os, "sched_getaffinity", None)
    return len(allowed(0)) if allowed is not None else os.cpu_count() or 1


def _code(row: Row, fail_on: FailOn, strict: bool) -> int:
    from enginelimits.decisions.fleet.row import JUDGED, REFUSED
    from enginelimits.rules.grades import severity

    if row["status"] != JUDGED:
        return Code.bad_input if row["status"] == REFUSED else Code.failed
    if severity(row["verdict"]) >= severity(fail_on.value):
        return Code.findings
    return Code.not_judged if strict and not row["complete"] else Code.clean
