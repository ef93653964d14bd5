"""Mutation testing of the physics and of the rules: a random sample of small faults, each put in alone.

    pip install -e '.[mutants]'
    python tools/mutants.py /tmp/mutants --seed 2026 --physics 220 --rules 110

Cosmic-ray finds the places and makes the faults; coverage tells which tests come by a line.  All happens in a copy of
the last commit below the given folder.  A fault is tried against the tests that come by its line and take little, then
against all of every file with such a test; what passes those too is a survivor.  Places, not faults, are drawn: each
equally likely within its module, modules by their statements.  Run again, it goes on where it was stopped.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from bisect import bisect
from collections import Counter, defaultdict
from collections.abc import Iterator
from difflib import unified_diff
from itertools import accumulate
from pathlib import Path
from typing import Any, NamedTuple

import coverage
import pytest
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.number_replacer import NumberReplacer
from cosmic_ray.plugins import get_operator, operator_names
from parso.python.tree import Number

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = "limits/enginelimits"
TESTS = {
    "physics": [
        "tests/physics",
        "tests/published",
        "tests/house/test_physics_docstrings.py",
        "tests/numbers/test_physics_boxes.py",
    ],
    "rules": ["tests/rules"],
}
RULES = {
    "conditions", "atoms", "clauses", "plain", "grades", "evaluate", "doubt", "islands", "implication", "witness",
    "overrides",
}  # fmt: skip
# Compiling this one anew takes longer than all tests of another; its test holds it to `lanes.py`, number by number.
LEFT_OUT = {"cycle/compiled.py"}
COMPILES = "tests/physics/cycle/test_compiled_cycle.py"
# Replacements that a type error gives away at once would only embellish the score.
ARITHMETIC, LOGIC = {"Add", "Sub", "Mul", "Div", "Pow"}, {"BitAnd", "BitOr"}
ORDER = {"Eq", "NotEq", "Lt", "LtE", "Gt", "GtE"}
NARROW = 15.0  # seconds of tests, as they took under coverage
LARGE = 100.0  # a larger number moves by a tenth, a smaller one by one
PRELOADED = ("numpy", "scipy.integrate", "scipy.optimize", "pint", "pydantic", "yaml", "numba")


class Tenth(NumberReplacer):  # type: ignore[misc]
    """A number, a tenth more or less."""

    def mutate(self, node: Any, index: int) -> Any:
        value = ast.literal_eval(node.value)
        return Number(f" {type(value)(value * (1.1, 0.9)[index])!r}", node.start_pos)


class Mutant(NamedTuple):
    """One fault: a module below the package, the operator's name, and which of its places."""

    module: str
    operator: str
    occurrence: int
    line: int
    column: int


def wanted(operator: str) -> bool:
    """Whether an operator makes faults that only a test can find."""
    kind, *parts = operator.removeprefix("core/").split("_")
    if kind == "ReplaceBinaryOperator":
        return set(parts) <= ARITHMETIC or set(parts) <= LOGIC
    if kind == "ReplaceComparisonOperator":
        return set(parts) <= ORDER or set(parts) <= {"Is", "IsNot"}
    if kind == "ReplaceUnaryOperator":
        return parts in (["USub", "UAdd"], ["Delete", "Not"], ["Delete", "Invert"])
    return kind not in ("RemoveDecorator", "VariableInserter", "VariableReplacer")


def passed_over(tree: ast.AST) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Begin and end of what is not run or not computed with: annotations, decorators, messages, imports for types."""
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            parts = [*node.decorator_list, node.returns]
        elif isinstance(node, ast.ClassDef):
            parts = [*node.decorator_list]
        elif isinstance(node, ast.arg | ast.AnnAssign):
            parts = [node.annotation]
        elif isinstance(node, ast.Raise | ast.JoinedStr | ast.Assert | ast.Import | ast.ImportFrom) or (
            isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        ):
            parts = [node]
        for part in parts:
            if isinstance(part, ast.expr | ast.stmt):
                yield (part.lineno, part.col_offset), (part.end_lineno or 0, part.end_col_offset or 0)


def operator_of(name: str) -> Any:
    """The operator of a name, cosmic-ray's or ours."""
    return Tenth() if name == "Tenth" else get_operator(name)()


