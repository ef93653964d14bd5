"""Less boost on a machine driven by a belt: its pulley is named, and the drive ratio tried with the boost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from enginelimits.decisions.belt import DRIVE, as_driven, drive_share
from enginelimits.decisions.judge import judge
from enginelimits.decisions.verdict import RemedyShown
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.description.paths import flattened
from enginelimits.rules.catalogue import load_catalogue

PSI = 6894.757
CATALOGUE = load_catalogue()
BUILD = """
build: invented
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.5, redline: 7000 rpm, injection: port}
forced_induction: {kind: %s, boost: 10 psi%s}
"""
GEARED = ", supercharger: {drive_ratio: 2.3, displacement_per_rev: 1.2 L}"


@pytest.fixture(scope="module")
def blown():
    return judge(parse_build(BUILD % ("positive-displacement", GEARED)), CATALOGUE, samples=0)


def shown(name):
    remedy = CATALOGUE.remedies[name]
    return RemedyShown(name, remedy.kind, remedy.say, remedy.steps, remedy.shifts)


def driven(finding, kind, supercharger=""):
    described = filled(parse_build(BUILD % (kind, supercharger)))
    asked = replace(finding, remedies=(shown("lower-boost"), shown("hold-back-low-speed-boost"),
                                       shown("stronger-clutch")))
    return as_driven([asked], described, CATALOGUE)[0].remedies


def test_a_blower_has_no_target_to_lower(blown):
    named = {r.id: r for f in blown.findings for r in f.remedies}
    assert "slower-blower" in named and not {"lower-boost", "hold-back-low-speed-boost"} & set(named)
    assert "pulley" in named["slower-blower"].say


def test_the_drive_ratio_is_tried_with_the_boost(blown):
    steps = next(r for f in blown.findings for r in f.remedies if r.id == "slower-blower").steps
    to_six = next(s for s in steps if {"cap": "forced_induction.boost", "to": "6 psi"} in s)
    stated = flattened(edited(blown.filled.build, to_six))
    # Rotors move a volume a turn: (14.7 + 6) / (14.7 + 10) of 2.3.
    assert stated[DRIVE].si == pytest.approx(1.93, abs=0.005)
    assert stated["forced_induction.boost"].si == pytest.approx(6 * PSI, rel=1e-6)


@pytest.mark.parametrize(("kind", "supercharger", "wanted"), [
    ("turbocharger", "", ["lower-boost", "hold-back-low-speed-boost", "stronger-clutch"]),
    ("positive-displacement", "", ["slower-blower", "stronger-clutch"]),
    ("centrifugal", ", supercharger: {drive_ratio: 7.2}", ["slower-blower", "stronger-clutch"]),
])
def test_only_a_belt_changes_the_remedies(blown, kind, supercharger, wanted):
    got = driven(blown.findings[0], kind, supercharger)
    assert [r.id for r in got] == wanted
    geared = [s for r in got for s in r.steps if any(edit.get("set") == DRIVE for edit in s)]
    assert len(geared) == (3 if supercharger else 0)  # 8, 6 and 4 psi of 10 asked for


def test_a_wheel_does_work_by_the_square_of_its_speed():
    # By hand, air with 2/7: (1.408^(2/7) - 1) / (1.680^(2/7) - 1) = 0.1027 / 0.1598, its root 0.802.
    assert drive_share("centrifugal", 10 * PSI, 6 * PSI) == pytest.approx(0.802, abs=0.002)
    assert drive_share("positive-displacement", 10 * PSI, 6 * PSI) == pytest.approx(20.7 / 24.7, abs=0.001)


def test_an_engine_without_a_machine_is_told_nothing_of_boost():
    # There is no target to raise where nothing makes boost; what a fuel or the limiter can do is told.
    build = """
build: naturally aspirated, asked for too much
goal: {power: 200 hp, at: crank, use: track}
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 11.5, redline: 7600 rpm, limiter: 7900 rpm,
  standard: {redline: 6800 rpm, limiter: 7000 rpm}}
forced_induction: {kind: none}
"""
    findings = judge(parse_build(build), CATALOGUE, samples=0).findings
    named = {f.rule: [r.id for r in f.remedies] for f in findings}
    assert "GOL001" in named and "BTM004" in named
    touched = {str(path) for f in findings for r in f.remedies for step in r.steps for edit in step
               for verb, path in edit.items() if verb in ("set", "cap", "drop", "replace")}
    assert touched and not any(path.startswith("forced_induction.") for path in touched)
    assert "standard-limiter" in named["BTM004"] and "ethanol-fuel" in named["GOL001"]
