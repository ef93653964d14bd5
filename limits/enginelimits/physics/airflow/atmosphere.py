"""Outside air: pressure and temperature at altitude, and what moisture does to density."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import (
    AIR_GAS_CONSTANT,
    GAS_CONSTANT,
    STANDARD_GRAVITY,
    STANDARD_LAPSE_RATE,
    STANDARD_PRESSURE,
    STANDARD_TEMPERATURE,
    WATER_MOLAR_MASS,
    ZERO_CELSIUS,
)

PRESSURE_EXPONENT = STANDARD_GRAVITY / (AIR_GAS_CONSTANT * STANDARD_LAPSE_RATE)
WATER_GAS_CONSTANT = GAS_CONSTANT / WATER_MOLAR_MASS


@valid(altitude_m=(-2000.0, 11000.0))
def standard_temperature(altitude_m: Array) -> Array:
    """Temperature of the standard atmosphere, troposphere.

    Parameters
    ----------
    altitude_m : array
        Geopotential altitude. [m] Valid -2000 to 11000.

    Returns
    -------
    standard_temperature_k : array
        Shape of the argument. [K]

    Equation
    --------
    288.15 - 0.0065 * altitude_m

    Source
    ------
    iso-2533, troposphere

    Examples
    --------
    >>> round(float(standard_temperature(1500.0)), 3)
    278.4
    """
    return STANDARD_TEMPERATURE - STANDARD_LAPSE_RATE * altitude_m


@valid(altitude_m=(-2000.0, 11000.0))
def standard_pressure(altitude_m: Array) -> Array:
    """Barometer of the standard atmosphere, troposphere.

    Parameters
    ----------
    altitude_m : array
        Geopotential altitude. [m] Valid -2000 to 11000.

    Returns
    -------
    standard_pressure_pa : array
        Absolute pressure, shape of the argument. [Pa]

    Equation
    --------
    101325 * ((288.15 - 0.0065 * altitude_m) / 288.15) ** 5.25588

    Source
    ------
    iso-2533, troposphere

    Examples
    --------
    >>> round(float(standard_pressure(1000.0)), 1)
    89874.6
    """
    return STANDARD_PRESSURE * (standard_temperature(altitude_m) / STANDARD_TEMPERATURE) ** PRESSURE_EXPONENT


@valid(temperature_k=(243.15, 333.15))
def saturation_vapour_pressure(temperature_k: Array) -> Array:
    """Pressure of water vapour in saturated air, over liquid water, supercooled below freezing.

    Within 0.05 % of the international steam tables from 10 to 60 degC, and of older tables within 0.3 % at
    -30 degC.

    Parameters
    ----------
    temperature_k : array
        Air temperature. [K] Valid 243.15 to 333.15.

    Returns
    -------
    saturation_vapour_pressure_pa : array
        Shape of the argument. [Pa]

    Equation
    --------
    celsius = temperature_k - 273.15
    611.21 * exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))

    Source
    ------
    buck-1981, with the coefficients as revised in 1996

    Examples
    --------
    >>> round(float(saturation_vapour_pressure(298.15)))
    3169
    """
    celsius = temperature_k - ZERO_CELSIUS
    return 611.21 * np.exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))


@valid(temperature_k=(243.15, 333.15), relative_humidity=(0.0, 1.0))
def vapour_pressure(temperature_k: Array, relative_humidity: Array) -> Array:
    """Partial pressure of the water in moist air.

    Parameters
    ----------
    temperature_k : array
        Air temperature. [K] Valid 243.15 to 333.15.
    relative_humidity : array
        Share of saturation. [1] Valid 0 to 1.

    Returns
    -------
    vapour_pressure_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    celsius = temperature_k - 273.15
    relative_humidity * 611.21 * exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))

    Source
    ------
    buck-1981, with the coefficients as revised in 1996

    Examples
    --------
    >>> round(float(vapour_pressure(298.15, 0.5)))
    1584
    """
    return relative_humidity * saturation_vapour_pressure(temperature_k)


@valid(pressure_pa=(20e3, 500e3), temperature_k=(220.0, 480.0), vapour_pressure_pa=(0.0, 20e3))
def moist_air_density(pressure_pa: Array, temperature_k: Array, vapour_pressure_pa: Array) -> Array:
    """Density of air that holds water vapour, both as ideal gases.

    Parameters
    ----------
    pressure_pa : array
        Total absolute pressure. [Pa] Valid 20e3 to 500e3.
    temperature_k : array
        Air temperature. [K] Valid 220 to 480.
    vapour_pressure_pa : array
        Partial pressure of the water. [Pa] Valid 0 to 20e3.

    Returns
    -------
    moist_air_density_kg_m3 : array
        Broadcast of the arguments. [kg/m^3]

    Equation
    --------
    ((pressure_pa - vapour_pressure_pa) / 287.053 + vapour_pressure_pa / 461.52) / temperature_k

    Source
    ------
    ashrae-fundamentals, ch. 1, ideal-gas mixture of dry air and water vapour

    Examples
    --------
    >>> round(float(moist_air_density(101325.0, 298.15, 1585.0)), 4)
    1.1769
    """
    dry_pressure_pa = pressure_pa - vapour_pressure_pa
    return (dry_pressure_pa / AIR_GAS_CONSTANT + vapour_pressure_pa / WATER_GAS_CONSTANT) / temperature_k


@valid(pressure_pa=(30e3, 500e3), vapour_pressure_pa=(0.0, 20e3))
def humidity_ratio(pressure_pa: Array, vapour_pressure_pa: Array) -> Array:
    """Mass of water to a mass of dry air.

    Ideal gas: real moist air at one atmosphere holds 0.4 % more.

    Parameters
    ----------
    pressure_pa : array
        Total absolute pressure. [Pa] Valid 30e3 to 500e3.
    vapour_pressure_pa : array
        Partial pressure of the water. [Pa] Valid 0 to 20e3.

    Returns
    -------
    humidity_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    0.621945 * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)

    Source
    ------
    ashrae-fundamentals, ch. 1

    Examples
    --------
    >>> round(float(humidity_ratio(101325.0, 1585.0)), 5)
    0.00988
    """
    return 0.621945 * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)
