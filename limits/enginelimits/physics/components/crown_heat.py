"""Heat of the piston: into its crown, out by rings, splash and jets, and what the alloy still bears there."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(crown_share=(0.1, 0.8))
def crown_heat(wall_heat_j: Array, open_wall_heat_j: Array, speed_rad_s: Array, crown_share: Array) -> Array:
    """Heat that one crown takes: a share of what its cylinder loses to its walls.

    Parameters
    ----------
    wall_heat_j : array
        To the walls of one cylinder while its valves are closed, one cycle. [J]
    open_wall_heat_j : array
        The same while the exhaust valve is open. [J]
    speed_rad_s : array
        Of the crank. [rad/s]
    crown_share : array
        Of both, into the crown; the rest goes to head, valves and bore. [1] Valid 0.1 to 0.8.

    Returns
    -------
    crown_heat_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    crown_share * (wall_heat_j + open_wall_heat_j) * speed_rad_s / (4 * pi)

    Source
    ------
    own-computation, one cycle in two turns of a four-stroke

    Examples
    --------
    >>> round(float(crown_heat(160.0, 40.0, 654.498, 0.40)))
    4167
    """
    return crown_share * (wall_heat_j + open_wall_heat_j) * speed_rad_s / (4.0 * np.pi)


@valid(crown_share=(0.01, 0.15))
def crown_heat_of_fuel(fuel_mass_flow_kg_s: Array, heating_value_j_kg: Array, crown_share: Array = 0.05) -> Array:
    """Heat that one crown takes by the handbook: a share of its cylinder's fuel.

    Parameters
    ----------
    fuel_mass_flow_kg_s : array
        Of one cylinder. [kg/s]
    heating_value_j_kg : array
        Of the fuel; the handbook takes the higher one. [J/kg]
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
    >>> round(float(crown_heat_of_fuel(4.09e-4, 42e6)))
    859
    """
    return crown_share * fuel_mass_flow_kg_s * heating_value_j_kg


@valid(crown_thickness_m=(0.002, 0.05), conductivity_w_mk=(20.0, 400.0))
def flat_crown_temperature(
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
    >>> round(float(flat_crown_temperature(480.0, 860.0, 0.00668, 46.6)))
    700
    """
    return edge_temperature_k + crown_heat_w / (4.0 * np.pi * conductivity_w_mk * crown_thickness_m)


@valid(
    crown_heat_w=(0.0, 60000.0),
    bore_m=(0.02, 0.30),
    crown_thickness_m=(0.002, 0.05),
    conductivity_w_mk=(20.0, 400.0),
    plate_share=(0.02, 1.0),
    ring_conductance_w_mk=(50.0, 5000.0),
    splash_conductance_w_mk=(0.0, 1000.0),
    jet_conductance_w_mk=(0.0, 1000.0),
)
def crown_temperature(
    crown_heat_w: Array,
    bore_m: Array,
    crown_thickness_m: Array,
    conductivity_w_mk: Array,
    plate_share: Array,
    ring_conductance_w_mk: Array,
    splash_conductance_w_mk: Array,
    jet_conductance_w_mk: Array,
    oil_jets: Array,
    bore_temperature_k: Array,
    oil_temperature_k: Array,
) -> Array:
    """Temperature at the middle of the crown, in lasting full load; good to 30 K either way.

    Heat leaves by two paths: along the crown and through ring belt and rings into the bore, and off the underside
    into oil.  A real crown is ribbed and loses heat all over, so that of the flat plate's rise a share is taken.
    The conductances are of a class and set so that usual temperatures come out (220 to 280 degC without boost,
    270 to 340 degC with it, 20 to 40 K less with jets).  A short pull ends before the crown is that hot.

    Parameters
    ----------
    crown_heat_w : array
        Into one crown. [W] Valid 0 to 60000.
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    crown_thickness_m : array
        At its thinnest. [m] Valid 0.002 to 0.05.
    conductivity_w_mk : array
        Of the alloy, hot. [W/(m*K)] Valid 20 to 400.
    plate_share : array
        Of the flat plate's rise from rim to middle. [1] Valid 0.02 to 1.0.
    ring_conductance_w_mk : array
        From the ring belt into the bore, over the bore. [W/(m*K)] Valid 50 to 5000.
    splash_conductance_w_mk : array
        From the underside into splashed oil, over the bore. [W/(m*K)] Valid 0 to 1000.
    jet_conductance_w_mk : array
        What oil jets add to that. [W/(m*K)] Valid 0 to 1000.
    oil_jets : array
        Whether there are any; 1 or 0. [1]
    bore_temperature_k : array
        Of the bore where the top ring turns back. [K]
    oil_temperature_k : array
        Of the oil at the underside. [K]

    Returns
    -------
    crown_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    along = plate_share / (4 * pi * conductivity_w_mk * crown_thickness_m)
    by_rings = 1 / (along + 1 / (ring_conductance_w_mk * bore_m))
    by_oil = (splash_conductance_w_mk + jet_conductance_w_mk * oil_jets) * bore_m
    (crown_heat_w + by_rings * bore_temperature_k + by_oil * oil_temperature_k) / (by_rings + by_oil)

    Source
    ------
    own-computation, two paths in parallel; conductances from memory of usual temperatures

    Examples
    --------
    >>> of_class = (0.006, 132.0, 0.20, 640.0, 115.0, 90.0)
    >>> round(float(crown_temperature(3700.0, 0.086, *of_class, 0, 423.15, 388.15) - 273.15))
    243
    >>> round(float(crown_temperature(5500.0, 0.086, *of_class, 0, 423.15, 388.15) - 273.15))
    293
    >>> round(float(crown_temperature(5500.0, 0.086, *of_class, 1, 423.15, 388.15) - 273.15))
    262
    """
    along = plate_share / (4.0 * np.pi * conductivity_w_mk * crown_thickness_m)
    by_rings = 1.0 / (along + 1.0 / (ring_conductance_w_mk * bore_m))
    by_oil = (splash_conductance_w_mk + jet_conductance_w_mk * oil_jets) * bore_m
    return (crown_heat_w + by_rings * bore_temperature_k + by_oil * oil_temperature_k) / (by_rings + by_oil)


