"""Which modules of the physics each formula page shows.  Every module stands on one page; a test holds that."""

from __future__ import annotations

from pathlib import Path

from enginelimits.errors import InputError, Problem

PHYSICS = Path(__file__).parents[2] / "limits" / "enginelimits" / "physics"
TOPICS: dict[str, tuple[str, tuple[str, ...]]] = {
    "air": ("Air and boost", (
        "airflow.atmosphere", "airflow.engine_flow", "airflow.trapped_charge", "airflow.residual", "airflow.boost",
        "airflow.boost_control", "airflow.compressor", "airflow.compressor_map", "airflow.compressor_margins",
        "airflow.generic_map", "airflow.map_efficiency", "airflow.supercharger", "airflow.belt", "airflow.turbine",
        "airflow.turbo_match", "airflow.intercooler", "airflow.heat_soak", "airflow.delivery",
    )),
    "gas": ("Gas and fuel", (
        "gas.composition", "gas.mixture", "gas.charge", "gas.equilibrium", "gas.equilibrium_table", "gas.fuel",
        "gas.blend", "gas.vaporisation", "gas.octane",
    )),
    "combustion": ("Combustion and knock", (
        "combustion.wiebe", "combustion.burn_duration", "combustion.flame_speed", "combustion.phasing",
        "combustion.heat_transfer", "combustion.auto_ignition", "combustion.preignition",
    )),
    "cycle": ("The cycle", (
        "cycle.cylinder", "cycle.chamber", "cycle.compression", "cycle.closed", "cycle.compiled", "cycle.rates",
        "cycle.lanes", "cycle.singly", "cycle.sums",
        "cycle.timing", "cycle.trace", "cycle.gas_exchange", "cycle.exhaust",
        "cycle.engine",
        "cycle.torque_cap",
    )),
    "motion": ("Motion, forces and friction", (
        "mechanics.kinematics", "mechanics.forces", "mechanics.loads", "mechanics.crank_torque", "mechanics.friction",
        "mechanics.at_angle", "mechanics.compiled",
    )),
    "parts": ("Rods, bolts and pistons", (
        "components.rod", "components.rod_bending", "components.small_end", "components.rod_bolt",
        "components.fatigue", "components.temperature_strength", "components.pin", "components.piston",
        "components.land", "components.ring", "components.skirt", "components.crown_heat", "components.valve",
    )),
    "joints": ("Bolted joints", (
        "components.fastener", "components.tightening", "components.clamped_part", "components.bolt_endurance",
        "components.head",
    )),
    "bearings": ("Bearings and oil", (
        "mechanics.mains", "components.bearing", "components.film", "components.film_table",
        "components.oil_viscosity",
    )),
    "fuel": ("Fuel supply, ignition and sensors", (
        "support.fuel_supply", "support.direct_injection", "support.lift_pump", "support.fuel_drift",
        "support.fuel_tank", "support.ignition", "support.sensors", "support.cuts",
    )),
    "heat": ("Heat and health", (
        "support.heat", "support.engine_heat", "support.radiator", "support.crankcase", "support.health",
    )),
    "driveline": ("Driveline and dyno", ("support.driveline", "support.dyno", "support.launch")),
    "numerics": ("Numerics", tuple(
        f"numerics.{path.stem}" for path in sorted((PHYSICS / "numerics").glob("[a-z]*.py"))
    )),
}
MADE = "Made from the docstrings by `tools/site_pages.py`; changes belong there."


def formula_page(topic: str) -> str:
    """Every function of a topic's modules, shown from its docstring."""
    title, modules = TOPICS[topic]
    lines = [f"# Formulas: {title.lower()}", "", MADE,
             "Arguments are SI and end in their unit; a range is that in which the formula holds, and beyond it a "
             "result is marked, never clamped.", ""]
    for module in modules:
        lines += [f"::: enginelimits.physics.{module}", ""]
    return "\n".join(lines)


def every_module_once(there: set[str]) -> None:
    """InputError where a module of the physics stands on no page or on two."""
    listed = [module for _, modules in TOPICS.values() for module in modules]
    wrong = sorted(there ^ set(listed)) + sorted({m for m in listed if listed.count(m) > 1})
    if wrong:
        raise InputError([Problem("each physics module on one page", ", ".join(wrong), file="formula_topics.py")])
