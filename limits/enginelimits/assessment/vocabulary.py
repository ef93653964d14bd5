"""The vocabulary: every quantity by its id, with unit, meaning and which way is worse."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Worse = Literal["high", "low", "none"]


@dataclass(frozen=True, slots=True)
class QuantityKind:
    """One word of the vocabulary.

    ``varies``: takes a value at each engine speed.  ``crank``: holds a trace over the crank, kept for other
    steps and never printed.  ``detail``: a step on the way, shown by ``why``.  ``bound``: known to be
    conservative, so that a rule on it never goes beyond a note.  ``event``: belongs to one knock event and
    stays out of the verdict.  ``root``: the cause that small margins on this quantity are counted under.
    """

    id: str
    unit: str
    worse: Worse
    meaning: str
    varies: bool = True
    crank: bool = False
    detail: bool = False
    bound: bool = False
    event: bool = False
    root: str = ""


def _words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        # The engine as such
        q("engine.displacement", "m^3", "none", "Swept volume of all cylinders.", varies=False),
        q("engine.mean_piston_speed", "m/s", "high", "Twice the stroke times the speed, at the limiter.",
          varies=False, root="engine speed"),
        q("engine.piston_acceleration", "m/s^2", "high",
          "Greatest acceleration of the piston, at top dead centre, at the limiter, exact.",
          varies=False, root="engine speed"),
        q("engine.limiter_raise", "1", "high", "Limiter over that of the standard engine.",
          varies=False, root="engine speed"),
        q("piston.mass_raise", "1", "high", "Mass of piston and pin over that of the standard engine.",
          varies=False, root="reciprocating mass"),
        q("engine.speed", "rad/s", "none", "Engine speed.", detail=True, root="engine speed"),
        q("condition.leak_down_worst", "1", "high", "Leak-down of the worst cylinder.",
          varies=False, root="condition"),
        q("condition.compression_spread", "1", "high",
          "Highest less lowest cylinder compression, over the highest.", varies=False, root="condition"),
        # Air
        q("ambient.pressure", "Pa", "none", "Barometer at the site, from its altitude.", varies=False,
          detail=True),
        q("ambient.vapour_pressure", "Pa", "none", "Partial pressure of water in the air.",
          varies=False, detail=True),
        q("air.filter_loss", "Pa", "none", "Pressure lost in filter and inlet at this speed.", detail=True),
        q("exhaust.loss", "Pa", "none", "Back pressure of pipe, catalyst and silencer at this speed.",
          detail=True),
        q("intercooler.pressure_drop", "Pa", "none", "Pressure lost in the charge cooler at this speed.",
          detail=True),
        q("air.inlet_pressure", "Pa", "none", "Before the compressor, or the throttle: barometer less filter.",
          detail=True),
        q("air.boost_asked", "Pa", "none", "Boost asked for at this speed, gauge.", detail=True),
        q("air.greatest_boost_asked", "Pa", "none", "Greatest boost asked for over the range, gauge.",
          varies=False, detail=True),
        q("air.boost_available", "Pa", "none", "Boost that the machine could make at this speed, gauge.",
          detail=True),
        q("air.boost", "Pa", "high", "Boost delivered at the manifold, gauge.", root="boost"),
        q("air.boost_reach", "1", "low", "Boost delivered over boost asked for.", root="boost"),
        q("air.manifold_pressure", "Pa", "high", "Absolute pressure in the manifold.", root="boost"),
        q("compressor.pressure_ratio", "1", "high",
          "Outlet over inlet, absolute, with filter and cooler losses.", root="boost"),
        q("compressor.outlet_temperature", "K", "high", "Air leaving the compressor.", root="charge heat"),
        q("compressor.efficiency", "1", "low", "Isentropic efficiency of the compressor.", root="charge heat"),
        q("compressor.corrected_flow", "kg/s", "none", "Per compressor, to 298.15 K and 100 kPa."),
        q("intercooler.heat", "W", "none", "Heat given off by the charge cooler."),
        q("air.manifold_temperature", "K", "high",
          "After the charge cooler, before fuel evaporates.", root="charge heat"),
        q("air.volumetric_efficiency", "1", "low", "Of manifold density.", root="air flow"),
        q("air.anchor_scale_at_torque", "1", "none",
          "Scale of the class's filling at which the maker's torque comes out, solved by secant.", varies=False,
          detail=True),
        q("air.anchor_scale_at_power", "1", "none",
          "Scale of the class's filling at which the maker's power comes out, solved by secant.", varies=False,
          detail=True),
        q("air.anchor_scale", "1", "none",
          "What the maker's figures ask of the class's volumetric efficiency, before it is bounded."),
        q("air.anchored_factor", "1", "none", "The same within its bounds, smooth over speed.", detail=True),
        q("air.back_pressure_factor", "1", "none", "What exhaust pressure takes from the filling.", detail=True),
        q("air.manifold_density", "kg/m^3", "none", "Density of the air in the manifold.", detail=True),
        q("air.mass_flow", "kg/s", "none", "Air through the engine."),
        q("air.mass_per_cycle", "kg", "none", "Air trapped in one cylinder in one cycle.", detail=True),
        # Fuel
        q("fuel.ethanol_mass_fraction", "1", "none", "Ethanol in the tank by mass.", varies=False, detail=True),
        q("fuel.density", "kg/m^3", "none", "Density of the blend.", varies=False, detail=True),
        q("fuel.heating_value", "J/kg", "none", "Lower heating value of the blend.", varies=False, detail=True),
        q("fuel.stoichiometric_ratio", "1", "none", "Air over fuel by mass at lambda 1.", varies=False,
          detail=True),
        q("fuel.octane_in_tank", "1", "low", "Research octane of what is in the tank, from its parts.",
          varies=False, root="fuel quality"),
        q("fuel.molar_mass", "kg/mol", "none", "Of the blend.", varies=False, detail=True),
        q("fuel.air_fuel_ratio", "1", "none", "Air over fuel by mass, as run.", varies=False, detail=True),
        q("fuel.mass_flow", "kg/s", "none", "Fuel through the engine.", root="fuel demand"),
        q("fuel.volume_flow", "m^3/s", "none", "Fuel through the engine, by volume.", root="fuel demand"),
        q("fuel.pressure_difference", "Pa", "low", "Across the port injectors.", root="fuel supply"),
        q("fuel.mass_per_cycle", "kg", "none", "Fuel of one cylinder in one cycle.", detail=True),
        q("injector.flow_available", "kg/s", "none", "One port injector held open, at its pressure.",
          detail=True),
        q("injector.port_duty", "1", "high", "Opening command with dead time, over 720 degrees.",
          root="fuel demand"),
        q("fuel.port_share", "1", "none", "Share of the fuel through the port injectors.", varies=False,
          detail=True),
        q("pump.pressure", "Pa", "none", "Gauge pressure that the lift pump works against.", detail=True),
        q("pump.lift_use", "1", "high",
          "Fuel required over available at the pressure and voltage the pump sees.", root="fuel demand"),
        q("pump.flow_available", "m^3/s", "none", "Lift pump at the pressure and voltage it sees.", detail=True),
        # Combustion
        q("combustion.octane_wanted", "1", "high",
          "Octane at which best timing would just run without knock (class relation).", detail=True,
          root="knock"),
        q("combustion.angle_of_half_burned", "rad", "high", "After top dead centre.", root="knock"),
        q("combustion.spark_retard", "rad", "high", "From best torque, at the timing run.", root="knock"),
        q("cylinder.intake_closing_temperature", "K", "none", "Mixture when the intake valve closes.",
          detail=True),
        q("cylinder.trapped_mass", "kg", "none", "Air, fuel and residual in one cylinder.", detail=True),
        q("cylinder.gas_constant", "J/(kg*K)", "none", "Of the fresh charge.", varies=False, detail=True),
        q("crank.angle", "rad", "none", "Grid over 720 degrees, firing top dead centre at nil.", varies=False,
          crank=True, detail=True),
        q("cylinder.heat_released", "J", "none", "Heat released in one cylinder in one cycle.", detail=True),
        q("cylinder.pressure_trace", "Pa", "none", "Pressure over 720 degrees.", crank=True, detail=True),
        q("cylinder.peak_pressure", "Pa", "high", "Greatest cylinder pressure of the mean cycle.",
          root="gas load"),
        q("cylinder.peak_gauge_pressure", "Pa", "high", "The same above outside pressure.", detail=True,
          root="gas load"),
        q("cylinder.peak_pressure_angle", "rad", "none", "After top dead centre."),
        q("cylinder.peak_pressure_high", "Pa", "high", "95th percentile of cycles.", root="gas load"),
        q("cylinder.wall_heat", "J", "none", "Heat to the walls, closed cycle, one cylinder.", detail=True),
        q("cylinder.energy_residual", "1", "none", "What the energy balance of the closed cycle leaves over.",
          detail=True),
        q("cylinder.unburned_temperature", "K", "none", "Of the end gas at peak pressure.", detail=True),
        q("piston.mean_speed", "m/s", "none", "Mean piston speed at this speed.", detail=True,
          root="engine speed"),
        q("indicated.mean_effective_pressure", "Pa", "none", "Gross: compression and expansion strokes."),
        q("pumping.mean_effective_pressure", "Pa", "none", "Exhaust less manifold pressure.", detail=True),
        q("friction.mean_effective_pressure", "Pa", "none", "Rubbing and accessories."),
        q("supercharger.mean_effective_pressure", "Pa", "none", "Drive power as a pressure.", detail=True),
        q("brake.mean_effective_pressure", "Pa", "high", "4 pi torque / displacement.", root="gas load"),
        q("crank.torque", "N*m", "high", "Brake, at the flywheel, at the site.", root="gas load"),
        q("crank.power", "W", "none", "Brake, at the flywheel, at the site."),
        q("crank.power_per_displacement", "W/m^3", "high", "Brake power per swept volume.", root="power"),
        q("crank.power_over_standard", "1", "high", "Greatest brake power over the maker's figure.",
          varies=False, root="power"),
        q("brake.specific_fuel_consumption", "kg/J", "none", "Fuel over brake work."),
        q("roller.power", "W", "none", "At the wheels, before the dyno's own factor.", detail=True),
        q("dyno.correction", "1", "none", "Weather factor that the goal asks for.", varies=False, detail=True),
        q("wheel.power", "W", "none", "What the named dyno displays."),
        q("wheel.torque", "N*m", "none", "What the named dyno displays, referred to the engine."),
        q("goal.power_reach", "1", "low", "Greatest predicted power over the power asked for.",
          varies=False, root="goal"),
        # Exhaust and drive
        q("exhaust.pressure", "Pa", "high", "Before the turbine, mean over the cycle, absolute.",
          root="drive pressure"),
        q("exhaust.pressure_ratio", "1", "high", "Over manifold pressure, absolute.", root="drive pressure"),
        q("turbine.drive_pressure_ratio", "1", "high",
          "Turbine-inlet gauge over manifold gauge, where boost is at least half the greatest asked and 20 kPa.",
          root="drive pressure"),
        q("compressor.air_power", "W", "none", "Power that the air takes up.", detail=True),
        q("supercharger.drive_power", "W", "high", "Taken from the crank by the supercharger.", root="belt"),
        q("belt.power_per_rib", "W", "high", "Drive power over the number of belt ribs.", root="belt"),
        # Crank mechanism
        q("piston.and_pin_mass", "kg", "none", "Bare piston with its pin.", varies=False, detail=True),
        q("piston.assembly_mass", "kg", "none", "Piston, pin and rings.", varies=False, detail=True),
        q("rod.small_end_mass", "kg", "none", "Share of the rod that moves with the pin.", varies=False,
          detail=True),
        q("rod.reciprocating_mass", "kg", "none", "Piston, pin, rings and small-end share of the rod.",
          varies=False, detail=True),
        q("rod.mass_above_section", "kg", "none", "Rod above its smallest section.", varies=False, detail=True),
        q("rod.mass_above_split", "kg", "none", "Rod above the split of the big end.", varies=False,
          detail=True),
        q("rod.compression", "N", "high", "Greatest axial compression at the smallest section.",
          root="gas load"),
        q("rod.compression_angle", "rad", "none", "Where it occurs, after firing top dead centre.", detail=True),
        q("rod.tension", "N", "high", "Greatest axial tension at the smallest section.", root="engine speed"),
        q("rod.tension_angle", "rad", "none", "Where it occurs, after firing top dead centre.", detail=True),
        q("pin.force", "N", "high", "Greatest force on the piston pin.", detail=True, root="gas load"),
        q("rod.side_force", "N", "high", "Greatest thrust of the piston on the bore wall.", detail=True),
        q("rod.column_capacity", "N", "none", "Johnson, the smaller of both planes.", varies=False,
          detail=True),
        q("rod.column_use", "1", "high", "Greatest compression over Johnson capacity.", root="gas load"),
        q("rod.rankine_capacity", "N", "none", "Rankine, the smaller of both planes.", varies=False,
          detail=True),
        q("rod.rankine_use", "1", "high", "Greatest compression over Rankine capacity; shown, never graded.",
          bound=True, detail=True, root="gas load"),
        q("rod.fatigue_margin", "1", "low", "Shank, over the cycle, with mean stress.", root="gas load"),
        q("rod.event_use", "1", "high", "Column use under one knock event of 200 bar.", varies=False,
          event=True, root="gas load"),
        q("rod_bolt.stress_area", "m^2", "none", "Stress area of the thread.", varies=False, detail=True),
        q("rod_bolt.preload_of_class", "N", "none", "Clamp of one bolt as its class is tightened.",
          varies=False, detail=True),
        q("rod_bolt.opening_load", "N", "high", "Load that opens the cap, both bolts.", detail=True,
          root="engine speed"),
        q("rod_bolt.separation_margin", "1", "low", "Clamp over opening load.", root="engine speed"),
        q("rod_bolt.fatigue_margin", "1", "low", "Thread, over the cycle.", root="engine speed"),
        q("pin.bearing_pressure", "Pa", "high", "Gas load over the projected area of the small end.",
          root="gas load"),
        q("pin.boss_pressure", "Pa", "high", "Gas load over the projected area of both bosses.", detail=True,
          root="gas load"),
        q("pin.bending_stress", "Pa", "high", "In the pin, simply supported.", root="gas load"),
        q("bearing.big_end_force", "N", "high", "Greatest force on the crank pin.", detail=True,
          root="gas load"),
        q("bearing.big_end_angle", "rad", "none", "Where it occurs, after firing top dead centre.", detail=True),
        q("bearing.big_end_load", "Pa", "high", "Greatest load of the crank pin per projected area.",
          root="gas load"),
        q("piston.crown_stress", "Pa", "high", "Crown as a clamped plate: a bound.", bound=True,
          root="gas load"),
        q("piston.power_per_area", "W/m^2", "high", "Brake power over total bore area.", root="power"),
        q("ring.top_gap_ratio", "1", "low", "Cold end gap of the top ring over the bore.", varies=False,
          root="ring gap"),
        q("ring.thermal_closing", "m", "none", "How far the top gap closes between cold and hot.", varies=False,
          detail=True),
        q("ring.gap_margin", "1", "low", "Share of the cold top gap that is left hot.", varies=False,
          root="ring gap"),
        q("head.stress_area", "m^2", "none", "Stress area of one head fastener.", varies=False, detail=True),
        q("head.preload_of_class", "N", "none", "Clamp of one head fastener as its class is tightened.",
          varies=False, detail=True),
        q("head.clamp_ratio", "1", "low",
          "Residual preload of all head fasteners over the gas force on all cylinders.", root="gas load"),
        q("head.event_clamp_ratio", "1", "low", "The same under one knock event of 200 bar.", varies=False,
          event=True, root="gas load"),
        q("valve.intake_seat_load_lost", "1", "high", "Share of the intake seat load that boost takes away.",
          root="boost"),
        q("valve.exhaust_seat_load_lost", "1", "high",
          "Share of the exhaust seat load that drive pressure takes away.", root="drive pressure"),
        # Sensors and driveline
        q("sensor.manifold_pressure_use", "1", "high", "Manifold pressure over the sensor's range.",
          root="sensors"),
        q("sensor.air_meter_use", "1", "high", "Air flow over the meter's range.", root="sensors"),
        q("clutch.reserve", "1", "low", "Clutch capacity over torque.", root="driveline"),
        q("gearbox.torque_use", "1", "high", "Torque over the gearbox rating.", root="driveline"),
    )


QUANTITIES: dict[str, QuantityKind] = {word.id: word for word in _words()}


def printed() -> tuple[QuantityKind, ...]:
    """The quantities that a report prints: all but traces over the crank."""
    return tuple(word for word in QUANTITIES.values() if not word.crank)
