"""Every physics function over all of the box that it says it holds in: finite, in range, and out of range outside.

The box is what the docstring says, which the house checks hold against the code.  Points are Sobol's, with all corners
that fit: two in the box's own opposite ends and sixty-two others.  A function whose arguments may contradict each other
(a hole wider than its pin) gives no number there, which its docstring says; nothing else may.  Where an argument has no
range of its own, it is drawn over ordinary magnitudes of its unit.
"""

from __future__ import annotations

import importlib.util
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import qmc

from enginelimits.physics.numerics.validity import outside, ranges_of
from enginelimits.units.suffixes import unit_of_argument

_PLACE = Path(__file__).parents[1] / "house" / "test_physics_docstrings.py"
_SPEC = importlib.util.spec_from_file_location("physics_docstrings", _PLACE)
assert _SPEC is not None and _SPEC.loader is not None
docstrings = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(docstrings)

POINTS = 256
# Magnitudes of arguments without a range, by unit; forces and pressures as magnitudes, angles both ways
ORDINARY: Mapping[str, tuple[float, float]] = {
    "m": (1e-3, 0.1), "m^2": (1e-6, 1e-2), "m^3": (1e-6, 1e-2), "K": (280.0, 700.0), "rad": (-12.0, 12.0),
    "N": (0.0, 1e5), "Pa": (0.0, 2e7), "N*m": (0.0, 2e3), "J": (0.0, 1e4), "W": (0.0, 1e6), "1": (0.0, 2.0),
    "rad/s": (10.0, 2000.0), "kg/s": (0.0, 0.5), "kg": (0.01, 6.0), "m/s^2": (-5e4, 5e4), "J/kg": (2e7, 4.5e7),
    "J/(kg*K)": (900.0, 1300.0), "N/m": (1e7, 1e9), "W/m^2": (0.0, 1e7), "m/s": (0.0, 40.0), "m^4": (1e-10, 1e-6),
}  # fmt: skip
# Where a unit does not tell what an argument can be
OWN: Mapping[str, tuple[float, float]] = {
    "heat_capacity_ratio": (1.2, 1.45), "gas_constant_j_kgk": (250.0, 320.0), "reference_temperature_k": (270.0, 320.0),
    "reference_pressure_pa": (9e4, 1.1e5), "preload_n": (1e3, 1e5), "youngs_modulus_pa": (6e10, 2.2e11),
    "yield_strength_pa": (2e8, 1.6e9), "crushing_stress_pa": (2e8, 5e8), "lining_strength_pa": (3e7, 2e8),
    "cold_temperature_k": (288.0, 298.0), "site_pressure_pa": (5e4, 1.05e5), "crankcase_pressure_pa": (5e4, 1.3e5),
    "peak_pressure_share": (0.0, 0.02), "pin_acceleration_m_s2": (-5e4, 5e4),
    "fuel_mass_flow_kg_s": (1e-3, 0.05), "at_power_per_area_w_m2": (1e6, 5e6), "mean_torque_nm": (1.0, 2e3),
    "clamp_ratio": (0.0, 10.0), "separation_margin": (0.1, 20.0), "eye_diameter_m": (0.02, 0.1),
    "needed_m": (1e-5, 1e-4), "opening_load_n": (1.0, 1e5), "bolt_stiffness_n_m": (1e7, 1e9),
}  # fmt: skip


def _rod_turns(a: Mapping[str, Any]) -> Any:
    return a["rod_length_m"] > a["stroke_m"] / 2.0 + np.abs(a.get("pin_offset_m", 0.0))


def _tube(a: Mapping[str, Any]) -> Any:
    return a["inner_diameter_m"] < a["outer_diameter_m"]


def _held(a: Mapping[str, Any]) -> Any:
    return _tube(a) & (2.0 * a["pin_length_m"] > 2.0 * a["boss_length_m"] + a["small_end_width_m"])


def _lining(a: Mapping[str, Any]) -> Any:
    return a["inner_radius_m"] < a["outer_radius_m"]


def _one_tank(a: Mapping[str, Any]) -> Any:
    return a["ethanol"] + a["methanol"] <= 1.0 + 1e-9


def _driven(a: Mapping[str, Any]) -> Any:
    passing = (1.0 + 1.0 / a["air_fuel_ratio"]) * (1.0 - a["bypass_share"])
    whole = passing * a["efficiency"] * a["heat_capacity_j_kgk"] * a["inlet_temperature_k"]
    return a["compressor_work_j_kg"] < whole


