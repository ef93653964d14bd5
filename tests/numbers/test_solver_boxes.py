"""What is solved rather than written down, over its box: finite and in range, or not a number with the reason told.

Fewer points than for the formulas.  The closed cycle takes twenty-six arguments that go together (no cylinder holds ten
grams at 20 kPa): mass and fuel are drawn as what the cylinder holds, and everything else over its own range.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

from test_physics_boxes import box, docstrings, points, results, scaled

from enginelimits.physics.numerics.validity import ranges_of

INF = np.inf
SHARE = (-1e-9, 1.0 + 1e-9)
# By result: its range, and the least share of drawn points at which there is a number
SOLVED: Mapping[str, Mapping[str, tuple[float, float, float]]] = {
    "airflow.delivery.anchor_scale_over_speed": {"": (0.5, 1.5, 1.0)},
    # most drawn points lie off a drawn map, which is told
    "airflow.generic_map.read_class_map": {
        "efficiency": (0.0, 1.0, 0.05), "corrected_tip_speed_m_s": (0.0, 600.0, 0.05),
        "surge_flow_kg_s": (0.0, 10.0, 0.7), "choke_flow_kg_s": (0.0, 10.0, 0.7),
    },
    "airflow.generic_map.class_map_at_speed": {"pressure_ratio": (1.0, 6.0, 0.05), "efficiency": (0.0, 1.0, 0.05)},
    "airflow.map_efficiency.efficiency_on_class_map": {"efficiency": (0.3, 0.9, 1.0)},
    "components.film.film_ratio": {"": (*SHARE, 1.0)},
    # widths beyond a fifth to one diameter were not solved
    "components.film.smallest_film": {"": (0.0, 5e-4, 0.4)},
    "components.oil_viscosity.viscosity_at_40": {"": (1e-6, 1e-3, 1.0)},
    "components.small_end.ring_forces_of_pull": {"moment": (-1.0, 1.0, 1.0), "normal": (-1.0, 1.0, 1.0)},
    "components.small_end.ring_forces_of_push": {"moment": (-1.0, 1.0, 1.0), "normal": (-1.0, 1.0, 1.0)},
    "cycle.engine.goal_power_reach": {"": (-INF, INF, 1.0)},
    "cycle.engine.goal_torque_reach": {"": (-INF, INF, 1.0)},
    "support.heat.cross_flow_effectiveness": {"": (*SHARE, 1.0)},
    "support.radiator.cross_flow_transfer_units": {"": (0.0, 20.0, 0.8)},
    "support.radiator.heat_at_air_flow": {"": (0.0, INF, 0.8)},
    "support.ignition.heat_step_shortfall": {"": (-6.0, INF, 1.0)},
}  # fmt: skip


@pytest.mark.parametrize("name", SOLVED)
def test_solution_is_finite_and_in_range(name: str) -> None:
    found = results(docstrings.FUNCTIONS[name], points(docstrings.FUNCTIONS[name], 64))
    for field, (low, high, share) in SOLVED[name].items():
        finite = np.isfinite(found[field])
        assert finite.mean() >= share, (field, finite.mean())
        assert np.isnan(found[field][~finite]).all(), "no infinity"
        known = found[field][finite]
        assert np.all((known >= low) & (known <= high)), (field, known.min(), known.max())
        if share == 1.0:
            assert finite.all()


def cylinders(count: int) -> dict[str, Any]:
    """Cylinders over the box of the closed cycle, each with a rod that turns and a mass that it holds."""
    of = box(docstrings.FUNCTIONS["cycle.cylinder.cylinder_cycle"])
    of.pop("quick")
    draws = np.random.default_rng(20260101).random((len(of), count))
    taken = {a: scaled(draws[place], *of[a]) for place, a in enumerate(of)}
    taken["stroke_m"] = np.clip(taken["bore_m"] * (0.6 + 0.9 * draws[1]), *of["stroke_m"])
    taken["rod_length_m"] = np.clip(taken["stroke_m"] * (1.2 + 1.8 * draws[2]), *of["rod_length_m"])
    # ends of the range of speed for a large piston are no engine: 30 m/s at most
    taken["speed_rad_s"] = np.minimum(taken["speed_rad_s"], 30.0 * np.pi / taken["stroke_m"])
    chamber = ("bore_m", "stroke_m", "rod_length_m", "compression_ratio", "intake_closing_rad")
    shut = docstrings.FUNCTIONS["cycle.compression.volume_at_intake_closing"](*(taken[a] for a in chamber))
    held = taken["intake_pressure_pa"] * shut / (287.0 * taken["closing_temperature_k"])
    taken["trapped_mass_kg"] = np.clip(held, *of["trapped_mass_kg"])
    taken["methanol_mass_fraction"] = taken["methanol_mass_fraction"] * (1.0 - taken["ethanol_mass_fraction"])
    air = docstrings.FUNCTIONS["gas.composition.stoichiometric_ratio"](
        taken["ethanol_mass_fraction"], 1.87, taken["methanol_mass_fraction"])  # fmt: skip
    taken["fuel_mass_fraction"] = (1.0 - taken["residual_fraction"]) / (1.0 + taken["lambda_ratio"] * air)
    return taken


def test_closed_cycle_over_its_box() -> None:
    function = docstrings.FUNCTIONS["cycle.cylinder.cylinder_cycle"]
    taken = cylinders(96)
    for argument, (low, high) in ranges_of(function).items():
        assert np.all((taken[argument] >= low) & (taken[argument] <= high)), argument
    with np.errstate(all="ignore"):
        found = function(**{a: v[:, np.newaxis] for a, v in taken.items()})
    # the lanes of this call are the second axis; one cylinder a row
    for field in found._fields:
        value = np.asarray(getattr(found, field), dtype=float)
        assert np.isfinite(value).all(), field
    peak = np.squeeze(np.asarray(found.peak_pressure_pa))
    assert np.all(peak >= 0.99 * taken["intake_pressure_pa"])
    assert np.all(peak < 6e8)
    # net of what closing and opening took, no more work than the heat of the fuel that burns
    area = np.pi / 4.0 * taken["bore_m"] ** 2 * taken["stroke_m"]
    work = np.squeeze(np.asarray(found.gross_imep_pa)) * area
    assert np.all(work < taken["trapped_mass_kg"] * taken["fuel_mass_fraction"] * taken["heating_value_j_kg"])
