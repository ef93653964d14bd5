"""The main job: assess a build, judge it, and print graded cautions."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enginelimits.cli.answer import Answer, Common, Form
from enginelimits.cli.failures import Code, code_of, words_of, worst
from enginelimits.cli.mountain import MOUNTAIN, height_of
from enginelimits.cli.options import command
from enginelimits.cli.plots import PLOT, PLOT_OF, Of, checked, drawn, of_judgement
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.rules.catalogue import Catalogue


class FailOn(StrEnum):
    """The mildest grade that counts as a finding for the exit code."""

    note = "note"
    caution = "caution"
    reinforce = "reinforce"
    decline = "decline"


@command
def check(
    common: Common,
    builds: Annotated[
        list[Path], typer.Argument(metavar="BUILD", help="Build files; - reads standard input.")
    ],
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    fail_on: Annotated[
        FailOn, typer.Option("--fail-on", help="Exit 1 at this grade or worse.")
    ] = FailOn.reinforce,
    strict: Annotated[
        bool, typer.Option("--strict", help="Exit 3 when something could not be judged.")
    ] = False,
    mountain: MOUNTAIN = None,
    full: Annotated[
        bool, typer.Option("--full", help="Tell everything, not only what fits one screen.")
    ] = False,
    plot: PLOT = None,
    plot_of: PLOT_OF = Of.torque,
) -> Answer:
    """Assess builds and print graded cautions.

    Example: enginelimits check build.yaml --fail-on caution --mountain "2500 m"

    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 bad input, 3 not all judged with --strict,
    4 the computation failed.
    """
    if sum(str(build) == "-" for build in builds) > 1:
        problem = Problem("standard input (-) once", "it twice", key="BUILD", file="command line")
        raise InputError([problem])
    if plot is not None and len(builds) > 1:
        problem = Problem("one build to draw", f"{len(builds)}", key="--plot", file="command line")
        raise InputError([problem])
    checked(plot, builds, common.rules)
    mountain_m = height_of(mountain)
    judged: list[Judgement] = []
    failed: list[tuple[Path, Exception]] = []
    for build in builds:
        # One build's failure must not keep the others from being tried.
        try:
            judged.append(_judged(common, build, samples, seed, mountain_m))
        except Exception as error:
            if len(builds) == 1:
                raise
            failed.append((build, error))
    codes = {_code(judgement, fail_on, strict) for judgement in judged} | {
        code_of(error) for _, error in failed
    }
    data = _data(common, judged, failed, len(builds), full)
    talk = drawn(plot, lambda: of_judgement(plot_of, judged[0], common.system, lambda: _catalogue(common)))
    errors = tuple(_named(build, words_of(error)) for build, error in failed)
    return Answer(data, worst(codes), talk, errors)


def _catalogue(common: Common) -> Catalogue:
    """The catalogue that judged: the shipped one with the shop's rules and those of the command line laid over."""
    from enginelimits.rules.catalogue import load_catalogue
    from enginelimits.shop import read_shop, shop_folder

    own = read_shop(shop_folder(common.shop)).place("rules")
    return load_catalogue(overlays=[*((own,) if own else ()), *common.rules], as_of=common.as_of)


def _named(build: Path, words: str) -> str:
    """The words with the build's name before them, unless they begin with it."""
    return words if words.startswith(str(build)) else f"{build}: {words}"


def _judged(common: Common, build: Path, samples: int, seed: int, mountain_m: float | None) -> Judgement:
    from enginelimits.decisions.check import check_build

    return check_build(
        str(build) if str(build) == "-" else build,
        samples=samples,
        seed=seed,
        rules=common.rules,
        shop=common.shop,
        as_of=common.as_of,
        mountain_m=mountain_m,
    )


def _code(judgement: Judgement, fail_on: FailOn, strict: bool) -> int:
    from enginelimits.rules.grades import severity

    if severity(judgement.verdict.grade) >= severity(fail_on.value):
        return Code.findings
    return Code.not_judged if strict and not judgement.verdict.complete else Code.clean


def _data(
    common: Common, judged: list[Judgement], failed: list[tuple[Path, Exception]], asked: int, full: bool
) -> str:
    if common.form is Form.json:
        return _json(judged, failed, asked)
    if common.form is Form.sarif:
        from enginelimits.present.jsonform import written
        from enginelimits.present.sarif import check_sarif

        return written(check_sarif(judged, [(str(build), words_of(error)) for build, error in failed]))
    return _text(common, judged, full)


def _json(judged: list[Judgement], failed: list[tuple[Path, Exception]], asked: int) -> str:
    from enginelimits.present import jsonform

    if asked == 1:
        return jsonform.written(jsonform.check(judged[0]))
    lost: list[dict[str, Any]] = [
        {"file": str(build), "code": int(code_of(error)), "problems": words_of(error).splitlines()}
        for build, error in failed
    ]
    return jsonform.written(jsonform.checks(judged, lost))


def _text(common: Common, judged: list[Judgement], full: bool) -> str:
    from enginelimits.present.verdict import verdict_tree

    system = common.system
    return common.words(*(verdict_tree(judgement, system, full=full) for judgement in judged))
