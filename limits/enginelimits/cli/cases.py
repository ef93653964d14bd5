"""The worked cases."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command

if TYPE_CHECKING:
    from collections.abc import Sequence

    from enginelimits.decisions.cases import CaseResult
    from enginelimits.present.tree import Node, Tree


@command
def cases(
    common: Common,
    names: Annotated[list[str] | None, typer.Argument(metavar="[NAME...]", help="Only these cases.")] = None,
    root: Annotated[
        Path | None,
        typer.Option("--root", metavar="DIR", help="Cases of your own [default: the shipped ones]"),
    ] = None,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=100_000, help="Draws over what is not known.")
    ] = 64,
) -> Answer:
    """Run the worked cases.

    Each is judged and held against what was written down before it was run; exit 1 when one is not.

    Example: enginelimits cases small-turbo-1800 --samples 0
    """
    from enginelimits.decisions.cases import run_cases
    from enginelimits.rules.catalogue import load_catalogue

    catalogue = load_catalogue(overlays=common.rules, as_of=common.as_of)
    results = run_cases(root, catalogue=catalogue, samples=samples, only=tuple(names or ()))
    code = Code.clean if all(result.held for result in results) else Code.findings
    return common.shown(_tree(results), lambda: _data(results), code)


def _tree(results: Sequence[CaseResult]) -> Tree:
    from enginelimits.present.tree import Heading, Item, Run, Tree, line

    nodes: list[Node] = []
    for result in results:
        kept = sum(e.held for e in result.expectations)
        nodes.append(
            Heading(
                f"{result.name}: {result.judgement.verdict.grade}, {kept} of {len(result.expectations)} held"
            )
        )
        nodes += [
            Item("-", (Run("NOT HELD ", "decline"), Run(f"{e.says}; got {e.got}")), (line(e.because),))
            for e in result.expectations
            if not e.held
        ]
    broken = sum(not result.held for result in results)
    nodes.append(Heading(f"{len(results)} cases, {broken} with expectations not held"))
    return Tree("", tuple(nodes))


def _data(results: Sequence[CaseResult]) -> dict[str, Any]:
    return {
        "schema": "enginelimits.cases/1",
        "held": all(result.held for result in results),
        "cases": [
            {
                "name": result.name,
                "grade": result.judgement.verdict.grade,
                "held": result.held,
                "expectations": [
                    {"says": e.says, "because": e.because, "held": e.held, "got": e.got}
                    for e in result.expectations
                ],
            }
            for result in results
        ],
    }
