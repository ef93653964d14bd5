"""The enthusiast's page: curves, what each goal unlocks, every finding with its reason, words explained, sources."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.present.ladder import ladder_tree
from enginelimits.present.page.everything import assumptions, footing, found, short, told
from enginelimits.present.page.parts import Matter, Page, Part, of_parts
from enginelimits.present.page.wording import CHANCES, GRADE_MEANINGS
from enginelimits.present.tree import Node, Run, line, table
from enginelimits.present.verdict import GRADE_ROLES, spoken
from enginelimits.units.sources import SOURCES

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Finding, Judgement

ASSUMED = 30
CURVES = ("torque-and-power", "margins")
INSIDE = ("cylinder-pressure", "rod-force")


def enthusiast_page(matter: Matter) -> Page:
    """What somebody reads who wants to know why."""
    judgement, system = matter.judgement, matter.system
    drawn = {plot.name: plot for plot in matter.plots}
    missing = matter.why_without("plots")
    lacking: tuple[Node, ...] = (line(Run(f"Not drawn: {missing}.", "muted")),) if missing else ()
    parts = (
        Part("short", "In short", tuple(short(judgement, system))),
        Part("curves", "Torque, power and what limits them", lacking,
             plots=tuple(drawn[n] for n in CURVES if n in drawn)),
        Part("ladder", "What each goal unlocks", tuple(_ladder(matter)),
             plots=tuple(p for n, p in drawn.items() if n == "ladder")),
        Part("inside", "Inside the engine", (), plots=tuple(drawn[n] for n in INSIDE if n in drawn)),
        Part("findings", "Every finding, and why", tuple(found(judgement, system))),
        Part("notices", "Notices and open questions", tuple(told(judgement))),
        Part("sources", "Sources and confidence", tuple(_sources(judgement))),
        Part("assumptions", "What was assumed", tuple(assumptions(judgement, system, ASSUMED))),
        Part("words", "Words", tuple(_words(judgement))),
        Part("footing", "What the figures rest on", tuple(footing(judgement, system))),
    )
    subtitle = "What limits this engine, and why"
    return Page("enthusiast", judgement.name, subtitle, "en", judgement.as_of, of_parts(parts), contents=True)


def _ladder(matter: Matter) -> Iterable[Node]:
    if matter.ladder is None:
        yield line(Run(f"There is no ladder of boost: {matter.why_without('ladder') or 'not asked for'}.", "muted"))
        return
    yield from ladder_tree(matter.ladder, matter.system).nodes


def _sources(judgement: Judgement) -> Iterable[Node]:
    rows: list[list[Run | str]] = [
        [f"{f.rule} {f.title}", f.evidence or "practice", f.confidence, "\n".join(_cited(f))]
        for f in spoken(judgement.findings)
    ]
    if rows:
        yield table(("rule", "its limits rest on", "confidence", "sources"), rows, wide=3,
                    caption="What each rule that spoke rests on")


def _cited(finding: Finding) -> Iterable[str]:
    for source in finding.sources:
        known = SOURCES.get(source.get("id", ""))
        if known is None:
            yield ", ".join(f"{value}" for value in source.values())
            continue
        by = ", ".join(filter(None, (known.authors, str(known.year or ""), known.title)))
        where = f", {source['at']}" if source.get("at") else ""
        gives = f" ({source['gives']})" if source.get("gives") else ""
        yield f"{by}{where}{gives}"


def _words(judgement: Judgement) -> Iterable[Node]:
    grades: list[list[Run | str]] = [[Run(g, GRADE_ROLES[g]), meaning] for g, meaning in GRADE_MEANINGS.items()]
    yield table(("grade", "means"), grades, wide=1, caption="Grades, mildest first")
    chances = [[word, f"{meaning}: the share of draws in which the limit is crossed, not of engines that break"]
               for word, meaning in CHANCES.items()]
    yield table(("chance", "means"), chances, wide=1, caption="Words for chance")
    named = {b.name for f in judgement.findings for b in f.because if b.name in QUANTITIES}
    words = [[name, QUANTITIES[name].meaning] for name in sorted(named)]
    if words:
        yield table(("quantity", "what it is"), words, wide=1, caption="Quantities that the findings speak of")
