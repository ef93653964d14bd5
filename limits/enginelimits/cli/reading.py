"""One power figure restated."""

from __future__ import annotations

from typing import Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.options import command

Words = str | None


@command
def reading(
    common: Common,
    power: Annotated[str, typer.Argument(metavar="POWER", help='As "298 hp" or "220 to 230 kW".')],
    at: Annotated[Words, typer.Option("--at", metavar="crank|wheels", help="Where it is meant.")] = None,
    dyno: Annotated[
        Words, typer.Option("--dyno", metavar="KIND", help="At the wheels: load-controlled, inertia or hub.")
    ] = None,
    correction: Annotated[
        str,
        typer.Option("--correction", metavar="NAME", help="In it: none, SAE J1349, J607, DIN 70020, ISO 1585, UN R85."),
    ] = "none",
    altitude: Annotated[Words, typer.Option("--altitude", metavar="HEIGHT", help='Of the run, as "450 m".')] = None,
    air_temperature: Annotated[
        Words, typer.Option("--air-temperature", metavar="DEGREES", help='Of the run, as "30 degC".')
    ] = None,
    relative_humidity: Annotated[
        Words, typer.Option("--relative-humidity", metavar="SHARE", help='Of the run, as "40 %".')
    ] = None,
    drive: Annotated[Words, typer.Option("--drive", metavar="rear|front|all", help="Which wheels drive.")] = None,
    gearbox: Annotated[
        Words, typer.Option("--gearbox", metavar="KIND", help="manual, automatic, dual-clutch or sequential.")
    ] = None,
    loss_fixed: Annotated[
        Words, typer.Option("--loss-fixed", metavar="POWER", help='Lost at any load, as "6 kW".')
    ] = None,
    loss_proportional: Annotated[
        Words, typer.Option("--loss-proportional", metavar="SHARE", help='Of crank power besides, as "9 %".')
    ] = None,
    boost_controlled: Annotated[
        bool, typer.Option("--boost-controlled/--not", help="Whether the control holds manifold pressure.")
    ] = True,
) -> Answer:
    """Restate one power figure: crank, wheels, dyno, correction.

    At the crank and at the wheels, on each kind of dyno, under each weather correction, with ranges. What is left
    open of weather and loss is the shop's, else that of a class.

    Example: enginelimits reading "298 hp" --at wheels --dyno load-controlled
    """
    from enginelimits.decisions.reading import restated
    from enginelimits.present.reading import reading_data, reading_tree
    from enginelimits.shop import read_shop, shop_folder

    stated = {
        "goal.power": power,
        "goal.at": at,
        "goal.dyno": dyno,
        "goal.correction": correction,
        "site.altitude": altitude,
        "site.air_temperature": air_temperature,
        "site.relative_humidity": relative_humidity,
        "driveline.drive": drive,
        "driveline.gearbox": gearbox,
        "driveline.loss.fixed": loss_fixed,
        "driveline.loss.proportional": loss_proportional,
    }
    shop = read_shop(shop_folder(common.shop))
    found = restated(stated, boost_controlled=boost_controlled, shop=shop)
    return common.shown(reading_tree(found, common.system), lambda: reading_data(found))
