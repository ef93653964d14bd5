"""Builds side by side, as words and as data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from string import ascii_uppercase
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.compare import CURVES
from enginelimits.description.values import Chance, Curve, Value
from enginelimits.present.jsonform import place_data
from enginelimits.present.tree import Heading, Item, Line, Node, Run, Tree, line, table
from enginelimits.present.values import finite, range_text, result_text, value_text
from enginelimits.present.verdict import FIGURES, GRADE_ROLES, short_range, verdict_line
from enginelimits.present.warnings import short_warnings

if TYPE_CHECKING:
    from enginelimits.decisions.compare import Apart, Comparison, Effect, RuleRow, Stood
    from enginelimits.decisions.differences import Part, Stating
    from enginelimits.decisions.margins import Margin
    from enginelimits.description.paths import Stated
    from enginelimits.units.display import System

COMPARE = "enginelimits.compare/1"
NOT_STATED = "not stated"
NOTHING = Run("-", "muted")
CURVE_WORDS = ("power", "torque", "boost")
SHOWN_RULES = 12
SHOWN_FAMILIES = 8
SHOWN_EFFECTS = 8
SHOWN_STATED = 12
SHOWN_IN_PART = 2
# A change of a margin by less than this is none for the reader.
LEAST_MOVE = 0.005
ALONE = (
    "Each part of B put on A alone, judged without draws; what parts do together is left out, so these do not add up "
    "to B. What A's maker built stays A's."
)


def compare_tree(found: Comparison, system: System = "metric", *, full: bool = False) -> Tree:
    """The report: verdicts, figures, margins, findings, curves, and which difference matters."""
    nodes: list[Node] = []
    for letter, stood in zip(ascii_uppercase, found.builds, strict=False):
        verdict = verdict_line(stood.judgement, system)
        nodes.append(line(Run(f"{letter}  {stood.judgement.name}: ", "strong"), *verdict.runs))
    nodes += _figures(found.builds, system)
    nodes += _margins(found, full)
    nodes += _rules(found, full)
    nodes += _curves(found, system)
    nodes += _apart(found.apart, system, full) if found.apart is not None else _differences(found, system, full)
    nodes += _taken(found)
    if found.left_away:
        nodes.append(line(Run(f"INTERRUPTED: not judged yet: {', '.join(found.left_away)}.", "unknown")))
    nodes += [_footing(found), *short_warnings(w for side in found.builds for w in side.judgement.notices)]
    count = len(found.builds)
    return Tree(f"{'Two' if count == 2 else count} builds side by side", tuple(nodes))


def _letters(found: Sequence[object]) -> tuple[str, ...]:
    return tuple(ascii_uppercase[: len(found)])


def _figures(builds: Sequence[Stood], system: System) -> Iterable[Node]:
    rows: list[list[Run | str]] = [["asked", *(_asked(s, system) for s in builds)]]
    for id_, words in FIGURES:
        results = [s.judgement.assessment.quantities.get(id_) for s in builds]
        if any(r is not None and r.status == "ok" and r.value for r in results):
            short = [r if r is None or id_ == "crank.power" else replace(r, low=None, high=None) for r in results]
            rows.append([words, *(short_range(result_text(r, system)) if r is not None else "-" for r in short)])
    yield Heading("Figures")
    yield table(("", *_letters(builds)), rows)


def _asked(stood: Stood, system: System) -> str:
    asked, at = stood.judgement.filled.get("goal.power"), stood.judgement.filled.get("goal.at")
    if asked is None or asked.value is None:
        return "-"
    where = f", {at.value}" if at is not None and at.value else ""
    return f"{value_text(asked.value, asked.unit, system)}{where}"


def _margins(found: Comparison, full: bool) -> Iterable[Node]:
    told = found.families if full else found.families[:SHOWN_FAMILIES]
    if not told:
        return
    more = f"; {len(told)} of {len(found.families)} families" if len(told) < len(found.families) else ""
    yield Heading(f"Leading margins: value over the limit at which caution begins{more}")
    rows: list[list[Run | str]] = [[row.family, f"{row.title} ({row.rule})", *map(_ratio, row.margins)] for row in told]
    yield table(("family", "what", *_letters(found.builds)), rows, wide=1)


def _ratio(margin: Margin | None) -> Run:
    if margin is None:
        return NOTHING
    if not (margin.limit or 0.0) > 0.0:
        # Of a limit that is nil there is no share.
        return Run("beyond", GRADE_ROLES[margin.grade]) if margin.ratio > 1.0 else Run("within")
    return Run(f"{100.0 * margin.ratio:.0f} %", GRADE_ROLES[margin.grade] if margin.ratio > 1.0 else "plain")


def _rules(found: Comparison, full: bool) -> Iterable[Node]:
    rows = found.rules if full else tuple(row for row in found.rules if not row.same)
    alike = len(found.rules) - len([row for row in found.rules if not row.same])
    if not rows:
        yield Heading(f"Findings: all {len(found.rules)} alike" if found.rules else "Findings: none in any build")
        return
    told = rows if full else rows[:SHOWN_RULES]
    cut = f", the {len(told)} gravest of {len(rows)}" if len(told) < len(rows) else ""
    yield Heading(f"Findings{'' if full else f' that differ{cut}; {alike} alike (--full)'}")
    yield table(("rule", "what", *_letters(found.builds)), [_rule(row) for row in told], wide=1)


def _rule(row: RuleRow) -> list[Run | str]:
    return [row.rule, row.title, *(Run(said, GRADE_ROLES.get(said, "muted")) for said in row.says)]


def _curves(found: Comparison, system: System) -> Iterable[Node]:
    if not found.curves:
        return
    units = [next((s.judgement.assessment.curves[id_].unit for s in found.builds
                   if id_ in s.judgement.assessment.curves), "1") for id_ in CURVES]
    letters = _letters(found.builds)
    yield Heading("Over speed, at the site")
    # one table while it fits a screen, else one a quantity
    together = [tuple(range(len(CURVES)))] if len(letters) <= 2 else [(place,) for place in range(len(CURVES))]
    for places in together:
        names = [f"{CURVE_WORDS[place]} {letter}" for place in places for letter in letters]
        rows = [
            [value_text(row.speed, "rad/s", system),
             *(value_text(value, units[place], system) if value is not None else "-"
               for place in places for value in row.values[place])]
            for row in found.curves
        ]
        yield table(("speed", *names), rows)


def _differences(found: Comparison, system: System, full: bool) -> Iterable[Node]:
    """What further builds state otherwise than the first."""
    for letter, stated in zip(ascii_uppercase[1:], found.differences, strict=False):
        told = stated if full else stated[:SHOWN_STATED]
        cut = f", {len(told)} of {len(stated)} (--full)" if len(told) < len(stated) else ""
        yield Heading(f"Stated otherwise in {letter} than in A{cut}" if stated else f"A and {letter} state the same")
        if told:
            yield table(("path", "A", letter), [
                [s.path, stated_text(s.first, s.path, system), stated_text(s.second, s.path, system)] for s in told
            ], wide=2)


def _taken(found: Comparison) -> Iterable[Node]:
    """Where a further build may have been changed from its maker's, and its file leaves that open."""
    for letter, paths in zip(ascii_uppercase[1:], found.taken, strict=False):
        if paths:
            yield line(Run(f"{letter} is read as its maker built it in {' and '.join(paths)}", "strong"),
                       f", so its standard engine is another than A's. Where the maker had another figure, state that "
                       f"below engine.standard of {letter}.")


