"""The crown of the piston under pressure and heat; as a flat plate it is a bound, not a limit."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(bore_m=(0.02, 0.30), crown_thickness_m=(0.002, 0.05))
def crown_stress(gauge_pressure_pa: Array, bore_m: Array, crown_thickness_m: Array) -> Array:
    """Stress at the rim of the crown as a flat clamped plate: a bound, since real crowns are ribbed.

    Parameters
    ----------
    gauge_pressure_pa : array
        Greatest cylinder pressure over the crankcase's. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    crown_thickness_m : array
        At its thinnest. [m] Valid 0.002 to 0.05.

    Returns
    -------
    crown_stress_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    3 * gauge_pressure_pa * bore_m**2 / (16 * crown_thickness_m**2)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, Grashof's formula

    Examples
    --------
    >>> round(float(crown_stress(10e6, 0.086, 0.01317)) / 1e6, 1)
    80.0
    """
    return 3.0 * gauge_pressure_pa * bore_m**2 / (16.0 * crown_thickness_m**2)


@valid(bore_m=(0.02, 0.30), allowed_stress_pa=(1.0e6, 5.0e8))
def crown_thickness_for_stress(gauge_pressure_pa: Array, bore_m: Array, allowed_stress_pa: Array) -> Array:
    """Thickness of a flat crown that keeps a stress, by the same plate.

    Parameters
    ----------
    gauge_pressure_pa : array
        Greatest cylinder pressure over the crankcase's. [Pa]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    allowed_stress_pa : array
        Of the material, hot. [Pa] Valid 1.0e6 to 5.0e8.

    Returns
    -------
    crown_thickness_m : array
        Broadcast of the arguments. [m]

    Equation
    --------
    sqrt(3 * gauge_pressure_pa * bore_m**2 / (16 * allowed_stress_pa))

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, Grashof's formula

    Examples
    --------
    >>> round(float(crown_thickness_for_stress(5e6, 0.100, 38e6)) * 1000, 2)
    15.71
    """
    return np.sqrt(3.0 * gauge_pressure_pa * bore_m**2 / (16.0 * allowed_stress_pa))


@valid(crown_share=(0.01, 0.15))
def crown_heat(fuel_mass_flow_kg_s: Array, heating_value_j_kg: Array, crown_share: Array = 0.05) -> Array:
    """Heat that one crown takes: a share of its cylinder's fuel.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Of one cylinder. [kg/s]
    heating_value_j_kg : array
        The lower one. [J/kg]
    crown_share : array
        Of the fuel's heat. [1] Valid 0.01 to 0.15.

    Returns
    -------
    crown_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    crown_share * fuel_mass_flow_kg_s * heating_value_j_kg

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(crown_heat(4.09e-4, 42e6)))
    859
    """
    return crown_share * fuel_mass_flow_kg_s * heating_value_j_kg


@valid(crown_thickness_m=(0.002, 0.05), conductivity_w_mk=(20.0, 400.0))
def crown_temperature(
    edge_temperature_k: Array, crown_heat_w: Array, crown_thickness_m: Array, conductivity_w_mk: Array
) -> Array:
    """Temperature at the middle of a flat crown that sheds its heat at the rim alone: a bound.

    Parameters
    ----------
    edge_temperature_k : array
        At the rim. [K]
    crown_heat_w : array
        Into the crown. [W]
    crown_thickness_m : array
        At its thinnest. [m] Valid 0.002 to 0.05.
    conductivity_w_mk : array
        Of the alloy, hot. [W/(m*K)] Valid 20 to 400.

    Returns
    -------
    crown_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    edge_temperature_k + crown_heat_w / (4 * pi * conductivity_w_mk * crown_thickness_m)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32, heat flow of the crown

    Examples
    --------
    >>> round(float(crown_temperature(480.0, 860.0, 0.00668, 46.6)))
    700
    """
    return edge_temperature_k + crown_heat_w / (4.0 * np.pi * conductivity_w_mk * crown_thickness_m)


@valid(cylinders=(1.0, 16.0), bore_m=(0.02, 0.30))
def power_per_area(brake_power_w: Array, cylinders: Array, bore_m: Array) -> Array:
    """Brake power over the area of all bores.

    Parameters
    ----------
    brake_power_w : array
        At the crank. [W]
    cylinders : array
        Of the whole engine. [1] Valid 1 to 16.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.

    Returns
    -------
    power_per_area_w_m2 : array
        Broadcast of the arguments. [W/m^2]

    Equation
    --------
    4 * brake_power_w / (cylinders * pi * bore_m**2)

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(power_per_area(149140.0, 4, 0.086)) / 1e6, 2)
    6.42
    """
    return 4.0 * brake_power_w / (cylinders * np.pi * bore_m**2)
