"""The commands under their names.  Each is imported when it is called; help alone imports none."""

from __future__ import annotations

from difflib import get_close_matches
from importlib import import_module
from typing import Annotated, Any, NamedTuple

import typer
from typer.core import TyperGroup
from typer.main import get_command

from enginelimits import __version__


class Entry(NamedTuple):
    """Where a command stands, and the line that help gives it, which is its docstring's first."""

    module: str
    function: str
    says: str
    kind: str = ""


ENTRIES = {
    "check": Entry("check", "check", "Assess builds and print graded cautions."),
    "why": Entry("why", "why", "Show the worked calculation behind a quantity."),
    "ladder": Entry("ladder", "ladder", "Raise boost step by step; tell which limit is reached first."),
    "ceiling": Entry("ceiling", "ceiling", "Tell the greatest power at which no finding reaches a grade."),
    "plan": Entry("plan", "plan", "Find the smallest sets of remedies that the goal needs."),
    "report": Entry("report", "report", "Write a page for one reader: to read, to print, to sign."),
    "compare": Entry("compare", "compare", "Set two or more builds side by side."),
    "sweep": Entry("sweep", "sweep", "Judge many builds: a folder, a table, a grid of values."),
    "measure": Entry("measure", "measure", "Tell which unknown, if measured, would change the verdict most."),
    "reading": Entry("reading", "reading", "Restate one power figure: crank, wheels, dyno, correction."),
    "pull": Entry("pull", "pull", "Read a measured pull, hold it against the model, and judge what it asks."),
    "quantities": Entry(
        "vocabulary", "quantities", "List the quantities; with a bare --units, the units.", "BareUnits"
    ),
    "start": Entry("start", "start", "Print a commented build file to start from."),
    "record": Entry("record", "record", "Keep quotes, pulls and outcomes, and review them."),
    "rules": Entry("rules", "rules", "List, explain, check, test, compare and begin rules."),
    "cases": Entry("cases", "cases", "Run the worked cases."),
}


class Commands(TyperGroup):
    """Finds commands by name in the table above."""

    def list_commands(self, ctx: Any) -> list[str]:
        """The names in the order of the table."""
        return list(ENTRIES)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of that name, imported now; wrong usage if there is none."""
        entry = ENTRIES.get(cmd_name)
        if entry is not None:
            return loaded(cmd_name, entry)
        near = get_close_matches(cmd_name, ENTRIES, n=1)
        mend = f" Did you mean '{near[0]}'?" if near else ""
        return ctx.fail(f"No such command '{cmd_name}'.{mend}")

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The lines of help, without importing what they speak of."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.says) for name, entry in ENTRIES.items()])


def loaded(name: str, entry: Entry) -> Any:
    """One command, or group of commands, ready to run."""
    module = import_module(f"enginelimits.cli.{entry.module}")
    found = getattr(module, entry.function)
    if isinstance(found, typer.Typer):
        return get_command(found)
    alone = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    alone.command(name, cls=getattr(module, entry.kind) if entry.kind else None)(found)
    return get_command(alone)


app = typer.Typer(
    name="enginelimits",
    cls=Commands,
    help="What a power target asks of an engine that was not designed for boost.",
    epilog="Estimates for trained people, not a measurement, certificate or inspection.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"enginelimits {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and end.")
    ] = False,
) -> None:
    pass