def places(module: str, source: str) -> dict[tuple[int, int], list[Mutant]]:
    """The faults of a module by where they stand."""
    tree, over = get_ast(source), list(passed_over(ast.parse(source)))
    found: dict[tuple[int, int], list[Mutant]] = defaultdict(list)
    for name in ["Tenth", *filter(wanted, operator_names())]:
        spots = [(n, s) for n in ast_nodes(tree) for s, _ in operator_of(name).mutation_positions(n)]
        for occurrence, (node, start) in enumerate(spots):
            if name == "Tenth" or name.endswith("NumberReplacer"):
                large = abs(ast.literal_eval(node.value)) >= LARGE
                if large != (name == "Tenth"):
                    continue
            if not any(begin <= start < end for begin, end in over):
                found[start].append(Mutant(module, name, occurrence, *start))
    return found


def sampled(tree: Path, side: str, count: int, draws: random.Random) -> list[Mutant]:
    """So many faults of a side, spread over its modules by their statements."""
    paths = sorted((tree / PACKAGE / side).rglob("*.py"))
    if side == "rules":
        paths = [path for path in paths if path.stem in RULES]
    sources = {str(path.relative_to(tree / PACKAGE)): path.read_text() for path in paths}
    weights = {
        name: sum(isinstance(n, ast.stmt) for n in ast.walk(ast.parse(text)))
        for name, text in sources.items()
        if name.partition("/")[2] not in LEFT_OUT and text.strip()
    }
    shares = {name: count * weight / sum(weights.values()) for name, weight in weights.items()}
    numbers = {name: int(share) for name, share in shares.items()}
    for name in sorted(shares, key=lambda n: numbers[n] - shares[n])[: count - sum(numbers.values())]:
        numbers[name] += 1
    chosen = []
    for name, number in numbers.items():
        by_place = places(name, sources[name])
        spots = draws.sample(sorted(by_place), min(number, len(by_place)))
        chosen += [draws.choice(by_place[spot]) for spot in spots]
    draws.shuffle(chosen)
    return chosen


def in_child(work: Any, seconds: int = 0) -> int:
    """What a function returns in a process of its own, where the package is read anew; or the signal, negative."""
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        signal.alarm(seconds)
        try:
            os._exit(int(work()))
        finally:
            os._exit(99)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def tests_by_line(tree: Path, side: str, kept: Path) -> int:
    """Run the tests of a side once, and keep which came by each line and how long each took."""
    lines: dict[str, dict[int, list[str]]] = {}
    taken: dict[str, float] = {}
    watch = coverage.Coverage(data_file=None, source=[str(tree / PACKAGE / side)])

    class Watch:
        @pytest.hookimpl(hookwrapper=True)
        def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
            watch.switch_context(item.nodeid)
            begin = time.perf_counter()
            yield
            taken[item.nodeid] = time.perf_counter() - begin
            watch.switch_context("between tests")

    watch.start()
    ended = pytest.main(["-p", "no:cacheprovider", f"--ignore={COMPILES}", *TESTS[side]], plugins=[Watch()])
    watch.stop()
    data = watch.get_data()
    for path in data.measured_files():
        by_line = data.contexts_by_lineno(path)
        name = str(Path(path).relative_to(tree / PACKAGE))
        lines[name] = {line: sorted(set(tests) & set(taken)) for line, tests in by_line.items()}
    kept.write_text(json.dumps({"lines": lines, "taken": taken}))
    return int(ended)


def asked_for(test: str) -> str:
    """A test as the command line takes it: without its parameter where that has signs of the command line itself."""
    name, _, parameter = test.partition("[")
    return name if set("[:/ ") & set(parameter) else test


def tried(tree: Path, tests: list[str], seconds: int) -> str:
    """How the tests end: survived, killed or timeout."""

    def run() -> int:
        import enginelimits

        if not Path(str(enginelimits.__file__)).is_relative_to(tree):
            return 98
        with Path(os.devnull).open("w") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
        return pytest.main(["-x", "-p", "no:cacheprovider", *dict.fromkeys(map(asked_for, tests))])

    ended = in_child(run, seconds)
    # 2 and 4: with the fault a module does not load, so that its tests are not even found
    fates = {0: "survived", 1: "killed", 2: "killed", 4: "killed", -signal.SIGALRM: "timeout"}
    if ended not in fates:
        raise SystemExit(f"the tests did not run ({ended}): {tests[:3]}")
    return fates[ended]


