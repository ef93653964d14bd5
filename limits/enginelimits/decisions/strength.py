"""The strength anchor: a factory part in factory duty is not condemned by a class at its weak end.

The maker's engine, run at the maker's full load up to its own limiter, is judged by the rules on strength
(`strength_of`) with only the parts of that strength drawn from their classes.  Draws in which a factory part would be
graded worse than note are not kept: the maker sold the engine, so they are not of this class as it was built.  What is
kept gives the samples of the build, jointly for all entries of a part, and its median the typical value.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from enginelimits.assessment.collect import assess, speed_grid
from enginelimits.assessment.order import median, percentile
from enginelimits.assessment.sample import drawn
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled, Input
from enginelimits.description.models import Build
from enginelimits.description.standard import standard_build
from enginelimits.reference.catalogue import Kind, kind, kinds
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import evaluate, reads
from enginelimits.rules.grades import NOTE
from enginelimits.rules.ground import Reading
from enginelimits.rules.model import PARTS

if TYPE_CHECKING:
    from enginelimits.shop import Shop

# Draws of each part that are put to the test, whatever the number of samples, so that the typical value hangs on none
POOL = 96
# and of whatever seed
POOL_SEED = 1
# With fewer left the class and the engine disagree, and a median of them says nothing
LEAST_KEPT = 8
# Every so many of the speeds: loads run smoothly between them
EVERY = 3


# Answers kept
MOST_FOUND = 64


@dataclass(frozen=True, slots=True)
class Kept:
    """What stays of the draws of one part: places in the pool, of how many."""

    part: str
    rows: tuple[int, ...]
    of: int

    @property
    def share(self) -> float:
        return len(self.rows) / self.of


_FOUND: dict[tuple[Build, int, int], tuple[Catalogue, Shop | None, tuple[Kept, ...]]] = {}


def strength_anchor(build: Build, catalogue: Catalogue, *, shop: Shop | None = None) -> tuple[Kept, ...]:
    """The draws of each factory part that its maker's own engine leaves; empty without the maker's figures.

    It hangs on the build as it was read, so it is found once for all edits of it.
    """
    key = (build.as_read, id(catalogue), id(shop))
    known = _FOUND.get(key)
    # held beside the answer, so that no other catalogue or shop can take its place in memory
    if known is None or known[0] is not catalogue or known[1] is not shop:
        if len(_FOUND) >= MOST_FOUND:
            _FOUND.clear()
        known = _FOUND[key] = (catalogue, shop, _found(build, catalogue, shop))
    return known[2]


def _found(build: Build, catalogue: Catalogue, shop: Shop | None) -> tuple[Kept, ...]:
    parts = _factory_parts(filled(build.as_read, shop=shop))
    standard = standard_build(build, parts)
    if standard is None or not parts:
        return ()
    described = filled(standard, shop=shop)
    parts = tuple(part for part in parts if part in _factory_parts(described))
    prefixes = {part: _prefixes(part) for part in parts}
    pool = _others_at_typical(described, tuple(p for of in prefixes.values() for p in of))
    redline, limiter = (float(described.inputs[f"engine.{name}"].value) for name in ("redline", "limiter"))  # type: ignore[arg-type]
    grid = speed_grid(redline, limiter)
    # The set functions of numpy would import masked arrays for these few speeds.
    speeds = np.array(sorted({*map(float, grid[::EVERY]), float(grid[-1])}))
    judged = catalogue.judged("build")
    asked = {id_: rule for id_, rule in judged.items() if rule.strength_of in parts}
    if not asked:
        return ()
    # in one go: the cycles are those of the typical engine, and its draws differ in their parts alone
    read = frozenset(name for rule in asked.values() for kind, name in reads(catalogue, rule) if kind == "quantity")
    assessment = assess(
        pool, samples=POOL, seed=POOL_SEED, speeds=speeds, shop=shop, chunk=POOL, site_alone=True, only=read,
        typical_anchor=True,
    )
    settled = {id_: "clear" for id_ in judged if id_ not in asked}
    outcomes = evaluate(catalogue, _AsIfBoosted(assessment), engine="plain", outcomes=settled).outcomes
    kept = []
    for part in parts:
        worse = np.zeros(POOL, dtype=bool)
        for id_, rule in asked.items():
            if rule.strength_of == part:
                worse |= (outcomes[id_].grade[0, 1:] > NOTE) & outcomes[id_].judged[0, 1:]
        rows = tuple(int(row) for row in np.flatnonzero(~worse))
        if len(rows) >= LEAST_KEPT and len(rows) < POOL:
            kept.append(Kept(part, rows, POOL))
    return tuple(kept)


def with_strength(described: Filled, anchor: tuple[Kept, ...]) -> Filled:
    """The description with what is kept in the place of the classes of those parts that are the factory's."""
    inputs = dict(described.inputs)
    factory = _factory_parts(described)
    for kept in anchor:
        if kept.part in factory:
            prefixes = _prefixes(kept.part)
            for path, given in described.inputs.items():
                if path.startswith(prefixes) and _is_drawn(given) and not given.drawn_with:
                    inputs[path] = _from_pool(given, kept)
    for path, given in described.inputs.items():
        if (given.drawn_with and given.basis == "assumed") or path.startswith("engine.standard."):
            inputs[path] = _sum_again(given, described.inputs, inputs)
    return replace(described, inputs=inputs)


