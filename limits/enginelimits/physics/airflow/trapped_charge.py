"""What one cylinder holds when the intake valve closes: masses, shares, temperature and pressure."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(air_mass_kg=(1e-06, 0.02), fuel_mass_kg=(0.0, 0.004), humidity_ratio=(0.0, 0.06))
def fresh_mass(air_mass_kg: Array, fuel_mass_kg: Array, humidity_ratio: Array) -> Array:
    """Air, its water and fuel in one cylinder.

    Parameters
    ----------
    air_mass_kg : array
        Dry air of one cylinder and cycle. [kg] Valid 1e-06 to 0.02.
    fuel_mass_kg : array
        Of one cylinder and cycle. [kg] Valid 0 to 0.004.
    humidity_ratio : array
        Water vapour over dry air. [1] Valid 0 to 0.06.

    Returns
    -------
    fresh_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    air_mass_kg * (1 + humidity_ratio) + fuel_mass_kg

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(fresh_mass(5e-4, 4e-5, 0.01)) * 1e6)
    545
    """
    return air_mass_kg * (1.0 + np.asarray(humidity_ratio)) + fuel_mass_kg


@valid(fresh_mass_kg=(1e-06, 0.025), residual_fraction=(0.0, 0.5))
def trapped_mass(fresh_mass_kg: Array, residual_fraction: Array) -> Array:
    """All gas in one cylinder at intake closing.

    Parameters
    ----------
    fresh_mass_kg : array
        Air, its water and fuel. [kg] Valid 1e-06 to 0.025.
    residual_fraction : array
        Burned gas left over, of the whole mass. [1] Valid 0 to 0.5.

    Returns
    -------
    trapped_mass_kg : array
        Broadcast of the arguments. [kg]

    Equation
    --------
    fresh_mass_kg / (1 - residual_fraction)

    Source
    ------
    heywood-1988, sec. 4.2

    Examples
    --------
    >>> round(float(trapped_mass(5.5e-4, 0.05)) * 1e6)
    579
    """
    return fresh_mass_kg / (1.0 - np.asarray(residual_fraction))


@valid(part_kg=(0.0, 0.02), whole_kg=(1e-06, 0.03))
def share_of_mass(part_kg: Array, whole_kg: Array) -> Array:
    """One part of a mass over the whole.

    Parameters
    ----------
    part_kg : array
        Part. [kg] Valid 0 to 0.02.
    whole_kg : array
        Whole. [kg] Valid 1e-06 to 0.03.

    Returns
    -------
    share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    part_kg / whole_kg

    Source
    ------
    own-computation

    Examples
    --------
    >>> float(share_of_mass(1e-4, 4e-4))
    0.25
    """
    return part_kg / np.asarray(whole_kg)


@valid(air_mass_kg=(1e-06, 0.02), humidity_ratio=(0.0, 0.06), trapped_mass_kg=(1e-06, 0.03))
def water_share(air_mass_kg: Array, humidity_ratio: Array, trapped_mass_kg: Array) -> Array:
    """Water vapour of the air over all gas in the cylinder; not a number where it would be more than all.

    Parameters
    ----------
    air_mass_kg : array
        Dry air. [kg] Valid 1e-06 to 0.02.
    humidity_ratio : array
        Water vapour over dry air. [1] Valid 0 to 0.06.
    trapped_mass_kg : array
        All gas at intake closing. [kg] Valid 1e-06 to 0.03.

    Returns
    -------
    share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    air_mass_kg * humidity_ratio / trapped_mass_kg

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(water_share(5e-4, 0.01, 5.8e-4)), 4)
    0.0086
    """
    share = air_mass_kg * np.asarray(humidity_ratio) / trapped_mass_kg
    return np.where(share <= 1.0, share, np.nan)[()]


@valid(manifold_temperature_k=(230.0, 500.0), charge_heating_k=(0.0, 120.0), charge_cooling_k=(0.0, 200.0))
def fresh_temperature(manifold_temperature_k: Array, charge_heating_k: Array, charge_cooling_k: Array) -> Array:
    """Fresh charge on its way in: warmed by port and cylinder walls, cooled by the fuel that evaporates.

    Parameters
    ----------
    manifold_temperature_k : array
        Air before the ports. [K] Valid 230 to 500.
    charge_heating_k : array
        By walls, without evaporation. [K] Valid 0 to 120.
    charge_cooling_k : array
        By fuel that evaporates on heat of the charge. [K] Valid 0 to 200.

    Returns
    -------
    temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    manifold_temperature_k + charge_heating_k - charge_cooling_k

    Source
    ------
    heywood-1988, sec. 6.2

    Examples
    --------
    >>> float(fresh_temperature(315.0, 30.0, 10.0))
    335.0
    """
    return np.asarray(manifold_temperature_k) + charge_heating_k - charge_cooling_k


@valid(
    charge_cooling_k=(0.0, 200.0),
    gasoline_cooling_k=(0.0, 80.0),
    fresh_temperature_k=(200.0, 500.0),
    gain_share=(0.0, 1.0),
)
def cooling_gain(
    charge_cooling_k: Array, gasoline_cooling_k: Array, fresh_temperature_k: Array, gain_share: Array
) -> Array:
    """What cooling by a fuel that evaporates with more heat than gasoline adds to the air trapped.

    Flow through the valve goes with the root of the temperature, which is a share of one half; vapour takes some of
    the room back, more with injection into the ports.

    Parameters
    ----------
    charge_cooling_k : array
        By this fuel. [K] Valid 0 to 200.
    gasoline_cooling_k : array
        By gasoline in the same engine. [K] Valid 0 to 80.
    fresh_temperature_k : array
        Of the fresh charge. [K] Valid 200 to 500.
    gain_share : array
        Of the cooling, over the temperature, that shows as air. [1] Valid 0 to 1.

    Returns
    -------
    factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    1 + gain_share * (charge_cooling_k - gasoline_cooling_k) / fresh_temperature_k

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(cooling_gain(40.0, 10.0, 320.0, 0.35)), 3)
    1.033
    """
    return 1.0 + gain_share * (np.asarray(charge_cooling_k) - gasoline_cooling_k) / fresh_temperature_k


@valid(
    fresh_temperature_k=(200.0, 500.0),
    residual_fraction=(0.0, 0.5),
    residual_temperature_k=(500.0, 1600.0),
)
def temperature_at_intake_closing(
    fresh_temperature_k: Array,
    residual_fraction: Array,
    residual_temperature_k: Array,
) -> Array:
    """Temperature of the mixture when the intake valve closes.

    Fresh charge and residual mix at equal heat capacities; those of the residual are some 15 % higher, which
    is 2 to 3 K at 4 % residual.

    Parameters
    ----------
    fresh_temperature_k : array
        Fresh charge as it comes in. [K] Valid 200 to 500.
    residual_fraction : array
        Burned gas left over, of the whole mass. [1] Valid 0 to 0.5.
    residual_temperature_k : array
        Of that gas. [K] Valid 500 to 1600.

    Returns
    -------
    temperature_at_intake_closing_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    fresh_temperature_k + residual_fraction * (residual_temperature_k - fresh_temperature_k)

    Source
    ------
    heywood-1988, sec. 5.4

    Examples
    --------
    >>> round(float(temperature_at_intake_closing(335.0, 0.04, 1000.0)), 1)
    361.6
    """
    return fresh_temperature_k + residual_fraction * (residual_temperature_k - np.asarray(fresh_temperature_k))


@valid(trapped_mass_kg=(1e-6, 0.03), temperature_k=(230.0, 900.0), volume_m3=(10e-6, 0.01))
def pressure_at_intake_closing(
    trapped_mass_kg: Array, temperature_k: Array, volume_m3: Array, gas_constant_j_kgk: Array = 287.0
) -> Array:
    """Pressure of the trapped charge in the volume that the cylinder has when its intake valve closes.

    Parameters
    ----------
    trapped_mass_kg : array
        Air, fuel and residual of one cylinder. [kg] Valid 1e-6 to 0.03.
    temperature_k : array
        Of the mixture. [K] Valid 230 to 900.
    volume_m3 : array
        Of one cylinder, clearance included. [m^3] Valid 10e-6 to 0.01.
    gas_constant_j_kgk : array
        Of the mixture. [J/(kg*K)]

    Returns
    -------
    pressure_at_intake_closing_pa : array
        Absolute, broadcast of the arguments. [Pa]

    Equation
    --------
    trapped_mass_kg * gas_constant_j_kgk * temperature_k / volume_m3

    Source
    ------
    heywood-1988, sec. 5.4

    Examples
    --------
    >>> round(float(pressure_at_intake_closing(1.0e-3, 360.0, 520e-6)))
    198692
    """
    return trapped_mass_kg * gas_constant_j_kgk * temperature_k / volume_m3
