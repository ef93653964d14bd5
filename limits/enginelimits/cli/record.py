"""The shop's record: keep quotes, pulls and outcomes, look them up, and review the grades against what happened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enginelimits.cli.answer import Answer, Common, Form, refuse_inputs
from enginelimits.cli.mountain import MOUNTAIN, height_of
from enginelimits.cli.options import command
from enginelimits.errors import EngineLimitsError, InputError, Problem

if TYPE_CHECKING:
    from enginelimits.measured.record import Record
    from enginelimits.measured.record_model import QuoteRow, QuoteWhole, Signed
    from enginelimits.shop import Shop

RECORD = Annotated[
    str | None,
    typer.Option("--record", metavar="FILE|URL", help="The record [default: record.sqlite in the shop's folder]"),
]
AUTHOR = Annotated[str | None, typer.Option("--author", help="Who writes this [default: who is logged in]")]
NOTE = Annotated[str, typer.Option("--note", help="A few words; nothing about people.")]
CORRECTS = Annotated[
    str | None, typer.Option("--corrects", metavar="ID", help="The row that this one stands in place of.")
]
SINCE = Annotated[str | None, typer.Option("--since", metavar="DATE", help="Quotes judged as of that day or later.")]
GRADE = Annotated[str | None, typer.Option("--grade", help="Only verdicts of this grade.")]
OUTCOME = Annotated[str | None, typer.Option("--outcome", help="held, knocked, broke, or none while nothing is known.")]
FAMILY = Annotated[str | None, typer.Option("--family", help="Only where a rule of this family spoke.")]
ENGINE = Annotated[str | None, typer.Option("--engine", help="Only this engine.family of the build file.")]


class ExportForm(StrEnum):
    """How quotes leave the record."""

    jsonl = "jsonl"
    csv = "csv"


def _shop(common: Common) -> Shop:
    from enginelimits.shop import read_shop, shop_folder

    return read_shop(shop_folder(common.shop))


def _open(common: Common, named: str | None) -> Record:
    """The record; InputError where the answer would be written over it."""
    from enginelimits.measured.record import Record
    from enginelimits.measured.record_place import record_place

    place = record_place(named, _shop(common))
    refuse_inputs(common.output, [place.path] if place.path is not None else [], [])
    return Record(place)


def _signed(common: Common, kind: str, author: str | None, note: str, corrects: str | None) -> Signed:
    from enginelimits.measured.record import signed, wanted_number

    number = wanted_number(kind, corrects, "--corrects") if corrects is not None else None
    return signed(author=author, note=note, as_of=common.as_of, corrects=number)


def _day(text: str | None, key: str) -> date | None:
    try:
        return date.fromisoformat(text) if text is not None else None
    except ValueError:
        problem = Problem("a day as YYYY-MM-DD", repr(text), "Such as 2026-11-25.", key, "command line")
        raise InputError([problem]) from None


@command
def add(
    common: Common,
    build: Annotated[
        Path | None, typer.Argument(metavar="[BUILD]", help="The build file to judge and keep; - reads it.")
    ] = None,
    pull: Annotated[
        Path | None, typer.Option("--pull", metavar="LOG", help="Keep a log, or what `pull --format json` wrote.")
    ] = None,
    quote: Annotated[
        str | None, typer.Option("--quote", metavar="ID", help="The quote that the pull belongs to.")
    ] = None,
    names: Annotated[
        Path | None,
        typer.Option("--names", metavar="FILE", help="What the log's headers mean [default: the shop's logs.yaml]"),
    ] = None,
    note: NOTE = "",
    author: AUTHOR = None,
    customer_reference: Annotated[
        str, typer.Option("--customer-reference", help="A short word of yours, as an order number; no names.")
    ] = "",
    corrects: CORRECTS = None,
    samples: Annotated[
        int, typer.Option("--samples", min=0, max=20_000, help="Draws over what is not known.")
    ] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, max=2**62, help="Where the draws start.")] = 1,
    mountain: MOUNTAIN = None,
    record: RECORD = None,
) -> Answer:
    """Judge a build and keep it, or keep a pull.

    A build is kept with its verdict; a pull is kept with the quote that it belongs to.

    Exit code 0 when it was kept, whatever the grade.

    Example: enginelimits record add build.yaml --customer-reference 2026-118
    """
    if (build is None) == (pull is None):
        got = "both" if build is not None else "neither"
        raise InputError([Problem("a build, or --pull LOG with --quote ID", got, key="BUILD", file="command line")])
    if pull is not None:
        return _add_pull(common, pull, quote, names, note, author, corrects, record)
    for said, key in ((quote, "--quote"), (names, "--names")):
        if said is not None:
            raise InputError([Problem(f"{key} only with --pull", str(said), key=key, file="command line")])
    from enginelimits.measured.record import short_text
    from enginelimits.measured.record_model import Shown
    from enginelimits.measured.record_quote import judged, quote_draft
    from enginelimits.present import jsonform
    from enginelimits.present.record import PERSONAL, added_tree, kept_data
    from enginelimits.present.text import report
    from enginelimits.present.verdict import verdict_tree

    reference = short_text(customer_reference, "--customer-reference")
    signed = _signed(common, "quote", author, note, corrects)
    opened = _open(common, record)
    given = judged(
        str(build) if str(build) == "-" else Path(str(build)), shop=_shop(common), rules=common.rules, samples=samples,
        seed=seed, as_of=common.as_of, mountain_m=height_of(mountain),
    )  # fmt: skip
    shown = Shown(jsonform.check(given.judgement), report(verdict_tree(given.judgement, common.system)))
    draft = quote_draft(given, shown, reference)
    kept = opened.add_quote(draft, signed)
    return common.shown(
        added_tree(kept, opened.place, given.judgement, common.system),
        lambda: kept_data("add", kept, opened.place, signed, digest=draft.files[0].digest, check=shown.data),
        talk=(PERSONAL,) if note or reference else (),
    )


def _add_pull(
    common: Common, path: Path, quote: str | None, names: Path | None, note: str, author: str | None,
    corrects: str | None, record: str | None,
) -> Answer:  # fmt: skip
    from enginelimits.measured.record import pull_draft
    from enginelimits.measured.record_model import id_of
    from enginelimits.present.record import PERSONAL, kept_data, kept_tree

    if quote is None:
        raise InputError([Problem("the quote that the pull belongs to", "none", key="--quote", file="command line")])
    draft = pull_draft(quote, path)
    signed = _signed(common, "pull", author, note, corrects)
    opened = _open(common, record)
    talk = [PERSONAL] if note else []
    if draft.data is None:
        # The digest tells which log it was, even where nothing can be read of it yet.
        try:
            draft = replace(draft, data=_read_log(common, opened.quote(quote), path, names))
        except EngineLimitsError as error:
            talk.append(f"kept by its digest alone, for it could not be read back: {error}")
    kept = opened.add_pull(draft, signed)
    quote = id_of("quote", draft.quote)
    said = f"{draft.file}, SHA-256 {draft.digest[:12]}, of {quote}{', read back' if draft.data is not None else ''}"
    return common.shown(
        kept_tree(kept, opened.place, said),
        lambda: kept_data("add", kept, opened.place, signed, quote=quote, file=draft.file, digest=draft.digest,
                          data=draft.data),
        talk=tuple(talk),
    )


def _read_log(common: Common, whole: QuoteWhole, path: Path, names: Path | None) -> dict[str, Any]:
    """The widest pull of a log, read back on the build as it was kept, as ``pull --format json`` gives it."""
    from enginelimits.decisions.bench import Bench
    from enginelimits.description.load import parse_build
    from enginelimits.measured.csv_log import read_log
    from enginelimits.measured.find import found_in, no_pull
    from enginelimits.measured.names import read_names
    from enginelimits.measured.read_back import read_back
    from enginelimits.measured.record_quote import catalogue_of, kept_build
    from enginelimits.present.pull import Reported, pull_data
    from enginelimits.present.values import finite

    shop = _shop(common)
    named = read_names(names, shop)
    log = read_log(path, named)
    found = found_in(log)
    if not found.pulls:
        raise InputError([no_pull(log, found)])
    widest = max(found.pulls, key=lambda p: (round(float(p.speeds[-1] - p.speeds[0]), 6), p.number))
    row = whole.row
    with kept_build(whole) as written:
        bench = Bench(
            parse_build(written.text, written.name), catalogue_of(shop, common.rules, common.as_of), shop=shop,
            samples=row.samples, seed=row.seed, as_of=common.as_of,
        )  # fmt: skip
        read = read_back(
            widest, bench.build, bench.catalogue, dyno=named.dyno, shop=shop, samples=bench.samples, seed=bench.seed,
            as_of=bench.as_of, anchor=bench.anchor, beside=found.pulls,
        )
        data: dict[str, Any] = finite(pull_data(Reported(read, found.pulls, found.refused)))
        return data


@command
def list_record(
    common: Common,
    since: SINCE = None,
    grade: GRADE = None,
    outcome: OUTCOME = None,
    family: FAMILY = None,
    engine: ENGINE = None,
    record: RECORD = None,
) -> Answer:
    """List what was quoted and what became of it.

    Example: enginelimits record list --grade reinforce --since 2026-01-01
    """
    from enginelimits.measured.record import chosen
    from enginelimits.present.record import list_data, list_tree

    wanted = _filters(since, grade, outcome, family, engine)
    every = _open(common, record).quotes()
    rows = chosen(every, **wanted)
    return common.shown(list_tree(rows, len(every), common.system), lambda: list_data(rows, len(every)))


def _filters(
    since: str | None, grade: str | None, outcome: str | None, family: str | None, engine: str | None
) -> dict[str, Any]:
    from enginelimits.measured.record_model import OUTCOMES
    from enginelimits.rules.grades import GRADES

    for said, known, key in ((grade, GRADES, "--grade"), (outcome, (*OUTCOMES, "none"), "--outcome")):
        if said is not None and said not in known:
            raise InputError([Problem(f"one of {', '.join(known)}", repr(said), key=key, file="command line")])
    return {"since": _day(since, "--since"), "grade": grade, "outcome": outcome, "family": family, "engine": engine}


@command
def show(
    common: Common,
    id: Annotated[str, typer.Argument(metavar="ID", help="The quote, as Q-0001.")],
    today: Annotated[
        bool, typer.Option("--today", help="Judge the kept build again, by today's rules and program.")
    ] = False,
    record: RECORD = None,
) -> Answer:
    """Show a quote as it was shown then.

    And what was learnt since.

    Example: enginelimits record show Q-0001 --today
    """
    from enginelimits.present.record import show_data, show_trees

    whole = _open(common, record).quote(id)
    again = None
    if today:
        from enginelimits.measured.record_quote import judged_again

        again = judged_again(whole, shop=_shop(common), rules=common.rules, as_of=common.as_of)
    before, after = show_trees(whole, again, common.system)
    answer = common.shown(before, lambda: show_data(whole, again))
    if common.form is not Form.text:
        return answer
    return Answer(f"{answer.data}{whole.shown.words}\n{common.words(after)}")


@command
def outcome(
    common: Common,
    id: Annotated[str, typer.Argument(metavar="ID", help="The quote, as Q-0001.")],
    outcome: Annotated[str, typer.Argument(metavar="OUTCOME", help="held, knocked or broke.")],
    part: Annotated[str, typer.Option("--part", help="What broke, as rods, pistons, clutch.")] = "",
    at: Annotated[str | None, typer.Option("--at", metavar="DATE", help="The day [default: today]")] = None,
    distance: Annotated[
        str | None, typer.Option("--distance", help='How far it had run since the work, as "3000 km".')
    ] = None,
    note: NOTE = "",
    author: AUTHOR = None,
    corrects: CORRECTS = None,
    record: RECORD = None,
) -> Answer:
    """Keep what became of a quoted engine.

    Several over time are welcome.

    Example: enginelimits record outcome Q-0001 held --at 2026-10-01 --distance "3000 km"

    With --corrects an outcome stands in place of another; the word withdrawn takes one back.
    """
    from enginelimits.measured.record import outcome_draft
    from enginelimits.measured.record_model import id_of
    from enginelimits.present.record import PERSONAL, kept_data, kept_tree

    draft = outcome_draft(
        id, outcome, part=part, at=_day(at, "--at"), distance_m=_metres(distance, "--distance"), as_of=common.as_of,
        correcting=corrects is not None,
    )  # fmt: skip
    signed = _signed(common, "outcome", author, note, corrects)
    opened = _open(common, record)
    kept = opened.add_outcome(draft, signed)
    quote = id_of("quote", draft.quote)
    said = f"{quote} {outcome} {part}".strip()
    return common.shown(
        kept_tree(kept, opened.place, said),
        lambda: kept_data("outcome", kept, opened.place, signed, quote=quote, outcome=outcome, part=part or None,
                          happened_on=draft.happened_on, distance=draft.distance_m),
        talk=(PERSONAL,) if note else (),
    )


def _metres(text: str | None, key: str) -> float | None:
    if text is None:
        return None
    from enginelimits.units.grammar import GrammarError, split
    from enginelimits.units.registry import to_si

    try:
        written = split(text)
        if written.value is None or written.shape != "point" or written.unit not in ("km", "mi", "m"):
            raise GrammarError("a distance", repr(text[:40]))
        return to_si(written.value, written.unit, "m")
    except GrammarError as error:
        problem = Problem("one distance in km or mi", error.got, 'As "3000 km".', key, "command line")
        raise InputError([problem]) from None


@command
def export(
    common: Common,
    kind: Annotated[
        ExportForm | None, typer.Option("--as", help="JSON lines or a sheet [default: by the name of -o, else jsonl]")
    ] = None,
    whole: Annotated[
        bool, typer.Option("--whole", help="With build files, margins and verdicts as shown (jsonl).")
    ] = False,
    since: SINCE = None,
    grade: GRADE = None,
    outcome: OUTCOME = None,
    family: FAMILY = None,
    engine: ENGINE = None,
    record: RECORD = None,
) -> Answer:
    """Write the quotes out for other programs.

    With what became of them, as a sheet or as JSON lines.

    Example: enginelimits record export -o quotes.csv
    """
    from enginelimits.measured.record import chosen
    from enginelimits.present.record import export_csv, export_data, export_lines
    from enginelimits.present.tree import Tree

    wanted = _filters(since, grade, outcome, family, engine)
    opened = _open(common, record)
    rows = chosen(opened.quotes(), **wanted)
    as_sheet = common.output is not None and common.output.suffix.lower() == ".csv"
    if common.form is Form.json:
        return common.shown(Tree("", ()), lambda: export_data(_exported(opened, rows, whole)))
    if kind is ExportForm.csv or (kind is None and as_sheet):
        if whole:
            raise InputError([Problem("--whole only with jsonl", "csv", key="--whole", file="command line")])
        return Answer(export_csv(rows))
    return Answer(export_lines(_exported(opened, rows, whole)))


def _exported(opened: Record, rows: Sequence[QuoteRow], whole: bool) -> list[dict[str, Any]]:
    from enginelimits.present.record import quote_data, whole_data

    return [whole_data(opened.quote(row.id)) if whole else quote_data(row) for row in rows]


@command
def review(
    common: Common,
    family: Annotated[str | None, typer.Option("--family", help="Only the rules of this family.")] = None,
    rule: Annotated[str | None, typer.Option("--rule", help="Only this rule, as ROD003.")] = None,
    since: SINCE = None,
    engine: ENGINE = None,
    tolerated: Annotated[
        str, typer.Option("--tolerated", help="The share of breaks that a threshold may let through.")
    ] = "10 %",
    proven: Annotated[
        str, typer.Option("--proven", help="How far an engine must have held to speak for a milder threshold.")
    ] = "10000 km",
    full: Annotated[bool, typer.Option("--full", help="Tell every rule and limit.")] = False,
    record: RECORD = None,
) -> Answer:
    """Hold grades against what became of engines.

    Counts by grade, family and rule, and what the history would say of thresholds; it proposes, and changes nothing.

    Example: enginelimits record review --family driveline
    """
    from enginelimits.measured.record import chosen
    from enginelimits.measured.record_quote import catalogue_of
    from enginelimits.measured.record_review import review as reviewed
    from enginelimits.present.record_review import review_data, review_tree

    share, proven_m = _share(tolerated, "--tolerated"), _metres(proven, "--proven")
    opened = _open(common, record)
    rows = chosen(opened.quotes(), since=_day(since, "--since"), engine=engine)
    catalogue = catalogue_of(_shop(common), common.rules, common.as_of)
    found = reviewed(
        rows, opened.margins(), family=family, rule=rule.upper() if rule else None, tolerated=share,
        proven_m=proven_m or 0.0, day=common.as_of, parts={r.id: r.part for r in catalogue.rules.values()},
    )  # fmt: skip
    return common.shown(review_tree(found, common.system, full=full), lambda: review_data(found))


def _share(text: str, key: str) -> float:
    from enginelimits.units.grammar import GrammarError, split
    from enginelimits.units.registry import to_si

    try:
        written = split(text)
        share = to_si(written.value, written.unit, "1") if written.value is not None else -1.0
    except GrammarError:
        share = -1.0
    if not 0.0 < share < 1.0:
        raise InputError([Problem("a share between 0 and 100 %", repr(text[:40]), "As 10 %.", key, "command line")])
    return share


record = typer.Typer(
    help="Keep quotes, pulls and outcomes, and review them.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
record.command()(add)
record.command("list")(list_record)
record.command()(show)
record.command()(outcome)
record.command()(export)
record.command()(review)
