"""Remedies as they can be said of one build: those whose words are none for it left out, the limiter reckoned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache

from enginelimits.decisions.verdict import Finding, RemedyShown
from enginelimits.description.filled import Filled
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import certainly
from enginelimits.rules.ground import Ground
from enginelimits.units.registry import from_si

LIMITER, REDLINE = "engine.limiter", "engine.redline"
MAKERS_LIMITER, MAKERS_REDLINE = "engine.standard.limiter", "engine.standard.redline"
Step = tuple[Mapping[str, object], ...]


def as_offered(findings: Iterable[Finding], ground: Ground, described: Filled, catalogue: Catalogue) -> list[Finding]:
    """The findings without remedies that are moot on this build; the limiter goes back to where its maker had it."""

    def offered(remedy: RemedyShown) -> RemedyShown:
        return replace(remedy, steps=tuple(_to_the_makers(step, described) for step in remedy.steps))

    return [replace(f, remedies=tuple(offered(r) for r in f.remedies))
            for f in without_moot(findings, ground, catalogue)]


def without_moot(findings: Iterable[Finding], ground: Ground, catalogue: Catalogue) -> list[Finding]:
    """The findings without remedies whose words are none for what the ground describes."""

    @cache
    def moot(id_: str) -> bool:
        known = catalogue.remedies.get(id_)
        condition = None if known is None else known.moot_where
        return condition is not None and certainly(condition, ground, catalogue)

    return [replace(f, remedies=tuple(r for r in f.remedies if not moot(r.id))) for f in findings]


def _to_the_makers(step: Step, described: Filled) -> Step:
    """A step that drops the limiter, as one that sets it to the maker's, and the redline with it where it stood higher.

    A limiter that is dropped alone would come out of a class again, above a redline that was raised with it.
    """
    makers = _speed(described, MAKERS_LIMITER)
    if step != ({"drop": LIMITER},) or makers is None:
        return step
    redline, makers_redline = _speed(described, REDLINE), _speed(described, MAKERS_REDLINE)
    wanted = min(makers if makers_redline is None else makers_redline, makers)
    back: Step = ({"set": LIMITER, "to": _written(makers)},)
    return ({"set": REDLINE, "to": _written(wanted)}, *back) if redline is not None and redline > makers else back


def _speed(described: Filled, path: str) -> float | None:
    found = described.get(path)
    return float(found.value) if found is not None and isinstance(found.value, int | float) else None


def _written(speed_rad_s: float) -> str:
    return f"{from_si(speed_rad_s, 'rpm'):.6g} rpm"
