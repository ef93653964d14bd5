"""All steps of the chain; the runner chooses and orders them."""

from __future__ import annotations

from enginelimits.assessment.chain import air, around, burn, fuel, output, structure
from enginelimits.assessment.columns import Step

STEPS: tuple[Step, ...] = (*air.STEPS, *fuel.STEPS, *burn.STEPS, *output.STEPS, *structure.STEPS, *around.STEPS)
