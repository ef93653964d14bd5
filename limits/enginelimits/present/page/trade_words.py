"""What an assumption is called at a counter: inputs of the build file and of classes in words of the trade."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from enginelimits.present.page.wording import plain_path

# By path; one that ends in a dot stands for all below it, and the longest that fits counts.
WORDS: Final = {
    "class.axle.": "what the axles bear",
    "class.bearing.": "what the bearing shells bear",
    "class.boost_onset.": "how early and how fast boost comes in",
    "class.burn.": "how fast the charge burns",
    "class.charge_heating": "how far ports and cylinders heat the charge",
    "class.compressor.": "the compressor's map",
    "class.cooling.": "what radiator and coolant carry off",
    "class.cooling_gain_share": "how far the fuel cools the charge",
    "class.crankcase.": "breathers and leaks of the crankcase",
    "class.cycle_scatter": "how far one combustion differs from the next",
    "class.driveline.": "how power goes to the wheels",
    "class.duty.": "how hard and how long the car is driven",
    "class.dyno.": "what kind of dyno shows the power",
    "class.engine.standard_output_factor": "how far the engine still gives its maker's power",
    "class.exhaust.": "how the exhaust cools on its way",
    "class.exhaust_tuning_kept": "how well the engine breathes against the turbine",
    "class.friction.": "friction of the engine",
    "class.fuel.": "what the fuel is made of",
    "class.fuel_system.": "reserve of pumps, lines and wiring",
    "class.fuel_system.tank_width_over_height": "shape of the tank",
    "class.gasket.": "what the head gasket needs and gives up",
    "class.head.": "clamp and strength of the head fasteners",
    "class.ignition.": "reserve of coils and plugs",
    "class.intercooler.": "how the charge cooler heats up",
    "class.knock.": "how readily this engine knocks",
    "class.lubrication.": "the hot oil",
    "class.pin.": "strength of the piston pins",
    "class.piston.": "strength and heat of the pistons",
    "class.piston.bore_": "clearance of the hot pistons",
    "class.piston.gap_reserve": "gaps of the hot rings",
    "class.piston.land_": "what the ring lands bear",
    "class.piston.least_clearance": "clearance of the hot pistons",
    "class.piston.ring_": "gaps of the hot rings",
    "class.piston.skirt_": "clearance of the hot pistons",
    "class.preignition.": "how readily the charge lights before the spark",
    "class.protection.": "margins of the control's protections",
    "class.residual_": "burned gas left in the cylinder",
    "class.rod.": "strength and shape of the rods",
    "class.rod.eye_": "the small end of the rods",
    "class.rod.bush_": "the small end of the rods",
    "class.rod_bolt.": "clamp and strength of the rod bolts",
    "class.rod_bolt.over_rev": "how far the engine was or will be over-revved",
    "class.sump.": "how the oil cools",
    "class.supercharger.": "losses of the supercharger and its belt",
    "class.tank.": "what the pump fuel holds",
    "class.turbine.": "the turbine and its gate",
    "class.turbine.drive_ratio": "exhaust pressure ahead of the turbine",
    "class.turbine.overshoot_": "how well boost is controlled",
    "class.use.": "how roughly the clutch is let in",
    "class.valve.": "valves and springs",
    "class.vehicle.": "tyres and stance of the car",
    "class.volumetric_efficiency_factor": "how well the engine breathes",
    "class.wall.": "heat lost to the cylinder walls",
    "cooling.radiator_capacity.": "what the radiator carries off",
    "driveline.clutch_capacity": "what the clutch holds",
    "driveline.gearbox_rating": "what the gearbox is rated for",
    "driveline.loss.": "loss between crank and wheels",
    "engine.exhaust_opening": "when the exhaust valves open",
    "engine.intake_closing": "when the intake valves close",
    "engine.standard.": "parts and timing as the maker built it",
    "forced_induction.intercooler.effectiveness": "how well the charge cooler cools",
    "forced_induction.intercooler.pressure_drop": "pressure lost in the charge cooler",
    "forced_induction.losses.after_turbine": "back pressure of the exhaust behind the turbine",
    "forced_induction.losses.filter": "pressure lost in the air filter",
    "fuel.lambda_target": "the mixture at full load",
    "fuel.methanol": "methanol in the fuel",
    "fuel_system.direct_injection.window": "time for direct injection",
    "internals.bearings.": "size and clearance of the bearings",
    "internals.head.": "the head fasteners and gasket",
    "internals.pins.": "size and weight of the piston pins",
    "internals.pistons.crown_thickness": "thickness of the piston crowns",
    "internals.pistons.land_height": "height of the ring lands",
    "internals.pistons.top_ring_gap": "gaps of the top rings",
    "internals.rods.mass": "weight of the rods",
    "internals.rods.second_moments.": "section of the rods",
    "internals.rods.shank_area": "section of the rods",
    "internals.rod_bolts.": "the rod bolts",
    "internals.valves.exhaust_seat_load": "load of the exhaust valve springs",
    "internals.valves.intake_seat_load": "load of the intake valve springs",
    "vehicle.lateral_acceleration": "how hard the car corners",
}


def trade_words(path: str) -> str:
    """An input in words of the trade; what stands in no table, its path in words."""
    fitting = [known for known in WORDS if path == known or (known[-1] in "._" and path.startswith(known))]
    return WORDS[max(fitting, key=len)] if fitting else plain_path(path)


def in_trade_words(paths: Iterable[str], most: int) -> list[str]:
    """So many different words at most, of the first paths."""
    return list(dict.fromkeys(trade_words(path) for path in paths))[:most]
