"""The sweep from the command line: what it prints, how it ends, how it goes on, and what its help must not load."""

from __future__ import annotations

import csv
import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from enginelimits.cli.failures import Code
from enginelimits.cli.main import exit_code
from enginelimits.present.output_schemas import OUTPUT_SCHEMAS

SMALL = Path(__file__).resolve().parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
GRID = ["--vary", "forced_induction.boost=0.3 bar,0.6 bar", "--samples", "0", "--csv", "--jobs", "1"]


def said(capfd: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = exit_code(["sweep", *map(str, words)])
    return code, *capfd.readouterr()


def test_a_sweep_is_told_and_goes_on(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, err = said(capfd, SMALL, *GRID, "--into", tmp_path / "rows")
    # more boost on the same clutch: the second crosses its reserve, the first does not reach the goal
    assert code == Code.findings
    assert out.startswith("2 builds: 1 reinforce, 1 caution\n")
    assert re.search(r"^0.3 bar +CAUTION\b.* \d+ kW$", out, re.MULTILINE)
    assert re.search(r"^0.6 bar +REINFORCE\b.*DRV001 clutch reserve +\d+ kW$", out, re.MULTILINE)
    assert "not a measurement, certificate or inspection" in " ".join(out.split())
    assert "results.csv" in out and "1 of 2, caution: " in err
    assert (tmp_path / "rows" / "results.csv").is_file()

    code, out, err = said(capfd, SMALL, *GRID, "--into", tmp_path / "rows", "--format", "json", "--fail-on", "decline")
    data = json.loads(out)
    assert (code, data["there_before"], data["left"], data["verdicts"]["reinforce"]) == (0, 2, 0, 1)
    validator = Draft202012Validator(OUTPUT_SCHEMAS["sweep.output.schema.json"]())
    assert [error.message for error in validator.iter_errors(data)] == []
    data["rows"][0]["more"] = 1
    assert [*validator.iter_errors(data)]

    code, out, _ = said(capfd, SMALL, *GRID, "--into", tmp_path / "rows", "--units", "us", "--quiet")
    assert " hp" in out and " kW" not in out


def test_bad_input_ends_before_anything_is_judged(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rows = tmp_path / "rows"
    code, out, err = said(capfd, SMALL, "--vary", "fuel.octan=98 RON", "--into", rows)
    assert (code, out) == (Code.bad_input, "") and "Near: fuel.octane" in err and not rows.exists()
    code, _, err = said(capfd, SMALL, "--into", rows, "--jobs", 2, "--scheduler", "tcp://127.0.0.1:1")
    assert code == Code.bad_input and "--jobs or --scheduler" in err
    code, _, err = said(capfd, "-", "-", "--into", rows)
    assert code == Code.bad_input and "it twice" in err
    rows.write_text("mine", encoding="utf-8")
    code, _, err = said(capfd, SMALL, *GRID, "--into", rows)
    assert code == Code.bad_input and "a folder to keep rows in" in err


def test_a_bad_build_may_be_a_row(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("build: a\nengine: {bore: 83}\n", encoding="utf-8")
    (tmp_path / "names.yaml").write_text("names: {}\n", encoding="utf-8")
    code, out, err = said(capfd, tmp_path, "--keep-going", "--csv", "--into", tmp_path / "rows")
    assert code == Code.bad_input
    assert out.startswith("1 build: 1 refused\n") and "engine.bore" in out and "Without a verdict" in out
    assert "no builds, left out:" in err and "names.yaml" in err


def test_help_loads_nothing_heavy() -> None:
    heavy = ("numpy", "pint", "yaml", "rich", "pyarrow", "distributed", "multiprocessing")
    code = ("import sys\nfrom enginelimits.cli.main import exit_code\ncode = exit_code(['sweep', '--help'])\n"
            f"print([name for name in {heavy} if name in sys.modules], file=sys.stderr)\nsys.exit(code)")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr.strip()) == (0, "[]") and "Example: enginelimits sweep" in done.stdout


@pytest.mark.slow
def test_a_signal_keeps_the_rows_and_the_same_command_goes_on(tmp_path: Path) -> None:
    boosts = ",".join(f"0.{n} bar" for n in range(20, 32))
    words = [sys.executable, "-c", "from enginelimits.cli.main import run; run()", "sweep", str(SMALL), "--vary",
             f"forced_induction.boost={boosts}", "--samples", "0", "--jobs", "2", "--into",
             str(tmp_path), "--format", "json"]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment,
                          start_new_session=True) as running:
        assert running.stderr is not None
        told = [running.stderr.readline() for _ in range(3)]
        # as a terminal sends it: to the program and to its workers
        os.killpg(running.pid, signal.SIGINT)
        out, err = running.communicate(timeout=60)
    assert told[0] == "reading 12 cases\n" and told[2].startswith("2 of 12, ")
    assert running.returncode == Code.interrupted and "Traceback" not in err
    first = json.loads(out)
    assert first["interrupted"] and 2 <= len(first["rows"]) < 12 and first["left"] == 12 - len(first["rows"])
    done = subprocess.run(words, capture_output=True, text=True, env=environment, check=False)
    second = json.loads(done.stdout)
    assert (second["there_before"], second["left"], len(second["rows"])) == (len(first["rows"]), 0, 12)
    assert [path.name for path in tmp_path.glob("[!.]*")] == ["results.parquet"]


@pytest.mark.slow
def test_a_killed_program_leaves_no_worker_and_whole_rows(tmp_path: Path) -> None:
    ethanol = ",".join(f"{n} %" for n in range(10, 50))
    words = [sys.executable, "-c", "from enginelimits.cli.main import run; run()", "sweep", str(SMALL), "--vary",
             f"fuel.ethanol={ethanol}", "--samples", "0", "--jobs", "2", "--csv", "--into", str(tmp_path)]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
                          start_new_session=True) as running:
        assert running.stderr is not None
        deadline = time.monotonic() + 120
        while not [*tmp_path.glob("part-*.csv")]:
            assert running.stderr.readline() and time.monotonic() < deadline
        os.kill(running.pid, signal.SIGKILL)
        running.wait(10)
        # the workers are alone in the session now, and see that nobody wants their work
        while time.monotonic() < deadline:
            try:
                os.killpg(running.pid, 0)
            except ProcessLookupError:
                break
            time.sleep(0.1)
        else:
            raise AssertionError("workers outlive the program")
    [part] = tmp_path.glob("*.csv")
    with part.open(newline="", encoding="utf-8") as stream:
        rows = [*csv.DictReader(stream)]
    assert rows and all(row["status"] == "judged" and row["verdict"] for row in rows)
