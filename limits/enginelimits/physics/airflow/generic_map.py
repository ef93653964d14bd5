"""What a compressor can do when no map of it is at hand: a map of its class, scaled by the inducer.

A radial wheel with backswept blades behind a small engine.  Every shape and number is from memory; those that differ
from wheel to wheel are arguments, the shapes are common to all.  Speeds are tip speeds, flows and speeds corrected to
298.15 K and 100 kPa.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from enginelimits.physics.airflow.compressor_map import HEAD_EXPONENT, ON_THE_EDGE, MapPoint, MapReading
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.roots import bracketed_root
from enginelimits.physics.numerics.validity import valid

# Choked air through one square metre at the reference state, ratio of heat capacities 1.4.
SONIC_FLUX_KG_S_M2 = 0.0404149 * 100e3 / np.sqrt(298.15)
# Enthalpy of air at the reference temperature, constant heat capacity.
REFERENCE_ENTHALPY_J_KG = 1004.5 * 298.15
# The choke end rises with speed below this tip speed and hardly above it.
KNEE_M_S = 400.0
# The class constant of flow is told at this tip speed.
FULL_SPEED_M_S = 500.0
BEST_SPEED_M_S = 370.0
GREATEST_SPEED_M_S = 600.0
# Width of the best line, in parts of its flow at the choke end, of a wheel whose surge is that of the class.
BEST_WIDTH = 1.0 - (0.19 + 0.37 * (BEST_SPEED_M_S / FULL_SPEED_M_S) ** 2)
FULL_GROWTH = float((FULL_SPEED_M_S / KNEE_M_S) / (1.0 + (FULL_SPEED_M_S / KNEE_M_S) ** 3) ** (1.0 / 3.0))


@valid(corrected_tip_speed_m_s=(0.0, 600.0), inducer_m=(0.02, 0.15), choked_share=(0.5, 1.0))
def choke_end_flow(corrected_tip_speed_m_s: Array, inducer_m: Array, choked_share: Array) -> Array:
    """Flow at the choke end of a speed line, where its efficiency is down to about 0.60.

    In proportion to the inducer's area.  At low speed it goes with the speed, at high speed the inducer chokes.

    Parameters
    ----------
    corrected_tip_speed_m_s : array
        Of the wheel. [m/s] Valid 0 to 600.
    inducer_m : array
        Inlet diameter of the wheel. [m] Valid 0.02 to 0.15.
    choked_share : array
        Flow at 500 m/s over that of choked air through the inducer's whole circle; hub, blades and their layers
        take the rest. [1] Valid 0.5 to 1.

    Returns
    -------
    corrected_flow_kg_s : array
        Broadcast of the arguments. [kg/s]

    Equation
    --------
    relative = corrected_tip_speed_m_s / 400
    growth = relative / (1 + relative**3) ** (1 / 3) / 0.871250
    choked_share * 234.057 * pi / 4 * inducer_m**2 * growth

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(choke_end_flow(500.0, 0.048, 0.81)), 3)
    0.343
    """
    relative = corrected_tip_speed_m_s / KNEE_M_S
    growth = relative / (1.0 + relative**3) ** (1.0 / 3.0) / FULL_GROWTH
    return choked_share * SONIC_FLUX_KG_S_M2 * np.pi / 4.0 * inducer_m**2 * growth


@valid(corrected_tip_speed_m_s=(0.0, 600.0), surge_factor=(0.7, 1.15))
def surge_end_share(corrected_tip_speed_m_s: Array, surge_factor: Array = 1.0) -> Array:
    """Flow at surge over flow at the choke end of the same speed line: lines get narrower with speed.

    Parameters
    ----------
    corrected_tip_speed_m_s : array
        Of the wheel. [m/s] Valid 0 to 600.
    surge_factor : array
        Surge flow of this wheel and housing over that of its class. [1] Valid 0.7 to 1.15.

    Returns
    -------
    surge_share : array
        Broadcast of the arguments. [1]

    Equation
    --------
    surge_factor * (0.19 + 0.37 * (corrected_tip_speed_m_s / 500) ** 2)

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(surge_end_share(500.0)), 3)
    0.56
    """
    return surge_factor * (0.19 + 0.37 * (corrected_tip_speed_m_s / FULL_SPEED_M_S) ** 2)


@valid(flow_share=(0.0, 1.0), work_at_no_flow=(0.6, 0.95), work_fall=(0.0, 0.4))
def work_coefficient(flow_share: Array, work_at_no_flow: Array = 0.79, work_fall: Array = 0.18) -> Array:
    """Rise of total enthalpy over the square of the tip speed: slip at no flow, less what backsweep takes with flow.

    Parameters
    ----------
    flow_share : array
        Flow over flow at the choke end of the same speed line. [1] Valid 0 to 1.
    work_at_no_flow : array
        Slip factor, with disc friction. [1] Valid 0.6 to 0.95.
    work_fall : array
        From no flow to the choke end. [1] Valid 0 to 0.4.

    Returns
    -------
    work_coefficient : array
        Broadcast of the arguments. [1]

    Equation
    --------
    work_at_no_flow - work_fall * flow_share

    Source
    ------
    memory; heywood-1988, sec. 6.8, for the definition

    Examples
    --------
    >>> round(work_coefficient(0.5), 3)
    0.7
    """
    return work_at_no_flow - work_fall * flow_share


@valid(
    flow_share=(0.0, 1.0),
    surge_share=(0.1, 0.95),
    corrected_tip_speed_m_s=(0.0, 600.0),
    peak_efficiency=(0.6, 0.85),
    choke_efficiency=(0.4, 0.75),
    surge_efficiency=(0.5, 0.8),
    peak_place=(0.2, 0.8),
)
def efficiency_on_line(
    flow_share: Array,
    surge_share: Array,
    corrected_tip_speed_m_s: Array,
    peak_efficiency: Array = 0.76,
    choke_efficiency: Array = 0.60,
    surge_efficiency: Array = 0.67,
    peak_place: Array = 0.47,
) -> Array:
    """Efficiency along a speed line: a hill that falls to both ends, highest at about 370 m/s.

    Lines get narrower with speed by surging nearer to their best flow, so less of the hill is left on that side.

    Parameters
    ----------
    flow_share : array
        Flow over flow at the choke end of the same speed line. [1] Valid 0 to 1.
    surge_share : array
        The same at surge. [1] Valid 0.1 to 0.95.
    corrected_tip_speed_m_s : array
        Of the wheel. [m/s] Valid 0 to 600.
    peak_efficiency : array
        Isentropic, total to total, greatest of the map. [1] Valid 0.6 to 0.85.
    choke_efficiency : array
        At the choke end of the best line. [1] Valid 0.4 to 0.75.
    surge_efficiency : array
        At surge on the best line. [1] Valid 0.5 to 0.8.
    peak_place : array
        Of the best flow between surge, 0, and the choke end, 1. [1] Valid 0.2 to 0.8.

    Returns
    -------
    efficiency : array
        Broadcast of the arguments. [1]

    Equation
    --------
    place = (flow_share - surge_share) / (1 - surge_share)
    to_choke = max(0, place - peak_place) / (1 - peak_place)
    to_surge = max(0, peak_place - place) / peak_place
    width = min(1, (1 - surge_share) / 0.607388)
    surge_fall = (peak_efficiency - surge_efficiency) * (width * to_surge) ** 2
    fall = (peak_efficiency - choke_efficiency) * to_choke**2 + surge_fall
    (peak_efficiency - fall) * (1 - 0.4 * (corrected_tip_speed_m_s / 370 - 1) ** 2)

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(efficiency_on_line(1.0, 0.4, 370.0)), 3)
    0.6
    """
    place = (flow_share - surge_share) / (1.0 - surge_share)
    to_choke = np.maximum(0.0, place - peak_place) / (1.0 - peak_place)
    to_surge = np.maximum(0.0, peak_place - place) / peak_place
    width = np.minimum(1.0, (1.0 - surge_share) / BEST_WIDTH)
    surge_fall = (peak_efficiency - surge_efficiency) * (width * to_surge) ** 2
    fall = (peak_efficiency - choke_efficiency) * to_choke**2 + surge_fall
    return (peak_efficiency - fall) * (1.0 - 0.4 * (corrected_tip_speed_m_s / BEST_SPEED_M_S - 1.0) ** 2)


class _Wheel:
    """The class map of one set of arguments, lane by lane."""

    def __init__(self, inducer: Array, choked: Array, surge: Array, work: tuple[Array, Array], hill: tuple[Array, ...]):
        self.inducer, self.choked, self.surge, self.work, self.hill = inducer, choked, surge, work, hill

    def choke_flow(self, speed: Array) -> Array:
        return choke_end_flow(speed, self.inducer, self.choked)

    def surge_share(self, speed: Array) -> Array:
        return surge_end_share(speed, self.surge)

    def surge_flow(self, speed: Array) -> Array:
        return self.surge_share(speed) * self.choke_flow(speed)

    def efficiency(self, share: Array, speed: Array) -> Array:
        return efficiency_on_line(share, self.surge_share(speed), speed, *self.hill)

    def head(self, share: Array, speed: Array) -> Array:
        work = work_coefficient(share, *self.work) * speed**2 / REFERENCE_ENTHALPY_J_KG
        return self.efficiency(share, speed) * work

    def share(self, flow: Array, speed: Array) -> Array:
        # The bracket begins at the choke end itself, where rounding must not push the share beyond one.
        return np.minimum(flow / self.choke_flow(speed), 1.0)

    def speed_of_choke_end(self, flow: Array) -> Array:
        cube = (flow / self.choke_flow(FULL_SPEED_M_S) * FULL_GROWTH) ** 3
        return KNEE_M_S * (cube / np.where(cube < 1.0, 1.0 - cube, np.nan)) ** (1.0 / 3.0)


@valid(
    corrected_flow_kg_s=(0.0, 3.0),
    pressure_ratio=(1.0, 4.0),
    inducer_m=(0.02, 0.15),
    choked_share=(0.5, 1.0),
    surge_factor=(0.7, 1.15),
    work_at_no_flow=(0.6, 0.95),
    work_fall=(0.0, 0.4),
    peak_efficiency=(0.6, 0.85),
    choke_efficiency=(0.4, 0.75),
    surge_efficiency=(0.5, 0.8),
    peak_place=(0.2, 0.8),
)
def read_class_map(
    corrected_flow_kg_s: Array,
    pressure_ratio: Array,
    inducer_m: Array,
    choked_share: Array,
    surge_factor: Array = 1.0,
    work_at_no_flow: Array = 0.79,
    work_fall: Array = 0.18,
    peak_efficiency: Array = 0.76,
    choke_efficiency: Array = 0.60,
    surge_efficiency: Array = 0.67,
    peak_place: Array = 0.47,
) -> MapReading:
    """Efficiency, speed, surge and choke of a compressor of the class at a flow and a pressure ratio.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor, corrected to 298.15 K and 100 kPa. [kg/s] Valid 0 to 3.
    pressure_ratio : array
        Outlet over inlet, absolute, total. [1] Valid 1 to 4.
    inducer_m : array
        Inlet diameter of the wheel. [m] Valid 0.02 to 0.15.
    choked_share : array
        As of :func:`choke_end_flow`. [1] Valid 0.5 to 1.
    surge_factor : array
        As of :func:`surge_end_share`. [1] Valid 0.7 to 1.15.
    work_at_no_flow : array
        As of :func:`work_coefficient`. [1] Valid 0.6 to 0.95.
    work_fall : array
        As of :func:`work_coefficient`. [1] Valid 0 to 0.4.
    peak_efficiency : array
        As of :func:`efficiency_on_line`. [1] Valid 0.6 to 0.85.
    choke_efficiency : array
        As of :func:`efficiency_on_line`. [1] Valid 0.4 to 0.75.
    surge_efficiency : array
        As of :func:`efficiency_on_line`. [1] Valid 0.5 to 0.8.
    peak_place : array
        As of :func:`efficiency_on_line`. [1] Valid 0.2 to 0.8.

    Returns
    -------
    efficiency : array
        NaN outside the map. [1]
    corrected_tip_speed_m_s : array
        NaN outside the map. [m/s]
    surge_flow_kg_s : array
        At this pressure ratio; NaN where 600 m/s do not reach it. [kg/s]
    choke_flow_kg_s : array
        At the choke end at this pressure ratio; above that of 600 m/s, the flow there. [kg/s]
    inside : array
        Whether the map shows this point. [yes-no]
    above_top_line : array
        Whether the point asks for more than 600 m/s. [yes-no]
    below_lowest_line : array
        Never: the class map goes down to the wheel at rest. [yes-no]

    Equation
    --------
    Solved: the tip speed at which work_coefficient * efficiency_on_line * speed**2 / 299492 is the head asked for,
    pressure_ratio ** 0.2857 - 1

    Source
    ------
    memory

    Examples
    --------
    >>> found = read_class_map([0.22, 0.50], 2.0, 0.048, 0.81)
    >>> np.round(found.efficiency, 2).tolist(), np.round(found.corrected_tip_speed_m_s).tolist()
    ([0.75, nan], [364.0, nan])
    """
    hill = (peak_efficiency, choke_efficiency, surge_efficiency, peak_place)
    wheel = _Wheel(inducer_m, choked_share, surge_factor, (work_at_no_flow, work_fall), hill)
    ratio, flow = np.asarray(pressure_ratio, dtype=float), np.asarray(corrected_flow_kg_s, dtype=float)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        head = np.where(ratio >= 1.0, ratio, np.nan) ** HEAD_EXPONENT - 1.0
        at_surge, at_choke = (_speed_at_end(wheel, share, head) for share in (wheel.surge_share, np.ones_like))
        surge = wheel.surge_flow(at_surge)
        slowest = wheel.speed_of_choke_end(flow)
        fastest = bracketed_root(lambda speed: wheel.surge_flow(speed) - flow, 0.0, GREATEST_SPEED_M_S).root
        # More flow than any speed brings to surge: the greatest speed is the end.
        fastest = np.where(flow > wheel.surge_flow(GREATEST_SPEED_M_S), GREATEST_SPEED_M_S, fastest)
        inner = slowest < fastest

        def asked(speed: Array) -> Array:
            return wheel.head(wheel.share(flow, speed), speed) - head

        speed = bracketed_root(asked, np.where(inner, slowest, np.nan), fastest).root
        eta = wheel.efficiency(wheel.share(flow, speed), speed)
        too_high = head > wheel.head(wheel.surge_share(GREATEST_SPEED_M_S), GREATEST_SPEED_M_S)
        over = (inner & (fastest == GREATEST_SPEED_M_S) & (asked(fastest) < 0.0)) | too_high
        # Where the choke end lies above the greatest speed, that speed's own line bounds the flow.
        choke: Array = wheel.choke_flow(at_choke)
        above = ~np.isfinite(at_choke)
        if above.any():
            choke = np.where(above, _flow_on_line(wheel, head), choke)
    eta, speed, surge, choke, over = np.broadcast_arrays(eta, speed, surge, choke, over)
    inside: Array = np.isfinite(speed) & np.isfinite(eta)
    return MapReading(eta, speed, surge, choke, inside, over, np.zeros_like(inside))


def _speed_at_end(wheel: _Wheel, share: Callable[[Array], Array], head: Array) -> Array:
    """Speed at which an end of the lines has a head; NaN where the greatest speed has less."""
    return bracketed_root(lambda speed: wheel.head(share(speed), speed) - head, 0.0, GREATEST_SPEED_M_S).root


def _flow_on_line(wheel: _Wheel, head: Array) -> Array:
    """Greatest flow at which the line of the greatest speed still has a head; NaN where it never has."""
    speed = np.asarray(GREATEST_SPEED_M_S)
    found = bracketed_root(lambda share: wheel.head(share, speed) - head, wheel.surge_share(speed), 1.0).root
    return found * wheel.choke_flow(speed)


@valid(
    corrected_flow_kg_s=(0.0, 3.0),
    corrected_tip_speed_m_s=(0.0, 600.0),
    inducer_m=(0.02, 0.15),
    choked_share=(0.5, 1.0),
    surge_factor=(0.7, 1.15),
    work_at_no_flow=(0.6, 0.95),
    work_fall=(0.0, 0.4),
    peak_efficiency=(0.6, 0.85),
    choke_efficiency=(0.4, 0.75),
    surge_efficiency=(0.5, 0.8),
    peak_place=(0.2, 0.8),
)
def class_map_at_speed(
    corrected_flow_kg_s: Array,
    corrected_tip_speed_m_s: Array,
    inducer_m: Array,
    choked_share: Array,
    surge_factor: Array = 1.0,
    work_at_no_flow: Array = 0.79,
    work_fall: Array = 0.18,
    peak_efficiency: Array = 0.76,
    choke_efficiency: Array = 0.60,
    surge_efficiency: Array = 0.67,
    peak_place: Array = 0.47,
) -> MapPoint:
    """Pressure ratio and efficiency of a compressor of the class at a flow and a speed, such as its greatest.

    Parameters
    ----------
    corrected_flow_kg_s : array
        Of one compressor, corrected to 298.15 K and 100 kPa. [kg/s] Valid 0 to 3.
    corrected_tip_speed_m_s : array
        Corrected to 298.15 K. [m/s] Valid 0 to 600.
    inducer_m : array
        Inlet diameter of the wheel. [m] Valid 0.02 to 0.15.
    choked_share : array
        As of :func:`choke_end_flow`. [1] Valid 0.5 to 1.
    surge_factor : array
        As of :func:`surge_end_share`. [1] Valid 0.7 to 1.15.
    work_at_no_flow : array
        As of :func:`work_coefficient`. [1] Valid 0.6 to 0.95.
    work_fall : array
        As of :func:`work_coefficient`. [1] Valid 0 to 0.4.
    peak_efficiency : array
        As of :func:`efficiency_on_line`. [1] Valid 0.6 to 0.85.
    choke_efficiency : array
        As of :func:`efficiency_on_line`. [1] Valid 0.4 to 0.75.
    surge_efficiency : array
        As of :func:`efficiency_on_line`. [1] Valid 0.5 to 0.8.
    peak_place : array
        As of :func:`efficiency_on_line`. [1] Valid 0.2 to 0.8.

    Returns
    -------
    pressure_ratio : array
        NaN left of surge and right of the choke end. [1]
    efficiency : array
        The same. [1]

    Equation
    --------
    Solved: flow over choke_end_flow at the speed, then work_coefficient and efficiency_on_line at that share

    Source
    ------
    memory

    Examples
    --------
    >>> round(float(class_map_at_speed(0.22, 363.6, 0.048, 0.81).pressure_ratio), 2)
    2.0
    """
    hill = (peak_efficiency, choke_efficiency, surge_efficiency, peak_place)
    wheel = _Wheel(inducer_m, choked_share, surge_factor, (work_at_no_flow, work_fall), hill)
    speed = np.asarray(corrected_tip_speed_m_s, dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = corrected_flow_kg_s / wheel.choke_flow(speed)
        shown = (share >= wheel.surge_share(speed) * (1.0 - ON_THE_EDGE)) & (share <= 1.0 + ON_THE_EDGE)
        shown &= speed <= GREATEST_SPEED_M_S
        share = np.where(shown, share, np.nan)
        return MapPoint((1.0 + wheel.head(share, speed)) ** (1.0 / HEAD_EXPONENT), wheel.efficiency(share, speed))
