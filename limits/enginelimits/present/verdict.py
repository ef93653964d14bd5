"""The answer of ``check``: a report that fits one screen, or all of it in words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING

from enginelimits.decisions.influence import nearest_numbers, weightiest
from enginelimits.decisions.stacking import governing_quantity
from enginelimits.decisions.verdict import Because, Finding, Judgement, NotJudged, RemedyShown
from enginelimits.present.ambients import mountain_lines, mountain_output
from enginelimits.present.tree import Heading, Item, Line, Node, Notice, Role, Run, Tree, line
from enginelimits.present.values import (
    at_text,
    because_text,
    input_text,
    range_text,
    result_text,
    value_text,
)
from enginelimits.present.warnings import short_warnings

if TYPE_CHECKING:
    from enginelimits.units.display import System

_SENTENCE_END = re.compile(r"(?<=\.)\s+(?=[A-Z])")
_UNIT_IN_RANGE = re.compile(r" (\S+) \((\S+ to \S+) \1\)$")
STRONGEST = 5
SHOWN_GAPS = 3
SHOWN_ASSUMED = 3
SHOWN_NUMBERS = 2
SHOWN_TITLES = 8
# Above this chance, no measurement of the build is likely to lift a finding.
LIKELY = 0.67

NOTHING_YET = "nothing found so far"
GRADE_ROLES: dict[str, Role] = {
    "clear": "clear",
    "note": "note",
    "caution": "caution",
    "reinforce": "reinforce",
    "decline": "decline",
}
# What a calibrator asks for first, where the assessment has it.
FIGURES = (
    ("crank.power", "power at the crank"),
    ("wheel.power", "displayed at the wheels"),
    ("crank.torque", "torque"),
    ("air.boost", "boost"),
    ("cylinder.peak_pressure", "peak cylinder pressure"),
    ("combustion.torque_lost", "torque given away to knock"),
    ("exhaust.temperature", "exhaust"),
    ("engine.torque_cap", "torque cap"),
)
WITH_PLACE = ("crank.torque", "engine.torque_cap")
ONLY_BOOSTED = ("engine.torque_cap",)
WITH_SPREAD = ("crank.power", "wheel.power")


def verdict_tree(judgement: Judgement, system: System = "metric", *, full: bool = False) -> Tree:
    """The report of one judged build: the strongest findings in short, or everything when ``full``."""
    nodes: list[Node] = [
        *_headline(judgement, system, full),
        *finding_nodes(judgement, system, full),
        *(gap_nodes(judgement) if full else _gaps(judgement)),
        *assumed_nodes(judgement, system, full),
        *notice_nodes(judgement, full),
        *(line(Run(f"Shop value: {said}", "strong")) for said in judgement.shop_values),
        *(sureness_lines(judgement, system) if full else ()),
        footing_line(judgement),
    ]
    return Tree(judgement.name, tuple(nodes))


def spoken(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that have a grade of their own, worst first as they came."""
    return tuple(f for f in findings if f.grade != "clear")


def _headline(judgement: Judgement, system: System, full: bool) -> list[Node]:
    figures = figures_line(judgement, system, full)
    return [
        verdict_line(judgement, system),
        *([figures] if figures is not None else []),
        *mountain_lines(judgement.assessment, system),
        *mountain_output(judgement.assessment, system),
    ]


def verdict_line(judgement: Judgement, system: System = "metric") -> Line:
    """The verdict, what limits, and what it means; an open one never looks clear."""
    verdict = judgement.verdict
    sentence = sentence_of(judgement)
    if verdict.grade == "clear" and not verdict.complete:
        # An open verdict must not look like a clear one, whatever its sentence says.
        said = sentence if NOTHING_YET in sentence.lower() else f"{NOTHING_YET.capitalize()}. {sentence}"
        return line(Run("INCOMPLETE", "unknown"), f": {said}")
    grade = Run(verdict.grade.upper(), GRADE_ROLES[verdict.grade])
    if judgement.out_of_range and verdict.grade in ("note", "caution"):
        # Beyond the formulas a mild grade is only what little could be said.
        grade = Run(f"INCOMPLETE, so far {verdict.grade.upper()}", "unknown")
    return line(grade, *_limiting(judgement, system), f". {sentence}")


