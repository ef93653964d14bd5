"""What differs between two catalogues, as words and as data."""

from __future__ import annotations

from typing import Any

from enginelimits import __version__
from enginelimits.decisions.changes import Changes, RuleChange, VerdictChange
from enginelimits.present.tree import Heading, Item, Node, Run, Tree, line

CHANGES = "enginelimits.rules-changes/1"


def changes_tree(found: Changes) -> Tree:
    """Rules that differ, then the builds whose verdicts change, with both sides."""
    nodes: list[Node] = [Heading(f"Rules that differ: {len(found.rules) or 'none'}")]
    nodes += [_rule(change) for change in found.rules]
    moved = [verdict for verdict in found.verdicts if not verdict.same]
    nodes.append(Heading(f"Builds whose verdict or findings change: {len(moved) or 'none'} of {len(found.verdicts)}"))
    nodes += [_verdict(verdict) for verdict in moved]
    return Tree("", tuple(nodes))


def _rule(change: RuleChange) -> Item:
    under = tuple(line(f"{what}: {before} -> {after}") for what, before, after in change.differs)
    return Item("-", (Run(f"{change.rule} {change.kind} ", "strong"), Run(change.title)), under)


def _verdict(verdict: VerdictChange) -> Item:
    grade = verdict.before if verdict.before == verdict.after else f"{verdict.before} -> {verdict.after}"
    under = tuple(line(f"{f.rule} {f.title}: {f.before} -> {f.after}") for f in verdict.findings)
    return Item("-", (Run(f"{verdict.name}: ", "strong"), Run(grade)), under)


def changes_data(found: Changes) -> dict[str, Any]:
    """The same as data, with the builds that stay as they are."""
    return {
        "schema": CHANGES,
        "version": __version__,
        "rules": [
            {
                "rule": change.rule,
                "title": change.title,
                "kind": change.kind,
                "differs": [{"what": what, "before": before, "after": after} for what, before, after in change.differs],
            }
            for change in found.rules
        ],
        "verdicts": [
            {
                "build": verdict.name,
                "before": verdict.before,
                "after": verdict.after,
                "findings": [
                    {"rule": f.rule, "title": f.title, "before": f.before, "after": f.after} for f in verdict.findings
                ],
            }
            for verdict in found.verdicts
        ],
    }
