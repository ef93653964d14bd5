"""Ctrl-C in the middle of long work: what is known is told as such, and nothing leaves as a traceback."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from enginelimits.cli.failures import Code
from enginelimits.cli.main import exit_code

CASES = Path(__file__).resolve().parents[2] / "cases"
SMALL = CASES / "small-turbo-1800" / "build.yaml"
OTHER = CASES / "high-compression-2000" / "build.yaml"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("line", "heard"),
    [(("ladder", SMALL), 4), (("ceiling", SMALL), 4), (("plan", SMALL), 4), (("compare", SMALL, OTHER), 4)],
    ids=lambda value: value[0] if isinstance(value, tuple) else "",
)
def test_a_signal_ends_with_what_is_known(line: tuple[object, ...], heard: int) -> None:
    words = [sys.executable, "-c", "from enginelimits.cli.main import run; run()", *map(str, line), "--samples", "0",
             "--format", "json"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                          env={**os.environ, "PYTHONUNBUFFERED": "1"}) as running:
        assert running.stderr is not None
        told = [running.stderr.readline() for _ in range(heard)]
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=60)
    assert all(words.startswith(("judging", "difference")) for words in told)
    assert running.returncode == Code.interrupted and "Traceback" not in err
    data = json.loads(out)
    assert data.get("interrupted") or data.get("end") == "interrupted" or data.get("broken_off")


@pytest.mark.parametrize("name", ["ladder", "ceiling", "plan", "compare"])
def test_before_anything_is_known_that_is_told(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    def stopped(*_: object, **__: object) -> object:
        raise KeyboardInterrupt

    monkeypatch.setattr("enginelimits.decisions.bench.bench_of", stopped)
    builds = [str(SMALL), str(OTHER)] if name == "compare" else [str(SMALL)]
    assert exit_code([name, *builds]) == Code.interrupted
    out, err = capfd.readouterr()
    assert out == "" and "before anything was known" in err
