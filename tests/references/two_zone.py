"""Closed adiabatic cycles of two zones, solved with Cantera: what the package's cycle is measured against.

Nothing here comes from the package. Cantera is a general-purpose library for chemical thermodynamics; the gas
data are the NASA polynomials that it brings (``nasa_gas.yaml``, after McBride, Zehe and Gordon, NASA
TP-2002-211556). No heat reaches a wall and nothing leaks.

Unburned zone: air, fuel vapour and residual gas, frozen, at the entropy it had at the bottom. Burned zone: one
homogeneous gas in chemical equilibrium. Both are at the cylinder's pressure. The share burned by mass follows
Wiebe, tail included; residual gas burns along with the charge that it is mixed with. Over a step

    d(m_b h_b) = V_b dp + h_u dm_b     by the trapezoid rule, and     m_b v_b + m_u v_u = V

are solved for the pressure; energy of the whole is not used and so serves as a check. Volume is that of a
slider-crank, from bottom to bottom.

Importing Cantera takes a second, so it happens when the first gas is made.
"""

from __future__ import annotations

import functools
import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Moles = tuple[tuple[str, float], ...]

# Mole fractions of dry air: 20.95 % O2, 0.93 % argon, the rest N2; 28.960 kg/kmol. CO2 is left out.
AIR: Moles = (("O2", 0.2095), ("N2", 0.7812), ("Ar", 0.0093))
PRODUCTS = ("CO2", "H2O", "CO", "H2", "O2", "N2", "Ar", "OH", "H", "O", "NO", "N", "HO2", "NO2")
# No CH4 and no soot: equilibrium would make them below some 1100 K in rich gas, an engine does not.

ISO_OCTANE, TOLUENE, ETHANOL, METHANOL = "C8H18,isooctane", "C7H8", "C2H5OH", "CH3OH"
VAPOURS = (ISO_OCTANE, TOLUENE, ETHANOL, METHANOL)
# Hydrogen over carbon 1.87: (18 a + 8 (1 - a)) / (8 a + 7 (1 - a)) = 1.87 gives a = 5.09 / 8.13 of iso-octane
GASOLINE: Moles = ((ISO_OCTANE, 5.09 / 8.13), (TOLUENE, 3.04 / 8.13))
FUELS: dict[str, Moles] = {
    "iso-octane": ((ISO_OCTANE, 1.0),),
    "gasoline": GASOLINE,
    "ethanol": ((ETHANOL, 1.0),),
    "methanol": ((METHANOL, 1.0),),
}

# Temperature at which residual gas takes the composition that it keeps: CO and H2 of rich gas freeze about there
RESIDUAL_FROZEN_K = 1740.0
STEP_DEG = 0.25


@functools.cache
def _species(names: tuple[str, ...]) -> Any:
    import cantera

    return tuple(s for s in cantera.Species.list_from_file("nasa_gas.yaml") if s.name in names)


def gas(vapours: bool = True) -> Any:
    """A new Cantera phase of the products, and with ``vapours`` of the fuels too (not for equilibrium)."""
    import cantera

    return cantera.Solution(thermo="ideal-gas", species=_species(PRODUCTS + (VAPOURS if vapours else ())))


def blend_by_mass(ethanol: float = 0.0, methanol: float = 0.0) -> Moles:
    """Moles in a kilogram of fuel whose rest is GASOLINE."""
    weight = dict(zip(gas().species_names, gas().molecular_weights, strict=True))
    kilomole = sum(n * weight[s] for s, n in GASOLINE)
    rest = 1e3 * (1.0 - ethanol - methanol) / kilomole
    parts = [(s, n * rest) for s, n in GASOLINE]
    return (*parts, (ETHANOL, 1e3 * ethanol / weight[ETHANOL]), (METHANOL, 1e3 * methanol / weight[METHANOL]))


class Charge(NamedTuple):
    """Fresh air and fuel vapour: mole numbers, and what is fixed by them."""

    moles: dict[str, float]
    fuel_mass_fraction: float
    stoichiometric_ratio: float  # air over fuel by mass at lambda 1
    heating_value_j_kg: float  # of the fuel as vapour, lower, at 298.15 K
    formation_j_kg: float  # enthalpy of complete products at 298.15 K, a kg; missing O2 counts nothing


