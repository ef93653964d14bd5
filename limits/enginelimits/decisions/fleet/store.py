"""The folder of a sweep: whole files of rows, and nothing else that a reader would take for one.

A part is written under another name, synced and renamed, so that a run that is killed leaves whole parts only.  When
all cases are in, the parts become one file.  Rows of other cases, versions or rules are put aside, never mixed in and
never deleted.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from time import monotonic
from typing import Any

from enginelimits.decisions.fleet.forms import Form
from enginelimits.decisions.fleet.row import LOST, Column, Row
from enginelimits.errors import InputError, Problem

# As many rows, or so many seconds after the first of them, and a part is written.
ROWS_A_PART = 64
SECONDS_A_PART = 10.0
ASIDE = "_put_aside"
WHOLE = "results"
UNFINISHED = ".unfinished-"
PART = re.compile(r"part-(\d+)$")


class Store:
    """Rows of the cases of one sweep, by key."""

    def __init__(self, folder: Path, form: Form, columns: Sequence[Column], keys: Sequence[str]) -> None:
        self.folder, self.form, self.columns, self.keys = folder, form, columns, keys
        self.done: set[str] = set()
        self.put_aside = 0
        self._rows: list[Row] = []
        self._begun = 0.0
        self._number = 0
        self._take_stock()

    def add(self, row: Row) -> None:
        """Keep a row; written when there are enough of them, or they have waited long enough."""
        if not self._rows:
            self._begun = monotonic()
        self._rows.append(row)
        if len(self._rows) >= ROWS_A_PART:
            self.flush()
        else:
            self.flush_if_due()

    def flush_if_due(self) -> None:
        """Write what has waited long enough."""
        if self._rows and monotonic() - self._begun >= SECONDS_A_PART:
            self.flush()

    def flush(self) -> None:
        """Write the rows that are not written yet as a part."""
        if self._rows:
            self._write(f"part-{self._next():06}", self._rows)
            self.done |= {row["key"] for row in self._rows}
            self._rows = []

    def rows(self, names: Sequence[str]) -> list[dict[str, Any]]:
        """Of every row of the sweep the columns named, in the order of the cases."""
        place = {key: number for number, key in enumerate(self.keys)}
        found: dict[str, dict[str, Any]] = {}
        for path in self._files():
            for row in self.form.read(path, [*dict.fromkeys(("key", *names))], self.columns):
                if row["key"] in place:
                    found.setdefault(row["key"], row)
        return sorted(found.values(), key=lambda row: place[row["key"]])

    def made_whole(self) -> None:
        """Put all rows into one file, in the order of the cases."""
        files = self._files()
        if [path.stem for path in files] == [WHOLE]:
            return
        self._write(WHOLE, self.rows([c.name for c in self.columns]))
        for path in files:
            if path.stem != WHOLE:
                path.unlink()
        _synced(self.folder)

    def _take_stock(self) -> None:
        """What is there already; rows that are none of ours, or were lost, are put aside."""
        for path in self.folder.glob(f"{UNFINISHED}*"):
            path.unlink()
        asked = set(self.keys)
        self._refuse_other_form()
        for path in self._files():
            rows = self.form.read(path, ["key", "status"], self.columns)
            ours = [row["key"] in asked and row["key"] not in self.done and row["status"] != LOST for row in rows]
            self.done |= {row["key"] for row, mine in zip(rows, ours, strict=True) if mine}
            if all(ours):
                continue
            self.put_aside += len(ours) - sum(ours)
            if any(ours):
                whole = self.form.read(path, [c.name for c in self.columns], self.columns)
                self._write(f"part-{self._next():06}", [r for r, mine in zip(whole, ours, strict=True) if mine])
            self._aside(path)

    def _refuse_other_form(self) -> None:
        other = {".parquet": ".csv", ".csv": ".parquet"}[self.form.ending]
        strange = next((p for p in self.folder.glob(f"*{other}") if PART.match(p.stem) or p.stem == WHOLE), None)
        if strange is not None:
            mend = "Go on with the form that it began in (--csv or not), or name another folder."
            raise InputError([Problem(f"rows as {self.form.ending}", strange.name, mend, file=str(self.folder))])

    def _files(self) -> list[Path]:
        return sorted(p for p in self.folder.glob(f"*{self.form.ending}") if not p.name.startswith((".", "_")))

    def _next(self) -> int:
        numbers = (int(found[1]) for path in self._files() if (found := PART.match(path.stem)))
        self._number = max(self._number, *numbers, 0) + 1
        return self._number

    def _aside(self, path: Path) -> None:
        aside = self.folder / ASIDE
        aside.mkdir(exist_ok=True)
        number = 1 + sum(1 for _ in aside.iterdir())
        path.rename(aside / f"{number:04}-{path.name}")

    def _write(self, name: str, rows: Iterable[Row]) -> None:
        content = self.form.written([*rows], self.columns)
        path = self.folder / f"{name}{self.form.ending}"
        beside = self.folder / f"{UNFINISHED}{path.name}"
        with beside.open("wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(path)
        _synced(self.folder)


def _synced(folder: Path) -> None:
    """Have the names in a folder outlive a power cut, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