def _torque_at_best(a: Mapping[str, Any]) -> Any:
    lost = a["best_gross_pa"] - a["gross_pa"]
    lost = lost - a["friction_peak_share"] * (a["best_peak_pressure_pa"] - a["peak_pressure_pa"])
    return a["brake_pa"] + lost > 0.0


def _exhaust_holds_it(a: Mapping[str, Any]) -> Any:
    flow = a["air_mass_flow_kg_s"] + a["fuel_mass_flow_kg_s"]
    return a["gas_temperature_k"] - a["turbine_work_w"] / (flow * a["heat_capacity_j_kgk"]) > a["pipe_loss_k"]


def _telling(a: Mapping[str, Any]) -> Any:
    return (a["boost_pa"] >= 20e3) & (a["boost_pa"] >= a["greatest_boost_asked_pa"] / 2.0)


def _burns(a: Mapping[str, Any]) -> Any:
    apart = a["equivalence_ratio"] - a["fastest_equivalence_ratio"]
    return a["greatest_speed_m_s"] + a["curvature_m_s"] * apart**2 > 0.0


def _nested(a: Mapping[str, Any]) -> Any:
    return (a["pin_diameter_m"] < a["bush_diameter_m"]) & (a["bush_diameter_m"] < a["eye_diameter_m"])


def _loaded(a: Mapping[str, Any]) -> Any:
    each = a["opening_load_n"] / a["bolts"]
    return np.maximum(a["preload_n"] + a["joint_share"] * each, each) > a["preload_n"]


def _both_tanks(a: Mapping[str, Any]) -> Any:
    mapped = a["mapped_ethanol"] if "mapped_ethanol" in a else a["reference_ethanol"]
    return _one_tank(a) & (mapped + a["methanol"] <= 1.0 + 1e-9)


def _stressed(a: Mapping[str, Any]) -> Any:
    return (a["stress_amplitude_pa"] > 0.0) | (a["mean_stress_pa"] > 0.0)


# Where the arguments go together; elsewhere there is no number, and only there
TOGETHER: Mapping[str, Callable[[Mapping[str, Any]], Any]] = {
    "airflow.boost.boost_reach": lambda a: a["boost_asked_pa"] > 0.0,
    "airflow.boost.drive_pressure_ratio": _telling,
    "airflow.compressor.isentropic_efficiency": lambda a: a["outlet_temperature_k"] > a["inlet_temperature_k"],
    "airflow.compressor_margins.choke_margin": lambda a: a["choke_flow_kg_s"] > 0.0,
    "airflow.compressor_margins.surge_margin": lambda a: a["surge_flow_kg_s"] > 0.0,
    "airflow.belt.belt_reserve": lambda a: a["drive_power_w"] > 0.0,
    "airflow.turbine.expansion_ratio_to_drive": _driven,
    "airflow.trapped_charge.water_share": lambda a: a["air_mass_kg"] * a["humidity_ratio"] <= a["trapped_mass_kg"],
    "combustion.flame_speed.power_law_flame_speed": _burns,
    **dict.fromkeys((f"components.fatigue.{n}_margin" for n in ("elliptic", "gerber", "goodman", "yield")), _stressed),
    "components.small_end.outer_fibre_stress": lambda a: a["bush_diameter_m"] < a["eye_diameter_m"],
    "components.fastener.stress_area": lambda a: a["depth_over_pitch"] * a["pitch_m"] < a["diameter_m"],
    "components.fastener.member_stiffness_by_fit": lambda a: a["diameter_m"] <= 2.0 * a["grip_m"],
    "gas.fuel.blend_heat_of_vaporisation": _one_tank,
    "gas.fuel.blend_heating_value": _one_tank,
    "gas.fuel.blend_stoichiometric_ratio": _one_tank,
    "support.fuel_drift.drifted_lambda": _both_tanks,
    "support.fuel_drift.volume_ratio": _both_tanks,
    "combustion.phasing.torque_lost": _torque_at_best,
    "components.bolt_endurance.thread_endurance_margin": _loaded,
    "components.rod_bolt.bolt_fatigue_margin": _loaded,
    "components.pin.pin_bending_stress": _held,
    "components.pin.pin_bending_stress_by_bore": _tube,
    "components.pin.pin_event_use": _held,
    "components.pin.pin_hoop_stress": _tube,
    "components.pin.pin_ovality": _tube,
    "components.pin.pin_wall": _tube,
    "components.pin.tube_bending_stress": _tube,
    "components.rod_bending.whip_moment_over_crank": _rod_turns,
    "components.small_end.bush_pressure": _nested,
    "components.small_end.bush_stress": lambda a: a["bush_diameter_m"] < a["eye_diameter_m"],
    "cycle.compression.volume_at_intake_closing": _rod_turns,
    "gas.blend.ethanol_mass_fraction": _one_tank,
    "gas.blend.methanol_mass_fraction": _one_tank,
    "gas.blend.ethanol_mole_fraction": _one_tank,
    "gas.blend.methanol_mole_fraction": _one_tank,
    "gas.blend.blend_density": _one_tank,
    "gas.blend.blend_molar_mass": _one_tank,
    "gas.octane.blend_motor_octane": _one_tank,
    "gas.octane.blend_research_octane": _one_tank,
    "mechanics.forces.small_end_mass": lambda a: a["big_end_mass_kg"] < a["rod_mass_kg"],
    "mechanics.kinematics.motion": _rod_turns,
    "mechanics.kinematics.piston_acceleration": _rod_turns,
    "mechanics.kinematics.piston_acceleration_at_top": _rod_turns,
    "mechanics.kinematics.piston_travel": _rod_turns,
    "mechanics.kinematics.piston_velocity": _rod_turns,
    "mechanics.kinematics.rod_angle": _rod_turns,
    **dict.fromkeys((f"support.driveline.clutch_{n}" for n in ("clamp_uniform_wear", "torque_uniform_pressure",
                                                               "torque_uniform_wear")), _lining),
    "support.engine_heat.catalyst_temperature": _exhaust_holds_it,
    "support.lift_pump.flow_available": lambda a: a["rated_pressure_pa"] < a["stall_pressure_pa"],
    "support.ignition.density_at_spark": _rod_turns,
}
# Without load a margin is infinite, as its docstring says: no engine that runs is without
INFINITE = ("components.bolt_endurance.thread_endurance_margin", "components.rod_bolt.bolt_fatigue_margin",
            *(f"components.fatigue.{n}_margin" for n in ("elliptic", "gerber", "goodman", "yield")))  # fmt: skip
