"""Pages made from what the program itself knows: quantities, commands, keys, classes, channels, units, sources."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from enginelimits.assessment.quantity_kind import QuantityKind
from enginelimits.assessment.vocabulary import _TOPICS, QUANTITIES
from enginelimits.description.fields import Choice, FieldKind, Several, Text, ThreadText
from enginelimits.description.paths import containers, fields
from enginelimits.description.physical import BySpeed, Count, Octane, Physical, YesNo
from enginelimits.measured.channels import CHANNELS
from enginelimits.reference.catalogue import Condition, Entry, Kind, ReferenceClass, kind, kinds
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.model import leaves, names_read
from enginelimits.units.display import shown, shown_number
from enginelimits.units.registry import from_si
from enginelimits.units.sources import SOURCES
from enginelimits.units.spellings import SPELLINGS, fitting

MADE = "Made by `tools/site_pages.py` from the program; changes belong there."


def quantities_page(catalogue: Catalogue) -> str:
    """Every quantity, with the rules that read it."""
    read_by: dict[str, list[str]] = {}
    for rule in catalogue.rules.values():
        for leaf in leaves(*rule.conditions):
            for about, name in names_read(leaf):
                if about == "quantity" and rule.id not in read_by.setdefault(name, []):
                    read_by[name].append(rule.id)
    lines = _page("Quantities", "What rules and reports speak of. `enginelimits why BUILD ID` shows how one comes "
                  "about. A quantity that varies has a value at every engine speed; a bound is known to lie on the "
                  "careful side, so that a rule on it goes no further than a note.")
    for topic in _TOPICS:
        title = topic.__name__.rpartition(".")[2].replace("_", " ")
        rows = [(f"`{word.id}`", f"`{word.unit}`", word.worse, f"{word.meaning}{_flags(word)}",
                 _rule_links(read_by.get(word.id, ()))) for word in topic.words() if not word.crank]
        lines += [f"## {title}", "", *_table(("id", "SI unit", "worse", "meaning", "read by"), rows)]
    traces = [(f"`{w.id}`", f"`{w.unit}`", w.meaning) for w in QUANTITIES.values() if w.crank]
    lines += ["## Traces over the crank", "", "Kept for other steps, and never printed.", "",
              *_table(("id", "SI unit", "meaning"), traces)]
    return _text(lines)


def _flags(word: QuantityKind) -> str:
    said = ["at each speed"] * word.varies + ["a step on the way"] * word.detail + ["a bound"] * word.bound
    said += ["of one knock event"] * word.event + [f"counted under {word.root}"] * bool(word.root)
    return f" ({'; '.join(said)})" if said else ""


def _rule_links(ids: Iterable[str]) -> str:
    return ", ".join(f"[{id_}](../rules/{id_}.md)" for id_ in sorted(ids))


def commands_page() -> str:
    """The help of every command, as it prints."""
    import typer
    from typer.main import get_command

    from enginelimits.cli.app import ENTRIES, app

    os.environ.pop("COLUMNS", None)
    group: Any = get_command(app)
    lines = _page("Commands", "What `--help` prints. Exit codes: 0 nothing at or above `--fail-on`; 1 findings, or a "
                  "check that failed; 2 bad input; 3 not all judged, with `--strict`; 4 the computation failed.")
    root = typer.Context(group, info_name="enginelimits", max_content_width=100, terminal_width=100)
    lines += ["## enginelimits", "", "```text", group.get_help(root).strip(), "```", ""]
    for name in ENTRIES:
        command = group.get_command(root, name)
        lines += list(_help(command, name, root, 2))
    return _text(lines)


def _help(command: Any, name: str, parent: Any, depth: int) -> Iterator[str]:
    import typer

    context = typer.Context(command, info_name=name, parent=parent, max_content_width=100, terminal_width=100)
    yield from (f"{'#' * depth} {context.command_path}", "", "```text", command.get_help(context).strip(), "```", "")
    for below in command.list_commands(context) if hasattr(command, "list_commands") else ():
        yield from _help(command.get_command(context, below), below, context, depth + 1)


def build_file_page() -> str:
    """Every key of a build file: what it takes, within which bounds."""
    lines = _page("Build file", "Every key, by the mapping that it stands in. A value is a number with its unit: "
                  "`140 mm^2`, `140 +/- 15 mm^2` or `120 to 160 mm^2`; or a mapping of `value`, `low`, `high`, `basis` "
                  "(measured, documented or assumed) and `note`. A share is written in per cent. Bounds catch slips of "
                  "the pen, not unusual engines. Leave out what is not known: "
                  "[classes](classes/index.md) fill it, with a range, and the answer says so. Health and history are "
                  "never filled.")
    required = {"build", "engine", "engine.cylinders", "engine.bore", "engine.stroke", "engine.compression_ratio",
                "engine.redline"}
    for part, keys in containers().items():
        rows = []
        for key in keys:
            path = f"{part}.{key}" if part else key
            found = fields().get(path)
            if found is None or path in containers():
                rows.append((f"`{key}`", f"[a mapping](#{_anchor(path)})" if path in containers() else "a mapping", ""))
            else:
                rows.append((f"`{key}`{' (needed)' if path in required else ''}", *_takes(found)))
        lines += [f"## {part or 'the file'} {{#{_anchor(part)}}}", "", *_table(("key", "takes", "such as"), rows)]
    return _text(lines)


def _anchor(path: str) -> str:
    return f"key-{path.replace('.', '-').replace('*', 'item') or 'file'}"


def _takes(field: FieldKind) -> tuple[str, str]:
    """What a key takes, and an example."""
    match field:
        case BySpeed(of=of):
            what, example = _takes(of)
            return f"{what}, or such values by engine speed", f"{example}, `{{3000 rpm: ..., 6000 rpm: ...}}`"
        case Several(of=of):
            what, example = _takes(of)
            return f"a list: {what}{', or `none` of them' if field.none else ''}", example
        case Count():
            return f"a whole number, {field.floor} to {field.ceiling}", ""
        case Physical():
            kind_of = f"{field.kind} " if field.kind else ""
            unit = next((s for s in SPELLINGS if s.text == field.such_as.split()[-1]), None)
            if isinstance(field, Octane):
                return f"octane number, {field.floor:g} to {field.ceiling:g}, in {' or '.join(field.scales)}", \
                    f"`{field.such_as}`"
            spelt = unit or fitting(field.unit, field.dimension)[0]
            if field.dimension != spelt.dimension:
                spelt = fitting(field.unit, field.dimension)[0]
            ends = [shown_number(from_si(end, spelt.text), 3) for end in (field.floor, field.ceiling)]
            word = "" if spelt.text == "1" else f" {spelt.text}"
            return f"{kind_of}{field.dimension}, {ends[0]} to {ends[1]}{word}", f"`{field.such_as}`"
        case Choice():
            return " / ".join(f"`{name}`" for name in field.names), ""
        case YesNo():
            return "`true`, `false`, or `{probability: 0.3}`", ""
        case ThreadText():
            return "a thread", "`M9x1.0`, `3/8-24`"
        case Text():
            return field.wanted, ""
    raise TypeError(field)


def class_pages() -> dict[str, str]:
    """A page a kind of class, and their index."""
    made = [kind(name) for name in kinds()]
    index = _page("Classes", "What fills a gap in a build file. Typical, low and high are the 50th, 5th and 95th "
                  "percentile. The evidence says what a number rests on: published, computed, common practice, memory, "
                  "or a shop's own. No class describes a part of a maker.")
    rows = [(f"[{one.name.replace('_', ' ')}]({one.name}.md)", f"`{one.part or one.gives}`",
             f"`{one.named_by}`" if one.named_by else "", ", ".join(f"`{name}`" for name in one.classes))
            for one in made]
    pages = {"index.md": _text([*index, *_table(("kind", "fills", "named by", "classes"), rows)])}
    return pages | {f"{one.name}.md": _class_page(one) for one in made}


def _class_page(one: Kind) -> str:
    title = f"Classes: {one.name.replace('_', ' ')}"
    said = f"They fill `{one.part}` of a build file. " if one.part else ""
    said += f"What only classes supply stands under `{one.gives}`. " if one.gives else ""
    said += f"A build names one at `{one.named_by}`." if one.named_by else ""
    lines = _page(title, said.strip())
    if one.choose:
        lines += ["Where a build names none, the first of these whose conditions hold is taken:", ""]
        lines += [f"1. {_conditions(c.conditions) or 'otherwise'}: {f'`{c.name}`' if c.name else 'none applies'}"
                  for c in one.choose] + [""]
    for name, found in one.classes.items():
        lines += [f"## {name}", "", found.fits, "", *_entries(one, found)]
    return _text(lines)


def _entries(one: Kind, found: ReferenceClass) -> list[str]:
    rows = [(f"`{prefix}.{key}`".replace("`.", "`"), *_entry(entry))
            for prefix, entries in ((one.part, found.fills), (one.gives, found.gives))
            for key, entry in entries.items()]
    return _table(("path", "typical", "low to high", "evidence", "source", "how"), rows)


def _entry(entry: Entry) -> tuple[str, ...]:
    """The cells of one entry."""
    low, high = entry.low, entry.high
    ends = "" if low is None or high is None else f"{_shown(entry, low)} to {_shown(entry, high)}"
    typical = "" if entry.typical is None else _shown(entry, entry.typical)
    how = [f"grows with `{s.path}` over {shown_number(s.reference, 4)} (SI) to the {s.power:g}"
           for s in entry.scaled_by]
    if entry.over:
        steps = ", ".join(f"{_shown(entry, value)} from {shown_number(at, 4)} (SI)" for at, value in entry.over)
        how.append(f"by `{entry.over_path}`: {steps}")
    how += [f"{_shown(entry, value)} when {_conditions(when)}" for when, value in entry.where]
    if entry.curve:
        typical = ", ".join(f"{value:g} at {at:g}" for at, value in entry.curve)
        how.append(f"along multiples of `{entry.along}`")
    how += [f"only with `{entry.only_with}`"] * bool(entry.only_with)
    how += [f"yes with a chance of {100 * entry.chance:g} %"] if entry.chance is not None else []
    if entry.tie is not None:
        how.append(f"goes with `{entry.tie.path.lstrip('.')}`, {entry.tie.correlation:g}: {entry.tie.why} "
                   f"({entry.tie.evidence})")
    source = f"[{entry.source}](../sources.md#source-{entry.source})" if entry.source in SOURCES else entry.source
    return typical, ends, entry.evidence, "" if entry.source == entry.evidence.replace(" ", "-") else source, \
        "; ".join(how)


def _shown(entry: Entry, value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return f"`{value}`"
    return shown(value, entry.unit, kind=entry.kind) if entry.unit != "1" or entry.kind else shown_number(value, 4)


def _conditions(conditions: Sequence[Condition]) -> str:
    said = []
    for one in conditions:
        if one.at_least is not None:
            said.append(f"`{one.path}` at least {shown_number(one.at_least, 4)} (SI)")
        else:
            said.append(f"`{one.path}` is {' or '.join(one.texts)}" if one.texts else f"`{one.path}` is stated")
    return " and ".join(said)


def log_page(catalogue: Catalogue) -> str:
    """Channels, what is read off them, and the rules about logs."""
    lines = _page("Logs", "What a log may hold, by our names. [Measured pulls](../measured-pulls.md) says how headers "
                  "are given these names.")
    rows = [(f"`{c.name}`", f"`{c.unit}`", ", ".join(t for t in (c.pressure, c.meaning) if t))
            for c in CHANNELS.values()]
    lines += ["## Channels", "", *_table(("channel", "SI unit", "what it is"), rows)]
    rows = [(f"`{w.id}`", f"`{w.unit}`", w.worse, w.meaning, ", ".join(f"`{c}`" for c in w.counterparts))
            for w in QUANTITIES.values() if w.measured]
    lines += ["## Quantities read off a log", "",
              *_table(("id", "SI unit", "worse", "meaning", "before anything is measured"), rows)]
    rows = [(f"[{r.id}](../rules/{r.id}.md)", r.title, r.grades[0].grade)
            for r in catalogue.rules.values() if r.about == "log"]
    return _text([*lines, "## Rules about logs", "", *_table(("rule", "title", "worst"), rows)])


def units_page() -> str:
    """The accepted units by dimension."""
    by_dimension: dict[tuple[str, str], list[str]] = {}
    for spelling in SPELLINGS:
        by_dimension.setdefault((spelling.dimension, spelling.si), []).append(spelling.text)
    rows = [(dimension, f"`{si}`", ", ".join(f"`{t}`" for t in texts))
            for (dimension, si), texts in by_dimension.items()]
    lines = _page("Units", "Spellings that a file or an option may use. `enginelimits quantities --units` prints the "
                  "same.")
    return _text([*lines, *_table(("what", "SI", "accepted"), rows)])


def sources_page(catalogue: Catalogue) -> str:
    """Every source by its id, with the rules that name it."""
    used: dict[str, list[str]] = {}
    for rule in catalogue.rules.values():
        for source in (*rule.sources, *(limit.source for limit in rule.limits.values() if limit.source)):
            if rule.id not in used.setdefault(source.get("id", ""), []):
                used[source.get("id", "")].append(rule.id)
    lines = _page("Sources", "What formulas, classes and rules rest on, by the id that they name. `common-practice` "
                  "and `memory` stand for what nobody has printed, or was not read again.")
    for id_, source in SOURCES.items():
        year = f", {source.year}" if source.year else ""
        who = f"{source.authors}{year}. " if source.authors else ""
        lines += [f"### {id_} {{#source-{id_}}}", "", f"{who}{source.title} ({source.kind})."]
        named = used.get(id_, ())
        lines += [""] if len(named) > 20 or not named else ["", f"Rules: {_rule_links(named)}.", ""]
    return _text(lines)


def _page(title: str, said: str) -> list[str]:
    return [f"# {title}", "", MADE, "", said, ""] if said else [f"# {title}", "", MADE, ""]


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    lines = [f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
    lines += [f"| {' | '.join(cell.replace('|', chr(92) + '|').replace(chr(10), ' ') for cell in row)} |"
              for row in rows]
    return [*lines, ""]


def _text(lines: Iterable[str]) -> str:
    return "\n".join(lines).rstrip() + "\n"


def reference_pages(catalogue: Catalogue) -> Mapping[str, str]:
    """Every page by its path below docs/reference."""
    return {
        "quantities.md": quantities_page(catalogue),
        "commands.md": commands_page(),
        "build-file.md": build_file_page(),
        "logs.md": log_page(catalogue),
        "units.md": units_page(),
        "sources.md": sources_page(catalogue),
        **{f"classes/{name}": text for name, text in class_pages().items()},
    }
