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
    output,
    pistons,
    rods,
)

__all__ = ("QUANTITIES", "QuantityKind", "Worse", "printed")

_TOPICS = (output, air, fuel, burn, rods, bolts, pistons, joints, bearings, driveline, heat, around)
QUANTITIES: dict[str, QuantityKind] = {word.id: word for topic in _TOPICS for word in topic.words()}


def printed() -> tuple[QuantityKind, ...]:
    """The quantities that a report prints: all but traces over the crank."""
    return tuple(word for word in QUANTITIES.values() if not word.crank)
