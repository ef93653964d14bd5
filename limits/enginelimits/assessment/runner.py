"""Orders the steps and calls each once on whole arrays, carrying gaps and range breaches along."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError
from typing import Any

import numpy as np

from enginelimits.assessment.columns import Column, Step, names_of
from enginelimits.assessment.precedence import in_order
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.description.fields import Several
from enginelimits.description.paths import field
from enginelimits.errors import SolveError
from enginelimits.physics.numerics.validity import outside, ranges_of

TIMING = "ignition.timing"
# How drive pressure and boost at low speed come about: from the turbine's size, or of a class
TURBINE, TURBINE_CLASS, TURBINE_SIZE = "forced_induction.turbine.swallowing", "of a class", "of its size"
IMPELLER = "forced_induction.compressor.exducer"
BLOWER, DRIVE = (f"forced_induction.supercharger.{name}" for name in ("displacement_per_rev", "drive_ratio"))
_SIZES = tuple(f"forced_induction.turbine.{name}" for name in ("inducer", "exducer", "housing_ratio"))


def texts_of(columns: Mapping[str, Column]) -> dict[str, Any]:
    """The inputs that steps are chosen by: words, yes and no, and whether ignition timing is given."""
    texts = {path: column.si for path, column in columns.items() if isinstance(column.si, str | bool)}
    timing = columns.get(TIMING)
    texts[TIMING] = "open" if timing is None or timing.si is None else "given"

    def stated(path: str) -> bool:
        column = columns.get(path)
        return column is not None and column.si is not None

    sized = stated(TURBINE) or all(map(stated, _SIZES))
    turbo = texts.get("forced_induction.kind") == "turbocharger"
    texts[TURBINE] = TURBINE_SIZE if turbo and sized else TURBINE_CLASS
    rotors = texts.get("forced_induction.kind") == "positive-displacement" and all(map(stated, (BLOWER, DRIVE)))
    texts[BLOWER] = TURBINE_SIZE if rotors else TURBINE_CLASS
    impeller = texts.get("forced_induction.kind") == "centrifugal" and all(map(stated, (IMPELLER, DRIVE)))
    texts[IMPELLER] = TURBINE_SIZE if impeller else TURBINE_CLASS
    return texts


def chosen(steps: Iterable[Step], texts: Mapping[str, Any]) -> list[Step]:
    """The steps that hold for this build, by the text inputs that each asks for.

    Where such a text is not known, one step for the id is kept and made to ask for it, so that its result is
    missing rather than without meaning.
    """
    steps = list(steps)
    held = [s for s in steps if all(texts.get(path) in wanted for path, wanted in s.when.items())]
    given = {id_ for s in held for id_ in s.gives}
    for step in steps:
        unknown = [path for path in step.when if texts.get(path) is None]
        possible = all(texts.get(path) in (None, *wanted) for path, wanted in step.when.items())
        if unknown and possible and not given.intersection(step.gives):
            given.update(step.gives)
            held.append(step._replace(takes={**step.takes, **{f"({path})": path for path in unknown}}))
    return held


def ordered(steps: Sequence[Step]) -> list[Step]:
    """The steps in an order in which each finds what it takes; two that give the same id are refused."""
    home: dict[str, int] = {}
    for place, step in enumerate(steps):
        for id_ in step.gives:
            if id_ in home:
                raise SolveError(f"two steps give {id_}")
            home[id_] = place
    graph = {
        place: {home[name] for source in step.takes.values() for name in names_of(source) if name in home}
        for place, step in enumerate(steps)
    }
    try:
        return [steps[place] for place in in_order(graph)]
    except CycleError as error:
        raise SolveError(f"the steps go round in a circle: {error.args[1]}") from error


def sources_of(step: Step) -> set[str]:
    """Every id or path that a step may take."""
    return {name for source in step.takes.values() for name in names_of(source)}


def needed(steps: Sequence[Step], *targets: str, without: str = "") -> list[Step]:
    """Of ordered steps those that the targets rest on, in order; ``without`` names an id that is given otherwise."""
    kept, wanted = [], set(targets)
    for step in reversed(steps):
        if without not in step.gives and wanted.intersection(step.gives):
            kept.append(step)
            wanted |= sources_of(step)
    return kept[::-1]


def parted(steps: Sequence[Step], *moving: str) -> tuple[list[Step], list[Step]]:
    """Ordered steps that rest on nothing of what moves, done once for all passes, and the others."""
    still, moved, reached = [], [], set(moving)
    for step in steps:
        if reached.intersection(sources_of(step)):
            moved.append(step)
            reached.update(step.gives)
        else:
            still.append(step)
    return still, moved


def run(steps: Sequence[Step], columns: Mapping[str, Column]) -> dict[str, Column]:
    """All columns, inputs and results, after every step has been called once, in order."""
    have = dict(columns)
    extents: Extents = {}
    with np.errstate(all="ignore"):
        for step in steps:
            have.update(_called(step, have, extents))
    return have


def asked_for(missing: frozenset[str]) -> frozenset[str]:
    """Of missing inputs those that a build can state; what a class would give follows from them."""
    if not missing:
        return missing
    return frozenset(name for name in missing if not name.startswith("class.")) or missing


# Least and greatest of each array that was looked at in a run, beside it, so that no other takes its place in memory
Extents = dict[int, tuple[Any, float, float]]


def _bound(step: Step, have: Mapping[str, Column]) -> dict[str, str]:
    """Which id each argument takes: the first of its sources that is there, else the first named."""
    bound = {}
    for argument, source in step.takes.items():
        if isinstance(source, str):
            bound[argument] = source
            continue
        there = (n for n in source if n in have and have[n].si is not None)
        bound[argument] = next(there, source[0])
    return bound


def _called(step: Step, have: Mapping[str, Column], extents: Extents) -> dict[str, Column]:
    takes = _bound(step, have)
    taken = {argument: have.get(name) or Column(None, frozenset((name,))) for argument, name in takes.items()}
    columns = taken.values()
    rests = _all_of([c.rests for c in columns])
    missing = asked_for(_all_of([c.missing for c in columns]))
    reasons = _all_of([c.reasons for c in columns])
    if missing or any(c.si is None for c in columns):
        lost = Column(None, missing, rests=rests, step=step, takes=takes, reasons=reasons)
        return dict.fromkeys(step.gives, lost)
    arguments = {argument: c.si for argument, c in taken.items()} | dict(step.fixed)
    applicable, beyond = _masks(columns)
    own, why = _own_breach(step, arguments, takes, extents)
    beyond = beyond if own is False else beyond | own
    results = step.of(**arguments)
    if len(step.gives) == 1 and not (isinstance(results, tuple) and hasattr(results, "_fields")):
        results = (results,)
    elif hasattr(results, "_asdict"):
        results = tuple(results)
    made = {}
    for id_, value in zip(step.gives, results, strict=True):
        made[id_] = _made(id_, value, beyond, applicable, missing, rests, step, takes, reasons | why)
    return made


def _all_of(sets: Sequence[frozenset[str]]) -> frozenset[str]:
    """The union of sets, of which most are empty or the same."""
    distinct = list({id(s): s for s in sets if s}.values())
    if not distinct:
        return frozenset()
    return distinct[0].union(*distinct[1:]) if len(distinct) > 1 else distinct[0]


def _within(value: Any, low: float, high: float, extents: Extents) -> bool:
    """Whether all of an array lies in a range: the common case, without a mask.  Not a number: not known to."""
    if isinstance(value, float):
        return low <= value <= high
    found = extents.get(id(value))
    if found is None:
        array = np.asarray(value, dtype=float)
        if array.size == 1:
            least = most = array.item()
        elif array.size:
            least, most = float(array.min()), float(array.max())
        else:
            least = most = np.nan
        found = extents[id(value)] = (value, least, most)
    return low <= found[1] and found[2] <= high


def _masks(columns: Iterable[Column]) -> tuple[Any, Any]:
    """Where all of the columns apply, and where any is beyond a range; each mask is looked at once."""
    applicable: Any = True
    beyond: Any = False
    for mask in {id(c.applicable): c.applicable for c in columns if c.applicable is not True}.values():
        applicable = applicable & np.asarray(mask)
    for mask in {id(c.outside): c.outside for c in columns if c.outside is not False}.values():
        beyond = beyond | np.asarray(mask)
    return applicable, beyond


def _own_breach(
    step: Step, arguments: Mapping[str, Any], takes: Mapping[str, str], extents: Extents
) -> tuple[Any, frozenset[str]]:
    mask: Any = False
    why = set()
    for argument, (low, high) in ranges_of(step.of).items():
        value = arguments.get(argument)
        if value is None or _within(value, low, high, extents):
            continue
        breach = outside(step.of, {argument: value})
        name = takes.get(argument, argument)
        over_crank = name in QUANTITIES and QUANTITIES[name].crank
        if over_crank or np.ndim(breach) == 1 or isinstance(field(name), Several):
            breach = np.any(breach, axis=-1)
        if np.any(breach):
            why.add(f"{name} beyond {low:g} to {high:g} (SI)")
            mask = mask | breach
    return mask, frozenset(why)


def _made(
    id_: str, value: Any, beyond: Any, applicable: Any, missing: frozenset[str], rests: frozenset[str],
    step: Step, takes: Mapping[str, str], reasons: frozenset[str],
) -> Column:
    array = np.asarray(value, dtype=float)
    finite = np.isfinite(array)
    if id_ in MAY_NOT_APPLY:
        applicable = applicable & (finite.all(axis=-1) if QUANTITIES[id_].crank else finite)
    elif not finite.all():
        flat = finite.all(axis=-1) if QUANTITIES[id_].crank else finite
        if np.any(~flat & ~np.asarray(beyond) & np.asarray(applicable)):
            # A number that is not one is never passed on: it counts as beyond the range.
            beyond = beyond | ~flat
            reasons = reasons | {f"{id_} gave no finite number"}
    return Column(array, missing, beyond, applicable, rests, step, takes, reasons)


# Not a number here means that the quantity has no meaning at that speed.
MAY_NOT_APPLY = frozenset({"turbine.drive_pressure_ratio", "air.boost_reach", "preignition.zone_margin",
                            "turbine.boost_threshold"})
