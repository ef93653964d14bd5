"""Pistons through the whole chain: mass moves on to rod, bolts and bearings; heat, jets and gaps act as they must."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build

CASES = Path(__file__).parents[2] / "cases"
SPEEDS = np.array([3000.0, 5000.0, 6500.0]) * np.pi / 30
PISTON = "internals.pistons"
EDITS = {
    "as built": (),
    "heavier": ({"set": f"{PISTON}.mass", "to": "420 g"},),
    "jets": ({"set": f"{PISTON}.oil_jets", "to": True},),
    "taller land": ({"set": f"{PISTON}.land_height", "to": "6.5 mm"},),
    "wider gap": ({"set": f"{PISTON}.top_ring_gap", "to": "0.50 mm"},),
    "thicker pin": ({"set": "internals.pins.inner_diameter", "to": "9 mm"},),
    "forged": ({"replace": PISTON, "with": {"class": "forged-4032"}},),
    "less boost": ({"set": "forced_induction.boost", "to": "3 psi"},),
}


@cache
def columns(name, case="small-turbo-1800"):
    build = edited(load_build(CASES / case / "build.yaml"), EDITS[name])
    return assess(filled(build), samples=0, speeds=SPEEDS).columns


def at(name, id_, case="small-turbo-1800"):
    """Values on the ordinary day by speed."""
    si = np.asarray(columns(name, case)[id_].si, dtype=float)
    return np.broadcast_to(si[0, 0] if si.ndim else si, SPEEDS.shape)


@pytest.mark.parametrize(
    ("id_", "sense"),
    [("rod.reciprocating_mass", 1), ("rod.tension", 1), ("rod_bolt.opening_load", 1), ("rod_bolt.fatigue_margin", -1),
     ("rod_bolt.separation_margin", -1), ("piston.mass_raise", 1)],
)
def test_a_heavier_piston_costs_rod_and_bolts(id_, sense):
    assert np.all(sense * (at("heavier", id_) - at("as built", id_)) > 0.0), id_


def test_mass_adds_to_the_pull_as_newton_says():
    """At the top of the exhaust stroke the added mass pulls with its own acceleration, r w^2 (1 + r / l), at 6500 rpm.

    By hand: 0.0425 m, 680.7 1/s, 0.140 m: 25.67 km/s^2.  The pin's offset is nil and gas pressure there the same.
    """
    added = at("heavier", "rod.reciprocating_mass")[-1] - at("as built", "rod.reciprocating_mass")[-1]
    pull = at("heavier", "rod.tension")[-1] - at("as built", "rod.tension")[-1]
    assert pull == pytest.approx(added * 25.67e3, rel=0.01)


def test_a_weighed_replacement_is_held_against_the_standard_piston():
    """By hand, classes from memory: an engine of 86 mm came with a piston of 335 g, a pin of 87 g (86/83)^3 = 96.8 g.

    Replacements of 300 g and 90 g are 390 / 431.8 of that.
    """
    text = (CASES / "port-and-direct-2000" / "build.yaml").read_text(encoding="utf-8")
    weighed = text.replace("class: forged-2618,", "class: forged-2618, mass: 300 g,")
    weighed = weighed.replace("internals:\n", "internals:\n  pins: {mass: 90 g}\n")
    found = assess(filled(parse_build(weighed)), samples=0, speeds=SPEEDS).columns["piston.mass_raise"]
    assert np.asarray(found.si).ravel() == pytest.approx(390 / 431.8, rel=2e-4)


def test_a_heavier_piston_eases_the_gas_load_on_the_crank_pin_at_speed():
    """Its inertia holds against the gas at the top of the firing stroke; the pull at exhaust is what it costs."""
    assert np.all(at("heavier", "rod.compression") < at("as built", "rod.compression"))


def test_jets_cool_the_crown_by_what_is_usual():
    # Common practice, no source: 20 to 40 K at full load.
    cooler = at("as built", "piston.crown_temperature") - at("jets", "piston.crown_temperature")
    assert np.all((cooler > 10.0) & (cooler < 45.0))
    assert 18.0 < cooler[-1] < 40.0


@pytest.mark.parametrize(
    ("case", "low", "high"),
    # From memory: crowns at full load have 220 to 280 degC without boost and 270 to 340 with it, at their hottest.
    [("factory-na-1800", 220.0, 280.0), ("small-turbo-1800", 260.0, 310.0), ("high-compression-2000", 260.0, 340.0),
     ("ethanol-2400", 300.0, 350.0)],
)
def test_crowns_have_usual_temperatures(case, low, high):
    hottest = at("as built", "piston.crown_temperature", case).max() - 273.15
    assert low < hottest < high


def test_less_boost_eases_every_part_of_the_piston():
    for id_ in ("piston.crown_temperature", "piston.land_use", "piston.land_event_use", "piston.skirt_pressure",
                "pin.bending_use", "pin.ovality", "ring.gap_needed"):
        assert np.all(at("less boost", id_) < at("as built", id_)), id_
    assert np.all(at("less boost", "ring.gap_margin") > at("as built", "ring.gap_margin"))


def test_each_remedy_moves_its_own_part():
    assert np.all(at("taller land", "piston.land_use") < at("as built", "piston.land_use"))
    assert np.all(at("taller land", "piston.land_event_use") < at("as built", "piston.land_event_use"))
    assert np.all(at("wider gap", "ring.gap_margin") > at("as built", "ring.gap_margin"))
    assert np.all(at("thicker pin", "pin.ovality") < at("as built", "pin.ovality"))
    assert np.all(at("thicker pin", "pin.event_use") < at("as built", "pin.event_use"))


def test_a_tough_alloy_stands_an_event_that_a_brittle_one_does_not():
    # Common practice, no source: forged pistons are fitted against knock, which breaks cast lands first.
    assert np.all(at("forged", "piston.land_event_use") < 0.75 * at("as built", "piston.land_event_use"))


def test_ordinary_cast_land_lives_without_knock():
    # Engines without boost do not break lands: half of the hot fatigue strength at most.
    assert at("as built", "piston.land_use", "factory-na-1800").max() < 0.5


@pytest.mark.parametrize("case", sorted(p.parent.name for p in CASES.glob("*/build.yaml")))
def test_no_draw_leaves_more_gap_hot_than_cold(case):
    columns = assess(filled(load_build(CASES / case / "build.yaml")), samples=60, speeds=SPEEDS).columns
    assert np.nanmax(columns["ring.gap_margin"].si) <= 1.0
    assert np.nanmin(columns["piston.skirt_clearance_needed"].si) > 0.0
