"""Write docs/validation/thresholds.md and assumptions.md: what every limit rests on, and what was assumed in the cases.

    python tools/honesty.py [--thresholds]

The second takes a minute: every case is judged.  ``--thresholds`` writes the first alone.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from enginelimits.decisions.influence import weightiest
from enginelimits.decisions.judge import judge
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.load import load_build
from enginelimits.present.values import input_text
from enginelimits.rules.catalogue import Catalogue, load_catalogue
from enginelimits.rules.model import CONFIDENCE, EVIDENCE, Limit, Rule

ROOT = Path(__file__).parents[1]
PAGES = ROOT / "docs" / "validation"
THRESHOLDS, ASSUMPTIONS = PAGES / "thresholds.md", PAGES / "assumptions.md"
# The day that overrides and notices are judged by, so that the page does not change with the calendar
DAY = date(2026, 11, 25)
SHOWN = 10
SURE = tuple(reversed(CONFIDENCE))

EVIDENCE_SAYS = {
    "published": "Published: a standard, a book or a paper that the limit names",
    "computed": "Computed by the project; the sum stands in the documentation",
    "common practice": "Common practice of the trade: many say it, none was found to have shown it",
    "memory": "Memory: what practitioners told, without anything to look it up in",
    "shop": "A shop's own",
}


def thresholds(catalogue: Catalogue) -> str:
    """The page of limits, those that rest on most first."""
    limits = [(rule, limit) for rule in catalogue.rules.values() for limit in rule.limits.values()]
    counted = Counter((limit.evidence, limit.confidence) for _, limit in limits)
    lines = [
        "# What every threshold rests on",
        "",
        "Made by `tools/honesty.py` from the rule files; not to be edited by hand.",
        "",
        f"{len(limits)} limits of {len(catalogue.rules)} rules. Evidence says where a limit comes from, confidence how",
        "far it is to be relied on; limits of low and medium confidence are drawn from a range of their own",
        "([how](../draws.md)).",
        "",
        "| evidence | " + " | ".join(SURE) + " | all |",
        "| --- |" + " ---: |" * (len(SURE) + 1),
    ]
    for evidence in EVIDENCE:
        by = [counted[evidence, sure] for sure in SURE]
        if sum(by):
            lines.append(f"| {evidence} | " + " | ".join(map(str, by)) + f" | {sum(by)} |")
    for evidence in EVIDENCE:
        of = [(rule, limit) for rule, limit in limits if limit.evidence == evidence]
        if of:
            lines += ["", f"## {EVIDENCE_SAYS[evidence]}", "", "| rule | limit | value | confidence | from |",
                      "| --- | --- | --- | --- | --- |"]
            lines += [_row(rule, limit) for rule, limit in sorted(of, key=lambda pair: (pair[0].id, pair[1].name))]
    return "\n".join(lines) + "\n"


def _row(rule: Rule, limit: Limit) -> str:
    source = ", ".join(str(part) for part in limit.source.values()) or "; ".join(
        dict.fromkeys(str(entry.get("id", "")) for entry in rule.sources)
    )
    cells = (f"[{rule.id}](../rules/{rule.id}.md)", limit.name, str(limit.value), limit.confidence, source)
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def assumptions(judged: dict[str, Judgement]) -> str:
    """The page of assumed values, case by case, those first that move what the gravest findings speak of."""
    lines = [
        "# What was assumed in the cases",
        "",
        "Made by `tools/honesty.py`, which judges every shipped case with the usual draws; not to be edited by hand.",
        "The builds are invented. Told are the assumed values whose draws go most closely with what the gravest",
        "findings speak of; the others of a case moved its verdict less. What a build file states is not among them.",
    ]
    for name, one in judged.items():
        limiting = one.verdict.limiting
        assumed = one.filled.assumed
        lines += [
            "", f"## {name}", "",
            f"{one.verdict.grade}" + (f", by {limiting.rule}" if limiting else "")
            + f"; {len(assumed)} of {len(one.filled.inputs)} inputs were assumed.", "",
            "| assumed | value and range | from | source |", "| --- | --- | --- | --- |",
        ]
        for given in weightiest(one)[:SHOWN]:
            told = input_text(given, "metric")
            lines.append(f"| `{given.path}` | {told} | {given.note or 'class'} | {given.source} |")
    return "\n".join(lines) + "\n"


def cases(catalogue: Catalogue) -> Iterator[tuple[str, Judgement]]:
    for folder in sorted((ROOT / "cases").iterdir()):
        if (folder / "build.yaml").is_file():
            yield folder.name, judge(load_build(folder / "build.yaml"), catalogue, as_of=DAY)


def main() -> None:
    catalogue = load_catalogue(ROOT / "rulesets", as_of=DAY)
    THRESHOLDS.write_text(thresholds(catalogue), encoding="utf-8", newline="\n")
    if "--thresholds" not in sys.argv[1:]:
        ASSUMPTIONS.write_text(assumptions(dict(cases(catalogue))), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
