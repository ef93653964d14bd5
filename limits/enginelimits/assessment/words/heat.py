"""Quantities of heat in coolant and oil, of the crankcase and the catalyst."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("fuel.power", "W", "none", "Heat that the fuel brings.", detail=True),
        q("exhaust.side_heat", "W", "none", "Heat to ports and manifold.", detail=True),
        q("friction.heat", "W", "none", "Heat of friction, a supercharger's drive not counted.", detail=True),
        q("oil.heat_from_pistons", "W", "none", "Heat from the undersides of the pistons into oil.", detail=True),
        q("coolant.heat", "W", "high", "Heat to the coolant at full load.", root="coolant heat"),
        q("oil.heat", "W", "high", "Heat to the oil at full load, bearings of turbochargers included.",
          root="oil heat"),
        q("coolant.mean_heat", "W", "none", "Heat to the coolant, mean of the use.", detail=True),
        q("oil.mean_heat", "W", "none", "Heat to the oil, mean of the use.", detail=True),
        q("intercooler.mean_heat", "W", "none", "Heat of the charge cooler, mean of the use.", detail=True),
        q("radiator.air_flow", "1", "none", "Air through the radiator over that of its rating.", varies=False,
          detail=True),
        q("radiator.air_flow_alone", "1", "none", "The same with nothing in front.", varies=False, detail=True),
        q("radiator.capacity", "W", "none", "What the radiator gives off at its rated difference in this air.",
          varies=False, detail=True),
        q("radiator.capacity_alone", "W", "none", "The same with nothing in front.", varies=False, detail=True),
        q("radiator.face_temperature", "K", "none", "Air at the radiator, warmed by the charge cooler in front.",
          detail=True),
        q("radiator.difference", "K", "none", "Coolant over that air at which the heat of the use is given off.",
          detail=True),
        q("radiator.difference_alone", "K", "none", "The same with nothing in front.", detail=True),
        q("coolant.radiator_use", "1", "high", "Heat of the use over what the radiator gives off at 105 degC.",
          root="coolant heat"),
        q("coolant.temperature", "K", "high", "Leaving the engine when the use has lasted.", root="coolant heat"),
        q("coolant.temperature_alone", "K", "none", "The same with nothing in front of the radiator.", detail=True),
        q("coolant.front_cooler_rise", "K", "high", "How much hotter the coolant is for the charge cooler in front.",
          root="coolant heat"),
        q("coolant.pressure", "Pa", "none", "Over the coolant, at the spring of its cap, absolute.", varies=False,
          detail=True),
        q("coolant.boiling_temperature", "K", "none", "At which the coolant boils under its cap.", varies=False,
          detail=True),
        q("coolant.boiling_margin", "K", "low", "Boiling point of the coolant under its cap less its temperature.",
          root="coolant heat"),
        q("oil.cooler_air_flow", "1", "none", "Air through an oil cooler over that of its rating.", varies=False,
          detail=True),
        q("oil.cooler_capacity", "W", "none", "What such a cooler gives off at its rated difference in this air.",
          varies=False, detail=True),
        q("oil.temperature", "K", "high", "In the sump when the use has lasted.", root="oil heat"),
        q("crankcase.driving_pressure", "Pa", "none", "Mean over the cycle of what drives gas past the rings.",
          detail=True),
        q("crankcase.blow_by", "kg/s", "none", "Gas that passes the rings.", detail=True),
        q("crankcase.blow_by_share", "1", "none", "The same over the air that the engine takes.", detail=True),
        q("crankcase.pressure", "Pa", "high", "In the crankcase, gauge.", root="crankcase"),
        q("turbine.work_taken", "W", "none", "Taken from the exhaust for the compressors.", detail=True),
        q("catalyst.temperature", "K", "high", "Exhaust that reaches the catalyst, full load held, no misfire.",
          root="exhaust heat"),
    )
