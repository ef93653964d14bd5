"""Air anchored on the maker's figures, held to those figures and to an engine measured on a test bench."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build

CASES = Path(__file__).parents[2] / "cases"
RPM = np.pi / 30

# A net rating is referred to 99 kPa of dry air at 25 degC (ISO 1585): 195 m in the standard atmosphere.
RATING_SITE = {"altitude": "195 m", "air_temperature": "25 degC", "relative_humidity": "0 %",
               "hot_day_temperature": "25 degC"}


def column(build, id_, speeds_rpm, samples=0):
    found = assess(filled(build), samples=samples, speeds=np.array(speeds_rpm) * RPM).columns[id_]
    return np.broadcast_to(found.si, (2, 1 + samples, len(speeds_rpm)))


def test_the_makers_figures_come_out_in_rating_conditions():
    # The case states 174 N*m at 4400 rpm and 145 hp (mechanical: 745.70 W) at 6400 rpm to ISO 1585.
    build = edited(load_build(CASES / "factory-na-1800" / "build.yaml"),
                   [{"replace": "site", "with": RATING_SITE}])
    torque = column(build, "crank.torque", [4400, 6400])[0, 0]
    power = column(build, "crank.power", [4400, 6400])[0, 0]
    assert torque[0] == pytest.approx(174, rel=0.005)
    assert power[1] == pytest.approx(145 * 745.70, rel=0.005)


def test_the_scale_lies_within_its_bounds_and_is_linear_between_the_makers_speeds():
    build = load_build(CASES / "factory-na-1800" / "build.yaml")
    scale = column(build, "air.anchored_factor", [2000, 4400, 5400, 6400, 7000])[0, 0]
    assert (scale >= 0.75).all() and (scale <= 1.15).all()
    assert scale[0] == pytest.approx(scale[1]) and scale[4] == pytest.approx(scale[3])
    assert scale[2] == pytest.approx((scale[1] + scale[3]) / 2)


def test_figures_that_geometry_cannot_reach_are_bounded_and_what_they_ask_is_kept():
    # 1.8 litres at 240 N*m is 16.8 bar without boost: no engine of this kind fills so well.
    text = (CASES / "factory-na-1800" / "build.yaml").read_text(encoding="utf-8")
    assert "value: 174 N*m" in text
    build = parse_build(text.replace("value: 174 N*m", "value: 240 N*m"))
    asked = column(build, "air.anchor_scale", [4400])[0, 0, 0]
    used = column(build, "air.anchored_factor", [4400])[0, 0, 0]
    assert used == pytest.approx(1.15) and asked > 1.3


@pytest.mark.parametrize("boost", ["3 psi", "12 psi"])
def test_no_edit_of_boost_moves_the_anchor(boost):
    build = load_build(CASES / "small-turbo-1800" / "build.yaml")
    more = edited(build, [{"set": "forced_induction.boost", "to": boost},
                          {"set": "engine.compression_ratio", "to": "9.0"},
                          {"replace": "internals.pistons", "with": {"class": "forged-2618"}}])
    speeds = [2000, 4400, 6000, 7000]
    before = column(build, "air.anchored_factor", speeds, samples=4)
    after = column(more, "air.anchored_factor", speeds, samples=4)
    assert np.array_equal(before, after)
    assert not np.array_equal(column(build, "crank.torque", speeds), column(more, "crank.torque", speeds))


# Full-load curve of a 2.0 litre naturally aspirated four measured on a bench: US EPA National Vehicle and Fuel
# Emissions Laboratory, 2014 2.0 L engine, compression ratio 13, direct injection, bore 83.5 mm, stroke 91.2 mm,
# LEV III fuel (regular gasoline with 10 % ethanol), test data package of 2018-03-29.  (rpm, N*m) as printed there.
BENCH = ((1900.8, 182.8), (2400.3, 180.67), (2899.4, 196.836), (3199.8, 199.257), (3701.3, 193.916),
         (4099.5, 200.111), (4489.8, 198.496), (6000.0, 184.0))
# Redline and the octane of regular gasoline (87 AKI) are from memory.
BENCH_BUILD = """
build: bench engine
site: {altitude: 195 m, air_temperature: 25 degC, relative_humidity: 0 %, hot_day_temperature: 25 degC}
engine:
  layout: inline
  cylinders: 4
  valves_per_cylinder: 4
  bore: 83.5 mm
  stroke: 91.2 mm
  compression_ratio: 13
  redline: 6500 rpm
  injection: direct
  built_for_boost: false
forced_induction: {kind: none}
fuel: {octane: 92 RON, gasoline_ethanol: 10 %, ethanol: 10 %}
"""
BENCH_RATING = """  standard_output:
    torque: {value: 200.1 N*m, at: 4100 rpm}
    power: {value: 115.6 kW, at: 6000 rpm}
    rating: SAE J1349
    fuel: {octane: 92 RON, is: minimum}
"""


def off_bench(text):
    speeds = [speed for speed, _ in BENCH]
    measured = np.array([torque for _, torque in BENCH])
    return column(parse_build(text), "crank.torque", speeds)[0, 0] / measured - 1


def test_anchored_on_two_points_the_measured_curve_is_met():
    text = BENCH_BUILD.replace("forced_induction:", BENCH_RATING + "forced_induction:")
    off = off_bench(text)
    anchored = [4099.5, 6000.0]
    between = np.array([o for o, (speed, _) in zip(off, BENCH, strict=True) if speed not in anchored])
    # The measured curve waves by 3 % about a smooth one (intake and exhaust tuning) and no class curve can follow
    # it; a torque stand adds about 1 %, and the air of the test cell is not given (1 %).  The sum of squares is
    # under 3.5 %.  When written it came out at 2.2 % over the six points that are not anchored.
    assert np.sqrt(np.mean(between**2)) < 0.04
    assert np.abs(between).max() < 0.06
    assert np.abs(off[[BENCH.index((4099.5, 200.111)), BENCH.index((6000.0, 184.0))]]).max() < 0.005


def test_from_geometry_alone_the_measured_curve_is_met_roughly():
    # Volumetric efficiency of a plain four-valve engine spreads by -7 and +6 % at the 5th and 95th percentile, a
    # tuned one lies another 6 % above it; friction and timing add a few: 15 % in all.
    off = off_bench(BENCH_BUILD)
    assert np.abs(off).max() < 0.15
