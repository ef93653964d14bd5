"""Heat that fuel brings, where it goes, and what radiator and coolant make of it."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Terms of the series for cross-flow: enough for ten transfer units to 1e-9.
SERIES_TERMS = 48
NEGLIGIBLE = 1e-14

# Backward equation of the saturation line, coefficients n1 to n10 of IAPWS-IF97, region 4.
SATURATION = (
    1167.0521452767,
    -724213.16703206,
    -17.073846940092,
    12020.82470247,
    -3232555.0322333,
    14.91510861353,
    -4823.2657361591,
    405113.40542057,
    -0.23855557567849,
    650.17534844798,
)


@valid(fuel_mass_flow_kg_s=(0.0, 0.5), heating_value_j_kg=(15e6, 50e6))
def fuel_power(fuel_mass_flow_kg_s: Array, heating_value_j_kg: Array) -> Array:
    """Heat that the fuel could release in a second.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Through the engine. [kg/s] Valid 0 to 0.5.
    heating_value_j_kg : array
        Lower. [J/kg] Valid 15e6 to 50e6.

    Returns
    -------
    fuel_power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    fuel_mass_flow_kg_s * heating_value_j_kg

    Source
    ------
    heywood-1988, sec. 2.8

    Examples
    --------
    >>> round(fuel_power(0.0175, 43.4e6))
    759500
    """
    return fuel_mass_flow_kg_s * heating_value_j_kg


@valid(fuel_power_w=(0.0, 10e6), share=(0.0, 1.0))
def heat_share(fuel_power_w: Array, share: Array) -> Array:
    """Heat that goes one way, to coolant or oil, as a share of what the fuel brings.

    Parameters
    ----------
    fuel_power_w : array
        Heat of the fuel. [W] Valid 0 to 10e6.
    share : array
        That goes this way, by class. [1] Valid 0 to 1.

    Returns
    -------
    heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    fuel_power_w * share

    Source
    ------
    heywood-1988, sec. 12.3

    Examples
    --------
    >>> heat_share(800e3, 0.25)
    200000.0
    """
    return fuel_power_w * share


@valid(air_fuel_ratio=(4.0, 25.0), specific_fuel_consumption_kg_j=(30e-9, 400e-9))
def power_per_air_flow(air_fuel_ratio: Array, specific_fuel_consumption_kg_j: Array) -> Array:
    """Brake power that a kilogram of air a second makes.

    Parameters
    ----------
    air_fuel_ratio : array
        By mass, as run. [1] Valid 4 to 25.
    specific_fuel_consumption_kg_j : array
        Fuel over brake work. [kg/J] Valid 30e-9 to 400e-9.

    Returns
    -------
    power_per_air_flow_j_kg : array
        Broadcast of the arguments. [J/kg]

    Equation
    --------
    1 / (air_fuel_ratio * specific_fuel_consumption_kg_j)

    Source
    ------
    heywood-1988, sec. 2.14

    Examples
    --------
    >>> round(float(power_per_air_flow(12.0, 84.5e-9)) / 1e3)
    986
    """
    return 1.0 / (air_fuel_ratio * specific_fuel_consumption_kg_j)


@valid(specific_fuel_consumption_kg_j=(30e-9, 400e-9), heating_value_j_kg=(15e6, 50e6))
def brake_efficiency(specific_fuel_consumption_kg_j: Array, heating_value_j_kg: Array) -> Array:
    """Brake work over the heat of the fuel.

    Parameters
    ----------
    specific_fuel_consumption_kg_j : array
        Fuel over brake work. [kg/J] Valid 30e-9 to 400e-9.
    heating_value_j_kg : array
        Lower. [J/kg] Valid 15e6 to 50e6.

    Returns
    -------
    brake_efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    1 / (specific_fuel_consumption_kg_j * heating_value_j_kg)

    Source
    ------
    heywood-1988, eq. 2.24

    Examples
    --------
    >>> round(float(brake_efficiency(251.4 / 3.6e9, 43.4e6)), 3)
    0.33
    """
    return 1.0 / (specific_fuel_consumption_kg_j * heating_value_j_kg)


@valid(heat_w=(0.0, 1e6), capacity_w=(1e3, 1e6), at_difference_k=(5.0, 120.0))
def radiator_difference(heat_w: Array, capacity_w: Array, at_difference_k: Array) -> Array:
    """Coolant over air temperature at which a radiator gives off a heat, airflow as in its rating.

    Parameters
    ----------
    heat_w : array
        To be given off. [W] Valid 0 to 1e6.
    capacity_w : array
        Given off at its rated difference. [W] Valid 1e3 to 1e6.
    at_difference_k : array
        Rated coolant less air temperature. [K] Valid 5 to 120.

    Returns
    -------
    difference_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    heat_w * at_difference_k / capacity_w

    Source
    ------
    kays-london-1984, ch. 2, heat in proportion to the difference at the inlets

    Examples
    --------
    >>> radiator_difference(70e3, 60e3, 60.0)
    70.0
    """
    return heat_w * at_difference_k / capacity_w


@valid(
    heat_w=(0.0, 1e6),
    capacity_w=(1e3, 1e6),
    at_difference_k=(5.0, 120.0),
    coolant_temperature_k=(335.0, 420.0),
    air_temperature_k=(230.0, 330.0),
)
def radiator_use(
    heat_w: Array,
    capacity_w: Array,
    at_difference_k: Array,
    coolant_temperature_k: Array,
    air_temperature_k: Array,
) -> Array:
    """Heat to be given off over what the radiator gives off at the coolant temperature accepted.

    Parameters
    ----------
    heat_w : array
        To be given off. [W] Valid 0 to 1e6.
    capacity_w : array
        Given off at its rated difference. [W] Valid 1e3 to 1e6.
    at_difference_k : array
        Rated coolant less air temperature. [K] Valid 5 to 120.
    coolant_temperature_k : array
        Accepted. [K] Valid 335 to 420.
    air_temperature_k : array
        At the face of the radiator. [K] Valid 230 to 330.

    Returns
    -------
    radiator_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    heat_w * at_difference_k / (capacity_w * (coolant_temperature_k - air_temperature_k))

    Source
    ------
    kays-london-1984, ch. 2, heat in proportion to the difference at the inlets

    Examples
    --------
    >>> radiator_use(70e3, 60e3, 60.0, 378.0, 308.0)
    1.0
    """
    return heat_w * at_difference_k / (capacity_w * (coolant_temperature_k - air_temperature_k))


@valid(pressure_pa=(50e3, 500e3), glycol=(0.0, 0.6))
def coolant_boiling_temperature(pressure_pa: Array, glycol: Array) -> Array:
    """Temperature at which coolant boils under its cap.

    The saturation line of water, raised by 15 K for a whole of glycol (7.5 K at one half; from memory).

    Parameters
    ----------
    pressure_pa : array
        Absolute, under the cap. [Pa] Valid 50e3 to 500e3.
    glycol : array
        Share by volume. [1] Valid 0 to 0.6.

    Returns
    -------
    coolant_boiling_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    beta = (pressure_pa / 1e6) ** 0.25
    E = beta ** 2 - 17.073846940092 * beta + 14.91510861353
    F = 1167.0521452767 * beta ** 2 + 12020.82470247 * beta - 4823.2657361591
    G = -724213.16703206 * beta ** 2 - 3232555.0322333 * beta + 405113.40542057
    D = 2 * G / (-F - sqrt(F ** 2 - 4 * E * G))
    root = sqrt((650.17534844798 + D) ** 2 - 4 * (-0.23855557567849 + 650.17534844798 * D))
    (650.17534844798 + D - root) / 2 + 15 * glycol

    Source
    ------
    iapws-if97, eq. 31

    Examples
    --------
    >>> round(float(coolant_boiling_temperature(101325.0, 0.0)) - 273.15, 1)
    100.0
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = SATURATION
    beta = (pressure_pa / 1e6) ** 0.25
    e = beta**2 + n3 * beta + n6
    f = n1 * beta**2 + n4 * beta + n7
    g = n2 * beta**2 + n5 * beta + n8
    d = 2.0 * g / (-f - np.sqrt(f**2 - 4.0 * e * g))
    water = 0.5 * (n10 + d - np.sqrt((n10 + d) ** 2 - 4.0 * (n9 + n10 * d)))
    return water + 15.0 * glycol


