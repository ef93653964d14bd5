"""The same in words, HTML and data: no form of a report may say less of what was found than another."""

from __future__ import annotations

import html
import json
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from enginelimits.decisions.check import check_build
from enginelimits.decisions.verdict import Judgement
from enginelimits.present.jsonform import check
from enginelimits.present.page.document import html_of, page_of, report_data
from enginelimits.present.page.html import nodes_html
from enginelimits.present.page.parts import READERS, Matter, page_tree
from enginelimits.present.text import report
from enginelimits.present.verdict import verdict_tree
from enginelimits.rules.catalogue import load_catalogue

FOLDER = Path(__file__).parents[2] / "cases"
CASES = sorted(path.parent.name for path in FOLDER.glob("*/build.yaml"))
WHOLE = ("enthusiast", "calibrator", "shop")


@cache
def judged(case: str) -> Judgement:
    return check_build(FOLDER / case / "build.yaml", samples=0)


def matter_of(judgement: Judgement) -> Matter:
    return Matter(judgement, load_catalogue(), "metric", "build.yaml", "0" * 64, without=(("ways", "not asked for"),))


def flat(text: str) -> str:
    return " ".join(text.split())


def words_of(page: str) -> str:
    """What a reader of the page sees, tags and the data block left out."""
    seen = re.sub(r"<(script|style).*?</\1>", " ", page, flags=re.DOTALL)
    return flat(html.unescape(re.sub(r"<[^>]+>", "", seen)))


@pytest.mark.parametrize("case", CASES)
def test_every_finding_notice_and_gap_is_in_each_form(case: str) -> None:
    judgement = judged(case)
    tree = verdict_tree(judgement, full=True)
    forms = {"text": flat(report(tree)), "html": words_of(nodes_html(tree.nodes)), "data": json.dumps(check(judgement))}
    told = [f.rule for f in judgement.findings]
    told += [n.rule for n in (*judgement.not_judged, *judgement.out_of_range)]
    assert told or judgement.verdict.grade == "clear"
    for form, said in forms.items():
        assert not [rule for rule in told if rule not in said], form
    for words in (*judgement.notices, *judgement.questions):
        assert flat(words) in forms["text"].replace("! ", "").replace("? ", "") or flat(words) in flat(
            report(tree, width=10_000)), words
        assert flat(words) in forms["html"]
        assert words in check(judgement)["notices"]


@pytest.mark.parametrize("reader", WHOLE)
@pytest.mark.parametrize("case", ["neglected-1800", "factory-na-1800"])
def test_pages_for_the_trade_hold_the_whole(case: str, reader: str) -> None:
    judgement = judged(case)
    matter = matter_of(judgement)
    page = page_of(reader, matter)
    shown, data = html_of(page, matter), report_data(page, matter)
    words, text = words_of(shown), flat(report(page_tree(page), width=10_000))
    for finding in judgement.findings:
        for said in (finding.title, finding.rule, flat(finding.message), flat(finding.why)):
            assert said in words and said in text, (finding.rule, said)
    for words_told in (*judgement.notices, *judgement.questions):
        assert flat(words_told) in words and flat(words_told) in text
    assert {f["rule"] for f in data["check"]["findings"]} == {f.rule for f in judgement.findings}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("case", ["neglected-1800", "small-turbo-1800"])
def test_a_page_and_its_text_say_the_same(case: str, reader: str) -> None:
    """Every word of every node stands on the page."""
    matter = matter_of(judged(case))
    page = page_of(reader, matter)
    seen = words_of(html_of(page, matter)).replace("blank to fill in", "").replace("box to tick", "")
    for part in page.parts:
        assert part.title in seen
        for node in part.nodes:
            runs = [*getattr(node, "runs", ()), *getattr(node, "head", ())]
            runs += [run for under in getattr(node, "under", ()) for run in under.runs]
            runs += [cell for row in getattr(node, "rows", ()) for cell in row]
            for run in runs:
                for words in re.split(r"\n|_{3,}|\[ \]", run.text):
                    assert flat(words) in seen, (part.name, words)


class _Tags(HTMLParser):
    VOID = frozenset(("meta", "link", "br", "hr", "img", "input"))

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.levels: list[int] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.outside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if given.get("id"):
            self.ids.append(str(given["id"]))
        for name in ("href", "src"):
            target = given.get(name) or ""
            if target.startswith("#"):
                self.links.append(target[1:])
            elif target and not target.startswith("data:"):
                self.outside.append(target)
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.mark.parametrize("reader", READERS)
def test_a_page_is_whole_and_points_nowhere_else(reader: str) -> None:
    matter = matter_of(judged("small-turbo-1800"))
    tags = _Tags()
    tags.feed(html_of(page_of(reader, matter), matter))
    assert tags.open == []
    assert tags.levels[0] == 1 and tags.levels.count(1) == 1
    assert all(after - before <= 1 for before, after in zip(tags.levels, tags.levels[1:], strict=False))
    assert len(tags.ids) == len(set(tags.ids))
    assert set(tags.links) <= set(tags.ids)
    assert tags.outside == []


@pytest.mark.parametrize("reader", READERS)
def test_no_page_promises(reader: str) -> None:
    matter = matter_of(judged("small-turbo-1800"))
    said = words_of(html_of(page_of(reader, matter), matter)).lower()
    assert not re.search(r"\b(safe|safely|guarantee[ds]?|bulletproof)\b", said)


@pytest.mark.parametrize("reader", READERS)
def test_data_of_a_page_keep_to_their_schema(reader: str) -> None:
    import jsonschema

    matter = matter_of(judged("small-turbo-1800"))
    page = page_of(reader, matter)
    schema = json.loads((FOLDER.parent / "rulesets" / "schemas" / "report.output.schema.json").read_text("utf-8"))
    block = re.search(r'id="report-data">(.*?)</script>', html_of(page, matter), re.DOTALL)
    assert block is not None
    for data in (json.loads(json.dumps(report_data(page, matter))), json.loads(block[1])):
        jsonschema.validate(data, schema)
