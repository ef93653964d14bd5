"""A report to hand out: one page for one reader."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enginelimits.cli.answer import Answer, Common
from enginelimits.cli.failures import Code
from enginelimits.cli.options import command
from enginelimits.cli.plan import price_file
from enginelimits.cli.steps import steps_told
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.cli.steps import Told
    from enginelimits.decisions.bench import Bench
    from enginelimits.present.page.parts import Matter


class Reader(StrEnum):
    """Who reads it."""

    customer = "customer"
    enthusiast = "enthusiast"
    calibrator = "calibrator"
    builder = "builder"
    shop = "shop"


class PageForm(StrEnum):
    """How a report is written."""

    html = "html"
    pdf = "pdf"
    json = "json"
    text = "text"


class Paper(StrEnum):
    """Sheets that it is printed on."""

    a4 = "A4"
    letter = "Letter"


WITH_WAYS = (Reader.customer, Reader.shop)
WITH_LADDER = (Reader.enthusiast,)
LADDER_DRAWS = 16


@command
def report(
    common: Common,
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="A build file; - reads standard input.")],
    reader: Annotated[Reader, typer.Option("--for", help="Who reads it.")] = Reader.customer,
    form: Annotated[
        PageForm | None,
        typer.Option("--format", help="One HTML file, PDF, JSON with SI numbers, or plain words [default: as -o ends, "
                                      "else html]"),
    ] = None,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known; 0 for none.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Where the draws start.")] = 1,
    tiers: Annotated[
        bool, typer.Option("--tiers/--no-tiers", help="Work out the ways to go, as `plan` does; takes longest.")
    ] = True,
    budget: Annotated[
        int, typer.Option("--budget", min=1, max=10_000, help="Judgements to search the ways by.")
    ] = 40,
    prices: Annotated[
        Path | None, typer.Option("--prices", metavar="FILE", help="Price list [default: prices.yaml of the shop]")
    ] = None,
    paper: Annotated[Paper, typer.Option("--paper", help="Sheet of a PDF.")] = Paper.a4,
) -> Answer:
    """Write a page for one reader: to read, to print, to sign.

    One file that needs no network and no script. Prices come from the shop's list alone. Ctrl-C during the search for
    ways ends it with what is known so far.

    Example: enginelimits report build.yaml --for customer -o offer.html
    """
    from enginelimits.present.page.document import html_of, needs, page_of, pdf_of, report_data
    from enginelimits.present.page.parts import page_tree

    form = form or _form_of(common.output)
    if form is PageForm.pdf and common.output is None:
        mend = "Add -o offer.pdf."
        raise InputError([Problem("a file for the PDF", "none", mend, "-o", "command line")])
    needs(*{PageForm.html: ("jinja2",), PageForm.pdf: ("jinja2", "weasyprint")}.get(form, ()))
    with steps_told(common) as told:
        matter = _matter(common, build, reader, samples, seed, tiers, budget, prices, told)
        page = page_of(reader.value, matter)
        written, binary = "", None
        if form is PageForm.json:
            from enginelimits.present.jsonform import written as as_json

            written = as_json(report_data(page, matter))
        elif form is PageForm.pdf:
            told("setting the pages")
            binary = pdf_of(page, matter, paper=paper.value)
        elif form is PageForm.text:
            written = common.words(page_tree(page))
        else:
            written = html_of(page, matter)
    stopped = matter.plan is not None and matter.plan.interrupted
    return Answer(written, Code.interrupted if stopped else Code.clean, binary=binary)


def _form_of(output: Path | None) -> PageForm:
    """The form that a file's ending asks for."""
    forms = {".pdf": PageForm.pdf, ".json": PageForm.json, ".txt": PageForm.text}
    return forms.get(output.suffix.lower(), PageForm.html) if output is not None else PageForm.html


def _matter(
    common: Common, build: Path, reader: Reader, samples: int, seed: int, tiers: bool, budget: int,
    prices: Path | None, told: Told,
) -> Matter:  # fmt: skip
    """Everything that the page of a reader speaks of, judged once."""
    from hashlib import sha256

    from enginelimits.decisions.bench import Bench
    from enginelimits.description.load import parse_build, read_build
    from enginelimits.present.page.parts import Matter
    from enginelimits.rules.catalogue import load_catalogue
    from enginelimits.shop import read_shop, shop_folder

    written = read_build(str(build) if str(build) == "-" else build)
    own = read_shop(shop_folder(common.shop))
    folder = own.place("rules")
    catalogue = load_catalogue(overlays=[*((folder,) if folder else ()), *common.rules], as_of=common.as_of)
    bench = Bench(parse_build(written.text, written.name), catalogue, samples=samples, seed=seed, shop=own,
                  as_of=common.as_of)
    told(f"judging {bench.build.build} with {samples} draws")
    judgement = bench.judged()
    without: list[tuple[str, str]] = []
    plan = ladder = None
    if reader in WITH_WAYS:
        if tiers:
            plan = _ways(common, bench, budget, prices, told)
        else:
            without.append(("ways", "left out by --no-tiers"))
    if reader in WITH_LADDER:
        ladder = _steps(bench, told, without)
    plots, missing = _plots(reader, judgement, ladder, common.system)
    without += [("plots", missing)] if missing else []
    return Matter(judgement, catalogue, common.system, Path(written.name).name if written.name else "",
                  sha256(written.raw).hexdigest(), plan, ladder, plots, tuple(without))


def _ways(common: Common, bench: Bench, budget: int, prices: Path | None, told: Told) -> Any:
    from enginelimits.decisions.plan import plan
    from enginelimits.decisions.spend import read_prices

    path = price_file(common, prices)
    listed = None if path is None else read_prices(path, bench.catalogue.remedies.keys())
    return plan(bench, budget=budget, prices=listed, tell=told)


def _steps(bench: Bench, told: Told, without: list[tuple[str, str]]) -> Any:
    """The ladder, with fewer draws than the judgement; None where there is no boost to raise."""
    from enginelimits.decisions.bench import Bench
    from enginelimits.decisions.ladder import ladder

    fewer = Bench(bench.build, bench.catalogue, samples=min(bench.samples, LADDER_DRAWS), seed=bench.seed,
                  shop=bench.shop, as_of=bench.as_of)
    try:
        return ladder(fewer, tell=told)
    except InputError as error:
        without.append(("ladder", "; ".join(p.got for p in error.problems) or str(error)))
        return None


def _plots(reader: Reader, judgement: Any, ladder: Any, system: Any) -> tuple[tuple[Any, ...], str]:
    """The plots of a reader, and why there are none where they cannot be drawn."""
    from enginelimits.present.page.drawings import drawings

    return drawings(reader.value, judgement, ladder, system)
