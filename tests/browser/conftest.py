"""Pages in Debian's Chromium, with axe-core from npm; without either the tests say what is missing.

CHROMIUM and AXE_CORE name other places; `npm install --prefix tests/browser` brings axe-core to its usual one.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from enginelimits.decisions.bench import Bench
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.load import parse_build
from enginelimits.present.page.document import html_of, page_of
from enginelimits.present.page.drawings import drawings
from enginelimits.present.page.parts import Matter
from enginelimits.rules.catalogue import load_catalogue

HERE = Path(__file__).parent
CASES = HERE.parents[1] / "cases"
EVIL = "<script>alert(1)</script><img src=x onerror=alert(2)>"


def chromium() -> str | None:
    return os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


def axe_file() -> Path | None:
    named = os.environ.get("AXE_CORE")
    path = Path(named) if named else HERE / "node_modules" / "axe-core" / "axe.min.js"
    return path if path.is_file() else None


@pytest.fixture(scope="session")
def axe() -> str:
    path = axe_file()
    if path is None:
        pytest.skip("axe-core is missing: npm install --prefix tests/browser, or name axe.min.js in AXE_CORE")
    return path.read_text("utf-8")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    playwright = pytest.importorskip("playwright.sync_api")
    program = chromium()
    if program is None:
        pytest.skip("Chromium is missing: apt-get install chromium, or name it in CHROMIUM")
    with playwright.sync_playwright() as running:
        opened = running.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield opened
        opened.close()


@cache
def judged(case: str, evil: bool) -> tuple[Judgement, Bench]:
    text = (CASES / case / "build.yaml").read_text("utf-8")
    if evil:
        rows = [f"build: '{EVIL}'" if row.startswith("build:") else row for row in text.splitlines()]
        text = "\n".join(rows)
    bench = Bench(parse_build(text, "build.yaml"), load_catalogue(), samples=0)
    return bench.judged(), bench


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """A page of a case for a reader, as a file; made once."""
    folder = tmp_path_factory.mktemp("pages")

    def made(case: str, reader: str, *, evil: bool = False) -> Path:
        path = folder / f"{case}-{reader}{'-evil' if evil else ''}.html"
        if not path.exists():
            judgement, bench = judged(case, evil)
            plan = None
            if reader == "customer":
                from enginelimits.decisions.plan import plan as planned

                plan = planned(bench, budget=6)
            plots, missing = drawings(reader, judgement, None, "metric")
            without = (("plots", missing),) if missing else ()
            matter = Matter(judgement, load_catalogue(), "metric", "build.yaml", "0" * 64, plan, None, plots, without)
            path.write_text(html_of(page_of(reader, matter), matter), "utf-8")
        return path

    return made
