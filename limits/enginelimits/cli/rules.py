"""The catalogue of rules: look, check, test, compare, and begin a new one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

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
    grade: Annotated[
        str | None, typer.Option("--grade", help="Only those that can give this grade.")
    ] = None,
    evidence: Annotated[
        str | None, typer.Option("--evidence", help="Only those with a limit that rests on this.")
    ] = None,
    status: Annotated[
        str | None, typer.Option("--status", help="preview, stable or withdrawn.")
    ] = None,
) -> Answer:
    """List the rules, with their worst grades.

    Example: enginelimits rules list rods --grade reinforce
    """
    from enginelimits.present.catalogue import rules_data, rules_tree
    from enginelimits.rules.grades import LOG_GRADES
    from enginelimits.rules.model import EVIDENCE, STATUSES

    every = list(_catalogue(common).rules.values())
    families = tuple(sorted({rule.family for rule in every}))
    for said, known, key, what in (
        (family, families, "FAMILY", "a family of rules"),
        (grade, LOG_GRADES[1:], "--grade", "a grade"),
        (evidence, EVIDENCE, "--evidence", "a kind of evidence"),
        (status, STATUSES, "--status", "a status"),
    ):
        if said is not None and said not in known:
            raise InputError([Problem(what, repr(said), f"Known: {', '.join(known)}.", key, "command line")])
    chosen = [
        rule for rule in every
        if family in (None, rule.family)
        and status in (None, rule.status)
        and (grade is None or any(g.grade == grade for g in rule.grades))
        and (evidence is None or evidence in {limit.evidence or rule.evidence for limit in rule.limits.values()})
    ]
    return common.shown(rules_tree(chosen), lambda: rules_data(chosen))


@command
def explain(
    common: Common,
    id: Annotated[str, typer.Argument(metavar="RULE", help="The id, as ROD003.")],
    build: Annotated[
        Path | None, typer.Argument(metavar="[BUILD]", help="A build file to work the conditions out on.")
    ] = None,
) -> Answer:
    """Show one rule, worked on a build if given.

    What it asks, its limits, their evidence and sources.

    Example: enginelimits rules explain DRV001 build.yaml
    """
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
    tree, data = rule_tree(rule, catalogue), rule_data(rule, catalogue)
    if build is None:
        return common.shown(tree, lambda: data)
    from enginelimits.decisions.rule_on_build import rule_on_build
    from enginelimits.present.rule_on_build import on_build_data, on_build_nodes
    from enginelimits.shop import read_shop, shop_folder

    worked = rule_on_build(build, catalogue, rule.id, shop=read_shop(shop_folder(common.shop)))
    tree = replace(tree, nodes=(*tree.nodes, *on_build_nodes(worked, common.system)))
    return common.shown(tree, lambda: {**data, "on_build": on_build_data(worked)})


@command
def lint(common: Common) -> Answer:
    """Check the catalogue for loose ends.

    Exit 1 when there are any.

    Example: enginelimits rules lint --rules our-rules
    """
    from enginelimits.decisions.trial import remedy_trial
    from enginelimits.present.catalogue import lint_data, lint_tree
    from enginelimits.rules.lint import catalogue_problems

    catalogue = _catalogue(common)
    problems = catalogue_problems(catalogue, tried=remedy_trial(catalogue))
    return common.shown(
        lint_tree(problems), lambda: lint_data(problems), Code.findings if problems else Code.clean,
        sarif=lambda: _lint_sarif(problems, catalogue),
    )


def _lint_sarif(problems: Sequence[Problem], catalogue: Catalogue) -> dict[str, Any]:
    from enginelimits.present.sarif import lint_sarif

    return lint_sarif(problems, catalogue)


@command
def test(
    common: Common,
    ids: Annotated[
        list[str] | None, typer.Argument(metavar="[RULE...]", help="Only the tests of these.")
    ] = None,
) -> Answer:
    """Run the tests beside the rules.

    Exit 1 when one fails.

    Without names the catalogue is looked through as well: a rule without tests, a grade that cannot be reached, a limit
    without a source, a fact that nobody uses and the like fail too.

    Example: enginelimits rules test DRV001
    """
    from enginelimits.assessment.vocabulary import QUANTITIES
    from enginelimits.description.paths import known_paths
    from enginelimits.present.catalogue import results_data, results_tree
    from enginelimits.rules.lint import catalogue_problems
    from enginelimits.rules.testing import run_tests

    only = tuple(name.upper() for name in ids or ())
    units = {name: kind.unit for name, kind in QUANTITIES.items()}
    catalogue = _catalogue(common)
    results = run_tests(catalogue, units=units, inputs=known_paths(), only=only)
    untested = [name for name in only if name not in {result.rule for result in results}]
    if untested:
        first = next((catalogue.rules[name] for name in untested if name in catalogue.rules), None)
        # The rule is there, so it is the test that is missing: say where it has to lie
        rule_file = Path(first.place.file).name if first is not None else ""
        beside = f"Write {rule_file.removesuffix('.yaml')}.test.yaml beside {rule_file}, with `rule: {untested[0]}`."
        mend = beside if rule_file else "`rules list` shows the rules."
        problem = Problem("rules with tests", ", ".join(untested), mend, "RULE", "command line")
        raise InputError([problem])
    problems = () if only else catalogue_problems(catalogue)
    code = Code.clean if not problems and all(result.passed for result in results) else Code.findings
    return common.shown(results_tree(results, problems), lambda: results_data(results, problems), code)


@command
def changes(
    common: Common,
    old: Annotated[Path, typer.Argument(metavar="OLD", help="A folder of rules, or the word shipped.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="The folder to hold against it.")],
    builds: Annotated[
        list[Path] | None, typer.Argument(metavar="[BUILD...]", help="Build files beside the worked cases.")
    ] = None,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known.")
    ] = 64,
) -> Answer:
    """Show which rules and verdicts change.

    A folder that holds catalogue.yaml is a whole catalogue; any other is laid over the shipped one.  Every worked case
    and every build given is judged under both; exit 1 when a verdict or a finding changes.

    Example: enginelimits rules changes shipped our-rules build.yaml
    """
    from enginelimits.decisions.changes import SHIPPED, catalogue_of
    from enginelimits.decisions.changes import changes as compared
    from enginelimits.present.changes import changes_data, changes_tree

    for folder in (old, new):
        if not folder.is_dir() and str(folder) != SHIPPED:
            mend = "Correct the path; `shipped` stands for the rules that come with the program."
            raise InputError([Problem("a folder of rules, or the word shipped", f"no folder `{folder}`", mend,
                                      file="command line")])
    before, after = catalogue_of(old, common.as_of), catalogue_of(new, common.as_of)
    found = compared(before, after, builds or (), samples=samples)
    code = Code.clean if all(verdict.same for verdict in found.verdicts) else Code.findings
    return common.shown(changes_tree(found), lambda: changes_data(found), code)


@command
def new(
    common: Common,
    id: Annotated[str, typer.Argument(metavar="RULE", help="The new id, as ROD900: capitals and digits.")],
    family: Annotated[str, typer.Option("--family", help="The folder and family it belongs to.")],
    title: Annotated[str, typer.Option("--title", help="A few words.")],
    into: Annotated[Path, typer.Option("--into", metavar="DIR", help="The folder of rules to write it in.")],
    author: Annotated[str, typer.Option("--author", help="Who answers for it.")] = "",
) -> Answer:
    """Begin a rule and its test.

    Both are to be filled in, in a folder of rules.

    Example: enginelimits rules new ROD900 --family rods --title "Our rods" --into our-rules
    """
    from enginelimits.rules.drafts import written_draft

    taken = frozenset(_catalogue(common).rules)
    rule, test_file = written_draft(into, id, family=family, title=title, author=author, taken=taken)
    talk = (f"fill both in, then: enginelimits rules test --rules {into} {id.upper()}",)
    return Answer(f"{rule}\n{test_file}\n", talk=talk)


rules = typer.Typer(
    help="List, explain, check, test, compare and begin rules.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
rules.command("list")(list_rules)
rules.command()(explain)
rules.command()(lint)
rules.command()(test)
rules.command()(changes)
rules.command()(new)