def _apart(apart: Apart, system: System, full: bool) -> Iterable[Node]:
    if not apart.effects and not apart.not_alone:
        words = "Stopped before any difference was tried." if apart.broken_off else "A and B state the same."
        yield Heading("Which difference matters")
        yield line(words)
        return
    moving = [e for e in apart.effects if _moves(e, apart)]
    told = apart.effects if full else moving[:SHOWN_EFFECTS]
    cut = f", {len(told)} of {len(moving)} that move something" if len(told) < len(moving) else ""
    yield Heading(f"Which difference matters{cut}")
    yield line(Run(ALONE, "muted"))
    yield _before(apart)
    yield from (_effect(number, effect, apart, system) for number, effect in enumerate(told, 1))
    still = [e.part.path for e in apart.effects if not _moves(e, apart)]
    if still and not full:
        yield line(Run("Alone they move neither verdict, margin nor count: ", "muted"), ", ".join(still), ".")
    for part in apart.not_alone:
        yield line(Run("Cannot come alone: ", "unknown"), f"{part.path}: {part.reason}.")
    if apart.broken_off:
        yield line(Run("Stopped before all were tried: what is missing above was not looked at.", "unknown"))


def _before(apart: Apart) -> Line:
    margin = apart.margin
    share = "" if margin is None else f"{100.0 * margin.ratio:.0f} % of the limit of {margin.rule}"
    held = "" if margin is None else f"; {margin.quantity} at {share}"
    limiting = f", limited by {apart.limiting}" if apart.limiting else ""
    return line("A without draws: ", Run(apart.grade.upper(), GRADE_ROLES[apart.grade]),
                f"{limiting}{held}; {apart.cautions} at caution or worse.")


