"""The typed layer: each leaf of a condition as certainly true, certainly false or unknown at every instant.

Units, missing and non-finite values, ranges and comparison end here; what follows sees only named booleans.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.doubt import OF_FACTS, Ends, ends, fact_stream, limit_draws
from enginelimits.rules.ground import Ground, Reading
from enginelimits.rules.model import (
    Amount,
    Compare,
    FactHolds,
    Given,
    Leaf,
    Limit,
    LimitName,
    Matches,
    Other,
    Place,
    RuleReaches,
    Sense,
)
from enginelimits.units.grammar import GrammarError, split
from enginelimits.units.registry import to_si

Mask = NDArray[np.bool_]
PART: Final = 1e-9  # relative; what is closer to a limit than this is at it, not beyond
UNKNOWN_WORD: Final = "unknown"
UNSAID: Final = ("None", UNKNOWN_WORD)
YES: Final = ("true", "yes")
NO: Final = ("false", "no")


class Tri(NamedTuple):
    """Masks of where something is certainly true and certainly false, broadcastable to the ground's shape."""

    true: Mask
    false: Mask


class Look(NamedTuple):
    """A leaf at every instant: its truth, what it read, and the number it was held against."""

    true: Mask
    false: Mask
    value: Any
    unit: str
    against: Any
    missing: frozenset[str]
    outside: Mask
    applicable: Mask


@dataclass(frozen=True, slots=True)
class InForce:
    """The number that stands for a limit on this build: from the rule or from an override."""

    name: str
    value: Amount
    layer: str
    shipped: Amount | None
    limit: Limit | None = None
    confidence: str = ""
    stream: str = ""

    def ends(self, unit: str, quantity: str) -> Ends | None:
        """The value with its 5th and 95th percentile, SI; None of a limit that is not drawn."""
        return ends(self.value, self.limit, unit, quantity, self.confidence) if self.stream else None


Limits = Mapping[str, InForce]


def leaf_name(scope: str, leaf: Leaf) -> str:
    """Name of a leaf's proposition.  A leaf that speaks of a rule's limits belongs to that rule."""
    if isinstance(leaf, FactHolds):
        return fact_name(leaf.name)
    if isinstance(leaf, RuleReaches):
        return f"{leaf.id}@at_least:{leaf.grade}"
    if isinstance(leaf, Given):
        return f"{leaf.name}@given:{str(leaf.given).lower()}"
    if isinstance(leaf, Matches):
        return f"{leaf.name}@{leaf.match}:{'|'.join(leaf.values)}"
    subject = leaf.name if leaf.kind == "quantity" else f"input {leaf.name}"
    return f"{subject}@{leaf.sense}:{_operand_name(scope, leaf.against)}"


def fact_name(name: str) -> str:
    """Name of a fact's proposition."""
    return f"fact {name}"


def _operand_name(scope: str, against: LimitName | Amount | Other) -> str:
    if isinstance(against, LimitName):
        return f"{scope}.{against.name}"
    if isinstance(against, Amount):
        return f"{against.number!r} {against.unit}"
    times = _operand_name(scope, against.times) if isinstance(against.times, LimitName) else repr(against.times)
    return f"{against.kind} {against.name} x {times}"


