"""The vocabulary: every quantity by its id, with unit, meaning and which way is worse."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind, Worse
from enginelimits.assessment.words import (
    air,
    around,
    bearings,
    bolts,
    burn,
    driveline,
    fuel,
    heat,
    joints,
    log,
    output,
    pistons,
    rods,
)

__all__ = ("QUANTITIES", "QuantityKind", "Worse", "printed", "spoken_of")

_TOPICS = (output, air, fuel, burn, rods, bolts, pistons, joints, bearings, driveline, heat, around, log)
QUANTITIES: dict[str, QuantityKind] = {word.id: word for topic in _TOPICS for word in topic.words()}


def printed() -> tuple[QuantityKind, ...]:
    """The quantities that a report on a build prints: all but traces over the crank and what a log measures."""
    return tuple(word for word in QUANTITIES.values() if not word.crank and not word.measured)


def spoken_of() -> tuple[QuantityKind, ...]:
    """The quantities that a rule may read, those of a log among them."""
    return tuple(word for word in QUANTITIES.values() if not word.crank)
