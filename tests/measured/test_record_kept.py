"""What goes into the record comes out of it as it was, in a file and on PostgreSQL alike."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest
import sqlalchemy as sql
from record_by_hand import WORDS, draft, in_file, kept, margin
from record_databases import postgres  # noqa: F401  (a fixture)

from enginelimits.errors import InputError
from enginelimits.measured.record import Record, chosen, outcome_draft, pull_draft, signed
from enginelimits.measured.record_model import PullDraft, id_of, number_of
from enginelimits.measured.record_place import RecordPlace

Opened = Callable[[], Record]


@pytest.fixture(params=["file", "postgres"])
def opened(request: pytest.FixtureRequest, tmp_path: Path) -> Opened:
    """Opens one and the same new record, again and again."""
    if request.param == "file":
        place = in_file(tmp_path)
    else:
        place = RecordPlace(url=request.getfixturevalue("postgres").new_database())
    return lambda: Record(place)


def test_a_quote_comes_back_as_it_was_kept(opened: Opened) -> None:
    given = draft("reinforce", margin(120.0), margin(0.5, rule="ROD001", limit=1.0), text="build: ü\n# 漢字\n")
    id_ = opened().add_quote(given, signed(author="A. Builder", note="first"))
    whole = opened().quote(id_)
    assert id_ == "Q-0001"
    assert whole.shown == given.shown and whole.shown.words == WORDS
    assert (whole.files, whole.margins) == (given.files, given.margins)
    assert (whole.row.findings, whole.row.layers, whole.row.summary) == (given.findings, given.layers, given.summary)
    assert (whole.row.signed.author, whole.row.signed.note) == ("A. Builder", "first")
    assert whole.row.outcome == "" and whole.row.distance_m is None


def test_a_row_says_who_when_in_utc_and_as_of_which_day(opened: Opened) -> None:
    id_ = opened().add_quote(draft(), signed(author="tester", as_of=date(2026, 3, 1)))
    row = opened().quote(id_).row.signed
    assert row.as_of == "2026-03-01" and row.written_at.endswith("Z") and len(row.written_at) == 20
    assert row.tool


def test_outcomes_over_time_leave_the_gravest_standing(opened: Opened) -> None:
    record = opened()
    id_ = kept(record, draft(), "held", distance_m=3e6)
    for outcome, part, distance in (("knocked", "", 4e6), ("broke", "rods", 5e6), ("held", "", 6e6)):
        given = outcome_draft(id_, outcome, part=part, distance_m=distance, at=date(2026, 2, 1))
        record.add_outcome(given, signed(author="tester"))
    (row,) = opened().quotes()
    assert [o.id for o in row.outcomes] == ["O-0001", "O-0002", "O-0003", "O-0004"]
    # An engine that broke ran as far as that, whatever was noted of it later.
    assert (row.outcome, row.distance_m) == ("broke", 5e6)


def test_a_correction_stands_and_what_it_corrects_stays_readable(opened: Opened) -> None:
    record = opened()
    first = kept(record, draft("caution"), "held", distance_m=1e6)
    second = record.add_quote(draft("reinforce"), signed(author="tester", corrects=1))
    (row,) = opened().quotes()
    assert (row.id, row.grade, row.earlier) == (second, "reinforce", (1,))
    assert [o.kept.outcome for o in row.outcomes] == ["held"]
    before = opened().quote(first)
    assert (before.row.grade, before.replaced_by) == ("caution", second)


def test_one_row_is_corrected_once(opened: Opened) -> None:
    record = opened()
    kept(record, draft())
    record.add_quote(draft(), signed(author="tester", corrects=1))
    with pytest.raises(InputError, match="corrected by Q-0002"):
        record.add_quote(draft(), signed(author="tester", corrects=1))
    with pytest.raises(InputError, match="got Q-0009"):
        record.add_quote(draft(), signed(author="tester", corrects=9))
    assert len(opened().quotes()) == 1


def test_an_outcome_can_be_taken_back_or_moved_to_another_quote(opened: Opened) -> None:
    record = opened()
    kept(record, draft(), "broke", part="rods")
    kept(record, draft())
    moved = outcome_draft("Q-0002", "broke", part="pistons", at=date(2026, 2, 1))
    record.add_outcome(moved, signed(author="tester", corrects=1))
    assert [row.outcome for row in record.quotes()] == ["", "broke"]
    gone = outcome_draft("Q-0002", "withdrawn", correcting=True)
    record.add_outcome(gone, signed(author="tester", corrects=2, note="another car"))
    assert [row.outcome for row in opened().quotes()] == ["", ""]


def test_a_pull_is_kept_with_its_digest_and_data(opened: Opened, tmp_path: Path) -> None:
    record = opened()
    id_ = kept(record, draft())
    log, data = tmp_path / "pull.csv", tmp_path / "pull.json"
    log.write_bytes(b"abc")
    data.write_text(json.dumps({"schema": "enginelimits.pull/1", "power": 1.5e5}))
    for path in (log, data):
        record.add_pull(pull_draft(id_, path), signed(author="tester"))
    first, second = opened().quotes()[0].pulls
    # FIPS 180-4's own example: the SHA-256 of "abc".
    assert first.kept == PullDraft(1, "pull.csv", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
                                   None)
    assert second.kept.data == {"schema": "enginelimits.pull/1", "power": 1.5e5}


def test_nothing_is_changed_or_deleted_even_by_hand(opened: Opened) -> None:
    record = opened()
    kept(record, draft("decline", margin(1.0)), "broke", part="rods")
    for words in (
        "UPDATE record_quotes SET grade = 'clear'", "DELETE FROM record_outcomes", "DELETE FROM record_margins",
        "UPDATE record_schema SET version = 0",
    ):  # fmt: skip
        with pytest.raises(InputError, match="only added to"), record._store.writing() as connection:
            connection.exec_driver_sql(words)
    assert (opened().quotes()[0].grade, opened().quotes()[0].outcome) == ("decline", "broke")


def test_an_error_within_a_transaction_leaves_nothing(opened: Opened) -> None:
    record = opened()
    kept(record, draft())
    # The quote and its first margin are written before the second one fails.
    unfit = draft("caution", margin(1.0), margin(1.0, unit=None))
    with pytest.raises(InputError):
        record.add_quote(unfit, signed(author="tester"))
    assert [row.id for row in opened().quotes()] == ["Q-0001"]
    assert kept(record, draft()) == "Q-0002"


def test_a_pull_or_outcome_of_no_quote_is_refused(opened: Opened) -> None:
    record = opened()
    kept(record, draft())
    with pytest.raises(InputError, match="got Q-0002"):
        record.add_outcome(outcome_draft("Q-0002", "held"), signed(author="tester"))


def test_filters_choose(opened: Opened) -> None:
    record = opened()
    kept(record, draft("caution"), "held")
    kept(record, draft("decline"), "broke", part="clutch")
    record.add_quote(draft("clear", engine="other"), signed(author="tester", as_of=date(2020, 1, 1)))
    rows = opened().quotes()

    def ids(**wanted: object) -> list[str]:
        return [row.id for row in chosen(rows, **wanted)]  # type: ignore[arg-type]

    assert ids(grade="decline") == ["Q-0002"] and ids(outcome="held") == ["Q-0001"]
    assert ids(outcome="none") == ["Q-0003"] and ids(since=date(2021, 1, 1)) == ["Q-0001", "Q-0002"]
    assert ids(family="rods") == ["Q-0001", "Q-0002"] and ids(family="fuel") == []
    assert ids(engine="other") == ["Q-0003"]


WRITER = """
import sys
from record_by_hand import draft
from enginelimits.measured.record import Record, signed
from enginelimits.measured.record_place import RecordPlace
place = RecordPlace(url=sys.argv[1]) if "://" in sys.argv[1] else RecordPlace(__import__("pathlib").Path(sys.argv[1]))
for n in range(int(sys.argv[3])):
    print(Record(place).add_quote(draft(text=f"build: {sys.argv[2]} {n}\\n"), signed(author=sys.argv[2])), flush=True)