def _effect(number: int, effect: Effect, apart: Apart, system: System) -> Item:
    """One part alone: what differs in it, the verdict with it, and what it does to margin and cautions."""
    limited = f", limited by {effect.limiting}" if effect.limiting else ""
    drawn = f" ({effect.drawn} with {apart.samples} draws)" if effect.drawn is not None else ""
    told = []
    if apart.margin is not None and effect.ratio is None:
        told.append("no such margin")
    elif apart.margin is not None and effect.ratio is not None:
        told.append(f"{100.0 * effect.ratio:.0f} % of the limit")
    told.append(f"{effect.cautions} at caution or worse")
    head = (Run(effect.part.path, "strong"), Run(f" {_part_text(effect.part, system)}: "),
            Run(effect.grade.upper(), GRADE_ROLES[effect.grade]), Run(f"{limited}{drawn}; {', '.join(told)}."))
    return Item(f"{number}.", head)


def _moves(effect: Effect, apart: Apart) -> bool:
    if effect.grade != apart.grade or effect.cautions != apart.cautions:
        return True
    if apart.margin is None or effect.ratio is None:
        return apart.margin is not None
    return abs(effect.ratio - apart.margin.ratio) >= LEAST_MOVE


def _part_text(part: Part, system: System) -> str:
    """What differs in a part, from the first to the second."""
    told = []
    for stating in part.stated[:SHOWN_IN_PART]:
        name = stating.path.removeprefix(part.path).lstrip(".")
        change = f"{stated_text(stating.first, stating.path, system)} -> "
        change += stated_text(stating.second, stating.path, system)
        told.append(f"{name} {change}".strip())
    more = len(part.stated) - len(told)
    return f"{'; '.join(told)}{f'; and {more} more' if more else ''}"


def stated_text(stated: Stated | None, path: str, system: System) -> str:
    """What a build file states, in the reader's units."""
    match stated:
        case None:
            return NOT_STATED
        case Value():
            text = value_text(stated.si, stated.unit, system, kind=stated.kind, hint=path)
            spread = range_text(stated.low, stated.high, stated.unit, system, kind=stated.kind, hint=path)
            return short_range(f"{text} ({spread})") if spread else text
        case Curve():
            values = [stated_text(value, path, system) for _, value in stated]
            speeds = [value_text(speed.si, "rad/s", system) for speed, _ in stated]
            return ", ".join(f"{value} at {speed}" for speed, value in zip(speeds, values, strict=True))
        case Chance():
            return f"yes at {100 * stated.probability:.0f} %"
        case bool():
            return "yes" if stated else "no"
        case tuple():
            return ", ".join(stated_text(part, path, system) for part in stated) or "none"
    return str(stated)


def _footing(found: Comparison) -> Line:
    draws = {s.judgement.samples_asked for s in found.builds}
    words = "; ".join(f"{n} draws" if n else "no draws, so no ranges" for n in sorted(draws))
    return line(Run(f"Verdicts, findings and ranges from {words} a build; margins and curves of the typical build.",
                    "muted"))


