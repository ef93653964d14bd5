"""The shipped classes: printed strengths, complete entries, and ranges that say something."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from enginelimits.description.paths import known_paths
from enginelimits.errors import InputError
from enginelimits.reference.catalogue import (
    EVIDENCE,
    Entry,
    ReferenceClass,
    classes,
    kind,
    kinds,
    named_class,
)
from enginelimits.units.sources import SOURCES

PROMISED = {
    "rods": {
        "light-forged-steel",
        "powder-forged-light",
        "cracked-steel",
        "forged-steel-boosted",
        "forged-i-section",
        "forged-h-section",
    },
    "rod_bolts": {"standard-stretch", "standard-torque", "alloy-stretch"},
    "pistons": {"cast", "cast-high-silicon", "forged-2618", "forged-4032"},
    "bearings": {"aluminium-tin", "aluminium-tin-silicon", "tri-metal"},
    "dynos": {"inertia", "load-controlled", "hub"},
}


def every_class() -> Iterator[ReferenceClass]:
    for name in kinds():
        yield from classes(name).values()


def every_entry() -> Iterator[tuple[str, Entry]]:
    for each in every_class():
        for entries in (each.fills, each.gives):
            for key, entry in entries.items():
                yield f"{each.kind}/{each.name}/{key}", entry


ENTRIES = dict(every_entry())


# ISO 898-1, mechanical properties: least proof stress, 0.2 % proof strength and tensile strength [MPa]; class 8.8
# has two bands of diameter, with M16 the last of the first.
@pytest.mark.parametrize(
    ("name", "proof", "yielding", "tensile"),
    [
        ("8.8", 580, 640, 800),
        ("8.8-large", 600, 660, 830),
        ("9.8", 650, 720, 900),
        ("10.9", 830, 940, 1040),
        ("12.9", 970, 1100, 1220),
    ],
)
def test_property_classes_are_as_printed(name: str, proof: float, yielding: float, tensile: float) -> None:
    given = classes("fasteners")[name].gives
    assert given["yield_strength"].typical == pytest.approx(yielding * 1e6, rel=1e-12)
    assert given["proof_stress"].typical == pytest.approx(proof * 1e6, rel=1e-12)
    assert given["ultimate_strength"].typical == pytest.approx(tensile * 1e6, rel=1e-12)
    # A bolt of the class may exceed the least value and never falls short of it.
    assert given["proof_stress"].low == given["proof_stress"].typical


# SAE J429, printed in ksi: proof load, yield and tensile strength; grade 5 above one inch from memory.  1 ksi is
# 6.894757 MPa; the class holds whole megapascals, hence half a megapascal.
@pytest.mark.parametrize(
    ("name", "proof_ksi", "yield_ksi", "tensile_ksi"),
    [("grade-5", 85, 92, 120), ("grade-5-large", 74, 81, 105), ("grade-8", 120, 130, 150)],
)
def test_inch_grades_are_as_printed(name: str, proof_ksi: float, yield_ksi: float, tensile_ksi: float) -> None:
    given = classes("fasteners")[name].gives
    assert given["yield_strength"].typical == pytest.approx(yield_ksi * 6.894757e6, abs=0.5e6)
    assert given["proof_stress"].typical == pytest.approx(proof_ksi * 6.894757e6, abs=0.5e6)
    assert given["ultimate_strength"].typical == pytest.approx(tensile_ksi * 6.894757e6, abs=0.5e6)


def test_crackable_steel_ends_at_the_best_laboratory_strengths() -> None:
    # Li et al. 2024, abstract: up to 625 MPa yield and 1032 MPa ultimate.
    given = classes("materials")["crackable-steel"].gives
    assert given["yield_strength"].high == pytest.approx(625e6, rel=1e-9)
    assert given["ultimate_strength"].high == pytest.approx(1032e6, rel=1e-9)


def test_ultra_high_strength_steel_starts_at_the_specified_minima() -> None:
    # AMS 6417, minima: 230 ksi yield (1586 MPa), 280 ksi ultimate (1931 MPa); half a megapascal of rounding.
    given = classes("materials")["alloy-steel-ultra-high-strength"].gives
    assert given["yield_strength"].low == pytest.approx(230 * 6.894757e6, abs=0.5e6)
    assert given["ultimate_strength"].low == pytest.approx(280 * 6.894757e6, abs=0.5e6)


def test_gasoline_density_lies_within_the_standard() -> None:
    # EN 228: 720 to 775 kg/m^3 at 15 degC.
    density = classes("fuels")["pump-gasoline"].gives["gasoline_density"]
    assert 720.0 <= density.low < density.typical < density.high <= 775.0  # type: ignore[operator]


def test_light_rods_lie_in_the_trade_band() -> None:
    # Common practice, no source: 120 to 160 mm^2 and 550 to 700 MPa for light rods near an 86 mm bore.
    light = classes("rods")["light-forged-steel"]
    area, steel = (
        light.fills["shank_area"],
        classes("materials")["forged-steel-standard"].gives["yield_strength"],
    )
    assert (area.low, area.high) == pytest.approx((120e-6, 160e-6))
    assert (steel.low, steel.high) == pytest.approx((550e6, 700e6))
    boosted = classes("rods")["forged-steel-boosted"].fills["shank_area"]
    assert (boosted.low, boosted.high) == pytest.approx((170e-6, 230e-6))


@pytest.mark.parametrize("name", sorted(PROMISED["rods"]))
def test_second_moments_are_possible_for_the_section(name: str) -> None:
    """No shank bends much stiffer than the I section of 4t x 5t, nor softer than a square bar.

    Khurmi, Gupta, A Textbook of Machine Design, ch. 32: A = 11 t^2, Ixx = 419/12 t^4, so Ixx / A^2 = 0.2886.
    A solid square has 1/12.
    """
    fills = classes("rods")[name].fills
    area, plane, across = (
        fills[k].typical for k in ("shank_area", "second_moments.plane", "second_moments.across")
    )
    assert isinstance(area, float) and isinstance(plane, float) and isinstance(across, float)
    assert 1.0 / 12.0 < plane / area**2 < 1.1 * 0.2886
    assert across < plane


def test_rolled_thread_fatigue_follows_the_bolt_guideline() -> None:
    # VDI 2230 (formula from memory), rolled before heat treatment: 0.85 (150/d + 45) MPa with d in mm,
    # so 54.2 at 8 mm, 52.4 at 9 mm, 51.0 at 10 mm.
    strength = classes("rod_bolts")["standard-stretch"].gives["fatigue_strength"].typical
    assert isinstance(strength, float)
    assert 51.0e6 <= strength <= 54.2e6


def test_ethanol_blend_limits_are_told() -> None:
    # ASTM D5798 as reported by the US Alternative Fuels Data Center: 51 to 83 % by volume.
    assert "51 and 83" in classes("fuels")["high-ethanol-boosted"].fits


@pytest.mark.parametrize("name", sorted(PROMISED))
def test_promised_classes_exist(name: str) -> None:
    assert PROMISED[name] <= set(classes(name))


@pytest.mark.parametrize("each", list(every_class()), ids=lambda c: f"{c.kind}/{c.name}")
def test_a_class_says_when_it_fits(each: ReferenceClass) -> None:
    assert each.fits[0].isupper() and each.fits.endswith(".") and len(each.fits.split()) >= 4


@pytest.mark.parametrize("place", list(ENTRIES))
def test_an_entry_is_complete(place: str) -> None:
    entry = ENTRIES[place]
    assert entry.source in SOURCES
    assert entry.evidence in EVIDENCE
    kinds_of_source = {"common practice": "common practice", "memory": "memory"}
    if entry.source in ("common-practice", "memory"):
        assert kinds_of_source[entry.evidence] == SOURCES[entry.source].kind
    if entry.evidence == "published":
        assert SOURCES[entry.source].kind in ("published", "standard")
    assert (entry.low is None) == (entry.high is None)
    if entry.low is not None:
        assert isinstance(entry.typical, float)
        assert entry.low <= entry.typical <= entry.high  # type: ignore[operator]
        assert entry.low < entry.high  # type: ignore[operator]
    for bound, sign in ((entry.floor, 1.0), (entry.ceiling, -1.0)):
        if bound is not None and isinstance(entry.typical, float):
            assert sign * entry.typical >= sign * bound
    assert entry.typical is not None or entry.curve


@pytest.mark.parametrize("name", kinds())
def test_what_is_filled_exists_in_a_build_file(name: str) -> None:
    of = kind(name)
    for each in of.classes.values():
        for key in each.fills:
            assert f"{of.part}.{key}" in known_paths()
    for choice in of.choose:
        assert choice.name is None or choice.name in of.classes
    if of.choose:
        assert not of.choose[-1].conditions, "the last choice must always hold"


def test_units_of_filled_values_are_those_of_the_build_file() -> None:
    for name in kinds():
        of = kind(name)
        for each in of.classes.values():
            for key, entry in each.fills.items():
                if isinstance(entry.typical, float):
                    assert entry.unit == known_paths()[f"{of.part}.{key}"], (name, each.name, key)


def test_health_history_and_goal_stand_in_no_class() -> None:
    for name in kinds():
        part = kind(name).part
        assert not part.startswith(("internals.condition", "history", "goal", "baseline", "approvals"))


def test_ranges_differ() -> None:
    """Ranges come from knowledge: widths of one size would mean that nobody thought about them."""
    widths = [
        (e.high - e.low) / abs(e.typical)  # type: ignore[operator, arg-type]
        for e in ENTRIES.values()
        if e.low is not None and e.unit != "K" and e.typical
    ]
    rounded = [round(w, 2) for w in widths]
    assert len(widths) > 200
    assert max(rounded.count(w) for w in set(rounded)) < 0.15 * len(rounded)
    assert min(widths) < 0.05 and max(widths) > 0.6


def test_many_ranges_are_lopsided() -> None:
    """A ring gap is more often too wide than impossibly tight: halves of a range need not be alike."""
    lopsided = 0
    ranged = [e for e in ENTRIES.values() if e.low is not None]
    for e in ranged:
        below, above = e.typical - e.low, e.high - e.typical  # type: ignore[operator]
        lopsided += not math.isclose(below, above, rel_tol=0.05)
    assert lopsided > len(ranged) / 3


def test_an_unknown_class_is_told_with_near_matches() -> None:
    with pytest.raises(InputError) as caught:
        named_class("rods", "forged-i-sektion", "internals.rods.class")
    (problem,) = caught.value.problems
    assert problem.key == "internals.rods.class"
    assert problem.near[0] == "forged-i-section"


@pytest.mark.parametrize("name", sorted(PROMISED["rods"]))
def test_rod_materials_exist_with_what_a_rod_needs(name: str) -> None:
    material = classes("rods")[name].fills["material"].typical
    given = classes("materials")[str(material)].gives
    assert {"yield_strength", "ultimate_strength", "fatigue_strength", "youngs_modulus"} <= set(given)
