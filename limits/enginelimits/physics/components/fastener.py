"""Threaded fasteners and the joints they clamp."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid
from enginelimits.units.constants import METRIC_THREAD_DEPTH

WILEMAN: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "steel": (0.78715, 0.62873),
        "aluminium": (0.79670, 0.63816),
        "cast iron": (0.77871, 0.61616),
        "any": (0.78952, 0.62914),
    }
)
"""Both constants of the fitted member stiffness by material.  (wileman-1991)"""


@valid(diameter_m=(0.002, 0.05), pitch_m=(0.0003, 0.006), depth_over_pitch=(0.9, 1.0))
def stress_area(diameter_m: Array, pitch_m: Array, depth_over_pitch: Array = METRIC_THREAD_DEPTH) -> Array:
    """Area of a thread that carries tension.

    Parameters
    ----------
    diameter_m : array
        Nominal. [m] Valid 0.002 to 0.05.
    pitch_m : array
        Of the thread. [m] Valid 0.0003 to 0.006.
    depth_over_pitch : array
        What the thread takes off the diameter; that of a metric thread unless told. [1] Valid 0.9 to 1.

    Returns
    -------
    stress_area_m2 : array
        Not a number where the thread leaves nothing. Broadcast of the arguments. [m^2]

    Equation
    --------
    pi / 4 * (diameter_m - depth_over_pitch * pitch_m)**2

    Source
    ------
    iso-898-1, metric; asme-b1-1, inch

    Examples
    --------
    >>> round(float(stress_area(0.010, 0.0015)) * 1e6, 2)
    57.99
    """
    core = np.subtract(diameter_m, depth_over_pitch * pitch_m)
    return np.pi / 4.0 * np.where(core > 0.0, core, np.nan)[()] ** 2


@valid(stress_area_m2=(1.0e-6, 2.0e-3), proof_stress_pa=(1.0e8, 2.5e9), preload_over_proof=(0.0, 1.2))
def preload_from_proof(
    stress_area_m2: Array, proof_stress_pa: Array, preload_over_proof: Array = 1.0
) -> Array:
    """Clamp of one fastener as a share of its proof load; a share of 1 is the proof load.

    Parameters
    ----------
    stress_area_m2 : array
        Of the thread. [m^2] Valid 1.0e-6 to 2.0e-3.
    proof_stress_pa : array
        Of the property class. [Pa] Valid 1.0e8 to 2.5e9.
    preload_over_proof : array
        Share; tightened to yield it exceeds 1. [1] Valid 0 to 1.2.

    Returns
    -------
    preload_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    preload_over_proof * proof_stress_pa * stress_area_m2

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(preload_from_proof(57.99e-6, 830e6, 0.75)))
    36099
    """
    return preload_over_proof * proof_stress_pa * stress_area_m2


@valid(nut_factor=(0.05, 0.4), diameter_m=(0.002, 0.05))
def preload_from_torque(torque_nm: Array, nut_factor: Array, diameter_m: Array) -> Array:
    """Clamp of one fastener from its tightening torque; the nut factor alone scatters it by a quarter.

    Parameters
    ----------
    torque_nm : array
        At the wrench. [N*m]
    nut_factor : array
        0.2 dry, less when oiled. [1] Valid 0.05 to 0.4.
    diameter_m : array
        Nominal. [m] Valid 0.002 to 0.05.

    Returns
    -------
    preload_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    torque_nm / (nut_factor * diameter_m)

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(preload_from_torque(40.0, 0.2, 0.010)))
    20000
    """
    return torque_nm / (nut_factor * diameter_m)


@valid(nut_factor=(0.05, 0.4), diameter_m=(0.002, 0.05))
def tightening_torque(preload_n: Array, nut_factor: Array, diameter_m: Array) -> Array:
    """Torque that gives a clamp.

    Parameters
    ----------
    preload_n : array
        Of one fastener. [N]
    nut_factor : array
        0.2 dry, less when oiled. [1] Valid 0.05 to 0.4.
    diameter_m : array
        Nominal. [m] Valid 0.002 to 0.05.

    Returns
    -------
    torque_nm : array
        Broadcast of the arguments. [N*m]

    Equation
    --------
    nut_factor * diameter_m * preload_n

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(tightening_torque(20000.0, 0.2, 0.010)), 6)
    40.0
    """
    return nut_factor * diameter_m * preload_n


@valid(shank_area_m2=(1.0e-6, 2.0e-3), stress_area_m2=(1.0e-6, 2.0e-3))
def bolt_stiffness(
    shank_area_m2: Array,
    stress_area_m2: Array,
    shank_length_m: Array,
    threaded_length_m: Array,
    youngs_modulus_pa: Array,
) -> Array:
    """Stiffness of a bolt within its grip: plain shank and loaded thread in series.

    Parameters
    ----------
    shank_area_m2 : array
        Of the plain part. [m^2] Valid 1.0e-6 to 2.0e-3.
    stress_area_m2 : array
        Of the thread. [m^2] Valid 1.0e-6 to 2.0e-3.
    shank_length_m : array
        Plain part within the grip. [m]
    threaded_length_m : array
        Threaded part within the grip. [m]
    youngs_modulus_pa : array
        Of the bolt. [Pa]

    Returns
    -------
    bolt_stiffness_n_m : array
        Broadcast of the arguments. [N/m]

    Equation
    --------
    youngs_modulus_pa / (shank_length_m / shank_area_m2 + threaded_length_m / stress_area_m2)

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(bolt_stiffness(100e-6, 80e-6, 0.020, 0.040, 210e9)) / 1e6, 6)
    300.0
    """
    return youngs_modulus_pa / (shank_length_m / shank_area_m2 + threaded_length_m / stress_area_m2)


@valid(diameter_m=(0.002, 0.05), washer_ratio=(1.2, 3.0), half_angle_rad=(0.3, 0.8))
def member_stiffness_by_frusta(
    diameter_m: Array,
    grip_m: Array,
    youngs_modulus_pa: Array,
    half_angle_rad: Array = np.pi / 6.0,
    washer_ratio: Array = 1.5,
) -> Array:
    """Stiffness of two like members clamped between washer faces, the pressure spreading in cones.

    Parameters
    ----------
    diameter_m : array
        Nominal, of the bolt. [m] Valid 0.002 to 0.05.
    grip_m : array
        Clamped thickness. [m]
    youngs_modulus_pa : array
        Of the members. [Pa]
    half_angle_rad : array
        Of the cone: 30 degrees, in older texts 45. [rad] Valid 0.3 to 0.8.
    washer_ratio : array
        Washer face over bolt. [1] Valid 1.2 to 3.

    Returns
    -------
    member_stiffness_n_m : array
        Broadcast of the arguments. [N/m]

    Equation
    --------
    spread = grip_m * tan(half_angle_rad)
    w = (washer_ratio - 1) * diameter_m
    v = (washer_ratio + 1) * diameter_m
    cone = log((spread + w) * v / ((spread + v) * w))
    pi * youngs_modulus_pa * diameter_m * tan(half_angle_rad) / (2 * cone)

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(member_stiffness_by_frusta(0.010, 0.060, 207e9)) / 1e9, 3)
    1.563
    """
    slope = np.tan(half_angle_rad)
    spread = grip_m * slope
    w, v = (washer_ratio - 1.0) * diameter_m, (washer_ratio + 1.0) * diameter_m
    cone = np.log((spread + w) * v / ((spread + v) * w))
    return np.pi * youngs_modulus_pa * diameter_m * slope / (2.0 * cone)


@valid(diameter_m=(0.002, 0.05), coefficient=(0.7, 0.9), exponent=(0.5, 0.7))
def member_stiffness_by_fit(
    diameter_m: Array, grip_m: Array, youngs_modulus_pa: Array, coefficient: Array, exponent: Array
) -> Array:
    """Stiffness of two like members, from a fit to finite elements; constants in ``WILEMAN``.

    Parameters
    ----------
    diameter_m : array
        Nominal, of the bolt. [m] Valid 0.002 to 0.05.
    grip_m : array
        Clamped thickness. [m]
    youngs_modulus_pa : array
        Of the members. [Pa]
    coefficient : array
        Of the material. [1] Valid 0.7 to 0.9.
    exponent : array
        Of the material. [1] Valid 0.5 to 0.7.

    Returns
    -------
    member_stiffness_n_m : array
        Not a number where the bolt is thicker than twice the grip, where the fit ends (from memory). Broadcast of the
        arguments. [N/m]

    Equation
    --------
    youngs_modulus_pa * diameter_m * coefficient * exp(exponent * diameter_m / grip_m)

    Source
    ------
    wileman-1991

    Examples
    --------
    >>> round(float(member_stiffness_by_fit(0.010, 0.060, 207e9, *WILEMAN["steel"])) / 1e9, 3)
    1.809
    """
    stout = diameter_m / np.asarray(grip_m)
    fitted = np.where(stout <= 2.0, stout, np.nan)[()]
    return youngs_modulus_pa * diameter_m * coefficient * np.exp(exponent * fitted)


def joint_constant(bolt_stiffness_n_m: Array, member_stiffness_n_m: Array) -> Array:
    """Share of an outside load that the bolt takes while the joint stays closed.

    Parameters
    ----------
    bolt_stiffness_n_m : array
        Of one bolt. [N/m]
    member_stiffness_n_m : array
        Of what it clamps. [N/m]

    Returns
    -------
    joint_constant : array
        Broadcast of the arguments. [1]

    Equation
    --------
    bolt_stiffness_n_m / (bolt_stiffness_n_m + member_stiffness_n_m)

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> float(joint_constant(1e8, 4e8))
    0.2
    """
    return bolt_stiffness_n_m / (bolt_stiffness_n_m + member_stiffness_n_m)


@valid(joint_share=(0.0, 0.99))
def bolt_load(preload_n: Array, outside_load_n: Array, joint_share: Array) -> Array:
    """Load of one bolt under an outside load: its share while the joint is closed, all once it has opened.

    Parameters
    ----------
    preload_n : array
        Clamp of the bolt. [N]
    outside_load_n : array
        That pulls at this bolt's joint. [N]
    joint_share : array
        Joint constant. [1] Valid 0 to 0.99.

    Returns
    -------
    bolt_load_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    max(preload_n + joint_share * outside_load_n, outside_load_n)

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> float(bolt_load(120e3, 30e3, 0.35)), float(bolt_load(10e3, 30e3, 0.35))
    (130500.0, 30000.0)
    """
    return np.maximum(preload_n + joint_share * outside_load_n, outside_load_n)


@valid(joint_share=(0.0, 0.99))
def separating_load(preload_n: Array, joint_share: Array) -> Array:
    """Outside load at which one bolt's joint opens; above the clamp, since it also stretches the bolt.

    Parameters
    ----------
    preload_n : array
        Clamp of the bolt. [N]
    joint_share : array
        Joint constant. [1] Valid 0 to 0.99.

    Returns
    -------
    separating_load_n : array
        Broadcast of the arguments. [N]

    Equation
    --------
    preload_n / (1 - joint_share)

    Source
    ------
    shigley-2015, ch. 8

    Examples
    --------
    >>> round(float(separating_load(12337.0, 0.2)))
    15421
    """
    return preload_n / (1.0 - joint_share)
