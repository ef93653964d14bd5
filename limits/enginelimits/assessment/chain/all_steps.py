"""All steps of the chain; the runner chooses and orders them."""

from __future__ import annotations

from enginelimits.assessment.chain import (
    air,
    around,
    bearings,
    bolts,
    burn,
    control,
    crank,
    driveline,
    fuel,
    heat,
    joints,
    output,
    pistons,
    rods,
    supply,
)
from enginelimits.assessment.columns import Step

_TOPICS = (
    air, fuel, burn, output, crank, rods, bolts, pistons, joints, bearings, supply, control, driveline, heat, around,
)
STEPS: tuple[Step, ...] = tuple(step for topic in _TOPICS for step in topic.STEPS)
