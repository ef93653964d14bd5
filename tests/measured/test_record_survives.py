"""What was acknowledged is there after the process, or the server, was killed."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from record_by_hand import draft, in_file, kept
from record_databases import Server, postgres  # noqa: F401  (a fixture)

from enginelimits.measured.record import Record
from enginelimits.measured.record_place import RecordPlace

ROUNDS = 5
# Large quotes, so that a write takes long enough to be hit in its middle.
WRITER = """
import sys
from pathlib import Path
from record_by_hand import draft, margin
from enginelimits.measured.record import Record, signed
from enginelimits.measured.record_place import RecordPlace
record = Record(RecordPlace(Path(sys.argv[1])))
large = draft("caution", *[margin(float(n)) for n in range(400)], text="x" * 2_000_000)
while True:
    print(record.add_quote(large, signed(author="killed")), flush=True)
"""


def test_a_killed_writer_loses_nothing_it_acknowledged(tmp_path: Path) -> None:
    place = in_file(tmp_path)
    delays = random.Random(20261125)
    acknowledged: list[str] = []
    for _ in range(ROUNDS):
        line = [sys.executable, "-c", WRITER, str(place.path)]
        writer = subprocess.Popen(line, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parent)
        assert writer.stdout is not None
        acknowledged.append(writer.stdout.readline().strip())
        time.sleep(delays.uniform(0.0, 0.12))
        writer.send_signal(signal.SIGKILL)
        # Only whole lines were acknowledged.
        acknowledged += [row.strip() for row in writer.stdout.read().splitlines(keepends=True) if row.endswith("\n")]
        assert writer.wait() == -signal.SIGKILL
        writer.stdout.close()
        rows = {row.id for row in Record(place).quotes()}
        assert set(acknowledged) <= rows
        # At most the last write of each round ended without its word; numbers have no holes.
        assert len(rows) <= len(acknowledged) + ROUNDS
        connection = sqlite3.connect(str(place.path))
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        connection.close()
    assert len(acknowledged) >= ROUNDS
    last = Record(place).quote(acknowledged[-1])
    assert len(last.build.text) == 2_000_000 and len(last.margins) == 400


def test_a_write_cut_short_is_rolled_back_by_the_next_reader(tmp_path: Path) -> None:
    place = in_file(tmp_path)
    kept(Record(place), draft())
    # A writer that spills half of a transaction into the file, and dies with the journal beside it.
    dying = """
import os, sqlite3, sys
c = sqlite3.connect(sys.argv[1], isolation_level=None)
c.execute("PRAGMA cache_size = 5"); c.execute("PRAGMA cache_spill = 5"); c.execute("BEGIN IMMEDIATE")
for n in range(2000):
    c.execute("INSERT INTO record_files VALUES (1, ?, 'x', 'x', 'x', ?)", (n + 10, "y" * 900))
os.kill(os.getpid(), 9)
"""
    subprocess.run([sys.executable, "-c", dying, str(place.path)], check=False)
    assert place.path is not None and place.path.with_name("record.sqlite-journal").stat().st_size > 0
    whole = Record(place).quote("Q-0001")
    assert len(whole.files) == 1
    assert kept(Record(place), draft()) == "Q-0002"


def test_a_server_that_is_killed_loses_nothing_it_acknowledged(postgres: Server) -> None:  # noqa: F811
    place = RecordPlace(url=postgres.new_database())
    ids = [kept(Record(place), draft(text="x" * 100_000)) for _ in range(5)]
    # Immediate: the server's processes end without a word to the disk.
    postgres.stop("immediate")
    postgres.start()
    assert [row.id for row in Record(place).quotes()] == ids


@pytest.mark.slow
def test_many_rounds_of_killing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(f"{__name__}.ROUNDS", 60)
    test_a_killed_writer_loses_nothing_it_acknowledged(tmp_path)
