"""Heat capacity, ratio of specific heats and gas constant of fresh charge, burned gas and air.

Every fitted constant below names the data it was fitted to. For charge and burned gas they are one
equilibrium computation with NASA nine-coefficient thermodynamics (iso-octane or ethanol with air, at
stoichiometry; burned gas at 30 bar).
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.gas.composition import OXYGEN_SHARE_OF_AIR, Elements
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import AIR_MOLAR_MASS, GAS_CONSTANT

# R/cp as a cubic in T/1000 K, least squares on gamma at 300, 400 ... 1000 K. Largest miss in gamma: 0.0002
# (iso-octane-air: 1.3536 1.3368 1.3205 1.3052 1.2915 1.2796 1.2695 1.2614), 0.0006 (ethanol-air: 1.3576
# 1.3394 1.3211 1.3045 1.2902 1.2782 1.2682 1.2597).
UNBURNED_GASOLINE = (0.28856, -0.08441, -0.03251, 0.03563)
UNBURNED_ETHANOL = (0.29604, -0.10692, -0.01359, 0.03077)

# R/cp of dry air as a quartic in T/1000 K, least squares at 300, 400 ... 1000 K on 78.084 % N2, 20.946 % O2,
# 0.934 % Ar, 0.04 % CO2 with the heat capacities of the JANAF tables. Largest miss in gamma 0.0001 (1.3999
# 1.3952 1.3866 1.3757 1.3643 1.3537 1.3442 1.3361).
DRY_AIR = (0.26648, 0.16172, -0.41704, 0.33053, -0.09011)

# gamma of burned gas as a quartic in T/1000 K, least squares at 1000, 1200, 1500, 1800, 2000, 2200, 2500,
# 2800, 3000 K. Largest miss 0.0001 (frozen: 1.2940 1.2811 1.2669 1.2572 1.2526 1.2494 1.2471 1.2482 1.2509)
# and 0.0009 (equilibrium isentropic exponent: 1.2939 1.2810 1.2660 1.2511 1.2377 1.2205 1.1925 1.1712
# 1.1632).
BURNED_FROZEN = (1.42432, -0.20879, 0.10126, -0.02574, 0.00292)
BURNED_EQUILIBRIUM = (1.59449, -0.67153, 0.54964, -0.20570, 0.02705)


def _polynomial(coefficients: tuple[Array, ...], x: Array) -> Array:
    value = coefficients[-1]
    for coefficient in reversed(coefficients[:-1]):
        value = value * x + coefficient
    return value


def _unburned(ethanol_mass_fraction: Array) -> tuple[Array, ...]:
    """Coefficients of R/cp of the fresh charge in powers of T/1000 K, linear in the ethanol share."""
    return tuple(
        g + ethanol_mass_fraction * (e - g) for g, e in zip(UNBURNED_GASOLINE, UNBURNED_ETHANOL, strict=True)
    )


@valid(temperature_k=(280.0, 1100.0), ethanol_mass_fraction=(0.0, 1.0))
def gamma_unburned(temperature_k: Array, ethanol_mass_fraction: Array = 0.0) -> Array:
    """Ratio of specific heats of the fresh stoichiometric charge, fuel as vapour, frozen.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 280 to 1100.
    ethanol_mass_fraction : array
        Mass of ethanol over mass of fuel. [1] Valid 0 to 1.

    Returns
    -------
    gamma : array
        Broadcast of the arguments. [1]

    Equation
    --------
    x = temperature_k / 1000
    gasoline = 0.28856 - 0.08441 * x - 0.03251 * x**2 + 0.03563 * x**3
    ethanol = 0.29604 - 0.10692 * x - 0.01359 * x**2 + 0.03077 * x**3
    1 / (1 - gasoline - ethanol_mass_fraction * (ethanol - gasoline))

    Source
    ------
    own-computation, cubic through eight values of frozen iso-octane-air and ethanol-air

    Examples
    --------
    >>> round(float(gamma_unburned(700.0)), 3)
    1.292
    """
    return 1.0 / (1.0 - _polynomial(_unburned(ethanol_mass_fraction), temperature_k * 1e-3))


@valid(temperature_k=(280.0, 1100.0), ethanol_mass_fraction=(0.0, 1.0), gas_constant_j_kgk=(255.0, 310.0))
def heat_capacity_unburned(
    temperature_k: Array, gas_constant_j_kgk: Array, ethanol_mass_fraction: Array = 0.0
) -> Array:
    """Heat capacity at constant pressure of the fresh stoichiometric charge.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 280 to 1100.
    gas_constant_j_kgk : array
        Gas constant of the charge. [J/(kg*K)] Valid 255 to 310.
    ethanol_mass_fraction : array
        Mass of ethanol over mass of fuel. [1] Valid 0 to 1.

    Returns
    -------
    heat_capacity_j_kgk : array
        Broadcast of the arguments. [J/(kg*K)]

    Equation
    --------
    x = temperature_k / 1000
    gasoline = 0.28856 - 0.08441 * x - 0.03251 * x**2 + 0.03563 * x**3
    ethanol = 0.29604 - 0.10692 * x - 0.01359 * x**2 + 0.03077 * x**3
    gas_constant_j_kgk / (gasoline + ethanol_mass_fraction * (ethanol - gasoline))

    Source
    ------
    own-computation, see gamma_unburned

    Examples
    --------
    >>> round(float(heat_capacity_unburned(500.0, 274.75)), -1)
    1130.0
    """
    share = _polynomial(_unburned(ethanol_mass_fraction), temperature_k * 1e-3)
    return gas_constant_j_kgk / share


@valid(temperature_k=(280.0, 1000.0))
def gamma_air(temperature_k: Array) -> Array:
    """Ratio of specific heats of dry air.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 280 to 1000.

    Returns
    -------
    gamma : array
        [1]

    Equation
    --------
    x = temperature_k / 1000
    1 / (1 - (0.26648 + 0.16172 * x - 0.41704 * x**2 + 0.33053 * x**3 - 0.09011 * x**4))

    Source
    ------
    chase-1998, heat capacities of N2, O2, Ar and CO2 from memory; quartic through eight values

    Examples
    --------
    >>> round(float(gamma_air(300.0)), 3)
    1.4
    """
    return 1.0 / (1.0 - _polynomial(DRY_AIR, temperature_k * 1e-3))


@valid(temperature_k=(1000.0, 3000.0))
def gamma_burned_frozen(temperature_k: Array) -> Array:
    """Ratio of specific heats of stoichiometric burned gas whose composition does not change.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 1000 to 3000.

    Returns
    -------
    gamma : array
        [1]

    Equation
    --------
    x = temperature_k / 1000
    1.42432 - 0.20879 * x + 0.10126 * x**2 - 0.02574 * x**3 + 0.00292 * x**4

    Source
    ------
    own-computation, quartic through nine values of equilibrium products of iso-octane at 30 bar

    Examples
    --------
    >>> round(float(gamma_burned_frozen(1500.0)), 3)
    1.267
    """
    return _polynomial(BURNED_FROZEN, temperature_k * 1e-3)


@valid(temperature_k=(1000.0, 3000.0))
def gamma_burned_equilibrium(temperature_k: Array) -> Array:
    """Isentropic exponent of stoichiometric burned gas in equilibrium, dissociation included, at 30 bar.

    Parameters
    ----------
    temperature_k : array
        Temperature. [K] Valid 1000 to 3000.

    Returns
    -------
    gamma : array
        [1]

    Equation
    --------
    x = temperature_k / 1000
    1.59449 - 0.67153 * x + 0.54964 * x**2 - 0.20570 * x**3 + 0.02705 * x**4

    Source
    ------
    own-computation, quartic through nine values of equilibrium products of iso-octane at 30 bar

    Examples
    --------
    >>> round(float(gamma_burned_equilibrium(2500.0)), 2)
    1.19
    """
    return _polynomial(BURNED_EQUILIBRIUM, temperature_k * 1e-3)


@valid(air_fuel_ratio=(4.0, 40.0), fuel_molar_mass_kg_mol=(0.030, 0.130))
def gas_constant_unburned(air_fuel_ratio: Array, fuel_molar_mass_kg_mol: Array) -> Array:
    """Gas constant of air and fuel vapour.

    Parameters
    ----------
    air_fuel_ratio : array
        Mass of air over mass of fuel. [1] Valid 4 to 40.
    fuel_molar_mass_kg_mol : array
        Mean molar mass of the fuel. [kg/mol] Valid 0.03 to 0.13.

    Returns
    -------
    gas_constant_j_kgk : array
        Broadcast of the arguments. [J/(kg*K)]

    Equation
    --------
    8.314463 * (air_fuel_ratio / 0.0289644 + 1 / fuel_molar_mass_kg_mol) / (air_fuel_ratio + 1)

    Source
    ------
    heywood-1988, ch. 4

    Examples
    --------
    >>> round(float(gas_constant_unburned(15.13, 0.1142)), 1)
    273.8
    """
    moles = air_fuel_ratio / AIR_MOLAR_MASS + 1.0 / fuel_molar_mass_kg_mol
    return GAS_CONSTANT * moles / (air_fuel_ratio + 1.0)


@valid(lambda_ratio=(0.6, 2.0), ethanol_mass_fraction=(0.0, 1.0), hydrogen_per_carbon=(1.5, 2.4))
def gas_constant_burned(
    lambda_ratio: Array, ethanol_mass_fraction: Array = 0.0, hydrogen_per_carbon: Array = 1.87
) -> Array:
    """Gas constant of burned gas without dissociation: CO and H2 where air is short, O2 left over where not.

    Parameters
    ----------
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 2.
    ethanol_mass_fraction : array
        Mass of ethanol over mass of fuel. [1] Valid 0 to 1.
    hydrogen_per_carbon : array
        Hydrogen atoms a carbon atom of the hydrocarbon part. [1] Valid 1.5 to 2.4.

    Returns
    -------
    gas_constant_j_kgk : array
        Broadcast of the arguments. [J/(kg*K)]

    Equation
    --------
    carbon = (1 - ethanol_mass_fraction) / (0.012011 + 0.001008 * hydrogen_per_carbon)
    ethanol = ethanol_mass_fraction / 0.046069
    oxygen = carbon * (1 + hydrogen_per_carbon / 4) + 3 * ethanol
    moles = carbon * (1 + hydrogen_per_carbon / 2) + 5 * ethanol + oxygen * (3.7733 * lambda_ratio)
    8.314463 * (moles + oxygen * max(lambda_ratio - 1, 0)) / (1 + lambda_ratio * oxygen * 0.138255)

    Source
    ------
    heywood-1988, ch. 4

    Examples
    --------
    >>> bool(gas_constant_burned(0.85) > gas_constant_burned(1.0))
    True
    """
    fuel = Elements.of(ethanol_mass_fraction, hydrogen_per_carbon)
    oxygen = fuel.oxygen_wanted
    inert = oxygen * lambda_ratio * (1.0 / OXYGEN_SHARE_OF_AIR - 1.0)
    left_over = oxygen * np.maximum(lambda_ratio - 1.0, 0.0)
    moles = fuel.carbon + 0.5 * fuel.hydrogen + inert + left_over
    return GAS_CONSTANT * moles / (1.0 + lambda_ratio * oxygen * AIR_MOLAR_MASS / OXYGEN_SHARE_OF_AIR)
