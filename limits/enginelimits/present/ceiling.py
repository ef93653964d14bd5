"""The ceiling of power in words and as data."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.boost_trial import DrawnBy, Draws
from enginelimits.decisions.ceiling import Ceiling, Reach
from enginelimits.decisions.ceiling_chances import FamilyChance
from enginelimits.decisions.verdict import NotJudged
from enginelimits.present.boost import (
    asked_text,
    boost_quoted,
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
    power_quoted,
    power_said,
    result_data,
    silent_data,
    unjudged_line,
)
from enginelimits.present.tree import Line, Node, Role, Run, Tree, line, table
from enginelimits.present.values import finite, value_text
from enginelimits.present.verdict import GRADE_ROLES
from enginelimits.rules.grades import severity

if TYPE_CHECKING:
    from enginelimits.units.display import System

CEILING = "enginelimits.ceiling/1"
SHOWN_BY = 3
SHOWN_STANDING = 4
SHOWN_FAMILIES = 6
MOST_SPEEDS = 8


def ceiling_tree(found: Ceiling, system: System = "metric") -> Tree:
    """The answers with what binds, what confidence costs, the boost that gives them, and what was left out."""
    grade = Run(found.grade.upper(), _role(found))
    nodes: list[Node] = [
        line("The greatest power at which no finding reaches ", grade, ", by boost alone and whatever the goal. ",
             f"Asked: {asked_text(found.asked, found.asked_pa, system)}."),
        *_answer(found, found.nominal, "Typical build", system),
        *_standing(found),
        *_pressure(found, system),
        *_confident(found, system),
        *_families(found, system),
        *_curves(found, system),
        *_beside(found),
        *left_out_nodes(found.left_out, found.grade),
        *_notes(found, system),
        *footing(found.asked, found.samples),
    ]
    return Tree(found.name, tuple(nodes))


def _answer(found: Ceiling, reach: Reach, who: str, system: System, *, together: bool = False) -> list[Line]:
    head = line(Run(f"{who}: ", "strong"), *_power(found, reach, system, together))
    return [head, *_binding(found, reach, system, together)]


def _power(found: Ceiling, reach: Reach, system: System, together: bool) -> tuple[Run | str, ...]:
    grade = found.grade.upper()
    if reach.trial is None:
        if reach.state == "cut short":
            return (Run("INTERRUPTED before anything was found that passes.", "unknown"),)
        return (Run(f"even the least boost reaches {grade}.", _role(found)),)
    boost = boost_quoted(reach.trial.scale * found.asked_pa, system, down=True)
    said: list[Run | str] = [Run(f"{power_said(reach.trial.power, system)} {place_of(found.asked)}", "strong"),
                             f" on {boost}"]
    if together and reach.draws is not None:
        said.append(f"; nothing reaches {grade} in {reach.draws.below} of {reach.draws.decided} draws")
    if reach.state == "nothing binds":
        ends = "where the formulas for boost end" if found.lever_ends else "the top of the search"
        said.append(f". Nothing reaches it up to there, {ends} ({boost_text(found.top_pa, system)})")
    elif reach.state == "the machine binds":
        said.append(". Nothing reaches it: from there on the machine delivers no more, whatever is asked for")
    elif reach.state == "the formulas bind":
        said.append(". Nothing reaches it as far as the formulas judge")
    elif reach.state == "cut short":
        said.append(Run(". INTERRUPTED: it passes there, and may higher up", "unknown"))
    return (*said, ".")


def _binding(found: Ceiling, reach: Reach, system: System, together: bool) -> list[Line]:
    """What reaches the grade a little higher: on the typical build with its number, in draws with their count."""
    above = "There" if reach.state == "least reaches" else "A little higher"
    if reach.state == "cut short" and reach.fails_at is not None:
        above = f"At {boost_text(reach.fails_at * found.asked_pa, system)}"
    said: list[Run | str] = []
    typical = reach.draws_beyond is None or reach.draws_beyond.typical
    if reach.binds and typical:
        first = reach.binds[0]
        said += [f"{above}: ", *named(first), f": {number_of(first, system)}. ", *lifts(first)]
        others = [f"{f.rule} {lowered(f.title)}" for f in reach.binds[1 : 1 + SHOWN_BY]]
        said += [f" Also: {', '.join(others)}."] if others else []
    elif reach.draws_beyond is not None and reach.binds:
        by = reach.draws_beyond.by
        leading = by[0] if together else reach.draws_beyond.worst
        if leading is not None:
            others = [f"{d.finding.rule} in {d.draws}" for d in by if d is not leading][:SHOWN_BY] if together else []
            beside = f", {', '.join(others)}" if others else ""
            said += [f"{above} {lowered(leading.finding.title)} ({leading.finding.rule}) reaches it in "
                     f"{_count(leading)} draws{beside}. ", *lifts(leading.finding)]
    if reach.lost:
        lost = ", ".join(reach.lost[:SHOWN_BY])
        said += [f"{' ' if said else ''}{above} the formulas no longer judge {lost}, so that nothing can be said of "
                 "more."]
    return [line(*said, depth=1)] if said else []


def _count(drawn: DrawnBy) -> str:
    return f"{drawn.own} of {drawn.usable}" if drawn.usable else f"{drawn.draws}"


def _standing(found: Ceiling) -> list[Line]:
    """Where nothing binds, what is found at the end all the same: weak limits never reach the graver grades alone."""
    reach = found.nominal
    if reach.state not in ("nothing binds", "the machine binds", "the formulas bind") or reach.trial is None:
        return []
    standing = found.standing.get("typical", ())
    if not standing:
        return [line("Nothing at caution or worse is found there either.", depth=1)]
    told: list[Run | str] = ["What stands there all the same: "]
    for place, finding in enumerate(standing[:SHOWN_STANDING]):
        told += ["; " if place else "", *named(finding)]
    rest = len(standing) - SHOWN_STANDING
    told.append(f"; {rest} more" if rest > 0 else "")
    capped = [f.rule for f in standing if severity(f.uncapped) >= severity(found.grade) > severity(f.grade)]
    told.append(f". By the numbers alone {', '.join(capped[:SHOWN_STANDING])} would be {found.grade.upper()}: their "
                "limits rest on too little to say so" if capped else "")
    return [line(*told, ". It is an end of what can be judged, not of what bears.", depth=1)]


def _pressure(found: Ceiling, system: System) -> list[Line]:
    """Where peak pressure binds and knock holds the spark back, that octane brings both forward."""
    if found.pressure is None:
        return []
    said = ("Peak pressure binds here, not knock: more octane lets the spark come forward and raises the peak, so that "
            "alone it can lower this answer.")
    if found.held is not None:
        held = found.held
        more = "" if held.power_w is None else f", at {power_quoted(held.power_w, system)}"
        goes = f"{held.finding.rule} is no longer reached" if held.goes else f"{held.finding.rule} is still reached"
        said += (f" With {math.degrees(held.reserve_rad):.0f} deg of spark in reserve (ignition.spark_reserve) {goes} "
                 f"a little higher{more}.")
    return [line(said, depth=1)]


def _confident(found: Ceiling, system: System) -> list[Line]:
    """The two readings of the confidence, as one where they agree."""
    share = f"{100.0 * found.confidence:.0f} %"
    each, likely = found.each, found.likely
    if each is None:
        return []
    if likely is not None and likely.trial is not None and each.trial is not None and (
            likely.trial.scale == each.trial.scale and likely.state != "cut short"):
        return _answer(found, likely, f"{share} sure, each finding by itself and all together", system, together=True)
    nodes = _answer(found, each, f"{share} sure of each finding by itself", system)
    if likely is not None:
        nodes += _answer(found, likely, f"{share} sure of all together", system, together=True)
        nodes.append(line(Run("`check` reads chance the first way: a finding counts when one draw in ten reaches it. "
                              "The second adds up thin tails of many limits: quote by it what must not come back.",
                              "muted")))
    return nodes


def _families(found: Ceiling, system: System) -> list[Node]:
    """Which family makes the confidence dear."""
    told = [one for one in found.families if one.typical or one.together][:SHOWN_FAMILIES]
    if not told or found.nominal.trial is None:
        return []
    share = f"{100.0 * found.confidence:.0f} %"
    rows = [
        [one.family, f"{one.leading.finding.rule} {lowered(one.leading.finding.title)}", _chance(one.typical),
         *([_chance(one.together)] if found.likely is not None and found.likely.trial is not None else []),
         _alone(one, system)]
        for one in told
    ]
    together = ["all together"] if found.likely is not None and found.likely.trial is not None else []
    columns = ["family", "led by", "typical", *together, f"{share} alone to"]
    return [line(Run(f"Chance of {found.grade.upper()} by family, at the answers:", "strong")),
            table(columns, rows, wide=1)]


def _chance(share: float | None) -> str:
    return "-" if share is None else f"{100.0 * share:.0f} %"


def _alone(one: FamilyChance, system: System) -> str:
    if one.alone_w is None:
        return "beyond"
    return f"{'less than ' if one.below else ''}{power_quoted(one.alone_w, system, down=True)}"


def _role(found: Ceiling) -> Role:
    return GRADE_ROLES[found.grade]


def _curves(found: Ceiling, system: System) -> list[Node]:
    """Boost by speed that gives each answer, where it differs by speed."""
    share = f"{100.0 * found.confidence:.0f} %"
    answers = [("typical", found.nominal)]
    answers += [(f"{share} each", found.each)] if found.each is not None else []
    answers += [(f"{share} all", found.likely)] if found.likely is not None else []
    if len(answers) == 3 and answers[1][1].curve == answers[2][1].curve:
        answers = [answers[0], (share, answers[1][1])]
    answers = [(who, reach) for who, reach in answers if len(reach.curve) > 1]
    if not answers or any(len(reach.curve) > MOST_SPEEDS for _, reach in answers):
        return []
    speeds = [value_text(at, "rad/s", system) for at, _ in answers[0][1].curve]
    rows = [[who, *(boost_text(boost, system) for _, boost in reach.curve)] for who, reach in answers]
    return [line(Run("Boost by engine speed:", "strong")), table(["", *speeds], rows, wide=0)]


def _beside(found: Ceiling) -> list[Line]:
    """Rules that draws reach at any boost, which no less of it would help."""
    draws = found.likely.draws if found.likely is not None else None
    if draws is None or not draws.beside:
        return []
    told = ", ".join(
        f"{d.finding.rule} {lowered(d.finding.title)} ({d.draws} of {draws.decided})" for d in draws.beside
    )
    return [line(Run("Not counted, since less boost would not help: ", "strong"),
                 f"{found.grade.upper()} is reached in some draws by {told}.")]


def _notes(found: Ceiling, system: System) -> list[Node]:
    nodes: list[Node] = []
    if found.stacked:
        nodes.append(line(f"The verdict of `check` at the typical answer is {found.grade.upper()} all the same: no "
                          f"single finding, but small margins of {len(found.stacked)} causes add up "
                          f"({', '.join(found.stacked)}); `plan` says what mends them."))
    boosts = [r.trial.scale * found.asked_pa for r in (found.nominal, found.each, found.likely)
              if r is not None and r.trial]
    if found.spring_pa is not None and any(boost < found.spring_pa for boost in boosts):
        nodes.append(line(f"Below {boost_text(found.spring_pa, system)} the wastegate's spring does not open: it needs "
                          "a softer one."))
    if found.pulley:
        nodes.append(line("The stated pulley makes its own boost (boost.beyond_asked): less than that needs a valve "
                          "that vents it, more another pulley."))
    return [*nodes, *unjudged_line(_silent(found), "Not judged, and so not in these figures: ")]


def _silent(found: Ceiling) -> list[NotJudged]:
    judgement = found.nominal.trial.judgement if found.nominal.trial is not None else found.asked
    return [*judgement.not_judged, *judgement.out_of_range]


def ceiling_data(found: Ceiling) -> dict[str, Any]:
    """Both answers as data, SI."""
    return {
        "schema": CEILING,
        "version": __version__,
        "build": {"name": found.name},
        "goal": goal_data(found.asked),
        "grade": found.grade,
        "boost_asked": {"value": found.asked_pa, "unit": "Pa", "kind": "gauge"},
        "top_of_search": {"value": found.top_pa, "unit": "Pa", "kind": "gauge"},
        "typical": _reach_data(found.nominal),
        "confidence": found.confidence if found.likely is not None else None,
        "confident_each": None if found.each is None else _reach_data(found.each),
        "confident": None if found.likely is None else _reach_data(found.likely),
        "families": [
            {"family": f.family, "rule": f.leading.finding.rule, "chance_at_typical": finite(f.typical),
             "chance_at_confident": finite(f.together), "alone_to_power": finite(f.alone_w), "or_less": f.below}
            for f in found.families
        ],
        "peak_pressure_binds": None if found.pressure is None else found.pressure.rule,
        "spark_held_back": None if found.held is None else {
            "rule": found.held.finding.rule, "reserve": found.held.reserve_rad, "unit": "rad",
            "no_longer_reached": found.held.goes, "power": finite(found.held.power_w),
        },
        "standing_at_typical": [finding_data(f) for f in found.standing.get("typical", ())],
        "left_out": left_out_data(found.left_out),
        "not_judged": silent_data(_silent(found)),
        "stacked_to_grade": bool(found.stacked),
        "stacked_causes": list(found.stacked),
        "judgements": found.judgements,
        "interrupted": found.interrupted,
        **footing_data(found.asked, found.samples),
    }


def _reach_data(reach: Reach) -> dict[str, Any]:
    trial = reach.trial
    quantities = {} if trial is None else trial.assessment.quantities
    return {
        "state": reach.state,
        "scale": None if trial is None else trial.scale,
        "boost_asked": curve_data(reach.curve),
        "boost": result_data(quantities.get("air.boost")),
        "power": None if trial is None else {"crank": result_data(trial.crank), "as_asked": result_data(trial.power)},
        "torque": result_data(quantities.get("crank.torque")),
        "fails_at_scale": reach.fails_at,
        "binds": [finding_data(finding) for finding in reach.binds],
        "beyond_formulas": list(reach.lost),
        "draws": _draws_data(reach.draws),
        "draws_beyond": _draws_data(reach.draws_beyond),
    }


def _draws_data(draws: Draws | None) -> dict[str, Any] | None:
    if draws is None:
        return None
    return {
        "below": draws.below,
        "decided": draws.decided,
        "reached_by": [{"rule": d.finding.rule, "draws": d.draws, "own_chance": d.share} for d in draws.by],
        "not_counted": [{"rule": d.finding.rule, "draws": d.draws} for d in draws.beside],
    }