def charge(fuel: Moles, phi: float, air: Moles = AIR) -> Charge:
    """Air and fuel vapour at a fuel-air equivalence ratio."""
    g = gas()
    formation = {s: g.species(s).thermo.h(298.15) for s in g.species_names}  # J/kmol
    weight = dict(zip(g.species_names, g.molecular_weights, strict=True))
    total = sum(n for _, n in fuel)
    moles = {s: n / total for s, n in fuel}
    carbon = sum(n * g.n_atoms(s, "C") for s, n in moles.items())
    hydrogen = sum(n * g.n_atoms(s, "H") for s, n in moles.items())
    wanted = carbon + hydrogen / 4 - sum(n * g.n_atoms(s, "O") for s, n in moles.items()) / 2
    fuel_mass = sum(n * weight[s] for s, n in moles.items())
    oxides = carbon * formation["CO2"] + hydrogen / 2 * formation["H2O"]
    heating = (sum(n * formation[s] for s, n in moles.items()) - oxides) / fuel_mass
    admitted = {s: share * wanted / dict(air)["O2"] / phi for s, share in air}
    air_mass = sum(n * weight[s] for s, n in admitted.items())
    mass = fuel_mass + air_mass
    return Charge(moles | admitted, fuel_mass / mass, air_mass * phi / fuel_mass, heating, oxides / mass)


class Case(NamedTuple):
    """One cycle, closed from bottom to bottom, adiabatic."""

    fuel: str
    phi: float
    ratio: float
    pressure_pa: float
    temperature_k: float
    residual: float  # by mass
    start_deg: float  # of Wiebe's function, after firing top
    duration_deg: float
    bore_m: float = 0.086
    stroke_m: float = 0.086
    rod_m: float = 0.143
    wiebe_a: float = 5.0
    wiebe_form: float = 2.0
    air: Moles = AIR

    @property
    def charge(self) -> Charge:
        return charge(FUELS[self.fuel], self.phi, self.air)

    @property
    def half_burned_deg(self) -> float:
        return self.start_deg + self.duration_deg * (math.log(2.0) / self.wiebe_a) ** (1.0 / (self.wiebe_form + 1.0))

    @property
    def displacement_m3(self) -> float:
        return math.pi / 4 * self.bore_m**2 * self.stroke_m

    def volume_m3(self, angle_deg: Any) -> Any:
        angle, crank = np.radians(angle_deg), self.stroke_m / 2
        along = crank * np.cos(angle) + np.sqrt(self.rod_m**2 - (crank * np.sin(angle)) ** 2)
        area = math.pi / 4 * self.bore_m**2
        return self.displacement_m3 / (self.ratio - 1.0) + area * (crank + self.rod_m - along)

    def burned(self, angle_deg: Any) -> Any:
        y = np.maximum((np.asarray(angle_deg) - self.start_deg) / self.duration_deg, 0.0)
        return -np.expm1(-self.wiebe_a * y ** (self.wiebe_form + 1.0))


class Cycle(NamedTuple):
    """Traces by crank angle, and what follows from them."""

    angles_deg: NDArray[np.float64]
    pressures_pa: NDArray[np.float64]
    unburned_k: NDArray[np.float64]
    burned_k: NDArray[np.float64]  # NaN before the start of combustion
    mass_kg: float
    gas_constant_j_kgk: float  # of the unburned charge
    fuel_kg: float  # fresh, without what the residual gas once was
    heating_value_j_kg: float  # of the vapour
    peak_pressure_pa: float
    peak_angle_deg: float
    peak_unburned_k: float
    gross_imep_pa: float
    energy_residual: float  # work + rise of internal energy, over the work

    def at(self, angle_deg: float) -> tuple[float, float, float]:
        """Pressure, unburned and burned temperature at a node or between two."""
        traces = (self.pressures_pa, self.unburned_k, self.burned_k)
        p, u, b = (float(np.interp(angle_deg, self.angles_deg, t)) for t in traces)
        return p, u, b


def products_of(moles: dict[str, float]) -> dict[str, float]:
    """Gas of the products with the atoms of a charge, for an equilibrium to start from."""
    g = gas()
    carbon, hydrogen, oxygen = (sum(n * g.n_atoms(s, e) for s, n in moles.items()) for e in "CHO")
    inert = {s: moles.get(s, 0.0) for s in ("N2", "Ar")}
    return {"CO": carbon, "H2": hydrogen / 2, "O2": (oxygen - carbon) / 2} | inert