def compare_data(found: Comparison) -> dict[str, Any]:
    """The same as data, SI."""
    return {
        "schema": COMPARE,
        "version": __version__,
        "builds": [_build_data(s) for s in found.builds],
        "findings": [{"rule": r.rule, "title": r.title, "says": list(r.says), "same": r.same} for r in found.rules],
        "margins": [
            {"family": f.family, "rule": f.rule, "title": f.title, "quantity": f.quantity,
             "of": [_margin_data(m) for m in f.margins]}
            for f in found.families
        ],
        "curve": {
            "engine_speed": {"unit": "rad/s", "values": [row.speed for row in found.curves]},
            **{id_: {"of": [[finite(row.values[place][build]) for row in found.curves]
                            for build in range(len(found.builds))]}
               for place, id_ in enumerate(CURVES)},
        },
        "differences": [[_stating_data(s) for s in stated] for stated in found.differences],
        "taken_for_makers": [list(paths) for paths in found.taken],
        "alone": None if found.apart is None else _apart_data(found.apart),
        "broken_off": found.broken_off,
        "left_away": list(found.left_away),
        "notices": list(dict.fromkeys(words for side in found.builds for words in side.judgement.notices)),
    }


def _build_data(stood: Stood) -> dict[str, Any]:
    judgement = stood.judgement
    limiting = judgement.verdict.limiting
    return {
        "build": judgement.name,
        "samples": {"asked": judgement.samples_asked, "valid": judgement.samples_valid, "seed": judgement.seed},
        "verdict": {
            "grade": judgement.verdict.grade, "complete": judgement.verdict.complete,
            "limiting": None if limiting is None else {"rule": limiting.rule, "quantity": limiting.quantity},
            "sentence": judgement.verdict.sentence,
        },
        "quantities": {
            id_: {"value": finite(r.value), "unit": r.unit, "low": finite(r.low), "high": finite(r.high),
                  "status": r.status, "at": place_data(r.at)}
            for id_, r in judgement.assessment.quantities.items() if id_ in dict(FIGURES)
        },
    }


def _margin_data(margin: Margin | None) -> dict[str, Any] | None:
    if margin is None:
        return None
    return {"grade": margin.grade, "value": finite(margin.value), "limit": finite(margin.limit), "unit": margin.unit,
            "ratio": finite(margin.ratio), "at": place_data(margin.at)}


def _stating_data(stating: Stating) -> dict[str, Any]:
    return {"path": stating.path, "first": _stated_data(stating.first), "second": _stated_data(stating.second)}


def _stated_data(stated: Stated | None) -> Any:
    match stated:
        case Value():
            return {"value": stated.si, "unit": stated.unit, "low": stated.low, "high": stated.high,
                    **({"kind": stated.kind} if stated.kind else {})}
        case Curve():
            return [{"at": speed.si, **_stated_data(value)} for speed, value in stated]
        case Chance():
            return {"probability": stated.probability}
        case tuple():
            return [_stated_data(part) for part in stated]
    return stated


def _apart_data(apart: Apart) -> dict[str, Any]:
    return {
        "before": {"grade": apart.grade, "limiting": apart.limiting, "margin": _margin_data(apart.margin),
                   "quantity": apart.margin.quantity if apart.margin is not None else None,
                   "rule": apart.margin.rule if apart.margin is not None else None, "cautions": apart.cautions},
        "samples": 0,
        "left_out": "what two parts do together",
        "broken_off": apart.broken_off,
        "effects": [
            {"part": e.part.path, "edits": [dict(edit) for edit in e.part.edits],
             "stated": [_stating_data(s) for s in e.part.stated], "grade": e.grade, "limiting": e.limiting,
             "margin": finite(e.ratio), "cautions": e.cautions,
             "drawn": None if e.drawn is None else {"grade": e.drawn, "samples": apart.samples}}
            for e in apart.effects
        ],
        "not_alone": [{"part": p.path, "reason": p.reason} for p in apart.not_alone],
    }
