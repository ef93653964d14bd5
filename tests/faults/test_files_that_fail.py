"""Disks that fill, writers that are killed or meet: what was there stays whole, and nothing half-made is left."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from enginelimits.cli.answer import write_beside
from enginelimits.cli.main import exit_code
from enginelimits.errors import InputError

OLD, NEW = "old " * 1000, "new " * 500_000


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Path]:
    """A file that is there; whatever fails, it must be whole afterwards, with nothing beside it."""
    path = tmp_path / "answer.txt"
    path.write_text(OLD)
    yield path
    assert path.read_text() == OLD
    assert [p.name for p in tmp_path.iterdir()] == ["answer.txt"]


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EROFS, errno.EACCES])
@pytest.mark.parametrize("where", ["os.fsync", "pathlib.Path.replace", "pathlib.Path.open"])
def test_a_write_that_fails_leaves_what_was_there(
    kept: Path, where: str, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patched:
        patched.setattr(where, fail)
        with pytest.raises(InputError) as caught:
            write_beside(kept, NEW)
    assert os.strerror(number) in str(caught.value) and kept.name in str(caught.value)


def test_an_interrupt_in_the_middle_leaves_what_was_there(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            write_beside(kept, NEW)


def test_a_file_that_may_not_grow_is_told(kept: Path) -> None:
    """A limit of the system's own on the size of files stands for a disk without room."""
    code = ("import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000)); "
            "from enginelimits.cli.main import exit_code; sys.exit(exit_code(['quantities', '-o', sys.argv[1]]))")
    done = subprocess.run([sys.executable, "-c", code, kept], capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "File too large" in done.stderr and "Traceback" not in done.stderr


def test_a_killed_writer_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "answer.txt"
    path.write_text(OLD)
    code = ("import os, signal, sys; from pathlib import Path; from enginelimits.cli.answer import write_beside; "
            "os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL); write_beside(Path(sys.argv[1]), 'new' * 10**6)")
    done = subprocess.run([sys.executable, "-c", code, path], capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGKILL
    assert path.read_text() == OLD
    # What a killed process wrote stays beside it under a name that no reader takes; the next write is not hindered.
    assert [p.suffix for p in sorted(tmp_path.iterdir())] == [".part", ".txt"]
    write_beside(path, NEW)
    assert path.read_text() == NEW


WRITERS = """
import sys
from pathlib import Path
from enginelimits.cli.answer import write_beside
from enginelimits.errors import InputError
sys.stdin.readline()
won = 0
for turn in range(30):
    try:
        write_beside(Path(sys.argv[1]) / f"{turn}.txt", sys.argv[2] * 20_000, new=sys.argv[3] == "new")
        won += 1
    except InputError:
        pass
print(won)
"""


@pytest.mark.parametrize("kind", ["new", "again"])
def test_of_two_writers_each_file_is_wholly_of_one(kind: str, tmp_path: Path) -> None:
    both = [
        subprocess.Popen([sys.executable, "-c", WRITERS, tmp_path, mark, kind], stdin=subprocess.PIPE,
                         stdout=subprocess.PIPE, text=True) for mark in "ab"
    ]
    for one in both:
        assert one.stdin is not None
        one.stdin.write("go\n")
        one.stdin.flush()
    won = [int(one.communicate()[0]) for one in both]
    files = list(tmp_path.iterdir())
    assert len(files) == 30
    assert {path.read_text() for path in files} <= {"a" * 20_000, "b" * 20_000}
    # A new file has one writer that was told so; a file written over has two.
    assert sum(won) == (30 if kind == "new" else 60)
    if kind == "new":
        assert sum(path.read_text().startswith("a") for path in files) == won[0]


def test_half_a_rule_is_taken_away_again(tmp_path: Path) -> None:
    code = ("import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300)); "
            "from enginelimits.cli.main import exit_code; "
            "sys.exit(exit_code('rules new OWN001 --family rods --title x --into'.split() + [sys.argv[1]]))")
    done = subprocess.run([sys.executable, "-c", code, tmp_path], capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "File too large" in done.stderr and "Traceback" not in done.stderr
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize("command", ["start", "quantities"])
def test_a_folder_that_may_only_be_read_is_told(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    # Permissions do not bind every user that runs tests, so the refusal itself is staged.
    def refuse(self: Path, mode: str = "r", *_: object, **__: object) -> object:
        if "w" in mode or "x" in mode:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))
        return opened(self, mode, *_, **__)

    opened = Path.open
    monkeypatch.setattr(Path, "open", refuse)
    assert exit_code([command, "-o", str(tmp_path / "made.txt")]) == 2
    err = capfd.readouterr().err
    assert "made.txt" in err and "Permission denied" in err and "Traceback" not in err
