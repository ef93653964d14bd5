"""The cases of a sweep: build files, folders of them, rows of a table, crossed with a grid of values.

Everything is read and every edit tried before anything is judged, so that whatever is wrong is told at once.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from math import prod
from pathlib import Path

from enginelimits.decisions.fleet.case import Case, Edit, bad_case, case_of, edit_of
from enginelimits.decisions.fleet.setting import Setting
from enginelimits.decisions.fleet.table import BASE, Origin, Put, TableRow, read_table, unknown_path, value_of
from enginelimits.description import nodes
from enginelimits.description.edits import edited
from enginelimits.description.load import Written, parse_build, read_build
from enginelimits.description.models import Build
from enginelimits.errors import InputError, Problem
from enginelimits.units.grammar import excerpt

MOST_CASES = 200_000
MOST_PROBLEMS = 50
LINE = "command line"
Told = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class WorkList:
    """The cases, each once; how many were asked for twice, and which files of a folder are no builds."""

    cases: tuple[Case, ...]
    twice: int = 0
    no_builds: tuple[str, ...] = ()


def work_list(
    builds: Sequence[Path],
    setting: Setting,
    *,
    table: Path | None = None,
    vary: Sequence[str] = (),
    keep_going: bool = False,
    told: Told = lambda words: None,
) -> WorkList:
    """Every build, as every row of the table has it, with every combination of the values of ``vary``.

    ``vary`` holds texts as `forced_induction.boost=0.4 bar, 0.6 bar`.  Raises InputError with everything that is wrong;
    with ``keep_going`` a build that cannot be read, or does not take an edit, is a case with its error instead.
    """
    problems: list[Problem] = []
    grid = [*_grid(vary, problems)]
    no_builds: list[str] = []
    files = [path for build in builds for path in _files(build, no_builds, problems)]
    rows = _rows(table, bool(builds), problems)
    problems += _twice_varied(rows, grid)
    starts = [*_starts(files, rows)]
    asked = len(starts) * prod(len(values) for values in grid)
    if keep_going or not asked:
        _stop_for(problems)
    if not asked:
        raise InputError([Problem("a build file, a folder of them, or a table", "none", "Name one.", "BUILD", LINE)])
    if asked > MOST_CASES:
        raise InputError([Problem(f"at most {MOST_CASES} cases", str(asked), "Part the grid or the table.", file=LINE)])
    told(f"reading {asked} {'case' if asked == 1 else 'cases'}")
    cases: dict[str, Case] = {}
    for path, row in starts:
        read = _read(str(path))
        for puts in product(*grid):
            every = (*(row.puts if row is not None else ()), *puts)
            tried = _of_row(read.problems, row) if isinstance(read, InputError) else _case(*read, every, setting, row)
            if isinstance(tried, Case):
                cases.setdefault(tried.key, tried)
            elif keep_going:
                bad = bad_case(str(path), _edits(every), setting, "\n".join(map(str, tried)))
                cases.setdefault(bad.key, bad)
            else:
                problems += tried
    _read.cache_clear()
    _stop_for(problems)
    return WorkList(tuple(cases.values()), asked - len(cases), tuple(no_builds))


def _stop_for(problems: Sequence[Problem]) -> None:
    """InputError when something is wrong: each thing once, and no more of them than can be read."""
    once = [*dict.fromkeys(problems)]
    if len(once) > MOST_PROBLEMS:
        more = Problem(f"the first {MOST_PROBLEMS} mended", f"{len(once) - MOST_PROBLEMS} more problems", file=LINE)
        once = [*once[:MOST_PROBLEMS], more]
    if once:
        raise InputError(once)


def _grid(vary: Sequence[str], problems: list[Problem]) -> Iterator[list[Put]]:
    """The values of each path that is varied."""
    origin, seen = Origin(LINE), set()
    for text in vary:
        path, sign, values = text.partition("=")
        path = path.strip()
        key = f"--vary {path[:80]}"
        example = "Such as --vary 'forced_induction.boost=0.4 bar, 0.6 bar'."
        if not sign or not values.strip():
            problems.append(origin.problem("a path, `=` and values", excerpt(text), example, "--vary"))
            continue
        wrong = unknown_path(path, Origin(LINE))
        if path in seen:
            wrong = origin.problem("each path once", "it twice", "Write all its values after one `=`.")
        if wrong is not None:
            problems.append(replace(wrong, key=key))
            continue
        seen.add(path)
        puts = []
        for part in split(values):
            try:
                if not part:
                    raise InputError([origin.problem("a value between commas", "nothing", example, key)])
                puts.append(Put(path, value_of(part, origin, key), origin))
            except InputError as error:
                problems += error.problems
        if puts:
            yield puts


def split(values: str) -> list[str]:
    """The values between commas; a comma within braces, brackets or quotes parts nothing."""
    parts, depth, quote = [""], 0, ""
    for char in values:
        if quote:
            quote = "" if char == quote else quote
        elif char in "'\"":
            quote = char
        depth += (char in "{[") - (char in "}]") if not quote else 0
        if char == "," and not depth and not quote:
            parts.append("")
        else:
            parts[-1] += char
    return [part.strip() for part in parts]


def _files(build: Path, no_builds: list[str], problems: list[Problem]) -> Iterator[Path]:
    """The file itself; of a folder the builds in it and below."""
    if not build.is_dir():
        yield build
        return
    found = False
    for path in sorted(build.rglob("*.yaml")):
        inner = path.relative_to(build).parts
        if not path.is_file() or any(part.startswith((".", "_")) for part in inner):
            continue
        if _may_be_a_build(path):
            found = True
            yield path
        else:
            no_builds.append(str(path))
    if not found:
        mend = "A build file ends in .yaml and has the key `build`."
        problems.append(Problem("a folder with build files in it", "none there", mend, file=str(build)))


def _may_be_a_build(path: Path) -> bool:
    """Whether a file has the key of a build, or cannot be read and so has to be told."""
    try:
        root = nodes.document(read_build(path).text, str(path)).root
    except InputError:
        return True
    return root is None or (isinstance(root, nodes.Table) and "build" in root.entries)


def _rows(table: Path | None, has_builds: bool, problems: list[Problem]) -> list[TableRow]:
    if table is None:
        return []
    try:
        rows = read_table(table)
    except InputError as error:
        problems += error.problems
        return []
    for row in rows:
        if row.base is None and not has_builds:
            mend = f"Fill the column `{BASE}`, or name build files on the command line for rows without one."
            problems.append(row.origin.problem("a build file that the row starts from", "none", mend, BASE))
    return rows


def _twice_varied(rows: Sequence[TableRow], grid: Sequence[Sequence[Put]]) -> Iterator[Problem]:
    """A path that the table sets and the grid varies as well, or one inside the other."""
    ours = {puts[0].path for puts in grid}
    for row in rows:
        for put in row.puts:
            for path in ours:
                if f"{put.path}.".startswith(f"{path}.") or f"{path}.".startswith(f"{put.path}."):
                    yield put.origin.problem("a path that only the table or only --vary sets", f"--vary {path} as well",
                                             "Leave one of them out.", put.path)


def _starts(files: Sequence[Path], rows: Sequence[TableRow]) -> Iterator[tuple[Path, TableRow | None]]:
    """Each build file with each row that it takes: rows that name none are made on all, others stand alone."""
    alike = [row for row in rows if row.base is None]
    for path in files:
        if not alike:
            yield path, None
        yield from ((path, row) for row in alike)
    yield from ((row.base, row) for row in rows if row.base is not None)


@lru_cache(maxsize=256)
def _read(path: str) -> tuple[Written, Build] | InputError:
    """A build file as read, or what is wrong with it."""
    try:
        written = read_build(path)
        return written, parse_build(written.text, written.name)
    except InputError as error:
        return error


def _case(
    written: Written, build: Build, puts: Sequence[Put], setting: Setting, row: TableRow | None
) -> Case | list[Problem]:
    edits = _edits(puts)
    try:
        changed = edited(build, edits, idle=True) if edits else build
    except InputError as error:
        return [_placed(problem, puts, row) for problem in error.problems]
    return case_of(changed, written.text, edits, setting)


def _edits(puts: Sequence[Put]) -> list[Edit]:
    return [edit_of(put.path, put.value) for put in puts]


def _placed(problem: Problem, puts: Sequence[Put], row: TableRow | None) -> Problem:
    """A problem of an edit, told of the cell or the option that it came from."""
    word, _, number = problem.file.partition(" ")
    put = puts[int(number) - 1] if word == "edit" and number.isdigit() else None
    origin = put.origin if put is not None else row.origin if row is not None else Origin(LINE)
    path = put.path if put is not None else ""
    key = problem.key or path
    key = f"--vary {key}" if origin.file == LINE and put is not None else key
    mend = problem.mend
    if put is None:
        # No edit alone is to blame: all of them are told.
        said = ", ".join(f"{p.path} {p.value if isinstance(p.value, str) else json.dumps(p.value)}" for p in puts)
        mend = f"{mend} This is with {said}.".strip()
    return replace(problem, file=origin.file, line=origin.line, column=origin.column, key=key, mend=mend)


def _of_row(problems: Sequence[Problem], row: TableRow | None) -> list[Problem]:
    """The problems of a build file; where it is missing, of the cell that names it."""
    if row is None or row.base is None:
        return list(problems)
    missing = f"a build file (named in {row.origin.file}:{row.origin.line})"
    return [replace(p, wanted=missing) if p.wanted == "a build file" else p for p in problems]