@valid(transfer_units=(0.0, 10.0), capacity_ratio=(0.0, 1.0))
def cross_flow_effectiveness(transfer_units: Array, capacity_ratio: Array) -> Array:
    """Effectiveness of a cross-flow core with both streams unmixed, exact; the common formula errs by 1.6 %.

    Parameters
    ----------
    transfer_units : array
        Conductance over the smaller capacity rate. [1] Valid 0 to 10.
    capacity_ratio : array
        Smaller over larger capacity rate. [1] Valid 0 to 1.

    Returns
    -------
    effectiveness : array
        Broadcast of the arguments. [1]

    Equation
    --------
    Solved: sum over n of P(n, transfer_units) P(n, other) / other, with other = capacity_ratio transfer_units
    and P(n, x) = 1 - exp(-x) (1 + x + ... + x^n / n!)

    Source
    ------
    kays-london-1984, ch. 2, series solution of Mason

    Examples
    --------
    >>> round(float(cross_flow_effectiveness(1.0, 0.5)), 4)
    0.5475
    """
    ntu, ratio = np.broadcast_arrays(
        np.asarray(transfer_units, dtype=float), np.asarray(capacity_ratio, dtype=float)
    )
    other = ntu * ratio
    term_a, term_b = np.exp(-ntu), np.exp(-other)
    left_a, left_b = 1.0 - term_a, 1.0 - term_b
    total = left_a * left_b
    for n in range(1, SERIES_TERMS):
        term_a, term_b = term_a * ntu / n, term_b * other / n
        left_a, left_b = left_a - term_a, left_b - term_b
        added = left_a * left_b
        total = total + added
        if np.max(added) < NEGLIGIBLE:
            break
    # With one stream at constant temperature the series is 0/0; the limit is a plain exponential.
    alone = other <= 1e-9
    return np.where(alone, 1.0 - np.exp(-ntu), total / np.where(alone, 1.0, other))[()]
