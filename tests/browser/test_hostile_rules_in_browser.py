"""A page made with rules whose every text tries to run: opened in a real browser, nothing of it does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from enginelimits.cli.main import exit_code

pytestmark = pytest.mark.browser

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
TRIES = (
    "<script>window.ran = 1</script>", "<img src=x onerror='window.ran = 2'>",
    "</script><script>window.ran = 3</script>", "' onmouseover='window.ran = 4", "<svg onload='window.ran = 5'>",
    "{{ 'zz' * 4 }}", "<a href='javascript:window.ran=6'>x</a>",
)
RULE = """id: {id}
title: "{short}"
family: rods
status: stable
since: "{text}"
author: "{text}"
date: 2026-01-01
limits: {{most: {{value: 1 kW, evidence: memory, confidence: high, note: "{text}"}}}}
grades: [{{grade: caution, when: {{quantity: crank.power, above: most}}}}]
why: "{text}"
message: "{text}"
settled_by: "{text}"
caveats: ["{text}"]
sources: [{{id: own, at: "{text}", url: "javascript:window.ran=7", note: "{text}"}}]
"""


@pytest.mark.parametrize("reader", ["customer", "enthusiast", "calibrator", "builder", "shop"])
def test_no_text_of_a_rule_runs(browser: Any, tmp_path: Path, reader: str) -> None:
    rules = tmp_path / "rules"
    rules.mkdir()
    for number, text in enumerate(TRIES, 1):
        rule = RULE.format(id=f"OWN{number:03}", text=text, short=text[:100])
        (rules / f"OWN{number:03}.yaml").write_text(rule, encoding="utf-8")
    page_file = tmp_path / "page.html"
    assert exit_code(["report", str(CASE), "--for", reader, "--samples", "0", "--no-tiers", "--rules", str(rules),
                      "-o", str(page_file)]) == 0
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(page_file.as_uri())
    for link in page.locator("a").all():
        assert not (link.get_attribute("href") or "").startswith("javascript:")
    page.mouse.move(200, 200)
    assert page.evaluate("window.ran") is None
    assert asked == [page_file.as_uri()]
    assert "zzzzzzzz" not in page.content()
    page.close()
