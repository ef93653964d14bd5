"""Rows as the bytes of one file and back: Parquet, or CSV where pyarrow is not installed."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Protocol

from enginelimits.decisions.fleet.row import Column, Row
from enginelimits.errors import InputError, Problem

FORM = "enginelimits.sweep/1"
CAUTION = ("Estimates for trained people, not a measurement, certificate or inspection; licensed builders and local "
           "law have the last word. Chance is of crossing a limit, not of breakage.")
# How a spreadsheet takes a cell for a formula
FORMULA = ("=", "+", "-", "@", "\t", "\r")
# Between texts of one cell
BETWEEN = " | "


class Form(Protocol):
    """A way to write rows; ``ending`` is that of its files."""

    ending: str

    def written(self, rows: Sequence[Row], columns: Sequence[Column]) -> bytes:
        """The rows as the bytes of a file."""

    def read(self, path: Path, names: Sequence[str], columns: Sequence[Column]) -> list[dict[str, Any]]:
        """Of each row in a file the columns named; InputError for a file that is none of ours."""


def form_of(name: str) -> Form:
    """Parquet or CSV by name.  Raises InputError where it takes what is not installed."""
    if name == "csv":
        return Csv()
    if find_spec("pyarrow") is None:
        mend = "Install the extra: pip install 'engine-limits[fleet]', or write CSV with --csv."
        raise InputError([Problem("pyarrow, to write Parquet", "not installed", mend, "--into", "command line")])
    return Parquet()


class Parquet:
    """Parquet by pyarrow: units and meanings stand in the columns' metadata."""

    ending = ".parquet"

    def written(self, rows: Sequence[Row], columns: Sequence[Column]) -> bytes:
        """The rows as a Parquet file."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        types = {"text": pa.string(), "number": pa.float64(), "whole": pa.int64(), "yes-no": pa.bool_(),
                 "texts": pa.list_(pa.string())}
        fields = [pa.field(c.name, types[c.kind], metadata={"unit": c.unit, "says": c.says}) for c in columns]
        schema = pa.schema(fields, metadata={"form": FORM, "caution": CAUTION})
        sink = io.BytesIO()
        pq.write_table(pa.Table.from_pylist([dict(row) for row in rows], schema=schema), sink)
        return sink.getvalue()

    def read(self, path: Path, names: Sequence[str], columns: Sequence[Column]) -> list[dict[str, Any]]:
        """The rows of a Parquet file of ours."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        try:
            with pq.ParquetFile(path) as file:
                if (file.schema_arrow.metadata or {}).get(b"form") != FORM.encode():
                    raise InputError([_stranger(path, "another Parquet file")])
                there = [name for name in names if name in file.schema_arrow.names]
                rows: list[dict[str, Any]] = file.read(columns=there).to_pylist()
        except (pa.ArrowException, OSError) as error:
            raise InputError([_stranger(path, " ".join(str(error).split())[:200])]) from None
        return rows


class Csv:
    """CSV in UTF-8, for spreadsheets: no text in it is taken for a formula."""

    ending = ".csv"

    def written(self, rows: Sequence[Row], columns: Sequence[Column]) -> bytes:
        """The rows as a CSV file with a heading."""
        out = io.StringIO(newline="")
        writer = csv.writer(out)
        writer.writerow([c.name for c in columns])
        writer.writerows([[_cell(row.get(c.name), c) for c in columns] for row in rows])
        return out.getvalue().encode("utf-8")

    def read(self, path: Path, names: Sequence[str], columns: Sequence[Column]) -> list[dict[str, Any]]:
        """The rows of a CSV file of ours."""
        known = {c.name: c for c in columns}
        try:
            with path.open(encoding="utf-8", newline="") as stream:
                reader = csv.DictReader(stream)
                if not {"key", "status", "verdict"} <= set(reader.fieldnames or ()):
                    raise InputError([_stranger(path, "another CSV file")])
                wanted = [name for name in names if name in (reader.fieldnames or ())]
                return [{name: _value(row[name], known.get(name)) for name in wanted} for row in reader]
        except (OSError, ValueError, csv.Error) as error:
            raise InputError([_stranger(path, str(error)[:200])]) from None


def _cell(value: Any, column: Column) -> str:
    if value is None:
        return ""
    if column.kind == "yes-no":
        return "yes" if value else "no"
    if column.kind in ("number", "whole"):
        return repr(value)
    text = BETWEEN.join(value) if column.kind == "texts" else str(value)
    # An apostrophe of the text's own is doubled, so that reading takes off exactly what writing put on.
    return f"'{text}" if text.startswith((*FORMULA, "'")) else text


def _value(text: str | None, column: Column | None) -> Any:
    if not text:
        return None
    kind = column.kind if column is not None else "text"
    if kind == "yes-no":
        return text == "yes"
    if kind in ("number", "whole"):
        return float(text) if kind == "number" else int(text)
    text = text.removeprefix("'")
    return text.split(BETWEEN) if kind == "texts" else text


def _stranger(path: Path, got: str) -> Problem:
    mend = "Move it away, or name another folder; nothing was changed."
    return Problem("a folder that holds rows of a sweep alone", got, mend, file=str(path))
