"""Optional libraries that are not installed: what needs them says which extra it is, everything else goes on."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800"
BUILD = str(CASE / "build.yaml")
# A finder that knows no such package, put before all others.
HIDING = """
import sys
class Hidden:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in sys.argv[1].split(","):
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
sys.meta_path.insert(0, Hidden())
from enginelimits.cli.main import exit_code
sys.exit(exit_code(sys.argv[2:]))
"""


def without(packages: str, *line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """A command in an install that lacks the packages."""
    return subprocess.run([sys.executable, "-c", HIDING, packages, *line], capture_output=True, text=True, cwd=folder,
                          check=False, timeout=200)


@pytest.mark.parametrize(
    ("package", "line", "extra"),
    [
        ("jinja2", ("report", BUILD, "--for", "customer"), "engine-limits[report]"),
        ("jinja2", ("report", BUILD, "--for", "customer", "--format", "pdf", "-o", "r.pdf"), "engine-limits[report]"),
        ("weasyprint", ("report", BUILD, "--for", "customer", "--format", "pdf", "-o", "r.pdf"), "engine-limits[pdf]"),
        ("sqlalchemy", ("record", "list", "--shop", "."), "engine-limits[record]"),
        ("matplotlib", ("check", BUILD, "--samples", "0", "--plot", "p.svg"), "engine-limits[plots]"),
    ],
)
def test_the_extra_is_named_and_nothing_is_written(
    package: str, line: tuple[str, ...], extra: str, tmp_path: Path
) -> None:
    done = without(package, *line, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert extra in done.stderr and "Traceback" not in done.stderr and "judging" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_a_check_goes_on_without_any_of_them(tmp_path: Path) -> None:
    """The same verdict with neither compiled loops nor the rule engine that is a library of others."""
    line = ("check", BUILD, "--samples", "8", "--format", "json", "--as-of", "2026-11-25")
    bare = without("numba,durable,durable_rules_engine,matplotlib,jinja2,weasyprint,sqlalchemy,asammdf,rich", *line,
                   folder=tmp_path)
    whole = without("none", *line, folder=tmp_path)
    assert bare.returncode == whole.returncode == 1, bare.stderr
    one, other = json.loads(bare.stdout), json.loads(whole.stdout)
    assert one.pop("inference") != other.pop("inference")
    assert [(f["rule"], f["grade"]) for f in one["findings"]] == [(f["rule"], f["grade"]) for f in other["findings"]]
    assert one["verdict"] == other["verdict"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("packages", "line"),
    [
        ("matplotlib", ("report", BUILD, "--for", "customer", "--samples", "0", "--no-tiers")),
        ("asammdf", ("pull", BUILD, str(CASE / "pull.csv"), "--names", str(CASE / "logs.yaml"), "--samples", "0")),
        ("durable,durable_rules_engine", ("rules", "test", "ROD003")),
        ("rich", ("ladder", BUILD, "--samples", "0")),
    ],
)
def test_what_does_not_need_them_goes_on(packages: str, line: tuple[str, ...], tmp_path: Path) -> None:
    done = without(packages, *line, folder=tmp_path)
    assert done.returncode in (0, 1) and done.stdout and "Traceback" not in done.stderr, done.stderr
