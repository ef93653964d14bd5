"""A sweep in words and as data: what came of every build, how many of each, and where the rows are."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.fleet.forms import CAUTION, FORM
from enginelimits.decisions.fleet.row import JUDGED, LOST, Row
from enginelimits.decisions.notices import in_brief
from enginelimits.present.boost import lowered
from enginelimits.present.tree import Heading, Item, Node, Notice, Run, Tree, line, runs, table
from enginelimits.present.values import finite, range_text, value_text
from enginelimits.present.verdict import GRADE_ROLES
from enginelimits.rules.grades import GRADES

if TYPE_CHECKING:
    from enginelimits.decisions.fleet.run import Swept
    from enginelimits.units.display import System

SHOWN_ROWS = 30
SHOWN_ERRORS = 8
# Varied paths that have a column of their own; of more, or of long values, the case's name tells
SHOWN_PATHS = 3
LONGEST = 16
# A longer name is broken over lines, rather than the limit's title
LONGEST_NAME = 32


def sweep_tree(swept: Swept, system: System = "metric", *, full: bool = False) -> Tree:
    """The rows that fit, the errors, the counts, and where everything lies."""
    rows = swept.rows
    shown = rows if full else rows[:SHOWN_ROWS]
    nodes: list[Node] = [*_state(swept)]
    judged = [row for row in shown if row["status"] == JUDGED]
    if judged:
        nodes += _table(judged, system)
    if len(rows) > len(shown):
        nodes.append(line(Run(f"{len(rows) - len(shown)} more: --full, or the rows themselves.", "muted")))
    nodes += _errors(rows, full)
    nodes += _where(swept)
    nodes.append(Notice(f"{CAUTION}{_mind(rows)}"))
    return Tree(_title(swept), tuple(nodes))


def _mind(rows: Sequence[Row]) -> str:
    """What any of the builds warns of, in few words."""
    # the questions of a build stand among its warnings
    said = dict.fromkeys(words for row in rows for words in row["warnings"] or () if not words.endswith("?"))
    briefs = in_brief(said)
    return f" Mind: {'; '.join(briefs)}." if briefs else ""


def _title(swept: Swept) -> str:
    return f"{swept.asked} {'build' if swept.asked == 1 else 'builds'}: {_counted(swept.rows)}"


def _counted(rows: Sequence[Row]) -> str:
    """How many of each verdict, the gravest first, and of what has none."""
    counts = verdicts(rows)
    said = [f"{number} {word}" for word, number in counts.items() if number]
    return ", ".join(said) or "nothing known yet"


def verdicts(rows: Sequence[Row]) -> dict[str, int]:
    """Rows of each verdict, the gravest first, and of what has none by what became of it."""
    counts = Counter(row["verdict"] or row["status"] for row in rows)
    words = [*reversed(GRADES), *sorted(counts.keys() - set(GRADES))]
    return {word: counts[word] for word in words}


def _state(swept: Swept) -> Iterator[Node]:
    before = f", {swept.there_before} of them there before" if swept.there_before else ""
    if swept.left:
        yield line(Run(f"INTERRUPTED: {len(swept.rows)} of {swept.asked} rows are in{before}. ", "strong"),
                   "Run the same command again to go on.")
    elif before:
        yield line(f"All {swept.asked} rows are in{before}.")


def _table(rows: Sequence[Row], system: System) -> list[Node]:
    varied = _varied(rows)
    builds = varied is None or len({(row["file"], row["build"]) for row in rows}) > 1
    # Names of their own tell the rows apart.
    paths = [] if len({row["build"] for row in rows}) == len(rows) > 1 else varied or []
    cells: list[list[Run | str]] = []
    for row in rows:
        stated = _stated(row)
        name = row["case"] if varied is None else row["build"]
        limit = f"{row['limit_rule']} {lowered(row['limit_title'])}" if row["limit_rule"] else "-"
        power = value_text(row["crank_power_w"], "W", system)
        spread = range_text(row["crank_power_low_w"], row["crank_power_high_w"], "W", system).rpartition(" ")[0]
        gap = "" if row["complete"] else " *"
        cells.append([
            *([name] if builds else []), *(stated.get(path, "") for path in paths),
            Run(f"{row['verdict'].upper()}{gap}", GRADE_ROLES[row["verdict"]]), limit,
            f"{power} ({spread})" if spread else power,
        ])
    heads = [path.rpartition(".")[2].replace("_", " ") for path in paths]
    columns = [*(["build"] if builds else []), *heads, "verdict", "first limit", "crank power"]
    long = builds and max(len(str(cell[0])) for cell in cells) > LONGEST_NAME
    wide = 0 if long else len(columns) - 2
    name = [] if builds else [line(Run(rows[0]["build"], "strong"))]
    gaps = any(not row["complete"] for row in rows)
    note = [line(Run("* not everything could be judged; a mild grade is only what was found so far.", "muted"))]
    return [*name, table(columns, cells, wide=wide), *(note if gaps else [])]


def _varied(rows: Sequence[Row]) -> list[str] | None:
    """The paths that differ between rows; None where they, or what is put there, are too many or long for columns."""
    stated = [_stated(row) for row in rows]
    paths = [path for path in dict.fromkeys(p for each in stated for p in each) if path != "build"]
    differ = [path for path in paths if len({each.get(path) for each in stated}) > 1]
    long = any(len(each.get(path, "")) > LONGEST for each in stated for path in differ)
    return None if len(differ) > SHOWN_PATHS or long else differ


def _stated(row: Row) -> dict[str, str]:
    found = {}
    for edit in json.loads(row["edits"]):
        value = edit.get("to", edit.get("with"))
        found[edit.get("set") or edit["replace"]] = value if isinstance(value, str) else json.dumps(value)
    return found


def _errors(rows: Sequence[Row], full: bool) -> list[Node]:
    bad = [row for row in rows if row["status"] != JUDGED]
    if not bad:
        return []
    shown = bad if full else bad[:SHOWN_ERRORS]
    items: list[Node] = [
        Item("-", runs(Run(f"{row['case']}: ", "strong"), Run(row["status"].upper(), "unknown"), f". {row['error']}"))
        for row in shown
    ]
    if len(bad) > len(shown):
        items.append(line(Run(f"{len(bad) - len(shown)} more: --full.", "muted")))
    if any(row["status"] == LOST for row in bad):
        items.append(line("What was lost is tried again by the next run of the same command."))
    return [Heading("Without a verdict"), *items]


def _where(swept: Swept) -> Iterator[Node]:
    count = len(swept.rows)
    yield Heading("Rows")
    kept = "in parts" if swept.left else f"in results.{swept.form}"
    si = "units stand in the columns' metadata" if swept.form == "parquet" else "a column's name ends in its unit"
    yield line(f"{count} {'row' if count == 1 else 'rows'} {kept} in {swept.folder}: SI, {si}.")
    if swept.put_aside:
        yield line(f"{swept.put_aside} rows of other cases, versions or rules, or lost, were put aside in "
                   f"{swept.folder / '_put_aside'}.")
    setting = swept.setting
    draws = f"{setting.samples} draws, seed {setting.seed}" if setting.samples else "no draws"
    layers = ", ".join(f"{name} {version}".strip() for name, version, _ in setting.layers)
    yield line(Run(f"Rules: {layers}; {draws}; version {setting.version}.", "muted"))


def sweep_data(swept: Swept) -> dict[str, Any]:
    """The same as data, SI."""
    setting = swept.setting
    return {
        "schema": FORM,
        "version": __version__,
        "catalogue": {"layers": [{"name": n, "version": v, "digest": d} for n, v, d in setting.layers]},
        "samples": {"asked": setting.samples, "seed": setting.seed},
        "as_of": setting.as_of,
        "folder": str(swept.folder),
        "form": swept.form,
        "asked": swept.asked,
        "left": swept.left,
        "there_before": swept.there_before,
        "put_aside": swept.put_aside,
        "interrupted": swept.interrupted,
        "verdicts": verdicts(swept.rows),
        "rows": [finite(dict(row)) for row in swept.rows],
        "caution": CAUTION,
    }
