"""Invented cylinders of the ordinary kind, run hard: what the tests of timing and exhaust work on."""

from __future__ import annotations

from typing import Any

import numpy as np

# Bore and stroke in mm, compression ratio, pressure at intake closing in bar, temperature there in K, lambda, ethanol
# by mass, residual by mass, burn duration in deg. All invented.
CYLINDERS = {
    "long stroke, no boost": (82.5, 92.8, 11.0, 1.10, 352.0, 0.90, 0.0, 0.040, 52.0),
    "two litres, turbo": (86.0, 86.0, 9.5, 1.90, 360.0, 0.80, 0.0, 0.035, 52.0),
    "big six, no boost": (94.0, 89.0, 10.5, 1.15, 350.0, 0.88, 0.0, 0.040, 56.0),
    "small three, turbo": (74.0, 77.4, 10.0, 2.00, 365.0, 0.85, 0.0, 0.030, 48.0),
    "ethanol, turbo": (87.0, 84.0, 12.0, 2.10, 330.0, 0.83, 0.85, 0.030, 47.0),
}


def ordinary(**changed: Any) -> dict[str, Any]:
    """Arguments of cylinder_cycle but the half-burned angle, each cylinder a row before the speeds.

    A new lambda brings the fuel that belongs to it; pressure and temperature at intake closing bring the mass.
    """
    column = np.array(list(CYLINDERS.values())).T[..., None]
    bore, stroke, ratio, bar, kelvin, mixture, ethanol, residual, burn = column
    bore, stroke = bore / 1e3, stroke / 1e3
    mixture = changed.pop("lambda_ratio", mixture)
    ratio = changed.pop("compression_ratio", ratio)
    kelvin = changed.pop("closing_temperature_k", kelvin)
    pressure = changed.pop("closing_pressure_pa", bar * 1e5)
    pressure = pressure * changed.pop("boost_factor", 1.0)
    swept = np.pi / 4 * bore**2 * stroke
    # closes 50 deg after the bottom: rod 1.7 strokes
    angle, crank, rod = np.pi - 0.87, 0.5 * stroke, 1.7 * stroke
    travel = crank + rod - crank * np.cos(angle) - np.sqrt(rod**2 - (crank * np.sin(angle)) ** 2)
    volume = swept / (ratio - 1.0) + np.pi / 4 * bore**2 * travel
    # air that burns a kilogram: 14.6 and 9.0 from memory
    fuel = (1.0 - residual) / (1.0 + mixture * (14.6 * (1.0 - ethanol) + 9.0 * ethanol))
    return {
        "bore_m": bore,
        "stroke_m": stroke,
        "rod_length_m": rod,
        "compression_ratio": ratio,
        "speed_rad_s": 400.0,
        "trapped_mass_kg": pressure * volume / (274.0 * kelvin),
        "closing_temperature_k": kelvin,
        "fuel_mass_fraction": fuel,
        "residual_fraction": residual,
        "water_fraction": 0.0,
        "lambda_ratio": mixture,
        "heating_value_j_kg": 43.4e6 - 15.7e6 * ethanol,  # vapour, from memory
        "combustion_efficiency": 0.97,
        "ethanol_mass_fraction": ethanol,
        "methanol_mass_fraction": 0.0,
        "burn_duration_rad": np.radians(burn),
        "wiebe_a": 5.0,
        "wiebe_form": 2.0,
        "intake_closing_rad": 0.87,
        "exhaust_opening_rad": 0.87,
        "wall_temperature_k": 450.0,
        "heat_transfer_factor": 1.0,
        "intake_pressure_pa": pressure / 1.1,
        "exhaust_pressure_pa": np.maximum(pressure / 1.1, 1.1e5),
        "knock_temperature_ratio": 1.0,
        **changed,
    }
