"""How sure the shares and ranges of a batch of draws are, and a batch that is as large as they need.

The standard error of a share is that of plain draws; draws by strata are no worse than plain ones but for one of them
(Owen 1997, from memory), so that it is an upper bound.  That of the end of a range is read off the draws: half the way
between those one standard error of the share of five in a hundred below and above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from enginelimits.assessment.collect import known
from enginelimits.assessment.results import Assessment
from enginelimits.decisions.draws import FloatArray, place_of
from enginelimits.decisions.grading import TAIL, share_error
from enginelimits.errors import InputError, Problem

if TYPE_CHECKING:
    from enginelimits.decisions.bench import Bench
    from enginelimits.decisions.verdict import Judgement

POWER = "crank.power"
FEWEST, MOST = 64, 2048
# Three points of a hundred: no finding's chance then lies in a neighbouring word by chance alone more than now and then
ENOUGH = 0.03
END = 0.05


@dataclass(frozen=True, slots=True)
class Sureness:
    """Standard errors: the largest of any chance told, that of one in ten, and those of the ends of crank power [W]."""

    chance: float | None
    tail: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Settled:
    """A judgement with as many draws as its chances need, or as were allowed.

    ``tried`` holds each count of draws with the largest error of a chance; ``moved`` is the largest change of a chance
    between the last two, None after one.
    """

    judgement: Judgement
    tried: tuple[tuple[int, float], ...]
    moved: float | None
    settled: bool


def sureness(judgement: Judgement) -> Sureness:
    """What the draws of a judgement are good for; nothing but None without draws."""
    if not judgement.samples_valid:
        return Sureness(None, None, None, None)
    errors = [f.chance_error for f in judgement.findings if f.chance_error is not None]
    low, high = end_errors(power_draws(judgement.assessment), judgement.samples_valid)
    return Sureness(max(errors, default=None), share_error(TAIL, judgement.samples_valid), low, high)


def power_draws(assessment: Assessment) -> FloatArray:
    """The draws of crank power at the place where it is told; empty where it is not known."""
    column, result = assessment.columns.get(POWER), assessment.quantities.get(POWER)
    if column is None or column.si is None or result is None or result.at is None:
        return np.empty(0)
    ambient, speed = place_of(assessment, result.at)
    shape = (len(assessment.ambients), 1 + assessment.samples, len(assessment.speeds))
    drawn = np.broadcast_to(known(column), shape)[ambient, 1:, speed]
    return np.asarray(drawn[np.isfinite(drawn)], dtype=float)


def end_errors(drawn: FloatArray, count: int = 0) -> tuple[float | None, float | None]:
    """The standard errors of the 5th and 95th percentile of ``count`` draws, of which some, or all, are at hand."""
    if drawn.size < 2:
        return None, None
    reach = share_error(END, max(count, drawn.size))
    ends = []
    for end in (END, 1.0 - END):
        below, above = np.quantile(drawn, np.clip((end - reach, end + reach), 0.0, 1.0))
        # at the edge of the draws one side is cut off: it counts as far as the other
        cut = min(end + reach, 1.0) - max(end - reach, 0.0)
        ends.append(float(above - below) / 2.0 * (2.0 * reach / cut))
    return ends[0], ends[1]


def settled(bench: Bench, *, error: float = ENOUGH, fewest: int = FEWEST, most: int = MOST) -> Settled:
    """The build of a bench judged with twice the draws until every chance is known to ``error`` and none is borderline.

    It stops at ``most`` draws, whatever the chances; what is judged on the way stays on the bench.  Raises InputError
    where it is to begin without draws.
    """
    if fewest < 1:
        wanted = "at least one draw to begin with"
        raise InputError([Problem(wanted, str(fewest), key="fewest", file="call of settled")])
    tried: list[tuple[int, float]] = []
    before: Judgement | None = None
    samples = fewest
    while True:
        found = bench.judged(samples=samples)
        largest = sureness(found).chance or 0.0
        tried.append((samples, largest))
        moved = None if before is None else _moved(before, found)
        enough = largest <= error and not any(f.borderline for f in found.findings)
        if enough or 2 * samples > most:
            return Settled(found, tuple(tried), moved, enough)
        before, samples = found, 2 * samples


def _moved(before: Judgement, after: Judgement) -> float:
    """The largest change of the share of draws that reach note, over the rules that both tell of."""
    first = {f.rule: f.chances for f in before.findings}
    changes = [abs(f.chances.get("clear", 1.0) - first[f.rule].get("clear", 1.0))
               for f in after.findings if f.rule in first and f.chances]
    return max(changes, default=0.0)