def _grid(case: Case, step_deg: float) -> NDArray[np.float64]:
    """Nodes from bottom to bottom with one at the start of combustion; finer steps where the burn is fast."""
    start, end = case.start_deg, min(case.start_deg + 1.5 * case.duration_deg, 179.0)
    # the first bit burned must be more than the rounding of the volume it takes
    kindled = start + 0.005 * case.duration_deg
    burning = min(step_deg, case.duration_deg / 60.0)
    edges = ((-180.0, start, 4.0 * step_deg), (kindled, end, burning), (end, 180.0, step_deg))
    pieces = [np.linspace(a, b, math.ceil((b - a) / s) + 1)[:-1] for a, b, s in edges]
    return np.concatenate((pieces[0], [start], *pieces[1:], [180.0]))


class _Zones:
    """Both gases of a case, and what the next step needs to know of the last node."""

    def __init__(self, case: Case) -> None:
        self.fresh, self.burned = gas(), gas(vapours=False)
        made = case.charge
        self.burned.TPX = RESIDUAL_FROZEN_K, case.pressure_pa, products_of(made.moles)
        self.burned.equilibrate("TP")
        self.fresh.TPX = case.temperature_k, case.pressure_pa, made.moles
        mixed = (1.0 - case.residual) * self.fresh.Y
        for name, share in zip(self.burned.species_names, self.burned.Y, strict=True):
            mixed[self.fresh.species_index(name)] += case.residual * share
        self.fresh.TPY = case.temperature_k, case.pressure_pa, mixed
        self.entropy = self.fresh.s
        self.mass = self.fresh.density * float(case.volume_m3(-180.0))
        self.share = 0.0  # burned
        self.volume = self.pressure = self.enthalpy = self.held = self.burned_volume = 0.0
        self._keep(float(case.volume_m3(-180.0)), 0.0)

    def _keep(self, volume: float, share: float) -> None:
        """The zones as they are become the last node."""
        self.volume, self.share, self.pressure, self.enthalpy = volume, share, self.fresh.P, self.fresh.h
        if share > 0.0:
            self.held = self.mass * share * self.burned.h
            self.burned_volume = self.mass * share * self.burned.v

    def _missed(self, pressure: float, volume: float, share: float) -> float:
        """Volume that the zones fill too much at a pressure, over the volume; leaves them at it."""
        self.fresh.SP = self.entropy, pressure
        burned = self.mass * share
        room = volume - (self.mass - burned) * self.fresh.v
        if share == 0.0:
            return -room / volume
        pushed = 0.5 * (room + self.burned_volume) * (pressure - self.pressure)
        joined = 0.5 * (self.fresh.h + self.enthalpy) * self.mass * (share - self.share)
        self.burned.HP = (self.held + pushed + joined) / burned, pressure
        self.burned.equilibrate("HP", rtol=1e-10)
        return (burned * self.burned.v - room) / volume

    def step(self, volume: float, share: float) -> None:
        """To the next node, its pressure found by secants from what compression alone would make."""
        a = self.pressure * (self.volume / volume) ** 1.3
        b = a * 1.0002
        miss_a, miss_b = self._missed(a, volume, share), self._missed(b, volume, share)
        for _ in range(20):
            if abs(miss_b) < 1e-10:
                return self._keep(volume, share)
            a, b, miss_a = b, b - miss_b * (b - a) / (miss_b - miss_a), miss_b
            miss_b = self._missed(b, volume, share)
        raise ArithmeticError(f"no pressure found near {a} Pa")


def solve(case: Case, step_deg: float = STEP_DEG) -> Cycle:
    """The cycle; about a second at the ordinary step."""
    zones, made = _Zones(case), case.charge
    fresh, burned, mass = zones.fresh, zones.burned, zones.mass
    gas_constant, energy_first = fresh.cp_mass - fresh.cv_mass, fresh.int_energy_mass
    angles = _grid(case, step_deg)
    volumes, shares = case.volume_m3(angles), case.burned(angles)
    pressures, unburned_k, burned_k = np.full((3, angles.size), math.nan)
    pressures[0], unburned_k[0] = case.pressure_pa, case.temperature_k
    for i in range(1, angles.size):
        zones.step(float(volumes[i]), float(shares[i]))
        pressures[i], unburned_k[i] = fresh.P, fresh.T
        if shares[i] > 0.0:
            burned_k[i] = burned.T

    work = float(np.trapezoid(pressures, volumes))
    last = float(shares[-1])
    energy = mass * (last * burned.int_energy_mass + (1.0 - last) * fresh.int_energy_mass)
    peak, angle = _peak(angles, pressures)
    return Cycle(
        angles_deg=angles,
        pressures_pa=pressures,
        unburned_k=unburned_k,
        burned_k=burned_k,
        mass_kg=mass,
        gas_constant_j_kgk=gas_constant,
        fuel_kg=mass * (1.0 - case.residual) * made.fuel_mass_fraction,
        heating_value_j_kg=made.heating_value_j_kg,
        peak_pressure_pa=peak,
        peak_angle_deg=angle,
        peak_unburned_k=float(unburned_k.max()),
        gross_imep_pa=work / case.displacement_m3,
        energy_residual=(work + energy - mass * energy_first) / work,
    )


