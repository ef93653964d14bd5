"""From the flywheel to the road."""

from __future__ import annotations

from enginelimits.assessment.columns import Step
from enginelimits.physics.support import driveline

STEPS = (
    Step(("clutch.reserve",), driveline.clutch_reserve,
         {"capacity_nm": "driveline.clutch_capacity", "torque_nm": "crank.torque"}),
    Step(("gearbox.torque_use",), driveline.gearbox_torque_use,
         {"torque_nm": "crank.torque", "rating_nm": "driveline.gearbox_rating"}),
)
