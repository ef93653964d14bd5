"""Licences of the libraries: on the page, and of the kinds that the project takes."""

from __future__ import annotations

import importlib.util
import re
from importlib import metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SPEC = importlib.util.spec_from_file_location("licences_tool", ROOT / "tools" / "licences.py")
tool = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(tool)
ROW = re.compile(r"^\| ([a-z][a-z0-9-]*) \| ([^|]+) \| ([^|]*) \|$", re.MULTILINE)
INSTALLED = {d.metadata["Name"].lower().replace("_", "-") for d in metadata.distributions() if d.metadata["Name"]}


def rows() -> dict[str, tuple[str, list[str]]]:
    """Licence and extras by library, as the page has them."""
    found = ROW.findall(tool.PAGE.read_text("utf-8"))
    return {name: (told.strip(), re.findall(r"`([^`]+)`", extras)) for name, told, extras in found if name != "library"}


def test_the_page_names_what_the_project_asks_for_and_nothing_else():
    assert {name: extras for name, (_, extras) in rows().items()} == {
        name: [extra for extra in extras if extra] for name, extras in tool.declared().items()
    }, "run tools/licences.py"


def family(expression: str) -> str:
    """The first licence without version and clauses: how it is spelt changes from one release to the next."""
    return re.match(r"\(*([A-Za-z]+)", expression)[1]


def test_the_page_tells_what_the_installed_libraries_tell():
    there = [name for name in rows() if name in INSTALLED]
    assert {"numpy", "pydantic", "rich"} <= set(there)
    told = {name: family(tool.licence(name)) for name in there}
    assert {name: family(rows()[name][0]) for name in there} == told, "run tools/licences.py"


def test_an_install_without_extras_is_under_permissive_licences_all_the_way_down():
    brought = tool.below(name for name, extras in tool.declared().items() if "" in extras)
    assert {"numpy", "pydantic-core", "typing-extensions"} <= brought
    assert {n: tool.licence(n) for n in brought if not tool.allowed(tool.licence(n), tool.PERMISSIVE)} == {}


def test_what_a_user_can_ask_for_is_under_licences_of_the_list():
    ids = tool.PERMISSIVE | tool.IN_EXTRAS
    below = {name: tool.licence(name) for name in tool.below(name for name in tool.declared() if tool.shipped(name))}
    on_page = {name: told for name, (told, _) in rows().items()}
    assert {name: told for name, told in {**below, **on_page}.items() if not tool.allowed(told, ids)} == {}


def test_what_a_user_installs_is_bounded_on_both_sides():
    """A range names a version that works and ends before one that may not."""
    of_users = [requirement for extra, requirement in tool.requirements() if extra not in tool.FOR_DEVELOPMENT]
    assert len(of_users) > 10
    bounds = {str(r): {specifier.operator for specifier in r.specifier} for r in of_users}
    assert {text for text, operators in bounds.items() if operators != {">=", "<"}} == set()


# What OR, AND and WITH mean: SPDX specification 2.3, annex D.
@pytest.mark.parametrize(
    ("expression", "met"),
    [
        ("MIT", True),
        ("GPL-2.0-or-later OR LGPL-2.0-or-later OR MPL-1.1", True),
        ("MIT AND GPL-3.0-only", False),
        ("BSD-2-Clause AND Apache-2.0 WITH LLVM-exception", True),
        ("GPL-2.0-only WITH Classpath-exception-2.0", False),
        ("(MIT OR GPL-3.0-only) AND ISC", True),
        ("LGPL-3.0-only", False),
        ("not told", False),
    ],
)
def test_an_expression_is_met_as_spdx_has_it(expression, met):
    assert tool.allowed(expression, tool.PERMISSIVE) is met


@pytest.mark.parametrize("name", ["pytest", "numpy"])
def test_licences_of_well_known_libraries(name):
    """As their own sites state them: pytest under MIT, NumPy under BSD-3-Clause (from memory)."""
    assert {"pytest": "MIT", "numpy": "BSD-3-Clause"}[name] in tool.licence(name)


def audit():
    """The tool that asks for known vulnerabilities."""
    spec = importlib.util.spec_from_file_location("audit_tool", ROOT / "tools" / "audit.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


# The form is that of pip-audit's own documentation of `--format json`; libraries and numbers are invented.
GOOD = {"name": "one", "version": "1.0", "vulns": []}
BAD = {"name": "two", "version": "2.0", "vulns": [{"id": "PYSEC-0000-1", "fix_versions": ["2.1"], "description": ""}]}
UNKNOWN = {"name": "three", "skip_reason": "Dependency not found on PyPI and could not be audited: three (3.0)"}


@pytest.mark.parametrize(
    ("libraries", "code", "said"),
    [
        ([GOOD], 0, ["nothing known against 1"]),
        ([GOOD, BAD], 1, ["two 2.0", "PYSEC-0000-1", "2.1"]),
        ([UNKNOWN], 0, ["NOT RUN", "no data"]),
        ([GOOD, UNKNOWN], 0, ["NOT RUN for three", "nothing known against 1"]),
        ([BAD, UNKNOWN], 1, ["NOT RUN for three", "PYSEC-0000-1"]),
    ],
)
def test_an_audit_never_takes_missing_data_for_a_clean_answer(libraries, code, said):
    ended, text = audit().told({"dependencies": libraries, "fixes": []})
    assert ended == code
    assert all(word in text for word in said)
    assert ("nothing known" in text) == (code == 0 and GOOD in libraries)
