"""The ladder of boost in words and as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.ladder import Family, Ladder, Reached, Rung
from enginelimits.decisions.margins import Margin
from enginelimits.present.boost import (
    asked_text,
    boost_text,
    curve_data,
    finding_data,
    footing,
    footing_data,
    goal_data,
    left_out_data,
    left_out_nodes,
    lifts,
    lowered,
    named,
    number_of,
    place_of,
    power_text,
    result_data,
    silent_data,
    unjudged_line,
)
from enginelimits.present.jsonform import place_data
from enginelimits.present.tree import Heading, Item, Node, Notice, Run, Tree, line, table
from enginelimits.present.values import finite, value_text
from enginelimits.present.verdict import GRADE_ROLES
from enginelimits.rules.grades import CAUTION, severity

if TYPE_CHECKING:
    from enginelimits.assessment.results import Assessment
    from enginelimits.units.display import System

LADDER = "enginelimits.ladder/1"
# So many columns of margins fit beside family and rule.
SHOWN_STEPS = 6
SHOWN_SPEEDS = 8
SHOWN_FAMILIES = 8
SHOWN_ALSO = 6
TORQUE, TORQUE_CAP = "crank.torque", "engine.torque_cap"
RAISED = "^"
ENDS = {
    "top": "",
    "the machine gives no more": "More boost asked for gives no more power: the machine is at its end.",
    "beyond the formulas": "The next step lies beyond what the formulas can compute.",
    "interrupted": "INTERRUPTED: the steps so far.",
}


def ladder_tree(found: Ladder, system: System = "metric") -> Tree:
    """The steps, what lifts what they reach, which limit comes next, and the torque that is held."""
    nodes: list[Node] = [
        *_head(found, system), *_steps(found, system), *_remedies(found, system), *_next(found, system),
        *_torque(found, system), *left_out_nodes(found.left_out, found.grade), *_notes(found, system),
        *footing(found.asked, found.samples),
    ]
    return Tree(found.name, tuple(nodes))


def _head(found: Ladder, system: System) -> list[Node]:
    top = boost_text(found.rungs[-1].boost_pa, system) if found.rungs else "none"
    asked = asked_text(found.asked, found.asked_pa, system)
    said = f"{len(found.rungs)} steps of boost to {top}; asked: {asked}. Each step has the grades that `check` gives "
    end = f" {ENDS[found.end]}" if ENDS[found.end] else ""
    return [line(f"{said}there; whether the goal is reached is left out.{end}")]


def _steps(found: Ladder, system: System) -> list[Node]:
    wheels = place_of(found.asked) == "at the wheels"
    rows: list[list[Run | str]] = []
    for number, rung in enumerate(found.rungs):
        mark = " *" if abs(rung.trial.scale - 1.0) < 1e-9 else ""
        # Of two powers the one that the goal asks for has its range.
        crank = power_text(rung.trial.crank, system)
        powers = [crank.partition(" (")[0], power_text(rung.trial.power, system)] if wheels else [crank]
        torque = rung.trial.assessment.quantities[TORQUE]
        raised = RAISED if rung.raised else ""
        grade = Run(f"{rung.verdict.grade.upper()}{raised}", GRADE_ROLES[rung.verdict.grade])
        if rung.verdict.grade == "clear" and not rung.verdict.complete:
            grade = Run("INCOMPLETE", "unknown")
        turning = torque.status if torque.value is None else value_text(torque.value, torque.unit, system)
        rows.append([f"{boost_text(rung.boost_pa, system)}{mark}", *powers, turning, grade,
                     _first(rung, before_any=number == 0)])
    columns = ["boost", "crank", *(["wheels"] if wheels else []), "torque", "grade", "first reached"]
    marks = ["* as asked"] if any(" *" in row[0] for row in rows if isinstance(row[0], str)) else []
    if any(rung.raised for rung in found.rungs):
        marks.append(f"{RAISED} raised by one grade: no single limit, but small margins of several causes")
    notes = [line(Run(f"{'; '.join(marks)}.", "muted"))] if marks else []
    return [table(columns, rows, wide=len(columns) - 1), *notes]


def _first(rung: Rung, *, before_any: bool) -> str:
    if rung.first is None:
        return "-" if not rung.beyond else f"formulas no longer judge {', '.join(rung.beyond[:2])}"
    words = _reached(rung.first)
    more = f", {len(rung.reached) - 1} more" if len(rung.reached) > 1 else ""
    return f"there already: {words}{more}" if before_any else f"{words}{more}"


def _reached(reached: Reached) -> str:
    worsened = f"{reached.before} to " if reached.before != "clear" else ""
    return f"{reached.finding.rule} {worsened}{reached.finding.grade}"


def _remedies(found: Ladder, system: System) -> list[Node]:
    """The first limit of each step from caution on, with its number and what lifts it."""
    nodes: list[Node] = []
    for rung in found.rungs:
        if rung.first is None or severity(rung.first.finding.grade) < CAUTION:
            continue
        finding = rung.first.finding
        also = [r.finding.rule for r in rung.reached[1:] if severity(r.finding.grade) >= CAUTION]
        also = [*also[:SHOWN_ALSO], f"{len(also) - SHOWN_ALSO} more"] if len(also) > SHOWN_ALSO else also
        beside = (f" Also from {boost_text(rung.boost_pa, system)} on: {', '.join(also)}.",) if also else ()
        head = (Run(f"{boost_text(rung.boost_pa, system)}: ", "strong"), *named(finding), _chance(rung.first),
                f": {number_of(finding, system)}. ", *lifts(finding), *beside)
        nodes.append(Item("-", line(*head).runs))
    return [Heading("First limit of each step, and what lifts it"), *nodes] if nodes else []


def _chance(reached: Reached) -> str:
    finding = reached.finding
    return f", chance {finding.chance_word} {100.0 * finding.chance:.0f} %" if finding.chance is not None else ""


def _next(found: Ladder, system: System) -> list[Node]:
    """How near each family is, at the steps that fit."""
    if not found.families:
        return []
    shown = _spread(len(found.rungs), SHOWN_STEPS)
    unit = "psi" if system == "us" else "bar"
    size = {"psi": 6894.757, "bar": 1e5}[unit]
    decimals = 1 if unit == "psi" else 2
    steps = [f"{found.rungs[n].boost_pa / size:.{decimals}f}" for n in shown]
    columns = [f"at {unit}", "rule", *steps, "reached at"]
    told = found.families[:SHOWN_FAMILIES]
    rows: list[list[Run | str]] = [
        [family.family, f"{family.rule}{'~' if family.weak else ''}",
         *(_ratio(family.ratios[n], family.share) for n in shown),
         "" if family.passes_pa is None else boost_text(family.passes_pa, system)]
        for family in told
    ]
    cut = f"; {len(told)} of {len(found.families)} families" if len(told) < len(found.families) else ""
    weak = any(family.weak for family in told)
    note = " ~ alone it counts no further than caution: its limit rests on too little." if weak else ""
    waiting = " A blank waits for more than a number."
    leads = "; ".join(f"{f.rule} {lowered(f.title)}" for f in found.families[:3])
    return [
        Heading(f"What comes next: value over the limit at which {found.grade.upper()} begins, typical build{cut}"),
        table(columns, rows, wide=0),
        line(Run(f"Nearest: {leads}.{waiting if _blank(told) else ''}{note}", "muted")),
    ]


def _blank(families: Iterable[Family]) -> bool:
    return any(ratio is None for family in families for ratio in family.ratios)


def _ratio(ratio: float | None, share: bool) -> Run:
    if ratio is None:
        return Run("")
    if not share:
        # Of a limit that is nil there is no share.
        return Run("beyond", "strong") if ratio > 1.0 else Run("within")
    return Run(f"{100.0 * max(ratio, 0.0):.0f} %", "strong" if ratio > 1.0 else "plain")


def _torque(found: Ladder, system: System) -> list[Node]:
    """Torque over speed at the highest step that is clear of the grade, beside the torque cap there."""
    if found.clear is None:
        return [line(Run(f"At no step is everything below {found.grade.upper()}.", "strong"))]
    rung = found.rungs[found.clear]
    assessment = rung.trial.assessment
    speeds = assessment.speeds
    torque, cap = (assessment.curves.get(id_) for id_ in (TORQUE, TORQUE_CAP))
    if torque is None or cap is None:
        return []
    places = _spread(len(speeds), SHOWN_SPEEDS)
    unit = torque.unit
    rows = [
        ["torque", *(_number(torque.values[n], unit, system) for n in places)],
        ["torque cap", *(_number(cap.values[n], unit, system) for n in places)],
    ]
    numbers = [value_text(speeds[n], "rad/s", system).partition(" ")[0] for n in places]
    in_ = value_text(100.0, unit, system).partition(" ")[2]
    at = boost_text(rung.boost_pa, system)
    return [
        Heading(f"Torque at {at}, the highest step at which boost takes no finding to {found.grade.upper()}"),
        table([f"{in_} at rpm", *numbers], rows, wide=0),
        line(Run("The cap is the least of what rods, lands, pre-ignition zone, clutch and gearbox allow, with nothing "
                 "to spare.", "muted")),
    ]


def _number(value: float | None, unit: str, system: System) -> str:
    return "" if value is None else value_text(value, unit, system).partition(" ")[0]


def _spread(count: int, most: int) -> list[int]:
    """At most so many places of ``count``, evenly, both ends with them."""
    if count <= most:
        return list(range(count))
    return sorted({round(n * (count - 1) / (most - 1)) for n in range(most)})


def _notes(found: Ladder, system: System) -> list[Node]:
    nodes: list[Node] = []
    excess = max((rung.pulley_pa or 0.0 for rung in found.rungs), default=0.0)
    if any(rung.pulley_pa is not None for rung in found.rungs):
        most = f", up to {boost_text(excess, system)} more than the lowest step asks for (boost.beyond_asked)"
        nodes.append(Notice(
            f"The stated pulley makes its own boost{most if excess > 0.0 else ''}; a belt has no gate. Steps below "
            "what it makes need a valve that vents the rest, steps above it another pulley."
        ))
    low = [r for r in found.rungs[1:] if found.spring_pa is not None and max(v for _, v in r.curve) < found.spring_pa]
    if found.spring_pa is not None and low:
        nodes.append(line(f"Below {boost_text(found.spring_pa, system)} the wastegate's spring does not open: those "
                          "steps need a softer one."))
    if not found.goal_passed and found.end != "interrupted":
        nodes.append(line("The power asked for is passed at no step."))
    if found.rungs:
        last = found.rungs[-1].trial.judgement
        nodes += unjudged_line([*last.not_judged, *last.out_of_range], "Not judged on the highest step: ")
    return nodes


def ladder_data(found: Ladder) -> dict[str, Any]:
    """All steps as data, SI."""
    return {
        "schema": LADDER,
        "version": __version__,
        "build": {"name": found.name},
        "goal": goal_data(found.asked),
        "grade": found.grade,
        "boost_asked": {"value": found.asked_pa, "unit": "Pa", "kind": "gauge"},
        "steps": [_rung_data(rung) for rung in found.rungs],
        "families": [
            {
                "family": f.family, "rule": f.rule, "title": f.title, "quantity": f.quantity, "grade": f.grade,
                "counts_alone": not f.weak, "ratios": finite(f.ratios), "reaches_1_at_boost": finite(f.passes_pa),
            }
            for f in found.families
        ],
        "highest_clear_step": found.clear,
        "left_out": left_out_data(found.left_out),
        "end": found.end,
        "goal_passed": found.goal_passed,
        **footing_data(found.asked, found.samples),
    }


def _rung_data(rung: Rung) -> dict[str, Any]:
    trial, verdict = rung.trial, rung.verdict
    quantities = trial.assessment.quantities
    return {
        "scale": trial.scale,
        "boost_asked": curve_data(rung.curve),
        "boost": result_data(quantities.get("air.boost")),
        "boost_beyond_asked": result_data(quantities.get("boost.beyond_asked")),
        "power": {"crank": result_data(trial.crank), "as_asked": result_data(trial.power)},
        "torque": result_data(quantities.get(TORQUE)),
        "verdict": {"grade": verdict.grade, "complete": verdict.complete, "sentence": verdict.sentence},
        "first": None if rung.first is None else _reached_data(rung.first),
        "reached": [_reached_data(reached) for reached in rung.reached],
        "margins": [_margin_data(m) for m in sorted(rung.margins.values(), key=lambda m: -m.ratio)],
        "curve": _curves(trial.assessment),
        "not_judged": silent_data([*trial.judgement.not_judged, *trial.judgement.out_of_range]),
    }


def _reached_data(reached: Reached) -> dict[str, Any]:
    return {**finding_data(reached.finding), "before": reached.before}


def _margin_data(margin: Margin) -> dict[str, Any]:
    return {
        "rule": margin.rule, "family": margin.family, "grade": margin.grade, "quantity": margin.quantity,
        "value": finite(margin.value), "limit": finite(margin.limit), "unit": margin.unit,
        "at": place_data(margin.at), "ratio": finite(margin.ratio), "counts_alone": not margin.weak,
    }


def _curves(assessment: Assessment) -> dict[str, Any]:
    data: dict[str, Any] = {"engine_speed": {"unit": "rad/s", "values": list(assessment.speeds)}}
    for id_ in (TORQUE, TORQUE_CAP):
        curve = assessment.curves.get(id_)
        if curve is not None:
            data[id_] = {"unit": curve.unit, "values": finite(curve.values), "low": finite(curve.low),
                         "high": finite(curve.high)}
    return data
