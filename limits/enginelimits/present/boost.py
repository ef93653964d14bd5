"""What ladder and ceiling say alike: boost, power with its range, a finding in a line, and the same as data."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from enginelimits.decisions.boost_trial import THE_GOAL, LeftOut
from enginelimits.decisions.stacking import governing_quantity
from enginelimits.decisions.verdict import Because, Finding, Judgement, NotJudged, RemedyShown
from enginelimits.present.jsonform import place_data
from enginelimits.present.tree import Item, Line, Node, Run, line
from enginelimits.present.values import SENSES, at_text, because_text, finite, range_text, value_text
from enginelimits.present.verdict import GRADE_ROLES
from enginelimits.present.warnings import short_warnings

if TYPE_CHECKING:
    from enginelimits.assessment.results import QuantityResult
    from enginelimits.units.display import System

NONE = "none"
SHOWN_UNJUDGED = 4
SHOWN_REMEDIES = 2
HORSEPOWER_W, PSI_PA = 745.69987, 6894.757
POWER_STEP = 5.0
# Quantities that the trade says in per cent, by the end of their names.
SHARES = ("_use", "reserve", "_share", "torque_lost", "load_lost", "uncovered_level", "_reach", "over_standard",
          "_raise", "efficiency", "surge_margin", "choke_margin", "_gap_ratio", "bypass_share", "gap_margin",
          "port_duty", "column_use_high")
BOOST, EDITS = "forced_induction.boost", ("set", "replace", "drop", "cap")


def boost_text(boost_pa: float, system: System) -> str:
    """A gauge boost in words."""
    return value_text(boost_pa, "Pa", system, hint="air.boost") if boost_pa > 0.0 else NONE


def power_quoted(power_w: float, system: System, *, down: bool = False) -> str:
    """A predicted power as the trade says it: to five hp or kW, and no higher than predicted where it is a bound."""
    unit, size = ("hp", HORSEPOWER_W) if system == "us" else ("kW", 1e3)
    return f"{_stepped(power_w / size, POWER_STEP, down):.0f} {unit}"


def boost_quoted(boost_pa: float, system: System, *, down: bool = False) -> str:
    """A predicted boost as the trade says it: to half a psi, or a twentieth of a bar."""
    unit, size, step, decimals = ("psi", PSI_PA, 0.5, 1) if system == "us" else ("bar", 1e5, 0.05, 2)
    said = _stepped(boost_pa / size, step, down)
    return f"{said:.{decimals}f} {unit}" if said > 0.0 else boost_text(boost_pa, system)


def _stepped(value: float, step: float, down: bool) -> float:
    steps = value / step
    return step * (math.floor(steps + 1e-6) if down else round(steps))


def power_said(power: QuantityResult, system: System) -> str:
    """The same with the range of its draws, for a sentence that is quoted; no higher than predicted."""
    if power.value is None:
        return power.status
    said = f"about {power_quoted(power.value, system, down=True)}"
    if power.low is None or power.high is None or power.low == power.high:
        return said
    low, high = (power_quoted(value, system) for value in (power.low, power.high))
    return f"{said} ({low.partition(' ')[0]} to {high.partition(' ')[0]})"


def power_text(power: QuantityResult, system: System) -> str:
    """Power with the range of its draws, or why there is none."""
    if power.value is None:
        return power.status
    text = value_text(power.value, power.unit, system)
    spread = range_text(power.low, power.high, power.unit, system).rpartition(" ")[0]
    return f"{text} ({spread})" if spread else text


def place_of(judgement: Judgement) -> str:
    """Where the goal wants its power: at the wheels or at the crank."""
    at = judgement.filled.get("goal.at")
    return "at the wheels" if at is not None and at.value == "wheels" else "at the crank"


def asked_text(judgement: Judgement, boost_pa: float, system: System) -> str:
    """What the build asks for, boost and power."""
    goal = judgement.filled.get("goal.power")
    boost = boost_text(boost_pa, system)
    if goal is None or not isinstance(goal.value, int | float):
        return boost
    return f"{value_text(goal.value, goal.unit, system)} {place_of(judgement)} on {boost}"


def decisive(finding: Finding) -> Because | None:
    """The comparison that governs a finding."""
    named = governing_quantity(finding)
    ordered = [*(b for b in finding.because if b.name == named), *finding.because]
    return next((b for b in ordered if b.limit is not None), ordered[0] if ordered else None)


def named(finding: Finding) -> tuple[Run | str, ...]:
    """Grade, title and rule of a finding."""
    grade = Run(finding.grade.upper(), GRADE_ROLES[finding.grade])
    return grade, f" {lowered(finding.title)} ({finding.rule})"


def number_of(finding: Finding, system: System) -> str:
    """The comparison that governs a finding, with its place."""
    leading = decisive(finding)
    if leading is None:
        return "a condition without a number"
    limit, value = leading.limit, leading.value
    if limit is None or not isinstance(value, float) or not isinstance(limit.value, float):
        return because_text(leading, system)
    within = value <= limit.value if limit.sense in ("above", "at_least") else value >= limit.value
    told, held = (_measure(number, limit.value, leading, system) for number in (value, limit.value))
    place = at_text(leading.at, system)
    there = f" {place}" if place else ""
    if within:
        # Only a tail of the draws is beyond it: the typical value must not read as if it were.
        return f"{leading.name} {told}{there}, limit {held}, which a tail of the draws crosses"
    if told == held:
        return f"{leading.name} just past its limit of {held}{there}"
    return f"{leading.name} {told}, {SENSES.get(limit.sense, limit.sense)} {held}{there and ','}{there}"


def _measure(value: float, limit: float, because: Because, system: System) -> str:
    """A value as it is said beside its limit: shares in per cent, both in the unit that suits the limit."""
    hint, last = because.name, because.name.rpartition(".")[2]
    if because.unit == "1" and last.endswith(SHARES):
        return f"{100.0 * value:.{0 if limit >= 0.2 else 2}f} %"
    said = value_text(value, because.unit, system, hint=hint)
    held = value_text(limit, because.unit, system, hint=hint)
    (number, _, unit), (near, _, wanted) = said.partition(" "), held.partition(" ")
    if not unit or unit == wanted or limit == 0.0:
        return said
    try:
        scale = float(near) / limit
    except ValueError:
        return said
    decimals = len(near.partition(".")[2])
    # Both units have their zero in one place, or the step between them would not be a mere factor.
    return f"{value * scale:.{decimals}f} {wanted}" if because.unit != "K" else f"{number} {unit}"


def lifts(finding: Finding) -> tuple[Run | str, ...]:
    """What lifts a finding: its first remedies as alternatives, but less boost, which is what is being raised."""
    told = [lowered(remedy.say.rstrip(".")) for remedy in finding.remedies if not _less_boost(remedy)]
    said = "; or ".join(told[:SHOWN_REMEDIES])
    more = f"; {len(told) - SHOWN_REMEDIES} more" if len(told) > SHOWN_REMEDIES else ""
    return Run("Lifts it: ", "muted"), Run(f"{said or 'no remedy on record but less boost'}{more}.", "remedy")


def _less_boost(remedy: RemedyShown) -> bool:
    paths = {str(value) for step in remedy.steps for edit in step for verb, value in edit.items() if verb in EDITS}
    return paths == {BOOST}


def lowered(sentence: str) -> str:
    """A sentence that goes on after another, symbols left as they are."""
    return sentence[0].lower() + sentence[1:] if sentence[1:2].islower() else sentence


def left_out_nodes(left: Sequence[LeftOut], grade: str) -> list[Node]:
    """What reaches the grade whatever the boost, but whether the goal is reached, which the head tells."""
    left = [one for one in left if one.reason != THE_GOAL]
    if not left:
        return []
    head = line(Run(f"Left out, since boost does not answer for it; {grade.upper()} or worse all the same:", "strong"))
    return [head, *(Item("-", (*line(*named(one.finding)).runs, Run(f": {one.reason}."))) for one in left)]


def unjudged_line(silent: Iterable[NotJudged], words: str) -> list[Line]:
    """Rules that said nothing, and what they lack."""
    lacks: dict[str, list[str]] = {}
    for rule in silent:
        lacks.setdefault(", ".join(rule.missing[:2]) or rule.reason or "no reason recorded", []).append(rule.rule)
    if not lacks:
        return []
    shown = [f"{', '.join(rules)} ({why})" for why, rules in lacks.items()]
    rest = sum(len(rules) for rules in list(lacks.values())[SHOWN_UNJUDGED:])
    more = f" and {rest} more" if rest else ""
    return [line(Run(words, "strong"), f"{'; '.join(shown[:SHOWN_UNJUDGED])}{more}.")]


def footing(judgement: Judgement, samples: int) -> list[Node]:
    """The warnings, then the rules, the day and the draws that the answer stands on."""
    layers = ", ".join(f"{layer.name} {layer.version}".strip() for layer in judgement.layers)
    drawn = f"{samples} draws, the same at every boost" if samples else "No draws were made, so there are no ranges"
    stands = line(Run(f"Rules: {layers or 'none'}; {judgement.as_of}. {drawn}.", "muted"))
    return [*short_warnings(judgement.notices), stands]


def footing_data(judgement: Judgement, samples: int) -> dict[str, Any]:
    """The same as data."""
    return {
        "catalogue": {
            "layers": [{"name": x.name, "version": x.version, "digest": x.digest} for x in judgement.layers]
        },
        "samples": {"asked": samples, "seed": judgement.seed},
        "as_of": judgement.as_of,
        "notices": [*judgement.notices, *judgement.questions],
    }


def goal_data(judgement: Judgement) -> dict[str, Any]:
    """The power asked for, SI."""
    power, at = judgement.filled.get("goal.power"), judgement.filled.get("goal.at")
    return {
        "power": power.value if power is not None else None,
        "unit": "W",
        "at": at.value if at is not None else None,
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """A finding in short: rule, quantity, value, limit, place and remedies."""
    leading = decisive(finding)
    return {
        "rule": finding.rule,
        "title": finding.title,
        "family": finding.family,
        "grade": finding.grade,
        "chance": finding.chance,
        "because": None if leading is None else _because_data(leading),
        "remedies": [{"id": remedy.id, "kind": remedy.kind, "say": remedy.say} for remedy in finding.remedies],
    }


def _because_data(leading: Because) -> dict[str, Any]:
    limit = leading.limit
    return {
        leading.kind: leading.name,
        "value": finite(leading.value),
        "unit": leading.unit,
        "at": place_data(leading.at),
        "limit": None if limit is None else {
            "name": limit.name, "value": finite(limit.value), "unit": limit.unit, "sense": limit.sense,
            "layer": limit.layer, "shipped_value": finite(limit.shipped_value),
        },
    }


def curve_data(curve: Sequence[tuple[float | None, float]]) -> list[dict[str, float | None]]:
    """Boost asked for by engine speed; the speed is null where one boost holds for all."""
    return [{"at": speed, "value": boost} for speed, boost in curve]


def result_data(result: QuantityResult | None) -> dict[str, Any] | None:
    """A quantity as `check` writes it."""
    if result is None:
        return None
    return {
        "value": finite(result.value), "unit": result.unit, "low": finite(result.low), "high": finite(result.high),
        "at": place_data(result.at), "status": result.status, "reason": result.reason,
    }


def left_out_data(left: Sequence[LeftOut]) -> list[dict[str, Any]]:
    """What boost does not answer for."""
    return [{**finding_data(one.finding), "reason": one.reason} for one in left]


def silent_data(silent: Iterable[NotJudged]) -> list[dict[str, Any]]:
    """Rules that said nothing."""
    return [{"rule": n.rule, "title": n.title, "missing": list(n.missing), "reason": n.reason} for n in silent]
