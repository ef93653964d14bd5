"""A measured pull, read and judged."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import Answer, Common, Form
from enginelimits.cli.check import FailOn
from enginelimits.cli.failures import Code, worst
from enginelimits.cli.options import command
from enginelimits.cli.steps import told_by
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.decisions.bench import Bench
    from enginelimits.measured.names import LogNames
    from enginelimits.measured.pull import Pull
    from enginelimits.measured.read_back import ReadBack
    from enginelimits.present.pull import Reported


@command
def pull(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    logs: Annotated[list[Path], typer.Argument(metavar="LOG", help="Logs: CSV, or ASAM MDF 4 with the extra mdf.")],
    names: Annotated[
        Path | None,
        typer.Option("--names", metavar="FILE", help="What the log's headers mean [default: the shop's logs.yaml]"),
    ] = None,
    number: Annotated[
        int | None, typer.Option("--pull", min=1, metavar="N", help="Which pull to read back [default: the widest]")
    ] = None,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    fail_on: Annotated[
        FailOn, typer.Option("--fail-on", help="Exit 1 at this grade or worse; stop is the worst.")
    ] = FailOn.reinforce,
    strict: Annotated[
        bool, typer.Option("--strict", help="Exit 3 when something could not be judged.")
    ] = False,
    full: Annotated[bool, typer.Option("--full", help="Tell everything, not only what fits one screen.")] = False,
) -> Answer:
    """Read a measured pull, hold it against the model, and judge what it asks.

    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 bad input, 3 not all judged with --strict,
    4 the computation failed.

    Example: enginelimits pull build.yaml pull.csv --names logs.yaml
    """
    from enginelimits.decisions.bench import bench_of
    from enginelimits.measured.names import read_names

    bench = bench_of(
        str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules, shop=common.shop,
        as_of=common.as_of,
    )
    named = read_names(names, bench.shop)
    found = [_reported(common, bench, path, named, number) for path in logs]
    codes = {_code(one.read, fail_on, strict) for one in found}
    return _answer(common, found, worst(codes), full)


def _reported(common: Common, bench: Bench, path: Path, named: LogNames, number: int | None) -> Reported:
    """One log with all its pulls, and the one that was asked for read back."""
    from enginelimits.measured.csv_log import read_log
    from enginelimits.measured.find import found_in, no_pull
    from enginelimits.measured.read_back import read_back
    from enginelimits.present.pull import Reported

    log = read_log(path, named)
    found = found_in(log)
    if not found.pulls:
        raise InputError([no_pull(log, found)])
    chosen = _chosen(found.pulls, number, path)
    told_by(common)(f"{path}: {len(found.pulls)} pulls, reading back number {chosen.number}")
    read = read_back(
        chosen, bench.build, bench.catalogue, dyno=named.dyno, shop=bench.shop, samples=bench.samples, seed=bench.seed,
        as_of=bench.as_of, anchor=bench.anchor, beside=() if number is not None else found.pulls,
    )
    return Reported(read, found.pulls, found.refused)


def _chosen(pulls: Sequence[Pull], number: int | None, path: Path) -> Pull:
    """The pull of that number, else the one over most engine speeds, of equals the last, which is the hottest."""
    if number is None:
        return max(pulls, key=lambda p: (round(float(p.speeds[-1] - p.speeds[0]), 6), p.number))
    for one in pulls:
        if one.number == number:
            return one
    problem = Problem(f"a pull from 1 to {len(pulls)}", f"{number}", key="--pull", file=str(path))
    raise InputError([problem])


def _code(read: ReadBack, fail_on: FailOn, strict: bool) -> int:
    from enginelimits.rules.grades import severity

    if severity(read.grade) >= severity(fail_on.value):
        return Code.findings
    return Code.not_judged if strict and not read.complete else Code.clean


def _answer(common: Common, found: Sequence[Reported], code: int, full: bool) -> Answer:
    from enginelimits.present.jsonform import written
    from enginelimits.present.pull import pull_data, pull_tree, pulls_data

    if common.form is Form.json:
        data = pull_data(found[0]) if len(found) == 1 else pulls_data(found)
        return Answer(written(data), code)
    system = common.system
    return Answer(common.words(*(pull_tree(one, system, full=full) for one in found)), code)
