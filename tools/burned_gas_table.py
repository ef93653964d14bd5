"""Make the table of burned and fresh gas that the package ships, with Cantera.

    python tools/burned_gas_table.py            compare with the shipped table, say the greatest difference
    python tools/burned_gas_table.py --write    write limits/enginelimits/physics/gas/equilibrium_table.py

Burned gas: twelve species in chemical equilibrium, NASA-9 data, for three fuels (hydrocarbon CH1.87, ethanol,
methanol) and a row of lambdas.  Internal energy and gas constant are fitted by least squares as polynomials of the
fifth degree in y = R T and of the second in ln p, over 800 to 3300 K and 1 to 240 bar; states near those of an
engine's burn and expansion weigh seven times as much as the rest.  Fresh gas: heat capacity of each part as a cubic in
temperature, 280 to 1200 K.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import cantera as ct
import numpy as np

SHIPPED = Path(__file__).parents[1] / "limits/enginelimits/physics/gas/equilibrium_table.py"
FUELS = {"hydrocarbon": (1.0, 1.87, 0.0), "ethanol": (2.0, 6.0, 1.0), "methanol": (1.0, 4.0, 1.0)}
LAMBDAS = (0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 0.975, 1.0, 1.025, 1.05, 1.1, 1.2, 1.35, 1.5)
SPECIES = ("CO2", "H2O", "CO", "H2", "O2", "N2", "Ar", "OH", "H", "O", "NO", "N")
REFERENCE_TEMPERATURE, REFERENCE_PRESSURE, ENERGY_UNIT = 298.15, 3e6, 1e6
FROZEN_AT = 1700.0  # K: water gas no longer follows below
TEMPERATURES = np.linspace(800.0, 3300.0, 26)
PRESSURES = np.geomspace(1e5, 2.4e7, 9)
FRESH = np.linspace(280.0, 1200.0, 47)
# Air as everywhere in the package: 20.95 % oxygen, molar mass 28.9644
OXYGEN, AIR_MOLAR_MASS = 0.2095, 28.9644e-3
INERT = {"N2": 0.7809 / 0.7905, "Ar": 0.0096 / 0.7905}
ATOMS = {"C": 12.011e-3, "H": 1.008e-3, "O": 15.999e-3}
POWERS_OF_Y, POWERS_OF_LOG_P = 6, 3

_all = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml")}
_gas = ct.Solution(thermo="ideal-gas", species=[_all[name] for name in SPECIES])


def _molar_enthalpy(name: str, temperature: float = REFERENCE_TEMPERATURE) -> float:
    return float(_all[name].thermo.h(temperature)) * 1e-3


def products(fuel: str, ratio: float) -> tuple[dict[str, float], float, float]:
    """A composition with the right atoms, the mass and the enthalpy of complete products, for a mole of fuel."""
    c, h, o = FUELS[fuel]
    wanted = c + 0.25 * h - 0.5 * o
    inert = wanted * ratio * (1.0 - OXYGEN) / OXYGEN
    mass = c * ATOMS["C"] + h * ATOMS["H"] + o * ATOMS["O"] + wanted * ratio * AIR_MOLAR_MASS / OXYGEN
    moles = {name: inert * share for name, share in INERT.items()} | {"CO2": c, "H2O": 0.5 * h}
    short = 2.0 * wanted * (1.0 - ratio)
    if short > 0.0:
        moles["CO"] = min(short, c)
        moles["CO2"] -= moles["CO"]
        moles["H2"] = short - moles["CO"]
        moles["H2O"] -= moles["H2"]
    else:
        moles["O2"] = -0.5 * short
    complete = c * _molar_enthalpy("CO2") + 0.5 * h * _molar_enthalpy("H2O")
    return moles, mass, complete


def burned(fuel: str, ratio: float) -> tuple[Any, Any]:
    """Polynomials of internal energy and gas constant of burned gas, (powers of ln p, powers of y)."""
    moles, mass, complete = products(fuel, ratio)
    energy, constant = np.empty((2, TEMPERATURES.size, PRESSURES.size))
    for i, temperature in enumerate(TEMPERATURES):
        for j, pressure in enumerate(PRESSURES):
            _gas.TPX = temperature, pressure, moles
            _gas.equilibrate("TP")
            constant[i, j] = ct.gas_constant / _gas.mean_molecular_weight
            energy[i, j] = _gas.int_energy_mass - complete / mass
    y = constant * TEMPERATURES[:, None] / ENERGY_UNIT
    log_p = np.log(PRESSURES / REFERENCE_PRESSURE)[None] + 0.0 * y
    usual = 1500.0 * (PRESSURES / 5e5) ** 0.2  # about where an engine's burned gas is at that pressure
    weight = np.where(np.abs(TEMPERATURES[:, None] - usual[None]) < 700.0, 1.0, 0.15).ravel()
    terms = np.stack(
        [y.ravel() ** i * log_p.ravel() ** j for j in range(POWERS_OF_LOG_P) for i in range(POWERS_OF_Y)], axis=1
    )
    fits = [
        np.linalg.lstsq(terms * weight[:, None], values.ravel() * weight, rcond=None)[0].reshape(
            POWERS_OF_LOG_P, POWERS_OF_Y
        )
        for values in (energy, constant)
    ]
    return fits[0], fits[1]


def residual(fuel: str, ratio: float) -> Any:
    """Cubic of heat capacity in T/1000 K, gas constant, enthalpy at 298.15 K over complete products."""
    moles, mass, complete = products(fuel, ratio)
    _gas.TPX = FROZEN_AT, 1e6, moles
    _gas.equilibrate("TP")
    frozen = _gas.X
    _gas.TPX = REFERENCE_TEMPERATURE, 1e5, frozen
    over = _gas.enthalpy_mass - complete / mass
    constant = ct.gas_constant / _gas.mean_molecular_weight
    capacity = []
    for temperature in FRESH:
        _gas.TPX = temperature, 1e5, frozen
        capacity.append(_gas.cp_mass)
    return np.append(np.polynomial.polynomial.polyfit(FRESH * 1e-3, capacity, 3), [constant, over])


def fresh(moles: dict[str, float], molar_mass: float | None = None) -> Any:
    """Cubic of heat capacity in T/1000 K, and gas constant, of a mixture of species that do not react."""
    gas = ct.Solution(thermo="ideal-gas", species=[_all[name] for name in moles])
    capacity = []
    for temperature in FRESH:
        gas.TPX = temperature, 1e5, moles
        capacity.append(gas.cp_mass)
    constant = ct.gas_constant / (gas.mean_molecular_weight if molar_mass is None else molar_mass * 1e3)
    return np.append(np.polynomial.polynomial.polyfit(FRESH * 1e-3, capacity, 3), constant)


def table() -> dict[str, Any]:
    """All arrays of the shipped module by name."""
    fits = {fuel: [burned(fuel, ratio) for ratio in LAMBDAS] for fuel in FUELS}
    return {
        "ENERGY": np.array([[fit[0] for fit in fits[fuel]] for fuel in FUELS]),
        "GAS_CONSTANT": np.array([[fit[1] for fit in fits[fuel]] for fuel in FUELS]),
        "RESIDUAL": np.array([[residual(fuel, ratio) for ratio in LAMBDAS] for fuel in FUELS]),
        "FRESH": np.array(
            [
                fresh({"O2": OXYGEN, **{n: s * (1.0 - OXYGEN) for n, s in INERT.items()}}, AIR_MOLAR_MASS),
                # vapour of hydrogen to carbon 1.87: iso-octane and toluene
                fresh({"C8H18,isooctane": 1.674, "C7H8": 1.0}),
                fresh({"C2H5OH": 1.0}),
                fresh({"CH3OH": 1.0}),
                fresh({"H2O": 1.0}),
            ]
        ),
    }


def module(arrays: dict[str, Any]) -> str:
    """The text of the shipped module."""
    text = [
        '# ruff: noqa: SIM905\n"""Fresh and burned gas in numbers, made by tools/burned_gas_table.py.\n',
        "Over fuel (hydrocarbon CH1.87, ethanol, methanol), lambda, and for the polynomials the powers of",
        "ln(p / 30 bar) and of y = R T in MJ/kg: ENERGY in J/kg over complete products at 298.15 K, GAS_CONSTANT in",
        "J/(kg*K). RESIDUAL: frozen; heat capacity in powers of T/1000 K, gas constant, enthalpy at 298.15 K.",
        "FRESH: dry air, vapour of hydrocarbon, ethanol, methanol and water; heat capacity, gas constant.",
        '"""\n\nimport numpy as np\n',
        f"LAMBDAS = np.array({LAMBDAS!r})",
    ]
    # one number string an array keeps the module short; numpy reads it at once
    for name, array in arrays.items():
        lines, line = [], ""
        for value in array.ravel():
            word = f"{value:.6g}"
            if len(line) + len(word) + 1 > 116:
                lines.append(line)
                line = word
            else:
                line = f"{line} {word}".strip()
        lines.append(line)
        body = "\n".join(lines)
        text.append(f'{name} = np.array("""\n{body}\n""".split(), dtype=float).reshape({array.shape})')
    return "\n".join(text) + "\n"


def main() -> int:
    arrays = table()
    if "--write" in sys.argv:
        SHIPPED.write_text(module(arrays), encoding="utf-8")
        return 0
    found: dict[str, Any] = {}
    exec(compile(SHIPPED.read_text(encoding="utf-8"), str(SHIPPED), "exec"), found)
    worst = 0.0
    for name, array in arrays.items():
        scale = np.abs(array).max(axis=tuple(range(array.ndim - 1)))
        worst = max(worst, float((np.abs(array - found[name]) / scale).max()))
    print(f"greatest difference from the shipped table, of each column's greatest value: {worst:.1e}")
    return 0 if worst < 1e-4 else 1


if __name__ == "__main__":
    sys.exit(main())
