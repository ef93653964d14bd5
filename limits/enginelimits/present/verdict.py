"""The answer of ``check`` as a report that fits one screen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from enginelimits.decisions.influence import weightiest
from enginelimits.decisions.verdict import Because, Finding, Judgement, NotJudged
from enginelimits.present.tree import Heading, Item, Line, Node, Notice, Role, Run, Tree, line
from enginelimits.present.values import (
    at_text,
    because_text,
    input_text,
    result_text,
    value_text,
)

if TYPE_CHECKING:
    from enginelimits.units.display import System

_SENTENCE_END = re.compile(r"(?<=\.)\s+(?=[A-Z])")
STRONGEST = 5
SHOWN_GAPS = 4
SHOWN_REMEDIES = 2
SHOWN_ASSUMED = 6
SHOWN_TITLES = 6

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
    ("knock.margin", "knock margin in octane numbers"),
)
WITH_PLACE = ("crank.torque", "cylinder.peak_pressure")


def verdict_tree(judgement: Judgement, system: System = "metric") -> Tree:
    """The report of one judged build."""
    nodes: list[Node] = [
        *_headline(judgement, system),
        *_findings(judgement, system),
        *_gaps(judgement),
        *_assumed(judgement, system),
        *_notices(judgement),
        _footing(judgement),
    ]
    return Tree(judgement.name, tuple(nodes))


def spoken(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that have a grade of their own, worst first as they came."""
    return tuple(f for f in findings if f.grade != "clear")


def _headline(judgement: Judgement, system: System) -> list[Node]:
    verdict = judgement.verdict
    sentence = _sentence(judgement)
    if verdict.grade == "clear" and not verdict.complete:
        # An open verdict must not look like a clear one, whatever its sentence says.
        said = sentence if NOTHING_YET in sentence.lower() else f"{NOTHING_YET.capitalize()}. {sentence}"
        nodes: list[Node] = [line(Run("INCOMPLETE", "unknown"), f": {said}")]
    else:
        grade = Run(verdict.grade.upper(), GRADE_ROLES[verdict.grade])
        nodes = [line(grade, *_limiting(judgement, system), f". {sentence}")]
    figures = _figures(judgement, system)
    return [*nodes, figures] if figures is not None else nodes


def _sentence(judgement: Judgement) -> str:
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
    title = Run(_lowered(finding.title, 1), "strong")
    return (", limited by ", title, f" ({finding.rule})", f" {place}" if place else "")


def _decisive(because: Sequence[Because], quantity: str | None) -> Because | None:
    named = [b for b in because if b.name == quantity]
    return next((b for b in [*named, *because] if b.limit is not None), next(iter([*named, *because]), None))


def _figures(judgement: Judgement, system: System) -> Line | None:
    results = judgement.assessment.quantities
    asked, at = judgement.filled.get("goal.power"), judgement.filled.get("goal.at")
    told = []
    if asked is not None and asked.value is not None:
        where = f" at the {at.value}" if at is not None and at.value else ""
        told.append(f"asked {value_text(asked.value, asked.unit, system)}{where}")
    for id_, words in FIGURES:
        result = results.get(id_)
        elsewhere = id_ == "wheel.power" and at is not None and at.value == "crank"
        # No boost is nothing to tell, and neither is a dyno that nobody asked about.
        if result is not None and result.status == "ok" and result.value and not elsewhere:
            place = at_text(result.at, system) if id_ in WITH_PLACE else ""
            told.append(f"{words} {result_text(result, system)}{' ' + place if place else ''}")
    return line(Run("Figures: ", "muted"), "; ".join(told) + ".") if told else None


def _findings(judgement: Judgement, system: System) -> list[Node]:
    graded = spoken(judgement.findings)
    nodes: list[Node] = []
    if graded:
        shown = min(STRONGEST, len(graded))
        title = f"Cautions, the {shown} strongest of {len(graded)}" if len(graded) > shown else "Cautions"
        nodes.append(Heading(title))
    for number, finding in enumerate(graded[:STRONGEST], 1):
        nodes.append(_finding(number, finding, system))
    rest = graded[STRONGEST:]
    if rest:
        nodes.append(_rest(rest))
    silent = [f for f in judgement.findings if f.grade == "clear" and f.could_be]
    if silent:
        words = ", ".join(f"{f.title} ({f.rule}, could be {f.could_be})" for f in silent[:SHOWN_TITLES])
        nodes.append(line(Run("Open: ", "muted"), words + _more(len(silent) - SHOWN_TITLES)))
    return nodes


def _finding(number: int, finding: Finding, system: System) -> Item:
    head = (
        Run(finding.grade.upper(), GRADE_ROLES[finding.grade]),
        Run(f" {finding.title} "),
        Run(f"({', '.join(_credentials(finding))})", "muted"),
    )
    said = finding.message or f"{_comparisons(finding, system)}."
    # One sentence of the reason; `rules explain` tells the whole.
    under = [line(f"{said} ", _SENTENCE_END.split(finding.why, maxsplit=1)[0])]
    if system == "us" and finding.message and finding.because:
        # The message stands in metric units; the comparison repeats its numbers in the reader's.
        under.append(line(_comparisons(finding, system), "."))
    under.append(line(Run("Remedy: ", "muted"), *_remedy(finding)))
    return Item(f"{number}.", head, tuple(under))


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
        told.append(f"{finding.uncapped} by the numbers, {finding.confidence} confidence")
    elif finding.confidence == "low":
        told.append("low confidence")
    if finding.could_be and finding.could_be != finding.grade:
        lacking = f" without {', '.join(finding.missing[:2])}" if finding.missing else ""
        told.append(f"could be {finding.could_be}{lacking}")
    hot = next((b.at.ambient for b in finding.because if b.at is not None and b.at.ambient != "site"), "")
    if hot:
        told.append(hot)
    return told


