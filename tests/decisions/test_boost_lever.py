"""Boost is scaled as it is asked for: by a curve, by one value with its range, or by the spring."""

from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.decisions.boost_lever import boost_read, lever_of
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.description.paths import flattened
from enginelimits.description.values import Curve, Value
from enginelimits.errors import InputError

CASES = Path(__file__).parents[2] / "cases"
PSI = 6894.757  # NIST SP 811


def built(case: str, *edits: dict[str, object]):
    build = load_build(CASES / case / "build.yaml")
    return edited(build, edits) if edits else build


def lever(build):
    return lever_of(build, filled(build))


def test_a_curve_is_scaled_as_a_whole():
    build = built("small-turbo-1800")
    half = flattened(edited(build, lever(build).edits(0.5)))["forced_induction.boost"]
    # The case asks for 4, 7, 7.5 and 7.5 psi.
    assert isinstance(half, Curve)
    assert [v.si / PSI for v in half.values] == pytest.approx([2.0, 3.5, 3.75, 3.75], rel=1e-6)
    assert [s.si * 60 / 6.283185307 for s in half.speeds] == pytest.approx([2000, 3000, 4000, 7000])


def test_a_range_keeps_its_share_and_its_basis():
    stated = {"value": "8 psi", "low": "7 psi", "high": "10 psi", "basis": "measured"}
    build = built("high-compression-2000", {"set": "forced_induction.boost", "to": stated})
    more = flattened(edited(build, lever(build).edits(1.5)))["forced_induction.boost"]
    assert isinstance(more, Value)
    assert [more.si / PSI, more.low / PSI, more.high / PSI] == pytest.approx([12.0, 10.5, 15.0], rel=1e-6)
    assert (more.basis, more.shape) == ("measured", "split-normal")


def test_as_asked_needs_no_edit():
    assert lever(built("small-turbo-1800")).edits(1.0) == ()


def test_on_the_spring_alone_the_spring_is_raised():
    build = built("small-turbo-1800", {"set": "forced_induction.control.kind", "to": "spring"})
    raised = lever(build)
    assert raised.greatest_pa == pytest.approx(6 * PSI, rel=1e-6)  # the case's spring
    stated = flattened(edited(build, raised.edits(2.0)))
    assert stated["forced_induction.wastegate.spring"].si == pytest.approx(12 * PSI, rel=1e-6)


def test_without_a_machine_there_is_nothing_to_raise():
    with pytest.raises(InputError) as refused:
        lever(built("factory-na-1800"))
    assert [p.key for p in refused.value.problems] == ["forced_induction.kind"]


def test_without_a_boost_there_is_nothing_to_scale():
    with pytest.raises(InputError) as refused:
        lever(built("small-turbo-1800", {"drop": "forced_induction.boost"}))
    assert [p.key for p in refused.value.problems] == ["forced_induction.boost"]


@pytest.mark.parametrize("text", ["12", "-3 psi", "0 psi", "5 to 8 psi", "12 psia", "much"])
def test_a_top_is_one_gauge_pressure_above_zero(text: str):
    with pytest.raises(InputError):
        boost_read(text, "--top")
    assert boost_read("12 psi", "--top") == pytest.approx(12 * PSI, rel=1e-6)
