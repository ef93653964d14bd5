"""One cylinder over a whole cycle: the closed part solved, gas exchange added, results by name."""

from __future__ import annotations

from typing import NamedTuple

from enginelimits.physics.cycle.closed import closed_cycle
from enginelimits.physics.cycle.trace import pressure_over_cycle
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import ranges_of, valid


class CylinderCycle(NamedTuple):
    """What one cylinder does in one cycle; the trace has the crank grid on the last axis."""

    pressure_trace_pa: Array
    peak_pressure_pa: Array
    peak_pressure_angle_rad: Array
    gross_imep_pa: Array
    wall_heat_j: Array
    energy_residual: Array
    peak_unburned_temperature_k: Array


@valid(**{name: limits for name, limits in ranges_of(closed_cycle).items() if name != "rod_length_m"},
       rod_length_m=(0.05, 0.60))
def cylinder_cycle(
    *,
    bore_m: Array,
    stroke_m: Array,
    rod_length_m: Array,
    compression_ratio: Array,
    speed_rad_s: Array,
    trapped_mass_kg: Array,
    closing_temperature_k: Array,
    gas_constant_j_kgk: Array,
    released_heat_j: Array,
    half_burned_angle_rad: Array,
    burn_duration_rad: Array,
    wiebe_a: Array,
    wiebe_form: Array,
    intake_closing_rad: Array,
    exhaust_opening_rad: Array,
    wall_temperature_k: Array,
    heat_transfer_factor: Array,
    intake_pressure_pa: Array,
    exhaust_pressure_pa: Array,
    ethanol_mass_fraction: Array,
) -> CylinderCycle:
    """Pressure of one cylinder over 720 degrees and what follows from it.

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
        Air, fuel and residual gas in the cylinder at intake closing. [kg] Valid 1e-5 to 1e-2.
    closing_temperature_k : array
        Gas at intake closing. [K] Valid 250 to 500.
    gas_constant_j_kgk : array
        Of the charge. [J/(kg*K)] Valid 255 to 310.
    released_heat_j : array
        A cylinder and cycle. [J] Valid 0 to 3e4.
    half_burned_angle_rad : array
        Half the heat released, after top dead centre. [rad] Valid -0.3 to 0.9.
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
    ethanol_mass_fraction : array
        Of the fuel, for the unburned gas. [1] Valid 0 to 1.

    Returns
    -------
    cycle : CylinderCycle
        Each result broadcast over the arguments, the trace with the crank on the last axis: pressures [Pa], the
        angle of the peak [rad], wall heat [J], residual [1], temperature [K].

    Equation
    --------
    Solved: d(pressure) = (gamma - 1) / volume * (d(heat) - d(wall heat)) - gamma * pressure / volume * d(volume),
    gamma = 1.375 - 6.99e-5 * temperature, heat by Wiebe about half_burned_angle_rad, wall heat by Woschni; fourth
    order, nodes at the start of the burn and where all but a ten-thousandth has burned.

    Source
    ------
    heywood-1988, eq. 9.27, with woschni-1967 and the Wiebe function

    Examples
    --------
    >>> one = cylinder_cycle(
    ...     bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=9.5, speed_rad_s=420.0,
    ...     trapped_mass_kg=8.5e-4, closing_temperature_k=350.0, gas_constant_j_kgk=277.0, released_heat_j=2000.0,
    ...     half_burned_angle_rad=0.30, burn_duration_rad=0.90, wiebe_a=5.0, wiebe_form=2.0, intake_closing_rad=0.87,
    ...     exhaust_opening_rad=0.87, wall_temperature_k=450.0, heat_transfer_factor=1.0,
    ...     intake_pressure_pa=1.7e5, exhaust_pressure_pa=1.6e5, ethanol_mass_fraction=0.0)
    >>> round(float(one.peak_pressure_pa) / 1e5)
    61
    """
    closed = closed_cycle(
        bore_m=bore_m,
        stroke_m=stroke_m,
        rod_length_m=rod_length_m,
        compression_ratio=compression_ratio,
        speed_rad_s=speed_rad_s,
        trapped_mass_kg=trapped_mass_kg,
        closing_temperature_k=closing_temperature_k,
        gas_constant_j_kgk=gas_constant_j_kgk,
        released_heat_j=released_heat_j,
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
        ethanol_mass_fraction=ethanol_mass_fraction,
    )
    trace = pressure_over_cycle(
        closed,
        bore_m=bore_m,
        stroke_m=stroke_m,
        rod_length_m=rod_length_m,
        compression_ratio=compression_ratio,
        intake_pressure_pa=intake_pressure_pa,
        exhaust_pressure_pa=exhaust_pressure_pa,
    )
    return CylinderCycle(
        trace,
        closed.peak_pressure_pa,
        closed.peak_pressure_angle_rad,
        closed.gross_imep_pa,
        closed.wall_heat_j,
        closed.energy_residual,
        closed.peak_unburned_temperature_k,
    )
