"""The remedies that the goal needs."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.cli.steps import steps_told
from enginelimits.errors import InputError, Problem

PRICES = "prices.yaml"


class Grade(StrEnum):
    """The grade that nothing may reach."""

    caution = "caution"
    reinforce = "reinforce"
    decline = "decline"


class Order(StrEnum):
    """What makes one set better than another."""

    effect = "effect"
    few = "count"
    price = "price"


@command
def plan(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    grade: Annotated[Grade, typer.Option("--grade", help="Bring every finding under this grade.")] = Grade.reinforce,
    by: Annotated[
        Order, typer.Option("--by", help="What counts: the weight of findings removed, few remedies, or price.")
    ] = Order.effect,
    prices: Annotated[
        Path | None, typer.Option("--prices", metavar="FILE", help="Price list [default: prices.yaml of the shop]")
    ] = None,
    budget: Annotated[
        int, typer.Option("--budget", min=1, max=10_000, help="Judgements to search by; as many more verify.")
    ] = 60,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws to verify what was found; 0 for none.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
) -> Answer:
    """Find the smallest sets of remedies that the goal needs.

    Small margins that together raise the verdict to the grade are planned for too. Ctrl-C ends with what is known so
    far. Exit code: 0 when a set reaches the goal with a verdict under the grade, 1 when none does, 2 bad input.

    Example: enginelimits plan build.yaml --grade caution --by count
    """
    from enginelimits.decisions.bench import bench_of
    from enginelimits.decisions.plan import plan as planned
    from enginelimits.decisions.spend import read_prices
    from enginelimits.present.plan import plan_data, plan_tree

    path = price_file(common, prices)
    if by is Order.price and path is None:
        mend = "Name one with --prices, or put prices.yaml into the shop's folder."
        raise InputError([Problem("a price list beside --by price", "none", mend, "--prices", "command line")])
    with steps_told(common) as told:
        bench = bench_of(
            str(build) if str(build) == "-" else build, samples=samples, seed=seed, rules=common.rules,
            shop=common.shop, as_of=common.as_of,
        )
        listed = None if path is None else read_prices(path, bench.catalogue.remedies.keys())
        found = planned(bench, grade=grade.value, by=by.value, prices=listed, budget=budget, tell=told)
    code = Code.interrupted if found.interrupted else Code.clean if found.reached else Code.findings
    return common.shown(plan_tree(found, common.system), lambda: plan_data(found), code=code)


def price_file(common: Common, named: Path | None) -> Path | None:
    """The list that was named, else the shop's, if it has one."""
    from enginelimits.shop import read_shop, shop_folder

    return named or read_shop(shop_folder(common.shop)).place(PRICES)