class Typed:
    """Readings of one ground, each asked for once, and the leaves that look at them.

    With a ``seed`` limits are drawn beside the draws of the ground; without one they are what they are.
    """

    def __init__(self, ground: Ground, seed: int | None = None) -> None:
        self.ground, self.seed = ground, seed
        self.drawn: set[tuple[str, str]] = set()  # streams and names of the limits that were
        self._readings: dict[tuple[str, str], Reading] = {}

    def reading(self, kind: str, name: str, place: Place) -> Reading:
        """The reading of a quantity or an input; RuleError for a quantity that nothing offers."""
        key = (kind, name)
        found = self._readings.get(key)
        if found is None:
            found = self.ground.input(name) if kind == "input" else self.ground.quantity(name)
            if found is None:
                raise RuleError([_problem(place, "a quantity of the vocabulary", name, key="quantity")])
            self._readings[key] = found
        return found

    def look(self, leaf: Compare | Matches | Given, limits: Limits) -> Look:
        """One leaf at every instant."""
        if isinstance(leaf, Given):
            reading = self.reading("input", leaf.name, leaf.place)
            known = _mask(_known(reading.si))
            true = known if leaf.given else ~known
            return _look(reading, true, ~true, None, as_is=True)
        if isinstance(leaf, Matches):
            return _matching(leaf, self.reading("input", leaf.name, leaf.place))
        return self._compared(leaf, limits)

    def _compared(self, leaf: Compare, limits: Limits) -> Look:
        reading = self.reading(leaf.kind, leaf.name, leaf.place)
        value = _numbers(reading.si, leaf)
        unit, against, other = self._against(leaf, reading, limits)
        true, false = compared(value, leaf.sense, against)
        if other is not None:
            # Certain as soon as either means nothing here, even where the other cannot be told.
            reading = reading._replace(
                missing=reading.missing | other.missing,
                outside=_mask(reading.outside) | _mask(other.outside),
                applicable=_mask(reading.applicable) & _mask(other.applicable),
            )
        return _look(reading, true, false, against)._replace(value=value, unit=unit)

    def _against(self, leaf: Compare, reading: Reading, limits: Limits) -> tuple[str, Any, Reading | None]:
        """Unit of the comparison, what is compared with, and the other reading if it is one.

        A reading of nothing has no unit that counts; then the limit's own is taken.
        """
        against = leaf.against
        if isinstance(against, Other):
            other = self.reading(against.kind, against.name, leaf.place)
            unit = other.unit if reading.si is None else reading.unit
            if other.unit != unit and other.si is not None:
                got = f"{against.name} in {other.unit}"
                raise RuleError([_problem(leaf.place, f"something in {unit} to compare {leaf.name} with", got)])
            times = against.times
            if isinstance(times, LimitName):
                return unit, _numbers(other.si, leaf) * self._held(leaf, limits[times.name], "1"), other
            return unit, _numbers(other.si, leaf) * times, other
        if isinstance(against, Amount):
            unit = against.si_unit if reading.si is None else reading.unit
            stream = fact_stream(leaf) or ""
            return unit, self._held(leaf, InForce("", against, "", None, None, OF_FACTS, stream), unit), None
        force = limits[against.name]
        unit = force.value.si_unit if reading.si is None else reading.unit
        return unit, self._held(leaf, force, unit), None

    def _held(self, leaf: Compare, force: InForce, unit: str) -> Any:
        """The number that stands for a limit: one for all, or one for each draw."""
        value, samples = in_si(force.value, unit, leaf.place), self.ground.shape[1] - 1
        if self.seed is None or not samples:
            return value
        # of a factor the doubt is reckoned from nil
        found = force.ends(unit, "" if isinstance(leaf.against, Other) else leaf.name)
        if found is None:
            return value
        self.drawn.add((force.stream, force.name))
        return limit_draws(found, force.stream, samples, self.seed)


def in_si(amount: Amount, unit: str, place: Place) -> float:
    """The amount in an SI unit; RuleError when it is of another dimension."""
    try:
        return amount.si(unit)
    except GrammarError as error:
        raise RuleError([_problem(place, error.wanted, f"`{amount}`", mend=error.mend)]) from None


def compared(value: Any, sense: Sense, against: Any) -> tuple[Mask, Mask]:
    """Where a comparison certainly holds and certainly fails; NaN on either side does neither."""
    value, against = np.asarray(value, dtype=float), np.asarray(against, dtype=float)
    with np.errstate(invalid="ignore"):
        room = np.where(np.isfinite(against), PART * np.abs(against), 0.0)
        beyond = value > against + room if sense in ("above", "at_most") else value < against - room
    known = ~(np.isnan(value) | np.isnan(against))
    if sense in ("above", "below"):
        return beyond & known, ~beyond & known
    return ~beyond & known, beyond & known


def _numbers(si: Any, leaf: Compare) -> Any:
    """The reading as floats; of one number a cylinder, the one that decides."""
    if si is None or (isinstance(si, str) and si == UNKNOWN_WORD):
        return np.nan
    if isinstance(si, tuple):
        values = np.asarray(si, dtype=float)
        return float(values.max() if leaf.sense in ("above", "at_least") else values.min())
    array = np.asarray(si)
    if array.dtype.kind not in "fiu":
        wanted = "an input that is a number"
        raise RuleError([_problem(leaf.place, wanted, f"{leaf.name}, which is not", mend="Use `is` or `in`.")])
    return array.astype(float)


