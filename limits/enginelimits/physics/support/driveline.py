"""From crank to roller and display, and what clutch and gearbox carry."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(crank_power_w=(0.0, 3e6), fixed_loss_w=(0.0, 100e3), proportional_loss=(0.0, 0.5))
def roller_power(crank_power_w: Array, fixed_loss_w: Array, proportional_loss: Array) -> Array:
    """Power at the roller, steady: a part of the loss is there at any load, a part grows with it.

    Parameters
    ----------
    crank_power_w : array
        At the flywheel. [W] Valid 0 to 3e6.
    fixed_loss_w : array
        Churning, bearings, tyres. [W] Valid 0 to 100e3.
    proportional_loss : array
        Of the crank power, in meshing teeth and tyre slip. [1] Valid 0 to 0.5.

    Returns
    -------
    roller_power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    crank_power_w - fixed_loss_w - proportional_loss * crank_power_w

    Source
    ------
    common-practice

    Examples
    --------
    >>> roller_power(200e3, 6e3, 0.09)
    176000.0
    """
    return crank_power_w - fixed_loss_w - proportional_loss * crank_power_w


@valid(roller_power_w=(-100e3, 3e6), dyno_factor=(0.5, 1.5), correction=(0.5, 1.5))
def displayed_power(roller_power_w: Array, dyno_factor: Array, correction: Array = 1.0) -> Array:
    """What the named kind of dyno shows for that roller power.

    Parameters
    ----------
    roller_power_w : array
        At the roller, steady. [W] Valid -100e3 to 3e6.
    dyno_factor : array
        Display over roller of this kind of dyno. [1] Valid 0.5 to 1.5.
    correction : array
        Weather factor; 1 where none is asked for. [1] Valid 0.5 to 1.5.

    Returns
    -------
    displayed_power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    roller_power_w * dyno_factor * correction

    Source
    ------
    common-practice

    Examples
    --------
    >>> displayed_power(176e3, 0.9)
    158400.0
    """
    return roller_power_w * dyno_factor * correction


@valid(
    displayed_power_w=(0.0, 3e6),
    fixed_loss_w=(0.0, 100e3),
    proportional_loss=(0.0, 0.5),
    dyno_factor=(0.5, 1.5),
    correction=(0.5, 1.5),
)
def crank_power_from_display(
    displayed_power_w: Array,
    fixed_loss_w: Array,
    proportional_loss: Array,
    dyno_factor: Array,
    correction: Array = 1.0,
) -> Array:
    """Power at the flywheel behind a figure that a dyno shows.

    Parameters
    ----------
    displayed_power_w : array
        As shown. [W] Valid 0 to 3e6.
    fixed_loss_w : array
        Churning, bearings, tyres. [W] Valid 0 to 100e3.
    proportional_loss : array
        Of the crank power. [1] Valid 0 to 0.5.
    dyno_factor : array
        Display over roller of this kind of dyno. [1] Valid 0.5 to 1.5.
    correction : array
        Weather factor in the figure shown; 1 where none. [1] Valid 0.5 to 1.5.

    Returns
    -------
    crank_power_w : array
        Broadcast of the arguments. [W]

    Equation
    --------
    (displayed_power_w / (dyno_factor * correction) + fixed_loss_w) / (1 - proportional_loss)

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(crank_power_from_display(158.4e3, 6e3, 0.09, 0.9)))
    200000
    """
    return (displayed_power_w / (dyno_factor * correction) + fixed_loss_w) / (1.0 - proportional_loss)


@valid(displayed_power_w=(-100e3, 3e6), speed_rad_s=(1.0, 2000.0))
def displayed_torque(displayed_power_w: Array, speed_rad_s: Array) -> Array:
    """Torque that a dyno shows, referred to engine speed.

    Parameters
    ----------
    displayed_power_w : array
        As shown. [W] Valid -100e3 to 3e6.
    speed_rad_s : array
        Crankshaft. [rad/s] Valid 1 to 2000.

    Returns
    -------
    displayed_torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    displayed_power_w / speed_rad_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> displayed_torque(150e3, 600.0)
    250.0
    """
    return displayed_power_w / speed_rad_s


@valid(capacity_nm=(0.0, 5000.0), torque_nm=(1.0, 5000.0))
def clutch_reserve(capacity_nm: Array, torque_nm: Array) -> Array:
    """Torque that the clutch holds over the torque it is given.

    Parameters
    ----------
    capacity_nm : array
        That the clutch holds. [N*m] Valid 0 to 5000.
    torque_nm : array
        At the flywheel. [N*m] Valid 1 to 5000.

    Returns
    -------
    clutch_reserve : array
        Broadcast of the arguments. [1]

    Equation
    --------
    capacity_nm / torque_nm

    Source
    ------
    common-practice

    Examples
    --------
    >>> clutch_reserve(420.0, 336.0)
    1.25
    """
    return capacity_nm / torque_nm


@valid(torque_nm=(0.0, 5000.0), rating_nm=(20.0, 5000.0))
def gearbox_torque_use(torque_nm: Array, rating_nm: Array) -> Array:
    """Torque into the gearbox over its rating.

    Parameters
    ----------
    torque_nm : array
        At the flywheel. [N*m] Valid 0 to 5000.
    rating_nm : array
        Of the gearbox, at its input. [N*m] Valid 20 to 5000.

    Returns
    -------
    gearbox_torque_use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    torque_nm / rating_nm

    Source
    ------
    common-practice

    Examples
    --------
    >>> gearbox_torque_use(385.0, 350.0)
    1.1
    """
    return torque_nm / rating_nm


def _lining(outer_radius_m: Array, inner_radius_m: Array) -> tuple[Array, Array]:
    """Both radii; the inner is not a number where it leaves no lining."""
    return outer_radius_m, np.where(np.less(inner_radius_m, outer_radius_m), inner_radius_m, np.nan)[()]


@valid(
    friction_coefficient=(0.05, 0.8),
    faces=(1.0, 12.0),
    clamp_n=(0.0, 50e3),
    outer_radius_m=(0.03, 0.3),
    inner_radius_m=(0.01, 0.3),
)
def clutch_torque_uniform_wear(
    friction_coefficient: Array,
    faces: Array,
    clamp_n: Array,
    outer_radius_m: Array,
    inner_radius_m: Array,
) -> Array:
    """Torque of a worn-in plate clutch: every ring of the lining wears alike.

    Parameters
    ----------
    friction_coefficient : array
        Of the lining. [1] Valid 0.05 to 0.8.
    faces : array
        Rubbing faces, two a driven plate. [1] Valid 1 to 12.
    clamp_n : array
        Of the cover. [N] Valid 0 to 50e3.
    outer_radius_m : array
        Of the lining. [m] Valid 0.03 to 0.3.
    inner_radius_m : array
        Of the lining. [m] Valid 0.01 to 0.3.

    Returns
    -------
    clutch_torque_nm : array
        Not a number where the hole leaves no lining. Broadcast of the arguments. [N*m]

    Equation
    --------
    friction_coefficient * faces * clamp_n * (outer_radius_m + inner_radius_m) / 2

    Source
    ------
    jindal-2010, ch. 22

    Examples
    --------
    >>> round(float(clutch_torque_uniform_wear(0.3, 2, 8e3, 0.115, 0.075)), 1)
    456.0
    """
    outer, inner = _lining(outer_radius_m, inner_radius_m)
    return friction_coefficient * faces * clamp_n * (outer + inner) / 2.0


@valid(
    friction_coefficient=(0.05, 0.8),
    faces=(1.0, 12.0),
    clamp_n=(0.0, 50e3),
    outer_radius_m=(0.03, 0.3),
    inner_radius_m=(0.01, 0.3),
)
def clutch_torque_uniform_pressure(
    friction_coefficient: Array,
    faces: Array,
    clamp_n: Array,
    outer_radius_m: Array,
    inner_radius_m: Array,
) -> Array:
    """Torque of a new plate clutch: pressure alike over the whole lining.

    Parameters
    ----------
    friction_coefficient : array
        Of the lining. [1] Valid 0.05 to 0.8.
    faces : array
        Rubbing faces, two a driven plate. [1] Valid 1 to 12.
    clamp_n : array
        Of the cover. [N] Valid 0 to 50e3.
    outer_radius_m : array
        Of the lining. [m] Valid 0.03 to 0.3.
    inner_radius_m : array
        Of the lining. [m] Valid 0.01 to 0.3.

    Returns
    -------
    clutch_torque_nm : array
        Not a number where the hole leaves no lining. Broadcast of the arguments. [N*m]

    Equation
    --------
    cubes = outer_radius_m ** 3 - inner_radius_m ** 3
    squares = outer_radius_m ** 2 - inner_radius_m ** 2
    friction_coefficient * faces * clamp_n * 2 / 3 * cubes / squares

    Source
    ------
    jindal-2010, ch. 22

    Examples
    --------
    >>> round(float(clutch_torque_uniform_pressure(0.3, 2, 8e3, 0.115, 0.075)), 1)
    462.7
    """
    outer, inner = _lining(outer_radius_m, inner_radius_m)
    # The ratio of cubes and squares with the common factor taken out, so that a thin ring keeps its digits.
    mean_radius_m = 2.0 / 3.0 * (outer**2 + outer * inner + inner**2) / (outer + inner)
    return friction_coefficient * faces * clamp_n * mean_radius_m


@valid(greatest_pressure_pa=(10e3, 2e6), outer_radius_m=(0.03, 0.3), inner_radius_m=(0.01, 0.3))
def clutch_clamp_uniform_wear(
    greatest_pressure_pa: Array, outer_radius_m: Array, inner_radius_m: Array
) -> Array:
    """Clamp at which a worn-in lining has its greatest pressure, at the inner edge.

    Parameters
    ----------
    greatest_pressure_pa : array
        That the lining bears. [Pa] Valid 10e3 to 2e6.
    outer_radius_m : array
        Of the lining. [m] Valid 0.03 to 0.3.
    inner_radius_m : array
        Of the lining. [m] Valid 0.01 to 0.3.

    Returns
    -------
    clamp_n : array
        Not a number where the hole leaves no lining. Broadcast of the arguments. [N]

    Equation
    --------
    2 * pi * greatest_pressure_pa * inner_radius_m * (outer_radius_m - inner_radius_m)

    Source
    ------
    jindal-2010, ch. 22

    Examples
    --------
    >>> round(float(clutch_clamp_uniform_wear(0.1e6, 0.055, 0.035)))
    440
    """
    outer, inner = _lining(outer_radius_m, inner_radius_m)
    return 2.0 * np.pi * greatest_pressure_pa * inner * (outer - inner)
