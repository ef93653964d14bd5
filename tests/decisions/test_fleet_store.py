"""The folder of a sweep: whole files only, nothing mixed in, one run at a time, and cells that no sheet computes.

Parquet is read back by pyarrow and pandas, general libraries, CSV by the standard library.
"""

from __future__ import annotations

import csv
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from enginelimits.decisions.fleet import forms, store
from enginelimits.decisions.fleet.forms import form_of
from enginelimits.decisions.fleet.lock import LOCK, locked
from enginelimits.decisions.fleet.row import JUDGED, LOST, columns
from enginelimits.decisions.fleet.store import ASIDE, Store
from enginelimits.errors import InputError

COLUMNS = columns(("air", "bottom-end"))
FORMS = ["csv", pytest.param("parquet", marks=pytest.mark.skipif(forms.find_spec("pyarrow") is None, reason="pyarrow"))]


def row(key: str, **more: Any) -> dict[str, Any]:
    return {column.name: None for column in COLUMNS} | {"key": key, "status": JUDGED, "verdict": "note", **more}


def opened(folder: Path, keys: str, form: str = "csv") -> Store:
    return Store(folder, form_of(form), COLUMNS, list(keys))


@pytest.mark.parametrize("form", FORMS)
def test_rows_come_back_as_they_were(tmp_path: Path, form: str) -> None:
    one = row("a", case="=1+1", sentence="'quoted", complete=False, crank_power_w=-1.5, findings_note=3,
              warnings=["x, y", "+z"], error='two\nlines and a "word"', grade_bottom_end="caution")
    kept = opened(tmp_path, "ab", form)
    kept.add(one)
    kept.add(row("b", complete=True))
    kept.flush()
    back = opened(tmp_path, "ab", form).rows([c.name for c in COLUMNS])
    assert back == [one, row("b", complete=True)]


def test_no_cell_of_a_sheet_is_a_formula(tmp_path: Path) -> None:
    # what spreadsheets take for a formula: common practice (a leading = + - @, tab or carriage return)
    texts = ["=HYPERLINK(1)", "+1", "-1", "@x", "\tx", "\rx", "plain"]
    kept = opened(tmp_path, "a")
    kept.add(row("a", warnings=texts[:1], **dict(zip(("case", "file", "edits", "error", "sentence", "limit_title"),
                                                     texts[1:], strict=True)), crank_power_w=-2.0))
    kept.flush()
    with next(tmp_path.glob("*.csv")).open(newline="", encoding="utf-8") as stream:
        found = next(csv.DictReader(stream))
    assert not any(cell.startswith(("=", "+", "@", "\t", "\r")) for cell in found.values())
    assert [name for name, cell in found.items() if cell.startswith("-")] == ["crank_power_w"]
    assert found["limit_title"] == "plain" and found["case"] == "'+1"