def _look(reading: Reading, true: Mask, false: Mask, against: Any, as_is: bool = False) -> Look:
    outside, applicable = _mask(reading.outside), _mask(reading.applicable)
    everywhere = reading.outside is False and reading.applicable is True
    if not as_is and not everywhere:
        true = true & ~outside & applicable
        false = (false & ~outside) | ~applicable
    return Look(_mask(true), _mask(false), reading.si, reading.unit, against, reading.missing, outside, applicable)


def _matching(leaf: Matches, reading: Reading) -> Look:
    equal, known = _equal(reading, leaf)
    if leaf.match in ("is_not", "not_in"):
        equal = ~equal
    return _look(reading, equal & known, ~equal & known, None)


def _equal(reading: Reading, leaf: Matches) -> tuple[Mask, Mask]:
    """(equal to one of the words, known), each an array."""
    si = reading.si
    if si is None:
        return _mask(False), _mask(False)
    if isinstance(si, str):
        return _mask(si in leaf.values), _mask(si in leaf.values or si not in UNSAID)
    values = np.asarray(si)
    if values.dtype.kind == "b":
        words = {yes_or_no(v, leaf) for v in leaf.values}
        return _mask(np.isin(values, list(words))), _mask(np.ones_like(values))
    if values.dtype.kind in "fiu":
        numbers = values.astype(float)
        equal = np.zeros(numbers.shape, dtype=bool)
        for word in leaf.values:
            number = _number_meant(word, reading.unit, leaf)
            equal |= np.abs(numbers - number) <= PART * abs(number)
        known = ~np.isnan(numbers)
        if isinstance(si, tuple):
            return _mask(equal.any()), _mask(known.all())
        return _mask(equal), _mask(known)
    texts = values.astype(object)
    equal = np.isin(texts.astype(str), list(leaf.values))
    unsaid = _unsaid(texts)
    # "unknown" may be asked for by name; against any other word it decides nothing.
    return _mask(equal), _mask(equal | ~unsaid)


def yes_or_no(word: str, leaf: Matches) -> bool:
    """The yes or no that a word stands for."""
    if word in YES or word in NO:
        return word in YES
    raise RuleError([_problem(leaf.place, f"true or false for {leaf.name}", f"`{word}`")])


def _number_meant(word: str, unit: str, leaf: Matches) -> float:
    if word in YES or word in NO:
        return float(word in YES)
    try:
        written = split(word)
        return to_si(written.typical, written.unit, unit)
    except GrammarError as error:
        raise RuleError([_problem(leaf.place, error.wanted, f"`{word}`", mend=error.mend)]) from None


def _known(si: Any) -> Any:
    if si is None or (isinstance(si, str) and si == UNKNOWN_WORD):
        return np.False_
    values = np.asarray(si)
    if isinstance(si, tuple):
        return np.True_
    if values.dtype.kind == "f":
        return ~np.isnan(values)
    if values.dtype.kind in "OU":
        texts = values.astype(object)
        return ~_unsaid(texts)
    return np.ones(values.shape, dtype=bool)


def _unsaid(texts: NDArray[Any]) -> Mask:
    """Where a text is not there, or says that it is not known."""
    return np.isin(texts.astype(str), UNSAID)


def _mask(of: Any) -> Mask:
    """A mask with three axes, broadcastable to the ground's shape."""
    mask = np.asarray(of, dtype=bool)
    return mask.reshape((1,) * (3 - mask.ndim) + mask.shape) if mask.ndim < 3 else mask


def _problem(place: Place, wanted: str, got: str, *, key: str = "", mend: str = "") -> Problem:
    return Problem(wanted, got, mend, key, place.file, place.line, place.column)


def score(value: Any, sense: Sense, against: Any) -> Any:
    """How far a value is towards being beyond a limit: above 1 beyond it, in the limit's sense.

    The ratio of value to limit (of limit to value for a lower limit) where both are above zero; else one plus
    the difference over the larger of the two.
    """
    value, against = np.asarray(value, dtype=float), np.asarray(against, dtype=float)
    upper = sense in ("above", "at_least")
    first, second = (value, against) if upper else (against, value)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # against nil every value would count the same: there the greatest of them is the measure
        size = np.abs(value)
        known = size[np.isfinite(size)]
        scale = np.where(against == 0.0, known.max(initial=0.0), np.maximum(size, np.abs(against)))
        scale = np.maximum(scale, math.ulp(0.0))
        return np.where((value > 0.0) & (against > 0.0), first / second, 1.0 + (first - second) / scale)
