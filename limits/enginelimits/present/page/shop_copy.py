"""The shop's copy: what judged the quote, whose numbers, who said what, what is open, and what became of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING

from enginelimits import __version__
from enginelimits.present.page.customer import quoted, ways
from enginelimits.present.page.duties import duties
from enginelimits.present.page.everything import assumptions, footing, found, short, told
from enginelimits.present.page.parts import BLANK, LONG_BLANK, SHORT_BLANK, Matter, Page, Part, of_parts
from enginelimits.present.tree import Node, Run, line, table
from enginelimits.present.values import value_text

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.description.filled import Input
    from enginelimits.units.display import System

ASSUMED = 20
# What fill makes of the other statements.
BESIDE = ("class.", "protections.", "engine.standard.")


def shop_page(matter: Matter) -> Page:
    """What the shop keeps."""
    judgement, system = matter.judgement, matter.system
    parts = (
        Part("short", "In short", tuple(short(judgement, system))),
        Part("quote", "The quote", tuple(_quote(matter))),
        Part("layers", "Which rules judged", tuple(_layers(matter))),
        Part("ways", "Ways to go", tuple(ways(matter))),
        Part("findings", "Cautions shown, and what was not judged", tuple(found(judgement, system))),
        Part("notices", "Notices and open questions", tuple(told(judgement))),
        Part("outcome", "What became of it", tuple(_outcome(system))),
        Part("duties", "Maintenance card", tuple(duties(judgement, system, quoted(matter.plan)))),
        Part("said", "Who said what", tuple(_said(judgement, system))),
        Part("assumptions", "What was assumed", tuple(assumptions(judgement, system, ASSUMED))),
        Part("footing", "What the figures rest on", tuple(footing(judgement, system))),
    )
    subtitle = "The shop's copy of a quote"
    return Page("shop", judgement.name, subtitle, "en", judgement.as_of, of_parts(parts), contents=True)


def _quote(matter: Matter) -> Iterable[Node]:
    judgement, verdict = matter.judgement, matter.judgement.verdict
    engine = judgement.filled.get("engine.family")
    asked = judgement.filled.get("goal.power")
    rows: list[list[Run | str]] = [
        ["number in the record", BLANK], ["customer's reference", BLANK], ["written by", BLANK],
        ["judged as of", judgement.as_of], ["build file", matter.build_file], ["its SHA-256", matter.digest or "-"],
        ["engine family", str(engine.value) if engine is not None and engine.value else BLANK],
        ["power asked", "-" if asked is None else value_text(asked.value, asked.unit, matter.system)],
        ["grade", verdict.grade], ["complete", "yes" if verdict.complete else "no"],
        ["limited by", verdict.limiting.rule if verdict.limiting is not None else "-"],
        ["draws", f"{judgement.samples_valid} of {judgement.samples_asked}, seed {judgement.seed}"],
        ["rules evaluated by", judgement.inference], ["version of the program", __version__],
    ]
    yield table(("field", "value"), rows, wide=1, caption="What `record add` keeps of this quote")


def _layers(matter: Matter) -> Iterable[Node]:
    rows: list[list[Run | str]] = [[la.name, la.version, la.digest] for la in matter.judgement.layers]
    yield table(("layer", "version", "digest"), rows, wide=2, caption="Layers of the catalogue, the last on top")
    catalogue = matter.catalogue
    listed = (("Shop's own numbers in force", catalogue.overrides), ("Expired", catalogue.expired),
              ("Dated later than this judgement", catalogue.to_come))
    for title, overrides in listed:
        told_rows: list[list[Run | str]] = []
        for one in overrides:
            shipped = catalogue.shipped.get(one.rule, {})
            limits = "\n".join(f"{n} {amount} (shipped {shipped.get(n, 'none')})" for n, amount in one.limits.items())
            scope = "; ".join(f"{path} {', '.join(words)}" for path, words in one.scope.items())
            until = f" until {one.expires}" if one.expires else ""
            told_rows.append([one.rule, limits, scope or "all builds", one.author, f"{one.date}{until}", one.reason])
        if told_rows:
            yield table(("rule", "limits", "for", "by", "date", "reason"), told_rows, wide=5, caption=title)
    if not catalogue.overrides:
        yield line("No number of the shop's own is in force: every limit is as shipped.")


def _said(judgement: Judgement, system: System) -> Iterable[Node]:
    counted = Counter(given.basis for given in judgement.filled.inputs.values() if given.value is not None)
    yield line(f"Of {sum(counted.values())} inputs {counted['measured']} are measured, {counted['documented']} stated "
               "in the build file without a measurement, and ", Run(f"{counted['assumed']} assumed", "assumed"), ".")
    rows = [_statement(given, system) for path, given in sorted(judgement.filled.inputs.items())
            if given.basis != "assumed" and not path.startswith(BESIDE) and given.value is not None]
    yield table(("stated", "value", "basis", "from", "said by"), rows, wide=1, caption="What was stated, and by whom")


def _statement(given: Input, system: System) -> list[Run | str]:
    words = value_text(given.value, given.unit, system, kind=given.kind, hint=given.path)
    source = "; ".join(filter(None, (given.source, given.note)))
    return [given.path, words, {"documented": "stated"}.get(given.basis, given.basis), source or "the build file",
            SHORT_BLANK]


def _outcome(system: System) -> Iterable[Node]:
    distance = "mi" if system == "us" else "km"
    rows: list[list[Run | str]] = [
        ["work done, way chosen", LONG_BLANK], ["logs and plugs at hand-over", LONG_BLANK],
        ["held [ ]  knocked [ ]  broke [ ]", f"on {BLANK} after {SHORT_BLANK} {distance}"], ["part", LONG_BLANK],
        ["fuel in the tank, ethanol measured", LONG_BLANK], ["calibration unchanged", "yes [ ]  no [ ]  not known [ ]"],
        ["cause, and what was ruled out", LONG_BLANK], ["what the caution had said", LONG_BLANK],
        ["what the shop changes in its rules", LONG_BLANK],
    ]
    yield table(("field", "to fill in"), rows, wide=1, caption="For `record outcome`")
    yield table(("", "name", "date", "signature"), [["for the workshop", BLANK, BLANK, LONG_BLANK]], wide=3,
                caption="Signature")
