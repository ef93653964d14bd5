"""Bearings through the chain: layouts, grades of oil and linings change what they should and nothing else."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

BUILD = """
build: bearings
goal: {{power: 240 hp, at: crank}}
engine: {{layout: {layout}, cylinders: {cylinders}, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.0,
  redline: 7000 rpm,
  standard_output: {{power: {{value: 170 hp, at: 6600 rpm}}, torque: {{value: 200 N*m, at: 4400 rpm}}}}}}
internals: {{bearings: {{class: {lining}}}}}
forced_induction: {{kind: turbocharger, boost: 8 psi}}
fuel: {{octane: 98 RON}}
oil: {{grade: {grade}}}
"""
SPEEDS = np.array([2000.0, 4500.0, 7000.0]) * np.pi / 30


@cache
def assessed(
    layout: str = "inline", cylinders: int = 4, grade: str = "5W-40", lining: str = "aluminium-tin-silicon"
) -> Assessment:
    build = BUILD.format(layout=layout, cylinders=cylinders, grade=grade, lining=lining)
    return assess(filled(parse_build(build)), samples=0, speeds=SPEEDS)


def value(assessment: Assessment, name: str) -> float:
    found = assessment.quantities[name]
    assert found.status == "ok", (name, found.status, found.reason)
    assert found.value is not None
    return found.value


@pytest.mark.parametrize(("layout", "cylinders"), [("inline", 3), ("inline", 4), ("inline", 6), ("vee", 6), ("vee", 8)])
def test_caps_are_pulled_in_line_and_in_a_vee(layout, cylinders):
    found = assessed(layout, cylinders)
    assert 0.0 < value(found, "bearing.main_cap_force") <= value(found, "bearing.main_force") * (1 + 1e-12)
    assert found.quantities["case.opening_force"].status == "not applicable"


def test_the_case_of_an_opposed_engine_is_parted():
    found = assessed("opposed", 4)
    assert 0.0 < value(found, "case.opening_force") <= value(found, "bearing.main_force") * (1 + 1e-12)
    assert found.quantities["bearing.main_cap_force"].status == "not applicable"


def test_a_layout_without_a_known_order_tells_so():
    assert assessed("inline", 8).quantities["bearing.main_force"].status == "out of range"
    # and the big end does not mind
    assert assessed("inline", 8).quantities["bearing.big_end_film"].status == "ok"


def test_a_thicker_grade_thickens_the_film_and_moves_no_load():
    thin, usual, thick = (assessed(grade=g) for g in ("0W-20", "5W-40", "10W-60"))
    films = [value(a, "bearing.big_end_film") for a in (thin, usual, thick)]
    assert films[0] < films[1] < films[2]
    assert value(thin, "bearing.big_end_load") == value(thick, "bearing.big_end_load")
    # viscosity counts to a power of 0.5 to 1 in a film
    ratio = value(thick, "oil.film_viscosity") / value(thin, "oil.film_viscosity")
    assert ratio**0.5 < films[2] / films[0] < ratio


def test_an_unknown_grade_leaves_the_film_unjudged():
    found = assessed(grade="7W-35").quantities["bearing.big_end_film"]
    assert found.status == "cannot compute"
    assert "class.lubrication.viscosity_100" in found.reason


def test_a_stronger_lining_is_used_less():
    uses = [value(assessed(lining=name), "bearing.big_end_use")
            for name in ("babbitt", "aluminium-tin", "aluminium-tin-silicon", "tri-metal", "sputtered")]
    assert uses == sorted(uses, reverse=True)


def test_big_end_film_of_a_boosted_four_is_of_the_order_of_tenths_of_a_micrometre():
    # Own sum: 2000 rpm, 36 MPa, 5.8 mPa*s, 45 mm over 0.040 mm: S 0.0068 and 2.9 % of 20 um.
    assert 0.3e-6 < value(assessed(), "bearing.big_end_film") < 0.9e-6


def test_mean_of_the_torque_within_a_turn_is_the_indicated_torque():
    found = assessed()
    gross = found.columns["indicated.mean_effective_pressure"].si[0, 0]
    pumping = found.columns["pumping.mean_effective_pressure"].si[0, 0]
    displacement = float(np.ravel(found.columns["engine.displacement"].si)[0])
    told = found.columns["crank.torque_mean"].si[0, 0]
    # gas exchange is eased from pressure to pressure in the trace, and steps are of four degrees
    np.testing.assert_allclose(told, (gross - pumping) * displacement / (4 * np.pi), rtol=0.03)
    assert (found.columns["crank.torque_peak_ratio"].si[0, 0] > 1.0).all()
