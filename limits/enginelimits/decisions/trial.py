"""Remedies tried: each applied to the worked cases, to see whether it moves what its rule speaks of."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.description.models import Build
from enginelimits.errors import InputError
from enginelimits.rules.catalogue import Catalogue, checkout_folder
from enginelimits.rules.evaluate import reads
from enginelimits.rules.model import Remedy, Rule

# Less than this share of a value is not a move.
LEAST_MOVE = 1e-6


def remedy_trial(catalogue: Catalogue, root: Path | None = None) -> Callable[[Rule, Remedy], str]:
    """What is wrong with a remedy of a rule: empty when some step of it, on some case, moves what the rule reads.

    A quantity must move to its better side; an input must change.  For what a log measures its counterpart in the
    assessment is looked at.
    """
    builds = [load_build(p) for p in sorted((root or checkout_folder("cases")).glob("*/build.yaml"))]
    before = {build.build: assess(filled(build), samples=0) for build in builds}

    @cache
    def after(remedy_id: str, place: int, name: str) -> Assessment | None:
        build = next(b for b in builds if b.build == name)
        return _assessed(build, catalogue.remedies[remedy_id], place)

    def tried(rule: Rule, remedy: Remedy) -> str:
        if not remedy.steps:
            return ""
        wanted = _with_counterparts(reads(catalogue, rule))
        applied = False
        for build in builds:
            for place in reversed(range(len(remedy.steps))):
                changed = after(remedy.id, place, build.build)
                if changed is None:
                    continue
                applied = True
                if any(_moves(before[build.build], changed, wanted)):
                    return ""
        if not applied:
            return "it can be applied to no case"
        return "it moves nothing that the rule reads to its better side, on any case"

    return tried


def _with_counterparts(read: frozenset[tuple[str, str]]) -> frozenset[tuple[str, str]]:
    """What a rule reads, and what an assessment has in the place of what a log measures."""
    stands_for = (n for kind, name in read if kind == "quantity" for n in QUANTITIES[name].counterparts)
    return read | {("quantity" if name in QUANTITIES else "input", name) for name in stands_for}


def _assessed(build: Build, remedy: Remedy, place: int) -> Assessment | None:
    """The build after one step of a remedy; None where the step does not fit or changes nothing."""
    try:
        return assess(filled(edited(build, remedy.steps[place])), samples=0)
    except InputError:
        return None


def _moves(before: Assessment, after: Assessment, wanted: frozenset[tuple[str, str]]) -> Iterator[bool]:
    for kind, name in sorted(wanted):
        if kind == "input":
            old, new = before.filled.get(name), after.filled.get(name)
            yield (old and (old.value, old.curve)) != (new and (new.value, new.curve))
            continue
        one, other = before.quantities.get(name), after.quantities.get(name)
        if one is None or other is None:
            continue
        if one.status != "ok" or other.status != "ok":
            # Judged at last, or no longer there to be worried about.
            yield one.status != other.status
            continue
        worse = QUANTITIES[name].worse
        for was, now in _pairs(before, after, name):
            rise = now - was
            better = rise < 0 if worse == "high" else rise > 0 if worse == "low" else rise != 0
            yield better and abs(rise) > LEAST_MOVE * max(abs(was), abs(now))


def _pairs(before: Assessment, after: Assessment, name: str) -> Iterator[tuple[float, float]]:
    """A quantity before and after, at each speed that both have, and as it governs."""
    one, other = before.curves.get(name), after.curves.get(name)
    if one is not None and other is not None:
        later = dict(zip(after.speeds, other.values, strict=True))
        for speed, was in zip(before.speeds, one.values, strict=True):
            now = later.get(speed)
            if was is not None and now is not None:
                yield was, now
    governed, then = before.quantities[name].value, after.quantities[name].value
    if governed is not None and then is not None:
        yield governed, then
