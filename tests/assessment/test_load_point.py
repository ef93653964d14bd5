"""The engine at a given load: what is asked for is met, by throttle or compressor, and the rest follows."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.load_point import load_points
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.errors import SolveError

CASES = Path(__file__).parents[2] / "cases"
RPM = np.pi / 30.0
SPEEDS = np.array([1500.0, 2500.0, 2500.0, 2500.0, 4000.0, 6000.0])
LOADS = np.array([2.0, 1.0, 6.0, 14.0, 12.0, 10.0])


@cache
def described():
    return filled(load_build(CASES / "small-turbo-1800" / "build.yaml"))


def at(speeds, loads, **more):
    return load_points(described(), np.asarray(speeds, dtype=float) * RPM, np.asarray(loads) * 1e5, **more)


def read(found, id_, points):
    return np.broadcast_to(found[id_].si, (1, 1, points))[0, 0]


def test_the_loads_asked_for_are_met_in_the_order_given():
    found = at(SPEEDS, LOADS)
    assert read(found, "brake.mean_effective_pressure", 6) == pytest.approx(LOADS * 1e5, rel=1e-4)
    # torque of that pressure by its definition, bmep = 4 pi T / V (Heywood 1988, eq. 2.20)
    volume = float(np.ravel(found["engine.displacement"].si)[0])
    assert read(found, "crank.torque", 6) == pytest.approx(LOADS * 1e5 * volume / (4 * np.pi), rel=1e-3)


def test_little_load_is_throttled_and_much_is_boosted():
    found = at(SPEEDS, LOADS)
    barometer = float(np.ravel(found["ambient.pressure"].si)[0])
    manifold = read(found, "air.manifold_pressure", 6)
    # An engine without boost gives 10 to 13 bar at full load (Heywood 1988, sec. 2.14, from memory).
    assert np.all(manifold[LOADS < 7.0] < barometer)
    assert np.all(manifold[LOADS > 13.0] > barometer)


def test_more_load_asks_more_of_manifold_and_fuel_and_less_fuel_a_kilowatt_hour():
    loads = np.array([1.0, 2.0, 4.0, 6.0, 8.0])
    found = at(np.full(5, 2500.0), loads)
    for id_ in ("air.manifold_pressure", "fuel.mass_flow", "cylinder.peak_pressure"):
        assert np.all(np.diff(read(found, id_, 5)) > 0.0), id_
    assert np.all(np.diff(read(found, "brake.specific_fuel_consumption", 5)) < 0.0)
    assert np.all(np.diff(read(found, "cylinder.residual_fraction", 5)) < 0.0)


def test_two_bar_at_two_thousand_is_the_part_load_that_textbooks_show():
    # The usual part-load point.  From memory: manifold at 0.3 to 0.45 bar, gas exchange takes 0.5 to 0.75 bar, 8 to
    # 18 % of the charge is residual, 350 to 430 g/kWh.
    found = at([2000.0], [2.0])
    assert 0.30e5 < read(found, "air.manifold_pressure", 1)[0] < 0.45e5
    assert 0.5e5 < read(found, "pumping.mean_effective_pressure", 1)[0] < 0.75e5
    assert 0.08 < read(found, "cylinder.residual_fraction", 1)[0] < 0.18
    assert 350.0 < read(found, "brake.specific_fuel_consumption", 1)[0] * 3.6e9 < 430.0


def test_each_point_may_have_its_own_mixture():
    found = at([2500.0, 2500.0], [6.0, 6.0], lambda_ratio=[1.0, 0.85])
    lean, rich = read(found, "brake.specific_fuel_consumption", 2)
    # the heat of a rich mixture is 0.80 of the fuel's at 0.85, the work of its air is near the same: 1 / 0.85 = 1.18
    assert 1.10 < rich / lean < 1.22
    assert read(found, "fuel.lambda_target", 2) == pytest.approx([1.0, 0.85])


def test_many_points_are_what_each_is_alone():
    together = at(SPEEDS, LOADS)
    for place in (0, 3):
        alone = at(SPEEDS[place : place + 1], LOADS[place : place + 1])
        for id_ in ("air.manifold_pressure", "brake.specific_fuel_consumption", "exhaust.temperature"):
            # both are solved to a ten-thousandth of the load
            assert read(alone, id_, 1)[0] == pytest.approx(read(together, id_, 6)[place], rel=5e-4), id_


def test_a_load_out_of_reach_is_refused_with_its_speed():
    with pytest.raises(SolveError, match="2500 rpm"):
        at([1500.0, 2500.0], [4.0, 90.0])


def test_an_engine_without_a_compressor_is_refused():
    plain = filled(load_build(CASES / "factory-na-1800" / "build.yaml"))
    with pytest.raises(SolveError):
        load_points(plain, [2500.0 * RPM], [6e5])
