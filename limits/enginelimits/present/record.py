"""The shop's record as words and as data."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.measured.record_model import (
    OutcomeRow,
    PullRow,
    QuoteRow,
    QuoteWhole,
    Signed,
    id_of,
)
from enginelimits.present.tree import Heading, Item, Line, Node, Notice, Run, Tree, line, table
from enginelimits.present.values import finite
from enginelimits.present.verdict import GRADE_ROLES, verdict_tree

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.measured.record_place import RecordPlace
    from enginelimits.measured.record_quote import Again
    from enginelimits.units.display import System

SCHEMA = "enginelimits.record.{what}/1"
PERSONAL = (
    "The record is kept for long and may be shared: no names, addresses, numbers of people or plates in a note or a "
    "customer's reference; an order number says enough."
)
# A sheet reads a cell that begins so as a formula (CWE-1236); an apostrophe before it makes it text.
# With the wide forms that spreadsheets of some countries take for the same
FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def added_tree(id: str, place: RecordPlace, judgement: Judgement, system: System) -> Tree:
    """Where a quote was kept, and its verdict in short."""
    shown = verdict_tree(judgement, system)
    return Tree(shown.title, (line(Run(id, "strong"), f" kept in {place}."), *shown.nodes))


def kept_tree(id: str, place: RecordPlace, said: str) -> Tree:
    """Where a pull or an outcome was kept."""
    return Tree("", (line(Run(id, "strong"), f" kept in {place}: {said}."),))


def kept_data(what: str, id: str, place: RecordPlace, signed: Signed, **more: Any) -> dict[str, Any]:
    """What was kept and under which id."""
    return {**_headed(what), "id": id, "record": str(place), **signed_data(signed), **more}


def signed_data(signed: Signed) -> dict[str, Any]:
    """Who, when, as of which day, with which version."""
    return {"author": signed.author, "written_at": signed.written_at, "as_of": signed.as_of, "tool": signed.tool,
            "note": signed.note}


def list_tree(rows: Sequence[QuoteRow], total: int, system: System) -> Tree:
    """One line a quote."""
    if not rows:
        return Tree("", (line(f"None of {total} quotes fits." if total else "No quote yet."),))
    lines: list[list[Run | str]] = [
        [row.id, row.signed.as_of, row.name, grade_run(row), _outcome_words(row, system), row.customer_reference]
        for row in rows
    ]
    count = f"{len(rows)} of {total} quotes" if len(rows) != total else f"{total} quote{'s' if total != 1 else ''}"
    columns = ("id", "as of", "build", "grade", "outcome", "reference")
    return Tree("", (table(columns, lines, wide=2), line(f"{count}.")))


def list_data(rows: Iterable[QuoteRow], total: int) -> dict[str, Any]:
    """The quotes in short."""
    return {**_headed("list"), "total": total, "quotes": [quote_data(row) for row in rows]}


def grade_run(row: QuoteRow) -> Run:
    """The grade; one with something left unjudged never reads as clear."""
    if row.grade == "clear" and not row.complete:
        return Run("incomplete", "unknown")
    return Run(row.grade, GRADE_ROLES[row.grade])


def _outcome_words(row: QuoteRow, system: System) -> str:
    worst = row.worst
    if worst is None:
        return "-"
    return " ".join(part for part in (worst.kept.outcome, worst.kept.part, _distance(row.distance_m, system)) if part)


def _distance(metres: float | None, system: System) -> str:
    if metres is None:
        return ""
    # 1 mi is 1609.344 m exactly.
    return f"{metres / 1609.344:.0f} mi" if system == "us" else f"{metres / 1000:.0f} km"


def show_trees(whole: QuoteWhole, again: Again | None, system: System) -> tuple[Tree, Tree]:
    """What stands before the verdict as it was shown, and what stands after it."""
    row = whole.row
    before: list[Node] = [_who(row.signed, row.customer_reference)]
    if row.signed.note:
        before.append(line(Run("Note: ", "muted"), row.signed.note))
    if row.earlier:
        names = ", ".join(id_of("quote", n) for n in row.earlier)
        before.append(line(f"Stands in place of {names}; what was learnt of those is told here too."))
    if whole.replaced_by:
        before.append(Notice(f"Corrected by {whole.replaced_by}."))
    before.append(line(Run("Build file: ", "muted"), f"{whole.build.name}, SHA-256 {whole.build.digest[:12]}"))
    layers = "; ".join(f"{x.name} {x.version} ({x.digest[:12]})" for x in row.layers)
    before.append(line(Run("Rules: ", "muted"), layers or "none", f". {row.samples} draws from {row.seed}."))
    before.append(Heading("The verdict as it was shown"))
    after: list[Node] = [Heading("Learnt since")]
    learnt = [*(_outcome_item(o, system) for o in row.outcomes), *(_pull_item(p) for p in row.pulls)]
    after += learnt or [line("Nothing yet: no pull, no outcome.")]
    if again is not None:
        after += _today(whole, again)
    return Tree(f"{row.id} {row.name}", tuple(before)), Tree("", tuple(after))


def _who(signed: Signed, reference: str = "") -> Line:
    kept = f"Kept by {signed.author} on {signed.written_at}, judged as of {signed.as_of}, version {signed.tool}"
    return line(kept + (f", for {reference}." if reference else "."))


def _outcome_item(row: OutcomeRow, system: System) -> Item:
    kept = row.kept
    words = ", ".join(w for w in (f"{kept.outcome} {kept.part}".strip(), _distance(kept.distance_m, system)) if w)
    head = (Run(f"{row.id} "), Run(words, "strong"), Run(f" on {kept.happened_on}, told by {row.signed.author}"))
    return Item("-", head, (line(row.signed.note),) if row.signed.note else ())


def _pull_item(row: PullRow) -> Item:
    kept = row.kept
    known = "" if kept.data is None else f", data of {kept.data.get('schema', 'a pull')}"
    words = f" pull {kept.file}, {kept.size} bytes, SHA-256 {kept.digest[:12]}{known}, told by {row.signed.author}"
    return Item("-", (Run(row.id), Run(words)), (line(row.signed.note),) if row.signed.note else ())


def _today(whole: QuoteWhole, again: Again) -> list[Node]:
    row, verdict = whole.row, again.judgement.verdict
    rules = "the same rules" if again.same_rules else "other rules"
    tool = "the same version" if again.tool_then == __version__ else f"version {__version__} (then {again.tool_then})"
    nodes: list[Node] = [Heading(f"Today, by {rules} and {tool}")]
    if verdict.grade != row.grade:
        nodes.append(line("The verdict would be ", Run(verdict.grade.upper(), GRADE_ROLES[verdict.grade]),
                          f", then it was {row.grade}. {verdict.sentence}"))
    else:
        nodes.append(line(f"The verdict would be the same: {row.grade}."))
    nodes += [
        Item("-", (Run(f"{m.rule} {m.title}: {m.then}, today "), Run(m.today, GRADE_ROLES[m.today])))
        for m in again.moved
    ]
    if again.same:
        nodes.append(line("Every finding would have the same grade."))
    return nodes


def show_data(whole: QuoteWhole, again: Again | None) -> dict[str, Any]:
    """One quote with everything."""
    data = {**_headed("show"), **whole_data(whole), "replaced_by": whole.replaced_by or None}
    if again is not None:
        data["today"] = {
            "same_rules": again.same_rules,
            "grade": again.judgement.verdict.grade,
            "sentence": again.judgement.verdict.sentence,
            "same": again.same and again.judgement.verdict.grade == whole.row.grade,
            "findings": [asdict(moved) for moved in again.moved],
        }
    return data


def quote_data(row: QuoteRow) -> dict[str, Any]:
    """A quote in short."""
    return {
        "id": row.id,
        "build": row.name,
        "engine": row.engine,
        "digest": row.digest,
        "customer_reference": row.customer_reference,
        **signed_data(row.signed),
        "corrects": [id_of("quote", number) for number in row.earlier],
        "grade": row.grade,
        "complete": row.complete,
        "sentence": row.sentence,
        "limiting": row.limiting or None,
        "samples": row.samples,
        "seed": row.seed,
        "mountain": row.mountain_m,
        "summary": row.summary,
        "layers": [asdict(layer) for layer in row.layers],
        "findings": [asdict(finding) for finding in row.findings],
        "outcome": row.outcome or None,
        "distance": row.distance_m,
        "outcomes": [outcome_data(outcome) for outcome in row.outcomes],
        "pulls": [pull_data(pull) for pull in row.pulls],
    }


def outcome_data(row: OutcomeRow) -> dict[str, Any]:
    """An outcome; the distance is in metres."""
    kept = row.kept
    return {"id": row.id, "quote": id_of("quote", kept.quote), "outcome": kept.outcome, "part": kept.part or None,
            "happened_on": kept.happened_on, "distance": kept.distance_m, **signed_data(row.signed)}


def pull_data(row: PullRow) -> dict[str, Any]:
    """A pull."""
    kept = row.kept
    return {"id": row.id, "quote": id_of("quote", kept.quote), "file": kept.file, "size": kept.size,
            "digest": kept.digest, "data": kept.data, **signed_data(row.signed)}


def whole_data(whole: QuoteWhole) -> dict[str, Any]:
    """A quote with its files, margins and the verdict as it was shown."""
    return {
        **quote_data(whole.row),
        "margins": [asdict(margin) for margin in whole.margins],
        "files": [asdict(file) for file in whole.files],
        "shown": {"check": whole.shown.data, "text": whole.shown.words},
    }


def export_data(quotes: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """The quotes in one object."""
    return {**_headed("export"), "quotes": list(quotes)}


def export_lines(quotes: Iterable[Mapping[str, Any]]) -> str:
    """JSON lines, one quote each; nothing in them breaks a line."""
    made = (json.dumps(finite({**_headed("quote"), **quote}), ensure_ascii=True, allow_nan=False) for quote in quotes)
    return "".join(f"{words}\n" for words in made)


COLUMNS = (
    "id", "build", "engine", "customer_reference", "author", "written_at", "as_of", "tool", "grade", "complete",
    "limiting", "outcome", "part", "happened_on", "distance_km", "pulls", "note", "digest",
)  # fmt: skip


def export_csv(rows: Iterable[QuoteRow]) -> str:
    """A sheet with a row a quote, by RFC 4180; no cell is read as a formula."""
    into = io.StringIO()
    sheet = csv.writer(into, lineterminator="\r\n")
    sheet.writerow(COLUMNS)
    for row in rows:
        worst = row.worst
        distance = row.distance_m
        sheet.writerow([_cell(value) for value in (
            row.id, row.name, row.engine, row.customer_reference, row.signed.author, row.signed.written_at,
            row.signed.as_of, row.signed.tool, row.grade, "yes" if row.complete else "no", row.limiting, row.outcome,
            worst.kept.part if worst else "", worst.kept.happened_on if worst else "",
            "" if distance is None else distance / 1000, len(row.pulls), row.signed.note, row.digest,
        )])  # fmt: skip
    return into.getvalue()


def _cell(value: str | float) -> str | float:
    if isinstance(value, str) and (value.lstrip().startswith(FORMULA) or value.startswith(("\t", "\r"))):
        return f"'{value}"
    return value


def _headed(what: str) -> dict[str, Any]:
    return {"schema": SCHEMA.format(what=what), "version": __version__}
