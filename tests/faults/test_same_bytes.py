"""The same input gives the same bytes: in any process, folder, hash seed, locale, time zone, and number of threads."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800"
DAY = ("--as-of", "2026-11-25")
# Each a place in which somebody may run the same command; several things differ at once.
PLACES: dict[str, dict[str, str]] = {
    "plain": {"PYTHONHASHSEED": "0", "TZ": "UTC", "LC_ALL": "C.UTF-8"},
    "east": {"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8",
             "LANGUAGE": "de"},
    "west": {"PYTHONHASHSEED": "random", "TZ": "Etc/GMT+12", "LC_ALL": "C", "PYTHONUTF8": "0"},
    "threads": {"PYTHONHASHSEED": "4294967295", "OMP_NUM_THREADS": "2", "OPENBLAS_NUM_THREADS": "2",
                "MKL_NUM_THREADS": "2", "NUMBA_NUM_THREADS": "2", "TZ": "Asia/Kathmandu", "LC_ALL": "tr_TR.UTF-8"},
    "alone": {"PYTHONHASHSEED": "7", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1",
              "NUMBA_NUM_THREADS": "1", "PYTHONOPTIMIZE": "1", "PYTHONDONTWRITEBYTECODE": "1"},
}


def made(place: str, folder: Path, *line: str) -> dict[str, bytes]:
    """Every file that a command writes in a fresh folder in that place, and its standard output."""
    here = folder / place
    shutil.copytree(CASE, here)
    kept = {k: v for k, v in os.environ.items() if k in ("PATH", "HOME", "VIRTUAL_ENV")}
    # Another order of the environment, too.
    env = {**PLACES[place], **kept} if place in ("east", "alone") else {**kept, **PLACES[place]}
    done = subprocess.run(
        [sys.executable, "-c", "from enginelimits.cli.main import run; run()", *line], cwd=here, env=env,
        capture_output=True, check=False, timeout=1500,
    )
    assert done.returncode in (0, 1), done.stderr
    before = {path.name for path in CASE.iterdir()}
    written = {p.name: p.read_bytes() for p in here.iterdir() if p.name not in before}
    return {"stdout": done.stdout, **written}


def same(folder: Path, line: str, *places: str) -> None:
    first = made("plain", folder, *line.split(), *DAY)
    assert sum(map(len, first.values())) > 1000
    for place in places:
        other = made(place, folder, *line.split(), *DAY)
        assert other.keys() == first.keys()
        for name, data in first.items():
            assert other[name] == data, (place, name)


def test_a_check_is_the_same_in_another_place(tmp_path: Path) -> None:
    same(tmp_path, "check build.yaml --samples 2 --format json", "east")


LINES = [
    "check build.yaml --samples 16 --format json",
    "check build.yaml --samples 16 --full",
    "check build.yaml --samples 16 --format sarif",
    "check build.yaml --samples 16 -o c.json --format json --plot p.svg",
    "check build.yaml --samples 0 --plot m.svg --plot-of margins -o c.txt",
    "ladder build.yaml --samples 8 --format json",
    "ladder build.yaml --samples 8",
    "plan build.yaml --samples 8 --format json",
    "measure build.yaml --samples 64 --format json",
    "why build.yaml rod.column_use --format json",
    "pull build.yaml pull.csv --names logs.yaml --samples 8 --format json",
    "pull build.yaml pull.csv --names logs.yaml --samples 8 --full",
    "report build.yaml --for customer --samples 8 -o r.html",
    "report build.yaml --for calibrator --samples 8 -o r.html",
    "report build.yaml --for shop --samples 8 --no-tiers --format pdf -o r.pdf",
    "rules list --format json",
    "quantities --format json",
]


@pytest.mark.slow
@pytest.mark.parametrize("line", LINES)
def test_every_command_is_the_same_everywhere(line: str, tmp_path: Path) -> None:
    if "pdf" in line:
        pytest.importorskip("weasyprint")
    same(tmp_path, line, *[place for place in PLACES if place != "plain"])
