"""Quantities of fuel and its supply."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("fuel.ethanol_mass_fraction", "1", "none", "Ethanol in the tank by mass.", varies=False, detail=True),
        q("fuel.methanol_mass_fraction", "1", "none", "Methanol in the tank by mass.", varies=False, detail=True),
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
        q("fuel.heat_of_vaporisation", "J/kg", "none", "Of the blend, at 25 degC.", varies=False, detail=True),
        q("fuel.vapour_heating_value", "J/kg", "none", "Lower heating value of the blend as vapour.", varies=False,
          detail=True),
        q("fuel.motor_octane_as_sold", "1", "none", "Motor octane of the gasoline, from its research octane.",
          varies=False, detail=True),
        q("fuel.motor_octane_in_tank", "1", "none", "Motor octane of what is in the tank, from its parts.",
          varies=False, detail=True),
        q("fuel.direct_share", "1", "none", "Share of the fuel through the direct injectors.", varies=False,
          detail=True),
        q("fuel.charge_cooling", "K", "none", "By fuel that evaporates on heat of the charge.", varies=False,
          detail=True),
        q("fuel.gasoline_air_fuel_ratio", "1", "none", "What gasoline would have at this lambda.", varies=False,
          detail=True),
        q("fuel.gasoline_cooling", "K", "none", "The same with gasoline.", varies=False, detail=True),
        q("fuel.reference_cooling", "K", "none", "The same with the reference fuel of the octane scale.",
          varies=False, detail=True),
        q("fuel.cooling_held_by_research_octane", "K", "none", "Cooling that the research octane would hold.",
          varies=False, detail=True),
        q("fuel.cooling_held_by_octane", "K", "none", "Cooling that the octane index holds.", varies=False,
          detail=True),
        q("fuel.cooling_beyond_test", "K", "none", "Cooling beyond what the octane index holds.", varies=False,
          detail=True),
    )
