"""The work is done on whole arrays: what is called does not grow with the draws, the speeds or the lanes.

Calls are counted, not seconds: the ratio is the same on a busy machine.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from enginelimits.assessment.collect import assess, speed_grid
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.physics.cycle.closed import COARSE, closed_cycle
from enginelimits.physics.cycle.singly import FEW
from enginelimits.physics.gas.charge import fresh_charge
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.evaluate import evaluate

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
RPM = np.pi / 30.0


def calls(work: Callable[[], Any]) -> int:
    """How many functions were called, Python's and C's."""
    count = 0

    def counted(frame: Any, event: str, argument: Any) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(counted)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count


@cache
def described():
    found = filled(load_build(CASE))
    assess(found, samples=2)  # what is made once is made here
    return found


@cache
def assessed(samples: int) -> tuple[int, Any]:
    """The calls that an assessment made, and what it found."""
    found = []
    of = described()
    return calls(lambda: found.append(assess(of, samples=samples))), found[0]


def cycle_of(lanes: int) -> Callable[[], Any]:
    charge = fresh_charge(fuel_mass_fraction=np.full(lanes, 0.06), residual_fraction=0.04, lambda_ratio=0.9,
                          heating_value_j_kg=43e6)
    return lambda: closed_cycle(
        charge, bore_m=np.full(lanes, 0.086), stroke_m=0.086, rod_length_m=0.143, compression_ratio=10.0,
        speed_rad_s=400.0, trapped_mass_kg=5e-4, closing_temperature_k=350.0, half_burned_angle_rad=0.15,
        burn_duration_rad=0.9, wiebe_a=5.0, wiebe_form=2.0, intake_closing_rad=0.9, exhaust_opening_rad=0.9,
        wall_temperature_k=450.0, heat_transfer_factor=1.0, intake_pressure_pa=1e5, exhaust_pressure_pa=1e5,
        steps=COARSE,
    )


def test_a_cycle_of_many_lanes_calls_what_a_cycle_of_a_few_calls():
    cycle_of(FEW)()
    few, many = calls(cycle_of(4 * FEW)), calls(cycle_of(40 * FEW))
    assert many <= 1.02 * few


def test_lanes_taken_singly_do_grow():
    """The count sees a loop over lanes where there is one."""
    assert calls(cycle_of(FEW)) > 2.0 * calls(cycle_of(FEW // 4))


def test_an_assessment_of_more_draws_calls_what_one_of_fewer_calls():
    few, many = assessed(4)[0], assessed(24)[0]
    assert many <= 1.15 * few  # ends of ranges are found a quantity, not a draw; JSON values are not made here


@pytest.mark.slow
def test_an_assessment_at_more_speeds_calls_little_more():
    described()
    grid = speed_grid(6800.0 * RPM, 7000.0 * RPM)
    fine = np.union1d(grid, 0.5 * (grid[1:] + grid[:-1]))
    coarse, twice = (calls(lambda s=s: assess(described(), samples=4, speeds=s)) for s in (grid, fine))
    assert twice <= 1.35 * coarse  # curves are given speed by speed


def test_rules_judge_all_draws_at_once():
    catalogue = load_catalogue()
    grounds = [AssessmentGround(assessed(n)[1]) for n in (4, 24)]
    evaluate(catalogue, grounds[0])
    few, many = (calls(lambda g=g: evaluate(catalogue, g)) for g in grounds)
    assert many <= 1.1 * few
