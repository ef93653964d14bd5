"""The pass before the one that counts, the class map as efficiency, and the impeller by its tip speed."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

RPM = np.pi / 30
SPEEDS = np.array([2500.0, 4500.0, 6000.0, 7200.0]) * RPM

# Invented: no such car exists.
ENGINE = """
build: invented two litres
goal: {{power: 240 hp, at: crank, correction: none, use: track}}
engine: {{cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.5, redline: 7200 rpm, limiter: 7400 rpm}}
forced_induction: {induction}
fuel: {{octane: 98 RON, ethanol: {ethanol}}}
"""
TURBO = (
    "{{kind: turbocharger, boost: {boost}, compressor: {{inducer: {inducer}, exducer: 62 mm{more}}}, "
    "turbine: {{swallowing: 0.15 kg/s}}, wastegate: {{kind: external, spring: 5 psi, diameter: 38 mm}}, "
    "intercooler: {{effectiveness: 0.7, pressure_drop: 0.7 psi}}}}"
)
BELT = (
    "{{kind: centrifugal, boost: {boost}, compressor: {{exducer: 80 mm, efficiency: 0.7}}, "
    "supercharger: {{drive_ratio: {ratio}, belt_ribs: 6, belt_wrap: 150 deg}}, "
    "intercooler: {{effectiveness: 0.7, pressure_drop: 0.7 psi}}}}"
)


@cache
def engine(induction: str, ethanol: str = "0 %"):
    build = parse_build(ENGINE.format(induction=induction, ethanol=ethanol))
    return assess(filled(build), samples=0, speeds=SPEEDS).columns


def turbo(boost="8 psi", inducer="48 mm", more="", ethanol="0 %"):
    return engine(TURBO.format(boost=boost, inducer=inducer, more=more), ethanol)


def belt(boost="8 psi", ratio="10"):
    return engine(BELT.format(boost=boost, ratio=ratio))


def of(columns, id_):
    return np.broadcast_to(columns[id_].si, (2, 1, SPEEDS.size))[0, 0]


@pytest.mark.parametrize("ethanol", ["0 %", "85 %"])
def test_the_balance_reckons_with_the_exhaust_that_the_cycle_gives(ethanol):
    columns = turbo(ethanol=ethanol)
    assert of(columns, "balance.exhaust_temperature") == pytest.approx(of(columns, "exhaust.gas_temperature"), abs=10.0)
    assert of(columns, "balance.compressor_efficiency") == pytest.approx(of(columns, "compressor.efficiency"), abs=0.01)
    filling = of(columns, "air.volumetric_efficiency") / of(columns, "air.back_pressure_factor")
    assert of(columns, "balance.filling") == pytest.approx(filling, rel=2e-3)
    assert of(columns, "turbine.air_flow") == pytest.approx(of(columns, "air.mass_flow"), rel=0.01)


def test_ethanol_sends_cooler_exhaust_to_the_turbine_and_more_of_it():
    gasoline, ethanol = turbo(), turbo(ethanol="85 %")
    assert (of(ethanol, "balance.exhaust_temperature") < of(gasoline, "balance.exhaust_temperature") - 10.0).all()
    assert (of(ethanol, "balance.filling") > of(gasoline, "balance.filling")).all()


def test_a_stated_efficiency_is_kept_and_a_wheel_alone_reads_the_map_of_its_class():
    stated, small, large = turbo(more=", efficiency: 0.7"), turbo(inducer="38 mm"), turbo(inducer="50 mm")
    assert of(stated, "compressor.efficiency") == pytest.approx(0.7)
    assert of(large, "compressor.efficiency")[-1] > of(small, "compressor.efficiency")[-1] + 0.05
    assert of(large, "compressor.outlet_temperature")[-1] < of(small, "compressor.outlet_temperature")[-1] - 5.0
    assert np.abs(of(large, "compressor.map_residual")).max() < 1e-3
    assert of(large, "compressor.efficiency") == pytest.approx(of(large, "compressor.map_efficiency"), abs=2e-3)


def test_an_impeller_makes_boost_by_the_square_of_its_tip_speed():
    columns = belt(boost="9 psi")
    tip = of(columns, "compressor.tip_speed")
    assert tip == pytest.approx(0.04 * SPEEDS * 10 * 0.98)
    head = of(columns, "blower.pressure_ratio") ** (1 / 3.5) - 1
    assert head / tip**2 == pytest.approx(head[-1] / tip[-1] ** 2)
    assert (np.diff(of(columns, "air.boost")) > 0).all()


def test_a_faster_pulley_makes_more_and_what_is_beyond_the_asked_boost_is_told():
    slow, fast = belt(ratio="9"), belt(ratio="11.5")
    assert (of(fast, "air.boost_available") > of(slow, "air.boost_available")).all()
    assert of(fast, "boost.beyond_asked")[-1] > 10e3
    assert of(slow, "boost.beyond_asked").max() == 0.0
    assert of(fast, "air.boost")[-1] == pytest.approx(8 * 6894.757)
    assert (of(slow, "air.boost") <= 8 * 6894.757).all()


def test_traffic_leaves_the_first_pull_warmer_than_a_cool_core():
    columns = turbo()
    warm, cool = of(columns, "charge.temperature_after_traffic"), of(columns, "air.manifold_temperature")
    assert warm - cool == pytest.approx(of(columns, "intercooler.effectiveness") * 20.0)
    assert (warm - cool)[-1] == pytest.approx(0.7 * 20.0, abs=0.1)


def test_a_cooler_takes_more_of_the_heat_where_less_flows():
    columns = turbo()
    effectiveness = of(columns, "intercooler.effectiveness")
    assert (np.diff(effectiveness) < 0).all()
    assert effectiveness[-1] == pytest.approx(0.7)
    # by hand: -ln(0.3) = 1.204 transfer units; at 4500 of 7200 rpm 1.204 * 0.625 ** -0.45 = 1.487
    assert effectiveness[1] == pytest.approx(1 - np.exp(-1.487), abs=1e-3)
