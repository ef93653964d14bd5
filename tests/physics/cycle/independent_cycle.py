"""The two-zone cycle of one cylinder written a second time, by another method."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar

from enginelimits.physics.gas.charge import Charge


class Reference:
    """The same engine written from the books and integrated by scipy's DOP853.

    Work and wall heat are summed, which leaves the energy of the whole; the entropy of the fresh gas falls by its
    share of the wall heat. Pressure is what makes both zones fill the cylinder with that energy, found by bracketing:
    no slope of pressure is ever formed. Woschni as printed (Heywood 1988, eq. 12.19: kPa, K, m/s), Wiebe (eq. 9.30),
    slider-crank volume, ignition delay of Douaud and Eyzat 1978 (from memory). Of the package only the polynomials of
    the two gases are used, which are checked elsewhere, and added up here by hand.

    ``mean_constant``: as the cycle says, the mean temperature at the wall takes the burned gas constant of one hot
    state; without it, that of the gas as it is.
    """

    def __init__(self, charge: Charge, mean_constant: bool = True, **c: float) -> None:
        self.c, self.mass, self.fresh_constant = c, c["trapped_mass_kg"], float(charge.gas_constant)
        self.capacity = [float(v) for v in charge.heat_capacity]
        self.energy_table = np.asarray(charge.burned.energy, dtype=float)
        self.constant_table = np.asarray(charge.burned.constant, dtype=float)
        self.nil = float(charge.enthalpy - charge.lost)
        self.mean_constant = self._sum(self.constant_table, 0.6e6, 4e6) if mean_constant else None
        self.radius, self.piston = 0.5 * c["stroke_m"], np.pi / 4 * c["bore_m"] ** 2
        self.swept = self.piston * c["stroke_m"]
        duration, a, m = c["burn_duration_rad"], c["wiebe_a"], c["wiebe_form"]
        self.start = c["half_burned_angle_rad"] - duration * (np.log(2.0) / a) ** (1.0 / (m + 1.0))
        self.nine_tenths = self.start + duration * (np.log(10.0) / a) ** (1.0 / (m + 1.0))
        self.closing, self.opening = c["intake_closing_rad"] - np.pi, np.pi - c["exhaust_opening_rad"]
        self.v_closing = self.volume(self.closing)
        self.p_closing = self.mass * self.fresh_constant * c["closing_temperature_k"] / self.v_closing
        self.energy = self._fresh_energy(c["closing_temperature_k"])
        self.p_start = np.inf
        first = [self._entropy(c["closing_temperature_k"], self.p_closing), 0.0, 0.0, 0.0]
        before = self._solved(self.closing, self.start, first)
        self.p_start = self.at(self.start, before.y[:, -1])[0]
        burning = self._solved(self.start, self.nine_tenths, before.y[:, -1])
        after = self._solved(self.nine_tenths, self.opening, burning.y[:, -1])
        self.knock, self.runs = burning.y[3, -1], (before, burning, after)
        _, self.heat, self.work, _ = after.y[:, -1]
        self.p_opening, _, self.y_opening = self.at(self.opening, after.y[:, -1])

    def volume(self, angle: float) -> float:
        rod = self.c["rod_length_m"]
        along = np.sqrt(rod**2 - (self.radius * np.sin(angle)) ** 2)
        travel = self.radius + rod - self.radius * np.cos(angle) - along
        return self.swept / (self.c["compression_ratio"] - 1.0) + self.piston * travel

    def _volume_slope(self, angle: float) -> float:
        rod, across = self.c["rod_length_m"], self.radius * np.sin(angle)
        return self.piston * (across + across * self.radius * np.cos(angle) / np.sqrt(rod**2 - across**2))

    def burned(self, angle: float) -> float:
        y = max(angle - self.start, 0.0) / self.c["burn_duration_rad"]
        return float(-np.expm1(-self.c["wiebe_a"] * y ** (self.c["wiebe_form"] + 1.0)))

    @staticmethod
    def _sum(table: np.ndarray, y: float, p: float) -> float:
        powers = (y / 1e6) ** np.arange(table.shape[1])
        logs = np.log(p / 3e6) ** np.arange(table.shape[0])
        return float(logs @ table @ powers)

    def _fresh_energy(self, t: float) -> float:
        parts = [b * 1e3 * ((t / 1e3) ** (n + 1) - 0.29815 ** (n + 1)) / (n + 1) for n, b in enumerate(self.capacity)]
        return self.nil + sum(parts) - self.fresh_constant * t

    def _entropy(self, t: float, p: float) -> float:
        b0, b1, b2, b3 = self.capacity
        x = t / 1e3
        return b0 * np.log(x) + b1 * x + b2 * x**2 / 2 + b3 * x**3 / 3 - self.fresh_constant * np.log(p)

    def _fresh_temperature(self, entropy: float, p: float) -> float:
        t = self.c["closing_temperature_k"] * (p / self.p_closing) ** 0.25
        for _ in range(20):
            step = (entropy - self._entropy(t, p)) / sum(b * (t / 1e3) ** n for n, b in enumerate(self.capacity))
            t *= np.exp(step)
            if abs(step) < 1e-13:
                break
        return float(t)

    def at(self, angle: float, state: Any) -> tuple[float, float, float]:
        """Pressure, fresh temperature, and p v of the burned gas."""
        entropy, heat, work = state[:3]
        specific, x = self.volume(angle) / self.mass, self.burned(angle)
        energy = self.energy - (heat + work) / self.mass

        def zones(p: float) -> tuple[float, float]:
            t = self._fresh_temperature(entropy, p)
            # of the first gas that burns nothing but its energy counts, and p v of any hot gas will do
            y = (p * specific - (1.0 - x) * self.fresh_constant * t) / max(x, 1e-30)
            return t, min(max(y, 0.1e6), 1.1e6)

        def over(p: float) -> float:
            t, y = zones(p)
            return (1.0 - x) * self._fresh_energy(t) + x * self._sum(self.energy_table, y, p) - energy

        p = brentq(over, 0.2e5, 400e5, xtol=1e-4, rtol=1e-13)
        return p, *zones(p)

    def _slopes(self, angle: float, state: np.ndarray) -> list[float]:
        c = self.c
        p, t, y = self.at(angle, state)
        v, dv, x = self.volume(angle), self._volume_slope(angle), self.burned(angle)
        burned_constant = self.mean_constant or self._sum(self.constant_table, y, p)
        mean = p * v / (self.mass * (self.fresh_constant + x * (burned_constant - self.fresh_constant)))
        speed = 2.28 * c["stroke_m"] * c["speed_rad_s"] / np.pi
        if angle > self.start:
            motored = self.p_start * (self.volume(self.start) / v) ** 1.30
            reference = self.swept * c["closing_temperature_k"] / (self.p_closing * self.v_closing)
            speed += 3.24e-3 * reference * (p - motored)
        h = 3.26 * c["bore_m"] ** -0.2 * (p / 1000.0) ** 0.8 * mean**-0.55 * speed**0.8
        area = 2.0 * self.piston + np.pi * c["bore_m"] * v / self.piston
        transfer = c["heat_transfer_factor"] * h * area / c["speed_rad_s"]
        falls = transfer * self.fresh_constant / (p * v) * (t - c["wall_temperature_k"])
        delay = 17.68e-3 * (p / 101325.0) ** -1.7 * np.exp(3800.0 / t)
        return [-falls, transfer * (mean - c["wall_temperature_k"]), p * dv, 1.0 / (delay * c["speed_rad_s"])]

    def _solved(self, low: float, high: float, state: Any) -> Any:
        tolerances = {"rtol": 1e-8, "atol": [1e-6, 1e-7, 1e-7, 1e-9]}
        return solve_ivp(self._slopes, (low, high), state, method="DOP853", dense_output=True, **tolerances)

    @functools.cached_property
    def peak(self) -> tuple[float, float, float]:
        """Pressure, its angle, and the fresh gas there."""
        found = []
        for run in self.runs[1:]:
            low, high = run.t[0], min(run.t[-1], self.start + 1.5 * self.c["burn_duration_rad"])
            angle = minimize_scalar(
                lambda x, run=run: -self.at(x, run.sol(x))[0], bounds=(low, high), method="bounded",
                options={"xatol": 1e-7},
            ).x
            found.append((*self.at(angle, run.sol(angle))[:2], float(angle)))
        p, t, angle = max(found)
        return p, angle, t
