"""The beginning of a new rule and its test: two files that load, and say nothing until they are filled in."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Final

from enginelimits.errors import InputError, Problem
from enginelimits.rules.catalogue import TEST
from enginelimits.rules.conditions import RULE_ID
from enginelimits.rules.files import SLUG

# What a draft says until somebody writes the rule; lint asks for what still stands.
DRAFT_WHY: Final = "What goes wrong beyond the limit, in one sentence."
DRAFT_SETTLED: Final = "The measurement that would settle it."
DRAFT_AUTHOR: Final = "unnamed"

_RULE: Final = """\
# Every number of the rule stands under limits, once, with what it rests on.  This one lies out of reach of
# any engine, so that the draft says nothing until it is replaced.
id: @ID
title: @TITLE
family: @FAMILY
status: preview
since: "@SINCE"
author: @AUTHOR
date: @DATE
limits:
  note_speed: {value: 100 m/s, evidence: memory, confidence: low}
grades:
  - grade: note
    when: {quantity: engine.mean_piston_speed, above: note_speed}
why: @WHY
message: "Mean piston speed is {value}; the limit is {limit}."
settled_by: @SETTLED
sources:
  - {id: memory, gives: band}
"""
_TEST: Final = """\
# Both sides of every limit, and each input missing.  The numbers are typed by hand, never read from the rule.
rule: @ID
given:
  speeds: [4000 rpm]
tests:
  - {name: under note, quantities: {engine.mean_piston_speed: 99 m/s}, expect: clear}
  - {name: over note, quantities: {engine.mean_piston_speed: 101 m/s}, expect: note}
  - name: speed unknown
    quantities: {engine.mean_piston_speed: null}
    expect: {outcome: cannot judge, missing: [engine.mean_piston_speed]}
"""


def written_draft(
    into: Path, id: str, *, family: str, title: str, author: str = "", taken: frozenset[str] = frozenset()
) -> tuple[Path, Path]:
    """The rule's file and its test's, newly written in the family's folder.

    Raises InputError when the id is taken or malformed, or a file is already there; nothing is overwritten.
    """
    name = id.upper()
    problems = []
    if not re.fullmatch(RULE_ID, name):
        problems.append(_problem("an id such as ROD004", id, "RULE"))
    elif name in taken:
        letters, number = name[:-3], int(name[-3:])
        free = next((f"{letters}{n:03}" for n in range(number + 1, 1000) if f"{letters}{n:03}" not in taken), "")
        problems.append(_problem("an id that no rule has", name, "RULE", f"`{free}` is free." if free else ""))
    if not re.fullmatch(SLUG, family):
        problems.append(_problem("a family of small letters, digits and hyphens", family, "--family"))
    if not title.strip() or not title.isprintable() or len(title) > 80:
        problems.append(_problem("a title of one to eighty characters", title, "--title"))
    if not into.is_dir():
        problems.append(_problem("a folder of rules that is there", str(into), "--into", "Make it first."))
    if problems:
        raise InputError(problems)
    stem = f"{name}-{re.sub('[^a-z0-9]+', '-', title.lower()).strip('-') or 'rule'}"
    folder = into / family
    rule, test = folder / f"{stem}.yaml", folder / f"{stem}{TEST}"
    there = [path for path in (rule, test) if path.exists()]
    if there:
        raise InputError([_problem("a file that is not there yet", str(path), "--into") for path in there])
    words = {
        "@ID": name,
        "@TITLE": _quoted(title.strip()),
        "@FAMILY": family,
        "@SINCE": "draft",
        "@AUTHOR": _quoted(author or DRAFT_AUTHOR),
        "@DATE": date.today().isoformat(),
        "@WHY": DRAFT_WHY,
        "@SETTLED": DRAFT_SETTLED,
    }
    folder.mkdir(exist_ok=True)
    made: list[Path] = []
    try:
        for path, text in ((rule, _RULE), (test, _TEST)):
            filled = re.sub("@[A-Z]+", lambda found: words[found[0]], text)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                made.append(path)
                file.write(filled)
    except BaseException:
        # Half a rule would break every later command that reads the folder.
        for half in made:
            half.unlink(missing_ok=True)
        raise
    return rule, test


def _quoted(text: str) -> str:
    """Text as a YAML scalar between quotes, whatever is in it."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _problem(wanted: str, got: str, key: str, mend: str = "") -> Problem:
    return Problem(wanted, repr(got), mend, key, "command line")
