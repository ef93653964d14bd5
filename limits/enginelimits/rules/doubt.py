"""How far the limits of rules are themselves in doubt, and their draws.

A limit may state its own ends, ``low`` and ``high``, as 5th and 95th percentile of a split normal; equal ends say that
it is exact.  Else its confidence gives them: SHARES of what the limit stands above the begin of its scale (common
practice, no source; judged by how far good sources of one number lie apart).  The scale begins at nil, at the ordinary
air of a temperature, and at one of what is told over the standard engine.  A limit of nil has no ends of that kind: the
doubt about it lies in the quantity.

Only what a rule holds a computed quantity with a worse side against is drawn.  A number that an input of the file is
compared with, and a speed that parts the range, tell cases apart: they are what the rule says, unless it states ends.

The limits of one rule on one quantity are in doubt together, as bands of one test are: they share a stream, so that
hardly a draw puts the limit of a worse grade on the milder side of another.  The typical row keeps the value itself.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.sample import Z95, normal_by_strata
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.rules.model import Amount, Compare, Limit, LimitName, Rule, leaves, limit_names
from enginelimits.units.constants import ZERO_CELSIUS

SHARES: Final = {"high": 0.02, "medium": 0.05, "low": 0.10}
# A number in a fact has no name and no confidence of its own.
OF_FACTS: Final = "medium"
ORDINARY_AIR: Final = ZERO_CELSIUS + 25.0  # K


class Ends(NamedTuple):
    """A limit with its 5th and 95th percentile, SI."""

    value: float
    low: float
    high: float


def streams(rule: Rule) -> dict[str, str]:
    """The limits of a rule that are drawn, with the stream of each."""
    held: dict[str, list[Compare]] = {}
    for leaf in leaves(*rule.conditions):
        if isinstance(leaf, Compare):
            for name in limit_names(leaf):
                held.setdefault(name, []).append(leaf)
    spans = () if rule.span is None else (rule.span.below, rule.span.above)
    parting = {end.name for end in spans if isinstance(end, LimitName)}
    return {
        name: f"limit {rule.id} {compared[0].name}"
        for name, compared in held.items()
        if name not in parting and (rule.limits[name].low is not None or all(map(_has_worse_side, compared)))
    }


def fact_stream(leaf: Compare) -> str | None:
    """The stream of a number that a fact holds a quantity against; None where it is not drawn."""
    return f"limit of facts {leaf.name} {leaf.sense}" if _has_worse_side(leaf) else None


def _has_worse_side(leaf: Compare) -> bool:
    kind = QUANTITIES.get(leaf.name) if leaf.kind == "quantity" else None
    return kind is not None and kind.worse != "none"


def ends(amount: Amount, limit: Limit | None, unit: str, quantity: str, confidence: str) -> Ends | None:
    """The limit's ends in an SI unit: those stated with the number that stands, else by confidence; None of none."""
    value = amount.si(unit)
    if limit is not None and limit.low is not None and limit.high is not None and limit.value is amount:
        low, high = limit.low.si(unit), limit.high.si(unit)
    else:
        half = SHARES.get(confidence, 0.0) * abs(value - begin_of_scale(amount, unit, quantity))
        low, high = value - half, value + half
    return Ends(value, low, high) if high > low else None


def begin_of_scale(amount: Amount, unit: str, quantity: str) -> float:
    """From where the doubt about a limit is reckoned, SI."""
    if unit == "K" and ("temperature" in quantity or Amount(0.0, amount.unit).si(unit) != 0.0):
        return ORDINARY_AIR
    kind = QUANTITIES.get(quantity)
    return 0.0 if kind is None else kind.nil


def limit_draws(of: Ends, stream: str, samples: int, seed: int) -> NDArray[np.float64]:
    """Shape (1, 1 + samples, 1): the value, then its draws by strata."""
    rows = np.full(1 + samples, of.value)
    z = normal_by_strata(stream, samples, seed)
    rows[1:] = of.value + z * np.where(z < 0.0, of.value - of.low, of.high - of.value) / Z95
    return rows[None, :, None]
