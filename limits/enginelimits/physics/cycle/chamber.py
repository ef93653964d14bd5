"""Volume of the cylinder over the crank angle."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array


class Chamber(NamedTuple):
    """Size of one cylinder: arrays that broadcast with each other and with the angles asked for."""

    bore_m: Array
    stroke_m: Array
    rod_length_m: Array
    compression_ratio: Array

    @property
    def bore_area_m2(self) -> Array:
        return 0.25 * np.pi * self.bore_m**2

    @property
    def displacement_m3(self) -> Array:
        return self.bore_area_m2 * self.stroke_m

    @property
    def clearance_m3(self) -> Array:
        return self.displacement_m3 / (self.compression_ratio - 1.0)

    def volume_m3(self, crank_angle_rad: Array) -> Array:
        return self.volume_and_slope(crank_angle_rad)[0]

    def volume_and_slope(self, crank_angle_rad: Array) -> tuple[Array, Array]:
        """Volume [m^3] and its slope [m^3/rad] at an angle after firing top dead centre, pin not offset."""
        r, rod, area = 0.5 * self.stroke_m, self.rod_length_m, self.bore_area_m2
        sine, cosine = np.sin(crank_angle_rad), np.cos(crank_angle_rad)
        across = r * sine
        along = np.sqrt(rod * rod - across * across)
        # rod - along written so that a very long rod loses no digits
        travel = r * (1.0 - cosine) + across * across / (rod + along)
        slope = across * (1.0 + r * cosine / along)
        return self.clearance_m3 + area * travel, area * slope
