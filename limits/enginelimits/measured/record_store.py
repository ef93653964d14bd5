"""Opening the shop's record, one transaction at a time, with every failure in words."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from types import ModuleType
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.errors import InputError, Problem
from enginelimits.measured.record_place import HIDDEN, RecordPlace, without_password

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

# How long a writer waits for another one. [s]
PATIENCE_S = 30.0
CONNECT_S = 10
# Any number that nobody else is likely to lock in a shared database.
_LOCK = 0x656E67696E65
_DRIVERS = {"postgresql": "postgresql+psycopg", "postgres": "postgresql+psycopg"}
_SQLITE_WORDS: Mapping[int, tuple[str, str, str]] = {
    sqlite3.SQLITE_NOTADB: ("a record", "a file that is no SQLite database", "Name another file; nothing was written."),
    sqlite3.SQLITE_CORRUPT: ("a record", "a damaged database", "Put back the last copy; nothing was written."),
    sqlite3.SQLITE_FULL: ("room to write", "a full disk", "Make room and try again; what was acknowledged is kept."),
    sqlite3.SQLITE_READONLY: ("a record that can be written", "one that may only be read",
                              "Check who may write the file and its folder; nothing was written."),
    sqlite3.SQLITE_CANTOPEN: ("a record that can be opened", "a file that cannot be",
                              "Check the path, and who may write in its folder."),
    sqlite3.SQLITE_BUSY: ("a record that is free", f"one that another program held for {PATIENCE_S:.0f} s",
                          "Try again; nothing was written."),
    sqlite3.SQLITE_IOERR: ("a disk that reads and writes", "an error of it",
                           "Check the disk and its room; what was acknowledged is kept."),
}  # fmt: skip


def now() -> str:
    """The time in UTC, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _tables() -> ModuleType:
    """The tables, whose module needs SQLAlchemy; InputError where that is not installed."""
    try:
        from enginelimits.measured import record_tables
    except ModuleNotFoundError as error:
        if error.name != "sqlalchemy":
            raise
        mend = "Install it: pip install 'engine-limits[record]'."
        wanted = "SQLAlchemy, on which the record rests"
        raise InputError([Problem(wanted, "none installed", mend, file="record")]) from None
    return record_tables


