"""How a cylinder answers to timing: where torque is best, where knock begins, and what retard costs.

The closed cycle is solved at a few half-burned angles, all lanes at once, and a polynomial goes through them: torque
and the logarithm of the octane number wanted are smooth in the angle.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from enginelimits.physics.combustion.auto_ignition import octane_for_integral
from enginelimits.physics.cycle.closed import COARSE, ROUGH, closed_cycle
from enginelimits.physics.gas.charge import fresh_charge
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# Half-burned angles at which the cycle is solved
NODES = np.radians([-4.0, 3.0, 13.0, 26.0, 39.0, 46.0])
# Best torque is looked for between these; a burn is never later than the last node
BEST_BETWEEN = np.radians([-4.0, 20.0])
# What a shop accepts of retard before it calls the boost too much: common practice
USUAL_RETARD = np.radians(10.0)
_CENTRE, _WIDTH = 0.5 * (NODES[0] + NODES[-1]), 0.5 * (NODES[-1] - NODES[0])
_TO_POWERS = np.linalg.inv(np.vander((NODES - _CENTRE) / _WIDTH, increasing=True))
_HALVINGS, _NEWTON_STEPS = 16, 3


class TimingResponse(NamedTuple):
    """Results a lane; angles are half-burned angles after top dead centre."""

    best_half_burned_rad: Array
    knock_limited_half_burned_rad: Array
    octane_required_at_best: Array
    best_imep_pa: Array  # gross
    best_peak_pressure_pa: Array
    octane_required_retarded: Array  # ten degrees later than best torque


class TimedState(NamedTuple):
    """Of the cycle at one half-burned angle."""

    octane_required: Array
    opening_pressure_pa: Array
    opening_temperature_k: Array
    opening_energy_j_kg: Array


@valid(
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    compression_ratio=(6.0, 16.0),
    speed_rad_s=(50.0, 1500.0),
    trapped_mass_kg=(1e-5, 1e-2),
    closing_temperature_k=(250.0, 500.0),
    fuel_mass_fraction=(0.0, 0.2),
    residual_fraction=(0.0, 0.5),
    water_fraction=(0.0, 0.06),
    lambda_ratio=(0.6, 1.5),
    heating_value_j_kg=(18e6, 46e6),
    combustion_efficiency=(0.8, 1.0),
    ethanol_mass_fraction=(0.0, 1.0),
    methanol_mass_fraction=(0.0, 1.0),
    burn_duration_rad=(0.3, 1.8),
    wiebe_a=(2.0, 10.0),
    wiebe_form=(1.0, 4.0),
    intake_closing_rad=(0.0, 1.75),
    exhaust_opening_rad=(0.0, 1.6),
    wall_temperature_k=(300.0, 600.0),
    heat_transfer_factor=(0.0, 3.0),
    intake_pressure_pa=(2e4, 5e5),
    exhaust_pressure_pa=(5e4, 8e5),
    knock_temperature_ratio=(0.9, 1.2),
    octane_available=(50.0, 140.0),
    friction_peak_share=(0.0, 0.02),
)
def timing_response(
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    speed_rad_s: Array,
    trapped_mass_kg: Array,
    closing_temperature_k: Array,
    fuel_mass_fraction: Array,
    residual_fraction: Array,
    water_fraction: Array,
    lambda_ratio: Array,
    heating_value_j_kg: Array,
    combustion_efficiency: Array,
    ethanol_mass_fraction: Array,
    burn_duration_rad: Array,
    wiebe_a: Array,
    wiebe_form: Array,
    intake_closing_rad: Array,
    exhaust_opening_rad: Array,
    wall_temperature_k: Array,
    heat_transfer_factor: Array,
    intake_pressure_pa: Array,
    exhaust_pressure_pa: Array,
    knock_temperature_ratio: Array,
    octane_available: Array,
    friction_peak_share: Array,
    methanol_mass_fraction: Array = 0.0,
) -> TimingResponse:
    """Best-torque and knock-limited timing of one cylinder.

    Best torque counts what peak pressure costs in friction. The knock limit is where the octane number wanted falls to
    what is available: at the first node where even the earliest burn does not knock, at the last where the latest does.

    Parameters
    ----------
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 0.60.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 50 to 1500.
    trapped_mass_kg : array
        Air, fuel and residual gas at intake closing. [kg] Valid 1e-5 to 1e-2.
    closing_temperature_k : array
        Gas at intake closing. [K] Valid 250 to 500.
    fuel_mass_fraction : array
        Fuel over the whole mass. [1] Valid 0 to 0.2.
    residual_fraction : array
        Burned gas left over, of the whole mass. [1] Valid 0 to 0.5.
    water_fraction : array
        Water vapour of the air, of the whole mass. [1] Valid 0 to 0.06.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    heating_value_j_kg : array
        Lower heating value of the fuel as vapour. [J/kg] Valid 18e6 to 46e6.
    combustion_efficiency : array
        Share of the charge that burns. [1] Valid 0.8 to 1.
    ethanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.
    burn_duration_rad : array
        Nominal duration of Wiebe's function. [rad] Valid 0.3 to 1.8.
    wiebe_a : array
        Efficiency exponent. [1] Valid 2 to 10.
    wiebe_form : array
        Form exponent. [1] Valid 1 to 4.
    intake_closing_rad : array
        After bottom dead centre. [rad] Valid 0 to 1.75.
    exhaust_opening_rad : array
        Before bottom dead centre. [rad] Valid 0 to 1.6.
    wall_temperature_k : array
        Mean over head, crown and liner. [K] Valid 300 to 600.
    heat_transfer_factor : array
        On Woschni's coefficient; 0 for none. [1] Valid 0 to 3.
    intake_pressure_pa : array
        Manifold, absolute. [Pa] Valid 2e4 to 5e5.
    exhaust_pressure_pa : array
        At the ports, absolute. [Pa] Valid 5e4 to 8e5.
    knock_temperature_ratio : array
        Temperature that counts for auto-ignition over that of the fresh gas. [1] Valid 0.9 to 1.2.
    octane_available : array
        Octane number that the fuel holds against knock, anchor included. [1] Valid 50 to 140.
    friction_peak_share : array
        Friction mean effective pressure for each pascal of peak pressure. [1] Valid 0 to 0.02.
    methanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.

    Returns
    -------
    response : TimingResponse
        Broadcast over the arguments: angles [rad], octane numbers [1], pressures [Pa].

    Equation
    --------
    Solved: the closed cycle at half-burned angles of -4, 3, 13, 26, 39 and 46 degrees, polynomials of the fifth degree
    through them, of the octane number through its logarithm; the greatest of gross work less friction_peak_share times
    peak pressure; where octane required is octane_available

    Source
    ------
    own-computation, on the closed cycle

    Examples
    --------
    >>> one = timing_response(
    ...     bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=9.5, speed_rad_s=420.0,
    ...     trapped_mass_kg=8.5e-4, closing_temperature_k=350.0, fuel_mass_fraction=0.072, residual_fraction=0.04,
    ...     water_fraction=0.0, lambda_ratio=0.85, heating_value_j_kg=43.7e6, combustion_efficiency=0.965,
    ...     ethanol_mass_fraction=0.0, methanol_mass_fraction=0.0, burn_duration_rad=0.90, wiebe_a=5.0, wiebe_form=2.0,
    ...     intake_closing_rad=0.87, exhaust_opening_rad=0.87, wall_temperature_k=450.0, heat_transfer_factor=1.0,
    ...     intake_pressure_pa=1.7e5, exhaust_pressure_pa=1.6e5, knock_temperature_ratio=1.0,
    ...     octane_available=98.0, friction_peak_share=0.005)
    >>> round(float(np.degrees(one.best_half_burned_rad)))
    6
    """
    charge = fresh_charge(
        fuel_mass_fraction=fuel_mass_fraction,
        residual_fraction=residual_fraction,
        lambda_ratio=lambda_ratio,
        heating_value_j_kg=heating_value_j_kg,
        combustion_efficiency=combustion_efficiency,
        ethanol_share=ethanol_mass_fraction,
        methanol_share=methanol_mass_fraction,
        water_fraction=water_fraction,
    )
    # the nodes stand ahead of every axis that any argument has
    axes = max(
        np.ndim(value)
        for value in (
            bore_m, stroke_m, rod_length_m, compression_ratio, speed_rad_s, trapped_mass_kg, closing_temperature_k,
            fuel_mass_fraction, residual_fraction, water_fraction, lambda_ratio, heating_value_j_kg,
            combustion_efficiency, ethanol_mass_fraction, burn_duration_rad, wiebe_a, wiebe_form, intake_closing_rad,
            exhaust_opening_rad, wall_temperature_k, heat_transfer_factor, intake_pressure_pa, exhaust_pressure_pa,
            knock_temperature_ratio, octane_available, friction_peak_share, methanol_mass_fraction,
        )
    )
    closed = closed_cycle(
        charge,
        bore_m=bore_m,
        stroke_m=stroke_m,
        rod_length_m=rod_length_m,
        compression_ratio=compression_ratio,
        speed_rad_s=speed_rad_s,
        trapped_mass_kg=trapped_mass_kg,
        closing_temperature_k=closing_temperature_k,
        half_burned_angle_rad=NODES.reshape(-1, *(1,) * axes),
        burn_duration_rad=burn_duration_rad,
        wiebe_a=wiebe_a,
        wiebe_form=wiebe_form,
        intake_closing_rad=intake_closing_rad,
        exhaust_opening_rad=exhaust_opening_rad,
        wall_temperature_k=wall_temperature_k,
        heat_transfer_factor=heat_transfer_factor,
        intake_pressure_pa=intake_pressure_pa,
        exhaust_pressure_pa=exhaust_pressure_pa,
        knock_temperature_ratio=knock_temperature_ratio,
        steps=COARSE,
        traces=False,
    )
    work = _powers(closed.gross_imep_pa - friction_peak_share * closed.peak_pressure_pa)
    octane = _powers(np.log(octane_for_integral(closed.knock_integral)))
    best = _greatest(work)
    with np.errstate(invalid="ignore", divide="ignore"):
        available = np.log(octane_available)
    later = np.minimum(best + USUAL_RETARD, NODES[-1])
    return TimingResponse(
        best,
        _falls_to(octane, available),
        np.exp(_at(octane, best)),
        _at(_powers(closed.gross_imep_pa), best),
        _at(_powers(closed.peak_pressure_pa), best),
        np.exp(_at(octane, later)),
    )


@valid(
    bore_m=(0.03, 0.20),
    stroke_m=(0.02, 0.30),
    rod_length_m=(0.05, 0.60),
    compression_ratio=(6.0, 16.0),
    speed_rad_s=(50.0, 1500.0),
    trapped_mass_kg=(1e-5, 1e-2),
    closing_temperature_k=(250.0, 500.0),
    fuel_mass_fraction=(0.0, 0.2),
    residual_fraction=(0.0, 0.5),
    water_fraction=(0.0, 0.06),
    lambda_ratio=(0.6, 1.5),
    heating_value_j_kg=(18e6, 46e6),
    combustion_efficiency=(0.8, 1.0),
    ethanol_mass_fraction=(0.0, 1.0),
    methanol_mass_fraction=(0.0, 1.0),
    burn_duration_rad=(0.3, 1.8),
    wiebe_a=(2.0, 10.0),
    wiebe_form=(1.0, 4.0),
    intake_closing_rad=(0.0, 1.75),
    exhaust_opening_rad=(0.0, 1.6),
    wall_temperature_k=(300.0, 600.0),
    heat_transfer_factor=(0.0, 3.0),
    intake_pressure_pa=(2e4, 5e5),
    exhaust_pressure_pa=(5e4, 8e5),
    knock_temperature_ratio=(0.9, 1.2),
    half_burned_angle_rad=(-0.3, 0.9),
)
def state_at_timing(
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    speed_rad_s: Array,
    trapped_mass_kg: Array,
    closing_temperature_k: Array,
    fuel_mass_fraction: Array,
    residual_fraction: Array,
    water_fraction: Array,
    lambda_ratio: Array,
    heating_value_j_kg: Array,
    combustion_efficiency: Array,
    ethanol_mass_fraction: Array,
    burn_duration_rad: Array,
    wiebe_a: Array,
    wiebe_form: Array,
    intake_closing_rad: Array,
    exhaust_opening_rad: Array,
    wall_temperature_k: Array,
    heat_transfer_factor: Array,
    intake_pressure_pa: Array,
    exhaust_pressure_pa: Array,
    knock_temperature_ratio: Array,
    half_burned_angle_rad: Array,
    methanol_mass_fraction: Array = 0.0,
) -> TimedState:
    """What one cylinder wants of the fuel, and its state at exhaust opening, at one half-burned angle.

    Parameters
    ----------
    bore_m : array
        Bore. [m] Valid 0.03 to 0.20.
    stroke_m : array
        Stroke. [m] Valid 0.02 to 0.30.
    rod_length_m : array
        Between the centres. [m] Valid 0.05 to 0.60.
    compression_ratio : array
        Geometric. [1] Valid 6 to 16.
    speed_rad_s : array
        Crankshaft speed. [rad/s] Valid 50 to 1500.
    trapped_mass_kg : array
        Air, fuel and residual gas at intake closing. [kg] Valid 1e-5 to 1e-2.
    closing_temperature_k : array
        Gas at intake closing. [K] Valid 250 to 500.
    fuel_mass_fraction : array
        Fuel over the whole mass. [1] Valid 0 to 0.2.
    residual_fraction : array
        Burned gas left over, of the whole mass. [1] Valid 0 to 0.5.
    water_fraction : array
        Water vapour of the air, of the whole mass. [1] Valid 0 to 0.06.
    lambda_ratio : array
        Air over stoichiometric air. [1] Valid 0.6 to 1.5.
    heating_value_j_kg : array
        Lower heating value of the fuel as vapour. [J/kg] Valid 18e6 to 46e6.
    combustion_efficiency : array
        Share of the charge that burns. [1] Valid 0.8 to 1.
    ethanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.
    burn_duration_rad : array
        Nominal duration of Wiebe's function. [rad] Valid 0.3 to 1.8.
    wiebe_a : array
        Efficiency exponent. [1] Valid 2 to 10.
    wiebe_form : array
        Form exponent. [1] Valid 1 to 4.
    intake_closing_rad : array
        After bottom dead centre. [rad] Valid 0 to 1.75.
    exhaust_opening_rad : array
        Before bottom dead centre. [rad] Valid 0 to 1.6.
    wall_temperature_k : array
        Mean over head, crown and liner. [K] Valid 300 to 600.
    heat_transfer_factor : array
        On Woschni's coefficient; 0 for none. [1] Valid 0 to 3.
    intake_pressure_pa : array
        Manifold, absolute. [Pa] Valid 2e4 to 5e5.
    exhaust_pressure_pa : array
        At the ports, absolute. [Pa] Valid 5e4 to 8e5.
    knock_temperature_ratio : array
        Temperature that counts for auto-ignition over that of the fresh gas. [1] Valid 0.9 to 1.2.
    half_burned_angle_rad : array
        Half the charge burned, after top dead centre. [rad] Valid -0.3 to 0.9.
    methanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.

    Returns
    -------
    state : TimedState
        Broadcast over the arguments: octane number [1], pressure [Pa], temperature [K], energy [J/kg].

    Equation
    --------
    Solved: the closed cycle at half_burned_angle_rad, on the roughest grid

    Source
    ------
    own-computation, on the closed cycle

    Examples
    --------
    >>> one = state_at_timing(
    ...     bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=9.5, speed_rad_s=420.0,
    ...     trapped_mass_kg=8.5e-4, closing_temperature_k=350.0, fuel_mass_fraction=0.072, residual_fraction=0.04,
    ...     water_fraction=0.0, lambda_ratio=0.85, heating_value_j_kg=43.7e6, combustion_efficiency=0.965,
    ...     ethanol_mass_fraction=0.0, methanol_mass_fraction=0.0, burn_duration_rad=0.90, wiebe_a=5.0, wiebe_form=2.0,
    ...     intake_closing_rad=0.87, exhaust_opening_rad=0.87, wall_temperature_k=450.0, heat_transfer_factor=1.0,
    ...     intake_pressure_pa=1.7e5, exhaust_pressure_pa=1.6e5, knock_temperature_ratio=1.0,
    ...     half_burned_angle_rad=0.30)
    >>> 60.0 < float(one.octane_required) < 120.0
    True
    """
    charge = fresh_charge(
        fuel_mass_fraction=fuel_mass_fraction,
        residual_fraction=residual_fraction,
        lambda_ratio=lambda_ratio,
        heating_value_j_kg=heating_value_j_kg,
        combustion_efficiency=combustion_efficiency,
        ethanol_share=ethanol_mass_fraction,
        methanol_share=methanol_mass_fraction,
        water_fraction=water_fraction,
    )
    closed = closed_cycle(
        charge,
        bore_m=bore_m,
        stroke_m=stroke_m,
        rod_length_m=rod_length_m,
        compression_ratio=compression_ratio,
        speed_rad_s=speed_rad_s,
        trapped_mass_kg=trapped_mass_kg,
        closing_temperature_k=closing_temperature_k,
        half_burned_angle_rad=half_burned_angle_rad,
        burn_duration_rad=burn_duration_rad,
        wiebe_a=wiebe_a,
        wiebe_form=wiebe_form,
        intake_closing_rad=intake_closing_rad,
        exhaust_opening_rad=exhaust_opening_rad,
        wall_temperature_k=wall_temperature_k,
        heat_transfer_factor=heat_transfer_factor,
        intake_pressure_pa=intake_pressure_pa,
        exhaust_pressure_pa=exhaust_pressure_pa,
        knock_temperature_ratio=knock_temperature_ratio,
        steps=ROUGH,
        traces=False,
    )
    return TimedState(
        octane_for_integral(closed.knock_integral),
        closed.opening_pressure_pa,
        closed.opening_temperature_k,
        closed.opening_energy_j_kg,
    )


def _powers(values: Array) -> Array:
    """Coefficients of the polynomial through values at the nodes, which are on the first axis."""
    return np.tensordot(_TO_POWERS, values, axes=1)


def _at(powers: Array, angle_rad: Array) -> Array:
    z = (angle_rad - _CENTRE) / _WIDTH
    value = powers[-1]
    for coefficient in powers[-2::-1]:
        value = value * z + coefficient
    return value


def _greatest(powers: Array) -> Array:
    """Where the polynomial is greatest: its slope is halved down between the bounds for best torque."""
    return _falls_to(_slope(powers), 0.0, *BEST_BETWEEN)


def _falls_to(powers: Array, level: Array, low: float = NODES[0], high: float = NODES[-1]) -> Array:
    """Where a falling polynomial passes ``level``, between two angles; a bound where it does not.

    Halving finds the neighbourhood, Newton's steps within it the place.
    """
    shape = np.broadcast_shapes(powers.shape[1:], np.shape(level))
    left, right = np.full(shape, low), np.full(shape, high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (left + right)
        above = _at(powers, middle) > level
        left, right = np.where(above, middle, left), np.where(above, right, middle)
    slope = _slope(powers)
    place = 0.5 * (left + right)
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(_NEWTON_STEPS):
            step = (_at(powers, place) - level) / _at(slope, place) * _WIDTH
            place = np.minimum(np.maximum(place - step, left), right)
    # at a bound that is passed by nothing the slope may be of either sign
    place = np.where((left == low) & (_at(powers, low) <= level), low, place)
    place = np.where((right == high) & (_at(powers, high) > level), high, place)
    return np.where(np.isfinite(_at(powers, place)) & np.isfinite(level), place, np.nan)


def _slope(powers: Array) -> Array:
    """Coefficients of the slope by the variable that runs from -1 to 1."""
    return powers[1:] * np.arange(1.0, powers.shape[0]).reshape(-1, *(1,) * (powers.ndim - 1))
