"""A page as one HTML file, as PDF, or as data.  The file needs no network and no script, and brings its own style."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from itertools import chain
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from enginelimits import __version__
from enginelimits.errors import InputError, Problem
from enginelimits.present.jsonform import check
from enginelimits.present.page.html import explained, nodes_html
from enginelimits.present.page.parts import Matter, Page, Part, part_data
from enginelimits.present.values import finite
from enginelimits.present.verdict import GRADE_ROLES

if TYPE_CHECKING:
    from jinja2 import Environment

REPORT = "enginelimits.report/1"
WITH_CURVES = ("enthusiast", "calibrator")


def page_of(reader: str, matter: Matter) -> Page:
    """The page for a reader."""
    from enginelimits.present.page.readers import PAGES

    made: Callable[[Matter], Page] = PAGES[reader]
    return made(matter)


def report_data(page: Page, matter: Matter) -> dict[str, Any]:
    """A page and all that it was made from as plain data, SI."""
    from enginelimits.present.ladder import ladder_data
    from enginelimits.present.plan import plan_data

    return {
        "schema": REPORT,
        "version": __version__,
        "reader": page.reader,
        "title": page.title,
        "as_of": page.date,
        "build_file": {"name": matter.build_file, "sha256": matter.digest or None},
        "parts": [part_data(part) for part in page.parts],
        "plots": {p.name: {"title": p.title, "alt": p.alt, "data": finite(p.data)} for p in _plots(page)},
        "check": check(matter.judgement),
        "plan": None if matter.plan is None else plan_data(matter.plan),
        "ladder": None if matter.ladder is None else ladder_data(matter.ladder),
        "without": dict(matter.without),
    }


def _plots(page: Page) -> Any:
    return chain.from_iterable(part.plots for part in page.parts)


def html_of(page: Page, matter: Matter, *, printed: bool = False) -> str:
    """The page as one HTML file; ``printed``: for a printer, without the data that another program would read."""
    verdict = matter.judgement.verdict
    clear_but_open = verdict.grade == "clear" and not verdict.complete
    anchors = explained(chain.from_iterable(part.nodes for part in page.parts))
    environment = _environment()
    return environment.get_template("page.html.j2").render(
        page=page,
        printed=printed,
        data="" if printed else _embedded(_carried(page, matter)),
        grade="INCOMPLETE" if clear_but_open else verdict.grade.upper(),
        role="unknown" if clear_but_open else GRADE_ROLES[verdict.grade],
        groups=[[_rendered(part, anchors, printed) for part in group] for group in _grouped(page.parts)],
        version=__version__,
    )


def _grouped(parts: Sequence[Part]) -> list[list[Part]]:
    """The parts one under another, such as stand side by side together."""
    groups: list[list[Part]] = []
    for part in parts:
        if part.layout == "half" and groups and len(groups[-1]) == 1 and groups[-1][0].layout == "half":
            groups[-1].append(part)
        else:
            groups.append([part])
    return groups


def _rendered(part: Part, anchors: frozenset[str], printed: bool) -> dict[str, Any]:
    from markupsafe import Markup

    return {
        "name": part.name,
        "title": part.title,
        "layout": part.layout,
        "download": None if part.download is None else (
            part.download[0], "data:text/csv;charset=utf-8," + quote(part.download[1], safe="")),
        # Every word in it was escaped where the nodes were written; a drawing is the program's own.
        "body": Markup(nodes_html(part.nodes, under=2, anchors=anchors)),
        "plots": [{"name": p.name, "title": p.title, "alt": p.alt, "svg": Markup(p.printed if printed else p.svg)}
                  for p in part.plots],
    }


def _carried(page: Page, matter: Matter) -> dict[str, Any]:
    """The data that a page carries: all of it, but of the curves by speed none where it shows none."""
    data = report_data(page, matter)
    if page.reader not in WITH_CURVES:
        data["check"]["curve"] = {"engine_speed": data["check"]["curve"]["engine_speed"]}
    return data


def _embedded(data: Any) -> Any:
    """Data as JSON that no word in it can end early, for a block that browsers do not run."""
    from markupsafe import Markup

    text = json.dumps(finite(data), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


def _environment() -> Environment:
    try:
        from jinja2 import Environment, PackageLoader, StrictUndefined
    except ModuleNotFoundError as error:
        raise lacking("jinja2", "report") from error
    return Environment(
        loader=PackageLoader("enginelimits.present.page"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )


def pdf_of(page: Page, matter: Matter, *, paper: str = "A4") -> bytes:
    """The page as PDF, on A4 or Letter."""
    return bytes(laid_out(page, matter, paper=paper).write_pdf())


def laid_out(page: Page, matter: Matter, *, paper: str = "A4") -> Any:
    """The page broken into sheets of paper, as WeasyPrint has them."""
    try:
        from weasyprint import CSS, HTML
    except (ModuleNotFoundError, OSError) as error:
        raise lacking("weasyprint", "pdf") from error
    sheet = CSS(string=f"@page {{ size: {paper} }}")
    return HTML(string=html_of(page, matter, printed=True), url_fetcher=_nothing).render(stylesheets=[sheet])


def _nothing(url: str, *_: Any, **__: Any) -> Any:
    raise ValueError(f"a page fetches nothing: {url}")


def needs(*packages: str) -> None:
    """InputError where a package that a form of page needs is missing: before the work, not after it."""
    from importlib.util import find_spec

    for package in packages:
        try:
            there = find_spec(package) is not None
        except ImportError:
            there = False
        if not there:
            raise lacking(package, {"jinja2": "report", "weasyprint": "pdf"}[package])


def lacking(package: str, extra: str) -> InputError:
    """What to say where an optional package is missing."""
    mend = f"Install it with: pip install 'engine-limits[{extra}]'"
    return InputError([Problem(f"the package {package}", "no such package here", mend, file="installation")])
