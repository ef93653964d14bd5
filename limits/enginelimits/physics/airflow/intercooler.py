"""The charge cooler: temperature and pressure behind it, heat given off, and what a pull adds."""

from __future__ import annotations

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(inlet_temperature_k=(230.0, 700.0), cooling_air_temperature_k=(230.0, 370.0), effectiveness=(0.0, 1.0))
def outlet_temperature(
    inlet_temperature_k: Array, cooling_air_temperature_k: Array, effectiveness: Array
) -> Array:
    """Charge temperature after the cooler.

    Parameters
    ----------
    inlet_temperature_k : array
        Charge entering the core. [K] Valid 230 to 700.
    cooling_air_temperature_k : array
        Air at the face of the core. [K] Valid 230 to 370.
    effectiveness : array
        Share of the possible cooling that is reached; 0 without a cooler. [1] Valid 0 to 1.

    Returns
    -------
    outlet_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    inlet_temperature_k - effectiveness * (inlet_temperature_k - cooling_air_temperature_k)

    Source
    ------
    kays-london-1984, definition of effectiveness, charge air having the smaller capacity rate

    Examples
    --------
    >>> round(float(outlet_temperature(361.15, 298.15, 0.70)), 2)
    317.05
    """
    return inlet_temperature_k - effectiveness * (inlet_temperature_k - cooling_air_temperature_k)


@valid(mass_flow_kg_s=(0.0, 3.0), inlet_temperature_k=(230.0, 700.0), outlet_temperature_k=(230.0, 700.0))
def heat_rejected(
    mass_flow_kg_s: Array,
    inlet_temperature_k: Array,
    outlet_temperature_k: Array,
    heat_capacity_j_kgk: Array = 1005.0,
) -> Array:
    """Heat that the charge leaves in the cooler.

    Parameters
    ----------
    mass_flow_kg_s : array
        Air. [kg/s] Valid 0 to 3.
    inlet_temperature_k : array
        Charge entering the core. [K] Valid 230 to 700.
    outlet_temperature_k : array
        Charge leaving the core. [K] Valid 230 to 700.
    heat_capacity_j_kgk : array
        Of air, at constant pressure. [J/(kg*K)]

    Returns
    -------
    heat_rejected_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    mass_flow_kg_s * heat_capacity_j_kgk * (inlet_temperature_k - outlet_temperature_k)

    Source
    ------
    kays-london-1984, ch. 2

    Examples
    --------
    >>> round(float(heat_rejected(0.2, 370.0, 318.0)))
    10452
    """
    return mass_flow_kg_s * heat_capacity_j_kgk * (inlet_temperature_k - outlet_temperature_k)


@valid(
    rated_drop_pa=(0.0, 50e3),
    mass_flow_kg_s=(0.0, 3.0),
    rated_mass_flow_kg_s=(0.01, 3.0),
    density_kg_m3=(0.3, 8.0),
    rated_density_kg_m3=(0.3, 8.0),
)
def pressure_drop(
    rated_drop_pa: Array,
    mass_flow_kg_s: Array,
    rated_mass_flow_kg_s: Array,
    density_kg_m3: Array = 1.0,
    rated_density_kg_m3: Array = 1.0,
) -> Array:
    """Pressure lost in a core, a filter or an exhaust at another flow than the one it is known for.

    Parameters
    ----------
    rated_drop_pa : array
        Known loss. [Pa] Valid 0 to 50e3.
    mass_flow_kg_s : array
        Flow asked about. [kg/s] Valid 0 to 3.
    rated_mass_flow_kg_s : array
        Flow at which the loss is known. [kg/s] Valid 0.01 to 3.
    density_kg_m3 : array
        Density asked about; leave both densities out where they are alike. [kg/m^3] Valid 0.3 to 8.
    rated_density_kg_m3 : array
        Density at which the loss is known. [kg/m^3] Valid 0.3 to 8.

    Returns
    -------
    pressure_drop_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    rated_drop_pa * (mass_flow_kg_s / rated_mass_flow_kg_s) ** 2 * rated_density_kg_m3 / density_kg_m3

    Source
    ------
    kays-london-1984, ch. 2, at an unchanged loss coefficient

    Examples
    --------
    >>> pressure_drop(5000.0, 0.1, 0.2)
    1250.0
    """
    return rated_drop_pa * (mass_flow_kg_s / rated_mass_flow_kg_s) ** 2 * rated_density_kg_m3 / density_kg_m3


@valid(inlet_temperature_k=(230.0, 700.0), outlet_temperature_k=(230.0, 700.0), soak_share=(0.0, 1.0))
def temperature_after_soak(
    inlet_temperature_k: Array, outlet_temperature_k: Array, soak_share: Array
) -> Array:
    """Charge temperature at the end of a pull, when the core has taken up heat.

    The core drifts toward the charge that enters it; the share it has gone by the end of a pull of ten to
    fifteen seconds depends on its mass and its air.  A small front core showed 0.24.

    Parameters
    ----------
    inlet_temperature_k : array
        Charge entering the core. [K] Valid 230 to 700.
    outlet_temperature_k : array
        Charge leaving the core while it is cold. [K] Valid 230 to 700.
    soak_share : array
        Share of the remaining difference lost by the end of the pull. [1] Valid 0 to 1.

    Returns
    -------
    temperature_after_soak_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    outlet_temperature_k + soak_share * (inlet_temperature_k - outlet_temperature_k)

    Source
    ------
    common-practice

    Examples
    --------
    >>> temperature_after_soak(360.0, 310.0, 0.2)
    320.0
    """
    return outlet_temperature_k + soak_share * (inlet_temperature_k - outlet_temperature_k)


@valid(
    manifold_pressure_pa=(20e3, 600e3),
    manifold_temperature_k=(230.0, 700.0),
    outside_pressure_pa=(30e3, 110e3),
    outside_temperature_k=(230.0, 330.0),
)
def density_ratio(
    manifold_pressure_pa: Array,
    manifold_temperature_k: Array,
    outside_pressure_pa: Array,
    outside_temperature_k: Array,
) -> Array:
    """Density in the manifold over density outside.

    Parameters
    ----------
    manifold_pressure_pa : array
        Absolute. [Pa] Valid 20e3 to 600e3.
    manifold_temperature_k : array
        Charge. [K] Valid 230 to 700.
    outside_pressure_pa : array
        Barometer. [Pa] Valid 30e3 to 110e3.
    outside_temperature_k : array
        Outside air. [K] Valid 230 to 330.

    Returns
    -------
    density_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    manifold_pressure_pa / outside_pressure_pa * outside_temperature_k / manifold_temperature_k

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(density_ratio(156.5e3, 317.15, 101.325e3, 298.15)), 2)
    1.45
    """
    return manifold_pressure_pa / outside_pressure_pa * outside_temperature_k / manifold_temperature_k
