"""Quantities of burning, knock and exhaust."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("knock.octane_index", "1", "low", "Octane that counts in this engine: RON - K (RON - MON).", varies=False,
          root="fuel quality"),
        q("knock.octane_beyond_scale", "1", "high", "Part of it above 100, where the scale ends and the knock sum is "
          "extrapolated.", varies=False, root="fuel quality"),
        q("knock.octane_of_fuel", "1", "none", "The same on the scale of the knock sum.", varies=False, detail=True),
        q("knock.humidity_change", "1", "none", "Change of the octane wanted by humid air.", varies=False,
          detail=True),
        q("knock.anchored_offset", "1", "none", "Octane numbers that this engine gets along with better than the "
          "knock sum says.", varies=False),
        q("knock.factory_wanted_latest", "1", "none", "Octane that the maker's engine wants at the latest factory "
          "angle, from the closed cycle.", varies=False, detail=True),
        q("knock.factory_wanted_earliest", "1", "none", "The same at the earliest.", varies=False, detail=True),
        q("knock.factory_octane", "1", "none", "Octane of the maker's fuel on the scale of the knock sum, humidity "
          "counted.", varies=False, detail=True),
        q("knock.anchored_spread", "1", "none", "What carrying that offset may be wrong by.", varies=False,
          detail=True),
        q("knock.octane_available", "1", "none", "Octane that the fuel holds in this engine, anchor included.",
          varies=False, detail=True),
        q("knock.temperature_ratio", "1", "none", "Temperature that counts for knock over that of the charge.",
          detail=True),
        q("combustion.flame_speed", "m/s", "none", "Laminar, of the charge as it would be at the top unburned.",
          detail=True),
        q("combustion.reference_flame_speed", "m/s", "none", "Laminar, at the class's reference state.", varies=False,
          detail=True),
        q("combustion.viscosity_ratio", "1", "none", "Kinematic, over that of the reference state.", detail=True),
        q("combustion.burn_duration", "rad", "none", "Nominal duration of Wiebe's function.", detail=True),
        q("combustion.spark_delay", "rad", "none", "From spark to the start of the burn.", detail=True),
        q("combustion.best_half_burned", "rad", "none", "Half-burned angle of best torque, after top dead centre."),
        q("combustion.knock_limited_half_burned", "rad", "high", "Half-burned angle at which knock begins.",
          root="knock"),
        q("combustion.best_mean_effective_pressure", "Pa", "none", "Gross, at best timing.", detail=True),
        q("combustion.best_peak_pressure", "Pa", "none", "Mean cycle, at best timing.", detail=True),
        q("combustion.start", "rad", "none", "Start of the burn, after top dead centre.", detail=True),
        q("combustion.spark_advance", "rad", "none", "Ignition timing of the run, before top dead centre."),
        q("combustion.torque_lost", "1", "high", "Share of the torque at best timing that the run gives away.",
          root="knock"),
        q("knock.octane_wanted_at_best", "1", "high", "At which the end gas would just not light itself, at best "
          "timing.", detail=True, root="knock"),
        q("knock.octane_wanted_retarded", "1", "high", "The same ten degrees later.", detail=True, root="knock"),
        q("knock.octane_wanted", "1", "high", "The same at the timing run.", detail=True, root="knock"),
        q("knock.integral", "1", "high", "Auto-ignition integral at best timing; 1 at the knock limit.", root="knock"),
        q("knock.margin", "1", "low", "Octane numbers to spare at the timing run.", root="knock"),
        q("knock.margin_best_torque", "1", "low", "Octane numbers to spare at best timing; may be negative.",
          root="knock"),
        q("knock.limited_boost", "Pa", "low", "Greatest boost with retard of at most 10 degrees and exhaust of at most "
          "950 degC.", root="knock"),
        q("preignition.band", "Pa", "none", "Load that the class is run at in the zone of low-speed pre-ignition.",
          detail=True),
        q("preignition.allowed", "Pa", "none", "The same for this injection and oil.", detail=True),
        q("preignition.zone_margin", "1", "low", "Allowed over actual mean effective pressure in the zone of "
          "low-speed pre-ignition.", root="pre-ignition"),
        q("preignition.torque_cap", "N*m", "none", "Torque at the allowed mean effective pressure.", detail=True),
        q("knock.margin_retarded", "1", "low", "Octane numbers to spare ten degrees later than best.", detail=True,
          root="knock"),
        q("combustion.angle_of_half_burned", "rad", "high", "After top dead centre.", root="knock"),
        q("combustion.spark_retard", "rad", "high", "From best torque, at the timing run.", root="knock"),
        q("cylinder.intake_closing_temperature", "K", "none", "Mixture when the intake valve closes.",
          detail=True),
        q("cylinder.trapped_mass", "kg", "none", "Air, fuel and residual in one cylinder.", detail=True),
        q("cylinder.gas_constant", "J/(kg*K)", "none", "Of the fresh charge.", varies=False, detail=True),
        q("crank.angle", "rad", "none", "Grid over 720 degrees, firing top dead centre at nil.", varies=False,
          crank=True, detail=True),
        q("cylinder.clearance_volume", "m^3", "none", "At the top.", varies=False, detail=True),
        q("cylinder.volume_at_intake_closing", "m^3", "none", "One cylinder, clearance included.", varies=False,
          detail=True),
        q("cylinder.effective_compression_ratio", "1", "none", "From intake closing on.", varies=False, detail=True),
        q("cylinder.fresh_mass", "kg", "none", "Air, its water and fuel in one cylinder.", detail=True),
        q("cylinder.residual_mass", "kg", "none", "Burned gas left in one cylinder.", detail=True),
        q("cylinder.residual_fraction", "1", "none", "Burned gas left over, of the whole mass.", detail=True),
        q("cylinder.residual_mole_fraction", "1", "none", "The same by moles.", detail=True),
        q("cylinder.fuel_fraction", "1", "none", "Fuel over the whole mass.", detail=True),
        q("cylinder.water_fraction", "1", "none", "Water vapour of the air over the whole mass.", detail=True),
        q("cylinder.fresh_temperature", "K", "none", "Charge on its way in, heated by walls, cooled by fuel.",
          detail=True),
        q("cylinder.temperature_at_top", "K", "none", "Charge at the top if nothing burnt.", detail=True),
        q("cylinder.pressure_at_top", "Pa", "none", "Charge at the top if nothing burnt.", detail=True),
        q("cylinder.peak_pressure_scatter", "1", "none", "95th percentile of cycles over the mean.", detail=True),
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
        q("exhaust.opening_pressure", "Pa", "none", "In the cylinder at exhaust opening.", detail=True),
        q("exhaust.opening_temperature", "K", "none", "Of the burned gas at exhaust opening.", detail=True),
        q("exhaust.opening_energy", "J/kg", "none", "Of the burned gas at exhaust opening, over complete products.",
          detail=True),
        q("exhaust.valve_temperature", "K", "none", "Exhaust as it leaves the valves, mean over its mass.",
          detail=True),
        q("exhaust.energy", "J/kg", "none", "Enthalpy there, over complete products at 298 K.", detail=True),
        q("exhaust.chemical_energy", "J/kg", "none", "Part of it in CO and H2.", detail=True),
        q("exhaust.heat_capacity", "J/(kg*K)", "none", "Of the exhaust.", detail=True),
        q("exhaust.open_wall_heat", "J", "none", "To cylinder walls while the exhaust valve is open.", detail=True),
        q("exhaust.gas_temperature", "K", "none", "Behind port and manifold.", detail=True),
        q("exhaust.temperature", "K", "high", "Steady reading of a shielded probe 50 mm before the turbine.",
          root="exhaust heat"),
        q("energy.brake_share", "1", "none", "Brake work over the fuel's heat."),
        q("energy.friction_share", "1", "none", "Friction and drives over the fuel's heat."),
        q("energy.wall_share", "1", "none", "Heat to walls, ports and manifold over the fuel's heat."),
        q("energy.exhaust_share", "1", "none", "Sensible heat of the exhaust over the fuel's heat."),
        q("energy.unburned_share", "1", "none", "CO, H2 and unburned fuel over the fuel's heat."),
        q("energy.residual", "1", "none", "What the energy balance leaves over."),
        *_trial(),
    )


def _trial() -> tuple[QuantityKind, ...]:
    """What the search for the knock-limited boost goes through."""
    told = "On trial for the knock-limited boost, ten degrees later than best torque: "
    return tuple(
        QuantityKind(id_, unit, "none", told + what, detail=True)
        for id_, unit, what in (
            ("combustion.retarded_half_burned", "rad", "half-burned angle."),
            ("knock.octane_wanted_at_trial", "1", "octane wanted."),
            ("knock.margin_at_trial", "1", "octane numbers to spare."),
            ("exhaust.opening_pressure_at_trial", "Pa", "pressure at exhaust opening."),
            ("exhaust.opening_temperature_at_trial", "K", "temperature there."),
            ("exhaust.opening_energy_at_trial", "J/kg", "energy there."),
            ("exhaust.valve_temperature_at_trial", "K", "exhaust at the valves."),
            ("exhaust.energy_at_trial", "J/kg", "its enthalpy."),
            ("exhaust.chemical_energy_at_trial", "J/kg", "part of it in CO and H2."),
            ("exhaust.heat_capacity_at_trial", "J/(kg*K)", "its heat capacity."),
            ("exhaust.open_wall_heat_at_trial", "J", "heat to the walls."),
            ("exhaust.gas_temperature_at_trial", "K", "exhaust behind the manifold."),
            ("exhaust.temperature_at_trial", "K", "probe reading."),
        )
    )
