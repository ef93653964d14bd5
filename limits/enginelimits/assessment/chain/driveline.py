"""From the flywheel to the road: what clutch and gearbox hold, and what a launch sends through the axle."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from enginelimits.assessment.columns import Step
from enginelimits.physics.support import driveline, launch

TYRES = ("road", "semi-slick", "slick")
USES = ("street", "spirited", "track", "drag")
GRIP = {"tyre_friction": "class.vehicle.tyre_friction", "mass_kg": "vehicle.mass",
        "tyre_radius_m": "class.vehicle.tyre_radius"}
STANDARD_GRIP = {**GRIP, "tyre_friction": "class.vehicle.road_tyre_friction"}
AXLE = {"driven_share": "class.driveline.driven_share",
        "height_over_wheelbase": "class.vehicle.height_over_wheelbase"}
BY_DRIVE: tuple[tuple[str, Callable[..., Any], Mapping[str, str]], ...] = (
    ("rear", launch.rear_grip_torque, AXLE),
    ("front", launch.front_grip_torque, AXLE),
    ("all", launch.all_wheel_grip_torque, {}),
)

STEPS = (
    Step(("clutch.reserve",), driveline.clutch_reserve,
         {"capacity_nm": "driveline.clutch_capacity", "torque_nm": "crank.torque"}),
    Step(("gearbox.torque_use",), driveline.gearbox_torque_use,
         {"torque_nm": "crank.torque", "rating_nm": "driveline.gearbox_rating"}),
    Step(("gearbox.shock_torque",), launch.shock_torque,
         {"torque_nm": "crank.torque", "shock_factor": "class.use.shock_factor",
          "capacity_nm": "driveline.clutch_capacity"}, {"goal.use": USES}),
    Step(("gearbox.shock_use",), driveline.gearbox_torque_use,
         {"torque_nm": "gearbox.shock_torque", "rating_nm": "driveline.gearbox_rating"}),
    *(
        Step(("tyre.grip_torque",), function, {**GRIP, **axle}, {"driveline.drive": (drive,), "vehicle.tyre": TYRES})
        for drive, function, axle in BY_DRIVE
    ),
    *(
        Step(("tyre.standard_grip_torque",), function, {**STANDARD_GRIP, **axle}, {"driveline.drive": (drive,)})
        for drive, function, axle in BY_DRIVE
    ),
    Step(("axle.launch_torque",), launch.launch_torque,
         {"grip_torque_nm": "tyre.grip_torque", "hop_factor": "class.use.hop_factor",
          "shock_torque_nm": "gearbox.shock_torque", "launch_ratio": "class.driveline.launch_ratio"},
         {"goal.use": USES}),
    Step(("axle.torque_use",), launch.axle_torque_use,
         {"launch_torque_nm": "axle.launch_torque", "standard_grip_torque_nm": "tyre.standard_grip_torque",
          "reserve": "class.axle.reserve"}),
)
