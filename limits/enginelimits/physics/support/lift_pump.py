"""The lift pump: what it works against, and what it gives there."""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

NEXT_TO_NONE = 1000.0  # use at which a pump counts as giving nothing


@valid(
    base_pressure_pa=(50e3, 1.2e6),
    boost_pa=(0.0, 400e3),
    boost_referenced=(0.0, 1.0),
    line_loss_pa=(0.0, 300e3),
)
def pressure_against(
    base_pressure_pa: Array, boost_pa: Array, boost_referenced: Array, line_loss_pa: Array = 0.0
) -> Array:
    """Gauge pressure that the lift pump works against.

    Parameters
    ----------
    base_pressure_pa : array
        Of the regulator without boost, over the barometer. [Pa] Valid 50e3 to 1.2e6.
    boost_pa : array
        Gauge, at the manifold. [Pa] Valid 0 to 400e3.
    boost_referenced : array
        1 where the regulator follows the manifold, 0 where it is fixed. [1] Valid 0 to 1.
    line_loss_pa : array
        Of filter and lines. [Pa] Valid 0 to 300e3.

    Returns
    -------
    pressure_against_pa : array
        Gauge, broadcast of the arguments. [Pa]

    Equation
    --------
    base_pressure_pa + boost_referenced * boost_pa + line_loss_pa

    Source
    ------
    common-practice

    Examples
    --------
    >>> pressure_against(3e5, 0.6e5, 1.0, 0.2e5)
    380000.0
    """
    return base_pressure_pa + boost_referenced * boost_pa + line_loss_pa


@valid(
    rated_flow_m3_s=(0.0, 1e-3),
    rated_pressure_pa=(0.0, 1e6),
    rated_voltage_v=(6.0, 20.0),
    pressure_pa=(0.0, 1e6),
    voltage_v=(6.0, 20.0),
    stall_pressure_pa=(400e3, 4e6),
)
def flow_available(
    rated_flow_m3_s: Array,
    rated_pressure_pa: Array,
    rated_voltage_v: Array,
    pressure_pa: Array,
    voltage_v: Array,
    stall_pressure_pa: Array = 12e5,
) -> Array:
    """Flow of an electric lift pump at another pressure and voltage than those of its rating.

    A permanent-magnet motor drives a pump of fixed volume a turn: flow falls in a straight line with pressure
    (torque, leakage) and rises with voltage (idling speed).  One figure more than the rating sets the slope,
    the pressure at which flow would end; 12 bar, within 9 to 18, from memory: about 12 % less flow a bar and
    1.5 % less for each percent of voltage around 4 bar.  A pump's own flow sheet is better.  Its relief valve
    opens sooner and ageing takes more off; neither is in here.

    Parameters
    ----------
    rated_flow_m3_s : array
        As stated. [m^3/s] Valid 0 to 1e-3.
    rated_pressure_pa : array
        Gauge, at which it is stated. [Pa] Valid 0 to 1e6.
    rated_voltage_v : array
        At which it is stated. [V] Valid 6 to 20.
    pressure_pa : array
        Gauge, that the pump sees. [Pa] Valid 0 to 1e6.
    voltage_v : array
        At the pump. [V] Valid 6 to 20.
    stall_pressure_pa : array
        Gauge, at which flow would end at rated voltage; above the rated pressure. [Pa] Valid 400e3 to 4e6.

    Returns
    -------
    flow_available_m3_s : array
        Negative beyond the pressure at which flow ends; not a number where it ends at the rated pressure already.
        Broadcast of the arguments. [m^3/s]

    Equation
    --------
    share = voltage_v / rated_voltage_v - pressure_pa / stall_pressure_pa
    rated_flow_m3_s * share / (1 - rated_pressure_pa / stall_pressure_pa)

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(flow_available(255e-3 / 3600, 4e5, 13.5, 5e5, 13.5)) * 3.6e6, 1)
    223.1
    """
    share = voltage_v / rated_voltage_v - pressure_pa / stall_pressure_pa
    left = 1.0 - rated_pressure_pa / np.asarray(stall_pressure_pa)
    return rated_flow_m3_s * share / np.where(left > 0.0, left, np.nan)[()]


@valid(system_voltage_v=(6.0, 20.0), wiring_drop_v=(0.0, 6.0))
def voltage_at_pump(system_voltage_v: Array, wiring_drop_v: Array) -> Array:
    """Voltage that the lift pump sees: the system's less what wires and relay take.

    Parameters
    ----------
    system_voltage_v : array
        With the engine running. [V] Valid 6 to 20.
    wiring_drop_v : array
        From battery to pump and back, at full flow. [V] Valid 0 to 6.

    Returns
    -------
    voltage_v : array
        Broadcast of the arguments. [V]

    Equation
    --------
    system_voltage_v - wiring_drop_v

    Source
    ------
    common-practice

    Examples
    --------
    >>> voltage_at_pump(13.8, 0.5)
    13.3
    """
    return system_voltage_v - wiring_drop_v


@valid(required_m3_s=(0.0, 1e-3), available_m3_s=(-1e-3, 2e-3))
def use(required_m3_s: Array, available_m3_s: Array) -> Array:
    """Fuel required over fuel that the pump can give; a thousand where it gives less than a thousandth of it.

    Parameters
    ----------
    required_m3_s : array
        By volume. [m^3/s] Valid 0 to 1e-3.
    available_m3_s : array
        At the pressure and voltage that the pump sees. [m^3/s] Valid -1e-3 to 2e-3.

    Returns
    -------
    use : array
        Broadcast of the arguments. [1]

    Equation
    --------
    where(available_m3_s <= required_m3_s / 1000, 1000, required_m3_s / available_m3_s)

    Source
    ------
    common-practice

    Examples
    --------
    >>> float(use(40e-6, 50e-6))
    0.8
    """
    # A number, for a rule to hold it against: infinity would pass for a formula left.
    none = np.less_equal(available_m3_s, np.asarray(required_m3_s) / NEXT_TO_NONE)
    return np.where(none, NEXT_TO_NONE, required_m3_s / np.where(none, np.nan, available_m3_s))[()]
