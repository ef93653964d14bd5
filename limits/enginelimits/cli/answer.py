"""What a command answers with, and how it reaches a terminal, a pipe or a file."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.present.tree import Tree
    from enginelimits.units.display import System


class Form(StrEnum):
    """How data is written."""

    text = "text"
    json = "json"
    sarif = "sarif"


class Units(StrEnum):
    """Whose units text is written in."""

    metric = "metric"
    us = "us"


@dataclass(frozen=True)
class Answer:
    """Data for standard output or a file, what to say beside it, and the exit code.

    ``errors`` are told even where talk is not wanted.  ``binary`` is written to a file in place of words.
    """

    data: str
    code: int = 0
    talk: tuple[str, ...] = ()
    errors: tuple[str, ...] = ()
    to: Path | None = None
    binary: bytes | None = None


@dataclass(frozen=True)
class Common:
    """The options that every command takes."""

    form: Form
    output: Path | None
    units: str | None
    rules: tuple[Path, ...]
    shop: Path | None
    quiet: bool
    as_of: Any

    @property
    def system(self) -> System:
        """The units asked for, else the shop's, else metric."""
        if self.units is not None:
            return "us" if self.units == "us" else "metric"
        from enginelimits.shop import read_shop, shop_folder

        return "us" if read_shop(shop_folder(self.shop)).units == "us" else "metric"

    def shown(
        self, tree: Tree, data: Any, code: int = 0, talk: tuple[str, ...] = (), sarif: Any = None
    ) -> Answer:
        """The answer in the form asked for; ``data`` and ``sarif`` are called only when theirs is."""
        if self.form is Form.sarif:
            from enginelimits.present.jsonform import written

            return Answer(written(sarif()), code, talk)
        if self.form is Form.json:
            from enginelimits.present.jsonform import written

            return Answer(written(data()), code, talk)
        return Answer(self.words(tree), code, talk)

    def words(self, *trees: Tree) -> str:
        """Reports as text for where they go."""
        from enginelimits.present.text import WIDTH, report, wants_colour, width_of

        if self.output is not None:
            return "\n".join(report(tree, width=WIDTH) for tree in trees)
        width, colour = width_of(sys.stdout), wants_colour(sys.stdout)
        return "\n".join(report(tree, width=width, colour=colour) for tree in trees)


def refuse_inputs(output: Path | None, files: Iterable[Path], folders: Iterable[Path]) -> None:
    """InputError when the output would be written over something that is read."""
    if output is None or not output.exists():
        return
    taken = next((file for file in files if file.exists() and file.samefile(output)), None)
    if taken is None:
        there = output.resolve()
        taken = next((folder for folder in folders if there.is_relative_to(folder.resolve())), None)
    if taken is not None:
        raise InputError(
            [
                Problem(
                    "a file that is not an input",
                    str(output),
                    "Name another file; nothing was written.",
                    key="-o",
                    file="command line",
                )
            ]
        )


def deliver(answer: Answer) -> None:
    """Write the data out, and say what there is to say."""
    if answer.to is None:
        _print(answer.data)
    else:
        write_beside(answer.to, answer.data if answer.binary is None else answer.binary)
    for words in (*answer.errors, *answer.talk):
        tell(words)


def tell(words: str) -> None:
    """Talk, on standard error, with nothing in it that steers a terminal."""
    from enginelimits.present.text import shown_plainly

    if sys.stderr is None:
        return
    try:
        for row in words.splitlines() or [""]:
            sys.stderr.write(shown_plainly(row) + "\n")
        sys.stderr.flush()
    except OSError:
        # Nobody hears, and the exit code still says it.  What is left in the stream would fail again at the end.
        sys.stderr = None


def write_beside(path: Path, data: str | bytes, *, new: bool = False) -> None:
    """Write a whole new file beside ``path`` and rename it, so that nobody ever reads half of one.

    With ``new`` a file that is there by then, from another writer, is left as it is.  Raises InputError.
    """
    whole = data if isinstance(data, bytes) else data.encode("utf-8")
    try:
        if path.exists() and not path.is_file():
            # A device or a pipe cannot be renamed over; it is written to.
            path.write_bytes(whole)
            return
        target = path.resolve()
        beside = target.with_name(f".{target.name}.{os.getpid()}.part")
        try:
            with beside.open("wb") as stream:
                stream.write(whole)
                stream.flush()
                os.fsync(stream.fileno())
            if new and target.exists():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
            if not (new and _linked(beside, target)):
                beside.replace(target)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            [Problem("a file that can be written", f"{path}: {reason}", key="-o", file="command line")]
        ) from error


def _linked(beside: Path, target: Path) -> bool:
    """Whether the file could be given its name, which only one of two writers can; False where no disk does that."""
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:
        return False
    return True


def _print(data: str) -> None:
    if sys.stdout is None:
        raise _unwritten("it is closed")
    try:
        _write(data)
    except BrokenPipeError:
        raise
    except OSError as error:
        raise _unwritten(error.strerror or str(error)) from error


def _unwritten(reason: str) -> InputError:
    return InputError([Problem("standard output that can be written", reason, "Free it, or name a file with -o.",
                               file="command line")])


def _write(data: str) -> None:
    encoding = sys.stdout.encoding or "utf-8"
    # JSON is UTF-8 by its standard (RFC 8259) whatever the terminal speaks.
    if data.startswith(("{", "[")):
        encoding = "utf-8"
    sys.stdout.flush()
    sys.stdout.buffer.write(data.encode(encoding, "backslashreplace"))
    sys.stdout.buffer.flush()
