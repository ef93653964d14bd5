"""Standard streams that are closed, full or read by nobody: told in words where anybody hears, and by the exit code."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "small-turbo-1800"
RUN = f'"{sys.executable}" -c "from enginelimits.cli.main import run; run()"'
FULL = pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")


def shell(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """A line for bash; RUN in it is the program."""
    env = {k: v for k, v in os.environ.items() if k not in ("ENGINELIMITS_SHOP", "COLUMNS")}
    return subprocess.run(
        ["/bin/bash", "-c", line.replace("RUN", RUN)], capture_output=True, text=True, cwd=folder, timeout=100,
        env={**env, "XDG_CONFIG_HOME": str(folder / "config")}, check=False,
    )


@FULL
@pytest.mark.parametrize("what", ["quantities", "reading 298hp --at wheels --dyno inertia --format json"])
def test_a_full_disk_behind_standard_output_is_told(what: str, tmp_path: Path) -> None:
    done = shell(f"RUN {what} > /dev/full", tmp_path)
    assert done.returncode == 2
    assert "standard output" in done.stderr and "No space left" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_standard_output_that_is_closed_is_told(tmp_path: Path) -> None:
    done = shell("RUN quantities >&-", tmp_path)
    assert done.returncode == 2
    assert "standard output" in done.stderr and "closed" in done.stderr and "fault of the program" not in done.stderr


def test_a_file_needs_no_standard_stream(tmp_path: Path) -> None:
    done = shell("RUN quantities -o q.txt <&- >&- 2>&-", tmp_path)
    assert done.returncode == 0
    # The first file opened takes the number of a closed stream: nothing but the answer may have gone into it.
    assert (tmp_path / "q.txt").read_text("utf-8") == shell("RUN quantities", tmp_path).stdout


@pytest.mark.parametrize("where", [pytest.param("2> /dev/full", marks=FULL), "2>&-"])
def test_the_exit_code_stands_where_nobody_hears(where: str, tmp_path: Path) -> None:
    done = shell(f"RUN check nowhere.yaml {where}", tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", "")


def test_standard_input_that_is_closed_is_told(tmp_path: Path) -> None:
    done = shell("RUN check - <&-", tmp_path)
    assert done.returncode == 2 and "standard input" in done.stderr and "Traceback" not in done.stderr


QUICK = ["quantities", "quantities --units", "start", "rules list", "--help",
         "reading 298hp --at wheels --dyno inertia"]
LONG = [
    "check BUILD --full --samples 0", "ladder BUILD --samples 0", "ceiling BUILD --samples 0", "plan BUILD --samples 0",
    "compare BUILD OTHER --samples 0", "pull BUILD LOG --names NAMES --full --samples 0",
    "report BUILD --for shop --no-tiers --samples 0", "report BUILD --for shop --format text --samples 0",
    "record add BUILD --shop . --samples 0", "why BUILD rod.column_use", "rules explain ROD003", "rules test ROD003",
]  # fmt: skip


@pytest.mark.parametrize("line", [*QUICK, *(pytest.param(line, marks=pytest.mark.slow) for line in LONG)])
def test_a_reader_that_has_seen_enough_is_no_error(line: str, tmp_path: Path) -> None:
    """`| head -n 1`: SIGPIPE's code as a shell gives it (128 + 13), or the command's own where all fitted the pipe."""
    quiet = "" if line == "--help" else "--quiet"
    for word, path in (("BUILD", CASE / "build.yaml"), ("LOG", CASE / "pull.csv"), ("NAMES", CASE / "logs.yaml"),
                       ("OTHER", ROOT / "cases" / "factory-na-1800" / "build.yaml")):
        line = line.replace(word, f"'{path}'")
    done = shell(f"RUN {line} {quiet} | head -n 1 > /dev/null; exit ${{PIPESTATUS[0]}}", tmp_path)
    assert done.returncode in (0, 1, 141), done.stderr
    assert "Traceback" not in done.stderr and "Broken" not in done.stderr and "Exception ignored" not in done.stderr
