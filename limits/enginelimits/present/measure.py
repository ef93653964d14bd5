"""What to measure first, as words and as data."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.first_order import ESTIMATOR
from enginelimits.decisions.grading import chance_word
from enginelimits.present.jsonform import inputs, place_data, sureness_data
from enginelimits.present.tree import Heading, Item, Line, Node, Run, Tree, line
from enginelimits.present.values import finite, input_text, range_text
from enginelimits.present.verdict import GRADE_ROLES, short_range, verdict_line
from enginelimits.present.warnings import short_warnings

if TYPE_CHECKING:
    from enginelimits.decisions.measure import Blocking, Decisive, Measured, Share, Unknown
    from enginelimits.decisions.measurements import Measurement
    from enginelimits.units.display import System

MEASURE = "enginelimits.measure/1"
TOP = 5
SHOWN_MARGINS = 2
SHOWN_RULES = 3
SHOWN_UNMEASURED = 4
THIRDS = {2: ("no", "yes"), 3: ("low", "middle", "high")}
READING = (
    "A share is the first-order index of variance, from {draws} draws in {groups} groups, with its standard error; "
    "joint effects are left out, and none is shown that chance alone could give. Low and high are the outer thirds of "
    "an input's draws. A chance is that a limit is crossed, given what is known, not of breakage."
)


def measure_tree(found: Measured, system: System = "metric", *, top: int = TOP) -> Tree:
    """The report: what blocks the verdict, then the measurements in the order of what they would change."""
    judgement = found.judgement
    nodes: list[Node] = [*_cut_short(found), verdict_line(judgement, system), *_settles(found.margins)]
    nodes += _blocking(found.blocking)
    moving = [u for u in found.unknowns if any(map(moves, u.shares))]
    groups = by_measurement(moving)
    if groups:
        nodes.append(Heading("Measure first" + (f", {top} of {len(groups)}" if len(groups) > top else "")))
        nodes += [_measurement(n, how, group, system) for n, (how, group) in enumerate(islice(groups, top), 1)]
    nodes += _silence(found) if judgement.samples_valid else ()
    nodes += _unsure_limits(found.margins, system)
    nodes += _idle([u for u in found.unknowns if u not in moving])
    nodes += _unmeasured(found.unmeasured)
    if judgement.samples_valid:
        nodes.append(line(Run(READING.format(draws=judgement.samples_valid, groups=found.groups), "muted")))
    nodes += short_warnings(judgement.notices)
    return Tree(f"{judgement.name}: what to measure first", tuple(nodes))


def _cut_short(found: Measured) -> Iterable[Line]:
    if found.interrupted:
        made = found.judgement.samples_asked
        what = f"from {made} of {found.asked} draws" if made else "before any draw was judged: no ranking"
        yield line(Run(f"INTERRUPTED {what}.", "unknown"))


def _unsure_limits(margins: Sequence[Decisive], system: System) -> Iterable[Line]:
    """Where the limit itself is the larger doubt, so that measuring the engine settles the lesser part."""
    told = [
        f"{m.rule} ({100 * m.limit_doubt:.0f} % of the variance of {m.quantity} less its limit, which was drawn from "
        f"{range_text(m.limit_low, m.limit_high, m.unit, system, hint=m.quantity or '')})"
        for m in margins if m.limit_doubt is not None and m.limit_doubt > 0.5
    ]
    if told:
        yield line(Run("The limit itself is the larger doubt: ", "muted"), "; ".join(told),
                   ". There a measurement settles the lesser part.")


def by_measurement(unknowns: Sequence[Unknown]) -> list[tuple[Measurement, list[Unknown]]]:
    """The inputs under the measurements that settle them, in the order of the first of each."""
    groups: dict[str, tuple[Measurement, list[Unknown]]] = {}
    for unknown in unknowns:
        groups.setdefault(unknown.measurement.how, (unknown.measurement, []))[1].append(unknown)
    return list(groups.values())


def _settles(margins: Sequence[Decisive]) -> Iterable[Line]:
    """What the rule that limits is settled by, in its own words: often a thing that is not drawn at all."""
    for margin in margins:
        if margin.limiting and margin.settled_by:
            yield line(Run("The limiting finding is settled by: ", "muted"), margin.settled_by)


def _blocking(blocking: Sequence[Blocking]) -> Iterable[Node]:
    if not blocking:
        return
    yield Heading("Missing, which beats any range")
    for one in blocking:
        rules = ", ".join(f"{title} ({rule})" for rule, title in one.rules[:SHOWN_RULES])
        more = f" and {len(one.rules) - SHOWN_RULES} more" if len(one.rules) > SHOWN_RULES else ""
        head = (Run(one.path, "strong"), Run(": "), Run(f"could be {one.could_be}", GRADE_ROLES[one.could_be]),
                Run(f", {rules}{more}. "), Run(f"{one.measurement.how}.", "remedy"))
        yield Item("-", head)


def _measurement(number: int, measurement: Measurement, group: Sequence[Unknown], system: System) -> Item:
    under = [_unknown(unknown, system) for unknown in group]
    enter = f" Enter it under {measurement.enter}." if measurement.enter else ""
    return Item(f"{number}.", (Run(f"{measurement.how}.", "strong"), Run(enter)), tuple(under))


def _unknown(unknown: Unknown, system: System) -> Line:
    """One input: its range, what it moves, what the verdict becomes, and what the measurement takes away."""
    given = unknown.given
    parts: list[Run | str] = [Run(f"{given.path} {short_range(input_text(given, system))}", "assumed"), ": "]
    told = sorted(filter(moves, unknown.shares), key=lambda s: -s.moves)[:SHOWN_MARGINS] or unknown.shares[:1]
    parts.append("; ".join(map(_share, told)) + ". ")
    if unknown.flips:
        words = _by_part(unknown.verdicts)
        parts.append(Run(f"The verdict would change, chance {_chance(unknown.flips)}: {words}. ", "strong"))
    if unknown.removes is not None:
        parts.append(f"Measured, {100 * unknown.removes:.0f} % of its variance goes.")
    return line(*parts)


def moves(share: Share) -> bool:
    """Whether knowing an input changes what a rule says, or clearly how often its limit is crossed."""
    low, high = share.crossed[0], share.crossed[-1]
    error = math.sqrt((low * (1.0 - low) + high * (1.0 - high)) * len(share.crossed) / share.index.draws)
    return share.moves > 0.0 or abs(high - low) > 2.0 * error


def _idle(unknowns: Sequence[Unknown]) -> Iterable[Line]:
    if unknowns:
        told = "; ".join(f"{u.given.path} ({100 * u.shares[0].index.share:.0f} % of {_of(u.shares[0])})"
                         for u in unknowns[:SHOWN_UNMEASURED])
        left = f"; and {len(unknowns) - SHOWN_UNMEASURED} more" if len(unknowns) > SHOWN_UNMEASURED else ""
        yield line(Run("Weighs in a margin, yet nowhere in its range changes a grade: ", "muted"), told, f"{left}.")


def _share(share: Share) -> str:
    margin = share.margin
    percent = f"{100 * share.index.share:.0f} % (+-{100 * share.index.error:.0f}) of {_of(share)}"
    names = THIRDS[len(share.crossed)]
    low, high = (f"{100 * part:.0f} % when {name}" for part, name in
                 ((share.crossed[0], names[0]), (share.crossed[-1], names[-1])))
    crossed = f"crossed in {low}, {high}"
    if share.flips:
        return f"{percent}, {margin.rule} {crossed}: {_by_part(share.grades)}"
    return f"{percent}, {margin.rule} {crossed}"


def _of(share: Share) -> str:
    """What a share is of: the quantity, or where that does not tell, the grade."""
    return share.margin.quantity if share.margin.quantity and not share.graded else "the grade"


def _by_part(grades: Sequence[str]) -> str:
    """Grades by third, each once where neighbours agree."""
    names = THIRDS[len(grades)]
    said: list[tuple[str, list[str]]] = []
    for name, grade in zip(names, grades, strict=True):
        if said and said[-1][0] == grade:
            said[-1][1].append(name)
        else:
            said.append((grade, [name]))
    return ", ".join(f"{grade} when {' or '.join(where)}" for grade, where in said)


def _chance(share: float) -> str:
    return f"{chance_word(share)} {100 * share:.0f} %"


def _silence(found: Measured) -> Iterable[Line]:
    """What no measurement does."""
    judgement = found.judgement
    if not found.margins:
        yield line("Nothing here reaches caution, so there is no margin that a measurement would have to settle.")
    elif not found.unknowns and not found.unmeasured:
        yield line("No single unknown stands out of chance in the decisive margins; more draws (--samples) may tell.")
    elif not any(u.flips for u in found.unknowns):
        grade = judgement.verdict.grade
        yield line(f"No single measurement takes the verdict from {grade}: several findings hold it there. "
                   "What is listed settles single findings.")


def _unmeasured(unknowns: Sequence[Unknown]) -> Iterable[Line]:
    if not unknowns:
        return
    told = "; ".join(
        f"{u.given.path} ({100 * u.shares[0].index.share:.0f} % of {_of(u.shares[0])}: "
        f"{u.measurement.unmeasured})"
        for u in unknowns[:SHOWN_UNMEASURED]
    )
    left = f"; and {len(unknowns) - SHOWN_UNMEASURED} more" if len(unknowns) > SHOWN_UNMEASURED else ""
    yield line(Run("No workshop measures: ", "muted"), told, f"{left}.")


def measure_data(found: Measured) -> dict[str, Any]:
    """The same as data, SI."""
    judgement = found.judgement
    return {
        "schema": MEASURE,
        "version": __version__,
        "build": judgement.name,
        "samples": {"asked": found.asked or judgement.samples_asked, "valid": judgement.samples_valid,
                    "seed": judgement.seed, **sureness_data(judgement)},
        "interrupted": found.interrupted,
        "verdict": {"grade": judgement.verdict.grade, "complete": judgement.verdict.complete},
        "estimator": {"is": ESTIMATOR, "groups": found.groups, "compared": found.compared, "inputs": found.drawn,
                      "left_out": "joint effects of several inputs"},
        "blocking": [
            {"path": b.path, "could_be": b.could_be, "rules": [{"rule": r, "title": t} for r, t in b.rules],
             "measurement": _measurement_data(b.measurement)}
            for b in found.blocking
        ],
        "margins": [_margin_data(m) for m in found.margins],
        "unknowns": [_unknown_data(u) for u in found.unknowns],
        "unmeasured": [_unknown_data(u) for u in found.unmeasured],
        "notices": list(judgement.notices),
    }


def _margin_data(margin: Decisive) -> dict[str, Any]:
    return {
        "rule": margin.rule, "title": margin.title, "grade": margin.grade, "chance": finite(margin.chance),
        "limiting": margin.limiting, "quantity": margin.quantity, "value": finite(margin.value), "unit": margin.unit,
        "limit": finite(margin.limit), "limit_low": finite(margin.limit_low), "limit_high": finite(margin.limit_high),
        "limit_doubt": finite(margin.limit_doubt), "at": place_data(margin.at), "settled_by": margin.settled_by or None,
    }


def _unknown_data(unknown: Unknown) -> dict[str, Any]:
    return {
        "path": unknown.given.path,
        "input": inputs([unknown.given])[unknown.given.path],
        "measurement": _measurement_data(unknown.measurement),
        "removes": finite(unknown.removes),
        "verdicts": list(unknown.verdicts),
        "verdict_changes": unknown.flips,
        "shares": [
            {
                "rule": s.margin.rule, "quantity": s.margin.quantity, "of": "grade" if s.graded else "quantity",
                "index": finite(s.index.share), "standard_error": finite(s.index.error),
                "level_of_chance": finite(s.level), "draws": s.index.draws, "crossed": list(s.crossed),
                "grades": list(s.grades), "finding_changes": s.flips,
            }
            for s in unknown.shares
        ],
    }


def _measurement_data(measurement: Measurement) -> dict[str, Any]:
    return {
        "how": measurement.how or None, "enter": measurement.enter or None,
        "scatter": {"of_value": measurement.of_value, "value": measurement.scatter},
        "evidence": measurement.evidence, "unmeasured": measurement.unmeasured or None,
    }