@valid(
    bore_m=(0.02, 0.30),
    crown_thickness_m=(0.002, 0.05),
    conductivity_w_mk=(20.0, 400.0),
    plate_share=(0.02, 1.0),
    ring_conductance_w_mk=(50.0, 5000.0),
)
def land_temperature(
    crown_temperature_k: Array,
    bore_temperature_k: Array,
    bore_m: Array,
    crown_thickness_m: Array,
    conductivity_w_mk: Array,
    plate_share: Array,
    ring_conductance_w_mk: Array,
) -> Array:
    """Temperature of the ring belt, on the way of the heat from the middle of the crown to the bore.

    Parameters
    ----------
    crown_temperature_k : array
        At the middle of the crown. [K]
    bore_temperature_k : array
        Of the bore where the top ring turns back. [K]
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    crown_thickness_m : array
        At its thinnest. [m] Valid 0.002 to 0.05.
    conductivity_w_mk : array
        Of the alloy, hot. [W/(m*K)] Valid 20 to 400.
    plate_share : array
        Of the flat plate's rise from rim to middle. [1] Valid 0.02 to 1.0.
    ring_conductance_w_mk : array
        From the ring belt into the bore, over the bore. [W/(m*K)] Valid 50 to 5000.

    Returns
    -------
    land_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    along = plate_share / (4 * pi * conductivity_w_mk * crown_thickness_m)
    through = 1 / (ring_conductance_w_mk * bore_m)
    bore_temperature_k + (crown_temperature_k - bore_temperature_k) * through / (along + through)

    Source
    ------
    own-computation, two resistances in a row

    Examples
    --------
    >>> round(float(land_temperature(565.15, 423.15, 0.086, 0.006, 132.0, 0.20, 640.0) - 273.15))
    217
    """
    along = plate_share / (4.0 * np.pi * conductivity_w_mk * crown_thickness_m)
    through = 1.0 / (ring_conductance_w_mk * bore_m)
    return bore_temperature_k + (crown_temperature_k - bore_temperature_k) * through / (along + through)


@valid(
    strength_pa=(1.0e6, 1.0e9), temperature_k=(300.0, 700.0), ratio_at_150=(1.0, 6.0), ratio_at_350=(0.05, 1.0)
)
def hot_strength(strength_pa: Array, temperature_k: Array, ratio_at_150: Array, ratio_at_350: Array) -> Array:
    """Strength of a piston alloy at a temperature, from its strength at 250 degC.

    It falls by a like share with each kelvin on either side of 250 degC, and below 150 degC is held at what it is
    there.  Hours at the temperature overage the alloy and take more.

    Parameters
    ----------
    strength_pa : array
        At 250 degC. [Pa] Valid 1.0e6 to 1.0e9.
    temperature_k : array
        Of the metal. [K] Valid 300 to 700.
    ratio_at_150 : array
        Strength at 150 degC over that at 250. [1] Valid 1 to 6.
    ratio_at_350 : array
        Strength at 350 degC over that at 250. [1] Valid 0.05 to 1.

    Returns
    -------
    hot_strength_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    above = (temperature_k - 523.15) / 100
    strength_pa * where(above > 0, ratio_at_350**abs(above), ratio_at_150**min(abs(above), 1))

    Source
    ------
    own-computation, a straight line in the logarithm; ratios from memory

    Examples
    --------
    >>> round(float(hot_strength(47e6, 423.15, 1.68, 0.47)) / 1e6)
    79
    >>> round(float(hot_strength(47e6, 573.15, 1.68, 0.47)) / 1e6)
    32
    """
    above = (np.asarray(temperature_k) - 523.15) / 100.0
    hotter, cooler = np.power(ratio_at_350, np.abs(above)), np.power(ratio_at_150, np.minimum(np.abs(above), 1.0))
    hot: Array = strength_pa * np.where(above > 0.0, hotter, cooler)
    return hot
