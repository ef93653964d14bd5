"""The boost at which knock or exhaust heat limits an engine, found by trying a few boosts at each speed.

The cycle runs ten degrees later than best torque, as late as is usual; everything between boost and knock is computed
again for each boost, so that charge temperature, exhaust pressure, residual gas and burning follow.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from enginelimits.assessment.chain.burn import BOOST_TRIAL
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.runner import needed, ordered, parted, run
from enginelimits.physics.combustion.auto_ignition import knock_limited_boost

LIMITED, MARGIN, EXHAUST = "knock.limited_boost", "knock.margin_at_trial", "exhaust.temperature_at_trial"
# Boosts tried, gauge: over the logarithm of pressure a parabola through three errs by less than 0.01 bar
BOOSTS = np.array([0.0, 0.9e5, 2.2e5])
EXHAUST_LIMIT = 950.0 + 273.15  # K, of the definition of this quantity


def limited_boost(steps: Sequence[Step], columns: Mapping[str, Column]) -> dict[str, Column]:
    """The column of knock.limited_boost; empty for an engine that nothing boosts."""
    boost = columns.get("air.boost")
    if "compressor.pressure_ratio" not in columns or boost is None:
        return {}
    # best torque is taken where it is at the boost of the run: it moves by a degree
    given = {"air.boost", "combustion.best_half_burned"} | {id_ for step in BOOST_TRIAL for id_ in step.gives}
    made = needed(ordered([step for step in steps if not given.intersection(step.gives)] + list(BOOST_TRIAL)),
                  MARGIN, EXHAUST)
    still, moved = parted(made, "air.boost")
    moved = [step for step in still if step in BOOST_TRIAL] + moved
    again = {id_ for s in moved for id_ in s.gives}
    kept = {name: column for name, column in columns.items() if name not in again}
    # the boosts stand ahead of ambients, rows and speeds, so that all are tried at once
    tried = run(moved, {**kept, "air.boost": Column(BOOSTS[:, None, None, None])})
    margins, exhausts = tried[MARGIN].si, tried[EXHAUST].si
    takes = {"boost_pa": "air.boosts_tried", "margins": MARGIN, "exhaust_temperatures_k": EXHAUST}
    step = Step((LIMITED,), knock_limited_boost, takes)
    last = tried[MARGIN]
    if margins is None or exhausts is None:
        return {LIMITED: Column(None, last.missing, rests=last.rests, step=step, takes=takes)}
    margins, exhausts = (np.moveaxis(values, 0, -1) for values in np.broadcast_arrays(margins, exhausts))
    found = knock_limited_boost(BOOSTS, margins, exhausts, np.float64(EXHAUST_LIMIT))
    return {LIMITED: Column(found, outside=~np.isfinite(found), rests=last.rests, step=step, takes=takes)}

