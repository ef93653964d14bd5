"""Cylinder pressure while a valve is open, taken from the manifolds rather than from a flow calculation."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.integration import gauss_points
from enginelimits.physics.numerics.interpolation import smooth_step

# width of the change from exhaust to intake pressure about top dead centre, either side
_OVERLAP_HALF_WIDTH = np.radians(15.0)


class GasExchange(NamedTuple):
    """What bounds the open part of the cycle, each (..., 1): the angles asked for stand on the last axis.

    That a cylinder is at exhaust pressure by the bottom and at intake pressure from the top is common
    practice, no source; it leaves out the pumping work, which gross pressures do not hold anyway.
    """

    chamber: Chamber
    closing_angle_rad: Array
    opening_angle_rad: Array
    closing_pressure_pa: Array
    opening_pressure_pa: Array
    intake_pressure_pa: Array
    exhaust_pressure_pa: Array
    gamma: Array  # of the gas at exhaust opening

    def filling(self, crank_angle_rad: Array) -> Array:
        """From the bottom (-pi) to intake closing: manifold pressure eased into the trapped one. [Pa]"""
        eased = self._eased(crank_angle_rad)
        return self.intake_pressure_pa + eased * (self.closing_pressure_pa - self.intake_pressure_pa)

    def _eased(self, crank_angle_rad: Array) -> Array:
        span = np.maximum(self.closing_angle_rad + np.pi, 1e-9)
        return smooth_step((crank_angle_rad + np.pi) / span)

    def blowdown(self, crank_angle_rad: Array) -> Array:
        """From exhaust opening on: isentropic expansion fading into exhaust pressure, done at pi. [Pa]"""
        left, log_ratio = self._fading(crank_angle_rad)
        expanding = self.opening_pressure_pa * np.exp(-self.gamma * log_ratio)
        return self.exhaust_pressure_pa + left * (expanding - self.exhaust_pressure_pa)

    def _fading(self, crank_angle_rad: Array) -> tuple[Array, Array]:
        """Share left of the expansion, and the logarithm of the volume over that at exhaust opening: of sizes alone."""
        span = np.maximum(np.pi - self.opening_angle_rad, 1e-9)
        left = 1.0 - smooth_step((crank_angle_rad - self.opening_angle_rad) / span)
        return left, np.log(self.chamber.volume_m3(crank_angle_rad) / self.chamber.volume_m3(self.opening_angle_rad))

    def strokes(self, crank_angle_rad: Array) -> Array:
        """Exhaust then intake stroke, from pi over 2 pi, which is -2 pi, to -pi. [Pa]"""
        turn = np.where(crank_angle_rad > 0.0, -2.0 * np.pi, 2.0 * np.pi)
        after_top = crank_angle_rad + turn
        changed = smooth_step((after_top + _OVERLAP_HALF_WIDTH) / (2.0 * _OVERLAP_HALF_WIDTH))
        return self.exhaust_pressure_pa + changed * (self.intake_pressure_pa - self.exhaust_pressure_pa)

    def work_j(self) -> Array:
        """Work on the piston, bottom to intake closing and exhaust opening to bottom, last axis gone.

        The pressures stand outside the integrals, which are of sizes and angles alone but for the expansion.
        """
        chamber = self.chamber
        intake, exhaust = self.intake_pressure_pa[..., 0], self.exhaust_pressure_pa[..., 0]
        bottom, closing, opening = (
            chamber.volume_m3(angle)[..., 0] for angle in (np.pi, self.closing_angle_rad, self.opening_angle_rad)
        )
        angle, weight = gauss_points(-np.pi, self.closing_angle_rad[..., 0], 5)
        eased = np.sum(weight * chamber.volume_and_slope(angle)[1] * self._eased(angle), axis=-1)
        before = intake * (closing - bottom) + (self.closing_pressure_pa[..., 0] - intake) * eased
        angle, weight = gauss_points(self.opening_angle_rad[..., 0], np.pi, 5)
        left, log_ratio = self._fading(angle)
        weight = weight * chamber.volume_and_slope(angle)[1] * left
        expanding = sum(
            weight[..., i] * np.exp(-self.gamma[..., 0] * log_ratio[..., i]) for i in range(weight.shape[-1])
        )
        after = exhaust * (bottom - opening - weight.sum(axis=-1)) + self.opening_pressure_pa[..., 0] * expanding
        return before + after
