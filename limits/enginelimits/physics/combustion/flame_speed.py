"""How fast a laminar flame runs into the unburned charge, by fuel and state.

The families of correlations disagree by half in absolute value, less so in how fuels and states compare: use
their ratios.  Measured to 700 K and 50 atm; an engine goes beyond, and there all of this is extrapolated.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import STANDARD_PRESSURE

MEASURED_FROM_K = 298.0  # Metghalchi and Keck, Rhodes and Keck
GULDER_FROM_K = 300.0


class PowerLaw(NamedTuple):
    """A fuel's constants in the form of Metghalchi and Keck, at 298 K and 1 atm."""

    greatest_speed_m_s: float
    curvature_m_s: float
    fastest_equivalence_ratio: float


class Gulder(NamedTuple):
    """A fuel's constants in the form of Gulder, at 300 K and 1 atm."""

    speed_scale_m_s: float
    mixture_exponent: float
    mixture_width: float
    temperature_exponent: float
    pressure_exponent: float
    mixture_on_pressure: float  # how the pressure exponent grows away from stoichiometric


# Metghalchi, Keck 1982, table of constants, from memory
POWER_LAWS: Mapping[str, PowerLaw] = MappingProxyType(
    {
        "iso-octane": PowerLaw(0.2632, -0.8472, 1.13),
        "methanol": PowerLaw(0.3692, -1.4051, 1.11),
        "rmfd-303": PowerLaw(0.2758, -0.7834, 1.13),
    }
)

# Gulder 1984, table of constants, from memory
ISO_OCTANE = Gulder(0.4658, -0.326, 4.48, 1.56, 0.22, 0.0)
ETHANOL = Gulder(0.465, 0.25, 6.34, 1.75, 0.17, 0.5)
METHANOL = Gulder(0.492, 0.25, 5.11, 1.75, 0.2, 0.5)


@valid(
    unburned_temperature_k=(298.0, 1100.0),
    pressure_pa=(4e4, 1e7),
    equivalence_ratio=(0.7, 1.5),
    greatest_speed_m_s=(0.2, 0.5),
    curvature_m_s=(-1.5, -0.5),
    fastest_equivalence_ratio=(1.0, 1.3),
    diluent_fraction=(0.0, 0.3),
)
def power_law_flame_speed(
    unburned_temperature_k: Array,
    pressure_pa: Array,
    equivalence_ratio: Array,
    greatest_speed_m_s: Array,
    curvature_m_s: Array,
    fastest_equivalence_ratio: Array,
    diluent_fraction: Array = 0.0,
) -> Array:
    """Laminar flame speed of one fuel in the power-law form of Metghalchi and Keck.

    Low by a quarter at room state against later measurements.  Not a number where the form gives no flame.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 298 to 1100.
    pressure_pa : array
        Absolute. [Pa] Valid 4e4 to 1e7.
    equivalence_ratio : array
        Fuel over stoichiometric fuel. [1] Valid 0.7 to 1.5.
    greatest_speed_m_s : array
        Of the fuel, at 298 K and 1 atm. [m/s] Valid 0.2 to 0.5.
    curvature_m_s : array
        Fall with the square of the distance from the fastest mixture. [m/s] Valid -1.5 to -0.5.
    fastest_equivalence_ratio : array
        Where the flame is fastest. [1] Valid 1.0 to 1.3.
    diluent_fraction : array
        Burned gas in the charge by mass. [1] Valid 0 to 0.3.

    Returns
    -------
    flame_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    at_room = greatest_speed_m_s + curvature_m_s * (equivalence_ratio - fastest_equivalence_ratio)**2
    hot = (unburned_temperature_k / 298)**(2.18 - 0.8 * (equivalence_ratio - 1))
    dense = (pressure_pa / 101325)**(-0.16 + 0.22 * (equivalence_ratio - 1))
    at_room * hot * dense * (1 - 2.1 * diluent_fraction)

    Source
    ------
    metghalchi-keck-1982, constants from memory

    Examples
    --------
    >>> round(float(power_law_flame_speed(298.0, 101325.0, 0.8, *POWER_LAWS["rmfd-303"])), 4)
    0.1905
    """
    rich = np.asarray(equivalence_ratio) - 1.0
    at_room = greatest_speed_m_s + curvature_m_s * (equivalence_ratio - np.asarray(fastest_equivalence_ratio)) ** 2
    hot = (unburned_temperature_k / MEASURED_FROM_K) ** (2.18 - 0.8 * rich)
    dense = (pressure_pa / STANDARD_PRESSURE) ** (-0.16 + 0.22 * rich)
    return np.where(at_room > 0.0, at_room, np.nan) * hot * dense * (1.0 - 2.1 * np.asarray(diluent_fraction))


