"""Quantities of the engine as a whole and what it gives."""

from __future__ import annotations

from enginelimits.assessment.quantity_kind import QuantityKind


def words() -> tuple[QuantityKind, ...]:
    q = QuantityKind
    return (
        q("engine.displacement", "m^3", "none", "Swept volume of all cylinders.", varies=False),
        q("engine.mean_piston_speed", "m/s", "high", "Twice the stroke times the speed, at the limiter.",
          varies=False, root="engine speed"),
        q("engine.piston_acceleration", "m/s^2", "high",
          "Greatest acceleration of the piston, at top dead centre, at the limiter, exact.",
          varies=False, root="engine speed"),
        q("engine.limiter_raise", "1", "high", "Limiter over that of the standard engine.",
          varies=False, root="engine speed", nil=1.0),
        q("engine.speed", "rad/s", "none", "Engine speed.", detail=True, root="engine speed"),
        q("condition.leak_down_worst", "1", "high", "Leak-down of the worst cylinder.",
          varies=False, root="condition"),
        q("condition.compression_spread", "1", "high",
          "Highest less lowest cylinder compression, over the highest.", varies=False, root="condition"),
        q("baseline.weather_factor", "1", "none", "Weather factor in the figure shown before the work.", varies=False,
          detail=True),
        q("baseline.rating_factor", "1", "none", "From an ordinary day at the site to the air of net ratings.",
          varies=False, detail=True),
        q("baseline.crank_power", "W", "none", "At the flywheel, behind the figure shown before the work.",
          varies=False, detail=True),
        q("condition.power_kept", "1", "low", "Power before the work over the maker's figure, in the air of its "
          "rating.", varies=False, root="condition", nil=1.0),
        q("engine.torque_cap", "N*m", "low", "Least torque at which pre-ignition zone, rods, lands, clutch or "
          "gearbox have nothing to spare."),
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
          varies=False, root="power", nil=1.0),
        q("brake.specific_fuel_consumption", "kg/J", "none", "Fuel over brake work."),
        q("roller.power", "W", "none", "At the wheels, before the dyno's own factor.", detail=True),
        q("dyno.correction", "1", "none", "Weather factor that the goal asks for.", varies=False, detail=True,
          root="correction"),
        q("wheel.power", "W", "none", "What the named dyno displays."),
        q("wheel.torque", "N*m", "none", "What the named dyno displays, referred to the engine."),
        q("goal.power_reach", "1", "low", "Greatest predicted power over the power asked for.",
          varies=False, root="goal", nil=1.0),
        q("goal.torque_reach", "1", "low", "Greatest predicted torque over the torque asked for.",
          varies=False, root="goal", nil=1.0),
    )
