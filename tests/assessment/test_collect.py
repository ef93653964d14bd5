"""From a filled build to quantities: the grid of speeds, chunks, draws, and what is said where nothing is known."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import _result, assess, speed_grid
from enginelimits.assessment.columns import Column
from enginelimits.assessment.vocabulary import QUANTITIES, printed
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build

CASES = Path(__file__).parents[2] / "cases"
NAMES = ("centrifugal-six-3000", "ethanol-2400", "factory-na-1800", "small-turbo-1800")
RPM = 2 * math.pi / 60
SPEEDS = np.array([2000.0, 3500.0, 5000.0, 6500.0]) * RPM


@cache
def build(name):
    return load_build(CASES / name / "build.yaml")


@cache
def assessed(name, samples=0):
    return assess(filled(build(name)), samples=samples)


def numbers(column):
    si = column.si
    return si is not None and not isinstance(si, str | bool) and np.asarray(si).dtype.kind == "f"


def test_the_grid_holds_every_250_from_1500_and_redline_and_limiter():
    grid = speed_grid(6800 * RPM, 7000 * RPM) / RPM
    # 1500, 1750 ... 6750 are 22, then 6800 and 7000.
    assert len(grid) == 24
    assert grid[:3] == pytest.approx([1500, 1750, 2000])
    assert grid[-3:] == pytest.approx([6750, 6800, 7000])


def test_a_limiter_between_the_steps_ends_the_grid():
    grid = speed_grid(7210 * RPM, 7333 * RPM) / RPM
    assert grid[-4:] == pytest.approx([7000, 7210, 7250, 7333])
    assert (np.diff(grid) > 0).all()


@pytest.mark.parametrize("name", NAMES)
def test_an_assessment_takes_its_grid_from_the_build(name):
    got = assessed(name)
    inputs = got.filled.inputs
    assert got.speeds[0] / RPM == pytest.approx(1500)
    assert got.speeds[-1] == pytest.approx(inputs["engine.limiter"].value)
    assert min(abs(s - inputs["engine.redline"].value) for s in got.speeds) < 1e-6


def test_chunks_of_what_nothing_moves_are_one_even_where_it_has_no_meaning():
    described = filled(build("small-turbo-1800"))
    fixed = {path: replace(given, low=None, high=None, shape="point") for path, given in described.inputs.items()}
    # slow enough that some quantities have no meaning, which is told by not a number
    found = assess(replace(described, inputs=fixed), samples=2, speeds=SPEEDS[:2] / 2.0, site_alone=True, chunk=1)
    assert any(np.isnan(np.asarray(c.si)).any() for c in found.columns.values() if numbers(c))
    assert {np.shape(c.si)[1] for c in found.columns.values() if numbers(c) and np.ndim(c.si) == 3} <= {1, 3}


@pytest.mark.parametrize("chunk", [1, 7, 19])
def test_chunks_change_nothing(chunk):
    described = filled(build("small-turbo-1800"))
    whole = assess(described, samples=20, speeds=SPEEDS, chunk=64)
    cut = assess(described, samples=20, speeds=SPEEDS, chunk=chunk)
    compared = 0
    for id_, column in whole.columns.items():
        if not numbers(column):
            continue
        other = cut.columns[id_]
        if id_ in QUANTITIES and QUANTITIES[id_].crank:
            continue
        shape = np.broadcast_shapes(np.shape(column.si), np.shape(other.si))
        np.testing.assert_allclose(np.broadcast_to(other.si, shape), np.broadcast_to(column.si, shape),
                                   rtol=1e-12, atol=0, err_msg=id_)
        compared += 1
    assert compared > 150
    for id_, result in whole.quantities.items():
        if result.value is not None:
            assert cut.quantities[id_].value == pytest.approx(result.value, rel=1e-12), id_
            assert cut.quantities[id_].low == pytest.approx(result.low, rel=1e-9), id_
            assert cut.quantities[id_].high == pytest.approx(result.high, rel=1e-9), id_


@pytest.mark.parametrize("name", ["small-turbo-1800", pytest.param("centrifugal-six-3000", marks=pytest.mark.slow)])
def test_the_typical_build_is_the_same_with_and_without_draws(name):
    with_draws, without = assessed(name, 64), assessed(name)
    for id_, result in without.quantities.items():
        other = with_draws.quantities[id_]
        assert (other.status, other.at, other.basis) == (result.status, result.at, result.basis), id_
        assert other.value == (None if result.value is None else pytest.approx(result.value, rel=1e-12)), id_
        assert result.low is None and result.high is None
    for id_, curve in without.curves.items():
        known = [(a, b) for a, b in zip(curve.values, with_draws.curves[id_].values, strict=True) if a is not None]
        assert [b for _, b in known] == pytest.approx([a for a, _ in known], rel=1e-12), id_


def test_one_more_uncertain_input_moves_no_other_draw():
    # Both had a range of their class before; their partners, which the class ties to them, are told more by them.
    one = build("small-turbo-1800")
    two = edited(one, [{"set": "internals.valves.intake_seat_load", "to": "190 +/- 25 N"},
                       {"set": "internals.pistons.top_ring_gap", "to": "0.31 +/- 0.06 mm"}])
    before, after = (assess(filled(b), samples=16, speeds=SPEEDS).columns for b in (one, two))
    moved = {id_ for id_, column in before.items()
             if numbers(column) and not (id_ in QUANTITIES and QUANTITIES[id_].crank)
             and not np.array_equal(column.si, after[id_].si, equal_nan=True)}
    assert moved == {"internals.valves.intake_seat_load", "internals.pistons.top_ring_gap",
                     "crankcase.blow_by", "crankcase.blow_by_share", "crankcase.pressure",
                     "ring.top_gap_ratio", "ring.second_gap_ratio", "ring.gap_margin", "valve.intake_seat_load_lost",
                     "internals.valves.exhaust_seat_load", "internals.pistons.second_ring_gap",
                     "valve.exhaust_seat_load_lost"}


def test_the_one_trace_kept_has_the_marks_of_its_own_row():
    """Rotors of a size that no air path balances in the typical build, and in some draws does."""
    described = filled(parse_build("""
