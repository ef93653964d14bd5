"""Inputs of a class that go together: the correlation, what stays of each margin, and what a stated one tells."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from enginelimits.assessment.sample import drawn, placed_by_strata, placed_together
from enginelimits.description.fill import filled
from enginelimits.description.filled import Input
from enginelimits.description.load import parse_build
from enginelimits.description.together import Band, Partner, tied
from enginelimits.errors import InputError
from enginelimits.reference.catalogue import Tie, _entry, classes, kinds

BUILD = """
build: a made-up engine
engine: {cylinders: 4, bore: 85 mm, stroke: 86 mm, compression_ratio: 10.5, redline: 7000 rpm}
internals:
  rods: %s
"""
MASS, SHANK = "internals.rods.mass", "internals.rods.shank_area"
PLANE = "internals.rods.second_moments.plane"
DRAWS = 4000


def rods(stated="{class: light-forged-steel}"):
    return filled(parse_build(BUILD % stated)).inputs


def spearman(one, other, samples=DRAWS, seed=1):
    return stats.spearmanr(drawn(one, samples, seed)[1:], drawn(other, samples, seed)[1:]).statistic


@pytest.mark.parametrize(("path", "r"), [(MASS, 0.6), (PLANE, 0.8)])
def test_ranks_correlate_as_a_gaussian_copula_says(path, r):
    # Kruskal 1958, from memory: Spearman's rank correlation of a bivariate normal is 6/pi asin(r/2).
    inputs = rods()
    expected = 6 / math.pi * math.asin(r / 2)
    # its standard error is below 1/sqrt(n)
    assert spearman(inputs[path], inputs[SHANK]) == pytest.approx(expected, abs=3 / math.sqrt(DRAWS))


def test_deviates_correlate_as_declared_and_through_a_third_by_the_product():
    inputs = rods()
    mass, plane = (stats.norm.ppf(placed_together(p, inputs[p].streams, DRAWS, 1)) for p in (MASS, PLANE))
    shank = stats.norm.ppf(placed_by_strata(SHANK, DRAWS, 1))
    found = np.corrcoef([mass, plane, shank])
    assert found[0, 2] == pytest.approx(0.6, abs=0.03)
    assert found[1, 2] == pytest.approx(0.8, abs=0.03)
    assert found[0, 1] == pytest.approx(0.6 * 0.8, abs=0.04)  # the shank is all that they share


@pytest.mark.parametrize("samples", [1, 7, 64])
def test_each_keeps_its_own_strata_and_its_very_draws(samples):
    inputs = rods()
    alone = replace(inputs[MASS], streams=())
    one, other = (drawn(given, samples, 3) for given in (inputs[MASS], alone))
    assert one[0] == other[0] == inputs[MASS].value
    assert np.array_equal(np.sort(one[1:]), np.sort(other[1:]))
    places = np.sort(placed_together(MASS, inputs[MASS].streams, samples, 3))
    assert np.array_equal(np.floor(places * samples).astype(int), np.arange(samples))


def test_no_third_input_and_no_partner_moves():
    inputs = rods()
    for path, given in inputs.items():
        if not given.streams and isinstance(given.value, float) and given.low is not None and not given.drawn_with:
            u = placed_by_strata(path, 16, 1)
            sign = np.sign(np.round(drawn(given, 16, 1)[1:] - given.value, 12))
            assert (sign * np.sign(u - 0.5) >= 0).all(), path
    assert not inputs[SHANK].streams and {s for s, _ in inputs[MASS].streams} == {SHANK, MASS}


def test_what_comes_from_classes_keeps_the_typical_value_and_the_ends_of_its_class():
    # Class values as written, at the class's own bore of 85 mm.
    mass, shank = rods()[MASS], rods()[SHANK]
    assert (mass.value, mass.low, mass.high) == pytest.approx((0.500, 0.410, 0.600))
    assert (shank.value, shank.low, shank.high) == pytest.approx((140e-6, 120e-6, 160e-6))
    assert "a bigger shank" in mass.together.lower() and "0.6" in mass.together


def test_a_measured_shank_moves_the_mass_by_regression_and_narrows_it():
    # Bivariate normal: mean r z, standard deviation sqrt(1 - r^2). 120 mm^2 is the class's 5th percentile, z = -1.645;
    # the mass lies 90 g below its median there, so 500 - 0.6 * 90 = 446 g, and 0.8 of the range is left about it.
    mass = rods("{class: light-forged-steel, shank_area: 120 mm^2}")[MASS]
    assert mass.value == pytest.approx(0.446)
    assert mass.low == pytest.approx(0.446 - 0.8 * 0.090)
    assert mass.high == pytest.approx(0.500 + (0.8 - 0.6) * 0.100)  # over the median the other half counts
    assert not mass.streams and "given the stated internals.rods.shank_area" in mass.together


def test_a_measured_shank_beyond_its_class_tells_no_more_than_one_at_the_end():
    at, beyond = (rods(f"{{class: light-forged-steel, shank_area: {a} mm^2}}")[MASS].value for a in (120, 90))
    assert at == beyond


def test_a_measured_mass_tells_of_the_shank_too():
    # 600 g is the 95th percentile: 140 + 0.6 * 20 = 152 mm^2, and 0.8 of the range.
    shank = rods("{class: light-forged-steel, mass: 600 g}")[SHANK]
    assert shank.value == pytest.approx(152e-6)
    assert shank.high == pytest.approx(168e-6)
    assert shank.low == pytest.approx(140e-6 - 0.2 * 20e-6)


def test_a_stated_value_is_never_moved():
    inputs = rods("{class: light-forged-steel, mass: 600 g, shank_area: 120 mm^2}")
    assert (inputs[MASS].value, inputs[SHANK].value) == pytest.approx((0.600, 120e-6))
    assert not inputs[MASS].streams and not inputs[SHANK].together


def test_what_scales_with_a_stated_partner_follows_by_that_law_alone():
    # The second moment goes with the square of the area: 4200 (120/140)^2 mm^4, its range whole.
    plane = rods("{class: light-forged-steel, shank_area: 120 mm^2}")[PLANE]
    by = (120 / 140) ** 2 * 1e-12
    assert (plane.value, plane.low, plane.high) == pytest.approx((4200 * by, 3500 * by, 5400 * by))


def partner(low, high, value=100.0, r=0.6):
    return Partner(Input("p", value, "1", low, high, "split-normal"), Tie("p", r, "memory", "memory", "A test"),
                   Band(100.0, 80.0, 120.0), scales=False)


MADE = Input("m", 10.0, "1", 8.0, 12.0, "split-normal", from_class="c")


@pytest.mark.parametrize("share", [0.25, 0.5, 1.0])
def test_a_partner_stated_with_a_range_leaves_as_much_as_conditioning_on_each_of_its_draws(share):
    """Jeffrey's rule, by drawing: p of the stated range, then m given p of the class's joint normal."""
    given = tied(MADE, partner(100 - 20 * share, 100 + 20 * share))
    normal = np.random.default_rng(7).standard_normal((2, 200_000))
    p = share * normal[0]
    m = 10.0 + (0.6 * p + 0.8 * normal[1]) * 2.0 / stats.norm.ppf(0.95)
    assert (given.low, given.value, given.high) == pytest.approx(np.percentile(m, (5, 50, 95)), abs=0.02)
    assert dict(given.streams)["p"] == pytest.approx(np.corrcoef(p, m)[0, 1], abs=0.01)


def test_as_wide_as_the_class_and_in_its_middle_nothing_is_learned():
    given = tied(MADE, partner(80.0, 120.0))
    assert (given.low, given.value, given.high) == pytest.approx((8.0, 10.0, 12.0))
    assert dict(given.streams) == pytest.approx({"p": 0.6, "m": 0.8})


def test_against_correlation_turns_the_shift():
    assert tied(MADE, partner(None, None, 120.0, -0.5)).value == pytest.approx(9.0)


def test_no_small_end_is_below_nil():
    # The rod's mass and its big end's share are drawn; what is left for the small end is what lies there.
    inputs = rods()
    share = inputs["class.rod.big_end_share"]
    assert (drawn(share, 2000, 1) < 1.0).all() and (drawn(inputs[MASS], 2000, 1) > 0.0).all()


def test_a_weighed_big_end_tells_of_the_shank_through_the_rods_mass():
    # The class's mass is 500 g, 410 to 600 g, of which the big end has 0.700, 0.664 to 0.728; its shank 140 mm^2,
    # 120 to 160 mm^2.  A big end of 385 g makes a rod of 550 g, 528.8 to 579.8 g: half of the way to the heavy end,
    # with a range of 0.2683 of the class's.  The shank goes 0.6 of half the way to 160 mm^2, and its range is
    # (1 - 0.36 + 0.36 * 0.2683^2)^0.5 = 0.816 of the class's to either side.
    weighed, known = (rods(f"{{class: light-forged-steel, {m}}}") for m in ("big_end_mass: 385 g", "mass: 550 g"))
    mass, shank = weighed[MASS], weighed[SHANK]
    assert (mass.low, mass.value, mass.high) == pytest.approx((0.5288, 0.550, 0.5798), abs=1e-4)
    assert (shank.low, shank.value, shank.high) == pytest.approx((129.68e-6, 146.0e-6, 162.32e-6), abs=0.01e-6)
    assert known[SHANK].value == pytest.approx(shank.value)
    assert known[SHANK].high - known[SHANK].low < shank.high - shank.low
    assert spearman(mass, shank) == pytest.approx(6 / math.pi * math.asin(0.6 * 0.2683 / 0.816 / 2), abs=0.05)


def every_tie():
    for name in kinds():
        for each in classes(name).values():
            for part in (each.fills, each.gives):
                for key, entry in part.items():
                    if entry.tie is not None:
                        yield each, part, key, entry


def test_every_declared_tie_leads_to_an_entry_and_says_why():
    found = list(every_tie())
    assert len(found) > 40
    known = {f"forced_induction.compressor.{key}" for key in classes("compressors")["turbocharger-matched"].fills}
    for each, part, key, entry in found:
        tie = entry.tie
        there = tie.path[1:] in part if tie.path.startswith(".") else tie.path in known
        assert there, (each.kind, each.name, key)
        assert len(tie.why) > 10 and 0 < abs(tie.correlation) <= 0.95
        assert tie.path != f".{key}"


def test_no_entry_is_tied_to_one_that_is_tied_back():
    for each, part, key, entry in every_tie():
        seen, at = {key}, entry
        while at.tie is not None and at.tie.path.startswith("."):
            nxt = at.tie.path[1:]
            assert nxt not in seen, (each.kind, each.name, key)
            seen.add(nxt)
            at = part[nxt]


@pytest.mark.parametrize(
    "broken",
    [{"correlation": "1.2"}, {"correlation": "0"}, {"why": None}, {"evidence": "rumour"}, {"more": "x"}],
)
def test_a_tie_that_cannot_be_is_refused(broken):
    whole = {"path": ".a", "correlation": "0.5", "evidence": "memory", "why": "A test of it."}
    tie = {key: value for key, value in {**whole, **broken}.items() if value is not None}
    node = {"typical": "1 kg", "low": "0.9 kg", "high": "1.1 kg", "evidence": "memory", "with": tie}
    with pytest.raises(InputError):
        _entry("rods", "test", "b", node)


def test_only_what_is_drawn_can_go_with_something():
    tie = {"path": ".a", "correlation": "0.5", "evidence": "memory", "why": "A test of it."}
    with pytest.raises(InputError):
        _entry("rods", "test", "b", {"typical": "1 kg", "evidence": "memory", "with": tie})