def _remedy(finding: Finding) -> list[Run | str]:
    """Remedies as alternatives, then the measurement that decides."""
    said = [r.say.rstrip(".") for r in finding.remedies[:SHOWN_REMEDIES]]
    parts: list[Run | str] = (
        [Run("; or ".join(_lowered(s, i) for i, s in enumerate(said)) + ".", "remedy")] if said else []
    )
    if not said:
        parts.append("none on record; ask for less, or measure.")
    if finding.settled_by and _unsettled(finding):
        parts += [Run(" Settled by: ", "muted"), _lowered(finding.settled_by, 1)]
    return parts


def _unsettled(finding: Finding) -> bool:
    """Whether a measurement could move the grade and the message has not named it yet."""
    return finding.settled_by not in finding.message and bool(
        finding.borderline
        or finding.could_be
        or finding.confidence == "low"
        or finding.uncapped != finding.grade
    )


def _lowered(sentence: str, place: int) -> str:
    """A sentence that goes on after another: its first word in small letters, unless it is a symbol."""
    if place and len(sentence) > 1 and sentence[0].isupper() and sentence[1].islower():
        return sentence[0].lower() + sentence[1:]
    return sentence


def _rest(findings: Sequence[Finding]) -> Line:
    parts: list[Run | str] = [Run("Also: ", "muted")]
    for place, finding in enumerate(findings[:SHOWN_TITLES]):
        grade = Run(finding.grade, GRADE_ROLES[finding.grade])
        parts += ["; " if place else "", grade, f" {_lowered(finding.title, 1)} ({finding.rule})"]
    parts.append(_more(len(findings) - SHOWN_TITLES))
    return line(*parts)


def _more(count: int) -> str:
    return f"; and {count} more." if count > 0 else "."


def _gaps(judgement: Judgement) -> list[Node]:
    """What could not be judged, by what is missing, so that one answer of the customer's settles most."""
    open_rules = [*judgement.not_judged, *judgement.out_of_range]
    if not open_rules:
        return []
    nodes: list[Node] = [Heading(f"Could not be judged: {_counted(len(open_rules), 'rule')}")]
    by_lack: dict[str, list[NotJudged]] = {}
    for rule in judgement.not_judged:
        named = " and ".join(rule.missing[:3])
        lack = f"needs {named}" if named else rule.reason or "no reason recorded"
        by_lack.setdefault(lack, []).append(rule)
    for rule in judgement.out_of_range:
        by_lack.setdefault(rule.reason or "beyond the range of a formula", []).append(rule)
    ordered = sorted(by_lack.items(), key=lambda entry: (-len(entry[1]), entry[0]))
    for lack, lacking in ordered[:SHOWN_GAPS]:
        titles = ", ".join(f"{r.title} ({r.rule})" for r in lacking[:2])
        more = f" and {len(lacking) - 2} more" if len(lacking) > 2 else ""
        nodes.append(Item("-", (Run(lack, "strong"), Run(f": {titles}{more}"))))
    left = ordered[SHOWN_GAPS:]
    if left:
        count = sum(len(rules) for _, rules in left)
        nodes.append(
            Item(
                "-", (Run(f"and {_counted(count, 'rule')} for want of {_counted(len(left), 'other input')}"),)
            )
        )
    return nodes


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _assumed(judgement: Judgement, system: System) -> list[Node]:
    ranked = weightiest(judgement)
    if not ranked:
        return []
    own = [given for given in ranked if not given.path.startswith("class.")]
    shown = [f"{given.path} {input_text(given, system)}" for given in own[:SHOWN_ASSUMED]]
    left = len(ranked) - len(shown)
    more = f"; and {left} more from the classes" if left else ""
    return [
        line(
            Run("Assumed, what weighs most first: ", "strong"), Run("; ".join(shown), "assumed"), f"{more}."
        ),
    ]


def _notices(judgement: Judgement) -> list[Node]:
    """Warnings and questions, a paragraph each."""
    nodes: list[Node] = []
    if judgement.notices:
        nodes.append(Notice(" ".join(judgement.notices)))
    if judgement.questions:
        nodes.append(Notice(" ".join(judgement.questions), "question"))
    return nodes


def _footing(judgement: Judgement) -> Line:
    layers = ", ".join(f"{layer.name} {layer.version}".strip() for layer in judgement.layers)
    if judgement.samples_asked:
        drawn = (
            f"{judgement.samples_valid} of {judgement.samples_asked} draws; "
            "a chance is that of crossing the limit, not of breakage."
        )
    else:
        drawn = "No draws were made, so there are no ranges and no chances."
    return line(Run(f"{drawn} Rules: {layers or 'none'}; {judgement.as_of}.", "muted"))