def _peak(angles: NDArray[np.float64], pressures: NDArray[np.float64]) -> tuple[float, float]:
    """Top of the parabola through the highest node and its neighbours."""
    i = int(np.argmax(pressures))
    curve = np.polyfit(angles[i - 1 : i + 2] - angles[i], pressures[i - 1 : i + 2], 2)
    shift = -curve[1] / (2.0 * curve[0])
    return float(np.polyval(curve, shift)), float(angles[i] + shift)


# Angles of every trace below, degrees after firing top
TRACE_DEG = (-90, -40, -20, -10, 0, 10, 20, 30, 45, 60, 90, 130, 180)


class Reference(NamedTuple):
    """A case and what Cantera made of it, typed in."""

    case: Case
    trace_bar: tuple[float, ...]  # at TRACE_DEG
    peak_bar: float
    peak_deg: float
    imep_bar: float  # gross, bottom to bottom
    peak_unburned_k: float
    burned_at_peak_k: float  # where pressure is highest
    end_k: float  # burned zone at the bottom, where the exhaust valve opens
    mass_mg: float  # in the cylinder, residual gas included
    gas_constant_j_kgk: float  # of it, unburned
    fuel_mg: float  # fresh
    heating_value_mj_kg: float  # of the vapour, 298.15 K


