"""The trace over 720 degrees: peak kept, joints smooth, the manifolds where valves are open."""

from __future__ import annotations

import numpy as np
import pytest
from independent_cycle import Reference

from enginelimits.physics.cycle.chamber import Chamber
from enginelimits.physics.cycle.closed import closed_cycle
from enginelimits.physics.cycle.trace import crank_grid, pressure_over_cycle
from enginelimits.physics.gas.charge import fresh_charge

CHARGE = fresh_charge(
    fuel_mass_fraction=0.0716, residual_fraction=0.04, lambda_ratio=0.85, heating_value_j_kg=43.4e6,
    combustion_efficiency=0.965,
)
ENGINE = {"bore_m": 0.086, "stroke_m": 0.086, "rod_length_m": 0.143, "compression_ratio": 9.5}
MANIFOLDS = {"intake_pressure_pa": 1.7e5, "exhaust_pressure_pa": 1.6e5}
REST = {
    "trapped_mass_kg": 8.5e-4,
    "closing_temperature_k": 350.0,
    "wiebe_a": 5.0,
    "wiebe_form": 2.0,
    "intake_closing_rad": 0.87,
    "exhaust_opening_rad": 0.87,
    "wall_temperature_k": 450.0,
    "heat_transfer_factor": 1.0,
}


def _cycle(**changes):
    given = {"half_burned_angle_rad": 0.25, "burn_duration_rad": 0.8, "speed_rad_s": 420.0, **changes}
    return closed_cycle(CHARGE, **ENGINE, **MANIFOLDS, **REST, **given)


def _trace(closed, **more):
    return pressure_over_cycle(closed, **ENGINE, **MANIFOLDS, **more)


def test_the_grid_is_a_whole_cycle_about_firing() -> None:
    grid = crank_grid()
    assert grid[0] == pytest.approx(-2.0 * np.pi)
    assert grid[-1] == pytest.approx(2.0 * np.pi)
    assert np.all(np.diff(grid) > 0.0)
    assert np.any(np.isclose(grid, 0.0))


@pytest.mark.parametrize("event", ["intake_closing_rad", "exhaust_opening_rad"])
def test_lanes_that_differ_in_one_valve_event_alone_have_each_its_own_trace(event: str) -> None:
    timing = np.array([0.70, 0.87, 1.05])
    together = _trace(closed_cycle(CHARGE, **ENGINE, **MANIFOLDS, **{**REST, event: timing},
                                   half_burned_angle_rad=0.25, burn_duration_rad=0.8, speed_rad_s=420.0))  # fmt: skip
    for lane, at in zip(together, timing, strict=True):
        alone = closed_cycle(CHARGE, **ENGINE, **MANIFOLDS, **{**REST, event: at},
                             half_burned_angle_rad=0.25, burn_duration_rad=0.8, speed_rad_s=420.0)  # fmt: skip
        assert lane == pytest.approx(_trace(alone), rel=1e-12)


def test_the_grid_keeps_the_peak() -> None:
    half, duration = np.radians(np.linspace(2.0, 32.0, 61))[:, None], np.radians([35.0, 50.0, 70.0])
    c = _cycle(half_burned_angle_rad=half, burn_duration_rad=duration)
    highest = _trace(c).max(axis=-1)
    assert np.all(highest <= c.peak_pressure_pa * (1.0 + 1e-6))
    assert np.all(highest >= c.peak_pressure_pa * (1.0 - 1e-3))


def test_it_agrees_with_a_much_finer_integration() -> None:
    grid = np.radians(np.linspace(-120.0, 120.0, 500))
    # at those angles both the production grid and one eight times finer are interpolated
    coarse = _trace(_cycle(), crank_angle_rad=grid)
    fine = _trace(_cycle(steps=(256, 256, 128, 160)), crank_angle_rad=grid)
    assert coarse == pytest.approx(fine, rel=1e-4)


def test_between_the_nodes_it_is_what_an_independent_integration_gives() -> None:
    theirs = Reference(
        CHARGE, **ENGINE, **MANIFOLDS, **REST, half_burned_angle_rad=0.25, burn_duration_rad=0.8, speed_rad_s=420.0
    )
    grid = np.radians(np.linspace(-125.0, 125.0, 168))
    runs = [theirs.runs[int(a > theirs.start) + int(a > theirs.nine_tenths)] for a in grid]
    expected = [theirs.at(a, run.sol(a))[0] for a, run in zip(grid, runs, strict=True)]
    # of the cubic between the nodes of a production grid
    assert _trace(_cycle(), crank_angle_rad=grid) == pytest.approx(expected, rel=3e-4)


def test_open_valves_show_their_manifold() -> None:
    at = np.radians([-360.0 + 20.0, -270.0, -181.0, 200.0, 270.0, 340.0])
    trace = _trace(_cycle(), crank_angle_rad=at)
    assert trace.tolist() == pytest.approx([1.7e5] * 3 + [1.6e5] * 3)


def test_it_begins_as_it_ends_and_has_no_jump() -> None:
    c = _cycle()
    grid = np.radians(np.linspace(-360.0, 360.0, 72001))
    trace = _trace(c, crank_angle_rad=grid)
    assert trace[0] == pytest.approx(trace[-1], rel=1e-12)
    # steepest slope by the integration itself; a jump over 0.01 deg would be far above it
    steepest = np.abs(c.pressure_slopes).max() * np.radians(0.01)
    assert np.abs(np.diff(trace)).max() < 1.05 * steepest


def test_blowdown_only_falls_and_ends_at_exhaust_pressure() -> None:
    at = np.radians(np.linspace(130.5, 180.0, 200))
    trace = _trace(_cycle(), crank_angle_rad=at)
    assert np.all(np.diff(trace) < 0.0)
    assert trace[-1] == pytest.approx(1.6e5)


def test_work_of_the_trace_is_the_gross_mean_effective_pressure() -> None:
    # two quadratures over different grids; 3e-4 is what the trapezium rule leaves on this one
    c = _cycle(half_burned_angle_rad=np.radians([5.0, 15.0, 25.0]))
    grid = crank_grid()
    inner = np.abs(grid) <= np.pi * (1.0 + 1e-12)
    chamber = Chamber(**ENGINE)
    work = np.trapezoid(_trace(c)[:, inner], chamber.volume_m3(grid[inner]))
    assert work / chamber.displacement_m3 == pytest.approx(c.gross_imep_pa, rel=3e-4)


def test_lanes_with_their_own_events_and_an_unknown_one() -> None:
    closing = np.array([0.6, 1.2, 0.9])
    given = {**REST, "intake_closing_rad": closing, "trapped_mass_kg": np.array([8.5e-4, 7.5e-4, np.nan])}
    burn = {"half_burned_angle_rad": 0.3, "burn_duration_rad": 0.9, "speed_rad_s": 400.0}
    c = closed_cycle(CHARGE, **ENGINE, **MANIFOLDS, **given, **burn)
    trace = _trace(c)
    assert trace.shape == (3, crank_grid().size)
    assert np.isnan(trace[2]).all()
    assert np.isfinite(trace[:2]).all()
    alone = {**REST, "intake_closing_rad": 1.2, "trapped_mass_kg": 7.5e-4}
    one = closed_cycle(CHARGE, **ENGINE, **MANIFOLDS, **alone, **burn)
    assert trace[1] == pytest.approx(_trace(one), rel=1e-12)