def test_parquet_carries_units_and_the_caution(tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    pandas = pytest.importorskip("pandas")
    kept = opened(tmp_path, "a", "parquet")
    kept.add(row("a", crank_power_w=1.5e5))
    kept.flush()
    schema = parquet.read_schema(next(tmp_path.glob("*.parquet")))
    assert schema.field("crank_power_w").metadata[b"unit"] == b"W"
    assert schema.field("exhaust_temperature_high_k").metadata[b"unit"] == b"K"
    assert schema.field("margin_bottom_end").metadata[b"unit"] == b"1"
    assert b"not a measurement" in schema.metadata[b"caution"]
    # the folder as a whole is what a reader of tables opens
    assert pandas.read_parquet(tmp_path)["crank_power_w"].tolist() == [1.5e5]


def test_a_part_is_written_when_it_is_full_or_due(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "ROWS_A_PART", 2)
    kept = opened(tmp_path, "abcd")
    for key, files in (("a", 0), ("b", 1), ("c", 1)):
        kept.add(row(key))
        assert len([*tmp_path.glob("part-*.csv")]) == files
    monkeypatch.setattr(store, "SECONDS_A_PART", 0.0)
    kept.flush_if_due()
    assert len([*tmp_path.glob("part-*.csv")]) == 2
    kept.add(row("d"))
    kept.made_whole()
    assert [p.name for p in tmp_path.iterdir()] == ["results.csv"]
    assert [r["key"] for r in opened(tmp_path, "dcba").rows(["key"])] == list("dcba")


def test_what_is_not_whole_is_no_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    kept = opened(tmp_path, "ab")
    kept.add(row("a"))
    kept.flush()
    kept.add(row("b"))
    with monkeypatch.context() as patched:
        patched.setattr(store.os, "fsync", full)
        with pytest.raises(OSError, match="No space"):
            kept.flush()
    assert [p.name for p in tmp_path.glob("[!.]*")] == ["part-000001.csv"]
    again = opened(tmp_path, "ab")
    assert again.done == {"a"} and not [*tmp_path.glob(".unfinished*")]


def test_rows_of_others_are_put_aside(tmp_path: Path) -> None:
    kept = opened(tmp_path, "abc")
    for each in (row("a"), row("b", status=LOST, verdict=None), row("c")):
        kept.add(each)
    kept.flush()
    # b was lost and is to be tried again; c is asked for no more
    again = opened(tmp_path, "abd")
    assert again.done == {"a"} and again.put_aside == 2
    assert [r["key"] for r in again.rows(["status"])] == ["a"]
    assert [p.name for p in (tmp_path / ASIDE).iterdir()] == ["0001-part-000001.csv"]
    assert opened(tmp_path, "abd").put_aside == 0


def test_a_row_that_stands_twice_counts_once(tmp_path: Path) -> None:
    # as after a run that was killed while it made one file of its parts
    kept = opened(tmp_path, "ab")
    kept.add(row("a"))
    kept.flush()
    (tmp_path / "results.csv").write_bytes((tmp_path / "part-000001.csv").read_bytes())
    again = opened(tmp_path, "ab")
    assert again.done == {"a"} and again.put_aside == 1 and len(again.rows(["key"])) == 1


@pytest.mark.parametrize("form", FORMS)
def test_files_of_others_are_refused_and_left(tmp_path: Path, form: str) -> None:
    mine = tmp_path / f"accounts.{form}"
    mine.write_text("day,sum\n1,2\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"accounts.*holds rows of a sweep alone"):
        opened(tmp_path, "a", form)
    assert mine.read_text("utf-8") == "day,sum\n1,2\n"


def test_forms_are_not_mixed(tmp_path: Path) -> None:
    pytest.importorskip("pyarrow")
    kept = opened(tmp_path, "a")
    kept.add(row("a"))
    kept.flush()
    with pytest.raises(InputError, match="--csv or not"):
        opened(tmp_path, "a", "parquet")


def test_without_pyarrow_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forms, "find_spec", lambda name: None)
    with pytest.raises(InputError, match=r"engine-limits\[fleet\].*--csv"):
        form_of("parquet")
    assert form_of("csv").ending == ".csv"


def test_two_runs_do_not_share_a_folder(tmp_path: Path) -> None:
    hold = ("import sys, time; from pathlib import Path; from enginelimits.decisions.fleet.lock import locked\n"
            "with locked(Path(sys.argv[1])):\n    print('held', flush=True); time.sleep(60)")
    with subprocess.Popen([sys.executable, "-c", hold, str(tmp_path)], stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        with pytest.raises(InputError, match=f"process {other.pid} on"), locked(tmp_path):
            pass
        # a run that is dead holds nothing, whatever its file still says
        os.kill(other.pid, signal.SIGKILL)
        other.wait(10)
        assert f"process {other.pid}" in (tmp_path / LOCK).read_text("utf-8")
        deadline = time.monotonic() + 10
        while True:
            try:
                with locked(tmp_path):
                    break
            except InputError:
                assert time.monotonic() < deadline
                time.sleep(0.05)
