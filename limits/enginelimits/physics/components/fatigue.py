"""Margins against fatigue under a mean stress, and what turns a polished bar's strength into a part's.

All margins follow the load line on which amplitude and mean grow together.  A compressive mean earns nothing:
it counts as none, because its gain is uncertain where surfaces are left as forged.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

MARIN_SURFACE: Final[Mapping[str, Mapping[str, tuple[float, float]]]] = MappingProxyType(
    {
        "shigley-2015": MappingProxyType(
            {
                "ground": (1.58, -0.085),
                "machined": (4.51, -0.265),
                "hot-rolled": (57.7, -0.718),
                "as-forged": (272.0, -0.995),
            }
        ),
        "shigley-2020": MappingProxyType(
            {
                "ground": (1.38, -0.067),
                "machined": (3.04, -0.217),
                "hot-rolled": (38.6, -0.650),
                "as-forged": (54.9, -0.758),
            }
        ),
    }
)
"""Coefficient and exponent of the surface factor by edition and finish, for a strength in MPa.  The editions
disagree: forged steel of 520 MPa keeps 0.540 by the older and 0.480 by the newer."""

SURFACE_EDITION: Final = "shigley-2020"
"""The edition whose surface factors are used: the newer.  Both differ by up to an eighth either way."""

SHANK_FINISH: Final = "machined"
"""What a shot-blasted forging is taken as: blasting closes most of what forging opened.  (common-practice)"""

LOAD_FACTORS: Final[Mapping[str, float]] = MappingProxyType({"bending": 1.0, "axial": 0.85, "torsion": 0.59})
"""By kind of load.  (shigley-2015, ch. 6)"""

RELIABILITY_FACTORS: Final[Mapping[float, float]] = MappingProxyType(
    {0.50: 1.0, 0.90: 0.897, 0.95: 0.868, 0.99: 0.814, 0.999: 0.753}
)
"""By share of parts that hold the strength, at 8 % scatter.  (shigley-2015, ch. 6)"""


@valid(
    stress_amplitude_pa=(0.0, 3.0e9),
    fatigue_strength_pa=(1.0e6, 2.0e9),
    ultimate_strength_pa=(1.0e7, 4.0e9),
)
def goodman_margin(
    stress_amplitude_pa: Array, mean_stress_pa: Array, fatigue_strength_pa: Array, ultimate_strength_pa: Array
) -> Array:
    """Margin by the line from fatigue strength to ultimate strength; a compressive mean counts as none.

    Without stress it is infinite.

    Parameters
    ----------
    stress_amplitude_pa : array
        Half the swing. [Pa] Valid 0 to 3.0e9.
    mean_stress_pa : array
        Tension positive. [Pa]
    fatigue_strength_pa : array
        Fully reversed, of the part. [Pa] Valid 1.0e6 to 2.0e9.
    ultimate_strength_pa : array
        In tension. [Pa] Valid 1.0e7 to 4.0e9.

    Returns
    -------
    goodman_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    1 / (stress_amplitude_pa / fatigue_strength_pa + max(mean_stress_pa, 0) / ultimate_strength_pa)

    Source
    ------
    shigley-2015, ch. 6

    Examples
    --------
    >>> round(float(goodman_margin(200e6, 50e6, 320e6, 1000e6)), 4)
    1.4815
    """
    mean = np.maximum(mean_stress_pa, 0.0)
    return 1.0 / (stress_amplitude_pa / fatigue_strength_pa + mean / ultimate_strength_pa)


@valid(
    stress_amplitude_pa=(0.0, 3.0e9),
    fatigue_strength_pa=(1.0e6, 2.0e9),
    ultimate_strength_pa=(1.0e7, 4.0e9),
)
def gerber_margin(
    stress_amplitude_pa: Array, mean_stress_pa: Array, fatigue_strength_pa: Array, ultimate_strength_pa: Array
) -> Array:
    """Margin by the parabola from fatigue strength to ultimate strength; a compressive mean counts as none.

    Without stress it is infinite.

    Parameters
    ----------
    stress_amplitude_pa : array
        Half the swing. [Pa] Valid 0 to 3.0e9.
    mean_stress_pa : array
        Tension positive. [Pa]
    fatigue_strength_pa : array
        Fully reversed, of the part. [Pa] Valid 1.0e6 to 2.0e9.
    ultimate_strength_pa : array
        In tension. [Pa] Valid 1.0e7 to 4.0e9.

    Returns
    -------
    gerber_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    x = stress_amplitude_pa / fatigue_strength_pa
    y = max(mean_stress_pa, 0) / ultimate_strength_pa
    2 / (x + sqrt(x**2 + 4 * y**2))

    Source
    ------
    shigley-2015, ch. 6, the quadratic solved so that a mean of none needs no special case

    Examples
    --------
    >>> round(float(gerber_margin(200e6, 50e6, 320e6, 1000e6)), 4)
    1.5899
    """
    x = stress_amplitude_pa / fatigue_strength_pa
    y = np.maximum(mean_stress_pa, 0.0) / ultimate_strength_pa
    return 2.0 / (x + np.sqrt(x**2 + 4.0 * y**2))


@valid(
    stress_amplitude_pa=(0.0, 3.0e9),
    fatigue_strength_pa=(1.0e6, 2.0e9),
    yield_strength_pa=(1.0e7, 4.0e9),
)
def elliptic_margin(
    stress_amplitude_pa: Array, mean_stress_pa: Array, fatigue_strength_pa: Array, yield_strength_pa: Array
) -> Array:
    """Margin by the ASME ellipse from fatigue strength to yield; a compressive mean counts as none.

    Without stress it is infinite.

    Parameters
    ----------
    stress_amplitude_pa : array
        Half the swing. [Pa] Valid 0 to 3.0e9.
    mean_stress_pa : array
        Tension positive. [Pa]
    fatigue_strength_pa : array
        Fully reversed, of the part. [Pa] Valid 1.0e6 to 2.0e9.
    yield_strength_pa : array
        In tension. [Pa] Valid 1.0e7 to 4.0e9.

    Returns
    -------
    elliptic_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    x = stress_amplitude_pa / fatigue_strength_pa
    y = max(mean_stress_pa, 0) / yield_strength_pa
    1 / sqrt(x**2 + y**2)

    Source
    ------
    shigley-2015, ch. 6

    Examples
    --------
    >>> round(float(elliptic_margin(200e6, 50e6, 320e6, 700e6)), 4)
    1.5897
    """
    x = stress_amplitude_pa / fatigue_strength_pa
    y = np.maximum(mean_stress_pa, 0.0) / yield_strength_pa
    return 1.0 / np.hypot(x, y)


@valid(stress_amplitude_pa=(0.0, 3.0e9), yield_strength_pa=(1.0e7, 4.0e9))
def yield_margin(stress_amplitude_pa: Array, mean_stress_pa: Array, yield_strength_pa: Array) -> Array:
    """Margin against yielding at the first peak, in whichever sense the peak is greater.

    Without stress it is infinite.

    Parameters
    ----------
    stress_amplitude_pa : array
        Half the swing. [Pa] Valid 0 to 3.0e9.
    mean_stress_pa : array
        Tension positive. [Pa]
    yield_strength_pa : array
        In tension, taken the same in compression. [Pa] Valid 1.0e7 to 4.0e9.

    Returns
    -------
    yield_margin : array
        Broadcast of the arguments. [1]

    Equation
    --------
    yield_strength_pa / (stress_amplitude_pa + abs(mean_stress_pa))

    Source
    ------
    shigley-2015, ch. 6

    Examples
    --------
    >>> float(yield_margin(200e6, 50e6, 700e6))
    2.8
    """
    return yield_strength_pa / (stress_amplitude_pa + np.abs(mean_stress_pa))


@valid(ultimate_strength_pa=(3.0e8, 2.0e9), coefficient=(1.0, 300.0), exponent=(-1.0, 0.0))
def surface_factor(ultimate_strength_pa: Array, coefficient: Array, exponent: Array) -> Array:
    """Share of a polished bar's fatigue strength that a surface leaves; constants in ``MARIN_SURFACE``.

    Weaker than 300 MPa some finishes would come out better than polished.

    Parameters
    ----------
    ultimate_strength_pa : array
        In tension. [Pa] Valid 3.0e8 to 2.0e9.
    coefficient : array
        Of the finish, for a strength in MPa. [1] Valid 1 to 300.
    exponent : array
        Of the finish. [1] Valid -1 to 0.

    Returns
    -------
    surface_factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    coefficient * (ultimate_strength_pa / 1e6)**exponent

    Source
    ------
    shigley-2015, table 6-2

    Examples
    --------
    >>> round(float(surface_factor(520e6, *MARIN_SURFACE["shigley-2015"]["as-forged"])), 3)
    0.54
    """
    return coefficient * (ultimate_strength_pa / 1.0e6) ** exponent


@valid(
    ultimate_strength_pa=(2.0e8, 1.4e9),
    surface=(0.1, 1.0),
    load=(0.5, 1.0),
    reliability=(0.6, 1.0),
    notch=(1.0, 6.0),
    size=(0.5, 1.2),
)
def part_fatigue_strength(
    ultimate_strength_pa: Array,
    surface: Array,
    load: Array,
    reliability: Array,
    notch: Array,
    size: Array = 1.0,
) -> Array:
    """Fully reversed fatigue strength of a steel part, from its ultimate strength.

    Parameters
    ----------
    ultimate_strength_pa : array
        In tension. [Pa] Valid 2.0e8 to 1.4e9.
    surface : array
        Surface factor. [1] Valid 0.1 to 1.
    load : array
        Load factor. [1] Valid 0.5 to 1.
    reliability : array
        Reliability factor. [1] Valid 0.6 to 1.
    notch : array
        Fatigue stress concentration. [1] Valid 1 to 6.
    size : array
        Size factor; 1 under axial load. [1] Valid 0.5 to 1.2.

    Returns
    -------
    part_fatigue_strength_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    0.5 * ultimate_strength_pa * surface * load * reliability * size / notch

    Source
    ------
    shigley-2015, ch. 6

    Examples
    --------
    >>> round(float(part_fatigue_strength(600e6, 1.0, 1.0, 0.897, 3.0)) / 1e6, 1)
    89.7
    """
    return 0.5 * ultimate_strength_pa * surface * load * reliability * size / notch


@valid(diameter_m=(0.00279, 0.254))
def size_factor(diameter_m: Array) -> Array:
    """Share of a small bar's fatigue strength that a thicker one keeps in bending; under axial load it is 1.

    Parameters
    ----------
    diameter_m : array
        Of a round bar that turns, or of one with as much of its section near its greatest stress. [m]
        Valid 0.00279 to 0.254.

    Returns
    -------
    size_factor : array
        Broadcast of the argument. [1]

    Equation
    --------
    where(diameter_m <= 0.051, (diameter_m / 0.00762)**-0.107, 1.51 * (diameter_m * 1000)**-0.157)

    Source
    ------
    shigley-2015, eq. 6-20

    Examples
    --------
    >>> round(float(size_factor(0.032)), 3)
    0.858
    """
    small = (diameter_m / 0.00762) ** -0.107
    return np.where(np.asarray(diameter_m) <= 0.051, small, 1.51 * (np.asarray(diameter_m) * 1000.0) ** -0.157)


@valid(ultimate_strength_pa=(2.0e8, 2.1e9))
def shank_strength_by_handbook(ultimate_strength_pa: Array) -> Array:
    """Fatigue strength of a rod's shank as a handbook has it: half the ultimate strength, capped, less its factors.

    A machined surface stands for a blasted forging; the load is axial, so that size does not count; half the
    parts hold it.  Shown beside the strength of the class, which is what margins rest on.

    Parameters
    ----------
    ultimate_strength_pa : array
        In tension. [Pa] Valid 2.0e8 to 2.1e9.

    Returns
    -------
    shank_strength_by_handbook_pa : array
        Fully reversed. [Pa]

    Equation
    --------
    polished = min(0.5 * ultimate_strength_pa, 700e6)
    polished * 3.04 * (ultimate_strength_pa / 1e6)**-0.217 * 0.85

    Source
    ------
    shigley-2020, ch. 6, constants from memory

    Examples
    --------
    >>> round(float(shank_strength_by_handbook(1000e6)) / 1e6)
    289
    """
    polished = np.minimum(0.5 * np.asarray(ultimate_strength_pa), 700.0e6)
    finish = surface_factor(ultimate_strength_pa, *MARIN_SURFACE[SURFACE_EDITION][SHANK_FINISH])
    return polished * finish * LOAD_FACTORS["axial"]