@valid(residual_mole_fraction=(0.0, 0.3))
def residual_slowing(residual_mole_fraction: Array) -> Array:
    """What burned gas in the charge leaves of the flame speed.

    Parameters
    ----------
    residual_mole_fraction : array
        Burned gas in the charge by moles. [1] Valid 0 to 0.3.

    Returns
    -------
    share : array
        Of the speed without burned gas. [1]

    Equation
    --------
    1 - 2.06 * residual_mole_fraction**0.77

    Source
    ------
    rhodes-keck-1985, from memory

    Examples
    --------
    >>> round(float(residual_slowing(0.1)), 3)
    0.65
    """
    return 1.0 - 2.06 * np.asarray(residual_mole_fraction) ** 0.77


@valid(
    unburned_temperature_k=(298.0, 1100.0),
    pressure_pa=(4e4, 1e7),
    lambda_ratio=(0.67, 1.43),
    residual_mole_fraction=(0.0, 0.3),
)
def gasoline_flame_speed(
    unburned_temperature_k: Array, pressure_pa: Array, lambda_ratio: Array, residual_mole_fraction: Array = 0.0
) -> Array:
    """Laminar flame speed of gasoline.

    Hot and dense, the fit takes the fastest mixture from lambda 0.83 to 0.78 at 700 K and 20 bar and 0.74 at 750 K and
    40 bar, richer than the other families have it: it overstates what enriching gains there.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 298 to 1100.
    pressure_pa : array
        Absolute. [Pa] Valid 4e4 to 1e7.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.67 to 1.43.
    residual_mole_fraction : array
        Burned gas in the charge by moles. [1] Valid 0 to 0.3.

    Returns
    -------
    flame_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    equivalence_ratio = 1 / lambda_ratio
    at_room = 0.305 - 0.549 * (equivalence_ratio - 1.21)**2
    hot = (unburned_temperature_k / 298)**(2.4 - 0.271 * equivalence_ratio**3.51)
    dense = (pressure_pa / 101325)**(-0.357 + 0.14 * equivalence_ratio**2.77)
    at_room * hot * dense * (1 - 2.06 * residual_mole_fraction**0.77)

    Source
    ------
    rhodes-keck-1985, constants from memory

    Examples
    --------
    >>> round(float(gasoline_flame_speed(298.0, 101325.0, 1.0)), 4)
    0.2808
    """
    equivalence_ratio = 1.0 / np.asarray(lambda_ratio)
    at_room = 0.305 - 0.549 * (equivalence_ratio - 1.21) ** 2
    hot = (unburned_temperature_k / MEASURED_FROM_K) ** (2.4 - 0.271 * equivalence_ratio**3.51)
    dense = (pressure_pa / STANDARD_PRESSURE) ** (-0.357 + 0.14 * equivalence_ratio**2.77)
    return at_room * hot * dense * residual_slowing(residual_mole_fraction)


