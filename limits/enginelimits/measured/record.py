"""The shop's record: what was quoted, what the verdict then said, and what became of the engine.

Rows are only added.  A correction is a new row that names the one it corrects; what was corrected stays readable.
"""

from __future__ import annotations

import getpass
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.errors import InputError, Problem
from enginelimits.measured.record_model import (
    BROKE,
    OUTCOMES,
    PART_FAMILIES,
    WITHDRAWN,
    KeptFile,
    KeptFinding,
    KeptLayer,
    KeptMargin,
    OutcomeDraft,
    OutcomeRow,
    PullDraft,
    PullRow,
    QuoteDraft,
    QuoteRow,
    QuoteWhole,
    Shown,
    Signed,
    id_of,
    number_of,
)
from enginelimits.measured.record_place import RecordPlace
from enginelimits.measured.record_store import Store, now

if TYPE_CHECKING:
    from sqlalchemy import Connection, Row, Table

LONGEST = {"--author": 80, "--customer-reference": 60, "--note": 2000}
# What `pull` writes is a tenth of it; JSON takes twenty times its size in memory
MOST_DATA = 8 * 2**20
GREATEST_LOG = 2**31


class Record:
    """A record that is open.  Every call is one transaction; what it returned is on the disk."""

    def __init__(self, place: RecordPlace) -> None:
        self._store = Store(place)

    @property
    def place(self) -> RecordPlace:
        """Where it is kept."""
        return self._store.place

    def add_quote(self, draft: QuoteDraft, signed: Signed) -> str:
        """Keep a judged build; returns its id, as Q-0001."""
        from enginelimits.measured import record_tables as tables

        with self._store.writing() as connection:
            number = _next(connection, tables.quotes)
            self._may_correct(connection, tables.quotes, "quote", signed.corrects)
            connection.execute(tables.quotes.insert(), {
                "number": number, **_signed_row(signed), "name": draft.name, "engine": draft.engine,
                "digest": draft.files[0].digest, "grade": draft.grade, "complete": draft.complete,
                "sentence": draft.sentence, "limiting": draft.limiting, "samples": draft.samples, "seed": draft.seed,
                "mountain_m": draft.mountain_m, "customer_reference": draft.customer_reference,
                "summary": _written(draft.summary), "shown_data": _written(draft.shown.data),
                "shown_words": draft.shown.words,
            })  # fmt: skip
            for table, kept in (
                (tables.files, draft.files), (tables.layers, draft.layers),
                (tables.findings, draft.findings), (tables.margins, draft.margins),
            ):  # fmt: skip
                _insert_all(connection, table, number, kept)
        return id_of("quote", number)

    def add_pull(self, draft: PullDraft, signed: Signed) -> str:
        """Keep a pull of a quoted engine; returns its id, as P-0001."""
        from enginelimits.measured import record_tables as tables

        with self._store.writing() as connection:
            _there(connection, tables.quotes, "quote", draft.quote)
            self._may_correct(connection, tables.pulls, "pull", signed.corrects)
            number = _next(connection, tables.pulls)
            connection.execute(tables.pulls.insert(), {
                "number": number, **_signed_row(signed), "quote": draft.quote, "file": draft.file, "size": draft.size,
                "digest": draft.digest, "data": None if draft.data is None else _written(draft.data),
            })  # fmt: skip
        return id_of("pull", number)

    def add_outcome(self, draft: OutcomeDraft, signed: Signed) -> str:
        """Keep what became of a quoted engine; returns its id, as O-0001."""
        from enginelimits.measured import record_tables as tables

        with self._store.writing() as connection:
            _there(connection, tables.quotes, "quote", draft.quote)
            self._may_correct(connection, tables.outcomes, "outcome", signed.corrects)
            number = _next(connection, tables.outcomes)
            row = {"number": number, **_signed_row(signed), **asdict(draft)}
            connection.execute(tables.outcomes.insert(), row)
        return id_of("outcome", number)

    def quotes(self) -> tuple[QuoteRow, ...]:
        """Every quote that stands, oldest first, with what was learnt since."""
        from enginelimits.measured import record_tables as tables

        with self._store.reading() as connection:
            corrected = _corrected(connection, tables)
            return tuple(row for row in _rows(connection, tables) if row.number not in corrected)

    def quote(self, id: str) -> QuoteWhole:
        """One quote with everything kept of it; InputError when there is none of that id."""
        from enginelimits.measured import record_tables as tables

        number = wanted_number("quote", id, "ID")
        with self._store.reading() as connection:
            _there(connection, tables.quotes, "quote", number, key="ID")
            row = next(row for row in _rows(connection, tables) if row.number == number)
            kept = connection.execute(tables.quotes.select().where(tables.quotes.c.number == number)).one()
            found = {
                table.name: connection.execute(
                    table.select().where(table.c.quote == number).order_by(table.c.place)
                ).all()
                for table in (tables.files, tables.margins)
            }
            later = _corrected(connection, tables).get(number)
        return QuoteWhole(
            row=row,
            shown=Shown(_read(kept.shown_data), kept.shown_words),
            files=tuple(KeptFile(f.role, f.name, f.digest, f.text) for f in found["record_files"]),
            margins=tuple(_margin(m) for m in found["record_margins"]),
            replaced_by=id_of("quote", later) if later is not None else "",
        )

    def margins(self) -> Mapping[int, tuple[KeptMargin, ...]]:
        """The margins of every quote, by its number."""
        from enginelimits.measured import record_tables as tables

        with self._store.reading() as connection:
            found: dict[int, list[KeptMargin]] = {}
            order = (tables.margins.c.quote, tables.margins.c.place)
            for row in connection.execute(tables.margins.select().order_by(*order)):
                found.setdefault(row.quote, []).append(_margin(row))
        return {number: tuple(kept) for number, kept in found.items()}

    def _may_correct(self, connection: Connection, table: Table, kind: str, number: int | None) -> None:
        """InputError unless the row to be corrected is there and is not corrected yet."""
        if number is None:
            return
        import sqlalchemy as sql

        _there(connection, table, kind, number, key="--corrects")
        later = connection.execute(sql.select(table.c.number).where(table.c.corrects == number)).scalar()
        if later is not None:
            raise _problem(f"the row that stands in place of {id_of(kind, number)}", id_of(kind, number),
                           f"It was corrected by {id_of(kind, later)}: correct that one.", "--corrects")