class _AsIfBoosted(AssessmentGround):
    """The maker's engine for rules that speak of boosted ones alone: what it bears is its own, without boost."""

    def input(self, path: str) -> Reading:
        if path == "forced_induction.kind":
            return Reading("turbocharger", "1", frozenset(), False, True)
        return super().input(path)


def _from_pool(given: Input, kept: Kept) -> Input:
    whole = drawn(given, kept.of, POOL_SEED)[1:]
    pool = whole[list(kept.rows)]
    kept_order = np.sort(pool)
    low, high = percentile(kept_order, 0.05), percentile(kept_order, 0.95)
    # by how far the median moved, so that the pool's own scatter moves nothing
    typical = float(given.value) + (median(kept_order) - median(np.sort(whole)))  # type: ignore[arg-type]
    told = f"{kept.share:.0%} of the class's draws kept: the factory part in factory duty passes"
    note = f"{given.note}; {told}" if given.note else told
    return replace(given, value=typical, low=low, high=high, pool=tuple(map(float, pool)),
                   pool_of=f"strength of {kept.part}", note=note)


def _sum_again(given: Input, before: Mapping[str, Input], after: Mapping[str, Input]) -> Input:
    """An input that is the sum of others, with the sum of what they now are."""
    if not given.drawn_with or not isinstance(given.value, float):
        return given
    was, now = (_sum(given.drawn_with, inputs) for inputs in (before, after))
    if was is None or now is None or abs(was - given.value) > 1e-9 * abs(given.value):
        return given
    return replace(given, value=now)


def _sum(paths: tuple[str, ...], inputs: Mapping[str, Input]) -> float | None:
    values = [inputs[path].value for path in paths if path in inputs]
    numbers = [value for value in values if isinstance(value, float)]
    return sum(numbers) if len(numbers) == len(paths) else None


def _factory_parts(described: Filled) -> tuple[str, ...]:
    """The parts of the internals that are of a factory class."""
    found = []
    for part in PARTS:
        of = _kind_of(part)
        factory = described.get(f"{of.gives}.factory") if of is not None else None
        if factory is not None and factory.value is True:
            found.append(part)
    return tuple(found)


def _prefixes(part: str) -> tuple[str, ...]:
    of = _kind_of(part)
    return (f"internals.{part}.", *((f"{of.gives}.",) if of is not None else ()))


def _kind_of(part: str) -> Kind | None:
    return next((kind(name) for name in kinds() if kind(name).part == f"internals.{part}"), None)


def _is_drawn(given: Input) -> bool:
    return (given.basis == "assumed" and isinstance(given.value, float) and given.low is not None
            and given.high is not None and given.shape != "point")


def _others_at_typical(described: Filled, prefixes: tuple[str, ...]) -> Filled:
    """The description in which nothing is drawn but the parts."""
    inputs = {
        path: given if path.startswith(prefixes) else replace(given, low=None, high=None, shape="point", points=())
        for path, given in described.inputs.items()
    }
    return replace(described, inputs=inputs)
