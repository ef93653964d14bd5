"""Builds per second of a sweep: alone, by two processes, by two workers of a Dask cluster, within one run.

    python benchmarks/fleet.py [-o FILE.json]

The same grid each time, into an empty folder, rows as they are kept.  What starting the processes takes is told apart:
it is of the first build of each, and a long sweep does not feel it.  Ratios are to one process of the same run.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor, wait
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from enginelimits.decisions.fleet.case import Case
from enginelimits.decisions.fleet.row import row_of
from enginelimits.decisions.fleet.run import sweep
from enginelimits.decisions.fleet.setting import Setting, setting_of
from enginelimits.decisions.fleet.worklist import work_list

BUILD = Path(__file__).parent.parent / "cases" / "small-turbo-1800" / "build.yaml"
RUNS = 3
BUILDS = 24


def seconds(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def swept(cases: tuple[Case, ...], setting: Setting, executor: Executor | None) -> None:
    with tempfile.TemporaryDirectory() as folder:
        found = sweep(cases, setting, Path(folder), executor=executor, workers=2)
        assert all(row["status"] == "judged" for row in found.rows)


def woken(executor: Executor, setting: Setting, case: Case) -> None:
    """Have both workers judge once, so that what they load and build is there."""
    wait([executor.submit(row_of, setting, case) for _ in range(8)])


def main() -> None:
    from distributed import Client, LocalCluster

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("-o", "--output", type=Path)
    output = parser.parse_args().output
    setting = setting_of(samples=0)
    boosts = ", ".join(f"{0.2 + 0.02 * n:.2f} bar" for n in range(BUILDS))
    cases = work_list([BUILD], setting, vary=[f"forced_induction.boost={boosts}"]).cases
    row_of(setting, cases[0])
    starts: dict[str, float] = {}
    rates: dict[str, list[float]] = {"alone": [], "two processes": [], "two Dask workers": []}
    with (
        ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool,
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
        client.get_executor(pure=False) as dask,
    ):
        for name, executor in (("two processes", pool), ("two Dask workers", dask)):
            starts[name] = seconds(lambda executor=executor: woken(executor, setting, cases[0]))
        for _ in range(RUNS):
            for name, executor in (("alone", None), ("two processes", pool), ("two Dask workers", dask)):
                took = seconds(lambda executor=executor: swept(cases, setting, executor))
                rates[name].append(len(cases) / took)
    ratios = {name: [r / one for r, one in zip(of, rates["alone"], strict=True)] for name, of in rates.items()}
    figures = {
        name: {"builds a second": statistics.median(of), "over alone": statistics.median(ratios[name]),
               "least": min(ratios[name]), "greatest": max(ratios[name]), "first builds take, s": starts.get(name)}
        for name, of in rates.items()
    }
    text = json.dumps(figures, indent=2) + "\n"
    if output:
        output.write_text(text)
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
