"""The compiled cycle gives what the arrays give, to rounding."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from test_closed_cycle import _random_lanes

from enginelimits.physics.combustion.wiebe import burn_rate, burned_fraction
from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.closed import COARSE, COMPILED, STEPS, closed_cycle
from enginelimits.physics.cycle.lanes import Lanes, cylinder_of
from enginelimits.physics.cycle.rates import VECTORS, Gas, Ignition

pytest.importorskip("numba")


def _both(count: int, seed: int, **options: Any) -> tuple[Any, Any]:
    charge, lanes = _random_lanes(count, seed)
    found = []
    for compiled in (False, True):
        token = COMPILED.set(compiled)
        try:
            found.append(closed_cycle(charge, **lanes, **options))
        finally:
            COMPILED.reset(token)
    return found[0], found[1]


@pytest.mark.parametrize("steps", [STEPS, COARSE])
def test_every_result_and_trace_agrees_to_rounding(steps: tuple[int, int, int, int]) -> None:
    # 301: not a whole number of blocks of lanes
    arrays, compiled = _both(301, 5, steps=steps)
    for name in arrays._fields:
        if name in ("steps", "energy_residual"):
            continue
        ours, theirs = getattr(arrays, name), getattr(compiled, name)
        assert ours.shape == theirs.shape
        # slopes pass through nought: to the largest of the lane
        scale = np.abs(ours).max(axis=-1, keepdims=ours.ndim > 1)
        assert np.abs(ours - theirs).max() <= 1e-9 * np.max(scale), name
        assert (np.abs(ours - theirs) <= 1e-9 * scale).all(), name
    assert np.abs(arrays.energy_residual - compiled.energy_residual).max() < 1e-11


def test_without_traces_the_sums_are_the_same_and_the_traces_empty() -> None:
    with_traces, _ = _both(40, 6)
    _, without = _both(40, 6, traces=False)
    assert without.pressures_pa.shape == (40, 0)
    assert without.peak_pressure_pa == pytest.approx(with_traces.peak_pressure_pa, rel=1e-12)
    assert without.knock_integral == pytest.approx(with_traces.knock_integral, rel=1e-12)


def test_what_cannot_be_computed_is_not_a_number_in_both() -> None:
    charge, lanes = _random_lanes(40, 7)
    lanes["trapped_mass_kg"][3] = np.nan
    lanes["half_burned_angle_rad"][7] = 0.9
    lanes["exhaust_opening_rad"][7] = 3.0
    token = COMPILED.set(True)
    try:
        compiled = closed_cycle(charge, **lanes)
    finally:
        COMPILED.reset(token)
    lost = np.isnan(compiled.peak_pressure_pa)
    assert lost[3] and lost[7] and lost.sum() == 2


def test_the_tables_of_the_equations_are_the_documented_functions() -> None:
    charge, lanes = _random_lanes(50, 8)
    x = Lanes(**{name: lanes.get(name, np.ones(50)) for name in Lanes._fields})
    gas = Gas.of(charge)
    cylinder = cylinder_of(x, charge, gas, np.full(50, -0.3))
    chamber = Chamber(x.bore_m, x.stroke_m, x.rod_length_m, x.compression_ratio)
    ignition = Ignition(np.full(50, 3e6), np.log(np.full(50, 0.1)), np.full(50, 7e5))
    for angle in (-0.3, 0.05, 0.6, 1.7):
        share = (angle + 0.3) / x.burn_duration_rad
        at = VECTORS.burning_at(gas, cylinder, ignition, share, np.full(50, angle))
        volume, slope = chamber.volume_and_slope(np.full(50, angle))
        assert at.volume == pytest.approx(volume / x.trapped_mass_kg, rel=1e-13)
        assert at.slope == pytest.approx(slope / x.trapped_mass_kg, rel=1e-12)
        assert at.fraction == pytest.approx(burned_fraction(share, x.wiebe_a, x.wiebe_form), rel=1e-12, abs=1e-15)
        rate = burn_rate(share, x.wiebe_a, x.wiebe_form) / x.burn_duration_rad
        assert at.rate == pytest.approx(rate, rel=1e-12, abs=1e-30)