def sentence_of(judgement: Judgement) -> str:
    """The verdict's own sentence, which never passes over what is open."""
    sentence = judgement.verdict.sentence
    if judgement.verdict.complete or "could not be judged" in sentence:
        return sentence
    return f"{sentence} {_counted(len(judgement.verdict.open), 'rule')} could not be judged.".strip()


def _limiting(judgement: Judgement, system: System) -> tuple[Run | str, ...]:
    """What limits, and where."""
    limiting = judgement.verdict.limiting
    if limiting is None:
        return ()
    finding = next((f for f in judgement.findings if f.rule == limiting.rule), None)
    if finding is None:
        return (", limited by ", Run(limiting.rule, "strong"))
    decisive = _decisive(finding.because, limiting.quantity)
    place = at_text(decisive.at, system) if decisive is not None else ""
    title = Run(lowered(finding.title, 1), "strong")
    return (", limited by ", title, f" ({finding.rule})", f" {place}" if place else "")


def _decisive(because: Sequence[Because], quantity: str | None) -> Because | None:
    named = [b for b in because if b.name == quantity]
    return next((b for b in [*named, *because] if b.limit is not None), next(iter([*named, *because]), None))


def figures_line(judgement: Judgement, system: System, full: bool) -> Line | None:
    results = judgement.assessment.quantities
    asked, at = judgement.filled.get("goal.power"), judgement.filled.get("goal.at")
    boost = results.get("air.boost")
    boosted = boost is not None and bool(boost.value)
    told = []
    torque, standard = (judgement.filled.get(p) for p in ("goal.torque", "engine.standard_output.power.value"))
    wanted = [value_text(one.value, one.unit, system) for one in (asked, torque) if one is not None and one.value]
    if wanted:
        where = f" at the {at.value}" if at is not None and at.value else ""
        told.append(f"asked {' and '.join(wanted)}{where}")
    at_crank = at is not None and at.value == "crank"  # at the wheels less may be shown for more
    if at_crank and asked is not None and standard is not None and _below(asked.value, standard.value):
        told[-1] += f", less than the maker's {value_text(standard.value, standard.unit, system)} without any work"
    for id_, words in FIGURES:
        result = results.get(id_)
        elsewhere = id_ == "wheel.power" and at is not None and at.value == "crank"
        unasked = id_ in ONLY_BOOSTED and not boosted
        # No boost is nothing to tell, and neither is a dyno that nobody asked about.
        nil = id_ == "combustion.torque_lost" and result is not None and abs(result.value or 0.0) < 0.0005
        if result is not None and result.status == "ok" and result.value and not (elsewhere or unasked or nil):
            place = at_text(result.at, system) if full or id_ in WITH_PLACE else ""
            spread = full or id_ in WITH_SPREAD
            said = result_text(result if spread else replace(result, low=None, high=None), system)
            told.append(f"{words} {said if full else short_range(said)}{' ' + place if place else ''}")
    return line(Run("Figures: ", "muted"), "; ".join(told) + ".") if told else None


def _below(asked: object, standard: object) -> bool:
    # within two per cent a goal is the maker's own figure, rounded
    return isinstance(asked, float) and isinstance(standard, float) and asked < 0.98 * standard


def short_range(text: str) -> str:
    """A value with its range, the unit once: ``269 kW (249 to 289)`` for ``269 kW (249 to 289 kW)``."""
    return _UNIT_IN_RANGE.sub(r" \1 (\2)", text)