EPS = 1e-9
SHARE, POSITIVE, NOT_NEGATIVE = (-EPS, 1.0 + EPS), (1e-300, np.inf), (-1e-12, np.inf)
# What a result can be, where the words for it or its unit do not tell
LIMITS: Mapping[str, tuple[float, float]] = {
    "airflow.residual.residual_fraction": SHARE, "airflow.residual.residual_mole_fraction": SHARE,
    "airflow.generic_map.efficiency_on_line": SHARE, "airflow.turbine.efficiency_over_speed": SHARE,
    "airflow.heat_soak.effectiveness_at_flow": SHARE, "airflow.heat_soak.effectiveness_over_speed": SHARE,
    "airflow.trapped_charge.share_of_mass": NOT_NEGATIVE, "airflow.trapped_charge.water_share": SHARE,
    "airflow.turbine.choking_expansion_ratio": (1.0, 4.0), "airflow.turbine.expansion_ratio_to_drive": (1.0, np.inf),
    "airflow.engine_flow.critical_pressure_ratio": (0.4, 0.7), "airflow.supercharger.roots_efficiency_ideal": SHARE,
    "airflow.supercharger.impeller_pressure_ratio": (1.0, np.inf),
    "airflow.supercharger.delivery_share": (-np.inf, 1.0),
    # of the flow at an expansion ratio of two
    "airflow.turbine.swallowing_share": (-EPS, 1.2), "combustion.wiebe.burned_fraction": SHARE,
    "combustion.wiebe.share_at_burned": NOT_NEGATIVE, "combustion.flame_speed.residual_slowing": SHARE,
    "combustion.flame_speed.gasoline_flame_speed": POSITIVE, "combustion.flame_speed.gulder_flame_speed": NOT_NEGATIVE,
    # a load brought in beyond the bolt's head; as a joint's share it is out of range there
    "components.clamped_part.load_share": (-EPS, 2.5), "components.fastener.joint_constant": SHARE,
    "components.fatigue.surface_factor": POSITIVE, "components.fatigue.size_factor": POSITIVE,
    "components.temperature_strength.strength_at_temperature": NOT_NEGATIVE,
    "gas.blend.ethanol_mass_fraction": SHARE, "gas.blend.methanol_mass_fraction": SHARE,
    "gas.blend.ethanol_mole_fraction": SHARE, "gas.blend.methanol_mole_fraction": SHARE,
    "gas.composition.stoichiometric_ratio": (4.0, 20.0), "gas.fuel.blend_stoichiometric_ratio": (6.0, 16.0),
    "gas.mixture.gamma_air": (1.1, 1.41), "gas.mixture.gamma_unburned": (1.1, 1.42),
    "gas.mixture.gamma_burned_frozen": (1.1, 1.42), "gas.mixture.gamma_burned_equilibrium": (1.05, 1.42),
    "gas.octane.blend_research_octane": (50.0, 140.0), "gas.octane.blend_motor_octane": (50.0, 120.0),
    "support.crankcase.blow_by_share": NOT_NEGATIVE, "support.heat.radiator_use": NOT_NEGATIVE,
    "support.lift_pump.use": (0.0, 1000.0), "support.heat.brake_efficiency": NOT_NEGATIVE,
    "support.dyno.no_correction": (1.0, 1.0), "support.dyno.sae_j1349_factor": (0.3, 15.0),
    "support.dyno.din_70020_factor": (0.3, 4.0), "support.dyno.sae_j607_factor": (0.3, 15.0),
}  # fmt: skip
# Where a limit is meant: elsewhere the arguments contradict each other, and the line is only drawn out
MEANT: Mapping[str, Callable[[Mapping[str, Any]], Any]] = {
    "gas.octane.blend_research_octane": lambda a: a["gasoline_ethanol"] <= a["ethanol"],
    "gas.octane.blend_motor_octane": lambda a: a["gasoline_ethanol"] <= a["ethanol"],
    "gas.composition.stoichiometric_ratio": lambda a: a["ethanol_mass_fraction"] + a["methanol_mass_fraction"] <= 1.0,
    # the hill is read from surge to the choke end alone, and is highest at its peak
    "airflow.generic_map.efficiency_on_line": lambda a: (a["flow_share"] >= a["surge_share"])
    & (a["choke_efficiency"] <= a["peak_efficiency"]) & (a["surge_efficiency"] <= a["peak_efficiency"]),
}  # fmt: skip
# Units of what cannot be below nil; and results of such units that are differences, or may have a sign
MAGNITUDES = ("K", "kg", "kg/s", "m^3", "m^3/s", "m^2", "kg/m^3", "kg/mol", "W/(m^2*K)", "m^4", "kg/J")
SIGNED: Mapping[str, str] = {
    "support.radiator.boiling_margin": "a margin", "support.radiator.front_cooler_rise": "a difference",
    "airflow.heat_soak.pull_to_pull_rise": "a difference", "gas.vaporisation.cooling_beyond_test": "a difference",
    "gas.vaporisation.cooling_held_by_index": "a difference",
    "support.lift_pump.flow_available": "below nil the pump cannot hold the pressure; its use is a thousand then",
    "support.radiator.face_temperature": "a tiny radiator in no air; the formulas that take it hold from 230 to 330 K",
    "airflow.boost_control.heat_above_calibrated": "a difference",
}  # fmt: skip


