"""Quotes made by hand, so that the record is tested without computing an engine.  Every number here is invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from enginelimits.measured.record import Record, outcome_draft, signed
from enginelimits.measured.record_model import (
    KeptFile,
    KeptFinding,
    KeptLayer,
    KeptMargin,
    QuoteDraft,
    Shown,
)
from enginelimits.measured.record_place import RecordPlace

WORDS = "1.8 with a small turbo\nCAUTION, limited by µ and \u2019quotes\u2019.\n"


def margin(
    value: float, *, limit: float = 100.0, rule: str = "ROD003", family: str = "rods", **changes: Any
) -> KeptMargin:
    """How near a build is to a limit from above."""
    made = KeptMargin(rule, "Torque on light rods", family, "caution", "brake.mean_effective_pressure", "Pa", value,
                      limit, "caution_mep", value / limit)
    return replace(made, **changes)


def draft(grade: str = "caution", *margins: KeptMargin, text: str = "build: x\n", **changes: Any) -> QuoteDraft:
    """A quote of a build with one finding of that grade in the family rods."""
    made = QuoteDraft(
        name="1.8 with a small turbo",
        engine="invented four",
        grade=grade,
        complete=True,
        sentence="A sentence.",
        limiting="ROD003",
        samples=0,
        seed=1,
        mountain_m=None,
        summary={"inputs": {"assumed": 3}},
        shown=Shown({"schema": "enginelimits.check/1", "value": 0.1}, WORDS),
        files=(KeptFile("build", "build.yaml", "0" * 64, text),),
        layers=(KeptLayer("shipped", "0.1", "a" * 64),),
        findings=(KeptFinding("ROD003", "Torque on light rods", "rods", grade, 0.5),),
        margins=margins,
    )
    return replace(made, **changes)


def kept(record: Record, given: QuoteDraft, outcome: str = "", **more: Any) -> str:
    """The id of a quote put in the record, with an outcome where one is named."""
    id_ = record.add_quote(given, signed(author="tester"))
    if outcome:
        record.add_outcome(outcome_draft(id_, outcome, at=date(2026, 1, 2), **more), signed(author="tester"))
    return id_


def in_file(folder: Path) -> RecordPlace:
    """A record in a folder."""
    return RecordPlace(folder / "record.sqlite")
