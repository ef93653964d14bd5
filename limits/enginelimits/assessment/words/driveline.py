"""Quantities of the driveline."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("clutch.reserve", "1", "low", "Clutch capacity over torque.", root="driveline"),
        q("gearbox.torque_use", "1", "high", "Torque over the gearbox rating.", root="driveline"),
        q("gearbox.shock_torque", "N*m", "high", "Torque that a hard shift sends into the gearbox, at most what the "
          "clutch holds.", root="driveline"),
        q("gearbox.shock_use", "1", "high", "Shock of a hard shift over the gearbox rating.", root="driveline"),
        q("tyre.grip_torque", "N*m", "none", "Greatest torque that the driven tyres take in a launch.", varies=False),
        q("tyre.standard_grip_torque", "N*m", "none", "The same with road tyres.", varies=False, detail=True),
        q("axle.launch_torque", "N*m", "high", "Torque at the driven wheels in a launch in first gear, at most what "
          "tyres or clutch let pass.", root="driveline"),
        q("axle.torque_use", "1", "high", "Launch torque over what the axle shafts bear.", root="driveline"),
    )
