"""The charge of one cylinder: fresh gas that does not react, and the burned gas that it turns into."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.gas.equilibrium import Y_UNIT, Burned, burned_gas
from enginelimits.physics.gas.equilibrium_table import FRESH
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

REFERENCE_TEMPERATURE = 298.15  # K: nil of sensible enthalpy


class Charge(NamedTuple):
    """Properties a lane; polynomials have their powers on the first axis."""

    gas_constant: Array  # J/(kg*K), unburned
    heat_capacity: Array  # J/(kg*K) in four powers of T/1000 K, unburned, at constant pressure
    enthalpy: Array  # J/kg at 298.15 K, unburned: what burns, and the heat still in the residual
    burned: Burned
    lost: Array  # J/kg that the fuel keeps because part of the charge does not burn


@valid(
    fuel_mass_fraction=(0.0, 0.2),
    residual_fraction=(0.0, 0.5),
    lambda_ratio=(0.6, 1.5),
    heating_value_j_kg=(18e6, 46e6),
    combustion_efficiency=(0.8, 1.0),
    ethanol_share=(0.0, 1.0),
    methanol_share=(0.0, 1.0),
    water_fraction=(0.0, 0.06),
)
def fresh_charge(
    *,
    fuel_mass_fraction: Array,
    residual_fraction: Array,
    lambda_ratio: Array,
    heating_value_j_kg: Array,
    combustion_efficiency: Array = 1.0,
    ethanol_share: Array = 0.0,
    methanol_share: Array = 0.0,
    water_fraction: Array = 0.0,
) -> Charge:
    """Air, fuel vapour, water vapour and residual gas, and the equilibrium products of the same atoms.

    Parameters
    ----------
    fuel_mass_fraction : array
        Fuel over the whole mass in the cylinder. [1] Valid 0 to 0.2.
    residual_fraction : array
        Burned gas left over, of the whole mass. [1] Valid 0 to 0.5.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    heating_value_j_kg : array
        Lower heating value of the fuel as vapour. [J/kg] Valid 18e6 to 46e6.
    combustion_efficiency : array
        Share of the charge that finds its way through the flame. [1] Valid 0.8 to 1.
    ethanol_share : array
        Of the fuel by mass. [1] Valid 0 to 1.
    methanol_share : array
        Of the fuel by mass. [1] Valid 0 to 1.
    water_fraction : array
        Water vapour of the air, of the whole mass. [1] Valid 0 to 0.06.

    Returns
    -------
    charge : Charge
        Lanes on the last axes. [1]

    Equation
    --------
    Solved: heat capacities and gas constants by mass; enthalpy fuel_mass_fraction * heating_value_j_kg and that of the
    residual; what stays unburned is (1 - combustion_efficiency) of the heat that the air could free

    Source
    ------
    own-computation, heat capacities from NASA-9 data

    Examples
    --------
    >>> one = fresh_charge(fuel_mass_fraction=0.064, residual_fraction=0.0, lambda_ratio=1.0, heating_value_j_kg=43.6e6)
    >>> round(float(one.gas_constant), 1), round(float(one.enthalpy) / 1e3)
    (273.7, 2790)
    """
    # as many axes each, but no longer than they are: what is of the fuel alone is the same at all speeds
    fuel, residual, water, ethanol, methanol, ratio = _with_as_many_axes(
        fuel_mass_fraction, residual_fraction, water_fraction, ethanol_share, methanol_share, lambda_ratio
    )
    burned = burned_gas(ratio, ethanol, methanol)
    shares = (
        1.0 - fuel - residual - water,
        fuel * (1.0 - ethanol - methanol),
        fuel * ethanol,
        fuel * methanol,
        water,
    )
    mixed = sum(
        (row.reshape(-1, *(1,) * np.ndim(share)) * share for row, share in zip(FRESH, shares, strict=True)),
        start=residual * burned.residual[:5],
    )
    chemical = fuel * heating_value_j_kg
    return Charge(
        gas_constant=mixed[4],
        heat_capacity=mixed[:4],
        enthalpy=chemical + residual * burned.residual[5],
        burned=burned,
        lost=(1.0 - combustion_efficiency) * chemical * np.minimum(1.0, ratio),
    )


def _with_as_many_axes(*values: Array) -> list[Array]:
    arrays = [np.asarray(v, dtype=float) for v in values]
    most = max(a.ndim for a in arrays)
    return [a.reshape((*(1,) * (most - a.ndim), *a.shape)) for a in arrays]


def ideal_charge(gamma: Array, gas_constant_j_kgk: Array, heat_j_kg: Array) -> Charge:
    """A charge with one constant ratio of specific heats, for sums that can be done by hand.

    Parameters
    ----------
    gamma : array
        Ratio of specific heats of fresh and burned gas. [1]
    gas_constant_j_kgk : array
        Of both. [J/(kg*K)]
    heat_j_kg : array
        Freed by burning all of it. [J/kg]

    Returns
    -------
    charge : Charge
        Lanes on the last axes. [1]

    Equation
    --------
    Solved: internal energy p v / (gamma - 1), and heat_j_kg more before it burns

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(ideal_charge(1.4, 287.0, 2e6).heat_capacity[0]), 1)
    1004.5
    """
    gamma, constant, heat = np.broadcast_arrays(*(np.asarray(v, float) for v in (gamma, gas_constant_j_kgk, heat_j_kg)))
    energy, of_constant = np.zeros((2, 3, 6, *gamma.shape))
    energy[0, 1] = Y_UNIT / (gamma - 1.0)
    of_constant[0, 0] = constant
    capacity = np.zeros((4, *gamma.shape))
    capacity[0] = gamma / (gamma - 1.0) * constant
    residual = np.zeros((6, *gamma.shape))
    return Charge(
        gas_constant=constant,
        heat_capacity=capacity,
        enthalpy=heat + capacity[0] * REFERENCE_TEMPERATURE,
        burned=Burned(energy, of_constant, residual),
        lost=np.zeros(gamma.shape),
    )


def unburned_internal_energy(charge: Charge, temperature_k: Array) -> Array:
    """Internal energy of the fresh gas, less what will stay unburned, over complete products at 298.15 K.

    Parameters
    ----------
    charge : Charge
        Of the same lanes. [1]
    temperature_k : array
        Temperature. [K]

    Returns
    -------
    internal_energy_j_kg : array
        [J/kg]

    Equation
    --------
    Solved: enthalpy at 298.15 K, plus the integral of the heat capacity, less gas constant times temperature_k

    Source
    ------
    own-computation

    Examples
    --------
    >>> charge = ideal_charge(1.4, 287.0, 0.0)
    >>> round(float(unburned_internal_energy(charge, 400.0)))
    287000
    """
    c = charge.heat_capacity

    def sensible(temperature: Array) -> Array:
        x = temperature * 1e-3
        return 1e3 * x * (c[0] + x * (c[1] / 2.0 + x * (c[2] / 3.0 + x * c[3] / 4.0)))

    rise = sensible(temperature_k) - sensible(REFERENCE_TEMPERATURE)
    return charge.enthalpy - charge.lost + rise - charge.gas_constant * temperature_k
