"""Every page in a real browser: it loads alone, runs nothing, reads on a phone and in the dark, prints, and passes axe.

Accessibility is judged by axe-core's rules for WCAG 2.2 A and AA and its best practices.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from enginelimits.present.page.parts import READERS

pytestmark = pytest.mark.browser

MOST_CASES = ("small-turbo-1800", "neglected-1800", "factory-na-1800")
# As many sheets as a reader takes along; the whole of everything found is long.
SHEETS = {"customer": 2, "builder": 7, "shop": 22, "calibrator": 30, "enthusiast": 36}
WIDTHS = {"phone": 360, "desktop": 1200}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

PageFile = Callable[..., Path]


class Opened:
    """A page with what it asked for and what it complained of."""

    def __init__(self, browser: Any, path: Path, **context: Any) -> None:
        self.context = browser.new_context(**context)
        self.page = self.context.new_page()
        self.requests: list[str] = []
        self.said: list[str] = []
        self.dialogs: list[str] = []
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("dialog", self._dialog)
        self.page.goto(path.as_uri())

    def _dialog(self, dialog: Any) -> None:
        self.dialogs.append(dialog.message)
        dialog.dismiss()

    def __enter__(self) -> Opened:
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("reader", READERS)
def test_it_loads_alone_fits_and_is_accessible(
    browser: Any, axe: str, page_file: PageFile, reader: str, width: str, scheme: str
) -> None:
    path = page_file("small-turbo-1800", reader)
    size = {"width": WIDTHS[width], "height": 800}
    with Opened(browser, path, viewport=size, color_scheme=scheme) as opened:
        assert [url for url in opened.requests if not url.startswith("data:")] == [path.as_uri()]
        assert opened.said == []
        over = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert opened.page.evaluate(over) <= 0
        opened.page.evaluate(f"{axe}; 0")
        found = opened.page.evaluate(
            "tags => axe.run(document, {runOnly: tags}).then(r => r.violations.map(v => [v.id, v.nodes[0].html]))",
            RULES,
        )
        assert found == []


@pytest.mark.parametrize("reader", READERS)
def test_dark_is_dark_and_light_is_light(browser: Any, page_file: PageFile, reader: str) -> None:
    told = []
    for scheme in ("light", "dark"):
        with Opened(browser, page_file("small-turbo-1800", reader), color_scheme=scheme) as opened:
            colour = opened.page.evaluate("getComputedStyle(document.body).backgroundColor")
            told.append(sum(int(part) for part in colour.removeprefix("rgb(").removesuffix(")").split(",")))
    assert told[0] > 600 and told[1] < 200


@pytest.mark.parametrize("reader", READERS)
def test_it_says_the_same_with_scripts_off(browser: Any, page_file: PageFile, reader: str) -> None:
    path = page_file("small-turbo-1800", reader)
    said = []
    for scripts in (True, False):
        with Opened(browser, path, java_script_enabled=scripts) as opened:
            said.append(opened.page.locator("main").inner_text())
    assert said[0] == said[1] and len(said[0]) > 500


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("case", MOST_CASES)
@pytest.mark.parametrize("reader", READERS)
def test_it_prints_on_the_sheets_expected(
    browser: Any, page_file: PageFile, tmp_path: Path, reader: str, case: str, paper: str
) -> None:
    with Opened(browser, page_file(case, reader)) as opened:
        written = opened.page.pdf(format=paper)
    pages = written.count(b"/Type /Page\n")
    most = SHEETS[reader] + (reader == "customer" and case == "neglected-1800" and paper == "Letter")
    assert 1 <= pages <= most


def test_what_a_user_wrote_never_runs(browser: Any, page_file: PageFile) -> None:
    for reader in READERS:
        with Opened(browser, page_file("small-turbo-1800", reader, evil=True)) as opened:
            opened.page.wait_for_timeout(100)
            assert opened.dialogs == [] and opened.said == []
            assert opened.page.locator("h1").inner_text().startswith("<script>alert(1)</script><img")
            assert opened.page.locator("img").count() == 0


def test_rules_lead_to_their_explanation(browser: Any, page_file: PageFile) -> None:
    with Opened(browser, page_file("small-turbo-1800", "enthusiast")) as opened:
        link = opened.page.locator("a[href^='#rule-']").first
        target = link.get_attribute("href")
        link.click()
        assert opened.page.locator(f"{target}:target").count() == 1
        opened.page.keyboard.press("Control+Home")


def test_the_skip_link_is_first_and_leads_to_the_content(browser: Any, page_file: PageFile) -> None:
    with Opened(browser, page_file("small-turbo-1800", "customer")) as opened:
        opened.page.keyboard.press("Tab")
        assert opened.page.evaluate("document.activeElement.getAttribute('href')") == "#content"


def test_tables_by_speed_are_saved_as_csv(browser: Any, page_file: PageFile) -> None:
    with Opened(browser, page_file("small-turbo-1800", "calibrator"), accept_downloads=True) as opened:
        with opened.page.expect_download() as waiting:
            opened.page.locator(".download a").first.click()
        saved = waiting.value
        assert saved.suggested_filename == "by-engine-speed.csv"
        assert Path(saved.path()).read_text("utf-8").startswith('"Torque and its cap, ordinary day"')
