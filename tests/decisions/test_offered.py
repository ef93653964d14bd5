"""Remedies as they are said of one build: none that it has already, none for what it has not.

What is moot for whom is common practice, no source.
"""

from __future__ import annotations

import pytest

from enginelimits.decisions.judge import judge
from enginelimits.description.edits import edited
from enginelimits.description.load import parse_build
from enginelimits.description.paths import flattened
from enginelimits.errors import RuleError
from enginelimits.rules.catalogue import load_catalogue

CATALOGUE = load_catalogue()
RPM = 0.10471975511965977
BUILD = """
build: invented
goal: {power: %s hp, at: crank}
engine:
  {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 12.5, injection: port, redline: %s rpm,
   limiter: %s rpm, oil_pump_rotor: sintered%s}
forced_induction: {%s}
fuel: {octane: 95 RON, ethanol: %s}
internals: {%s}
"""


def offered(power="400", redline="7000", limiter="7200", standard="", boost="kind: turbocharger, boost: 18 psi",
            ethanol="5 %", parts="rods: {class: cracked-steel}"):
    build = parse_build(BUILD % (power, redline, limiter, standard, boost, ethanol, parts))
    judged = judge(build, CATALOGUE, samples=0)
    return build, {f.rule: {r.id: r for r in f.remedies} for f in judged.findings}


def named(**build):
    return {id_ for remedies in offered(**build)[1].values() for id_ in remedies}


@pytest.mark.parametrize(("ethanol", "wanted"), [
    ("5 %", {"better-gasoline", "mid-ethanol-blend", "ethanol-fuel"}),
    ("40 %", {"better-gasoline", "mid-ethanol-blend", "ethanol-fuel"}),
    ("55 %", {"ethanol-fuel"}),
    ("80 %", set()),
])
def test_no_build_is_told_to_run_on_less_ethanol_than_it_does(ethanol, wanted):
    fuels = {"better-gasoline", "mid-ethanol-blend", "ethanol-fuel"}
    of_knock = offered(boost="kind: turbocharger, boost: 30 psi", ethanol=ethanol)[1]["KNK013"]
    assert fuels & set(of_knock) == wanted


def test_an_engine_without_boost_is_told_of_no_boost():
    told = named(power="300", boost="kind: none")
    assert "ethanol-fuel" in told and "agree-the-goal" in told
    assert not told & {"more-boost", "lower-boost", "hold-back-low-speed-boost", "hold-back-top-end-boost"}


def test_parts_that_are_in_are_not_to_be_fitted():
    strong = ("rods: {class: forged-h-section, shank_area: 90 mm^2}, rod_bolts: {class: alloy-stretch}, "
              "pistons: {class: forged-2618, oil_jets: true}, pins: {class: replacement-thick}, "
              "bearings: {class: tri-metal}")
    parts = {"forged-rods", "h-section-rods", "stronger-rod-bolts", "forged-pistons", "oil-jets", "thicker-pins",
             "tri-metal-bearings"}
    much = "kind: turbocharger, boost: 40 psi"
    assert not parts & named(boost=much, parts=strong)
    assert {"forged-rods", "forged-pistons"} <= named(boost=much)


def test_a_limiter_that_stands_where_its_maker_had_it_is_not_put_back():
    assert "standard-limiter" not in named(limiter="7200")
    assert "standard-limiter" in named(limiter="7900", standard=", standard: {limiter: 7200 rpm}")


@pytest.mark.parametrize(("redline", "limiter", "standard", "back"), [
    ("7000", "7900", "limiter: 7200 rpm", (7000, 7200)),
    # a redline that was raised with it goes back too, to the maker's where that is stated
    ("7600", "7900", "redline: 6800 rpm, limiter: 7200 rpm", (6800, 7200)),
    ("7600", "7900", "limiter: 7200 rpm", (7200, 7200)),
])
def test_the_limiter_goes_back_to_the_makers_not_to_that_of_a_class(redline, limiter, standard, back):
    standard = f", standard: {{{standard}}}"
    build, findings = offered(redline=redline, limiter=limiter, standard=standard, boost="kind: none")
    (step,) = findings["ROD005"]["standard-limiter"].steps
    after = edited(build, step)
    stated = flattened(after)
    assert [round(stated[f"engine.{key}"].si / RPM) for key in ("redline", "limiter")] == list(back)
    left = judge(after, CATALOGUE, samples=0).findings
    assert "ROD005" not in {f.rule for f in left} and "BTM004" not in {f.rule for f in left}


def test_what_makes_a_remedy_moot_is_a_condition_on_inputs_and_quantities(tmp_path):
    (tmp_path / "remedies.yaml").write_text(
        "some-words:\n  kind: inspection\n  say: Look.\n  moot_where: {fact: boosted}\n", encoding="utf-8")
    with pytest.raises(RuleError) as wrong:
        load_catalogue(overlays=(tmp_path,))
    (problem,) = wrong.value.problems
    assert (problem.key, problem.got) == ("moot_where", "a fact or a rule")
