"""Cylinder pressure while a valve is open, taken from the manifolds rather than from a flow calculation."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.integration import integral_between
from enginelimits.physics.numerics.interpolation import smooth_step

# width of the change from exhaust to intake pressure about top dead centre, either side
OVERLAP_HALF_WIDTH = np.radians(15.0)


def filling_pressure(
    crank_angle_rad: Array, closing_angle_rad: Array, intake_pressure_pa: Array, closing_pressure_pa: Array
) -> Array:
    """From the bottom (-pi) to intake closing: manifold pressure, eased into the trapped pressure."""
    span = np.maximum(closing_angle_rad + np.pi, 1e-9)
    share = smooth_step((crank_angle_rad + np.pi) / span)
    return intake_pressure_pa + share * (closing_pressure_pa - intake_pressure_pa)


def blowdown_pressure(
    crank_angle_rad: Array,
    opening_angle_rad: Array,
    exhaust_pressure_pa: Array,
    opening_pressure_pa: Array,
    volume_ratio: Array,
    gamma: Array,
) -> Array:
    """From exhaust opening on: isentropic expansion fading into exhaust pressure, done at the bottom (pi).

    ``volume_ratio`` is the volume over that at opening.
    """
    span = np.maximum(np.pi - opening_angle_rad, 1e-9)
    left = 1.0 - smooth_step((crank_angle_rad - opening_angle_rad) / span)
    return exhaust_pressure_pa + left * (opening_pressure_pa * volume_ratio**-gamma - exhaust_pressure_pa)


def bottom_works(
    chamber: Chamber,
    closing_angle_rad: Array,
    opening_angle_rad: Array,
    intake_pressure_pa: Array,
    closing_pressure_pa: Array,
    exhaust_pressure_pa: Array,
    opening_pressure_pa: Array,
    gamma: Array,
) -> tuple[Array, Array]:
    """Work on the piston from the bottom to intake closing, and from exhaust opening to the bottom. [J]"""
    wide = Chamber(*(np.asarray(v, dtype=float)[..., None] for v in chamber))
    opening_volume = chamber.volume_m3(opening_angle_rad)

    def filling(angle: Array) -> Array:
        pressure = filling_pressure(
            angle, closing_angle_rad[..., None], intake_pressure_pa[..., None], closing_pressure_pa[..., None]
        )
        return pressure * wide.volume_and_slope(angle)[1]

    def blowdown(angle: Array) -> Array:
        volume, slope = wide.volume_and_slope(angle)
        pressure = blowdown_pressure(
            angle,
            opening_angle_rad[..., None],
            exhaust_pressure_pa[..., None],
            opening_pressure_pa[..., None],
            volume / opening_volume[..., None],
            gamma[..., None],
        )
        return pressure * slope

    return (
        integral_between(filling, np.full_like(closing_angle_rad, -np.pi), closing_angle_rad),
        integral_between(blowdown, opening_angle_rad, np.full_like(opening_angle_rad, np.pi)),
    )