def finding_nodes(judgement: Judgement, system: System, full: bool) -> list[Node]:
    graded = spoken(judgement.findings)
    # What the customer should be told stands in full only where there is nothing worse to tell.
    worse = tuple(f for f in graded if f.grade != "note") or graded
    told = graded if full else worse[:STRONGEST]
    rest = graded[len(told) :]
    nodes: list[Node] = []
    if told:
        count = f"{len(told)} " if len(told) > 1 else ""
        nodes.append(Heading(f"Cautions, the {count}strongest of {len(graded)}" if rest else "Cautions"))
    for number, finding in enumerate(told, 1):
        taken = taken_for_granted(judgement, finding, system)
        nodes.append((_whole_finding if full else _finding)(number, finding, system, taken))
    if rest:
        nodes.append(_rest(rest))
    silent = [f for f in judgement.findings if f.grade == "clear" and f.could_be]
    if silent:
        words = ", ".join(f"{f.title} ({f.rule}, could be {f.could_be})" for f in silent)
        nodes.append(line(Run("Open: ", "muted"), f"{words}."))
    return nodes


def taken_for_granted(judgement: Judgement, finding: Finding, system: System) -> str:
    """What the finding speaks of as a fact and nobody stated: parts and kinds that a class assumed, and the numbers of
    its own part that what it turns on is computed from."""
    given = (judgement.filled.get(path) for path in finding.reads)
    assumed = [g for g in given if g is not None and g.basis == "assumed" and isinstance(g.value, str | bool)]
    lead = _decisive(finding.because, governing_quantity(finding))
    numbers = nearest_numbers(judgement, lead)[:SHOWN_NUMBERS] if lead is not None else ()
    told = [*assumed, *(g for g in numbers if g not in assumed)]
    return ", ".join(f"{g.path} {value_text(g.value, g.unit, system, kind=g.kind, hint=g.path)}" for g in told)


def _finding(number: int, finding: Finding, system: System, taken: str = "") -> Item:
    """Number, limit, reason and the mildest remedy of one finding in a paragraph."""
    said = finding.short(system)
    granted = (Run("Assumed: ", "muted"), Run(taken, "assumed"), ". ") if taken else ()
    words = (
        f"{said or _comparisons(finding, system) + '.'} ",
        *granted,
        f"{first_sentence(finding.why)} ",
        Run("Remedy: ", "muted"),
        *_remedy(finding, finding.remedies[:1], settled=unsettled(finding) and "settled by" not in said),
    )
    return Item(f"{number}.", (*_head(finding), *line(". ", *words).runs))


def _whole_finding(number: int, finding: Finding, system: System, taken: str = "") -> Item:
    """Everything that is known of one finding."""
    under = [line(finding.whole(system) or f"{_comparisons(finding, system)}.", *_limit_drawn(finding, system))]
    if taken:
        under.append(line(Run("Assumed: ", "muted"), Run(taken, "assumed"), "."))
    under.append(line(finding.why))
    unsaid = bool(finding.settled_by) and finding.settled_by not in finding.message
    under.append(
        line(Run("Remedy: ", "muted"), *_remedy(finding, finding.remedies, settled=unsaid, whole=True))
    )
    if finding.caveats:
        under.append(line(Run("Mind: ", "muted"), " ".join(finding.caveats)))
    return Item(f"{number}.", _head(finding), tuple(under))


def _limit_drawn(finding: Finding, system: System) -> Iterable[str]:
    """How far the limit of the leading comparison is itself in doubt."""
    lead = next((b for b in finding.because if b.limit is not None), None)
    if lead is None or lead.limit is None or lead.limit.low is None:
        return
    spread = range_text(lead.limit.low, lead.limit.high, lead.limit.unit, system, hint=lead.name)
    if spread:
        yield f" The limit itself was drawn from {spread}."


def first_sentence(text: str) -> str:
    """One sentence, as far as its first semicolon; `rules explain` and --full tell the whole."""
    return _SENTENCE_END.split(text, maxsplit=1)[0].partition(";")[0].rstrip(".") + "."


def _head(finding: Finding) -> tuple[Run, ...]:
    return (
        Run(finding.grade.upper(), GRADE_ROLES[finding.grade]),
        Run(f" {finding.title} "),
        Run(f"({', '.join(_credentials(finding))})", "muted"),
    )


def _comparisons(finding: Finding, system: System) -> str:
    return "; ".join(because_text(b, system) for b in finding.because[:2])


