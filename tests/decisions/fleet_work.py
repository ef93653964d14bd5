"""What workers do in tests of a sweep, in a module of its own so that other processes can load it."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path
from typing import Any

from enginelimits.decisions.fleet.case import Case
from enginelimits.decisions.fleet.row import JUDGED, Row, row_of, row_without
from enginelimits.decisions.fleet.setting import Setting, WorkersDifferError


def quick(setting: Setting, case: Case) -> Row:
    """A row at once, with nothing judged."""
    return {**row_without(setting, case, JUDGED, ""), "verdict": "clear", "complete": True, "error": None}


def noted(log: Path, setting: Setting, case: Case) -> Row:
    """The same, and a line for each time it is done."""
    with log.open("a") as stream:
        stream.write(f"{case.key}\n")
    return quick(setting, case)


def dies_once(marker: Path, setting: Setting, case: Case) -> Row:
    """The first that gets here kills its process, as a machine that is out of memory would."""
    try:
        marker.touch(exist_ok=False)
    except FileExistsError:
        return quick(setting, case)
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError("not reached")


def dies_on(poison: str, setting: Setting, case: Case) -> Row:
    """One case ends its process each time."""
    if poison in case.edits:
        os.kill(os.getpid(), signal.SIGKILL)
    return quick(setting, case)


def always_dies(setting: Setting, case: Case) -> Row:
    """Every case ends its process."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError("not reached")


def raises(poison: str, setting: Setting, case: Case) -> Row:
    """One case raises, as an executor does that lost a worker."""
    if poison in case.edits:
        raise KilledWorker("the worker was lost")
    return quick(setting, case)


class KilledWorker(Exception):
    """As one executor calls it."""


def of_another_version(setting: Setting, case: Case) -> Row:
    """A worker that finds other code than it was told."""
    raise WorkersDifferError("a worker has other engine-limits")


def stops_at(place: int, log: Path, setting: Setting, case: Case) -> Row:
    """Ctrl-C when so many were done."""
    if log.exists() and len(log.read_text().splitlines()) >= place:
        raise KeyboardInterrupt
    return noted(log, setting, case)


def stuck_once(marker: Path, setting: Setting, case: Case) -> Row:
    """The first that gets here says which process it is and stays there until it is killed; others judge in earnest."""
    try:
        with marker.open("x") as stream:
            stream.write(str(os.getpid()))
    except FileExistsError:
        return row_of(setting, case)
    time.sleep(120.0)
    raise AssertionError("not reached")


def plain(rows: Any) -> list[dict[str, Any]]:
    """Rows so that they can be compared."""
    return sorted((dict(row) for row in rows), key=lambda row: row["key"])