"""


def test_two_writers_at_once_lose_nothing(opened: Opened) -> None:
    place = opened()._store.place
    address = str(place.path) if place.path is not None else place.url

    def write(name: str) -> list[str]:
        line = [sys.executable, "-c", WRITER, address, name, "12"]
        told = subprocess.run(line, capture_output=True, text=True, timeout=120, cwd=Path(__file__).parent)
        assert told.returncode == 0, told.stderr
        return told.stdout.split()

    # The record does not exist yet: they also meet in making it.
    with ThreadPoolExecutor() as pool:
        first, second = pool.map(write, ("one", "other"))
    rows = opened().quotes()
    assert sorted(first + second) == [row.id for row in rows] == [id_of("quote", n) for n in range(1, 25)]
    assert {row.signed.author for row in rows if row.id in first} == {"one"}


def test_the_tables_carry_the_version_of_their_shape(opened: Opened) -> None:
    record = opened()
    kept(record, draft())
    with record._store.reading() as connection:
        assert connection.execute(sql.text("SELECT version FROM record_schema")).all() == [(1,)]


@pytest.mark.parametrize(("text", "number"), [
    ("Q-0001", 1), ("q1", 1), ("Q-12345", 12345), ("Q-0", None), ("O-1", None), ("1", None), ("Q-1x", None),
])  # fmt: skip
def test_ids_are_short_and_forgiving(text: str, number: int | None) -> None:
    assert number_of("quote", text) == number
