"""The charge cooler away from its rated flow, and its core as a lump of metal that a pull heats.

Pressure over flow is :func:`intercooler.pressure_drop`: the square.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

AIR_HEAT_CAPACITY = 1005.0


@valid(
    rated_effectiveness=(0.0, 0.97),
    mass_flow_kg_s=(0.001, 3.0),
    rated_mass_flow_kg_s=(0.01, 3.0),
    conductance_exponent=(0.0, 0.8),
)
def effectiveness_at_flow(
    rated_effectiveness: Array,
    mass_flow_kg_s: Array,
    rated_mass_flow_kg_s: Array,
    conductance_exponent: Array = 0.4,
) -> Array:
    """Effectiveness of a charge cooler at another flow of charge; it falls as flow rises.

    By transfer units, cooling air being plentiful beside the charge.  Heat transfer inside the tubes rises with flow
    to the power 0.8, that to the cooling air not at all; between them the core comes to about half of that.

    Parameters
    ----------
    rated_effectiveness : array
        At the rated flow; 0 without a cooler. [1] Valid 0 to 0.97.
    mass_flow_kg_s : array
        Charge. [kg/s] Valid 0.001 to 3.
    rated_mass_flow_kg_s : array
        Charge, where the effectiveness is known. [kg/s] Valid 0.01 to 3.
    conductance_exponent : array
        Of the core's conductance over the flow of charge. [1] Valid 0 to 0.8.

    Returns
    -------
    effectiveness : array
        Broadcast of the arguments. [1]

    Equation
    --------
    rated_units = -log(1 - rated_effectiveness)
    units = rated_units * (mass_flow_kg_s / rated_mass_flow_kg_s) ** (conductance_exponent - 1)
    1 - exp(-units)

    Source
    ------
    kays-london-1984, ch. 2, capacity rates far apart

    Examples
    --------
    >>> round(float(effectiveness_at_flow(0.7, 0.1, 0.2)), 3), round(float(effectiveness_at_flow(0.7, 0.3, 0.2)), 3)
    (0.839, 0.611)
    """
    rated_units = -np.log1p(-np.asarray(rated_effectiveness))
    relative = np.asarray(mass_flow_kg_s) / rated_mass_flow_kg_s
    return -np.expm1(-rated_units * relative ** (np.asarray(conductance_exponent) - 1.0))


@valid(
    rated_effectiveness=(0.0, 0.99),
    speed_rad_s=(50.0, 2000.0),
    rated_speed_rad_s=(100.0, 2000.0),
    conductance_exponent=(0.0, 0.8),
)
def effectiveness_over_speed(
    rated_effectiveness: Array, speed_rad_s: Array, rated_speed_rad_s: Array, conductance_exponent: Array
) -> Array:
    """Effectiveness of a charge cooler over engine speed, the flow of charge going with it as it does at held boost.

    Parameters
    ----------
    rated_effectiveness : array
        At the rated speed; 0 without a cooler. [1] Valid 0 to 0.99.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 50 to 2000.
    rated_speed_rad_s : array
        Where the effectiveness is known. [rad/s] Valid 100 to 2000.
    conductance_exponent : array
        Of the core's conductance over the flow of charge. [1] Valid 0 to 0.8.

    Returns
    -------
    effectiveness : array
        Broadcast of the arguments. [1]

    Equation
    --------
    units = -log(1 - rated_effectiveness) * (speed_rad_s / rated_speed_rad_s) ** (conductance_exponent - 1)
    1 - exp(-units)

    Source
    ------
    kays-london-1984, ch. 2, effectiveness by the number of transfer units

    Examples
    --------
    >>> effectiveness_over_speed(0.7, np.array([350.0, 700.0]), 700.0, 0.4).round(3).tolist()
    [0.839, 0.7]
    """
    # the flows stand in the formula as a ratio alone
    return effectiveness_at_flow(rated_effectiveness, speed_rad_s, rated_speed_rad_s, conductance_exponent)


@valid(
    mass_flow_kg_s=(0.0, 3.0),
    effectiveness=(0.0, 1.0),
    core_mass_kg=(0.2, 100.0),
    core_rise_share=(0.0, 0.95),
    pull_s=(0.0, 3600.0),
    rest_s=(0.0, 7200.0),
    pulls=(1.0, 50.0),
)
def core_soak(
    mass_flow_kg_s: Array,
    effectiveness: Array,
    core_mass_kg: Array,
    core_rise_share: Array,
    pull_s: Array,
    rest_s: Array = 0.0,
    pulls: Array = 1.0,
    core_heat_capacity_j_kgk: Array = 900.0,
) -> Array:
    """How far a core has warmed at the end of the last of several pulls, over what an endless one would make it.

    One lump: the charge heats it, the cooling air cools it all the while, and alone between pulls.  The first pull
    finds it at the temperature of the air.

    Parameters
    ----------
    mass_flow_kg_s : array
        Charge, mean of the pull. [kg/s] Valid 0 to 3.
    effectiveness : array
        With the core as cool as the air; 0 without a cooler. [1] Valid 0 to 1.
    core_mass_kg : array
        Metal that holds heat; water counts by its heat capacity. [kg] Valid 0.2 to 100.
    core_rise_share : array
        Of the core over the cooling air in an endless pull, over that of the charge entering. [1] Valid 0 to 0.95.
    pull_s : array
        Length of a pull. [s] Valid 0 to 3600.
    rest_s : array
        Between pulls, the cooling air flowing on. [s] Valid 0 to 7200.
    pulls : array
        How many, one after the other. [1] Valid 1 to 50.
    core_heat_capacity_j_kgk : array
        Of the metal; aluminium unless said. [J/(kg*K)]

    Returns
    -------
    core_soak : array
        Broadcast of the arguments; 0 without a cooler. [1]

    Equation
    --------
    heat = mass_flow_kg_s * 1005 * effectiveness / (core_mass_kg * core_heat_capacity_j_kgk)
    kept_in_pull = exp(-heat * pull_s / core_rise_share)
    kept_in_rest = exp(-heat * (1 - core_rise_share) * rest_s / core_rise_share)
    kept = kept_in_pull * kept_in_rest
    (1 - kept_in_pull) * (1 - kept ** pulls) / (1 - kept)

    Source
    ------
    own-computation, lumped heat capacity; the pulls make a geometric series

    Examples
    --------
    >>> core_soak(0.15, 0.7, 4.0, 0.3, 12.0, 20.0, np.array([1.0, 2.0, 3.0])).round(2).tolist()
    [0.69, 0.74, 0.75]
    """
    share = np.asarray(core_rise_share, dtype=float)
    heat = np.asarray(mass_flow_kg_s) * AIR_HEAT_CAPACITY * effectiveness
    heat = heat / (np.asarray(core_mass_kg) * core_heat_capacity_j_kgk)
    warms = (heat > 0.0) & (share > 0.0)
    rate = np.where(warms, heat, 1.0) / np.where(warms, share, 1.0)
    in_pull = np.exp(-rate * pull_s)
    kept = in_pull * np.exp(-rate * (1.0 - share) * rest_s)
    fading = kept < 1.0
    series = np.where(fading, (1.0 - kept**pulls) / np.where(fading, 1.0 - kept, 1.0), pulls)
    known = np.isfinite(heat) & np.isfinite(share)
    return np.where(warms, (1.0 - in_pull) * series, np.where(known, 0.0, np.nan))


@valid(
    inlet_temperature_k=(230.0, 700.0),
    cooling_air_temperature_k=(230.0, 370.0),
    effectiveness=(0.0, 1.0),
    core_rise_share=(0.0, 0.95),
    core_soak=(0.0, 1.0),
)
def temperature_of_soaked_core(
    inlet_temperature_k: Array,
    cooling_air_temperature_k: Array,
    effectiveness: Array,
    core_rise_share: Array,
    core_soak: Array,
) -> Array:
    """Charge temperature behind a core that has warmed.

    Parameters
    ----------
    inlet_temperature_k : array
        Charge entering the core. [K] Valid 230 to 700.
    cooling_air_temperature_k : array
        Air at the face of the core. [K] Valid 230 to 370.
    effectiveness : array
        With the core as cool as the air; 0 without a cooler. [1] Valid 0 to 1.
    core_rise_share : array
        Of the core over the cooling air in an endless pull, over that of the charge entering. [1] Valid 0 to 0.95.
    core_soak : array
        How far it has come on that way. [1] Valid 0 to 1.

    Returns
    -------
    temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    rise = core_soak * core_rise_share * (inlet_temperature_k - cooling_air_temperature_k)
    inlet_temperature_k - effectiveness * (inlet_temperature_k - cooling_air_temperature_k - rise)

    Source
    ------
    kays-london-1984, definition of effectiveness, toward the core in place of the air

    Examples
    --------
    >>> round(float(temperature_of_soaked_core(363.0, 295.0, 0.85, 0.3, 0.8)), 2)
    319.07
    """
    difference = np.asarray(inlet_temperature_k) - cooling_air_temperature_k
    return inlet_temperature_k - effectiveness * difference * (1.0 - np.asarray(core_soak) * core_rise_share)


@valid(third_pull_k=(230.0, 600.0), first_pull_k=(230.0, 600.0))
def pull_to_pull_rise(third_pull_k: Array, first_pull_k: Array) -> Array:
    """How much hotter the charge ends the third pull than the first.

    Parameters
    ----------
    third_pull_k : array
        At the end of the third pull. [K] Valid 230 to 600.
    first_pull_k : array
        At the end of the first. [K] Valid 230 to 600.

    Returns
    -------
    rise_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    third_pull_k - first_pull_k

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(pull_to_pull_rise(331.0, 325.0))
    6.0
    """
    return np.asarray(third_pull_k) - first_pull_k


@valid(
    inlet_temperature_k=(230.0, 700.0),
    cooling_air_temperature_k=(230.0, 370.0),
    effectiveness=(0.0, 1.0),
    core_rise_in_traffic_k=(0.0, 80.0),
)
def temperature_after_traffic(
    inlet_temperature_k: Array, cooling_air_temperature_k: Array, effectiveness: Array, core_rise_in_traffic_k: Array
) -> Array:
    """Charge temperature as a pull begins with a core that traffic has warmed.

    Parameters
    ----------
    inlet_temperature_k : array
        Charge entering the core. [K] Valid 230 to 700.
    cooling_air_temperature_k : array
        Air at the face of the core. [K] Valid 230 to 370.
    effectiveness : array
        With the core as cool as the air; 0 without a cooler. [1] Valid 0 to 1.
    core_rise_in_traffic_k : array
        Of the core over the air outside, after standing and crawling. [K] Valid 0 to 80.

    Returns
    -------
    temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    inlet_temperature_k - effectiveness * (inlet_temperature_k - cooling_air_temperature_k - core_rise_in_traffic_k)

    Source
    ------
    kays-london-1984, definition of effectiveness, toward the core in place of the air

    Examples
    --------
    >>> round(float(temperature_after_traffic(363.0, 298.0, 0.7, 25.0)), 2)
    335.0
    """
    core_k = np.asarray(cooling_air_temperature_k) + core_rise_in_traffic_k
    return inlet_temperature_k - effectiveness * (np.asarray(inlet_temperature_k) - core_k)
