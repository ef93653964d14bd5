"""What the owner keeps up after the work: fuel, oil, plugs, checks.  Common practice, no source, unless computed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from enginelimits.present.page.parts import SHORT_BLANK
from enginelimits.present.tree import Item, Node, Role, Run, line
from enginelimits.present.values import range_text, value_text

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.units.display import System


def duties(judgement: Judgement, system: System, ways: Sequence[tuple[str, Judgement]] = ()) -> Iterable[Node]:
    """The maintenance card, with blanks for the intervals that the shop sets.

    ``ways`` are the ways that may be chosen instead, by name: a duty that is not the same in all is told for each.
    """
    cards = [(name, dict(_lines(each, system))) for name, each in (("as asked", judgement), *ways)]
    for what in dict.fromkeys(what for _, card in sorted(cards, key=lambda named: -len(named[1])) for what in card):
        told: dict[str, list[str]] = {}
        held: dict[str, tuple[Run, ...]] = {}
        for name, card in cards:
            if what in card:
                words = "".join(run.text for run in card[what])
                told.setdefault(words, []).append(name)
                held.setdefault(words, card[what])
        for words, names in told.items():
            where = "" if len(names) == len(cards) else f", {' and '.join(names)}"
            yield Item("-", (Run(f"{what}{where}: ", "strong"), *held[words]))
    yield line(Run("Intervals are the workshop's to fill in; these duties are common practice.", "muted"))


def _lines(judgement: Judgement, system: System) -> Iterable[tuple[str, tuple[Run, ...]]]:
    distance = "mi" if system == "us" else "km"
    every = f"every {SHORT_BLANK} {distance}"
    boosted = _word(judgement, "forced_induction.kind") not in ("", "none")
    yield "Fuel", _fuel(judgement, system)
    content = _number(judgement, "fuel.ethanol")
    if content is not None and content > 0.15:
        yield "Ethanol", (Run("test the content at each tank and write it down; a tank outside the agreed range means "
                              "no full load."),)
    grade = _text(judgement, "oil.grade", system)
    category = _text(judgement, "oil.category", system)
    named = ", ".join(filter(None, (grade, category))) or "as agreed"
    yield "Oil", (Run(named, _role(judgement, "oil.grade")), Run(f", with filter, {every}; level at each fuel stop."))
    yield "Plugs and air filter", (Run(f"{every}; gap as set by the workshop."),)
    if boosted:
        yield "Warm up and cool down", (Run("no boost before the oil is warm; let it idle or drive gently before "
                                            "switching off."),)
    yield "Leak-down and compression", (Run(f"{every}, and the log of one full-load pull with it."),)
    if judgement.filled.get("internals.head.fasteners") is not None:
        yield "First check", (Run(f"after {SHORT_BLANK} {distance}: leaks, hoses, fasteners, belts, plugs, log."),)
    yield "Stop and call", (Run("at any warning lamp, knock, smoke, loss of oil or coolant, or smell of fuel."),)


def _fuel(judgement: Judgement, system: System) -> tuple[Run, ...]:
    from enginelimits.description.paths import flattened

    # On the scale it was written in, which is that of the pumps there.
    stated = flattened(judgement.filled.build).get("fuel.octane")
    octane = getattr(stated, "written", "") or _text(judgement, "fuel.octane", system)
    content = _text(judgement, "fuel.ethanol", system)
    return (Run(f"gasoline of at least {octane}" if octane else "as agreed", _role(judgement, "fuel.octane")),
            Run(f", ethanol {content} in the tank" if content else "", _role(judgement, "fuel.ethanol")),
            Run("; with less, no full load."))


def _text(judgement: Judgement, path: str, system: System) -> str:
    given = judgement.filled.get(path)
    if given is None or given.value is None:
        return ""
    spread = range_text(given.low, given.high, given.unit, system, kind=given.kind, hint=path)
    return spread or value_text(given.value, given.unit, system, kind=given.kind, hint=path)


def _role(judgement: Judgement, path: str) -> Role:
    given = judgement.filled.get(path)
    return "assumed" if given is not None and given.basis == "assumed" else "plain"


def _word(judgement: Judgement, path: str) -> str:
    given = judgement.filled.get(path)
    return given.value if given is not None and isinstance(given.value, str) else ""


def _number(judgement: Judgement, path: str) -> float | None:
    given = judgement.filled.get(path)
    top = None if given is None else given.high if given.high is not None else given.value
    return top if isinstance(top, float) else None