@valid(
    unburned_temperature_k=(298.0, 1100.0),
    pressure_pa=(4e4, 1e7),
    equivalence_ratio=(0.7, 1.5),
    speed_scale_m_s=(0.3, 0.6),
    mixture_exponent=(-0.5, 0.5),
    mixture_width=(3.0, 8.0),
    temperature_exponent=(1.0, 2.5),
    pressure_exponent=(0.0, 0.5),
    mixture_on_pressure=(0.0, 1.0),
)
def gulder_flame_speed(
    unburned_temperature_k: Array,
    pressure_pa: Array,
    equivalence_ratio: Array,
    speed_scale_m_s: Array,
    mixture_exponent: Array,
    mixture_width: Array,
    temperature_exponent: Array,
    pressure_exponent: Array,
    mixture_on_pressure: Array,
) -> Array:
    """Laminar flame speed of one pure fuel in the form of Gulder.

    High by a third at room state against later measurements.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 298 to 1100.
    pressure_pa : array
        Absolute. [Pa] Valid 4e4 to 1e7.
    equivalence_ratio : array
        Fuel over stoichiometric fuel. [1] Valid 0.7 to 1.5.
    speed_scale_m_s : array
        Of the fuel, at 300 K and 1 atm. [m/s] Valid 0.3 to 0.6.
    mixture_exponent : array
        Of the equivalence ratio. [1] Valid -0.5 to 0.5.
    mixture_width : array
        How sharply the speed falls away from the fastest mixture. [1] Valid 3 to 8.
    temperature_exponent : array
        Of the unburned temperature. [1] Valid 1 to 2.5.
    pressure_exponent : array
        By which the speed falls with pressure when stoichiometric. [1] Valid 0 to 0.5.
    mixture_on_pressure : array
        Exponent by which that grows away from stoichiometric. [1] Valid 0 to 1.

    Returns
    -------
    flame_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    bell = exp(-mixture_width * (equivalence_ratio - 1.075)**2)
    at_room = speed_scale_m_s * equivalence_ratio**mixture_exponent * bell
    away = max(equivalence_ratio, 1 / equivalence_ratio)**mixture_on_pressure
    dense = (pressure_pa / 101325)**(-pressure_exponent * away)
    at_room * (unburned_temperature_k / 300)**temperature_exponent * dense

    Source
    ------
    gulder-1984, constants from memory

    Examples
    --------
    >>> round(float(gulder_flame_speed(298.0, 101325.0, 1.0, *ETHANOL)), 4)
    0.4435
    """
    phi = np.asarray(equivalence_ratio)
    at_room = speed_scale_m_s * phi**mixture_exponent * np.exp(-mixture_width * (phi - 1.075) ** 2)
    away = np.maximum(phi, 1.0 / phi) ** mixture_on_pressure
    dense = (pressure_pa / STANDARD_PRESSURE) ** (-pressure_exponent * away)
    return at_room * (unburned_temperature_k / GULDER_FROM_K) ** temperature_exponent * dense


@valid(unburned_temperature_k=(298.0, 1100.0), pressure_pa=(4e4, 1e7), lambda_ratio=(0.67, 1.43))
def ethanol_speed_factor(unburned_temperature_k: Array, pressure_pa: Array, lambda_ratio: Array) -> Array:
    """Flame speed of ethanol over that of iso-octane at the same state, which stands for gasoline.

    Leaner than lambda 1.2 it comes out below one, which engines do not show: the narrow bell of the fit.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 298 to 1100.
    pressure_pa : array
        Absolute. [Pa] Valid 4e4 to 1e7.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.67 to 1.43.

    Returns
    -------
    factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    phi = 1 / lambda_ratio
    mixture = 0.465 / 0.4658 * phi**(0.25 + 0.326) * exp(-(6.34 - 4.48) * (phi - 1.075)**2)
    hot = (unburned_temperature_k / 300)**(1.75 - 1.56)
    dense = (pressure_pa / 101325)**(0.22 - 0.17 * max(phi, 1 / phi)**0.5)
    mixture * hot * dense

    Source
    ------
    gulder-1984, constants from memory

    Examples
    --------
    >>> round(float(ethanol_speed_factor(700.0, 20 * 101325.0, 1 / 1.1)), 3)
    1.402
    """
    return _over_iso_octane(ETHANOL, unburned_temperature_k, pressure_pa, lambda_ratio)


@valid(unburned_temperature_k=(298.0, 1100.0), pressure_pa=(4e4, 1e7), lambda_ratio=(0.67, 1.43))
def methanol_speed_factor(unburned_temperature_k: Array, pressure_pa: Array, lambda_ratio: Array) -> Array:
    """Flame speed of methanol over that of iso-octane at the same state, which stands for gasoline.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 298 to 1100.
    pressure_pa : array
        Absolute. [Pa] Valid 4e4 to 1e7.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.67 to 1.43.

    Returns
    -------
    factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    phi = 1 / lambda_ratio
    mixture = 0.492 / 0.4658 * phi**(0.25 + 0.326) * exp(-(5.11 - 4.48) * (phi - 1.075)**2)
    hot = (unburned_temperature_k / 300)**(1.75 - 1.56)
    dense = (pressure_pa / 101325)**(0.22 - 0.2 * max(phi, 1 / phi)**0.5)
    mixture * hot * dense

    Source
    ------
    gulder-1984, constants from memory

    Examples
    --------
    >>> round(float(methanol_speed_factor(298.0, 101325.0, 1.0)), 3)
    1.051
    """
    return _over_iso_octane(METHANOL, unburned_temperature_k, pressure_pa, lambda_ratio)