# Cantera 3.2.0, nasa_gas.yaml, the fourteen gases of PRODUCTS, steps of 0.125 deg while burning and 0.5 deg before,
# by solve() above, November 2026. Half that step changes pressure and work by less than 0.01 %. The conditions are
# our own choice and stand for no engine: no heat is lost, both ends are at the bottom, and the case's pressure and
# temperature are those of the charge there. Residual gas has the composition of the burned gas at 1740 K. Half is
# burned at 7.9 (naturally aspirated), 24.1 (boosted), 11.8 (ethanol), 12.8 (methanol) and 9.1 deg (part load).
# Gasoline stands for a hydrocarbon CH1.87; iso-octane, CH2.25, has the greater heat capacity as a vapour.
REFERENCES: dict[str, Reference] = {
    "naturally aspirated": Reference(
        Case("iso-octane", 1.15, 11.0, 0.95e5, 340.0, 0.04, -19.0, 52.0, 0.0825, 0.0928, 0.148),
        (1.806, 6.785, 14.479, 21.514, 39.150, 59.446, 60.117, 46.196, 27.680, 17.688, 9.365, 6.004, 5.109),
        peak_bar=62.664,
        peak_deg=15.11,
        imep_bar=13.614,
        peak_unburned_k=902.4,
        burned_at_peak_k=2748.5,
        end_k=1673.1,
        mass_mg=558.46,
        gas_constant_j_kgk=273.018,
        fuel_mg=37.8797,
        heating_value_mj_kg=44.6501,
    ),
    "naturally aspirated, gasoline": Reference(
        Case("gasoline", 1.15, 11.0, 0.95e5, 340.0, 0.04, -19.0, 52.0, 0.0825, 0.0928, 0.148),
        (1.810, 6.829, 14.607, 21.708, 39.366, 59.564, 60.168, 46.261, 27.753, 17.745, 9.397, 6.025, 5.127),
        peak_bar=62.735,
        peak_deg=15.08,
        imep_bar=13.635,
        peak_unburned_k=911.9,
        burned_at_peak_k=2777.0,
        end_k=1697.2,
        mass_mg=558.923,
        gas_constant_j_kgk=272.792,
        fuel_mg=39.1824,
        heating_value_mj_kg=43.4431,
    ),
    "boosted, late": Reference(
        Case("iso-octane", 1.25, 10.0, 1.9e5, 345.0, 0.03, -7.0, 60.0, 0.086, 0.086, 0.143),
        (3.598, 12.972, 26.355, 34.768, 39.898, 48.581, 63.033, 69.359, 55.137, 37.027, 19.850, 12.753, 10.843),
        peak_bar=69.408,
        peak_deg=29.21,
        imep_bar=23.308,
        peak_unburned_k=798.1,
        burned_at_peak_k=2570.4,
        end_k=1759.4,
        mass_mg=1124.899,
        gas_constant_j_kgk=271.746,
        fuel_mg=83.2877,
        heating_value_mj_kg=44.6501,
    ),
    "boosted, late, gasoline": Reference(
        Case("gasoline", 1.25, 10.0, 1.9e5, 345.0, 0.03, -7.0, 60.0, 0.086, 0.086, 0.143),
        (3.607, 13.061, 26.596, 35.117, 40.304, 48.966, 63.336, 69.568, 55.274, 37.126, 19.906, 12.789, 10.874),
        peak_bar=69.623,
        peak_deg=29.16,
        imep_bar=23.358,
        peak_unburned_k=806.2,
        burned_at_peak_k=2605.3,
        end_k=1784.9,
        mass_mg=1125.752,
        gas_constant_j_kgk=271.54,
        fuel_mg=86.1281,
        heating_value_mj_kg=43.4431,
    ),
    "ethanol": Reference(
        Case("ethanol", 1.2, 12.0, 2.2e5, 330.0, 0.03, -12.0, 46.0, 0.087, 0.084, 0.138),
        (4.240, 16.451, 36.382, 50.526, 74.846, 124.996, 143.306, 113.667, 66.950, 42.265, 22.130, 14.093, 11.958),
        peak_bar=144.587,
        peak_deg=17.94,
        imep_bar=32.168,
        peak_unburned_k=875.8,
        burned_at_peak_k=2657.2,
        end_k=1612.8,
        mass_mg=1318.119,
        gas_constant_j_kgk=275.518,
        fuel_mg=150.3964,
        heating_value_mj_kg=27.731,
    ),
    "methanol": Reference(
        Case("methanol", 1.1, 11.0, 2.5e5, 315.0, 0.02, -10.0, 44.0, 0.087, 0.084, 0.138),
        (4.822, 18.437, 39.540, 53.697, 73.416, 126.777, 156.774, 129.795, 78.816, 50.618, 26.945, 17.301, 14.717),
        peak_bar=156.878,
        peak_deg=19.45,
        imep_bar=37.96,
        peak_unburned_k=856.6,
        burned_at_peak_k=2691.1,
        end_k=1712.4,
        mass_mg=1537.326,
        gas_constant_j_kgk=283.572,
        fuel_mg=218.8887,
        heating_value_mj_kg=21.1041,
    ),
    "part load, lean": Reference(
        Case("iso-octane", 0.9, 10.5, 0.5e5, 355.0, 0.12, -22.0, 60.0, 0.079, 0.0814, 0.136),
        (0.959, 3.576, 7.492, 11.210, 18.237, 24.946, 25.128, 20.141, 12.536, 8.117, 4.335, 2.778, 2.359),
        peak_bar=25.966,
        peak_deg=15.11,
        imep_bar=5.755,
        peak_unburned_k=917.4,
        burned_at_peak_k=2534.5,
        end_k=1602.0,
        mass_mg=224.399,
        gas_constant_j_kgk=276.792,
        fuel_mg=11.08957,
        heating_value_mj_kg=44.6501,
    ),
    "part load, lean, gasoline": Reference(
        Case("gasoline", 0.9, 10.5, 0.5e5, 355.0, 0.12, -22.0, 60.0, 0.079, 0.0814, 0.136),
        (0.960, 3.594, 7.542, 11.285, 18.319, 25.000, 25.155, 20.164, 12.563, 8.141, 4.352, 2.789, 2.369),
        peak_bar=26.003,
        peak_deg=15.07,
        imep_bar=5.765,
        peak_unburned_k=924.4,
        burned_at_peak_k=2554.5,
        end_k=1621.7,
        mass_mg=224.720,
        gas_constant_j_kgk=276.397,
        fuel_mg=11.4838,
        heating_value_mj_kg=43.4431,
    ),
}
