"""A measured pull, read and judged."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import Answer, Common, Form, write_beside
from enginelimits.cli.check import FailOn
from enginelimits.cli.failures import Code, worst
from enginelimits.cli.options import command
from enginelimits.cli.plots import PLOT, checked, drawn
from enginelimits.cli.steps import told_by
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.decisions.bench import Bench
    from enginelimits.measured.find import Found
    from enginelimits.measured.fitted import Fitted
    from enginelimits.measured.names import LogNames
    from enginelimits.measured.pull import Pull
    from enginelimits.measured.read_back import ReadBack
    from enginelimits.measured.several import Several
    from enginelimits.present.plots.plot import Plot
    from enginelimits.present.pull import Reported
    from enginelimits.shop import Shop


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
        int | None, typer.Option("--pull", min=1, metavar="N", help="Read back this pull alone [default: the widest]")
    ] = None,
    against: Annotated[
        list[Path] | None,
        typer.Option("--against", metavar="LOG", help="Pulls before a change; may be repeated."),
    ] = None,
    again: Annotated[
        list[Path] | None,
        typer.Option("--again", metavar="LOG", help="Pulls after the change was taken back; may be repeated."),
    ] = None,
    fit: Annotated[
        Path | None,
        typer.Option("--fit", metavar="FILE", help="Fit the model to the pulls; write a calibration file, a new one."),
    ] = None,
    author: Annotated[
        str | None, typer.Option("--author", metavar="NAME", help="Who answers for what --fit writes.")
    ] = None,
    knock_limited: Annotated[
        bool, typer.Option("--knock-limited", help="For --fit: ignition stood at the knock limit throughout.")
    ] = False,
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
    plot: PLOT = None,
) -> Answer:
    """Read a measured pull, hold it against the model, and judge what it asks.

    Several pulls, of one log or of several, are set beside each other; --against and --again tell what a change did.
    --fit writes what the pulls say of the engine family, for later builds of it.
    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 bad input, 3 not all judged with --strict,
    4 the computation failed.

    Example: enginelimits pull build.yaml pull.csv --names logs.yaml
    """
    from enginelimits.measured.names import read_names
    from enginelimits.shop import read_shop, shop_folder

    if fit is not None:
        _refuse(fit, author)
    checked(plot, [build, *logs, *([names] if names is not None else []), *(against or ()), *(again or ())],
            common.rules)
    # what is wrong with a log is told before the build is judged
    named = read_names(names, read_shop(shop_folder(common.shop)))
    held = [(path, *_pull_of(path, named, number)) for path in logs]

    from enginelimits.decisions.bench import bench_of

    bench = bench_of(
        str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules, shop=common.shop,
        as_of=common.as_of,
    )
    found = [_reported(common, bench, *one, named, number) for one in held]
    beside, untold = _beside(found, named, bench.shop, against or (), again or (), number)
    anchors = None
    if fit is not None:
        anchors = _fit(common, bench, named, found, number, knock_limited)
        untold = (*untold, _write(common, anchors, fit, author or ""))
    untold = (*untold, *drawn(plot, lambda: _drawing(common, found[0])))
    codes = {_code(one.read, fail_on, strict) for one in found}
    return _answer(common, found, beside, anchors, worst(codes), full, untold)


def _drawing(common: Common, first: Reported) -> Plot:
    """The pull of the first log on what the model says of it."""
    from enginelimits.present.plots.plot import log_against_model

    return log_against_model(first.read, common.system)


def _beside(
    found: Sequence[Reported], named: LogNames, shop: Shop | None, against: Sequence[Path], again: Sequence[Path],
    number: int | None,
) -> tuple[Several | None, tuple[str, ...]]:
    """The pulls beside each other, None for a single one; and why not, where nothing was asked to be compared."""
    from enginelimits.measured.csv_log import read_log
    from enginelimits.measured.find import pulls_in
    from enginelimits.measured.several import several
    from enginelimits.measured.wheel import wheel_torques

    def of(pulls: Sequence[Pull]) -> list[Pull]:
        return [one for one in pulls if number is None or one.number == number]

    now = [one for report in found for one in of(report.pulls)]
    before, after = ([one for path in paths for one in of(pulls_in(read_log(path, named)))]
                     for paths in (against, again))
    if len(now) + len(before) + len(after) < 2:
        return None, ()
    if after and not before:
        raise InputError([Problem("--against beside --again", "--again alone", key="--again", file="command line")])
    order = [*before, *now, *after] if before else now
    try:
        torques = wheel_torques(order, found[0].read.judgement.filled, named.dyno, shop=shop)
        if not before:
            return several(now, names=("now", "changed"), torques=torques), ()
        titles = (against[0].stem, found[0].read.pull.log.file.rpartition("/")[2].rpartition(".")[0])
        return several(before, now, after, names=titles, torques=torques), ()
    except InputError as error:
        if before:
            raise
        return None, (f"the pulls are not set beside each other: {error}",)


def _pull_of(path: Path, named: LogNames, number: int | None) -> tuple[Found, Pull]:
    """What a log holds, and the pull of it that was asked for."""
    from enginelimits.measured.csv_log import read_log
    from enginelimits.measured.find import found_in, no_pull

    log = read_log(path, named)
    found = found_in(log)
    if not found.pulls:
        raise InputError([no_pull(log, found)])
    return found, _chosen(found.pulls, number, path)


def _reported(
    common: Common, bench: Bench, path: Path, found: Found, chosen: Pull, named: LogNames, number: int | None
) -> Reported:
    """One log with all its pulls, and the one that was asked for read back."""
    from enginelimits.measured.read_back import read_back
    from enginelimits.present.pull import Reported

    told_by(common)(f"{path}: {len(found.pulls)} pulls, reading back number {chosen.number}")
    read = read_back(
        chosen, bench.build, bench.catalogue, dyno=named.dyno, shop=bench.shop, samples=bench.samples, seed=bench.seed,
        as_of=bench.as_of, anchor=bench.anchor, beside=() if number is not None else found.pulls,
    )
    return Reported(read, found.pulls, found.refused)


def _refuse(fit: Path, author: str | None) -> None:
    """InputError where a calibration file would lie on another file, or nobody answers for it."""
    problems = []
    if fit.exists():
        problems.append(Problem("a new file", str(fit), "Name another, or take the old one away.", "--fit",
                                "command line"))
    if not author or not author.strip():
        problems.append(Problem("who answers for the fit", "nobody", "Say `--author NAME`.", "--author",
                                "command line"))
    if problems:
        raise InputError(problems)


def _fit(
    common: Common, bench: Bench, named: LogNames, found: Sequence[Reported], number: int | None, knock_limited: bool
) -> Fitted:
    """The anchors of the model fitted to the pulls."""
    from enginelimits.measured.fit import fitted
    from enginelimits.measured.wheel import ROAD, wheel_torques

    pulls = [one for report in found for one in report.pulls if number is None or one.number == number]
    read = found[0].read
    if read.wheel is None or read.wheel.dyno == ROAD:
        got = "none" if read.wheel is None else "power from road speed and mass, which is too rough"
        raise InputError([Problem("torque or power from a dyno to fit to", got, key="--fit", file="command line")])
    told_by(common)(f"fitting to {len(pulls)} pulls")
    torques = wheel_torques(pulls, read.judgement.filled, named.dyno, shop=bench.shop)
    return fitted(pulls, bench.build, shop=bench.shop, dyno=read.wheel.dyno, knock_limited=knock_limited,
                  torques=torques)


def _write(common: Common, anchors: Fitted, path: Path, author: str) -> str:
    """Write the calibration file; what is said of that."""
    from datetime import date

    from enginelimits.measured.calibration_file import calibration_text

    write_beside(path, calibration_text(anchors, author=author, on=common.as_of or date.today()), new=True)
    return f"calibration written to {path}; put it into calibrations/ in the shop's folder to use it"


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


def _answer(
    common: Common, found: Sequence[Reported], beside: Several | None, anchors: Fitted | None, code: int, full: bool,
    talk: tuple[str, ...],
) -> Answer:
    from enginelimits.present.fit import fitted_data, fitted_tree
    from enginelimits.present.jsonform import written
    from enginelimits.present.pull import answer_data, pull_tree
    from enginelimits.present.several import several_tree

    if common.form is Form.json:
        data = answer_data(found, beside) | ({} if anchors is None else {"fit": fitted_data(anchors)})
        return Answer(written(data), code, talk)
    system = common.system
    trees = [pull_tree(one, system, full=full) for one in found]
    if beside is not None:
        trees.append(several_tree(beside, system))
    if anchors is not None:
        trees.append(fitted_tree(anchors, system))
    return Answer(common.words(*trees), code, talk)
