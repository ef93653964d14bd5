"""The option that draws what a command found, and the two files that it writes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import refuse_inputs, write_beside
from enginelimits.errors import InputError, Problem
from enginelimits.files import read_so_far

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.present.plots.plot import Plot
    from enginelimits.rules.catalogue import Catalogue
    from enginelimits.units.display import System

PLOT = Annotated[
    Path | None,
    typer.Option("--plot", metavar="FILE.svg", help="Draw it there, its numbers as JSON beside (extra plots)."),
]


class Of(StrEnum):
    """What ``check`` can draw."""

    torque = "torque"
    pressure = "pressure"
    rod = "rod"
    margins = "margins"


PLOT_OF = Annotated[Of, typer.Option("--plot-of", help="What --plot draws of a checked build.")]


def checked(path: Path | None, inputs: Iterable[Path], folders: Iterable[Path] = ()) -> None:
    """InputError, before any work is done, where a plot could not be written or would lie on an input."""
    if path is None:
        return
    if path.suffix.lower() != ".svg":
        problem = Problem("a file name that ends in .svg", str(path), key="--plot", file="command line")
        raise InputError([problem])
    taken, read = list(inputs), list(folders)
    for written in (path, beside(path)):
        _refuse(written, taken, read)
    from enginelimits.present.plots.canvas import need_matplotlib

    need_matplotlib()


def _refuse(written: Path, files: Iterable[Path], folders: Iterable[Path]) -> None:
    try:
        refuse_inputs(written, files, folders)
    except InputError as error:
        raise InputError([replace(problem, key="--plot") for problem in error.problems]) from None


def beside(path: Path) -> Path:
    """Where the numbers of a plot go."""
    return path.with_suffix(".json")


def drawn(path: Path | None, plot: Callable[[], Plot]) -> tuple[str, ...]:
    """Draw and write a plot where one was asked for; what is said of that."""
    if path is None:
        return ()
    made = plot()
    for written in (path, beside(path)):
        _refuse(written, read_so_far(), ())
    # A file is looked at on white and by programs that know no variables.
    write_beside(path, made.printed + "\n")
    write_beside(beside(path), made.json)
    return (f"plot written to {path}, its numbers to {beside(path)}",)


def of_judgement(of: Of, judgement: Judgement, system: System, catalogue: Callable[[], Catalogue]) -> Plot:
    """One of the plots of a judged build; the catalogue is asked for only where limits are drawn."""
    from enginelimits.present.plots import plot

    if of is Of.margins:
        return plot.margins(judgement, system, catalogue=catalogue())
    draw = {Of.torque: plot.torque_and_power, Of.pressure: plot.cylinder_pressure, Of.rod: plot.rod_force}[of]
    return draw(judgement, system)