def _over_iso_octane(fuel: Gulder, unburned_temperature_k: Array, pressure_pa: Array, lambda_ratio: Array) -> Array:
    state = unburned_temperature_k, pressure_pa, 1.0 / np.asarray(lambda_ratio)
    return gulder_flame_speed(*state, *fuel) / gulder_flame_speed(*state, *ISO_OCTANE)


@valid(
    unburned_temperature_k=(298.0, 1100.0),
    pressure_pa=(4e4, 1e7),
    lambda_ratio=(0.67, 1.43),
    residual_mole_fraction=(0.0, 0.3),
    ethanol_mass_fraction=(0.0, 1.0),
    methanol_mass_fraction=(0.0, 1.0),
)
def flame_speed(
    unburned_temperature_k: Array,
    pressure_pa: Array,
    lambda_ratio: Array,
    residual_mole_fraction: Array,
    ethanol_mass_fraction: Array = 0.0,
    methanol_mass_fraction: Array = 0.0,
) -> Array:
    """Laminar flame speed of gasoline with alcohol: to compare states and blends, not to be taken as it stands.

    Parameters
    ----------
    unburned_temperature_k : array
        Of the charge ahead of the flame. [K] Valid 298 to 1100.
    pressure_pa : array
        Absolute. [Pa] Valid 4e4 to 1e7.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.67 to 1.43.
    residual_mole_fraction : array
        Burned gas in the charge by moles. [1] Valid 0 to 0.3.
    ethanol_mass_fraction : array
        Ethanol in the fuel by mass. [1] Valid 0 to 1.
    methanol_mass_fraction : array
        Methanol in the fuel by mass. [1] Valid 0 to 1.

    Returns
    -------
    flame_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    phi = 1 / lambda_ratio
    hot = (unburned_temperature_k / 298)**(2.4 - 0.271 * phi**3.51)
    dense = (pressure_pa / 101325)**(-0.357 + 0.14 * phi**2.77)
    diluted = 1 - 2.06 * residual_mole_fraction**0.77
    gasoline = (0.305 - 0.549 * (phi - 1.21)**2) * hot * dense * diluted
    hotter = (unburned_temperature_k / 300)**(1.75 - 1.56)
    away = max(phi, 1 / phi)**0.5
    narrow = 0.465 / 0.4658 * phi**(0.25 + 0.326) * exp(-(6.34 - 4.48) * (phi - 1.075)**2)
    ethanol = narrow * hotter * (pressure_pa / 101325)**(0.22 - 0.17 * away)
    wide = 0.492 / 0.4658 * phi**(0.25 + 0.326) * exp(-(5.11 - 4.48) * (phi - 1.075)**2)
    methanol = wide * hotter * (pressure_pa / 101325)**(0.22 - 0.2 * away)
    gasoline * (1 + ethanol_mass_fraction * (ethanol - 1) + methanol_mass_fraction * (methanol - 1))

    Source
    ------
    rhodes-keck-1985, gasoline, constants from memory; gulder-1984, alcohols over iso-octane, constants from memory

    Examples
    --------
    >>> petrol, blend = (float(flame_speed(700.0, 2e6, 0.9, 0.05, share)) for share in (0.0, 0.85))
    >>> round(petrol, 2), round(blend / petrol, 2)
    (0.8, 1.34)
    """
    gasoline = gasoline_flame_speed(unburned_temperature_k, pressure_pa, lambda_ratio, residual_mole_fraction)
    state = unburned_temperature_k, pressure_pa, lambda_ratio
    by_ethanol = np.asarray(ethanol_mass_fraction) * (ethanol_speed_factor(*state) - 1.0)
    by_methanol = np.asarray(methanol_mass_fraction) * (methanol_speed_factor(*state) - 1.0)
    return gasoline * (1.0 + by_ethanol + by_methanol)
