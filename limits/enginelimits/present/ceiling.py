"""The ceiling of power in words and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.boost_trial import DrawnBy, Draws
from enginelimits.decisions.ceiling import Ceiling, Reach
from enginelimits.decisions.verdict import NotJudged
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
from enginelimits.present.tree import Line, Node, Role, Run, Tree, line, table
from enginelimits.present.values import value_text
from enginelimits.present.verdict import GRADE_ROLES

if TYPE_CHECKING:
    from enginelimits.units.display import System

CEILING = "enginelimits.ceiling/1"
SHOWN_BY = 3
MOST_SPEEDS = 8


def ceiling_tree(found: Ceiling, system: System = "metric") -> Tree:
    """The two answers with what binds, the boost that gives them, and what was left out."""
    grade = Run(found.grade.upper(), GRADE_ROLES[found.grade])
    nodes: list[Node] = [
        line("The greatest power at which no finding reaches ", grade, ", by boost alone and whatever the goal. ",
             f"Asked: {asked_text(found.asked, found.asked_pa, system)}."),
        *_answer(found, found.nominal, "Typical build", system),
        *_likely(found, system),
        *_curves(found, system),
        *_beside(found),
        *left_out_nodes(found.left_out, found.grade),
        *_notes(found, system),
        *footing(found.asked, found.samples),
    ]
    return Tree(found.name, tuple(nodes))


def _answer(found: Ceiling, reach: Reach, who: str, system: System) -> list[Line]:
    head = line(Run(f"{who}: ", "strong"), *_power(found, reach, system))
    return [head, *_binding(found, reach, system)]


def _power(found: Ceiling, reach: Reach, system: System) -> tuple[Run | str, ...]:
    grade = found.grade.upper()
    if reach.trial is None:
        if reach.state == "cut short":
            return (Run("INTERRUPTED before anything was found that passes.", "unknown"),)
        return (Run(f"even the least boost reaches {grade}.", _role(found)),)
    words = power_text(reach.trial.power, system)
    boost = boost_text(reach.trial.scale * found.asked_pa, system)
    said: list[Run | str] = [Run(f"{words} {place_of(found.asked)}", "strong"), f" on {boost}"]
    if reach.draws is not None:
        said.append(f"; nothing reaches {grade} in {reach.draws.below} of {reach.draws.decided} draws")
    if reach.state == "nothing binds":
        said.append(f". Nothing binds up to there, the top of the search ({boost_text(found.top_pa, system)} at most)")
    elif reach.state == "the machine binds":
        said.append(". Nothing binds: from there on the machine delivers no more, whatever is asked for")
    elif reach.state == "cut short":
        said.append(Run(". INTERRUPTED: it passes there, and may higher up", "unknown"))
    return (*said, ".")


def _binding(found: Ceiling, reach: Reach, system: System) -> list[Line]:
    """What reaches the grade a little higher: on the typical build with its number, in draws with their count."""
    above = "There" if reach.state == "least reaches" else "Above it"
    if reach.fails_at is not None and reach.state != "least reaches":
        above = f"At {boost_text(reach.fails_at * found.asked_pa, system)}"
    said: list[Run | str] = []
    if reach.draws_beyond is not None:
        told = [_by(drawn, reach.draws_beyond, system) for drawn in reach.draws_beyond.by[:SHOWN_BY]]
        if told:
            said += [f"{above} it is reached by {'; '.join(told)}."]
        if reach.binds:
            said += [" ", *lifts(reach.binds[0])]
    elif reach.binds:
        first = reach.binds[0]
        said += [f"{above}: ", *named(first), f": {number_of(first, system)}. ", *lifts(first)]
        others = [f"{f.rule} {lowered(f.title)}" for f in reach.binds[1 : 1 + SHOWN_BY]]
        said += [f" Also: {', '.join(others)}."] if others else []
    if reach.lost:
        lost = ", ".join(reach.lost[:SHOWN_BY])
        said += [f" {above} the formulas no longer judge {lost}, so that nothing can be said of more."]
    return [line(*said, depth=1)] if said else []


def _by(drawn: DrawnBy, draws: Draws, system: System) -> str:
    return (f"{lowered(drawn.finding.title)} ({drawn.finding.rule}) in {drawn.draws} of {draws.decided} draws, as by "
            f"{number_of(drawn.finding, system)}")


def _likely(found: Ceiling, system: System) -> list[Line]:
    if found.likely is None:
        return []
    return _answer(found, found.likely, f"With {100.0 * found.confidence:.0f} % confidence", system)


def _role(found: Ceiling) -> Role:
    return GRADE_ROLES[found.grade]


def _curves(found: Ceiling, system: System) -> list[Node]:
    """Boost by speed that gives each answer, where it differs by speed."""
    answers = [("typical", found.nominal)]
    if found.likely is not None:
        answers.append((f"{100.0 * found.confidence:.0f} %", found.likely))
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
        nodes.append(line(f"At the typical answer small margins of several causes add up to a verdict of "
                          f"{found.grade.upper()} all the same; `check` at that boost names them."))
    boosts = [r.trial.scale * found.asked_pa for r in (found.nominal, found.likely) if r is not None and r.trial]
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
        "confident": None if found.likely is None else _reach_data(found.likely),
        "left_out": left_out_data(found.left_out),
        "not_judged": silent_data(_silent(found)),
        "stacked_to_grade": found.stacked,
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
        "reached_by": [{"rule": d.finding.rule, "draws": d.draws} for d in draws.by],
        "not_counted": [{"rule": d.finding.rule, "draws": d.draws} for d in draws.beside],
    }