def judged(tree: Path, mutant: Mutant, known: dict[str, Any], wide: bool) -> dict[str, Any]:
    """A mutant with its fate, and its difference from the source.

    Narrow: of the tests that come by the line those that take little, cheapest first.  Wide: all of every file that has
    such a test, because a value that one test keeps for the next hides who came by.
    """
    path = tree / PACKAGE / mutant.module
    source = path.read_text()
    changed = mutate_code(source, operator_of(mutant.operator), mutant.occurrence)
    taken, lines = known["taken"], known["lines"].get(mutant.module, {})
    by_line = lines.get(str(mutant.line)) or {test for tests in lines.values() for test in tests}
    tests = sorted(by_line, key=lambda test: taken[test])
    if wide:
        tests = sorted({test.partition("::")[0] for test in tests})
        seconds = sum(time for test, time in taken.items() if test.partition("::")[0] in tests)
    else:
        far = list(accumulate(taken[test] for test in tests))
        tests = tests[: max(bisect(far, NARROW), 1)]
        seconds = sum(taken[test] for test in tests)
    begin = time.monotonic()
    try:
        path.write_text(changed)
        fate = tried(tree, tests, 60 + int(10 * seconds)) if tests else "survived"
    finally:
        path.write_text(source)
    difference = [
        line for line in unified_diff(source.splitlines(), changed.splitlines(), lineterm="", n=0)
        if line[:1] in "+-" and line[:3] not in ("+++", "---")
    ]  # fmt: skip
    seconds = round(time.monotonic() - begin, 1)
    return {**mutant._asdict(), "fate": fate, "wide": wide, "tests": len(tests), "seconds": seconds, "diff": difference}


def table(results: list[dict[str, Any]]) -> str:
    """The score by room."""
    rooms: dict[str, Counter[str]] = defaultdict(Counter)
    for result in results:
        parts = result["module"].split("/")
        for room in ("/".join(parts[:-1]), f"all of {parts[0]}"):
            rooms[room][result["fate"]] += 1
    rows = ["| room | mutants | killed | by time | survived |", "|---|---|---|---|---|"]
    for room, fates in sorted(rooms.items()):
        rows.append(f"| {room} | {fates.total()} | {fates['killed']} | {fates['timeout']} | {fates['survived']} |")
    return "\n".join(rows)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("folder", type=Path)
    options.add_argument("--seed", type=int, default=2026)
    options.add_argument("--physics", type=int, default=220)
    options.add_argument("--rules", type=int, default=110)
    options.add_argument("--first", type=int, help="only so many of them, in the order drawn")
    asked = options.parse_args()
    folder = asked.folder.resolve()
    tree, kept = folder / "tree", folder / f"results-{asked.seed}-{asked.physics}-{asked.rules}.jsonl"
    if not tree.is_dir():
        tree.mkdir(parents=True)
        archive = subprocess.run(["git", "archive", "HEAD"], cwd=ROOT, check=True, capture_output=True).stdout
        subprocess.run(["tar", "-x", "-C", tree], input=archive, check=True)
        # By content, so that a file put back as it was is not compiled again.
        compiled = ["compileall", "-q", "--invalidation-mode", "checked-hash", str(tree / "limits")]
        subprocess.run([sys.executable, "-m", *compiled], check=True)
    os.chdir(tree)
    sys.path.insert(0, str(tree / "limits"))
    os.environ["PYTHONPATH"] = str(tree / "limits")
    draws = random.Random(asked.seed)
    mutants = [mutant for side in TESTS for mutant in sampled(tree, side, getattr(asked, side), draws)]
    draws.shuffle(mutants)
    mutants = mutants[: asked.first]
    for name in PRELOADED:
        importlib.import_module(name)
    known = {}
    for side in TESTS:
        lines = folder / f"lines-{side}.json"
        if not lines.exists() and in_child(lambda s=side, p=lines: tests_by_line(tree, s, p)) != 0:  # type: ignore[misc]
            raise SystemExit(f"the tests of {side} do not pass as they are")
        known[side] = json.loads(lines.read_text())
    sys.dont_write_bytecode = True  # of a mutant
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    results: dict[Mutant, dict[str, Any]] = {}
    for line in kept.read_text().splitlines() if kept.exists() else []:
        result = json.loads(line)
        results[Mutant(*(result[field] for field in Mutant._fields))] = result
    for wide in (False, True):
        for mutant in mutants:
            before = results.get(mutant)
            if before is not None and (not wide or before["wide"] or before["fate"] != "survived"):
                continue
            results[mutant] = result = judged(tree, mutant, known[mutant.module.partition("/")[0]], wide)
            with kept.open("a") as file:
                file.write(json.dumps(result) + "\n")
            where = f"{mutant.module}:{mutant.line}"
            print(len(results), result["fate"], where, mutant.operator, result["seconds"], "s", flush=True)
    print(table(list(results.values())))
    for result in results.values():
        if result["fate"] == "survived":
            print("", f"{result['module']}:{result['line']} {result['operator']}", *result["diff"], sep="\n")


if __name__ == "__main__":
    main()
