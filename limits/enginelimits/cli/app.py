"""The commands under their names."""

from __future__ import annotations

from typing import Annotated

import typer

from enginelimits import __version__
from enginelimits.cli import rules
from enginelimits.cli.cases import cases
from enginelimits.cli.check import check
from enginelimits.cli.start import start
from enginelimits.cli.vocabulary import BareUnits, quantities
from enginelimits.cli.why import why

app = typer.Typer(
    name="enginelimits",
    help="What a power target asks of an engine that was not designed for boost.",
    epilog="Estimates for trained people, not a measurement, certificate or inspection.",
    no_args_is_help=True,
    add_completion=False,
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


app.command()(check)
app.command()(why)
app.command(cls=BareUnits)(quantities)
app.command()(start)
app.command()(cases)

catalogue = typer.Typer(
    help="The catalogue of rules.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
catalogue.command("list")(rules.list_rules)
catalogue.command()(rules.explain)
catalogue.command()(rules.lint)
catalogue.command()(rules.test)
catalogue.command()(rules.new)
app.add_typer(catalogue, name="rules")