class Store:
    """The database of a record.  A transaction that ended without an error is on the disk."""

    def __init__(self, place: RecordPlace) -> None:
        self.place = place
        self._wrong = _Wrong(place)
        _tables()
        self._reader = self._engine(writes=False)
        self._writer = self._engine(writes=True)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A look at the record as it is, brought up to date before if it is older; InputError where there is none."""
        if self.place.path is not None and not self.place.path.is_file():
            raise self._absent()
        with self._looking() as connection:
            version = self._version(connection)
        if version is None:
            raise self._absent()
        if version < _tables().SCHEMA:
            with self.writing():
                pass
        with self._looking() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction of the only writer; what it wrote stands when this ends without an error."""
        with self._wrong.told(), self._writer.connect() as connection, connection.begin():
            _only_writer(connection)
            self._brought_up_to_date(connection)
            yield connection

    @contextmanager
    def _looking(self) -> Iterator[Connection]:
        with self._wrong.told(), self._reader.connect() as connection, connection.begin():
            yield connection

    def _version(self, connection: Connection) -> int | None:
        """The version of the tables, None where there are none; InputError for what is not ours to touch."""
        import sqlalchemy as sql

        tables = _tables()
        seen = sql.inspect(connection)
        if not seen.has_table(tables.schema.name):
            if connection.dialect.name == "sqlite" and seen.get_table_names():
                raise self._wrong.of("a record, or a new file", "a database of something else",
                                     "Name another file; nothing was written.")
            return None
        version = connection.execute(sql.select(sql.func.max(tables.schema.c.version))).scalar()
        if version is None or version > tables.SCHEMA:
            raise self._wrong.of(f"a record of version {tables.SCHEMA} or older",
                                 f"version {version}" if version else "none named",
                                 "A newer enginelimits wrote it: update this one. Nothing was touched.")
        return int(version)

    def _brought_up_to_date(self, connection: Connection) -> None:
        tables = _tables()
        version = self._version(connection)
        if version is None:
            tables.made(connection)
            self._note(connection, tables.SCHEMA)
            return
        for step in range(version, tables.SCHEMA):
            tables.STEPS[step](connection)
            self._note(connection, step + 1)

    def _note(self, connection: Connection, version: int) -> None:
        row = {"version": version, "since": now(), "tool": __version__}
        connection.execute(_tables().schema.insert(), row)

    def _absent(self) -> InputError:
        return self._wrong.of("a record", "none there yet", "`record add BUILD` begins one.")

    def _engine(self, *, writes: bool) -> Engine:
        from sqlalchemy.pool import NullPool

        if self.place.path is not None:
            return self._file_engine(writes=writes)
        import sqlalchemy as sql

        try:
            url = sql.make_url(self.place.url)
        except (sql.exc.ArgumentError, ValueError):
            raise self._wrong.of("a file or the URL of a database", "neither",
                                 "As postgresql://user@host/database.") from None
        url = url.set(drivername=_DRIVERS.get(url.drivername, url.drivername))
        if url.get_backend_name() == "sqlite":
            raise self._wrong.of("a file for SQLite", "something else", "Give the path of the file alone.")
        options: dict[str, Any] = {"connect_timeout": CONNECT_S} if url.get_backend_name() == "postgresql" else {}
        try:
            return sql.create_engine(url, poolclass=NullPool, connect_args=options, hide_parameters=True)
        except sql.exc.NoSuchModuleError:
            raise self._wrong.of("a database that SQLAlchemy knows", url.drivername) from None
        except ModuleNotFoundError as error:
            package = "'engine-limits[postgres]'" if error.name == "psycopg" else error.name
            mend = f"Install it: pip install {package}."
            raise self._wrong.of(f"the driver {error.name}", "none installed", mend) from None

    def _file_engine(self, *, writes: bool) -> Engine:
        import sqlalchemy as sql
        from sqlalchemy.pool import NullPool

        assert self.place.path is not None
        # Without "c" a reader never leaves an empty file behind.
        address = f"{self.place.path.absolute().as_uri()}?mode={'rwc' if writes else 'rw'}"

        def connected() -> sqlite3.Connection:
            # No isolation level: sqlite3 itself then begins nothing, and our own BEGIN says what is meant.
            opened = sqlite3.connect(address, uri=True, timeout=PATIENCE_S, isolation_level=None)
            opened.execute("PRAGMA foreign_keys = ON")
            # A rollback journal, SQLite's default, keeps the record in one file that can be copied; EXTRA is FULL and
            # syncs the folder as well, so that no power cut brings back a journal of what was already acknowledged.
            opened.execute("PRAGMA synchronous = EXTRA")
            return opened

        engine = sql.create_engine("sqlite+pysqlite://", creator=connected, poolclass=NullPool, hide_parameters=True)
        begin = "BEGIN IMMEDIATE" if writes else "BEGIN"

        @sql.event.listens_for(engine, "begin")
        def _begun(connection: Connection) -> None:
            connection.exec_driver_sql(begin)

        return engine


def _only_writer(connection: Connection) -> None:
    """Wait until no other writer is at the record; SQLite has seen to it at BEGIN IMMEDIATE."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SET LOCAL lock_timeout = {PATIENCE_S * 1000:.0f}")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
        # The record outlives a crash of the server only where it waits for its own log.
        connection.exec_driver_sql("SET LOCAL synchronous_commit = on")


class _Wrong:
    """What went wrong with the record at a place, as an InputError."""

    def __init__(self, place: RecordPlace) -> None:
        self._place = place

    def of(self, wanted: str, got: str = "", mend: str = "") -> InputError:
        return InputError([Problem(wanted, got, mend, file=str(self._place))])

    @contextmanager
    def told(self) -> Iterator[None]:
        """Turn what a database raises into words; what is hidden from a traceback is the URL with its password."""
        import sqlalchemy as sql

        try:
            yield
        except sql.exc.DBAPIError as error:
            raise self._words(error.orig or error) from None
        except sqlite3.Error as error:
            raise self._words(error) from None

    def _words(self, error: BaseException) -> InputError:
        code = getattr(error, "sqlite_errorcode", None)
        known = _SQLITE_WORDS.get(code & 0xFF) if isinstance(code, int) else None
        if known is not None:
            return self.of(*known)
        # A driver may tell the address that it was given, or any part of it.
        said = self._blotted(" ".join(str(error).split()))[:300]
        return self.of("a database that answers", f"{type(error).__name__}: {said}", "Nothing was written.")

    def _blotted(self, words: str) -> str:
        import sqlalchemy as sql

        try:
            secret = sql.make_url(self._place.url).password if self._place.url else None
        except (sql.exc.ArgumentError, ValueError):
            secret = None
        return without_password(words.replace(str(secret), HIDDEN) if secret else words)