def solved(name: str) -> bool:
    return docstrings.equation_of(docstrings.FUNCTIONS[name]) is None


def plain() -> list[str]:
    found = []
    for name, function in docstrings.FUNCTIONS.items():
        sections = docstrings.sections_of(function)
        if "Equation" in sections and not sections["Equation"].strip().startswith(docstrings.SOLVED):
            found.append(name)
    return sorted(found)


def box(function: Callable[..., Any]) -> dict[str, tuple[float, float]]:
    ranges = ranges_of(function)
    return {
        a: ranges.get(a) or OWN.get(a) or ORDINARY.get(unit_of_argument(a), (0.1, 10.0))
        for a in docstrings.arguments_of(function)
    }


def scaled(share: Any, low: float, high: float) -> Any:
    """Points of a range by their place in it: by decades where it spans more than two of them."""
    if low > 0.0 and high > 100.0 * low:
        return np.clip(low * (high / low) ** share, low, high)
    return np.clip(low + share * (high - low), low, high)


def points(function: Callable[..., Any], count: int = POINTS) -> dict[str, Any]:
    of = box(function)
    size = max(len(of), 1)
    corners = np.random.default_rng(20260101).integers(0, 2, (62, size)).astype(float)
    ends = np.array([np.zeros(size), np.ones(size)])
    shares = np.vstack([ends, corners, qmc.Sobol(size, rng=np.random.default_rng(1)).random(count)])
    return {a: scaled(shares[:, place], *of[a]) for place, a in enumerate(of)}


def results(function: Callable[..., Any], taken: Mapping[str, Any]) -> dict[str, Any]:
    with np.errstate(all="ignore"):
        found = function(**taken)
    fields = found._asdict() if hasattr(found, "_asdict") else {"": found}
    return {name: np.asarray(value, dtype=float) for name, value in fields.items()}


