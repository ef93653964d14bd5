"""One cylinder over a whole cycle: the closed part solved, gas exchange added, results by name."""

from __future__ import annotations

from typing import NamedTuple

from enginelimits.physics.combustion.auto_ignition import octane_for_integral
from enginelimits.physics.cycle.closed import COARSE, STEPS, closed_cycle
from enginelimits.physics.cycle.trace import pressure_over_cycle
from enginelimits.physics.gas.charge import fresh_charge
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


class CylinderCycle(NamedTuple):
    """What one cylinder does in one cycle; the trace has the crank grid on the last axis."""

    pressure_trace_pa: Array
    peak_pressure_pa: Array
    peak_pressure_angle_rad: Array
    gross_imep_pa: Array
    wall_heat_j: Array
    energy_residual: Array
    peak_unburned_temperature_k: Array
    opening_pressure_pa: Array
    opening_temperature_k: Array
    opening_energy_j_kg: Array
    octane_required: Array


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
    half_burned_angle_rad=(-0.3, 0.9),
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
)
def cylinder_cycle(
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
    knock_temperature_ratio: Array,
    methanol_mass_fraction: Array = 0.0,
    quick: bool = False,
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
    half_burned_angle_rad : array
        Half the charge burned, after top dead centre. [rad] Valid -0.3 to 0.9.
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
    methanol_mass_fraction : array
        Of the fuel. [1] Valid 0 to 1.
    quick : bool
        On the coarse grid of the searches and without the trace, where work alone is wanted: within 0.1 %. [1]

    Returns
    -------
    cycle : CylinderCycle
        Each result broadcast over the arguments, the trace with the crank on the last axis: pressures [Pa], the angle
        of the peak [rad], heat [J], residual [1], temperatures [K], energy of the burned gas at exhaust opening
        [J/kg], and the octane number at which the end gas would just not light itself [1].

    Equation
    --------
    Solved: energy of a fresh and a burned zone at one pressure; burned gas in equilibrium, burned fraction by Wiebe
    about half_burned_angle_rad, wall heat by Woschni; fourth order, nodes where the burn begins and ends

    Source
    ------
    heywood-1988, ch. 9, with woschni-1967, douaud-eyzat-1978 and the Wiebe function

    Examples
    --------
    >>> one = cylinder_cycle(
    ...     bore_m=0.086, stroke_m=0.086, rod_length_m=0.143, compression_ratio=9.5, speed_rad_s=420.0,
    ...     trapped_mass_kg=8.5e-4, closing_temperature_k=350.0, fuel_mass_fraction=0.072, residual_fraction=0.04,
    ...     water_fraction=0.0, lambda_ratio=0.85, heating_value_j_kg=43.7e6, combustion_efficiency=0.965,
    ...     ethanol_mass_fraction=0.0, methanol_mass_fraction=0.0, burn_duration_rad=0.90, wiebe_a=5.0, wiebe_form=2.0,
    ...     intake_closing_rad=0.87, exhaust_opening_rad=0.87, wall_temperature_k=450.0, heat_transfer_factor=1.0,
    ...     intake_pressure_pa=1.7e5, exhaust_pressure_pa=1.6e5, knock_temperature_ratio=1.0,
    ...     half_burned_angle_rad=0.30)
    >>> round(float(one.peak_pressure_pa) / 1e5)
    62
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
        steps=COARSE if quick else STEPS,
        traces=False if quick else "pressure",
    )
    if quick:
        trace = closed.peak_pressure_pa[..., None]
    else:
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
        closed.opening_pressure_pa,
        closed.opening_temperature_k,
        closed.opening_energy_j_kg,
        octane_for_integral(closed.knock_integral),
    )
