"""A sweep on a real Dask cluster of two worker processes, one of which is killed in the middle of a case.

The rows are to be those that one process makes alone; the cluster is started as an operator starts it.
"""

from __future__ import annotations

import importlib.util
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("distributed")
pytest.importorskip("pyarrow")

from fleet_work import plain, quick, stuck_once

from enginelimits.decisions.fleet.case import Case
from enginelimits.decisions.fleet.run import Swept, sweep
from enginelimits.decisions.fleet.setting import Setting, setting_of
from enginelimits.decisions.fleet.worklist import work_list
from enginelimits.errors import InputError

# The scheduler's own library, not ours, is what these come from.
pytestmark = pytest.mark.filterwarnings("ignore")
ROOT = Path(__file__).resolve().parents[2]
SMALL = ROOT / "cases" / "small-turbo-1800" / "build.yaml"


def started(*words: str, folder: Path) -> subprocess.Popen[bytes]:
    package = Path(importlib.util.find_spec("enginelimits").origin).parents[1]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(package), str(Path(__file__).parent)])}
    command = [sys.executable, "-m", "distributed.cli." + words[0], *words[1:]]
    with (folder / f"{words[0]}.log").open("ab") as log:
        return subprocess.Popen(command, env=environment, cwd=folder, stdout=log, stderr=log)


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[int]]]:
    """The address of a scheduler with two workers, each a process of its own that nobody starts again."""
    folder = tmp_path_factory.mktemp("cluster")
    file = folder / "scheduler.json"
    running = [started("dask_scheduler", "--port", "0", "--host", "127.0.0.1", "--no-dashboard", "--no-show",
                       "--scheduler-file", str(file), folder=folder)]
    try:
        running += [
            started("dask_worker", "--no-nanny", "--nthreads", "1", "--memory-limit", "0", "--no-dashboard",
                    "--scheduler-file", str(file), folder=folder) for _ in range(2)
        ]
        from distributed import Client

        deadline = time.monotonic() + 60
        while not file.exists() or not file.read_text():
            assert time.monotonic() < deadline and running[0].poll() is None, [
                p.read_text() for p in folder.glob("*.log")]
            time.sleep(0.05)
        with Client(scheduler_file=str(file), set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
            address = client.scheduler.address
        yield address, [process.pid for process in running[1:]]
    finally:
        for process in running:
            process.kill()
        for process in running:
            process.wait(20)


@pytest.fixture(scope="module")
def setting() -> Setting:
    return setting_of(samples=0)


@pytest.fixture(scope="module")
def cases(setting: Setting) -> tuple[Case, ...]:
    vary = ["forced_induction.boost=0.3 bar,0.5 bar,0.6 bar"]
    return work_list([SMALL], setting, vary=vary).cases


@pytest.fixture(scope="module")
def alone(cases: tuple[Case, ...], setting: Setting, tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """The whole rows that this process makes."""
    return whole(sweep(cases, setting, tmp_path_factory.mktemp("alone")))


def whole(found: Swept) -> list[dict[str, Any]]:
    """All columns of what a sweep kept, as pyarrow reads them."""
    import pyarrow.parquet as parquet

    return plain(parquet.read_table(found.folder).to_pylist())


def killed_when_it_says_so(marker: Path, killed: list[int]) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        if marker.exists() and (said := marker.read_text()):
            os.kill(int(said), signal.SIGKILL)
            killed.append(int(said))
            return
        time.sleep(0.02)


def test_a_cluster_gives_the_rows_of_one_process_though_a_worker_is_killed(
    cluster: tuple[str, list[int]], cases: tuple[Case, ...], alone: list[dict[str, Any]], setting: Setting,
    tmp_path: Path,
) -> None:
    address, workers = cluster
    killed: list[int] = []
    watch = threading.Thread(target=killed_when_it_says_so, args=(tmp_path / "marker", killed), daemon=True)
    watch.start()
    work = partial(stuck_once, tmp_path / "marker")
    together = sweep(cases, setting, tmp_path / "together", scheduler=address, work=work)
    watch.join(5)
    assert len(killed) == 1 and killed[0] in workers
    assert [row["status"] for row in together.rows] == ["judged"] * 3
    assert len(alone) == 3 and whole(together) == alone

    # the survivor still works, and a second run finds everything done
    from distributed import Client

    with Client(address, set_as_default=False) as client:
        assert len(client.nthreads()) == 1
        with client.get_executor(pure=False) as executor:
            again = sweep(cases, setting, tmp_path / "together", executor=executor, work=quick)
            assert (again.there_before, len(again.rows)) == (3, 3)
            other = sweep(cases, setting, tmp_path / "given", executor=executor, work=quick)
            assert [row["verdict"] for row in other.rows] == ["clear"] * 3


@pytest.mark.slow
def test_processes_of_one_machine_give_the_same_rows(
    cases: tuple[Case, ...], alone: list[dict[str, Any]], setting: Setting, tmp_path: Path
) -> None:
    # fewer, and the last first: neither who judges nor when changes a row
    found = sweep((cases[2], cases[0]), setting, tmp_path, jobs=2)
    assert [row["key"] for row in found.rows] == [cases[2].key, cases[0].key]
    assert whole(found) == [row for row in alone if row["key"] in (cases[0].key, cases[2].key)]


def test_no_scheduler_is_told_before_anything_starts(
    cases: tuple[Case, ...], setting: Setting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("enginelimits.decisions.fleet.crews.REACH_WITHIN", 0.5)
    for address in ("tcp://127.0.0.1:9", "nowhere"):
        with pytest.raises(InputError, match="--scheduler: wanted the address of a running Dask scheduler"):
            sweep(cases, setting, tmp_path, scheduler=address)
    monkeypatch.setattr("enginelimits.decisions.fleet.crews.find_spec", lambda name: None)
    with pytest.raises(InputError, match=r"engine-limits\[cluster\]"):
        sweep(cases, setting, tmp_path, scheduler="tcp://127.0.0.1:9")
    assert not [*tmp_path.glob("[!.]*")]