def _credentials(finding: Finding) -> list[str]:
    told = [finding.rule]
    if finding.chance is not None:
        word = f"{finding.chance_word} " if finding.chance_word else ""
        told.append(
            f"chance {word}{finding.chance * 100:.0f} %" + (", borderline" if finding.borderline else "")
        )
    if finding.uncapped and finding.uncapped != finding.grade:
        why = "low confidence" if finding.confidence == "low" else "on weaker evidence"
        told.append(f"{finding.uncapped} by the numbers, {why}")
    elif finding.confidence == "low":
        told.append("low confidence")
    if finding.could_be and finding.could_be != finding.grade:
        lacking = f" without {', '.join(finding.missing[:2])}" if finding.missing else ""
        told.append(f"could be {finding.could_be}{lacking}")
    hot = next((b.at.ambient for b in finding.because if b.at is not None and b.at.ambient != "site"), "")
    if hot:
        told.append(hot)
    return told


def _remedy(
    finding: Finding, remedies: Sequence[RemedyShown], *, settled: bool, whole: bool = False
) -> list[Run | str]:
    """Remedies as alternatives, then the measurement that decides."""
    said = [r.say.rstrip(".") for r in remedies]
    parts: list[Run | str] = [Run("; or ".join(lowered(s, 1) for s in said) + ".", "remedy")] if said else []
    if not said:
        parts.append("none on record; ask for less, or measure.")
    if settled and finding.settled_by:
        by = finding.settled_by if whole else first_sentence(finding.settled_by)
        parts += [Run(" Settled by: ", "muted"), lowered(by, 1)]
    return parts


def unsettled(finding: Finding) -> bool:
    """Whether a measurement could move the grade."""
    return bool(
        finding.borderline
        or finding.could_be
        or (finding.confidence == "low" and (finding.chance is None or finding.chance < LIKELY))
        or finding.uncapped != finding.grade
    )


def lowered(sentence: str, place: int) -> str:
    """A sentence that goes on after another: its first word in small letters, unless it is a symbol."""
    if place and len(sentence) > 1 and sentence[0].isupper() and sentence[1].islower():
        return sentence[0].lower() + sentence[1:]
    return sentence


def _rest(findings: Sequence[Finding]) -> Line:
    """The others by grade, rule and title; where they are many, the mildest by rule alone."""
    parts: list[Run | str] = [Run("Also ", "muted")]
    seen = 0
    for place, (grade, alike) in enumerate(groupby(findings, key=attrgetter("grade"))):
        these = tuple(alike)
        named = ", ".join(
            f"{f.rule} {lowered(f.title, 1)}" if count < SHOWN_TITLES else f.rule
            for count, f in enumerate(these, seen)
        )
        seen += len(these)
        parts += ["; " if place else "", Run(grade, GRADE_ROLES[grade]), f": {named}"]
    return line(*parts, " (all titles: --full)." if seen > SHOWN_TITLES else ".")


def by_lack(judgement: Judgement) -> list[tuple[str, list[NotJudged]]]:
    """What could not be judged, by what is missing, so that one answer of the customer's settles most."""
    found: dict[str, list[NotJudged]] = {}
    for rule in judgement.not_judged:
        named = " and ".join(rule.missing[:3])
        found.setdefault(f"needs {named}" if named else rule.reason or "no reason recorded", []).append(rule)
    for rule in judgement.out_of_range:
        found.setdefault(rule.reason or "beyond the range of a formula", []).append(rule)
    return sorted(found.items(), key=lambda entry: (-len(entry[1]), entry[0]))


def _gap(lack: str, rules: Sequence[NotJudged]) -> tuple[Run, Run]:
    return Run(lack, "strong"), Run(": " + ", ".join(f"{r.title} ({r.rule})" for r in rules))


