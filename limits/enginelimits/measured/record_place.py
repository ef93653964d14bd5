"""Where the shop's record is kept: a file in the shop's folder, or a database that several share."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from enginelimits.errors import InputError, Problem
from enginelimits.shop import Shop

VARIABLE = "ENGINELIMITS_RECORD"
FILE = "record.sqlite"
_URL = re.compile(r"[A-Za-z][A-Za-z0-9+_.-]*://", re.ASCII)
# To the last @: a password with one of its own, not written as %40, is blotted out whole.
_PASSWORD = re.compile(r"(://[^:/?#@\s]*:)\S*@")
_SECRET = re.compile(r"((?:pass|secret|token|key)[a-z_]*=)[^&\s]*", re.IGNORECASE)
HIDDEN = "***"


@dataclass(frozen=True, slots=True)
class RecordPlace:
    """A file, or the URL of a database, whose password is in no text made of it."""

    path: Path | None = None
    url: str = field(default="", repr=False)

    def __str__(self) -> str:
        return str(self.path) if self.path is not None else without_password(self.url)


def without_password(text: str) -> str:
    """A text with what may be a password blotted out: between user and host of a URL, and in its query."""
    return _SECRET.sub(rf"\1{HIDDEN}", _PASSWORD.sub(rf"\1{HIDDEN}@", text))


def record_place(
    option: str | None, shop: Shop, environment: Mapping[str, str] | None = None
) -> RecordPlace:
    """The record named by the option, else by ENGINELIMITS_RECORD, else by shop.yaml, else in the shop's folder.

    Raises InputError where nothing says which shop's record it is.
    """
    environment = os.environ if environment is None else environment
    for named in (option, environment.get(VARIABLE)):
        if named:
            return _place(named, Path())
    if shop.record:
        return _place(shop.record, shop.folder or Path())
    if shop.folder is not None:
        return RecordPlace(shop.folder / FILE)
    problem = Problem(
        "the shop's folder, in which its record is kept", "none",
        f"Make a folder and name it by --shop or ENGINELIMITS_SHOP, or name the record by --record or {VARIABLE}.",
        key="--shop", file="command line",
    )  # fmt: skip
    raise InputError([problem])


def _place(named: str, beside: Path) -> RecordPlace:
    if not _URL.match(named):
        return RecordPlace(beside / Path(named).expanduser())
    scheme, _, rest = named.partition("://")
    # One way to write a file, whichever way it was named, so that it is opened with the same care.
    if scheme in ("sqlite", "sqlite+pysqlite") and rest.startswith("/") and "?" not in rest and rest != "/:memory:":
        return RecordPlace(beside / rest[1:])
    return RecordPlace(url=named)
