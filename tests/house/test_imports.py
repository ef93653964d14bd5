"""What each command may import: a package more is noticed here before it is felt at the prompt."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

CASE = str(Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml")

PROMPT = {"typer", "shellingham", "annotated_doc"}
MODELS = {"pydantic", "pydantic_core", "annotated_types", "typing_extensions", "typing_inspection"}
FILES = {"yaml"}
ARRAYS = {"numpy"}
ENGINE = {"durable_rules_engine", "durable_rules"}

# Command, arguments, and the packages beyond the standard library that it may bring in
ALLOWED = [
    ("help", ["--help"], PROMPT),
    ("help of a command", ["check", "--help"], PROMPT | MODELS),
    ("start", ["start"], PROMPT | MODELS),
    ("quantities", ["quantities"], PROMPT | MODELS),
    ("a name that is none", ["check", "none.yaml", "--samples", "0"], PROMPT | MODELS | FILES),
    ("rules list", ["rules", "list"], PROMPT | MODELS | FILES | ARRAYS),
    ("reading", ["reading", "300 hp"], PROMPT | MODELS | FILES | ARRAYS),
    # not the library of units, nor what draws, compiles or keeps records: each alone takes a tenth of a check
    ("check", ["check", CASE, "--samples", "0"], PROMPT | MODELS | FILES | ARRAYS | ENGINE),
]

# In a process of its own: what tests have imported stands in this one.
RUN = """
import json, os, sys
before = set(sys.modules)
from enginelimits.cli.main import exit_code
own = os.dup(1)
os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
exit_code(json.loads(sys.argv[1]))
sys.stdout.flush()
standard = sys.stdlib_module_names
tops = {name.partition(".")[0] for name in set(sys.modules) - before}
# parts of numpy that come in with one careless call
parts = {name for name in ("numpy.ma", "numpy.polynomial") if name in sys.modules}
files = parts | {top for top in tops if top not in standard and getattr(sys.modules.get(top), "__file__", None)}
os.write(own, json.dumps(sorted(files - {"enginelimits"})).encode())
"""


@pytest.mark.parametrize(("arguments", "allowed"), [row[1:] for row in ALLOWED], ids=[row[0] for row in ALLOWED])
def test_a_command_imports_what_it_may_and_no_more(arguments: list[str], allowed: set[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-I", "-c", RUN, json.dumps(arguments)], capture_output=True, text=True, check=True
    )
    imported = {name for name in json.loads(done.stdout) if not name.startswith("_")}
    assert imported <= allowed