def _gaps(judgement: Judgement) -> list[Node]:
    """What could not be judged, in a paragraph."""
    ordered = by_lack(judgement)
    if not ordered:
        return []
    count = sum(len(rules) for _, rules in ordered)
    parts: list[Run] = [Run(f"Could not be judged, {_counted(count, 'rule')}: ", "strong")]
    for place, (lack, rules) in enumerate(ordered[:SHOWN_GAPS]):
        more = f" and {len(rules) - 2} more" if len(rules) > 2 else ""
        parts += [Run("; " if place else ""), *_gap(lack, rules[:2]), Run(more)]
    left = ordered[SHOWN_GAPS:]
    if left:
        lost = sum(len(rules) for _, rules in left)
        parts.append(Run(f"; and {_counted(lost, 'rule')} for want of {_counted(len(left), 'other input')}"))
    return [line(*parts, ".")]


def gap_nodes(judgement: Judgement) -> list[Node]:
    ordered = by_lack(judgement)
    if not ordered:
        return []
    count = sum(len(rules) for _, rules in ordered)
    heading = Heading(f"Could not be judged: {_counted(count, 'rule')}")
    return [heading, *(Item("-", _gap(lack, rules)) for lack, rules in ordered)]


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def assumed_nodes(judgement: Judgement, system: System, full: bool) -> list[Node]:
    ranked = weightiest(judgement)
    if not ranked:
        return []
    own = [given for given in ranked if full or not given.path.startswith("class.")]
    told = own if full else own[:SHOWN_ASSUMED]
    if full:
        items = (Item("-", (Run(f"{g.path} {input_text(g, system)}", "assumed"),)) for g in told)
        return [Heading("Assumed, what weighs most first"), *items]
    shown = [f"{given.path} {short_range(input_text(given, system))}" for given in told]
    left = len(ranked) - len(shown)
    more = f"; and {left} more" if left else ""
    return [line(Run("Assumed: ", "strong"), Run("; ".join(shown), "assumed"), f"{more}.")]


def notice_nodes(judgement: Judgement, full: bool) -> list[Node]:
    """Warnings and questions; in short the first warning in full and the others in few words."""
    if full:
        nodes: list[Node] = [Notice(words) for words in judgement.notices]
        return [*nodes, *(Notice(words, "question") for words in judgement.questions)]
    if not judgement.notices and not judgement.questions:
        return []
    nodes = [*short_warnings(judgement.notices, more=" (in full: --full)")]
    return [*nodes, *([Notice(" ".join(judgement.questions), "question")] if judgement.questions else [])]


def footing_line(judgement: Judgement) -> Line:
    layers = ", ".join(f"{layer.name} {layer.version}".strip() for layer in judgement.layers)
    rules = f"Rules: {layers or 'none'}; {judgement.as_of}."
    if not judgement.samples_asked:
        return line(Run(f"{rules} No draws were made, so there are no ranges and no chances.", "muted"))
    valid, asked = judgement.samples_valid, judgement.samples_asked
    drawn = f"{asked} draws" if valid == asked else f"{valid} of {asked} draws"
    limits = " of inputs and limits" if judgement.limits_drawn else ""
    return line(Run(f"{rules} {drawn}{limits}; chance is of crossing, not breakage.", "muted"))


def sureness_lines(judgement: Judgement, system: System) -> Iterable[Line]:
    """What so many draws are good for, and how limits were drawn."""
    from enginelimits.decisions.settling import sureness
    from enginelimits.rules.doubt import SHARES

    sure = sureness(judgement)
    if sure.tail is None:
        return
    said = [f"With {judgement.samples_valid} draws a chance near 10 % is known to {100 * sure.tail:.0f} points"]
    if sure.chance is not None:
        said.append(f"any chance told here to {100 * sure.chance:.0f}")
    if sure.low is not None and sure.high is not None:
        ends = " and ".join(value_text(end, "W", system) for end in (sure.low, sure.high))
        said.append(f"the ends of the power at the crank to {ends}")
    words = f"{', '.join(said)}, each as one standard error."
    if judgement.limits_drawn:
        wide = ", ".join(f"{100 * share:.0f} % at {name} confidence" for name, share in SHARES.items())
        words += (f" {judgement.limits_drawn} limits were drawn too: 5th and 95th percentile {wide} to either "
                  "side, unless the rule states them.")
    yield line(Run(words, "muted"))
