"""Entries of a class that go together: a bigger shank is a heavier rod.

Where both inputs come from their classes, they are drawn by a Gaussian copula: each keeps its own strata, and the order
of one follows a weighted sum of normal deviates of both streams.  Both typical values stay those of the classes.

Where the partner was stated, the other is what the class says of such a part: the stated value's place in the partner's
class, in normal deviates and no further out than the class's ends, moves its typical value by the correlation, and its
range narrows to what the partner leaves open.  A partner that was stated with a range leaves more, by Jeffrey's rule:
with that range as a share s of the class's, the variance is 1 - r^2 + r^2 s^2, all of it where s is one.  What scales
with a stated partner follows it by that law already and keeps its range.  A rod's mass that was reckoned from its big
end's counts as stated with the range that its share leaves.
"""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from typing import Final, NamedTuple

from enginelimits.description.filled import Input
from enginelimits.reference.catalogue import Tie

NORMAL_95: Final = 1.6448536269514722  # 95th percentile of the standard normal
Streams = tuple[tuple[str, float], ...]


class Band(NamedTuple):
    """What a class gives for an input: typical value, 5th and 95th percentile."""

    typical: float
    low: float
    high: float

    def at(self, z: float) -> float:
        """The value so many standard deviations from the median."""
        return self.typical + z * ((self.typical - self.low) if z < 0.0 else (self.high - self.typical)) / NORMAL_95

    def place(self, value: float) -> float:
        """Standard deviations from the median, no further than the ends."""
        half = (self.typical - self.low) if value < self.typical else (self.high - self.typical)
        return 0.0 if half <= 0.0 else min(max((value - self.typical) / half, -1.0), 1.0) * NORMAL_95


class Partner(NamedTuple):
    """The other end of a tie.  ``band`` is what its class would have given, where it was stated; ``scales`` that the
    input's entry scales with it."""

    given: Input
    tie: Tie
    band: Band | None
    scales: bool


def tied(made: Input, partner: Partner) -> Input:
    """An input as its class gives it, drawn together with its partner or given what the partner was stated as."""
    r, other = partner.tie.correlation, partner.given
    if not isinstance(made.value, float) or made.low is None or made.high is None or not isinstance(other.value, float):
        return made
    if other.from_class and partner.band is None:
        if other.low is None or other.high is None:
            return made
        return _drawn_with(made, partner, r)
    if partner.band is None or partner.scales:
        return made
    own, band = Band(made.value, made.low, made.high), partner.band
    stated = 0.0 if other.low is None or other.high is None else other.high - other.low
    share = min(stated / (band.high - band.low), 1.0) if band.high > band.low else 0.0
    middle, wide = r * band.place(other.value), sqrt(1.0 - r * r + (r * share) ** 2)
    low, high = (own.at(middle + side * NORMAL_95 * wide) for side in (-1.0, 1.0))
    value = own.at(middle)
    if made.floor is not None:
        value, low = max(value, made.floor), max(low, made.floor)
    if made.ceiling is not None:
        value, high = min(value, made.ceiling), min(high, made.ceiling)
    how = "given" if other.from_class else "given the stated"
    found = replace(made, value=value, low=low, high=high, together=_told(partner, how))
    return _drawn_with(found, partner, r * share / wide) if share else found


def _drawn_with(made: Input, partner: Partner, weight: float) -> Input:
    theirs = partner.given.streams or ((own_stream(partner.given), 1.0),)
    streams = (*((stream, weight * part) for stream, part in theirs), (made.path, sqrt(1.0 - weight * weight)))
    return replace(made, streams=streams, together=made.together or _told(partner, "drawn with"))


def own_stream(given: Input) -> str:
    """The stream that an input's strata are of."""
    return given.drawn_with[0] if given.drawn_with else given.path


def _told(partner: Partner, how: str) -> str:
    tie = partner.tie
    return f"{how} {partner.given.path}, correlation {tie.correlation:g} ({tie.evidence}): {tie.why}"
