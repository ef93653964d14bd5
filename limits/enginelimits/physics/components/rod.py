"""What the shank of a connecting rod stands as a column."""

from __future__ import annotations

from typing import Final

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

FIXITY_IN_PLANE: Final = 1.0
"""Both ends turn freely in the plane of motion.  (khurmi-gupta-machine-design, ch. 32)"""

FIXITY_ACROSS: Final = 4.0
"""Both ends are held across it by pin and crank pin.  (khurmi-gupta-machine-design, ch. 32)"""

KNOCK_EVENT_PRESSURE: Final = 2.0e7
"""Cylinder pressure of one heavy knock or pre-ignition event, absolute. [Pa]  (common-practice)"""


@valid(
    area_m2=(1.0e-5, 5.0e-3), second_moment_m4=(1.0e-11, 1.0e-6), length_m=(0.02, 2.0), end_fixity=(0.25, 4.0)
)
def johnson_capacity(
    yield_strength_pa: Array,
    area_m2: Array,
    second_moment_m4: Array,
    length_m: Array,
    youngs_modulus_pa: Array,
    end_fixity: Array,
) -> Array:
    """Load at which a column gives way: Johnson's parabola, and Euler's curve beyond where both meet.

    Parameters
    ----------
    yield_strength_pa : array
        At running temperature. [Pa]
    area_m2 : array
        Smallest section. [m^2] Valid 1.0e-5 to 5.0e-3.
    second_moment_m4 : array
        Of the section, in the plane of bending. [m^4] Valid 1.0e-11 to 1.0e-6.
    length_m : array
        Between centres. [m] Valid 0.02 to 2.
    youngs_modulus_pa : array
        Of the material. [Pa]
    end_fixity : array
        1 with hinged ends, 4 with held ones. [1] Valid 0.25 to 4.

    Returns
    -------
    johnson_capacity_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    slenderness = length_m / sqrt(second_moment_m4 / area_m2)
    limit = sqrt(2 * pi**2 * end_fixity * youngs_modulus_pa / yield_strength_pa)
    reduction = (yield_strength_pa * slenderness / (2 * pi))**2 / (end_fixity * youngs_modulus_pa)
    euler = end_fixity * pi**2 * youngs_modulus_pa / slenderness**2
    area_m2 * where(slenderness < limit, yield_strength_pa - reduction, euler)

    Source
    ------
    shigley-2015, ch. 4

    Examples
    --------
    >>> round(float(johnson_capacity(550e6, 275e-6, 21823e-12, 0.150, 207e9, 1.0)) / (550e6 * 275e-6), 3)
    0.981
    """
    slenderness_squared = length_m**2 * area_m2 / second_moment_m4
    limit_squared = 2.0 * np.pi**2 * end_fixity * youngs_modulus_pa / yield_strength_pa
    reduction = yield_strength_pa**2 * slenderness_squared / (4.0 * np.pi**2 * end_fixity * youngs_modulus_pa)
    euler = end_fixity * np.pi**2 * youngs_modulus_pa / slenderness_squared
    # asked this way round, an unknown strength leaves the capacity unknown
    return area_m2 * np.where(slenderness_squared >= limit_squared, euler, yield_strength_pa - reduction)


@valid(
    shank_area_m2=(1.0e-5, 5.0e-3),
    second_moment_plane_m4=(1.0e-11, 1.0e-6),
    second_moment_across_m4=(1.0e-11, 1.0e-6),
    rod_length_m=(0.05, 0.60),
)
def rod_column_capacity(
    yield_strength_pa: Array,
    shank_area_m2: Array,
    second_moment_plane_m4: Array,
    second_moment_across_m4: Array,
    rod_length_m: Array,
    youngs_modulus_pa: Array,
) -> Array:
    """Axial load at which the shank gives way, hinged in the plane of motion and held across it; the smaller.

    Parameters
    ----------
    yield_strength_pa : array
        At running temperature. [Pa]
    shank_area_m2 : array
        Smallest section. [m^2] Valid 1.0e-5 to 5.0e-3.
    second_moment_plane_m4 : array
        For bending in the plane of motion, the greater of an I-section. [m^4] Valid 1.0e-11 to 1.0e-6.
    second_moment_across_m4 : array
        For bending along the crankshaft. [m^4] Valid 1.0e-11 to 1.0e-6.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    youngs_modulus_pa : array
        Of the rod. [Pa]

    Returns
    -------
    rod_column_capacity_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    k2_plane = second_moment_plane_m4 / shank_area_m2
    k2_across = second_moment_across_m4 / shank_area_m2
    worse = max(rod_length_m**2 / k2_plane, rod_length_m**2 / (4 * k2_across))
    johnson = yield_strength_pa - yield_strength_pa**2 * worse / (4 * pi**2 * youngs_modulus_pa)
    euler = pi**2 * youngs_modulus_pa / worse
    limit = 2 * pi**2 * youngs_modulus_pa / yield_strength_pa
    shank_area_m2 * where(worse < limit, johnson, euler)

    Source
    ------
    shigley-2015, ch. 4; end conditions of khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(rod_column_capacity(600e6, 140e-6, 4200e-12, 1500e-12, 0.139, 207e9)))
    80028
    """
    sy, area, length, modulus = yield_strength_pa, shank_area_m2, rod_length_m, youngs_modulus_pa
    plane = johnson_capacity(sy, area, second_moment_plane_m4, length, modulus, FIXITY_IN_PLANE)
    across = johnson_capacity(sy, area, second_moment_across_m4, length, modulus, FIXITY_ACROSS)
    return np.minimum(plane, across)


