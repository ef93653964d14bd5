"""Several pulls beside each other, in words and as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from enginelimits import __version__
from enginelimits.present.tree import Heading, Line, Node, Notice, Run, Tree, line, table
from enginelimits.present.values import finite, value_text

if TYPE_CHECKING:
    from enginelimits.measured.several import Crossover, Effect, Repeat, Several
    from enginelimits.units.display import System

SEVERAL = "enginelimits.several/1"
SHOWN_SPEEDS = 12
USUAL = (
    "The same car on the same dyno repeats within 1 to 2 % on a day (common practice): that much is noise, whatever "
    "was changed."
)
EACH = (
    "Each interval holds for its own row alone: of twenty rows one is told apart by chance. Torque and power are as "
    "logged; what the weather, the charge temperature and boost did meanwhile is in them."
)
SAID = {
    "more": "more", "less": "less", "not told apart from noise": "not told apart from noise",
    "cannot be said": "cannot be said",
}


def several_tree(found: Several, system: System = "metric") -> Tree:
    """The report: how well the pulls repeat, what the change did against noise, where the curves cross."""
    nodes: list[Node] = [*_taken(found), *_repeats(found, system)]
    if found.level is not None:
        nodes += [*_effects(found, system), *_crossovers(found, system)]
    nodes += [line(Run(remark, "muted")) for remark in found.remarks]
    nodes.append(Notice(USUAL))
    return Tree(_title(found), tuple(nodes))


def _title(found: Several) -> str:
    count = len(found.taken)
    if found.level is None:
        return f"{count} pulls: how well they repeat"
    return f"{count} pulls: {found.names[1]} against {found.names[0]}"


def _name(state: str, found: Several) -> str:
    first, second = found.names
    return {"before": first, "changed": second, "again": f"{first} again"}[state]


def _taken(found: Several) -> Iterable[Line]:
    for state in dict.fromkeys(t.state for t in found.taken):
        pulls = ", ".join(f"{t.file} pull {t.number}" for t in found.taken if t.state == state)
        yield line(Run(f"{_name(state, found)}: ", "strong"), pulls)


def _percent(share: float, digits: int = 1) -> str:
    return "-" if not np.isfinite(share) else f"{100.0 * share:.{digits}f} %"


def _repeats(found: Several, system: System) -> Iterable[Node]:
    yield Heading("Repeatability, as standard deviation")
    rows = [
        (_name(r.state, found), str(r.pulls), value_text(r.peak_torque, "N*m", system), _percent(r.peak_torque_spread),
         value_text(r.peak_power, "W", system), _percent(r.peak_power_spread), _percent(r.level_spread), r.word)
        for r in found.repeats
    ]
    yield table(("", "pulls", "peak torque", "", "peak power", "", "whole pull", ""), rows, wide=7)
    widest = [r for r in found.repeats if np.isfinite(r.spread).any()]
    for r in widest:
        k = int(np.nanargmax(r.spread))
        middle, most = _percent(float(np.nanmedian(r.spread))), _percent(float(r.spread[k]))
        at = value_text(float(found.speeds[k]), "rad/s", system)
        yield line(f"{_name(r.state, found)}: by speed {middle} in the middle of all, at most {most} at {at}.")


def _effects(found: Several, system: System) -> Iterable[Node]:
    assert found.level is not None
    yield Heading(f"What it did, with the {found.confidence:.0%} interval")
    yield line(Run(_sentence(found.level, found), "strong"))
    rows = [_row(e, system) for e in (found.level, *found.peaks)]
    if found.drift is not None:
        rows.append(_row(found.drift, system))
    every = max(1, -(-len(found.effects) // SHOWN_SPEEDS))
    rows += [_row(e, system) for e in found.effects[::every]]
    yield table(("", _name("before", found), "difference", "from", "to", ""), rows, wide=5)
    yield line(Run(EACH, "muted"))


def _sentence(level: Effect, found: Several) -> str:
    share, reach = level.value / level.base, level.seen_from / abs(level.base)
    if level.word == "not told apart from noise":
        return (f"Over the whole pull {share:+.1%}, not told apart from noise: less than about {reach:.1%} either way "
                "would not have been seen.")
    if level.word == "cannot be said":
        return "What it did cannot be said."
    low, high = sorted((level.low / level.base, level.high / level.base))
    noise = ", if the noise is the trade's" if level.assumed else ""
    return f"{found.names[1]} gave {share:+.1%} over the whole pull ({low:+.1%} to {high:+.1%}){noise}."


def _row(effect: Effect, system: System) -> tuple[Run | str, ...]:
    name = effect.what if effect.speed is None else f"at {value_text(effect.speed, 'rad/s', system)}"
    shares = (f"{v / effect.base:+.1%}" if np.isfinite(v) else "-" for v in (effect.value, effect.low, effect.high))
    word = SAID[effect.word]
    role = "plain" if effect.word in ("more", "less") else "muted"
    return (name, value_text(effect.base, effect.unit, system), *shares, Run(word, role))  # type: ignore[arg-type]


def _crossovers(found: Several, system: System) -> Iterable[Line]:
    for crossing in found.crossovers:
        yield line(Run("Crossover: ", "strong"), _crossing(crossing, found, system))
    for speed in found.crossing_unsure:
        yield line(Run("They cross near ", "muted"), value_text(speed, "rad/s", system),
                   ", which is not told apart from noise.")


def _crossing(crossing: Crossover, found: Several, system: System) -> str:
    at, low, high = (value_text(v, "rad/s", system) for v in (crossing.speed, crossing.low, crossing.high))
    below = "before" if crossing.above == "changed" else "changed"
    return f"{at} ({low} to {high}); {_name(below, found)} gives more below, {_name(crossing.above, found)} above."


def several_data(found: Several) -> dict[str, Any]:
    """The same as data, SI."""
    return {
        "schema": SEVERAL,
        "version": __version__,
        "names": {"before": found.names[0], "changed": found.names[1]},
        "confidence": found.confidence,
        "pulls": [
            {"file": t.file, "pull": t.number, "state": t.state, "torque": finite(curve)}
            for t, curve in zip(found.taken, found.curves, strict=True)
        ],
        "engine_speed": {"unit": "rad/s", "values": finite(found.speeds)},
        "repeatability": [_repeat_data(r) for r in found.repeats],
        "level": _effect_data(found.level),
        "peaks": [_effect_data(e) for e in found.peaks],
        "drift": _effect_data(found.drift),
        "by_speed": [_effect_data(e) for e in found.effects],
        "crossovers": [
            {"engine_speed": c.speed, "low": c.low, "high": c.high, "unit": "rad/s", "more_above": c.above}
            for c in found.crossovers
        ],
        "crossings_not_told_from_noise": list(found.crossing_unsure),
        "remarks": list(found.remarks),
        "notices": [USUAL],
    }


def _repeat_data(r: Repeat) -> dict[str, Any]:
    return {
        "state": r.state, "pulls": r.pulls, "mean": finite(r.mean), "spread": finite(r.spread),
        "level_spread": finite(r.level_spread), "word": r.word,
        "peak_torque": {"value": r.peak_torque, "unit": "N*m", "spread": finite(r.peak_torque_spread)},
        "peak_power": {"value": r.peak_power, "unit": "W", "spread": finite(r.peak_power_spread)},
        "drift": {"value": finite(r.drift), "low": finite(r.drift_low), "high": finite(r.drift_high)},
    }


def _effect_data(effect: Effect | None) -> dict[str, Any] | None:
    if effect is None:
        return None
    return {
        "what": effect.what, "unit": effect.unit, "engine_speed": effect.speed, "base": finite(effect.base),
        "value": finite(effect.value), "error": finite(effect.error), "low": finite(effect.low),
        "high": finite(effect.high), "noise_assumed": effect.assumed, "word": effect.word,
    }
