"""Knock resistance of a fuel: research and motor octane of blends, and what they are worth in an engine.

``octane`` and ``motor_octane`` are asked of the gasoline as sold, because that is how it is sold, and
``gasoline_ethanol`` is what that gasoline already holds. The laws, their sources and their misfits are worked
through in docs/sums/octane.md.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.gas.blend import ethanol_mole_fraction, methanol_mole_fraction
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Neat fuels.
ALCOHOL_RESEARCH_OCTANE = 109.0  # ethanol and methanol
ETHANOL_MOTOR_OCTANE = 90.0
METHANOL_MOTOR_OCTANE = 89.0

# Anderson's term for what alcohol and hydrocarbons gain from each other.  Mixtures of n-heptane, iso-octane and toluene
# of 80 to 92 MON with ethanol have 17.5 (Kuzhagaliyeva et al. 2022); gasolines hold other hydrocarbons, which gain
# less, hence the middle between that and nothing.
MOTOR_OCTANE_SYNERGY = 8.5

# Measured RON of gasoline-ethanol blends converges at 103 to 105 above 30 to 40 % by volume
# (Chupka et al., SAE 2015-01-0763); the bend is rounded over about one octane number.
OCTANE_CEILING = 104.5
OCTANE_ROUNDING = 1.0

SCALE_END = 100.0  # neat iso-octane; above it, ratings are by lead in iso-octane and no mixture of the two


def _saturated(octane: Array) -> Array:
    """Follows ``octane`` well below the ceiling and the ceiling well above it."""
    over = octane - OCTANE_CEILING
    return OCTANE_CEILING + 0.5 * (over - np.sqrt(over * over + OCTANE_ROUNDING**2))


@valid(
    ethanol=(0.0, 1.0),
    gasoline_ethanol=(0.0, 0.30),
    octane=(80.0, 110.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_molar_mass_kg_mol=(0.085, 0.125),
    methanol=(0.0, 1.0),
)
def blend_research_octane(
    ethanol: Array,
    gasoline_ethanol: Array,
    octane: Array,
    gasoline_density_kg_m3: Array,
    gasoline_molar_mass_kg_mol: Array,
    methanol: Array = 0.0,
) -> Array:
    """Research octane number of gasoline as sold with alcohol added to it.

    Linear in moles of added alcohol between the sold gasoline and neat alcohol (109), held under a ceiling of 104.5
    with a rounded bend. With nothing added it is the octane number as sold, and adding never lowers it. Part of what
    the test makes of alcohol is the cooling of the charge, so this is not to be counted twice. The ceiling was
    measured up to half of ethanol; it is taken to hold beyond and for methanol.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume, that of the gasoline as sold included. [1] Valid 0 to 1.
    gasoline_ethanol : array
        Ethanol that the gasoline as sold already holds, by volume. [1] Valid 0 to 0.3.
    octane : array
        Research octane number of the gasoline as sold. [1] Valid 80 to 110.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Mean molar mass of the hydrocarbon part. [kg/mol] Valid 0.085 to 0.125.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    hydrocarbon = gasoline_density_kg_m3 / gasoline_molar_mass_kg_mol
    of_ethanol = 794 / 0.04607 * ethanol
    of_methanol = 796 / 0.03204 * methanol
    total = of_ethanol + of_methanol + hydrocarbon * (1 - ethanol - methanol)
    held = 794 / 0.04607 * gasoline_ethanol
    x_sold = held / (held + hydrocarbon * (1 - gasoline_ethanol))
    added = ((of_ethanol + of_methanol) / total - x_sold) / (1 - x_sold)
    over = octane + max(109 - octane, 0) * added - 104.5
    over_sold = octane - 104.5
    octane + (over - sqrt(over**2 + 1) - over_sold + sqrt(over_sold**2 + 1)) / 2

    Source
    ------
    anderson-2020, molar law; chupka-2015, ceiling

    Examples
    --------
    >>> round(float(blend_research_octane(0.10, 0.0, 92.0, 745.0, 0.108)), 1)
    95.7
    """
    x = ethanol_mole_fraction(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol, methanol)
    x = x + methanol_mole_fraction(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol, methanol)
    sold = ethanol_mole_fraction(gasoline_ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol)
    molar = octane + np.maximum(ALCOHOL_RESEARCH_OCTANE - octane, 0.0) * (x - sold) / (1.0 - sold)
    return octane + _saturated(molar) - _saturated(octane)


@valid(
    ethanol=(0.0, 1.0),
    gasoline_ethanol=(0.0, 0.30),
    motor_octane=(70.0, 100.0),
    gasoline_density_kg_m3=(680.0, 800.0),
    gasoline_molar_mass_kg_mol=(0.085, 0.125),
    methanol=(0.0, 1.0),
    synergy=(-10.0, 30.0),
)
def blend_motor_octane(
    ethanol: Array,
    gasoline_ethanol: Array,
    motor_octane: Array,
    gasoline_density_kg_m3: Array,
    gasoline_molar_mass_kg_mol: Array,
    methanol: Array = 0.0,
    synergy: Array = MOTOR_OCTANE_SYNERGY,
) -> Array:
    """Motor octane number of gasoline as sold with alcohol added to it.

    Linear in moles of added alcohol between the sold gasoline and neat ethanol (90) or methanol (89), and more in
    between by what alcohol and hydrocarbons gain from each other. Of a gasoline above 90 it falls. Blends level off
    near the neat fuel from half of ethanol on.

    Parameters
    ----------
    ethanol : array
        Ethanol in the fuel by volume, that of the gasoline as sold included. [1] Valid 0 to 1.
    gasoline_ethanol : array
        Ethanol that the gasoline as sold already holds, by volume. [1] Valid 0 to 0.3.
    motor_octane : array
        Motor octane number of the gasoline as sold. [1] Valid 70 to 100.
    gasoline_density_kg_m3 : array
        Density of the hydrocarbon part. [kg/m^3] Valid 680 to 800.
    gasoline_molar_mass_kg_mol : array
        Mean molar mass of the hydrocarbon part. [kg/mol] Valid 0.085 to 0.125.
    methanol : array
        Methanol in the fuel by volume; with the ethanol at most 1. [1] Valid 0 to 1.
    synergy : array
        Four times the gain over the straight line at equal moles of alcohol and gasoline. [1] Valid -10 to 30.

    Returns
    -------
    motor_octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    hydrocarbon = gasoline_density_kg_m3 / gasoline_molar_mass_kg_mol
    of_ethanol = 794 / 0.04607 * ethanol
    of_methanol = 796 / 0.03204 * methanol
    total = of_ethanol + of_methanol + hydrocarbon * (1 - ethanol - methanol)
    held = 794 / 0.04607 * gasoline_ethanol
    x_sold = held / (held + hydrocarbon * (1 - gasoline_ethanol))
    x_methanol = of_methanol / total
    x_ethanol = (of_ethanol / total + x_methanol - x_sold) / (1 - x_sold) - x_methanol
    line = motor_octane + x_ethanol * (90 - motor_octane) + x_methanol * (89 - motor_octane)
    line + synergy * (x_ethanol + x_methanol) * (1 - x_ethanol - x_methanol)

    Source
    ------
    anderson-2020, molar law; kuzhagaliyeva-2022, synergy

    Examples
    --------
    >>> round(float(blend_motor_octane(0.85, 0.10, 85.0, 745.0, 0.108)), 1)
    90.2
    """
    x_methanol = methanol_mole_fraction(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol, methanol)
    x = ethanol_mole_fraction(ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol, methanol) + x_methanol
    sold = ethanol_mole_fraction(gasoline_ethanol, gasoline_density_kg_m3, gasoline_molar_mass_kg_mol)
    added = (x - sold) / (1.0 - sold)
    neat = (added - x_methanol) * ETHANOL_MOTOR_OCTANE + x_methanol * METHANOL_MOTOR_OCTANE
    return motor_octane * (1.0 - added) + neat + synergy * added * (1.0 - added)


@valid(octane=(80.0, 110.0), sensitivity=(0.0, 20.0))
def motor_octane_of_gasoline(octane: Array, sensitivity: Array) -> Array:
    """Motor octane number of a gasoline whose research octane alone is known.

    Parameters
    ----------
    octane : array
        Research octane number. [1] Valid 80 to 110.
    sensitivity : array
        Research less motor octane, as usual for such gasoline. [1] Valid 0 to 20.

    Returns
    -------
    motor_octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    octane - sensitivity

    Source
    ------
    common-practice, definition of sensitivity

    Examples
    --------
    >>> motor_octane_of_gasoline(95.0, 10.0)
    85.0
    """
    return octane - sensitivity


@valid(research_octane=(60.0, 120.0), motor_octane=(60.0, 120.0))
def anti_knock_index(research_octane: Array, motor_octane: Array) -> Array:
    """Pump octane number: the mean of research and motor octane.

    Parameters
    ----------
    research_octane : array
        Research octane number. [1] Valid 60 to 120.
    motor_octane : array
        Motor octane number. [1] Valid 60 to 120.

    Returns
    -------
    anti_knock_index : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (research_octane + motor_octane) / 2

    Source
    ------
    astm-d4814, definition

    Examples
    --------
    >>> anti_knock_index(95.0, 85.0)
    90.0
    """
    return 0.5 * (research_octane + motor_octane)


@valid(anti_knock_index=(75.0, 110.0), sensitivity=(0.0, 20.0))
def research_from_anti_knock_index(anti_knock_index: Array, sensitivity: Array) -> Array:
    """Research octane number of a gasoline sold by its pump octane.

    Parameters
    ----------
    anti_knock_index : array
        Mean of research and motor octane. [1] Valid 75 to 110.
    sensitivity : array
        Research less motor octane, as usual for such gasoline. [1] Valid 0 to 20.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    anti_knock_index + sensitivity / 2

    Source
    ------
    astm-d4814, definition

    Examples
    --------
    >>> research_from_anti_knock_index(93.0, 10.0)
    98.0
    """
    return anti_knock_index + 0.5 * sensitivity


@valid(research_octane=(60.0, 120.0), motor_octane=(60.0, 120.0), k=(-2.0, 1.5))
def octane_index(research_octane: Array, motor_octane: Array, k: Array) -> Array:
    """Octane number of the reference fuel that knocks alike in this engine, at this load.

    The engine decides how much of the sensitivity counts: k is 0 where it runs like the test of research octane, 1
    like that of motor octane, negative where the end gas is cooler for its pressure than in either, as with boost.

    Parameters
    ----------
    research_octane : array
        Research octane number. [1] Valid 60 to 120.
    motor_octane : array
        Motor octane number. [1] Valid 60 to 120.
    k : array
        Weight of the sensitivity, of the engine and its load. [1] Valid -2 to 1.5.

    Returns
    -------
    octane_index : array
        Broadcast of the arguments. [1]

    Equation
    --------
    research_octane - k * (research_octane - motor_octane)

    Source
    ------
    kalghatgi-2001

    Examples
    --------
    >>> octane_index(95.0, 85.0, -0.5)
    100.0
    """
    return research_octane - k * (research_octane - motor_octane)


@valid(octane_index=(60.0, 150.0))
def octane_beyond_scale(octane_index: Array) -> Array:
    """How far a fuel stands beyond neat iso-octane, where the scale of reference mixtures ends.

    Parameters
    ----------
    octane_index : array
        In this engine. [1] Valid 60 to 150.

    Returns
    -------
    beyond_scale : array
        Broadcast of the arguments. [1]

    Equation
    --------
    max(octane_index - 100, 0)

    Source
    ------
    astm-d2699, end of the scale

    Examples
    --------
    >>> float(octane_beyond_scale(104.0))
    4.0
    """
    return np.maximum(octane_index - SCALE_END, 0.0)


@valid(octane_index=(60.0, 150.0), beyond_scale_factor=(0.0, 3.0))
def extrapolated_octane(octane_index: Array, beyond_scale_factor: Array) -> Array:
    """Octane index for a law that was found on mixtures of iso-octane and n-heptane.

    Nobody has measured such a law above 100; what a number beyond is worth in it is a factor with a wide range.

    Parameters
    ----------
    octane_index : array
        In this engine. [1] Valid 60 to 150.
    beyond_scale_factor : array
        Worth of a number above 100 over that of one below. [1] Valid 0 to 3.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    min(octane_index, 100) + beyond_scale_factor * max(octane_index - 100, 0)

    Source
    ------
    own-computation, continued beyond the end of the scale

    Examples
    --------
    >>> float(extrapolated_octane(104.0, 0.5))
    102.0
    """
    return np.minimum(octane_index, SCALE_END) + beyond_scale_factor * octane_beyond_scale(octane_index)


@valid(humidity_ratio=(0.0, 0.04), reference_humidity_ratio=(0.0, 0.04), octane_per_humidity=(-500.0, 0.0))
def humidity_octane(humidity_ratio: Array, reference_humidity_ratio: Array, octane_per_humidity: Array) -> Array:
    """How much more octane the engine wants for the humidity of its air; less than nothing in humid air.

    Parameters
    ----------
    humidity_ratio : array
        Mass of water vapour over mass of dry air. [1] Valid 0 to 0.04.
    reference_humidity_ratio : array
        Where the octane wanted is known. [1] Valid 0 to 0.04.
    octane_per_humidity : array
        Change of octane wanted over change of humidity ratio; -300 is -0.3 a gram a kilogram. [1] Valid -500 to 0.

    Returns
    -------
    octane : array
        Broadcast of the arguments. [1]

    Equation
    --------
    octane_per_humidity * (humidity_ratio - reference_humidity_ratio)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(humidity_octane(0.016, 0.006, -300.0)), 6)
    -3.0
    """
    return octane_per_humidity * (humidity_ratio - reference_humidity_ratio)
