"""The catalogue of rules: look, check, test, and begin a new one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.rules.catalogue import Catalogue


def _catalogue(common: Common) -> Catalogue:
    """The catalogue with the shop's rules and those named laid over."""
    from enginelimits.rules.catalogue import load_catalogue
    from enginelimits.shop import read_shop, shop_folder

    own = read_shop(shop_folder(common.shop)).place("rules")
    return load_catalogue(overlays=[*([own] if own else []), *common.rules], as_of=common.as_of)


@command
def list_rules(
    common: Common,
    family: Annotated[
        str | None, typer.Argument(metavar="[FAMILY]", help="Only the rules of this family.")
    ] = None,
) -> Answer:
    """List the rules, with the worst grade that each can give."""
    from enginelimits.present.catalogue import rules_data, rules_tree

    every = _catalogue(common).rules.values()
    chosen = [rule for rule in every if family is None or rule.family == family]
    if not chosen:
        families = tuple(sorted({rule.family for rule in every}))
        raise InputError(
            [Problem("a family of rules", repr(family), key="FAMILY", file="command line", near=families)]
        )
    return common.shown(rules_tree(chosen), lambda: rules_data(chosen))


@command
def explain(
    common: Common, id: Annotated[str, typer.Argument(metavar="RULE", help="The id, as ROD003.")]
) -> Answer:
    """Show one rule: what it asks, its limits, their evidence and sources."""
    from enginelimits.present.catalogue import rule_data, rule_tree

    catalogue = _catalogue(common)
    rule = catalogue.rules.get(id.upper())
    if rule is None:
        from difflib import get_close_matches

        near = tuple(get_close_matches(id.upper(), list(catalogue.rules), n=3))
        problem = Problem(
            "the id of a rule", repr(id), "`rules list` shows them.", "RULE", "command line", near=near
        )
        raise InputError([problem])
    return common.shown(rule_tree(rule, catalogue), lambda: rule_data(rule, catalogue))


@command
def lint(common: Common) -> Answer:
    """Check the catalogue for loose ends; exit 1 when there are any."""
    from enginelimits.decisions.trial import remedy_trial
    from enginelimits.present.catalogue import lint_data, lint_tree
    from enginelimits.rules.lint import catalogue_problems

    catalogue = _catalogue(common)
    problems = catalogue_problems(catalogue, tried=remedy_trial(catalogue))
    return common.shown(
        lint_tree(problems), lambda: lint_data(problems), Code.findings if problems else Code.clean
    )


@command
def test(
    common: Common,
    ids: Annotated[
        list[str] | None, typer.Argument(metavar="[RULE...]", help="Only the tests of these.")
    ] = None,
) -> Answer:
    """Run the tests that stand beside the rules; exit 1 when one fails."""
    from enginelimits.assessment.vocabulary import QUANTITIES
    from enginelimits.description.paths import known_paths
    from enginelimits.present.catalogue import results_data, results_tree
    from enginelimits.rules.testing import run_tests

    only = tuple(name.upper() for name in ids or ())
    units = {name: kind.unit for name, kind in QUANTITIES.items()}
    results = run_tests(_catalogue(common), units=units, inputs=known_paths(), only=only)
    untested = [name for name in only if name not in {result.rule for result in results}]
    if untested:
        problem = Problem("rules with tests", ", ".join(untested), key="RULE", file="command line")
        raise InputError([problem])
    code = Code.clean if all(result.passed for result in results) else Code.findings
    return common.shown(results_tree(results), lambda: results_data(results), code)


@command
def new(
    common: Common,
    id: Annotated[str, typer.Argument(metavar="RULE", help="The new id: three letters and three digits.")],
    family: Annotated[str, typer.Option("--family", help="The folder and family it belongs to.")],
    title: Annotated[str, typer.Option("--title", help="A few words.")],
    into: Annotated[Path, typer.Option("--into", metavar="DIR", help="The folder of rules to write it in.")],
    author: Annotated[str, typer.Option("--author", help="Who answers for it.")] = "",
) -> Answer:
    """Begin a rule and its test, to be filled in, in a folder of rules."""
    from enginelimits.rules.drafts import written_draft

    taken = frozenset(_catalogue(common).rules)
    rule, test_file = written_draft(into, id, family=family, title=title, author=author, taken=taken)
    talk = (f"fill both in, then: enginelimits rules test --rules {into} {id.upper()}",)
    return Answer(f"{rule}\n{test_file}\n", talk=talk)


rules = typer.Typer(
    help="List, explain, check, test and begin rules.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
rules.command("list")(list_rules)
rules.command()(explain)
rules.command()(lint)
rules.command()(test)
rules.command()(new)
