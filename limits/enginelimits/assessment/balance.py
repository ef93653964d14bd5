"""What the balance of a turbocharger takes from the engine itself: found by a pass before the one that counts.

Exhaust temperature, efficiency on a map and filling with the fuel's cooling all follow from the boost that the balance
gives.  The class's exhaust and the stated efficiency begin; one pass leaves them within some kelvin and a part in a
hundred of the end, which `balance.exhaust_temperature` beside `exhaust.gas_temperature` shows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.runner import BLOWER, TURBINE, TURBINE_SIZE, needed
from enginelimits.physics.cycle.cylinder import cylinder_cycle

EXHAUST, EFFICIENCY = "balance.exhaust_temperature", "balance.compressor_efficiency"
FILLING = "balance.filling"
_HEAT, _STATED = "exhaust.gas_temperature", "forced_induction.compressor.efficiency"
_FILLED, _HELD = "air.volumetric_efficiency", "air.back_pressure_factor"
Passed = Callable[[Sequence[Step], Mapping[str, Column]], Mapping[str, Column]]


def first_pass(
    steps: Sequence[Step], inputs: Mapping[str, Column], texts: Mapping[str, Any], passed: Passed
) -> dict[str, Column]:
    """The columns that the balance then reckons with; empty where nothing is balanced.

    ``steps`` in order, as chosen; ``passed`` runs some of them over all rows.
    """
    turbine = texts[TURBINE] == TURBINE_SIZE
    if not turbine and texts[BLOWER] != TURBINE_SIZE:
        return {}
    targets = (_FILLED, _HELD, *((_HEAT, "compressor.efficiency") if turbine else ()))
    found = passed([_quick(step) for step in needed(steps, *targets)], inputs)
    if any(found[name].si is None for name in targets):
        return {}
    filling = found[_FILLED]
    held = found[_HELD].si
    columns = {FILLING: _known(filling._replace(si=filling.si / held), found["air.filling"])}
    if turbine:
        columns[EXHAUST] = _known(found[_HEAT], inputs["class.turbine.inlet_temperature"])
        columns[EFFICIENCY] = _known(found["compressor.efficiency"], inputs[_STATED])
    return columns


def _quick(step: Step) -> Step:
    return step._replace(fixed={**step.fixed, "quick": True}) if step.of is cylinder_cycle else step


def _known(column: Column, otherwise: Column) -> Column:
    """The column's numbers, and the others where it has none, so that one lost pass loses no second."""
    lost = ~np.isfinite(column.si) | np.asarray(column.outside)
    rests = column.rests | otherwise.rests if np.any(lost) else column.rests
    return Column(np.where(lost, otherwise.si, column.si), rests=rests)
