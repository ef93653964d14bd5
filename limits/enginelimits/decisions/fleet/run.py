"""The run: cases given out, rows taken in, what was lost tried again, and all of it kept on the way."""

from __future__ import annotations

import os
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from enginelimits.decisions.fleet.case import Case
from enginelimits.decisions.fleet.crews import Crew, CrewGoneError, crew_of
from enginelimits.decisions.fleet.forms import form_of
from enginelimits.decisions.fleet.lock import locked
from enginelimits.decisions.fleet.row import LOST, Row, columns, row_of, row_without
from enginelimits.decisions.fleet.setting import Setting, WorkersDifferError
from enginelimits.decisions.fleet.store import Store
from enginelimits.errors import InputError, Problem

# How often a case is tried whose worker is lost each time
TRIES = 3
# Seconds without a row after which it is looked whether any worker is there
QUIET = 15.0
# What the table of an answer needs of every row
SHOWN = (
    "key", "case", "build", "file", "edits", "status", "error", "verdict", "complete", "limit_rule", "limit_title",
    "limit_family", "limit_quantity", "limit_chance", "margin_rule", "margin_quantity", "margin_ratio",
    "boost_asked_pa", "octane", "ethanol", "crank_power_w", "crank_power_low_w", "crank_power_high_w",
    "crank_torque_nm", "chance_note", "chance_caution", "chance_reinforce", "chance_decline",
    "warnings",
)
Work = Callable[[Setting, Case], Row]
Told = Callable[[str], None]


@dataclass(frozen=True)
class Swept:
    """What a run came to.  ``rows`` hold the columns SHOWN, in the order of the cases, of all runs into the folder."""

    folder: Path
    form: str
    setting: Setting
    rows: tuple[Row, ...]
    asked: int
    there_before: int
    put_aside: int
    interrupted: bool

    @property
    def left(self) -> int:
        """How many cases have no row yet."""
        return self.asked - len(self.rows)


def sweep(
    cases: Sequence[Case],
    setting: Setting,
    into: Path,
    *,
    executor: Executor | None = None,
    jobs: int = 1,
    scheduler: str | None = None,
    workers: int | None = None,
    form: str = "parquet",
    told: Told = lambda words: None,
    work: Work = row_of,
) -> Swept:
    """Judge the cases that the folder has no row of, on any executor, and keep a row of each there.

    Without an executor or a Dask scheduler's address the work is done here, by ``jobs`` processes.  ``workers`` says
    how many an executor has.  A row is the same whoever makes it.  Ctrl-C ends the run with what is known; the same
    call goes on.

    Raises InputError for a folder or scheduler that cannot be used, WorkersDifferError and CrewGoneError.
    """
    how = form_of(form)
    _folder(into)
    with locked(into):
        store = Store(into, how, columns(setting.families), [case.key for case in cases])
        before = len(store.done)
        todo = [case for case in cases if case.key not in store.done]
        interrupted = False
        try:
            with crew_of(executor, min(jobs, len(todo)), scheduler, workers) as crew:
                for number, (case, row) in enumerate(_rows(crew, todo, setting, work, store, told), before + 1):
                    store.add(row)
                    told(f"{number} of {len(cases)}, {row['verdict'] or row['status']}: {case.name}")
        except KeyboardInterrupt:
            interrupted = True
        finally:
            store.flush()
        if not interrupted:
            store.made_whole()
        rows = tuple(store.rows(SHOWN))
    return Swept(into, how.ending.removeprefix("."), setting, rows, len(cases), before, store.put_aside, interrupted)


def _folder(into: Path) -> None:
    try:
        into.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        mend = "Name a folder that exists or can be made."
        got = (error.strerror or str(error)).lower()
        raise InputError([Problem("a folder to keep rows in", got, mend, "--into", str(into))]) from None
    if not os.access(into, os.W_OK | os.X_OK):
        raise InputError([Problem("a folder that may be written to", "no permission", "", "--into", str(into))])


def _rows(
    crew: Crew, todo: Sequence[Case], setting: Setting, work: Work, store: Store, told: Told
) -> Iterator[tuple[Case, Row]]:
    """Each case with its row, as they come."""
    given = _Given(crew, setting, work, deque(todo))
    while given.open:
        given.out()
        done, _ = wait(given.waiting, timeout=QUIET, return_when=FIRST_COMPLETED)
        if not done and (remark := crew.remark()):
            told(remark)
        for future in done:
            answer = given.taken_in(future)
            if answer is not None:
                yield answer
        store.flush_if_due()


class _Given:
    """What is given out, and what is to be given out again.

    When a pool of processes breaks, all that it held is lost, and nothing says whose fault it was: each of those cases
    is then tried alone, so that one that ends its worker every time takes no other with it.
    """

    def __init__(self, crew: Crew, setting: Setting, work: Work, fresh: deque[Case]) -> None:
        self.crew, self.setting, self.work, self.fresh = crew, setting, work, fresh
        self.waiting: dict[Future[Any], Case] = {}
        self.suspects: deque[Case] = deque()
        self.tries: Counter[str] = Counter()
        self.losses = 0
        self.broken = False

    @property
    def open(self) -> bool:
        """Whether anything is still to come."""
        return bool(self.waiting or self.fresh or self.suspects)

    def out(self) -> None:
        """Give out as much as may be."""
        if self.broken and not self.waiting:
            self.crew.renew()
            self.broken = False
        while not self.broken and (self.fresh or self.suspects):
            alone = bool(self.suspects)
            if len(self.waiting) >= (1 if alone else self.crew.in_flight()):
                return
            queue = self.suspects if alone else self.fresh
            case = queue.popleft()
            try:
                self.waiting[self.crew.submit(self.work, self.setting, case)] = case
            except BrokenExecutor:
                queue.appendleft(case)
                self.broken = True
                if not self.waiting:
                    self._lost()
                    self.out()

    def taken_in(self, future: Future[Any]) -> tuple[Case, Row] | None:
        """The case and row of a future that is done; None for one that is tried again."""
        case = self.waiting.pop(future)
        try:
            row: Row = future.result()
        except BrokenExecutor:
            self.broken = True
            # Only a case that was alone is known to be the cause.
            alone = self.tries[case.key] > 0
            reason = f"its worker ended {TRIES} times: it was killed, ran out of memory or crashed"
            return self._again(case, self.suspects, reason, known=alone)
        except WorkersDifferError:
            raise
        except ImportError as error:
            words = f"a worker cannot load engine-limits: {error}. Install it on all workers."
            raise WorkersDifferError(words) from None
        except Exception as error:  # noqa: BLE001  (what an executor says of a lost worker is its own)
            reason = f"{type(error).__name__}: {' '.join(str(error).split())[:300]}"
            return self._again(case, self.fresh, reason, known=True)
        self.losses = 0
        return case, row

    def _again(self, case: Case, queue: deque[Case], reason: str, *, known: bool) -> tuple[Case, Row] | None:
        self.tries[case.key] += 1
        self._lost()
        if known and self.tries[case.key] >= TRIES:
            return case, row_without(self.setting, case, LOST, reason)
        queue.append(case)
        return None

    def _lost(self) -> None:
        """Count a loss; with nothing but losses for long enough, there is no point in going on."""
        self.losses += 1
        if self.losses > TRIES * self.crew.in_flight() + 2 * TRIES:
            raise CrewGoneError("workers end before they answer anything. The rows so far are kept; run the same to go "
                                "on.")
