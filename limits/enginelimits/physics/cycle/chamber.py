"""Volume of the cylinder and what depends on the crank angle alone, tabled before the integration."""

from __future__ import annotations

from typing import NamedTuple, Self

import numpy as np

from enginelimits.physics.combustion.heat_transfer import WOSCHNI_COEFFICIENT, WOSCHNI_TEMPERATURE_EXPONENT
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


class Tables(NamedTuple):
    """By half node and lane, (2 steps + 1, lanes), of one segment of the crank grid; volumes per mass."""

    volume: Array  # m^3/kg
    volume_slope: Array  # m^3/(kg*rad)
    to_temperature: Array  # V / (m R): mean temperature over pressure
    wall: Array | None  # times p^0.25 w^0.8 (T - T_wall): dQ_wall/dangle / m; None without heat loss

    @classmethod
    def of(
        cls,
        chamber: Chamber,
        angles: Array,
        *,
        mass_kg: Array,
        gas_constant: Array,
        speed_rad_s: Array,
        heat_transfer_factor: Array | None,
    ) -> Self:
        """Everything that a stage of the integration needs and that pressure does not change.

        Woschni's p^0.8 T^-0.55 with T = p V / (m R) is p^0.25 times a function of the volume, so that a stage
        is left with two square roots and one power. The wall is a disc chamber: two bore areas and the liner
        in sight.
        """
        volume, slope = chamber.volume_and_slope(angles)
        specific = volume / mass_kg
        to_temperature = specific / gas_constant
        wall = None
        if heat_transfer_factor is not None:
            area = 2.0 * chamber.bore_area_m2 + 4.0 * volume / chamber.bore_m
            constant = (
                WOSCHNI_COEFFICIENT * chamber.bore_m**-0.2 * 1e-3**0.8 * heat_transfer_factor / speed_rad_s
            )
            wall = constant * area / mass_kg * to_temperature**WOSCHNI_TEMPERATURE_EXPONENT
        return cls(specific, slope / mass_kg, to_temperature, wall)
