"""Who does the work: this process, processes of this machine, any executor that is given, or a Dask cluster."""

from __future__ import annotations

import logging
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from importlib.util import find_spec
from time import monotonic
from typing import Any

from enginelimits.errors import EngineLimitsError, InputError, Problem

# Cases given out for each worker: one at work, one waiting for it
EACH = 2
# How often a cluster is asked for its size
ASK_AFTER = 5.0
REACH_WITHIN = 20.0
SPEAKS = ("distributed", "distributed.client", "distributed.core", "distributed.utils", "distributed.comm", "tornado")


class CrewGoneError(EngineLimitsError):
    """No worker is left, and none can be had."""


class Crew:
    """An executor that is given: it is used as it is and stays the giver's."""

    def __init__(self, executor: Executor, workers: int) -> None:
        self.executor = executor
        self._workers = max(1, workers)

    def in_flight(self) -> int:
        """How many cases may be given out at once."""
        return EACH * self._workers

    def submit(self, work: Callable[..., Any], *given: Any) -> Future[Any]:
        """Give work out."""
        return self.executor.submit(work, *given)

    def renew(self) -> None:
        """Start anew after workers were lost.  Raises CrewGoneError where that is the giver's to do."""
        raise CrewGoneError("the executor broke when a worker was lost, and only who made it can make another. The "
                            "rows so far are kept; run the same with a new one to go on.")

    def remark(self) -> str:
        """What is to be told of the workers while nothing comes back."""
        return ""

    def close(self, *, now: bool) -> None:
        """Let the workers go; ``now`` does not wait for what they do."""


class Here(Executor):
    """An executor that works at once, in this process."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """A future that is done."""
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:  # noqa: BLE001  (handed on as every executor hands it on)
            future.set_exception(error)
        return future


class Alone(Crew):
    """This process alone."""

    def __init__(self) -> None:
        super().__init__(Here(), 1)

    def in_flight(self) -> int:
        """One: each is done when it is given out."""
        return 1


class Pool(Crew):
    """Processes of this machine, started afresh so that they share nothing with this one."""

    def __init__(self, jobs: int) -> None:
        self._before = set(multiprocessing.active_children())
        super().__init__(_pool(jobs), jobs)

    def renew(self) -> None:
        """Another pool of the same size."""
        self.close(now=True)
        self.executor = _pool(self._workers)

    def close(self, *, now: bool) -> None:
        """Let the processes go; ``now`` ends them."""
        self.executor.shutdown(wait=not now, cancel_futures=True)
        if now:
            ours = [child for child in multiprocessing.active_children() if child not in self._before]
            for child in ours:
                child.kill()
            for child in ours:
                child.join(10.0)


class Cluster(Crew):
    """The workers of a Dask scheduler, as many as there are."""

    def __init__(self, address: str) -> None:
        if find_spec("distributed") is None:
            mend = "Install the extra: pip install 'engine-limits[cluster]', or leave --scheduler out."
            raise _at_scheduler("distributed, to reach a Dask scheduler", "not installed", mend)
        from distributed import Client

        self._quiet = [(logger, logger.level) for logger in map(logging.getLogger, SPEAKS)]
        for logger, _ in self._quiet:
            # What is lost is told by us, in a line and not as a traceback.
            logger.setLevel(logging.CRITICAL + 1)
        try:
            self._client = Client(address, timeout=REACH_WITHIN, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as error:
            got = f"`{address[:100]}`: {' '.join(str(error).split())[:200]}"
            mend = "Start one with `dask scheduler`, and workers with `dask worker ADDRESS`."
            self._speak()
            raise _at_scheduler("the address of a running Dask scheduler", got, mend) from None
        super().__init__(self._client.get_executor(pure=False), 1)
        self._asked = 0.0

    def in_flight(self) -> int:
        """Enough for the threads of all workers that are there now; a cluster may grow."""
        if monotonic() - self._asked > ASK_AFTER:
            self._asked = monotonic()
            self._workers = max(1, self._threads())
        return EACH * self._workers

    def submit(self, work: Callable[..., Any], *given: Any) -> Future[Any]:
        """Give work out.  Raises CrewGoneError when the scheduler is gone."""
        if self._client.status != "running":
            raise CrewGoneError("the Dask scheduler is gone. The rows so far are kept; start it and run the same to go "
                                "on.")
        return super().submit(work, *given)

    def remark(self) -> str:
        """Whether any worker is there."""
        if self._client.status != "running":
            return "the Dask scheduler does not answer"
        return "" if self._threads() else "the scheduler has no worker; waiting for one (Ctrl-C ends)"

    def close(self, *, now: bool) -> None:
        """Take back what is given out, and leave the cluster as it was."""
        with suppress(Exception):  # a scheduler that is gone has nothing to take back
            self.executor.shutdown(wait=not now)
        with suppress(Exception):
            self._client.close(timeout=REACH_WITHIN)
        self._speak()

    def _speak(self) -> None:
        for logger, level in self._quiet:
            logger.setLevel(level)

    def _threads(self) -> int:
        with suppress(OSError, TimeoutError):
            return sum(self._client.nthreads().values())
        return 0


@contextmanager
def crew_of(executor: Executor | None, jobs: int, scheduler: str | None, workers: int | None) -> Iterator[Crew]:
    """The crew that is asked for: the executor given, else the scheduler's workers, else processes here."""
    crew: Crew
    if executor is not None:
        crew = Crew(executor, workers or os.cpu_count() or 1)
    elif scheduler is not None:
        crew = Cluster(scheduler)
    else:
        crew = Pool(jobs) if jobs > 1 else Alone()
    now = True
    try:
        yield crew
        now = False
    finally:
        crew.close(now=now)


def _pool(jobs: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("spawn"), initializer=_begin)


def _begin() -> None:
    """What a process of the pool does first: leave Ctrl-C to the program, and end when the program has ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    from multiprocessing.connection import wait

    wait([sentinel])
    os._exit(1)


def _at_scheduler(wanted: str, got: str, mend: str) -> InputError:
    return InputError([Problem(wanted, got, mend, "--scheduler", "command line")])
