"""The tables of the shop's record, what keeps them from being changed, and the steps between their versions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import sqlalchemy as sql
from sqlalchemy.dialects import mysql

SCHEMA = 1

metadata = sql.MetaData()
# The 64 KiB that MySQL gives a TEXT are too few for a verdict.
_LONG = sql.Text().with_variant(mysql.LONGTEXT(), "mysql", "mariadb")


def _id(name: str = "number") -> sql.Column[int]:
    # Numbered by us, under a lock: a database's own sequence leaves holes, and a hole looks like a row taken out.
    return sql.Column(name, sql.Integer, primary_key=True, autoincrement=False)


def _signed(table: str) -> tuple[sql.Column[Any], ...]:
    return (
        sql.Column("author", sql.String(80), nullable=False),
        sql.Column("written_at", sql.String(20), nullable=False),
        sql.Column("as_of", sql.String(10), nullable=False),
        sql.Column("tool", sql.String(40), nullable=False),
        sql.Column("note", sql.Text, nullable=False),
        # One row can be corrected once; the next correction corrects the correction, so that a history never forks.
        sql.Column("corrects", sql.Integer, sql.ForeignKey(f"{table}.number"), unique=True),
    )


def _of_quote() -> tuple[sql.Column[int], sql.Column[int]]:
    return (
        sql.Column("quote", sql.Integer, sql.ForeignKey("record_quotes.number"), primary_key=True),
        sql.Column("place", sql.Integer, primary_key=True, autoincrement=False),
    )


schema = sql.Table(
    "record_schema", metadata,
    _id("version"),
    sql.Column("since", sql.String(20), nullable=False),
    sql.Column("tool", sql.String(40), nullable=False),
)  # fmt: skip
quotes = sql.Table(
    "record_quotes", metadata,
    _id(),
    *_signed("record_quotes"),
    sql.Column("name", sql.Text, nullable=False),
    sql.Column("engine", sql.Text, nullable=False),
    sql.Column("digest", sql.String(64), nullable=False),
    sql.Column("grade", sql.String(20), nullable=False),
    sql.Column("complete", sql.Boolean, nullable=False),
    sql.Column("sentence", sql.Text, nullable=False),
    sql.Column("limiting", sql.String(20), nullable=False),
    sql.Column("samples", sql.Integer, nullable=False),
    sql.Column("seed", sql.BigInteger, nullable=False),
    sql.Column("mountain_m", sql.Double),
    sql.Column("customer_reference", sql.String(60), nullable=False),
    sql.Column("summary", sql.Text, nullable=False),
    sql.Column("shown_data", _LONG, nullable=False),
    sql.Column("shown_words", _LONG, nullable=False),
)  # fmt: skip
files = sql.Table(
    "record_files", metadata,
    *_of_quote(),
    sql.Column("role", sql.String(20), nullable=False),
    sql.Column("name", sql.Text, nullable=False),
    sql.Column("digest", sql.String(64), nullable=False),
    sql.Column("text", _LONG, nullable=False),
)  # fmt: skip
layers = sql.Table(
    "record_layers", metadata,
    *_of_quote(),
    sql.Column("name", sql.Text, nullable=False),
    sql.Column("version", sql.String(80), nullable=False),
    sql.Column("digest", sql.String(80), nullable=False),
)  # fmt: skip
findings = sql.Table(
    "record_findings", metadata,
    *_of_quote(),
    sql.Column("rule", sql.String(20), nullable=False),
    sql.Column("title", sql.Text, nullable=False),
    sql.Column("family", sql.String(40), nullable=False),
    sql.Column("grade", sql.String(20), nullable=False),
    sql.Column("chance", sql.Double),
)  # fmt: skip
margins = sql.Table(
    "record_margins", metadata,
    *_of_quote(),
    sql.Column("rule", sql.String(20), nullable=False),
    sql.Column("title", sql.Text, nullable=False),
    sql.Column("family", sql.String(40), nullable=False),
    sql.Column("grade", sql.String(20), nullable=False),
    sql.Column("quantity", sql.String(80), nullable=False),
    sql.Column("unit", sql.String(20), nullable=False),
    sql.Column("value", sql.Double, nullable=False),
    sql.Column("limit_value", sql.Double, nullable=False),
    sql.Column("limit_name", sql.String(80), nullable=False),
    sql.Column("ratio", sql.Double, nullable=False),
)  # fmt: skip
pulls = sql.Table(
    "record_pulls", metadata,
    _id(),
    *_signed("record_pulls"),
    sql.Column("quote", sql.Integer, sql.ForeignKey("record_quotes.number"), nullable=False, index=True),
    sql.Column("file", sql.Text, nullable=False),
    sql.Column("size", sql.BigInteger, nullable=False),
    sql.Column("digest", sql.String(64), nullable=False),
    sql.Column("data", _LONG),
)  # fmt: skip
outcomes = sql.Table(
    "record_outcomes", metadata,
    _id(),
    *_signed("record_outcomes"),
    sql.Column("quote", sql.Integer, sql.ForeignKey("record_quotes.number"), nullable=False, index=True),
    sql.Column("outcome", sql.String(20), nullable=False),
    sql.Column("part", sql.String(40), nullable=False),
    sql.Column("happened_on", sql.String(10), nullable=False),
    sql.Column("distance_m", sql.Double),
)  # fmt: skip

# From the version named to the next, in one transaction with the note of it.  A step only adds: rows stay as written.
Step = Callable[[sql.Connection], None]
STEPS: Mapping[int, Step] = {}

KEPT = "the record is only added to"
_SQLITE = """CREATE TRIGGER {table}_kept_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{kept}'); END"""
_POSTGRES_FUNCTION = """CREATE OR REPLACE FUNCTION record_is_kept() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{kept}'; END $$"""
_POSTGRES = """CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION record_is_kept()"""


def made(connection: sql.Connection) -> None:
    """Make every table, and on SQLite and PostgreSQL what refuses to change or delete a row."""
    metadata.create_all(connection)
    if connection.dialect.name == "sqlite":
        for table in metadata.sorted_tables:
            for verb in ("UPDATE", "DELETE"):
                connection.exec_driver_sql(_SQLITE.format(table=table.name, verb=verb, kept=KEPT))
    elif connection.dialect.name == "postgresql":
        connection.exec_driver_sql(_POSTGRES_FUNCTION.format(kept=KEPT))
        for table in metadata.sorted_tables:
            connection.exec_driver_sql(_POSTGRES.format(table=table.name))
