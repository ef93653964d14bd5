"""Which family of findings makes confidence dear: its chance of reaching the grade, at every boost that was judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from enginelimits.decisions.boost_trial import BoostTrial, DrawnBy, Draws


@dataclass(frozen=True, slots=True)
class FamilyChance:
    """One family: the chance that it reaches the grade at the typical answer, and at the one for all together.

    ``alone_w`` is the power up to which the family by itself keeps the confidence, on the line between two boosts that
    were judged.  It is None where the family keeps it throughout; ``below`` says that it is less than was judged.
    """

    family: str
    leading: DrawnBy
    typical: float | None
    together: float | None
    alone_w: float | None
    below: bool


def family_chances(
    looked: Mapping[int, tuple[BoostTrial, Draws]], typical: Draws | None, together: Draws | None, confidence: float
) -> Iterator[FamilyChance]:
    """The families that reach the grade in some draw, the one with the greatest chance on top."""
    rising = [looked[step] for step in sorted(looked)]
    found = []
    for family in sorted({name for _, draws in rising for name in draws.families}):
        leading = max((one for _, draws in reversed(rising) for one in draws.by if one.finding.family == family),
                      key=lambda one: one.draws)
        alone, below = _alone(rising, family, confidence)
        chances = [None if draws is None else draws.of_family(family) for draws in (typical, together)]
        found.append(FamilyChance(family, leading, chances[0], chances[1], alone, below))
    yield from sorted(found, key=lambda one: (-(one.typical or 0.0), -(one.together or 0.0), one.family))


def _alone(
    rising: list[tuple[BoostTrial, Draws]], family: str, confidence: float
) -> tuple[float | None, bool]:
    allowed = 1.0 - confidence
    shares = [(trial.power.value or 0.0, draws.of_family(family)) for trial, draws in rising]
    if shares[0][1] > allowed:
        return shares[0][0], True
    for (power, share), (more, after) in pairwise(shares):
        if share <= allowed < after:
            return power + (more - power) * (allowed - share) / (after - share), False
    return None, False
