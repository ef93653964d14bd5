"""What happens when the tank holds another share of ethanol than the map was made for."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.gas.blend import blend_density
from enginelimits.physics.gas.fuel import blend_stoichiometric_ratio
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

_GASOLINE = {
    "gasoline_density_kg_m3": (680.0, 800.0),
    "gasoline_stoichiometric_ratio": (14.0, 15.2),
    "methanol": (0.0, 1.0),
}


def _air_by_volume(
    ethanol: Array, gasoline_density_kg_m3: Array, gasoline_stoichiometric_ratio: Array, methanol: Array
) -> Array:
    """Air that burns a cubic metre of the blend completely. [kg/m^3]"""
    return blend_density(ethanol, gasoline_density_kg_m3, methanol) * blend_stoichiometric_ratio(
        ethanol, gasoline_density_kg_m3, gasoline_stoichiometric_ratio, methanol
    )


@valid(lambda_target=(0.5, 1.6), mapped_ethanol=(0.0, 1.0), ethanol=(0.0, 1.0), **_GASOLINE)
def drifted_lambda(
    lambda_target: Array,
    mapped_ethanol: Array,
    ethanol: Array,
    gasoline_density_kg_m3: Array,
    gasoline_stoichiometric_ratio: Array,
    methanol: Array = 0.0,
) -> Array:
    """Lambda that comes out where injectors open as long as the map says, and the tank holds another blend.

    Their mass flow goes with the root of the density; trims and sensors are left out.

    Parameters
    ----------
    lambda_target : array
        That the map was made for. [1] Valid 0.5 to 1.6.
    mapped_ethanol : array
        By volume, that the map was made for. [1] Valid 0 to 1.
    ethanol : array
        By volume, in the tank. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_stoichiometric_ratio : array
        Of the hydrocarbon part. [1] Valid 14 to 15.2.
    methanol : array
        By volume, the same in both. [1] Valid 0 to 1.

    Returns
    -------
    lambda_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    air = gasoline_density_kg_m3 * gasoline_stoichiometric_ratio
    of_both = 796 * 6.47 * methanol
    mapped_air = 794 * 8.98 * mapped_ethanol + of_both + air * (1 - mapped_ethanol - methanol)
    here_air = 794 * 8.98 * ethanol + of_both + air * (1 - ethanol - methanol)
    mapped_density = 794 * mapped_ethanol + 796 * methanol + gasoline_density_kg_m3 * (1 - mapped_ethanol - methanol)
    density = 794 * ethanol + 796 * methanol + gasoline_density_kg_m3 * (1 - ethanol - methanol)
    lambda_target * mapped_air / here_air * sqrt(density / mapped_density)

    Source
    ------
    heywood-1988, eq. 3.8 and sec. 7.3

    Examples
    --------
    >>> round(float(drifted_lambda(0.80, 0.80, 0.55, 745.0, 14.6)), 3)
    0.709
    """
    mapped_air = _air_by_volume(mapped_ethanol, gasoline_density_kg_m3, gasoline_stoichiometric_ratio, methanol)
    air = _air_by_volume(ethanol, gasoline_density_kg_m3, gasoline_stoichiometric_ratio, methanol)
    denser = blend_density(ethanol, gasoline_density_kg_m3, methanol) / blend_density(
        mapped_ethanol, gasoline_density_kg_m3, methanol
    )
    return lambda_target * mapped_air / air * np.sqrt(denser)


@valid(reference_ethanol=(0.0, 1.0), ethanol=(0.0, 1.0), **_GASOLINE)
def volume_ratio(
    reference_ethanol: Array,
    ethanol: Array,
    gasoline_density_kg_m3: Array,
    gasoline_stoichiometric_ratio: Array,
    methanol: Array = 0.0,
) -> Array:
    """Volume of fuel that the same air takes at the same lambda, over that of another blend.

    Parameters
    ----------
    reference_ethanol : array
        By volume, of the blend to compare with. [1] Valid 0 to 1.
    ethanol : array
        By volume. [1] Valid 0 to 1.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_stoichiometric_ratio : array
        Of the hydrocarbon part. [1] Valid 14 to 15.2.
    methanol : array
        By volume, the same in both. [1] Valid 0 to 1.

    Returns
    -------
    volume_ratio : array
        Broadcast of the arguments. [1]

    Equation
    --------
    air = gasoline_density_kg_m3 * gasoline_stoichiometric_ratio
    of_both = 796 * 6.47 * methanol
    reference_air = 794 * 8.98 * reference_ethanol + of_both + air * (1 - reference_ethanol - methanol)
    here_air = 794 * 8.98 * ethanol + of_both + air * (1 - ethanol - methanol)
    reference_air / here_air

    Source
    ------
    heywood-1988, eq. 3.8

    Examples
    --------
    >>> round(float(volume_ratio(0.10, 0.85, 745.0, 14.6)), 2)
    1.37
    """
    reference = _air_by_volume(reference_ethanol, gasoline_density_kg_m3, gasoline_stoichiometric_ratio, methanol)
    return reference / _air_by_volume(ethanol, gasoline_density_kg_m3, gasoline_stoichiometric_ratio, methanol)


@valid(mapped_ethanol=(0.0, 1.0), lowest_ethanol=(0.0, 1.0), highest_ethanol=(0.0, 1.0))
def content_moved(mapped_ethanol: Array, lowest_ethanol: Array, highest_ethanol: Array) -> Array:
    """How far the content may lie from what the map was made for, to the side that is farther.

    Parameters
    ----------
    mapped_ethanol : array
        By volume, that the map was made for. [1] Valid 0 to 1.
    lowest_ethanol : array
        By volume, that a tank may hold. [1] Valid 0 to 1.
    highest_ethanol : array
        By volume, that a tank may hold. [1] Valid 0 to 1.

    Returns
    -------
    moved : array
        By volume, broadcast of the arguments. [1]

    Equation
    --------
    max(mapped_ethanol - lowest_ethanol, highest_ethanol - mapped_ethanol)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(content_moved(0.70, 0.51, 0.83)), 2)
    0.19
    """
    return np.maximum(np.subtract(mapped_ethanol, lowest_ethanol), np.subtract(highest_ethanol, mapped_ethanol))


@valid(octane=(70.0, 130.0), drifted_octane=(70.0, 130.0))
def octane_lost(octane: Array, drifted_octane: Array) -> Array:
    """Octane numbers that a tank lacks against the one that the map was made for.

    Parameters
    ----------
    octane : array
        Of the fuel that the map was made for. [1] Valid 70 to 130.
    drifted_octane : array
        Of the tank. [1] Valid 70 to 130.

    Returns
    -------
    octane_lost : array
        Broadcast of the arguments. [1]

    Equation
    --------
    octane - drifted_octane

    Source
    ------
    own-computation

    Examples
    --------
    >>> octane_lost(104.0, 102.5)
    1.5
    """
    return octane - drifted_octane


@valid(knock_margin=(-80.0, 80.0), octane_lost=(-40.0, 40.0))
def margin_left(knock_margin: Array, octane_lost: Array) -> Array:
    """Octane numbers to spare on that tank; the cooling that goes with the ethanol is lost beside them.

    Parameters
    ----------
    knock_margin : array
        On the fuel that the map was made for. [1] Valid -80 to 80.
    octane_lost : array
        That the tank lacks. [1] Valid -40 to 40.

    Returns
    -------
    margin_left : array
        Broadcast of the arguments. [1]

    Equation
    --------
    knock_margin - octane_lost

    Source
    ------
    own-computation

    Examples
    --------
    >>> margin_left(3.0, 1.5)
    1.5
    """
    return knock_margin - octane_lost


@valid(volume_ratio=(0.5, 2.0))
def use_by_volume(use: Array, volume_ratio: Array) -> Array:
    """Use of a pump once the fuel takes another volume for the same air.

    Parameters
    ----------
    use : array
        On the fuel that it is known for; infinite where the pump gives nothing. [1]
    volume_ratio : array
        Volume over that of the known fuel. [1] Valid 0.5 to 2.

    Returns
    -------
    use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    use * volume_ratio

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(use_by_volume(0.8, 1.25), 3)
    1.0
    """
    return use * volume_ratio


@valid(duty=(0.0, 20.0), volume_ratio=(0.5, 2.0), dead_time_s=(0.0, 4e-3), speed_rad_s=(0.0, 2000.0))
def duty_by_volume(duty: Array, volume_ratio: Array, dead_time_s: Array, speed_rad_s: Array) -> Array:
    """Duty of a port injector once the fuel takes another volume for the same air; dead time stays.

    Parameters
    ----------
    duty : array
        Opening command over 720 degrees, dead time included, on the fuel that it is known for. [1] Valid 0 to 20.
    volume_ratio : array
        Volume over that of the known fuel. [1] Valid 0.5 to 2.
    dead_time_s : array
        Command that passes before fuel flows. [s] Valid 0 to 4e-3.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 0 to 2000.

    Returns
    -------
    duty : array
        Broadcast of the arguments. [1]

    Equation
    --------
    dead = dead_time_s * speed_rad_s / (4 * pi)
    (duty - dead) * volume_ratio + dead

    Source
    ------
    own-computation

    Examples
    --------
    >>> round(float(duty_by_volume(0.70, 1.25, 1e-3, 7000 * 2 * np.pi / 60)), 3)
    0.86
    """
    dead = dead_time_s * speed_rad_s / (4.0 * np.pi)
    return (duty - dead) * volume_ratio + dead
