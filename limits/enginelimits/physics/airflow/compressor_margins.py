"""How far a compressor's running point lies from surge and choke, and how fast its wheel turns there."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(corrected_flow_kg_s=(0.0, 10.0), surge_flow_kg_s=(0.0, 10.0))
def surge_margin(corrected_flow_kg_s: Array, surge_flow_kg_s: Array) -> Array:
    """How far the flow lies above that of surge at the same pressure ratio; below zero the compressor surges.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor. [kg/s] Valid 0 to 10.
    surge_flow_kg_s : array
        At the same pressure ratio. [kg/s] Valid 0 to 10.

    Returns
    -------
    surge_margin : array
        Broadcast of the arguments; NaN where there is no surge flow. [1]

    Equation
    --------
    corrected_flow_kg_s / surge_flow_kg_s - 1

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(surge_margin(0.115, 0.10)), 3)
    0.15
    """
    flow, surge = np.broadcast_arrays(np.asarray(corrected_flow_kg_s, float), np.asarray(surge_flow_kg_s, float))
    return np.divide(flow, surge, out=np.full(flow.shape, np.nan), where=surge > 0.0) - 1.0


@valid(corrected_flow_kg_s=(0.0, 10.0), choke_flow_kg_s=(0.0, 10.0))
def choke_margin(corrected_flow_kg_s: Array, choke_flow_kg_s: Array) -> Array:
    """What is left of the greatest flow at the same pressure ratio; below zero the compressor cannot pass it.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor. [kg/s] Valid 0 to 10.
    choke_flow_kg_s : array
        At the same pressure ratio. [kg/s] Valid 0 to 10.

    Returns
    -------
    choke_margin : array
        Broadcast of the arguments; NaN where there is no choke flow. [1]

    Equation
    --------
    1 - corrected_flow_kg_s / choke_flow_kg_s

    Source
    ------
    common-practice

    Examples
    --------
    >>> round(float(choke_margin(0.27, 0.30)), 3)
    0.1
    """
    flow, choke = np.broadcast_arrays(np.asarray(corrected_flow_kg_s, float), np.asarray(choke_flow_kg_s, float))
    return 1.0 - np.divide(flow, choke, out=np.full(flow.shape, np.nan), where=choke > 0.0)


@valid(corrected_tip_speed_m_s=(0.0, 900.0), inlet_temperature_k=(230.0, 400.0))
def tip_speed_from_corrected(
    corrected_tip_speed_m_s: Array, inlet_temperature_k: Array, reference_temperature_k: Array = 298.15
) -> Array:
    """Speed of the wheel's outer edge on the day, from the one its map shows.

    Parameters
    ----------
    corrected_tip_speed_m_s : array
        As on the map. [m/s] Valid 0 to 900.
    inlet_temperature_k : array
        Total, at the compressor inlet. [K] Valid 230 to 400.
    reference_temperature_k : array
        Of the map. [K]

    Returns
    -------
    tip_speed_m_s : array
        Broadcast of the arguments. [m/s]

    Equation
    --------
    corrected_tip_speed_m_s * sqrt(inlet_temperature_k / reference_temperature_k)

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(tip_speed_from_corrected(450.0, 313.15)), 1)
    461.2
    """
    return corrected_tip_speed_m_s * np.sqrt(np.asarray(inlet_temperature_k) / reference_temperature_k)


@valid(tip_speed_m_s=(0.0, 900.0), exducer_m=(0.02, 0.3))
def shaft_speed(tip_speed_m_s: Array, exducer_m: Array) -> Array:
    """Speed of rotation at which a wheel has a tip speed.

    Parameters
    ----------
    tip_speed_m_s : array
        At the outer diameter. [m/s] Valid 0 to 900.
    exducer_m : array
        Outer diameter of the wheel. [m] Valid 0.02 to 0.3.

    Returns
    -------
    shaft_speed_rad_s : array
        Broadcast of the arguments. [rad/s]

    Equation
    --------
    2 * tip_speed_m_s / exducer_m

    Source
    ------
    heywood-1988, sec. 6.8

    Examples
    --------
    >>> round(float(shaft_speed(500.0, 0.054)))
    18519
    """
    return 2.0 * tip_speed_m_s / exducer_m