@valid(capacity_n=(1.0, 1.0e7))
def column_use(compression_n: Array, capacity_n: Array) -> Array:
    """Share of a column's capacity that a compression uses.

    Parameters
    ----------
    compression_n : array
        Greatest of the cycle. [N]
    capacity_n : array
        Load at which the column gives way. [N] Valid 1 to 1.0e7.

    Returns
    -------
    column_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    compression_n / capacity_n

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> float(column_use(40000.0, 80000.0))
    0.5
    """
    return compression_n / capacity_n


@valid(
    shank_area_m2=(1.0e-5, 5.0e-3),
    second_moment_plane_m4=(1.0e-11, 1.0e-6),
    second_moment_across_m4=(1.0e-11, 1.0e-6),
    rod_length_m=(0.05, 0.60),
    rankine_constant=(0.0, 0.001),
)
def rod_rankine_capacity(
    crushing_stress_pa: Array,
    shank_area_m2: Array,
    second_moment_plane_m4: Array,
    second_moment_across_m4: Array,
    rod_length_m: Array,
    rankine_constant: Array = 1.0 / 7500.0,
) -> Array:
    """Axial load at which the shank gives way by Rankine, the smaller of both planes; shown, never graded.

    Parameters
    ----------
    crushing_stress_pa : array
        The result hinges on it; handbooks take 320 MPa of mild steel. [Pa]
    shank_area_m2 : array
        Smallest section. [m^2] Valid 1.0e-5 to 5.0e-3.
    second_moment_plane_m4 : array
        For bending in the plane of motion. [m^4] Valid 1.0e-11 to 1.0e-6.
    second_moment_across_m4 : array
        For bending along the crankshaft. [m^4] Valid 1.0e-11 to 1.0e-6.
    rod_length_m : array
        Centre to centre. [m] Valid 0.05 to 0.60.
    rankine_constant : array
        1/7500 of steel. [1] Valid 0 to 0.001.

    Returns
    -------
    rod_rankine_capacity_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    k2_plane = second_moment_plane_m4 / shank_area_m2
    k2_across = second_moment_across_m4 / shank_area_m2
    worse = max(rod_length_m**2 / k2_plane, rod_length_m**2 / (4 * k2_across))
    crushing_stress_pa * shank_area_m2 / (1 + rankine_constant * worse)

    Source
    ------
    khurmi-gupta-machine-design, ch. 32

    Examples
    --------
    >>> round(float(rod_rankine_capacity(320e6, 275e-6, 21823e-12, 6823e-12, 0.150)) / 1000, 1)
    84.8
    """
    plane = rod_length_m**2 * shank_area_m2 / second_moment_plane_m4
    across = rod_length_m**2 * shank_area_m2 / (4.0 * second_moment_across_m4)
    return crushing_stress_pa * shank_area_m2 / (1.0 + rankine_constant * np.maximum(plane, across))


@valid(bore_m=(0.02, 0.30), capacity_n=(1.0, 1.0e7), event_pressure_pa=(1.0e6, 1.0e8))
def rod_event_use(
    bore_m: Array,
    capacity_n: Array,
    event_pressure_pa: Array = KNOCK_EVENT_PRESSURE,
    crankcase_pressure_pa: Array = 1.0e5,
) -> Array:
    """Share of the column's capacity that one knock event would use, no inertia counted to its relief.

    Such an event is short and rings, so a rod may outlast a use above 1; the figure is shown, not graded.

    Parameters
    ----------
    bore_m : array
        Cylinder bore. [m] Valid 0.02 to 0.30.
    capacity_n : array
        Load at which the column gives way. [N] Valid 1 to 1.0e7.
    event_pressure_pa : array
        Cylinder pressure of the event, absolute. [Pa] Valid 1.0e6 to 1.0e8.
    crankcase_pressure_pa : array
        Absolute. [Pa]

    Returns
    -------
    rod_event_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (event_pressure_pa - crankcase_pressure_pa) * pi / 4 * bore_m**2 / capacity_n

    Source
    ------
    common-practice, 200 bar of an event

    Examples
    --------
    >>> round(float(rod_event_use(0.086, 100000.0)), 3)
    1.156
    """
    return (event_pressure_pa - crankcase_pressure_pa) * (np.pi / 4.0 * bore_m**2) / capacity_n


@valid(
    compression_n=(-10000.0, 1000000.0),
    peak_pressure_pa=(100000.0, 40000000.0),
    high_peak_pressure_pa=(100000.0, 50000000.0),
    bore_m=(0.03, 0.2),
)
def compression_in_high_cycle(
    compression_n: Array, peak_pressure_pa: Array, high_peak_pressure_pa: Array, bore_m: Array
) -> Array:
    """Greatest compression of the rod in one cycle of twenty: the gas force of its higher peak comes on top.

    Parameters
    ----------
    compression_n : array
        Greatest in the mean cycle. [N] Valid -10000 to 1e+06.
    peak_pressure_pa : array
        Of the mean cycle. [Pa] Valid 100000 to 4e+07.
    high_peak_pressure_pa : array
        That one cycle in twenty exceeds. [Pa] Valid 100000 to 5e+07.
    bore_m : array
        Bore. [m] Valid 0.03 to 0.2.

    Returns
    -------
    compression_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    compression_n + pi / 4 * bore_m**2 * (high_peak_pressure_pa - peak_pressure_pa)

    Source
    ------
    own-computation, inertia at the peak being the same

    Examples
    --------
    >>> round(float(compression_in_high_cycle(45e3, 90e5, 105e5, 0.086)) / 1e3, 1)
    53.7
    """
    return compression_n + 0.25 * np.pi * bore_m**2 * (high_peak_pressure_pa - np.asarray(peak_pressure_pa))