def signed(
    *, author: str | None = None, note: str = "", as_of: date | None = None, corrects: int | None = None
) -> Signed:
    """Who writes and when.  The author is the one named, else whoever is logged in; InputError without either."""
    if author is None:
        try:
            author = getpass.getuser()
        except (OSError, KeyError, ImportError):
            raise _problem("who writes", "nobody logged in", "Name an author.", "--author") from None
    who = short_text(author, "--author")
    if not who:
        raise _problem("who writes", "nothing", "Name an author.", "--author")
    # The day of the place, as a verdict has it.
    day = (as_of or date.today()).isoformat()
    return Signed(who, now(), day, __version__, short_text(note, "--note"), corrects)


def short_text(text: str, key: str) -> str:
    """A text of the user's without blanks around it; InputError where it is too long or cannot be kept."""
    text = text.strip()
    if len(text) > LONGEST[key]:
        raise _problem(f"at most {LONGEST[key]} characters", f"{len(text)}", key=key)
    if any(not c.isprintable() and c != "\n" for c in text):
        raise _problem("a text that can be printed", "one with control characters", key=key)
    return text


def outcome_draft(
    quote: str, outcome: str, *, part: str = "", at: date | None = None, distance_m: float | None = None,
    as_of: date | None = None, correcting: bool = False,
) -> OutcomeDraft:  # fmt: skip
    """What became of an engine, looked through; InputError for what cannot be."""
    words = (*OUTCOMES, WITHDRAWN) if correcting else OUTCOMES
    if outcome not in words:
        mend = f"{WITHDRAWN} only takes back an outcome named by --corrects." if outcome == WITHDRAWN else ""
        raise _problem(f"one of {', '.join(words)}", repr(outcome), mend, "OUTCOME")
    if part and outcome != BROKE:
        raise _problem("a part only with broke", f"{outcome} {part}", key="--part")
    if outcome == BROKE and part not in PART_FAMILIES:
        from difflib import get_close_matches

        near = tuple(get_close_matches(part, PART_FAMILIES, n=3))
        mend = f"Known: {', '.join(PART_FAMILIES)}."
        raise InputError([Problem("the part that broke", repr(part) if part else "none", mend, "--part",
                                  "command line", near=near)])
    today = as_of or date.today()
    day = at or today
    if day > today:
        raise _problem("a day that has come", day.isoformat(), key="--at")
    if distance_m is not None and not 0.0 <= distance_m <= 5e9:
        raise _problem("a distance from 0 to 5 million km", f"{distance_m / 1000:g} km", key="--distance")
    return OutcomeDraft(wanted_number("quote", quote, "ID"), outcome, part, day.isoformat(), distance_m)


