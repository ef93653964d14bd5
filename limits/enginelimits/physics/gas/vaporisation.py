"""Cooling of the charge by evaporating fuel, and how much of it an octane test holds already.

In the test of research octane the charge is not heated after the fuel has met it, so a fuel that takes much heat
to evaporate is tested cooler than the reference fuel beside it: part of its rating is this cooling. In the test
of motor octane the mixture is heated to 149 degC, and no cooling is left in the rating.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Iso-octane, which the rating compares with; n-heptane differs little where ratings matter, above 80.
REFERENCE_HEAT_OF_VAPORISATION = 307.6e3  # J/kg at 25 degC
REFERENCE_STOICHIOMETRIC_RATIO = 15.13
TEST_LAMBDA = 0.9  # both tests run at the mixture that knocks most, somewhat rich


@valid(
    heat_of_vaporisation_j_kg=(250e3, 1250e3),
    air_fuel_ratio=(4.0, 25.0),
    evaporated_share=(0.0, 1.0),
    fuel_heat_capacity_j_kgk=(0.0, 2500.0),
)
def evaporative_cooling(
    heat_of_vaporisation_j_kg: Array,
    air_fuel_ratio: Array,
    evaporated_share: Array = 1.0,
    fuel_heat_capacity_j_kgk: Array = 2000.0,
) -> Array:
    """Fall of the charge's temperature when fuel evaporates with heat from the charge alone.

    With everything evaporated it is an upper bound: in an engine part of the heat comes from walls and
    valves.

    Parameters
    ----------
    heat_of_vaporisation_j_kg : array
        Of the fuel. [J/kg] Valid 250e3 to 1250e3.
    air_fuel_ratio : array
        Mass of air over mass of fuel. [1] Valid 4 to 25.
    evaporated_share : array
        Share of the fuel that evaporates before the intake valve closes, on heat from the charge. [1] Valid 0
        to 1.
    fuel_heat_capacity_j_kgk : array
        Of the fuel that is cooled along; 0 for air alone. [J/(kg*K)] Valid 0 to 2500.

    Returns
    -------
    cooling_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    evaporated_share * heat_of_vaporisation_j_kg / (1005 * air_fuel_ratio + fuel_heat_capacity_j_kgk)

    Source
    ------
    common-practice, heat balance

    Examples
    --------
    >>> round(float(evaporative_cooling(350e3, 14.6)), 1)
    21.0
    """
    return evaporated_share * heat_of_vaporisation_j_kg / (1005.0 * air_fuel_ratio + fuel_heat_capacity_j_kgk)


@valid(
    heat_of_vaporisation_j_kg=(250e3, 1250e3),
    air_fuel_ratio=(4.0, 25.0),
    direct_share=(0.0, 1.0),
    port_evaporated=(0.0, 1.0),
    direct_evaporated=(0.0, 1.0),
)
def charge_cooling(
    heat_of_vaporisation_j_kg: Array,
    air_fuel_ratio: Array,
    direct_share: Array,
    port_evaporated: Array,
    direct_evaporated: Array,
) -> Array:
    """Fall of the charge's temperature by the fuel that evaporates on heat of the charge, by way of injection.

    Parameters
    ----------
    heat_of_vaporisation_j_kg : array
        Of the fuel. [J/kg] Valid 250e3 to 1250e3.
    air_fuel_ratio : array
        Mass of air over mass of fuel. [1] Valid 4 to 25.
    direct_share : array
        Share of the fuel that is injected into the cylinder, the rest into the port. [1] Valid 0 to 1.
    port_evaporated : array
        Share of port fuel that evaporates on heat of the charge. [1] Valid 0 to 1.
    direct_evaporated : array
        Share of direct fuel that evaporates on heat of the charge. [1] Valid 0 to 1.

    Returns
    -------
    cooling_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    evaporated = port_evaporated + direct_share * (direct_evaporated - port_evaporated)
    evaporated * heat_of_vaporisation_j_kg / (1005 * air_fuel_ratio + 2000)

    Source
    ------
    common-practice, heat balance

    Examples
    --------
    >>> round(float(charge_cooling(350e3, 14.6, 1.0, 0.4, 0.75)), 1)
    15.7
    """
    evaporated = port_evaporated + direct_share * (direct_evaporated - port_evaporated)
    return evaporative_cooling(heat_of_vaporisation_j_kg, air_fuel_ratio, evaporated)


@valid(heat_of_vaporisation_j_kg=(250e3, 1250e3), stoichiometric_ratio=(5.0, 16.0), test_evaporated=(0.0, 1.0))
def cooling_held_by_research_octane(
    heat_of_vaporisation_j_kg: Array, stoichiometric_ratio: Array, test_evaporated: Array
) -> Array:
    """How much cooler than the reference fuel this fuel was when its research octane was measured.

    Nothing for a fuel that cools less than the reference.

    Parameters
    ----------
    heat_of_vaporisation_j_kg : array
        Of the fuel. [J/kg] Valid 250e3 to 1250e3.
    stoichiometric_ratio : array
        Air over fuel by mass at lambda 1. [1] Valid 5 to 16.
    test_evaporated : array
        Share of the fuel that evaporates on heat of the charge in the test engine. [1] Valid 0 to 1.

    Returns
    -------
    held_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    fuel = heat_of_vaporisation_j_kg / (1005 * 0.9 * stoichiometric_ratio + 2000)
    reference = 307.6e3 / (1005 * 0.9 * 15.13 + 2000)
    test_evaporated * max(fuel - reference, 0)

    Source
    ------
    own-computation, heat balance at the conditions of astm-d2699

    Examples
    --------
    >>> round(float(cooling_held_by_research_octane(920e3, 8.98, 0.5)), 1)
    35.6
    """
    fuel = evaporative_cooling(heat_of_vaporisation_j_kg, TEST_LAMBDA * stoichiometric_ratio)
    reference = evaporative_cooling(REFERENCE_HEAT_OF_VAPORISATION, TEST_LAMBDA * REFERENCE_STOICHIOMETRIC_RATIO)
    return test_evaporated * np.maximum(fuel - reference, 0.0)


@valid(charge_cooling_k=(0.0, 200.0), reference_cooling_k=(0.0, 50.0), held_k=(0.0, 120.0))
def cooling_beyond_test(charge_cooling_k: Array, reference_cooling_k: Array, held_k: Array) -> Array:
    """Cooling that a knock sum on research octane may still count, over what the reference fuel would cool.

    Negative where the engine evaporates less of the fuel on heat of the charge than the test did: the rating then
    promises more than this engine gets.

    Parameters
    ----------
    charge_cooling_k : array
        By this fuel in this engine. [K] Valid 0 to 200.
    reference_cooling_k : array
        By the reference fuel in this engine. [K] Valid 0 to 50.
    held_k : array
        Already held by the fuel's research octane. [K] Valid 0 to 120.

    Returns
    -------
    cooling_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    charge_cooling_k - reference_cooling_k - held_k

    Source
    ------
    own-computation, what is in the rating is not counted twice

    Examples
    --------
    >>> float(cooling_beyond_test(60.0, 13.0, 36.0))
    11.0
    """
    return charge_cooling_k - reference_cooling_k - held_k


@valid(lambda_ratio=(0.6, 1.5), direct_share=(0.0, 1.0), port_evaporated=(0.0, 1.0), direct_evaporated=(0.0, 1.0))
def reference_charge_cooling(
    lambda_ratio: Array, direct_share: Array, port_evaporated: Array, direct_evaporated: Array
) -> Array:
    """Fall of the charge's temperature with the reference fuel of the octane scale in this engine.

    Parameters
    ----------
    lambda_ratio : array
        As the engine is run. [1] Valid 0.6 to 1.5.
    direct_share : array
        Share of the fuel that is injected into the cylinder. [1] Valid 0 to 1.
    port_evaporated : array
        Share of port fuel that evaporates on heat of the charge. [1] Valid 0 to 1.
    direct_evaporated : array
        Share of direct fuel that does. [1] Valid 0 to 1.

    Returns
    -------
    cooling_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    evaporated = port_evaporated + direct_share * (direct_evaporated - port_evaporated)
    evaporated * 307.6e3 / (1005 * 15.13 * lambda_ratio + 2000)

    Source
    ------
    common-practice, heat balance; iso-octane

    Examples
    --------
    >>> round(float(reference_charge_cooling(0.8, 0.0, 0.4, 0.75)), 1)
    8.7
    """
    ratio = REFERENCE_STOICHIOMETRIC_RATIO * np.asarray(lambda_ratio)
    return charge_cooling(REFERENCE_HEAT_OF_VAPORISATION, ratio, direct_share, port_evaporated, direct_evaporated)


@valid(held_k=(0.0, 120.0), limit_k=(0.0, 60.0), k=(-2.0, 1.5))
def cooling_held_by_index(held_k: Array, limit_k: Array, k: Array) -> Array:
    """How much charge cooling the octane index of a fuel already holds.

    Research octane of blends stops rising where the mixture of the test engine takes up no more vapour, so that the
    cooling it holds stops rising too. Motor octane, from a heated mixture, holds none; the index weighs both.

    Parameters
    ----------
    held_k : array
        Held by research octane if all evaporated that does in lean blends. [K] Valid 0 to 120.
    limit_k : array
        At which the test engine's mixture is saturated. [K] Valid 0 to 60.
    k : array
        Weight of the sensitivity in the index. [1] Valid -2 to 1.5.

    Returns
    -------
    held_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    (1 - k) * min(held_k, limit_k)

    Source
    ------
    own-computation, from the law of the index

    Examples
    --------
    >>> float(cooling_held_by_index(36.0, 13.0, -0.5))
    19.5
    """
    return (1.0 - np.asarray(k)) * np.minimum(held_k, limit_k)


@valid(
    charge_cooling_k=(0.0, 200.0),
    reference_cooling_k=(0.0, 80.0),
    cooling_beyond_test_k=(-200.0, 200.0),
    closing_temperature_k=(250.0, 500.0),
)
def knock_temperature_ratio(
    charge_cooling_k: Array, reference_cooling_k: Array, cooling_beyond_test_k: Array, closing_temperature_k: Array
) -> Array:
    """Temperature that counts for auto-ignition over that of the charge.

    The octane index already credits the fuel with most of its cooling; only what goes beyond is counted again, and a
    fuel that cools less here than in the test is not charged for it.

    Parameters
    ----------
    charge_cooling_k : array
        By this fuel in this engine. [K] Valid 0 to 200.
    reference_cooling_k : array
        By the reference fuel in this engine. [K] Valid 0 to 80.
    cooling_beyond_test_k : array
        Over what its octane index holds. [K] Valid -200 to 200.
    closing_temperature_k : array
        Of the charge at intake closing. [K] Valid 250 to 500.

    Returns
    -------
    ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    counted = max(cooling_beyond_test_k, 0)
    1 + max(charge_cooling_k - reference_cooling_k - counted, 0) / closing_temperature_k

    Source
    ------
    own-computation, what is in the rating is not counted twice

    Examples
    --------
    >>> round(float(knock_temperature_ratio(60.0, 13.0, 27.0, 340.0)), 3)
    1.059
    """
    credited = charge_cooling_k - np.asarray(reference_cooling_k) - np.maximum(cooling_beyond_test_k, 0.0)
    return 1.0 + np.maximum(credited, 0.0) / closing_temperature_k
