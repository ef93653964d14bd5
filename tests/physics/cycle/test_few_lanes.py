"""A few lanes, taken one after another, give what they give among many: the way is chosen by count alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from test_closed_cycle import _random_lanes

from enginelimits.physics.cycle import lanes as lanes_module
from enginelimits.physics.cycle import singly
from enginelimits.physics.cycle.closed import COARSE, STEPS, closed_cycle
from enginelimits.physics.gas.charge import Charge
from enginelimits.physics.gas.equilibrium import Burned

MANY = 40


def _few_and_many(steps: tuple[int, int, int, int], seed: int) -> tuple[Any, Any]:
    charge, lanes = _random_lanes(MANY, seed)
    some = Charge(
        charge.gas_constant[: singly.FEW], charge.heat_capacity[:, : singly.FEW], charge.enthalpy[: singly.FEW],
        Burned(*(part[..., : singly.FEW] for part in charge.burned)), charge.lost[: singly.FEW],
    )
    few = closed_cycle(some, **{name: values[: singly.FEW] for name, values in lanes.items()}, steps=steps)
    return few, closed_cycle(charge, **lanes, steps=steps)


@pytest.mark.parametrize("steps", [STEPS, COARSE])
@pytest.mark.parametrize("seed", [1, 2])
def test_few_are_the_same_among_many(
    steps: tuple[int, int, int, int], seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    counted: list[int] = []
    burned = singly.burned
    monkeypatch.setattr(singly, "burned", lambda *a: (counted.append(len(a[0])), burned(*a)))
    few, many = _few_and_many(steps, seed)
    assert counted == [singly.FEW] * 3, "the few were taken one by one, the many were not"
    for name in few._fields:
        if name in ("steps", "energy_residual"):
            continue
        ours, theirs = getattr(few, name), getattr(many, name)[: singly.FEW]
        scale = np.abs(theirs).max(axis=-1, keepdims=theirs.ndim > 1)
        # rounding of the functions alone: numpy's may be vectors of the processor's, Python's are the C library's
        assert (np.abs(ours - theirs) <= 1e-11 * scale).all(), name


def test_a_lane_that_leaves_the_numbers_is_left_to_arrays(monkeypatch: pytest.MonkeyPatch) -> None:
    _, many = _few_and_many(COARSE, 3)

    def leaves(*_: Any) -> None:
        raise ValueError("math domain error")

    monkeypatch.setattr(singly, "burned", leaves)
    few, _ = _few_and_many(COARSE, 3)
    assert few.peak_pressure_pa == pytest.approx(many.peak_pressure_pa[: singly.FEW], rel=1e-13)
    assert lanes_module.singly is singly


def test_what_cannot_be_computed_is_not_a_number_among_few() -> None:
    charge, lanes = _random_lanes(6, 7)
    lanes["trapped_mass_kg"][3] = np.nan
    lost = np.isnan(closed_cycle(charge, **lanes).peak_pressure_pa)
    assert lost.tolist() == [False, False, False, True, False, False]


def test_the_grid_that_narrows_tells_its_own_slopes():
    """Slope and bend against differences of the angle, which are exact for a parabola."""
    low, high, steps = np.array([-2.0, -1.5]), np.array([0.5, 0.1]), 10
    grid = lanes_module.Grid.narrowing(low, high, steps)
    step = 1.0 / (2 * steps)
    assert grid.angle[0] == pytest.approx(low)
    assert grid.angle[-1] == pytest.approx(high)
    slope = (grid.angle[2:] - grid.angle[:-2]) / (2.0 * step)
    bend = (grid.angle[2:] - 2.0 * grid.angle[1:-1] + grid.angle[:-2]) / step**2
    assert grid.stretch[1:-1] == pytest.approx(slope, rel=1e-9)
    assert np.broadcast_to(grid.bend, bend.shape) == pytest.approx(bend, rel=1e-6)