build: invented
goal: {power: 280 kW, at: crank, correction: none, use: street}
engine: {cylinders: 4, bore: 87 mm, stroke: 100 mm, compression_ratio: 8.5, redline: 6600 rpm}
forced_induction:
  kind: positive-displacement
  boost: 10 psi
  supercharger: {drive_ratio: 7, displacement_per_rev: {value: 1.44 L, low: 0.2 L, high: 1.5 L}}
"""))
    columns = assess(described, samples=8, speeds=SPEEDS).columns
    trace, peak = columns["cylinder.pressure_trace"], columns["cylinder.peak_pressure"]
    assert np.isfinite(peak.si).any() and np.asarray(peak.outside)[:, 0].any()
    assert not np.asarray(peak.outside).all(axis=(0, 2)).all()  # the draws are not all lost, but the typical build is
    typical = np.isfinite(trace.si).all(axis=-1)
    assert typical.shape[1] == 1
    assert np.array_equal(~typical, np.broadcast_to(trace.outside, typical.shape))


def test_where_two_places_differ_by_round_off_the_first_is_told():
    kind, described = QUANTITIES["plug.gap_use"], filled(build("small-turbo-1800"))
    hair = 0.8 * (1.0 + 4e-16)
    assert hair > 0.8
    for site, hot in (([0.7, 0.8, hair], [hair, 0.8, 0.8]), ([0.7, hair, 0.8], [0.8, hair, hair])):
        column = Column(np.array([[site], [hot]]))
        at = _result(kind, column, SPEEDS[:3], 0, 0, described, ("site", "hot day")).at
        assert (at.ambient, at.engine_speed) == ("site", SPEEDS[1])


def test_a_missing_input_is_named():
    result = assessed("centrifugal-six-3000").quantities["sensor.air_meter_use"]
    assert (result.value, result.status) == (None, "cannot compute")
    assert "sensors.air_meter_range" in result.reason


def test_a_missing_input_takes_down_all_that_rests_on_it_and_nothing_else():
    whole = build("small-turbo-1800")
    without = edited(whole, [{"drop": "fuel_system.lift_pump"}])
    got, before = (assess(filled(b), samples=0, speeds=SPEEDS).quantities for b in (without, whole))
    lost = {id_ for id_ in got if got[id_].status != before[id_].status}
    assert lost <= {"pump.lift_use", "pump.flow_available"}


@pytest.mark.parametrize("id_", [k.id for k in printed() if k.id.startswith(("compressor.", "intercooler."))])
def test_without_boost_the_machine_does_not_apply(id_):
    result = assessed("factory-na-1800").quantities[id_]
    assert (result.value, result.status) == (None, "not applicable")


def test_without_boost_the_manifold_has_the_pressure_of_the_site_or_less():
    got = assessed("factory-na-1800")
    site = got.quantities["ambient.pressure"].value
    assert all(0.9 * site < p <= site for p in got.curves["air.manifold_pressure"].values)


@pytest.mark.parametrize("samples", [0, 16])
@pytest.mark.parametrize("name", NAMES)
def test_no_number_is_other_than_finite(name, samples):
    got = assessed(name, samples)
    assert set(got.quantities) == {kind.id for kind in printed()}
    for id_, result in got.quantities.items():
        for value in (result.value, result.low, result.high):
            assert value is None or math.isfinite(value), id_
        assert (result.status == "ok") == (result.value is not None), id_
        assert result.status == "ok" or result.reason, id_
    for id_, curve in got.curves.items():
        assert len(curve.values) == len(got.speeds)
        for values in (curve.values, curve.low or (), curve.high or ()):
            assert all(v is None or math.isfinite(v) for v in values), id_


@pytest.mark.parametrize("name", NAMES)
def test_every_draw_of_the_shipped_builds_closes_its_energy_balance(name):
    got = assessed(name, 16)
    assert got.samples_valid == 16
    assert np.abs(got.columns["cylinder.energy_residual"].si).max() < 1e-3


@pytest.mark.parametrize("name", NAMES)
def test_worst_over_the_range_is_the_worst_of_curve_and_hot_day(name):
    got = assessed(name)
    for kind in printed():
        result = got.quantities[kind.id]
        if kind.worse == "none" or not kind.varies or result.status != "ok":
            continue
        at_site = [v for v in got.curves[kind.id].values if v is not None]
        worst = max(at_site) if kind.worse == "high" else min(at_site)
        if result.at.ambient == "site":
            assert result.value == pytest.approx(worst, rel=1e-12), kind.id
        else:
            assert result.value >= worst if kind.worse == "high" else result.value <= worst, kind.id


def test_percentiles_surround_the_median_build_and_widen_nothing_that_is_certain():
    got = assessed("small-turbo-1800", 64)
    use = got.quantities["rod.column_use"]
    assert use.low < use.value < use.high
    displaced = got.quantities["engine.displacement"]
    # pi/4 * 82^2 * 85 * 4 = pi * 571 540 = 1 795 546 mm^3
    assert (displaced.low, displaced.value, displaced.high) == pytest.approx((1.795546e-3,) * 3, rel=1e-6)