def limits_of(name: str, field: str) -> tuple[float, float]:
    if name in LIMITS:
        return LIMITS[name]
    told = docstrings.sections_of(docstrings.FUNCTIONS[name])["Returns"]
    units = docstrings.re.findall(r"\[([^\]]+)\]", told)
    unit = unit_of_argument(field) if field else units[0]
    return NOT_NEGATIVE if unit in MAGNITUDES and name not in SIGNED else (-np.inf, np.inf)


def test_the_tables_name_functions_that_there_are() -> None:
    names = {*TOGETHER, *LIMITS, *SIGNED, *INFINITE, *MEANT}
    assert names <= set(docstrings.FUNCTIONS), names - set(docstrings.FUNCTIONS)
    assert len(plain()) > 380


@pytest.mark.parametrize("name", plain())
def test_is_finite_and_in_range_over_the_whole_box(name: str) -> None:
    function = docstrings.FUNCTIONS[name]
    if any("[text]" in told for told in docstrings.parameters_of(function).values()):
        pytest.skip("chosen by a word")
    taken = points(function)
    shape = np.broadcast_shapes(*(np.shape(v) for v in taken.values()))
    together = np.broadcast_to(TOGETHER[name](taken) if name in TOGETHER else True, shape)
    assert together.sum() > 10, "hardly a drawn point goes together"
    for field, found in results(function, taken).items():
        found = np.broadcast_to(found, shape)
        finite = np.isfinite(found)
        if name in INFINITE:
            assert np.array_equal(finite, together)
            continue
        assert finite[together].all(), {a: v[np.argmax(together & ~finite)] for a, v in taken.items()}
        assert np.isnan(found[~together]).all(), "a number where the arguments contradict each other"
        low, high = limits_of(name, field)
        meant = np.broadcast_to(MEANT[name](taken) if name in MEANT else True, shape)
        wrong = together & meant & ~((found >= low) & (found <= high))
        at = int(np.argmax(wrong))
        assert not wrong.any(), (field, found[at], {a: v[at] for a, v in taken.items()})


@pytest.mark.parametrize("name", plain())
def test_is_out_of_range_outside_its_box_and_clamps_nothing(name: str) -> None:
    function = docstrings.FUNCTIONS[name]
    ranges = ranges_of(function)
    middle = {a: v[70:71] for a, v in points(function, 16).items()}
    assert not np.any(outside(function, points(function)))
    for argument, (low, high) in ranges.items():
        step = 1e-3 * (high - low)
        for end, way in ((low, -1.0), (high, 1.0)):
            beyond = {**middle, argument: np.array([end + way * step])}
            assert outside(function, beyond).all(), argument
            assert not outside(function, {**beyond, argument: np.array([end])}).any(), argument
        assert not outside(function, {**middle, argument: np.array([np.nan])}).any(), "unknown is not beyond"


@pytest.mark.parametrize("name", plain())
def test_nothing_is_clamped_to_the_end_of_a_range(name: str) -> None:
    """A result that moves up to the end of an argument's range moves on beyond it."""
    function = docstrings.FUNCTIONS[name]
    if any("[text]" in told for told in docstrings.parameters_of(function).values()):
        pytest.skip("chosen by a word")
    of = box(function)
    # well inside, or two arguments at their ends would hide each other
    inner = 0.2 + 0.6 * qmc.Sobol(max(len(of), 1), rng=np.random.default_rng(2)).random(32)
    rest = {a: scaled(inner[:, place], *of[a]) for place, a in enumerate(of)}
    for argument, (low, high) in ranges_of(function).items():
        step = 1e-4 * (high - low)
        for end, way in ((low, -1.0), (high, 1.0)):
            if end == 0.0 and way < 0.0:
                continue  # below nil there is nothing: roots and logarithms end there
            before, at, after = (
                results(function, {**rest, argument: np.full_like(rest[argument], end + s * way * step)})
                for s in (-1.0, 0.0, 1.0)
            )
            for field in at:
                if not np.isfinite([before[field], at[field], after[field]]).all():
                    continue
                moved, moves_on = at[field] - before[field], after[field] - at[field]
                scale = 1e-12 * np.abs(at[field]) + 1e-300
                told = np.isfinite(moved) & np.isfinite(moves_on) & (np.abs(moved) > 1e3 * scale)
                stopped = told & (np.abs(moves_on) <= scale)
                # a kink of some points is the formula's own; an end where all stop is a clamp
                assert told.sum() < 5 or not stopped[told].all(), (argument, end, field)


def test_warnings_are_the_runners_to_silence() -> None:
    """Division by nil inside a box warns of itself when the function is called alone."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for name in ("mechanics.kinematics.rod_angle", "components.pin.pin_wall", "support.lift_pump.use"):
            docstrings.FUNCTIONS[name](**points(docstrings.FUNCTIONS[name]))