def pull_draft(quote: str, path: Path, data: Mapping[str, Any] | None = None) -> PullDraft:
    """What is kept of a log, or of the data that the command ``pull`` wrote; InputError where it cannot be read.

    ``data`` is what was read of the log, where the caller knows it.
    """
    try:
        size = path.stat().st_size
        if not path.is_file() or size > GREATEST_LOG:
            raise _problem("a log file of at most 2 GiB", f"{path}", key="--pull")
        with path.open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
        read = data if data is not None else _pull_data(path, size)
    except OSError as error:
        raise _problem("a log file that can be read", f"{path}: {error.strerror or error}", key="--pull") from None
    name = path.name.encode("utf-8", "replace").decode()
    return PullDraft(wanted_number("quote", quote, "--quote"), name, size, digest, None if read is None else dict(read))


def _pull_data(path: Path, size: int) -> dict[str, Any] | None:
    """The data of a pull when the file holds that; None for a log."""
    if size > MOST_DATA:
        return None
    with path.open("rb") as stream:
        if not stream.read(64).lstrip().startswith(b"{"):
            return None
    try:
        read = json.loads(path.read_text(encoding="utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None
    schema = read.get("schema") if isinstance(read, dict) else None
    if not (isinstance(schema, str) and schema.startswith("enginelimits.pull")):
        wanted = "a log, or what `pull --format json` wrote"
        raise _problem(wanted, f"JSON with the schema {str(schema)[:40]!r}", key="--pull")
    return dict(read)


def _no_number(word: str) -> float:
    """JSON has no NaN and no infinity (RFC 8259), and the record keeps none."""
    raise ValueError(word)


def wanted_number(kind: str, id: str, key: str) -> int:
    """The number that an id names; InputError for anything else."""
    number = number_of(kind, id)
    if number is None:
        raise _problem(f"the id of {'an' if kind == 'outcome' else 'a'} {kind}, as {id_of(kind, 1)}", repr(id[:40]),
                       "`record list` shows them.", key)
    return number


def _problem(wanted: str, got: str = "", mend: str = "", key: str = "") -> InputError:
    return InputError([Problem(wanted, got, mend, key, "command line")])


def _next(connection: Connection, table: Table) -> int:
    import sqlalchemy as sql

    last = connection.execute(sql.select(sql.func.max(table.c.number))).scalar()
    return (last or 0) + 1


def _there(connection: Connection, table: Table, kind: str, number: int, key: str = "--quote") -> None:
    import sqlalchemy as sql

    if connection.execute(sql.select(table.c.number).where(table.c.number == number)).scalar() is None:
        raise _problem(f"the id of a {kind} in the record", id_of(kind, number), "`record list` shows them.", key)


def _insert_all(connection: Connection, table: Table, quote: int, kept: Iterable[Any]) -> None:
    names = {"limit": "limit_value"}
    rows = [
        {"quote": quote, "place": place, **{names.get(k, k): v for k, v in asdict(one).items()}}
        for place, one in enumerate(kept)
    ]
    if rows:
        connection.execute(table.insert(), rows)


def _signed_row(signed: Signed) -> dict[str, Any]:
    return {"author": signed.author, "written_at": signed.written_at, "as_of": signed.as_of, "tool": signed.tool,
            "note": signed.note, "corrects": signed.corrects}


def _signed(row: Row[Any]) -> Signed:
    return Signed(row.author, row.written_at, row.as_of, row.tool, row.note, row.corrects)


def _margin(row: Row[Any]) -> KeptMargin:
    return KeptMargin(row.rule, row.title, row.family, row.grade, row.quantity, row.unit, row.value, row.limit_value,
                      row.limit_name, row.ratio)


def _written(data: Any) -> str:
    return json.dumps(data, ensure_ascii=True, allow_nan=False)


def _read(text: str) -> dict[str, Any]:
    try:
        return dict(json.loads(text))
    except ValueError:
        raise InputError([Problem("data of the record", "text that is damaged", file="record")]) from None


def _corrected(connection: Connection, tables: Any) -> dict[int, int]:
    """By quote that was corrected, the one that corrects it."""
    import sqlalchemy as sql

    table = tables.quotes
    pairs = connection.execute(sql.select(table.c.corrects, table.c.number).where(table.c.corrects.is_not(None)))
    return {int(corrected): int(number) for corrected, number in pairs}


def _rows(connection: Connection, tables: Any) -> list[QuoteRow]:
    """Every quote, corrected ones too, with what was learnt of it or of any that it corrects or that corrects it."""
    import sqlalchemy as sql

    quotes = tables.quotes
    columns = [c for c in quotes.c if c.name not in ("shown_data", "shown_words")]
    rows = connection.execute(sql.select(*columns).order_by(quotes.c.number)).all()
    line: dict[int, int] = {}
    for row in rows:
        # A correction has a greater number than what it corrects, so the first of its line is known already.
        line[row.number] = line.get(row.corrects, row.number)
    layers = _by_quote(connection, tables.layers)
    findings = _by_quote(connection, tables.findings)
    outcomes = [
        OutcomeRow(o.number, OutcomeDraft(o.quote, o.outcome, o.part, o.happened_on, o.distance_m), _signed(o))
        for o in _standing(connection, tables.outcomes) if o.outcome != WITHDRAWN
    ]
    pulls = [
        PullRow(p.number, PullDraft(p.quote, p.file, p.size, p.digest, _read(p.data) if p.data else None), _signed(p))
        for p in _standing(connection, tables.pulls)
    ]
    return [
        QuoteRow(
            row.number, _signed(row), row.name, row.engine, row.digest, row.grade, row.complete, row.sentence,
            row.limiting, row.samples, row.seed, row.mountain_m, row.customer_reference, _read(row.summary),
            tuple(KeptLayer(x.name, x.version, x.digest) for x in layers.get(row.number, ())),
            tuple(KeptFinding(x.rule, x.title, x.family, x.grade, x.chance) for x in findings.get(row.number, ())),
            tuple(o for o in outcomes if line[o.kept.quote] == line[row.number]),
            tuple(p for p in pulls if line[p.kept.quote] == line[row.number]),
            tuple(n for n in line if line[n] == line[row.number] and n < row.number),
        )
        for row in rows
    ]  # fmt: skip


def _by_quote(connection: Connection, table: Table) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = {}
    for row in connection.execute(table.select().order_by(table.c.quote, table.c.place)):
        found.setdefault(row.quote, []).append(row)
    return found


def _standing(connection: Connection, table: Table) -> Sequence[Any]:
    """The rows that no other corrects, in the order they were written."""
    rows = connection.execute(table.select().order_by(table.c.number)).all()
    corrected = {row.corrects for row in rows if row.corrects is not None}
    return [row for row in rows if row.number not in corrected]


def chosen(
    quotes: Iterable[QuoteRow], *, since: date | None = None, grade: str | None = None, outcome: str | None = None,
    family: str | None = None, engine: str | None = None,
) -> tuple[QuoteRow, ...]:  # fmt: skip
    """The quotes that fit every filter; the outcome ``none`` means that nothing is known yet."""
    return tuple(
        row for row in quotes
        if (since is None or row.signed.as_of >= since.isoformat())
        and grade in (None, row.grade)
        and outcome in (None, row.outcome or "none")
        and (family is None or any(f.family == family and f.grade != "clear" for f in row.findings))
        and engine in (None, row.engine)
    )


def with_reference(draft: QuoteDraft, reference: str) -> QuoteDraft:
    """The draft under a reference of the customer's."""
    return replace(draft, customer_reference=short_text(reference, "--customer-reference"))
