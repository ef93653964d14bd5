"""Rod bolts, head joint and valves through the whole chain: what moves their margins, and which way."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
RPM = 2.0 * np.pi / 60.0
SPEEDS = np.array([3000.0, 5000.0, 7000.0]) * RPM


@cache
def assessed(*edits: tuple[str, str], samples: int = 0) -> Assessment:
    build = load_build(CASE)
    for path, to in edits:
        build = edited(build, [{"set": path, "to": to}])
    return assess(filled(build), samples=samples, speeds=SPEEDS)


def typical(found: Assessment, id_: str) -> float:
    """At the site, the typical build, the last speed."""
    return float(np.asarray(found.columns[id_].si)[0, 0, -1])


MARGINS = tuple(
    f"rod_bolt.{name}" for name in ("separation_margin", "fatigue_margin", "over_rev_margin", "opening_speed")
)


@pytest.mark.parametrize("id_", MARGINS)
def test_a_heavier_piston_lowers_the_bolts_margins(id_: str) -> None:
    light, heavy = (assessed(("internals.pistons.mass", mass)) for mass in ("300 g", "360 g"))
    assert typical(heavy, id_) < typical(light, id_)


def test_the_limiter_lowers_margins_with_its_square() -> None:
    low, high = (assessed(("engine.limiter", f"{rpm} rpm")) for rpm in (7200, 7900))
    for id_ in ("rod_bolt.separation_margin_at_limiter", "rod_bolt.over_rev_margin"):
        assert typical(low, id_) / typical(high, id_) == pytest.approx((7900 / 7200) ** 2, rel=1e-9)
    # The cap opens at a speed of its own, wherever the limiter is.
    assert typical(low, "rod_bolt.opening_speed") == pytest.approx(typical(high, "rod_bolt.opening_speed"), rel=1e-9)
    assert typical(low, "valve.float_margin") > typical(high, "valve.float_margin")


def test_at_the_speed_that_opens_the_cap_the_margin_is_one() -> None:
    # A clamp so weak that the cap opens within what a limiter may be set to.
    weak = ("internals.rod_bolts.preload", "16 kN")
    opening = typical(assessed(weak), "rod_bolt.opening_speed")
    there = assessed(weak, ("engine.limiter", f"{float(opening / RPM)!r} rpm"))
    assert typical(there, "rod_bolt.separation_margin_at_limiter") == pytest.approx(1.0, rel=1e-9)


def test_more_preload_never_lowers_separation() -> None:
    margins = [
        typical(assessed(("internals.rod_bolts.preload", f"{kn} kN")), "rod_bolt.separation_margin")
        for kn in (8, 12, 20, 30, 36)
    ]
    assert margins == sorted(margins)


def test_fatigue_falls_away_once_the_cap_opens() -> None:
    # Clamped the margin does not hang on preload; opened, each kilonewton less costs the thread all of it.
    def fatigue(kn: float) -> float:
        return typical(assessed(("internals.rod_bolts.preload", f"{kn} kN")), "rod_bolt.fatigue_margin")

    each = typical(assessed(), "rod_bolt.opening_load") / 2e3
    assert fatigue(36.0) == pytest.approx(fatigue(1.1 * each), rel=1e-9)
    assert fatigue(0.6 * each) < 0.6 * fatigue(1.1 * each)
    assert fatigue(0.4 * each) < fatigue(0.6 * each)


def test_boost_hardly_changes_what_holds_the_cap() -> None:
    mild, hard = (assessed(("forced_induction.boost", boost)) for boost in ("5 psi", "14 psi"))
    for id_ in MARGINS:
        assert typical(hard, id_) == pytest.approx(typical(mild, id_), rel=0.02)
    assert typical(hard, "head.clamp_ratio") < 0.97 * typical(mild, "head.clamp_ratio")
    assert typical(hard, "valve.intake_seat_load_lost") > typical(mild, "valve.intake_seat_load_lost")


def test_bolts_used_before_hold_less() -> None:
    new, used = assessed(), assessed(("internals.rod_bolts.reused", "true"), ("internals.head.reused", "true"))
    for id_ in ("rod_bolt.preload", "rod_bolt.separation_margin", "head.preload_cold", "head.clamp_ratio"):
        assert typical(used, id_) < typical(new, id_)
    # What the wrench aims at is the same.
    assert typical(used, "rod_bolt.stretch") == typical(new, "rod_bolt.stretch")


@pytest.mark.parametrize("gasket", ["composite", "solid-copper", "fire-ring"])
def test_other_gaskets_ask_more_of_the_clamp_than_steel(gasket: str) -> None:
    steel, other = (assessed(("internals.head.gasket", kind)) for kind in ("multi-layer-steel", gasket))
    assert typical(other, "head.seal_ratio") < typical(steel, "head.seal_ratio")


def test_strong_cycles_and_an_event_leave_less_of_the_clamp() -> None:
    found = assessed()
    mean, high, event = (
        typical(found, id_) for id_ in ("head.clamp_ratio", "head.clamp_ratio_high", "head.event_clamp_ratio")
    )
    assert mean > high > event


def test_preload_scatters_by_the_way_of_tightening() -> None:
    def width(way: str) -> float:
        edits = (("internals.rod_bolts.preload", "30 kN"), ("internals.rod_bolts.tightening", way))
        drawn = np.asarray(assessed(*edits, samples=64).columns["rod_bolt.preload"].si)[0, 1:, 0]
        return float(np.subtract(*np.percentile(drawn, (75, 25))))

    assert width("torque") > 1.5 * width("angle") > 1.5 * width("stretch") > 0.0


BIG = """
build: large bolts
engine: {{cylinders: 4, bore: 100 mm, stroke: 100 mm, compression_ratio: 9.0, redline: 5000 rpm}}
internals: {{rod_bolts: {{class: standard-torque, thread: {thread}, property_class: {name}}}}}
"""


@pytest.mark.parametrize(
    ("thread", "name", "proof_mpa"),
    # ISO 898-1, class 8.8: 580 MPa to M16, 600 MPa above.  SAE J429, grade 5: 85 ksi to one inch, 74 ksi above.
    [
        ("M16x2.0", '"8.8"', 580), ("M18x2.5", '"8.8"', 600), ("M18x2.5", '"10.9"', 830),
        ("3/8-24", "grade-5", 586), ("9/8-12", "grade-5", 510), ("9/8-12", "grade-8", 827),
    ],
)  # fmt: skip
def test_the_thread_takes_the_band_of_its_property_class(thread: str, name: str, proof_mpa: float) -> None:
    found = filled(parse_build(BIG.format(thread=thread, name=name)))
    assert found.inputs["class.rod_bolt.proof_stress"].value == pytest.approx(proof_mpa * 1e6)


def test_a_share_stated_by_a_workshops_class_governs() -> None:
    from enginelimits.description.filled import Filled, Input

    base = filled(load_build(CASE))
    path = "class.rod_bolt.load_share"
    own = Filled(base.build, {**base.inputs, path: Input(path, 0.4, "1", basis="documented", source="shop")})
    before, after = (assess(f, samples=0, speeds=SPEEDS) for f in (base, own))
    ratio = typical(before, "rod_bolt.fatigue_margin") / typical(after, "rod_bolt.fatigue_margin")
    assert ratio == pytest.approx(0.4 / typical(before, "rod_bolt.load_share"), rel=1e-9)
