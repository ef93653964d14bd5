"""The catalogue as pages to read: one a rule, and an index by family and by failure mode; Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.model import FailureMode, Remedy, Rule, RuleTest, leaves, names_read
from enginelimits.rules.wording import against_text, condition_text

INDEX = "README.md"
MADE = "Made from the rule files by `tools/rule_pages.py`; changes belong there."


def rule_pages(catalogue: Catalogue, tests: Iterable[RuleTest] = ()) -> dict[str, str]:
    """Every page by its file name, the index among them."""
    counts: dict[str, int] = {}
    for test in tests:
        counts[test.rule] = counts.get(test.rule, 0) + len(test.cases)
    pages = {f"{rule.id}.md": rule_page(rule, catalogue, counts.get(rule.id, 0)) for rule in catalogue.rules.values()}
    return {INDEX: index_page(catalogue), **pages}


def index_page(catalogue: Catalogue) -> str:
    """Rules by family, then failure modes with the rules that speak of each."""
    rules = list(catalogue.rules.values())
    lines = ["# The catalogue of rules", "", MADE, "", "## By family", ""]
    for family in sorted({rule.family for rule in rules}):
        lines += [f"### {family}", "", "| rule | title | worst |", "| --- | --- | --- |"]
        lines += [
            f"| [{rule.id}]({rule.id}.md) | {_cell(rule.title)}{_status(rule)} | {rule.grades[0].grade} |"
            for rule in rules if rule.family == family
        ]
        lines.append("")
    lines += ["## By failure mode", "", "| mode | title | part | rules |", "| --- | --- | --- | --- |"]
    for mode in catalogue.failure_modes.values():
        lines.append(f"| {mode.id} | {_cell(mode.title)} | {_cell(mode.part)} | {_cell(_spoken_of(mode, rules))} |")
    return "\n".join(lines) + "\n"


def _spoken_of(mode: FailureMode, rules: Iterable[Rule]) -> str:
    spoken = [f"[{rule.id}]({rule.id}.md)" for rule in rules if mode.id in rule.failure_modes]
    if spoken:
        return ", ".join(spoken)
    if mode.not_modelled:
        return f"not modelled: {mode.not_modelled}"
    return f"waits for {mode.awaits}" if mode.awaits else "none"


def rule_page(rule: Rule, catalogue: Catalogue, tests: int = 0) -> str:
    """One rule: what it asks, on which numbers, what stands behind them, what to do."""
    limits = {name: str(limit.value) for name, limit in rule.limits.items()}
    lines = [f"# {rule.id} {rule.title}", "", MADE, "", *_head(rule, catalogue), ""]
    if rule.why:
        lines += [rule.why, ""]
    lines += ["## When", ""]
    if rule.applies is not None:
        lines += [f"It applies when {condition_text(rule.applies, limits)}.", ""]
    if rule.span is not None:
        ends = (("above", rule.span.above), ("below", rule.span.below))
        said = " and ".join(f"{word} {against_text(end, limits)}" for word, end in ends if end is not None)
        lines += [f"It looks at engine speeds {said}.", ""]
    lines += [f"- **{grade.grade}**: {condition_text(grade.when, limits)}" for grade in rule.grades]
    if rule.over == "all":
        lines += ["", "Each must hold at every engine speed."]
    lines += ["", *_limits(rule), *_reads(rule), *_remedies(rule, catalogue.remedies)]
    lines += ["## What it says", "", f"> {rule.message}", ""]
    if rule.settled_by:
        lines += [f"Settled by: {rule.settled_by}", ""]
    lines += _listed("Caveats", rule.caveats)
    lines += _listed("Sources", (_source(source) for source in rule.sources))
    lines += [f"{tests} tests stand beside the rule." if tests else "No tests stand beside the rule."]
    return "\n".join(lines).rstrip() + "\n"


def _head(rule: Rule, catalogue: Catalogue) -> list[str]:
    said = [f"family {rule.family}", rule.status, f"since {rule.since}"]
    said += [f"part: {rule.part}"] if rule.part else []
    said += [f"method: {rule.method}"] if rule.method else []
    said += [f"by {rule.author}, {rule.date}"] if rule.author else []
    said += [f"replaced by [{rule.replaced_by}]({rule.replaced_by}.md)"] if rule.replaced_by else []
    modes = catalogue.failure_modes
    told = [f"{id_} {modes[id_].title}" if id_ in modes else id_ for id_ in rule.failure_modes]
    lines = ["; ".join(said) + "."]
    return [*lines, "", f"Failure modes: {'; '.join(told)}."] if told else lines


def _limits(rule: Rule) -> Iterator[str]:
    if not rule.limits:
        return
    yield from ("## Limits", "", "| limit | value | evidence | confidence | note |", "| --- | --- | --- | --- | --- |")
    for name, limit in rule.limits.items():
        source = _source(limit.source) if limit.source else ""
        note = "; ".join(part for part in (limit.note, source) if part)
        evidence, confidence = limit.evidence or rule.evidence, limit.confidence or rule.confidence
        stated = "" if limit.low is None else f" ({limit.low} to {limit.high})"
        yield f"| `{name}` | {limit.value}{stated} | {evidence} | {confidence} | {_cell(note)} |"
    yield ""


def _reads(rule: Rule) -> Iterator[str]:
    """What the rule rests on, by name."""
    read = dict.fromkeys(pair for leaf in leaves(*rule.conditions) for pair in names_read(leaf))
    if read:
        yield from ("## Reads", "")
        for kind, name in read:
            yield f"- {kind} [{name}]({name}.md)" if kind == "rule" else f"- {kind} `{name}`"
        yield ""


def _remedies(rule: Rule, remedies: Mapping[str, Remedy]) -> Iterator[str]:
    known = [remedies[id_] for id_ in rule.remedies if id_ in remedies]
    if known:
        yield from ("## Remedies", "")
        for remedy in known:
            shifts = f" Shifts: {remedy.shifts}" if remedy.shifts else ""
            yield f"- {remedy.say}{shifts} (`{remedy.id}`, {remedy.kind})"
        yield ""


def _listed(title: str, entries: Iterable[str]) -> list[str]:
    items = [f"- {entry}" for entry in entries]
    return [f"## {title}", "", *items, ""] if items else []


def _source(source: Mapping[str, str]) -> str:
    told = ", ".join(part for part in (source.get("id", ""), source.get("at", "")) if part)
    return told + (f" ({source['gives']})" if source.get("gives") else "")


def _status(rule: Rule) -> str:
    return "" if rule.status == "stable" else f" ({rule.status})"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")
