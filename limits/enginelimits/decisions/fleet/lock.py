"""One run a folder: a lock that the system lets go when its holder ends, however it ends."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from enginelimits.errors import InputError, Problem

LOCK = ".lock"


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder; InputError while another run holds it.  A lock left by a dead run holds nothing."""
    path = folder / LOCK
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        if not _taken(handle):
            holder = os.pread(handle, 200, 0).decode("utf-8", "replace").strip() if hasattr(os, "pread") else ""
            mend = "Wait for it, end it, or name another folder."
            got = f"one that is at work{f': {holder}' if holder else ''}"
            raise InputError([Problem("a folder that no other run writes to", got, mend, file=str(folder))])
        os.ftruncate(handle, 0)
        os.write(handle, f"process {os.getpid()} on {socket.gethostname()}\n".encode())
        yield
        # The file stays: were it removed, two later runs might lock two files of one name.
        with suppress(OSError):
            os.ftruncate(handle, 0)
    finally:
        os.close(handle)


def _taken(handle: int) -> bool:
    """Whether the lock was free and is ours now."""
    try:
        import fcntl
    except ImportError:
        return _taken_on_windows(handle)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _taken_on_windows(handle: int) -> bool:
    import msvcrt

    try:
        # Far behind what is written there, which another run must be able to read.
        os.lseek(handle, 1 << 20, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
    except OSError:
        return False
    os.lseek(handle, 0, os.SEEK_SET)
    return True
