"""Ctrl-C at any moment of any long command: the code that a shell expects, no traceback, nothing half-made on the disk.

What ladder, ceiling, plan and compare tell of what they know by then is asked in tests/cli/test_interruption.py.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800"
BUILD = str(CASE / "build.yaml")
LINES = [
    ("check", BUILD, "--samples", "5000", "-o", "answer.txt"),
    ("measure", BUILD, "--samples", "5000", "-o", "answer.txt"),
    ("report", BUILD, "--for", "shop", "--samples", "2000", "-o", "answer.html"),
    ("pull", BUILD, str(CASE / "pull.csv"), "--names", str(CASE / "logs.yaml"), "--samples", "5000", "-o", "a.txt"),
    ("record", "add", BUILD, "--samples", "5000", "--shop", "."),
    ("rules", "lint", "-o", "answer.txt"),
    ("rules", "test", "-o", "answer.txt"),
    ("cases", "--samples", "500", "-o", "answer.txt"),
]
READY = "import enginelimits.cli.main as m, sys; print('ready', flush=True); sys.exit(m.exit_code(sys.argv[1:]))"


@pytest.mark.slow
@pytest.mark.parametrize("after", [0.05, 0.4, 2.0])
@pytest.mark.parametrize("line", LINES, ids=lambda line: " ".join(word for word in line[:2] if "/" not in word))
def test_an_interrupt_ends_it_and_leaves_nothing(line: tuple[str, ...], after: float, tmp_path: Path) -> None:
    with subprocess.Popen([sys.executable, "-c", READY, *line], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          text=True, cwd=tmp_path, env={**os.environ, "XDG_CONFIG_HOME": str(tmp_path)}) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "ready\n"
        time.sleep(after)
        running.send_signal(signal.SIGINT)
        _, err = running.communicate(timeout=60)
    assert running.returncode == 130, err
    assert "Traceback" not in err and "Exception ignored" not in err
    assert [path.name for path in tmp_path.iterdir() if path.suffix != ".sqlite"] == []


def test_an_interrupt_that_another_error_wraps_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Python wraps what is raised while a class is made, and libraries make classes when they are imported."""
    from enginelimits.cli import main

    def interrupted(arguments: object) -> int:
        try:
            raise KeyboardInterrupt
        except KeyboardInterrupt as error:
            raise RuntimeError("Error calling __set_name__") from error

    monkeypatch.setattr(main, "_answered", interrupted)
    assert main.exit_code(["start"]) == 130

    def faulty(arguments: object) -> int:
        raise RuntimeError("something else")

    monkeypatch.setattr(main, "_answered", faulty)
    with pytest.raises(RuntimeError, match="something else"):
        main.exit_code(["start"])
