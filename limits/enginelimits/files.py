"""Reading a file that somebody named: never more of it than a limit, never a device, always told in words."""

from __future__ import annotations

import difflib
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path
from typing import Final

from enginelimits.errors import InputError, Problem
from enginelimits.units.grammar import excerpt

# What people write by hand is a hundredth of it; what a parser does with it ends within a second.
MOST_BYTES: Final = 1_000_000
_BYTE_ORDER_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")
# What has been read since somebody asked to know.
_READ: ContextVar[set[Path] | None] = ContextVar("_READ", default=None)


@contextmanager
def watched() -> Iterator[set[Path]]:
    """The files that are read within: those of a build, such as its map, are named nowhere else."""
    read: set[Path] = set()
    token = _READ.set(read)
    try:
        yield read
    finally:
        _READ.reset(token)


def read_so_far() -> frozenset[Path]:
    """What was read within :func:`watched` up to now; nothing outside of it."""
    return frozenset(_READ.get() or ())


def bytes_of(path: str | Path, what: str = "a file", most: int = MOST_BYTES) -> bytes:
    """The bytes of a regular file.  Raises InputError for one that is larger, is none, or cannot be read.

    ``what`` says in words what was wanted, such as "a build file".
    """
    path = Path(path)
    name = shown(path)

    def refused(wanted: str, got: str, mend: str = "", near: tuple[str, ...] = ()) -> InputError:
        return InputError([Problem(wanted, got, mend, file=name, near=near)])

    try:
        found = path.stat()
        mode = found.st_mode
        if stat.S_ISDIR(mode):
            raise refused(what, "a folder", "Name the file inside it.")
        if not stat.S_ISREG(mode):
            raise refused("a regular file", "a device or pipe")
        with path.open("rb") as stream:
            # room for what is there; more only where it has grown since
            raw = stream.read(min(found.st_size, most) + 1)
            if found.st_size < len(raw) <= most:
                raw += stream.read(most + 1 - len(raw))
    except FileNotFoundError:
        raise refused(what, "no such file", "Check the name and the folder.", _beside(path)) from None
    except PermissionError:
        mend = "Check who may read the file and the folders above it."
        raise refused("a file that may be read", "no permission", mend) from None
    except (OSError, ValueError) as error:
        said = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else str(error)
        raise refused("a file that can be read", said.lower()) from None
    if len(raw) > most:
        raise refused(f"at most {most} bytes", "more", "Is this the right file?")
    if (read := _READ.get()) is not None:
        read.add(path)
    return raw


def text_of(path: str | Path, what: str = "a file", most: int = MOST_BYTES) -> str:
    """The text of a file in UTF-8, without a byte order mark.  Raises InputError as :func:`bytes_of` does."""
    return decoded(bytes_of(path, what, most), shown(path))


def decoded(raw: bytes, file: str) -> str:
    """The text of bytes in UTF-8.  Raises InputError for what is no text, with its line where there is one."""
    if raw.startswith(_BYTE_ORDER_MARKS):
        raise InputError([Problem("text in UTF-8", "UTF-16", "Save the file as UTF-8.", file=file)])
    if b"\x00" in raw:
        raise InputError([Problem("a text file", "a binary file", "Is this the right file?", file=file)])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        got = f"a byte 0x{raw[error.start]:02x} that is none"
        raise InputError([Problem("text in UTF-8", got, "Save the file as UTF-8.", file=file, line=line)]) from None


def shown(path: str | Path) -> str:
    """A path as messages name it: cut, and made printable, where it is none that anybody would write."""
    name = str(path)
    return name if name.isprintable() and len(name) < 300 else excerpt(name)


def _beside(path: Path) -> tuple[str, ...]:
    """Files of like names in the same folder."""
    names: list[str] = []
    with suppress(OSError, ValueError):
        names = [p.name for p in sorted(path.parent.iterdir())[:2000]]
    return tuple(difflib.get_close_matches(path.name[:120], names, n=3))
