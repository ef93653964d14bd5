"""Burned gas in chemical equilibrium, from polynomials over y = R T and ln p, a set a fuel and lambda.

Between lambdas the polynomials are mixed linearly; between fuels by what each fuel's share of the charge weighs, which
leaves the atoms exact.  A closed cycle asks for the energy at y = p v, which needs no temperature.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.gas.equilibrium_table import ENERGY, GAS_CONSTANT, LAMBDAS, RESIDUAL
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

REFERENCE_PRESSURE = 3e6  # Pa: nil of ln p in the table
Y_UNIT = 1e6  # J/kg
# Mass of air that burns a unit mass of each fuel of the table: CH1.87, ethanol, methanol
_STOICHIOMETRIC = np.array([14.600, 9.003, 6.472])
# Newton steps for y at a given temperature; R varies by a few per cent, so that three leave nothing
_NEWTON_STEPS = 4


class Burned(NamedTuple):
    """Polynomials of one composition a lane: (powers of ln p, powers of y, *lanes), and of the frozen gas."""

    energy: Array
    constant: Array
    residual: Array  # (6, *lanes): heat capacity in four powers of T/1000 K, gas constant, enthalpy at 298.15 K


def burned_gas(lambda_ratio: Array, ethanol_share: Array = 0.0, methanol_share: Array = 0.0) -> Burned:
    """The polynomials at any lambda and fuel.

    Parameters
    ----------
    lambda_ratio : array
        Air over stoichiometric air, 0.6 to 1.5. [1]
    ethanol_share : array
        Of the fuel by mass. [1]
    methanol_share : array
        Of the fuel by mass. [1]

    Returns
    -------
    polynomials : Burned
        Lanes on the last axes. [1]

    Equation
    --------
    Solved: linear in lambda between the rows of the table; each fuel weighs its mass with its air

    Source
    ------
    own-computation, equilibrium of twelve species with NASA-9 data

    Examples
    --------
    >>> burned_gas(np.array([0.8, 1.0])).energy.shape
    (3, 6, 2)
    """
    ratio, ethanol, methanol = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (lambda_ratio, ethanol_share, methanol_share))
    )
    ratio = np.where(np.isfinite(ratio), ratio, 1.0)
    low = np.clip(np.searchsorted(LAMBDAS, ratio, side="right") - 1, 0, LAMBDAS.size - 2)
    up = (ratio - LAMBDAS[low]) / (LAMBDAS[low + 1] - LAMBDAS[low])
    shares = np.stack([1.0 - ethanol - methanol, ethanol, methanol])
    weight = shares * (1.0 + ratio * _STOICHIOMETRIC.reshape(-1, *(1,) * ratio.ndim))
    weight = weight / weight.sum(axis=0)

    def mixed(table: Array) -> Array:
        result: Array = 0.0
        for fuel in range(3):
            if not np.any(shares[fuel]):
                continue
            columns = np.moveaxis(table[fuel], 0, -1)  # lambda last
            found = columns[..., low] * (1.0 - up) + columns[..., low + 1] * up
            result = result + weight[fuel] * found
        return result

    return Burned(mixed(ENERGY), mixed(GAS_CONSTANT), mixed(RESIDUAL))


def value_at(polynomial: Array, y_j_kg: Array, pressure_pa: Array) -> Array:
    """One of the polynomials at y = R T and a pressure.

    Parameters
    ----------
    polynomial : array
        Of Burned, (powers of ln p, powers of y, ...). [1]
    y_j_kg : array
        Gas constant times temperature, or pressure times specific volume. [J/kg]
    pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    value : array
        Energy [J/kg] or gas constant [J/(kg*K)], whichever the polynomial is of.

    Equation
    --------
    Solved: the sum of polynomial[j][i] times ln(pressure_pa / 30 bar)^j and (y_j_kg / 1e6)^i

    Source
    ------
    own-computation

    Examples
    --------
    >>> gas = burned_gas(1.0)
    >>> round(float(value_at(gas.constant, 286.8 * 2000.0, 30e5)))
    287
    """
    log_p, y = np.log(np.asarray(pressure_pa) / REFERENCE_PRESSURE), np.asarray(y_j_kg) / Y_UNIT
    value: Array = 0.0
    # power by power, so that lanes broadcast with states however many axes either has
    for constant, linear, quadratic in zip(*(row[::-1] for row in polynomial), strict=True):
        value = value * y + (constant + log_p * (linear + log_p * quadratic))
    return value


def value_and_slope_at(polynomial: Array, y_j_kg: Array, pressure_pa: Array) -> tuple[Array, Array]:
    """One of the polynomials at y = R T and a pressure, and its slope by y.

    Parameters
    ----------
    polynomial : array
        Of Burned, (powers of ln p, powers of y, ...). [1]
    y_j_kg : array
        Gas constant times temperature, or pressure times specific volume. [J/kg]
    pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    value : array
        Energy [J/kg] or gas constant [J/(kg*K)], whichever the polynomial is of.
    slope : array
        Of it by y; of the energy it is heat capacity over gas constant, near 1 / (gamma - 1). [1]

    Equation
    --------
    Solved: value_at and its derivative, term by term

    Source
    ------
    own-computation

    Examples
    --------
    >>> gas = burned_gas(1.0)
    >>> energy, slope = value_and_slope_at(gas.energy, 0.5e6, 30e5)
    >>> further = float(value_at(gas.energy, 500010.0, 30e5))
    >>> abs(float(energy + 10.0 * slope) - further) < 1e-3
    True
    """
    log_p, y = np.log(np.asarray(pressure_pa) / REFERENCE_PRESSURE), np.asarray(y_j_kg) / Y_UNIT
    value: Array = 0.0
    slope: Array = 0.0
    for constant, linear, quadratic in zip(*(row[::-1] for row in polynomial), strict=True):
        slope = slope * y + value
        value = value * y + (constant + log_p * (linear + log_p * quadratic))
    return value, slope / Y_UNIT


def value_at_enthalpy(gas: Burned, enthalpy_j_kg: Array, pressure_pa: Array) -> Array:
    """y = R T of burned gas with a given enthalpy.

    Parameters
    ----------
    gas : Burned
        Of the same lanes. [1]
    enthalpy_j_kg : array
        Over complete products at 298.15 K. [J/kg]
    pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    y_j_kg : array
        Gas constant times temperature. [J/kg]

    Equation
    --------
    Solved: internal energy plus y is enthalpy_j_kg, by Newton's method

    Source
    ------
    own-computation

    Examples
    --------
    >>> gas = burned_gas(1.0)
    >>> y = value_at_enthalpy(gas, 1.0e6, 1.5e5)
    >>> round(float(value_at(gas.energy, y, 1.5e5) + y))
    1000000
    """
    y = np.full(np.broadcast_shapes(np.shape(enthalpy_j_kg), np.shape(pressure_pa), gas.energy.shape[2:]), 0.35e6)
    for _ in range(_NEWTON_STEPS):
        energy, slope = value_and_slope_at(gas.energy, y, pressure_pa)
        y = np.clip(y - (energy + y - enthalpy_j_kg) / (slope + 1.0), 0.15e6, 1.1e6)
    return y


def _known(lambda_ratio: Array, value: Array) -> Array:
    """Not a number where lambda is unknown, for which the polynomials stand in with another gas."""
    return np.where(np.isfinite(lambda_ratio), value, np.nan)[()]


def _y(gas: Burned, temperature_k: Array, pressure_pa: Array) -> Array:
    y = 290.0 * np.asarray(temperature_k, dtype=float)
    for _ in range(_NEWTON_STEPS):
        y = value_at(gas.constant, y, pressure_pa) * temperature_k
    return y


@valid(
    temperature_k=(800.0, 3300.0),
    pressure_pa=(1e5, 2.4e7),
    lambda_ratio=(0.6, 1.5),
    ethanol_share=(0.0, 1.0),
    methanol_share=(0.0, 1.0),
)
def burned_internal_energy(
    temperature_k: Array,
    pressure_pa: Array,
    lambda_ratio: Array,
    ethanol_share: Array = 0.0,
    methanol_share: Array = 0.0,
) -> Array:
    """Internal energy of burned gas in equilibrium, over complete products at 298.15 K.

    Within a hundredth of the charge's heat where an engine's burned gas is; hot gas at little pressure (1 bar above
    2500 K) is up to 6 % off. A fresh charge at 298.15 K has, on the same scale, the enthalpy of its fuel's mass
    fraction times the lower heating value of the vapour.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 800 to 3300.
    pressure_pa : array
        Absolute. [Pa] Valid 1e5 to 2.4e7.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    ethanol_share : array
        Of the fuel by mass. [1] Valid 0 to 1.
    methanol_share : array
        Of the fuel by mass. [1] Valid 0 to 1.

    Returns
    -------
    internal_energy_j_kg : array
        Of the burned gas. [J/kg]

    Equation
    --------
    Solved: polynomials in R T and ln p through computed equilibria, within 10 kJ/kg near an engine's states

    Source
    ------
    own-computation, equilibrium of twelve species with NASA-9 data

    Examples
    --------
    >>> bool(burned_internal_energy(2600.0, 5e6, 1.0) > burned_internal_energy(2500.0, 5e6, 1.0))
    True
    """
    temperature_k, pressure_pa, lambda_ratio = np.broadcast_arrays(temperature_k, pressure_pa, lambda_ratio)
    gas = burned_gas(lambda_ratio, ethanol_share, methanol_share)
    return _known(lambda_ratio, value_at(gas.energy, _y(gas, temperature_k, pressure_pa), pressure_pa))


@valid(
    temperature_k=(800.0, 3300.0),
    pressure_pa=(1e5, 2.4e7),
    lambda_ratio=(0.6, 1.5),
    ethanol_share=(0.0, 1.0),
    methanol_share=(0.0, 1.0),
)
def burned_gas_constant(
    temperature_k: Array,
    pressure_pa: Array,
    lambda_ratio: Array,
    ethanol_share: Array = 0.0,
    methanol_share: Array = 0.0,
) -> Array:
    """Gas constant of burned gas in equilibrium.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 800 to 3300.
    pressure_pa : array
        Absolute. [Pa] Valid 1e5 to 2.4e7.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    ethanol_share : array
        Of the fuel by mass. [1] Valid 0 to 1.
    methanol_share : array
        Of the fuel by mass. [1] Valid 0 to 1.

    Returns
    -------
    gas_constant_j_kgk : array
        Of the burned gas. [J/(kg*K)]

    Equation
    --------
    Solved: polynomials in R T and ln p through computed equilibria

    Source
    ------
    own-computation, equilibrium of twelve species with NASA-9 data

    Examples
    --------
    >>> round(float(burned_gas_constant(2000.0, 3e6, 1.0)))
    287
    """
    temperature_k, pressure_pa, lambda_ratio = np.broadcast_arrays(temperature_k, pressure_pa, lambda_ratio)
    gas = burned_gas(lambda_ratio, ethanol_share, methanol_share)
    return _known(lambda_ratio, value_at(gas.constant, _y(gas, temperature_k, pressure_pa), pressure_pa))
